"""Where leaves are fixed to studs: the forces that pass there, from the mobilities of all that moves.

Everything repeats along a stud, so that a field at the wavenumber k_y answers in the orders
k_y + 2 pi m/cell only. What moves is told by its mobilities order by order; at the fixings they add up to a
small matrix, one row and column a fixing.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics.layers import Complex
from isolate.physics.studs import Places


class Mobility(NamedTuple):
    """Of sides 1 and 2 to equal forces in every cell [m/(N s)], at the orders (M,) along the stud: y11, y12
    and y22, (M, ..., F) each."""

    orders: Array
    y11: Complex
    y12: Complex
    y22: Complex


def together(of: Mobility, places: tuple[Places, Places], cell: float) -> Complex:
    """Mobility (..., F, N, N) [m/(N s)] between N fixings, of side 1 and then of side 2, at `places` [m] in
    the cell: element i, j is the velocity at i by a force at j."""
    at = [np.array(own) / cell for own in places]
    rows = []
    for row, here in zip(((of.y11, of.y12), (of.y12, of.y22)), at, strict=True):
        blocks = [_summed(y, of.orders, here[:, None] - there) for y, there in zip(row, at, strict=True)]
        rows.append(np.concatenate(blocks, 1))
    return np.moveaxis(np.concatenate(rows), (0, 1), (-2, -1))


def _summed(y: Complex, orders: Array, apart: Array) -> Complex:
    """Sum over the orders (*apart, ..., F) between places `apart` in cells."""
    some, where = np.unique(np.round(apart, 6) % 1.0, return_inverse=True)
    return np.asarray(np.tensordot(_phases(-some, orders), y, 1)[where.reshape(apart.shape)])


def shares(forces: Complex, places: Places, cell: float, orders: Array) -> Complex:
    """Forces (N, ..., F) at `places` [m] of one side as amplitudes of the orders (H,); (H, ..., F)."""
    return np.tensordot(_phases(np.array(places) / cell, orders).T, forces, 1)


def _phases(at: Array, orders: Array) -> Complex:
    """e^{2 pi j m y/cell}, (places, orders)."""
    return np.exp(2j * np.pi * np.outer(at, orders))
