"""Flanking: sound between two rooms along the walls and floors beside the separating element.

Paths are named by where sound enters and where it is radiated: D or F in the source room, d or f in the
receiving room; "Dd" is the direct one. ISO 12354-1: the detailed model in bands, the simplified one in
weighted values, and normalised flanking level differences for light constructions.
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
    lining_i: ArrayLike = 0.0,
    lining_j: ArrayLike = 0.0,
) -> Array:
    """Flanking sound reduction index R_ij [dB] of one path, detailed model.

    R_ij = (R_i + R_j)/2 + dR_i + dR_j + Dv_ij + 10 lg(S_s / sqrt(S_i S_j)), values in situ per band.
    ISO 12354-1:2017, eq. (confirmed by annex L); areas [m2].
    """
    mean = (np.asarray(r_i) + np.asarray(r_j)) / 2 + np.asarray(lining_i) + np.asarray(lining_j)
    return np.asarray(mean + level_difference + 10 * np.log10(separating_area / np.sqrt(area_i * area_j)))


@above_zero(separating_area="m2", junction_length="m")
def path_weighted(
    *,
    rw_i: ArrayLike,
    rw_j: ArrayLike,
    k: ArrayLike,
    separating_area: float,
    junction_length: float,
    lining: ArrayLike = 0.0,
) -> Array:
    """R_ij,w [dB] of one path, simplified model: (R_i,w + R_j,w)/2 + dR_ij,w + K_ij + 10 lg(S_s/(l0 l_f)),
    l0 = 1 m (EN 12354-1:2000 clause 4.4; confirmed by annex H.3)."""
    mean = (np.asarray(rw_i) + np.asarray(rw_j)) / 2
    return np.asarray(mean + lining + k + 10 * np.log10(separating_area / junction_length))


def total(paths_db: Iterable[ArrayLike]) -> Array:
    """Apparent sound reduction index R' [dB], -10 lg(sum 10^(-R_ij/10)) over all the paths."""
    return np.asarray(-10 * np.log10(sum(10 ** (-np.asarray(p, float) / 10) for p in paths_db)))


def two_linings(first_db: ArrayLike, second_db: ArrayLike) -> Array:
    """dR_ij,w [dB] of a path with a lining at either end: the larger and half the smaller
    (EN 12354-1:2000 clause 4.4.2, from memory)."""
    a, b = np.asarray(first_db, float), np.asarray(second_db, float)
    return np.maximum(a, b) + np.minimum(a, b) / 2


@above_zero(separating_area="m2")
def flanking_difference(path_db: ArrayLike, *, separating_area: float) -> Array:
    """Normalised flanking level difference D_n,f = R_ij + 10 lg(A0 / S_s) [dB], A0 = 10 m2."""
    return np.asarray(path_db) + 10 * np.log10(REFERENCE_AREA / separating_area)


@above_zero(separating_area="m2", laboratory_length="m", junction_length="m")
def path_from_difference(
    dnf_db: ArrayLike, *, separating_area: float, laboratory_length: float, junction_length: float
) -> Array:
    """R_Ff [dB] of a light construction from its tested D_n,f:
    D_n,f + 10 lg(S_s / A0) + 10 lg(l_lab / l_ij) (EN 12354-1:2000 annex F, from memory).

    l_lab is 4.5 m for ceilings and floors, 2.6 m for facades and walls, as tested.
    """
    scale = separating_area / REFERENCE_AREA * laboratory_length / junction_length
    return np.asarray(dnf_db) + 10 * np.log10(scale)
