"""Fresh air, told: how much, what brings it, and the smallest ducts that stay unheard."""

from __future__ import annotations

from isolate.answers.air import AirAnswer
from isolate.physics import air_noise
from isolate.remedies.ducts import BELOW_DB, MORE_DB, Judged
from isolate.room.air import AirWay
from isolate.show import bills, said
from isolate.show.document import (
    Block,
    Cell,
    Document,
    Figure,
    Heading,
    Next,
    Paragraph,
    Table,
    decibels,
    minutes,
    notes,
)


def document(answer: AirAnswer) -> Document:
    """How much air, what it lets through, how loud it is, and the smallest system."""
    return Document(
        title=f"{answer.room.title}: fresh air",
        about=f"{_people(answer)} in {answer.room.volume:.0f} m3, background wanted {_target(answer)}",
        first=[*_needed(answer), *_system(answer), *_next_smaller(answer)],
        full=[
            *_tried(answer), *_openings(answer), *_through(answer), *_noise(answer), *_bill(answer),
            *notes(answer.notes),
        ],
        cautions=answer.cautions,
        more="every opening, what takes the ducts, their noise by octave, the bill",
        next=[Next("See what it looks like", said.command("air", answer.room, "--plot air.png"))],
    )  # fmt: skip


def _people(answer: AirAnswer) -> str:
    return "one person" if answer.people == 1 else f"{answer.people:g} people"


def _target(answer: AirAnswer) -> str:
    wanted = answer.target
    if wanted.value is None:
        return "by band"
    return f"{wanted.value:g} dBA" if wanted.kind == "A" else f"{wanted.kind} {wanted.value:g}"


def _litres(flow: float) -> str:
    return f"{1e3 * flow:.0f}" if flow >= 0.01 else f"{1e3 * flow:.1f}"


def _needed(answer: AirAnswer) -> list[Block]:
    playing = answer.carbon_dioxide(flow=answer.needed, playing=True)
    served = answer.openings.still
    enough = "too little"
    if answer.openings.served >= answer.people:
        enough = "enough. Ducts are for when you close them"
    return [
        Figure(
            f"{_litres(answer.needed)} L/s",
            f"of fresh air ({3.6e3 * answer.needed:.0f} m3/h): carbon dioxide then stays at "
            f"{1e6 * playing:.0f} ppm while all play, and people warm it by {answer.warmer:.0f} °C. Shut, "
            f"the room is stale in {minutes(answer.stale_after)}, past the 5000 ppm that work places forbid "
            f"in {minutes(answer.forbidden_after)}.",
        ),
        Paragraph(f"about {_litres(served)} L/s by themselves: {enough}.", "Openings now"),
    ]


def _size(one: Judged) -> str:
    system = one.system
    boxes = {0: "no box", 1: "one box", 2: "two boxes"}[system.boxes]
    return f"{1e3 * system.diameter:.0f} mm, {system.length:g} m, {boxes}"


def _system(answer: AirAnswer) -> list[Block]:
    best = answer.best
    if best is None:
        text = (
            "none of up to 315 mm, 3 m and two boxes is quiet and tight enough: fewer people, a "
            "louder target, or ducts that somebody designs."
        )
        return [Paragraph(text, "Smallest ducts", "bad")]
    system = best.system
    box = "" if not system.boxes else (
        "; a lined box inside " + " x ".join(f"{edge:.2f}" for edge in system.box) + " m"
        + (" twice, outdoors and indoors" if system.boxes > 1 else " on the room's side")
    )  # fmt: skip
    half = _many(system.count // 2)
    built = (
        f"{_many(system.count)} round ducts through the {answer.side.name}, {half} in and {half} out, each "
        f"{1e3 * system.diameter:.0f} mm clear, {system.length:g} m long, {1e3 * system.lining:.0f} mm of "
        f"lining{box}; {system.volume:.1f} m3 of space in all."
    )
    quiet = (
        f"{decibels(best.dba)} dBA in the room, most of it {best.loudest}; "
        f"{BELOW_DB - best.over_db:.0f} dB or more under the background wanted. Air at "
        f"{system.velocity:.1f} m/s."
    )
    louder = f"at most {best.more_db:.1f} dB louder" if best.more_db >= 0.05 else "no louder"
    told = f"what is heard gets {louder}, in here or outside."
    fan = f"{system.pressure:.0f} Pa at {_litres(system.flow)} L/s with a clean filter, each."
    mass = sum(need.mass for need in system.bill)
    price = f"{said.price(answer.cost, answer.prices.currency)}; " if answer.cost else ""
    return [
        Paragraph(built, "Smallest ducts"),
        Paragraph(quiet, "How loud"),
        Paragraph(told, "Lets through"),
        Paragraph(fan, "Fan"),
        Paragraph(f"{price}{mass:.0f} kg.", "Costs"),
    ]


def _many(count: int) -> str:
    return {1: "one", 2: "two", 3: "three", 4: "four", 6: "six"}.get(count, str(count))


def _why(one: Judged) -> str:
    faults = []
    if not one.slow:
        faults.append(f"air too fast, {one.system.velocity:.1f} m/s")
    if one.over_db > 0.0:
        faults.append(f"its {one.loudest} too loud by {one.over_db:.0f} dB")
    if one.more_db > MORE_DB:
        faults.append(f"what it lets through {one.more_db:.0f} dB louder")
    return ", ".join(faults) or "more pressure than a small fan has"


def _next_smaller(answer: AirAnswer) -> list[Block]:
    """The nearest miss, so that one sees what decides."""
    if answer.best is None or not answer.failed:
        return []
    one = min(answer.failed, key=lambda one: max(one.over_db, 0.0) + max(one.more_db, 0.0))
    return [Paragraph(f"{_size(one)}: {_why(one)}.", "Not enough")]


def _tried(answer: AirAnswer) -> list[Block]:
    if not answer.failed:
        return []
    rows: list[list[str | Cell]] = [[_size(one), Cell(_why(one), "warn")] for one in answer.failed]
    return [
        Heading("Smaller or as small, and not good enough"),
        Table(["each duct", "why"], rows, "lf"),
    ]


def _openings(answer: AirAnswer) -> list[Block]:
    ways = answer.openings.ways
    if not ways:
        return [Heading("Openings"), Paragraph("Nothing in the file lets air in.")]
    rows = [[way.name, _flow(way, fan=False), _flow(way, fan=True)] for way in ways]
    return [Heading("Openings [L/s]"), Table(["", "by itself", "with a fan, 20 Pa"], rows, "frr")]


def _flow(way: AirWay, *, fan: bool) -> str:
    flow = way.fan if fan else way.still
    return "–" if flow is None else _litres(flow)


def _through(answer: AirAnswer) -> list[Block]:
    """What takes the ducts, in and out."""
    if answer.best is None or not answer.best.through:
        return []
    rows: list[list[str | Cell]] = [
        [name, decibels(was), decibels(now), "heard" if heard else "not heard"]
        for name, (was, now, heard) in answer.best.through.items()
    ]
    return [Heading("What takes the ducts, in and out [dBA]"), Table(["", "shut", "ducts", ""], rows, "frrl")]


def _bill(answer: AirAnswer) -> list[Block]:
    best = answer.best
    return [] if best is None else list(bills.lines("The bill", best.system.bill, answer.prices))


def _noise(answer: AirAnswer) -> list[Block]:
    best = answer.best
    if best is None:
        return []
    head = ["Hz", *(f"{f:g}" for f in air_noise.OCTAVES), "dBA"]
    rows = [
        [name, *(decibels(x) for x in part), decibels(float(air_noise.dba(part)))]
        for name, part in best.parts_db.items()
    ]
    rows.append(["together", *(decibels(x) for x in best.level_db), decibels(best.dba)])
    rows.append(["wanted", *(decibels(x) for x in answer.target_db), ""])
    return [Heading("Noise of the air in the room [dB] per octave"), Table(head, rows, "l" + "r" * 9)]
