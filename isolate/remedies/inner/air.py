"""Breathing in a room within a room: carbon dioxide over a session, air that its vents pass, warmth."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from isolate.describe.rooms import Room, Side
from isolate.physics import air_flow
from isolate.remedies.ducts import Judged
from isolate.remedies.inner.plan import roles
from isolate.remedies.inner.shell import Shells
from isolate.room import air
from isolate.room.air import Air
from isolate.room.envelope import words_of_rooms

BY = {"walls": 4, "window": 3, "door": 2, "ceiling": 1}  # which side a duct goes through or beside, first


@dataclass(frozen=True)
class Breathing:
    """Air for `people` for `session` [s] in `volume` [m3]: the `ways` through both shells; carbon dioxide as
    a fraction at the end `sealed`, with the air those pass by themselves and with a fan; `stuffy` [s] until
    a sealed room is; fresh air `needed` [m3/s]; the `ducts` made for it (None: vents as described or none),
    and the same as `bare` holes."""

    people: float
    session: float
    volume: float
    ways: Air
    sealed: float
    still: float
    fan: float
    stuffy: float
    needed: float
    ducts: Judged | None
    bare: Judged | None

    @property
    def warmth(self) -> float:
        """What the people alone give off [W]."""
        return self.people * air_flow.WARMTH

    @property
    def warmer(self) -> float:
        """How much warmer the air needed gets by it [K], nothing else warming or cooling."""
        return air_flow.warmer(people=self.people, flow=self.needed) if self.needed else 0.0

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return self.ways.to_dict() | {
            "people": self.people,
            "session_h": self.session / 3600.0,
            "volume_m3": self.volume,
            "co2_sealed_ppm": 1e6 * self.sealed,
            "co2_vents_ppm": 1e6 * self.still,
            "co2_fan_ppm": 1e6 * self.fan,
            "sealed_stuffy_after_min": self.stuffy / 60.0,
            "needed_l_s": 1e3 * self.needed,
            "ducts": self.ducts.to_dict() if self.ducts else None,
            "as_bare_holes": self.bare.to_dict() if self.bare else None,
            "warmth_w": self.warmth,
            "warmer_k": self.warmer,
        }


def breathing(shells: Shells, *, session: float, bare: Judged | None) -> Breathing:
    """The air of the whole inner room."""
    room = shells.plan.room
    length, width, height = shells.plan.inner_size
    volume, effort = length * width * height, air_flow.PLAYING if room.own else 1.0
    people, ducts = shells.load.people, shells.plan.ducts
    ways = air.of([_through(shells, one.side.name) for one in shells.now.sides], people)
    needed = air_flow.needed(people)
    fans = needed if ducts else sum(way.fan or 0.0 for way in ways.ways)

    def co2(flow: float) -> float:
        return air_flow.co2(people=people, flow=flow, volume=volume, hours=session / 3600.0, effort=effort)

    made = people * air_flow.CO2_PER_PERSON * effort
    return Breathing(
        people=people,
        session=session,
        volume=volume,
        ways=ways,
        sealed=co2(0.0),
        still=co2(ways.still),
        fan=co2(fans),
        stuffy=(air_flow.STALE - air_flow.CO2_OUTSIDE) * volume / made if made else math.inf,
        needed=needed,
        ducts=ducts,
        bare=bare,
    )


def _through(shells: Shells, name: str) -> Side:
    """A side with nothing but its vents, the boxes of both shells on them."""
    vents, side = [], shells.plan.side(name)
    if shells.plan.ducts is not None:
        return replace(side, gaps=(), opened=None, inner_gaps=None)
    for vent in side.vents:
        beyond = shells.beyond(side, vent)
        box = vent.box or beyond.box
        if vent.box and beyond.box:
            box = replace(vent.box, count=vent.box.count + beyond.box.count)
        vents.append(replace(vent, box=box, length=vent.length + beyond.length))
    return replace(side, gaps=(), opened=None, inner_gaps=None, vents=tuple(vents))


def for_air(room: Room) -> Side | None:
    """The side a duct would go through: towards the outdoors a wall, beside a window or door, or the roof;
    else the largest wall of any. Never through a ceiling or floor into what lies there; None if no other is
    told."""
    indoors = words_of_rooms(room)

    def fit(side: Side) -> tuple[bool, int, float]:
        by = BY.get(roles(side), 0)
        return bool(by) and side.faces not in indoors, by, side.area

    some = (side for side in room.sides if roles(side) in ("walls", "window", "door") or fit(side)[0])
    return max(some, key=fit, default=None)
