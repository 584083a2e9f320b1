"""What to play when measuring: pink noise in known steps, then steady, which stops dead, and sweeps.

The steps tell what the recorder does to levels (`recorder.py`): one that leaves them alone records each as
far below the next as it is played.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.errors import InputError
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.units import parse

LEVEL_DB = -20.0
"""Root mean square of noise and sweeps, re that of full scale 1 [dB]."""

LOWEST_HZ, HIGHEST_HZ = 20.0, 12_000.0
"""Range of both: the bands that are measured and no more, which spares treble units."""

STEPS_DB = (-20.0, -30.0, -10.0, 0.0, -30.0, -10.0)
"""Levels of the steps re the steady noise after them [dB]: up and down, so that a gain that follows the level
parts from a microphone that is carried about, and none of them startles."""

STEP, PAUSE = 2.5, 1.0
"""Length of a step and of the silence after it [s]."""

SILENCE_BEFORE, SILENCE_AFTER = 5.0, 10.0
SWEEP, SWEEPS, SWEEP_PAUSE = 10.0, 3, 4.0
"""Lengths [s]; three sweeps."""

SHORTEST, _LONGEST = 10.0, 600.0
_PEAK = 10.0 ** (-6.0 / 20.0)
_SEED = 61260


@dataclass(frozen=True)
class Section:
    """One stretch of the signal: from `start` to `end` [s], and what it is."""

    start: float
    end: float
    what: str


@dataclass(frozen=True)
class TestSignal:
    """`samples` (frames,) at `rate` [Hz], full scale 1, and the `sections` they fall into."""

    __test__ = False  # no test class, whatever its name

    samples: Array
    rate: int
    sections: tuple[Section, ...]
    cautions: tuple[Caution, ...]


def signal(kind: str, *, length: str = "60 s", rate: int = 48_000) -> TestSignal:
    """Noise, sweeps, or both.

    Raises
    ------
    InputError
        A length that is none, or outside 10 s to 10 min.
    """
    try:
        seconds = parse(length, "time")
    except ValueError as fault:
        raise InputError(f"length: {fault}") from None
    if not SHORTEST <= seconds <= _LONGEST:
        raise InputError(f'length: is out of range (got {length}); write "10 s" to "10 min"')
    parts = [(np.zeros(round(SILENCE_BEFORE * rate)), "silence: start the recorder")]
    if kind != "sweeps":
        steps = ", ".join(f"{step:g}" for step in STEPS_DB)
        parts.append((stepped(rate=rate), f"pink noise in steps of {steps} dB: stand still"))
        parts.append((pink_noise(seconds, rate=rate), "pink noise, steady: walk; it stops dead"))
        parts.append(
            (np.zeros(round(SILENCE_AFTER * rate)), "silence: the room dies away, then the background")
        )
    if kind != "noise":
        for number in range(1, SWEEPS + 1):
            parts.append((sweep(rate=rate), f"sweep {number} of {SWEEPS}, 20 Hz to 12 kHz"))
            parts.append((np.zeros(round(SWEEP_PAUSE * rate)), "silence"))
    ends = np.cumsum([len(samples) for samples, _ in parts]) / rate
    starts = np.concatenate(([0.0], ends[:-1]))
    sections = tuple(
        Section(float(a), float(b), what) for a, b, (_, what) in zip(starts, ends, parts, strict=True)
    )
    cautions = raised(Facts(test_noise=True))
    return TestSignal(np.concatenate([samples for samples, _ in parts]), rate, sections, cautions)


def stepped(*, rate: int) -> Array:
    """Pink noise in the steps `STEPS_DB`, each faded in and out over 50 ms and followed by a pause."""
    fade = np.sin(0.5 * np.pi * np.arange(rate // 20) / (rate // 20)) ** 2
    parts = []
    for number, step in enumerate(STEPS_DB):
        noise = 10.0 ** (step / 20.0) * pink_noise(STEP, rate=rate, seed=_SEED + 1 + number)
        noise[: fade.size] *= fade
        noise[-fade.size :] *= fade[::-1]
        parts += [noise, np.zeros(round(PAUSE * rate))]
    return np.concatenate(parts)


def pink_noise(seconds: float, *, rate: int, seed: int = _SEED) -> Array:
    """Gaussian noise of equal energy in each third octave, 20 Hz to 12 kHz, mean square `LEVEL_DB`, peaks
    held 6 dB below full scale. The same every time."""
    rng = np.random.default_rng(seed)
    count = round(seconds * rate)
    f = np.fft.rfftfreq(count, 1.0 / rate)
    inside = (f >= LOWEST_HZ) & (f <= HIGHEST_HZ)
    shape = np.where(inside, 1.0 / np.sqrt(np.maximum(f, LOWEST_HZ)), 0.0)
    noise = np.fft.irfft(shape * np.exp(2j * np.pi * rng.random(f.size)), count)
    noise *= 10.0 ** (LEVEL_DB / 20.0) / np.sqrt(np.mean(noise**2))
    return np.clip(noise, -_PEAK, _PEAK)


def sweep(*, rate: int) -> Array:
    """A sine that rises by equal ratios in equal times (Farina 2000), mean square `LEVEL_DB`, faded at both
    ends: equal energy in each third octave, as pink noise has."""
    t = np.arange(round(SWEEP * rate)) / rate
    growth = np.log(HIGHEST_HZ / LOWEST_HZ)
    phase = 2.0 * np.pi * LOWEST_HZ * SWEEP / growth * (np.exp(t * growth / SWEEP) - 1.0)
    tone = np.sqrt(2.0) * 10.0 ** (LEVEL_DB / 20.0) * np.sin(phase)
    fade = round(0.2 * rate)
    ramp = np.sin(0.5 * np.pi * np.arange(fade) / fade) ** 2
    tone[:fade] *= ramp
    tone[-fade:] *= ramp[::-1]
    return np.asarray(tone)
