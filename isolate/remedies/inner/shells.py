"""The shells of a room with an inner room, as described or a usual one."""

from __future__ import annotations

from isolate.describe import inner as describing
from isolate.describe import words
from isolate.describe.rooms import Room
from isolate.errors import InputError
from isolate.remedies.inner.air import with_vent
from isolate.remedies.inner.house import with_house
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import Plan, with_floor
from isolate.remedies.inner.shell import Shells
from isolate.room import envelope as shell
from isolate.room.elements import Finder

PEOPLE = 1.0  # where nothing is said
WHOLE = ("walls", "ceiling", "floor")
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
    return Shells(Load(Plan(vented, inner), inside), shell.of_room(housed, finder))


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
