"""What to do first, and where to stop: one ordered list for a room, which every command that advises shows.

`judge` tries the remedies of the file and the tool's own in every combination that can be made, each through
all elements at once, and tells the cheapest that reaches what is wanted, or the best there is, without what
nobody would notice; what could follow, what building will not do, and the cure of each sound's strongest
element.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np

from isolate.describe import prices as pricing
from isolate.describe.prices import Prices
from isolate.describe.rooms import Noise
from isolate.errors import InputError
from isolate.remedies import making, usual
from isolate.remedies.combined import PRESENT, Cell, Chosen, Combined
from isolate.remedies.effect import Effect
from isolate.remedies.inner.shells import WHOLE, shells_of
from isolate.remedies.inner.stages import stages
from isolate.remedies.judgement import otherwise, target
from isolate.remedies.judgement.choice import Chooser, Next, Picked, Set
from isolate.remedies.judgement.evaluator import Evaluator
from isolate.remedies.judgement.request import Request
from isolate.remedies.judgement.search import searched
from isolate.remedies.judgement.stage import Ceiling, Stage, Step
from isolate.remedies.judgement.target import Aim
from isolate.remedies.remedy import YOURS, Cost, Remedy, total
from isolate.room import audibility
from isolate.room.chances import Progress, quiet
from isolate.room.elements import Element
from isolate.room.impact import STRUCTURE
from isolate.room.received import Received
from isolate.room.scenario import Sampled, Scenario
from isolate.standards.weighting import dba

SPARE_STEP, MOST_SPARE = 0.5, 20.0  # dB asked beyond the aims until the chance is what is wanted
BEST = 3  # changes told in short
WORTH = 3.0  # times as many dB the best remedy gains at most, where a cheaper one is told (judgement)
NEVER = 0.01  # chance below which a plan as good as never brings what is wanted
SURE = 0.8  # chance from which on what is met is told without reserve, where no other is wanted (judgement)
SECOND_WINDOW = "second window"
SECOND_LAYERS = (SECOND_WINDOW, "second door", "lining", "ceiling")


@dataclass(frozen=True, eq=False)
class Judgement:
    """What was asked and found. `aside`: remedies left out, by name with the reason; `building` chooses among
    those that leave the playing as it is; `stages` by what is chosen."""

    now: Scenario
    asked: Request
    prices: Prices
    aims: tuple[Aim, ...]
    chooser: Chooser
    picked: Picked
    sampled: Sampled
    aside: tuple[tuple[str, str], ...]
    building: Chooser
    _stages: dict[Chosen, Stage] = field(default_factory=dict)
    _cures: dict[str, Effect | None] = field(default_factory=dict)

    # --- what was tried ---

    @property
    def combined(self) -> Combined:
        return self.chooser.evaluator.combined

    @property
    def remedies(self) -> tuple[Remedy, ...]:
        """All that were tried, in canonical order."""
        return self.combined.remedies

    def stage(self, chosen: Chosen) -> Stage:
        """The room with these remedies made."""
        if chosen not in self._stages:
            plain = self.combined.scenario(chosen)
            self._stages[chosen] = Stage(chosen, plain, self.aims, self.sampled.scenario)
        return self._stages[chosen]

    def effect(self, chosen: Chosen) -> Effect:
        """What these remedies do, drawn."""
        made = tuple(self.remedies[i] for i in sorted(chosen))
        return Effect(made, self.stage(PRESENT).scenario, self.stage(chosen).scenario)

    def cost(self, chosen: Chosen) -> Cost:
        """What these remedies cost together."""
        return total([self.remedies[i] for i in sorted(chosen)])

    def chosen_of(self, remedy: Remedy) -> Chosen:
        """A remedy alone."""
        return frozenset({self.remedies.index(remedy)})

    # --- what to do ---

    @property
    def plan(self) -> Set:
        return self.picked.plan

    @property
    def first(self) -> Stage:
        """The room as it is."""
        return self.stage(PRESENT)

    @property
    def last(self) -> Stage:
        """The room with the plan carried out."""
        return self.stage(self.plan.chosen)

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The remedies of the plan in their best order, those together that are noticed only together."""
        found: list[Step] = []
        done, start = PRESENT, PRESENT
        order = self.chooser.order(self.plan.chosen)
        for place, i in enumerate(order):
            done = done | {i}
            rest = frozenset(order[place + 1 :])
            ends = not rest or (
                self.chooser.noticed(start, done) and self.chooser.noticed(done, self.plan.chosen)
            )
            if ends:
                made = tuple(self.remedies[j] for j in order if j in done - start)
                found.append(Step(made, self.chooser.as_set(done).cost, self.stage(start), self.stage(done)))
                start = done
        return tuple(found)

    @cached_property
    def following(self) -> tuple[Next, ...]:
        """What could follow the plan."""
        return self.chooser.following(self.plan.chosen)

    @cached_property
    def next(self) -> Next | None:
        """What one would notice that brings most for its price after the plan; None where nothing does."""
        plan = self.plan
        worth = [
            one
            for one in self.following
            if one.then.left < plan.left - 1e-6
            and one.noticed
            and self.chooser.noticed(plan.chosen, one.then.chosen)
        ]
        rate = {one.index: (plan.left - one.then.left) / max(one.extra, 1e-6) for one in worth}
        return max(worth, key=lambda one: (rate[one.index], -one.index), default=None)

    def is_sure(self, stage: Stage) -> bool:
        """Whether what a stage meets is as likely as is wanted."""
        return stage.chance_met >= (SURE if self.asked.chance is None else self.asked.chance)

    @property
    def in_vain(self) -> bool:
        """Whether the money that may be spent as good as never brings all that is wanted."""
        return self.asked.budget is not None and not self.last.met and self.last.chance_met < NEVER

    @cached_property
    def unnoticed(self) -> Next | None:
        """The most that the limits still allow and nobody would notice."""
        within = [
            one
            for one in self.following
            if one.then.left < self.plan.left - 1e-6 and not one.noticed and self._fits(one.then)
        ]
        return max(within, key=lambda one: (one.drop_db, -one.then.cost), default=None)

    def _fits(self, one: Set) -> bool:
        pairs = zip((one.cost, one.mass, one.space), self.asked.limits, strict=True)
        return all(value <= most + 1e-9 for value, most in pairs)

    @cached_property
    def ceilings(self) -> tuple[Ceiling, ...]:
        """What the plan leaves unmet, and how far anything could bring it."""
        missed = self.chooser.excess(self.plan.chosen)
        return tuple(self._ceiling(self.chooser, i) for i, much in enumerate(missed) if much > 0.0)

    def _ceiling(self, chooser: Chooser, i: int) -> Ceiling:
        least, best = chooser.lowest(i)
        missed, enough = float(self.chooser.excess(self.plan.chosen)[i]), chooser.cheapest(i)
        return Ceiling(self.aims[i], missed, least, chooser.as_set(best), self.stage(best), enough)

    @cached_property
    def beyond(self) -> tuple[Ceiling, ...]:
        """What no building tried here reaches, as long as it is played as now."""
        if self.building is self.chooser:
            return tuple(one for one in self.ceilings if one.enough is None)
        unmet = np.flatnonzero(self.building.excess(PRESENT) > 0.0).tolist()
        found = [self._ceiling(self.building, i) for i in unmet]
        return tuple(one for one in found if one.enough is None)

    # --- sound by sound ---

    @cached_property
    def cures(self) -> Mapping[str, Effect | None]:
        """Of each sound that is heard: the cheapest change of its strongest element that one notices."""
        return {one.name: self.cure(one) for one in self.now.sounds if one.is_heard}

    def cure(self, sound: Received) -> Effect | None:
        """The cheapest remedy for the element that lets most of a sound through, of those that one notices
        and that do a third of what the best does; of second windows the one that is told anyway."""
        if sound.name not in self._cures:
            self._cures[sound.name] = self._cure(sound)
        return self._cures[sound.name]

    def _cure(self, sound: Received) -> Effect | None:
        element = sound.elements[sound.strongest]
        able = []
        for i in self.combined.touching(_cell(sound, element)):
            one = self.remedies[i]
            if one.way is not None and not one.way.builds:
                continue
            gain = sound.dba - float(dba(self.combined.level(sound, frozenset({i}))))
            if one.useful and audibility.noticed(gain):
                able.append((one.price, -gain, i))
        enough = max((-drop for _, drop, _ in able), default=0.0) / WORTH
        cheap = [i for _, drop, i in sorted(able) if -drop >= enough]
        return self.effect(self._one_pane(cheap)) if cheap else None

    def _one_pane(self, able: Sequence[int]) -> Chosen:
        """The first of what is able, or where that is a second window the one told of its side, if it is able
        too: two panes behind one window would be two pieces of advice."""
        first = self.remedies[able[0]]
        told = self.second_window(first.side) if first.key == SECOND_WINDOW else None
        mine = PRESENT if told is None else self.chosen_of(told)
        return mine if mine & {*able} else frozenset({able[0]})

    def second_window(self, side: str) -> Remedy | None:
        """The one told behind a window: the plan's, else that among the best few; None where neither has
        one."""
        told = (self.remedies[i] for i in (*self.chooser.order(self.plan.chosen), *self._best))
        return next((one for one in told if one.key == SECOND_WINDOW and one.side == side), None)

    @property
    def best(self) -> tuple[Effect, ...]:
        """The few single changes worth a thought: those of the plan, then what brings most for its price of
        what is wanted; of several that set the same part of the room one."""
        return tuple(self.effect(frozenset({i})) for i in self._best)

    @cached_property
    def _best(self) -> tuple[int, ...]:
        chooser, now = self.chooser, self.chooser.as_set(PRESENT).left
        chooser.find(frozenset({i}) for i in range(len(self.remedies)))
        plan = list(chooser.order(self.plan.chosen))
        rate = {
            i: (now - chooser.as_set(frozenset({i})).left) / max(one.price, 1.0)
            for i, one in enumerate(self.remedies)
            if one.useful and not one.parts and i not in plan and i not in chooser.aside
        }
        found: list[int] = []
        for i in (*plan, *sorted(rate, key=lambda i: (-rate[i], i))):
            beside = [self.remedies[other] for other in found if not self.remedies[other].parts]
            if not any(self.remedies[i].excludes(other) for other in beside) and chooser.noticed(
                PRESENT, frozenset({i})
            ):
                found.append(i)
            if len(found) == BEST:
                break
        return tuple(found)

    def also(self, remedies: Sequence[Remedy]) -> list[Effect]:
        """What other remedies do, each by itself."""
        first = self.first.scenario
        combined = Combined(first, remedies)
        then = self.sampled.scenarios([combined.scenario(frozenset({i})) for i in range(len(remedies))])
        return [Effect((one,), first, after) for one, after in zip(remedies, then, strict=True)]

    def second_layer(self, side: str, sound: Received) -> Effect | None:
        """One more leaf inside, against a sound: the cheapest that does nearly as much as the best; of second
        windows the one that is told anyway."""
        able = [
            (sound.dba - float(dba(self.combined.level(sound, frozenset({i})))), i)
            for i, one in enumerate(self.remedies)
            if one.side == side and one.key in SECOND_LAYERS and one.inside and not one.closes
        ]
        if not able:
            return None
        most = max(gain for gain, _ in able)
        near = [(self.remedies[i].price, -gain, i) for gain, i in able if not audibility.noticed(most - gain)]
        return self.effect(self._one_pane([i for *_, i in sorted(near)]))

    def inner_room(self) -> Effect | None:
        """The whole room within the room; None where there is no space for one."""
        whole = [i for i, one in enumerate(self.remedies) if len(one.parts) == len(WHOLE)]
        return self.effect(frozenset({whole[0]})) if whole else None

    def to_dict(self) -> dict[str, Any]:
        """Plain data, in short; `isolate fixes` has the whole."""
        return {
            "wanted": [
                {"sound": aim.sound.name, "aim": aim.words, "missed_db": aim.missed} for aim in self.aims
            ],
            "steps": [
                {
                    "name": step.name, "cost": step.cost.to_dict(), "total_cost": step.total,
                    "gain_dba": dict(step.effect.gains), "chance_met": step.after.chance_met,
                }
                for step in self.steps
            ],
            "met": self.last.met,
            "chance_met": self.last.chance_met,
            "out_of_reach": [
                {
                    "sound": one.aim.sound.name, "aim": one.aim.words, "least_missed_db": one.least,
                    "held_by": one.held_by[0], "loudest_dba": one.loudest_dba,
                    "hours": [str(hours) for hours in one.hours],
                    "other_way": one.way[0].name if one.way else None,
                    "other_way_missed_db": one.way[1] if one.way else None,
                }
                for one in self.beyond
            ],
            "cures": {
                name: None if found is None else {
                    "name": found.name, "from": found.remedy.origin, "gain_dba": found.gains[name],
                    "cost": found.cost.to_dict() if found.cost else None,
                }
                for name, found in self.cures.items()
            },
        }  # fmt: skip


def _cell(sound: Received, element: Element) -> Cell:
    """The cell an element of a sound belongs to."""
    if element.kind == STRUCTURE:
        return "floor" if sound.where else "steps", sound.name
    if element.kind != "flanking":
        return "side", element.side
    return "flank", element.side.removeprefix("flanking (").removesuffix(")")


# --- judging ---


def judge(
    now: Scenario,
    asked: Request | None = None,
    *,
    sampled: Sampled | None = None,
    progress: Progress = quiet,
) -> Judgement:
    """What to do first in a room as it is `now`.

    asked : target, limits and prices; sampled : draws of the room, for chances; progress : told how many
    states of the room's parts are computed, and of how many.

    Raises
    ------
    InputError
        A target, list of prices or limit that does not work, or nothing to choose from.
    """
    asked = asked or Request()
    if not now.sounds:
        raise InputError(
            f"{now.room.name}: no sound in it or out of it: write [[noise]] or [[own]] and [[neighbour]]"
        )
    aims = target.suffered(now) if asked.target is None else target.aims(target.parse(asked.target), now)
    prices = pricing.load(asked.prices).working(asked.labour)
    aside: list[tuple[str, str]] = []
    found = sorted(_tried(now, asked, prices, aside), key=lambda one: one.order)
    inner = tuple(_inner_rooms(now, asked, prices))
    ways = [] if asked.only_mine or asked.as_played else list(making.of_playing(now, prices))
    combined = Combined(now, (*found, *inner, *ways))
    played = frozenset(range(len(found) + len(inner), len(combined.remedies)))
    evaluator = Evaluator(combined, aims)
    tables = searched(evaluator, limits=asked.limits, aside=played, progress=progress)
    building = Chooser(evaluator, tables, aside=played)
    if inner and not building.sets(asked.limits)[-1].met:
        building = Chooser(evaluator, tables, tuple(_packages(combined)), aside=played)
    chooser, picked = otherwise.chosen(building, asked.limits, progress=progress)
    sampled = sampled or Sampled(now.room, count=0)
    judged = Judgement(now, asked, prices, aims, chooser, picked, sampled, tuple(aside), building)
    return judged if asked.chance is None else _surer(judged)


def _tried(now: Scenario, asked: Request, prices: Prices, aside: list[tuple[str, str]]) -> Iterator[Remedy]:
    """The file's options and the tool's own remedies; what is left out goes `aside` with the reason."""
    every = list(making.of_options(now.room, now.envelope, prices))
    if not asked.only_mine:
        every += usual.usual(now, prices, max_gap=asked.max_gap)
    elif not every:
        raise InputError(
            f"{now.room.name}: the file has no options; write [[option]], or leave only_mine out"
        )
    for one in every:
        reason = _against(one, asked)
        if reason:
            aside.append((one.name, reason))
        else:
            yield one


def _against(one: Remedy, asked: Request) -> str:
    """Why a remedy is left out; empty where it is not."""
    if one.cost is None:
        return "nothing says what it costs"
    if one.closes and not asked.may_close:
        return f"it takes away air for {one.air_lost:.1f} people and brings none"
    if asked.max_thickness is not None and one.depth > asked.max_thickness + 1e-9:
        return f"{1e3 * one.depth:.0f} mm thick"
    return ""


def _inner_rooms(now: Scenario, asked: Request, prices: Prices) -> Iterator[Remedy]:
    """Inner rooms that the budget could pay for and the room has space for."""
    if asked.only_mine:
        return
    try:
        shells = shells_of(now.room, finder=now.envelope.finder)
    except InputError:
        return  # no space for one
    budget = float("inf") if asked.budget is None else asked.budget
    for one in stages(shells, prices):
        if one.price <= budget and not _against(one, asked):
            yield one


def _packages(combined: Combined) -> Iterator[Chosen]:
    """Each inner room by itself; where the file says how the room's vents go on through it, and it has no
    ducts of its own, also with every vent silenced."""
    boxes: dict[str, int] = {}
    stays = combined.room.inner is not None and combined.room.inner.vents
    for i, one in enumerate(combined.remedies if stays else ()):
        if one.airs and one.useful and not one.closes and one.origin != YOURS:
            boxes.setdefault(one.side, i)
    for i in (i for i, one in enumerate(combined.remedies) if one.parts):
        yield frozenset({i})
        if boxes:
            yield frozenset({i, *boxes.values()})


def _surer(judged: Judgement) -> Judgement:
    """A plan with so much to spare that the chance wanted is reached, dropped to the cheapest that does."""
    wanted, usual_pick = judged.asked.chance, judged.picked
    if wanted is None or not usual_pick.plan.met:
        return judged
    limits, chooser = judged.asked.limits, judged.chooser
    best = usual_pick, judged.stage(usual_pick.plan.chosen).chance_met
    for spare in np.arange(SPARE_STEP, MOST_SPARE, SPARE_STEP):
        if best[1] >= wanted:
            break
        picked = chooser.pick(limits, spare=float(spare))
        if not picked.plan.met:
            break
        likely = judged.stage(picked.plan.chosen).chance_met
        if likely > best[1]:
            best = picked, likely
    plan = chooser.as_set(_trimmed(judged, best[0].plan.chosen, min(wanted, best[1])))
    return replace(judged, picked=Picked(plan, plan, usual_pick.sets))


def _trimmed(judged: Judgement, chosen: Chosen, wanted: float) -> Chosen:
    """A set as likely as wanted, with remedies dropped or exchanged for cheaper ones while it stays so."""
    chooser, tried = judged.chooser, {chosen}
    while True:
        cost = chooser.as_set(chosen).cost
        others = [chooser.as_set(one) for one in chooser.cheaper(chosen) if one not in tried]
        able = sorted((one for one in others if one.met and one.cost < cost), key=lambda one: one.cost)
        found = None
        for one in able:
            tried.add(one.chosen)
            if judged.stage(one.chosen).chance_met >= wanted:
                found = one.chosen
                break
        if found is None:
            return chosen
        chosen = found


def outdoors(sound: Received) -> bool:
    """Whether a sound comes from outdoors."""
    return isinstance(sound.source, Noise) and not sound.source.indoors
