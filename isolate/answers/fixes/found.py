"""The plan that was found, and as plain data: the JSON and the rows of the CSV."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from isolate.answers.base import Answer
from isolate.answers.fixes.request import Request
from isolate.answers.fixes.told import Besides
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import words
from isolate.describe.materials import Range
from isolate.describe.prices import Prices
from isolate.describe.rooms import Room
from isolate.remedies.bill import bought, merged
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.checks import Check, ToMeasure
from isolate.remedies.combined import Chosen
from isolate.remedies.judgement.choice import Picked, Set
from isolate.remedies.judgement.plan import Ceiling, Onward, Stage, Step, next_dict
from isolate.remedies.judgement.target import Aim
from isolate.remedies.popular import Instead
from isolate.remedies.remedy import YOURS, Fix, Need, total
from isolate.room.air import Air


@dataclass(frozen=True, repr=False, eq=False)
class FixesAnswer(Answer):
    """The answer. `fixes` looked at, in canonical order; `picked`: plan, best and front by cost; `by_mass`
    and `by_space` the other fronts; `steps` from `now` to `then`; `rungs` of the front one would notice;
    `onward`: what could follow; `ceilings`: what cannot be reached; `aside`: what was left out and why;
    `besides`: what becomes of other sounds;
    `missed` (aims,) [dB] by set of the front; `looked_at` combinations, `exact`: there are no others."""

    room: Room
    request: Request
    prices: Prices
    aims: tuple[Aim, ...]
    besides: tuple[Besides, ...]
    fixes: tuple[Fix, ...]
    picked: Picked
    by_mass: tuple[Set, ...]
    by_space: tuple[Set, ...]
    rungs: tuple[Set, ...]
    now: Stage
    then: Stage
    steps: tuple[Step, ...]
    onward: Onward
    ceilings: tuple[Ceiling, ...]
    instead: tuple[Instead, ...]
    checks: tuple[Check, ...]
    measure: ToMeasure | None
    aside: tuple[tuple[str, str], ...]
    air: tuple[Air, Air]
    missed: Mapping[Chosen, Array]
    looked_at: int
    exact: bool
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def plan(self) -> Set:
        return self.picked.plan

    @property
    def chosen(self) -> tuple[Fix, ...]:
        """The fixes of the plan, in order."""
        return tuple(step.fix for step in self.steps)

    @property
    def cost(self) -> Range:
        """What the plan costs."""
        return total(self.chosen)

    @property
    def materials(self) -> tuple[Need, ...]:
        """What is bought for the plan, waste included."""
        needs = merged([need for fix in self.chosen for need in fix.bill])
        return tuple(replace(need, amount=bought(need)) for need in needs)

    @property
    def currency(self) -> str:
        """Of the list of prices, where any sum stands on it; empty where all are the user's own."""
        priced = self.request.prices is not None or any(fix.origin != YOURS for fix in self.fixes)
        return self.prices.currency if priced else ""

    @property
    def invented(self) -> bool:
        """Whether anything told stands on invented prices."""
        return any(fix.invented for fix in self.fixes)

    @property
    def chance(self) -> float:
        """Chance that the whole target is met by the plan."""
        return self.then.drawn.met

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        found = [
            ("plan", "cost", self.plan.cost),
            ("plan", "mass_kg", self.plan.mass),
            ("plan", "chance_met", self.chance),
        ]
        for i, aim in enumerate(self.aims):
            found += [
                (aim.sound.name, "missed_db", float(self.then.excess[i])),
                (aim.sound.name, "level_dba", self.then.passed[i].dba),
                (aim.sound.name, "margin_db", self.then.passed[i].margin),
                (aim.sound.name, "chance_met", self.then.drawn.met_of(i)),
                (aim.sound.name, "chance_heard", self.then.drawn.heard(i)),
            ]
        return found

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return _answer_dict(self)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: the front by cost, a row a set, and the plan."""
        return _answer_rows(self)


def _answer_dict(answer: FixesAnswer) -> dict[str, Any]:
    """The keys of the JSON output."""
    aims, fixes = answer.aims, answer.fixes
    body = {
        "target": [{"sound": aim.sound.name, "aim": aim.words} for aim in aims],
        "currency": answer.currency or None,
        "prices": {
            "currency": answer.prices.currency, "year": answer.prices.year, "place": answer.prices.place,
            "labour": answer.prices.labour, "invented": answer.invented,
        },
        "fixes": [_fix(fix) for fix in fixes],
        "set_aside": [{"name": name, "reason": reason} for name, reason in answer.aside],
        "combinations": answer.looked_at,
        "exact": answer.exact,
        "now": _stage(answer, answer.now),
        "plan": _set(answer.plan, fixes, len(aims)) | {
            "cost_low": answer.cost.low,
            "cost_high": answer.cost.high,
            "met": answer.then.met,
            "chance_met": answer.chance,
            "steps": [_step(answer, step) for step in answer.steps],
            "then": _stage(answer, answer.then),
        },
        "best_within_limits": _set(answer.picked.best, fixes, len(aims)),
        "next": {
            "most_within_limits": next_dict(answer.onward.most, fixes, aims),
            "next_noticed": next_dict(answer.onward.next, fixes, aims),
        },
        "besides": [one._asdict() for one in answer.besides],
        "cannot_be_reached": [_ceiling(answer, one) for one in answer.ceilings],
        "front": [_set(one, fixes, len(aims)) for one in answer.picked.sets],
        "front_by_mass": [_set(one, fixes, len(aims)) for one in answer.by_mass],
        "front_by_space": [_set(one, fixes, len(aims)) for one in answer.by_space],
        "steps_one_notices": [_set(one, fixes, len(aims)) for one in answer.rungs],
        "instead": [one.to_dict() for one in answer.instead],
        "materials": [
            {"name": need.name, "amount": need.amount, "unit": need.unit, "mass_kg": need.mass}
            for need in answer.materials
        ],
        "checks": [one.to_dict() for one in answer.checks],
        "measure": answer.measure.to_dict() if answer.measure else None,
        "air": {"now": answer.air[0].to_dict(), "then": answer.air[1].to_dict()},
        "notes": answer.notes,
        "cautions": [caution.to_dict() for caution in answer.cautions],
    }  # fmt: skip
    return headed("fixes", words.room_inputs(answer.room) | {"request": answer.request.to_dict()}, body)


def _range(value: Range) -> dict[str, float]:
    return {"low": value.low, "typical": value.typical, "high": value.high}


def _fix(fix: Fix) -> dict[str, Any]:
    return {
        "name": fix.name,
        "side": fix.side or None,
        "from": fix.origin,
        "cost": _range(fix.cost),
        "invented": fix.invented,
        "mass_kg": fix.mass,
        "thickness_mm": 1e3 * fix.depth,
        "space_m3": fix.space,
        "people_without_air": fix.air_lost,
    }


def _set(one: Set, fixes: Sequence[Fix], aims: int) -> dict[str, Any]:
    return {
        "fixes": [fixes[i].name for i in sorted(one.chosen)],
        "cost": one.cost,
        "mass_kg": one.mass,
        "space_m3": one.space,
        "left_db": one.left / aims,
    }


def _stage(answer: FixesAnswer, stage: Stage) -> dict[str, Any]:
    found = []
    for i, (aim, passed) in enumerate(zip(answer.aims, stage.passed, strict=True)):
        low, high = stage.drawn.limits_dba(i)
        gain_low, gain_high = stage.drawn.gain_limits(answer.now.drawn, i)
        found.append({
            "name": aim.sound.name, "aim": aim.words, "missed_db": float(stage.excess[i]),
            "met": bool(stage.excess[i] <= 0.0), "chance_met": stage.drawn.met_of(i),
            "level_dba": passed.dba, "low_dba": low, "high_dba": high,
            "gain_dba": answer.now.passed[i].dba - passed.dba,
            "gain_low_dba": gain_low, "gain_high_dba": gain_high,
            "margin_db": passed.margin, "verdict": passed.verdict, "chance_heard": stage.drawn.heard(i),
            "bands_hz": THIRD_OCTAVES, "level_db": passed.level_db,
            "paths": dict(zip([path.name for path in passed.paths], passed.share.tolist(), strict=True)),
        })  # fmt: skip
    return {"sounds": found, "chance_met": stage.drawn.met}


def _step(answer: FixesAnswer, step: Step) -> dict[str, Any]:
    path, share = step.after.weakest
    return {
        "name": step.fix.name,
        "side": step.fix.side or None,
        "cost": _range(step.fix.cost),
        "total_cost": step.total,
        "sounds": [
            {
                "name": aim.sound.name, "drop_dba": step.drop(i),
                "from": step.before.passed[i].verdict, "to": step.after.passed[i].verdict,
                "missed_db": float(step.after.excess[i]),
            }
            for i, aim in enumerate(answer.aims)
        ],
        "worst": answer.aims[step.after.worst].sound.name,
        "weakest_path": path,
        "weakest_share": share,
        "chance_met": step.after.drawn.met,
    }  # fmt: skip


def _ceiling(answer: FixesAnswer, one: Ceiling) -> dict[str, Any]:
    passed = one.stage.passed[one.aim]
    strongest = passed.paths[passed.strongest]
    return {
        "sound": answer.aims[one.aim].sound.name,
        "aim": answer.aims[one.aim].words,
        "missed_db": one.missed,
        "least_db": one.least,
        "best": _set(one.set, answer.fixes, len(answer.aims)),
        "held_by": strongest.words,
        "held_by_share": float(passed.share[passed.strongest]),
        "enough": None if one.enough is None else _set(one.enough, answer.fixes, len(answer.aims)),
    }


def _answer_rows(answer: FixesAnswer) -> tuple[list[str], list[list[Any]]]:
    """A row a set of the front by cost, then the plan: what it is, takes and leaves, sound by sound."""
    names = [aim.sound.name for aim in answer.aims]
    header = ["set", "fixes", "cost", "mass_kg", "space_m3", "left_db"]
    header += [f"missed_db: {name}" for name in names]
    sets = [("front", one) for one in answer.picked.sets] + [("plan", answer.plan)]
    rows = [
        [
            what, "; ".join(answer.fixes[i].name for i in sorted(one.chosen)), one.cost, one.mass, one.space,
            one.left / len(names), *(float(value) for value in answer.missed[one.chosen]),
        ]
        for what, one in sets
    ]  # fmt: skip
    return header, rows
