"""Recordings made up for the tests: noise with known third-octave levels, rooms with known decays."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np

from isolate.bands import THIRD_OCTAVES, exact
from isolate.describe.wav import encode
from isolate.measuring.bank import Bank


def noise(
    level_db: np.ndarray | float, seconds: float, *, rng: np.random.Generator, rate: int = 48_000
) -> np.ndarray:
    """Steady Gaussian noise whose third octaves 25 Hz to 10 kHz have these levels [dB re full scale].

    Made in the frequency domain: flat within each band's exact edges, the end bands carried on outside.
    """
    levels = np.broadcast_to(np.asarray(level_db, float), THIRD_OCTAVES.shape)
    count = round(seconds * rate)
    f = np.fft.rfftfreq(count, 1 / rate)
    edges = exact(THIRD_OCTAVES)[:-1] * 10**0.05
    band = np.searchsorted(edges, f)
    width = exact(THIRD_OCTAVES) * (10**0.05 - 10**-0.05)
    density = 10 ** (levels / 10) / width  # mean square per Hz
    inside = np.where(f > 11_300, 0.1, 1.0) * (f > 18)
    spectrum = np.sqrt(density[band] * inside * rate * count / 4)
    x = np.fft.irfft(spectrum * (rng.standard_normal(f.size) + 1j * rng.standard_normal(f.size)), count)
    return x


def put(path: Path, x: np.ndarray, *, rate: int = 48_000, bits: int = 24) -> Path:
    """Write a recording and return its path."""
    path.write_bytes(encode(x, rate=rate, bits=bits))
    return path


def claps(
    time: np.ndarray | float, *, rng: np.random.Generator, rate: int = 48_000, count: int = 4
) -> np.ndarray:
    """Bangs whose every third octave dies away with this reverberation time [s], over a faint noise."""
    times = np.broadcast_to(np.asarray(time, float), THIRD_OCTAVES.shape)
    t = np.arange(int(3 * rate)) / rate
    total = []
    for _ in range(count):
        one = np.zeros(t.size)
        for band, t60 in enumerate(times):
            level = np.full(27, -300.0)
            level[band] = -30.0
            one += noise(level, 3.0, rng=rng, rate=rate) * 10 ** (-3 * t / t60)
        total += [np.zeros(rate // 2), one]
    x = np.concatenate(total)
    return x + 1e-6 * rng.standard_normal(x.size)


def band_power(
    blocks: Iterable[np.ndarray], rate: float, *, channels: int, frames: int, frame: int
) -> np.ndarray:
    """Mean square by the program's filters in frames of `frame` samples, (channels, frames, 27), of a
    recording fed in blocks of (samples, channels)."""
    bank = Bank(rate, channels, frames, frame=frame)
    for block in blocks:
        bank.feed(block)
    return bank.power()
