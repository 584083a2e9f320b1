"""A measurement, told: one number, the bass, how far to trust it, what it points at."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.describe.words import hertz, listed
from isolate.measuring.check import Check
from isolate.measuring.checks import NOTE
from isolate.measuring.isolation import Measurement
from isolate.measuring.measured import Octave
from isolate.show.document import (
    Bar,
    Bars,
    Block,
    Document,
    Figure,
    Heading,
    Next,
    Paragraph,
    Table,
    decibels,
    notes,
    percent,
)
from isolate.show.tell import check
from isolate.standards.scales import speech_privacy
from isolate.standards.single_numbers import rate

_TRUST = {"good": "good", "fair": "warn", "poor": "bad"}
_MEANS = {
    "DnT,w": "what is kept out from room to room, as one number",
    "D2m,nT,w": "what the facade keeps out, as one number",
    "R'w": "what the wall between stops, as one number",
    "NIC": "what is kept out, as one number (American)",
}
_MOST_DB = 70.0  # as long as a bar gets
_SURE = (
    "Ranges are 5 to 95 %. They count the length of the recordings, how levels vary from place to place, the "
    "background, the reverberation time, and at least what careful field measurements differ by among "
    "themselves (ISO 12999-1). Below 100 Hz small rooms allow no better."
)


def document(answer: Measurement | Check) -> Document:
    """The verdict and the octaves; levels, other ratings and what the recordings show with --full."""
    if isinstance(answer, Check):
        return check.document(answer)
    where = "facade, from 2 m before it into the room" if answer.setup.facade else "from room to room"
    found = check.findings(answer.findings, "What the recordings show")
    grave = any(one.grave > NOTE for one in answer.findings)
    told = [*_change(answer), *_model(answer)] if answer.change or answer.model else list(_points(answer))
    octaves: list[Block] = [
        Heading(f"What is kept out ({answer.curve_name}) in dB, octave by octave"),
        _bars(answer),
    ]
    brief = bool(answer.change or answer.model or grave)
    return Document(
        title=f"Measured isolation: {where}",
        about=_files(answer),
        first=[*_verdict(answer), *told, *(found if grave else []), *([] if brief else octaves)],
        full=[*(octaves if brief else []), *_levels(answer), *_ratings(answer), *([] if grave else found),
              *notes(answer.notes), *notes([_SURE], "How sure")],
        cautions=answer.cautions,
        next=[_next(answer)],
        more="levels by octave, all ratings, how sure",
        before="When you measure",
    )  # fmt: skip


def _next(answer: Measurement) -> Next:
    if answer.trust != "good":
        return Next("Record again what is marked; how to do it well", "isolate guide measuring")
    if answer.model is None:
        return Next("Hold it against what is predicted", "add --room ROOM --through SIDE")
    return Next(
        "Save it (--json --out now.json), then plan with it",
        "isolate room ROOM --measured now.json --through SIDE",
    )


def _files(answer: Measurement) -> str:
    roles = {"loud": "outdoors" if answer.setup.facade else "loud room", "quiet": "quiet room"}
    named = ((roles.get(role, role.replace("_", " ")), paths) for role, paths in answer.names.items())
    return "; ".join(f"{role}: {', '.join(paths)}" for role, paths in named)


def _verdict(answer: Measurement) -> Iterator[Block]:
    best = answer.rating("D2m,nT,w", "DnT,w", "R'w", "NIC")
    privacy = answer.rating("NIC")
    if best is None:
        yield Paragraph("too few bands for a rating: see the octaves", "No number", "warn")
    else:
        least = "≥ " if best.at_least else ""
        ranged = f"at least {best.low}" if best.high is None else f"{best.low} to {best.high}"
        terms = "" if best.c is None else f"; C {best.c:+d}, Ctr {best.ctr:+d}"
        yield Figure(f"{least}{best.value} dB", f"{best.name} ({ranged}): {_MEANS[best.name]}{terms}")
    if privacy is not None:
        hidden = "or better: " if privacy.at_least else ""
        yield Paragraph(hidden + speech_privacy(privacy.value).words, "Speech")
    bass = [one for one in answer.octaves() if one.hz in (63.0, 125.0)]
    if bass:
        text = ", ".join(f"{_value(one)} dB at {one.hz:g} Hz" for one in bass)
        yield Paragraph(f"{text}: this is what drums, bass and traffic meet", "Bass")
    yield Paragraph(_why(answer), f"Trust: {answer.trust}", _TRUST[answer.trust])


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
            f"{len(limited)} of {len(answer.octaves())} octaves "
            f"{'is a lower limit' if len(limited) == 1 else 'are lower limits'} (too near the background)"
        )
    return "; ".join(reasons) or "the recordings passed every check and stand clear of the background"


def _points(answer: Measurement) -> Iterator[Block]:
    for hint in answer.hints:
        yield Paragraph(f"The curve {hint.what}.", "It points at")
        yield Paragraph(f"{hint.look[0].upper()}{hint.look[1:]}.", "Look", "mild")


def _change(answer: Measurement) -> Iterator[Block]:
    if answer.change is None:
        return
    for part in answer.change.parts:
        chance = f"; it helped with a chance of {percent(part.chance_better)}" if not part.sure else ""
        yield Paragraph(f"{part.words()}{chance}", "Change")
    yield Paragraph(
        f"{answer.change.before}, by {answer.change.quantity}; the places of speaker and microphone and the "
        "volume are taken to be the same",
        "Against",
    )


def _model(answer: Measurement) -> Iterator[Block]:
    model = answer.model
    if model is None:
        return
    rated = [rate(curve).rw for curve in (model.measured_db, model.predicted_db)]
    numbers = "" if None in rated else f"measured R'w {rated[0]}, predicted {rated[1]}; "
    agree = "" if np.isnan(model.agrees) else f"they agree in {percent(model.agrees)} of the bands"
    yield Paragraph(f"{model.room}, through {listed(model.sides)}: {numbers}{agree}", "Prediction")
    if answer.background_db is None and model.fit.kind != "as predicted":
        yield Paragraph(
            "the quiet room's own noise may make the difference: no background was recorded", "Unless"
        )
    for i, line in enumerate(model.explanation):
        yield Paragraph(line, "And" if i else "What explains")
    for hint in model.hints:
        yield Paragraph(f"the measured curve {hint.what}; {hint.look}", "And")


def _value(one: Octave) -> str:
    return f"{'≥ ' if one.at_least else ''}{decibels(one.value_db)}"


def _range(one: Octave) -> str:
    return f"{decibels(one.low_db)} {'up' if one.at_least else f'to {decibels(one.high_db)}'}"


def _bars(answer: Measurement) -> Bars:
    bars = [
        Bar(hertz(one.hz), max(one.value_db, 0.0) / _MOST_DB, _value(one), "mild", (_range(one),))
        for one in answer.octaves()
    ]
    return Bars(bars, head=("", "", "dB", "5 to 95 %"))


def _levels(answer: Measurement) -> Iterator[Block]:
    level = "dB" if answer.calibrated else "dB re full scale"
    yield Heading(f"Levels by octave (in {level}; --csv has the third octaves)")
    rows = [
        [hertz(one.hz), decibels(one.loud_db), decibels(one.quiet_db),
         "–" if one.background_db is None else decibels(one.background_db),
         decibels(one.difference_db), _value(one), _range(one)]
        for one in answer.octaves()
    ]  # fmt: skip
    head = ["", "loud", "quiet", "background", "D", answer.curve_name, "5 to 95 %"]
    yield Table(head, rows, "rrrrrrr")


def _ratings(answer: Measurement) -> list[Block]:
    rows = []
    for one in answer.ratings:
        terms = "" if one.c is None else f"({one.c:+d}; {one.ctr:+d})"
        high = "or more" if one.high is None else f"to {one.high}"
        rows.append([one.name, ("≥ " if one.at_least else "") + str(one.value), terms, f"{one.low} {high}"])
    return [Heading("Ratings"), Table(["", "dB", "(C; Ctr)", "5 to 95 %"], rows, "lrll")] if rows else []
