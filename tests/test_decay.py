"""Reverberation times of known decays."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import signal
from synthetic import claps, noise, put

from isolate.bands import THIRD_OCTAVES
from isolate.errors import InputError
from isolate.measuring.decay import CORE, Decay, _decays, _mean, _slope, fit, reverberation
from isolate.standards.third_octave import WIDTH

RATE = 48_000


@pytest.mark.parametrize("time", [0.2, 0.5, 1.3, 4.0])
def test_an_exact_decay_gives_its_time_exactly(time: float) -> None:
    """10^(-6 t/T) by definition of T; 0.5 % for the time grid, with and without noise 50 dB down."""
    step = 0.004
    t = np.arange(round(2 * time / step)) * step
    energy = 10 ** (-6 * t / time)
    t20, bend = fit(energy + 1e-14, step)
    assert t20 == pytest.approx(time, rel=0.005)
    assert bend == pytest.approx(0.0, abs=1.0)
    for noise_down, allowed in ((50, 0.005), (41 if time < 0.3 else 37, 0.005)):
        noisy, _ = fit(energy + 10 ** (-noise_down / 10), step)
        assert noisy == pytest.approx(time, rel=allowed)


def test_the_noise_must_lie_35_db_down() -> None:
    """ISO 3382-2: T20 needs the noise 10 dB under its end."""
    step, t = 0.004, np.arange(500) * 0.004
    assert np.isfinite(fit(10 ** (-6 * t / 0.5) + 10**-3.8, step)[0])
    assert np.isnan(fit(10 ** (-6 * t / 0.5) + 10**-3.2, step)[0])


def test_a_double_slope_is_called_bent() -> None:
    step, t = 0.004, np.arange(800) * 0.004
    energy = 10 ** (-6 * t / 0.4) + 10 ** (-6 * t / 1.6 - 1.5)
    t20, bend = fit(energy + 1e-14, step)
    assert bend > 12.0
    assert 0.4 < t20 < 1.6


def test_near_the_noise_a_bend_is_told_by_the_halves_of_t20() -> None:
    """With 40 dB to the noise T30 is not there: 25 % between the halves count as 10 % of T30. What is left to
    sound falls by 120 dB a second for 15 dB, by 60 after that: twice as slow, 100 %, which counts as 40 %."""
    step = 0.001
    t = np.arange(2500) * step
    left = 10 ** (-np.where(t < 0.125, 120.0 * t, 15.0 + 60.0 * (t - 0.125)) / 10)
    energy = -np.diff(left, append=0.0)
    t20, bend = fit(energy + 1e-4 * energy[0], step)
    assert bend == pytest.approx(40.0, abs=3.0)
    assert 0.5 < t20 < 1.0


def test_far_from_the_noise_a_bend_is_told_by_t30() -> None:
    """What is left falls by 120 dB a second for 25 dB, by 40 after that: T20, 0.5 s, sees none of it, T30
    does; 40 dB to the noise are too few for that."""
    step = 0.001
    t = np.arange(2500) * step
    slow = np.where(t < 25 / 120, 120.0 * t, 25.0 + 40.0 * (t - 25 / 120))
    energy = -np.diff(10 ** (-slow / 10), append=0.0)
    for noise_db, seen in ((-70.0, True), (-40.0, False)):
        t20, bend = fit(energy + 10 ** (noise_db / 10) * energy[0], step)
        assert t20 == pytest.approx(0.5, rel=0.02 if seen else 0.05)
        assert (bend > 10.0) == seen


def test_chance_in_a_decay_neither_ends_it_nor_moves_its_time() -> None:
    """Mean squares of noise in a band: exponential chance about the decay, whose noise lies 50 dB down. The
    usual one of 40 is known to 3 %, each to a tenth."""
    rng, step = np.random.default_rng(2), 0.002
    t = np.arange(1000) * step
    times = []
    for _ in range(40):
        chance = rng.exponential(size=t.size)
        times.append(fit((10 ** (-6 * t / 0.6) + 1e-5) * chance, step)[0])
    assert np.isfinite(times).all()
    assert np.median(times) == pytest.approx(0.6, rel=0.03) and np.std(times) < 0.1 * 0.6


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000])
def test_known_times_come_back_from_claps_in_every_band(tmp_path: Path, rate: int) -> None:
    """Times that fall with frequency; tolerance three standard deviations by ISO 3382-2's own formula, and
    10 % where B T is under 16 and the filter adds to the decay."""
    rng = np.random.default_rng(8)
    times = np.interp(np.log(THIRD_OCTAVES), np.log([25, 10_000]), [1.4, 0.5])
    path = put(tmp_path / "claps.wav", claps(times, rng=rng, rate=rate, count=6), rate=rate)
    decay = reverberation([path])
    assert decay.count == 6
    there = np.isfinite(decay.t20)
    assert there[5:24].all()
    sigma = 0.88 * times * np.sqrt(1.19 / (6 * WIDTH * times))
    allowed = 3 * sigma + np.where(WIDTH * times < 16, 0.1, 0.01) * times
    assert np.all(np.abs(decay.t20 - times)[there] < allowed[there])
    assert np.all(decay.u_t20[there] < 0.4 * times[there])


def test_noise_switched_off_gives_the_same_time(tmp_path: Path) -> None:
    rng = np.random.default_rng(9)
    ringing = rng.standard_normal(RATE) * 10 ** (-3 * np.arange(RATE) / RATE / 0.6)
    takes = []
    for _ in range(4):
        source = np.concatenate([np.zeros(RATE // 2), noise(-30, 3, rng=rng), np.zeros(3 * RATE)])
        takes.append(signal.fftconvolve(source, ringing / np.sqrt(np.sum(ringing**2)))[: source.size])
    x = np.concatenate(takes) + 1e-6 * rng.standard_normal(4 * takes[0].size)
    decay = reverberation([put(tmp_path / "stops.wav", x)])
    assert decay.count == 4
    middle = slice(12, 25)
    assert np.all(np.abs(decay.t20[middle] / 0.6 - 1) < 0.2)
    assert abs(np.mean(decay.t20[middle]) / 0.6 - 1) < 0.05


def test_what_does_not_decay_is_refused(tmp_path: Path) -> None:
    rng = np.random.default_rng(10)
    with pytest.raises(InputError, match="nothing in it dies away"):
        reverberation([put(tmp_path / "hum.wav", noise(-40, 10, rng=rng))])


# --- bare numbers ---


def mean(times: np.ndarray, bend: float = 0.0) -> Decay:
    """What several decays (decays, 27) make, all so bent [%]."""
    return _mean(times, np.full(times.shape, bend), [])


def keys(decay: Decay) -> set[str]:
    return {finding.key for finding in decay.findings}


def test_a_decay_half_or_twice_the_usual_one_is_something_else() -> None:
    """A car that passes while one claps."""
    for other, kept in ((0.51, True), (0.49, False), (1.99, True), (2.01, False)):
        found = mean(np.vstack([np.ones((5, 27)), np.full((1, 27), other)]))
        assert found.counts[20] == 5 + kept and found.count == 6
        assert found.t20[20] == pytest.approx((5 + other) / 6 if kept else 1.0)


def test_decays_that_differ_are_less_sure_than_chance_has_it() -> None:
    """0.9 and 1.1 s twice each: a standard deviation of sqrt(0.04/3), of their mean half of that; chance of
    one is 0.88 T sqrt(1.19/(B T)) (ISO 3382-2, annex A, from memory), of four half of it."""
    found = mean(np.tile(np.array([[0.9], [1.1]]), (2, 27)))
    chance = 0.88 * np.sqrt(1.19 / WIDTH) / 2.0
    known = np.isfinite(found.u_t20)
    assert known.sum() > 20
    assert found.u_t20[known] == pytest.approx(np.hypot(np.sqrt(0.04 / 3) / 2.0, chance)[known])


def test_a_filter_that_rings_as_long_as_the_room_gives_no_time() -> None:
    """B T over 8 for filters reversed in time: half of the 16 that forward ones need (ISO 3382-1)."""
    for product, there in ((8.1, True), (7.9, False)):
        found = mean(np.tile(product / WIDTH, (2, 1)))
        assert np.isfinite(found.t20).all() == there and (found.counts > 0).all() == there
        assert ("weak decay" in keys(found)) != there


def test_a_tenth_more_of_t30_than_of_t20_is_bent_where_chance_does_not_make_it() -> None:
    """ISO 3382-2, annex B: over 10 % is suspicious; in the bass, where one decay scatters by
    0.88 T sqrt(1.19/(B T)) (its own formula for T20), 2.5 times as much as that."""
    times = np.full((4, 27), 1.0)
    for bend, bent in ((9.9, False), (10.1, True), (-10.1, True)):
        assert ("bent decay" in keys(mean(times, bend))) == bent
    for time in (1.0, 1.5):
        scatter = 100 * 0.88 * np.sqrt(1.19 / (WIDTH * time)) / 2.0  # of four
        bass = 7
        alone = np.full((4, 27), np.nan)
        alone[:, bass] = time
        assert 2.5 * scatter[bass] > 11.0
        for times_as_much, bent in ((2.4, False), (2.6, True)):
            found = mean(alone, times_as_much * scatter[bass])
            assert ("bent decay" in keys(found)) == bent


def test_where_most_bands_have_no_decay_it_is_said() -> None:
    """16 bands from 100 to 3150 Hz make the single numbers; more than half of them missing is a doubt."""
    assert CORE.sum() == 16
    for missing, said in ((8, False), (9, True)):
        times = np.ones((3, 27))
        times[:, 6 : 6 + missing] = np.nan
        assert ("few decays" in keys(mean(times))) == said
    outside = np.ones((3, 27))
    outside[:, :6] = outside[:, 22:] = np.nan
    assert keys(mean(outside)) == set()


def test_the_mean_of_decays_is_as_sure_as_they_scatter() -> None:
    """Standard error of 0.9 and 1.1 s beside the standard's own of two decays."""
    found = mean(np.array([np.full(27, 0.9), np.full(27, 1.1)]))
    random = 0.88 * np.sqrt(1.19 / WIDTH[20]) / np.sqrt(2)
    assert found.u_t20[20] == pytest.approx(np.hypot(0.1, random), rel=0.01)


CLOCK: Any = SimpleNamespace(rate=1000)


def course(*parts: tuple[float, float]) -> np.ndarray:
    """Sound at 1 kHz of these lengths [s] and levels [dB]; treble, so that its differences are as loud."""
    made = [10 ** (db / 20) * (-1.0) ** np.arange(round(1000 * seconds)) for seconds, db in parts]
    return np.concatenate(made)


def found_in(*parts: tuple[float, float]) -> list[tuple[float, float]]:
    return [(start / 1000, end / 1000) for start, end in _decays(course(*parts), CLOCK)]


def test_a_bang_stands_20_db_above_the_quiet_and_within_40_of_the_loudest() -> None:
    assert found_in((2.0, 0.0), (0.05, 19.0), (3.0, 0.0)) == []
    assert len(found_in((2.0, 0.0), (0.05, 21.0), (3.0, 0.0))) == 1
    for second, count in ((39.0, 1), (41.0, 2)):
        assert len(found_in((2.0, 0.0), (0.05, 80.0), (3.0, 0.0), (0.05, second), (3.0, 0.0))) == count


def test_a_quarter_of_a_second_parts_two_bangs_and_eight_end_one() -> None:
    for lull, count in ((0.22, 1), (0.40, 2)):
        assert len(found_in((2.0, 0.0), (0.05, 50.0), (lull, 0.0), (0.05, 50.0), (3.0, 0.0))) == count
    ((start, end),) = found_in((2.0, 0.0), (0.05, 50.0), (12.0, 0.0))
    assert start == pytest.approx(2.0, abs=0.02) and end - start == pytest.approx(8.0, abs=0.02)
    ((start, end),) = found_in((2.0, 0.0), (0.05, 50.0), (3.0, 0.0))
    assert end == pytest.approx(5.05, abs=0.02)
    (first, second) = found_in((2.0, 0.0), (0.05, 50.0), (1.0, 0.0), (0.05, 50.0), (3.0, 0.0))
    assert first[1] < second[0] <= 3.06 + 0.02
    assert found_in((2.0, 0.0), (0.05, 50.0), (0.2, 0.0)) == []  # nothing to fit a line to


def test_noise_switched_off_decays_from_its_end() -> None:
    """A second of it and more; what falls slowly by 3 dB is still on, a bang from its top."""
    ((start, _),) = found_in((2.0, 0.0), (3.0, 50.0), (3.0, 0.0))
    assert start == pytest.approx(5.0, abs=0.02)
    ((start, _),) = found_in((2.0, 0.0), (2.0, 50.0), (0.5, 47.5), (3.0, 0.0))
    assert start == pytest.approx(4.5, abs=0.02)
    ((start, _),) = found_in((2.0, 0.0), (2.0, 50.0), (0.5, 46.5), (3.0, 0.0))
    assert start == pytest.approx(4.0, abs=0.02)
    ((start, _),) = found_in((2.0, 0.0), (0.1, 50.0), (0.8, 48.0), (3.0, 0.0))
    assert start == pytest.approx(2.0, abs=0.12)


@pytest.mark.parametrize(("longest", "refused"), [(899.0, False), (901.0, True)])
def test_a_quarter_of_an_hour_is_no_clap(
    longest: float, refused: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    wav: Any = SimpleNamespace(rate=1000, channels=1, duration=longest, path=Path("x.wav"))
    monkeypatch.setattr("isolate.measuring.decay.sound.inspect", lambda path: wav)
    monkeypatch.setattr("isolate.measuring.decay.sound.read", lambda wav: np.zeros((4000, 1)))
    with pytest.raises(InputError, match="over 15 minutes" if refused else "dies away"):
        reverberation(["x.wav"])


def test_clipping_at_the_start_is_told(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    x = claps(np.full(27, 0.5), rng=rng, rate=RATE, count=1)
    for peak, told in ((0.998, False), (1.2, True)):
        path = put(tmp_path / f"{peak}.wav", np.clip(x / np.abs(x).max() * peak, -1.0, 1.0), rate=RATE)
        assert ("clipping" in keys(reverberation([path]))) == told


def test_a_line_needs_25_db_to_fall_and_three_points() -> None:
    """100 dB/s; steps of 8 dB have -8, -16 and -24 between -5 and -25 dB, steps of 9 only two."""
    t = np.arange(100) * 0.004
    assert _slope(10 ** (-10 * t), 0.004, -5.0, -25.0) == pytest.approx(-100.0)
    assert np.isnan(_slope(10 ** (-10 * t[:60]), 0.004, -5.0, -25.0))  # 23.6 dB
    for db, there in ((8.0, True), (9.0, False)):
        assert np.isfinite(_slope(10 ** (-np.arange(8) * db / 10), 0.1, -5.0, -25.0)) == there
