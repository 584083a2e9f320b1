"""What a construction stops, as text."""

from __future__ import annotations

from isolate.answers.curve.answer import Curve
from isolate.bands import OCTAVES
from isolate.describe import words
from isolate.describe.words import hertz
from isolate.show.layout import Page
from isolate.show.text import common, why
from isolate.units import show_surface_mass


def render(answer: Curve, page: Page) -> str:
    """The whole answer."""
    built, rated = answer.construction, answer.ratings
    bass = answer.octave_db[1]
    lines = [
        page.ink(page.wrapped(built.title), "title"),
        *(page.wrapped(text, label=f"  {number}", margin=5) for number, text in
          enumerate(map(words.layer_both, built.layers), 1)),
        "",
        page.wrapped(f"{answer.speech}; of bass at 63 Hz it takes {common.decibels(bass)} dB.",
                     label="Behind it", ink="strong", margin=common.MARGIN),
        page.wrapped(f"Rw (C; Ctr) {rated['Rw']} ({rated['C']}; {rated['Ctr']}) dB, STC {rated['STC']}, "
                     f"OITC {rated['OITC']}", label="Rated", ink="strong", margin=common.MARGIN),
        *_footsteps(answer, page),
        *_marks(answer, page),
        page.heading("Transmission loss [dB] per octave, with the limits for 5 and 95 %"),
        _table(answer, page),
        *_impact_table(answer, page),
        *(why.lines(answer.why, page) if answer.why else []),
        *common.cautions(page, answer.cautions),
        *common.notes(page, answer.notes, "Notes"),
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def _footsteps(answer: Curve, page: Page) -> list[str]:
    """Impact sound in a line, where it is a floor."""
    if answer.impact is None:
        return []
    text = (
        f"{answer.impact.numbers}, within {common.decibels(answer.impact.give_db)} dB; less is quieter below"
    )
    return [page.wrapped(text, label="Footsteps", ink="strong", margin=common.MARGIN)]


def _impact_table(answer: Curve, page: Page) -> list[str]:
    if answer.impact is None:
        return []
    row = ["", *(common.decibels(value) for value in answer.impact.octave_db)]
    header = ["Hz", *(f"{band:g}" for band in OCTAVES)]
    title = "Impact sound level of the tapping machine in the room below [dB] per octave"
    return [page.heading(title), page.table(header, [row], align="l" + "r" * OCTAVES.size)]


def _marks(answer: Curve, page: Page) -> list[str]:
    pairs = []
    if answer.surface_mass:
        pairs.append(("Mass", show_surface_mass(answer.surface_mass)))
    if answer.resonances:
        pairs.append(
            (
                "Resonance",
                f"{listed(answer.resonances)}: weak about there unless ties hold it, better only well above",
            )
        )
    if answer.criticals:
        pairs.append(
            (
                "Coincidence",
                f"{listed(answer.criticals)}: a dip, unless losses fill it: bending keeps step with sound",
            )
        )
    return [page.wrapped(text, label=label, ink="strong", margin=common.MARGIN) for label, text in pairs]


def listed(values: tuple[float, ...]) -> str:
    """Frequencies as one reads them out, each once."""
    return words.listed(list(dict.fromkeys(hertz(value) for value in values)))


def _table(answer: Curve, page: Page) -> str:
    low, high = answer.octave_limits_db
    rows = [
        ["", *(common.decibels(value) for value in answer.octave_db)],
        ["low", *(common.decibels(value) for value in low)],
        ["high", *(common.decibels(value) for value in high)],
    ]
    return page.table(["Hz", *(f"{band:g}" for band in OCTAVES)], rows, align="l" + "r" * OCTAVES.size)
