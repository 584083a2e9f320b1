"""Fresh air: how much a room needs, what its openings bring, and the smallest quiet duct system."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import Array
from isolate.describe import prices as pricing
from isolate.describe import rooms, sounds
from isolate.describe.prices import Prices
from isolate.describe.rooms import Background, Room, Side
from isolate.errors import InputError
from isolate.physics import air_flow, air_noise
from isolate.remedies import bill, ducts
from isolate.remedies.cautions.changes import PARTS
from isolate.remedies.cautions.facts import Caution, Change, Facts
from isolate.remedies.cautions.table import raised
from isolate.remedies.ducts import Judged
from isolate.remedies.inner.air import for_air
from isolate.remedies.inner.plan import roles
from isolate.remedies.remedy import Cost
from isolate.room import air, scenario
from isolate.room.air import Air
from isolate.room.envelope import of_room, words_of_rooms

_NO_COLUMN = ("noise_db", "parts_dba", "box_inside_m", "lets_through")


@dataclass(frozen=True, repr=False)
class AirAnswer(Answer):
    """`people` in the room need `needed` [m3/s]; `openings` bring some by themselves; `side`: what ducts go
    through; `best`: the smallest system that is quiet and tight enough, None where none is, and its `cost`;
    `failed`: some nearly as small that are not; `assumed`: what was not said."""

    room: Room
    people: float
    openings: Air
    side: Side
    target: Background
    target_db: Array
    best: Judged | None
    cost: Cost | None
    prices: Prices
    failed: tuple[Judged, ...]
    assumed: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def needed(self) -> float:
        """Fresh air [m3/s]."""
        return air_flow.needed(self.people)

    def carbon_dioxide(self, *, flow: float, playing: bool) -> float:
        """Fraction in the end, of who sit or play."""
        return air_flow.co2(
            people=self.people,
            flow=flow,
            volume=self.room.volume,
            hours=1000.0,
            effort=air_flow.PLAYING if playing else 1.0,
        )

    @property
    def stale_after(self) -> float:
        """Seconds until the shut room is stale for who play."""
        return self._until(air_flow.STALE)

    @property
    def forbidden_after(self) -> float:
        """Seconds until it is past what work places forbid."""
        return self._until(air_flow.FORBIDDEN)

    def _until(self, co2: float) -> float:
        made = self.people * air_flow.CO2_PER_PERSON * air_flow.PLAYING
        return (co2 - air_flow.CO2_OUTSIDE) * self.room.volume / made

    @property
    def warmer(self) -> float:
        """How much warmer the air gets by the people [K]."""
        return air_flow.warmer(people=self.people, flow=self.needed)

    @property
    def notes(self) -> tuple[str, ...]:
        return self.assumed

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        found = [("air", "needed_l_s", 1e3 * self.needed), ("air", "served", self.openings.served)]
        if self.best is not None:
            found += [
                ("ducts", "noise_dba", self.best.dba),
                ("ducts", "pressure_pa", self.best.system.pressure),
            ]
        if self.cost is not None:
            found.append(("ducts", "cost", self.cost.counts.typical))
        return found

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "people": self.people,
            "needed_l_s": 1e3 * self.needed,
            "changes_per_hour": 3600.0 * self.needed / self.room.volume,
            "co2_sitting_ppm": 1e6 * self.carbon_dioxide(flow=self.needed, playing=False),
            "co2_playing_ppm": 1e6 * self.carbon_dioxide(flow=self.needed, playing=True),
            "sealed_stale_after_min": self.stale_after / 60.0,
            "sealed_forbidden_after_min": self.forbidden_after / 60.0,
            "warmer_k": self.warmer,
            "openings": self.openings.to_dict(),
            "through": self.side.name,
            "target": {"octaves_hz": air_noise.OCTAVES, "level_db": self.target_db},
            "system": None if self.best is None else self.best.to_dict(),
            "bill": [] if self.best is None else [need.to_dict() for need in self.best.system.bill],
            "cost": None if self.cost is None else self.cost.to_dict(),
            "too_small": [one.to_dict() for one in self.failed],
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("air", {"room": self.room.name}, body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a system."""
        every = [*self.failed, *([self.best] if self.best else [])]
        rows = [list(one.to_dict().values()) for one in every]
        header = list(every[0].to_dict()) if every else ["diameter_mm"]
        keep = [i for i, name in enumerate(header) if name not in _NO_COLUMN]
        return [header[i] for i in keep], [[row[i] for i in keep] for row in rows]


def fresh_air(
    described: Room | str | None = None,
    *,
    people: float | None = None,
    target: str | None = None,
    prices: str | None = None,
    labour: str | None = None,
) -> AirAnswer:
    """Answer: how much fresh air does this room need, and which ducts bring it without being heard?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    people : who are in it, instead of the room's. target : background wanted, as "NC 15"; None: the room's.
    prices, labour : a list of prices and whose labour counts.

    Raises
    ------
    InputError
        A room or target that does not work, or no side that a duct could go through.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.air(people=2)
    >>> round(1e3 * found.needed)  # 10 L/s a person
    20
    >>> found.best.system.velocity < 2.0  # what handbooks give for quiet rooms, m/s
    True
    """
    room = rooms.load(described) if described is None or isinstance(described, str) else described
    wanted = room.background if target is None else _target(target)
    assumed = []
    if people is None and room.people is None:
        assumed.append(
            f"nobody said how many are in the room: {air.USUAL_PEOPLE:.0f} taken (people = 2)"
        )
    many = people if people is not None else room.people if room.people is not None else air.USUAL_PEOPLE
    rooms.inhabited(many)
    side = for_air(room)
    if side is None:
        raise InputError("room: no side to the outdoors that a duct could go through; describe one")
    wanting = replace(room, background=wanted)
    envelope = of_room(wanting)
    shut = scenario.of(wanting, envelope.replaced(envelope.find(replace(side, vents=()))))
    place = ducts.place(shut, side.name)
    best, failed = place.smallest(many)
    money = pricing.load(prices).working(labour)
    return AirAnswer(
        room=room,
        people=many,
        openings=air.of([one.side for one in envelope.sides], many),
        side=side,
        target=wanted,
        target_db=place.target_db,
        best=best,
        cost=None if best is None else bill.price(best.system.bill, money),
        prices=money,
        failed=failed,
        assumed=(*assumed, *_NOTES),
        cautions=raised(_facts(room, side, best)),
    )


def _facts(room: Room, side: Side, best: Judged | None) -> Facts:
    """What can hurt: a hole through a side, and fans."""
    vents = () if best is None else (best.system.vent,)
    change = Change(
        "the ducts",
        side.construction,
        side.construction,
        part=PARTS[roles(side)],
        vents=vents,
        old_vents=side.vents,
        shared=side.faces in words_of_rooms(room),
    )
    length, width, height = room.size
    return Facts(
        (change,) if best else (), floor_area=length * width, volume=room.volume, height=height, fan=True
    )


_NOTES = (
    "Two ducts alike, one brings and one takes; a fan in each, outside the room beyond boxes and lining, "
    "slowed until it just makes the flow; open grilles without dampers; soft sleeves at fan and wall.",
    f"Quiet: {ducts.BELOW_DB:.0f} dB under the background wanted in every octave. Tight: nothing that is "
    f"heard, in here or at a neighbour's, more than {ducts.MORE_DB:.0f} dBA louder than without ducts.",
    "Levels of fans and flow are handbook values and good to 5 dB. What goes through the wall of a thin duct "
    "or box is not counted: boxes of two boards, ducts lagged.",
)


def _target(text: str) -> Background:
    try:
        return sounds.background(text)
    except ValueError as fault:
        raise InputError(f"target: {fault}") from None
