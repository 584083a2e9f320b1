"""A microphone in a room: what it hears of its player and of the room, and its own noise.

A first-order microphone answers a + (1 - a) cos(angle). Of a diffuse field it takes the mean square of that
over all directions, a^2 + (1 - a)^2/3, against 1 for sound on its axis: its random energy efficiency.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import THIRD_OCTAVES, Array, energy_sum, exact
from isolate.errors import InputError
from isolate.physics.checks import above_zero

# The pressure part a of each pattern (textbooks, from memory); a supercardioid has the largest ratio of
# front to rear energy, at (sqrt(3) - 1)/2.
PATTERNS: dict[str, float] = {
    "omnidirectional": 1.0, "subcardioid": 0.7, "cardioid": 0.5, "supercardioid": 0.366,
    "hypercardioid": 0.25, "figure of eight": 0.0,
}  # fmt: skip
FLICKER_HZ = 100.0  # below it a microphone's noise rises as 1/f; common practice, no source


def random_efficiency(pattern: str) -> float:
    """Energy a microphone takes of a diffuse field against the same sound on its axis.

    >>> round(random_efficiency("cardioid"), 3)
    0.333

    Raises
    ------
    InputError
        Unknown pattern; the message lists the known ones.
    """
    if pattern not in PATTERNS:
        raise InputError(f"pattern: unknown (got {pattern!r}); write one of {', '.join(PATTERNS)}")
    a = PATTERNS[pattern]
    return a**2 + (1.0 - a) ** 2 / 3.0


def diffuse_db(pattern: str) -> float:
    """What a microphone's pattern takes off sound from all sides [dB], 0 or less."""
    return 10.0 * float(np.log10(random_efficiency(pattern)))


def self_noise(dba: float, *, weighting_db: ArrayLike) -> Array:
    """Third-octave levels [dB] (27,) of a microphone's own noise of `dba` under `weighting_db` (27,).

    Thermal noise of equal power in every hertz, rising as 1/f below `FLICKER_HZ` (common practice, no
    source: data sheets give the weighted level only).
    """
    f = exact(THIRD_OCTAVES)
    shape = 10.0 * np.log10(f * (1.0 + FLICKER_HZ / f))
    return shape + dba - float(energy_sum(shape + np.asarray(weighting_db, float)))


@above_zero(distance="m", absorption="m2")
def direct_over_reverberant(distance: ArrayLike, *, absorption: ArrayLike) -> Array:
    """Direct sound re the reverberant level [dB] at `distance` [m] from a source that radiates evenly.

    absorption area A [m2], (..., 27) or one. 10 lg(A/(16 pi r^2)): with the power W, direct W/(4 pi r^2) and
    reverberant 4 W/A (textbooks, e.g. H. Kuttruff, Room Acoustics, section 5.1, from memory).
    """
    r = np.asarray(distance, float)
    return np.asarray(10.0 * np.log10(np.asarray(absorption, float) / (16.0 * np.pi * r**2)))


@above_zero(f="Hz", corner="Hz")
def low_cut(f: ArrayLike, *, corner: float) -> Array:
    """What a low cut of 12 dB an octave takes off [dB], 0 or less: Butterworth, -10 lg(1 + (corner/f)^4)."""
    return np.asarray(-10.0 * np.log10(1.0 + (corner / np.asarray(f, float)) ** 4))
