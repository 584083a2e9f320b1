"""Means over bands, angles of incidence and azimuths: boxes, halved along what their values differ along.

What a lattice passes depends on three things and has ridges in all of them. A box with too large an error is
halved along the axis that leaves the least spread in its halves. The rest is as in `cubature`.

Reference: W. H. Press, G. R. Farrar, Comput. Phys. 4 (1990) 190, for the choice of the axis (from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics.cubature import ACROSS, ALONG, POINTS, THIRDS, told, unsure

At = Callable[[Array, Array, Array], Array]  # f [Hz], cosine of incidence, azimuth [rad]: (n,) each -> (n,)

PLACES = np.stack([ACROSS, ALONG, THIRDS])  # J. H. Halton's
SHIFTS = np.array([0.8191725134, 0.6710436067, 0.5497004779])[:, None]  # 1/g to 1/g^3, g^4 = g + 1
ROUNDS, MOST = 60, 600  # of halving; boxes of a band, of which the bundled walls take 61 at most
GRAZING = 1e-4  # of a right angle, left out at either end


def means(at: At, middles: Array, *, rows: int, sure: Array) -> Array:
    """Means (B,) of `at` over third octaves about `middles` (B,) [Hz], incidence and azimuth.

    rows: boxes of a band over the angle of incidence at first; sure (B,): the error of a band over its mean,
    as if points were random, that will do.
    """
    count = middles.size
    band = np.tile(np.arange(count), rows)
    low, wide = np.zeros((3, band.size)), np.ones((3, band.size))
    low[1], wide[1] = np.repeat(np.arange(rows) / rows, count), 1 / rows
    part, error, axis = _integrals(at, middles[band], low, wide, 0)
    made = band.size
    for _ in range(ROUNDS):
        split = unsure(part[None], error[None], band, sure=sure, most=MOST)
        if not split.any():
            break
        here, along = np.arange(split.sum()), axis[split]
        half = wide[:, split]
        half[along, here] /= 2
        second = low[:, split]
        second[along, here] += half[along, here]
        new = np.tile(band[split], 2), np.concatenate([low[:, split], second], -1), np.tile(half, 2)
        found = _integrals(at, middles[new[0]], *new[1:], made)
        made += new[0].size
        band, low, wide, part, error, axis = (
            np.concatenate([old[..., ~split], young], -1)
            for old, young in zip((band, low, wide, part, error, axis), (*new, *found), strict=True)
        )
    return np.asarray(np.bincount(band, part))


def _integrals(
    at: At, middles: Array, low: Array, wide: Array, first: int
) -> tuple[Array, Array, NDArray[np.intp]]:
    """Integrals and errors (n,) of boxes, `low` and `wide` (3, n), of bands about `middles` (n,), and the
    axes to halve them along; `first`: how many boxes there were before."""
    places = (PLACES + ((first + np.arange(middles.size)) * SHIFTS % 1.0)[:, None]) % 1.0
    x, y, z = (low[:, None] + wide[:, None] * places).reshape(3, -1)
    theta = np.clip(y, GRAZING, 1 - GRAZING) * np.pi / 2
    f = np.tile(middles, POINTS) * 10.0 ** (0.1 * (x - 0.5))
    values = at(f, np.cos(theta), z * np.pi / 2) * np.sin(2 * theta) * np.pi / 2
    values = values.reshape(POINTS, -1)
    mean, error = told(values, places)
    volume = wide.prod(0)
    return mean * volume, error * volume, np.argmin([_left(values, place < 0.5) for place in places], 0)


def _left(values: Array, lower: NDArray[np.bool_]) -> Array:
    """Standard deviations of both halves of boxes, added up; values and whether they are in the lower one
    (points, n)."""
    return np.asarray(sum(values.std(0, where=half) for half in (lower, ~lower)))
