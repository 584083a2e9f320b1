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
_CHUNK = 1024  # sounds at once: what fits into a processor's own memory
Value = Callable[[Aim, Array], Array]  # of levels (combinations, 27) of an aim's sound


def _missed(aim: Aim, level: Array) -> Array:
    return aim.excess(level, aim.sound.background_db)


def _dba(aim: Aim, level: Array) -> Array:
    return dba(level)


class Evaluator:
    """Evaluates combinations of the remedies of a room against aims, inner rooms left out."""

    def __init__(self, combined: Combined, aims: Sequence[Aim]) -> None:
        self.combined, self.aims = combined, tuple(aims)
        self.passes = [cells(aim.sound, combined.now.envelope) for aim in aims]
        self.cells: tuple[Cell, ...] = tuple(dict.fromkeys(cell for found in self.passes for cell in found))
        self._now = {cell: combined.cell(cell, PRESENT) for cell in self.cells}
        ways = [(i, one.way) for i, one in enumerate(combined.remedies) if one.way and one.way.hours]
        self._later = [
            {i: aim.at(way.hours) for i, way in ways if way.hours and way.is_of(aim.sound)}
            for aim in aims
        ]

    def moved_by(self, aim: int) -> frozenset[int]:
        """The remedies that change the sound of an aim."""
        return frozenset(i for cell in self.passes[aim] for i in self.combined.touching(cell))

    def excess(self, bits: Bits, aims: Sequence[int] | None = None) -> Array:
        """How far each of these aims (all) is missed [dB] (combinations, aims), 0 and less where met."""
        return self._each(bits, range(len(self.aims)) if aims is None else aims, (_missed,))[0]

    def heard(self, bits: Bits) -> tuple[Array, Array]:
        """How far each aim is missed, and the level of its sound [dBA], (combinations, aims) both."""
        missed, level = self._each(bits, range(len(self.aims)), (_missed, _dba))
        return missed, level

    def _each(self, bits: Bits, aims: Sequence[int], values: Sequence[Value]) -> tuple[Array, ...]:
        through = dict.fromkeys(cell for i in aims for cell in self.passes[i])
        states = {cell: self._states(cell, bits) for cell in through}
        each = [self._one(i, states, bits, values) for i in aims]
        return tuple(np.column_stack(columns) for columns in zip(*each, strict=True))

    def _states(self, cell: Cell, bits: Bits) -> tuple[Array, NDArray[np.intp]]:
        """tau S of the different states of a cell that come up (states, 27), and which one each row has."""
        touching = self.combined.touching(cell)
        if not touching:
            return self._now[cell][None], np.zeros(len(bits), np.intp)
        rows, which = alike(bits[:, touching])
        chosen = [frozenset(np.array(touching)[row].tolist()) for row in rows]
        return np.array([self.combined.cell(cell, one) for one in chosen]), which

    def _one(
        self,
        index: int,
        states: Mapping[Cell, tuple[Array, NDArray[np.intp]]],
        bits: Bits,
        values: Sequence[Value],
    ) -> list[Array]:
        """A column of each value: sounds are computed for the different states of their cells only; an aim
        whose sound is played at other hours is that of those hours."""
        aim, through = self.aims[index], self.passes[index]
        code, radix = np.zeros(len(bits), np.int64), 1
        for cell in through:
            tau, which = states[cell]
            code += radix * which
            radix *= len(tau)
        _, first, back = np.unique(code, return_index=True, return_inverse=True)
        found = []
        for some in np.array_split(first, -(-len(first) // _CHUNK)):
            tau_area = {cell: states[cell][0][states[cell][1][some]] for cell in through}
            level = levels(aim.sound.level_db, through, tau_area, self._now)
            parts = [np.array(value(aim, level)) for value in values]
            for remedy, then in self._later[index].items():
                mine = bits[some, remedy]
                for value, part in zip(values, parts, strict=True):
                    part[mine] = value(then, level[mine])
            found.append(parts)
        return [np.concatenate(several)[back] for several in zip(*found, strict=True)]


def alike(bits: Bits) -> tuple[Bits, NDArray[np.intp]]:
    """The different rows (rows, remedies), and which of them each row is."""
    if bits.shape[1] > 62:
        rows, which = np.unique(bits, axis=0, return_inverse=True)
        return rows, which.ravel()
    code = bits @ (1 << np.arange(bits.shape[1], dtype=np.int64))
    _, first, which = np.unique(code, return_index=True, return_inverse=True)
    return bits[first], which


def rows(sets: Sequence[Chosen], count: int) -> Bits:
    """Sets of remedies as rows of bits."""
    found = np.zeros((len(sets), count), bool)
    for i, chosen in enumerate(sets):
        found[i, sorted(chosen)] = True
    return found
