"""Isolation as measured, band by band, and the quantities that follow from it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isolate.answers.measure.parts import Setup
from isolate.answers.recordings.checks import DOUBT, SPOILT, Finding
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels, octave_tl
from isolate.standards import field as rules

COMMON = 0.5
"""Part of a band's variance that all bands share, and that may shift the whole curve: between the two
extremes of ISO 12999-1, annex B."""

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


@dataclass(frozen=True, repr=False)
class Measured:
    """What was measured. All (27,), NaN where the recordings hold no such band.

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
