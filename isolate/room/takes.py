"""What becomes of a noise in a recording: under the take, against the hiss, in the pauses.

Everything is counted at the microphone. Four words, from the quietest:

- gone: one does not hear it even where nothing is played, and would not with a microphone free of noise: the
  room or the ear hides it.
- under the hiss: only the microphone's own noise hides it.
- in the pauses: heard where nothing is played, hidden while the softest passages play.
- spoils the take: heard through the softest passages, or 10 dB and more above what hides it in the pauses.

One listens to the take so that the playing has a stated level, which says what the ear still hides.
Compression brings up what lies under the take by as much as it takes off the peaks (common practice, no
source): noise, hiss and background alike, against the playing and against the threshold of hearing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.describe import noises, words
from isolate.describe.hours import ALWAYS, DAY, NIGHT
from isolate.describe.rooms import Noise, Own, Room, Take
from isolate.describe.takes import USUAL_DISTANCE
from isolate.physics import microphone
from isolate.room import levels
from isolate.room.chances import Sample
from isolate.standards import hearing
from isolate.standards.weighting import A_WEIGHTING, dba

GONE, HISS, PAUSES, SPOILS = "gone", "under the hiss", "in the pauses", "spoils the take"
WORDS = (GONE, HISS, PAUSES, SPOILS)
USUAL_SOUND = "speech"  # recorded where a room names nothing that is played
PLAIN_DB = 10.0  # above what hides it: heard clearly (`standards.hearing`), in a pause it spoils the take


@dataclass(frozen=True)
class AtMicrophone:
    """A take at the microphone: `played_db` (27,) while it plays, `hiss_db` (27,) of the microphone;
    `room_db` (27,) or one value: what pattern and low cut take off sound of the room, 0 or less;
    `softest_db` below the playing, `reduction_db` of the compressor, `playback_dba`: the playing as one
    listens to it."""

    played_db: Array
    hiss_db: Array
    room_db: Array
    softest_db: float
    reduction_db: float
    playback_dba: float

    @property
    def played_dba(self) -> float:
        """The playing [dBA]."""
        return float(dba(self.played_db))

    @property
    def gain_db(self) -> float:
        """From the microphone to the listener's ears, for what lies under the take [dB]."""
        return self.playback_dba - self.played_dba + self.reduction_db

    def floor(self, background_db: Array) -> Array:
        """Background and hiss together [dB] (..., 27), `background_db` (..., 27) in the room."""
        both = np.broadcast_arrays(background_db + self.room_db, self.hiss_db)
        return energy_sum(np.array(both), axis=0)

    def meet(self, sample: Sample) -> Met:
        """What becomes of a noise in the room, (27,) or draws (draws, 27)."""
        noise = sample.level_db + self.room_db
        room, floor, gain = (
            sample.background_db + self.room_db,
            self.floor(sample.background_db),
            self.gain_db,
        )
        soft = energy_sum(np.array(np.broadcast_arrays(floor, self.played_db - self.softest_db)), axis=0)

        def stands_out(hidden_by: Array) -> Array:
            return np.asarray(hearing.margin(noise + gain, hidden_by + gain).max(-1))

        return Met(
            under_db=self.played_dba - dba(noise),
            pause_db=stands_out(floor),
            bare_db=stands_out(room),
            soft_db=stands_out(soft),
        )


@dataclass(frozen=True)
class Met:
    """A noise in a take, each (draws,) or one value [dB]: `under_db` how far it lies under the playing
    (A-weighted); how far it stands out of what hides it in the pauses, there without hiss, and under the
    softest passages."""

    under_db: Array
    pause_db: Array
    bare_db: Array
    soft_db: Array

    @property
    def rank(self) -> NDArray[np.intp]:
        """Index into `WORDS`."""
        heard = np.where((self.soft_db > 0.0) | (self.pause_db > PLAIN_DB), 3, 2)
        return np.asarray(np.where(self.pause_db > 0.0, heard, np.where(self.bare_db > 0.0, 1, 0)), np.intp)

    def chances(self) -> Mapping[str, float]:
        """Chance of each word, never 0 or 1; they add up to 1."""
        count = np.bincount(np.atleast_1d(self.rank), minlength=len(WORDS)) + 1.0 / len(WORDS)
        return {word: float(c) for word, c in zip(WORDS, count / count.sum(), strict=True)}


def of_room(room: Room) -> tuple[Take, ...]:
    """The takes of a room; where its file names none, each sound it plays, else speech, at half a metre."""
    own = room.own or (Own(USUAL_SOUND, noises.load(USUAL_SOUND)),)
    return room.takes or tuple(Take(one.name, one, USUAL_DISTANCE) for one in own)


def at_microphone(take: Take, *, absorption: Array, played_in_room: bool) -> AtMicrophone:
    """A take at its microphone; absorption area of the room [m2] (27,).

    `played_in_room`: the sound is stated by its reverberant level in the room; otherwise, where its spectrum
    has a distance, by the direct sound there.
    """
    mic = take.microphone
    cut = (
        microphone.low_cut(THIRD_OCTAVES, corner=mic.low_cut) if mic.low_cut else np.zeros(THIRD_OCTAVES.size)
    )
    pattern = microphone.diffuse_db(mic.pattern)
    hiss = mic.level_db
    if hiss is None:
        hiss = microphone.self_noise(mic.noise_dba, weighting_db=A_WEIGHTING)
    return AtMicrophone(
        played_db=_played(take, absorption, played_in_room, pattern) + cut,
        hiss_db=hiss + cut,
        room_db=pattern + cut,
        softest_db=take.softest_db,
        reduction_db=take.reduction_db,
        playback_dba=take.playback_dba,
    )


def _played(take: Take, absorption: Array, played_in_room: bool, pattern_db: float) -> Array:
    """The playing at the microphone [dB] (27,): direct sound and what the room adds."""
    own = take.own
    if take.level is not None:
        return levels.shifted(own.spectrum, take.level)
    ratio = microphone.direct_over_reverberant(take.distance, absorption=absorption)
    level = levels.made_inside(own)
    reference = own.spectrum.distance
    if reference is not None and not played_in_room:
        direct = level - 20.0 * np.log10(take.distance / reference)
        return energy_sum([direct, direct - ratio + pattern_db], axis=0)
    return energy_sum([level + ratio, level + pattern_db], axis=0)


def background(room: Room, take: Take) -> tuple[str, Array]:
    """The background at the hours of a take, and whether it is that of day or night."""
    if take.hours is None or not room.backgrounds:
        return words.background(room.background), levels.of_background(room.background)
    when = "night" if take.hours.shared(NIGHT) >= take.hours.shared(DAY) else "day"
    stated = room.backgrounds.get(when, room.background)
    return f"{when}, {words.background(stated)}", levels.of_background(stated)


def shared(noise: Noise, take: Take) -> float:
    """Part of a take's hours in which a noise may come."""
    hours = take.hours or ALWAYS
    return hours.shared(noise.hours or ALWAYS) / hours.length


def expected(noise: Noise, take: Take) -> float | None:
    """How many events of a noise a take meets on the mean; None where it has no number a day: it is
    steady."""
    if noise.per_day is None:
        return None
    rate = noise.per_day / (noise.hours or ALWAYS).length / 3600.0
    return rate * shared(noise, take) * (take.length + (noise.duration or 0.0))
