"""Which sets of remedies are best for their price: all of them where they can be counted, a search beyond.

Remedies that no sound has in common are independent of each other: the room falls into parts, each is
searched by itself, and fronts add up. Within a part every set of remedies that can be made together is looked
at, as long as that is quickly done (`MOST`). Larger parts start from greedy sets and go on from every set of
the front, adding, dropping and exchanging remedies, until nothing gets better or as much has been looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.remedies.combined import PRESENT, Cell, Chosen
from isolate.remedies.judgement.evaluator import Bits, Evaluator, alike
from isolate.remedies.judgement.front import Front, Index, Part, pareto, summed
from isolate.remedies.remedy import Remedy
from isolate.room.chances import Progress, quiet

MOST = 15_000_000  # parts of the room that sounds pass in all sets: some two seconds of processor time
_AIM = 25  # as many as what a sound comes to takes, beside the parts it passes
_CHUNK = 1 << 14
_ROUNDS = 60
NO_LIMITS = (float("inf"),) * 3


def resources(remedies: Sequence[Remedy]) -> Array:
    """Cost, mass [kg] and space [m3] of each remedy, (remedies, 3); cost to the hundredth."""
    return np.array([[round(one.price, 2), one.mass, one.space] for one in remedies]).reshape(-1, 3)


def conflicts(remedies: Sequence[Remedy]) -> NDArray[np.bool_]:
    """Which pairs cannot both be made, (remedies, remedies)."""
    return np.array([[a is not b and a.excludes(b) for b in remedies] for a in remedies], bool).reshape(
        len(remedies), len(remedies)
    )


def together(conflict: NDArray[np.bool_], most: int = MOST) -> Bits | None:
    """Every set of remedies that can be made together, (sets, remedies), the empty one first; None if more
    than `most`."""
    count = len(conflict)
    found = np.zeros((1, count), bool)
    for i in range(count):
        fits = ~(found & conflict[i]).any(1)
        more = found[fits]
        if len(found) + len(more) > most:
            return None
        more[:, i] = True
        found = np.concatenate([found, more])
    return found


def groups(
    evaluator: Evaluator, conflict: NDArray[np.bool_], *, aside: Chosen = PRESENT
) -> tuple[tuple[int, ...], ...]:
    """Remedies that have a sound in common, or rule each other out, directly or by others; each group sorted.
    Remedies that change no sound of the aims are in none, nor are those left `aside`."""
    every = range(len(evaluator.aims))
    linked = [set(moved) for aim in every if (moved := evaluator.moved_by(aim) - aside)]
    counting = set().union(*linked) if linked else set()
    linked += [{int(a), int(b)} for a, b in np.argwhere(conflict) if {int(a), int(b)} <= counting]
    found: list[set[int]] = []
    for one in linked:
        apart = [group for group in found if not group & one]
        found = [*apart, one.union(*(group for group in found if group & one))]
    return tuple(sorted(tuple(sorted(group)) for group in found))


@dataclass(frozen=True, eq=False)
class Searched:
    """The sets looked at in one group of `remedies`: `bits` (sets, remedies of the group), `takes` (sets, 3)
    as `resources`, `excess` (sets, aims) of the group's own `aims`; `exact`: these are all there are."""

    remedies: tuple[int, ...]
    aims: tuple[int, ...]
    bits: Bits
    takes: Array
    excess: Array
    exact: bool

    def part(self, left: Callable[[Array], Array], columns: Sequence[int]) -> Part:
        """For a front: `left` makes of excesses what is left to be done; `columns` of what it takes."""
        return Part(np.column_stack([left(self.excess), self.takes[:, list(columns)]]), self.bits.sum(1))

    def chosen(self, row: int) -> Chosen:
        """The remedies of one set."""
        return frozenset(np.array(self.remedies, int)[self.bits[row]].tolist())


def searched(
    evaluator: Evaluator,
    *,
    limits: Sequence[float] = NO_LIMITS,
    aside: Chosen = PRESENT,
    known: Sequence[Searched] = (),
    most: int = MOST,
    progress: Progress = quiet,
) -> tuple[Searched, ...]:
    """Every group of the evaluator's remedies, searched.

    limits : on cost, mass and space; only a search that cannot be exact minds them. aside : not to be taken.
    known : groups searched already. most : as `MOST`, shared by the groups.
    """
    remedies = evaluator.combined.remedies
    able = [i for i, remedy in enumerate(remedies) if not remedy.parts]
    conflict = np.zeros((len(remedies),) * 2, bool)
    conflict[np.ix_(able, able)] = conflicts([remedies[i] for i in able])
    found = {one.remedies: one for one in known}
    whole = groups(evaluator, conflict, aside=aside)
    todo = [group for group in whole if group not in found]
    share = {group: most // len(todo) // _work(evaluator, group) for group in todo}
    tables = {group: together(conflict[np.ix_(group, group)], share[group]) for group in todo}
    _prepare(evaluator, tables, progress)
    for group, bits in tables.items():
        found[group] = _searched(evaluator, group, bits, conflict, limits, share[group], progress)
    return tuple(found[group] for group in whole)


def _own_aims(evaluator: Evaluator, group: Sequence[int]) -> tuple[int, ...]:
    return tuple(i for i in range(len(evaluator.aims)) if evaluator.moved_by(i) & set(group))


def _work(evaluator: Evaluator, group: Sequence[int]) -> int:
    """What one set of a group takes, in units of `MOST`."""
    return sum(_AIM + len(evaluator.passes[i]) for i in _own_aims(evaluator, group))


def _prepare(
    evaluator: Evaluator, tables: Mapping[tuple[int, ...], Bits | None], progress: Progress
) -> None:
    """Find every state that will come up, telling how far that is."""
    wanted: dict[tuple[Cell, Chosen], None] = {}
    for group, bits in tables.items():
        for cell in evaluator.cells:
            mine = [i for i in evaluator.combined.touching(cell) if i in group]
            columns = [group.index(i) for i in mine]
            alone = np.eye(len(mine), dtype=bool) if bits is None else alike(bits[:, columns])[0]
            for row in alone if mine else ():
                wanted[cell, frozenset(np.array(mine)[row].tolist())] = None
    for done, (cell, chosen) in enumerate(wanted, 1):
        evaluator.combined.cell(cell, chosen)
        progress(done, len(wanted))


def _searched(
    evaluator: Evaluator,
    group: tuple[int, ...],
    bits: Bits | None,
    conflict: NDArray[np.bool_],
    limits: Sequence[float],
    most: int,
    progress: Progress,
) -> Searched:
    aims = _own_aims(evaluator, group)
    takes = resources([evaluator.combined.remedies[i] for i in group])
    asked = Asked(evaluator, group, aims, takes)
    exact = bits is not None
    if bits is None:
        bits, excess = _explored(asked, conflict[np.ix_(group, group)], limits, most, progress)
    else:
        excess = asked.excess(bits, progress)
    return Searched(group, aims, bits, asked.takes(bits), excess, exact)


@dataclass(frozen=True, eq=False)
class Asked:
    """What one group's sets take and leave."""

    evaluator: Evaluator
    group: tuple[int, ...]
    aims: tuple[int, ...]
    each: Array

    def takes(self, bits: Bits) -> Array:
        """Cost, mass and space of sets, (sets, 3)."""
        return np.round(bits @ self.each, 6)

    def excess(self, bits: Bits, progress: Progress = quiet) -> Array:
        """Excess of the group's own aims, (sets, aims)."""
        found = []
        for start in range(0, len(bits), _CHUNK):
            found.append(self._excess(bits[start : start + _CHUNK]))
            if len(bits) > _CHUNK:
                progress(min(start + _CHUNK, len(bits)), len(bits))
        return np.concatenate(found)

    def _excess(self, bits: Bits) -> Array:
        whole = np.zeros((len(bits), len(self.evaluator.combined.remedies)), bool)
        whole[:, list(self.group)] = bits
        return self.evaluator.excess(whole, self.aims)


# --- more sets than can be counted ---


class _Seen:
    """Sets that were looked at, and how far each misses the group's aims; of `most` that progress tells."""

    def __init__(self, asked: Asked, most: int, progress: Progress) -> None:
        self._asked, self._most, self._progress = asked, most, progress
        self._known: dict[bytes, tuple[NDArray[np.bool_], Array]] = {}

    def fresh(self, bits: Bits) -> Bits:
        """Those not looked at yet, each once; where `most` leaves no room for all of them some, evenly
        spread."""
        rows = [*{row.tobytes(): row for row in bits if row.tobytes() not in self._known}.values()]
        room = self._most - len(self._known)
        if len(rows) > room:
            rows = rows[:: -(-len(rows) // room)] if room > 0 else []
        return np.array(rows, bool).reshape(-1, bits.shape[1])

    def excess(self, bits: Bits) -> Array:
        """How far each aim is missed (sets, aims); what is not known is looked at."""
        rows = {row.tobytes(): row for row in bits if row.tobytes() not in self._known}
        if rows:
            found = self._asked.excess(np.array([*rows.values()]))
            self._known.update(zip(rows, zip(rows.values(), found, strict=True), strict=True))
            self._progress(min(len(self._known), self._most), self._most)
        return np.array([self._known[row.tobytes()][1] for row in bits])

    def left(self, bits: Bits) -> Array:
        """What is left to be done, (sets,)."""
        return np.asarray(np.maximum(self.excess(bits), 0.0).sum(1))

    def table(self) -> tuple[Bits, Array]:
        """All of them."""
        rows, excess = zip(*self._known.values(), strict=True)
        return np.array(rows), np.array(excess)


def _explored(
    asked: Asked, conflict: NDArray[np.bool_], limits: Sequence[float], most: int, progress: Progress
) -> tuple[Bits, Array]:
    """Sets worth a look and their excesses: what greedy choices pass by, then the neighbours of every set on
    the front, as long as no more than `most` were looked at."""
    seen = _Seen(asked, most, progress)
    for bounds in dict.fromkeys((NO_LIMITS, tuple(limits))):
        for by_price, exchange in product((True, False), repeat=2):
            _greedy(asked, seen, conflict, bounds, by_price, exchange)
    bits, excess = seen.table()
    for _ in range(_ROUNDS):
        values = np.column_stack([np.maximum(excess, 0.0).sum(1), asked.takes(bits)])
        bits = bits[_front(values, bits, limits)]
        fresh = seen.fresh(np.concatenate([neighbours(row, conflict) for row in bits]))
        if not len(fresh):
            break
        bits = np.concatenate([bits, fresh])
        excess = seen.excess(bits)
    return seen.table()


def _front(values: Array, bits: Bits, limits: Sequence[float]) -> Index:
    """Rows on the front of what is left against each thing it takes, whether bounded or not."""
    count = bits.sum(1)
    found = [pareto(np.round(values[:, [0, column]], 6), count) for column in (1, 2, 3)]
    if np.isfinite(limits[1:]).any():
        found.append(pareto(np.round(values, 6), count))
    return np.unique(np.concatenate(found))


def neighbours(row: NDArray[np.bool_], conflict: NDArray[np.bool_]) -> Bits:
    """Sets one remedy away: each added, in place of what it rules out; each dropped; each exchanged."""
    made = np.flatnonzero(row)
    found = []
    for i in range(len(row)):
        other = row.copy()
        if row[i]:
            other[i] = False
            found.append(other)
            continue
        other &= ~conflict[i]
        other[i] = True
        found.append(other)
        for j in made:
            if other[j]:
                exchanged = other.copy()
                exchanged[j] = False
                found.append(exchanged)
    return np.array(found).reshape(-1, len(row))


def _greedy(
    asked: Asked, seen: _Seen, conflict: NDArray[np.bool_], limits: Sequence[float], by_price: bool,
    exchange: bool,
) -> None:  # fmt: skip
    """From nothing, again and again the remedy that brings most (for its price), as long as one brings any;
    `exchange`: also in place of remedies it rules out."""
    row = np.zeros(len(conflict), bool)
    while True:
        left = float(seen.left(row[None])[0])
        cost = float(asked.takes(row[None])[0, 0])
        able = [i for i in np.flatnonzero(~row).tolist() if exchange or not (conflict[i] & row).any()]
        tried = np.array([_added(row, i, conflict) for i in able])
        if not len(tried):
            return
        takes = asked.takes(tried)
        gains = left - seen.left(tried)
        gains[(takes > np.asarray(limits) + 1e-9).any(1)] = -np.inf
        if gains.max() <= 1e-9:
            return
        price = np.maximum(takes[:, 0] - cost, 1e-9) if by_price else np.ones(len(tried))
        row = tried[int(np.argmax(np.where(gains > 1e-9, gains / price, -np.inf)))]


def _added(row: NDArray[np.bool_], i: int, conflict: NDArray[np.bool_]) -> NDArray[np.bool_]:
    other = row & ~conflict[i]
    other[i] = True
    return other


# --- all groups together ---


def front(
    tables: Sequence[Searched],
    *,
    left: Callable[[Array], Array],
    limits: Sequence[float] = NO_LIMITS,
    by: int = 0,
) -> tuple[Front, list[Chosen]]:
    """The front of what is left against cost (`by` 0), mass (1) or space (2), and what is limited too.

    The sets' rows are in the order of what they take, and each set's remedies are told.
    """
    columns = [by, *(i for i in range(3) if i != by and np.isfinite(limits[i]))]
    found = summed([one.part(left, columns) for one in tables], [limits[i] for i in columns])
    order = np.lexsort((found.values[:, 0], found.values[:, 1]))
    found = Front(found.values[order], found.rows[order])
    chosen = [
        frozenset().union(*(table.chosen(row) for table, row in zip(tables, rows, strict=True)))
        for rows in found.rows
    ]
    return found, chosen
