"""Reverberation of the receiving room: Sabine, Eyring, air, and what a furnishing word stands for.

Below about 2000 sqrt(T/V) [Hz] (250 Hz in a small room) a room has too few modes for one reverberation
time to describe it; the values there are nominal and the level varies from place to place.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, exact
from isolate.physics.air import SPEED
from isolate.physics.checks import above_zero, zero_or_more

FACTOR = 24.0 * np.log(10.0) / SPEED  # 0.161 s/m, of V/A

# Mean absorption coefficient of the whole boundary per octave 31.5 Hz to 8 kHz. Basis: common practice, no
# source. They are set so that a furnished room of a dwelling has about the 0.5 s that ISO 16283-1 takes as
# the reference of dwellings, an empty plastered one 1 to 1.6 s, one lined for recording 0.2 to 0.3 s; the low
# octaves follow from windows, boards and floors that give way to bass.
FURNISHINGS: dict[str, tuple[float, ...]] = {
    "bare": (0.08, 0.09, 0.10, 0.07, 0.06, 0.055, 0.055, 0.06, 0.06),
    "furnished": (0.09, 0.12, 0.145, 0.155, 0.16, 0.16, 0.165, 0.17, 0.17),
    "treated": (0.10, 0.12, 0.17, 0.23, 0.27, 0.28, 0.29, 0.29, 0.29),
}


@above_zero(volume="m3", absorption="m2")
def sabine(*, volume: float, absorption: ArrayLike) -> Array:
    """Reverberation time [s], T = 0.161 V/A (Sabine; ISO 12354-6 equation 5 for its constant).

    `volume` [m3]; `absorption` equivalent absorption area [m2], any shape, air included by the caller.

    >>> float(sabine(volume=50.0, absorption=16.1).round(2))
    0.5
    """
    area = np.asarray(absorption, float)
    return FACTOR * volume / area


@above_zero(volume="m3", surface="m2")
def eyring(mean_absorption: ArrayLike, *, volume: float, surface: float, air: ArrayLike = 0.0) -> Array:
    """Reverberation time [s] of a room whose boundary absorbs evenly (Eyring 1930).

    Parameters
    ----------
    mean_absorption : mean absorption coefficient, 0 < a < 1, any shape.
    volume [m3], surface : area of the whole boundary [m2].
    air : energy attenuation m of the air [1/m], broadcast against `mean_absorption`.

    Notes
    -----
    T = 0.161 V / (-S ln(1 - a) + 4 m V).
    """
    mean = np.asarray(mean_absorption, float)
    if not np.all((mean > 0) & (mean < 1)):
        raise ValueError(f"mean_absorption: must lie between 0 and 1 (got {mean_absorption!r})")
    absorption = -surface * np.log1p(-mean) + 4.0 * np.asarray(air, float) * volume
    return sabine(volume=volume, absorption=absorption)


@above_zero(volume="m3", reverberation_time="s")
def crossover(*, volume: float, reverberation_time: float) -> float:
    """Frequency [Hz] below which single resonances rule a room, 2000 sqrt(T/V).

    `volume` [m3]; `reverberation_time` [s]. Schroeder, J. Acoust. Soc. Am. 34 (1962) 1819 (from memory).
    """
    return 2000.0 * float(np.sqrt(reverberation_time / volume))


@above_zero(frequency="Hz", pressure="Pa", temperature="K")
@zero_or_more(humidity="%")
def air_attenuation(
    frequency: ArrayLike, *, temperature: float = 293.15, humidity: float = 50.0, pressure: float = 101325.0
) -> Array:
    """Energy attenuation m of air [1/m] (ISO 9613-1:1993, equations 3 to 5, B.1 to B.3).

    `frequency` [Hz], any shape; `temperature` [K]; relative `humidity` [%]; `pressure` [Pa]. The standard's
    attenuation in dB/m is 4.343 times this.
    """
    f = np.asarray(frequency, float)
    warm, dense = temperature / 293.15, pressure / 101325.0
    saturation = 10.0 ** (-6.8346 * (273.16 / temperature) ** 1.261 + 4.6151)
    h = humidity * saturation / dense
    oxygen = dense * (24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h))
    nitrogen = dense * warm**-0.5 * (9.0 + 280.0 * h * np.exp(-4.170 * (warm ** (-1.0 / 3.0) - 1.0)))
    relaxation = warm**-2.5 * (
        0.01275 * np.exp(-2239.1 / temperature) / (oxygen + f**2 / oxygen)
        + 0.1068 * np.exp(-3352.0 / temperature) / (nitrogen + f**2 / nitrogen)
    )
    decibels = 8.686 * f**2 * (1.84e-11 / dense * warm**0.5 + relaxation)
    return decibels / (10.0 / np.log(10.0))


@above_zero(size="m")
def of_furnishing(furnishing: str, *, size: tuple[float, float, float]) -> Array:
    """Reverberation time [s] (27,) of a room `size` (length, width, height) [m] described in one word.

    Eyring with the mean absorption of `FURNISHINGS`, straight in the logarithm of frequency between octave
    centres and level beyond them, and air at 20 degrees and 50 % humidity.
    """
    if furnishing not in FURNISHINGS:
        raise ValueError(f"furnishing: {furnishing!r} is unknown; one of {', '.join(FURNISHINGS)}")
    length, width, height = size
    f = exact(THIRD_OCTAVES)
    mean = np.interp(np.log(f), np.log(exact(OCTAVES)), FURNISHINGS[furnishing])
    surface = 2.0 * (length * width + length * height + width * height)
    return eyring(mean, volume=length * width * height, surface=surface, air=air_attenuation(f))
