"""Living things and music by synthesis: talkers, birds, dogs, a tune, a beat, a bass line.

As in `machines`, each maker gives a character (count,) and the course of the noise that fills the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from isolate.bands import Array
from isolate.show.sound.filters import band_pass, filtered, high_pass, low_pass, resonance
from isolate.show.sound.machines import (
    Made,
    Maker,
    Rng,
    echoed,
    falling,
    partials,
    pass_by,
    phase_of,
    wander,
)

# First three formants [Hz] of vowels, men (textbooks of phonetics, from memory).
_VOWELS = ((730, 1090, 2440), (530, 1840, 2480), (270, 2290, 3010), (570, 840, 2410), (300, 870, 2240),
           (490, 1350, 1690), (660, 1720, 2410))  # fmt: skip
_FORMANT_LEVELS = (1.0, 0.5, 0.28)
_MINOR = (0, 2, 3, 5, 7, 8, 10)


def swell(count: int, rate: int, *, rise: float, fall: float) -> Array:
    """A course from 0 to 1 and back, `rise` and `fall` [s] long."""
    t = np.arange(count) / rate
    up, down = np.clip(t / rise, 0.0, 1.0), np.clip((count / rate - t) / fall, 0.0, 1.0)
    return np.asarray(np.sin(0.5 * np.pi * up) ** 2 * np.sin(0.5 * np.pi * down) ** 2)


def _add(total: Array, start: int, part: Array) -> None:
    end = min(start + part.size, total.size)
    if end > start >= 0:
        total[start:end] += part[: end - start]


def _syllable(count: int, rate: int, rng: Rng, pitch: float) -> Array:
    """One vowel on a falling pitch [Hz], a consonant's noise before it."""
    f = pitch * np.linspace(1.06, 0.92, count) * (1.0 + 0.01 * wander(count, rate, rng, speed=8.0))
    source = partials(phase_of(f, rate), f, falling(48, 1.1), rate)
    shorter = 1.0 + 0.08 * (pitch > 160.0)
    voiced = np.zeros(count)
    for centre, level in zip(_VOWELS[rng.integers(len(_VOWELS))], _FORMANT_LEVELS, strict=True):
        voiced += level * filtered(source, rate, resonance(centre * shorter, 6.0))
    voiced *= swell(count, rate, rise=0.05, fall=0.09)
    if rng.random() < 0.6:
        low = rng.uniform(1800.0, 4500.0)
        hiss = rng.standard_normal(int(rng.uniform(0.05, 0.11) * rate))
        hiss = filtered(hiss, rate, band_pass(low, 1.9 * low)) * np.hanning(hiss.size)
        voiced[: hiss.size] += 0.25 * hiss
    return voiced


def _talker(count: int, rate: int, rng: Rng, pitch: float) -> Array:
    """Someone who talks: some four syllables a second, phrases with pauses between them."""
    total, at = np.zeros(count), int(rng.uniform(0.0, 0.3) * rate)
    while at < count:
        fall = 1.0
        for _ in range(rng.integers(4, 10)):
            length = int(rng.uniform(0.13, 0.27) * rate)
            part = _syllable(length, rate, rng, pitch * fall * rng.uniform(0.94, 1.1))
            _add(total, at, rng.uniform(0.5, 1.0) * part)
            at += int(0.93 * length)
            fall *= 0.985
        at += int(rng.uniform(0.18, 0.45) * rate)
    return total


def talk(count: int, rate: int, rng: Rng, *, pitches: Sequence[float] = (118.0, 205.0)) -> Made:
    """Talkers of these pitches [Hz], who fall silent no longer than one draws breath."""
    voices = [_talker(count, rate, rng, pitch) for pitch in pitches]
    total = np.asarray(sum(voices))
    return total, np.sqrt(np.maximum(filtered(total**2, rate, low_pass(6.0)), 0.0)) + 1e-3


def pavement(count: int, rate: int, rng: Rng) -> Made:
    """Two who talk as they walk past, houses around them."""
    voices, course = talk(count, rate, rng)
    near = pass_by(count, width=0.45, least=0.2)
    return echoed(near * voices, rate, rng), near * course


def landing(count: int, rate: int, rng: Rng) -> Made:
    """Two others who stand and talk where bare walls ring for 1.4 s."""
    voices, course = talk(count, rate, rng, pitches=(136.0, 228.0))
    return echoed(voices, rate, rng, length=1.4, below_db=1.0), course


def birds(count: int, rate: int, rng: Rng) -> Made:
    """Five birds, each with a motif of its own that it repeats: whistles, trills, glides."""
    total = np.zeros(count)
    for nearness in (1.0, 0.7, 0.5, 0.35, 0.25):
        notes = [
            (1700.0 * 3.6 ** rng.random(), rng.uniform(-0.3, 0.35), rng.uniform(0.05, 0.22), rng.random())
            for _ in range(rng.integers(3, 7))
        ]
        at = int(rng.uniform(0.0, 1.2) * rate)
        while at < count:
            for f0, glide, length, trill in notes:
                n = int(length * rate)
                f = f0 * (1.0 + glide * np.linspace(0.0, 1.0, n) ** 1.5)
                f = f * (1.0 + 0.06 * np.sin(2.0 * np.pi * 32.0 * np.arange(n) / rate)) if trill < 0.3 else f
                part = partials(phase_of(f, rate), f, np.array([1.0, 0.08, 0.03]), rate)
                _add(total, at, nearness * swell(n, rate, rise=0.015, fall=0.03) * part)
                at += int((length + rng.uniform(0.02, 0.05)) * rate)
            at += int(rng.uniform(0.4, 1.6) * rate)
    return total, np.ones(count)


def dog(count: int, rate: int, rng: Rng) -> Made:
    """Barks in groups."""
    total, at = np.zeros(count), int(0.2 * rate)
    while at < count:
        for _ in range(rng.integers(2, 4)):
            n = int(rng.uniform(0.14, 0.2) * rate)
            f = rng.uniform(420.0, 520.0) * np.linspace(0.8, 1.0, n) ** -0.5
            bark = partials(phase_of(f, rate), f, falling(16, 0.8), rate) + rng.standard_normal(n)
            _add(total, at, bark * swell(n, rate, rise=0.012, fall=0.1))
            at += int(rng.uniform(0.26, 0.4) * rate)
        at += int(rng.uniform(0.6, 1.4) * rate)
    return total, np.abs(total) * 0.3 + 0.01


def _note(f0: float, length: float, rate: int, rng: Rng, harmonics: Array, *, plucked: bool, vibrato: float
          ) -> Array:  # fmt: skip
    count = int(length * rate)
    t = np.arange(count) / rate
    shake = vibrato * np.clip(t / 0.3 - 0.5, 0.0, 1.0) * np.sin(2.0 * np.pi * 5.4 * t)
    f = f0 * (1.0 + shake + 0.0015 * wander(count, rate, rng, speed=6.0))
    tone = partials(phase_of(f, rate), f, harmonics, rate, rng)
    breath = 0.02 * rng.standard_normal(count)
    if plucked:
        return np.asarray(tone * np.exp(-t * (2.0 + f0 / 400.0)) * np.clip(t / 0.003, 0.0, 1.0))
    return np.asarray((tone + breath) * swell(count, rate, rise=0.045, fall=0.07))


def tune(
    count: int, rate: int, rng: Rng, *, lowest: float = 147.0, odd: bool = False, plucked: bool = False,
    vibrato: float = 0.0, rests: float = 0.9,
) -> Made:  # fmt: skip
    """A slow melody in minor above its `lowest` note [Hz], with a rest after each phrase."""
    harmonics = falling(30, 0.9)
    if odd:
        harmonics[1::2] *= 0.18
    total, at, step = np.zeros(count), int(0.15 * rate), 7
    while at < count:
        for _ in range(rng.integers(3, 6)):
            step = int(np.clip(step + rng.integers(-2, 3), 2, 14))
            f0 = lowest * 2.0 ** ((12 * (step // 7) + _MINOR[step % 7]) / 12.0)
            length = rng.choice([0.3, 0.3, 0.45, 0.6])
            tail = 1.6 if plucked else 1.0
            _add(total, at, _note(f0, tail * length, rate, rng, harmonics, plucked=plucked, vibrato=vibrato))
            at += int(length * rate)
        at += int(rests * rate)
    return total, np.abs(total) * 0.1 + 1e-5


def _kick(rate: int) -> Array:
    t = np.arange(int(0.3 * rate)) / rate
    f = 48.0 + 130.0 * np.exp(-t / 0.02)
    return np.asarray(np.sin(phase_of(f, rate)) * np.exp(-t / 0.09))


def _burst(rate: int, rng: Rng, *, low: float, length: float) -> Array:
    n = int(5 * length * rate)
    noise = filtered(rng.standard_normal(n), rate, high_pass(low))
    return np.asarray(noise * np.exp(-np.arange(n) / (length * rate)))


def beat(count: int, rate: int, rng: Rng, *, tempo: float = 118.0, bass: bool = True) -> Made:
    """Drums at `tempo` beats a minute, with a bass line under them."""
    total, step = np.zeros(count), 60.0 / tempo / 2.0
    for k in range(int(count / rate / step)):
        start = int((k * step + 0.1) * rate)
        if k % 4 == 0 or k % 8 == 5:
            _add(total, start, 2.2 * _kick(rate))
        if k % 4 == 2:
            _add(total, start, 0.9 * _burst(rate, rng, low=180.0, length=0.06))
        _add(total, start, 0.25 * _burst(rate, rng, low=6000.0, length=0.03))
    if bass:
        total += 0.8 * bass_line(count, rate, rng, tempo=tempo)[0]
    return total, np.abs(total) * 0.1 + 0.01


def bass_line(count: int, rate: int, rng: Rng, *, tempo: float = 96.0) -> Made:
    """A bass guitar's riff from 41 Hz up, over and over."""
    total, step = np.zeros(count), 60.0 / tempo / 2.0
    riff = (0, 0, 7, 0, 3, 0, 10, 7)
    harmonics = np.array([0.8, 1.0, 0.6, 0.45, 0.3, 0.22, 0.16, 0.12, 0.1, 0.08, 0.06, 0.05])
    for k in range(int(count / rate / step)):
        f0 = 41.2 * 2.0 ** (riff[k % len(riff)] / 12.0)
        note = _note(f0, 1.5 * step, rate, rng, harmonics, plucked=True, vibrato=0.0)
        _add(total, int((k * step + 0.1) * rate), note)
    return total, np.abs(total) * 0.05 + 1e-3


def yard(count: int, rate: int, rng: Rng) -> Made:
    """Children: many high voices at once."""
    return talk(count, rate, rng, pitches=(260.0, 300.0, 330.0, 370.0, 410.0))


def _tuned(**how: object) -> Maker:
    return partial(tune, **how)  # type: ignore[arg-type]


clarinet = _tuned(lowest=147.0, odd=True)
saxophone = _tuned(lowest=139.0, vibrato=0.006)
trumpet = _tuned(lowest=165.0, vibrato=0.004)
cello = _tuned(lowest=65.4, vibrato=0.007)
violin = _tuned(lowest=196.0, vibrato=0.008)
singer = _tuned(lowest=131.0, vibrato=0.012)
piano = _tuned(lowest=110.0, plucked=True)
guitar = _tuned(lowest=82.4, plucked=True)
speaker = partial(talk, pitches=(125.0,))
shouts = partial(talk, pitches=(210.0, 290.0))
drums = partial(beat, bass=False, tempo=104.0)
