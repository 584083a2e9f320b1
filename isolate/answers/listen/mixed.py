"""The take a noise is mixed into, and recordings of the user's own, which `measuring` hears and hands in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from isolate.describe import noises
from isolate.describe.noises import Level, NoiseSpectrum
from isolate.describe.rooms import Own, Take
from isolate.describe.takes import USUAL_DISTANCE
from isolate.errors import InputError
from isolate.room import levels, takes
from isolate.room.scenario import Scenario
from isolate.room.takes import AtMicrophone
from isolate.standards.weighting import dba

USUAL_COMPRESSION_DB = 10.0  # where the take says nothing of a compressor; common practice, no source


@dataclass(frozen=True)
class Recorded:
    """A recording of the user's own: the file at `path`, and its `spectrum`, whose level says nothing yet."""

    path: Path
    spectrum: NoiseSpectrum


@dataclass(frozen=True)
class InTake:
    """The take a noise is mixed into: `at` its microphone, `reduction_db` of the compressor; `played` a
    recording of the playing, None: made by us."""

    take: Take
    at: AtMicrophone
    reduction_db: float
    played: Recorded | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return {
            "name": self.take.name,
            "plays": self.take.own.name,
            "recording": str(self.played.path) if self.played else None,
            "distance_m": self.take.distance,
            "played_dba": self.at.played_dba,
            "compression_db": self.reduction_db,
        }


def in_take(now: Scenario, asked: str | None, played: Recorded | None = None) -> InTake | None:
    """The take to mix the noise into: by name, or the room's first; with a recording of the playing."""
    built = now.room
    known = built.takes or tuple(Take(own.name, own, USUAL_DISTANCE) for own in built.own)
    if not known and (played or asked is None):
        if played is None:
            return None
        known = (Take("take", Own("playing", noises.load("speech")), USUAL_DISTANCE),)
    chosen: Take = named(known, asked, "take", "the room has no take of this name")
    in_room, there = chosen.own in built.own, chosen
    if played is not None:
        level = Level(float(dba(levels.made_inside(chosen.own))))
        there = replace(chosen, own=Own(chosen.own.name, played.spectrum, level))
    at = takes.at_microphone(there, absorption=now.envelope.absorption, played_in_room=in_room)
    return InTake(chosen, at, chosen.reduction_db or USUAL_COMPRESSION_DB, played)


def named(known: Sequence[Any], name: str | None, argument: str, what: str) -> Any:
    """The one of this name, or the first where none is asked for."""
    for one in known:
        if name is None or one.name.casefold() == name.strip().casefold():
            return one
    names = ", ".join(one.name for one in known) or "none"
    raise InputError(f"{argument}: {what} (got {name!r}); it has: {names}")
