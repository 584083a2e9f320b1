"""Filters of made sounds against scipy.signal and numpy, general-purpose libraries."""

import numpy as np
import pytest
from scipy import signal

from isolate.show.sound import filters

RATE = 48_000
F = np.geomspace(20.0, 20_000.0, 300)
ANALOG = {
    "high pass": (filters.high_pass(50.0), signal.butter(2, 2 * np.pi * 50.0, "highpass", analog=True)),
    "low pass": (filters.low_pass(6.0), signal.butter(1, 2 * np.pi * 6.0, analog=True)),
    "band pass": (
        filters.band_pass(1800.0, 3420.0),
        signal.butter(2, (2 * np.pi * 1800.0, 2 * np.pi * 3420.0), "bandpass", analog=True),
    ),
}


@pytest.mark.parametrize(("response", "of"), ANALOG.values(), ids=ANALOG)
def test_responses_are_butterworths_in_magnitude_and_phase(response: filters.Response, of: tuple) -> None:
    _, expected = signal.freqs(*of, worN=2 * np.pi * F)
    assert response(F) == pytest.approx(expected, abs=1e-9)


def test_a_resonance_is_1_at_its_frequency_and_as_wide_as_its_quality_says() -> None:
    """Half the power at the ends of f/Q about f, which lie f^2 from each other's product (textbooks)."""
    at, q = 530.0, 6.0
    ends = at * (np.array([-1.0, 1.0]) / (2 * q) + np.sqrt(1 + 1 / (4 * q * q)))
    answer = filters.resonance(at, q)
    assert abs(answer(np.array([at]))) == pytest.approx([1.0])
    assert np.abs(answer(ends)) ** 2 == pytest.approx([0.5, 0.5])


def test_a_signal_comes_through_as_through_the_same_filter_sample_by_sample() -> None:
    """Below a tenth of the rate, where the bilinear transform bends nothing, and nothing comes round."""
    rng = np.random.default_rng(3)
    slow = signal.sosfiltfilt(signal.butter(4, 2000.0, fs=RATE, output="sos"), rng.standard_normal(24_001))
    slow *= np.hanning(slow.size)
    sos = signal.butter(2, 300.0, "highpass", fs=RATE, output="sos")
    found = filters.filtered(slow, RATE, filters.high_pass(300.0))
    assert found == pytest.approx(signal.sosfilt(sos, slow), abs=0.01 * slow.std())


@pytest.mark.parametrize("size", [1, 2, 700, 5001])
def test_a_convolution_is_a_convolution(size: int) -> None:
    rng = np.random.default_rng(4)
    samples, response = rng.standard_normal(5001), rng.standard_normal(size)
    assert filters.convolved(samples, response) == pytest.approx(np.convolve(samples, response)[:5001])
    mean = np.convolve(samples, np.full(size, 1 / size))[:5001]
    assert filters.smoothed(samples, size) == pytest.approx(mean)


@pytest.mark.parametrize("count", [1, 15, 16, 17, 1000, 48_001, 134_399, 999_983])
def test_transforms_have_no_large_prime_factor_and_no_room_to_spare(count: int) -> None:
    found, left = filters.fast(count), filters.fast(count)
    for prime in (2, 3, 5, 7, 11, 13):
        while left % prime == 0:
            left //= prime
    assert left == 1 and count <= found <= 1.125 * count + 1
    assert filters.frequencies(found, RATE) == pytest.approx(np.fft.rfftfreq(found, 1 / RATE))
