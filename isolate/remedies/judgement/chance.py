"""How sure a plan is: every aim drawn before and after with the same draws, so that gains are surer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isolate.bands import Array
from isolate.describe.rooms import Room
from isolate.remedies.judgement.target import Aim
from isolate.remedies.sounds import heard
from isolate.room.cases import Cases
from isolate.room.chances import KEPT, Case, Sampler, chance, limits
from isolate.room.draws import blocks
from isolate.room.envelope import Heard, Shell
from isolate.room.neighbours import HeardNextDoor
from isolate.room.scenario import State
from isolate.standards import hearing
from isolate.standards.weighting import dba


@dataclass(frozen=True, eq=False)
class Drawn:
    """Draws of a state, (draws, aims) each: by how much each aim is missed [dB], level of its sound [dBA],
    how far that sticks out of what hides it [dB]."""

    excess: Array
    dba: Array
    margin: Array

    @property
    def met(self) -> float:
        """Chance that all aims are met together."""
        return chance(np.asarray(self.excess.max(-1) <= 0.0))

    def met_of(self, aim: int) -> float:
        """Chance that one aim is met."""
        return chance(self.excess[:, aim] <= 0.0)

    def heard(self, aim: int) -> float:
        """Chance that its sound is heard."""
        return chance(self.margin[:, aim] > 0.0)

    def limits_dba(self, aim: int) -> tuple[float, float]:
        """5 % and 95 % of its level."""
        return limits(self.dba[:, aim])

    def gain_limits(self, before: Drawn, aim: int) -> tuple[float, float]:
        """5 % and 95 % of how much softer it is than `before`, draw by draw."""
        return limits(before.dba[:, aim] - self.dba[:, aim])


class Chances:
    """Draws states of one room."""

    def __init__(self, room: Room, aims: Sequence[Aim], *, draws: int, seed: int) -> None:
        self.aims, self.draws, self.seed = tuple(aims), draws, seed
        self._cases = Cases(room)
        todo = blocks(seed, draws)
        self._kept, self._others = [Sampler(block) for block in todo[:KEPT]], todo[KEPT:]

    def of(self, state: State) -> Drawn:
        """A state drawn."""
        by_name = heard(state)
        cases = [self._case(by_name[aim.sound.name], state.shell) for aim in self.aims]
        found = [self._block(sampler, cases) for sampler in self._samplers()]
        return Drawn(*(np.concatenate(parts) for parts in zip(*found, strict=True)))

    def _samplers(self) -> Iterator[Sampler]:
        """Of each block of draws; the first remember what they drew, for the next state."""
        yield from self._kept
        yield from (Sampler(replace(block)) for block in self._others)

    def _block(self, sampler: Sampler, cases: Sequence[Case]) -> tuple[Array, Array, Array]:
        """Excess, level and margin of a block of draws, (draws, aims) each."""
        found = []
        for aim, case in zip(self.aims, cases, strict=True):
            level, background = sampler.sample(case)
            margin = np.asarray(hearing.margin(level, background).max(-1))
            found.append((aim.excess(level, background), dba(level), margin))
        excess, level, margin = (np.column_stack(parts) for parts in zip(*found, strict=True))
        return excess, level, margin

    def _case(self, sound: Heard | HeardNextDoor, shell: Shell) -> Case:
        if isinstance(sound, Heard):
            return self._cases.inside(sound, shell)
        return self._cases.next_door(sound, shell)
