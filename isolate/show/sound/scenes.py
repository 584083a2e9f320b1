"""An answer made audible: one signal for each scene, all with one gain.

The sound is made (or read), passed through a filter of minimum phase and the decay of the place where it
arrives, fitted so that each third octave lies below the first signal by what was computed, and laid over the
quiet of that place, which is the same in all.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy import fft
from numpy.typing import NDArray

from isolate.answers.listen.answer import CALIBRATION_DBA, Listening, Scene
from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.describe import wav
from isolate.show.sound import shaping, sources
from isolate.standards.weighting import A_WEIGHTING

RATE = 48_000
PEAK_DB = -3.0  # of the loudest sample, re full scale: what lies between samples may be higher
TAIL = 0.6  # [s] of silence after what is made, for the room to ring
CALIBRATION_SECONDS = 10.0
LONGEST_RECORDED = 60.0  # [s] of a user's file
Signal = NDArray[np.float32]
_DECAY_SEED, _QUIET_SEED, _CALIBRATION_SEED = 101, 202, 303


@dataclass(frozen=True)
class Rendered:
    """Signals [re 20 uPa] by key at `rate` [Hz]: `scenes`, with the quiet of the place under those where
    sound arrives, and the `quiet` alone, all in single precision. `loudest_dba`: level of the loudest second
    of each scene, the quiet under it included. `full_scale_db`: the level [dB] a mean square of full scale
    stands for. `softer_db`: by how much scenes are turned down that would harm at their true level."""

    rate: int
    scenes: dict[str, Signal]
    quiet: Signal
    loudest_dba: dict[str, float]
    full_scale_db: float
    softer_db: dict[str, float]


def full_scale(signals: Iterable[Array | Signal], *, peak_db: float = PEAK_DB) -> float:
    """Level [dB] that full scale stands for when the highest peak of all signals is to be `peak_db` below."""
    peak = max(float(np.abs(one).max()) for one in signals)
    return 20.0 * float(np.log10(peak)) - peak_db


def rendered(answer: Listening, *, rate: int = RATE, cut: bool = False, most_dba: float = np.inf) -> Rendered:
    """Every scene of the answer as a signal; `cut`: of a recording only its loudest stretch, as long as what
    we would make; a scene whose loudest second is above `most_dba` is turned down to it."""
    made = source(answer, rate, cut=cut)
    rng = np.random.default_rng(_QUIET_SEED + answer.seed)
    quiet = sources.faded(shaping.noise(answer.background_db, made.size, rate, rng), rate)
    scenes: dict[str, Signal] = {}
    loudest: dict[str, float] = {}
    softer: dict[str, float] = {}
    for one in answer.scenes:
        heard = made if one is answer.made else arriving(made, one, rate) + quiet
        loudest[one.key] = min(level := sources.loudest(heard, rate), most_dba)
        if level > most_dba:
            softer[one.key] = level - most_dba
        scenes[one.key] = single(heard * 10.0 ** ((loudest[one.key] - level) / 20.0))
        del heard
    return Rendered(rate, scenes, single(quiet), loudest, full_scale(scenes.values()), softer)


def single(signal: Array) -> Signal:
    """A signal in single precision, 150 dB below its samples: half the memory."""
    return signal.astype(np.float32)


def source(answer: Listening, rate: int, *, cut: bool = False) -> Array:
    """The sound where it is made [re 20 uPa], silence at its end for the room to ring."""
    if answer.recorded is not None:
        heard = recorded(answer.recorded.path, rate)
        heard = loudest_part(heard, rate, answer.seconds - TAIL) if cut else heard
        heard = sources.faded(heard, rate)
        wanted = answer.made.dba
        heard = heard * 10.0 ** ((wanted - sources.loudest(heard, rate)) / 20.0)
    else:
        noise = next((one for one in answer.room.noises if one.name == answer.sound), None)
        kind = sources.kind_of(answer.source, indoors=noise.indoors if noise else None)
        level_db, seconds = answer.made.level_db, answer.seconds - TAIL
        heard = sources.made(kind, level_db, seconds=seconds, rate=rate, seed=answer.seed)
    return np.concatenate((heard, np.zeros(round(TAIL * rate))))


def recorded(path: Path, rate: int, *, longest: float = LONGEST_RECORDED) -> Array:
    """The samples of a file, its channels averaged in energy by taking the liveliest, at this rate [Hz]."""
    from scipy import signal

    from isolate.measuring.recording import liveliest

    found = wav.inspect(path)
    samples = wav.read(found, count=round(longest * found.rate))[:, liveliest(found)]
    ratio = Fraction(rate, found.rate)
    return np.asarray(signal.resample_poly(samples, ratio.numerator, ratio.denominator))


def loudest_part(samples: Array, rate: int, seconds: float) -> Array:
    """The stretch of this length with most A-weighted energy; all of it where it is no longer."""
    if samples.size <= round(seconds * rate):
        return samples
    start = int(sources.weighted_course(samples, rate, seconds=seconds).argmax())
    return samples[start : start + round(seconds * rate)]


def arriving(made: Array, scene: Scene, rate: int) -> Array:
    """What arrives of a sound in a scene, its third octaves below it by the scene's difference."""
    if scene.time is None:
        return made
    count = shaping.padded(made.size + round(1.2 * float(scene.time.max()) * rate) + rate // 2, rate)
    spectrum = fft.rfft(made, count)
    wanted_db = shaping.levels_of(spectrum, count=count, rate=rate) - scene.difference_db
    where = shaping.carries(spectrum, count=count, rate=rate)
    spectrum *= fft.rfft(_ringing(scene.time.tobytes(), rate), count)
    passed = shaping.fitted(spectrum, wanted_db, count=count, rate=rate, where=where)
    del spectrum
    return sources.faded(fft.irfft(passed, count)[: made.size], rate)


@lru_cache(maxsize=4)
def _ringing(time: bytes, rate: int) -> Array:
    """How a place rings (`shaping.decay`): most scenes are of the same."""
    return shaping.decay(np.frombuffer(time), rate, np.random.default_rng(_DECAY_SEED))


def calibration(rate: int) -> Array:
    """Pink noise [re 20 uPa] of `CALIBRATION_DBA` to set the volume by."""
    rng = np.random.default_rng(_CALIBRATION_SEED)
    flat = np.where(THIRD_OCTAVES >= 100.0, 0.0, -40.0)  # what small speakers give
    level_db = flat + CALIBRATION_DBA - float(energy_sum(flat + A_WEIGHTING))
    return sources.faded(shaping.noise(level_db, round(CALIBRATION_SECONDS * rate), rate, rng), rate)
