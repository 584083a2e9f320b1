"""The takes of a room, told: what is heard in the pauses, how likely, what to find out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from isolate.answers.take.answer import TakeAnswer
from isolate.answers.take.parts import NoiseInTake, TakeFound
from isolate.bands import Array
from isolate.describe.words import listed
from isolate.room import audibility
from isolate.room.takes import GONE, HISS, PAUSES, SPOILS
from isolate.show import said
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
    percent,
)
from isolate.standards import criteria
from isolate.standards.weighting import dba

INKS = {GONE: "good", HISS: "good", PAUSES: "warn", SPOILS: "bad"}
_MAYBE = "maybe"
_LABELS = {
    SPOILS: "Spoils the take",
    PAUSES: "In the pauses",
    _MAYBE: "Maybe heard",
    HISS: "Under the hiss",
    GONE: "Gone",
}
_MEANING = (
    "Gone: the room or the ear hides it. Under the hiss: only the microphone's own noise does. In the "
    "pauses: heard while nothing is played, hidden by the softest passages. Spoils the take: heard through "
    "those, or 10 dB and more above what hides it in a pause."
)
_LIKELY_CLEAN = 0.9  # chance of a clean take from which nothing needs to be done


def document(answer: TakeAnswer) -> Document:
    """One take whole, or several in a table; noises one by one and the microphone's floor with --full."""
    several = len(answer.takes) > 1
    first: list[Block] = [_table(answer)] if several else list(_take(answer, answer.takes[0]))
    worst = min(answer.takes, key=lambda take: take.chance_clean)
    if several:
        first += [
            Heading(f"The one most in danger: {worst.name}"),
            *_verdicts(worst),
            *_cure(answer, worst),
            *said.find_out(worst.first),
        ]
    full: list[Block] = []
    for take in answer.takes:
        if several:
            full += [Heading(f"{take.name}: {played(take)}"), *_take(answer, take)]
        full += [*said.how_to_find_out(take.first, take.luck), *_noises(take), *_floor(take)]
    drawn = f"Chances and ranges are from {answer.draws} draws, seed {answer.seed}."
    return Document(
        title=answer.room.title,
        about=f"{len(answer.takes)} takes" if several else f"{worst.name}: {played(worst)}",
        first=first,
        full=[*full, Heading("What the words mean"), Paragraph(_MEANING), *notes([*answer.notes, drawn])],
        cautions=answer.cautions,
        next=[_next(answer, worst)],
        more="each noise, and what is there without them",
    )


def _next(answer: TakeAnswer, worst: TakeFound) -> Next:
    if worst.chance_clean >= _LIKELY_CLEAN:
        hear = said.command("listen", answer.room, "--out sounds")
        return Next("Record; then hear what would be left of it", hear)
    return Next("See what to change first", said.command("fixes", answer.room))


def played(take: TakeFound) -> str:
    """What is played, when, over which background, by which microphone."""
    stated = take.take
    loud = decibels(take.at.played_dba)
    soft = decibels(take.at.played_dba - stated.softest_db)
    what = "" if stated.own.name == take.name else f"{stated.own.name} "
    text = f"{what}{loud} dBA at the microphone, softest {soft}; {minutes(stated.length)}"
    text += f", {stated.hours}" if stated.hours else ""
    text += f", background {take.when}"
    return text + (f", compressed by {stated.reduction_db:g} dB" if stated.reduction_db else "")


def _table(answer: TakeAnswer) -> Table:
    rows: list[list[str | Cell]] = []
    for take in answer.takes:
        told = [
            listed([one.name for one in take.noises if one.verdict == word]) or "–"
            for word in (SPOILS, PAUSES)
        ]
        rows.append([take.name, percent(take.chance_clean), *told])
    return Table(["take", "clean", "spoils it", "in the pauses"], rows, "frff")


def _take(answer: TakeAnswer, take: TakeFound) -> Iterator[Block]:
    yield from _verdicts(take)
    yield _chance(take)
    yield from _cure(answer, take)
    yield from _target(take)
    if take.noises:
        yield from said.find_out(take.first)


def _cure(answer: TakeAnswer, take: TakeFound) -> Iterator[Block]:
    """The cheapest change against what sticks out most in the pauses."""
    judged, worst = answer.judgement, take.worst
    if worst is None or judged is None:
        return
    told = said.cure(judged.now.sound(worst.name), judged.cures.get(worst.name), judged.prices.currency)
    yield Paragraph(told, "Its cure" if len(take.heard) == 1 else "First cure", "good")


def _maybe(one: NoiseInTake) -> bool:
    """Whether what is not heard, as computed, well may be all the same."""
    return one.verdict in (GONE, HISS) and one.chance_in_pauses >= audibility.LIKELY


def _verdicts(take: TakeFound) -> Iterator[Block]:
    told = [(_MAYBE if _maybe(one) else one.verdict, one) for one in take.noises]
    for word, label in _LABELS.items():
        names = [one.name + (f" ({percent(one.chance_in_pauses)})" if word == _MAYBE else "")
                 for told_as, one in told if told_as == word]  # fmt: skip
        if names:
            yield Paragraph(listed(names), label, INKS.get(word, "mild"))
    if take.absent:
        yield Paragraph(listed(take.absent), "Not at that hour", "quiet")


def _chance(take: TakeFound) -> Block:
    if not take.noises:
        return Paragraph("No noise is named that comes at these hours.")
    text = f"chance that {minutes(take.take.length)} pass with nothing heard in the pauses"
    if any(one.expected is None and one.chance_in_pauses > 0.5 for one in take.noises):
        text += "; something is there all the time."
    elif math.isfinite(take.between) and take.between < 86_400.0:
        text += f"; one such noise comes every {minutes(take.between)} on average."
    else:
        text += "."
    return Figure(percent(take.chance_clean), text)


def _noises(take: TakeFound) -> Iterator[Block]:
    if take.noises:
        yield Heading("Noise by noise (dB under the playing, dBA; dB it stands out in a pause; chances)")
        head = ["", "under", "5 to 95 %", "pause", "verdict", "heard", "in take"]
        yield Table(head, [_row(take, one) for one in take.noises], "frrrlrr")


def _row(take: TakeFound, one: NoiseInTake) -> list[str | Cell]:
    low, high = one.under_limits
    under = decibels(float(one.met.under_db))
    off = take.take.reduction_db
    if off:
        under += f" → {decibels(float(one.met.under_db) - off)}"
    return [
        one.name,
        under,
        f"{decibels(low)} to {decibels(high)}",
        "0" if abs(float(one.met.pause_db)) < 0.5 else f"{float(one.met.pause_db):+.0f}",
        Cell(one.verdict, INKS[one.verdict]),
        percent(one.chance_in_pauses),
        percent(one.chance_in_take),
    ]


def _floor(take: TakeFound) -> Iterator[Block]:
    floor = take.floor
    yield Heading("What is there without them, at the microphone")

    def row(name: str, level_db: Array) -> list[str | Cell]:
        weighted = float(dba(level_db))
        return [
            name,
            decibels(weighted),
            _rated(float(criteria.nc(level_db)), 15.0, 70.0),
            _rated(float(criteria.nr(level_db)), 0.0, 100.0),
            decibels(floor.meter(level_db)),
            decibels(weighted - floor.played_z + floor.reads_dbfs),
        ]

    rows = [row("room", floor.room_db), row("microphone", floor.hiss_db), row("both", floor.both_db)]
    yield Table(["", "dBA", "NC", "NR", "dBFS", "dBFS (A)"], rows, "lrrrrr")
    low, high = floor.limits_dba
    yield Paragraph(
        f"Both lie between {decibels(low)} and {decibels(high)} dBA (5 to 95 %), as the background is known. "
        f"While it plays the meter shows {floor.reads_dbfs:g} dBFS; dBFS is unweighted, as meters read, (A) "
        "weighted."
    )


def _target(take: TakeFound) -> list[Block]:
    floor = take.floor
    if floor.target is None or floor.excess_db is None:
        return []
    met = floor.excess_db <= 0.0
    by = f"{abs(floor.excess_db):.0f}" + ("" if floor.target[:2] in ("NC", "NR") else " dB")
    text = f"{floor.target}: met, {by} to spare." if met else f"{floor.target}: missed by {by}."
    return [Paragraph(text, "Target", "good" if met else "bad")]


def _rated(value: float, least: float, most: float) -> str:
    """A rating to the whole number, within the curves there are."""
    if value < least:
        return f"< {least:.0f}"
    return f"> {most:.0f}" if value > most else f"{value:.0f}"
