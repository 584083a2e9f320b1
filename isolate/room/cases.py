"""The sounds of a room as cases for draws: what is not known of each source, of rooms and backgrounds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from isolate.bands import Array
from isolate.describe.noises import NoiseSpectrum
from isolate.describe.rooms import Background, Room
from isolate.room import levels, prediction, unknowns
from isolate.room.chances import Case
from isolate.room.contributions import Contribution, Flat, Pitch, Smooth
from isolate.room.element_unknowns import PathUnknowns
from isolate.room.elements import Path, SideFound
from isolate.room.envelope import Heard, Shell
from isolate.room.neighbours import HeardNextDoor
from isolate.room.received import Passed

# Standard deviations [dB]; common practice, no source.
STATED_DB, RECORDED_DB = 2.0, 1.0  # of a level as stated, and as recorded by band
PITCH_DB = {
    "read": 1.5,
    "memory": 3.0,
    "demo": 3.0,
    "own": 0.0,
}  # of a spectrum's bands at its level, by basis
BY_WORD_DB, BY_TIME_DB = 1.5, 0.7  # of a room's absorption, by a word for its furnishing or its measured time


@dataclass
class Cases:
    """Makes cases of one room; what paths have in common is found once."""

    room: Room
    paths: PathUnknowns = field(default_factory=PathUnknowns)
    _losses: dict[int, tuple[Path, tuple[Contribution, ...]]] = field(default_factory=dict)
    _parts: dict[str, tuple[Contribution, ...]] = field(default_factory=dict)

    def inside(self, heard: Heard, shell: Shell) -> Case:
        """A noise heard in the room."""
        noise = heard.noise
        sound = (
            *self._source(noise.name, noise.spectrum, heard.outside_db, indoors=noise.indoors),
            *self._absorbed("the room", self.room.reverberation_time),
        )
        others = {when: levels.of_background(one) for when, one in self.room.backgrounds.items()}
        return self._case(heard.passed, shell, sound, self.background("", self.room.background), others)

    def next_door(self, heard: HeardNextDoor, shell: Shell) -> Case:
        """An own sound heard at a neighbour."""
        own, neighbour = heard.own, heard.neighbour
        sound = self._source(own.name, own.spectrum, heard.made_db, own=True)
        if neighbour.distance is None or neighbour.facade is not None:
            sound = (*sound, *self._absorbed(f"the room of {neighbour.name}", neighbour.reverberation_time))
        quiet = self.background(f"at {neighbour.name}", neighbour.background)
        return self._case(heard.passed, shell, sound, quiet, {})

    def _case(
        self,
        passed: Passed,
        shell: Shell,
        sound: tuple[Contribution, ...],
        quiet: tuple[Contribution, ...],
        others: Mapping[str, Array],
    ) -> Case:
        sides = {found.side.name: found for found in shell.sides}
        losses = tuple(self.loss(path, sides) for path in passed.paths)
        return Case(passed.level_db, passed.part, passed.background_db, sound, losses, quiet, others)

    def loss(self, path: Path, sides: Mapping[str, SideFound]) -> tuple[Contribution, ...]:
        """What is not known of a path's loss; `sides` by name."""
        if id(path) not in self._losses:
            self._losses[id(path)] = (path, self.paths.of(path, sides))
        return self._losses[id(path)][1]

    def _once(self, key: str, parts: Sequence[Contribution]) -> tuple[Contribution, ...]:
        return self._parts.setdefault(key, tuple(parts))

    def _source(
        self,
        name: str,
        spectrum: NoiseSpectrum,
        level_db: Array,
        *,
        indoors: bool = False,
        own: bool = False,
    ) -> tuple[Contribution, ...]:
        """Events differ; the level is known as well as stated, its bands as where they come from."""
        unknown = unknowns.source(name, indoors=indoors, own=own)
        recorded = spectrum.basis == "own"
        key = f"own {name}" if own else name
        parts: list[Contribution] = [
            Flat(unknowns.events(name), f"events {key}", spectrum.spread_db),
            Flat(unknown, f"level {key}", RECORDED_DB if recorded else STATED_DB),
        ]
        if PITCH_DB[spectrum.basis] > 0.0:
            parts.append(Pitch(unknown, f"pitch {key}", PITCH_DB[spectrum.basis], level_db))
        return self._once(f"source {key}", parts)

    def _absorbed(self, whose: str, time: Array | None) -> tuple[Contribution, ...]:
        sigma = BY_WORD_DB if time is None else BY_TIME_DB
        key = f"absorption {whose}"
        part = Smooth(unknowns.reverberation(whose), ((key, 1.0),), sigma + 0.0 * prediction.LABORATORY_DB)
        return self._once(key, [part])

    def background(self, where: str, stated: Background) -> tuple[Contribution, ...]:
        """What is not known of a background; `where` it is, empty for the room's own."""
        sigma = prediction.BACKGROUND_DB if stated.level_db is None else RECORDED_DB
        key = f"background {where}"
        return self._once(key, [Flat(unknowns.background(where), key, sigma)])
