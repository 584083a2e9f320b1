"""The shell of a room: its sides and what flanks them, and how a noise outside is heard inside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.describe.rooms import Noise, Room, Side
from isolate.physics import facade, flanking_rooms, reverberation
from isolate.physics.ducts import transmission_area
from isolate.physics.flanking_rooms import FlankingFound
from isolate.room import impact, levels
from isolate.room.elements import Finder, Path, SideFound
from isolate.room.received import Passed, passed
from isolate.standards.weighting import dba


@dataclass(frozen=True)
class Heard:
    """How one noise is heard in the room: `outside_db` (27,) at its sides, `passed` what comes through."""

    noise: Noise
    outside_db: Array
    passed: Passed

    @property
    def name(self) -> str:
        return self.noise.name

    @property
    def inside_db(self) -> Array:
        """Level in the room [dB] (27,)."""
        return self.passed.level_db

    @property
    def margin_db(self) -> Array:
        """Excess over what the background and the threshold of hearing hide [dB] (27,)."""
        return self.passed.margin_db

    @property
    def share(self) -> Mapping[str, float]:
        """Part of the A-weighted energy inside by side, what flanks included; adds up to 1."""
        return self.passed.by_side

    @property
    def outside_dba(self) -> float:
        return float(dba(self.outside_db))

    @property
    def inside_dba(self) -> float:
        return self.passed.dba

    @property
    def limits_dba(self) -> tuple[float, float]:
        """5 % and 95 % limits of the level inside [dBA]."""
        return self.passed.limits_dba

    @property
    def sigma_db(self) -> float:
        """Standard deviation of the level inside [dBA]."""
        return self.passed.sigma_db

    @property
    def margin_sigma_db(self) -> float:
        """Standard deviation of the margin [dB]."""
        return self.passed.margin_sigma_db

    @property
    def margin(self) -> float:
        """The largest excess of any band [dB]."""
        return self.passed.margin

    @property
    def plainest_hz(self) -> float:
        """The band that sticks out most [Hz]."""
        return self.passed.plainest_hz

    @property
    def verdict(self) -> str:
        return self.passed.verdict

    @property
    def chance(self) -> float:
        """Probability that it is heard."""
        return self.passed.chance

    @property
    def weakest(self) -> str:
        """The side (or what flanks) that lets most of it in."""
        return max(self.share, key=self.share.__getitem__)

    @property
    def way_in(self) -> str:
        """The weakest side in words; its vent, where that lets most in."""
        path = self.passed.paths[self.passed.strongest]
        if path.kind != "vent" or path.side != self.weakest:
            return self.weakest
        return f"{path.name.removeprefix(f'{path.side}: ')} in the {path.side}"

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        low, high = self.limits_dba
        return {
            "name": self.name,
            "faces": self.noise.faces,
            "outside_dba": self.outside_dba,
            "inside_dba": self.inside_dba,
            "low_dba": low,
            "high_dba": high,
            "bands_hz": THIRD_OCTAVES,
            "outside_db": self.outside_db,
            "inside_db": self.inside_db,
            "low_db": self.passed.limits_db[0],
            "high_db": self.passed.limits_db[1],
            "margin_db": self.margin,
            "margin_low_db": self.passed.margin_limits[0],
            "margin_high_db": self.passed.margin_limits[1],
            "verdict": self.verdict,
            "chance_heard": self.chance,
            "strongest_path": strongest_path(self.passed),
        }


def strongest_path(heard: Passed) -> dict[str, Any]:
    """The path that lets most through: what closing it, and what closing all others, would come to."""
    rest = heard.without_strongest
    return {
        "name": heard.paths[heard.strongest].name,
        "share": float(heard.share[heard.strongest]),
        "without_dba": rest.dba if rest else None,
        "without_verdict": rest.verdict if rest else "not audible",
        "alone_dba": heard.ceiling.dba,
        "alone_verdict": heard.ceiling.verdict,
    }


@dataclass(frozen=True)
class Shell:
    """The sides of a room with its absorption area [m2] and background [dB], both (27,).

    The room has a `volume` [m3] and rings for `reverberation` [s] (27,). `flanking` by the word of the room
    it comes from; `linings` [dB] (27,) put on flanking elements, by name.
    """

    sides: tuple[SideFound, ...]
    absorption: Array
    background_db: Array
    reverberation: Array
    volume: float
    flanking: Mapping[str, FlankingFound] = field(default_factory=dict)
    linings: Mapping[str, Array] = field(default_factory=dict)
    finder: Finder = field(default_factory=Finder, compare=False)

    def replaced(self, new: SideFound) -> Shell:
        """The shell with the side of this name replaced."""
        sides = tuple(new if old.side.name == new.side.name else old for old in self.sides)
        return replace(self, sides=sides)

    def find(self, side: Side) -> SideFound:
        """What a side would let through in this shell."""
        return self.finder.side(side, flanked=side.faces in self.flanking)

    def facing(self, word: str) -> tuple[SideFound, ...]:
        """The sides that face this word."""
        return tuple(found for found in self.sides if found.side.faces == word)

    def round_about(self, word: str) -> tuple[Path, ...]:
        """Flanking paths from the room this word names: one for each element that flanks."""
        if word not in self.flanking:
            return ()
        wall = flanking_rooms.largest([found.side for found in self.facing(word)])
        lined = self.flanking[word].lined(
            wall_db=self.finder.lining(wall.construction), flanks_db=self.linings
        )
        sigma = (lined.down_db + lined.up_db) / (2.0 * 1.645)
        by_name: dict[str, Array] = {}
        for path in lined.paths:
            by_name[path.name] = by_name.get(path.name, 0.0) + transmission_area(path.difference_db)
        return tuple(
            Path(f"flanking: {name}", f"flanking ({word})", "flanking", tau, sigma)
            for name, tau in by_name.items()
        )

    def paths(self, word: str) -> tuple[Path, ...]:
        """Every path from this word: through the sides that face it, and round about."""
        direct = [path for found in self.facing(word) for path in found.paths]
        return (*direct, *self.round_about(word))

    def composite(self, word: str) -> Array:
        """Transmission loss [dB] (27,) of all that faces this word, re the area of the sides."""
        area = sum(found.side.area for found in self.facing(word))
        return -10.0 * np.log10(sum(path.tau_area for path in self.paths(word)) / area)

    def hear(self, noise: Noise) -> Heard:
        """How a noise is heard inside."""
        if noise.impact is not None:
            return self._footsteps(noise)
        outside = levels.at_facade(noise)
        field_db = facade.FIELD_DB[levels.field(noise)]
        exposures = {found.side.name: found.exposure_db for found in self.sides if not noise.indoors}
        paths, exposure = [], []
        for word, weaker in noise.reaches.items():
            for path in self.paths(word):
                paths.append(path)
                exposure.append(exposures.get(path.side, 0.0) - weaker)
        heard = passed(
            outside,
            paths,
            transfer_db=field_db - 10.0 * np.log10(self.absorption),
            background_db=self.background_db,
            spread_db=noise.spectrum.spread_db,
            exposure_db=exposure,
        )
        return Heard(noise, outside, heard)

    def _footsteps(self, noise: Noise) -> Heard:
        """The loudest moment of each step; what stands as outside is what a bare slab would let through."""
        sides = self.facing(noise.faces)
        under, paths = impact.footsteps(
            noise,
            [found.side for found in sides],
            absorption=self.absorption,
            time=self.reverberation,
            volume=self.volume,
        )
        paths = tuple(self._behind(path, sides) for path in paths)
        heard = passed(
            under,
            paths,
            transfer_db=0.0,
            background_db=self.background_db,
            spread_db=noise.spectrum.spread_db,
        )
        return Heard(noise, under, heard)

    def _behind(self, path: Path, sides: Sequence[SideFound]) -> Path:
        """Footsteps behind what an inner shell hangs under the ceiling: it takes what it takes of sound in
        the air; nothing where the side is as described."""
        found = next(one for one in sides if one.side.name == path.side)
        alone = self.find(found.side)
        less = np.maximum(found.tau_area / alone.tau_area, 10.0 ** (-impact.MOST_HUNG_DB / 10.0))
        return replace(path, tau_area=path.tau_area * less)


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


def _flanking(room: Room) -> dict[str, FlankingFound]:
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


def absorption(
    size: Sequence[float], *, furnishing: str, reverberation_time: Array | None
) -> tuple[Array, Array]:
    """Absorption area [m2] and reverberation time [s], both (27,), of a room `size` [m]."""
    length, width, height = size
    time = reverberation_time
    if time is None:
        time = reverberation.of_furnishing(furnishing, size=(length, width, height))
    return facade.absorption_area(volume=length * width * height, reverberation_time=time), time


def of_room(room: Room, finder: Finder | None = None) -> Shell:
    """The shell of a described room; `finder` gives the physics its material values."""
    finder = finder or Finder()
    area, time = absorption(room.size, furnishing=room.furnishing, reverberation_time=room.reverberation_time)
    flanking = _flanking(room)
    return Shell(
        sides=tuple(finder.side(side, flanked=side.faces in flanking) for side in room.sides),
        absorption=area,
        background_db=levels.of_background(room.background),
        reverberation=time,
        volume=room.volume,
        flanking=flanking,
        finder=finder,
    )


def together(heard: tuple[Heard, ...]) -> float:
    """A-weighted level [dBA] of all noises at once."""
    return float(energy_sum([one.inside_dba for one in heard]))
