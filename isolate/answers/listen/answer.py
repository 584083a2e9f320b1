"""What would it sound like? One sound where it is made, and where it arrives in each state of the room.

A noise outside is heard in the room; what is played in the room is heard by a neighbour. The answer says by
how much less each state lets through in each band, how the place rings and how quiet it is;
`show/sound/scenes.py` makes sound of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.listen.mixed import InTake, Recorded, in_take, named
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import prices, rooms
from isolate.describe.noises import Level
from isolate.describe.rooms import Neighbour, Noise, Room
from isolate.errors import InputError
from isolate.remedies import panels
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.remedies.combined import Combined
from isolate.remedies.contrast import Contrast, contrast, weak_side, with_noise
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.judgement import judge
from isolate.remedies.making import of_options
from isolate.remedies.remedy import Remedy
from isolate.room import DRAWS, SEED, levels, scenario
from isolate.room.envelope import absorption
from isolate.room.received import Received
from isolate.room.scenario import Sampled, Scenario
from isolate.standards.weighting import dba

SECONDS, SHORTEST, LONGEST = 10.0, 3.0, 60.0
CALIBRATION_DBA = 65.0  # of the noise to set the volume by: as loud as talk across a table
HEARD = ("panels", "cure", "second", "inner")  # of a contrast, what is made audible
USUAL_OUTDOORS = 0.8  # [s] of a street or garden, for an ear outdoors
_ALIKE = (
    "All files have one gain: what differs between them is what the building does. Play them one after the "
    "other and leave the volume alone.",
    "Every third octave that the sound reaches lies below that of the first file by what is computed for the "
    "state, as typical; the ranges of the answer are not made audible.",
    "Sound arrives as a diffuse field and rings as the place does; from where it comes, and where in the "
    "room one stands, is not in it.",
)


@dataclass(frozen=True)
class Scene:
    """One place to listen: `level_db` of the sound there and `difference_db`, how much less than where it is
    made, both (27,). Where it arrives: `received`, the `time` [s] (27,) the place rings, `gain_db` softer
    than now [dBA]; None where it is made."""

    key: str
    name: str
    level_db: Array
    difference_db: Array
    received: Received | None = None
    time: Array | None = None
    gain_db: float | None = None

    @property
    def dba(self) -> float:
        """Level of the sound [dBA]."""
        return float(dba(self.level_db))

    @property
    def verdict(self) -> str:
        """Whether it is heard; empty where it is made."""
        return self.received.verdict if self.received else ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return {
            "key": self.key,
            "name": self.name,
            "level_dba": self.dba,
            "gain_dba": self.gain_db,
            "margin_db": self.received.margin if self.received else None,
            "verdict": self.verdict or None,
            "bands_hz": THIRD_OCTAVES,
            "level_db": self.level_db,
            "difference_db": self.difference_db,
            "reverberation_s": self.time,
        }


@dataclass(frozen=True, repr=False)
class Listening(Answer):
    """What to make audible of `sound`, which the catalogue knows as `source`: `scenes`, the first where it is
    made, and `background_db` (27,) where it arrives. `recorded`: the sound as the user recorded it, None:
    made by us, `seconds` long, from `seed`. `at`: the neighbour, None: the room itself."""

    room: Room
    sound: str
    source: str
    scenes: tuple[Scene, ...]
    background_db: Array
    in_take: InTake | None
    recorded: Recorded | None
    seconds: float
    seed: int
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    at: Neighbour | None = None

    def scene(self, key: str) -> Scene | None:
        """The scene of this key, None where there is none."""
        return next((one for one in self.scenes if one.key == key), None)

    @property
    def made(self) -> Scene:
        """Where the sound is made."""
        return self.scenes[0]

    @property
    def arriving(self) -> tuple[Scene, ...]:
        """Where it arrives, in each state."""
        return self.scenes[1:]

    @property
    def background_dba(self) -> float:
        return float(dba(self.background_db))

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "sound": self.sound,
            "neighbour": self.at.name if self.at else None,
            "recording": str(self.recorded.path) if self.recorded else None,
            "seconds": self.seconds,
            "seed": self.seed,
            "background_dba": self.background_dba,
            "background_db": self.background_db,
            "calibration_dba": CALIBRATION_DBA,
            "scenes": [one.to_dict() for one in self.scenes],
            "take": self.in_take.to_dict() if self.in_take else None,
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("listen", inputs.room(self.room), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a scene and third octave."""
        rows = [
            [one.key, one.name, band, level, less]
            for one in self.scenes
            for band, level, less in zip(THIRD_OCTAVES, one.level_db, one.difference_db, strict=True)
        ]
        return ["key", "scene", "band_hz", "level_db", "difference_db"], rows


@dataclass(frozen=True)
class How:
    """How it is to sound: the sound as `recorded` instead of one made by us, its `level` instead of the
    room's own, `seconds` and `seed` of what we make; `take`: a take of the room by name, None: the room's
    first; `played`: a recording of the playing for it; `takes` False: none at all."""

    recorded: Recorded | None = None
    level: Level | None = None
    seconds: float = SECONDS
    seed: int = SEED
    take: str | None = None
    played: Recorded | None = None
    takes: bool = True

    def __post_init__(self) -> None:
        if not SHORTEST <= self.seconds <= LONGEST:
            raise InputError(f'seconds: out of range (got {self.seconds:g} s); write "3 s" to "60 s"')


def inwards(
    described: Room | str | None = None,
    *,
    noise: str | None = None,
    options: Sequence[str] = (),
    count: int | None = None,
    how: How | None = None,
    draws: int = DRAWS,
) -> Listening:
    """Answer: what would a noise outside sound like in here, now and with panels, second pane, inner room?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    noise : name of one of its noises; None: its siren, or its first.
    options : names of the room's options to hear too.
    count : how many panels; None: a dozen.

    Raises
    ------
    InputError
        A room, noise, option, take or file that does not work.
    """
    how = how or How()
    built = described if isinstance(described, Room) else rooms.load(described)
    built, chosen = restated(*with_noise(built, noise), how)
    sampled = Sampled(built, count=draws)
    judged = judge(scenario.present(built), sampled=sampled)
    plan = panels.planned(judged.now, count=count)
    found = contrast(judged, chosen, plan)
    tried = judged.also(_chosen(built, judged.now, options)) if options else []
    return of_contrast(found, tried=tried, how=how)


def of_contrast(found: Contrast, *, tried: Sequence[Effect] = (), how: How | None = None) -> Listening:
    """The same of a contrast that is there already, and of other changes `tried`."""
    how = how or How()
    now, before = found.now, found.before
    scenes = [
        Scene("outside", f"outside, at the {found.weak.side.name}", now.made_db, np.zeros(27)),
        _arriving("now", "in the room as it is", now, now.made_db, before, now),
    ]
    for key, effect in found.effects:
        if key in HEARD:
            time = found.eyring if key == "panels" else before
            scenes.append(_arriving(key, effect.name, found.then(effect), now.made_db, time, now))
    for effect in tried:
        scenes.append(_arriving(effect.name, effect.name, found.then(effect), now.made_db, before, now))
    quiet = found.scenario.envelope.background_db
    return Listening(
        room=found.room,
        sound=_called(found.noise.name, how),
        source=found.noise.character,
        scenes=tuple(scenes),
        background_db=quiet,
        in_take=in_take(found.scenario, how.take, how.played) if how.takes else None,
        recorded=how.recorded,
        seconds=how.seconds,
        seed=how.seed,
        notes=_notes(how),
        cautions=_cautions(scenes, quiet),
    )


def of_effect(found: Effect, noise: str) -> Listening:
    """A noise as a room is and with changes made, whichever they are."""
    room, now, then = found.before.room, found.before.sound(noise), found.after.sound(noise)
    weak = weak_side(found.before, now)
    time = found.before.envelope.reverberation
    scenes = [
        Scene("outside", f"outside, at the {weak.side.name}", now.made_db, np.zeros(27)),
        _arriving("now", "in the room as it is", now, now.made_db, time, now),
        *([_arriving("then", found.name, then, now.made_db, time, now)] if found.remedies else []),
    ]
    quiet = found.before.envelope.background_db
    return Listening(
        room=room, sound=noise, source=now.noise.character, scenes=tuple(scenes), background_db=quiet,
        in_take=None, recorded=None, seconds=SECONDS, seed=SEED, notes=_notes(How()),
        cautions=_cautions(scenes, quiet),
    )  # fmt: skip


def outwards(
    described: Room | str | None = None,
    *,
    own: str | None = None,
    neighbour: str | None = None,
    options: Sequence[str] = (),
    how: How | None = None,
    draws: int = DRAWS,
) -> Listening:
    """Answer: what does a neighbour hear of what is played here, now and with the room's options?

    `own`: one of the sounds made in the room, None: its first; `neighbour`: None: the one who hears it best;
    `options`: names, none: all that change anything for them.

    Raises
    ------
    InputError
        A room, sound, neighbour, option or file that does not work.
    """
    how = how or How()
    built = described if isinstance(described, Room) else rooms.load(described)
    played = named(built.own, own, "own", "the room plays nothing of this name")
    if how.recorded is not None or how.level is not None:
        made = levels.made_inside(played)
        spectrum = played.spectrum if how.recorded is None else how.recorded.spectrum
        stated = replace(played, spectrum=spectrum, level=how.level or Level(float(dba(made))))
        built = replace(built, own=tuple(stated if one is played else one for one in built.own))
        played = stated
    first = scenario.present(built)
    there = [one for one in first.sounds if one.source is played]
    if neighbour is None and there:
        neighbour = max(there, key=lambda one: one.margin).where
    listener = named(built.neighbours, neighbour, "neighbour", "the room has no neighbour of this name")
    remedies = list(_chosen(built, first, options))
    combined = Combined(first, remedies)
    then = [combined.scenario(frozenset({i})) for i in range(len(remedies))]
    first, *then = Sampled(built, count=draws).scenarios([first, *then])
    now = next(one for one in first.sounds if one.source is played and one.where == listener.name)
    time = _time_at(listener, built)
    scenes = [
        Scene("made", "in the room", now.made_db, np.zeros(27)),
        _arriving("now", f"{listener.name} now", now, now.made_db, time, now),
    ]
    for remedy, state in zip(remedies, then, strict=True):
        heard = state.sound(now.name)
        if options or now.dba - heard.dba > 0.5:
            scenes.append(_arriving(remedy.name, remedy.name, heard, now.made_db, time, now))
    quiet = levels.of_background(listener.background)
    return Listening(
        room=built,
        sound=_called(played.name, how),
        source=played.spectrum.name,
        scenes=tuple(scenes),
        background_db=quiet,
        in_take=None,
        recorded=how.recorded,
        seconds=how.seconds,
        seed=how.seed,
        notes=_notes(how),
        cautions=_cautions(scenes, quiet),
        at=listener,
    )


def _arriving(key: str, name: str, heard: Received, made_db: Array, time: Array, now: Received) -> Scene:
    return Scene(key, name, heard.level_db, made_db - heard.level_db, heard, time, now.dba - heard.dba)


def _chosen(built: Room, first: Scenario, options: Sequence[str]) -> list[Remedy]:
    """The room's options that are asked for, or all."""
    every = list(of_options(built, first.envelope, prices.bundled()))
    if not options:
        return every
    what = "the room has no option of this name"
    wanted = {named(built.options, name, "option", what).name for name in options}
    return [one for one in every if one.name in wanted]


def _time_at(listener: Neighbour, built: Room) -> Array:
    """Reverberation time [s] (27,) where a neighbour listens."""
    if listener.distance is not None and listener.facade is None:
        return np.full(27, USUAL_OUTDOORS)
    size = listener.size or built.size
    return absorption(size, furnishing=listener.furnishing, reverberation_time=listener.reverberation_time)[1]


def restated(room: Room, noise: Noise, how: How) -> tuple[Room, Noise]:
    """The room with the noise as the user recorded it, or at the level they state, where its own level
    holds."""
    if how.recorded is None and how.level is None:
        return room, noise
    spectrum = noise.spectrum if how.recorded is None else how.recorded.spectrum
    level = how.level or Level(float(dba(levels.at_facade(noise))))
    stated = replace(noise, spectrum=spectrum, level=level, at=noise.distance, shielding_db=0.0)
    noises = tuple(stated if one is noise else one for one in room.noises)
    return replace(room, noises=noises), stated


def _called(name: str, how: How) -> str:
    """What the sound is called: the user's recording by its file, not by the noise whose place it takes."""
    return how.recorded.path.stem if how.recorded else name


def _notes(how: How) -> tuple[str, ...]:
    made = (
        f"The sound is the recording {how.recorded.path.name}, its first minute where it is longer, the "
        "loudest second at the level stated."
        if how.recorded
        else "The sound is made by us, in the spectrum and at the level stated; nobody recorded it. What "
        "passes has its level at the loudest second, what lasts on the mean."
    )
    return (*_ALIKE, made)


def _cautions(scenes: Sequence[Scene], background_db: Array) -> tuple[Caution, ...]:
    """The softest that is played is the quiet of the place, which lies under every sound in it."""
    return raised(Facts(played_back=(max(one.dba for one in scenes), float(dba(background_db)))))
