"""The room's answer as text: what the neighbours hear of what is played."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.answers.room.answer import RoomAnswer
from isolate.describe.words import LIKELY, hertz, listed
from isolate.room.limits import LimitMet
from isolate.room.neighbours import HeardNextDoor, NeighbourFound
from isolate.room.received import Passed
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.show.text.room_paths import decides

MAYBE = "maybe"  # not audible as computed, but as likely as not all the same
INKS = {**VERDICT_INKS, MAYBE: "mild"}
VERDICTS = {
    "clear": "They hear clearly",
    "audible": "They hear",
    "faint": "They hear faintly",
    MAYBE: "They may hear",
    "not audible": "They do not hear",
}


def so_heard(sounds: Sequence[tuple[str, Passed]], verdict: str) -> list[str]:
    """The names of those of this verdict; what is not audible but well may be is apart, with its chance."""
    found = []
    for name, passed in sounds:
        maybe = passed.verdict == "not audible" and passed.chance >= LIKELY
        if verdict == (MAYBE if maybe else passed.verdict):
            found.append(f"{name} ({common.percent(passed.chance)})" if maybe else name)
    return found


def verdicts(answer: RoomAnswer, page: Page, margin: int) -> Iterator[str]:
    """Who hears what, by verdict."""
    for verdict, label in VERDICTS.items():
        found = []
        for one in answer.neighbours:
            names = so_heard([(heard.name, heard.passed) for heard in one.heard], verdict)
            found += [f"{one.name}: {listed(names)}"] if names else []
        if found:
            yield page.wrapped("; ".join(found), label=label, ink=INKS[verdict], margin=margin)


def neighbours(answer: RoomAnswer, page: Page) -> Iterator[str]:
    """A table a neighbour, the path that decides, and limits."""
    if not any(one.heard for one in answer.neighbours):
        return
    yield page.heading("What the neighbours hear (levels in dBA, margin in dB, chance that it is heard)")
    for index, one in enumerate(answer.neighbours):
        if not one.heard or one.worst is None:
            continue
        yield from ([""] if index else [])
        head = [one.name, "made", "there", "5 – 95 %", "margin", "verdict", "chance"]
        yield page.table(head, [_row(heard) for heard in one.heard], align="frrrrlr")
        yield page.wrapped(_where(one), label="", margin=2)
        yield page.wrapped(decides(one.worst.passed, one.worst.name), label="", margin=2)
        yield from _speech_and_bass(one, page)
        for heard in one.heard:
            for limit in heard.limits:
                yield _limit(heard, limit, page)


def _row(heard: HeardNextDoor) -> list[str | Cell]:
    low, high = heard.passed.limits_dba
    verdict = heard.passed.verdict
    return [
        f"  {heard.name}",
        common.decibels(heard.made_dba),
        common.decibels(heard.passed.dba),
        f"{common.decibels(low)} – {common.decibels(high)}",
        common.decibels(heard.passed.margin),
        Cell(verdict, VERDICT_INKS[verdict]),
        common.percent(heard.passed.chance),
    ]


def _speech_and_bass(one: NeighbourFound, page: Page) -> Iterator[str]:
    """What becomes of speech on the way there, and of sounds of which little but bass gets through."""
    if one.speech is not None:
        grade = {"normal": "; normal voices are private", "confidential": "; confidential"}
        text = f"Speech, by the scale for speech alone: {one.speech.words}{grade.get(one.speech.grade, '')}."
        yield page.wrapped(text, margin=2)
    for heard in one.heard:
        if heard.bass and heard.passed.margin > 0.0:
            text = f"{heard.name}: {heard.bass} (dBC {heard.bass_db:.0f} dB above dBA)."
            yield page.wrapped(text, label="  !", ink="warn", margin=4)


def _where(one: NeighbourFound) -> str:
    stated = one.neighbour
    over = f"over a background of {common.decibels(one.background_dba)} dBA"
    through = listed(stated.through)
    if one.dnt_w is not None:
        return f"Through {through}, all paths together DnT,w {one.dnt_w} (C {one.c:+d}), {over}."
    behind = f", behind {stated.facade.construction.name}" if stated.facade else ", outdoors"
    return f"Out through {through}, {stated.distance:.3g} m away{behind}, {over}."


def _limit(heard: HeardNextDoor, limit: LimitMet, page: Page) -> str:
    band = f", most at {hertz(limit.at_hz)}" if limit.at_hz else ""
    off = f"{abs(limit.excess_db):.1f} dB"
    text = f"{off} to spare" if limit.met else f"{off} too much{band}"
    if limit.chance is not None:
        text += f"; kept with a chance of {common.percent(limit.chance)}"
    return page.wrapped(
        f"{heard.name}, {limit.limit.text}: {text}.",
        label="  ok" if limit.met else "  !", ink="good" if limit.met else "bad", margin=5,
    )  # fmt: skip
