"""The room within a room as fixes: in stages, each a plan by itself, priced from its list of materials."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache

from isolate.describe.prices import Prices
from isolate.describe.rooms import Option, Room
from isolate.remedies.bill import BOARDS, PANES, invented, merged, price
from isolate.remedies.inner import states
from isolate.remedies.inner.materials import Item
from isolate.remedies.inner.shell import Shells
from isolate.remedies.inner.shells import shells_of
from isolate.remedies.remedy import OURS, Fix, Need
from isolate.room.scenario import State

STAGES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("inner walls", ("walls",)),
    ("inner walls and ceiling", ("walls", "ceiling")),
    ("a whole room within the room", ("walls", "ceiling", "floor")),
)
_THICK = re.compile(r"(\d+(?:\.\d+)?) mm (.+?)(?:, .*)?")
_WORDS = (
    ("wood studs", "wood stud"), ("steel studs", "steel stud"), ("joists", "wood stud"),
    ("hangers", "hanger"), ("mounts", "mount"), ("strip", "edge strip"),
    ("sealant", "soft sealant"), ("wool", "wool"),
)  # fmt: skip
_UNITS = {"pieces": "piece", "cartridges": "piece"}


def stages(room: Room, prices: Prices, *, budget: float) -> Iterator[Fix]:
    """The stages that the budget allows; what each does is computed when it is asked for."""
    shells = shells_of(room)
    items = shells.load.items
    length, width, height = room.size
    for name, parts in STAGES:
        needs = merged([*_needs(items, parts)])
        cost = price(needs, prices)
        if cost is None or cost.typical > budget:
            continue
        left = shells.plan.size(parts)
        yield Fix(
            name,
            Option(name, ""),
            cost,
            OURS,
            mass=sum(need.mass for need in needs),
            depth=shells.plan.inner.walls.depth,
            space=length * width * height - left[0] * left[1] * left[2],
            bill=needs,
            rebuilds=_later(shells, name, parts),
            parts=parts,
            invented=invented(needs, prices),
        )


def _later(shells: Shells, name: str, parts: tuple[str, ...]) -> Callable[[], State]:
    @cache
    def rebuilt() -> State:
        (state,) = states.states(shells, ((name, name, parts),))
        return State(state.shell, state.heard, state.neighbours)

    return rebuilt


def _needs(items: Sequence[Item], parts: tuple[str, ...]) -> Iterator[Need]:
    """The lines of these parts; windows, doors and sealing come with the walls."""
    wanted = {*parts, "windows", "doors", "sealing"}
    for item in items:
        if item.part in wanted:
            yield _need(item)
            if item.part == "windows":
                yield Need("second frame", "frame of the inner window", 4.0 * item.amount**0.5, "m")
            if item.part == "doors":
                yield Need("door frame", "door frame", 1.0, "piece")
            if item.part in ("walls", "ceiling") and "gypsum" in item.name:
                yield Need("finish", "filler, tape and paint", item.amount / 2.0, "m2")


def _need(item: Item) -> Need:
    unit = _UNITS.get(item.unit, item.unit)
    match = _THICK.fullmatch(item.name)
    if match is not None and match[2] in (*BOARDS, *PANES):
        return Need(match[2], item.name, item.amount, unit, item.mass, float(match[1]) / 1e3)
    if item.part == "doors":
        return Need("solid door", item.name, item.amount, unit, item.mass)
    known = next((priced for word, priced in _WORDS if word in item.name), "")
    thickness = float(match[1]) / 1e3 if match is not None and known == "wool" else None
    return Need(known, item.name, item.amount, unit, item.mass, thickness)
