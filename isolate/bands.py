"""Frequency bands: third octaves 25 Hz to 10 kHz and the octaves 31.5 Hz to 8 kHz they make.

Every spectrum in the house is an array whose last axis has the 27 third octaves, unless its
docstring says otherwise. Centre frequencies are the base-ten ones of IEC 61260-1:2014, clause 5.2;
the nominal ones (clause 5.5) are names only.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

THIRD_OCTAVES: Array = np.array(
    [25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800,
     1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000]
)  # fmt: skip
OCTAVES: Array = np.array([31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000])
THIRD_OCTAVES.flags.writeable = OCTAVES.flags.writeable = False
N_BANDS = THIRD_OCTAVES.size
BEYOND: Array = np.array([10.0, 12.5, 16.0, 20.0, 12500.0, 16000.0, 20000.0])  # at times measured, not used
BEYOND.flags.writeable = False

_FIRST_INDEX = -16  # 25 Hz is band -16 counted from 1 kHz


def exact(nominal_hz: ArrayLike) -> Array:
    """Exact base-ten centre frequencies [Hz] of nominal third-octave frequencies, same shape."""
    nominal = np.asarray(nominal_hz, float)
    return 1000.0 * 10.0 ** (np.round(10.0 * np.log10(nominal / 1000.0)) / 10.0)


@lru_cache(maxsize=256)
def index_of(nominal_hz: float) -> int:
    """Index into `THIRD_OCTAVES` of the band with this nominal frequency [Hz].

    >>> index_of(1000)
    16
    """
    where = np.flatnonzero(np.isclose(THIRD_OCTAVES, nominal_hz, rtol=0.02))
    if where.size != 1:
        raise ValueError(f"nominal_hz: {nominal_hz} is no third-octave band from 25 Hz to 10 kHz")
    return int(where[0])


@lru_cache(maxsize=32)
def points(per_band: int) -> Array:
    """Frequencies [Hz] inside the 27 bands, `per_band` to each, at the middles of equal
    logarithmic parts; shape (27 * per_band,), not to be written into."""
    inside = (np.arange(per_band) + 0.5) / per_band - 0.5
    index = (np.arange(N_BANDS) + _FIRST_INDEX)[:, None] + inside
    found: Array = (1000.0 * 10.0 ** (index / 10.0)).ravel()
    found.flags.writeable = False
    return found


def band_mean(fine: ArrayLike, per_band: int) -> Array:
    """Mean over the points of each band, of all or of some; (..., B * per_band) to (..., B)."""
    values = np.asarray(fine, float)
    return values.reshape(*values.shape[:-1], -1, per_band).mean(-1)


def energy_sum(level_db: ArrayLike, axis: int = -1) -> Array:
    """Level [dB] of the energy sum along `axis`; -inf where there is nothing.

    >>> float(energy_sum([60.0, 60.0]).round(2))
    63.01
    """
    level = np.asarray(level_db, float)
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(np.sum(10.0 ** (level / 10.0), axis=axis)))


def _by_octave(values: Array) -> Array:
    return values.reshape(*values.shape[:-1], OCTAVES.size, 3)


def octave_levels(level_db: ArrayLike) -> Array:
    """Octave levels [dB] as energy sums of their thirds; (..., 27) to (..., 9)."""
    return energy_sum(_by_octave(np.asarray(level_db, float)))


def octave_tl(tl_db: ArrayLike) -> Array:
    """Octave transmission loss [dB]: minus ten lg of the mean transmission; (..., 27) to (..., 9)."""
    return 10.0 * np.log10(3.0) - energy_sum(_by_octave(-np.asarray(tl_db, float)))
