"""What do I have now? Isolation from recordings in the loud and the quiet room, with its trust.

Level differences need no calibrated meter: the microphone is the same in both rooms and cancels.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.measure import parts
from isolate.answers.measure.bands import Measured
from isolate.answers.measure.cautions import cautions
from isolate.answers.measure.change import Change
from isolate.answers.measure.model import Compared
from isolate.answers.measure.parts import Files, Setup
from isolate.answers.measure.ratings import Rated, rated
from isolate.answers.measure.shape import Hint, hints
from isolate.answers.plain import headed
from isolate.answers.recordings.checks import mean_level, walked
from isolate.answers.recordings.recording import listen, own_background, sounding, steadied
from isolate.bands import OCTAVES, THIRD_OCTAVES, octave_tl
from isolate.remedies.cautions.facts import Caution
from isolate.standards import field as rules


@dataclass(frozen=True, repr=False)
class Measurement(Measured, Answer):
    """Isolation as measured, with what follows: single numbers, what the curve points at, cautions, and,
    where they were asked for, the `change` against a measurement before and the room's `model`."""

    ratings: tuple[Rated, ...] = ()
    hints: tuple[Hint, ...] = ()
    cautions: tuple[Caution, ...] = ()
    change: Change | None = None
    model: Compared | None = None

    def rating(self, *names: str) -> Rated | None:
        """The first of these ratings that could be made."""
        found = {one.name: one for one in self.ratings}
        return next((found[name] for name in names if name in found), None)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output, and `io` reads them back."""
        limits = self.rule == rules.LIMIT
        body = {
            "bands_hz": THIRD_OCTAVES,
            "quantity": self.curve_name, "tl_db": self.curve_db,
            "low_db": self.low_db, "high_db": self.high_db,
            "at_least": limits, "u_db": self.u_db, "repeat_db": self.repeat_db,
            "octave": {"bands_hz": OCTAVES, "tl_db": octave_tl(self.curve_db)},
            "loud_db": self.loud_db, "quiet_db": self.quiet_db, "background_db": self.background_db,
            "level_reference": "20 uPa" if self.calibrated else "full scale",
            "difference_db": self.difference_db, "standardised_db": self.standardised_db,
            "normalised_db": self.normalised_db, "reduction_db": self.reduction_db,
            "reverberation_s": self.time, "reverberation_basis": self.time_basis,
            "ratings": {one.name: one.to_dict() for one in self.ratings},
            "change": None if self.change is None else self.change.to_dict(),
            "model": None if self.model is None else self.model.to_dict(),
            "trust": self.trust,
            "findings": [finding.to_dict() for finding in self.findings],
            "hints": [hint.to_dict() for hint in self.hints],
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }  # fmt: skip
        return headed("measure", self.names | parts.setup_inputs(self.setup), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a third octave that was measured."""
        nothing = np.full(THIRD_OCTAVES.size, np.nan)
        columns = {
            "band_hz": THIRD_OCTAVES, "tl_db": self.curve_db, "low_db": self.low_db, "high_db": self.high_db,
            "at_least": (self.rule == rules.LIMIT).astype(int), "difference_db": self.difference_db,
            "standardised_db": self.standardised_db, "loud_db": self.loud_db, "quiet_db": self.quiet_db,
            "background_db": nothing if self.background_db is None else self.background_db,
            "reverberation_s": self.time,
        }  # fmt: skip
        rows = [list(row) for row in zip(*columns.values(), strict=True)]
        return list(columns), [row for row in rows if np.isfinite(row[1])]

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [("measured", one.name, float(one.value)) for one in self.ratings]


def measure(files: Files, setup: Setup | None = None) -> Measurement:
    """Answer: how much do wall, window and door keep out, as measured?

    Raises
    ------
    InputError
        A file that cannot be used, the files of the two rooms swapped, or one file given twice.
    """
    setup = setup or Setup()
    cut = sounding if setup.music else steadied
    loud = [cut(listen(path)) for path in files.loud]
    quiet = [cut(listen(path)) for path in files.quiet]
    silence = [listen(path) for path in files.background]
    notes: list[str] = [f"{r.name}: {note}" for r in (*loud, *quiet, *silence) for note in r.notes]
    if not silence:
        silence = [alone for alone in map(own_background, quiet) if alone is not None]
        if silence:
            notes.append("the background is the silent part of the quiet room's own recording")
    found = parts.findings(loud, quiet, silence, setup, given=bool(files.background))
    background_gain = setup.quiet_gain_db if setup.background_gain_db is None else setup.background_gain_db
    loud_db, quiet_db = mean_level(loud), mean_level(quiet) - setup.quiet_gain_db
    background_db = mean_level(silence) - background_gain if silence else None
    loud_db = parts.cornered(loud_db, files.loud_corner, 0.0, cut)
    quiet_db = parts.cornered(quiet_db, files.quiet_corner, setup.quiet_gain_db, cut)
    if background_db is not None:
        background_db = parts.cornered(background_db, files.background_corner, background_gain, lambda r: r)
    notes += parts.corner_notes(files, setup)
    clean_db, rule = parts.without_background(quiet_db, background_db)
    time, basis, u_time, more = parts.reverberation(files.decay, setup)
    found += more
    u_db, repeat_db = parts.uncertainty(loud, quiet, silence, time, u_time, setup, quiet_db, background_db)
    shift = parts.calibration(loud_db, setup.level)
    notes += parts.notes(setup, rule, basis, still=not all(map(walked, (*loud, *quiet))))
    result = Measurement(
        setup=setup, names=parts.names(files), loud_db=loud_db + shift, quiet_db=quiet_db + shift,
        background_db=None if background_db is None else background_db + shift, rule=rule,
        difference_db=loud_db - clean_db, time=time, time_basis=basis, u_db=u_db, repeat_db=repeat_db,
        calibrated=setup.level is not None, findings=tuple(found), notes=tuple(notes),
    )  # fmt: skip
    return told(result)


def told(result: Measurement) -> Measurement:
    """The measurement with what follows from its bands: ratings, hints and cautions."""
    return replace(result, ratings=rated(result), hints=hints(result), cautions=cautions(result))
