"""A duct system for fresh air: what it lets through, the noise it makes, the fan it needs; the smallest one.

Two ducts alike, one that brings air and one that takes it out, each a round lined duct with lined boxes, two
gentle bends, a cowl outdoors, a filter, a fan beyond the silencers and an open grille. Sizes are common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from isolate.bands import Array, octave_levels
from isolate.describe.materials import material
from isolate.describe.rooms import Box, Room, Vent
from isolate.physics import air_flow, air_noise, ducts, inner_shell, leakage
from isolate.remedies.remedy import Need
from isolate.room import levels, scenario
from isolate.room.elements import VENT_DB, BuiltSide, Element
from isolate.room.scenario import Scenario
from isolate.standards import criteria

DIAMETERS = (0.1, 0.125, 0.16, 0.2, 0.25, 0.315)  # m, as ducts are sold
LENGTHS = (1.0, 2.0, 3.0)
BOXES = (0, 1, 2)
LINING, BENDS, WAYS = 0.05, 2, 2
BOX_SHAPE = (4.67, 2.67, 2.0)  # inside of a box in diameters: 0.7 x 0.4 x 0.3 m for 150 mm
BOARD = 0.036  # m round a box: two boards of 18 mm, or what goes through its walls decides
BELOW_DB = 3.0  # how far its noise stays under the background wanted
MORE_DB = 1.0  # how much louder it may make anything that is heard
# Velocities [m/s] in lined ducts and free grilles for NC up to 20, 25, 30 and 35 (checklists of a textbook of
# architectural acoustics, read).
FASTEST = ((20.5, 1.5), (25.5, 1.8), (30.5, 2.2), (99.0, 2.5))
MOST_PRESSURE = 60.0  # Pa a small fan has that is slowed to be quiet
SHOWN = 4  # of smaller systems that fail
SHEET, WOOL = 0.018, 48.0  # m of one board of a box; kg/m3 of linings
STEEL = 0.0005 * 7850.0  # kg/m2 of the tubes of a lined duct, one in the other
PIECES = {  # kg each
    "cowl": 1.5, "filter": 2.0, "duct fan": 3.5, "soft sleeve": 0.3, "grille": 0.8, "wall hole": 0.0,
}  # fmt: skip
PER_DUCT = {"soft sleeve": 2}  # at fan and inner shell; one of all else


@dataclass(frozen=True)
class System:
    """One duct of a pair: clear `diameter` and `length` [m], how many `boxes`, air `flow` [m3/s]; `lining`
    [m] of the duct; `fan`: whether one drives it; how many `pairs`."""

    diameter: float
    length: float
    boxes: int
    flow: float
    lining: float = LINING
    fan: bool = True
    pairs: int = 1

    @property
    def count(self) -> int:
        """How many ducts."""
        return WAYS * self.pairs

    @property
    def plain(self) -> System:
        """The same as holes without lining and boxes."""
        return replace(self, boxes=0, lining=0.0)

    @property
    def area(self) -> float:
        """Clear area [m2]."""
        return float(np.pi * self.diameter**2 / 4)

    @property
    def velocity(self) -> float:
        """Of the air [m/s]."""
        return self.flow / self.area

    @property
    def box(self) -> tuple[float, float, float]:
        """Inside of a box [m], to the centimetre."""
        long, wide, high = (round(x * self.diameter, 2) for x in BOX_SHAPE)
        return long, wide, high

    @property
    def volume(self) -> float:
        """Space [m3] all of them take, boxes and ducts with their linings."""
        boxes = np.prod([edge + 2 * (LINING + BOARD) for edge in self.box]) * self.boxes
        return float(self.count * (boxes + self.length * np.pi * (self.diameter / 2 + self.lining) ** 2))

    @property
    def vent(self) -> Vent:
        """All of them as a vent of a side."""
        box = Box(self.box, self.boxes, LINING) if self.boxes else None
        edge = self.area**0.5
        return Vent(
            "ducts for fresh air", self.area, (edge, edge), self.length, self.lining, box,
            count=self.count, round=True,
        )  # fmt: skip

    def tau_area(self, *, shells: int = 1) -> Array:
        """tau S [m2] (27,) of all of them through one shell, or through two with half of it on each: what
        goes by the walls of duct and box then has to pass both."""
        if shells == 1:
            return leakage.vent(self.vent)
        inside = min(self.boxes, 1)
        outer, inner = (
            replace(self.vent, length=self.length / 2, box=box and replace(box, count=boxes))
            for box, boxes in ((self.vent.box, self.boxes - inside), (self.vent.box, inside))
        )
        return inner_shell.through_both(outer, inner)

    @property
    def bill(self) -> tuple[Need, ...]:
        """What all of them are made of, net of waste; a duct's price goes by its clear diameter."""
        many, tube = self.count, math.pi * self.length
        steel = STEEL * tube * (2.0 * self.diameter + 2.0 * self.lining)
        lining = WOOL * tube * (self.diameter + self.lining) * self.lining
        name = f"lined duct, {1e3 * self.diameter:.0f} mm clear"
        run = Need("lined duct", name, many * self.length, "m", many * (steel + lining), self.diameter, "air")
        boxes: list[Need] = []
        if self.boxes:
            around = [edge + 2.0 * LINING + BOARD for edge in self.box]
            area = many * self.boxes * 2.0 * sum(around[i] * around[i - 1] for i in range(3))
            board, sheets = material("MDF"), round(BOARD / SHEET)
            mass = area * BOARD * board.density.typical
            boxes += [
                Need("MDF", f"{1e3 * SHEET:.0f} mm MDF, the boxes", sheets * area, "m2", mass, SHEET, "air"),
                Need("wool", f"{1e3 * LINING:.0f} mm lining of the boxes", area, "m2", WOOL * LINING * area,
                     LINING, "air"),
            ]  # fmt: skip
        pieces = [
            Need(item, item, many * (each := PER_DUCT.get(item, 1)), "piece", many * each * mass, part="air")
            for item, mass in PIECES.items()
        ]
        return (run, *boxes, *pieces)

    @property
    def attenuation_db(self) -> Array:
        """Of lining and boxes in octaves (8,) [dB]."""
        thirds = leakage.attenuation(self.vent)
        return np.mean(thirds[3:].reshape(8, 3), axis=1)

    @property
    def pressure(self) -> float:
        """Pressure [Pa] the air takes, a clean filter in it."""
        losses = air_noise.LOSSES
        total = losses["cowl"] + losses["grille"] + BENDS * losses["bend"] + self.boxes * losses["box"]
        total += float(air_noise.friction(length=self.length, diameter=self.diameter))
        return total * float(air_noise.dynamic_pressure(self.velocity)) + air_noise.FILTER

    def sources_db(self, absorption: Array) -> dict[str, Array]:
        """Levels (8,) [dB] in a room of this absorption area (8,) [m2] of all ducts' parts."""
        end = ducts.end_reflection(air_noise.OCTAVES, area=self.area)
        open_end = air_noise.LOSSES["grille"]
        grille = air_noise.grille(velocity=self.velocity, area=self.area, resistance=open_end)
        flow = air_noise.straight(velocity=self.velocity, area=self.area)
        bend = air_noise.bend(velocity=self.velocity, diameter=self.diameter)
        last = ducts.lined_round(
            air_noise.OCTAVES, diameter=self.diameter, thickness=self.lining, length=self.length / 2
        )
        found = {"grille": grille, "duct": flow - end, "bend": bend - last - end}
        if self.fan:
            whole = air_noise.fan(flow=self.flow, pressure=self.pressure)
            found["fan"] = whole - self.attenuation_db - end
        more = 10 * np.log10(self.count)
        return {
            name: air_noise.in_room(power, absorption_area=absorption) + more for name, power in found.items()
        }


@dataclass(frozen=True)
class Judged:
    """A system in a room: its own noise (8,) [dB] by part; `over_db`: how far all of it is above what is
    wanted in the worst octave (below 0: quiet enough); `place`: where it goes; `slow`: its air is no faster
    than handbooks allow."""

    system: System
    parts_db: dict[str, Array]
    over_db: float
    place: Place
    slow: bool

    @property
    def side(self) -> str:
        """The name of the side it goes through."""
        return self.place.through.side.name

    @cached_property
    def through(self) -> dict[str, tuple[float, float, bool]]:
        """Every sound that may take it, by name, with its level [dBA] without and with it, and whether it is
        heard then."""
        return self.place.let_through(self.system)

    @property
    def more_db(self) -> float:
        """How much louder it makes what it does most to of all that is heard."""
        return max((now - was for was, now, heard in self.through.values() if heard), default=0.0)

    @property
    def level_db(self) -> Array:
        """Noise of the air (8,) [dB] in the room."""
        return np.asarray(10 * np.log10(sum(10 ** (part / 10) for part in self.parts_db.values())))

    @property
    def dba(self) -> float:
        """The same, A-weighted."""
        return float(air_noise.dba(self.level_db))

    @property
    def loudest(self) -> str:
        """The part that is loudest to the ear."""
        return max(self.parts_db, key=lambda name: float(air_noise.dba(self.parts_db[name])))

    @property
    def quiet(self) -> bool:
        """Whether it makes less noise than it may."""
        return self.slow and self.over_db <= 0.0

    @property
    def tight(self) -> bool:
        """Whether it lets in no more than it may."""
        return self.more_db <= MORE_DB

    @property
    def badness(self) -> float:
        """How far it is from that, for an order [dB]."""
        return max(self.over_db, 0.0) + max(self.more_db - MORE_DB, 0.0) + (0.0 if self.slow else 20.0)

    @property
    def good(self) -> bool:
        """Whether it may be built."""
        return self.quiet and self.system.pressure <= MOST_PRESSURE and self.tight  # what is soon said first

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        one = self.system
        return {
            "through": self.side, "ducts": one.count,
            "diameter_mm": round(1e3 * one.diameter), "length_m": one.length, "boxes": one.boxes,
            "box_inside_m": one.box if one.boxes else None, "lining_mm": round(1e3 * one.lining),
            "velocity_m_s": one.velocity, "pressure_pa": one.pressure, "space_m3": one.volume,
            "noise_dba": self.dba, "noise_db": self.level_db, "loudest": self.loudest,
            "parts_dba": {name: float(air_noise.dba(part)) for name, part in self.parts_db.items()},
            "over_target_db": self.over_db, "louder_db": self.more_db, "good": self.good,
            "lets_through": [
                {"name": name, "without_dba": was, "with_dba": now, "heard": heard}
                for name, (was, now, heard) in self.through.items()
            ],
        }  # fmt: skip


@dataclass(frozen=True)
class Place:
    """Where ducts go: a room whose side `through` is `closed` to air and of so many `shells`, and what is
    wanted of the air itself: octaves (8,) [dB], and the velocity [m/s] that handbooks allow."""

    closed: Scenario
    through: BuiltSide
    target_db: Array
    fastest: float
    shells: int

    def judge(self, system: System) -> Judged:
        """A system held against that."""
        absorption = np.mean(self.closed.envelope.absorption[3:].reshape(8, 3), axis=1)
        parts = system.sources_db(absorption)
        level = 10 * np.log10(sum(10 ** (part / 10) for part in parts.values()))
        over = float(np.max(level - (self.target_db - BELOW_DB)))
        return Judged(system, parts, over, self, system.velocity <= self.fastest)

    def let_through(self, system: System) -> dict[str, tuple[float, float, bool]]:
        """What a system lets in from whatever the side faces, and out to it, as `Judged.through`."""
        envelope, side = self.closed.envelope, self.through.side
        spread = np.full(envelope.absorption.shape, VENT_DB)
        tau = system.tau_area(shells=self.shells)
        duct = Element(f"{side.name}: {system.vent.name}", side.name, "vent", tau, spread)
        aired = envelope.replaced(replace(self.through, elements=(*self.through.elements, duct)))
        return {
            one.name: (self.closed.sound(one.name).dba, one.dba, one.is_heard)
            for one in scenario.of(self._reached, aired).sounds
            if any(element.side == side.name and element.kind == "vent" for element in one.elements)
        }

    @cached_property
    def _reached(self) -> Room:
        """The room with those noises and neighbours alone that the side is between."""
        room, side = self.closed.room, self.through.side
        noises = tuple(one for one in room.noises if side.faces in one.reaches)
        return replace(
            room, noises=noises, neighbours=tuple(one for one in room.neighbours if side.name in one.through)
        )

    def smallest(self, people: float) -> tuple[Judged | None, tuple[Judged, ...]]:
        """The smallest system that is good for so many, and the last ones before it that are not; where none
        is good, the best of them first."""
        failed: list[Judged] = []
        for one in systems(air_flow.needed(people), fastest=self.fastest):
            found = self.judge(one)
            if found.good:
                return found, tuple(failed[-SHOWN:])
            failed.append(found)
        return None, tuple(sorted(failed, key=lambda one: one.badness)[:SHOWN])


def place(closed: Scenario, side: str, *, shells: int = 1) -> Place:
    """The place of ducts through a side of a room, closed to air, against the background wanted in it."""
    background_db = levels.of_background(closed.room.background)
    through = next(one for one in closed.envelope.sides if one.side.name == side)
    fastest = next((v for nc, v in FASTEST if criteria.nc(background_db) <= nc), FASTEST[-1][1])
    return Place(closed, through, octave_levels(background_db)[1:], fastest, shells)


def systems(flow: float, *, fastest: float = FASTEST[0][1]) -> Iterator[System]:
    """All that may be tried for a flow [m3/s], the smallest first; as many pairs as keep the widest slow."""
    pairs = max(math.ceil(flow / fastest / (math.pi * DIAMETERS[-1] ** 2 / 4) - 1e-9), 1)
    found = (System(d, n, b, flow / pairs, pairs=pairs) for d in DIAMETERS for n in LENGTHS for b in BOXES)
    return iter(sorted(found, key=lambda one: one.volume))
