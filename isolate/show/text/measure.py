"""A measurement as text: the verdict, one number, what it points at, then the octaves and the files."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.describe.words import hertz, listed
from isolate.measuring.check import Check
from isolate.measuring.checks import NOTE
from isolate.measuring.isolation import Measurement
from isolate.measuring.measured import Octave
from isolate.show.layout import Cell, Page
from isolate.show.text import check, common
from isolate.show.text.findings import listed_findings
from isolate.standards.scales import speech_privacy
from isolate.standards.single_numbers import rate

_MARGIN = 14
_BAR = 14
_TRUST = {"good": "good", "fair": "warn", "poor": "bad"}


def render(answer: Measurement | Check, page: Page) -> str:
    """The whole answer."""
    if isinstance(answer, Check):
        return check.render(answer, page)
    parts = (_head, _verdict, _change, _model, _points, _octaves, _ratings)
    lines = [line for part in parts for line in part(answer, page)]
    lines += listed_findings(answer.findings, page, "What the recordings show")
    lines += common.cautions(page, answer.cautions, "When you measure")
    lines += common.notes(page, answer.notes)
    lines += common.notes(page, [_SURE], "How sure")
    return "\n".join(lines) + "\n"


_SURE = (
    "Ranges are 5 to 95 %. They count the length of the recordings, how levels vary from place to place, the "
    "background, the reverberation time, and at least what careful field measurements differ by among "
    "themselves (ISO 12999-1). Below 100 Hz small rooms allow no better."
)


def _head(answer: Measurement, page: Page) -> Iterator[str]:
    where = "Facade, from 2 m before it into the room" if answer.setup.facade else "From room to room"
    yield page.ink(f"Measured isolation: {where.lower()}", "title")
    roles = {"loud": "outdoors" if answer.setup.facade else "loud room", "quiet": "quiet room"}
    files = [
        f"{roles.get(role, role.replace('_', ' '))}: {', '.join(paths)}"
        for role, paths in answer.names.items()
    ]
    yield page.ink(page.wrapped("; ".join(files)), "quiet")
    yield ""


def _verdict(answer: Measurement, page: Page) -> Iterator[str]:
    best = answer.rating("D2m,nT,w", "DnT,w", "R'w", "NIC")
    privacy = answer.rating("NIC")
    if best is None:
        yield page.wrapped("too few bands for a rating: see the octaves below", label="No number", ink="warn",
                           margin=_MARGIN)  # fmt: skip
    else:
        range_text = f"at least {best.low}" if best.high is None else f"{best.low} to {best.high}"
        yield page.wrapped(f"{best} ({range_text})", label="In one number", ink="strong", margin=_MARGIN)
    if privacy is not None:
        hidden = "or better: " if privacy.at_least else ""
        yield page.wrapped(
            hidden + speech_privacy(privacy.value).words, label="Speech", ink="strong", margin=_MARGIN
        )
    bass = [one for one in answer.octaves() if one.hz in (63.0, 125.0)]
    if bass:
        text = ", ".join(f"{_value(one)} dB at {one.hz:g} Hz" for one in bass)
        yield page.wrapped(f"{text}: this is what drums, bass and traffic meet", label="Bass", ink="strong",
                           margin=_MARGIN)  # fmt: skip
    yield page.wrapped(_why(answer), label=f"Trust: {answer.trust}", ink=_TRUST[answer.trust], margin=_MARGIN)


def _why(answer: Measurement) -> str:
    worst = max((f.grave for f in answer.findings), default=NOTE)
    count = sum(f.grave == worst for f in answer.findings)
    limited = [one for one in answer.octaves() if one.at_least]
    reasons = []
    if worst > NOTE:
        reasons.append(f"{count} finding{'s' if count > 1 else ''} on the recordings, below")
    if answer.background_db is None:
        reasons.append("without a background recording all values are lower limits")
    elif limited:
        reasons.append(
            f"{len(limited)} of {len(answer.octaves())} octaves are lower limits (too near the background)"
        )
    return "; ".join(reasons) or "the recordings passed every check and stand clear of the background"


def _points(answer: Measurement, page: Page) -> Iterator[str]:
    for hint in answer.hints if answer.model is None else ():
        yield ""
        yield page.wrapped(f"The curve {hint.what}.", label="It points at", ink="strong", margin=_MARGIN)
        yield page.wrapped(
            hint.look[0].upper() + hint.look[1:] + ".", label="Look", ink="mild", margin=_MARGIN
        )


def _change(answer: Measurement, page: Page) -> Iterator[str]:
    if answer.change is None:
        return
    yield ""
    for part in answer.change.parts:
        chance = f"; it helped with a chance of {common.percent(part.chance_better)}" if not part.sure else ""
        yield page.wrapped(f"{part.words()}{chance}", label="Change", ink="strong", margin=_MARGIN)
    yield page.wrapped(
        f"against {answer.change.before}, in {answer.change.quantity}; same speaker place, same volume and "
        "same "
        "microphone places taken for granted", margin=_MARGIN,
    )  # fmt: skip


def _model(answer: Measurement, page: Page) -> Iterator[str]:
    model = answer.model
    if model is None:
        return
    sides = listed(model.sides)
    rated = [rate(curve).rw for curve in (model.measured_db, model.predicted_db)]
    numbers = "" if None in rated else f"measured R'w {rated[0]}, predicted {rated[1]}; "
    agree = "" if np.isnan(model.agrees) else f"they agree in {common.percent(model.agrees)} of the bands"
    yield ""
    yield page.wrapped(
        f"{model.room}, through {sides}: {numbers}{agree}", label="Prediction", ink="strong", margin=_MARGIN
    )
    if answer.background_db is None and model.fit.kind != "as predicted":
        yield page.wrapped(
            "unless the quiet room's own noise makes the difference: no background was recorded",
            margin=_MARGIN,
        )
    for i, line in enumerate(model.explanation):
        yield page.wrapped(line, label="and" if i else "What explains", ink="strong", margin=_MARGIN)
    for hint in model.hints:
        yield page.wrapped(f"the measured curve {hint.what}; {hint.look}", label="And", margin=_MARGIN)


def _value(one: Octave) -> str:
    return f"{'≥ ' if one.at_least else ''}{common.decibels(one.value_db)}"


def _octaves(answer: Measurement, page: Page) -> Iterator[str]:
    level = "dB" if answer.calibrated else "dB re full scale"
    yield page.heading(f"Octave by octave (levels in {level}; --csv has the third octaves)")
    head = ["octave", "loud", "quiet", "backgr.", "D", answer.curve_name, "5 – 95 %", ""]
    rows: list[list[str | Cell]] = []
    for one in answer.octaves():
        high = "" if one.at_least else f" – {common.decibels(one.high_db)}"
        background = "–" if one.background_db is None else common.decibels(one.background_db)
        rows.append([
            hertz(one.hz), common.decibels(one.loud_db), common.decibels(one.quiet_db),
            background, common.decibels(one.difference_db), Cell(_value(one), "strong"),
            f"{common.decibels(one.low_db)}{high or ' up'}",
            Cell(page.bar(one.value_db / 70.0, _BAR), "mild"),
        ])  # fmt: skip
    yield page.table(head, rows, align="rrrrrrrl")


def _ratings(answer: Measurement, page: Page) -> Iterator[str]:
    if not answer.ratings:
        return
    yield page.heading("Ratings")
    rows: list[list[str | Cell]] = []
    for one in answer.ratings:
        terms = "" if one.c is None else f"({one.c:+d}; {one.ctr:+d})"
        high = "or more" if one.high is None else f"– {one.high}"
        rows.append(
            [f"  {one.name}", ("≥ " if one.at_least else "") + str(one.value), terms, f"{one.low} {high}"]
        )
    yield page.table(["", "dB", "(C; Ctr)", "5 – 95 %"], rows, align="lrll")
