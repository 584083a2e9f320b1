"""A duct system for fresh air: what it lets through, the noise it makes, the fan it needs; the smallest one.

Two ducts alike, one that brings air and one that takes it out, each a round lined duct with lined boxes, two
gentle bends, a cowl outdoors, a filter, a fan beyond the silencers and an open grille. Sizes are common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import Array, octave_levels
from isolate.describe.rooms import Box, Noise, Side, Vent
from isolate.physics import air_noise, ducts, leakage
from isolate.room.elements import VENT_DB, BuiltSide, Element
from isolate.room.envelope import Envelope
from isolate.standards import criteria

DIAMETERS = (0.1, 0.125, 0.16, 0.2, 0.25, 0.315)  # m, as ducts are sold
LENGTHS = (1.0, 2.0, 3.0)
BOXES = (0, 1, 2)
LINING, BENDS, WAYS = 0.05, 2, 2
BOX_SHAPE = (4.67, 2.67, 2.0)  # inside of a box in diameters: 0.7 x 0.4 x 0.3 m for 150 mm
BOARD = 0.036  # m round a box: two boards of 18 mm, or what goes through its walls decides
BELOW_DB = 3.0  # how far its noise stays under the background wanted
MORE_DB = 1.0  # how much louder it may make what comes in from outdoors
# Velocities [m/s] in lined ducts and free grilles for NC up to 20, 25, 30 and 35 (checklists of a textbook of
# architectural acoustics, read).
FASTEST = ((20.5, 1.5), (25.5, 1.8), (30.5, 2.2), (99.0, 2.5))
MOST_PRESSURE = 60.0  # Pa a small fan has that is slowed to be quiet


@dataclass(frozen=True)
class System:
    """One duct of a pair: clear `diameter` and `length` [m], how many `boxes`, air `flow` [m3/s]; `lining`
    [m] of the duct; `damper`: one behind its grille; `fan`: whether one drives it."""

    diameter: float
    length: float
    boxes: int
    flow: float
    lining: float = LINING
    damper: bool = False
    fan: bool = True

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
        """Space [m3] the pair takes, boxes and duct with their linings."""
        boxes = np.prod([edge + 2 * (LINING + BOARD) for edge in self.box]) * self.boxes
        return float(WAYS * (boxes + self.length * np.pi * (self.diameter / 2 + self.lining) ** 2))

    @property
    def vent(self) -> Vent:
        """The pair as a vent of a side."""
        box = Box(self.box, self.boxes, LINING) if self.boxes else None
        edge = self.area**0.5
        return Vent(
            "ducts for fresh air", self.area, (edge, edge), self.length, self.lining, box,
            count=WAYS, round=True,
        )  # fmt: skip

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
        """Levels (8,) [dB] in a room of this absorption area (8,) [m2] of both ducts' parts."""
        end = ducts.end_reflection(air_noise.OCTAVES, area=self.area)
        grille = air_noise.grille(
            velocity=self.velocity, area=self.area, resistance=air_noise.LOSSES["grille"], damper=self.damper
        )
        flow = air_noise.straight(velocity=self.velocity, area=self.area)
        bend = air_noise.bend(velocity=self.velocity, diameter=self.diameter)
        last = ducts.lined_round(
            air_noise.OCTAVES, diameter=self.diameter, thickness=self.lining, length=self.length / 2
        )
        found = {"grille": grille, "duct": flow - end, "bend": bend - last - end}
        if self.fan:
            whole = air_noise.fan(flow=self.flow, pressure=self.pressure)
            found["fan"] = whole - self.attenuation_db - end
        more = 10 * np.log10(WAYS)
        return {
            name: air_noise.in_room(power, absorption_area=absorption) + more for name, power in found.items()
        }


@dataclass(frozen=True)
class Judged:
    """A system in a room: its own noise (8,) [dB] by part; `over_db`: how far all of it is above what is
    wanted in the worst octave (below 0: quiet enough); `more_db`: how much louder it makes the noise from
    outdoors that it does most to; `slow`: its air is no faster than handbooks allow."""

    system: System
    parts_db: dict[str, Array]
    over_db: float
    more_db: float
    slow: bool

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
    def good(self) -> bool:
        """Whether it may be built."""
        return self.quiet and self.tight and self.system.pressure <= MOST_PRESSURE

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        one = self.system
        return {
            "diameter_mm": round(1e3 * one.diameter), "length_m": one.length, "boxes": one.boxes,
            "box_inside_m": one.box if one.boxes else None, "lining_mm": round(1e3 * one.lining),
            "velocity_m_s": one.velocity, "pressure_pa": one.pressure, "space_m3": one.volume,
            "noise_dba": self.dba, "noise_db": self.level_db, "loudest": self.loudest,
            "parts_dba": {name: float(air_noise.dba(part)) for name, part in self.parts_db.items()},
            "over_target_db": self.over_db, "lets_in_more_db": self.more_db, "good": self.good,
        }  # fmt: skip


@dataclass(frozen=True)
class Place:
    """Where ducts go: a room whose side `through` has no vents any more, the noises from outdoors that reach
    it with their levels inside then [dBA], and what is wanted of the air itself: octaves (8,) [dB], and the
    velocity [m/s] that handbooks allow."""

    envelope: Envelope
    through: BuiltSide
    noises: tuple[Noise, ...]
    closed_dba: tuple[float, ...]
    target_db: Array
    fastest: float

    def judge(self, system: System) -> Judged:
        """A system held against that."""
        absorption = np.mean(self.envelope.absorption[3:].reshape(8, 3), axis=1)
        parts = system.sources_db(absorption)
        level = 10 * np.log10(sum(10 ** (part / 10) for part in parts.values()))
        over = float(np.max(level - (self.target_db - BELOW_DB)))
        vent = system.vent
        spread = np.full(self.envelope.absorption.shape, VENT_DB)
        name = self.through.side.name
        duct = Element(f"{name}: {vent.name}", name, "vent", leakage.vent(vent), spread)
        aired = self.envelope.replaced(replace(self.through, elements=(*self.through.elements, duct)))
        inside = [aired.hear(noise).dba for noise in self.noises]
        more = [now - then for now, then in zip(inside, self.closed_dba, strict=True)]
        slow = system.velocity <= self.fastest
        return Judged(system, parts, over, max(more, default=0.0), slow)


def place(envelope: Envelope, side: Side, noises: tuple[Noise, ...], background_db: Array) -> Place:
    """The place of ducts through a side, instead of its vents; background_db (27,): what is wanted."""
    closed = envelope.find(replace(side, vents=()))
    shut = envelope.replaced(closed)
    fastest = next((v for nc, v in FASTEST if criteria.nc(background_db) <= nc), FASTEST[-1][1])
    levels = tuple(shut.hear(noise).dba for noise in noises)
    return Place(shut, closed, noises, levels, octave_levels(background_db)[1:], fastest)


def systems(flow: float, *, damper: bool = False) -> Iterator[System]:
    """All that may be tried for a flow [m3/s], the smallest first."""
    found = (System(d, n, b, flow, damper=damper) for d in DIAMETERS for n in LENGTHS for b in BOXES)
    return iter(sorted(found, key=lambda one: one.volume))
