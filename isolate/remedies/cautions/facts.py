"""What the triggers of cautions look at: what is built, cut, hung up and played; and a caution itself."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import takewhile

from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import Material
from isolate.describe.rooms import Gap, Vent

ENGINEER_KG_M2 = 24.0  # 5 lb/ft2 more: from there an engineer decides (a threshold of our own, the only one)
HOMES_PA = (1400.0, 2000.0)
"""What floors of homes are built to carry beside themselves, the least and the most that codes ask [Pa]: 30
lb/ft2 (1.4 kPa) of sleeping rooms and 40 (1.9) of others in a model residential code (read), 1.5 to 2.0 kPa
in EN 1991-1-1 (from memory)."""

Layers = tuple[Leaf | Cavity, ...]


@dataclass(frozen=True)
class Change:
    """Something to be built, by its `name`: `new` in place of `old` (None: nothing known), which adds `added`
    [kg/m2] on `area` [m2].

    `part`: what of the room it is ("wall", "ceiling", ...) where the construction's kind does not tell.
    `gaps` and `vents` are None where they stay as they were; `less_air`: it closes a vent or a window;
    `shared`: other people live or pass on its far side.
    """

    name: str
    new: Construction
    old: Construction | None = None
    added: float = 0.0
    area: float | None = None
    part: str = ""
    gaps: tuple[Gap, ...] | None = None
    old_gaps: tuple[Gap, ...] = ()
    vents: tuple[Vent, ...] | None = None
    old_vents: tuple[Vent, ...] = ()
    less_air: bool = False
    shared: bool = False

    @property
    def kind(self) -> str:
        """What it is of the room: as told, else the kind of what is there now, else of what comes."""
        return self.part or (self.old or self.new).kind

    @property
    def added_kg(self) -> float:
        """Added mass [kg], 0 where the area is not known."""
        return self.added * (self.area or 0.0)

    @property
    def rebuilt(self) -> bool:
        """Whether more than gaps and vents changes."""
        return self.old is None or self.new.layers != self.old.layers

    @property
    def pierced(self) -> bool:
        """Whether a hole is cut for air that was not there, or a larger one."""
        return self.vents is not None and _clear(self.vents) > _clear(self.old_vents) * (1.0 + 1e-9)

    @property
    def tighter(self) -> bool:
        """Whether less air gets through than before."""
        before = sum(gap.width * gap.length for gap in self.old_gaps)
        after = before if self.gaps is None else sum(gap.width * gap.length for gap in self.gaps)
        return after < before or self.less_air or (self.rebuilt and self.kind in ("window", "door"))

    @cached_property
    def brought(self) -> Layers:
        """The layers that come: all but those of what stands that stay, at either end of the stack. That a
        board which stays gets another on it, glued or damped, makes it no new one."""
        new, old = _unbonded(self.new.layers), _unbonded(self.old.layers if self.old else ())
        ends = [len(list(takewhile(lambda pair: pair[0] == pair[1], zip(new, old, strict=False))))]
        ends.append(len(list(takewhile(lambda p: p[0] == p[1], zip(new[::-1], old[::-1], strict=False)))))
        first = ends[0]
        last = min(ends[1], len(old) - first, len(new) - first)
        return self.new.layers[first : len(new) - last]


def _clear(vents: Sequence[Vent]) -> float:
    """Clear area of vents [m2]; one that is not known counts as a small one, 100 cm2."""
    return sum(vent.count * (0.01 if vent.area is None else vent.area) for vent in vents)


def _unbonded(layers: Layers) -> Layers:
    return tuple(replace(one, bond="screwed") if isinstance(one, Leaf) else one for one in layers)


@dataclass(frozen=True)
class Hung:
    """A panel hung up: its porous `material` and `mass` [kg] of one piece with its frame."""

    material: Material
    mass: float


@dataclass(frozen=True)
class Within:
    """A room within a room: what of it stands on the house's floor and what hangs from the house above
    [kg], and what its walls bring on a metre of their line [kg/m]."""

    standing: float
    hanging: float
    per_metre: float


@dataclass(frozen=True)
class Facts:
    """What the triggers look at.

    `floor_area` [m2], `volume` [m3] and `height` [m] of the room, None outside one; `fan`: one is offered, or
    may be put into a vent; `loudest_dba` of what is played inside; `inner_room` [kg], what an inner room
    weighs that something else is set against; `within`: one that is built; `test_noise`: loud noise is played
    to measure; `burst`: a balloon or the like is burst for it; `on_facade`: a microphone hangs outdoors;
    `recorder`: one runs by itself for long; `played_back`: levels [dBA] of the loudest and the softest sound
    that is played to listen to.
    """

    changes: tuple[Change, ...] = ()
    hung: tuple[Hung, ...] = ()
    inner_room: float | None = None
    within: Within | None = None
    floor_area: float | None = None
    volume: float | None = None
    height: float | None = None
    fan: bool = False
    loudest_dba: float = float("-inf")
    test_noise: bool = False
    burst: bool = False
    on_facade: bool = False
    recorder: bool = False
    played_back: tuple[float, float] | None = None


@dataclass(frozen=True)
class Caution:
    """One caution: `trigger` says in words when `raised` gives a `text` (None: not raised). `short` is the
    same in a line: what can hurt, whom to ask; `ask` the latter alone, where there are many. `grave` ones are
    told wherever an answer is."""

    key: str
    title: str
    trigger: str
    source: str
    short: str
    raised: Callable[[Facts], str | None] = field(repr=False, compare=False)
    grave: bool = False
    text: str = ""
    ask: str = ""

    def to_dict(self) -> dict[str, str | bool]:
        """Plain data."""
        return {
            "key": self.key, "title": self.title, "ask": self.ask, "short": self.short, "text": self.text,
            "grave": self.grave, "source": self.source,
        }  # fmt: skip


def foremost(cautions: Sequence[Caution], most: int) -> tuple[Caution, ...]:
    """Those for a first screen, in their order: the grave ones all, then others up to `most`."""
    room = most - sum(one.grave for one in cautions)
    others = [one for one in cautions if not one.grave][: max(room, 0)]
    return tuple(one for one in cautions if one.grave or one in others)
