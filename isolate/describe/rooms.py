"""Rooms: the shell and its weak points, the noises outside, what is played inside and who hears it."""

from __future__ import annotations

from dataclasses import dataclass

from isolate.bands import Array
from isolate.describe.constructions import Construction


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
class Noise:
    """A noise outside. `level_db` (27,): third-octave levels [dB] at the facade, as they would be there
    without the building's own reflection. `duration` [s] and `per_day` are None when not stated."""

    name: str
    faces: str
    level_db: Array
    basis: str
    source: str | None = None
    spread_db: float = 3.0
    duration: float | None = None
    per_day: float | None = None


@dataclass(frozen=True)
class Own:
    """A sound made inside: reverberant third-octave levels [dB] (27,) in the room."""

    name: str
    level_db: Array
    basis: str


@dataclass(frozen=True)
class Neighbour:
    """Who hears it: through which sides, with which background (27,) [dB]."""

    name: str
    through: tuple[str, ...]
    background_db: Array


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
    else None and `furnishing` (bare | furnished | treated) rules; `background_db` (27,) [dB]."""

    name: str
    title: str
    size: tuple[float, float, float]
    furnishing: str
    reverberation_time: Array | None
    background_db: Array
    sides: tuple[Side, ...]
    noises: tuple[Noise, ...]
    own: tuple[Own, ...] = ()
    neighbours: tuple[Neighbour, ...] = ()
    options: tuple[Option, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def volume(self) -> float:
        """Volume [m3]."""
        return self.size[0] * self.size[1] * self.size[2]
