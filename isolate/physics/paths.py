"""Sound by several paths at once: levels, shares, and what is left when one path is closed.

The numeric core of every answer about a room. A path is a spectrum of tau S [m2], transmission coefficient
times area; flanking enters as A0 10^(-D_n,f/10). Paths come first, then any draws, then bands:
(paths, ..., bands). Everything broadcasts, nothing is read from files, so that stored spectra can be put
together anew thousands of times a second.

What a path receives may differ: `exposure_db` is the level at that path less the one stated (a side
round the corner, a balcony before it), (paths, ..., 1 or bands).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array


def exposed(tau_area: ArrayLike, *, exposure_db: ArrayLike = 0.0) -> Array:
    """tau S [m2] of paths (paths, ..., bands), weighed by what reaches each."""
    return np.asarray(tau_area, float) * 10.0 ** (np.asarray(exposure_db, float) / 10.0)


def level(level_db: ArrayLike, tau_area: ArrayLike, *, transfer_db: ArrayLike) -> Array:
    """Level behind all paths [dB], (..., bands): L + 10 lg(sum tau S) + transfer.

    level_db before them (..., bands); tau_area (paths, ..., bands) as `exposed` gives it; transfer_db
    (..., bands): -10 lg A and the term of the sound field for a room (`facade.level_inside`), or what
    `between.outside_transfer` gives outdoors.
    """
    with np.errstate(divide="ignore"):
        passed = 10.0 * np.log10(np.asarray(tau_area, float).sum(0))
    return np.asarray(level_db, float) + passed + transfer_db


def parts(tau_area: ArrayLike) -> Array:
    """Part of each path in the energy of each band (paths, ..., bands); adds up to 1 over the paths.

    Where nothing passes at all every path has the same part. tau_area: tau S (paths, ..., bands) [m2].
    """
    each = np.asarray(tau_area, float)
    total = each.sum(0)
    return np.where(total > 0.0, each / np.where(total > 0.0, total, 1.0), 1.0 / each.shape[0])


def shares(part: ArrayLike, level_db: ArrayLike, *, weighting_db: ArrayLike = 0.0) -> Array:
    """Part of each path in each band of the whole weighted energy, (paths, ..., bands); adds up to 1.

    part (paths, ..., bands) as `parts`; level_db behind all paths (..., bands), weighting_db (bands,).
    part [1], level_db and weighting_db [dB].
    """
    weighted = np.asarray(level_db, float) + np.asarray(weighting_db, float)
    energy = 10.0 ** ((weighted - weighted.max(-1, keepdims=True)) / 10.0)
    return np.asarray(part, float) * (energy / energy.sum(-1, keepdims=True))


def without(level_db: ArrayLike, part: ArrayLike, index: int) -> Array:
    """Level [dB] (..., bands) if path `index` let nothing through; -inf where it is the only one."""
    rest = np.delete(np.asarray(part, float), index, axis=0).sum(0)
    with np.errstate(divide="ignore"):
        return np.asarray(level_db, float) + 10.0 * np.log10(rest)


def alone(level_db: ArrayLike, part: ArrayLike, index: int) -> Array:
    """Level [dB] (..., bands) of path `index` by itself: what no change of the other paths gets below."""
    with np.errstate(divide="ignore"):
        return np.asarray(level_db, float) + 10.0 * np.log10(np.asarray(part, float)[index])
