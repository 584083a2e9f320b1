"""Field measurement of airborne sound insulation: background rule, quantities, corners, uncertainty.

References
----------
ISO 16283-1:2014, Field measurement of sound insulation - Part 1: Airborne (background 9.2, low frequencies
    8.1 and 10; from memory).
ISO 16283-3:2016, Part 3: Facade sound insulation (from memory).
ISO 3382-2:2008, Measurement of room acoustic parameters - Part 2 (from memory).
ISO 12999-1:2014, Measurement uncertainties in building acoustics - Part 1: Sound insulation (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isolate.bands import THIRD_OCTAVES, Array

CLEAR_DB, LEAST_DB, LEAST_CORRECTION_DB = 10.0, 6.0, 1.3
"""Background rule: no correction from 10 dB on; at 6 dB and less a fixed 1.3 dB and a limit only."""

CLEAR, CORRECTED, LIMIT = 0, 1, 2
"""What the rule did in a band."""

REFERENCE_TIME = 0.5
"""T0 [s] of the standardised level difference in dwellings."""

REFERENCE_AREA = 10.0
"""A0 [m2] of the normalised level difference."""

SMALL_ROOM = 25.0
"""Below this volume [m3] ISO 16283-1 wants corner measurements at 50, 63 and 80 Hz."""

CORNER_BANDS: NDArray[np.bool_] = np.isin(THIRD_OCTAVES, (50.0, 63.0, 80.0))
NEIGHBOURS_DB = 8.0
"""Adjacent third octaves in the loud room may not differ by more (ISO 16283-1)."""

SHORTEST: Array = np.select([THIRD_OCTAVES < 100.0, THIRD_OCTAVES < 450.0], [15.0, 6.0], 4.0)
"""Shortest averaging time [s] at a position, by band (ISO 16283-1)."""

IN_SITU_DB: Array = np.array(
    [5.5, 5.0, 4.5, 4.0, 3.6, 3.2, 2.8, 2.4, 2.0, 1.8, 1.6, 1.4, 1.2, 1.1]
    + [1.0] * 6 + [1.3, 1.6, 1.9, 2.2, 2.5, 2.8, 3.1]
)  # fmt: skip
"""Standard uncertainty [dB] by band of one careful field measurement (ISO 12999-1 table 2, situation B, 50 to
5000 Hz; beyond, carried on by 0.5 and 0.3 dB a band: our own)."""

REPEAT_DB: Array = np.array(
    [2.8, 2.5, 2.2, 2.0, 1.8, 1.6, 1.4, 1.2, 1.0, 0.9, 0.8, 0.7]
    + [0.6] * 9 + [0.8, 1.0, 1.2, 1.4, 1.6, 1.8]
)  # fmt: skip
"""The same when the same person measures again in the same place (situation C), carried on likewise."""


def known(name: str, value: ArrayLike, unit: str) -> Array:
    """A measured quantity as an array, above zero wherever it is known: nan is what could not be measured.

    unit: what `value` is told in, as [m2].

    Raises
    ------
    ValueError
        One that is zero or less; the message has its name, what came and what is allowed.
    """
    number = np.asarray(value, float)
    if np.any(number <= 0.0) or np.any(np.isinf(number)):
        raise ValueError(f"{name}: must be above 0 {unit} (got {value!r})")
    return number


def background_rule(level_db: ArrayLike, background_db: ArrayLike) -> tuple[Array, NDArray[np.intp]]:
    """Signal levels [dB] freed of the background, and what was done: `CLEAR`, `CORRECTED` or `LIMIT`.

    Parameters
    ----------
    level_db : signal and background together, any shape.
    background_db : background alone, same shape.

    Notes
    -----
    ISO 16283-1:2014, 9.2: more than 10 dB above, as it is; 6 to 10 dB above,
    L = 10 lg(10^(Lsb/10) - 10^(Lb/10)); 6 dB and less, 1.3 dB off, and the result is a limit.

    >>> level, what = background_rule([50.0, 50.0, 50.0], [30.0, 42.0, 47.0])
    >>> level.round(1).tolist(), what.tolist()
    ([50.0, 49.3, 48.7], [0, 1, 2])
    """
    both, alone = np.asarray(level_db, float), np.asarray(background_db, float)
    above = both - alone
    what = np.select([above > CLEAR_DB, above > LEAST_DB], [CLEAR, CORRECTED], LIMIT)
    part = np.clip(above, LEAST_DB, None)
    lowered = both + 10.0 * np.log10(1.0 - 10.0 ** (-part / 10.0))
    return np.select([what == CLEAR, what == CORRECTED], [both, lowered], both - LEAST_CORRECTION_DB), what


def with_corners(level_db: ArrayLike, corner_db: ArrayLike) -> Array:
    """Levels [dB] with the corner rule in 50, 63 and 80 Hz; both (..., 27), `corner_db` the highest corner.

    L = 10 lg((10^(Lcorner/10) + 2 10^(L/10)) / 3) (ISO 16283-1:2014, low-frequency procedure).
    """
    level, corner = np.asarray(level_db, float), np.asarray(corner_db, float)
    mixed = 10.0 * np.log10((10.0 ** (corner / 10.0) + 2.0 * 10.0 ** (level / 10.0)) / 3.0)
    return np.where(CORNER_BANDS, mixed, level)


def absorption(*, volume: float, reverberation_time: ArrayLike) -> Array:
    """Absorption area A = 0.16 V/T [m2] of a room of `volume` [m3]; T [s]."""
    return 0.16 * known("volume", volume, "m3") / known("reverberation_time", reverberation_time, "s")


def standardised(difference_db: ArrayLike, *, reverberation_time: ArrayLike) -> Array:
    """DnT = D + 10 lg(T/0.5 s) [dB]; D2m,nT from D2m likewise."""
    time = known("reverberation_time", reverberation_time, "s")
    return np.asarray(difference_db, float) + 10.0 * np.log10(time / REFERENCE_TIME)


def normalised(difference_db: ArrayLike, *, absorption_area: ArrayLike) -> Array:
    """Dn = D - 10 lg(A/10 m2) [dB]."""
    area = known("absorption_area", absorption_area, "m2")
    return np.asarray(difference_db, float) - 10.0 * np.log10(area / REFERENCE_AREA)


def apparent_reduction(difference_db: ArrayLike, *, area: float, absorption_area: ArrayLike) -> Array:
    """R' = D + 10 lg(S/A) [dB] for a partition or, from D2m, a facade of `area` S [m2]."""
    share = known("area", area, "m2") / known("absorption_area", absorption_area, "m2")
    return np.asarray(difference_db, float) + 10.0 * np.log10(share)


def level_uncertainty(width: ArrayLike, *, time: float) -> Array:
    """Standard deviation [dB] of the level of steady noise averaged over `time` [s] in bands of `width` [Hz].

    10 lg(e) / sqrt(B T): mean square of Gaussian noise, 2 B T degrees of freedom.
    """
    return 10.0 * np.log10(np.e) / np.sqrt(known("width", width, "Hz") * known("time", time, "s"))


def place_uncertainty(width: ArrayLike, *, reverberation_time: ArrayLike, places: float = 1.0) -> Array:
    """Standard deviation [dB] of the level over places in a reverberant field, of the mean of `places`.

    5.57 / sqrt(1 + 0.238 B T) for one place (Lubman 1968, J. Acoust. Soc. Am. 44, 1491; from memory).
    """
    product = known("width", width, "Hz") * known("reverberation_time", reverberation_time, "s")
    return 5.57 / np.sqrt(1.0 + 0.238 * product) / np.sqrt(known("places", places, "1"))


def decay_uncertainty(t20: ArrayLike, *, width: ArrayLike, decays: int) -> Array:
    """Standard deviation [s] of T20 from integrated decays in bands of `width` [Hz].

    0.88 T sqrt((1 + 1.90/n) / (N B T)) with n = 10 for an integrated impulse response (ISO 3382-2:2008,
    annex A; from memory), `decays` counted as places N.
    """
    time = known("t20", t20, "s")
    return 0.88 * time * np.sqrt(1.19 / (known("decays", decays, "1") * known("width", width, "Hz") * time))
