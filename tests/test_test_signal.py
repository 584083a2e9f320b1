"""The signal to measure with is what its guide says, sample by sample."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.errors import InputError
from isolate.measuring import test_signal
from isolate.measuring.test_signal import pink_noise, signal, stepped, sweep

RATE = 32_000


def db(x: np.ndarray) -> float:
    return float(10 * np.log10(np.mean(x**2)))


def test_it_comes_in_the_order_that_is_told() -> None:
    """5 s of silence, six steps of 2.5 s with 1 s after each, noise as long as asked, 10 s of silence; three
    sweeps of 10 s with 4 s after each."""
    made = signal("both", length="12 s", rate=RATE)
    ends = [5.0, 26.0, 38.0, 48.0, 58.0, 62.0, 72.0, 76.0, 86.0, 90.0]
    assert [one.end for one in made.sections] == pytest.approx(ends)
    assert [one.start for one in made.sections] == pytest.approx([0.0, *ends[:-1]])
    assert made.samples.size == 90 * RATE
    assert "-20, -30, -10, 0, -30, -10 dB" in made.sections[1].what
    assert [one.what[:12] for one in made.sections[4::2]] == ["sweep 1 of 3", "sweep 2 of 3", "sweep 3 of 3"]
    silent = [one for one in made.sections if "silence" in one.what]
    assert len(silent) == 5
    for one in silent:
        assert not made.samples[round(one.start * RATE) : round(one.end * RATE)].any()
    assert signal("noise", length="12 s", rate=RATE).sections[-1].end == 48.0
    assert signal("sweeps", rate=RATE).sections[-1].end == 47.0


def test_it_lasts_ten_seconds_to_ten_minutes() -> None:
    assert signal("noise", length="10 s", rate=200).sections[2].end == 36.0
    assert signal("noise", length="10 min", rate=200).sections[2].end == 626.0
    for length in ("9.9 s", "10.1 min"):
        with pytest.raises(InputError, match="length: is out of range"):
            signal("noise", length=length, rate=200)


def test_pink_noise_has_its_level_peaks_and_spectrum() -> None:
    """20 dB below full scale, peaks 6 dB below; power falls as 1/f from 20 Hz to 12 kHz, nothing beside."""
    x = pink_noise(20.0, rate=RATE)
    assert x.size == 20 * RATE and db(x) == pytest.approx(-20.0, abs=0.01)
    assert np.abs(x).max() <= 10 ** (-6 / 20)
    power, f = np.abs(np.fft.rfft(x)) ** 2, np.fft.rfftfreq(x.size, 1 / RATE)
    octaves = [power[(f >= hz) & (f < 2 * hz)].sum() for hz in (20, 40, 80, 160, 320, 1280, 5120, 6000)]
    assert 10 * np.log10(octaves / octaves[0]) == pytest.approx(np.zeros(8), abs=0.05)
    assert power[(f < 20) | (f > 12_000)].sum() < 1e-5 * power.sum()  # what held peaks leave


def test_peaks_are_held_6_db_below_full_scale(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those of louder noise too, which has many."""
    monkeypatch.setattr(test_signal, "LEVEL_DB", -10.0)
    x = pink_noise(5.0, rate=RATE)
    assert np.abs(x).max() == pytest.approx(0.5012, abs=1e-4) and (np.abs(x) > 0.5).sum() > 10


def test_steps_stand_where_they_are_known_to() -> None:
    """Each 2.5 s, faded over 50 ms at both ends, and a second of nothing; below the steady noise's -20 dB."""
    x = stepped(rate=RATE)
    assert x.size == 21 * RATE
    seeds = []
    for i, step in enumerate((-20.0, -30.0, -10.0, 0.0, -30.0, -10.0)):
        one = x[round(3.5 * i * RATE) :][: round(2.5 * RATE)]
        after = x[round((3.5 * i + 2.5) * RATE) :][:RATE]
        assert db(one[RATE // 20 : -RATE // 20]) == pytest.approx(-20.0 + step, abs=0.1)
        assert not after.any() and one[0] == 0.0
        for fade in (one[: RATE // 20], one[: -RATE // 20 - 1 : -1]):  # sin^2: 3/8 of the power, -4.3 dB
            assert db(fade) == pytest.approx(-20.0 + step + 10 * np.log10(3 / 8), abs=2.0)
        seeds.append(one[RATE] / 10 ** (step / 20))
    assert len(set(np.round(seeds, 9))) == 6  # no two of the same noise


def test_a_sweep_rises_by_equal_ratios_in_equal_times() -> None:
    """From 20 Hz to 12 kHz in 10 s: after 5 s at their geometric mean, 490 Hz, after 7.5 s at 2424 Hz; 20 dB
    below full scale; in and out over 0.2 s by sin^2, half after half of it."""
    x = sweep(rate=RATE)
    assert x.size == 10 * RATE and db(x[RATE:-RATE]) == pytest.approx(-20.0, abs=0.01)
    for seconds in (2.5, 5.0, 7.5):
        part = x[round((seconds - 0.1) * RATE) : round((seconds + 0.1) * RATE)]
        crossings = np.count_nonzero(np.diff(np.signbit(part)))
        assert crossings / 0.4 == pytest.approx(20.0 * 600.0 ** (seconds / 10.0), rel=0.03)
    top = np.sqrt(2.0) * 10 ** (-20 / 20)
    assert np.abs(x[RATE:-RATE]).max() == pytest.approx(top, rel=1e-3)
    for at, share in ((0.1, 0.5), (0.15, 0.854)):  # sin^2 of 45 and of 67.5 degrees
        end = x[::-1][round((at - 0.002) * RATE) : round((at + 0.002) * RATE)]
        assert np.abs(end).max() / top == pytest.approx(share, abs=0.03)
    start = x[: round(0.2 * RATE)]
    assert np.abs(start[: RATE // 20]).max() < 0.2 * top and np.abs(start).max() > 0.8 * top
