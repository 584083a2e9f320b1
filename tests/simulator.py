"""Rooms and recorders made up for the tests, by means of their own: SciPy and the file library, no filter,
level or signal path of the program.

Pressures are in pascal re 20 uPa, so that 10 lg of a mean square is a sound pressure level.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from scipy import fft
from scipy import signal as dsp

FULL_SCALE_DB = 110.0  # sound pressure level of a mean square of full scale


def a_weighted_db(x: np.ndarray, rate: int) -> float:
    """Level [dBA] by the weighting's formula (IEC 61672-1:2013, annex E) on the spectrum."""
    f, power = dsp.welch(x, rate, nperseg=min(x.size, 8192), scaling="spectrum", detrend=False)
    f, power = f[1:], power[1:] / 1.5  # of a Hann window's noise bandwidth
    poles = (f**2 + 20.6**2) * np.sqrt((f**2 + 107.7**2) * (f**2 + 737.9**2)) * (f**2 + 12194.0**2)
    weight = (12194.0**2 * f**4 / poles) ** 2 * 10**0.2
    return float(10 * np.log10(np.sum(power * weight)))


def at_level(x: np.ndarray, level_dba: float, rate: int, *, like: np.ndarray | None = None) -> np.ndarray:
    """Scaled so that it (or the part of it that `like` stands for) has this level [dBA]."""
    return x * 10 ** ((level_dba - a_weighted_db(x if like is None else like, rate)) / 20)


def hiss(
    count: int, level_dba: float, rate: int, rng: np.random.Generator, *, slope: float = 0.7
) -> np.ndarray:
    """Noise of a room or a microphone: power falls as f^-2slope from 20 Hz on."""
    if slope == 0.0:
        return at_level(rng.standard_normal(count), level_dba, rate)
    long = fft.next_fast_len(count, real=True)
    f = np.fft.rfftfreq(long, 1 / rate)
    shape = (np.maximum(f, 20.0) / 1000.0) ** -slope
    shape[f < 15] = 0.0
    x = fft.irfft(shape * fft.rfft(rng.standard_normal(long)), long)[:count]
    return at_level(x, level_dba, rate)


def response(time: float, direct_db: float, rate: int, rng: np.random.Generator) -> np.ndarray:
    """Impulse response: a direct sound and a diffuse tail of unit energy with this reverberation time [s]."""
    t = np.arange(round(1.2 * time * rate)) / rate
    tail = rng.standard_normal(t.size) * 10 ** (-3 * t / time)
    tail /= np.sqrt(np.sum(tail**2))
    tail[0] += 10 ** (direct_db / 20)
    return tail


@dataclass(frozen=True)
class Place:
    """A room by reverberation `time` [s]; what comes direct lies `direct_db` above what is diffuse (far
    below: none); `walked`: the microphone is carried about, past places `swing_db` apart in direct sound."""

    time: float = 0.5
    direct_db: float = -60.0
    walked: bool = False
    swing_db: float = 0.0


def heard(played: np.ndarray, place: Place, rate: int, rng: np.random.Generator) -> np.ndarray:
    """What is played as it arrives at the microphone."""
    if not place.walked:
        there = response(place.time, place.direct_db, rate, rng)
        return np.asarray(dsp.oaconvolve(played, there))[: played.size]
    step = 2 * rate  # another place every two seconds, faded over in between
    ramp = np.sin(0.5 * np.pi * np.arange(step) / step)
    tail = round(1.2 * place.time * rate)
    padded = np.concatenate((np.zeros(step + tail), played, np.zeros(2 * step)))
    total = np.zeros(padded.size)
    for i in range(-(-played.size // step) + 1):
        direct = place.direct_db + place.swing_db * float(np.sin(1.7 * i))
        start = tail + i * step  # of the rise; what sounded before it rings on into it
        part = padded[start - tail : start + 2 * step]
        one = dsp.oaconvolve(part, response(place.time, direct, rate, rng))[tail : tail + 2 * step]
        total[start : start + 2 * step] += np.concatenate((ramp, np.sqrt(1 - ramp**2))) * one
    return total[step + tail : step + tail + played.size]


@dataclass(frozen=True)
class Recorder:
    """What a recorder does to levels: takes off `strength` of each decibel above `target_db` [dB re full
    scale] and adds as much below, up to `most_db`; its gain follows within `attack` and `release` [s].
    `gate_db`: what lies below is pressed down by as much again. `suppress_db`: noise suppression, short
    pieces of each band that do not stand out of the usual are turned down by so much. `floor_dba`: its own
    hiss."""

    strength: float = 0.0
    target_db: float = -30.0
    most_db: float = 40.0
    attack: float = 0.1
    release: float = 1.0
    knee: bool = False  # a compressor: nothing is added below the target
    gate_db: float | None = None
    suppress_db: float = 0.0
    floor_dba: float = 25.0


CLEAN = Recorder()
PROCESSED = {
    "full automatic gain": Recorder(strength=1.0),
    "half automatic gain": Recorder(strength=0.5),
    "slow automatic gain": Recorder(strength=1.0, attack=4.0, release=12.0),
    "compressor 2:1": Recorder(strength=0.5, target_db=-65.0, attack=0.01, release=0.15, knee=True),
    "compressor 3:1": Recorder(strength=2 / 3, target_db=-65.0, attack=0.01, release=0.15, knee=True),
}


def recorded(pressure: np.ndarray, recorder: Recorder, rate: int, rng: np.random.Generator) -> np.ndarray:
    """Samples, full scale 1."""
    x = pressure + hiss(pressure.size, recorder.floor_dba, rate, rng, slope=0.0)
    x = x * 10 ** (-FULL_SCALE_DB / 20)
    if recorder.suppress_db:
        x = suppressed(x, rate, recorder.suppress_db)
    if recorder.strength or recorder.gate_db is not None:
        x = x * _gains(x, recorder, rate)
    return x


def _gains(x: np.ndarray, recorder: Recorder, rate: int) -> np.ndarray:
    step = rate // 100
    count = -(-x.size // step)
    power = np.mean(np.pad(x, (0, count * step - x.size)).reshape(count, step) ** 2, axis=1)
    up, down = (1 - np.exp(-0.01 / t) for t in (recorder.attack, recorder.release))
    level, gains = power[0], np.empty(count)
    for i, now in enumerate(power):
        level += (up if now > level else down) * (now - level)
        over = 10 * np.log10(level + 1e-14) - recorder.target_db
        gain = -recorder.strength * (max(over, 0.0) if recorder.knee else over)
        gain = float(np.clip(gain, -recorder.most_db, recorder.most_db))
        if recorder.gate_db is not None:
            gain += min(10 * np.log10(level + 1e-14) - recorder.gate_db, 0.0)
        gains[i] = gain
    at = (np.arange(count) + 0.5) * step
    return np.asarray(10 ** (np.interp(np.arange(x.size), at, gains) / 20))


def suppressed(x: np.ndarray, rate: int, most_db: float) -> np.ndarray:
    """Spectral subtraction by short pieces (Boll 1979), the noise taken to be the median of each band."""
    size = 512
    _, _, z = dsp.stft(x, rate, nperseg=size)
    power = np.abs(z) ** 2
    noise = np.median(power, axis=1, keepdims=True) / np.log(2)
    left = np.maximum(1 - noise / np.maximum(power, 1e-30), 0.0)
    _, y = dsp.istft(z * np.maximum(np.sqrt(left), 10 ** (-most_db / 20)), rate, nperseg=size)
    return np.asarray(y[: x.size])


def put(path: Path, x: np.ndarray, rate: int, *, subtype: str = "PCM_24") -> Path:
    """Write a recording and return its path."""
    soundfile.write(str(path), x, rate, subtype=subtype)
    return path
