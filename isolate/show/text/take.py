"""The takes of a room as text: what is heard in the pauses, how likely, what to clear up, the tables."""

from __future__ import annotations

import math
from collections.abc import Iterator

from isolate.answers.take.answer import TakeAnswer
from isolate.answers.take.parts import NoiseInTake, TakeFound
from isolate.bands import Array
from isolate.describe.words import LIKELY, listed
from isolate.room.takes import GONE, HISS, PAUSES, SPOILS
from isolate.show.layout import Cell, Page
from isolate.show.text import common
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
_MARGIN = 18


def render(answer: TakeAnswer, page: Page) -> str:
    """The whole answer."""
    lines = [page.ink(page.wrapped(answer.room.title), "title")]
    for take in answer.takes:
        lines.append("")
        for part in (_head, _verdicts, _chances, _noises, _floor):
            lines += part(take, page)
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, [_meaning(answer)], "What the words mean")
    return "\n".join(lines) + "\n"


def _meaning(answer: TakeAnswer) -> str:
    return (
        "Gone: the room or the ear hides it. Under the hiss: only the microphone's own noise does. In the "
        "pauses: heard while nothing is played, hidden by the softest passages. Spoils the take: heard "
        "through those, or 10 dB and more above what hides it in a pause. Chances and limits from "
        f"{answer.draws} draws, seed {answer.seed}."
    )


def _head(take: TakeFound, page: Page) -> Iterator[str]:
    stated = take.take
    yield page.ink(take.name, "strong")
    played = common.decibels(take.at.played_dba)
    soft = common.decibels(take.at.played_dba - stated.softest_db)
    text = (
        f"{stated.own.name} {played} dBA at the microphone, softest {soft}; {common.minutes(stated.length)}"
    )
    text += f", {stated.hours}" if stated.hours else ""
    text += f", background {take.when}"
    text += f", compressed by {stated.reduction_db:g} dB" if stated.reduction_db else ""
    yield page.wrapped(text)
    yield ""


def _maybe(one: NoiseInTake) -> bool:
    """Whether what is not heard, as computed, well may be all the same."""
    return one.verdict in (GONE, HISS) and one.chance_in_pauses >= LIKELY


def _verdicts(take: TakeFound, page: Page) -> Iterator[str]:
    told = [(_MAYBE if _maybe(one) else one.verdict, one) for one in take.noises]
    for word, label in _LABELS.items():
        names = [one.name + (f" ({common.percent(one.chance_in_pauses)})" if word == _MAYBE else "")
                 for told_as, one in told if told_as == word]  # fmt: skip
        if names:
            yield page.wrapped(listed(names), label=label, ink=INKS.get(word, "mild"), margin=_MARGIN)
    if take.absent:
        yield page.wrapped(listed(take.absent), label="Not at that hour", ink="quiet", margin=_MARGIN)
    if take.noises or take.absent:
        yield ""


def _chances(take: TakeFound, page: Page) -> Iterator[str]:
    if not take.noises:
        yield "No noise is named that comes at these hours."
        return
    length = common.minutes(take.take.length)
    text = f"chance that {length} pass with nothing heard in the pauses"
    if any(one.expected is None and one.chance_in_pauses > 0.5 for one in take.noises):
        text += "; something is there all the time."
    elif math.isfinite(take.between) and take.between < 86_400.0:
        text += f"; on the mean one such noise every {common.minutes(take.between)}."
    else:
        text += "."
    chance = common.percent(take.chance_clean)
    yield page.wrapped(text, label=chance, ink="strong", margin=_MARGIN)
    yield from common.clear_up(take.first, take.luck, page, _MARGIN)


def _noises(take: TakeFound, page: Page) -> Iterator[str]:
    if not take.noises:
        return
    yield page.heading("Noise by noise (dB under the playing, dBA; dB it stands out in a pause; chances)")
    head = ["", "under", "5 – 95 %", "pause", "verdict", "heard", "in take"]
    yield page.table(head, [_row(take, one) for one in take.noises], align="frrrlrr")


def _row(take: TakeFound, one: NoiseInTake) -> list[str | Cell]:
    low, high = one.under_limits
    under = common.decibels(float(one.met.under_db))
    off = take.take.reduction_db
    if off:
        under += f" → {common.decibels(float(one.met.under_db) - off)}"
    return [
        one.name,
        under,
        f"{common.decibels(low)} – {common.decibels(high)}",
        "0" if abs(float(one.met.pause_db)) < 0.5 else f"{float(one.met.pause_db):+.0f}",
        Cell(one.verdict, INKS[one.verdict]),
        common.percent(one.chance_in_pauses),
        common.percent(one.chance_in_take),
    ]


def _floor(take: TakeFound, page: Page) -> Iterator[str]:
    floor = take.floor
    yield page.heading("What is there without them, at the microphone")

    def row(name: str, level_db: Array) -> list[str | Cell]:
        weighted = float(dba(level_db))
        return [
            name,
            common.decibels(weighted),
            _rated(float(criteria.nc(level_db)), 15.0, 70.0),
            _rated(float(criteria.nr(level_db)), 0.0, 100.0),
            common.decibels(floor.meter(level_db)),
            common.decibels(weighted - floor.played_z + floor.reads_dbfs),
        ]

    rows = [row("room", floor.room_db), row("microphone", floor.hiss_db), row("both", floor.both_db)]
    yield page.table(["", "dBA", "NC", "NR", "dBFS", "dBFS (A)"], rows, align="frrrrr")
    low, high = floor.limits_dba
    yield page.wrapped(
        f"Both lie between {common.decibels(low)} and {common.decibels(high)} dBA (5 – 95 %), as the "
        f"background is known. While it plays the meter shows {floor.reads_dbfs:g} dBFS; dBFS is unweighted, "
        "as meters read, (A) weighted."
    )
    if floor.target is not None and floor.excess_db is not None:
        met = floor.excess_db <= 0.0
        how = "to spare" if met else "too much"
        unit = "" if floor.target[:2] in ("NC", "NR") else " dB"
        text = f"Target {floor.target}: {abs(floor.excess_db):.0f}{unit} {how}."
        yield page.wrapped(text, label="  ok" if met else "  !", ink="good" if met else "bad", margin=5)


def _rated(value: float, least: float, most: float) -> str:
    """A rating to the whole number, within the curves there are."""
    if value < least:
        return f"< {least:.0f}"
    return f"> {most:.0f}" if value > most else f"{value:.0f}"
