"""Sound shaped by bands: levels of a signal, filters without ringing, noise of a spectrum, a room's decay.

Signals are sound pressures re 20 uPa, so that a mean square of 1 is 0 dB and 10 lg of it the level. Levels
are those the third-octave filters of `standards.third_octave` show of the whole signal (its energy through
|H|^2, by Parseval), so that what is measured later is what was shaped here.

A filter between two spectra is of minimum phase: its gain runs smoothly in decibels over the logarithm of
frequency, and nothing comes before a click. Where a spectrum is uneven within a band, or a tone stands at the
edge of one, the gain at the band's centre is not what the band's level changes by; `fitted` therefore turns
the gains until the levels are the stated ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy import fft
from numpy.typing import NDArray

from isolate.bands import N_BANDS, THIRD_OCTAVES, Array, exact
from isolate.show.sound.filters import Complex, fast, frequencies
from isolate.standards.third_octave import LOWER, ORDER, UPPER, usable

_CELLS = 120  # to an octave, in which spectra are summed
_DESIGN = 1 << 16  # points a filter's phase is computed with
_LOWEST_HZ = 18.0  # below it nothing is made or let through
_EMPTY_DB = 70.0  # a band this far below the loudest carries no energy
_OWN = 0.6  # nor does one of which less than this lies between its edges
_FIT_STEPS, _FIT_DB, _FIT_LIMIT_DB = 12, 0.01, 15.0

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Bank:
    """The 27 filters over the spectrum of a signal, in narrow cells of some bins each: the `first` bin
    of each cell, its centre `f` [Hz], and `weights` (27, cells), |H|^2 and what turns |X|^2 into mean
    squares."""

    first: NDArray[np.intp]
    f: Array
    weights: Array

    def cells(self, energy: Array) -> Array:
        """A spectrum's |X|^2 summed in each cell."""
        return np.asarray(np.add.reduceat(energy, self.first))

    def power(self, energy: Array) -> Array:
        """Mean square (27,) in each band of a spectrum's |X|^2."""
        return np.asarray(self.weights @ self.cells(energy))


def padded(count: int, rate: int) -> int:
    """A length for transforms of `count` samples at `rate` [Hz] and what rings on after them: of few
    different ones, whose filters are kept."""
    return fast(-(-count // (2 * rate)) * 2 * rate)


@lru_cache(maxsize=8)
def bank(count: int, rate: int) -> Bank:
    """The filters for signals of `count` samples at `rate` [Hz]."""
    step = rate / count
    edges = np.geomspace(_LOWEST_HZ / 2.0, rate / 2.0, round(_CELLS * np.log2(rate / _LOWEST_HZ)))
    first = np.unique(np.concatenate(([1], np.round(edges / step)))).astype(int)
    first = first[first < count // 2]
    f = 0.5 * (first + np.append(first[1:], count // 2 + 1) - 1) * step
    centre, width = exact(THIRD_OCTAVES)[:, None], (UPPER - LOWER)[:, None]
    detune = (f / centre - centre / f) * centre / width
    return Bank(first, f, 2.0 / count**2 / (1.0 + detune ** (2 * ORDER)))


def levels(samples: Array, rate: int) -> Array:
    """Third-octave levels [dB] (27,) of a whole signal; -inf where there is nothing.

    >>> tone = 2.0**0.5 * np.sin(2 * np.pi * 1000 * np.arange(48000) / 48000)
    >>> abs(float(levels(tone, 48000)[16].round(2)))
    0.0
    """
    return levels_of(fft.rfft(samples), count=samples.size, rate=rate)


def levels_of(spectrum: Complex, *, count: int, rate: int) -> Array:
    """The same from its spectrum (`numpy.fft.rfft` of `count` samples)."""
    return _decibels(bank(count, rate).power(energy(spectrum)))


def energy(spectrum: Complex) -> Array:
    """|X|^2 of a spectrum."""
    return np.asarray(spectrum.real**2 + spectrum.imag**2)


def _decibels(power: Array) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(10.0 * np.log10(power))


def carries(spectrum: Complex, *, count: int, rate: int) -> Flags:
    """Which bands (27,) of a spectrum (`numpy.fft.rfft` of `count` samples) hold energy of their own: not 70
    dB below the loudest, and most of what their filter shows lies between the band's edges."""
    filters = bank(count, rate)
    shown = filters.weights * filters.cells(energy(spectrum))
    inside = (filters.f >= LOWER[:, None]) & (filters.f < UPPER[:, None])
    total = shown.sum(-1)
    own = np.where(inside, shown, 0.0).sum(-1) > _OWN * total
    return np.asarray(own & (total > 10.0 ** (-_EMPTY_DB / 10.0) * total.max()) & usable(rate))


def gain_over(gain_db: Array, f: Array) -> Array:
    """Gains [dB] at frequencies [Hz] of any shape, through those at the band centres; level beyond them."""
    return np.interp(np.log(np.maximum(f, 1.0)), np.log(exact(THIRD_OCTAVES)), gain_db)


def _cut_gain(gain_db: Array, f: Array) -> Array:
    """The same, falling by 12 dB an octave below what is heard, 60 dB at most."""
    low = np.minimum(40.0 * np.log10(np.maximum(f, 1e-3) / _LOWEST_HZ), 0.0)
    return gain_over(gain_db, f) + np.maximum(low, -60.0)


def minimum_phase(gain_db: Array, rate: int) -> Array:
    """Impulse response of minimum phase with these gains [dB] (27,) at the band centres, at most 0.7 s long.

    From the cepstrum of the gains, folded (Oppenheim and Schafer, Discrete-Time Signal Processing, from
    memory): no sample comes before the first.
    """
    f = frequencies(_DESIGN, rate)
    log_gain = _cut_gain(gain_db, f) * np.log(10.0) / 20.0
    cepstrum = fft.irfft(log_gain, _DESIGN)
    half = _DESIGN // 2
    cepstrum[1:half] *= 2.0
    cepstrum[half + 1 :] = 0.0
    response = fft.irfft(np.exp(fft.rfft(cepstrum)), _DESIGN)[:half]
    fade = half // 4
    response[-fade:] *= np.cos(0.5 * np.pi * np.arange(fade) / fade) ** 2
    return np.asarray(response)


def fitted(spectrum: Complex, wanted_db: Array, *, count: int, rate: int, where: Flags) -> Complex:
    """A spectrum passed through a filter of minimum phase so that its bands have the wanted levels.

    Parameters
    ----------
    spectrum : of `count` samples (`scipy.fft.rfft`); zeros enough at their end to hold the filter's tail.
    wanted_db : levels [dB] (27,), looked at only `where` a band carries energy; gains elsewhere follow
        their neighbours.
    """
    filters = bank(count, rate)
    cells = filters.cells(energy(spectrum))
    gain = _bridged(wanted_db - _decibels(filters.weights @ cells), where)
    for _ in range(_FIT_STEPS):
        passed = cells * 10.0 ** (_cut_gain(gain, filters.f) / 10.0)
        error = np.where(where, wanted_db - _decibels(filters.weights @ passed), 0.0)
        if np.abs(error).max() < _FIT_DB:
            break
        gain = _bridged(gain + np.clip(error, -_FIT_LIMIT_DB, _FIT_LIMIT_DB), where)
    found = fft.rfft(minimum_phase(gain, rate), count)
    found *= spectrum
    return found


def _bridged(gain_db: Array, where: Flags) -> Array:
    """Gains with those of bands without energy taken from the bands around them."""
    if not where.any():
        return np.zeros(N_BANDS)
    bands = np.arange(N_BANDS)
    return np.asarray(np.interp(bands, bands[where], gain_db[where]))


def noise(level_db: Array, count: int, rate: int, rng: np.random.Generator) -> Array:
    """Gaussian noise (count,) with these third-octave levels [dB] (27,); it may be played in a loop."""
    f = frequencies(count, rate)
    density = gain_over(level_db - 10.0 * np.log10(UPPER - LOWER), f)  # of a hertz
    density = np.where(f < _LOWEST_HZ, -400.0, np.maximum(density, -400.0))
    spectrum = rng.standard_normal(f.size) + 1j * rng.standard_normal(f.size)
    spectrum *= 10.0 ** (density / 20.0)
    for _ in range(3):
        shown = levels_of(spectrum, count=count, rate=rate)
        error = np.where(usable(rate), level_db - shown, 0.0)
        spectrum *= 10.0 ** (gain_over(error, f) / 20.0)
    return np.asarray(fft.irfft(spectrum, count))


def decay(time: Array, rate: int, rng: np.random.Generator) -> Array:
    """Impulse response of a room that rings `time` [s] (27,) by band, its energy 1 in every band.

    Gaussian noise that dies away by 60 dB in each band's own time, from the first sample on: the sound of a
    diffuse field, without the direct sound of anything near.
    """
    count = fast(round(1.1 * float(time.max()) * rate) + 1)
    f, t = frequencies(count, rate), np.arange(count) / rate
    place = np.interp(np.log(np.maximum(f, 1.0)), np.log(exact(THIRD_OCTAVES)), np.arange(N_BANDS))
    response = np.zeros(count)
    for band, ring in enumerate(time):
        share = np.cos(0.5 * np.pi * np.clip(np.abs(place - band), 0.0, 1.0))  # squares add up to 1
        white = rng.standard_normal(f.size) + 1j * rng.standard_normal(f.size)
        part = fft.irfft(share * white * np.sqrt(count / 2.0), count)
        rate_of_decay = 6.0 * np.log(10.0) / ring  # of the energy [1/s]
        response += part * np.sqrt(rate_of_decay / rate) * np.exp(-0.5 * rate_of_decay * t)
    return response
