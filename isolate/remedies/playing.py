"""What changes for those below and beside without building: softer, on a platform, on pads, in headphones.

Each way takes something off what goes through the air and off what goes into the floor. Levels of pads and
mesh heads are common practice from memory; mounts follow from their natural frequency (`physics.impact`), at
most 25 dB, since stands, cables and walls touch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.bands import THIRD_OCTAVES as F
from isolate.bands import Array, energy_sum
from isolate.describe.rooms import Own, Room
from isolate.physics import impact
from isolate.room import impact as floors
from isolate.room import levels
from isolate.room.received import Received
from isolate.standards.weighting import dba

MOST_DB = 25.0  # of mounts
SOFTER_DB = 10.0  # half as loud to the ear
MOUNT_LOSS = 0.1
DRUMMER = 120.0  # kg of drummer, kit and platform
DRUMS, SPEAKERS = ("kick pedal",), ("loudspeaker", "subwoofer")
# Platforms: natural frequency [Hz] loaded and mass [kg]; from memory and estimates.
PLATFORMS = (
    ("platform on springs or tyres, 5 Hz", 5.0, DRUMMER),
    ("platform on foam blocks, 10 Hz", 10.0, DRUMMER),
    ("platform on tennis balls, 16 Hz", 16.0, DRUMMER),
    ("thick mat under it, 80 Hz", 80.0, 60.0),
)
# Level with pads or mesh heads, sticks only [dBA], and what the pedal then puts less into the floor [dB].
MESH_DBA, RUBBER_DBA, PAD_PEDAL_DB = 60.0, 70.0, 3.0


@dataclass(frozen=True)
class Way:
    """One way to play: `air_db` and `floor_db` (27,) it takes off both, the `mass` [kg] it puts on the floor,
    what it needs in words; `builds`: something has to be made."""

    name: str
    air_db: Array
    floor_db: Array
    mass: float = 0.0
    builds: bool = False
    needs: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"name": self.name, "mass_kg": self.mass, "needs": self.needs}


def _flat(value: float) -> Array:
    return np.full(F.shape, value)


def mount_db(*, resonance_hz: float, mass: float, floor_mobility: Array) -> Array:
    """What a mount takes off (27,) [dB] against the same mass put down rigidly; less than nothing about its
    natural frequency."""
    source = impact.mass_mobility(F, mass=mass)
    stiffness = impact.stiffness_for(mass=mass, resonance_hz=resonance_hz)
    mount = impact.spring_mobility(F, stiffness=stiffness, loss=MOUNT_LOSS)
    with_it = impact.passed(source, mount, floor_mobility)
    without = impact.passed(source, 0.0, floor_mobility)
    return np.minimum(-10 * np.log10(with_it / without), MOST_DB)


def in_room(own: Own, room: Room) -> tuple[Way, ...]:
    """Ways for one sound on what this room stands on."""
    standing = floors.stood_on(room)
    return tuple(ways(own, None if standing is None else floors.struck(*standing).mobility))


def played(sound: Received, way: Way) -> Array:
    """Level [dB] (27,) of an own sound at a neighbour, played in another way."""
    both = [sound.by(structure=False) - way.air_db, sound.by(structure=True) - way.floor_db]
    return energy_sum(np.array(both), axis=0)


def ways(own: Own, floor_mobility: Array | None) -> Iterator[Way]:
    """Ways for one sound, those that cost nothing first; floor_mobility (27,): of what it stands on."""
    yield Way("half as loud", _flat(SOFTER_DB), _flat(SOFTER_DB))
    names = {one.name for one in own.floor}
    made = float(dba(levels.made_inside(own)))
    if names & set(DRUMS):
        pads = (("electronic kit, mesh heads", MESH_DBA), ("rubber practice pads", RUBBER_DBA))
        for what, level in pads:
            yield Way(what, _flat(made - level), _flat(PAD_PEDAL_DB), needs="headphones for the drummer")
        if floor_mobility is not None:
            mounts = [(name, mount_db(resonance_hz=f0, mass=mass, floor_mobility=floor_mobility), mass)
                      for name, f0, mass in PLATFORMS]  # fmt: skip
            for name, gain, mass in mounts:
                yield Way(name, _flat(0.0), gain, mass, builds=True, needs="no wall or pipe may touch it")
            yield Way(
                f"electronic kit on {mounts[0][0]}",
                _flat(made - MESH_DBA), PAD_PEDAL_DB + mounts[0][1], DRUMMER, builds=True,
                needs="headphones for the drummer; no wall or pipe may touch it",
            )  # fmt: skip
    if names & set(SPEAKERS):
        yield Way("headphones", _flat(60.0), _flat(60.0))
        if floor_mobility is not None:
            soft = mount_db(resonance_hz=16.0, mass=20.0, floor_mobility=floor_mobility)
            yield Way("loudspeakers on pads, 16 Hz", _flat(0.0), soft)
