"""Third-octave filters against IEC 61260-1 and against general-purpose filter libraries."""

import csv
import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from pyoctaveband import octavefilter
from scipy import signal
from synthetic import band_power

from isolate.bands import THIRD_OCTAVES, exact
from isolate.measuring.bank import Bank, design, halving
from isolate.standards.third_octave import UPPER, WIDTH, usable

RATES = (16_000, 22_050, 24_000, 32_000, 44_100, 48_000, 88_200, 96_000, 192_000)
TABLE = Path(__file__).parent / "published" / "iec61260_class1_limits.csv"


def limits(ratio: np.ndarray, edition: str) -> tuple[np.ndarray, np.ndarray]:
    """Class 1 limits at ratios f/fm: formula (9) maps the table to third octaves, (11) lies between rows."""
    with TABLE.open() as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    g = 10**0.3
    scale = (g ** (1 / 6) - 1) / (g**0.5 - 1)
    at = [math.log(1 + scale * (g ** float(row["exponent"]) - 1)) for row in rows]
    inside, outside = slice(0, 5), slice(5, None)
    least = [float(row[f"minimum_{edition}"]) for row in rows]
    most = [float(row[f"maximum_{edition}"] or "inf") for row in rows]
    away = np.abs(np.log(ratio))
    passing = away <= at[4]
    low_in, low_out = (np.interp(away, at[part], least[part]) for part in (inside, outside))
    low = np.where(passing, low_in, low_out)
    return low, np.where(passing, np.interp(away, at[inside], most[inside]), np.inf)


def attenuation(rate: float, band: int, f: np.ndarray) -> np.ndarray:
    """Of one band's filter and all the halving filters before it [dB]."""
    gain = np.ones_like(f)
    for stage in design(float(rate)):
        if band in stage.bands:
            _, h = signal.sosfreqz(stage.bands[band], f, fs=stage.rate)
            return -20 * np.log10(np.abs(h) * gain + 1e-15)
        _, h = signal.sosfreqz(halving(), f, fs=stage.rate)
        gain = gain * np.abs(h)
    raise AssertionError("no such band at this rate")


@pytest.mark.parametrize("edition", ["2014", "1995"])
@pytest.mark.parametrize("rate", RATES)
def test_every_band_meets_class_1(rate: int, edition: str) -> None:
    """IEC 61260-1:2014 table 1 and, stricter at the skirts, IEC 61260:1995 table 1, no tolerance added."""
    for band in np.flatnonzero(usable(rate)):
        middle = exact(THIRD_OCTAVES[band])
        stage = next(s for s in design(float(rate)) if band in s.bands)
        f = np.geomspace(middle / 40, min(40 * middle, 0.4999 * stage.rate), 6001)
        relative = attenuation(rate, band, f) - attenuation(rate, band, np.array([middle]))
        low, high = limits(f / middle, edition)
        assert np.all(relative >= low), (rate, THIRD_OCTAVES[band])
        assert np.all(relative <= high), (rate, THIRD_OCTAVES[band])


@pytest.mark.parametrize("rate", RATES)
def test_nothing_folds_back_into_a_band(rate: int) -> None:
    """What the halving filters let through beyond half a stage's rate lands outside every band or 70 dB down
    (the farthest limit of IEC 61260-1:2014 table 1)."""
    stages = design(float(rate))
    for before, stage in pairwise(stages):
        for band in stage.bands:
            image = before.rate / 2 - np.geomspace(UPPER[band] / 1.26, UPPER[band], 50)
            _, h = signal.sosfreqz(halving(), image, fs=before.rate)
            assert np.all(-20 * np.log10(np.abs(h)) > 70.0)


def filtered(x: np.ndarray, rate: int, frame: int = 6000) -> np.ndarray:
    parts = np.array_split(x[:, None], 7)
    return band_power(parts, rate, channels=1, frames=len(x), frame=frame)[0]


@pytest.mark.parametrize("rate", [16_000, 22_050, 44_100, 48_000, 96_000])
def test_levels_are_those_of_general_purpose_filter_libraries(rate: int) -> None:
    """Pink noise through ours, the octave filter library PyOctaveBand 2.0.0, and SciPy's own filters at the
    full rate, twelfth order. Tolerance 0.3 dB: class 1 allows an effective bandwidth off by 0.4 dB
    (IEC 61260-1:2014, 5.12), and the filters differ in order."""
    rng = np.random.default_rng(5)
    spectrum = np.fft.rfft(rng.standard_normal(30 * rate))
    spectrum[1:] /= np.sqrt(np.arange(1, spectrum.size))
    x = np.fft.irfft(spectrum)
    x /= x.std()
    ours = 10 * np.log10(filtered(x, rate).mean(axis=0) + 1e-30)
    top = int(usable(rate).sum()) - 1  # at the full rate the band nearest half of it is warped
    theirs, bands = octavefilter(x, rate, fraction=3, order=6, limits=[25, min(10_500, 0.25 * rate)])
    where = [int(np.argmin(np.abs(np.log(THIRD_OCTAVES / band)))) for band in bands]
    theirs = np.asarray(theirs) - (np.asarray(theirs)[10] - ours[where[10]])  # its reference is another level
    assert np.abs(theirs - ours[where])[4:].max() < 0.3  # 63 Hz up: its start-up counts in, below
    middle = exact(THIRD_OCTAVES[10:top])
    for band, centre in zip(range(10, top), middle, strict=True):
        sos = signal.butter(6, (centre / 10**0.05, centre * 10**0.05), "bandpass", fs=rate, output="sos")
        assert 10 * np.log10(np.mean(signal.sosfilt(sos, x) ** 2)) == pytest.approx(ours[band], abs=0.15)


def test_pink_noise_has_the_power_its_bands_hold() -> None:
    """White noise of density 1/(rate/2): each band holds its width, plus 0.11 dB for the filter's shape."""
    rate = 48_000
    x = np.random.default_rng(1).standard_normal(rate * 90)
    level = 10 * np.log10(filtered(x, rate).mean(axis=0) / (WIDTH / (rate / 2)))
    chance = 4.34 / np.sqrt(WIDTH * 90)
    assert np.all(np.abs(level - 0.11) < 4 * chance + 0.03)


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000, 192_000])
def test_a_tone_reads_its_level_in_its_own_band(rate: int) -> None:
    """A sine of amplitude 0.1 has a mean square of 0.005, whatever the rate."""
    seconds = np.arange(8 * rate) / rate
    for band in (0, 8, 16, 23):
        x = 0.1 * np.sin(2 * np.pi * exact(THIRD_OCTAVES[band]) * seconds)
        power = filtered(x, rate, frame=rate // 8)[16:]
        assert 10 * np.log10(power[:, band].mean() / 0.005) == pytest.approx(0.0, abs=0.02)
        assert power.mean(axis=0).argmax() == band


def test_blocks_make_no_difference() -> None:
    x = np.random.default_rng(2).standard_normal((40_001, 2))
    whole = band_power([x], 16_000, channels=2, frames=len(x), frame=1999)
    for size in (1, 977, 2000):
        cut = [x[i : i + size] for i in range(0, len(x) if size > 1 else 40, size)]
        cut = cut if size > 1 else [*cut, x[40:]]
        parts = band_power(cut, 16_000, channels=2, frames=len(x), frame=1999)
        assert np.allclose(parts, whole, rtol=1e-9, atol=1e-24)


def test_digital_silence_is_passed_over_and_time_goes_on() -> None:
    rate = 16_000
    x = np.zeros((12 * rate, 1))
    x[10 * rate : 11 * rate, 0] = np.sin(2 * np.pi * 1000 * np.arange(rate) / rate)
    bank = Bank(rate, 1, len(x), frame=rate // 8)
    for i in range(0, len(x), 1601):
        bank.feed(x[i : i + 1601])
    power = bank.power()[0, :, 16]
    assert power[:80].max() < 1e-20
    assert power[82:88] == pytest.approx(0.5, rel=0.01)


def test_bands_a_slow_recording_cannot_hold_are_left_out() -> None:
    assert THIRD_OCTAVES[usable(16_000)].max() == 6300
    assert usable(44_100).all()
    assert design(16_000.0)[0].rate == 32_000


def test_no_band_is_filtered_below_the_slowest_rate() -> None:
    """48 kHz halved again and again: 3 kHz is still enough for 2.9 kHz, 1.5 kHz is not."""
    for slowest, last in ((3000.0, 3000.0), (2900.0, 3000.0), (1500.0, 1500.0)):
        assert [stage.rate for stage in design(48_000.0, slowest)][-1] == last


def test_every_full_frame_has_its_power() -> None:
    """A second of a tone of amplitude 1 at 8 frames, and a half one that is none."""
    rate, frame = 16_000, 2000
    x = np.sin(2 * np.pi * 1000 * np.arange(17_000) / rate)[:, None]
    bank = Bank(rate, 1, len(x), frame=frame)
    bank.feed(x)
    power = bank.power()
    assert power.shape == (1, 8, 27)
    assert power[0, 1:, 16] == pytest.approx(0.5, rel=0.01)
