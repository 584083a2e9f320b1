"""What people buy instead: each popular wrong thing as a remedy that is none, put into this very room.

Where the file's own options hold one of them, `known` says which. Sizes and weights are common practice, no
source, but for the egg boxes (0.3 kg/m2, a tray weighed in the kitchen: from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import OCTAVES, Array, octave_tl
from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Range, material
from isolate.describe.prices import Prices
from isolate.describe.rooms import Option, Side
from isolate.errors import InputError
from isolate.remedies import panels
from isolate.remedies.combined import Combined
from isolate.remedies.effect import Effect
from isolate.remedies.remedy import Cost, Remedy
from isolate.remedies.second_window.panes import is_window
from isolate.room.elements import BuiltSide, Finder
from isolate.room.envelope import Envelope, absorption
from isolate.room.scenario import Scenario

EGG_KG_M2 = 0.3
VINYL_KG_M2 = 4.9  # of the usual sheet
HEAVY = 40.0  # kg/m2 of a wall on which a sheet of vinyl is next to nothing
BOARDS_KG_M2 = 2 * 8.6  # of two plain boards, to compare with
USUAL_MONEY = 600.0  # where no budget is stated
FOAM = 0.05  # m
FILM = Leaf(
    replace(material("mass-loaded vinyl"), name="film", density=Range(1300.0, 1350.0, 1390.0)), 1e-4
)  # polyester of a tenth of a millimetre
CLOTH, CURTAIN_GAP = 0.0025, 0.1  # m of velour, and from the glass
CURTAIN_OPEN = 0.05  # of its area: folds, hem and sides where air passes
RIGID = ("wood stud",)  # thin steel gives way
_LOW = slice(0, 4)  # octaves 31.5 to 250 Hz, where a third leaf bites


@dataclass(frozen=True, eq=False)
class Popular:
    """One of them: what it does, and the `values` its reason is told with; `lost`: the octave [Hz] that its
    construction lets through better than before, and how much [dB]."""

    key: str
    effect: Effect
    values: dict[str, Any]
    lost: tuple[float, float] | None = None

    @property
    def remedy(self) -> Remedy:
        return self.effect.remedy

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        cost = self.remedy.cost
        return {
            "key": self.key, "name": self.remedy.name, "from": self.remedy.origin,
            "cost": cost.counts.typical if cost else None, "invented": self.remedy.invented,
            "gain_dba": dict(self.effect.gains), "noticed": self.effect.noticed, "values": self.values,
            "louder_octave_hz": self.lost[0] if self.lost else None,
            "louder_db": self.lost[1] if self.lost else None,
        }  # fmt: skip


def by_mass(before: float, more: float) -> float:
    """What so much more mass brings by the mass law [dB].

    >>> round(by_mass(21.6, 1.2), 1)
    0.5
    """
    return float(20.0 * np.log10((before + more) / before)) if before > 0.0 else 0.0


def popular(now: Scenario, prices: Prices, sides: Sequence[str], *, money: float) -> tuple[Popular, ...]:
    """Those of the file first, then the usual ones the room has a place for, at the `sides` that sounds come
    by."""
    facing = [one for one in now.envelope.sides if one.side.name in sides]
    yours = tuple(_yours(now, facing, prices))
    taken = {one.key for one in yours}
    usual = [one for one in _usual(now, facing, prices, money) if one[0].key not in taken]
    return (*yours, *(_told(now, remedy, values) for remedy, values in usual))


def _told(now: Scenario, remedy: Remedy, values: dict[str, Any]) -> Popular:
    then = Combined(now, [remedy]).scenario(frozenset({0}))
    return Popular(remedy.key, Effect((remedy,), now, then), values)


def _usual(
    now: Scenario, facing: Sequence[BuiltSide], prices: Prices, money: float
) -> Iterator[tuple[Remedy, dict[str, Any]]]:
    if not facing:
        return
    finder = now.envelope.finder
    foam = _foam(now, prices, money)
    if foam is not None:
        yield foam, _furniture(now)
    walls = [one for one in facing if one.side.construction.kind == "wall"]
    yield _egg_boxes(max(walls or facing, key=lambda one: one.side.area), prices)
    window = max(
        (one for one in facing if is_window(one.side)),
        key=lambda one: float(one.tau_area.sum()),
        default=None,
    )
    if window is not None:
        yield curtain(window, finder, prices), {"kg_m2": curtain_kg_m2()}
        pane = window.side.construction.layers[-1]
        assert isinstance(pane, Leaf)
        kg = words.leaf_mass(FILM), words.leaf_mass(pane)
        yield (
            film(window.side, prices),
            {"kg_m2": kg[0], "on_kg_m2": kg[1], "mass_law_db": by_mass(kg[1], kg[0])},
        )
    heavy = [one for one in facing if _heavy(one)]
    if heavy:
        yield _vinyl(max(heavy, key=lambda one: one.surface_mass * one.side.area), prices)
    for one in facing:
        filled = _filled(one.side.construction)
        if filled is not None:
            yield _insulation(one, filled, now.envelope, prices)
            return


def _cost(prices: Prices, item: str, amount: float, *, thickness: float | None = None) -> Cost | None:
    own, hired = (prices.working(by).cost(item, amount, thickness=thickness) for by in ("own", "hired"))
    if own is None or hired is None:
        return None
    return Cost(own, hired, prices.labour, prices.invents(item))


# --- each of them ---


def _foam(now: Scenario, prices: Prices, money: float) -> Remedy | None:
    """As many pieces of foam as the money buys."""
    each = _cost(prices, "foam", panels.PIECE_AREA)
    piece = each.counts.typical if each and each.counts.typical else 20.0
    try:
        plan = panels.planned(
            now, money=min(money, 900.0 * piece), price=piece, material="open-cell foam", thickness=FOAM
        )
    except InputError:
        return None  # no money for one, or no wall for it
    name = f"foam, {plan.count} panels of {1e3 * FOAM:.0f} mm on the walls"
    return replace(plan.remedy, key="foam", name=name, cost=_cost(prices, "foam", plan.area))


def _furniture(now: Scenario) -> dict[str, Any]:
    """What a bare room gains by being furnished, which soaks up sound as foam does [dB]."""
    room = now.room
    if room.furnishing != "bare" or room.reverberation_time is not None:
        return {}
    area, _ = absorption(room.size, furnishing="furnished", reverberation_time=None)
    added = np.maximum(area - now.envelope.absorption, 0.0)
    then = Combined(now, [Remedy("furnishing", "furniture", Option("furniture", ""), absorbs=added)])
    gains = Effect((), now, then.scenario(frozenset({0}))).gains
    return {"furnishing_db": max(gains.values(), default=0.0)}


def _egg_boxes(found: BuiltSide, prices: Prices) -> tuple[Remedy, dict[str, Any]]:
    side, loss = found.side, by_mass(found.surface_mass, EGG_KG_M2)
    remedy = Remedy(
        "egg boxes", f"egg boxes over the {side.name}", Option("egg boxes", side.name),
        cost=_cost(prices, "egg boxes", side.area), mass=EGG_KG_M2 * side.area, loss_db=np.full(27, loss),
        useful=False,
    )  # fmt: skip
    return remedy, {"kg_m2": EGG_KG_M2, "on_kg_m2": found.surface_mass, "mass_law_db": loss}


def curtain_kg_m2() -> float:
    """Surface mass of the curtain [kg/m2]."""
    return material("heavy curtain").density.typical * CLOTH


def curtain(found: BuiltSide, finder: Finder, prices: Prices) -> Remedy:
    """A heavy curtain before a window, drawn: open at hem and sides."""
    side, cloth = found.side, material("heavy curtain")
    gap = Cavity(CURTAIN_GAP + CLOTH, fill=cloth, fill_depth=CLOTH, framing="separate frames")
    drawn = replace(side.construction, layers=(*side.construction.layers, gap), measured=None)
    size = side.size or (side.area**0.5,) * 2
    tight = finder.through(drawn, size).tl_db - finder.through(side.construction, size).tl_db
    return Remedy(
        "curtain", f"heavy curtain before the {side.name}", Option("curtain", side.name),
        cost=_cost(prices, "heavy curtain", side.area), mass=curtain_kg_m2() * side.area,
        loss_db=panels.loose_loss(tight, open_share=CURTAIN_OPEN), covers=True, useful=False,
    )  # fmt: skip


def film(side: Side, prices: Prices) -> Remedy:
    """Film stuck on the inner pane of a window."""
    last = side.construction.layers[-1]
    assert isinstance(last, Leaf)
    layers = (*side.construction.layers[:-1], replace(last, bond="glued"), FILM)
    stuck = replace(side.construction, layers=layers, measured=None)
    name = f"film on the {side.name}"
    return Remedy(
        "film", name, Option(name, side.name, stuck), cost=_cost(prices, "window film", side.area),
        mass=words.leaf_mass(FILM) * side.area, useful=False,
    )  # fmt: skip


def _heavy(found: BuiltSide) -> bool:
    built = found.side.construction
    return built.kind in ("wall", "ceiling", "floor") and found.surface_mass >= HEAVY and bool(built.layers)


def _vinyl(found: BuiltSide, prices: Prices) -> tuple[Remedy, dict[str, Any]]:
    side, loss = found.side, by_mass(found.surface_mass, VINYL_KG_M2)
    remedy = Remedy(
        "loaded vinyl", f"loaded vinyl on the {side.name}", Option("loaded vinyl", side.name),
        cost=_cost(prices, "loaded vinyl", side.area), mass=VINYL_KG_M2 * side.area,
        loss_db=np.full(27, loss), useful=False,
    )  # fmt: skip
    boards = by_mass(found.surface_mass, BOARDS_KG_M2)
    values = {
        "kg_m2": VINYL_KG_M2, "on_kg_m2": found.surface_mass, "mass_law_db": loss, "boards_db": boards,
        "kind": side.construction.kind,
    }  # fmt: skip
    return remedy, values


def _insulation(
    found: BuiltSide, filled: Construction, envelope: Envelope, prices: Prices
) -> tuple[Remedy, dict[str, Any]]:
    """Wool into a wall whose studs tie both faces."""
    side, name = found.side, f"wool blown into the {found.side.name}"
    depth = _empty(side.construction)
    remedy = Remedy(
        "insulation", name, Option(name, side.name, filled),
        cost=_cost(prices, "wool", side.area, thickness=depth), useful=False,
    )  # fmt: skip
    then = envelope.find(remedy.on(side))
    return remedy, {"rw": then.rw - found.rw}


def _empty(construction: Construction) -> float | None:
    """Depth [m] of an empty cavity that rigid studs cross; None where there is none."""
    for layer in construction.layers:
        if isinstance(layer, Cavity) and layer.framing in RIGID and layer.fill is None:
            return layer.depth
    return None


def _filled(construction: Construction) -> Construction | None:
    """A construction with wool in its empty cavities that rigid studs cross."""
    if construction.kind not in ("wall", "ceiling") or _empty(construction) is None:
        return None
    layers = tuple(
        replace(layer, fill=material("stone wool"), fill_depth=layer.depth)
        if isinstance(layer, Cavity) and layer.framing in RIGID and layer.fill is None
        else layer
        for layer in construction.layers
    )
    return replace(construction, layers=layers, measured=None)


# --- options of the file that are one of them ---


def _yours(now: Scenario, facing: Sequence[BuiltSide], prices: Prices) -> Iterator[Popular]:
    from isolate.remedies.making import of_options

    for remedy in of_options(now.room, now.envelope, prices):
        before = next((one for one in facing if one.side.name == remedy.side), None)
        if before is None:
            continue
        changed = remedy.on(before.side)
        key = known(remedy.option, before.side, changed)
        if key is None:
            continue
        after = now.envelope.find(changed)
        lost = louder(before, after)
        if key == "third leaf" and lost is None:
            continue
        added = after.surface_mass - before.surface_mass
        values = {
            "kg_m2": added, "on_kg_m2": before.surface_mass, "rw": after.rw - before.rw,
            "mass_law_db": by_mass(before.surface_mass, added), "kind": before.side.construction.kind,
        }  # fmt: skip
        yield replace(_told(now, remedy, values), key=key, lost=lost)


def known(option: Option, old: Side, new: Side) -> str | None:
    """Which of them an option is, told from its layers, or its name where it has none."""
    before, after = old.construction.layers, new.construction.layers
    if "egg" in option.name.casefold():
        return "egg boxes"
    if option.construction is None:
        return None
    outer = [layer for layer in (after[:1] + after[-1:]) if isinstance(layer, Cavity) and layer.fill]
    fresh = [layer for layer in after if layer not in before]
    if outer:
        fill = outer[0].fill
        assert fill is not None
        return "curtain" if fill.name == "heavy curtain" else "foam"
    leaves = [layer for layer in fresh if isinstance(layer, Leaf)]
    if any(layer.material.name == "mass-loaded vinyl" and words.leaf_mass(layer) > 1.0 for layer in leaves):
        return "loaded vinyl"
    if leaves and all(words.leaf_mass(layer) < 1.0 for layer in leaves):
        return "film"
    same = len(before) == len(after) and not leaves
    if same and any(isinstance(layer, Cavity) and layer.framing in RIGID for layer in fresh):
        return "insulation"
    if _leaves(new.construction) > max(_leaves(old.construction), 2):
        return "third leaf"
    return None


def _leaves(construction: Construction) -> int:
    """Leaves with a cavity between."""
    return 1 + sum(isinstance(layer, Cavity) for layer in construction.layers[1:-1])


def louder(before: BuiltSide, after: BuiltSide) -> tuple[float, float] | None:
    """The octave below 500 Hz that lets more through than before [Hz], and how much [dB]; by the
    construction alone."""
    gains = [octave_tl(_own_tl(one)) for one in (after, before)]
    change = (gains[0] - gains[1])[_LOW]
    worst = int(change.argmin())
    return (float(OCTAVES[_LOW][worst]), float(-change[worst])) if change[worst] < -0.5 else None


def _own_tl(found: BuiltSide) -> Array:
    own = sum(one.tau_area for one in found.elements if one.kind == "construction")
    return np.asarray(-10.0 * np.log10(own / found.side.area))
