"""The set to take: cheapest of those that meet what is wanted, or the best the limits allow, less what nobody
would notice; the order to make its remedies in; what would come next.

A change is noticed when a sound that misses its aim drops noticeably (`audibility.noticed`), in its
A-weighted level or in how far it misses it, when less is left in all, and when no other wanted sound gets
noticeably worse for it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from isolate.bands import Array
from isolate.remedies.combined import PRESENT, Chosen
from isolate.remedies.judgement.evaluator import Evaluator, rows
from isolate.remedies.judgement.front import pareto
from isolate.remedies.judgement.search import NO_LIMITS, Searched, front, resources
from isolate.room.audibility import UNNOTICED_DB, noticed

MET = 1e-6  # dB of all that is left, below which an aim counts as met
_CHUNK = 4096  # sets at once
MOST_ORDERED = 12  # remedies whose best order is looked for among all orders


def left(excess: Array, *, spare: float = 0.0) -> Array:
    """What is left to be done: excesses above 0, summed over aims; `spare` [dB] more is asked of each."""
    return np.asarray(np.maximum(excess + spare, 0.0).sum(-1))


@dataclass(frozen=True)
class Set:
    """Remedies made together: what is `left` [dB], summed over aims; cost, mass [kg], space [m3]."""

    chosen: Chosen
    left: float
    cost: float
    mass: float
    space: float

    @property
    def met(self) -> bool:
        """Whether every aim is."""
        return self.left <= MET


@dataclass(frozen=True)
class Picked:
    """What is taken of a front: `plan`, and the `best` that the limits allow, from which nobody could tell it
    by ear; all `sets` of the front, by cost."""

    plan: Set
    best: Set
    sets: tuple[Set, ...]


@dataclass(frozen=True)
class Next:
    """A remedy that could follow a plan, `instead` of those it rules out: the set `then`, what it costs more;
    `drop_db` of the sound that drops most (by its index among the aims)."""

    index: int
    instead: Chosen
    then: Set
    extra: float
    drop_db: float
    sound: int

    @property
    def noticed(self) -> bool:
        """Whether anyone would notice."""
        return noticed(self.drop_db)


def hull(points: Sequence[Set]) -> list[Set]:
    """Of sets sorted by cost those on the lower convex hull of what is left over cost, falling."""
    found: list[Set] = []
    for one in points:
        if found and one.left >= found[-1].left - MET:
            continue
        while len(found) > 1 and _above(found[-2], found[-1], one):
            found.pop()
        if found and one.cost <= found[-1].cost:
            found.pop()
        found.append(one)
    return found


def _above(first: Set, middle: Set, last: Set) -> bool:
    """Whether the middle one lies on or above the straight line between its neighbours."""
    along = (middle.cost - first.cost) * (last.left - first.left)
    return (middle.left - first.left) * (last.cost - first.cost) >= along


class Chooser:
    """Chooses among the sets a search has found, and `packages`: inner rooms and what goes with them; what is
    left `aside` is not to be taken."""

    def __init__(
        self, evaluator: Evaluator, tables: Sequence[Searched], packages: Sequence[Chosen] = (), *,
        aside: Chosen = PRESENT,
    ) -> None:  # fmt: skip
        self.evaluator, self.tables, self.packages = evaluator, tuple(tables), tuple(packages)
        self.aside = aside
        self.remedies = evaluator.combined.remedies
        self.takes = resources(self.remedies)
        self._inner = frozenset(i for i, one in enumerate(self.remedies) if one.parts)
        self._excess: dict[Chosen, Array] = {}
        self._dba: dict[Chosen, Array] = {}

    @property
    def exact(self) -> bool:
        """Whether every set there is was looked at."""
        return all(one.exact for one in self.tables)

    @property
    def looked_at(self) -> int:
        """How many combinations were compared: every way to take a set of each group, and the packages."""
        return math.prod(len(one.bits) for one in self.tables) + len(self.packages)

    def excess(self, chosen: Chosen) -> Array:
        """How far each aim is missed [dB] (aims,)."""
        self._find(chosen)
        return self._excess[chosen]

    def dba(self, chosen: Chosen) -> Array:
        """Level of each aim's sound [dBA] (aims,)."""
        self._find(chosen)
        return self._dba[chosen]

    def find(self, sets: Iterable[Chosen]) -> None:
        """Find out about many sets at once, which is much sooner done than one by one."""
        fresh = [one for one in dict.fromkeys(sets) if one not in self._excess and not one & self._inner]
        for start in range(0, len(fresh), _CHUNK):
            some = fresh[start : start + _CHUNK]
            missed, level = self.evaluator.heard(rows(some, len(self.remedies)))
            self._excess.update(zip(some, missed, strict=True))
            self._dba.update(zip(some, level, strict=True))

    def _find(self, chosen: Chosen) -> None:
        if chosen in self._excess:
            return
        if not chosen & self._inner:
            self.find([chosen])
            return
        then = self.evaluator.combined.scenario(chosen)
        sounds = [then.sound(aim.sound.name) for aim in self.evaluator.aims]
        pairs = zip(self.evaluator.aims, sounds, strict=True)
        self._excess[chosen] = np.array(
            [float(aim.of(one).excess(one.level_db, one.background_db)) for aim, one in pairs]
        )
        self._dba[chosen] = np.array([one.dba for one in sounds])

    def as_set(self, chosen: Chosen, *, spare: float = 0.0) -> Set:
        """A set with what it takes and leaves."""
        cost, mass, space = self.takes[sorted(chosen)].sum(0) if chosen else np.zeros(3)
        return Set(
            chosen,
            float(left(self.excess(chosen), spare=spare)),
            round(float(cost), 2),
            float(mass),
            float(space),
        )

    def sets(
        self, limits: Sequence[float] = NO_LIMITS, *, spare: float = 0.0, by: int = 0
    ) -> tuple[Set, ...]:
        """The front of what is left against cost (`by` 0), mass (1) or space (2), rising."""
        _, chosen = front(self.tables, left=partial(left, spare=spare), limits=limits, by=by)
        self.find(chosen)
        found = [self.as_set(one, spare=spare) for one in (*chosen, *self._fitting(limits))]
        values = np.array([[one.left, (one.cost, one.mass, one.space)[by]] for one in found])
        kept = pareto(np.round(values, 6), np.array([len(one.chosen) for one in found]))
        return tuple(found[i] for i in kept)

    def _fitting(self, limits: Sequence[float]) -> list[Chosen]:
        """The packages that keep within limits."""
        most = np.asarray(limits) + 1e-9
        return [one for one in self.packages if (self.takes[sorted(one)].sum(0) <= most).all()]

    def drops(self, before: Chosen, after: Chosen) -> Array:
        """How far each sound that is too loud `before` drops [dB] (aims,), 0 for those that are not."""
        softer = np.maximum(self.dba(before) - self.dba(after), self.excess(before) - self.excess(after))
        return np.where(self.excess(before) > 0.0, softer, 0.0)

    def noticed(self, before: Chosen, after: Chosen) -> bool:
        """Whether anyone would notice the change for the better: in one sound, and not undone by others."""
        gained = float(left(self.excess(before)) - left(self.excess(after)))
        worse = np.where(self.excess(after) > 0.0, self.excess(after) - self.excess(before), 0.0)
        if gained < UNNOTICED_DB or noticed(float(worse.max())):
            return False
        return any(noticed(drop) for drop in self.drops(before, after))

    def pick(self, limits: Sequence[float] = NO_LIMITS, *, spare: float = 0.0) -> Picked:
        """The cheapest set that meets every aim; where none does, the last of a walk up the front, always to
        the cheapest set that one would notice, without what nobody would miss in it. No dearer one of the
        front would be noticed then, and no money goes into what is not noticed."""
        sets = self.sets(limits, spare=spare)
        best = sets[-1]
        if best.met:
            return Picked(best, best, sets)
        plan = sets[0]
        for one in sets:
            if self.noticed(plan.chosen, one.chosen):
                plan = one
        kept = self._pruned(plan.chosen, lambda fewer: self._enough(fewer, sets))
        return Picked(self.as_set(kept, spare=spare), best, sets)

    def _enough(self, chosen: Chosen, sets: Sequence[Set]) -> bool:
        """Whether none of these sets would be noticed."""
        return not any(self.noticed(chosen, one.chosen) for one in sets)

    def _pruned(self, chosen: Chosen, able: Callable[[Chosen], bool]) -> Chosen:
        """A set without remedies it is `able` to go without; the dearest go first, of those the last."""
        self.find(chosen - {i} for i in chosen)
        for i in sorted(chosen, key=lambda i: (-self.takes[i, 0], -i)):
            if able(chosen - {i}):
                chosen = chosen - {i}
        return chosen

    def rungs(self, sets: Sequence[Set]) -> tuple[Set, ...]:
        """The sets of a front that bring most for their price (its convex hull), as long as one would notice
        the step up from the one before."""
        found: list[Set] = []
        for one in hull(sets):
            if not found or self.noticed(found[-1].chosen, one.chosen):
                found.append(one)
        return tuple(found)

    def order(self, chosen: Chosen) -> tuple[int, ...]:
        """The order in which least is left while money is spent: of all orders the one with the smallest sum
        over remedies of cost times what is left before it; of large sets, by what each brings for its
        price."""
        if len(chosen) > MOST_ORDERED:
            return self._greedy_order(chosen)
        made: dict[Chosen, tuple[float, tuple[int, ...]]] = {PRESENT: (0.0, ())}
        for _ in chosen:
            grown: dict[Chosen, tuple[float, tuple[int, ...]]] = {}
            self.find(made)
            for done, (waited, order) in made.items():
                before = float(left(self.excess(done)))
                for i in chosen - done:
                    way = round(waited + (self.takes[i, 0] + 1e-6) * before, 9), (*order, i)
                    key = done | {i}
                    grown[key] = min(way, grown.get(key, way))
            made = grown
        return made[frozenset(chosen)][1]

    def _greedy_order(self, chosen: Chosen) -> tuple[int, ...]:
        order: tuple[int, ...] = ()
        while len(order) < len(chosen):
            done = frozenset(order)
            before = float(left(self.excess(done)))
            self.find(done | {i} for i in chosen - done)

            def worth(i: int, done: Chosen = done, before: float = before) -> tuple[float, int]:
                gain = before - float(left(self.excess(done | {i})))
                return -gain / max(self.takes[i, 0], 1e-6), i

            order = (*order, min(chosen - done, key=worth))
        return order

    def cheaper(self, chosen: Chosen) -> tuple[Chosen, ...]:
        """Sets with one remedy less, or with one exchanged for another that it rules out."""
        found = [chosen - {i} for i in sorted(chosen)]
        for i in sorted(chosen):
            rest = chosen - {i}
            for j, remedy in enumerate(self.remedies):
                if j in chosen | self.aside or remedy.parts:
                    continue
                apart = not any(remedy.excludes(self.remedies[k]) for k in rest)
                if remedy.excludes(self.remedies[i]) and apart:
                    found.append(rest | {j})
        return tuple(found)

    def following(self, chosen: Chosen) -> tuple[Next, ...]:
        """Every single remedy that could follow, in place of what it rules out; what leaves least first."""
        now = self.as_set(chosen)
        instead = {
            i: frozenset(j for j in chosen if remedy.excludes(self.remedies[j]))
            for i, remedy in enumerate(self.remedies)
            if i not in chosen | self.aside and (not remedy.parts or frozenset({i}) in self.packages)
        }
        self.find((chosen - out) | {i} for i, out in instead.items())
        found = []
        for i, out in instead.items():
            then = self.as_set((chosen - out) | {i})
            drops = self.drops(chosen, then.chosen)
            sound = int(drops.argmax())
            extra = round(then.cost - now.cost, 2)
            found.append(Next(i, out, then, extra, float(drops[sound]), sound))
        return tuple(sorted(found, key=lambda one: (one.then.left, one.then.cost, one.index)))

    def lowest(self, aim: int) -> tuple[float, Chosen]:
        """The least excess [dB] anything brings one aim to, and the cheapest set that does within a tenth."""
        options = [(float(self.excess(PRESENT)[aim]), 0.0, PRESENT)]
        for table in self.tables:
            if aim in table.aims:
                column = table.excess[:, table.aims.index(aim)]
                near = np.flatnonzero(column <= column.min() + 0.1)
                best = near[np.lexsort((table.bits[near].sum(1), table.takes[near, 0]))[0]]
                options.append((float(column[best]), float(table.takes[best, 0]), table.chosen(int(best))))
        for package in self.packages:
            cost = float(self.takes[sorted(package), 0].sum())
            options.append((float(self.excess(package)[aim]), cost, package))
        least = min(excess for excess, _, _ in options)
        excess, _, chosen = min(
            (one for one in options if one[0] <= least + 0.1), key=lambda one: (one[1], sorted(one[2]))
        )
        return excess, chosen

    def cheapest(self, aim: int) -> Set | None:
        """The cheapest set that brings one aim to what is wanted; None where none does."""
        found: list[Set] = []
        for table in self.tables:
            if aim in table.aims:
                met = np.flatnonzero(table.excess[:, table.aims.index(aim)] <= 0.0)
                if len(met):
                    best = met[np.lexsort((table.bits[met].sum(1), table.takes[met, 0]))[0]]
                    found.append(self.as_set(table.chosen(int(best))))
        found += [self.as_set(one) for one in self.packages if self.excess(one)[aim] <= 0.0]
        return min(found, key=lambda one: (one.cost, sorted(one.chosen)), default=None)
