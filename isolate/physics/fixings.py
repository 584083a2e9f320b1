"""Where leaves are fixed to studs: the forces that pass there, from the mobilities of all that moves.

Everything repeats along a stud, so that a field at the wavenumber k_y answers in the orders
k_y + 2 pi m/cell only. A part that moves, leaves or stud, is told by its mobilities order by order; at the
fixings they add up to a small matrix, one row and column a fixing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics.layers import Complex
from isolate.physics.studs import Places


class Part(NamedTuple):
    """Mobilities (y11, y12, y22) of sides 1 and 2 at the orders (H,) along the stud, (H, ..., F) each, times
    `per`: the length of a stud [m], or the area of leaves [m2], that has one cell of fixings."""

    orders: Array
    mobility: tuple[Complex, Complex, Complex]
    per: float


def together(parts: Sequence[Part], places: tuple[Places, Places], cell: float) -> Complex:
    """Mobility (..., F, N, N) [m/(N s)] between N fixings, of side 1 and then of side 2, at `places` [m] in
    the cell: element i, j is the velocity at i by a force at j; the parts' sum."""
    at = [np.array(own) / cell for own in places]
    rows = [
        np.concatenate([_between(parts, i + j, here[:, None] - there) for j, there in enumerate(at)], 1)
        for i, here in enumerate(at)
    ]
    return np.moveaxis(np.concatenate(rows), (0, 1), (-2, -1))


def _between(parts: Sequence[Part], which: int, apart: Array) -> Complex:
    """One of the three mobilities, (*apart, ..., F), between places `apart` in cells."""
    some, where = np.unique(np.round(apart, 6) % 1.0, return_inverse=True)
    sums = [np.tensordot(_phases(-some, one.orders) / one.per, one.mobility[which], 1) for one in parts]
    return np.asarray(sum(sums[1:], sums[0]))[where.reshape(apart.shape)]


def shares(forces: Complex, places: Places, cell: float, orders: Array) -> Complex:
    """Forces (N, ..., F) at `places` [m] of one side as amplitudes of the orders (H,); (H, ..., F)."""
    return np.tensordot(_phases(np.array(places) / cell, orders).T, forces, 1)


def _phases(at: Array, orders: Array) -> Complex:
    """e^{2 pi j m y/cell}, (places, orders)."""
    return np.exp(2j * np.pi * np.outer(at, orders))
