"""Building a room within a room: its bill by part, its steps and their days, and where it must not touch.

Hours of work and clearances are common practice, no source: two careful amateurs; a firm needs about half.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from isolate.describe.inner_parts import Mounts
from isolate.describe.prices import Prices
from isolate.remedies.bill import bought, price
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import Plan
from isolate.remedies.remedy import Cost, Need

CREW, DAY = 2, 8.0  # who builds, hours a day
STUD, JOIST = 0.089, 0.145  # m of timber in the walls and the ceiling
# Told together: what seals and finishes a wall is on its line.
TOLD: Mapping[str, tuple[str, ...]] = {
    "walls": ("walls", "sealing"), "ceiling": ("ceiling",), "floor": ("floor",), "window": ("windows",),
    "door": ("doors",), "air": ("air",), "electricity": ("electricity",),
}  # fmt: skip
# Hours of one person for a unit bought.
HOURS: Mapping[str, float] = {
    "gypsum board": 0.3, "dense gypsum board": 0.35, "cement board": 0.4, "plywood": 0.35, "OSB": 0.35,
    "chipboard": 0.35, "MDF": 0.6, "finish": 0.6, "wool": 0.12, "wood stud": 0.15, "steel stud": 0.12,
    "edge strip": 0.05, "hanger": 0.3, "mount": 0.1, "laminated glass": 1.0, "glass": 1.0,
    "acoustic laminated glass": 1.0, "acrylic": 1.0, "second frame": 1.5, "solid door": 5.0,
    "door frame": 4.0, "soft sealant": 0.7, "lined duct": 1.0, "duct fan": 2.0, "filter": 0.5,
    "soft sleeve": 0.3, "grille": 0.5, "cowl": 1.0, "wall hole": 3.0, "lined box": 5.0, "silencer": 2.0,
    "electric point": 1.5,
}  # fmt: skip
# The steps, in their order, each with the parts and items that are built in it.
_FRAME = ("wood stud", "steel stud", "hanger", "edge strip")
_FITTED = ("duct fan", "filter", "grille", "cowl")
STEPS = ("before", "floor", "frames", "services", "boards", "openings", "finish")
BEFORE_HOURS = 16.0  # to measure, clear, seal the old shell


@dataclass(frozen=True)
class Part:
    """A part of the bill as it is told: `cost` (None: something on it has no price), `mass` [kg], `hours`."""

    name: str
    cost: Cost | None
    mass: float
    hours: float

    @property
    def days(self) -> float:
        """Days of two."""
        return self.hours / CREW / DAY

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        cost = self.cost.to_dict() if self.cost else None
        return {"part": self.name, "cost": cost, "mass_kg": self.mass, "hours": self.hours}


@dataclass(frozen=True)
class Step:
    """A step of the work: its `key` of `STEPS`, from which day to which of two people."""

    key: str
    first: int
    last: int

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"step": self.key, "first_day": self.first, "last_day": self.last}


@dataclass(frozen=True)
class Joint:
    """Where it must not touch: a `key` and how much is `clear` [m] there."""

    key: str
    clear: float

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"joint": self.key, "clear_mm": 1e3 * self.clear}


def hours(needs: Sequence[Need]) -> float:
    """Of one person, for all of it."""
    return sum(HOURS.get(need.item, 0.0) * bought(need) for need in needs)


def parts(load: Load, prices: Prices) -> tuple[Part, ...]:
    """The bill of the whole by part."""
    found = []
    for name, inside in TOLD.items():
        needs = [need for need in load.bill if need.part in inside]
        if needs:
            mass = sum(need.mass for need in needs)
            found.append(Part(name, price(needs, prices), mass, hours(needs)))
    return tuple(found)


def step_of(need: Need) -> str:
    """In which step a line of the bill is built."""
    if need.part == "floor":
        return "floor"
    if need.part in ("windows", "doors"):
        return "openings"
    if need.part in ("air", "electricity"):
        return "finish" if need.item in _FITTED else "services"
    if need.item in _FRAME:
        return "frames"
    return "finish" if need.item == "finish" else "boards"


def steps(load: Load) -> tuple[Step, ...]:
    """All steps with their days, one after the other; a day may end one and begin the next."""
    found, done = [], 0.0
    for key in STEPS:
        own = BEFORE_HOURS if key == "before" else hours([n for n in load.bill if step_of(n) == key])
        begun, done = done, done + own / CREW / DAY
        if own:
            found.append(Step(key, int(begun + 1e-9) + 1, math.ceil(done - 1e-9)))
    return tuple(found)


def joints(plan: Plan) -> tuple[Joint, ...]:
    """Every joint between the new and the old, from the floor up."""
    return tuple(_joints(plan))


def _joints(plan: Plan) -> Iterator[Joint]:
    inner = plan.inner
    edge = 0.01
    yield Joint("mounts" if isinstance(inner.floor.on, Mounts) else "mat", inner.floor.lining.gap)
    yield Joint("floor edge", edge)
    yield Joint("sole on floor" if plan.floats else "sole on house", 0.0)
    yield Joint("studs", max(inner.walls.gap - STUD, 0.0))
    if inner.carried == "inner walls":
        yield Joint("joists", max(inner.ceiling.gap - JOIST, 0.0))
    else:
        yield Joint("hangers", inner.ceiling.gap)
    yield Joint("heads", edge)
    yield Joint("boards", edge / 2)
    if plan.openings("window"):
        yield Joint("window", edge)
    if plan.openings("door"):
        yield Joint("door", edge)
    if plan.ducts is not None or inner.vents:
        yield Joint("ducts", 2 * edge)
    yield Joint("cables", 0.0)
    yield Joint("pipes", 2 * edge)
