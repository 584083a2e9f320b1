"""The geometry of a room within a room: what each side of the room is to it, sizes, areas, lengths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from isolate.describe import words
from isolate.describe.constructions import Construction, from_above
from isolate.describe.gaps import round_window
from isolate.describe.inner_parts import Inner
from isolate.describe.layers import Cavity, Layer, Leaf, unfaced
from isolate.describe.rooms import Option, Room, Side
from isolate.remedies.ducts import Judged
from isolate.room.elements import SEALED

GATE = 3.0  # m2, from which a door is a gate
_LEVEL = {"ceiling": "ceiling", "roof": "ceiling", "floor": "floor"}


def roles(side: Side) -> str:
    """What a side is to the inner room: "window", "door", "ceiling", "floor" or "walls".

    A ceiling may be built as a floor: what a side is called says which. Before a gate the inner wall runs
    on: nobody hangs a second one.
    """
    kind = side.construction.kind
    if kind == "window" or (kind == "door" and side.area <= GATE):
        return kind
    named = {role for word, role in _LEVEL.items() if word in side.name.casefold().split()}
    return named.pop() if len(named) == 1 else _LEVEL.get(kind, "walls")


def towards_room(construction: Construction) -> Construction:
    """A floor under the room with its layers listed towards the room, as those of all other sides are."""
    if not from_above(construction):
        return construction
    return replace(construction, layers=construction.layers[::-1])


def with_floor(room: Room) -> Room:
    """The room with the floor under it listed towards it, that of the file's [inner] table too."""
    sides = tuple(
        replace(side, construction=towards_room(side.construction)) if roles(side) == "floor" else side
        for side in room.sides
    )
    inner = room.inner
    if inner is not None and inner.floor.base is not None:
        base = towards_room(inner.floor.base)
        inner = replace(inner, floor=replace(inner.floor, base=base))
    return replace(room, sides=sides, inner=inner)


def masonry(construction: Construction) -> bool:
    """Whether anything in it is masonry."""
    return any(isinstance(layer, Leaf) and layer.material.masonry for layer in construction.layers)


@dataclass(frozen=True)
class Wall:
    """One of the room's four walls: the side that is told of it (None: none is), and its openings."""

    side: Side | None = None
    openings: tuple[Side, ...] = ()

    @property
    def area(self) -> float:
        """With its openings [m2]."""
        return (self.side.area if self.side else 0.0) + sum(one.area for one in self.openings)

    @property
    def faces(self) -> str:
        """What lies beyond; "" where that is not told."""
        return next((one.faces for one in (self.side, *self.openings) if one is not None), "")

    @property
    def lit(self) -> bool:
        """Whether a window is in it."""
        return any(roles(one) == "window" for one in self.openings)


@dataclass(frozen=True)
class Plan:
    """A room and the inner room planned in it; `ducts`: those for its air, which the room's side then has
    instead of its vents. None where the file says how its vents go on, or nothing can be had."""

    room: Room
    inner: Inner
    ducts: Judged | None = None

    def size(self, parts: Sequence[str]) -> tuple[float, float, float]:
        """Length, width, height [m] left with these parts built."""
        length, width, height = self.room.size
        side = self.inner.walls.depth if "walls" in parts else 0.0
        height -= self.inner.ceiling.depth if "ceiling" in parts else 0.0
        height -= self.inner.floor.lining.depth if "floor" in parts else 0.0
        return length - 2 * side, width - 2 * side, height

    @property
    def inner_size(self) -> tuple[float, float, float]:
        """Length, width, height [m] of the whole inner room."""
        return self.size(("walls", "ceiling", "floor"))

    @property
    def inner_perimeter(self) -> float:
        """Length [m] of all inner walls."""
        length, width, _ = self.inner_size
        return 2.0 * (length + width)

    @property
    def floor_area(self) -> float:
        """Area [m2] of the inner floor."""
        return self.inner_size[0] * self.inner_size[1]

    @property
    def outer_area(self) -> float:
        """Area [m2] of the house's floor in the room."""
        return self.room.size[0] * self.room.size[1]

    @property
    def stud_height(self) -> float:
        """Height [m] of the inner walls up to the inner ceiling."""
        height = self.inner_size[2]
        return height if self.floats else height + self.inner.floor.lining.depth

    @property
    def floats(self) -> bool:
        """Whether the inner walls stand on the floated floor."""
        return self.inner.stands_on == "floated floor"

    def face(self, role: str) -> tuple[float, float]:
        """Size [m] of one face of the room."""
        length, width, height = self.room.size
        return (length, height) if role == "walls" else (length, width)

    def face_area(self, role: str) -> float:
        """Area [m2] of the room's walls, ceiling or floor."""
        length, width, height = self.room.size
        return 2.0 * (length + width) * height if role == "walls" else length * width

    def side(self, name: str) -> Side:
        """The side of this name."""
        return next(side for side in self.room.sides if side.name == name)

    def openings(self, role: str) -> tuple[Side, ...]:
        """The room's windows or doors."""
        return tuple(side for side in self.room.sides if roles(side) == role)

    @property
    def around(self) -> tuple[Wall, Wall, Wall, Wall]:
        """The four walls: the two ends, which are as long as the room is wide, then the two long ones; the
        one with a window is the second of its two. Guessed from how long a wall what is told makes."""
        length, width, height = self.room.size
        walls = [Wall(side, self._openings_in(side)) for side in self.room.sides if roles(side) == "walls"]
        within = {id(one) for wall in walls for one in wall.openings}
        walls += [Wall(None, (one,)) for one in self._holes if id(one) not in within]
        free, found = {0: width, 1: width, 2: length, 3: length}, [Wall()] * 4
        for wall in sorted(walls, key=lambda one: -one.area)[:4]:
            run = wall.area / height
            at = min(free, key=lambda i: (round(abs(free[i] - run), 2), i))
            found[at] = wall
            del free[at]
        for first in (0, 2):
            if found[first].lit and not found[first + 1].lit:
                found[first : first + 2] = found[first + 1], found[first]
        return found[0], found[1], found[2], found[3]

    @property
    def _holes(self) -> tuple[Side, ...]:
        return (*self.openings("window"), *self.openings("door"))

    def _openings_in(self, wall: Side) -> tuple[Side, ...]:
        """The windows and doors that face as a wall does: in the smallest such wall."""
        alike = [side for side in self.room.sides if roles(side) == "walls" and side.faces == wall.faces]
        if wall is not min(alike, key=lambda side: side.area):
            return ()
        return tuple(one for one in self._holes if one.faces == wall.faces)

    @property
    def window_layers(self) -> tuple[Layer, ...]:
        """What comes behind an old window: the gap, then the pane in a frame of its own."""
        window = self.inner.window
        return (Cavity(window.gap, edges=window.edges, framing="separate frames"), *window.pane)

    def window_option(self, side: Side) -> Option:
        """The inner window behind an old one, sealed."""
        layers = (*unfaced(side.construction.layers), *self.window_layers)
        name = f"inner window, {words.millimetres(self.inner.window.gap)} behind the {side.name}"
        built = replace(side.construction, name=name, title=name, layers=layers, measured=None)
        size = side.size or (side.area**0.5,) * 2
        return Option(name, side.name, built, inner_gaps=(round_window(SEALED, size),))

    @property
    def wall_area(self) -> float:
        """Area [m2] of boards of the inner walls, doors and windows left out."""
        holes = sum(side.area for role in ("window", "door") for side in self.openings(role))
        return max(self.inner_perimeter * self.stud_height - holes, 0.0)
