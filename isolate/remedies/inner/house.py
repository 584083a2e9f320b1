"""How a house brings sound to the walls, floor and ceiling round a room: what a room within it stands in.

Towards rooms next door by the flanking that the file states or, where it states none, that of a usual house
guessed from the sides; towards the outdoors by what the structure round a heavy wall carries past it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import constructions, houses
from isolate.describe.constructions import Construction
from isolate.describe.houses import Flank, House, Plate
from isolate.describe.rooms import Room, Side
from isolate.physics import coupled, flanking_rooms, inner_shell
from isolate.physics import masonry as structure
from isolate.physics.coupled import Member
from isolate.physics.ducts import element_difference
from isolate.physics.flanking_rooms import FlankingFound
from isolate.remedies.inner.plan import masonry, roles
from isolate.room.envelope import Envelope, words_of_rooms

USUAL_FLOOR, USUAL_WALL = "concrete slab 150 mm", "brick wall 102 mm, plastered"
STRUCTURE_DB = 3.3  # half a 90 % range of what goes round a heavy wall, as for flanking of heavy elements


@dataclass(frozen=True)
class Arrival:
    """Sound on an element round the room: `element` "walls", "ceiling" or "floor", the `plate` that moves,
    the `base` it is, D_n,f [dB] (27,) of what it radiates bare, half a 90 % range of that [dB]."""

    name: str
    element: str
    ends: str
    plate: Member
    base: Construction
    difference_db: Array
    spread_db: Array


def guessed(room: Room) -> House:
    """The usual house that the sides of a room fit."""
    heavy = dict.fromkeys(("walls", "ceiling", "floor"), False)
    for side in room.sides:
        if roles(side) in heavy and masonry(side.construction):
            heavy[roles(side)] = True
    slabs = heavy["ceiling"] or (heavy["floor"] and not _known(room, "ceiling"))
    if heavy["walls"]:
        return houses.find("brick house, concrete floors" if slabs else "brick house, timber floors")
    return houses.find("concrete frame, light walls" if slabs else "timber house")


def _known(room: Room, role: str) -> bool:
    return any(roles(side) == role for side in room.sides)


def with_house(room: Room) -> tuple[Room, tuple[str, ...]]:
    """The room with a house guessed where the file states no flanking, and the words it was guessed for."""
    bare = tuple(
        word
        for word in sorted(words_of_rooms(room))
        if "" not in room.flanking
        and word not in room.flanking
        and not any(flank.faces == word for flank in room.flanks)
    )
    house = guessed(room)
    return replace(room, flanking={**room.flanking, **dict.fromkeys(bare, house)}), bare


def base_plates(room: Room) -> dict[str, Member]:
    """The room's own floor, ceiling and walls as members: the heaviest side of each, else usual ones."""
    length, width, height = room.size
    sizes = {
        "floor": (length, width),
        "ceiling": (length, width),
        "walls": (2.0 * (length + width), height),
    }
    usual = {"floor": USUAL_FLOOR, "ceiling": "timber floor above, one board", "walls": USUAL_WALL}
    base = room.inner.floor.base if room.inner else None
    found = {}
    for role, size in sizes.items():
        sides = [side for side in room.sides if roles(side) == role and side.construction.layers]
        built = constructions.load(usual[role])
        if sides:
            built = max(sides, key=lambda side: (masonry(side.construction), side.area)).construction
        if role == "floor" and base is not None:
            built = base
        found[role] = coupled.member(THIRD_OCTAVES, flanking_rooms.plate(built, role), size=size)
    return found


def arrivals(room: Room, now: Envelope, word: str) -> tuple[Arrival, ...]:
    """What the house brings from the room or outdoors that this word names."""
    if word in now.flanking:
        return tuple(_from_room(room, now.flanking[word], word))
    return tuple(_from_outdoors(room, now, word))


def _from_room(room: Room, found: FlankingFound, word: str) -> Iterator[Arrival]:
    """Every flanking path, three a flank, by the element it ends on here."""
    sides = [side for side in room.sides if side.faces == word]
    wall = flanking_rooms.largest(sides)
    described = [flank for flank in room.flanks if flank.faces == word]
    if described:
        flanks = [
            Flank(flanking_rooms.plate(one.construction, one.name), one.junction, one.length, one.area,
                  one.through, one.beyond)
            for one in described
        ]  # fmt: skip
        elements = [_level(one.construction.kind) for one in described]
        separating = flanking_rooms.plate(wall.construction, wall.name)
    else:
        house = room.flanking.get(word, room.flanking.get(""))
        above = flanking_rooms.direction(sides) == "above"
        around = None if house is None else house.above if above else house.beside
        if around is None:
            return
        flanks, separating = list(around.flanks), around.separating
        elements = _elements(flanks)
    area = wall.area
    spread = (found.down_db + found.up_db) / 2.0
    for flank, element, paths in zip(flanks, elements, _threes(found), strict=True):
        own = coupled.member(THIRD_OCTAVES, flank.plate, size=(flank.length, flank.area / flank.length))
        apart = coupled.member(THIRD_OCTAVES, separating, size=(flank.length, area / flank.length))
        for path in paths:
            plate, member, where = flank.plate, own, element
            if path.ends == "Fd":
                plate, member, where = separating, apart, roles(wall)
            where = where if where in ("walls", "ceiling", "floor") else "walls"
            base = inner_shell.base_of(plate, "wall" if where == "walls" else where)
            yield Arrival(path.name, where, path.ends, member, base, path.difference_db, spread)


def _threes(found: FlankingFound) -> Iterator[Sequence[flanking_rooms.flanking_defaults.FlankPath]]:
    for i in range(0, len(found.paths), 3):
        yield found.paths[i : i + 3]


def _level(kind: str) -> str:
    return {"floor": "floor", "ceiling": "ceiling", "roof": "ceiling"}.get(kind, "walls")


def _elements(flanks: Sequence[Flank]) -> list[str]:
    """Where the flanks of a usual house lie: of two slabs the first is the floor."""
    found: list[str] = []
    for flank in flanks:
        name = flank.plate.name
        level = "floor" if "floor" in name else "ceiling" if "ceiling" in name else "walls"
        if "slab" in name:
            level = "ceiling" if "floor" in found else "floor"
        found.append(level)
    return found


def _from_outdoors(room: Room, now: Envelope, word: str) -> Iterator[Arrival]:
    """What goes round the heavy sides that face a word: half of it by the walls, a quarter each by floor and
    ceiling, or by the walls where these are light (our judgement: by the edges it crosses)."""
    total: Array | float = 0.0
    heaviest: Side | None = None
    for found in now.facing(word):
        side = found.side
        if not (side.construction.layers and masonry(side.construction)):
            continue
        size = side.size or (side.area**0.5,) * 2
        tau = [
            10 ** (-now.finder.through(side.construction, size, flanked=flanked).tl_db / 10)
            for flanked in (False, True)
        ]
        total = total + np.maximum(tau[0] - tau[1], 1e-15) * side.area
        if heaviest is None or side.area > heaviest.area:
            heaviest = side
    if heaviest is None:
        return
    plates = base_plates(room)
    share = {"floor": 0.25, "ceiling": 0.25, "walls": 0.5}
    for role in ("floor", "ceiling"):
        if plates[role].light:
            share["walls"] += share.pop(role)
    own = {"walls": flanking_rooms.plate(heaviest.construction, "walls")}
    for role, part in share.items():
        plate = own.get(role) or _slab(plates[role])
        base = inner_shell.base_of(plate, "wall" if role == "walls" else role)
        difference = element_difference(np.asarray(total) * part, area=1.0)
        names = {"floor": "floor round it", "ceiling": "ceiling round it", "walls": "walls round it"}
        spread = np.full_like(difference, STRUCTURE_DB)
        yield Arrival(names[role], role, "Df", plates[role], base, difference, spread)


def _slab(plate: Member) -> Plate:
    """A heavy member as the plate of a house, of concrete."""
    mass = houses.Range(plate.mass, plate.mass, plate.mass)
    return Plate("slab", mass, mass, 2300.0, 3500.0, structure.NEIGHBOUR_LOSS, False)
