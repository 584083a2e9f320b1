"""Constructions side by side, as text."""

from __future__ import annotations

from isolate.answers.compare import Comparison
from isolate.bands import OCTAVES, Array
from isolate.show.layout import Page
from isolate.show.text import common


def render(answer: Comparison, page: Page) -> str:
    """The whole answer: ratings, octaves, and each against the first."""
    ratings = [
        [
            label,
            *(f"{one.ratings[name]}" for name in ("Rw", "C", "Ctr", "STC", "OITC")),
            _mass(one.surface_mass),
        ]
        for label, one in zip(answer.labels, answer.curves, strict=True)
    ]
    octaves = [
        _octaves(label, one.octave_db) for label, one in zip(answer.labels, answer.curves, strict=True)
    ]
    against = [
        row
        for label, (gain, low, high) in list(zip(answer.labels, answer.gains_db, strict=True))[1:]
        for row in (
            _octaves(label, gain, "+.0f"), _octaves("  5 %", low, "+.0f"), _octaves("  95 %", high, "+.0f"),
        )
    ]  # fmt: skip
    lines = [
        page.table(
            ["single numbers [dB]", "Rw", "C", "Ctr", "STC", "OITC", "kg/m2"], ratings, align="frrrrrr"
        ),
        page.heading("Transmission loss [dB] per octave"),
        _table(page, octaves),
    ]
    if against:
        lines += [
            page.heading(f"Gain [dB] over {answer.labels[0]}; under 3 dB goes unnoticed"),
            _table(page, against),
        ]
    lines += common.notes(
        page, list(dict.fromkeys(note for one in answer.curves for note in one.notes)), "Notes"
    )
    lines += common.cautions(page, answer.cautions)
    return "\n".join(lines) + "\n"


def _mass(surface_mass: float) -> str:
    return f"{surface_mass:.1f}" if surface_mass else "–"


def _octaves(label: str, values: Array, style: str = ".0f") -> list[str]:
    return [label, *("0" if abs(value) < 0.5 else format(value, style) for value in values)]


def _table(page: Page, rows: list[list[str]]) -> str:
    return page.table(["Hz", *(f"{band:g}" for band in OCTAVES)], rows, align="f" + "r" * OCTAVES.size)
