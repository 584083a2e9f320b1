"""The plan of a room within a room to hand over: bill, sizes, joints that must not touch, work by day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from isolate.answers.inner_room.answer import InnerRoomAnswer
from isolate.describe.inner_parts import Mounts
from isolate.describe.layers import Leaf
from isolate.remedies.inner.building import Joint, Step
from isolate.show import bills
from isolate.show.document import Block, Heading, Items, Paragraph, Table

ORDER = ("walls", "sealing", "ceiling", "floor", "windows", "doors", "air", "electricity")
_JOINTS: Mapping[str, str] = {
    "mounts": "floor, below: {mm} mm clear of the old floor on its mounts; swept clean, no screw longer than "
    "the deck of {deck} mm",
    "mat": "floor, below: on its mat of {mm} mm without a gap; swept clean, no screw longer than the deck of "
    "{deck} mm",
    "floor edge": "floor, edge: soft strip of {mm} mm all round; cut it flush, nothing rigid over it",
    "sole on floor": "walls, foot: plates on the floated floor only, no bolt through it",
    "sole on house": "walls, foot: plates on a rubber strip, bolts in rubber sleeves",
    "studs": "walls: studs {mm} mm clear of the old wall, wool alone in between; no tie, no dropped mortar",
    "joists": "ceiling: joists {mm} mm clear of the old ceiling, from inner wall to inner wall",
    "hangers": "ceiling: hung by its hangers only, {mm} mm below the old one",
    "heads": "walls, head: {mm} mm short of all that is old; where braced, elastic braces",
    "boards": "boards: {mm} mm short of floor and corners, that joint filled with soft sealant in each layer",
    "window": "window: the inner frame in the inner wall, {mm} mm clear of the old reveal; cloth alone over "
    "the gap",
    "door": "door: two frames, {mm} mm apart all round, each with its own threshold and seals",
    "ducts": "ducts: a hole {mm} mm wider in each shell, packed with wool, soft sealant at both faces; a "
    "soft sleeve between the shells",
    "cables": "cables: a loose loop between the shells, no conduit across; the holes in putty",
    "pipes": "pipes and radiators: {mm} mm of foam where they pass, clipped to the old house alone",
}
_STEPS: Mapping[str, tuple[str, str, str]] = {  # to do, to check before it is hidden, to measure after
    "before": (
        "Have the floor's load, old materials and the permit cleared. Empty the room, seal cracks, sockets, "
        "old window and door.",
        "Nothing old is loose or rattles; photographs of cables and pipes.",
        "isolate measure through window, door and to the neighbour, by day and by night: this is the start.",
    ),
    "floor": (
        "{on}, edge strip, boards crosswise, joints staggered.",
        "It gives under a jump all over, alike; a sheet of paper goes round the edge.",
        "",
    ),
    "frames": (
        "Inner walls, then the ceiling on them; openings framed; braces as the engineer says.",
        "A lamp behind every stud: light all the way. Knock on the old wall: the frame is silent.",
        "",
    ),
    "services": (
        "Holes drilled, ducts and boxes hung on one shell each, sleeves, cables in loops.",
        "No pipe, duct or cable is taut between the shells; fire-stops as listed.",
        "",
    ),
    "boards": (
        "Wool in, first boards, every edge sealed, second boards over other joints, sealed again.",
        "After the first layer: screws hold in studs only, a lamp outside shows no light, no socket cut in.",
        "isolate measure again, the openings stuffed with wool: what walls and ceiling bring.",
    ),
    "openings": (
        "Inner window, inner door with its seals.",
        "Paper is held all round each seal; both doors open from inside without a key.",
        "isolate measure again: within 3 dB of what is told here, or look for what touches.",
    ),
    "finish": (
        "Filler, tape, paint. Fans, filters, grilles, sockets, lights, an alarm that is heard inside.",
        "Fans at their speed: the flow at the grille is what is told, smoke goes where it should.",
        "Night, fans on, nobody in it: isolate survey against the background wanted. Then carbon dioxide "
        "after an hour of two playing.",
    ),
}


def blocks(answer: InnerRoomAnswer) -> Iterator[Block]:
    """All that a builder prices and does."""
    yield from bill(answer)
    yield from _sizes(answer)
    yield from _joints(answer)
    yield from _days(answer)


def bill(answer: InnerRoomAnswer) -> Iterator[Block]:
    """By part, then line by line."""
    prices = answer.prices
    yield from bills.by_part("What it costs, weighs and takes", answer.parts, answer.whole.cost, prices)
    if any(one.cost is not None and one.cost.invented for one in answer.parts):
        text = "invented: no shop stands behind it. isolate fixes --write-prices FILE, then --prices FILE."
        yield Paragraph(text, "*")
    needs = sorted(answer.load.bill, key=lambda one: ORDER.index(one.part))
    title = "What to buy, from the geometry (boards of 1.2 x 2.4 m, a tenth for waste)"
    yield from bills.lines(title, needs, prices)


def _sizes(answer: InnerRoomAnswer) -> Iterator[Block]:
    """The measures a builder asks for, in millimetres."""
    plan, inner = answer.plan, answer.inner

    def row(name: str, gap: float, fill: float, depth: float, leaves: tuple[Leaf, ...]) -> list[str]:
        boards = " + ".join(f"{one.sheets} x {1e3 * one.thickness:g} {one.material.name}" for one in leaves)
        return [name, f"{1e3 * gap:.0f}", f"{1e3 * fill:.0f}", boards, f"{1e3 * depth:.0f}"]

    floor = inner.floor.lining
    yield Heading("Sizes in mm, from the old surface inwards")
    yield Table(
        ["", "gap", "wool in it", "boards", "in all"],
        [
            row(name, one.gap, one.fill_depth, one.depth, one.leaves)
            for name, one in (("walls", inner.walls), ("ceiling", inner.ceiling), ("floor", floor))
        ],
        "lrrfr",
    )
    length, width, height = (1e3 * edge for edge in plan.inner_size)
    told = [
        f"Inside {length:.0f} x {width:.0f} x {height:.0f} mm of "
        + " x ".join(f"{1e3 * edge:.0f}" for edge in answer.room.size) + " mm now.",
        f"{'Wood' if inner.frame == 'wood stud' else 'Steel'} studs and joists every "
        f"{1e3 * inner.spacing:.0f} mm.",
    ]  # fmt: skip
    if answer.load.mounts and isinstance(inner.floor.on, Mounts):
        apart = 1e3 * (plan.floor_area / answer.load.mounts) ** 0.5
        told.append(
            f"{answer.load.mounts} mounts of {inner.floor.on.rating:.0f} kg, {apart:.0f} mm apart on average."
        )
    for side in (*plan.openings("window"), *plan.openings("door")):
        size = " x ".join(f"{1e3 * edge:.0f}" for edge in side.extent)
        told.append(f"{side.name}: {size} mm in both shells.")
    if plan.ducts is not None:
        one = plan.ducts.system
        box = " x ".join(f"{1e3 * edge:.0f}" for edge in one.box)
        boxes = f", {one.boxes} lined box{'es' * (one.boxes > 1)} each, inside {box} mm" if one.boxes else ""
        told.append(
            f"{one.count} ducts through the {plan.ducts.side}, {1e3 * one.diameter:.0f} mm clear, "
            f"{1e3 * one.lining:.0f} mm lining, {one.length:g} m{boxes}; each fan {1e3 * one.flow:.0f} L/s "
            f"against {one.pressure:.0f} Pa."
        )
    yield Items(told)


def _joints(answer: InnerRoomAnswer) -> Iterator[Block]:
    yield Heading("Joints that must not touch")
    yield Items([_joint(answer, one) for one in answer.joints])


def _joint(answer: InnerRoomAnswer, one: Joint) -> str:
    deck = answer.inner.floor.lining.depth - answer.inner.floor.lining.gap
    return f"{_JOINTS[one.key].format(mm=f'{1e3 * one.clear:.0f}', deck=f'{1e3 * deck:.0f}')}."


def _days(answer: InnerRoomAnswer) -> Iterator[Block]:
    yield Heading("By day, for two who take care")
    for one in answer.steps:
        yield Paragraph(_step(answer, one), _when(one))


def _step(answer: InnerRoomAnswer, one: Step) -> str:
    do, check, measure = _STEPS[one.key]
    on = "Mounts set out, wool between them" if isinstance(answer.inner.floor.on, Mounts) else "The mat"
    return " ".join(
        part for part in (do.format(on=on), f"Check: {check}", measure and f"Measure: {measure}") if part
    )


def _when(one: Step) -> str:
    return f"Day {one.first}" if one.first == one.last else f"Days {one.first}-{one.last}"
