"""What do I have now? Isolation from recordings in the loud and the quiet room, with its trust.

Level differences need no calibrated meter: the microphone is the same in both rooms and cancels.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.answers.cautions import Caution
from isolate.answers.measure import parts
from isolate.answers.measure.cautions import cautions
from isolate.answers.measure.change import Change
from isolate.answers.measure.model import Compared
from isolate.answers.measure.parts import Files, Setup
from isolate.answers.measure.ratings import Rated, rated
from isolate.answers.measure.shape import Hint, hints
from isolate.answers.plain import headed
from isolate.answers.recordings.checks import DOUBT, SPOILT, Finding, mean_level, walked
from isolate.answers.recordings.recording import listen, own_background, sounding, steadied
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels, octave_tl
from isolate.standards import field as rules

LIMIT = 1.645
"""Low and high limits are at 5 % and 95 %: so many standard deviations away."""


@dataclass(frozen=True)
class Octave:
    """One octave [dB]: levels, D, the curve's value with its limits, and whether it is only a lower limit."""

    hz: float
    loud_db: float
    quiet_db: float
    background_db: float | None
    difference_db: float
    value_db: float
    low_db: float
    high_db: float
    at_least: bool


@dataclass(frozen=True)
class Measurement:
    """Isolation as measured. All (27,), NaN where the recordings hold no such band.

    `loud_db`, `quiet_db`, `background_db`: levels [dB re full scale, or absolute when `calibrated`], gains
    taken off; `rule`: what the background rule did; `difference_db` D; `time` [s] reverberation time and
    `time_basis` by band; `u_db` standard uncertainty of `curve_db`, `repeat_db` that of the same person
    doing it again.
    """

    setup: Setup
    names: dict[str, list[str]]
    loud_db: Array
    quiet_db: Array
    background_db: Array | None
    rule: NDArray[np.intp]
    difference_db: Array
    time: Array
    time_basis: tuple[str, ...]
    u_db: Array
    repeat_db: Array
    calibrated: bool
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]
    ratings: tuple[Rated, ...] = ()
    hints: tuple[Hint, ...] = ()
    cautions: tuple[Caution, ...] = ()
    change: Change | None = None
    model: Compared | None = None

    @property
    def absorption_area(self) -> Array | None:
        """A of the quiet room [m2] by band; None without its volume."""
        if self.setup.volume is None:
            return None
        return rules.absorption(volume=self.setup.volume, reverberation_time=self.time)

    @property
    def standardised_db(self) -> Array:
        """DnT, or D2m,nT of a facade [dB]."""
        return rules.standardised(self.difference_db, reverberation_time=self.time)

    @property
    def normalised_db(self) -> Array | None:
        """Dn [dB]; None without the volume."""
        area = self.absorption_area
        return None if area is None else rules.normalised(self.difference_db, absorption_area=area)

    @property
    def reduction_db(self) -> Array | None:
        """R' [dB]; None without volume and area."""
        absorption = self.absorption_area
        if absorption is None or self.setup.area is None:
            return None
        return rules.apparent_reduction(self.difference_db, area=self.setup.area, absorption_area=absorption)

    @property
    def curve_db(self) -> Array:
        """The fullest quantity there is: R', else DnT [dB]."""
        reduction = self.reduction_db
        return self.standardised_db if reduction is None else reduction

    @property
    def curve_name(self) -> str:
        """The name of `curve_db`."""
        if self.reduction_db is not None:
            return "R'"
        return "D2m,nT" if self.setup.facade else "DnT"

    @property
    def low_db(self) -> Array:
        """5 % limit of `curve_db` [dB]."""
        return self.curve_db - LIMIT * self.u_db

    @property
    def high_db(self) -> Array:
        """95 % limit [dB]; NaN where the value itself is only a lower limit."""
        return np.where(self.rule == rules.LIMIT, np.nan, self.curve_db + LIMIT * self.u_db)

    @property
    def drowned(self) -> NDArray[np.bool_]:
        """Bands (27,) that are known to drown in the background; none where it was not recorded."""
        return (self.rule == rules.LIMIT) & (self.background_db is not None)

    @property
    def trust(self) -> str:
        """ "good", "fair", "poor": what the files and the background allow."""
        core = (THIRD_OCTAVES >= 100) & (THIRD_OCTAVES <= 3150)
        worst = max((finding.grave for finding in self.findings), default=0)
        if worst == SPOILT:
            return "poor"
        limited = float(np.mean((self.rule == rules.LIMIT)[core]))
        return "fair" if worst == DOUBT or limited > 0.25 else "good"

    def octaves(self) -> list[Octave]:
        """The octaves that were measured, with the sums of levels and the mean transmission."""
        limited = (self.rule == rules.LIMIT).reshape(-1, 3).any(axis=1)
        u_db = self.u_db.reshape(-1, 3).mean(axis=1)
        value, difference = octave_tl(self.curve_db), octave_tl(self.difference_db)
        loud, quiet = octave_levels(self.loud_db), octave_levels(self.quiet_db)
        background = None if self.background_db is None else octave_levels(self.background_db)
        return [
            Octave(
                float(hz), float(loud[i]), float(quiet[i]),
                None if background is None else float(background[i]), float(difference[i]), float(value[i]),
                float(value[i] - LIMIT * u_db[i]), float(value[i] + LIMIT * u_db[i]), bool(limited[i]),
            )
            for i, hz in enumerate(OCTAVES) if np.isfinite(value[i])
        ]  # fmt: skip

    def rating(self, *names: str) -> Rated | None:
        """The first of these ratings that could be made."""
        found = {one.name: one for one in self.ratings}
        return next((found[name] for name in names if name in found), None)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output, and `measured_io` reads them back."""
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
