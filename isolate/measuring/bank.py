"""Third-octave filters of class 1 (IEC 61260-1:2014), streamed.

Each band is a Butterworth band-pass of order `2 * ORDER` on its exact base-ten edges, run at a rate that
keeps the band below a quarter of it: low bands on a signal halved again and again, top bands of slow
recordings on a doubled one, so that the bilinear transform bends no skirt.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import signal

from isolate.bands import N_BANDS, Array
from isolate.standards.third_octave import LOWER, ORDER, UPPER, usable

_TOP = 0.26  # a band's upper edge over the rate it is filtered at, at most
_HALVE_EDGE, _HALVE_ORDER = 0.14, 9  # pass band of the halving filter over its input rate
_DOUBLE_BELOW = 43_000.0
_SILENT, _FAINT = 1024, 1e-10  # samples of digital silence at a block's end; what is left in the filters


@dataclass(frozen=True)
class Stage:
    """Bands filtered at one rate: `rate` [Hz], `step` input samples to one sample here, {band: sections}."""

    rate: float
    step: float
    bands: dict[int, Array]


@lru_cache(maxsize=16)
def design(rate: float, slowest: float = 0.0) -> tuple[Stage, ...]:
    """The stages for recordings at `rate` [Hz], each at half the rate of the one before it; none is
    run below `slowest` [Hz], which keeps the time resolution of low bands."""
    doubled = rate < _DOUBLE_BELOW
    at, step = (2.0 * rate, 0.5) if doubled else (float(rate), 1.0)
    left = set(np.flatnonzero(usable(rate)).tolist())
    stages = []
    while left:
        last = at / 2.0 < slowest
        here = {b for b in left if last or UPPER[b] > _TOP * at / 2.0}
        stages.append(Stage(at, step, {b: sections(b, at) for b in sorted(here)}))
        left -= here
        at, step = at / 2.0, step * 2.0
    return tuple(stages)


def sections(band: int, rate: float) -> Array:
    """Second-order sections of one band's filter at `rate` [Hz], (ORDER, 6)."""
    return np.asarray(signal.butter(ORDER, (LOWER[band], UPPER[band]), "bandpass", fs=rate, output="sos"))


@lru_cache(maxsize=1)
def halving() -> Array:
    """Sections of the low-pass before every second sample is dropped: ripple 0.001 dB, 100 dB stop band."""
    return np.asarray(signal.ellip(_HALVE_ORDER, 0.001, 100.0, 2.0 * _HALVE_EDGE, output="sos"))


@lru_cache(maxsize=1)
def _whisper() -> Array:
    """Noise 280 dB below full scale: without it digital silence makes processors slow."""
    return 1e-14 * np.random.default_rng(0).standard_normal(4096)


@lru_cache(maxsize=1)
def doubling() -> Array:
    """Finite impulse response that fills in every second sample, pass band to 0.45 of the input rate."""
    return np.asarray(2.0 * signal.firwin(161, 0.5, window=("kaiser", 9.0)))


class Bank:
    """All band filters of one recording, fed block by block.

    Parameters
    ----------
    rate : float
        Sampling rate [Hz].
    channels : int
    frames : int
        Samples in the whole recording, which settles the size of the result.
    frame : int
        Samples to one frame of the result.
    slowest : float
        No band is filtered below this rate [Hz].
    """

    def __init__(self, rate: float, channels: int, frames: int, *, frame: int, slowest: float = 0.0) -> None:
        self.stages = design(float(rate), slowest)
        self.frame = frame
        self.energy = np.zeros((channels, frames // frame + 1, N_BANDS))
        self._seen = [0] * len(self.stages)
        self._states = [{b: np.zeros((ORDER, channels, 2)) for b in stage.bands} for stage in self.stages]
        self._halves = [np.zeros((halving().shape[0], channels, 2)) for _ in self.stages]
        self._tail = np.zeros((channels, doubling().size - 1))
        self._asleep = True

    def feed(self, block: Array) -> None:
        """Filter a block (samples, channels) and add its energy to the frames it falls in."""
        if self._asleep and not block.any():
            self._pass_over(len(block))
            return
        self._asleep = False
        samples = np.ascontiguousarray(block.T) + np.resize(_whisper(), len(block))
        if self.stages[0].step < 1.0:
            samples = self._doubled(samples)
        odd = 0
        for at, stage in enumerate(self.stages):
            if at:
                samples = self._halved(at, samples, odd)
            odd = self._seen[at] % 2
            self._filter(at, stage, samples)
            self._seen[at] += samples.shape[1]
        self._settle(block)

    def power(self) -> Array:
        """Mean square of each band in each full frame, (channels, full frames, 27)."""
        return np.asarray(self.energy[:, :-1] / self.frame)

    def _filter(self, at: int, stage: Stage, samples: Array) -> None:
        count = samples.shape[1]
        if count == 0:
            return
        starts, frames = _frame_starts(self._seen[at], count, stage.step, self.frame)
        keep = frames < self.energy.shape[1]
        for band, sos in stage.bands.items():
            out, self._states[at][band] = signal.sosfilt(sos, samples, zi=self._states[at][band])
            sums = np.add.reduceat(out * out, starts, axis=1) * stage.step
            self.energy[:, frames[keep], band] += sums[:, keep]

    def _halved(self, at: int, samples: Array, odd: int) -> Array:
        if samples.shape[1] == 0:
            return samples
        smooth, self._halves[at] = signal.sosfilt(halving(), samples, zi=self._halves[at])
        return np.ascontiguousarray(smooth[:, odd::2])

    def _doubled(self, samples: Array) -> Array:
        spread = np.zeros((samples.shape[0], 2 * samples.shape[1]))
        spread[:, ::2] = samples
        joined = np.concatenate((self._tail, spread), axis=1)
        self._tail = joined[:, -(doubling().size - 1) :]
        return np.asarray(signal.oaconvolve(joined, doubling()[None], mode="valid", axes=1))

    def _pass_over(self, count: int) -> None:
        end = self._seen[0] + int(count / min(self.stages[0].step, 1.0))
        for at in range(len(self.stages)):
            self._seen[at] = end
            end = (end + 1) // 2

    def _settle(self, block: Array) -> None:
        """Note when a digital silence has died away in all filters, so that it can be passed over."""
        states = [state for states in self._states for state in states.values()] + self._halves
        if not block[-_SILENT:].any() and all(np.abs(state).max() < _FAINT for state in states):
            for state in states:
                state[:] = 0.0
            self._tail[:] = 0.0
            self._asleep = True


def _frame_starts(first: int, count: int, step: float, frame: int) -> tuple[np.ndarray, np.ndarray]:
    """Where the frames begin among `count` samples from number `first` on, and which frames they are."""
    begin, end = int(first * step // frame), int((first + count - 1) * step // frame)
    frames = np.arange(begin, end + 1)
    starts = np.maximum(np.ceil(frames * frame / step).astype(int) - first, 0)
    real = np.append(np.diff(starts) > 0, True)
    return starts[real], frames[real]
