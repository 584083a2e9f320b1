"""Why a construction stops what it stops, told as part of its curve."""

from __future__ import annotations

import numpy as np

from isolate.answers.curve.why import CLEAR_DB, Variation, Why, held_by
from isolate.bands import OCTAVES, Array
from isolate.describe.constructions import Construction
from isolate.describe.words import hertz
from isolate.show.document import Block, Heading, Items, Paragraph, Table, decibels

_BASS = 1  # the octave at 63 Hz
_FEW = 6  # changes in the first screen

WORDS = {
    "mass": "weight alone",
    "swing": "resonance of the cavity",
    "pair": "two leaves apart",
    "modes": "modes of the leaves",
    "bend": "bending (coincidence)",
    "stiff": "stiffness",
    "frame": "studs, frames, edges",
    "leak": "gaps",
}
"""What rules an octave, in words."""



def rules(construction: Construction, rule: str) -> str:
    """What rules an octave of this construction, in words: what holds it, by what it has."""
    if rule != "frame":
        return WORDS[rule]
    held = held_by(construction)
    return "framing" if held.startswith("the framing") else _HELD[held]


_HELD = {
    "the joints of the frames": "joints of the frames",
    "the edges and the structure around": "edges, structure around",
}
_MEANT = {
    "mass": "mass law, whatever it is made of",
    "swing": "the leaves swing against each other on the gas between them",
    "pair": "they do better than their mass in one",
    "modes": "bending waves between the edges radiate besides what is forced",
    "bend": "about coincidence leaves keep step with the sound, above it only losses hold them",
    "stiff": "it holds the leaves better than their weight would",
    "frame": "what holds the leaves carries sound past them",
    "leak": "sound goes through them",
}


def first(answer: Why) -> list[Block]:
    """What shows, and the changes that would move it most."""
    return [
        Heading("What shows"),
        Items([_sentence(one.text) for one in answer.features], few=_FEW),
        Heading("What would move it: dB gained in Rw, and in the bass at 63 Hz (·: none)"),
        Table(["", "Rw", "63 Hz"], [_gained(one) for one in answer.variations], "frr", few=_FEW),
    ]


def full(answer: Why) -> list[Block]:
    """The curve taken apart, and every change octave by octave."""
    head = ["", *(f"{band:g}" for band in OCTAVES), "Rw"]
    rows = [[one.text, *map(_gain, one.gain_db), _gain(one.rw_gain)] for one in answer.variations]
    return [
        Heading("Why: the curve taken apart, octave by octave [dB]"),
        _parts(answer),
        *(Paragraph(f"{_MEANT[rule]}.", WORDS[rule]) for rule in WORDS if rule in answer.rules),
        Heading("Every change: dB gained per octave, and in Rw"),
        Table(head, rows, "f" + "r" * (OCTAVES.size + 1)),
        Paragraph(_bass(answer), "Bass"),
    ]


def _gained(one: Variation) -> list[str]:
    return [one.text, _gain(one.rw_gain), _gain(one.gain_db[_BASS])]


def _parts(answer: Why) -> Table:
    """A row an octave: what each part does, what rules, and by which way the sound goes."""
    parts = answer.parts.octaves()
    carried = {name: share for name, share in answer.shares.items() if np.any(share >= 0.005)}
    rows = [
        [
            hertz(hz), decibels(parts.mass_db[i]),
            *(_gain(part[i]) for part in (parts.cavities_db, parts.bending_db, parts.framing_db)),
            decibels(parts.total_db[i]), *(f"{100 * share[i]:.0f} %" for share in carried.values()),
        ]
        for i, hz in enumerate(OCTAVES)
    ]  # fmt: skip
    head = [
        "",
        "limp sheet",
        "cavities",
        "bending",
        "framing",
        "together",
        *(f"by {name}" for name in carried),
    ]
    return Table(head, rows, "r" * len(head))


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."


def _gain(value: float) -> str:
    """A difference to the whole dB with its sign, a point for none."""
    return f"{value:+.0f}" if abs(value) >= 0.5 else "·"


def _bass(answer: Why) -> str:
    """What helps most where it is hardest."""
    gains: Array = np.array([one.gain_db[_BASS] for one in answer.variations])
    best = int(gains.argmax())
    if gains[best] < CLEAR_DB:
        text = f"none of these gains {CLEAR_DB:.0f} dB: bass takes more than one change"
    else:
        text = f"most would be gained by: {answer.variations[best].text}"
    return f"at {OCTAVES[_BASS]:g} Hz {text}."
