"""What options and inner rooms change, as the triggers of cautions look at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from isolate.describe.layers import Cavity
from isolate.describe.rooms import Option, Room, Side
from isolate.remedies.cautions.facts import Change, Facts, Within
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.materials import WITH_WALLS
from isolate.remedies.inner.plan import roles
from isolate.remedies.inner.shells import shells_of
from isolate.remedies.remedy import Remedy
from isolate.room import levels
from isolate.room.envelope import words_of_rooms
from isolate.room.scenario import Scenario
from isolate.standards.weighting import dba

PARTS = {"walls": "wall", "ceiling": "ceiling", "floor": "floor", "window": "window", "door": "door"}


def of_option(
    room: Room, option: Option, side: Side | None, *, added: float, less_air: bool, made: Side | None = None
) -> Iterator[Change]:
    """What an option does to its `side` and to what flanks it; `added` [kg/m2] there.

    `made`: the side with it, where more than the option says is put there.
    """
    shared = words_of_rooms(room)
    if side is not None:
        yield Change(
            option.name, (made or option.on(side)).construction, side.construction, added, side.area,
            part=PARTS[roles(side)], gaps=option.gaps, old_gaps=side.gaps, vents=option.vents,
            old_vents=side.vents, less_air=less_air, shared=side.faces in shared,
        )  # fmt: skip
        if option.second is not None and side.second is None:
            yield Change(option.name, option.second.construction, area=side.area, part="door")
    if option.lining is not None:
        lined = option.lining
        depth = next((i for i, layer in enumerate(lined.layers) if isinstance(layer, Cavity)), 1)
        base = replace(lined, layers=lined.layers[:depth])
        yield Change(option.name, lined, base, part="wall", shared=bool(shared))


def of_inner_room(room: Room, load: Load, parts: Sequence[str]) -> Iterator[Change]:
    """What these parts of an inner room ("walls", "ceiling", "floor") do to the room they are built in; their
    weight is told by `within`."""
    plan, inner = load.plan, load.plan.inner
    shared = words_of_rooms(room)
    linings = {"walls": inner.walls, "ceiling": inner.ceiling, "floor": inner.floor.lining}
    for part in parts:
        stands = [side for side in plan.room.sides if roles(side) == part] or list(plan.room.sides)
        old = max(stands, key=lambda side: side.area).construction
        new = replace(old, layers=(*old.layers, *linings[part].layers))
        yield Change(f"the inner {part}", new, old, part=PARTS[part], less_air=True)
    gap = Cavity(inner.window.gap, edges=inner.window.edges, framing="separate frames")
    for side in plan.openings("window"):
        new = replace(side.construction, layers=(*side.construction.layers, gap, *inner.window.pane))
        yield Change("the inner window", new, side.construction, area=side.area)
    for side in plan.openings("door"):
        yield Change("the inner door", inner.door.construction, area=side.area, part="door")
    there = {side.name: side.vents for side in room.sides}
    for side in plan.room.sides:
        yield Change(
            "its ducts", side.construction, side.construction, part=PARTS[roles(side)], vents=side.vents,
            old_vents=there.get(side.name, ()), shared=side.faces in shared,
        )  # fmt: skip


def within(load: Load, parts: Sequence[str]) -> Within:
    """What the house carries of these parts of an inner room; windows and doors come with its walls."""
    hung = load.of("ceiling") if "ceiling" in parts and not load.carried else 0.0
    every = load.of(*parts, *WITH_WALLS)
    walls = load.of("walls", "windows", "doors") + (load.of("ceiling") if "ceiling" in parts else 0.0) - hung
    return Within(every - hung, hung, walls / load.plan.inner_perimeter)


def facts(now: Scenario, remedies: Sequence[Remedy]) -> Facts:
    """What the triggers look at where these remedies are proposed or tried in a room as it is `now`."""
    room = now.room
    built: list[Change] = []
    for one in remedies:
        if not one.useful and one.option.construction is None:
            continue
        side = now.envelope.named(one.side)
        added = one.mass / side.area if side else 0.0
        made = one.on(side) if side else None
        built += of_option(room, one.option, side, added=added, less_air=one.air_lost > 0.0, made=made)
    parts = max((one.parts for one in remedies), key=len, default=())
    load = shells_of(room, finder=now.envelope.finder).load if parts else None
    if load is not None:
        built += of_inner_room(room, load, parts)
    vents = any(side.vents for one in remedies if (side := now.envelope.named(one.side)))
    return Facts(
        changes=tuple(built),
        within=within(load, parts) if load is not None else None,
        floor_area=room.size[0] * room.size[1],
        volume=room.volume,
        height=room.size[2],
        fan=bool(parts) or vents,
        loudest_dba=max((float(dba(levels.made_inside(own))) for own in room.own), default=float("-inf")),
    )
