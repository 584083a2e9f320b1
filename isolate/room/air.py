"""Fresh air: what the openings of a room let through, so that closing one is never the silent answer.

Two pressures: about 1 Pa, what warmth and a light wind make between two openings of a dwelling, and 20 Pa,
what a small quiet fan makes through a duct (common practice, no source). What comes in has to go out
somewhere; whether it can is not known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from isolate.describe.gaps import round_window
from isolate.describe.rooms import Gap, Side, Vent
from isolate.physics import air_flow, air_noise, second_window
from isolate.room.elements import SEALED

STILL, FAN = 1.0, 20.0  # Pa
USUAL_PEOPLE = 1.0  # where nothing is said
SILENCER_LOSS = 1.0  # in dynamic pressures (common practice)


@dataclass(frozen=True)
class AirWay:
    """What one opening passes [m3/s] by itself and with a fan; None where its size is not known."""

    name: str
    still: float | None
    fan: float | None

    @property
    def people(self) -> float | None:
        """How many people it serves by itself."""
        return None if self.still is None else self.still / air_flow.PER_PERSON

    @property
    def people_with_fan(self) -> float | None:
        """How many people it serves with a fan."""
        return None if self.fan is None else self.fan / air_flow.PER_PERSON

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "name": self.name,
            "flow_l_s": None if self.still is None else 1e3 * self.still,
            "fan_flow_l_s": None if self.fan is None else 1e3 * self.fan,
            "people": self.people,
            "people_with_fan": self.people_with_fan,
        }


@dataclass(frozen=True)
class Air:
    """All openings of a room and what they pass together; `people` in it when stated."""

    ways: tuple[AirWay, ...]
    people: float | None = None

    @property
    def still(self) -> float:
        """Air [m3/s] by itself."""
        return sum(way.still or 0.0 for way in self.ways)

    @property
    def per_person(self) -> float:
        """Air [m3/s] one person needs."""
        return air_flow.PER_PERSON

    @property
    def served(self) -> float:
        """How many people that serves."""
        return self.still / air_flow.PER_PERSON

    @property
    def missing_area(self) -> float:
        """Clear opening [m2] that would let the rest in by itself; 0 where it is enough."""
        rest = air_flow.needed(self.people or 0.0) - self.still
        return air_flow.vent_area(flow=rest, pressure=STILL) if rest > 0.0 else 0.0

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "per_person_l_s": 1e3 * air_flow.PER_PERSON,
            "people": self.people,
            "served": self.served,
            "ways": [way.to_dict() for way in self.ways],
        }


def of(sides: Sequence[Side], people: float | None = None) -> Air:
    """The openings of all sides; a second window or door is what is left open before a first one."""
    ways = []
    for side in sides:
        gaps = _open_gaps(side)
        if gaps and side.second is None:
            ways.append(AirWay(f"{side.name}: gaps", sum(map(_slit, gaps)), None))
        ways += [_vent(side.name, vent) for vent in side.vents]
        if side.opened is not None and side.opened.high > 0.0:
            flow = air_flow.vent_flow(area=side.opened.typical * side.area, pressure=STILL)
            ways.append(AirWay(f"{side.name}: open part", float(flow), None))
    return Air(tuple(ways), people)


def _open_gaps(side: Side) -> tuple[Gap, ...]:
    """The gaps air comes by: behind a second window those of its own joint."""
    if second_window.apart(side.construction) is None or not (side.gaps or side.inner_gaps):
        return side.gaps
    return side.inner_gaps or (round_window(SEALED, side.size or (side.area**0.5,) * 2),)


def _slit(gap: Gap) -> float:
    flow = air_flow.slit_flow(width=gap.width, depth=gap.depth, pressure=STILL)
    return gap.length * float(flow)


def _vent(side: str, vent: Vent) -> AirWay:
    """A vent by itself and with a fan; nothing is known of a tested one whose opening is not stated."""
    name = f"{side}: {vent.name}"
    if vent.area is None:
        return AirWay(name, None, None)
    width, height = vent.section or (vent.area**0.5,) * 2
    losses = air_noise.LOSSES["box"] * vent.box.count if vent.box else 0.0
    losses += 0.0 if vent.insertion_db is None else SILENCER_LOSS
    flows = [
        vent.count
        * float(
            air_flow.vent_flow(
                area=vent.area,
                pressure=pressure,
                length=vent.length,
                perimeter=2 * (width + height),
                losses=losses,
            )
        )
        for pressure in (STILL, FAN)
    ]
    return AirWay(name, *flows)
