"""Parts of a room: the shell and its weak points, noises outside, what is played inside, who hears it."""

from __future__ import annotations

from dataclasses import dataclass

from isolate.bands import Array
from isolate.describe.constructions import Construction
from isolate.describe.noises import Level, NoiseSpectrum


@dataclass(frozen=True)
class Gap:
    """A slit: width, length and depth [m]."""

    width: float
    length: float
    depth: float


@dataclass(frozen=True)
class Side:
    """One part of the shell: `area` [m2], `size` (width, height) [m] when it was given so."""

    name: str
    faces: str
    construction: Construction
    area: float
    size: tuple[float, float] | None = None
    gaps: tuple[Gap, ...] = ()


@dataclass(frozen=True)
class Background:
    """A stated background: `kind` "NC", "NR" or "A" with its `value`, or "bands" with `level_db` (27,)."""

    kind: str
    value: float | None = None
    level_db: Array | None = None


@dataclass(frozen=True)
class Noise:
    """A noise outside, as stated. `spectrum` gives the shape; with `level` it is shifted until its level
    under that weighting is the stated one, else it stands as it is. That level holds at the facade,
    without the building's own reflection, unless `distance` [m] says how far the facade is from the
    source: then it holds `at` [m] and falls by 20 lg(distance / at). `duration` [s] and `per_day` are
    None when not stated. `indoors`: it is the level in a room next door (a diffuse field), not of sound
    arriving from outdoors."""

    name: str
    faces: str
    spectrum: NoiseSpectrum
    level: Level | None = None
    at: float | None = None
    distance: float | None = None
    duration: float | None = None
    per_day: float | None = None
    indoors: bool = False


@dataclass(frozen=True)
class Own:
    """A sound made inside: `spectrum` shifted to `level` (None: as it stands), reverberant in the room."""

    name: str
    spectrum: NoiseSpectrum
    level: Level | None = None


@dataclass(frozen=True)
class Neighbour:
    """Who hears it: through which sides, with which background."""

    name: str
    through: tuple[str, ...]
    background: Background


@dataclass(frozen=True)
class Option:
    """A change to try: `replace` names a side, `construction` what comes instead (None: as it is);
    `gaps` replaces that side's gaps when not None. `cost` in the user's own money."""

    name: str
    replace: str
    construction: Construction | None = None
    gaps: tuple[Gap, ...] | None = None
    cost: float | None = None


@dataclass(frozen=True)
class Room:
    """A described room: `size` (length, width, height) [m]; `reverberation_time` [s] (27,) when stated,
    else None and `furnishing` (bare | furnished | treated) rules. `notes`: what was assumed in reading."""

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

    @property
    def volume(self) -> float:
        """Volume [m3]."""
        return self.size[0] * self.size[1] * self.size[2]

    @property
    def surface(self) -> float:
        """Area [m2] of all six faces."""
        length, width, height = self.size
        return 2.0 * (length * width + length * height + width * height)
