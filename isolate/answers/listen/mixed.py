"""The take a noise is mixed into, and recordings of the user's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

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
_ABSENT_DB = -100.0  # level of a band that a recording does not hold


@dataclass(frozen=True)
class InTake:
    """The take a noise is mixed into: `at` its microphone, `reduction_db` of the compressor; `played` a
    recording of the playing, None: made by us."""

    take: Take
    at: AtMicrophone
    reduction_db: float
    played: Path | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return {
            "name": self.take.name,
            "plays": self.take.own.name,
            "recording": str(self.played) if self.played else None,
            "distance_m": self.take.distance,
            "played_dba": self.at.played_dba,
            "compression_db": self.reduction_db,
        }


def in_take(now: Scenario, asked: str | None) -> InTake | None:
    """The take to mix the noise into: by name, with a recording of the playing, or the room's first."""
    built = now.room
    known = built.takes or tuple(Take(own.name, own, USUAL_DISTANCE) for own in built.own)
    played = Path(asked) if asked is not None and asked.lower().endswith(".wav") else None
    if not known and (played or asked is None):
        if played is None:
            return None
        known = (Take("take", Own("playing", noises.load("speech")), USUAL_DISTANCE),)
    chosen: Take = named(known, None if played else asked, "take", "the room has no take of this name")
    in_room, there = chosen.own in built.own, chosen
    if played is not None:
        level = Level(float(dba(levels.made_inside(chosen.own))))
        there = replace(chosen, own=Own(chosen.own.name, recorded_spectrum(played), level))
    at = takes.at_microphone(there, absorption=now.envelope.absorption, played_in_room=in_room)
    return InTake(chosen, at, chosen.reduction_db or USUAL_COMPRESSION_DB, played)


def named(known: Sequence[Any], name: str | None, argument: str, what: str) -> Any:
    """The one of this name, or the first where none is asked for."""
    for one in known:
        if name is None or one.name.casefold() == name.strip().casefold():
            return one
    names = ", ".join(one.name for one in known) or "none"
    raise InputError(f"{argument}: {what} (got {name!r}); it has: {names}")


def recorded_spectrum(path: Path) -> NoiseSpectrum:
    """The spectrum of a recording, the bands it does not hold empty; its level says nothing yet."""
    from isolate.measuring import recording  # late: its filters take their time to load

    level_db = recording.listen(path).level_db
    return NoiseSpectrum(
        path.name, path.name, np.where(np.isfinite(level_db), level_db, _ABSENT_DB), f"recording {path.name}",
        "own",
    )  # fmt: skip
