"""Means over third octaves and angles of incidence, with as many points as each band needs.

One evaluation by itself is a matter of `cubature`; draws, and many constructions at once, share their points.

A band has cells of equal width in the logarithm of frequency. A turn puts one frequency into every cell and a
number of angles to it; from turn to turn both shift by the steps of an additive sequence of low discrepancy,
and the angles of neighbouring cells interlace, so that a band as a whole sees sharp coincidences and standing
waves that one frequency would miss. Turns are doubled where their halves and quarters do not agree; where
panes are alike and the gap between them is wide and bare, all there are leave some tenths of a dB from
6.3 kHz.

Reference: H. Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods (1992), chapter 3 (from
memory); the steps are 1/g and 1/g^2, g^3 = g + 1.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics import cubature
from isolate.physics.finite import diffuse

TOLERANCE_DB = 0.03  # between two halves, so that their mean is known to about half of it
SPREAD_DB = 0.2  # between quarters: halves that miss the same peak may agree, quarters hardly will
LEAST, MOST = 4, 64  # turns
IN_FREQUENCY, IN_ANGLE = 0.7548776662466927, 0.5698402909980532
NOTHING = 1e-60  # least mean, so that ratios of two are numbers
INTERLACED = (np.sqrt(5.0) - 1.0) / 2.0

AT_ONCE = 3000  # frequencies: some ten thousand points, which stay near the processor

Cells = NDArray[np.intp]
Turns = NDArray[np.intp]
Through = cubature.Through
At = Callable[[Cells, Turns], Array]  # cells and turns (n,) of as many frequencies -> values (..., n)


def offset(turns: Turns | int) -> Array:
    """How far from the middle of a cell, in cells, turns (n,) lie in frequency; two lie about each middle."""
    pair, side = np.divmod(turns, 2)
    return np.asarray((1 - 2 * side) * ((pair * IN_FREQUENCY + 0.75) % 1.0 - 0.5))


def frequencies(middles: Array, *, per_band: int, turns: Turns | int) -> Array:
    """Frequencies [Hz] (n,) that turns (n,) take in cells about `middles` (n,)."""
    return np.asarray(middles * 10.0 ** (0.1 * offset(turns) / per_band))


def angles(cells: Cells, *, turns: Turns | int, count: int) -> tuple[Array, Array]:
    """Cosines of incidence and weights 2 sin cos d(theta), (count, n), of turns (n,) in cells (n,)."""
    start = (cells * INTERLACED + turns * IN_ANGLE) % 1.0
    theta = (np.arange(count)[:, None] + 1e-4 + (1 - 2e-4) * start) / count * np.pi / 2
    cosine, weight = diffuse(theta)
    return cosine, np.pi / 2 / count * weight


def azimuths(count: int) -> Array:
    """Evenly spread directions (count,) [rad] in a quarter turn."""
    return np.asarray((np.arange(count) + 0.5) / count * np.pi / 2)


def over_angles(
    through: Through,
    f: Array,
    cells: Cells,
    *,
    per_band: int,
    count: int,
    rows: int,
    most: int = MOST,
    directions: int = 1,
) -> Array:
    """Means (kinds, ..., cells) over cells and angles of incidence of each kind of tau that `through` gives.

    f (F,) [Hz]: the middles of all cells, of which `cells` are consecutive ones.

    Turns of `count` angles in `directions`; but what may take all of them, one evaluation by itself, takes
    boxes instead, at first `rows` over all angles (`cubature`).
    """

    def at(some: Cells, turns: Turns) -> Array:
        cosine, weight = angles(some, turns=turns, count=count)
        here = frequencies(f[some], per_band=per_band, turns=turns)
        each = (through(here, cosine, np.asarray(one), some) for one in azimuths(directions))
        kinds = zip(*each, strict=True)
        means = (sum((tau * weight).sum(-2) for tau in kind) / directions for kind in kinds)
        return np.stack(np.broadcast_arrays(*means))

    if most < MOST:
        return over_turns(at, cells, per_band=per_band, most=most)
    found = cubature.means(through, f, cells, per_band=per_band, rows=rows)
    return np.asarray(np.maximum(found, NOTHING))


def in_place(found: Array, cells: Cells, size: int) -> Array:
    """Values [1] (..., cells) of consecutive cells in their places among (..., size): beyond them the last
    ones, which nobody asks for, and one where there are none."""
    if not cells.size:
        return np.ones(size)
    return found[..., np.clip(np.arange(size) - cells[0], 0, cells.size - 1)]


def over_turns(at: At, cells: Cells, *, per_band: int, most: int = MOST) -> Array:
    """Means (..., cells) of `at` over as many turns as its bands need, at least `LEAST` and at most `most`.

    cells: consecutive ones. Each of several constructions at once, along leading axes, is done with by itself
    and gets what it would get alone.
    """
    todo, turns = np.ones(cells.size, bool), LEAST // 2
    halves = _parts(at, cells, range(turns), 2)
    unsure = np.ones(halves.shape[1:], bool)
    while turns < most and todo.any():
        some, here = cells[todo], unsure[..., todo]
        quarters = np.concatenate([halves[..., todo], _parts(at, some, range(turns, 2 * turns), 2)])
        pairs = (quarters[::2] + quarters[1::2]) / 2
        halves[..., todo] = np.where(here, pairs, halves[..., todo])
        unsure[..., todo] = here & _unsure(quarters, some // per_band)
        turns *= 2
        todo = np.asarray(unsure.reshape(-1, cells.size).any(0))
    return np.asarray(np.maximum(halves.mean(0), NOTHING))


def _parts(at: At, cells: Cells, turns: range, count: int) -> Array:
    """Means (count, ..., cells) of `at` over `count` equal parts of a run of turns."""
    step = 1 << (min(max(AT_ONCE // cells.size, 1), len(turns)).bit_length() - 1)
    alike = min(step, len(turns) // count)  # turns of one part
    means = []
    for first in turns[::step]:
        which = np.repeat(np.arange(first, min(first + step, turns.stop)), cells.size)
        values = at(np.resize(cells, which.size), which)
        means.extend(np.moveaxis(values.reshape(*values.shape[:-1], -1, alike, cells.size).mean(-2), -2, 0))
    return np.array(means).reshape(count, -1, *means[0].shape).mean(1)


def _unsure(quarters: Array, band: Cells) -> NDArray[np.bool_]:
    """Where the band of a cell is not known yet, from four estimates (4, ..., cells) of it; (..., cells)."""
    starts = np.flatnonzero(np.diff(band, prepend=-1))
    level = 10 * np.log10(np.maximum(np.add.reduceat(quarters, starts, axis=-1), NOTHING))
    halves = (level[0] + level[1] - level[2] - level[3]) / 2
    unsure = (np.abs(halves) > TOLERANCE_DB) | (np.ptp(level, axis=0) > SPREAD_DB)
    return np.repeat(unsure, np.diff(starts, append=band.size), axis=-1)
