"""A room with or without changes: everything that is received in it and from it, and how sure that is.

Scenarios of one room are drawn together: a quantity has the same draw in all of them, so that what a change
gains is surer than the levels themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import Array, energy_sum
from isolate.describe.rooms import Room
from isolate.room import DRAWS, SEED
from isolate.room import envelope as envelopes
from isolate.room import neighbours as next_door
from isolate.room.cases import Cases
from isolate.room.chances import (
    Case,
    Doubt,
    Doubts,
    Drawn,
    Progress,
    Sampler,
    chance,
    drawn,
    largest_margin,
    limits,
)
from isolate.room.draws import blocks
from isolate.room.elements import Finder
from isolate.room.envelope import Envelope
from isolate.room.first import Result, ToClear, luck, to_clear
from isolate.room.limits import exceeded
from isolate.room.neighbours import AtNeighbour
from isolate.room.received import Received
from isolate.standards import ratings


@dataclass(frozen=True, eq=False)
class Scenario:
    """A room as it is, or with changes made: its `envelope`, the noises `heard` in it, its `neighbours`."""

    room: Room
    envelope: Envelope
    heard: tuple[Received, ...]
    neighbours: tuple[AtNeighbour, ...]

    @property
    def sounds(self) -> tuple[Received, ...]:
        """Noises inside, then own sounds at each neighbour."""
        return (*self.heard, *(one for found in self.neighbours for one in found.heard))

    def sound(self, name: str) -> Received:
        """The sound of this name."""
        return next(one for one in self.sounds if one.name == name)

    @property
    def worst(self) -> Received | None:
        """The noise inside that sticks out most; None where none is described."""
        return max(self.heard, key=lambda one: one.margin, default=None)


def of(room: Room, envelope: Envelope) -> Scenario:
    """What is received with this envelope round a room."""
    heard = tuple(envelope.hear(noise) for noise in room.noises)
    return Scenario(room, envelope, heard, next_door.found(room, envelope))


def present(room: Room, finder: Finder | None = None) -> Scenario:
    """A room as it is described."""
    return of(room, envelopes.of_room(room, finder))


@dataclass(frozen=True)
class Sure:
    """How scenarios were drawn: the unknowns behind each result by its name, what to find out first, the
    share of the doubt that is luck (no two events are alike), and 5 % and 95 % limits of the sides' Rw."""

    draws: int
    seed: int
    doubts: Mapping[str, tuple[Doubt, ...]]
    first: tuple[ToClear, ...]
    luck: float
    rw: Mapping[str, tuple[float, float]]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return {
            "draws": self.draws,
            "seed": self.seed,
            "clear_up_first": [one.to_dict() for one in self.first],
            "share_of_luck": self.luck,
            "doubts": {
                name: [{**doubt.unknown.to_dict(), "share": doubt.share} for doubt in doubts]
                for name, doubts in self.doubts.items()
            },
        }


class Sampled:
    """Draws scenarios of one room, each sound once; `seed` and `count` of the draws."""

    def __init__(
        self, room: Room, *, seed: int = SEED, count: int = DRAWS, processes: int = 1,
        progress: Progress | None = None,
    ) -> None:  # fmt: skip
        self.room, self.seed, self.count = room, seed, count
        self.processes, self.progress = processes, progress
        self.cases = Cases(room)
        self._known: dict[bytes, Drawn] = {}

    def scenarios(self, scenarios: Sequence[Scenario]) -> list[Scenario]:
        """The scenarios with draws on every sound; as they are where no draws are wanted."""
        if not self.count:
            return list(scenarios)
        new: dict[bytes, Case] = {}
        for one in scenarios:
            for sound in one.sounds:
                key = _key(sound)
                if key not in self._known and key not in new:
                    new[key] = self.cases.of(sound, one.envelope)
        more = {} if self.progress is None else {"progress": self.progress}
        results = drawn(
            list(new.values()), seed=self.seed, count=self.count, keep=len(new), processes=self.processes,
            **more,
        )  # fmt: skip
        self._known.update(zip(new, results, strict=True))
        return [self._with(one) for one in scenarios]

    def scenario(self, one: Scenario) -> Scenario:
        """One of them."""
        return self.scenarios([one])[0]

    def _with(self, scenario: Scenario) -> Scenario:
        """The scenario with the draws of each sound on it."""
        heard = tuple(replace(one, drawn=self._known[_key(one)]) for one in scenario.heard)
        neighbours = tuple(
            replace(found, heard=tuple(_arrived(one, self._known[_key(one)]) for one in found.heard))
            for found in scenario.neighbours
        )
        return replace(scenario, heard=heard, neighbours=neighbours)

    def sure(self, now: Scenario) -> Sure | None:
        """What is in doubt of a scenario, as a rule the room as it is; None without draws."""
        if not self.count:
            return None
        sampler = Sampler(blocks(self.seed, self.count)[0])
        told = [self._result(one, now.envelope, sampler) for one in now.sounds]
        doubts = {one.name: one.doubts for one in told if one.doubts}
        rated = self._rated(now.envelope, sampler)
        return Sure(self.count, self.seed, doubts, to_clear(told), luck(told), rated)

    def _result(self, sound: Received, envelope: Envelope, sampler: Sampler) -> Result:
        plain = Result(sound.name, sound.chance, ())
        if not plain.doubt:
            return plain
        case = self.cases.of(sound, envelope)
        return plain._replace(doubts=Doubts(sampler).of(case, largest_margin))

    def _rated(self, envelope: Envelope, sampler: Sampler) -> dict[str, tuple[float, float]]:
        """5 % and 95 % of each side's Rw, leaks included."""
        found = {}
        for side in envelope.sides:
            through = [
                one.tau_area * sampler.passed(loss)
                for one, loss in zip(side.elements, self.cases.losses(side.elements, envelope), strict=True)
            ]
            tl_db = -10.0 * np.log10(np.sum(np.broadcast_arrays(*through), axis=0) / side.side.area)
            found[side.side.name] = limits(np.asarray(ratings.rw(tl_db), float))
        return found


def _key(sound: Received) -> bytes:
    """The same where nothing about a sound changed."""
    names = "\n".join([sound.name, *(one.name for one in sound.elements)])
    over = sound.background_db.tobytes()
    return names.encode() + sound.level_db.tobytes() + sound.part.tobytes() + over


def _arrived(sound: Received, found: Drawn) -> Received:
    """A sound at a neighbour with its draws, and the chance that each limit is kept."""
    kept = sound.limits
    if found.sample is not None:
        level, background = found.sample
        over = [exceeded(one.limit, level_db=level, background_db=background)[0] for one in sound.limits]
        kept = tuple(
            replace(one, chance=chance(excess <= 0.0)) for one, excess in zip(sound.limits, over, strict=True)
        )
    return replace(sound, drawn=found, limits=kept)


def gain_limits(before: Sequence[Received], after: Sequence[Received]) -> tuple[float, float]:
    """5 % and 95 % of how much the A-weighted sum of sounds drops [dB], draw by draw; NaN without draws."""
    if not before or any(one.drawn is None for one in (*before, *after)):
        return float("nan"), float("nan")
    was, will = (_together(sounds) for sounds in (before, after))
    return limits(was - will)


def _together(sounds: Sequence[Received]) -> Array:
    levels = [one.drawn.dba for one in sounds if one.drawn is not None]
    return energy_sum(np.array(levels), axis=0)
