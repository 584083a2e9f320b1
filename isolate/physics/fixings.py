"""Where leaves are fixed to studs: the forces that pass there, from the mobilities of all that moves.

Everything repeats along a stud, so that a field at the wavenumber k_y answers in the orders
k_y + 2 pi m/cell only. What moves is told by its mobilities order by order; at the fixings they add up to a
small matrix, one row and column a fixing.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics.layers import Complex
from isolate.physics.studs import Places


class Mobility(NamedTuple):
    """Of sides 1 and 2 to equal forces in every cell [m/(N s)], at the orders (M,) along the stud: y11, y12
    and y22, (M, F) each."""

    orders: Array
    y11: Complex
    y12: Complex
    y22: Complex


def together(of: Mobility, places: tuple[Places, Places], cell: float) -> Complex:
    """Mobility (F, N, N) [m/(N s)] between N fixings, of side 1 and then of side 2, at `places` [m] in
    the cell: element i, j is the velocity at i by a force at j."""
    rows, orders = [], tuple(of.orders)
    for row, here in zip(((of.y11, of.y12), (of.y12, of.y22)), places, strict=True):
        blocks = []
        for y, there in zip(row, places, strict=True):
            phases, where = _between(here, there, cell, orders)
            blocks.append((phases @ y)[where])
        rows.append(np.concatenate(blocks, 1))
    return np.moveaxis(np.concatenate(rows), (0, 1), (-2, -1))


@lru_cache
def _between(
    here: Places, there: Places, cell: float, orders: tuple[float, ...]
) -> tuple[Complex, NDArray[np.intp]]:
    """Phases (P, M) over each distance between places [m], and which of these each pair of them has."""
    apart = (np.array(here)[:, None] - np.array(there)) / cell
    some, where = np.unique(np.round(apart, 6) % 1.0, return_inverse=True)
    return _phases(-some, np.array(orders)), where.reshape(apart.shape)


def shares(forces: Complex, places: Places, cell: float, orders: Array) -> Complex:
    """Forces (N, F) at `places` [m] of one side as amplitudes of the orders (H,); (H, F)."""
    return np.asarray(_phases(np.array(places) / cell, orders).T @ forces)


def _phases(at: Array, orders: Array) -> Complex:
    """e^{2 pi j m y/cell}, (places, orders)."""
    return np.exp(2j * np.pi * np.outer(at, orders))
