"""What else one may think of at a window: seals, removable panes, a plug; film and curtain, for nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.describe import words
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import Range, material
from isolate.physics import second_window
from isolate.remedies import contrast as states
from isolate.remedies.cautions.facts import Change
from isolate.remedies.second_window.asked import Asked, round_sash
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import Sweep, leak_of_seal, pane_name, past_seals, side_with
from isolate.room.elements import SideFound
from isolate.room.envelope import Heard
from isolate.standards.weighting import dba

REMOVABLE_SEAL = "draught-stripped"  # of what is pressed, clipped or magnets hold
# Acrylic that comes off again (common practice, no source): thickness [m], framing, and the distance [m] of
# what sits on the old frame; None: as deep in the reveal as there is room.
REMOVABLE: tuple[tuple[float, str, float | None], ...] = (
    (3e-3, "shared frame", 0.03), (6e-3, "separate frames", None),
)  # fmt: skip
PLUG_BOARD, PLUG_WOOL = 0.018, 0.05  # [m] of MDF and of the board of glass fibre on it
FILM = Leaf(
    replace(material("mass-loaded vinyl"), name="film", density=Range(1300.0, 1350.0, 1390.0)), 1e-4
)  # polyester of a tenth of a millimetre
CLOTH, CURTAIN_GAP = 0.0025, 0.1  # [m] of velour, and from the glass
CURTAIN_OPEN = 0.05  # of its area: folds, hem and sides where air passes (common practice, no source)


@dataclass(frozen=True, eq=False)
class Tried:
    """One other thing at the window. key: "strips" | "removable" | "plug" | "stuck film" | "shrink film" |
    "curtain"; `about` says how; `heard` the noises with it, `gains_dba` how much softer each is; `mass` [kg];
    `dark`: takes the daylight; `fixed`: needs glue or screws; `new` what is there then, if that is built."""

    key: str
    name: str
    about: str
    heard: tuple[Heard, ...]
    gains_dba: tuple[float, ...]
    mass: float
    dark: bool = False
    new: Construction | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        noises = [
            {"name": one.name, "gain_dba": gain, "inside_dba": one.inside_dba, "verdict": one.verdict}
            for one, gain in zip(self.heard, self.gains_dba, strict=True)
        ]
        return {"key": self.key, "name": self.name, "about": self.about, "mass_kg": self.mass,
                "dark": self.dark, "noises": noises}  # fmt: skip

    def change(self, old: Construction, area: float) -> Change | None:
        """For the cautions; None where nothing is built."""
        if self.new is None:
            return None
        return Change(self.name, self.new, old, added=self.mass / area, area=area, gaps=())


def tried(sweep: Sweep, asked: Asked, *, depth: float) -> tuple[Tried, ...]:
    """All of them, up to `depth` [m] from the old window."""
    setting = sweep.setting
    found = [_strips(setting), *_clipped(sweep, depth), *([] if asked.light else [_plug(sweep, depth)])]
    return (*(one for one in found if one is not None), *_nothing(setting))


def _told(
    setting: Setting, key: str, name: str, about: str, side: SideFound, mass: float, **rest: Any
) -> Tried:
    heard = setting.hear(side)
    gains = tuple(old.inside_dba - new.inside_dba for old, new in zip(setting.heard, heard, strict=True))
    return Tried(key, name, about, heard, gains, mass, **rest)


def _strips(setting: Setting) -> Tried | None:
    """The old sash with draught strips, where it leaks more than they do."""
    strips = round_sash("draught-stripped", setting.size)
    if leaking(setting.leaks()) <= leaking(leak_of_seal(setting, "draught-stripped")) + 0.1:
        return None
    side = setting.shell.finder.side(replace(setting.side, gaps=(strips,), opened=None))
    return _told(setting, "strips", "draught strips on the old sash", "self-adhesive, all round", side, 0.0)


def leaking(tau: Array) -> float:
    """How leaky something is: its tau as a level [dBA], of noise with the same energy in every third."""
    with np.errstate(divide="ignore"):
        return float(dba(10.0 * np.log10(tau)))


def _clipped(sweep: Sweep, depth: float) -> Iterator[Tried]:
    """Acrylic on magnets on the old frame, and in a frame pressed into the reveal."""
    setting = sweep.setting
    for thickness, framing, near in REMOVABLE:
        pane, gap = Leaf(material("acrylic"), thickness), depth if near is None else min(near, depth)
        new, side = _behind(setting, (pane,), depth=gap, framing=framing)
        where = "on magnets on the frame" if near else "pressed into the reveal"
        about = f"{words.millimetres(gap)} behind, {REMOVABLE_SEAL}"
        mass = words.leaf_mass(pane) * setting.side.area
        yield _told(setting, "removable", f"{pane_name(pane)} {where}", about, side, mass, new=new)


def _plug(sweep: Sweep, depth: float) -> Tried:
    """A board with glass fibre on it, pressed into the reveal."""
    setting = sweep.setting
    board = Leaf(material("MDF"), PLUG_BOARD)
    wool = material("glass-fibre board")
    fill = min(PLUG_WOOL, depth)
    new, side = _behind(setting, (board,), depth=depth, fill=fill)
    per_area = words.leaf_mass(board) + wool.density.typical * fill
    about = f"{words.millimetres(depth)} behind, {REMOVABLE_SEAL}; no daylight"
    name = f"plug, {words.millimetres(PLUG_BOARD)} MDF with glass fibre"
    return _told(setting, "plug", name, about, side, per_area * setting.side.area, dark=True, new=new)


def _behind(
    setting: Setting,
    leaves: Sequence[Leaf],
    *,
    depth: float,
    fill: float = 0.0,
    seal: str = REMOVABLE_SEAL,
    framing: str = "separate frames",
) -> tuple[Construction, SideFound]:
    """The window with these leaves in contact behind it, its seal in this state."""
    window, size = setting.side.construction, setting.size
    wool = material("glass-fibre board") if fill else None
    gap = Cavity(depth, fill=wool, fill_depth=fill, framing=framing)
    new = replace(window, layers=(*window.layers, gap, *leaves), measured=None)
    apart = replace(new, layers=(*window.layers, replace(gap, framing="separate frames"), *leaves))
    leak = past_seals(setting, second_window.of(apart, size=size), seal=leak_of_seal(setting, seal))
    panes = second_window.of(new, size=size).through
    return new, side_with(setting, new, panes, leak, np.full_like(leak, 2.0))


def _nothing(setting: Setting) -> Iterator[Tried]:
    """What is sold against noise and keeps none out, each at its best."""
    side, size = setting.side, setting.size
    last = side.construction.layers[-1]
    assert isinstance(last, Leaf)
    stuck = replace(
        side.construction, layers=(*side.construction.layers[:-1], replace(last, bond="glued"), FILM)
    )
    film = words.leaf_mass(FILM) * side.area
    yield _told(
        setting, "stuck film", "film stuck on the glass", "polyester, 0.1 mm", _instead(setting, stuck), film
    )
    _, shrunk = _behind(setting, (FILM,), depth=0.02, seal="sealed")
    about = "polyester, 0.1 mm, taped airtight, 20 mm behind"
    yield _told(setting, "shrink film", "shrink film over the frame", about, shrunk, film)
    curtain = material("heavy curtain")
    gap = Cavity(CURTAIN_GAP + CLOTH, fill=curtain, fill_depth=CLOTH, framing="separate frames")
    drawn = replace(side.construction, layers=(*side.construction.layers, gap), measured=None)
    through = setting.shell.finder.through
    tight = through(drawn, size).tl_db - through(side.construction, size).tl_db
    loss = states.loose_loss(tight, open_share=CURTAIN_OPEN)
    mass = curtain.density.typical * CLOTH * side.area
    about = f"{mass / side.area:.1f} kg/m2, open at hem and sides"
    yield _told(setting, "curtain", "heavy curtain, drawn", about, setting.now.weakened(loss), mass)


def _instead(setting: Setting, construction: Construction) -> SideFound:
    """The side with another construction; its gaps stay."""
    return setting.shell.finder.side(replace(setting.side, construction=replace(construction, measured=None)))
