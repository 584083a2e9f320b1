"""What absorption hung into a room does: reverberation after it, level, distance, clearness.

Sabine adds areas and holds while the mean coefficient is small, below about 0.2; Eyring counts what is left
after each bounce and holds for absorption spread evenly. A room with all its absorption on one wall keeps
ringing between the others, longer than both say.

References
----------
H. Kuttruff, Room Acoustics, 5th ed., sections 5.1 (decay) and 5.5 (distance); energy of the exponential
decay before and after a moment, section 7.4 (all from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics import reverberation
from isolate.physics.checks import above_zero

FULL = 0.95  # mean coefficient above which Eyring is not asked


@above_zero(reverberation_time="s", volume="m3")
def sabine_area(reverberation_time: ArrayLike, *, volume: float) -> Array:
    """Absorption area [m2] that a reverberation time [s] shows, air included; same shape."""
    return np.asarray(reverberation.FACTOR * volume / np.asarray(reverberation_time, float))


@above_zero(reverberation_time="s", volume="m3", surface="m2")
def mean_absorption(
    reverberation_time: ArrayLike, *, volume: float, surface: float, air: ArrayLike = 0.0
) -> Array:
    """Mean coefficient of the boundary [m2] that gives a reverberation time [s] by Eyring: its inverse."""
    boundary = sabine_area(reverberation_time, volume=volume) - 4 * np.asarray(air, float) * volume
    return np.asarray(-np.expm1(-np.maximum(boundary, 0.0) / surface))


@above_zero(reverberation_time="s", volume="m3", surface="m2")
def eyring_after(
    reverberation_time: ArrayLike, added: ArrayLike, *, volume: float, surface: float, air: ArrayLike = 0.0
) -> Array:
    """Reverberation time [s] with `added` absorption area [m2] on the boundary, both by Eyring; same shape.

    >>> float(eyring_after(0.5, 0.0, volume=33.0, surface=63.0).round(3))
    0.5
    """
    before = mean_absorption(reverberation_time, volume=volume, surface=surface, air=air)
    mean = np.minimum(before + np.asarray(added, float) / surface, FULL)
    return reverberation.eyring(mean, volume=volume, surface=surface, air=air)


@above_zero(reverberation_time="s", volume="m3")
def sabine_after(reverberation_time: ArrayLike, added: ArrayLike, *, volume: float) -> Array:
    """Reverberation time [s] with `added` absorption area [m2], by Sabine; same shape."""
    area = sabine_area(reverberation_time, volume=volume) + np.asarray(added, float)
    return reverberation.sabine(volume=volume, absorption=area)


def level_drop(before: ArrayLike, after: ArrayLike) -> Array:
    """Fall [dB] of the level in a room when its absorption area goes from `before` to `after` [m2].

    >>> float(level_drop(10.0, 20.0).round(1))
    3.0
    """
    return np.asarray(10 * np.log10(np.asarray(after, float) / np.asarray(before, float)))


@above_zero(absorption="m2")
def reverberation_distance(absorption: ArrayLike) -> Array:
    """Distance [m] from a source where its direct sound and the room's are equally strong: (A/16 pi)^0.5."""
    return np.asarray(np.sqrt(np.asarray(absorption, float) / (16 * np.pi)))


@above_zero(reverberation_time="s")
def clearness(reverberation_time: ArrayLike) -> Array:
    """Sound of the first 50 ms over all later [dB], of a plain exponential decay (C50).

    >>> float(clearness(0.5).round(1))
    4.7
    """
    decay = 6 * np.log(10) * 0.05 / np.asarray(reverberation_time, float)
    return np.asarray(10 * np.log10(np.expm1(decay)))
