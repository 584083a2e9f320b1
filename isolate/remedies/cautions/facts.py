"""What the triggers of cautions look at: what is built, hung up and played; and a caution itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from isolate.describe.constructions import Construction
from isolate.describe.materials import Material
from isolate.describe.rooms import Gap


@dataclass(frozen=True)
class Change:
    """Something to be built, by its `name`: `new` in place of `old` (None: nothing known), which adds `added`
    [kg/m2] on `area` [m2]; `less_air`: it closes a vent or a window."""

    name: str
    new: Construction
    old: Construction | None = None
    added: float = 0.0
    area: float | None = None
    gaps: tuple[Gap, ...] | None = None
    old_gaps: tuple[Gap, ...] = ()
    less_air: bool = False

    @property
    def kind(self) -> str:
        """Kind of what is there now, else of what comes."""
        return (self.old or self.new).kind

    @property
    def added_kg(self) -> float:
        """Added mass [kg], 0 where the area is not known."""
        return self.added * (self.area or 0.0)

    @property
    def rebuilt(self) -> bool:
        """Whether more than the gaps changes."""
        return self.old is None or self.new.layers != self.old.layers

    @property
    def tighter(self) -> bool:
        """Whether less air gets through than before."""
        before = sum(gap.width * gap.length for gap in self.old_gaps)
        after = before if self.gaps is None else sum(gap.width * gap.length for gap in self.gaps)
        return after < before or self.less_air or (self.rebuilt and self.kind in ("window", "door"))


@dataclass(frozen=True)
class Hung:
    """A panel hung up: its porous `material` and `mass` [kg] of one piece with its frame."""

    material: Material
    mass: float


@dataclass(frozen=True)
class Facts:
    """What the triggers look at. `floor_area` [m2], `volume` [m3] of the room, None outside one;
    `loudest_dba` of what is played inside; `inner_room` [kg], what an inner room of the answer weighs;
    `test_noise`: loud noise is played to measure; `on_facade`: a microphone hangs outdoors;
    `played_back`: levels [dBA] of the loudest and the softest sound that is played to listen to; `within`: a
    room within a room is built."""

    changes: tuple[Change, ...] = ()
    hung: tuple[Hung, ...] = ()
    inner_room: float | None = None
    floor_area: float | None = None
    volume: float | None = None
    loudest_dba: float = float("-inf")
    test_noise: bool = False
    on_facade: bool = False
    played_back: tuple[float, float] | None = None
    within: bool = False


@dataclass(frozen=True)
class Caution:
    """One caution: `trigger` says in words when `raised` gives a text (None: not raised)."""

    key: str
    title: str
    trigger: str
    source: str
    raised: Callable[[Facts], str | None] = field(repr=False, compare=False)
    text: str = ""

    def to_dict(self) -> dict[str, str]:
        """Plain data."""
        return {"key": self.key, "title": self.title, "text": self.text, "source": self.source}
