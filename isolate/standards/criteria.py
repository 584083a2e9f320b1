"""Background criteria: NC and NR curves, and backgrounds given as one number.

References
----------
ANSI/ASA S12.2-2008, Criteria for evaluating room noise: NC curves and the tangent method.
AS 1469:1983 (after ISO/R 1996:1971): NR curves as L = A + B NR.
ASHRAE Handbook, HVAC Applications: neutral room spectrum falling 5 dB an octave (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels
from isolate.errors import InputError
from isolate.standards.spreading import thirds_of_levels
from isolate.standards.weighting import dba

NC_NUMBERS: Array = np.arange(15.0, 71.0, 5.0)
# Octaves 63 Hz to 8 kHz, one row a curve.
NC_CURVES: Array = np.array(
    [
        [47, 36, 29, 22, 17, 14, 12, 11],
        [51, 40, 33, 26, 22, 19, 17, 16],
        [54, 44, 37, 31, 27, 24, 22, 21],
        [57, 48, 41, 35, 31, 29, 28, 27],
        [60, 52, 45, 40, 36, 34, 33, 32],
        [64, 56, 50, 45, 41, 39, 38, 37],
        [67, 60, 54, 49, 46, 44, 43, 42],
        [71, 64, 58, 54, 51, 49, 48, 47],
        [74, 67, 62, 58, 56, 54, 53, 52],
        [77, 71, 67, 63, 61, 59, 58, 57],
        [80, 75, 71, 68, 66, 64, 63, 62],
        [83, 79, 75, 72, 71, 70, 69, 68],
    ],
    float,
)
# 31.5 Hz of the same curves, from memory: fills background spectra, never decides a rating.
NC_31_HZ: Array = np.array([61, 63, 65, 68, 71, 74, 76, 79, 82, 85, 88, 90], float)

# Octaves 31.5 Hz to 8 kHz.
NR_A: Array = np.array([55.4, 35.5, 22.0, 12.0, 4.8, 0.0, -3.5, -6.1, -8.0])
NR_B: Array = np.array([0.681, 0.790, 0.870, 0.930, 0.974, 1.000, 1.015, 1.025, 1.030])


def _along_curves(at: ArrayLike, x: Array, y: Array) -> Array:
    """y(at) on straight lines through (x, y), the first and last line going on outside."""
    value = np.asarray(at, float)
    i = np.clip(np.searchsorted(x, value) - 1, 0, x.size - 2)
    return np.asarray(y[i] + (value - x[i]) * (y[i + 1] - y[i]) / (x[i + 1] - x[i]))


def _number(value: float, what: str, low: float, high: float) -> float:
    if not low <= value <= high:
        raise InputError(f"background: {what} beyond all rooms (got {value:g}); write {low:g} to {high:g}")
    return float(value)


def nc_octaves(nc: float) -> Array:
    """Octave levels [dB] of an NC curve, 31.5 Hz to 8 kHz (9,); interpolated and continued."""
    number = _number(nc, "NC", 0, 90)
    curves = np.column_stack([NC_31_HZ, NC_CURVES])
    return np.array([_along_curves(number, NC_NUMBERS, curves[:, i]) for i in range(OCTAVES.size)])


def nr_octaves(nr: float) -> Array:
    """Octave levels [dB] of an NR curve, 31.5 Hz to 8 kHz (9,): L = A + B NR."""
    return NR_A + NR_B * _number(nr, "NR", 0, 130)


def nc_levels(nc: float) -> Array:
    """Third-octave background levels [dB] whose octaves lie on an NC curve (27,)."""
    return thirds_of_levels(nc_octaves(nc))


def nr_levels(nr: float) -> Array:
    """Third-octave background levels [dB] whose octaves lie on an NR curve (27,)."""
    return thirds_of_levels(nr_octaves(nr))


_NEUTRAL: Array = -5.0 * np.log2(THIRD_OCTAVES / 1000.0)


def dba_levels(dba_total: float) -> Array:
    """Third-octave background levels [dB] of a neutral room spectrum with this A-weighted level (27,)."""
    return _NEUTRAL + _number(dba_total, "dBA", -20, 140) - dba(_NEUTRAL)


def nc(level_db: ArrayLike) -> Array:
    """NC rating of third-octave levels by the tangent method; (..., 27) to (...).

    The highest curve touched by any octave from 63 Hz to 8 kHz, between curves on straight lines and
    not rounded; below NC 15 and above NC 70 the nearest pair of curves is continued.
    """
    octaves = octave_levels(level_db)[..., 1:]
    touched = [_along_curves(octaves[..., i], NC_CURVES[:, i], NC_NUMBERS) for i in range(8)]
    return np.asarray(np.max(touched, axis=0))


def nr(level_db: ArrayLike) -> Array:
    """NR rating of third-octave levels: the highest curve touched by any octave, 31.5 Hz to 8 kHz;
    (..., 27) to (...), not rounded."""
    return np.asarray(np.max((octave_levels(level_db) - NR_A) / NR_B, axis=-1))
