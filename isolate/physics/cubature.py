"""Means over frequency and angle of incidence of what may have narrow peaks: boxes, divided where it matters.

Where a sharp coincidence meets the standing waves of a wide bare gap, or those of several gaps meet, a tiny
part of the plane of frequency and angle carries a whole band. The plane is laid out in boxes, each gets some
points, and boxes where these differ much are divided into quarters, until a band is sure. The skirts of a
resonance fall off so slowly that they lead to its peak.

References: adaptive division as in P. van Dooren, L. de Ridder, J. Comput. Appl. Math. 2 (1976) 207; the
points are those of J. M. Hammersley (both from memory). They align along no slope, as points of lattices do,
which ridges between two of their rows slip through.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics.finite import diffuse

Cells = NDArray[np.intp]
# f (n,), cosine (A, n), azimuth () or (A, n) [rad] to a quarter turn, cells (n,) -> (..., A, n) each
Through = Callable[[Array, Array, Array, Cells], Sequence[Array]]

POINTS = 64  # of a box
ACROSS = np.arange(POINTS) / POINTS
ALONG = np.array([int(f"{i:06b}"[::-1], 2) for i in range(POINTS)]) / POINTS  # van der Corput's
THIRDS = sum(np.arange(POINTS) // 3**i % 3 / 3.0 ** (i + 1) for i in range(4))
MIDDLE = (POINTS - 1) / (2 * POINTS)  # of either
OFF, SPREAD = np.array([ACROSS, ALONG]) - MIDDLE, (POINTS**2 - 1) / (12 * POINTS)  # from it; its squares' sum
ROW = 27  # boxes, from one above another to it
SHIFTS = 0.6180339887498949, 0.4142135623730951, 0.7320508075688772  # in a point's share, from box to box
COLUMN = 12  # cells to a box at first
# Standard error of a band over its mean, as if points were random; they know it to a third of that.
SURE = 0.04
SPLIT = 0.05  # of the largest error in a band: boxes with more are divided
# A ridge wider than the points' distance is told by one point to 9 times the mean of a box, a narrower one,
# of which there are only skirts, by 22 and more: times a cube to make sure that it is looked at.
PEAKED = 6.0
ROUNDS, MOST = 30, 3000  # of dividing; boxes of a band
AT_ONCE = 250  # boxes: some ten thousand points, which stay near the processor
NOTHING = 1e-60  # least mean, so that ratios are numbers


def means(through: Through, f: Array, cells: Cells, *, per_band: int, rows: int) -> Array:
    """Means (kinds, cells) over cells and angles of incidence of each kind of tau that `through` gives.

    They are alike in the cells of a column, in which at first `rows` boxes cover all angles.

    f (F,) [Hz]: the middles of all cells, of which `cells` are consecutive ones; `per_band` to a band.
    """
    first, end = int(cells[0]), int(cells[-1]) + 1
    edges = np.unique([first, *range(-(-first // COLUMN) * COLUMN, end, COLUMN), end])
    wide, n = np.diff(edges), edges.size - 1
    row = np.repeat(np.arange(rows), n)
    box = np.array(
        [*np.tile([np.arange(n), edges[:-1], wide], rows), row / rows, np.full(rows * n, 1 / rows)]
    )
    part, error = _parts(through, f, box.reshape(5, rows, n), per_band)
    of_column = edges[:-1] // per_band - first // per_band
    for _ in range(ROUNDS):
        band = of_column[box[0].astype(int)]
        split = _unsure(part, error, band)
        if not split.any():
            break
        new = _quarters(box[:, split])
        box = np.concatenate([box[:, ~split], new], -1)
        found = _parts(through, f, new[:, None], per_band)
        part, error = (
            np.concatenate([x[:, ~split], y], -1) for x, y in zip((part, error), found, strict=True)
        )
    column = box[0].astype(int)
    return np.repeat([np.bincount(column, one, n) / wide for one in part], wide, axis=-1)


def _unsure(part: Array, error: Array, band: Cells) -> NDArray[np.bool_]:
    """Which boxes (n,) are to be divided; part, error (kinds, n), band (n,)."""
    total = np.maximum([np.bincount(band, one) for one in part], NOTHING)
    relative = (error / (total * SURE)[:, band]).max(0)
    count, largest = np.bincount(band), np.zeros(total.shape[-1])
    np.maximum.at(largest, band, relative)
    divided = (np.bincount(band, relative**2) > 1) & (count < MOST)
    least = np.maximum(1 / np.sqrt(np.maximum(count, 1)), SPLIT * largest)
    return np.asarray(divided[band] & (relative > least[band]))


def _quarters(box: Array) -> Array:
    """Boxes (5, n) of a column: where they begin and their width in cells, then in right angles; (5, 4 n)."""
    column, x, wide, y, high = box
    w, h = wide / 2, high / 2
    return np.concatenate(
        [np.array([column, x + i * w, w, y + j * h, h]) for j in (0, 1) for i in (0, 1)], -1
    )


def _parts(through: Through, f: Array, box: Array, per_band: int) -> tuple[Array, Array]:
    """Integrals (kinds, A n) over boxes (5, A, n), of one width where above each other, and their errors."""
    step = max(AT_ONCE // box.shape[1], 1)
    _, x, wide, y, high = box
    number = np.floor(x / wide) + ROW * np.floor(y / high)  # by their place, whatever else is asked with them
    some = [slice(start, start + step) for start in range(0, box.shape[-1], step)]
    found = [_integrals(through, f, box[:, :, s], number[:, s], per_band) for s in some]
    part, error = (np.concatenate(x, -1) for x in zip(*found, strict=True))
    return part.reshape(len(part), -1), error.reshape(len(error), -1)


def _integrals(through: Through, f: Array, box: Array, number: Array, per_band: int) -> tuple[Array, Array]:
    """Integrals and errors (kinds, A, n) of boxes (5, A, n)."""
    _, x, wide, y, high = box
    by = number[0] * SHIFTS[0] % 1.0 / POINTS, number * SHIFTS[1] % 1.0 / POINTS
    turn = THIRDS + (number * SHIFTS[2] % 1.0)[..., None]
    turn -= np.floor(turn)
    place = np.minimum((x[0] + wide[0] * by[0])[:, None] + wide[0][:, None] * ACROSS, f.size - 1e-9).ravel()
    cells = place.astype(np.intp)
    here = f[cells] * np.exp((place - cells - 0.5) * (np.log(10.0) * 0.1 / per_band))
    along = (y + high * by[1])[..., None] + high[..., None] * ALONG
    theta = np.clip(along, 1e-4, 1 - 1e-4).reshape(len(y), -1) * np.pi / 2
    azimuth = turn.reshape(theta.shape) * np.pi / 2
    cosine, weight = diffuse(theta)
    tau = np.stack(through(here, cosine, azimuth, cells)) * weight
    mean, error = _told(tau.reshape(len(tau), *turn.shape), by, turn)
    area = np.pi / 2 * wide * high
    return mean * area, error * area


def _told(values: Array, by: tuple[Array, Array], turn: Array) -> tuple[Array, Array]:
    """Means (..., n) over a box of values (..., n, points) at `ACROSS` and `ALONG`, moved `by` something, and
    `turn`, and their standard errors: of what departs from a plane, since points know the mean of a plane
    exactly."""
    mean = values.mean(-1)
    peak = values.max(-1) / np.maximum(mean, 1e-300)
    values = values - mean[..., None]
    middle = turn.mean(-1)
    turned = turn - middle[..., None]
    variance, whole = _dot(values, values), mean
    fixed = ((values @ off, SPREAD, MIDDLE + moved) for off, moved in zip(OFF, by, strict=True))
    for share, own, at in (*fixed, (_dot(values, turned), _dot(turned, turned), middle)):
        variance = variance - share * share / own
        whole = whole + share / own * (0.5 - at)
    error = np.sqrt(np.maximum(variance, 0.0)) / POINTS
    return whole, error * np.maximum(peak / PEAKED, 1.0) ** 3


def _dot(a: Array, b: Array) -> Array:
    """Sums of products over the last axis."""
    return np.asarray(np.einsum("...p,...p->...", a, b))
