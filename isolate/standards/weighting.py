"""Frequency weightings A and C at the nominal third octaves: IEC 61672-1:2013, table 3 (read in
a library's documentation)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array, energy_sum

A_WEIGHTING: Array = np.array(
    [-44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2,
     -1.9, -0.8, 0.0, 0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1, -2.5]
)  # fmt: skip
C_WEIGHTING: Array = np.array(
    [-4.4, -3.0, -2.0, -1.3, -0.8, -0.5, -0.3, -0.2, -0.1, 0.0, 0.0, 0.0, 0.0, 0.0,
     0.0, 0.0, 0.0, 0.0, -0.1, -0.2, -0.3, -0.5, -0.8, -1.3, -2.0, -3.0, -4.4]
)  # fmt: skip
A_WEIGHTING.flags.writeable = C_WEIGHTING.flags.writeable = False


def dba(level_db: ArrayLike) -> Array:
    """A-weighted level [dB] of third-octave levels; (..., 27) to (...).

    >>> level = np.full(27, -np.inf)
    >>> level[16] = 60.0
    >>> float(dba(level))
    60.0
    """
    return energy_sum(np.asarray(level_db, float) + A_WEIGHTING)


def dbc(level_db: ArrayLike) -> Array:
    """C-weighted level [dB] of third-octave levels; (..., 27) to (...)."""
    return energy_sum(np.asarray(level_db, float) + C_WEIGHTING)
