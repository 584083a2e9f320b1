"""Fronts of what is best for its price: sets of which none is better in one respect without being worse in
another, and how fronts of independent parts add up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array

Index = NDArray[np.intp]
_CHUNK = 4096
ROUNDING = 6  # digits [dB] beyond which two sets are as good as each other


def pareto(values: Array, ties: Array) -> Index:
    """Rows of values (n, d) that no other row equals or beats in every column; small is good.

    Of rows alike the one with the smallest `ties` (n,) stays, then the first. In order of the second column,
    rising.
    """
    order = np.lexsort((ties, *values.T[2:], values[:, 0], values[:, 1]))
    if values.shape[1] == 2:
        best = np.minimum.accumulate(values[order, 0])
        first = np.concatenate([[True], best[1:] < best[:-1]])
        return np.asarray(order[first], np.intp)
    return _pareto(values, order)


def _pareto(values: Array, order: Index) -> Index:
    """The same in more than two columns: rows in an order in which none beats one before it, or equals one
    later that should stay."""
    kept = np.empty((0, values.shape[1]))
    found: list[int] = []
    for start in range(0, len(order), _CHUNK):
        rows = order[start : start + _CHUNK]
        block = values[rows]
        if len(kept):
            beaten = np.zeros(len(block), bool)
            for part in np.array_split(kept, max(len(kept) // 256, 1)):
                beaten |= np.any(np.all(part[None] <= block[:, None], axis=-1), axis=1)
            rows, block = rows[~beaten], block[~beaten]
        fresh: list[int] = []
        for i in range(len(block)):
            if not fresh or not np.any(np.all(block[fresh] <= block[i], axis=-1)):
                fresh.append(i)
        found += rows[fresh].tolist()
        kept = np.concatenate([kept, block[fresh]])
    return np.array(found, np.intp)


@dataclass(frozen=True, eq=False)
class Part:
    """The sets of one independent part: `values` (n, d): what is left to be done, then what it takes;
    `count` (n,) of remedies in each."""

    values: Array
    count: Array


@dataclass(frozen=True, eq=False)
class Front:
    """`values` (n, d) as in `Part`, summed over parts, and which row of each part made it, (n, parts)."""

    values: Array
    rows: Index


def summed(parts: Sequence[Part], limits: Sequence[float]) -> Front:
    """The front over all ways to take one row of each part.

    limits: the most that may be taken, of each column but the first; inf for none.
    """
    columns = 1 + len(limits)
    least = [part.values[:, 1:].min(0) for part in parts]
    values, count = np.zeros((1, columns)), np.zeros(1)
    rows = np.zeros((1, 0), np.intp)
    for i, part in enumerate(parts):
        kept = pareto(_rounded(part.values), part.count)
        both = values[:, None] + part.values[kept][None]
        many = count[:, None] + part.count[kept][None]
        rest = np.sum(least[i + 1 :], axis=0) if i + 1 < len(parts) else 0.0
        fits = (both[..., 1:] + rest <= np.asarray(limits) + 1e-9).all(-1)
        left, right = np.nonzero(fits)
        values, count = both[left, right], many[left, right]
        rows = np.column_stack([rows[left], kept[right]])
        best = pareto(_rounded(values), count)
        values, count, rows = values[best], count[best], rows[best]
    return Front(values, rows)


def _rounded(values: Array) -> Array:
    return np.round(values, ROUNDING)
