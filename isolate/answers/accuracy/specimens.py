"""Published specimens and what is predicted for them, band for band and in single numbers.

A specimen's own measurement is taken away before it is predicted, and met again only in the comparison.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from isolate.answers.accuracy import statistics
from isolate.answers.accuracy.statistics import Statistics
from isolate.bands import OCTAVES, Array, index_of, octave_tl
from isolate.describe import catalogue, constructions
from isolate.describe.constructions import Construction
from isolate.describe.measured import Measured
from isolate.physics import calibrated
from isolate.physics.transmission import transmission
from isolate.room import prediction
from isolate.room.families import family
from isolate.standards import ratings
from isolate.standards.tables import ISO_THIRDS, STC

FAR_DB = 3.0  # RMS of a row's bands, or error of a single number, beyond which it is spoken of


class Rating(NamedTuple):
    """A single number as published and as predicted [dB]."""

    name: str
    published: float
    predicted: float

    @property
    def error(self) -> float:
        """Predicted less published [dB]."""
        return self.predicted - self.published


@dataclass(frozen=True)
class Specimen:
    """One construction: predicted `tl_db` with limits (27,) beside its measurement; `constants` names the
    calibrated ones that the prediction read."""

    construction: Construction
    tl_db: Array
    low_db: Array
    high_db: Array
    constants: frozenset[str]

    @property
    def name(self) -> str:
        return self.construction.name

    @property
    def measured(self) -> Measured:
        assert self.construction.measured is not None
        return self.construction.measured

    @cached_property
    def family(self) -> str:
        return family(self.construction)

    @property
    def bands_hz(self) -> Array:
        """The published bands [Hz] (n,), none where only a single number is known."""
        return self.measured.bands_hz

    @cached_property
    def predicted_db(self) -> Array:
        """Prediction in the published bands [dB] (n,)."""
        return in_bands(self.tl_db, self.measured)

    @cached_property
    def error_db(self) -> Array:
        """Predicted less published [dB] (n,)."""
        return self.predicted_db - self.measured.tl_db

    @cached_property
    def statistics(self) -> Statistics:
        """Over its own bands."""
        return statistics.of_errors(self.error_db)

    @property
    def limits_db(self) -> tuple[Array, Array]:
        """5 % and 95 % limits of the prediction in the published bands [dB] (n,)."""
        return in_bands(self.low_db, self.measured), in_bands(self.high_db, self.measured)

    @property
    def inside(self) -> Array:
        """1 where a published band lies within the limits, else 0; (n,)."""
        low, high = self.limits_db
        return np.asarray((self.measured.tl_db >= low) & (self.measured.tl_db <= high), float)

    @cached_property
    def rated(self) -> tuple[Rating, ...]:
        """Rw and STC as published and predicted."""
        return self._rated(self.tl_db)

    @property
    def rated_inside(self) -> Array:
        """1 where a published Rw or STC lies within those of the limits, else 0; (n,)."""
        ends = zip(self._rated(self.low_db), self._rated(self.high_db), strict=True)
        return np.array([low.predicted <= low.published <= high.predicted for low, high in ends], float)

    def _rated(self, tl_db: Array) -> tuple[Rating, ...]:
        found = (("Rw", self.measured.rw, ratings.rw), ("STC", self.measured.stc, ratings.stc))
        return tuple(Rating(n, p, float(rate(tl_db))) for n, p, rate in found if p is not None)

    @property
    def far_off(self) -> bool:
        """Whether its bands or a single number lie further off than is aimed at."""
        bands = self.statistics.rms_db if self.bands_hz.size else 0.0
        return bands > FAR_DB or any(abs(one.error) > FAR_DB for one in self.rated)

    @property
    def pink(self) -> Rating | None:
        """Rw + C as published and predicted, None where it was not published."""
        return self._adapted("Rw + C", self.measured.c, 0)

    @property
    def traffic(self) -> Rating | None:
        """Rw + Ctr as published and predicted, None where it was not published."""
        return self._adapted("Rw + Ctr", self.measured.ctr, 1)

    def _adapted(self, name: str, term: float | None, which: int) -> Rating | None:
        if self.measured.rw is None or term is None:
            return None
        predicted = float(ratings.rw(self.tl_db) + ratings.adaptation(self.tl_db)[which])
        return Rating(name, self.measured.rw + term, predicted)

    @cached_property
    def octaves(self) -> tuple[Array, Array]:
        """Octaves that were measured whole [Hz] and the errors there [dB]."""
        if self.bands_hz.size == 0 or self.measured.octave:
            return self.bands_hz, self.error_db
        thirds = np.full(27, np.nan)
        thirds[[index_of(f) for f in self.bands_hz]] = self.measured.tl_db
        error = octave_tl(self.tl_db) - octave_tl(thirds)
        whole = np.isfinite(error)
        return OCTAVES[whole], error[whole]


def in_bands(tl_db: Array, measured: Measured) -> Array:
    """Transmission loss (27,) [dB] in the bands of a measurement; empty if it has none."""
    if not measured.bands_hz.size:
        return np.empty(0)
    if measured.octave:
        return octave_tl(tl_db)[np.searchsorted(OCTAVES, measured.bands_hz)]
    return tl_db[[index_of(f) for f in measured.bands_hz]]


def predict(construction: Construction) -> Specimen:
    """Predict a construction that was measured, without its measurement."""
    with calibrated.reading() as names:
        tl_db = transmission(replace(construction, measured=None), wanted=wanted(construction.measured)).tl_db
    low, high = prediction.limits(tl_db, prediction.of_curve(construction))
    return Specimen(construction, tl_db, low, high, frozenset(names))


def wanted(measured: Measured | None) -> tuple[int, int]:
    """The first of the bands that a measurement tells of and their end."""
    assert measured is not None
    told = [index_of(f) for f in measured.bands_hz]
    ends = [(min(told) - measured.octave, max(told) + 1 + measured.octave)] if told else []
    if measured.rw is not None:
        ends.append((ISO_THIRDS.bands.start, ISO_THIRDS.bands.stop))
    if measured.stc is not None:
        ends.append((STC.bands.start, STC.bands.stop))
    return min(first for first, _ in ends), max(end for _, end in ends)


def measured_constructions() -> Sequence[Construction]:
    """All bundled constructions that have layers and a measurement to hold them against."""
    loaded = map(constructions.load, catalogue.measured())
    return [one for one in loaded if one.measured is not None and one.layers]
