"""Parts of a room within a room: linings that touch nothing, what they stand on, what still ties them.

The usual values are common practice, without a source: they are there so that whoever knows nothing of such a
room yet gets an answer, and every one of them is told.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Material, material
from isolate.describe.openings import Vent

CARRIED = ("inner walls", "hangers", "resilient hangers")
STANDS_ON = ("floated floor", "floor")
SOLES = ("rigid", "strip")
FRAMES = ("wood stud", "steel stud")
TIES = ("pipe", "bolt", "conduit", "board")
PLACES = ("walls", "ceiling", "floor")


@dataclass(frozen=True)
class Lining:
    """An inner leaf: `gap` [m] clear behind it, filled to `fill_depth` [m]; `leaves` from the gap to the
    room. `opened`: the old boards on this side of a light wall or ceiling come off first."""

    gap: float
    leaves: tuple[Leaf, ...]
    fill: Material | None = None
    fill_depth: float = 0.0
    opened: bool = False

    @property
    def cavity(self) -> Cavity:
        """The gap as a cavity that nothing crosses."""
        return Cavity(self.gap, self.fill, self.fill_depth if self.fill else 0.0)

    @property
    def layers(self) -> tuple[Cavity | Leaf, ...]:
        """What comes in front of the outer construction."""
        return (self.cavity, *self.leaves)

    @property
    def thickness(self) -> float:
        """Thickness [m] of the leaves."""
        return sum(leaf.thickness * leaf.sheets for leaf in self.leaves)

    @property
    def depth(self) -> float:
        """What it takes off the room on its side [m]."""
        return self.gap + self.thickness


@dataclass(frozen=True)
class Mounts:
    """Mounts under a floor: `count` (None: as many as the load asks for), `rating` [kg] that one carries and
    the `deflection` [m] it then has; dynamic over static stiffness; loss factor."""

    count: int | None = None
    rating: float = 80.0
    deflection: float = 4e-3
    stiffening: float = 1.5
    loss: float = 0.1


@dataclass(frozen=True)
class Mat:
    """A mat all over: tested dynamic `stiffness` s't [N/m3], flow resistivity [Pa s/m2], loss factor."""

    stiffness: float
    flow_resistivity: float = 20e3
    loss: float = 0.2


@dataclass(frozen=True)
class InnerFloor:
    """A floated floor: its `lining` (leaves from below to above) on mounts or a mat; `base` under it, None:
    the room's own floor; `also_in`: words of rooms that have the same floor on the same base."""

    lining: Lining
    on: Mounts | Mat
    base: Construction | None = None
    also_in: tuple[str, ...] = ()


@dataclass(frozen=True)
class InnerWindow:
    """A pane in the inner wall, `gap` [m] behind the outer window; `edges` of the reveal between them."""

    pane: tuple[Leaf, ...]
    gap: float
    edges: str = "absorbent"


@dataclass(frozen=True)
class InnerDoor:
    """A door in the inner wall: its construction, its seals in words, `lobby` [m] from door to door (None:
    the gap of the wall)."""

    construction: Construction
    seal: str = "sealed"
    threshold: str = "sealed"
    lobby: float | None = None


@dataclass(frozen=True)
class InnerTie:
    """Something that ties both shells: `what` it is (one of `TIES`), at `at` (one of `PLACES` or a side's
    name), `count` of them; `length` [m] of a board that touches."""

    what: str
    at: str
    count: int = 1
    length: float = 1.0

    @property
    def name(self) -> str:
        """In words."""
        many = f"{self.count} {self.what}s" if self.count > 1 else self.what
        return f"{many}, {self.at}"


@dataclass(frozen=True)
class Inner:
    """A room within a room. `carried`: what holds the inner ceiling; `stands_on`: what the inner walls stand
    on, by a `sole` that is rigid or on a strip of rubber; `frame` and its `spacing` [m].

    `vents`: of the inner shell, by the name of the side whose vent they continue; `session` [s] without a
    break; `ties` that remain (empty: usual slips stand for them).
    """

    walls: Lining
    ceiling: Lining
    floor: InnerFloor
    window: InnerWindow
    door: InnerDoor
    carried: str = "inner walls"
    stands_on: str = "floated floor"
    sole: str = "rigid"
    frame: str = "wood stud"
    spacing: float = 0.6
    vents: tuple[tuple[str, Vent], ...] = ()
    ties: tuple[InnerTie, ...] = ()
    session: float = 3 * 3600.0
    described: bool = False
    notes: tuple[str, ...] = field(default=())


def _boards(sheets: int = 2) -> tuple[Leaf, ...]:
    return (Leaf(material("gypsum board"), 0.015, sheets),)


def usual(door: Construction) -> Inner:
    """What is taken where nothing is stated."""
    wool, chipboard = material("stone wool"), Leaf(material("chipboard"), 0.022)
    return Inner(
        walls=Lining(0.12, _boards(), wool, 0.09),
        ceiling=Lining(0.2, _boards(), wool, 0.15),
        floor=InnerFloor(Lining(0.05, (chipboard, *_boards(1), chipboard), wool, 0.05), Mounts()),
        window=InnerWindow((Leaf(material("laminated glass"), 0.0104),), 0.2),
        door=InnerDoor(door),
    )


SLIPS = (InnerTie("conduit", "walls", 2), InnerTie("bolt", "ceiling", 1), InnerTie("board", "floor"))
