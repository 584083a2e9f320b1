"""What neighbours hear of the sounds made in the room: level, verdict, the path that counts, limits kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.rooms import Neighbour, Own, Room
from isolate.physics import between, facade
from isolate.room import impact, levels, limits
from isolate.room.elements import Path
from isolate.room.envelope import Shell, absorption, strongest_path
from isolate.room.limits import LimitMet
from isolate.room.received import Passed, passed
from isolate.standards import ratings
from isolate.standards.scales import BASS, SpeechPrivacy, speech_privacy
from isolate.standards.weighting import dba, dbc


@dataclass(frozen=True)
class HeardNextDoor:
    """One own sound at one neighbour: `made_db` (27,) in the room, `passed` what arrives, `limits` there."""

    own: Own
    neighbour: Neighbour
    made_db: Array
    passed: Passed
    limits: tuple[LimitMet, ...]

    @property
    def name(self) -> str:
        return self.own.name

    @property
    def made_dba(self) -> float:
        return float(dba(self.made_db))

    @property
    def bass_db(self) -> float:
        """C-weighted less A-weighted level there [dB]: large where little but bass gets through."""
        return float(dbc(self.passed.level_db)) - self.passed.dba

    @property
    def bass(self) -> str:
        """What that difference means."""
        return next((words for least, words in BASS if self.bass_db >= least), "")

    def by(self, structure: bool) -> Array:
        """Level there [dB] (27,) of what comes by the structure from the floor, or of all the rest."""
        kinds = [(path.kind == impact.STRUCTURE) == structure for path in self.passed.paths]
        part = np.sum(self.passed.part[kinds], axis=0)
        with np.errstate(divide="ignore"):
            return np.asarray(self.passed.level_db + 10.0 * np.log10(part))

    @property
    def met(self) -> bool:
        """Whether every limit is kept."""
        return all(one.met for one in self.limits)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        heard = self.passed
        low, high = heard.limits_dba
        return {
            "name": self.name,
            "made_dba": self.made_dba,
            "level_dba": heard.dba,
            "low_dba": low,
            "high_dba": high,
            "bands_hz": THIRD_OCTAVES,
            "level_db": heard.level_db,
            "margin_db": heard.margin,
            "margin_low_db": heard.margin_limits[0],
            "margin_high_db": heard.margin_limits[1],
            "bass_db": self.bass_db,
            "bass": self.bass,
            "verdict": heard.verdict,
            "chance_heard": heard.chance,
            "strongest_path": strongest_path(heard),
            "airborne_dba": _told(self.by(False)),
            "structure_dba": _told(self.by(True)),
            "limits": [one.to_dict() for one in self.limits],
        }


def _told(level_db: Array) -> float | None:
    """A-weighted level [dB]; None where there is nothing."""
    level = float(dba(level_db))
    return level if np.isfinite(level) else None


@dataclass(frozen=True)
class NeighbourFound:
    """One neighbour: the `paths` to them, `difference_db` (27,), D_nT into a room and None outdoors, and how
    each own sound is heard there."""

    neighbour: Neighbour
    paths: tuple[Path, ...]
    difference_db: Array | None
    heard: tuple[HeardNextDoor, ...]

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
    def worst(self) -> HeardNextDoor | None:
        """The own sound that sticks out most there."""
        return max(self.heard, key=lambda one: one.passed.margin, default=None)

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


def paths_to(shell: Shell, neighbour: Neighbour) -> tuple[Path, ...]:
    """Every path to a neighbour: through the sides named, and round about where they are next door."""
    sides = [found for found in shell.sides if found.side.name in neighbour.through]
    direct = [path for found in sides for path in found.paths]
    words = dict.fromkeys(found.side.faces for found in sides) if neighbour.distance is None else {}
    return (*direct, *(path for word in words for path in shell.round_about(word)))


def _transfer(room: Room, shell: Shell, neighbour: Neighbour) -> Array:
    """What to add to L + 10 lg(sum(tau S)) for the level at a neighbour [dB] (27,)."""
    area, _ = _their_room(room, neighbour)
    if neighbour.distance is None:
        return facade.FIELD_DB["room"] - 10.0 * np.log10(area)
    sides = [found.side.area for found in shell.sides if found.side.name in neighbour.through]
    outdoors = between.outside_transfer(distance=neighbour.distance, area=sum(sides))
    if neighbour.facade is None:
        return outdoors + np.zeros_like(area)
    behind = shell.finder.side(neighbour.facade)
    level = facade.level_inside(0.0, behind.tau_area, absorption=area, field="arriving")
    return outdoors + behind.exposure_db + level


def _their_room(room: Room, neighbour: Neighbour) -> tuple[Array, Array]:
    """Absorption area [m2] and reverberation time [s] of a neighbour's room."""
    return absorption(
        neighbour.size or room.size,
        furnishing=neighbour.furnishing,
        reverberation_time=neighbour.reverberation_time,
    )


def found(room: Room, shell: Shell, *, floor_gain_db: Array | float = 0.0) -> tuple[NeighbourFound, ...]:
    """What each neighbour of the room hears of each sound made in it; floor_gain_db (27,): what something
    under the instruments takes off what they put into the floor."""
    return tuple(_found(room, shell, one, floor_gain_db) for one in room.neighbours)


def _found(
    room: Room, shell: Shell, neighbour: Neighbour, floor_gain_db: Array | float
) -> NeighbourFound:
    paths = paths_to(shell, neighbour)
    difference: Array | None = None
    if neighbour.distance is None and paths:
        area, time = _their_room(room, neighbour)
        tau_area = np.asarray(sum(path.tau_area for path in paths))
        level = between.level_difference(tau_area, absorption=area)
        difference = between.standardised(level, reverberation_time=time)
    transfer = _transfer(room, shell, neighbour)
    area, _ = _their_room(room, neighbour)
    sides = [one.side for one in shell.sides if one.side.name in neighbour.through]
    length, width, height = neighbour.size or room.size

    def by_floor(own: Own) -> tuple[Path, ...]:
        if neighbour.distance is not None:
            return ()
        made = levels.made_inside(own)
        return impact.out_of_the_room(
            own, room, sides, made_db=made, transfer_db=transfer, absorption=area,
            volume=length * width * height, gain_db=floor_gain_db,
        )  # fmt: skip

    heard = tuple(_heard(own, neighbour, (*paths, *by_floor(own)), transfer) for own in room.own if paths)
    return NeighbourFound(neighbour, paths, difference, heard)


def _heard(own: Own, neighbour: Neighbour, paths: Sequence[Path], transfer_db: Array) -> HeardNextDoor:
    made, background = levels.made_inside(own), levels.of_background(neighbour.background)
    arrives = passed(
        made, paths, transfer_db=transfer_db, background_db=background, spread_db=own.spectrum.spread_db
    )
    kept = tuple(
        limits.against(limit, level_db=arrives.level_db, background_db=background)
        for limit in neighbour.limits
    )
    return HeardNextDoor(own, neighbour, made, arrives, kept)
