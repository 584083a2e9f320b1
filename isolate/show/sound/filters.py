"""Filters by their frequency responses, laid on a whole signal at once with numpy's transforms: scipy's are
as quick, but take longer to load than a page's sounds to make."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy import fft
from numpy.typing import NDArray

from isolate.bands import Array

Complex = NDArray[np.complex128]
Response = Callable[[Array], Complex]
_LEAST_HZ = 1e-3  # stands for 0 Hz


def fast(count: int) -> int:
    """A length for transforms, at least `count` and an eighth more at most, without large prime factors."""
    step = 1 << max(count.bit_length() - 4, 0)
    return -(-count // step) * step


def frequencies(count: int, rate: int) -> Array:
    """Of the transform of `count` real samples at `rate` [Hz]: [Hz]."""
    return np.asarray(np.arange(count // 2 + 1) * (rate / count))


def convolved(samples: Array, response: Array) -> Array:
    """Samples (count,) through a filter of this impulse response, (count,)."""
    count = fast(samples.size + response.size - 1)
    return np.asarray(fft.irfft(fft.rfft(samples, count) * fft.rfft(response, count), count)[: samples.size])


def smoothed(samples: Array, width: int) -> Array:
    """The mean of the last `width` samples (count,), silence before them."""
    return convolved(samples, np.full(width, 1.0 / width))


def filtered(samples: Array, rate: int, response: Response) -> Array:
    """Samples (count,) at `rate` [Hz] through a filter of this frequency response (complex, of f [Hz])."""
    count = fast(samples.size + rate // 4)  # what rings on does not come round
    spectrum = fft.rfft(samples, count)
    spectrum *= response(np.maximum(frequencies(count, rate), _LEAST_HZ))
    return np.asarray(fft.irfft(spectrum, count)[: samples.size])


def high_pass(low: float) -> Response:
    """Butterworth's of second order above `low` [Hz]."""
    return lambda f: _butterworth(np.asarray(-1j * low / f))


def low_pass(high: float) -> Response:
    """One of first order below `high` [Hz]."""
    return lambda f: np.asarray(1.0 / (1.0 + 1j * f / high))


def band_pass(low: float, high: float) -> Response:
    """Butterworth's of second order from `low` to `high` [Hz]."""
    return lambda f: _butterworth(np.asarray(1j * (f - low * high / f) / (high - low)))


def resonance(at: float, q: float) -> Response:
    """A resonance at a frequency [Hz], 1 there, of quality `q`."""
    return lambda f: np.asarray(1.0 / (1.0 + 1j * q * (f / at - at / f)))


def _butterworth(p: Complex) -> Complex:
    return 1.0 / (p * p + 2.0**0.5 * p + 1.0)
