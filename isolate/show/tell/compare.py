"""Constructions side by side, told: which stops more, where, and how sure that is."""

from __future__ import annotations

import numpy as np

from isolate.answers.compare import SAME_DB, Comparison
from isolate.answers.curve.answer import Curve
from isolate.bands import OCTAVES, Array
from isolate.describe.words import hertz, listed
from isolate.errors import shown
from isolate.room import audibility
from isolate.show import said
from isolate.show.document import Block, Document, Heading, Next, Paragraph, Table, decibels, notes
from isolate.show.tell import why

_LEAST = 2  # to compare
_RATINGS = ("Rw", "C", "Ctr", "STC", "OITC")


def document(answer: Comparison) -> Document:
    """Ratings, each against the first in a sentence, octaves; limits of the gains with --full."""
    named = list(zip(answer.labels, answer.curves, strict=True))
    first, *others = answer.labels
    blocks: list[Block] = [
        Table(
            ["single numbers, dB", *_RATINGS, "kg/m2"],
            [[label, *(f"{one.ratings[name]}" for name in _RATINGS), _mass(one)] for label, one in named],
            "frrrrrr",
        ),
    ]
    if any(one.vent for one in answer.curves):
        blocks.append(Paragraph("counts as 10 m2 of an element whose Rw is its Dn,e,w.", "A vent"))
    steps = _of_steps(answer)
    leads = steps and answer.noise is None  # nobody asked about sound in the air
    blocks += [Paragraph(_of_noise(answer) if leads else steps)] if steps else []
    place = f"in place of {first}{', in the air' if steps else ''}:"
    gained: list[Block] = [
        Paragraph(f"{against(gain, low, high)}.", f"{label} {place}")
        for label, (gain, low, high) in list(zip(answer.labels, answer.gains_db, strict=True))[1:]
    ]
    rows = [_octaves(label, one.octave_db) for label, one in named]
    one_other = len(others) == 1
    blocks += gained if one_other else []
    blocks += [Heading("What each stops, in dB, octave by octave"), _table(rows)]
    built = [one.construction for one in answer.curves]
    hidden: list[Block] = []
    if leads and all(one.silent for one in built):
        of_air = "no sheet says anything of it; what such floors mostly have is taken."
        blocks, hidden = [Paragraph(of_air, "In the air")], blocks
    blocks += [*said.meant(*built, named=True), *_noise_meant(answer), *said.ask_seller(*built)]
    return Document(
        title=steps if leads else _of_noise(answer),
        first=blocks,
        full=[*hidden, *([] if one_other else gained), *_limits(answer), *_rules(answer), *_assumed(answer)],
        cautions=answer.cautions,
        next=_next(answer),
        more="how sure each gain is, what rules where, and what was assumed",
        before="Before you build one",
    )


def _noise_meant(answer: Comparison) -> list[Block]:
    """What an everyday word for the noise was taken for."""
    noise = answer.noise
    if noise is None or noise.called == noise.name:
        return []
    return [Paragraph(f"{shown(noise.called)} is taken as {noise.name}.", "Noise")]


def _next(answer: Comparison) -> list[Next]:
    """Where to see why; nowhere of ratings alone."""
    built = [one.construction.called for one in answer.curves if one.construction.layers]
    name = said.quoted(built[-1]) if built else ""
    return [Next("See why one stops what it does", f"isolate curve {name} --why")] if built else []


def _of_steps(answer: Comparison) -> str:
    """Which lets least of footsteps through, where all are floors; else empty."""
    levels = answer.steps_db
    if not levels or len(levels) < _LEAST:
        return ""
    best = min(levels)
    first = listed([label for label, one in zip(answer.labels, levels, strict=True) if one == best])
    pairs = zip(answer.labels, levels, strict=True)
    others = ", ".join(f"{label} {one - best} more" for label, one in pairs if one != best)
    if not others:
        return f"Footsteps are as loud below all of them: Ln,w {best} dB."
    lets = "let" if levels.count(best) > 1 else "lets"
    return f"{first} {lets} least of footsteps through: Ln,w {best} dB; {others}."


def _of_noise(answer: Comparison) -> str:
    """Which keeps out most of the noise; that Rw misleads, where it does."""
    kept, best, noise = answer.kept_out_dba, answer.best, said.the(answer.noise_name)
    if answer.misled is not None:
        top, rival = answer.misled
        ahead = answer.curves[top].ratings["Rw"] - answer.curves[rival].ratings["Rw"]
        worse = "worse" if kept[top] < kept[rival] - SAME_DB else "no better"
        return (
            f"{answer.labels[top]} is {ahead} dB better in Rw and yet {worse} for this noise: it keeps "
            f"out {kept[top]:.0f} dB of {noise}, {answer.labels[rival]} {kept[rival]:.0f}."
        )
    told = [f"{one:.0f}" for one in kept]
    if len(told) == 1:
        return f"{answer.labels[0]} keeps out {told[0]} dB of {noise}."
    first = listed([label for label, one in zip(answer.labels, told, strict=True) if one == told[best]])
    others = [f"{label} {one}" for label, one in zip(answer.labels, told, strict=True) if one != told[best]]
    if not others:
        return f"{first} keep out as much of {noise}: {told[best]} dB."
    keep = "keep" if told.count(told[best]) > 1 else "keeps"
    return f"{first} {keep} out most of {noise}: {told[best]} dB; {', '.join(others)}."


def against(gain: Array, low: Array, high: Array) -> str:
    """Where one stops more than another, where less, and how much at most; `low` and `high` limits [dB]."""
    said = []
    for words, better in (("stops more", gain), ("stops less", -gain)):
        where = np.flatnonzero(better >= audibility.NOTICED_DB)
        if where.size:
            best = int(np.argmax(better))
            limits = (
                sorted((abs(float(low[best])), abs(float(high[best])))) if low[best] * high[best] > 0 else ()
            )
            sure = f" ({decibels(limits[0])} to {decibels(limits[1])})" if limits else ""
            said.append(
                f"{words} {_where(where)}, most at {hertz(OCTAVES[best])}: {decibels(better[best])} dB{sure}"
            )
    return "; ".join(said) or "nobody would notice the change: less than 3 dB in every octave"


def _where(bands: np.ndarray) -> str:
    """Octaves as one reads them out, runs as from and to."""
    runs = np.split(bands, np.flatnonzero(np.diff(bands) > 1) + 1)
    return listed([
        f"at {hertz(OCTAVES[run[0]])}" if run.size == 1
        else f"from {hertz(OCTAVES[run[0]])} to {hertz(OCTAVES[run[-1]])}"
        for run in runs
    ])  # fmt: skip


def _mass(one: Curve) -> str:
    return f"{one.surface_mass:.1f}" if one.surface_mass else "–"


def _limits(answer: Comparison) -> list[Block]:
    rows = [
        row
        for label, (gain, low, high) in list(zip(answer.labels, answer.gains_db, strict=True))[1:]
        for row in (
            _octaves(label, gain, "+.0f"), _octaves("  5 %", low, "+.0f"),
            _octaves("  95 %", high, "+.0f"),
        )
    ]  # fmt: skip
    if not rows:
        return []
    return [Heading(f"Gain over {answer.labels[0]}, in dB; under 3 dB goes unnoticed"), _table(rows)]


def _rules(answer: Comparison) -> list[Block]:
    """What rules each octave of each."""
    named = [
        (label, [why.rules(one.construction, rule) for rule in one.rules])
        for label, one in zip(answer.labels, answer.curves, strict=True) if one.rules
    ]  # fmt: skip
    if not named:
        return []
    rows = [[hertz(hz), *(rules[i] for _, rules in named)] for i, hz in enumerate(OCTAVES)]
    return [
        Heading("What rules there"),
        Table(["", *(label for label, _ in named)], rows, "r" + "f" * len(named)),
    ]


def _assumed(answer: Comparison) -> list[Block]:
    every = dict.fromkeys(note for one in answer.curves for note in one.notes)
    return notes(said.without_asking(every), "Notes")


def _octaves(label: str, values: Array, style: str = ".0f") -> list[str]:
    return [label, *("0" if abs(value) < 0.5 else format(value, style) for value in values)]


def _table(rows: list[list[str]]) -> Table:
    return Table(["Hz", *(f"{band:g}" for band in OCTAVES)], rows, "f" + "r" * OCTAVES.size)
