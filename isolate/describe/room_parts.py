"""Parts of a room: the shell and its weak points, noises outside, what is played inside, who hears it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from isolate.bands import Array
from isolate.describe.constructions import Construction
from isolate.describe.frames import Frame
from isolate.describe.hours import Hours
from isolate.describe.houses import House
from isolate.describe.impacts import Covering, Impact
from isolate.describe.inner_parts import Inner
from isolate.describe.layers import Leaf, unfaced
from isolate.describe.limits import Silence, StatedLimit
from isolate.describe.materials import Range
from isolate.describe.noises import Level, NoiseSpectrum
from isolate.describe.openings import Gap, Vent

FURNISHINGS = ("bare", "furnished", "treated")
LEVELS = {"ceiling": "above", "roof": "above", "floor": "below"}
SHAPES = ("plane", "gallery", "balcony", "terrace")


@dataclass(frozen=True)
class Second:
    """A second door or sash behind the first: its construction and gaps; the `lobby` between them has a size
    [m] (width, depth, height) and is bare, furnished or treated."""

    construction: Construction
    gaps: tuple[Gap, ...]
    lobby: tuple[float, float, float]
    furnishing: str = "bare"


@dataclass(frozen=True)
class Shape:
    """What stands before a side: `kind` of `SHAPES`, absorption of the ceiling above it, and the height [m]
    at which the line of sight over a closed parapet meets the facade."""

    kind: str
    soffit_absorption: float = 0.0
    sight_height: float = 0.0


@dataclass(frozen=True, eq=False)
class Found:
    """What a measurement found of a side's construction: by how much it stops more than predicted,
    `better_db`, and the standard deviation of its loss that is left, `sigma_db` (27,) [dB]."""

    better_db: float
    sigma_db: Array


@dataclass(frozen=True)
class Side:
    """One part of the shell: `area` [m2], `size` (width, height) [m] when it was given so.

    `gaps` and `vents` belong to it; `opened` is the share of its area that stands open; `second` is one
    more door behind a lobby; `inner_gaps` are the joints of a second window behind the first, whose `gaps`
    are then the old one's (None: usual ones). `shape`: a balcony or the like before it; `shielding_db`: how
    much less of every noise it faces arrives there. `perhaps`: what it may be made of instead, for one who is
    not sure. `frame`: of a window, as stated for the side; else the construction's own, or a usual one:
    whatever is put into a hole in a wall, glass alone does not fill it. `plane` [m2]: what
    it is a part of, where plain areas of one construction face the same: two halves are one wall.
    `found`: what measuring it told of its construction; `covering`: what lies on a floor, from above.
    `joints`: whether anything was said of them.
    """

    name: str
    faces: str
    construction: Construction
    area: float
    size: tuple[float, float] | None = None
    gaps: tuple[Gap, ...] = ()
    vents: tuple[Vent, ...] = ()
    opened: Range | None = None
    second: Second | None = None
    inner_gaps: tuple[Gap, ...] | None = None
    shape: Shape | None = None
    shielding_db: float = 0.0
    perhaps: tuple[Construction, ...] = ()
    frame: Frame | None = None
    plane: float | None = None
    found: Found | None = None
    covering: Covering | None = None
    joints: bool = True

    def __post_init__(self) -> None:
        size = self.size or (self.area**0.5,) * 2
        object.__setattr__(self, "construction", self.construction.framed(size, self.frame))
        perhaps = tuple(one.framed(size, self.frame) for one in self.perhaps)
        object.__setattr__(self, "perhaps", perhaps)

    @property
    def extent(self) -> tuple[float, float]:
        """Width and height [m] of what sound meets: as given, else of its whole plane, taken as square."""
        return self.size or ((self.plane or self.area) ** 0.5,) * 2

    @property
    def lies(self) -> str:
        """Where what it faces lies: "above", "below" or "beside"; what it is called counts first."""
        named = {where for word, where in LEVELS.items() if word in self.name.casefold().split()}
        return named.pop() if len(named) == 1 else LEVELS.get(self.construction.kind, "beside")


@dataclass(frozen=True)
class Background:
    """A stated background: `kind` "NC", "NR" or "A" with its `value`, or "bands" with `level_db` (27,)."""

    kind: str
    value: float | None = None
    level_db: Array | None = None


@dataclass(frozen=True)
class Noise:
    """A noise outside, as stated. `spectrum` gives the shape; with `level` it is shifted until its level
    under that weighting is the stated one, else it stands as it is. That level holds 2 m before the
    facade, its reflection included, unless `distance` [m] says how far the facade is from the
    source: then it holds `at` [m], falls by 20 lg(distance / at) and arrives without the reflection.
    `duration` [s] and `per_day` are None when not stated. `indoors`: it is the level in a room next door (a
    diffuse field), not of sound arriving from outdoors. `shielding_db`: what a screen or a corner takes off
    on its way; `also`: other words of sides it reaches, and how much weaker [dB]. `hours`: when it comes
    (None: round the clock). `impact`: it is footsteps on the floor above, with no level of their own.
    `sounds_like`: the noise of the catalogue whose character it has when it is made audible (None: that of
    its spectrum)."""

    name: str
    faces: str
    spectrum: NoiseSpectrum
    level: Level | None = None
    at: float | None = None
    distance: float | None = None
    duration: float | None = None
    per_day: float | None = None
    indoors: bool = False
    shielding_db: float = 0.0
    also: Mapping[str, float] = field(default_factory=dict)
    hours: Hours | None = None
    impact: Impact | None = None
    sounds_like: str | None = None

    @property
    def character(self) -> str:
        """Name in the catalogue of what it sounds like."""
        return self.sounds_like or self.spectrum.name

    @property
    def reaches(self) -> dict[str, float]:
        """Every word it comes from and how much weaker it is there [dB]."""
        return {self.faces: 0.0, **self.also}


@dataclass(frozen=True)
class Own:
    """A sound made inside: `spectrum` shifted to `level` (None: as it stands), reverberant in the room; what
    of it goes straight into the `floor`; `hours`: when it is played (None: at any); `mass` [kg] of what then
    stands on the floor, who plays included (None: as usual)."""

    name: str
    spectrum: NoiseSpectrum
    level: Level | None = None
    floor: tuple[Impact, ...] = ()
    hours: Hours | None = None
    mass: float | None = None


@dataclass(frozen=True)
class Neighbour:
    """Who hears it: through which sides of the room, with which background.

    In a room of `size` [m] (None: as this one) with its `furnishing` or `reverberation_time` [s] (27,); or
    outdoors, `distance` [m] from the sides it comes out of, then through their own `facade` if they are
    behind one. `limits`: what may be heard there,
    `silent` when nothing may; `backgrounds` for "day" and "night" where they were stated.
    """

    name: str
    through: tuple[str, ...]
    background: Background
    size: tuple[float, float, float] | None = None
    furnishing: str = "furnished"
    reverberation_time: Array | None = None
    distance: float | None = None
    facade: Side | None = None
    limits: tuple[StatedLimit, ...] = ()
    silent: tuple[Silence, ...] = ()
    backgrounds: Mapping[str, Background] = field(default_factory=dict)


@dataclass(frozen=True)
class Microphone:
    """A microphone: its own noise [dBA], or by band `level_db` (27,), its directional `pattern`, and the
    corner [Hz] of its low cut (0: none)."""

    noise_dba: float = 15.0
    level_db: Array | None = None
    pattern: str = "omnidirectional"
    low_cut: float = 0.0


@dataclass(frozen=True)
class Take:
    """A recording to be made: of `own`, `distance` [m] from the microphone, at `level` there (None: from its
    level in the room); the softest passages are `softest_db` below.

    `reduction_db`: what a compressor takes off the peaks, made up afterwards; `reads_dbfs`: what the meter
    shows while it plays; `playback_dba`: how loud one listens to it; `target`: the noise floor wanted,
    `target_dbfs` if that was said on the meter's scale; `length` [s] and `hours` of the take.
    """

    name: str
    own: Own
    distance: float
    level: Level | None = None
    softest_db: float = 20.0
    microphone: Microphone = Microphone()
    reduction_db: float = 0.0
    reads_dbfs: float = -20.0
    playback_dba: float = 75.0
    target: Background | None = None
    target_dbfs: float | None = None
    length: float = 300.0
    hours: Hours | None = None


@dataclass(frozen=True)
class Flank:
    """An element that runs on from this room to the one that `faces` names: its construction, seen from
    outside to this room, the junction (ISO 12354-1, annex E) and its length [m], areas [m2] here and
    `beyond`; `through`: it is the heavy one that runs on past a light separating element."""

    name: str
    faces: str
    construction: Construction
    junction: str
    length: float
    area: float
    beyond: float
    through: bool = False


@dataclass(frozen=True)
class Option:
    """A change to try: `replace` names a side, `construction` what comes instead (None: as it is); `gaps`,
    `vents`, `opened`, `second` and `inner_gaps` replace that side's own when not None. `lining` is a
    construction, base and lining, put on the flanking elements `flanks` ("all" for every one). `cost` in the
    user's money. `frame`: of the window or glazed door that is then there; `covering`: what is laid on a
    floor."""

    name: str
    replace: str
    construction: Construction | None = None
    gaps: tuple[Gap, ...] | None = None
    cost: float | None = None
    vents: tuple[Vent, ...] | None = None
    opened: Range | None = None
    second: Second | None = None
    lining: Construction | None = None
    flanks: tuple[str, ...] = ()
    inner_gaps: tuple[Gap, ...] | None = None
    frame: Frame | None = None
    covering: Covering | None = None

    def adds_window(self, side: Side) -> bool:
        """Whether it puts a second window behind the one of this side."""
        old, new = side.construction.layers, self.construction.layers if self.construction else ()
        if side.construction.kind != "window" or not old:
            return False
        kept = unfaced(old)
        return new[: len(kept)] == kept and any(isinstance(layer, Leaf) for layer in new[len(kept) :])

    def changes_kind(self, side: Side) -> bool:
        """Whether the side is something else afterwards: a wall in place of a window, say."""
        return self.construction is not None and self.construction.kind != side.construction.kind

    def on(self, side: Side) -> Side:
        """The side with the change made.

        A second window leaves the old one and its gaps as they are: gaps stated with it are the new one's.
        What was found by measuring goes with the construction that was measured.
        What is of another kind has the gaps stated for it, none where none are, and stands open no more.
        """
        made = replace(
            side,
            construction=self.construction or side.construction,
            perhaps=() if self.construction else side.perhaps,
            vents=side.vents if self.vents is None else self.vents,
            second=self.second or side.second,
            inner_gaps=side.inner_gaps if self.inner_gaps is None else self.inner_gaps,
            frame=self.frame or side.frame,
            covering=self.covering or side.covering,
            found=side.found if self.construction is None or self.adds_window(side) else None,
        )
        if self.adds_window(side):
            inner = (
                self.inner_gaps or self.gaps or None
            )  # none stated, or none at all: sealed as a house allows
            return replace(made, inner_gaps=inner, opened=self.opened)
        if self.changes_kind(side):
            return replace(made, gaps=self.gaps or (), opened=self.opened, second=self.second)
        return replace(
            made, gaps=side.gaps if self.gaps is None else self.gaps, opened=self.opened or side.opened
        )


@dataclass(frozen=True, repr=False)
class Room:
    """A described room: `size` (length, width, height) [m]; `reverberation_time` [s] (27,) when stated,
    else None and `furnishing` (bare | furnished | treated) rules. `notes`: what was assumed in reading, first
    what is hardly so: `doubts`.
    `backgrounds` for "day" and "night" where they were stated; `takes` to be recorded. `people` breathe in
    it; `flanking`: the usual house for each word that sides face, "" for every other
    one; `flanks`: flanking elements described one by one; `inner`: the room within it, where described;
    `floor`: what one stands on in it, where no side is it, and the `covering` on that; `asked`: the
    name or path it was asked for by, empty where by none; `in_feet`: its size is written in feet."""

    name: str
    title: str
    size: tuple[float, float, float]
    furnishing: str
    reverberation_time: Array | None
    background: Background
    sides: tuple[Side, ...]
    noises: tuple[Noise, ...]
    own: tuple[Own, ...] = ()
    neighbours: tuple[Neighbour, ...] = ()
    options: tuple[Option, ...] = ()
    notes: tuple[str, ...] = ()
    about: str = ""
    people: float | None = None
    flanking: Mapping[str, House] = field(default_factory=dict)
    flanks: tuple[Flank, ...] = ()
    backgrounds: Mapping[str, Background] = field(default_factory=dict)
    takes: tuple[Take, ...] = ()
    inner: Inner | None = None
    doubts: tuple[str, ...] = ()
    floor: Construction | None = None
    covering: Covering | None = None
    asked: str = field(default="", compare=False)
    in_feet: bool = field(default=False, compare=False)

    def __repr__(self) -> str:
        size = " x ".join(f"{length:g}" for length in self.size)
        return f"<Room {self.name!r}: {size} m, {len(self.sides)} sides, {len(self.noises)} noises>"

    @property
    def underfoot(self) -> Side | None:
        """`floor` as a side that faces nobody, of the room's plan; None where nothing is said of it."""
        return None if self.floor is None else underfoot(self.floor, self.covering, self.size, self.sides)

    @property
    def volume(self) -> float:
        """Volume [m3]."""
        return self.size[0] * self.size[1] * self.size[2]

    @property
    def surface(self) -> float:
        """Area [m2] of all six faces."""
        length, width, height = self.size
        return 2.0 * (length * width + length * height + width * height)


def underfoot(
    floor: Construction, covering: Covering | None, size: Sequence[float], sides: Sequence[Side]
) -> Side:
    """What one stands on in a room of this `size` [m] as a side that faces nobody, with a name of its own."""
    length, width = size[0], size[1]
    name = "floor underfoot" if any(side.name == "floor" for side in sides) else "floor"
    return Side(name, "", floor, length * width, (length, width), covering=covering)
