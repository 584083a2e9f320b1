"""The bill of a room within a room, part by part, from its geometry: amounts net of waste."""

from __future__ import annotations

import math
from collections.abc import Iterator

from isolate.describe import words
from isolate.describe.inner_parts import Lining, Mounts
from isolate.describe.layers import USUAL_SPACING, Leaf
from isolate.remedies.bill import (
    BEAD,
    BOARDS,
    BOX,
    CURE,
    DOOR_FRAME,
    PANES,
    SILENCER,
    STEEL_STUD,
    WASTE,
    WOOD_STUD,
    door_leaves,
)
from isolate.remedies.inner.plan import Plan
from isolate.remedies.remedy import Need

HANGER_AREA = USUAL_SPACING["hanger"] ** 2  # m2 that one holds
SHEET = 2.88  # m2, a board of 1.2 m x 2.4 m
# Common practice, no source: timber [kg/m], a hung ceiling's grid [kg/m2].
WOOD_JOIST, HUNG_GRID = 2.5, 2.0
# What is built together: windows, doors and sealing come with the walls.
WITH_WALLS = ("windows", "doors", "sealing", "air", "electricity")
# Electric points: sockets by the walls' length [m], lights by the floor's area [m2]; a fan is one (common
# practice, no source).
SOCKET_EVERY, LIGHT_EVERY, POINT = 2.5, 6.0, 0.4  # kg each


def needs(plan: Plan) -> tuple[Need, ...]:
    """Every line but the mounts, whose number follows from the weight."""
    return (
        *_walls(plan), *_ceiling(plan), *_floor(plan), *_openings(plan), *_sealing(plan), *_air(plan),
        *_electricity(plan),
    )  # fmt: skip


def _leaf(part: str, leaf: Leaf, area: float, *, where: str = "") -> Need:
    """One leaf over an area [m2], all its sheets."""
    name = leaf.material.name
    known = name in BOARDS or name in PANES
    each = words.leaf_mass(leaf) / leaf.sheets
    amount = area * leaf.sheets
    told = f"{words.millimetres(leaf.thickness)} {name}{where}"
    return Need(name if known else "", told, amount, "m2", amount * each, leaf.thickness, part)


def _boards(part: str, lining: Lining, area: float) -> Iterator[Need]:
    for leaf in lining.leaves:
        yield _leaf(part, leaf, area)
    if part != "floor" and any(leaf.material.name in BOARDS for leaf in lining.leaves):
        yield Need("finish", "filler, tape and paint", area, "m2", part=part)


def _wool(part: str, lining: Lining, area: float) -> Iterator[Need]:
    if lining.fill and lining.fill_depth > 0.0:
        name = f"{words.millimetres(lining.fill_depth)} {lining.fill.name}"
        mass = area * lining.fill_depth * lining.fill.density.typical
        yield Need("wool", name, area, "m2", mass, lining.fill_depth, part)


def _walls(plan: Plan) -> Iterator[Need]:
    """Studs, two at every corner more and two at every opening; one plate below, two above."""
    inner = plan.inner
    yield from _boards("walls", inner.walls, plan.wall_area)
    openings = len(plan.openings("window")) + len(plan.openings("door"))
    studs = math.ceil(plan.inner_perimeter / inner.spacing) + 8 + 2 * openings
    run = studs * plan.stud_height + 3 * plan.inner_perimeter
    mass = run * (WOOD_STUD if inner.frame == "wood stud" else STEEL_STUD)
    yield Need(inner.frame, f"{inner.frame}s and plates", run, "m", mass, part="walls")
    yield from _wool("walls", inner.walls, plan.wall_area)
    if inner.sole == "strip":
        name = "rubber strip under the plates"
        yield Need("edge strip", name, plan.inner_perimeter, "m", part="walls")


def _ceiling(plan: Plan) -> Iterator[Need]:
    inner, area = plan.inner, plan.floor_area
    yield from _boards("ceiling", inner.ceiling, area)
    length, width, _ = plan.inner_size
    if inner.carried == "inner walls":
        joists = math.ceil(max(length, width) / inner.spacing) + 1
        run = joists * min(length, width)
        name = "ceiling joists, wall to wall"
        yield Need("wood stud", name, run, "m", run * WOOD_JOIST, part="ceiling")
    else:
        count = math.ceil(area / HANGER_AREA)
        yield Need("hanger", inner.carried, count, "pieces", area * HUNG_GRID, part="ceiling")
    yield from _wool("ceiling", inner.ceiling, area)


def _floor(plan: Plan) -> Iterator[Need]:
    floor, area = plan.inner.floor, plan.floor_area
    yield from _boards("floor", floor.lining, area)
    if isinstance(floor.on, Mounts):
        yield from _wool("floor", floor.lining, area)
    else:
        depth = floor.lining.gap
        yield Need("wool", f"mat, {words.millimetres(depth)}", area, "m2", thickness=depth, part="floor")
    yield Need("edge strip", "strip round its edge", plan.inner_perimeter, "m", part="floor")


def mounts(count: int, rating: float) -> Need:
    """The mounts under the floor."""
    return Need("mount", f"mounts for {rating:.3g} kg each", count, "pieces", part="floor")


def _openings(plan: Plan) -> Iterator[Need]:
    inner = plan.inner
    for side in plan.openings("window"):
        for leaf in inner.window.pane:
            yield _leaf("windows", leaf, side.area, where=f", {side.name}")
        around = 2.0 * sum(side.size or (side.area**0.5,) * 2)
        yield Need("second frame", f"frame of the inner window, {side.name}", around, "m", part="windows")
    for side in plan.openings("door"):
        leaves = [layer for layer in inner.door.construction.layers if isinstance(layer, Leaf)]
        mass = side.area * sum(words.leaf_mass(leaf) for leaf in leaves)
        name = f"{inner.door.construction.name}, {side.name}"
        count = door_leaves(side)
        yield Need("solid door", name, count, "pieces", mass, part="doors")
        frame = f"door frame, {side.name}"
        yield Need("door frame", frame, count, "pieces", count * DOOR_FRAME, part="doors")


def _sealing(plan: Plan) -> Iterator[Need]:
    """A bead along both edges of every layer of walls and ceiling, and round every opening."""
    inner = plan.inner
    layers = sum(leaf.sheets for lining in (inner.walls, inner.ceiling) for leaf in lining.leaves)
    rounds = sum(4.0 * side.area**0.5 for role in ("window", "door") for side in plan.openings(role))
    run = plan.inner_perimeter * (layers + 1) + 2.0 * rounds
    count = math.ceil(run / BEAD)
    yield Need(CURE, "soft sealant, 310 ml", count, "cartridges", part="sealing")


def _air(plan: Plan) -> Iterator[Need]:
    """Ducts made for it, or what the file puts on its vents in the inner shell."""
    if plan.ducts is not None:
        yield from plan.ducts.system.bill
    for _, vent in plan.inner.vents:
        if vent.lining and vent.area:
            width, run = 2.0 * math.sqrt(vent.area / math.pi), vent.count * vent.length
            name = f"lined duct, {words.millimetres(width)} clear"
            yield Need("lined duct", name, run, "m", thickness=width, part="air")
        boxes = vent.count * vent.box.count if vent.box else 0
        if boxes:
            yield Need("lined box", f"lined box in the {vent.name}", boxes, "piece", BOX * boxes, part="air")
        if vent.insertion_db is not None:
            name = f"silencer in the {vent.name}"
            yield Need("silencer", name, vent.count, "piece", SILENCER * vent.count, part="air")


def _electricity(plan: Plan) -> Iterator[Need]:
    points = math.ceil(plan.inner_perimeter / SOCKET_EVERY) + math.ceil(plan.floor_area / LIGHT_EVERY)
    points += plan.ducts.system.count if plan.ducts else 0
    name = "sockets, lights and fans, on the surface"
    yield Need("electric point", name, points, "piece", POINT * points, part="electricity")


def sheets(need: Need) -> int | None:
    """Boards of 1.2 m x 2.4 m to buy for boards, a tenth more for waste; None for anything else."""
    return math.ceil(need.amount * WASTE / SHEET) if need.item in BOARDS else None
