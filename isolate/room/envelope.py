"""The envelope of a room: its sides and what flanks them, and how a noise outside is received inside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe.rooms import Noise, Room, Side
from isolate.physics import buildings, facade, flanking_rooms, floors, reverberation
from isolate.physics.flanking_rooms import FlankingFound, Walls
from isolate.room import impact, levels
from isolate.room.elements import BuiltSide, Element, Finder
from isolate.room.received import Received, received

UNDRAWN = "small paths on no drawing"


@dataclass(frozen=True)
class Envelope:
    """The sides of a room with its absorption area [m2] and background [dB], both (27,).

    The room has a `volume` [m3] and rings for `reverberation` [s] (27,); `floor_gain_db` (27,) is what stands
    under its instruments takes off what they put into the floor; `underfoot` is that floor, where no side
    tells it. `next_door`: the words that name rooms of
    the building; `flanking` by the word of the room it comes from; `linings` [dB] (27,) put on flanking
    elements, by name; `walls` under or over a floor, by its word.
    """

    sides: tuple[BuiltSide, ...]
    absorption: Array
    background_db: Array
    reverberation: Array
    volume: float
    floor_gain_db: Array | float = 0.0
    underfoot: Side | None = None
    next_door: frozenset[str] = frozenset()
    flanking: Mapping[str, FlankingFound] = field(default_factory=dict)
    linings: Mapping[str, Array] = field(default_factory=dict)
    walls: Mapping[str, Walls] = field(default_factory=dict)
    finder: Finder = field(default_factory=Finder, compare=False)

    @property
    def stands_on(self) -> Side | None:
        """What people and instruments stand on."""
        return impact.stood_on([one.side for one in self.sides], self.underfoot)

    @property
    def described(self) -> tuple[Side, ...]:
        """Every side, and what is underfoot."""
        return (*(one.side for one in self.sides), *([self.underfoot] if self.underfoot else []))

    def named(self, name: str) -> Side | None:
        """The one of `described` with this name; None where there is none."""
        return next((one for one in self.described if one.name == name), None)

    def replaced(self, new: BuiltSide) -> Envelope:
        """The envelope with the side of this name replaced."""
        sides = tuple(new if old.side.name == new.side.name else old for old in self.sides)
        return replace(self, sides=sides)

    def find(self, side: Side) -> BuiltSide:
        """What a side would let through in this envelope."""
        return self.finder.side(side, flanked=side.faces in self.flanking)

    def facing(self, word: str) -> tuple[BuiltSide, ...]:
        """The sides that face this word."""
        return tuple(found for found in self.sides if found.side.faces == word)

    def round_about(self, word: str) -> tuple[Element, ...]:
        """Elements round what separates the room this word names: one for each that flanks, and what goes
        round in any building."""
        return (*self._flanking(word), *self._undrawn(word))

    def _undrawn(self, word: str) -> tuple[Element, ...]:
        """What goes round a partition between rooms however good it is; no plan and no file names it."""
        area = sum(found.side.area for found in self.facing(word))
        if word not in self.next_door or not area:
            return ()
        tau_area = area * buildings.in_a_building(np.zeros(N_BANDS))
        spread = np.full(N_BANDS, buildings.SPREAD_DB)
        return (Element(f"flanking: {UNDRAWN}", f"flanking ({word})", "flanking", tau_area, spread),)

    def _flanking(self, word: str) -> tuple[Element, ...]:
        if word not in self.flanking:
            return ()
        wall = flanking_rooms.largest([found.side for found in self.facing(word)])
        return self.finder.flanking(word, self.flanking[word], wall.construction, self.linings)

    def elements(self, word: str) -> tuple[Element, ...]:
        """Every element towards this word: through the sides that face it, and round about."""
        direct = [one for found in self.facing(word) for one in found.elements]
        return (*direct, *self.round_about(word))

    def composite(self, word: str) -> Array:
        """Transmission loss [dB] (27,) of all that faces this word, re the area of the sides."""
        area = sum(found.side.area for found in self.facing(word))
        return -10.0 * np.log10(sum(one.tau_area for one in self.elements(word)) / area)

    def hear(self, noise: Noise) -> Received:
        """How a noise is received inside."""
        if noise.impact is not None:
            return self._footsteps(noise)
        exposures = {one.side.name: one.exposure_db for one in self.sides if not noise.indoors}
        elements, exposure = [], []
        for word, weaker in noise.reaches.items():
            for one in self.elements(word):
                elements.append(one)
                exposure.append(exposures.get(one.side, 0.0) - weaker)
        return received(
            noise,
            levels.at_facade(noise),
            elements,
            transfer_db=facade.FIELD_DB[levels.field(noise)] - 10.0 * np.log10(self.absorption),
            background_db=self.background_db,
            exposure_db=exposure,
        )

    def _footsteps(self, noise: Noise) -> Received:
        """The loudest moment of each step; what stands as outside is what a bare slab would let through."""
        sides = self.facing(noise.faces)
        under, steps = self.steps(noise, [found.side for found in sides])
        behind = [self._behind(one, sides) for one in steps]
        return received(noise, under, behind, transfer_db=0.0, background_db=self.background_db)

    def steps(self, noise: Noise, sides: Sequence[Side]) -> tuple[Array, tuple[Element, ...]]:
        """Footsteps through these sides, nothing hung up beside what they say; see `impact.footsteps`."""
        return impact.footsteps(
            noise,
            sides,
            absorption=self.absorption,
            time=self.reverberation,
            volume=self.volume,
            walls=self.walls.get(noise.faces, impact.NO_WALLS),
        )

    def _behind(self, one: Element, sides: Sequence[BuiltSide]) -> Element:
        """Footsteps behind what an inner shell hangs under the ceiling: it takes what it takes of sound in
        the air; nothing where the side is as described."""
        found = next(side for side in sides if side.side.name == one.side)
        alone = self.find(found.side)
        less = np.maximum(found.tau_area / alone.tau_area, 10.0 ** (-floors.MOST_HUNG_DB / 10.0))
        return replace(one, tau_area=one.tau_area * less)


def words_of_rooms(room: Room) -> set[str]:
    """The words that name a room next door, not the outdoors: a noise in there or a neighbour says so."""
    faces = {side.name: side.faces for side in room.sides}
    indoors = {word for noise in room.noises if noise.indoors for word in noise.reaches}
    next_door = {
        faces[name]
        for one in room.neighbours
        if one.distance is None
        for name in one.through
        if name in faces
    }
    outdoors = {word for noise in room.noises if not noise.indoors for word in noise.reaches}
    return (indoors | next_door) - outdoors


def _house(room: Room) -> dict[str, FlankingFound]:
    found = {}
    rooms = words_of_rooms(room)
    for word in dict.fromkeys(side.faces for side in room.sides):
        sides = [side for side in room.sides if side.faces == word]
        flanks = [flank for flank in room.flanks if flank.faces == word]
        house = room.flanking.get(word, room.flanking.get("") if word in rooms else None)
        if flanks and flanking_rooms.largest(sides).construction.layers:
            found[word] = flanking_rooms.of_flanks(flanks, sides=sides)
        elif house is not None and (usual := flanking_rooms.of_house(house, sides=sides)) is not None:
            found[word] = usual
    return found


def _walls(room: Room, word: str) -> Walls:
    flanks = [flank for flank in room.flanks if flank.faces == word]
    own = [side.construction for side in room.sides if side.construction.kind == "wall"]
    sides = [side for side in room.sides if side.faces == word]
    house = room.flanking.get(word, room.flanking.get(""))
    return flanking_rooms.walls(flanks, house, sides=sides, own=own)


def absorption(
    size: Sequence[float], *, furnishing: str, reverberation_time: Array | None
) -> tuple[Array, Array]:
    """Absorption area [m2] and reverberation time [s], both (27,), of a room `size` [m]."""
    length, width, height = size
    time = reverberation_time
    if time is None:
        time = reverberation.of_furnishing(furnishing, size=(length, width, height))
    return facade.absorption_area(volume=length * width * height, reverberation_time=time), time


def of_described(room: Room) -> Array:
    """Absorption area [m2] (27,) of a room as it is described."""
    time = room.reverberation_time
    return absorption(room.size, furnishing=room.furnishing, reverberation_time=time)[0]


def of_room(room: Room, finder: Finder | None = None) -> Envelope:
    """The envelope of a described room; `finder` gives the physics its material values."""
    finder = finder or Finder()
    area, time = absorption(room.size, furnishing=room.furnishing, reverberation_time=room.reverberation_time)
    flanking = _house(room)
    return Envelope(
        sides=tuple(finder.side(side, flanked=side.faces in flanking) for side in room.sides),
        absorption=area,
        background_db=levels.of_background(room.background),
        reverberation=time,
        volume=room.volume,
        underfoot=room.underfoot,
        next_door=frozenset(words_of_rooms(room)),
        flanking=flanking,
        walls={word: _walls(room, word) for word in dict.fromkeys(one.faces for one in room.sides)},
        finder=finder,
    )
