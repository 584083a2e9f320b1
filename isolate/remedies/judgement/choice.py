"""The set to take: cheapest of those that meet the target, or the best the limits allow, less what nobody
would notice; the order to make its fixes in; what would come next.

A change counts as noticed when a sound that misses its aim by 1 dB or more drops by 3 dB or more, in its
A-weighted level or in how far it misses it, and 1 dB less or more is left in all: 1 dB goes unnoticed outside
a laboratory, 3 dB are just noticed (see `words.NOTICED_DB`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from isolate.bands import Array
from isolate.describe.words import NOTICED_DB
from isolate.remedies.combined import PRESENT, Chosen, Evaluator, row
from isolate.remedies.judgement.front import pareto
from isolate.remedies.judgement.search import NO_LIMITS, Searched, front, resources
from isolate.remedies.sounds import heard

UNNOTICED_DB = 1.0  # of a sound beyond its aim
MET = 1e-6  # dB of all that is left, below which an aim counts as met
MOST_ORDERED = 12  # fixes whose best order is looked for among all orders


def left(excess: Array, *, spare: float = 0.0) -> Array:
    """What is left to be done: excesses above 0, summed over aims; `spare` [dB] more is asked of each."""
    return np.asarray(np.maximum(excess + spare, 0.0).sum(-1))


@dataclass(frozen=True)
class Set:
    """Fixes made together: what is `left` [dB], summed over aims; cost, mass [kg], space [m3]."""

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
    """A fix that could follow a plan, `instead` of those it rules out: what it costs more, what it leaves;
    `drop_db` of the sound that drops most (by its index among the aims)."""

    index: int
    instead: Chosen
    chosen: Chosen
    extra: float
    total: float
    left: float
    drop_db: float
    sound: int

    @property
    def noticed(self) -> bool:
        """Whether anyone would notice."""
        return self.drop_db >= NOTICED_DB


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
    """Chooses among the sets a search has found, and `packages`: fixes that are plans by themselves."""

    def __init__(
        self, evaluator: Evaluator, tables: Sequence[Searched], packages: Sequence[int] = ()
    ) -> None:
        self.evaluator, self.tables, self.packages = evaluator, tuple(tables), tuple(packages)
        self.fixes = evaluator.built.fixes
        self.takes = resources(self.fixes)
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

    def _find(self, chosen: Chosen) -> None:
        if chosen in self._excess:
            return
        if chosen & frozenset(self.packages):
            by_name = heard(self.evaluator.built.state(chosen))
            aims = self.evaluator.aims
            passed = [by_name[aim.sound.name].passed for aim in aims]
            missed = [
                float(aim.excess(one.level_db, one.background_db))
                for aim, one in zip(aims, passed, strict=True)
            ]
            self._excess[chosen] = np.array(missed)
            self._dba[chosen] = np.array([one.dba for one in passed])
            return
        bits = row(chosen, len(self.fixes))
        self._excess[chosen] = self.evaluator.excess(bits)[0]
        self._dba[chosen] = self.evaluator.dba(bits)[0]

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
        alone = [frozenset({i}) for i in self.packages if (self.takes[i] <= np.asarray(limits) + 1e-9).all()]
        found = [self.as_set(one, spare=spare) for one in (*chosen, *alone)]
        values = np.array([[one.left, (one.cost, one.mass, one.space)[by]] for one in found])
        kept = pareto(np.round(values, 6), np.array([len(one.chosen) for one in found]))
        return tuple(found[i] for i in kept)

    def drops(self, before: Chosen, after: Chosen) -> Array:
        """How far each sound that is too loud `before` drops [dB] (aims,), 0 for those that hardly are."""
        softer = np.maximum(self.dba(before) - self.dba(after), self.excess(before) - self.excess(after))
        return np.where(self.excess(before) >= UNNOTICED_DB, softer, 0.0)

    def noticed(self, before: Chosen, after: Chosen) -> bool:
        """Whether anyone would notice the change for the better: in one sound, and not undone by others."""
        gained = float(left(self.excess(before)) - left(self.excess(after)))
        return gained >= UNNOTICED_DB and bool((self.drops(before, after) >= NOTICED_DB).any())

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
        """A set without fixes it is `able` to go without; the dearest go first."""
        for i in sorted(chosen, key=lambda i: (-self.takes[i, 0], i)):
            if able(chosen - {i}):
                chosen = chosen - {i}
        return chosen

    def pruned(self, chosen: Chosen) -> Chosen:
        """A set without fixes that nobody would miss, all of them left out together."""
        return self._pruned(chosen, lambda fewer: not self.noticed(fewer, chosen))

    def rungs(self, sets: Sequence[Set]) -> tuple[Set, ...]:
        """The sets of a front that bring most for their price (its convex hull), each without what nobody
        would miss in it, as long as one would notice the step up from the one before."""
        slim = {one.chosen: one for one in (self.as_set(self.pruned(one.chosen)) for one in sets)}
        points = sorted({*slim.values(), *sets}, key=lambda one: (one.cost, one.left, sorted(one.chosen)))
        found: list[Set] = []
        for one in hull(points):
            if not found or self.noticed(found[-1].chosen, one.chosen):
                found.append(one)
        return tuple(found)

    def order(self, chosen: Chosen) -> tuple[int, ...]:
        """The order in which least is left while money is spent: of all orders the one with the smallest sum
        over fixes of cost times what is left before it; of large sets, by what each brings for its price."""
        if len(chosen) > MOST_ORDERED:
            return self._greedy_order(chosen)
        made: dict[Chosen, tuple[float, tuple[int, ...]]] = {PRESENT: (0.0, ())}
        for _ in chosen:
            grown: dict[Chosen, tuple[float, tuple[int, ...]]] = {}
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

            def worth(i: int, done: Chosen = done, before: float = before) -> tuple[float, int]:
                gain = before - float(left(self.excess(done | {i})))
                return -gain / max(self.takes[i, 0], 1e-6), i

            order = (*order, min(chosen - done, key=worth))
        return order

    def cheaper(self, chosen: Chosen) -> tuple[Chosen, ...]:
        """Sets with one fix less, or with one exchanged for another that it rules out."""
        found = [chosen - {i} for i in sorted(chosen)]
        for i in sorted(chosen):
            rest = chosen - {i}
            for j, fix in enumerate(self.fixes):
                apart = not any(fix.excludes(self.fixes[k]) for k in rest)
                if j not in chosen and fix.rebuilds is None and fix.excludes(self.fixes[i]) and apart:
                    found.append(rest | {j})
        return tuple(found)

    def following(self, chosen: Chosen) -> tuple[Next, ...]:
        """Every single fix that could follow, in place of what it rules out; what leaves least first."""
        now = self.as_set(chosen)
        found = []
        for i, fix in enumerate(self.fixes):
            if i in chosen or (fix.rebuilds is not None and i not in self.packages):
                continue
            instead = frozenset(j for j in chosen if fix.excludes(self.fixes[j]))
            then = self.as_set((chosen - instead) | {i})
            drops = self.drops(chosen, then.chosen)
            sound = int(drops.argmax())
            extra = round(then.cost - now.cost, 2)
            found.append(
                Next(i, instead, then.chosen, extra, then.cost, then.left, float(drops[sound]), sound)
            )
        return tuple(sorted(found, key=lambda one: (one.left, one.total, one.index)))

    def lowest(self, aim: int) -> tuple[float, Chosen]:
        """The least excess [dB] anything brings one aim to, and the cheapest set that does within a tenth."""
        options = [(float(self.excess(PRESENT)[aim]), 0.0, PRESENT)]
        for table in self.tables:
            if aim in table.aims:
                column = table.excess[:, table.aims.index(aim)]
                near = np.flatnonzero(column <= column.min() + 0.1)
                best = near[np.lexsort((table.bits[near].sum(1), table.takes[near, 0]))[0]]
                options.append((float(column[best]), float(table.takes[best, 0]), table.chosen(int(best))))
        for i in self.packages:
            alone = frozenset({i})
            options.append((float(self.excess(alone)[aim]), float(self.takes[i, 0]), alone))
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
        found += [
            self.as_set(frozenset({i})) for i in self.packages if self.excess(frozenset({i}))[aim] <= 0.0
        ]
        return min(found, key=lambda one: (one.cost, sorted(one.chosen)), default=None)
