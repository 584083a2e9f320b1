"""How far each aim is missed in any combination of remedies: sums of stored spectra, thousands at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.remedies.combined import PRESENT, Cell, Chosen, Combined, cells, levels
from isolate.remedies.judgement.target import Aim
from isolate.standards.weighting import dba

Bits = NDArray[np.bool_]  # (combinations, remedies): which are made


class Evaluator:
    """Evaluates combinations of the remedies of a room against aims, inner rooms left out."""

    def __init__(self, combined: Combined, aims: Sequence[Aim]) -> None:
        self.combined, self.aims = combined, tuple(aims)
        self.passes = [cells(aim.sound, combined.now.envelope) for aim in aims]
        self.cells: tuple[Cell, ...] = tuple(dict.fromkeys(cell for found in self.passes for cell in found))
        self._now = {cell: combined.cell(cell, PRESENT) for cell in self.cells}
        ways = [(i, one.way) for i, one in enumerate(combined.remedies) if one.way and one.way.hours]
        self._later = [
            {i: aim.at(way.hours) for i, way in ways if way.hours and way.sound == aim.sound.what}
            for aim in aims
        ]

    def moved_by(self, aim: int) -> frozenset[int]:
        """The remedies that change the sound of an aim."""
        return frozenset(i for cell in self.passes[aim] for i in self.combined.touching(cell))

    def excess(self, bits: Bits) -> Array:
        """How far each aim is missed [dB] (combinations, aims), 0 and less where it is met."""
        return self._each(bits, lambda aim, level: aim.excess(level, aim.sound.background_db), later=True)

    def dba(self, bits: Bits) -> Array:
        """A-weighted level [dB] of each aim's sound (combinations, aims)."""
        return self._each(bits, lambda aim, level: dba(level))

    def _each(self, bits: Bits, value: Callable[[Aim, Array], Array], *, later: bool = False) -> Array:
        """A column an aim; `later`: an aim whose sound is played at other hours is that of those hours."""
        states = {cell: self._states(cell, bits) for cell in self.cells}
        return np.column_stack([
            self._one(i, states, bits, value, self._later[i] if later else {}) for i in range(len(self.aims))
        ])

    def _states(self, cell: Cell, bits: Bits) -> tuple[Array, NDArray[np.intp]]:
        """tau S of the different states of a cell that come up (states, 27), and which one each row has."""
        touching = self.combined.touching(cell)
        if not touching:
            return self._now[cell][None], np.zeros(len(bits), np.intp)
        rows, which = _alike(bits[:, touching])
        chosen = [frozenset(np.array(touching)[row].tolist()) for row in rows]
        return np.array([self.combined.cell(cell, one) for one in chosen]), which

    def _one(
        self,
        index: int,
        states: Mapping[Cell, tuple[Array, NDArray[np.intp]]],
        bits: Bits,
        value: Callable[[Aim, Array], Array],
        later: Mapping[int, Aim],
    ) -> Array:
        """One column: sounds are computed for the different states of their cells only."""
        aim, through = self.aims[index], self.passes[index]
        code, radix = np.zeros(len(bits), np.int64), 1
        for cell in through:
            tau, which = states[cell]
            code += radix * which
            radix *= len(tau)
        _, first, back = np.unique(code, return_index=True, return_inverse=True)
        tau_area = {cell: states[cell][0][states[cell][1][first]] for cell in through}
        level = levels(aim.sound.level_db, through, tau_area, self._now)
        found = np.array(value(aim, level))
        for remedy, then in later.items():
            mine = bits[first, remedy]
            found[mine] = value(then, level[mine])
        return found[back]


def _alike(bits: Bits) -> tuple[Bits, NDArray[np.intp]]:
    """The different rows (rows, remedies), and which of them each row is."""
    if bits.shape[1] > 62:
        rows, which = np.unique(bits, axis=0, return_inverse=True)
        return rows, which.ravel()
    code = bits @ (1 << np.arange(bits.shape[1], dtype=np.int64))
    _, first, which = np.unique(code, return_index=True, return_inverse=True)
    return bits[first], which


def row(chosen: Chosen, count: int) -> Bits:
    """Chosen remedies as one row of bits."""
    found = np.zeros((1, count), bool)
    found[0, sorted(chosen)] = True
    return found
