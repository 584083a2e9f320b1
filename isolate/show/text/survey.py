"""A survey as text: how quiet it is, what breaks in, then the octaves and the loudest events."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.bands import OCTAVES, octave_levels
from isolate.describe.words import hertz
from isolate.measuring.survey import Survey
from isolate.show.layout import Cell, Page
from isolate.show.text import common
from isolate.show.text.test_signal import clock

_MARGIN = 14
_MOST = 15


def render(answer: Survey, page: Page) -> str:
    """The whole answer."""
    parts = (_head, _verdict, _kinds, _octaves, _events, _files)
    lines = [line for part in parts for line in part(answer, page)]
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, [_MEANT.format(rise=answer.rise_db)], "What counts")
    lines += common.cautions(page, answer.cautions, "When you record")
    return "\n".join(lines) + "\n"


_MEANT = (
    "An event is what rises {rise:.0f} dB above the background in some octave from 63 Hz up; the "
    "background is "
    "what is exceeded 90 % of the time (L90) in the minutes around. Sound that lasts most of that time is "
    "background itself. Levels are means of 1/8 s, close to a meter's Fast."
)


def time_of(answer: Survey, seconds: float) -> str:
    """Time into the recording, or of the day where the start is known."""
    return clock(seconds) if answer.start is None else day_time(answer.start + seconds)


def day_time(seconds: float) -> str:
    """Time of day.

    >>> day_time(90_061.0)
    '01:01:01'
    """
    whole = round(seconds) % 86_400
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def _unit(answer: Survey) -> str:
    return "dBA" if answer.calibrated else "dBA re full scale"


def _head(answer: Survey, page: Page) -> Iterator[str]:
    began = "" if answer.start is None else f" from {day_time(answer.start)}"
    unit = "h" if answer.length >= 3600 else "min"
    title = f"Survey of {answer.name}: {clock(answer.length)} {unit}{began}, microphone {answer.place}"
    yield page.ink(page.wrapped(title), "title")
    yield page.ink(page.wrapped(answer.calibration or "levels relative to full scale"), "quiet")
    yield ""


def _verdict(answer: Survey, page: Page) -> Iterator[str]:
    unit, dba = _unit(answer), answer.dba
    rating = "" if answer.nc is None else f", NC {answer.nc:.0f}"
    yield page.wrapped(
        f"{dba['L90']:.0f} {unit} between events (L90){rating}; {dba['L50']:.0f} half of the time (L50), "
        f"{dba['Leq']:.0f} on the mean (Leq)", label="Background", ink="strong", margin=_MARGIN,
    )  # fmt: skip
    if not answer.events:
        yield page.wrapped("nothing rose above the background", label="Events", ink="good", margin=_MARGIN)
        return
    loudest = max(answer.events, key=lambda event: event.max_dba)
    longest = _longest_calm(answer)
    yield page.wrapped(
        f"{len(answer.events)}, {answer.per_hour:.0f} an hour; the loudest {loudest.max_dba:.0f} {unit} at "
        f"{time_of(answer, loudest.start)}", label="Events", ink="strong", margin=_MARGIN,
    )  # fmt: skip
    yield page.wrapped(
        f"{clock(longest[1] - longest[0])} without any, from {time_of(answer, longest[0])}",
        label="Longest calm", ink="strong", margin=_MARGIN,
    )  # fmt: skip


def _longest_calm(answer: Survey) -> tuple[float, float]:
    ends = [0.0, *(event.start + event.length for event in answer.events)]
    starts = [*(event.start for event in answer.events), answer.length]
    return max(zip(ends, starts, strict=True), key=lambda calm: calm[1] - calm[0])


def _kinds(answer: Survey, page: Page) -> Iterator[str]:
    if not answer.groups:
        return
    yield page.heading("By where they are loudest (dBA)")
    rows: list[list[str | Cell]] = []
    for group in answer.groups:
        count = len(group.events)
        loudest = [event.max_dba for event in group.events]
        rows.append([
            f"  {group.kind}", str(count), f"{count / answer.length * 3600:.1f}", f"{group.length:.1f} s",
            f"{np.median(loudest):.0f}", f"{max(loudest):.0f}", group.about,
        ])  # fmt: skip
    yield page.table(
        ["pitch", "events", "an hour", "length", "usual", "max", "such as"], rows, align="lrrrrrf"
    )


def _octaves(answer: Survey, page: Page) -> Iterator[str]:
    yield page.heading("Octave by octave" + ("" if answer.calibrated else " (dB re full scale)"))
    columns = {name: octave_levels(level) for name, level in answer.level_db.items()}
    if answer.events:
        columns["max"] = octave_levels(np.max([event.max_db for event in answer.events], axis=0))
    rows: list[list[str | Cell]] = []
    for i, hz in enumerate(OCTAVES):
        if np.isfinite(columns["L90"][i]):
            rows.append([hertz(hz), *(common.decibels(float(column[i])) for column in columns.values())])
    yield page.table(["octave", *columns], rows, align="r" * (1 + len(columns)))


def _events(answer: Survey, page: Page) -> Iterator[str]:
    if not answer.events:
        return
    shown = sorted(sorted(answer.events, key=lambda e: -e.excess_db)[:_MOST], key=lambda e: e.start)
    which = "" if len(answer.events) <= _MOST else f", the {_MOST} that stand out most (--csv has all)"
    yield page.heading(f"Events{which}")
    rows: list[list[str | Cell]] = [
        [f"  {time_of(answer, e.start)}", f"{e.length:.1f} s", e.kind,
         common.decibels(e.max_dba), common.decibels(e.excess_db)]
        for e in shown
    ]  # fmt: skip
    yield page.table(["at", "length", "pitch", "max dBA", "dB above"], rows, align="rrlrr")


def _files(answer: Survey, page: Page) -> Iterator[str]:
    if not answer.findings:
        return
    yield page.heading("What the recording shows")
    for finding in answer.findings:
        yield page.wrapped(f"{finding.file} {finding.what}. Again: {finding.again}.", label="  -", margin=4)
