"""The two searches behind every rating: a shifted contour, and a source heard through the partition.

Contour searches run in whole tenths of a decibel (ISO) or whole decibels (ASTM), as integers, so that a
sum of exactly 32.0 dB is exactly that. The largest shift s with sum(max(0, s - d)) <= limit, d being
the distances of the bands from the contour sorted upwards, is the smallest of (limit + d1 + ... + dk) / k:
no loop over shifts or spectra.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.standards.rounding import half_up
from isolate.standards.tables import Contour, SourceSpectrum

Integers = NDArray[np.int64]


def _finite(tl: Array) -> Array:
    if not np.isfinite(tl).all():
        raise ValueError("tl_db: every rated band must be a finite number of decibels (got nan or inf)")
    return tl


def contour_shift(tl: Array, contour: Contour, *, per_db: int = 1) -> Integers:
    """Rating by a shifted contour, in units of 1 / `per_db` dB; (..., bands of the contour) to (...).

    Parameters
    ----------
    tl : transmission loss or level difference [dB] in the contour's own bands.
    contour : the reference values, allowed sum and allowed single deviation.
    per_db : steps of the shift in a decibel: 1 for a rating, 10 for stating uncertainty.
    """
    unit = contour.units_per_db
    levels = half_up(_finite(tl) * unit).astype(np.int64)
    distance = np.sort(levels - contour.reference * unit, axis=-1)
    count = np.arange(1, distance.shape[-1] + 1)
    room = contour.sum_limit * unit + np.cumsum(distance, axis=-1)
    shift = np.min((room * per_db) // (count * unit), axis=-1)
    if contour.single_limit is not None:
        shift = np.minimum(shift, (distance[..., 0] + contour.single_limit * unit) * per_db // unit)
    return np.asarray(shift + contour.rating_at_zero * per_db)


def level_through(tl: Array, source_db: Array) -> Array:
    """Ten lg of the sum of source levels less transmission loss [dB] over the last axis."""
    through = source_db - tl
    top = through.max(axis=-1, keepdims=True)
    return np.asarray(top[..., 0] + 10.0 * np.log10(np.sum(10.0 ** ((through - top) / 10.0), axis=-1)))


def spectrum_rating(tl: Array, spectrum: SourceSpectrum) -> Integers:
    """A-weighted level difference [dB] for a source spectrum, whole decibels; in the spectrum's own bands.

    X_A = total - 10 lg sum 10^((L - X) / 10), ISO 717-1:2020, 4.5; ASTM E1332-16, equation 1.
    """
    levels = _finite(tl)
    if spectrum.tenths:
        levels = half_up(levels * 10.0) / 10.0
    return half_up(spectrum.total_db - level_through(levels, spectrum.level_db)).astype(np.int64)
