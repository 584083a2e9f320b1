"""Whether a sound is heard: the threshold of hearing and masking by the background.

Levels are first counted from the threshold (sensation levels), because the outer and middle ear weaken low
frequencies before any filtering in the inner ear: background nobody can hear masks nothing. Energy then
adds within a critical band. Per ISO 1996-2:2007, annex C, a critical band is 100 Hz wide up to 500 Hz and
20 % of its centre above. A third octave (23 %) stands for one from 500 Hz up; below, the critical band
reaches into the neighbouring thirds: it spans about two of them at 250 Hz, five at 100 Hz. Below 50 Hz, where
the annex stops, it ends at zero and at twice the centre frequency.

A sound is audible in a masking noise down to -2 - lg(1 + (f / 502)^2.5) dB relative to the noise in its
critical band (the annex's masking index), and in quiet down to the threshold. Masking noise and threshold
are added as energies, so that where both are equal the sound needs 3 dB more than for either alone.

References
----------
ISO 389-7:2019, Acoustics - Reference zero for the calibration of audiometric equipment - Part 7.
ISO 1996-2:2007, Acoustics - Description, measurement and assessment of environmental noise - Part 2, annex C.
G. Gaessler, Acustica 4 (1954) 408: energy adds within a critical band also at threshold (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import THIRD_OCTAVES, Array, exact

# ISO 389-7:2019, table 1, diffuse field, as in a room sound comes from all sides [dB]: 125 Hz, 1 kHz and
# 8 kHz read, the others from memory.
THRESHOLD: Array = np.array(
    [68.7, 59.5, 51.1, 44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.4, 5.8, 3.8,
     2.1, 1.0, 0.8, 1.9, 0.5, -1.5, -3.1, -4.0, -3.8, -1.8, 2.5, 6.8, 9.8]
)  # fmt: skip

MASKING_INDEX: Array = -2.0 - np.log10(1.0 + (exact(THIRD_OCTAVES) / 502.0) ** 2.5)
_MASKING: Array = 10.0 ** (MASKING_INDEX / 10.0)

VERDICTS: tuple[tuple[float, str], ...] = (
    (0.0, "not audible"), (5.0, "faint"), (10.0, "audible"), (np.inf, "clear"),
)  # fmt: skip


def _critical_band_shares() -> Array:
    """Share of each third octave (last axis) inside the critical band round another; (27, 27)."""
    centre = exact(THIRD_OCTAVES)
    lower, upper = centre * 10**-0.05, centre * 10**0.05
    half_width = np.where(THIRD_OCTAVES < 500.0, np.minimum(50.0, centre), 0.0)
    start = np.minimum(lower, centre - half_width)[:, None]
    end = np.maximum(upper, centre + half_width)[:, None]
    overlap = np.minimum(end, upper) - np.maximum(start, lower)
    return np.clip(overlap / (upper - lower), 0.0, 1.0)


_SHARES = _critical_band_shares()
_SILENT = -300.0  # dB; keeps silence apart from "no number"
_WIDE = 13  # bands below 500 Hz, whose critical band reaches into others: into these
_NEAR = np.argsort(_SHARES[:_WIDE] == 0.0, axis=1, kind="stable")[:, : int((_SHARES > 0.0).sum(1).max())]
_NEAR_DB = 10.0 * np.log10(np.maximum(np.take_along_axis(_SHARES[:_WIDE], _NEAR, axis=1), 1e-60))
_NEPER = np.log(10.0) / 10.0


def _in_critical_band(sensation_db: Array) -> Array:
    """Energy re the threshold in the critical band round each third; (..., 27) to (..., 27)."""
    return np.asarray(np.exp(_NEPER * sensation_db) @ _SHARES.T)


def _strongest(sensation_db: Array) -> Array:
    """The largest part of that which one third octave brings [dB]; bands come first meanwhile, for speed."""
    by_band = sensation_db.T.copy()
    share_db = _NEAR_DB.reshape(*_NEAR.shape, *[1] * (by_band.ndim - 1))
    by_band[:_WIDE] = np.max(by_band[_NEAR] + share_db, axis=1)
    return by_band.T


def masked_threshold(background_db: ArrayLike, *, threshold_db: ArrayLike = THRESHOLD) -> Array:
    """Level [dB] a single third octave of sound needs to be just audible; (..., 27) to (..., 27).

    Threshold and masking by the critical band of the background, added as energies.
    """
    threshold = np.asarray(threshold_db, float)
    noise = _in_critical_band(np.maximum(np.asarray(background_db, float) - threshold, _SILENT))
    return threshold + 10.0 * np.log10(1.0 + noise * _MASKING)


def margin(level_db: ArrayLike, background_db: ArrayLike, *, threshold_db: ArrayLike = THRESHOLD) -> Array:
    """Excess [dB] of a sound over the threshold of hearing in a background; (..., 27) to (..., 27).

    Parameters
    ----------
    level_db, background_db : third-octave levels [dB] at the listener; they broadcast. -inf is silence.
    threshold_db : threshold of hearing, diffuse field by default.

    Notes
    -----
    A third octave's level less its masked threshold, plus what neighbours in the same critical band add to
    the strongest of them: nothing for a tone or above 500 Hz, some decibels for broad bass. So a sound
    shaped like a loud background is audible from the masking index on, at every frequency. The sound is
    heard if the largest excess is above zero.
    """
    threshold = np.asarray(threshold_db, float)
    level = np.asarray(level_db, float)
    sensation = np.maximum(level - threshold, _SILENT)
    neighbours = 10.0 * np.log10(_in_critical_band(sensation)) - _strongest(sensation)
    return np.asarray(level + neighbours - masked_threshold(background_db, threshold_db=threshold))


def verdict(margin_db: ArrayLike) -> str:
    """The word for an excess [dB]; of several bands the largest counts.

    >>> verdict(0.0), verdict(5.0), verdict(10.0), verdict([-3.0, 10.1])
    ('not audible', 'faint', 'audible', 'clear')
    """
    largest = float(np.max(np.asarray(margin_db, float)))
    return next(word for upper, word in VERDICTS if largest <= upper)
