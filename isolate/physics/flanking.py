"""Flanking: sound between two rooms along the walls and floors beside the separating element.

Paths are named by where sound enters and where it is radiated: D or F in the source room, d or f in the
receiving room; "Dd" is the direct one. ISO 12354-1: the detailed model in bands, and normalised flanking
level differences.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero

REFERENCE_AREA = 10.0  # A0 of D_n,f and D_n,e [m2]


@above_zero(separating_area="m2", area_i="m2", area_j="m2")
def path(
    *,
    r_i: ArrayLike,
    r_j: ArrayLike,
    level_difference: ArrayLike,
    separating_area: float,
    area_i: float,
    area_j: float,
) -> Array:
    """Flanking sound reduction index R_ij [dB] of one path, detailed model.

    R_ij = (R_i + R_j)/2 + Dv_ij + 10 lg(S_s / sqrt(S_i S_j)), values in situ per band; linings add to it.
    ISO 12354-1:2017, eq. (confirmed by annex L); areas [m2].
    """
    mean = (np.asarray(r_i) + np.asarray(r_j)) / 2
    return np.asarray(mean + level_difference + 10 * np.log10(separating_area / np.sqrt(area_i * area_j)))


def total(paths_db: Iterable[ArrayLike]) -> Array:
    """Apparent sound reduction index R' [dB], -10 lg(sum 10^(-R_ij/10)) over all the paths."""
    return np.asarray(-10 * np.log10(sum(10 ** (-np.asarray(p, float) / 10) for p in paths_db)))


@above_zero(separating_area="m2")
def flanking_difference(path_db: ArrayLike, *, separating_area: float) -> Array:
    """Normalised flanking level difference D_n,f = R_ij + 10 lg(A0 / S_s) [dB], A0 = 10 m2."""
    return np.asarray(path_db) + 10 * np.log10(REFERENCE_AREA / separating_area)
