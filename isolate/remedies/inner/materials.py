"""The list of materials of a room within a room, from its geometry: amounts net of waste."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from isolate.describe import words
from isolate.describe.inner_parts import Lining, Mounts
from isolate.describe.layers import Leaf
from isolate.remedies.inner.plan import Plan

SHEET = 2.88  # m2, a board of 1.2 m x 2.4 m
WASTE = 1.1  # common practice, no source
BEAD = 8.6  # m of a bead 6 mm x 6 mm from a cartridge of 310 ml
# Common practice, no source: timber and steel [kg/m], a door's frame [kg], a hung ceiling's grid [kg/m2].
WOOD_STUD, WOOD_JOIST, STEEL_STUD, DOOR_FRAME, HUNG_GRID = 1.5, 2.5, 0.7, 12.0, 2.0
HANGER_AREA = 1.44  # m2 of ceiling a hanger holds (common practice)


@dataclass(frozen=True)
class Item:
    """One line of the list: for which part, what, how much in which unit, and its mass [kg]."""

    part: str
    name: str
    amount: float
    unit: str
    mass: float = 0.0


def items(plan: Plan) -> tuple[Item, ...]:
    """Every line but the mounts, whose number follows from the weight."""
    return (*_walls(plan), *_ceiling(plan), *_floor(plan), *_openings(plan), *_sealing(plan))


def _boards(part: str, lining: Lining, area: float) -> Iterator[Item]:
    for leaf in lining.leaves:
        name = f"{words.millimetres(leaf.thickness)} {leaf.material.name}"
        each = words.leaf_mass(leaf) / leaf.sheets
        yield Item(part, name, area * leaf.sheets, "m2", area * leaf.sheets * each)


def _wool(part: str, lining: Lining, area: float) -> Iterator[Item]:
    if lining.fill and lining.fill_depth > 0.0:
        name = f"{words.millimetres(lining.fill_depth)} {lining.fill.name}"
        mass = area * lining.fill_depth * lining.fill.density.typical
        yield Item(part, name, area, "m2", mass)


def _walls(plan: Plan) -> Iterator[Item]:
    """Studs, two at every corner more and two at every opening; one plate below, two above."""
    inner = plan.inner
    yield from _boards("walls", inner.walls, plan.wall_area)
    openings = len(plan.openings("window")) + len(plan.openings("door"))
    studs = math.ceil(plan.inner_perimeter / inner.spacing) + 8 + 2 * openings
    run = studs * plan.stud_height + 3 * plan.inner_perimeter
    wood = inner.frame == "wood stud"
    yield Item("walls", f"{inner.frame}s and plates", run, "m", run * (WOOD_STUD if wood else STEEL_STUD))
    yield from _wool("walls", inner.walls, plan.wall_area)
    if inner.sole == "strip":
        yield Item("walls", "rubber strip under the plates", plan.inner_perimeter, "m")


def _ceiling(plan: Plan) -> Iterator[Item]:
    inner, area = plan.inner, plan.floor_area
    yield from _boards("ceiling", inner.ceiling, area)
    length, width, _ = plan.inner_size
    if inner.carried == "inner walls":
        joists = math.ceil(max(length, width) / inner.spacing) + 1
        run = joists * min(length, width)
        name = "ceiling joists, wall to wall"
        yield Item("ceiling", name, run, "m", run * WOOD_JOIST)
    else:
        yield Item("ceiling", inner.carried, math.ceil(area / HANGER_AREA), "pieces", area * HUNG_GRID)
    yield from _wool("ceiling", inner.ceiling, area)


def _floor(plan: Plan) -> Iterator[Item]:
    floor, area = plan.inner.floor, plan.floor_area
    yield from _boards("floor", floor.lining, area)
    if isinstance(floor.on, Mounts):
        yield from _wool("floor", floor.lining, area)
    else:
        yield Item("floor", f"mat, {words.millimetres(floor.lining.gap)}", area, "m2")
    yield Item("floor", "strip round its edge", plan.inner_perimeter, "m")


def _glass(leaf: Leaf) -> str:
    return f"{words.millimetres(leaf.thickness)} {leaf.material.name}"


def _openings(plan: Plan) -> Iterator[Item]:
    inner = plan.inner
    for side in plan.openings("window"):
        for leaf in inner.window.pane:
            mass = side.area * words.leaf_mass(leaf)
            yield Item("windows", f"{_glass(leaf)}, {side.name}", side.area, "m2", mass)
    for side in plan.openings("door"):
        layers = [layer for layer in inner.door.construction.layers if isinstance(layer, Leaf)]
        mass = side.area * sum(words.leaf_mass(leaf) for leaf in layers) + DOOR_FRAME
        yield Item("doors", f"{inner.door.construction.name}, {side.name}", 1, "pieces", mass)


def _sealing(plan: Plan) -> Iterator[Item]:
    """A bead along both edges of every layer of walls and ceiling, and round every opening."""
    inner = plan.inner
    sheets = sum(leaf.sheets for leaf in inner.walls.leaves) + sum(
        leaf.sheets for leaf in inner.ceiling.leaves
    )
    rounds = sum(4.0 * side.area**0.5 for role in ("window", "door") for side in plan.openings(role))
    run = plan.inner_perimeter * (sheets + 1) + 2.0 * rounds
    yield Item("sealing", "soft sealant, 310 ml", math.ceil(run / BEAD), "cartridges")


def sheets(item: Item) -> int | None:
    """Boards of 1.2 m x 2.4 m to buy for an item of boards, a tenth more for waste; None for others."""
    boarded = item.unit == "m2" and any(word in item.name for word in ("board", "OSB", "plywood", "MDF"))
    return math.ceil(item.amount * WASTE / SHEET) if boarded else None
