"""Ratings of impact sound: L_n,w with C_I (ISO 717-2), IIC (ASTM E989), coverings; how loud one blow reads.

Here less is better: the curve is shifted until the levels lie above it by no more than the rule allows. The
contour search is that of airborne ratings with the sign turned round. What goes in gives the name: L_n of a
laboratory, L'_n or L'_nT of a building.

References
----------
ISO 717-2:2013 (reference curves read; C_I, octave rule and reference floors from memory, checked against
their own ratings in the tests); ASTM E989-06 (from memory); IEC 61672-1: time weighting F, 125 ms.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import N_BANDS, OCTAVES, Array, energy_sum, index_of
from isolate.standards.contours import Integers, contour_shift
from isolate.standards.field import known
from isolate.standards.rounding import half_up
from isolate.standards.single_numbers import placed
from isolate.standards.tables import Contour


def _span(first_hz: float, last_hz: float) -> slice:
    return slice(index_of(first_hz), index_of(last_hz) + 1)


RATED = _span(100, 3150)
_CURVE = np.array([62, 62, 62, 62, 62, 62, 61, 60, 59, 58, 57, 54, 51, 48, 45, 42])
ISO_THIRDS = Contour("ISO 717-2 third octaves", -_CURVE, 32, None, 10, -60, RATED)
ISO_OCTAVES = Contour(
    "ISO 717-2 octaves", -np.array([67, 67, 65, 62, 49]), 10, None, 10, -60, slice(2, 7)
)  # 125 to 2000 Hz; 5 dB less than the curve at 500 Hz
IIC = Contour("ASTM E989", -_CURVE, 32, 8, 1, 50, RATED)
TERM, TERM_50 = _span(100, 2500), _span(50, 2500)  # bands of C_I and C_I,50-2500

# Bare floors that coverings are rated on, 100 to 3150 Hz (ISO 717-2:2013, tables 4 and A.1; from memory):
# a concrete slab of about 120 mm, and timber floors 1 and 2 (one spectrum).
HEAVY_FLOOR = np.array([67, 67.5, 68, 68.5, 69, 69.5, 70, 70.5, 71, 71.5, 72, 72, 72, 72, 72, 72])
TIMBER_FLOOR = np.array([78.0] * 6 + [76, 74, 72, 69, 66, 63, 60, 57, 54, 51])

FAST = 8.0  # 1/s: time weighting F forgets within 125 ms
DECAY = 13.8  # reverberant energy falls as exp(-13.8 t/T)
REFERENCE_AREA = 10.0  # m2 of absorption that L_n is told for


@dataclass(frozen=True)
class ImpactNumbers:
    """Ratings of an impact spectrum [dB, whole numbers]; None where the data do not reach."""

    lnw: int | None = None
    ci: int | None = None
    ci_50: int | None = None
    iic: int | None = None
    notes: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, int | None]:
        """Plain values under the standards' names, as in JSON."""
        return {"Ln,w": self.lnw, "CI": self.ci, "CI50-2500": self.ci_50, "IIC": self.iic}

    def __str__(self) -> str:
        """The usual one line: "Ln,w (CI) = 78 (-11) dB, IIC 28"."""
        if self.lnw is None:
            return "no rating: too few bands"
        terms = "" if self.ci is None else f" ({self.ci})"
        return f"Ln,w{' (CI)' if terms else ''} = {self.lnw}{terms} dB" + (
            "" if self.iic is None else f", IIC {self.iic}"
        )


def _thirds(level_db: ArrayLike) -> Array:
    level = np.asarray(level_db, float)
    if level.ndim == 0 or level.shape[-1] != N_BANDS:
        raise ValueError(f"level_db: last axis must have {N_BANDS} third octaves (got shape {level.shape})")
    return level


def _negative(level: Array, per_db: int) -> Array:
    """Levels rounded as the standards round them, halves up, with the sign turned."""
    return -half_up(level * per_db) / per_db


def lnw(level_db: ArrayLike) -> Integers:
    """Weighted impact sound level L_n,w [dB] (L'_nT,w of L'_nT); (..., 27) to (...), ISO 717-2:2013, 4.3.

    >>> int(lnw(np.full(27, 60.0)))  # 66 - 60 below six bands, then ever more above the falling curve
    66
    """
    return -contour_shift(_negative(_thirds(level_db)[..., RATED], 10), ISO_THIRDS)


def iic(level_db: ArrayLike) -> Integers:
    """Impact insulation class; (..., 27) to (...): 110 less the curve at 500 Hz (ASTM E989).

    Levels to whole decibels, 32 dB in all, and no band more than 8 dB above the curve.
    """
    return contour_shift(_negative(_thirds(level_db)[..., RATED], 1), IIC)


def adaptation(level_db: ArrayLike, *, low: bool = False) -> Integers:
    """C_I [dB], or C_I,50-2500 with `low`; (..., 27) to (...): sum of the bands - 15 - L_n,w (annex A)."""
    level = _thirds(level_db)
    tenths = half_up(level[..., TERM_50 if low else TERM] * 10) / 10
    return half_up(energy_sum(tenths)).astype(np.int64) - 15 - lnw(level)


def rate(level_db: ArrayLike) -> ImpactNumbers:
    """Every rating of one third-octave impact spectrum (27,) [dB]; NaN marks a band without data."""
    level = _thirds(level_db)
    known = ~np.isnan(level)
    if not known[RATED].all():
        return ImpactNumbers(notes=("Ln,w and IIC need the third octaves 100 to 3150 Hz",))
    low = int(adaptation(level, low=True)) if known[TERM_50].all() else None
    return ImpactNumbers(int(lnw(level)), int(adaptation(level)), low, int(iic(level)))


def rate_octaves(level_db: ArrayLike) -> ImpactNumbers:
    """Ratings of an octave impact spectrum (9,), 31.5 Hz to 8 kHz: L_n,w and C_I by the octave rule."""
    level = np.asarray(level_db, float)
    if np.isnan(level[2:7]).any():
        return ImpactNumbers(notes=("Ln,w needs the octaves 125 to 2000 Hz",))
    base = -int(contour_shift(_negative(level[2:7], 10), ISO_OCTAVES))
    term = int(half_up(energy_sum(half_up(level[2:7] * 10) / 10))) - 15 - base
    return ImpactNumbers(
        base, term, notes=("by the octave rule of ISO 717-2, meant for field measurements; IIC needs thirds",)
    )


def rate_spectrum(bands_hz: ArrayLike, level_db: ArrayLike) -> ImpactNumbers:
    """Ratings of impact levels [dB] in whatever third octaves or octaves were measured, in any order.

    Raises
    ------
    InputError
        Lists of different length, a value that is no number, a frequency that is no band, a band twice.
    """
    values, notes = placed(bands_hz, level_db, name="l_n")
    rated = rate_octaves(values) if values.size == OCTAVES.size else rate(values)
    return ImpactNumbers(rated.lnw, rated.ci, rated.ci_50, rated.iic, (*rated.notes, *notes))


def covering(improvement_db: ArrayLike, *, timber: bool = False) -> Integers:
    """Weighted reduction delta L_w [dB] of a covering from its delta L in the 16 bands 100 to 3150 Hz.

    On the heavy reference floor, or delta L_t,w on timber floors 1 and 2. Never take one for the other.
    """
    floor = TIMBER_FLOOR if timber else HEAVY_FLOOR
    bare, covered = (
        contour_shift(_negative(floor - change, 10), ISO_THIRDS)
        for change in (np.zeros(floor.size), np.asarray(improvement_db, float))
    )
    return covered - bare


def fast_maximum(reverberation_time: ArrayLike) -> Array:
    """L_Fmax less L_E [dB] of one short blow in a room that rings for T [s]; same shape.

    The largest value of the decay exp(-k t), k = 13.8/T, of unit energy, seen through time weighting F,
    8 exp(-8 t): 8 k/(k - 8) (exp(-8 t) - exp(-k t)) at t = ln(k/8)/(k - 8).

    >>> fast_maximum([0.3, 0.5, 1.0, 2.0]).round(1).tolist()
    [7.4, 6.8, 5.8, 4.4]
    """
    k = DECAY / known("reverberation_time", reverberation_time, "s")
    k = np.where(np.abs(k - FAST) < 1e-6, FAST + 1e-6, k)  # the limit of equal rates
    at = np.log(k / FAST) / (k - FAST)
    return np.asarray(10 * np.log10(FAST * k / (k - FAST) * (np.exp(-FAST * at) - np.exp(-k * at))))
