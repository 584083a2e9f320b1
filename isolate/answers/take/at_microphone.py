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

from isolate.answers.uncertainty.chances import Sample
from isolate.bands import Array, energy_sum
from isolate.standards import hearing
from isolate.standards.weighting import dba

GONE, HISS, PAUSES, SPOILS = "gone", "under the hiss", "in the pauses", "spoils the take"
WORDS = (GONE, HISS, PAUSES, SPOILS)
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
