"""The plan as it is told: its steps one after another, what comes next, what cannot be reached and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.describe.words import NOTICED_DB
from isolate.remedies.combined import PRESENT, Chosen
from isolate.remedies.judgement.chance import Chances, Drawn
from isolate.remedies.judgement.choice import Chooser, Next, Set
from isolate.remedies.judgement.target import Aim
from isolate.remedies.remedy import Fix
from isolate.remedies.sounds import heard
from isolate.room.received import Passed
from isolate.room.scenario import State


@dataclass(frozen=True, eq=False)
class Stage:
    """The room at one stage: what is `chosen` so far, the `state`, how each aim's sound is `passed`, by how
    much the aim is missed (aims,), and the draws of all that."""

    chosen: Chosen
    state: State
    passed: tuple[Passed, ...]
    excess: Array
    drawn: Drawn

    @property
    def worst(self) -> int:
        """Index of the aim that is missed most."""
        return int(self.excess.argmax())

    @property
    def met(self) -> bool:
        """Whether every aim is."""
        return bool((self.excess <= 0.0).all())

    @property
    def weakest(self) -> tuple[str, float]:
        """The path that lets most of the worst sound through, and its share."""
        passed = self.passed[self.worst]
        return passed.paths[passed.strongest].words, float(passed.share[passed.strongest])


@dataclass(frozen=True, eq=False)
class Step:
    """One step of a plan: the `fix`, what is spent by then, the room `before` and `after`."""

    index: int
    fix: Fix
    total: float
    before: Stage
    after: Stage

    def drop(self, aim: int) -> float:
        """How much softer a sound gets [dBA]."""
        return self.before.passed[aim].dba - self.after.passed[aim].dba

    def less(self, aim: int) -> float:
        """By how much less a sound misses its aim [dB]."""
        return float(self.before.excess[aim] - self.after.excess[aim])

    def change(self, aim: int) -> float:
        """How much softer a sound gets or less it misses its aim [dB], whichever changes more."""
        return max(self.drop(aim), self.less(aim), key=abs)

    @property
    def moved(self) -> tuple[int, ...]:
        """The sounds still too loud that change noticeably or get another verdict, what drops most first."""
        loud = np.maximum(self.before.excess, self.after.excess) > 0.0
        changed = [
            i
            for i in np.flatnonzero(loud).tolist()
            if abs(self.change(i)) >= NOTICED_DB
            or self.before.passed[i].verdict != self.after.passed[i].verdict
        ]
        return tuple(sorted(changed, key=lambda i: -self.change(i)))


@dataclass(frozen=True, eq=False)
class Ceiling:
    """An aim the plan does not meet: by how much then, by how much with the best there is (`set`, `stage`),
    and the cheapest that would do, None where nothing does."""

    aim: int
    missed: float
    least: float
    set: Set
    stage: Stage
    enough: Set | None


class Teller:
    """Makes stages, steps and ceilings of chosen sets."""

    def __init__(self, chooser: Chooser, chances: Chances, aims: Sequence[Aim]) -> None:
        self.chooser, self.chances, self.aims = chooser, chances, tuple(aims)
        self._stages: dict[Chosen, Stage] = {}

    def stage(self, chosen: Chosen) -> Stage:
        """The room with these fixes made."""
        if chosen not in self._stages:
            state = self.chooser.evaluator.built.state(chosen)
            by_name = heard(state)
            passed = tuple(by_name[aim.sound.name].passed for aim in self.aims)
            self._stages[chosen] = Stage(
                chosen, state, passed, self.chooser.excess(chosen), self.chances.of(state)
            )
        return self._stages[chosen]

    def steps(self, chosen: Chosen) -> tuple[Step, ...]:
        """The fixes of a set in their best order."""
        found: list[Step] = []
        done = PRESENT
        for i in self.chooser.order(chosen):
            before, done = self.stage(done), done | {i}
            total = self.chooser.as_set(done).cost
            found.append(Step(i, self.chooser.fixes[i], total, before, self.stage(done)))
        return tuple(found)

    def ceilings(self, plan: Chosen) -> tuple[Ceiling, ...]:
        """What the plan leaves unmet, and how far anything could bring it."""
        excess = self.chooser.excess(plan)
        found = []
        for aim, missed in enumerate(excess):
            if missed <= 0.0:
                continue
            least, best = self.chooser.lowest(aim)
            enough = self.chooser.cheapest(aim)
            found.append(
                Ceiling(aim, float(missed), least, self.chooser.as_set(best), self.stage(best), enough)
            )
        return tuple(found)


@dataclass(frozen=True)
class Onward:
    """What could follow a plan: what `most` the rest of the budget still buys that nobody would notice; the
    `next` one would notice that brings most for its price, beyond the budget or within, as a
    `step` from the plan."""

    most: Next | None
    next: Next | None
    step: Step | None


def onward(chooser: Chooser, teller: Teller, plan: Chosen, limits: Sequence[float]) -> Onward:
    """Told of single fixes that bring something, and only for the better by ear."""
    now = chooser.as_set(plan)
    found = [one for one in chooser.following(plan) if one.left < now.left - 1e-6]
    within = [one for one in found if not one.noticed and _fits(chooser.as_set(one.chosen), limits)]
    worth = [one for one in found if one.noticed and chooser.noticed(plan, one.chosen)]
    rate = {one.index: (now.left - one.left) / max(one.extra, 1e-6) for one in worth}
    step = max(worth, key=lambda one: (rate[one.index], -one.index), default=None)
    most = max(within, key=lambda one: (one.drop_db, -one.total), default=None)
    told = None
    if step is not None:
        fix = chooser.fixes[step.index]
        told = Step(step.index, fix, step.total, teller.stage(plan), teller.stage(step.chosen))
    return Onward(most, step, told)


def _fits(one: Set, limits: Sequence[float]) -> bool:
    return all(
        value <= most + 1e-9 for value, most in zip((one.cost, one.mass, one.space), limits, strict=True)
    )


def next_dict(one: Next | None, fixes: Sequence[Fix], aims: Sequence[Aim]) -> dict[str, Any] | None:
    """Plain data of what could follow."""
    if one is None:
        return None
    return {
        "name": fixes[one.index].name,
        "instead_of": [fixes[i].name for i in sorted(one.instead)],
        "extra_cost": one.extra,
        "total_cost": one.total,
        "drop_db": one.drop_db,
        "sound": aims[one.sound].sound.name,
        "noticed": one.noticed,
    }
