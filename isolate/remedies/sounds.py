"""The sounds fixes are held against: noises in the room, own sounds at neighbours, each by the parts of the
shell it passes, so that any combination of changed parts gives its level at once.

The parts ("cells") are the sides and what flanks from each word. The energy of a sound is the sum over its
cells of weight times tau S, so a sound's level in a changed room is the present one plus
10 lg(sum then / sum now).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.describe.limits import StatedLimit
from isolate.room.envelope import Heard, Shell
from isolate.room.impact import STRUCTURE
from isolate.room.neighbours import HeardNextDoor
from isolate.room.scenario import State, name_of

Cell = tuple[str, str]  # ("side", its name) or ("flank", the word it comes from)
Excess = Callable[[Array, Array], Array]  # of levels and backgrounds (..., 27): (...)


@dataclass(frozen=True, eq=False)
class Sound:
    """One sound where it is heard: `level_db` (27,) as the room is, its `cells` with their weights; `called`:
    names that mean it; `inside` the room or at a neighbour, whose `limits` then count; `fixed` (27,): the
    part of its energy that comes by the floor it stands on, which no cell changes."""

    name: str
    called: tuple[str, ...]
    inside: bool
    level_db: Array
    background_db: Array
    cells: Mapping[Cell, float]
    fixed: Array | float = 0.0
    limits: tuple[StatedLimit, ...] = ()


def sounds(state: State) -> tuple[Sound, ...]:
    """All sounds of a room, noises first."""
    found = [_noise(one, state.shell) for one in state.heard]
    found += [_own(one, state.shell) for to in state.neighbours for one in to.heard]
    return tuple(found)


def _noise(heard: Heard, shell: Shell) -> Sound:
    noise = heard.noise
    cells: dict[Cell, float] = {}
    for word, weaker in noise.reaches.items():
        for found in shell.facing(word):
            exposure = 0.0 if noise.indoors else found.exposure_db
            cells["side", found.side.name] = 10.0 ** ((exposure - weaker) / 10.0)
        if word in shell.flanking:
            cells["flank", word] = 10.0 ** (-weaker / 10.0)
    passed = heard.passed
    return Sound(noise.name, (noise.name,), True, passed.level_db, passed.background_db, cells)


def _own(heard: HeardNextDoor, shell: Shell) -> Sound:
    to, passed = heard.neighbour, heard.passed
    cells: dict[Cell, float] = {}
    for found in shell.sides:
        if found.side.name in to.through:
            cells["side", found.side.name] = 1.0
            if to.distance is None and found.side.faces in shell.flanking:
                cells["flank", found.side.faces] = 1.0
    called = (name_of(heard), to.name, heard.name)
    by_floor = [path.kind == STRUCTURE for path in passed.paths]
    fixed = np.sum(passed.part[by_floor], axis=0)
    return Sound(
        name_of(heard), called, False, passed.level_db, passed.background_db, cells, fixed, to.limits
    )


def heard(state: State) -> dict[str, Heard | HeardNextDoor]:
    """Each sound of a state by the name it has in `sounds`."""
    found: list[Heard | HeardNextDoor] = [*state.heard]
    found += [one for to in state.neighbours for one in to.heard]
    return {name_of(one): one for one in found}


def levels(sound: Sound, tau_area: Mapping[Cell, Array], now: Mapping[Cell, Array]) -> Array:
    """Levels [dB] (..., 27) of a sound where its cells let through tau S (..., 27), and `now` (27,)."""
    then = sum(weight * tau_area[cell] for cell, weight in sound.cells.items())
    before = sum(weight * now[cell] for cell, weight in sound.cells.items())
    with np.errstate(divide="ignore"):
        return np.asarray(sound.level_db + 10.0 * np.log10(sound.fixed + (1.0 - sound.fixed) * then / before))
