"""The room at one stage of a plan, a step of it, and an aim it does not reach."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from isolate.bands import Array
from isolate.describe.hours import Hours
from isolate.remedies import playing
from isolate.remedies.combined import Chosen
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.choice import Set
from isolate.remedies.judgement.target import Aim
from isolate.remedies.playing import Way
from isolate.remedies.remedy import Cost, Remedy, total
from isolate.room import when
from isolate.room.chances import chance
from isolate.room.received import Received
from isolate.room.scenario import Scenario


@dataclass(frozen=True, eq=False)
class Stage:
    """The room at one stage: what is `chosen` so far, the scenario without draws (`plain`), the aims it is
    held against, and what draws it as soon as somebody asks."""

    chosen: Chosen
    plain: Scenario
    aims: tuple[Aim, ...]
    draw: Callable[[Scenario], Scenario]

    @cached_property
    def scenario(self) -> Scenario:
        """The scenario with draws."""
        return self.draw(self.plain)

    @cached_property
    def received(self) -> tuple[Received, ...]:
        """How the sound of each aim is received."""
        return tuple(self.scenario.sound(aim.sound.name) for aim in self.aims)

    @cached_property
    def excess(self) -> Array:
        """By how much each aim is missed [dB] (aims,)."""
        pairs = [(aim, self.plain.sound(aim.sound.name)) for aim in self.aims]
        return np.array([float(aim.of(one).excess(one.level_db, one.background_db)) for aim, one in pairs])

    @cached_property
    def excess_drawn(self) -> Array | None:
        """The same in draws (draws, aims); None without."""
        samples = [one.drawn.sample if one.drawn else None for one in self.received]
        found = [
            aim.of(one).excess(sample.level_db, sample.background_db)
            for aim, one, sample in zip(self.aims, self.received, samples, strict=True)
            if sample is not None
        ]
        return np.column_stack(found) if len(found) == len(self.aims) else None

    @property
    def met(self) -> bool:
        """Whether every aim is."""
        return bool((self.excess <= 0.0).all())

    @property
    def chance_met(self) -> float:
        """Chance that all aims are met together; without draws 1 or 0."""
        drawn = self.excess_drawn
        return float(self.met) if drawn is None else chance(np.asarray(drawn.max(-1) <= 0.0))

    def chance_of(self, aim: int) -> float:
        """Chance that one aim is met."""
        drawn = self.excess_drawn
        return float(self.excess[aim] <= 0.0) if drawn is None else chance(drawn[:, aim] <= 0.0)

    @property
    def worst(self) -> int:
        """Index of the aim that is missed most."""
        return int(self.excess.argmax())

    @property
    def weakest(self) -> tuple[str, float]:
        """The element that lets most of the worst sound through, and its share."""
        one = self.received[self.worst]
        return one.elements[one.strongest].words, float(one.share[one.strongest])


@dataclass(frozen=True, eq=False)
class Step:
    """One step: the remedies made together so that one notices it, what is spent by then, the room `before`
    and `after`."""

    remedies: tuple[Remedy, ...]
    total: float
    before: Stage
    after: Stage

    @property
    def name(self) -> str:
        """The remedies in words."""
        return " + ".join(one.name for one in self.remedies)

    @property
    def cost(self) -> Cost:
        """What it costs."""
        return total(self.remedies)

    @property
    def effect(self) -> Effect:
        """What it does."""
        return Effect(self.remedies, self.before.scenario, self.after.scenario)

    def drop(self, aim: int) -> float:
        """How much softer the sound of an aim gets [dBA]."""
        return self.before.received[aim].dba - self.after.received[aim].dba


@dataclass(frozen=True, eq=False)
class Ceiling:
    """An aim the plan does not meet: by how much then [dB], by how much with the best there is (`set`,
    `stage`), and the cheapest that would do, None where nothing does."""

    aim: Aim
    missed: float
    least: float
    set: Set
    stage: Stage
    enough: Set | None

    @property
    def received(self) -> Received:
        """Its sound with the best there is."""
        return self.stage.plain.sound(self.aim.sound.name)

    @property
    def held_by(self) -> tuple[str, float]:
        """The element that then forbids more, and its share."""
        one = self.received
        return one.elements[one.strongest].words, float(one.share[one.strongest])

    @cached_property
    def hours(self) -> tuple[Hours, ...]:
        """Of an own sound: when every neighbour allows it with the best there is, played as it is now."""
        here = [one for one in self.stage.plain.sounds if one.where and one.what == self.received.what]
        return when.free(here) if self.received.where else ()

    @cached_property
    def way(self) -> tuple[Way, float] | None:
        """Of an own sound: the first other way to play that would do, else the one that leaves least, and by
        how much the aim is then missed [dB]."""
        one, now = self.received, self.stage.plain
        if not one.where:
            return None
        floats = bool(np.any(now.envelope.floor_gain_db))
        tried = [
            (way, float(self.aim.excess(then.level_db, one.background_db)))
            for way in playing.in_room(one.own, now.room)
            for then in (playing.played(one, way, floats=floats),)
        ]
        able = [found for found in tried if found[1] <= 0.0]
        return able[0] if able else min(tried, key=lambda found: found[1])

    @property
    def loudest_dba(self) -> float | None:
        """Of an own sound: how loud it may be made with the best there is [dBA]."""
        return self.received.made_dba - max(self.least, 0.0) if self.received.where else None
