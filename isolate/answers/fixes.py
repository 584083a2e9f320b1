"""What to do first, and where to stop: the judgement of a room told whole, with lists and checks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES
from isolate.describe import rooms
from isolate.describe.rooms import Room
from isolate.remedies.bill import shopping
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.checks import Check, ToMeasure, Work, checks
from isolate.remedies.combined import PRESENT
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.choice import Next, Set
from isolate.remedies.judgement.judgement import Judgement, judge, outdoors
from isolate.remedies.judgement.request import Request
from isolate.remedies.judgement.stage import Ceiling, Stage, Step
from isolate.remedies.popular import USUAL_MONEY, Popular, popular
from isolate.remedies.remedy import YOURS, Cost, Need, Remedy, total
from isolate.room import DRAWS, SEED, air, scenario
from isolate.room.air import Air
from isolate.room.chances import Progress, quiet
from isolate.room.received import Received
from isolate.room.scenario import Sampled


@dataclass(frozen=True, repr=False, eq=False)
class FixesAnswer(Answer):
    """The answer: the `judgement`, and what goes with its plan."""

    judgement: Judgement

    @property
    def room(self) -> Room:
        return self.judgement.now.room

    @property
    def plan(self) -> Set:
        return self.judgement.plan

    @property
    def chosen(self) -> tuple[Remedy, ...]:
        """The remedies of the plan, in order."""
        return tuple(one for step in self.judgement.steps for one in step.remedies)

    @property
    def cost(self) -> Cost:
        """What the plan costs."""
        return total(self.chosen)

    @property
    def materials(self) -> tuple[Need, ...]:
        """What is bought for the plan, waste included."""
        return shopping(self.chosen)

    @property
    def currency(self) -> str:
        """Of the list of prices, where any sum stands on it; empty where all are the user's own."""
        judged = self.judgement
        priced = judged.asked.prices is not None or any(one.origin != YOURS for one in judged.remedies)
        return judged.prices.currency if priced else ""

    @property
    def invented(self) -> bool:
        """Whether anything told stands on invented prices."""
        return any(one.invented for one in (*self.judgement.remedies, *(bad.remedy for bad in self.instead)))

    @cached_property
    def fronts(self) -> tuple[tuple[Set, ...], ...]:
        """What is left against cost, mass and space, within the limits."""
        chooser, limits = self.judgement.chooser, self.judgement.asked.limits
        return self.judgement.picked.sets, chooser.sets(limits, by=1), chooser.sets(limits, by=2)

    @cached_property
    def rungs(self) -> tuple[Set, ...]:
        """Where money goes furthest: sets each of which one would notice over the one before."""
        return self.judgement.chooser.rungs(self.judgement.chooser.sets())

    @cached_property
    def besides(self) -> tuple[tuple[Received, Received], ...]:
        """Sounds the plan was not made for that change noticeably or get another verdict, before and
        after."""
        aimed = {aim.sound.name for aim in self.judgement.aims}
        effect = self.judgement.effect(self.plan.chosen)
        return tuple(pair for pair in effect.changed if pair[0].name not in aimed)

    @cached_property
    def instead(self) -> tuple[Popular, ...]:
        """What people buy instead, and what that does here."""
        judged = self.judgement
        passes = {cell for found in judged.chooser.evaluator.passes for cell in found}
        sides = [name for kind, name in passes if kind == "side"]
        money = judged.asked.budget or self.plan.cost or USUAL_MONEY
        return popular(judged.first.scenario, judged.prices, sides, money=money)

    @cached_property
    def work(self) -> Work:
        """What is done on site, in the order of the plan."""
        return Work.of(self.chosen, self.judgement.now.envelope.described)

    @property
    def checks(self) -> tuple[Check, ...]:
        """What decides on site."""
        return checks(self.work)

    @cached_property
    def measure(self) -> ToMeasure | None:
        """The sound that gains most, measured through the side that is changed for it."""
        judged = self.judgement
        if not judged.steps:
            return None
        gains = [
            before.dba - after.dba
            for before, after in zip(judged.first.received, judged.last.received, strict=True)
        ]
        best = int(np.argmax(gains))
        by = max(judged.steps, key=lambda step: step.drop(best))
        sound = judged.aims[best].sound
        if all(one.way for one in by.remedies):
            return None
        side = next((one.side for one in by.remedies if one.side), "walls")
        return ToMeasure(side, outdoors(sound), sound.name, gains[best])

    @property
    def aside(self) -> tuple[tuple[str, str], ...]:
        """What was left out, and why."""
        return (*self.judgement.aside, *self._idle())

    def _idle(self) -> Iterator[tuple[str, str]]:
        """The user's own options that change no sound that counts."""
        judged = self.judgement
        moved = frozenset().union(*(judged.chooser.evaluator.moved_by(i) for i in range(len(judged.aims))))
        for i, one in enumerate(judged.remedies):
            if one.origin == YOURS and i not in moved:
                yield one.name, "no wanted sound comes that way"

    @property
    def air(self) -> tuple[Air, Air]:
        """What the openings let in, now and with the plan."""
        now, then = (
            air.of([one.side for one in stage.scenario.envelope.sides], self.room.people)
            for stage in (self.judgement.first, self.judgement.last)
        )
        return now, then

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What carrying out the plan may hurt."""
        return raised(facts(self.judgement.now, self.chosen))

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        last = self.judgement.last
        found = [
            ("plan", "cost", self.plan.cost),
            ("plan", "mass_kg", self.plan.mass),
            ("plan", "chance_met", last.chance_met),
        ]
        for i, (aim, one) in enumerate(zip(self.judgement.aims, last.received, strict=True)):
            found += [
                (aim.sound.name, "missed_db", float(last.excess[i])),
                (aim.sound.name, "level_dba", one.dba),
                (aim.sound.name, "margin_db", one.margin),
                (aim.sound.name, "chance_met", last.chance_of(i)),
                (aim.sound.name, "chance_heard", one.chance),
            ]
        return found

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return _answer_dict(self)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: the front by cost, a row a set, then the plan."""
        judged = self.judgement
        names = [aim.sound.name for aim in judged.aims]
        header = ["set", "fixes", "cost", "mass_kg", "space_m3", "left_db"]
        header += [f"missed_db: {name}" for name in names]
        sets = [*(("front", one) for one in judged.picked.sets), ("plan", judged.plan)]
        rows = [
            [
                what, "; ".join(judged.remedies[i].name for i in sorted(one.chosen)), one.cost, one.mass,
                one.space, one.left / len(names), *map(float, judged.chooser.excess(one.chosen)),
            ]
            for what, one in sets
        ]  # fmt: skip
        return header, rows


def _answer_dict(answer: FixesAnswer) -> dict[str, Any]:
    judged = answer.judgement
    chooser = judged.chooser
    body = {
        "target": [{"sound": aim.sound.name, "aim": aim.words} for aim in judged.aims],
        "currency": answer.currency or None,
        "prices": {
            "currency": judged.prices.currency, "year": judged.prices.year, "place": judged.prices.place,
            "labour": judged.prices.labour, "invented": answer.invented,
        },
        "fixes": [_remedy(one) for one in judged.remedies],
        "set_aside": [{"name": name, "reason": reason} for name, reason in answer.aside],
        "combinations": chooser.looked_at,
        "exact": chooser.exact,
        "now": _stage(judged, judged.first),
        "plan": _set(judged, judged.plan) | {
            "costs": answer.cost.to_dict(),
            "met": judged.last.met,
            "chance_met": judged.last.chance_met,
            "steps": [_step(judged, step) for step in judged.steps],
            "then": _stage(judged, judged.last),
        },
        "best_within_limits": _set(judged, judged.picked.best),
        "next": {
            "most_within_limits": _next(judged, judged.unnoticed),
            "next_noticed": _next(judged, judged.next),
        },
        "besides": [
            {"name": old.name, "drop_db": old.dba - new.dba, "before": old.verdict, "after": new.verdict}
            for old, new in answer.besides
        ],
        "cannot_be_reached": [_ceiling(judged, one) for one in judged.ceilings],
        "front": [_set(judged, one) for one in judged.picked.sets],
        "front_by_mass": [_set(judged, one) for one in answer.fronts[1]],
        "front_by_space": [_set(judged, one) for one in answer.fronts[2]],
        "steps_one_notices": [_set(judged, one) for one in answer.rungs],
        "instead": [one.to_dict() for one in answer.instead],
        "materials": [
            {"name": need.name, "amount": need.amount, "unit": need.unit, "mass_kg": need.mass}
            for need in answer.materials
        ],
        "checks": [one.to_dict() for one in answer.checks],
        "measure": answer.measure.to_dict() if answer.measure else None,
        "air": {"now": answer.air[0].to_dict(), "then": answer.air[1].to_dict()},
        "cautions": [caution.to_dict() for caution in answer.cautions],
    }  # fmt: skip
    return headed("fixes", inputs.room(answer.room) | {"request": judged.asked.to_dict()}, body)


def _remedy(one: Remedy) -> dict[str, Any]:
    return {
        "name": one.name,
        "kind": one.key,
        "side": one.side or None,
        "from": one.origin,
        "cost": one.cost.to_dict() if one.cost else None,
        "invented": one.invented,
        "mass_kg": one.mass,
        "thickness_mm": 1e3 * one.depth,
        "space_m3": one.space,
        "people_without_air": one.air_lost,
        "bill": [
            {"name": need.name, "amount": need.amount, "unit": need.unit, "mass_kg": need.mass}
            for need in one.bill
        ],
    }


def _set(judged: Judgement, one: Set) -> dict[str, Any]:
    return {
        "fixes": [judged.remedies[i].name for i in sorted(one.chosen)],
        "cost": one.cost,
        "mass_kg": one.mass,
        "space_m3": one.space,
        "left_db": one.left / len(judged.aims),
    }


def _stage(judged: Judgement, stage: Stage) -> dict[str, Any]:
    effect = Effect((), judged.stage(PRESENT).scenario, stage.scenario)
    found = []
    for i, (aim, one) in enumerate(zip(judged.aims, stage.received, strict=True)):
        gain_low, gain_high = effect.limits_of(one.name)
        found.append({
            "name": one.name, "aim": aim.words, "missed_db": float(stage.excess[i]),
            "met": bool(stage.excess[i] <= 0.0), "chance_met": stage.chance_of(i),
            "level_dba": one.dba, "low_dba": one.limits_dba[0], "high_dba": one.limits_dba[1],
            "gain_dba": effect.gains[one.name], "gain_low_dba": gain_low, "gain_high_dba": gain_high,
            "margin_db": one.margin, "verdict": one.verdict, "chance_heard": one.chance,
            "bands_hz": THIRD_OCTAVES, "level_db": one.level_db,
            "paths": dict(zip([e.name for e in one.elements], one.share.tolist(), strict=True)),
        })  # fmt: skip
    return {"sounds": found, "chance_met": stage.chance_met}


def _step(judged: Judgement, step: Step) -> dict[str, Any]:
    path, share = step.after.weakest
    return {
        "name": step.name,
        "fixes": [one.name for one in step.remedies],
        "cost": step.cost.to_dict(),
        "total_cost": step.total,
        "sounds": [
            {
                "name": aim.sound.name, "drop_dba": step.drop(i),
                "from": step.before.received[i].verdict, "to": step.after.received[i].verdict,
                "missed_db": float(step.after.excess[i]),
            }
            for i, aim in enumerate(judged.aims)
        ],
        "worst": judged.aims[step.after.worst].sound.name,
        "weakest_path": path,
        "weakest_share": share,
        "chance_met": step.after.chance_met,
    }  # fmt: skip


def _ceiling(judged: Judgement, one: Ceiling) -> dict[str, Any]:
    return {
        "sound": one.aim.sound.name,
        "aim": one.aim.words,
        "missed_db": one.missed,
        "least_db": one.least,
        "best": _set(judged, one.set),
        "held_by": one.held_by[0],
        "held_by_share": one.held_by[1],
        "loudest_dba": one.loudest_dba,
        "hours": [str(hours) for hours in one.hours],
        "enough": None if one.enough is None else _set(judged, one.enough),
    }


def _next(judged: Judgement, one: Next | None) -> dict[str, Any] | None:
    """Plain data of what could follow."""
    if one is None:
        return None
    return {
        "name": judged.remedies[one.index].name,
        "instead_of": [judged.remedies[i].name for i in sorted(one.instead)],
        "extra_cost": one.extra,
        "total_cost": one.then.cost,
        "drop_db": one.drop_db,
        "sound": judged.aims[one.sound].sound.name,
        "noticed": one.noticed,
    }


def fixes(
    described: Room | str | None = None,
    request: Request | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress = quiet,
) -> FixesAnswer:
    """Answer: what should be done first, and where to stop?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    request : target, limits and prices; None: what the room suffers from, whatever it costs.
    draws, seed : how many times what is not known is drawn, and from which seed.
    progress : told how many states of the room's parts are computed, and of how many.

    Raises
    ------
    InputError
        A room, target, list of prices or limit that does not work, or nothing to choose from.
    """
    room = described if isinstance(described, Room) else rooms.load(described)
    sampled = Sampled(room, seed=seed, count=draws)
    return FixesAnswer(judge(scenario.present(room), request, sampled=sampled, progress=progress))
