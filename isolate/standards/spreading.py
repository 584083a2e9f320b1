"""Octave values spread to third octaves, keeping each octave's value.

Between octave centres the third-octave values follow straight lines over the logarithm of frequency; beyond
the first and last octave the nearest line's slope goes on for the one third that belongs to the octave. The
three thirds of each octave are then moved together until their energy (mean transmission) is the octave's.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array, energy_sum


def thirds_of_levels(octave_db: ArrayLike) -> Array:
    """Third-octave levels [dB] of adjoining octave levels; (..., n) to (..., 3 n)."""
    octave = np.asarray(octave_db, float)
    count = octave.shape[-1]
    padded = octave
    if count > 1:
        first = 2.0 * octave[..., :1] - octave[..., 1:2]
        last = 2.0 * octave[..., -1:] - octave[..., -2:-1]
        padded = np.concatenate([first, octave, last], axis=-1)
    else:
        padded = np.concatenate([octave] * 3, axis=-1)
    below, here, above = padded[..., :-2], padded[..., 1:-1], padded[..., 2:]
    thirds = np.stack([(2.0 * here + below) / 3.0, here, (2.0 * here + above) / 3.0], axis=-1)
    thirds = thirds + (octave - energy_sum(thirds))[..., None]
    return np.asarray(thirds.reshape(*octave.shape[:-1], 3 * count))
