"""The shells of a room with an inner room, as described or a usual one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import inner as describing
from isolate.describe import words
from isolate.describe.rooms import Room
from isolate.errors import InputError
from isolate.physics import floating
from isolate.remedies.inner.air import with_vent
from isolate.remedies.inner.house import with_house
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import Plan, with_floor
from isolate.remedies.inner.shell import Shells
from isolate.room import envelope, scenario
from isolate.room.elements import Finder
from isolate.room.scenario import Scenario

PEOPLE = 1.0  # where nothing is said
WHOLE = ("walls", "ceiling", "floor")
MOST_FLOATED_DB = 25.0  # most that a floated floor takes off blows: then what touches it decides (judgement)
LEAST_WIDTH, LEAST_HEIGHT = 0.6, 1.5  # m, of an inner room


def shells_of(room: Room, *, people: float | None = None, finder: Finder | None = None) -> Shells:
    """The shells of a room with an inner room as described, else a usual one; air assumed where none is.

    `finder`: one that knows the room's sides already.
    """
    room = with_floor(room)
    inner = room.inner or describing.usual_inner()
    stated = room.people if people is None else people
    inside = PEOPLE if stated is None else stated
    _check_room(Plan(room, inner))
    housed, _ = with_house(room)
    vented, _ = with_vent(housed, inside)
    return Shells(Load(Plan(vented, inner), inside), envelope.of_room(housed, finder))


def scenario_of(shells: Shells, parts: tuple[str, ...]) -> Scenario:
    """What is received with these parts of the inner room built."""
    built = replace(shells.envelope(parts), floor_gain_db=_floated(shells, parts))
    return scenario.of(shells.plan.room, built)


def _floated(shells: Shells, parts: tuple[str, ...]) -> Array | float:
    """What the floated floor takes off what own sounds put into it [dB] (27,); a board that touches halves it
    (Gösele 1964, as Vigran has it, read)."""
    if "floor" not in parts or not shells.plan.floats:
        return 0.0
    load = shells.load
    gain = floating.improvement(THIRD_OCTAVES, resonance_hz=load.swing, loss=load.on.loss)
    return np.minimum(gain, MOST_FLOATED_DB) / (2.0 if "ties" in parts else 1.0)


def _check_room(plan: Plan) -> None:
    """InputError where the inner room leaves nothing to stand in."""
    length, width, height = plan.inner_size
    if min(length, width) < LEAST_WIDTH or height < LEAST_HEIGHT:
        left = " x ".join(f"{edge:.2f}" for edge in (length, width, height))
        raise InputError(
            f"{plan.room.name}: the inner room would leave {left} m (got gaps of "
            f"{words.millimetres(plan.inner.walls.gap)} at the walls, "
            f"{words.millimetres(plan.inner.ceiling.gap)} above); make its gaps smaller"
        )
