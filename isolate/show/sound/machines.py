"""Machines by synthesis: sirens, engines, wheels on rails, rotors, and what hums.

Each maker gives the sound's own character at any level, (count,), and under it the course of the plain noise
(count,) that fills the bands the character leaves empty. `sources` gives both their spectrum.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy import fft

from isolate.bands import Array
from isolate.show.sound.filters import convolved, smoothed

Rng = np.random.Generator
Made = tuple[Array, Array]
Maker = Callable[[int, int, Rng], Made]
_TOP = 0.46  # of the sampling rate, above which no partial is made
_BLOCK = 1 << 14  # samples worked on at a time, for memory and speed


def times(count: int, rate: int) -> Array:
    """The moments of all samples [s]."""
    return np.arange(count) / rate


def pass_by(count: int, *, peak: float = 0.5, width: float = 0.22, least: float = 0.12) -> Array:
    """Pressure of a source that comes, passes at `peak` of the time and goes (a Lorentzian), at least
    `least`."""
    x = np.arange(count) / count
    return np.maximum(1.0 / np.sqrt(1.0 + ((x - peak) / width) ** 2), least)


def wander(count: int, rate: int, rng: Rng, *, speed: float) -> Array:
    """A slow random course of mean 0 and standard deviation 1, changing some `speed` times a second."""
    knots = rng.standard_normal(max(int(speed * count / rate), 1) + 4)
    at = np.linspace(1.0, knots.size - 2.0, count)
    course = fft.irfft(fft.rfft(knots), knots.size * 8) * 8.0
    found = np.interp(at, np.arange(course.size) / 8.0, course)
    return np.asarray((found - found.mean()) / max(found.std(), 1e-9))


def partials(phase: Array, f: Array, amplitudes: Array, rate: int, rng: Rng | None = None) -> Array:
    """Sum of harmonics of a moving tone: `phase` [rad] and frequency `f` [Hz] (count,) of the first."""
    total, lowest = np.zeros(phase.size), float(f.min())
    heard = [(k, one) for k, one in enumerate(amplitudes, 1) if k * lowest < _TOP * rate]
    starts = [0.0 if rng is None else rng.uniform(0.0, 2.0 * np.pi) for _ in heard]
    for at in range(0, phase.size, _BLOCK):
        part = slice(at, at + _BLOCK)
        for (k, amplitude), start in zip(heard, starts, strict=True):
            fade = np.clip((_TOP * rate - k * f[part]) / (0.03 * rate), 0.0, 1.0)
            total[part] += amplitude * fade * np.sin(k * phase[part] + start)
    return total


def falling(count: int, power: float) -> Array:
    """Amplitudes of harmonics that fall with their number to this power."""
    return np.asarray(np.arange(1.0, count) ** -power)


def phase_of(f: Array, rate: int) -> Array:
    """Phase [rad] of a tone whose frequency [Hz] moves."""
    return np.asarray(2.0 * np.pi * np.cumsum(f) / rate)


def echoed(sound: Array, rate: int, rng: Rng, *, length: float = 0.8, below_db: float = 11.0) -> Array:
    """With what the houses of a street send back: `length` [s] of it, `below_db` [dB] below."""
    count = int(length * rate)
    tail = rng.standard_normal(count) * np.exp(-6.9 * np.arange(count) / count)
    tail[: int(0.012 * rate)] = 0.0
    tail *= 10.0 ** (-below_db / 20.0) / np.sqrt(np.sum(tail**2))
    return sound + convolved(sound, tail)


_HORN = np.array([1.0, 0.5, 0.5, 0.3, 0.26, 0.17, 0.14, 0.1, 0.08, 0.06, 0.05, 0.04])


def wail(count: int, rate: int, rng: Rng) -> Made:
    """A siren that sweeps up and down, 500 to 1800 Hz, through an overdriven horn, coming nearer and
    going."""
    turn = (times(count, rate) / 4.3 + 0.1) % 1.0
    f = np.where(turn < 0.45, np.sin(np.pi * turn / 0.9), np.cos(np.pi * (turn - 0.45) / 1.1)) ** 2
    del turn
    return _horn(520.0 * (1750.0 / 520.0) ** f, rate, rng)


def _horn(f: Array, rate: int, rng: Rng) -> Made:
    """A horn of moving frequency [Hz] that comes nearer and goes, houses around it."""
    course = pass_by(f.size, peak=0.55, width=0.5)
    sound = partials(phase_of(f, rate), f, _HORN, rate)
    del f
    sound *= course
    return echoed(sound, rate, rng), course


def two_tones(count: int, rate: int, rng: Rng) -> Made:
    """A horn that changes between 425 and 595 Hz, clear of the edges of bands."""
    t = times(count, rate)
    soft = smoothed((t / 0.7 % 2.0 < 1.0).astype(float), rate // 60)
    return _horn(425.0 + 170.0 * soft, rate, rng)


_UNEVEN = np.array([0.5, 1.0, 0.0, 1.0, 0.6, 0.0, 0.4, 0.3])


def _engine(firing: Array, rate: int, rng: Rng, *, rattle: float = 0.5, uneven: float = 0.25) -> Array:
    """A piston engine of a moving firing frequency [Hz]: its orders, cylinders that differ, and combustion
    noise that comes with each stroke."""
    drift = firing * (1.0 + 0.006 * wander(firing.size, rate, rng, speed=5.0))
    phase = phase_of(drift, rate)
    orders = partials(phase, drift, falling(60, 0.7), rate, rng)
    orders += uneven * partials(phase / 3.0, drift / 3.0, _UNEVEN, rate, rng)
    stroke = (0.5 + 0.5 * np.cos(phase)) ** 3
    return np.asarray(orders + rattle * 3.0 * stroke * rng.standard_normal(firing.size))


def _ring(count: int, rate: int, rng: Rng, at: Array, *, low: float, high: float, length: float) -> Array:
    """Things struck `at` some moments [s]: each a few modes between two frequencies [Hz], dying in
    `length`."""
    total = np.zeros(count)
    for moment in at:
        start = int(moment * rate)
        t = np.arange(min(int(4 * length * rate), count - start)) / rate
        for _ in range(7):
            f = low * (high / low) ** rng.random()
            die = length * (low / f) ** 0.5 * rng.uniform(0.5, 1.2)
            total[start : start + t.size] += rng.uniform(0.2, 1.0) * np.exp(-t / die) * np.sin(
                2.0 * np.pi * min(f, _TOP * rate) * t + rng.uniform(0.0, 6.28)
            )  # fmt: skip
    return total


def refuse_truck(count: int, rate: int, rng: Rng) -> Made:
    """A diesel that idles, then drives the press: the pump whines, bins knock."""
    t = times(count, rate)
    share = t / t[-1]
    press = np.clip((share - 0.38) / 0.08, 0.0, 1.0) * np.clip((0.93 - share) / 0.05, 0.0, 1.0)
    firing = 32.0 + 17.0 * press - 2.5 * press * np.sin(2.0 * np.pi * 1.1 * t) ** 2
    whine = 430.0 + 260.0 * np.clip((share - 0.4) / 0.5, 0.0, 1.0) + 6.0 * wander(count, rate, rng, speed=3.0)
    pump = press * partials(phase_of(whine, rate), whine, np.array([1.0, 0.5, 0.6, 0.25, 0.2]), rate)
    knocks = np.concatenate((rng.uniform(0.1, 0.34, 2), rng.uniform(0.6, 0.9, 3))) * t[-1]
    bins = _ring(count, rate, rng, knocks, low=180.0, high=2600.0, length=0.12)
    course = 0.45 + 0.55 * press
    return course * _engine(firing, rate, rng, rattle=0.6) + 1.1 * pump + 1.3 * bins, course


def delivery_van(count: int, rate: int, rng: Rng) -> Made:
    """A diesel that idles at the kerb while a door slides shut, then pulls away."""
    share = np.arange(count) / count
    away = np.clip((share - 0.5) / 0.4, 0.0, 1.0)
    door = _ring(count, rate, rng, np.array([0.18, 0.24]) * count / rate, low=140.0, high=2400.0, length=0.1)
    course = (0.45 + 0.55 * np.clip(away * 5.0, 0.0, 1.0)) * pass_by(count, peak=0.7, width=0.4, least=0.4)
    return course * _engine(27.0 + 55.0 * away, rate, rng, rattle=0.45) + 0.9 * door, course


def bus(count: int, rate: int, rng: Rng) -> Made:
    """A diesel that pulls away through two gears and passes, air let out of the brakes before."""
    t = times(count, rate)
    share = t / t[-1]
    gear = np.where(share < 0.2, 0.0, np.where(share < 0.6, (share - 0.2) / 0.4, 0.45 + (share - 0.6) / 0.55))
    firing = 28.0 + 42.0 * np.clip(smoothed(gear, rate // 8), 0.0, 1.0)
    course = pass_by(count, peak=0.5, width=0.3) * (0.55 + 0.45 * np.clip(gear * 4.0, 0.0, 1.0))
    hiss = rng.standard_normal(count) * np.exp(-(((share - 0.12) / 0.03) ** 2))
    return course * _engine(firing, rate, rng, rattle=0.35) + 0.8 * hiss, course


def motorcycle(count: int, rate: int, rng: Rng) -> Made:
    """A twin that pulls away."""
    share = np.arange(count) / count
    firing = 45.0 + 110.0 * (share % 0.45) / 0.45 * (0.7 + 0.3 * share)
    course = pass_by(count, peak=0.4, width=0.2)
    return course * _engine(firing, rate, rng, rattle=0.3, uneven=0.6), course


def lawn_mower(count: int, rate: int, rng: Rng) -> Made:
    """One cylinder at 2900 turns a minute, working harder where the grass is high."""
    firing = 24.0 + 0.7 * wander(count, rate, rng, speed=1.0)
    course = 1.0 + 0.15 * wander(count, rate, rng, speed=0.7)
    return course * _engine(firing, rate, rng, rattle=0.7), course


def helicopter(count: int, rate: int, rng: Rng) -> Made:
    """Blades that slap 14 times a second, and a turbine."""
    phase = phase_of(np.full(count, 14.0), rate)
    slap = np.exp(-14.0 * (1.0 - np.cos(phase)))
    course = pass_by(count, peak=0.5, width=0.35)
    blades = np.gradient(smoothed(slap, 3)) * 60.0
    tone = np.full(count, 1150.0)
    turbine = 0.15 * partials(phase_of(tone, rate), tone, np.array([1.0, 0.4, 0.3]), rate)
    return course * (blades + slap * rng.standard_normal(count) + turbine), course * (0.4 + slap)


def tram(count: int, rate: int, rng: Rng) -> Made:
    """Wheels that roll by over joints, bogie after bogie, under a motor's whine."""
    t = times(count, rate)
    course = pass_by(count, peak=0.5, width=0.16, least=0.06)
    seam = 0.62  # s from bogie to bogie over one joint
    moments = np.concatenate([[k * seam + 0.1, k * seam + 0.27] for k in range(int(t[-1] / seam))])
    rolling = rng.standard_normal(count) * (1.0 + 0.25 * np.sin(2.0 * np.pi * 4.1 * t) ** 2)
    clack = _ring(count, rate, rng, moments[moments < t[-1] - 0.3], low=70.0, high=1400.0, length=0.05)
    whine = 620.0 - 90.0 * t / t[-1]
    motor = partials(phase_of(whine, rate), whine, np.array([1.0, 0.6, 0.2, 0.3]), rate)
    return course * (rolling + 1.6 * clack + 0.35 * motor), course


def squeal(count: int, rate: int, rng: Rng) -> Made:
    """Wheels that slip in a curve: a few howling modes that come and go."""
    course, total = pass_by(count, peak=0.5, width=0.3), np.zeros(count)
    for f in (830.0, 1460.0, 2290.0, 3270.0, 4420.0):
        tone = f * (1.0 + 0.002 * wander(count, rate, rng, speed=3.0))
        swell = np.clip(wander(count, rate, rng, speed=3.0) + 0.4, 0.0, None)
        total += swell * np.sin(phase_of(tone, rate)) * (f < _TOP * rate)
    return course * total, course


def train(count: int, rate: int, rng: Rng) -> Made:
    """Carriages that roll by, four axles each."""
    t = times(count, rate)
    x = t / t[-1]
    course = np.clip((x - 0.08) / 0.2, 0.0, 1.0) * np.clip((0.95 - x) / 0.25, 0.0, 1.0)
    carriage = np.array([0.1, 0.2, 0.72, 0.82])
    axles = np.concatenate([k * 0.95 + carriage for k in range(int(t[-1] / 0.95) + 1)])
    clack = _ring(count, rate, rng, axles[axles < t[-1] - 0.3], low=80.0, high=1800.0, length=0.045)
    return course * (rng.standard_normal(count) + 1.2 * clack), course + 0.03


def traffic(count: int, rate: int, rng: Rng) -> Made:
    """Cars that pass one after the other."""
    x, course = np.arange(count) / count, np.full(count, 0.25)
    for _ in range(max(round(count / rate / 1.6), 2)):
        course += rng.uniform(0.4, 1.0) / (1.0 + ((x - rng.random()) * count / rate / 0.7) ** 2)
    return course * rng.standard_normal(count), course


def jet(count: int, rate: int, rng: Rng) -> Made:
    """Broad noise that swells, crackles and fades, as the air between lets it."""
    course = pass_by(count, peak=0.45, width=0.35) * (1.0 + 0.18 * wander(count, rate, rng, speed=6.0))
    return course * rng.standard_normal(count), course


def hum(count: int, rate: int, rng: Rng) -> Made:
    """A compressor at twice the mains, its harmonics, and a fan."""
    f = np.full(count, 50.0)
    tones = partials(phase_of(f, rate), f, np.array([0.5, 1.0, 0.2, 0.6, 0.1, 0.35, 0.1, 0.2]), rate, rng)
    fan = rng.standard_normal(count) * (1.0 + 0.2 * np.sin(phase_of(np.full(count, 11.3), rate)))
    return tones + 0.7 * fan, np.ones(count)


def plain(count: int, rate: int, rng: Rng) -> Made:
    """Noise, even and nothing else."""
    return rng.standard_normal(count), np.ones(count)
