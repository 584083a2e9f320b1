"""What a construction stops, told: one number, octave by octave with its range and what rules there."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from isolate.answers.curve.answer import Curve
from isolate.bands import OCTAVES
from isolate.describe import words
from isolate.describe.words import hertz
from isolate.physics import buildings
from isolate.show import said
from isolate.show.document import (
    Bar,
    Bars,
    Block,
    Document,
    Figure,
    Heading,
    Items,
    Next,
    Paragraph,
    decibels,
    notes,
)
from isolate.show.tell import why
from isolate.units import show_surface_mass

_MOST_DB = 90.0  # as long as a bar gets


def document(answer: Curve) -> Document:
    """The ratings and a bar an octave; layers, resonances and notes with --full; why, where it was asked."""
    built, rated = answer.construction, answer.ratings
    name, behind = (
        ("Dn,e,w", "as 10 m2 of a wall of that Rw") if answer.vent else ("Rw", f"behind it {answer.speech}")
    )
    behind = "taken: nothing is stated of sound in the air" if built.silent else behind
    others = f"C {rated['C']}; Ctr {rated['Ctr']}: {name} + Ctr {rated['Rw'] + rated['Ctr']} for traffic"
    american = "" if answer.vent else f"; American: STC {rated['STC']}, OITC {rated['OITC']}"
    curve: list[Block] = [
        Paragraph(f"{others}{american}", "Rated also"),
        *_footsteps(answer),
        Heading(f"{'Dn,e' if answer.vent else 'What it stops'}, in dB, octave by octave"),
        _bars(answer),
        *_in_a_building(answer),
    ]
    explained = answer.why is not None
    return Document(
        title=built.title,
        about=words.layers(built),
        first=[
            Figure(f"{name} {rated['Rw']} dB", behind),
            *said.meant(built),
            *(why.first(answer.why) if answer.why else curve),
            *said.ask_seller(built),
        ],
        full=[
            *(curve if explained else []),
            *_marks(answer),
            *_layers(answer),
            *_impact(answer),
            *(why.full(answer.why) if answer.why else []),
            *notes(said.without_asking(answer.notes), "Notes"),
        ],
        cautions=answer.cautions,
        next=[_next(answer)],
        more="each octave taken apart, what was assumed"
        if explained
        else "mass, resonances, what was assumed",
        before="Before you build it",
    )


def ranged(low: float, high: float) -> str:
    """Limits as one reads them."""
    return f"{decibels(low)} to {decibels(high)}"


def frequencies(values: tuple[float, ...]) -> str:
    """Frequencies as one reads them out, each once."""
    return words.listed(list(dict.fromkeys(hertz(value) for value in values)))


def _next(answer: Curve) -> Next:
    name = answer.construction.name
    if answer.why is None and answer.rules:
        return Next("See what would move it", f'isolate curve "{name}" --why')
    return Next("Set it beside another", f'isolate compare "{name}" OTHER')


def _bars(answer: Curve) -> Bars:
    rules = [why.rules(answer.construction, rule) for rule in answer.rules] or [""] * OCTAVES.size
    limits = zip(*answer.octave_limits_db, strict=True)
    bars = [
        Bar(hertz(hz), max(float(tl), 0.0) / _MOST_DB, decibels(tl), more=(ranged(*limit), rule))
        for hz, tl, limit, rule in zip(OCTAVES, answer.octave_db, limits, rules, strict=True)
    ]
    return Bars(bars, head=("", "", "dB", "5 to 95 %", "what rules there" if answer.rules else ""))


def _footsteps(answer: Curve) -> list[Block]:
    """Impact sound in a line, where it is a floor."""
    if answer.impact is None:
        return []
    told = f"{answer.impact.numbers}, give or take {decibels(answer.impact.give_db)} dB"
    if (sheet := answer.construction.stepped) is not None:
        term = "" if sheet.ci is None else f" ({sheet.ci:g})"
        steps = [] if sheet.lnw is None else [f"Ln,w {sheet.lnw:g}{term} dB"]
        steps += [] if sheet.iic is None else [f"IIC {sheet.iic:g}"]
        told = f"{', '.join(steps)} as stated"
    told = f"{told}: how loud they are below"
    return [Paragraph(f"{told}; less is better, of IIC more", "Footsteps")]


def _in_a_building(answer: Curve) -> list[Block]:
    """How little of the best walls a house lets one hear."""
    if answer.beaten_from is None:
        return []
    hz, most = hertz(answer.beaten_from), f"{buildings.MOST_DB[-1]:.0f} dB"
    return [Paragraph(f"from {hz} up sound goes round it: {most} is the most measured", "In a house")]


def _marks(answer: Curve) -> Iterator[Block]:
    if answer.surface_mass:
        yield Paragraph(show_surface_mass(answer.surface_mass), "Mass")
    if answer.resonances:
        text = "weak about there unless ties hold it, better only well above"
        yield Paragraph(f"{frequencies(answer.resonances)}: {text}", "Resonance")
    if answer.criticals:
        text = "bending of the leaves keeps step with the sound: a dip, unless losses fill it"
        yield Paragraph(f"{frequencies(answer.criticals)}: {text}", "Coincidence")


def _layers(answer: Curve) -> list[Block]:
    layers = [words.layer_both(part) for part in answer.construction.layers]
    return [Heading("Layers, from the noisy side"), Items(layers)] if layers else []


def _impact(answer: Curve) -> list[Block]:
    """The tapping machine, octave by octave."""
    if answer.impact is None:
        return []
    level = answer.impact.octave_db
    most = float(np.max(level))
    bars = [Bar(hertz(hz), float(one) / most, decibels(one)) for hz, one in zip(OCTAVES, level, strict=True)]
    return [Heading("Impact sound level of the tapping machine in the room below, in dB"), Bars(bars)]
