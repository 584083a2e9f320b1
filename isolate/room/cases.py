"""The sounds of a room as cases for draws: what is not known of each source, of rooms and backgrounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from isolate.bands import Array
from isolate.describe.noises import NoiseSpectrum
from isolate.describe.rooms import Background, Noise, Room
from isolate.room import levels, prediction, unknowns
from isolate.room.chances import Case
from isolate.room.contributions import Contribution, Flat, Pitch, Smooth
from isolate.room.element_unknowns import ElementUnknowns
from isolate.room.elements import Element
from isolate.room.envelope import Envelope
from isolate.room.received import Received

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
    """Makes cases of one room; what elements have in common is found once."""

    room: Room
    _losses: dict[int, tuple[Element, tuple[Contribution, ...]]] = field(default_factory=dict)
    _parts: dict[str, tuple[Contribution, ...]] = field(default_factory=dict)

    def of(self, sound: Received, envelope: Envelope) -> Case:
        """A sound as it is received behind an envelope."""
        if isinstance(sound.source, Noise):
            noise = sound.source
            parts = self._source(noise.name, noise.spectrum, sound.made_db, indoors=noise.indoors)
            parts = (*parts, *self._absorbed("the room", self.room.reverberation_time))
            quiet = self.background("", self.room.background)
            others = {when: levels.of_background(one) for when, one in self.room.backgrounds.items()}
        else:
            assert sound.neighbour is not None
            parts, others = self._next_door(sound), {}
            quiet = self.background(f"at {sound.where}", sound.neighbour.background)
        losses = self.losses(sound.elements, envelope)
        return Case(sound.level_db, sound.part, sound.background_db, parts, losses, quiet, others)

    def _next_door(self, sound: Received) -> tuple[Contribution, ...]:
        """What is not known of an own sound and of the room it is heard in."""
        neighbour = sound.neighbour
        assert neighbour is not None
        parts = self._source(sound.what, sound.source.spectrum, sound.made_db, own=True)
        if neighbour.distance is not None and neighbour.facade is None:
            return parts
        return (*parts, *self._absorbed(f"the room of {neighbour.name}", neighbour.reverberation_time))

    def losses(self, elements: Sequence[Element], envelope: Envelope) -> tuple[tuple[Contribution, ...], ...]:
        """What is not known of each element's loss in an envelope."""
        sides = {found.side.name: found for found in envelope.sides}
        unsure = ElementUnknowns(envelope.finder)
        for one in elements:
            if id(one) not in self._losses:
                self._losses[id(one)] = (one, unsure.of(one, sides))
        return tuple(self._losses[id(one)][1] for one in elements)

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
