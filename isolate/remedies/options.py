"""Fixes from options: what one weighs, takes off the room and its air, and what is bought for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from isolate.describe.materials import Range
from isolate.describe.rooms import Option, Room, Side
from isolate.remedies.bill import bill
from isolate.remedies.remedy import OURS, SHELL, YOURS, Fix, Need
from isolate.room import air
from isolate.room.air import Air
from isolate.room.elements import SideFound
from isolate.room.envelope import Shell


def made(
    shell: Shell,
    air_now: Air,
    option: Option,
    cost: Range,
    *,
    origin: str = OURS,
    needs: Sequence[Need] = (),
    invented: bool = False,
    finds: Callable[[Shell, Side], SideFound] | None = None,
    beside: float = 0.0,
) -> Fix:
    """A fix of an option, held against the room as it is; `beside`: of flanking elements as much again is
    lined, as a share of the side's area."""
    before = next((one for one in shell.sides if one.side.name == option.replace), None)
    if before is None:
        return Fix(option.name, option, cost, origin, bill=tuple(needs), invented=invented)
    changed = option.on(before.side)
    after = finds(shell, changed) if finds else shell.find(changed)
    depth = changed.construction.thickness - before.side.construction.thickness
    lining = before.side.construction.kind in SHELL
    left = air.of_sides(shell.replaced(after).sides, air_now.people)
    return Fix(
        option.name,
        option,
        cost,
        origin,
        mass=(after.surface_mass - before.surface_mass) * before.side.area * (1.0 + beside),
        depth=depth if lining else 0.0,
        space=depth * before.side.area * (1.0 + beside) if lining else 0.0,
        bill=tuple(needs),
        finds=finds,
        air_lost=max(air_now.served - left.served, 0.0),
        closes=option.vents == () and bool(before.side.vents),
        invented=invented,
    )


def of_options(room: Room, shell: Shell) -> Iterator[Fix]:
    """The room's own options that say what they cost."""
    now = air.of_sides(shell.sides, room.people)
    sides = {one.side.name: one.side for one in shell.sides}
    for option in room.options:
        if option.cost is None:
            continue
        side = sides.get(option.replace)
        needs = bill(side, option.on(side)) if side else ()
        cost = Range(option.cost, option.cost, option.cost)
        yield made(shell, now, option, cost, origin=YOURS, needs=needs)
