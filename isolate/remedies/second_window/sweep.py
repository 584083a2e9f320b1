"""Every pane at every distance behind a window: what each lets through and how loud that is inside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.describe import words
from isolate.describe.constructions import Leaf
from isolate.describe.frames import NO_FRAME
from isolate.describe.gaps import round_window
from isolate.describe.materials import material
from isolate.describe.rooms import Option
from isolate.physics import leakage, second_window, windows
from isolate.physics.windows import Window
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.panes import second_window as option_of
from isolate.remedies.second_window.setting import Setting
from isolate.standards import ratings

GAPS: Array = np.array(
    [6, 9, 12, 16, 20, 25, 32, 40, 50, 63, 75, 100, 125, 150, 175, 200, 250, 300]
) / 1e3  # fmt: skip
LININGS = ("bare", "absorbent")
LINED_FROM = 0.04  # [m] between the windows, below which there is no reveal to line
# As they are sold [mm] (common practice, no source).
SOLD: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("glass", (3, 4, 5, 6, 8, 10, 12)),
    ("laminated glass", (6.4, 8.8, 10.8, 12.8)),
    ("acoustic laminated glass", (6.8, 8.8, 10.8, 12.8)),
    ("acrylic", (3, 5, 6, 8, 10, 12)),
)


class Spot(NamedTuple):
    """One of the swept: indices of lining, pane and gap."""

    lining: int
    pane: int
    gap: int


@dataclass(frozen=True, eq=False)
class Sweep:
    """Panes at distances [m] with each lining of the reveal, all with one `seal`, on few points: to choose
    by. What is proposed is computed as a side of the room.

    solved: the windows with each lining, (panes, gaps that may have it, 27). panes_tau, leak_tau (linings,
    panes, gaps, 27): through the panes, and past frames, sash, seal or several of these.
    """

    setting: Setting
    panes: tuple[Leaf, ...]
    gaps: Array
    linings: tuple[str, ...]
    seal: str
    solved: tuple[Window, ...]
    panes_tau: Array
    leak_tau: Array

    @cached_property
    def tau(self) -> Array:
        """tau (linings, panes, gaps, 27) of the window with what is behind it."""
        return np.asarray(np.minimum(self.panes_tau + self.leak_tau, 1.0))

    @cached_property
    def inside_db(self) -> Array:
        """Levels inside [dB] (noises, linings, panes, gaps, 27)."""
        return self.setting.inside_db(self.tau)

    @cached_property
    def gain_dba(self) -> Array:
        """How much softer each noise is [dBA] (noises, linings, panes, gaps)."""
        return self.setting.gain_dba(self.inside_db)

    @cached_property
    def margin(self) -> Array:
        """Largest excess [dB] of each noise (noises, linings, panes, gaps)."""
        return self.setting.margin(self.inside_db)

    @cached_property
    def excess(self) -> Array:
        """What sticks out of each noise [dB], all bands together (noises, linings, panes, gaps)."""
        return self.setting.excess(self.inside_db)

    @cached_property
    def rise_db(self) -> Array:
        """What the worst of the bands one hears now rises by [dB] (noises, linings, panes, gaps); negative
        where all of them fall, nothing heard counting as none."""
        now = np.array([one.level_db for one in self.setting.heard])
        audible = np.array([one.margin_db > 0.0 for one in self.setting.heard])
        rise = np.where(audible[:, None, None, None], self.inside_db - now[:, None, None, None], -np.inf)
        worst = rise.max(-1)
        return np.where(np.isfinite(worst), worst, 0.0)

    @cached_property
    def score(self) -> Array:
        """What sticks out of the noises that count [dB], on the mean; (linings, panes, gaps)."""
        return np.asarray(self.excess[list(self.setting.counting)].mean(0))

    @cached_property
    def masses(self) -> Array:
        """Mass [kg] of each pane in this window, (panes,)."""
        return np.array([words.leaf_mass(pane) for pane in self.panes]) * self.setting.side.area

    @cached_property
    def resonances(self) -> Array:
        """Lowest resonance [Hz] of window and pane on the air between, (panes, gaps)."""
        window, size = self.setting.side.construction, self.setting.size
        return np.array(
            [
                [second_window.chain(window, pane, depth=depth, size=size)[0] for depth in self.gaps]
                for pane in self.panes
            ]
        )

    @cached_property
    def rw(self) -> Array:
        """Weighted sound reduction index [dB], leaks included, (linings, panes, gaps)."""
        return np.asarray(ratings.rw(-10.0 * np.log10(self.tau)), float)

    def window(self, spot: Spot) -> Window:
        """The window with this behind it, whatever its joints are."""
        narrow = _narrow(self.gaps)
        if spot.lining == 0 or spot.gap < narrow:
            return self.solved[0].at(spot.pane, spot.gap)
        return self.solved[1].at(spot.pane, spot.gap - narrow)

    def option(self, spot: Spot) -> Option:
        """The change of the room that this is."""
        return option_of(
            self.setting.side,
            self.panes[spot.pane],
            depth=float(self.gaps[spot.gap]),
            edges=self.linings[spot.lining],
            seal=self.seal,
        )


def _narrow(gaps: Array) -> int:
    """How many of the gaps, rising, leave no reveal to line."""
    return int(np.searchsorted(gaps, LINED_FROM))


def leak_of_seal(setting: Setting, seal: str | float) -> Array:
    """tau (27,) re the window's area of a seal in this state all round it."""
    return leakage.gap(round_window(seal, setting.size)) / setting.side.area


def past_seals(setting: Setting, window: Window, *, seal: Array, sash: Array | None = None) -> Array:
    """tau (..., 27) of what gets past frames, the old sash, its brushes where it slides, and the seal of
    what is behind it."""
    slides = windows.brushes(setting.side.construction.frame or NO_FRAME, size=setting.size)
    old = (setting.leaks() if sash is None else sash) + slides
    return window.past([old, *[None] * (len(window.runs) - 2), seal])


def panes_sold() -> tuple[Leaf, ...]:
    """The panes that are tried when none are named."""
    return tuple(Leaf(material(name), t * 1e-3) for name, sizes in SOLD for t in sizes)


def gaps_tried(asked: Asked) -> Array:
    """Distances [m] to look at: those stated, or the usual with the one that fits just in."""
    if asked.gaps:
        return np.unique(asked.gaps)
    if asked.max_gap is None:
        return GAPS
    others = GAPS[np.abs(GAPS / asked.max_gap - 1.0) > 0.03]
    return np.unique([*others, asked.max_gap])


def sweep(setting: Setting, panes: Sequence[Leaf], gaps: Array, *, seal: str) -> Sweep:
    """All panes at all gaps [m], rising, with a bare and a lined reveal, lined only from `LINED_FROM` on."""
    panes = sorted(panes, key=lambda pane: pane.material.name)
    window, size = setting.side.construction, setting.size
    closed = leak_of_seal(setting, seal)
    finder = setting.now.envelope.finder
    narrow = _narrow(gaps)
    tried = zip(LININGS, (gaps, gaps[narrow:]), strict=True)
    solved = [finder.behind(window, panes, depths=d, size=size, edges=edges) for edges, d in tried if d.size]

    def both(bare: Array, *lined: Array) -> Array:
        return np.array([bare, np.concatenate([bare[:, :narrow], *lined], axis=1)])

    return Sweep(
        setting=setting,
        panes=tuple(panes),
        gaps=gaps,
        linings=LININGS,
        seal=seal,
        solved=tuple(solved),
        panes_tau=both(*(one.through for one in solved)),
        leak_tau=both(*(past_seals(setting, one, seal=closed) for one in solved)),
    )
