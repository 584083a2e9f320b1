"""A room within a room in stages, each a remedy: what it weighs, takes, costs, and what is bought for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.describe.prices import Prices
from isolate.describe.rooms import Option
from isolate.remedies.bill import merged, price
from isolate.remedies.inner.materials import WITH_WALLS
from isolate.remedies.inner.plan import Plan
from isolate.remedies.inner.shell import Shells
from isolate.remedies.making import made
from isolate.remedies.remedy import Need, Remedy
from isolate.room.scenario import Scenario

STAGES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("inner walls", ("walls",)),
    ("inner walls and ceiling", ("walls", "ceiling")),
    ("a whole room within the room", ("walls", "ceiling", "floor")),
)
AMATEUR = ("the whole, by amateurs", ("walls", "ceiling", "floor", "amateurs"))
TIED = ("the whole, touching", ("walls", "ceiling", "floor", "amateurs", "ties"))


def stages(
    shells: Shells, prices: Prices, wanted: Sequence[tuple[str, tuple[str, ...]]] = STAGES
) -> Iterator[Remedy]:
    """The stages as remedies; what each does is computed when it is asked for."""
    length, width, height = shells.plan.room.size
    for name, parts in wanted:
        bill = merged(bill_of(shells, parts))
        left = shells.plan.size(parts)
        yield Remedy(
            "inner room",
            name,
            Option(name, ""),
            cost=price(bill, prices),
            mass=sum(need.mass for need in bill),
            depth=shells.plan.inner.walls.depth,
            space=length * width * height - left[0] * left[1] * left[2],
            bill=bill,
            parts=parts,
        )


def inner_windows(plan: Plan, now: Scenario, prices: Prices) -> Iterator[Remedy]:
    """The inner room's windows alone: a second one behind each of the room's."""
    for side in plan.openings("window"):
        if side.construction.layers:
            option = plan.window_option(side)
            yield made(now.envelope, option, "second window", prices)


def bill_of(shells: Shells, parts: Sequence[str]) -> tuple[Need, ...]:
    """The lines of these parts; windows, doors and sealing come with the walls."""
    wanted = {*parts, *(WITH_WALLS if "walls" in parts else ())}
    return tuple(need for need in shells.load.bill if need.part in wanted)
