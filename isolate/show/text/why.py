"""Why a construction stops what it stops, as text."""

from __future__ import annotations

import numpy as np

from isolate.answers.curve.why import CLEAR_DB, RULES, Why
from isolate.bands import OCTAVES, Array
from isolate.show.layout import Page
from isolate.show.text import common

_BASS = 1  # the octave at 63 Hz


def lines(answer: Why, page: Page) -> list[str]:
    """The part of a curve's text that explains it."""
    return [
        page.heading("Why: the curve taken apart, octave by octave [dB]"),
        _parts(answer, page),
        *(page.wrapped(RULES[rule], label=f"  {rule}", margin=9) for rule in RULES if rule in answer.rules),
        page.heading("What shows"),
        *(page.wrapped(_sentence(one.text), label="  -", margin=4) for one in answer.features),
        page.heading("What would move it: dB gained per octave, and in Rw"),
        *_variations(answer, page),
        *_bass(answer, page),
    ]


def _parts(answer: Why, page: Page) -> str:
    parts = answer.parts.octaves()
    rows = [
        ["one limp sheet", *map(common.decibels, parts.mass_db)],
        ["cavities", *map(_gain, parts.cavities_db)],
        ["bending", *map(_gain, parts.bending_db)],
        ["framing", *map(_gain, parts.framing_db)],
        ["together", *map(common.decibels, parts.total_db)],
        ["ruled by", *answer.rules],
        *(
            [f"by {name} %", *(f"{100 * part:.0f}" for part in share)]
            for name, share in answer.shares.items()
            if np.any(share >= 0.005)
        ),
    ]
    return page.table(["Hz", *(f"{band:g}" for band in OCTAVES)], rows, align="l" + "r" * OCTAVES.size)


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _gain(value: float) -> str:
    """A difference to the whole dB with its sign, nothing for none."""
    return f"{value:+.0f}" if abs(value) >= 0.5 else "·"


def _variations(answer: Why, page: Page) -> list[str]:
    head = ["    Hz", *(f"{band:g}" for band in OCTAVES), "Rw"]
    rows = [["", *map(_gain, one.gain_db), _gain(one.rw_gain)] for one in answer.variations]
    first, *found = page.table(head, rows, align="l" + "r" * (OCTAVES.size + 1)).split("\n")
    text = [first]
    for one, line in zip(answer.variations, found, strict=True):
        text += [page.wrapped(one.text, label="  -", margin=4), line]
    return text


def _bass(answer: Why, page: Page) -> list[str]:
    """What helps most where it is hardest."""
    gains: Array = np.array([one.gain_db[_BASS] for one in answer.variations])
    best = int(gains.argmax())
    if gains[best] < CLEAR_DB:
        text = f"none of these gains {CLEAR_DB:.0f} dB: bass takes more than one change"
    else:
        text = f"most would be gained by: {answer.variations[best].text}"
    text = f"at {OCTAVES[_BASS]:g} Hz {text}"
    return [page.wrapped(text, label="Bass", ink="strong", margin=common.MARGIN)]
