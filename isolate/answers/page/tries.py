"""What a page lets its reader try: a second pane at other distances, other numbers of panels, all computed.

Both change other things (what comes in, and what becomes of it in the room), so that their decibels add: the
level with a pane at one distance and so many panels is the first's less what the panels take off.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers.panels import answer as panels
from isolate.answers.panels.answer import PanelsAnswer
from isolate.bands import Array
from isolate.describe import words
from isolate.describe.layers import Cavity
from isolate.describe.rooms import Noise, Side
from isolate.physics import treatment
from isolate.remedies.contrast import second, with_second
from isolate.room.envelope import Shell
from isolate.standards import hearing
from isolate.standards.weighting import dba

GAPS = (0.03, 0.05, 0.075, 0.1, 0.15, 0.2, 0.3)  # [m] to the second pane
STEPS = 5  # numbers of panels to try, up to what the walls take
MOST = 8  # noises, those that stick out most


@dataclass(frozen=True)
class Tries:
    """Every noise with a pane at each distance and each number of panels.

    `gaps` [m], the first 0: none; `counts` of panels, the first 0. `inside_db` (gaps, noises, 27) without
    panels, `drop_db` (counts, 27) what they take off; `dba` and `margin` (gaps, counts, noises); `mass`
    [kg] the pane adds. `pane`: what `states.second` calls it, empty where none can be tried; `leaf` what it
    is of, `side` it is put behind.
    """

    noises: tuple[Noise, ...]
    outside_db: Array
    gaps: tuple[float, ...]
    counts: tuple[int, ...]
    inside_db: Array
    drop_db: Array
    dba: Array
    margin: Array
    mass: float
    pane: str
    leaf: str
    side: str

    def verdict(self, gap: int, count: int, noise: int) -> str:
        """The word for one of them."""
        return hearing.verdict(float(self.margin[gap, count, noise]))

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        verdicts = [
            [[self.verdict(g, c, n) for n in range(len(self.noises))] for c in range(len(self.counts))]
            for g in range(len(self.gaps))
        ]
        return {
            "noises": [one.name for one in self.noises],
            "pane": self.pane,
            "leaf": self.leaf,
            "side": self.side,
            "mass_kg": self.mass,
            "gaps_mm": [round(1e3 * gap) for gap in self.gaps],
            "counts": list(self.counts),
            "outside_db": self.outside_db,
            "inside_db": self.inside_db,
            "drop_db": self.drop_db,
            "inside_dba": self.dba,
            "margin_db": self.margin,
            "verdict": verdicts,
        }


def tries(found: PanelsAnswer) -> Tries:
    """Everything there is to try in the room of this answer."""
    now = found.shell
    all_of_them = found.room.noises or (found.noise,)
    heard = sorted((now.hear(noise) for noise in all_of_them), key=lambda h: -h.margin)
    chosen = sorted(heard, key=lambda h: h.name != found.noise.name)[:MOST]
    noises = tuple(one.noise for one in chosen)
    gaps, shells = zip(*_panes(found), strict=True)
    inside = np.array([[one.hear(noise).inside_db for noise in noises] for one in shells])
    counts = _counts(found)
    drop = np.array([_drop(found, count) for count in counts])
    levels = inside[:, None] - drop[None, :, None]
    return Tries(
        noises=noises,
        outside_db=np.array([one.outside_db for one in chosen]),
        gaps=gaps,
        counts=counts,
        inside_db=inside,
        drop_db=drop,
        dba=np.asarray(dba(levels)),
        margin=hearing.margin(levels, now.background_db).max(-1),
        mass=_mass(found, shells),
        pane="" if len(gaps) < 2 else second(found.weak.side) or "second layer",
        leaf="" if len(gaps) < 2 else _leaf(found),
        side=found.weak.side.name,
    )


def _panes(found: PanelsAnswer) -> Iterator[tuple[float, Shell]]:
    """No second pane, then that of the room's option (or a usual one) at each distance."""
    yield 0.0, found.shell
    changed = _with_pane(found)
    if changed is None:
        return
    *before, cavity, pane = changed.construction.layers
    assert isinstance(cavity, Cavity)
    for gap in sorted({*GAPS, cavity.depth}):
        fill = min(cavity.fill_depth, gap) if cavity.fill else cavity.fill_depth
        layers = (*before, replace(cavity, depth=gap, fill_depth=fill), pane)
        moved = replace(changed.construction, layers=layers, measured=None)
        yield gap, found.shell.replaced(found.shell.find(replace(changed, construction=moved)))


def _with_pane(found: PanelsAnswer) -> Side | None:
    """The weak side with its second pane; None where it can have none of which the distance is known."""
    changed = with_second(found.room, found.weak.side)
    layers = changed.construction.layers if changed else ()
    return changed if len(layers) > 2 and isinstance(layers[-2], Cavity) else None


def _leaf(found: PanelsAnswer) -> str:
    changed = _with_pane(found)
    return words.layer(changed.construction.layers[-1]) if changed else ""


def _mass(found: PanelsAnswer, shells: tuple[Shell, ...]) -> float:
    def of(one: Shell) -> float:
        name = found.weak.side.name
        return next(side.surface_mass * side.side.area for side in one.sides if side.side.name == name)

    return of(shells[-1]) - of(shells[0])


def _counts(found: PanelsAnswer) -> tuple[int, ...]:
    """None, what the answer is about, and even steps up to what the walls take."""
    most = found.plan.fit
    steps = {round(most * k / STEPS) for k in range(1, STEPS + 1)} - {0}
    near = min(steps, key=lambda n: abs(n - found.plan.count))
    return (0, *sorted(steps - {near} | {found.plan.count}))


def _drop(found: PanelsAnswer, count: int) -> Array:
    """What so many panels take off every level in the room [dB] (27,)."""
    if count == 0:
        return np.zeros(27)
    added = panels.hung(replace(found.plan, count=count))[1]
    return treatment.level_drop(found.shell.absorption, found.shell.absorption + added)
