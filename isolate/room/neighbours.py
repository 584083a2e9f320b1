"""What neighbours hear of the sounds made in the room, and how much the elements between keep from them.

A sound made inside keeps its power: where the room absorbs less than it was described with, it gets louder.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.describe.rooms import Neighbour, Own, Room
from isolate.physics import between, facade
from isolate.room import impact, levels, limits, when
from isolate.room.elements import Element
from isolate.room.envelope import Envelope, absorption, of_described
from isolate.room.received import Received, received
from isolate.standards import ratings
from isolate.standards.scales import SpeechPrivacy, speech_privacy
from isolate.standards.weighting import dba


@dataclass(frozen=True)
class AtNeighbour:
    """One neighbour: the `elements` to them, `difference_db` (27,), D_nT into a room and None outdoors, and
    how each own sound is heard there."""

    neighbour: Neighbour
    elements: tuple[Element, ...]
    difference_db: Array | None
    heard: tuple[Received, ...]

    @property
    def name(self) -> str:
        return self.neighbour.name

    @property
    def background_dba(self) -> float:
        return float(dba(levels.of_background(self.neighbour.background)))

    @property
    def dnt_w(self) -> int | None:
        """Weighted standardised level difference D_nT,w [dB] (ISO 717-1); None outdoors."""
        return None if self.difference_db is None else int(ratings.rw(self.difference_db))

    @property
    def c(self) -> int | None:
        """Spectrum adaptation term C of D_nT,w [dB]."""
        return None if self.difference_db is None else int(ratings.adaptation(self.difference_db)[0])

    @property
    def speech(self) -> SpeechPrivacy | None:
        """What becomes of speech on its way there (STC of D_nT, for speech only); None outdoors."""
        if self.difference_db is None:
            return None
        return speech_privacy(float(ratings.stc(self.difference_db)), background_dba=self.background_dba)

    @property
    def worst(self) -> Received | None:
        """The own sound that sticks out most there."""
        return max(self.heard, key=lambda one: one.margin, default=None)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        one = self.neighbour
        return {
            "name": one.name,
            "through": one.through,
            "outdoors": one.distance is not None,
            "distance_m": one.distance,
            "background_dba": self.background_dba,
            "dnt_w": self.dnt_w,
            "c": self.c,
            "dnt_db": self.difference_db,
            "stc": None if self.difference_db is None else int(ratings.stc(self.difference_db)),
            "speech": self.speech.words if self.speech else None,
            "speech_privacy": self.speech.grade if self.speech else None,
            "sounds": [heard.to_dict() for heard in self.heard],
        }


def elements_to(envelope: Envelope, neighbour: Neighbour) -> tuple[Element, ...]:
    """Every element towards a neighbour: through the sides named, and round about where they are next
    door."""
    sides = [found for found in envelope.sides if found.side.name in neighbour.through]
    direct = [one for found in sides for one in found.elements]
    words = dict.fromkeys(found.side.faces for found in sides) if neighbour.distance is None else {}
    return (*direct, *(one for word in words for one in envelope.round_about(word)))


def _transfer(room: Room, envelope: Envelope, neighbour: Neighbour) -> Array:
    """What to add to L + 10 lg(sum(tau S)) for the level at a neighbour [dB] (27,)."""
    area, _ = _their_room(room, neighbour)
    if neighbour.distance is None:
        return facade.FIELD_DB["room"] - 10.0 * np.log10(area)
    sides = [found.side.area for found in envelope.sides if found.side.name in neighbour.through]
    outdoors = between.outside_transfer(distance=neighbour.distance, area=sum(sides))
    if neighbour.facade is None:
        return outdoors + np.zeros_like(area)
    behind = envelope.finder.side(neighbour.facade)
    level = facade.level_inside(0.0, behind.tau_area, absorption=area, field="arriving")
    return outdoors + behind.exposure_db + level


def _their_room(room: Room, neighbour: Neighbour) -> tuple[Array, Array]:
    """Absorption area [m2] and reverberation time [s] of a neighbour's room."""
    return absorption(
        neighbour.size or room.size,
        furnishing=neighbour.furnishing,
        reverberation_time=neighbour.reverberation_time,
    )


def found(room: Room, envelope: Envelope) -> tuple[AtNeighbour, ...]:
    """What each neighbour of the room hears of each sound made in it."""
    return tuple(_found(room, envelope, one) for one in room.neighbours)


def _found(room: Room, envelope: Envelope, neighbour: Neighbour) -> AtNeighbour:
    elements = elements_to(envelope, neighbour)
    difference: Array | None = None
    if neighbour.distance is None and elements:
        area, time = _their_room(room, neighbour)
        tau_area = np.asarray(sum(one.tau_area for one in elements))
        level = between.level_difference(tau_area, absorption=area)
        difference = between.standardised(level, reverberation_time=time)
    if not elements:
        return AtNeighbour(neighbour, elements, difference, ())
    transfer = _transfer(room, envelope, neighbour)
    louder = 10.0 * np.log10(of_described(room) / envelope.absorption)
    heard = []
    for own in room.own:
        by_floor = _by_floor(own, louder, room, envelope, neighbour, transfer)
        heard.append(_heard(own, louder, neighbour, (*elements, *by_floor), transfer))
    return AtNeighbour(neighbour, elements, difference, tuple(heard))


def _by_floor(
    own: Own, louder_db: Array, room: Room, envelope: Envelope, neighbour: Neighbour, transfer_db: Array
) -> tuple[Element, ...]:
    """What an own sound puts into the floor it stands on, as it reaches a neighbour next door."""
    if neighbour.distance is not None:
        return ()
    length, width, height = neighbour.size or room.size
    through = [one.side for one in envelope.sides if one.side.name in neighbour.through]
    floats = bool(np.any(envelope.floor_gain_db))  # an inner floor stands on the one that is described
    return impact.out_of_the_room(
        own,
        impact.stood_on(room.sides, room.underfoot) if floats else envelope.stands_on,
        through,
        made_db=levels.made_inside(own) + louder_db,
        transfer_db=transfer_db,
        absorption=_their_room(room, neighbour)[0],
        volume=length * width * height,
        gain_db=envelope.floor_gain_db,
        walls=next((envelope.walls.get(x.faces) for x in through if x.lies == "below"), None)
        or impact.NO_WALLS,
    )


def into_floor(sound: Received, room: Room, envelope: Envelope) -> tuple[Element, ...]:
    """The elements by which an own sound reaches its neighbour through the floor of this envelope."""
    louder = 10.0 * np.log10(of_described(room) / envelope.absorption)
    return _by_floor(sound.own, louder, room, envelope, sound.to, _transfer(room, envelope, sound.to))


def _heard(
    own: Own, louder_db: Array, neighbour: Neighbour, elements: Sequence[Element], transfer_db: Array
) -> Received:
    background = levels.of_background(when.background(neighbour, own.hours))
    arrives = received(
        own,
        levels.made_inside(own) + louder_db,
        elements,
        transfer_db=transfer_db,
        background_db=background,
        neighbour=neighbour,
    )
    kept = tuple(
        limits.against(limit, level_db=arrives.level_db, background_db=background)
        for limit in when.limits_in(neighbour, own.hours)
    )
    return replace(arrives, limits=kept)
