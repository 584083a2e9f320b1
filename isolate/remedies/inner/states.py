"""The states of a room within a room, from now to the whole and the whole but tied, and what each changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels
from isolate.describe.rooms import Own, Room
from isolate.physics import floating
from isolate.remedies.inner.shell import Shells
from isolate.room import levels, neighbours
from isolate.room.envelope import Heard, Shell
from isolate.room.limits import LimitMet
from isolate.room.neighbours import NeighbourFound
from isolate.room.received import Passed

BUILT: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("now", "as it is", ()),
    ("pane", "second pane only", ("pane",)),
    ("walls", "inner walls only", ("walls",)),
    ("ceiling", "walls and ceiling", ("walls", "ceiling")),
    ("whole", "the whole, floor too", ("walls", "ceiling", "floor")),
    ("tied", "the whole, but tied", ("walls", "ceiling", "floor", "ties")),
)
MOST_FLOATED_DB = 25.0  # most that a floated floor takes off blows: then what touches it decides (judgement)
HARM_DB = 1.0  # of an octave's level, from which a state does harm


@dataclass(frozen=True)
class Sound:
    """A sound where it is heard: a noise in the room (`where` is "") or an own sound at a neighbour."""

    what: str
    where: str
    passed: Passed
    limits: tuple[LimitMet, ...] = ()

    @property
    def name(self) -> str:
        """Both in words."""
        return f"{self.what} at {self.where}" if self.where else self.what


@dataclass(frozen=True)
class State:
    """One state of the room: `parts` that are built, its `shell`, the `size` [m] inside it, what is `heard`
    inside and at the `neighbours`."""

    key: str
    name: str
    parts: tuple[str, ...]
    size: tuple[float, float, float]
    shell: Shell
    heard: tuple[Heard, ...]
    neighbours: tuple[NeighbourFound, ...]

    @property
    def sounds(self) -> tuple[Sound, ...]:
        """Noises inside, then own sounds at each neighbour."""
        inside = [Sound(one.name, "", one.passed) for one in self.heard]
        return (
            *inside,
            *(
                Sound(one.name, found.name, one.passed, one.limits)
                for found in self.neighbours
                for one in found.heard
            ),
        )

    def sound(self, name: str) -> Sound:
        """The sound of this name."""
        return next(one for one in self.sounds if one.name == name)


def gain_db(before: Passed, after: Passed) -> float:
    """How much softer it gets [dBA]."""
    return before.dba - after.dba


def octave_gains(before: Passed, after: Passed) -> Array:
    """How much softer it gets in each octave [dB], (9,), 31.5 Hz to 8 kHz."""
    return octave_levels(before.level_db) - octave_levels(after.level_db)


def harmed(before: Passed, after: Passed) -> tuple[tuple[float, float], ...]:
    """Octaves [Hz] that get louder, and by how much [dB]."""
    gains = octave_gains(before, after)
    return tuple((float(f), -float(gain)) for f, gain in zip(OCTAVES, gains, strict=True) if gain < -HARM_DB)


def states(shells: Shells, built: Sequence[tuple[str, str, tuple[str, ...]]] = BUILT) -> tuple[State, ...]:
    """Every state that applies: without a window there is no second pane."""
    room, now = shells.plan.room, shells.now
    windows = shells.plan.openings("window")
    return tuple(
        _state(room, now, shells, key, name, parts) for key, name, parts in built if key != "pane" or windows
    )


def _state(room: Room, now: Shell, shells: Shells, key: str, name: str, parts: tuple[str, ...]) -> State:
    shell = shells.shell(parts) if parts else now
    change = 10.0 * np.log10(now.absorption / shell.absorption)
    inside = replace(room, own=tuple(_louder(own, change) for own in room.own))
    return State(
        key=key,
        name=name,
        parts=parts,
        size=shells.plan.size(parts),
        shell=shell,
        heard=tuple(shell.hear(noise) for noise in room.noises),
        neighbours=neighbours.found(inside, shell, floor_gain_db=_floated(shells, parts)),
    )


def _floated(shells: Shells, parts: tuple[str, ...]) -> Array | float:
    """What the floated floor takes off what own sounds put into it [dB] (27,); a board that touches halves it
    (Gösele 1964, as Vigran has it, read)."""
    if "floor" not in parts or not shells.plan.floats:
        return 0.0
    load = shells.load
    gain = floating.improvement(THIRD_OCTAVES, resonance_hz=load.swing, loss=load.on.loss)
    return np.minimum(gain, MOST_FLOATED_DB) / (2.0 if "ties" in parts else 1.0)


def _louder(own: Own, change_db: Array) -> Own:
    """A sound made in a room of other absorption, its power the same."""
    level = levels.made_inside(own) + change_db
    return replace(own, spectrum=replace(own.spectrum, level_db=level, level=None), level=None)
