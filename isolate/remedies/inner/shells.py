"""The shells of a room with an inner room, as described or a usual one."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import inner as describing
from isolate.describe import words
from isolate.describe.rooms import Room
from isolate.errors import InputError
from isolate.physics import floating
from isolate.remedies import ducts
from isolate.remedies.ducts import Judged, System
from isolate.remedies.inner.air import for_air
from isolate.remedies.inner.house import with_house
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import Plan, with_floor
from isolate.remedies.inner.shell import Shells
from isolate.room import air, envelope, scenario
from isolate.room.elements import Finder
from isolate.room.scenario import Scenario

WHOLE = ("walls", "ceiling", "floor")
MOST_FLOATED_DB = 25.0  # most that a floated floor takes off blows: then what touches it decides (judgement)
LEAST_WIDTH, LEAST_HEIGHT = 0.6, 1.5  # m, of an inner room

_last: deque[tuple[Room, Finder | None, float | None, Shells]] = deque(maxlen=4)


def shells_of(room: Room, *, people: float | None = None, finder: Finder | None = None) -> Shells:
    """The shells of a room with an inner room as described, else a usual one.

    Its air comes by the smallest ducts that stay quiet and keep out what the whole keeps out, in place of the
    room's vents; by these where the file says how they go on. Where no ducts are good enough: the best of
    them.

    `finder`: one that knows the room's sides already; asked again for the same room it has the same shells.
    """
    for known, by, asked, found in tuple(_last):
        if finder is not None and known is room and by is finder and asked == people:
            return found
    made = _shells(room, people, finder)
    _last.append((room, finder, people, made))
    return made


def _shells(room: Room, people: float | None, finder: Finder | None) -> Shells:
    room = with_floor(room)
    inner = room.inner or describing.usual_inner()
    stated = room.people if people is None else people
    inside = air.USUAL_PEOPLE if stated is None else stated
    _check_room(Plan(room, inner))
    housed, _ = with_house(room)
    now = envelope.of_room(housed, finder)
    as_described = Shells(Load(Plan(housed, inner), inside), now)
    side = for_air(housed)
    if not inside or inner.vents or side is None:
        return as_described
    closed = Shells(Load(Plan(_aired(housed, {}), inner), inside), now)
    place = ducts.place(scenario_of(closed, WHOLE), side.name, shells=2)
    best, failed = place.smallest(inside)
    found = best or failed[0]
    aired = _aired(housed, {side.name: found.system})
    return Shells(Load(Plan(aired, inner, found), inside), now)


def with_bare_holes(shells: Shells) -> Judged | None:
    """The ducts of an inner room as holes without lining and boxes, what they bring instead; None where it
    has none."""
    plan = shells.plan
    if plan.ducts is None:
        return None
    closed = Shells(Load(replace(plan, room=_aired(plan.room, {})), shells.load.people), shells.now)
    place = ducts.place(scenario_of(closed, WHOLE), plan.ducts.side, shells=2)
    return place.judge(plan.ducts.system.plain)


def _aired(room: Room, systems: Mapping[str, System]) -> Room:
    """A room with ducts through some of its sides and no other vents."""
    return replace(
        room,
        sides=tuple(
            replace(side, vents=(systems[side.name].vent,) if side.name in systems else ())
            for side in room.sides
        ),
    )


def scenario_of(shells: Shells, parts: tuple[str, ...]) -> Scenario:
    """What is received with these parts of the inner room built."""
    built = replace(shells.envelope(parts), floor_gain_db=_floated(shells, parts))
    return scenario.of(shells.plan.room, built)


def _floated(shells: Shells, parts: tuple[str, ...]) -> Array | float:
    """What the floated floor takes off what own sounds put into it [dB] (27,), below 0 where it swings; a
    board that touches halves what it takes off (Gösele 1964, as Vigran has it, read)."""
    if "floor" not in parts or not shells.plan.floats:
        return 0.0
    load = shells.load
    gain = floating.improvement(THIRD_OCTAVES, resonance_hz=load.swing, loss=load.on.loss)
    gain = np.minimum(gain, MOST_FLOATED_DB)
    return np.where(gain > 0.0, gain / 2.0, gain) if "ties" in parts else gain


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
