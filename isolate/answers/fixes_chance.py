"""How sure a plan is: every aim drawn before and after with the same draws, so that gains are surer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isolate.answers.cases import Cases
from isolate.answers.chances import Case, Sampler, chance, limits
from isolate.answers.draws import blocks
from isolate.answers.fixes_sounds import heard
from isolate.answers.fixes_target import Aim
from isolate.answers.neighbours import HeardNextDoor
from isolate.answers.shell import Heard, Shell
from isolate.answers.sure import State
from isolate.bands import Array
from isolate.describe.rooms import Room
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
        self._samplers = [Sampler(block) for block in blocks(seed, draws)]

    def of(self, state: State) -> Drawn:
        """A state drawn."""
        by_name = heard(state)
        found = [self._aim(aim, by_name[aim.sound.name], state.shell) for aim in self.aims]
        excess, level, margin = (np.column_stack(parts) for parts in zip(*found, strict=True))
        return Drawn(excess, level, margin)

    def _aim(self, aim: Aim, sound: Heard | HeardNextDoor, shell: Shell) -> tuple[Array, Array, Array]:
        case = self._case(sound, shell)
        samples = [sampler.sample(case) for sampler in self._samplers]
        level, background = (np.concatenate(parts) for parts in zip(*samples, strict=True))
        margin = np.asarray(hearing.margin(level, background).max(-1))
        return aim.excess(level, background), dba(level), margin

    def _case(self, sound: Heard | HeardNextDoor, shell: Shell) -> Case:
        if isinstance(sound, Heard):
            return self._cases.inside(sound, shell)
        return self._cases.next_door(sound, shell)
