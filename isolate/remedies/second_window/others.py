"""What else one may think of at a window: seals, removable panes, a plug; film and curtain, for nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.describe import words
from isolate.describe.gaps import round_window
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.describe.prices import Prices
from isolate.describe.rooms import Option
from isolate.remedies import popular
from isolate.remedies.bill import bill, price
from isolate.remedies.combined import Combined
from isolate.remedies.effect import Effect
from isolate.remedies.remedy import Remedy
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.panes import pane_name
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import leak_of_seal
from isolate.standards.weighting import dba

REMOVABLE_SEAL = "draught-stripped"  # of what is pressed, clipped or magnets hold
# Acrylic that comes off again (common practice, no source): thickness [m], framing, and the distance [m] of
# what sits on the old frame; None: as deep in the reveal as there is room.
REMOVABLE: tuple[tuple[float, str, float | None], ...] = (
    (3e-3, "shared frame", 0.03), (6e-3, "separate frames", None),
)  # fmt: skip
PLUG_BOARD, PLUG_WOOL = 0.018, 0.05  # [m] of MDF and of the board of glass fibre on it
SHRUNK = 0.02  # [m] of a film over the frame from the glass


@dataclass(frozen=True, eq=False)
class Other:
    """One other thing at the window. `about` says how; `dark`: it takes the daylight."""

    effect: Effect
    about: str
    dark: bool = False

    @property
    def key(self) -> str:
        return self.effect.remedy.key

    @property
    def name(self) -> str:
        return self.effect.remedy.name

    def to_dict(self, names: Sequence[str]) -> dict[str, Any]:
        """Plain data, of the noises of these names."""
        then = [self.effect.after.sound(name) for name in names]
        noises = [
            {"name": one.name, "gain_dba": self.effect.gains[one.name], "inside_dba": one.dba,
             "verdict": one.verdict}
            for one in then
        ]  # fmt: skip
        cost = self.effect.cost
        return {
            "key": self.key, "name": self.name, "about": self.about, "mass_kg": self.effect.mass,
            "cost": cost.counts.typical if cost else None, "dark": self.dark, "noises": noises,
        }  # fmt: skip


def others(setting: Setting, asked: Asked, prices: Prices, *, depth: float) -> tuple[Other, ...]:
    """All of them, up to `depth` [m] from the old window."""
    found = [*_strips(setting, prices), *_removable(setting, prices, depth)]
    if not asked.light:
        found.append(_plug(setting, prices, depth))
    found += _nothing(setting, prices)
    combined = Combined(setting.now, [remedy for remedy, _, _ in found])
    return tuple(
        Other(Effect((remedy,), setting.now, combined.scenario(frozenset({i}))), about, dark)
        for i, (remedy, about, dark) in enumerate(found)
    )


_Tried = tuple[Remedy, str, bool]


def leaking(tau: Array) -> float:
    """How leaky something is: its tau as a level [dBA], of noise with the same energy in every third."""
    with np.errstate(divide="ignore"):
        return float(dba(10.0 * np.log10(tau)))


def _strips(setting: Setting, prices: Prices) -> Iterator[_Tried]:
    """The old sash with draught strips, where it leaks more than they do."""
    if leaking(setting.leaks()) <= leaking(leak_of_seal(setting, "draught-stripped")) + 0.1:
        return
    strips = round_window("draught-stripped", setting.size)
    option = Option("draught strips on the old sash", setting.side.name, gaps=(strips,))
    yield _remedy(setting, "strips", option, prices), "self-adhesive, all round", False


def _remedy(setting: Setting, key: str, option: Option, prices: Prices, *, mass: float = 0.0) -> Remedy:
    needs = bill(setting.side, option.on(setting.side))
    return Remedy(key, option.name, option, cost=price(needs, prices), mass=mass, bill=needs)


def _behind(setting: Setting, name: str, gap: Cavity, leaf: Leaf, *, seal: str = REMOVABLE_SEAL) -> Option:
    """A leaf behind the window in a frame of its own, its joint in this state."""
    window = setting.side.construction
    layers = (*window.layers, gap, leaf)
    built = replace(window, name=f"{window.name}, {name}", layers=layers, measured=None)
    return Option(name, setting.side.name, built, inner_gaps=(round_window(seal, setting.size),))


def _removable(setting: Setting, prices: Prices, depth: float) -> Iterator[_Tried]:
    """Acrylic on magnets on the old frame, and in a frame pressed into the reveal."""
    for thickness, framing, near in REMOVABLE:
        pane, gap = Leaf(material("acrylic"), thickness), depth if near is None else min(near, depth)
        where = "on magnets on the frame" if near else "pressed into the reveal"
        option = _behind(setting, f"{pane_name(pane)} {where}", Cavity(gap, framing=framing), pane)
        mass = words.leaf_mass(pane) * setting.side.area
        about = f"{words.millimetres(gap)} behind, {REMOVABLE_SEAL}"
        yield _remedy(setting, "removable", option, prices, mass=mass), about, False


def _plug(setting: Setting, prices: Prices, depth: float) -> _Tried:
    """A board with glass fibre on it, pressed into the reveal."""
    board, wool = Leaf(material("MDF"), PLUG_BOARD), material("glass-fibre board")
    fill = min(PLUG_WOOL, depth)
    gap = Cavity(depth, fill=wool, fill_depth=fill, framing="separate frames")
    option = _behind(setting, f"plug, {words.millimetres(PLUG_BOARD)} MDF with glass fibre", gap, board)
    per_area = words.leaf_mass(board) + wool.density.typical * fill
    about = f"{words.millimetres(depth)} behind, {REMOVABLE_SEAL}; no daylight"
    return _remedy(setting, "plug", option, prices, mass=per_area * setting.side.area), about, True


def _nothing(setting: Setting, prices: Prices) -> Iterator[_Tried]:
    """What is sold against noise and keeps none out, each at its best."""
    stuck = popular.film(setting.side, prices)
    yield replace(stuck, key="stuck film", name="film stuck on the glass"), "polyester, 0.1 mm", False
    gap = Cavity(SHRUNK, framing="separate frames")
    option = _behind(setting, "shrink film over the frame", gap, popular.FILM, seal="sealed")
    shrunk = Remedy("shrink film", option.name, option, cost=stuck.cost, mass=stuck.mass, useful=False)
    yield shrunk, f"polyester, 0.1 mm, taped airtight, {words.millimetres(SHRUNK)} behind", False
    drawn = popular.curtain(setting.built, setting.now.envelope.finder, prices)
    about = f"{popular.curtain_kg_m2():.1f} kg/m2, open at hem and sides"
    yield replace(drawn, name="heavy curtain, drawn"), about, False
