"""Other ways to play: at other hours, softer, on a platform, on pads, in headphones; no building.

Each way takes something off what goes through the air and off what goes into the floor, so that what a
neighbour receives of it (`played`) is a sound like any other. Levels of pads, mesh heads and electronic kits
are common practice from memory; mounts follow from their natural frequency (`physics.impact`), at most 25 dB,
since stands, cables and walls touch.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import THIRD_OCTAVES as F
from isolate.bands import Array
from isolate.describe import impacts, noises
from isolate.describe.hours import DAY, Hours
from isolate.describe.noises import Level
from isolate.describe.rooms import Own, Room
from isolate.physics import impact
from isolate.room import impact as floors
from isolate.room import levels, limits, when
from isolate.room.received import Received
from isolate.room.scenario import Scenario
from isolate.standards.weighting import dba

MOST_DB = 25.0  # of mounts
MOST_HOURS = 2  # told of each sound
SOFTER_DB = 10.0  # half as loud to the ear
HEADPHONES_DB = 60.0
UNDER_A_KIT = "platform on inner tubes"  # what an electronic kit is put on: soft, and no springs to buy
FREE_STANDING = "no wall or pipe may touch it"
WITHIN = 10 ** (np.linspace(-7, 7, 15) / 150)  # of a third octave's middle, evenly over its width
DRUMS, SPEAKERS = ("kick pedal",), ("loudspeaker", "subwoofer")
MESH = "mesh heads and quiet cymbals"  # of a kit that keeps its bass drum
PADS = "electronic drums"  # the noise of the catalogue that sticks on pads and rubber make; no kit is quieter
# Level of the whole kit then [dBA], and what the pedal puts less into the floor [dB].
KITS = (
    (MESH, 80.0, 3.0),
    ("rubber practice pads", 70.0, 3.0),
    ("electronic kit", 60.0, 3.0),
)


@dataclass(frozen=True, eq=False)
class Way:
    """One way to play a `sound`: `air_db` and `floor_db` (27,) it takes off both; `mount_db` (27,) more off
    the floor, of what stands under it, which adds nothing where the floor floats already; the `mass` [kg] it
    adds; `items` that are bought; `needs` in words; `place`: what joins its name and the sound's; `hours`: it
    is played as it is, but only then."""

    sound: str
    name: str
    air_db: Array
    floor_db: Array
    mount_db: Array
    mass: float = 0.0
    items: tuple[str, ...] = ()
    needs: str = ""
    place: str = "for the"
    hours: Hours | None = None

    @property
    def whole(self) -> str:
        """Its name with that of the sound."""
        joined = f"{self.name}{',' if ',' in self.name else ''} {self.place} {self.sound}"
        return joined if self.place else f"{self.sound} {self.name}"

    @property
    def builds(self) -> bool:
        """Whether something is made that stands under it."""
        return bool(np.any(self.mount_db))

    @property
    def only_floor(self) -> bool:
        """Whether it takes something off the floor, and nothing off the air."""
        return self.builds and not self.air_db.any()

    @property
    def asks(self) -> int:
        """What it asks of the player: of ways of one price that do as well the one that asks least is taken.
        Nothing (0: something stands under it), to play by day as ever (1), on something else (2), softer,
        which changes the music (3), to play as ever, but only at night (4)."""
        if self.hours is not None:
            return 1 if self.hours.shared(DAY) > 0.0 else 4
        if not self.air_db.any():
            return 0
        return 2 if self.items else 3

    def is_of(self, sound: Received) -> bool:
        """Whether it is a way to play this sound; what comes in may be called the same."""
        return sound.neighbour is not None and sound.what == self.sound

    def into_floor(self, *, floats: bool = False) -> Array:
        """What it takes off the floor (27,) [dB]."""
        return self.floor_db if floats else self.floor_db + self.mount_db

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        told = str(self.hours) if self.hours else None
        return {"name": self.name, "mass_kg": self.mass, "needs": self.needs, "hours": told}


def _flat(value: float) -> Array:
    return np.full(F.shape, value)


def mount_db(
    *, resonance_hz: float, mass: float, floor_mobility: Array, loss: float = impacts.USUAL_LOSS
) -> Array:
    """What a mount takes off (27,) [dB], by the energy of each third octave, against the same mass put down
    rigidly; less than nothing about its natural frequency."""
    f = F[:, None] * WITHIN
    source = impact.mass_mobility(f, mass=mass)
    stiffness = impact.stiffness_for(mass=mass, resonance_hz=resonance_hz)
    mount = impact.spring_mobility(f, stiffness=stiffness, loss=loss)
    with_it, without = (impact.passed(source, x, floor_mobility[:, None]).mean(1) for x in (mount, 0.0))
    return np.asarray(np.minimum(-10 * np.log10(with_it / without), MOST_DB))


def in_room(own: Own, room: Room) -> tuple[Way, ...]:
    """Ways for one sound on what this room stands on."""
    standing = floors.stood_on(room.sides, room.underfoot)
    return tuple(ways(own, None if standing is None else floors.struck(standing).mobility))


def later(heard: Sequence[Received]) -> Iterator[Way]:
    """The hours in which neighbours ask less of a sound than in those it is played in, the best first."""
    for hours in when.easier(heard)[:MOST_HOURS]:
        none = _flat(0.0)
        yield Way(heard[0].what, f"only from {hours}", none, none, none, place="", hours=hours)


def at_hours(sound: Received, hours: Hours) -> Received:
    """An own sound as a neighbour receives it, played in these hours: over their background, with their
    limits."""
    background = levels.of_background(when.background(sound.to, hours))
    kept = tuple(
        limits.against(one, level_db=sound.level_db, background_db=background)
        for one in when.limits_in(sound.to, hours)
    )
    own = replace(sound.own, hours=hours)
    return replace(sound, source=own, background_db=background, limits=kept, drawn=None)


def ways(own: Own, floor_mobility: Array | None) -> Iterator[Way]:
    """Ways for one sound, those that cost nothing first; floor_mobility (27,): of what it stands on."""
    names, none = {one.name for one in own.floor}, _flat(0.0)
    softer = _flat(SOFTER_DB)
    yield Way(own.name, "half as loud", softer, softer, none, place="")
    quieter = names & set(DRUMS) and own.spectrum.name != PADS
    if quieter:
        for what, level, pedal in KITS:
            yield Way(
                own.name, what, _kit(own, what, level), _flat(pedal), none, items=(what,),
                needs="headphones for the drummer" if level == KITS[-1][1] else "", place="in place of the",
            )  # fmt: skip
    if names & set(SPEAKERS):
        silent = _flat(HEADPHONES_DB)
        yield Way(own.name, "headphones", silent, silent, none, items=("headphones",))
    under = [one for one in impacts.mounts() if names & set(one.under)] if floor_mobility is not None else []
    for one in under:
        assert floor_mobility is not None
        f0, rests = one.resonance_of(own.mass), one.load if own.mass is None else own.mass + one.mass
        mount = mount_db(resonance_hz=f0, mass=rests, floor_mobility=floor_mobility, loss=one.loss)
        name = f"{one.name}, {f0:.0f} Hz"
        yield Way(own.name, name, none, none, mount, one.mass, (one.name,), FREE_STANDING)
        if one.name == UNDER_A_KIT and quieter:
            kit, level, pedal = KITS[-1]
            yield Way(
                own.name, f"{kit} on {name}", _kit(own, kit, level), _flat(pedal), mount,
                one.mass, (kit, one.name), f"headphones for the drummer; {FREE_STANDING}", "in place of the",
            )  # fmt: skip


def _kit(own: Own, what: str, level: float) -> Array:
    """What another kit of this level [dBA] takes off the air (27,) [dB]: pads click, without a bass drum."""
    made = levels.made_inside(own)
    if what == MESH:
        return _flat(max(float(dba(made)) - level, 0.0))
    return np.maximum(made - levels.shifted(noises.load(PADS), Level(level)), 0.0)


def played(sound: Received, way: Way, *, floats: bool = False) -> Received:
    """An own sound as a neighbour receives it, played in another way; `floats`: the floor does already."""
    if way.hours is not None:
        return at_hours(sound, way.hours)
    by_floor = np.array([one.kind == floors.STRUCTURE for one in sound.elements])
    less = np.where(by_floor[:, None], way.into_floor(floats=floats), way.air_db)
    each = sound.part * 10.0 ** (-less / 10.0)
    whole = each.sum(0)
    shift = 10.0 * np.log10(whole)
    elements = tuple(
        replace(one, tau_area=one.tau_area * 10.0 ** ((way.air_db - off) / 10.0))
        for one, off in zip(sound.elements, less, strict=True)
    )
    level = sound.level_db + shift
    kept = tuple(
        limits.against(one.limit, level_db=level, background_db=sound.background_db) for one in sound.limits
    )
    return replace(
        sound, made_db=sound.made_db - way.air_db, elements=elements, level_db=level, part=each / whole,
        limits=kept, drawn=None,
    )  # fmt: skip


def scenario_of(then: Scenario, chosen: Sequence[Way]) -> Scenario:
    """A scenario with sounds played in other ways."""
    floats = bool(np.any(then.envelope.floor_gain_db))

    def heard(sound: Received) -> Received:
        for way in chosen:
            sound = played(sound, way, floats=floats) if way.is_of(sound) else sound
        return sound

    neighbours = tuple(replace(to, heard=tuple(map(heard, to.heard))) for to in then.neighbours)
    return replace(then, neighbours=neighbours)
