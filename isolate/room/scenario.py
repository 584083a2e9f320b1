"""How sure a room's answer is: every sound in every state under the same draws, and what to clear up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from isolate.bands import Array, energy_sum
from isolate.describe.rooms import Room
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
from isolate.room.envelope import Heard, Shell
from isolate.room.first import Result, ToClear, luck, to_clear
from isolate.room.limits import exceeded
from isolate.room.neighbours import HeardNextDoor, NeighbourFound
from isolate.room.received import Passed
from isolate.standards import ratings


class State(NamedTuple):
    """The room now, or with an option: its shell, the noises heard in it, the neighbours."""

    shell: Shell
    heard: tuple[Heard, ...]
    neighbours: tuple[NeighbourFound, ...]


@dataclass(frozen=True)
class Sure:
    """How the answer was drawn: the unknowns behind each result by its name, what to find out first, the
    share of the doubt that is luck (one event is not like the next), and 5 % and 95 % limits of the sides'
    Rw."""

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


def sure(
    room: Room, states: Sequence[State], *, seed: int, count: int, processes: int, progress: Progress
) -> tuple[list[State], Sure]:
    """The states with draws on every sound; what is in doubt is told of the first, the room as it is."""
    cases = Cases(room)
    found: dict[bytes, Case] = {}
    for state in states:
        for key, sound in _sounds(state):
            if key not in found:
                found[key] = _case(cases, sound, state.shell)
    now = sum(1 for _ in _sounds(states[0]))
    results = drawn(
        list(found.values()), seed=seed, count=count, keep=now, processes=processes, progress=progress
    )
    by_key = dict(zip(found, results, strict=True))
    certain = [_with(state, by_key) for state in states]
    sampler = Sampler(blocks(seed, count)[0])
    told = [_result(sound, found[key], sampler) for key, sound in _sounds(certain[0])]
    doubts = {one.name: one.doubts for one in told if one.doubts}
    rated = _rated(cases, certain[0].shell, sampler)
    return certain, Sure(count, seed, doubts, to_clear(told), luck(told), rated)


def _rated(cases: Cases, shell: Shell, sampler: Sampler) -> dict[str, tuple[float, float]]:
    """5 % and 95 % of each side's Rw, leaks included."""
    sides = {found.side.name: found for found in shell.sides}
    found = {}
    for name, one in sides.items():
        passed = [
            path.tau_area * 10.0 ** (-sampler.total(cases.loss(path, sides), None) / 10.0)
            for path in one.paths
        ]
        tl_db = -10.0 * np.log10(np.sum(np.broadcast_arrays(*passed), axis=0) / one.side.area)
        found[name] = limits(np.asarray(ratings.rw(tl_db), float))
    return found


def _case(cases: Cases, sound: Heard | HeardNextDoor, shell: Shell) -> Case:
    return cases.inside(sound, shell) if isinstance(sound, Heard) else cases.next_door(sound, shell)


def _sounds(state: State) -> Iterator[tuple[bytes, Heard | HeardNextDoor]]:
    """Every sound of a state with a key that is the same where nothing about it changed."""
    for one in state.heard:
        yield _key(one), one
    for neighbour in state.neighbours:
        for sound in neighbour.heard:
            yield _key(sound), sound


def _key(sound: Heard | HeardNextDoor) -> bytes:
    passed = sound.passed
    names = "\n".join([name_of(sound), *(path.name for path in passed.paths)])
    return names.encode() + passed.level_db.tobytes() + passed.part.tobytes()


def name_of(sound: Heard | HeardNextDoor) -> str:
    """What a result is called."""
    return sound.name if isinstance(sound, Heard) else f"{sound.name} at {sound.neighbour.name}"


def _with(state: State, drawn_by: Mapping[bytes, Drawn]) -> State:
    """The state with the draws of each sound on it."""
    heard = tuple(replace(one, passed=replace(one.passed, drawn=drawn_by[_key(one)])) for one in state.heard)
    neighbours = tuple(
        replace(one, heard=tuple(_arrived(sound, drawn_by[_key(sound)]) for sound in one.heard))
        for one in state.neighbours
    )
    return State(state.shell, heard, neighbours)


def _arrived(sound: HeardNextDoor, found: Drawn) -> HeardNextDoor:
    """A sound at a neighbour with its draws, and the chance that each limit is kept."""
    kept = sound.limits
    if found.sample is not None:
        level, background = found.sample
        over = [exceeded(one.limit, level_db=level, background_db=background)[0] for one in sound.limits]
        kept = tuple(
            replace(one, chance=chance(excess < 0.05)) for one, excess in zip(sound.limits, over, strict=True)
        )
    return replace(sound, passed=replace(sound.passed, drawn=found), limits=kept)


def _result(sound: Heard | HeardNextDoor, case: Case, sampler: Sampler) -> Result:
    plain = Result(name_of(sound), sound.passed.chance, ())
    return plain._replace(doubts=Doubts(sampler).of(case, largest_margin)) if plain.doubt else plain


def gain_limits(before: Sequence[Passed], after: Sequence[Passed]) -> tuple[float, float]:
    """5 % and 95 % of how much the A-weighted sum of sounds drops [dB], draw by draw."""
    was, will = (_together(heard) for heard in (before, after))
    return limits(was - will)


def _together(heard: Sequence[Passed]) -> Array:
    levels = [one.drawn.dba for one in heard if one.drawn is not None]
    return energy_sum(np.array(levels), axis=0)
