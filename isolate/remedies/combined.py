"""Every state of every part of a room, computed once, and from them any combination of fixes at once.

A side with some of its fixes made is one state of its cell: a spectrum of tau S. Combinations of fixes only
pick a state of each cell, and sounds are sums over cells, so that thousands of combinations are sums of
stored arrays.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.describe.rooms import Room
from isolate.physics import flanking_rooms
from isolate.remedies.judgement.target import Aim
from isolate.remedies.remedy import Fix
from isolate.remedies.sounds import Cell, Sound, levels
from isolate.room.elements import SideFound
from isolate.room.envelope import Shell
from isolate.room.neighbours import found as neighbours_of
from isolate.room.scenario import State
from isolate.standards.weighting import dba

Bits = NDArray[np.bool_]  # (combinations, fixes): which are made
Chosen = frozenset[int]
PRESENT: Chosen = frozenset()


class Built:
    """The room with any of these fixes made: its sides, its shell, its sounds, each found once."""

    def __init__(self, room: Room, now: Shell, fixes: Sequence[Fix]) -> None:
        self.room, self.now, self.fixes = room, now, tuple(fixes)
        self._sides: dict[tuple[str, Chosen], SideFound] = {}
        self._cells: dict[tuple[Cell, Chosen], Array] = {}
        self._shells: dict[Chosen, Shell] = {}
        self._states: dict[Chosen, State] = {}
        self._by_name = {found.side.name: found for found in now.sides}
        self._touched: dict[Cell, tuple[int, ...]] = {}

    def touching(self, cell: Cell) -> tuple[int, ...]:
        """The fixes that change a cell; plans by themselves left out."""
        if cell not in self._touched:
            kind, name = cell
            single = [(i, fix) for i, fix in enumerate(self.fixes) if fix.rebuilds is None]
            if kind == "side":
                found = [i for i, fix in single if fix.side == name]
            else:
                wall = flanking_rooms.largest([one.side for one in self.now.facing(name)]).name
                found = [
                    i
                    for i, fix in single
                    if fix.option.flanks or (fix.side == wall and fix.option.construction is not None)
                ]
            self._touched[cell] = tuple(found)
        return self._touched[cell]

    def side(self, name: str, chosen: Chosen) -> SideFound:
        """A side with those of the chosen fixes made that change it."""
        mine = frozenset(i for i in chosen if self.fixes[i].side == name)
        if not mine:
            return self._by_name[name]
        key = name, mine
        if key not in self._sides:
            self._sides[key] = self._find(name, [self.fixes[i] for i in sorted(mine)])
        return self._sides[key]

    def _find(self, name: str, mine: Sequence[Fix]) -> SideFound:
        side = self._by_name[name].side
        for fix in mine:
            if fix.finds is None:
                side = fix.on(side)
        special = [fix for fix in mine if fix.finds is not None]
        if not special:
            return self.now.find(side)
        (one,) = special
        assert one.finds is not None
        return one.finds(self.now, side)

    def cell(self, cell: Cell, chosen: Chosen) -> Array:
        """tau S [m2] (27,) of a cell with the chosen fixes made."""
        key = cell, chosen & frozenset(self.touching(cell))
        if key not in self._cells:
            kind, name = cell
            if kind == "side":
                self._cells[key] = self.side(name, key[1]).tau_area
            else:
                paths = self.shell(key[1]).round_about(name)
                self._cells[key] = np.asarray(sum(path.tau_area for path in paths))
        return self._cells[key]

    def shell(self, chosen: Chosen) -> Shell:
        """The whole shell with the chosen fixes made."""
        if chosen not in self._shells:
            self._shells[chosen] = self._shell(chosen)
        return self._shells[chosen]

    def _shell(self, chosen: Chosen) -> Shell:
        made = self.now
        for name in dict.fromkeys(self.fixes[i].side for i in sorted(chosen)):
            if name in self._by_name:
                made = made.replaced(self.side(name, chosen))
        for i in sorted(chosen):
            option = self.fixes[i].option
            if option.lining is not None:
                gain = self.now.finder.lining(option.lining)
                made = replace(made, linings={**made.linings, **dict.fromkeys(option.flanks, gain)})
        return made

    def state(self, chosen: Chosen) -> State:
        """Everything that is heard with the chosen fixes made."""
        if chosen not in self._states:
            self._states[chosen] = self._state(chosen)
        return self._states[chosen]

    def _state(self, chosen: Chosen) -> State:
        alone = [rebuilds for i in chosen if (rebuilds := self.fixes[i].rebuilds) is not None]
        if alone:
            return alone[0]()
        shell = self.shell(chosen)
        heard = tuple(shell.hear(noise) for noise in self.room.noises)
        return State(shell, heard, neighbours_of(self.room, shell))


class Evaluator:
    """How far each aim is missed in any combination of fixes."""

    def __init__(self, built: Built, aims: Sequence[Aim]) -> None:
        self.built, self.aims = built, tuple(aims)
        self.cells: tuple[Cell, ...] = tuple(dict.fromkeys(cell for aim in aims for cell in aim.sound.cells))
        self._now = {cell: built.cell(cell, PRESENT) for cell in self.cells}

    def moved_by(self, aim: Aim) -> frozenset[int]:
        """The fixes that change the sound of an aim."""
        return frozenset(i for cell in aim.sound.cells for i in self.built.touching(cell))

    def excess(self, bits: Bits) -> Array:
        """How far each aim is missed [dB] (combinations, aims), 0 and less where it is met."""
        return self._each(bits, lambda aim, level: aim.excess(level, aim.sound.background_db))

    def dba(self, bits: Bits) -> Array:
        """A-weighted level [dB] of each aim's sound (combinations, aims)."""
        return self._each(bits, lambda aim, level: dba(level))

    def _each(self, bits: Bits, value: Callable[[Aim, Array], Array]) -> Array:
        states = {cell: self._states(cell, bits) for cell in self.cells}
        return np.column_stack([self._one(aim, states, len(bits), value) for aim in self.aims])

    def _states(self, cell: Cell, bits: Bits) -> tuple[Array, NDArray[np.intp]]:
        """tau S of the different states of a cell that come up (states, 27), and which one each row has."""
        touching = self.built.touching(cell)
        if not touching:
            return self._now[cell][None], np.zeros(len(bits), np.intp)
        rows, which = _alike(bits[:, touching])
        chosen = [frozenset(np.array(touching)[row].tolist()) for row in rows]
        return np.array([self.built.cell(cell, one) for one in chosen]), which

    def _one(
        self,
        aim: Aim,
        states: Mapping[Cell, tuple[Array, NDArray[np.intp]]],
        count: int,
        value: Callable[[Aim, Array], Array],
    ) -> Array:
        """One column: sounds are computed for the different states of their cells only."""
        cells = aim.sound.cells
        code, radix = np.zeros(count, np.int64), 1
        for cell in cells:
            tau, which = states[cell]
            code += radix * which
            radix *= len(tau)
        _, first, back = np.unique(code, return_index=True, return_inverse=True)
        tau_area = {cell: states[cell][0][states[cell][1][first]] for cell in cells}
        return np.asarray(value(aim, levels(aim.sound, tau_area, self._now))[back])

    def level(self, sound: Sound, chosen: Chosen) -> Array:
        """Level [dB] (27,) of a sound with the chosen fixes made."""
        return levels(sound, {cell: self.built.cell(cell, chosen) for cell in sound.cells}, self._now)


def _alike(bits: Bits) -> tuple[Bits, NDArray[np.intp]]:
    """The different rows (rows, fixes), and which of them each row is."""
    if bits.shape[1] > 62:
        rows, which = np.unique(bits, axis=0, return_inverse=True)
        return rows, which.ravel()
    code = bits @ (1 << np.arange(bits.shape[1], dtype=np.int64))
    _, first, which = np.unique(code, return_index=True, return_inverse=True)
    return bits[first], which


def row(chosen: Chosen, count: int) -> Bits:
    """Chosen fixes as one row of bits."""
    found = np.zeros((1, count), bool)
    found[0, sorted(chosen)] = True
    return found
