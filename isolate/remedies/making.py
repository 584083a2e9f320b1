"""Remedies made of options: what one weighs, takes off the room and its air, what is bought for it and what
that costs."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.describe import words
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.prices import Prices
from isolate.describe.rooms import Option, Room, Side
from isolate.remedies import playing
from isolate.remedies.bill import added, bill, merged, price
from isolate.remedies.remedy import OURS, SHELL, YOURS, Cost, Need, Remedy, stated
from isolate.room import air
from isolate.room.envelope import Envelope
from isolate.room.received import Received
from isolate.room.scenario import Scenario

KINDS = {  # what a file's option is, by the first slot it sets
    "construction": "built", "gaps": "seal", "vents": "vent", "opened": "shut", "second": "second door",
    "inner_gaps": "seal", "frame": "built",
    "covering": "floor",
}  # fmt: skip


def made(
    envelope: Envelope,
    option: Option,
    key: str,
    prices: Prices,
    *,
    origin: str = OURS,
    beside: Side | None = None,
    needs: tuple[Need, ...] | None = None,
    inside: bool = True,
) -> Remedy:
    """A remedy of an option, held against the room as it is.

    beside: more area of the same wall that is lined too, elements that flank. inside: what it adds takes
    space off this room, not off the one beyond. What the user states it costs
    counts; else the bill by the list of prices: `needs`, or what the side's change itself tells.
    """
    before = envelope.named(option.replace)
    if before is None:
        return Remedy(key, option.name, option, origin, None if option.cost is None else stated(option.cost))
    after = option.on(before)
    needs = bill(before, after) if needs is None else needs
    if beside is not None:
        needs = merged([*needs, *bill(beside, option.on(beside))])
    sides = [before, beside] if beside else [before]
    area = sum(one.area for one in sides)
    known = bool(after.construction.layers)  # a data sheet tells no weight, and so no less of it
    gone = known * sum(one.area * _surface_mass(added(option.on(one), one)) for one in sides)
    depth = after.construction.thickness - before.construction.thickness
    lining = inside and before.construction.kind in SHELL and after.construction.kind in SHELL
    return Remedy(
        key,
        option.name,
        option,
        origin,
        cost=_cost(option, needs, prices),
        mass=sum(one.mass for one in needs) - gone,
        depth=depth if lining else 0.0,
        space=depth * area if lining else 0.0,
        bill=needs,
        air_lost=_air_lost(before, after),
        closes=option.vents == () and bool(before.vents),
        inside=inside,
    )


def _cost(option: Option, needs: tuple[Need, ...], prices: Prices) -> Cost | None:
    if option.cost is not None:
        return stated(option.cost)
    return price(needs, prices) if needs else None


def mass_of(side: Side) -> float:
    """Surface mass [kg/m2] of a side, a second door included."""
    built = [side.construction, *([side.second.construction] if side.second else [])]
    return sum(_surface_mass(one.layers) for one in built)


def _surface_mass(layers: tuple[Leaf | Cavity, ...]) -> float:
    """Mass [kg/m2] of leaves and what fills the cavities."""
    leaves = sum(words.leaf_mass(one) for one in layers if isinstance(one, Leaf))
    fills = sum(
        one.fill_depth * one.fill.density.typical for one in layers if isinstance(one, Cavity) and one.fill
    )
    return leaves + fills


def _air_lost(before: Side, after: Side) -> float:
    """For how many people a change takes air away."""
    return max(air.of([before]).served - air.of([after]).served, 0.0)


def of_options(room: Room, envelope: Envelope, prices: Prices) -> Iterator[Remedy]:
    """The options of the room's file."""
    for option in room.options:
        kind = _kind(option, envelope.named(option.replace))
        yield made(envelope, option, kind, prices, origin=YOURS)


def of_playing(now: Scenario, prices: Prices) -> Iterator[Remedy]:
    """Other ways to play what neighbours hear, priced by what is bought for them; of each sound what asks
    least of the player first (`Way.asks`), since of equals the first is taken."""
    received: dict[str, list[Received]] = {}
    for one in (one for to in now.neighbours for one in to.heard):
        received.setdefault(one.what, []).append(one)
    for heard in received.values():
        ways = (*playing.later(heard), *playing.in_room(heard[0].own, now.room))
        for way in sorted(ways, key=lambda way: way.asks):
            needs = tuple(Need(item, item, 1.0, "piece") for item in way.items)
            cost = price(needs, prices) if needs else stated(0.0)
            yield Remedy(
                "played", way.whole, Option(way.whole, ""), cost=cost, mass=way.mass, bill=needs, way=way
            )


def _kind(option: Option, side: Side | None) -> str:
    if side is not None and option.adds_window(side):
        return "second window"
    return next((key for slot, key in KINDS.items() if getattr(option, slot) is not None), "lining")
