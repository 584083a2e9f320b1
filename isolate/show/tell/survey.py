"""A survey, told: how quiet it is, what breaks in; octaves and events with --full."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.bands import OCTAVES, octave_levels
from isolate.describe.words import hertz
from isolate.measuring.survey import Survey
from isolate.show.document import (
    Block,
    Cell,
    Document,
    Figure,
    Heading,
    Next,
    Paragraph,
    Table,
    clock,
    day_time,
    decibels,
    notes,
)
from isolate.show.tell import check

_MOST = 15  # events told
_MEANT = (
    "An event is what rises {rise:.0f} dB above the background in some octave from 63 Hz up; the background "
    "is what is exceeded 90 % of the time (L90) in the minutes around. Sound that lasts most of that time is "
    "background itself. Levels are means of 1/8 s, close to a meter's Fast."
)


def document(answer: Survey) -> Document:
    """Background, events by kind; octaves, single events, what the recording shows with --full."""
    began = "" if answer.start is None else f" from {day_time(answer.start)}"
    unit = "h" if answer.length >= 3600 else "min"
    found = check.findings(answer.findings, "What the recording shows")
    return Document(
        title=f"Survey of {answer.name}: {clock(answer.length)} {unit}{began}, microphone {answer.place}",
        about=answer.calibration or "levels relative to full scale",
        first=[*_verdict(answer), *_kinds(answer)],
        full=[*_octaves(answer), *_events(answer), *found, *notes(answer.notes),
              *notes([_MEANT.format(rise=answer.rise_db)], "What counts")],
        cautions=answer.cautions,
        next=[_next(answer)],
        more="octaves, single events, what counts as one" + (", findings on the recording" if found else ""),
        before="When you record",
    )  # fmt: skip


def _next(answer: Survey) -> Next:
    if answer.calibrated:
        return Next("What to copy into your room file is written by", "--blocks FILE.toml")
    return Next("Get sound levels: ask again with what a meter showed", '--level "42 dBA" --at "0:10 - 0:30"')


def time_of(answer: Survey, seconds: float) -> str:
    """Time into the recording, or of the day where the start is known."""
    return clock(seconds) if answer.start is None else day_time(answer.start + seconds)


def _unit(answer: Survey) -> str:
    return "dBA" if answer.calibrated else "dBA re full scale"


def _verdict(answer: Survey) -> Iterator[Block]:
    unit, dba = _unit(answer), answer.dba
    rating = "" if answer.nc is None else f", NC {answer.nc:.0f}"
    yield Figure(
        f"{dba['L90']:.0f} {unit}",
        f"between events (L90){rating}; {dba['L50']:.0f} half of the time (L50), {dba['Leq']:.0f} on "
        "average (Leq)",
    )
    if not answer.events:
        yield Paragraph("nothing rose above the background", "Events", "good")
        return
    loudest = max(answer.events, key=lambda event: event.max_dba)
    yield Paragraph(
        f"{len(answer.events)}, {answer.per_hour:.0f} an hour; the loudest {loudest.max_dba:.0f} {unit} at "
        f"{time_of(answer, loudest.start)}",
        "Events",
    )
    longest = _longest_calm(answer)
    calm = f"{clock(longest[1] - longest[0])} without any, from {time_of(answer, longest[0])}"
    yield Paragraph(calm, "Longest calm")


def _longest_calm(answer: Survey) -> tuple[float, float]:
    ends = [0.0, *(event.start + event.length for event in answer.events)]
    starts = [*(event.start for event in answer.events), answer.length]
    return max(zip(ends, starts, strict=True), key=lambda calm: calm[1] - calm[0])


def _kinds(answer: Survey) -> Iterator[Block]:
    if not answer.groups:
        return
    yield Heading("By where they are loudest (dBA)")
    rows: list[list[str | Cell]] = []
    for group in answer.groups:
        count = len(group.events)
        loudest = [event.max_dba for event in group.events]
        rows.append([
            group.kind, str(count), f"{count / answer.length * 3600:.1f}", f"{group.length:.1f} s",
            f"{np.median(loudest):.0f}", f"{max(loudest):.0f}", group.about,
        ])  # fmt: skip
    yield Table(["pitch", "events", "an hour", "length", "usual", "max", "such as"], rows, "lrrrrrf")


def _octaves(answer: Survey) -> Iterator[Block]:
    yield Heading("Octave by octave" + ("" if answer.calibrated else " (dB re full scale)"))
    columns = {name: octave_levels(level) for name, level in answer.level_db.items()}
    if answer.events:
        columns["max"] = octave_levels(np.max([event.max_db for event in answer.events], axis=0))
    rows = [
        [hertz(hz), *(decibels(float(column[i])) for column in columns.values())]
        for i, hz in enumerate(OCTAVES)
        if np.isfinite(columns["L90"][i])
    ]
    yield Table(["octave", *columns], rows, "r" * (1 + len(columns)))


def _events(answer: Survey) -> Iterator[Block]:
    if not answer.events:
        return
    told = sorted(sorted(answer.events, key=lambda e: -e.excess_db)[:_MOST], key=lambda e: e.start)
    which = "" if len(answer.events) <= _MOST else f", the {_MOST} that stand out most (--csv has all)"
    yield Heading(f"Events{which}")
    rows = [
        [time_of(answer, e.start), f"{e.length:.1f} s", e.kind, decibels(e.max_dba), decibels(e.excess_db)]
        for e in told
    ]
    yield Table(["at", "length", "pitch", "max dBA", "dB above"], rows, "rrlrr")
