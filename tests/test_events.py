"""Events of bare numbers: eighths of a second of known levels, no recordings."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.bands import OCTAVES, THIRD_OCTAVES
from isolate.measuring.events import Event, background_course, find, grouped

SECOND = 8  # frames
ALL = np.ones(27, bool)


def night(seconds: float, *bursts: tuple[float, float, int, float], usable: np.ndarray = ALL) -> list[Event]:
    """Events of a night of 0 dB in each third octave; bursts: from, to [s], the band, how far above that."""
    power = np.ones((round(seconds * SECOND), 27))
    for start, end, band, db in bursts:
        power[round(start * SECOND) : round(end * SECOND), band] = 10 ** (db / 10)
    return find(power, usable, rise_db=6.0)[0]


def test_the_background_is_sought_in_stretches_of_five_minutes() -> None:
    """Levels that step every 300 s: found in the middle of each, straight between; of three the median, so
    that an hour's drill does not count as the background of what lies beside it."""

    def course(*levels: float) -> np.ndarray:
        whole = np.repeat(np.array(levels), 300 * SECOND)[:, None] * np.ones(9)
        return background_course(whole)[:, 0]

    middle = 150 * SECOND
    rising = course(20.0, 26.0, 32.0)
    assert rising[[middle, 3 * middle, 5 * middle]] == pytest.approx([20.0, 26.0, 32.0], abs=0.01)
    assert rising[2 * middle] == pytest.approx(23.0, abs=0.01)
    assert course(20.0, 26.0)[[0, 2 * middle, -1]] == pytest.approx([20.0, 23.0, 26.0], abs=0.01)
    assert course(20.0, 60.0, 22.0)[3 * middle] == pytest.approx(22.0)
    rng = np.random.default_rng(3)
    assert background_course(rng.uniform(0.0, 10.0, (2400, 9))).mean() == pytest.approx(1.0, abs=0.1)


def test_an_event_has_its_time_length_and_levels() -> None:
    (one,) = night(120.0, (60.0, 70.0, 15, 20.0))
    assert one.start == pytest.approx(60.0, abs=0.5) and one.length == pytest.approx(10.0, abs=1.0)
    assert one.max_db[15] == pytest.approx(20.0) and one.level_db[15] == pytest.approx(20.0)
    assert one.excess_db == pytest.approx(10 * np.log10((100 + 2) / 3))  # two more thirds in its octave
    assert one.level_db[10] == one.max_db[10] == pytest.approx(0.0)


def test_an_event_rises_as_far_as_asked_and_ends_at_half() -> None:
    """6 dB of its octave, which has two thirds of 0 dB besides; the shoulder after it counts from 3 dB on."""

    def third(octave_db: float) -> float:
        return 10 * np.log10(3 * 10 ** (octave_db / 10) - 2)

    assert night(120.0, (60.0, 70.0, 15, third(5.9))) == []
    assert len(night(120.0, (60.0, 70.0, 15, third(6.1)))) == 1
    for shoulder, length in ((2.9, 10.0), (3.1, 30.0)):
        (one,) = night(120.0, (60.0, 70.0, 15, third(9.0)), (70.0, 90.0, 15, third(shoulder)))
        assert one.length == pytest.approx(length, abs=1.0)


def test_low_octaves_are_smoothed_over_a_second_and_high_ones_over_half() -> None:
    """One eighth of a second, 20 dB over the octave: an eighth of it up to 250 Hz, a quarter above."""
    for octave, frames in ((3, 8), (4, 4)):
        power = np.ones((960, 27)) / 3.0
        power[480, 3 * octave : 3 * octave + 3] *= 100.0
        (one,) = find(power, ALL, rise_db=6.0)[0]
        assert OCTAVES[octave] == (250.0, 500.0)[octave - 3]
        assert one.excess_db == pytest.approx(10 * np.log10(1 + 99.0 / frames))


def test_below_63_hz_wind_and_steps_rule_and_whole_octaves_count() -> None:
    assert night(120.0, (60.0, 70.0, 1, 20.0)) == [] and len(night(120.0, (60.0, 70.0, 3, 20.0))) == 1
    assert night(120.0, (60.0, 70.0, 24, 20.0), usable=THIRD_OCTAVES < 9000.0) == []
    assert len(night(120.0, (60.0, 70.0, 21, 20.0), usable=THIRD_OCTAVES < 9000.0)) == 1


def test_a_lull_of_under_two_seconds_ends_no_event() -> None:
    """Half a second of smoothing reaches into the lull from both sides."""
    assert len(night(120.0, (60.0, 63.0, 18, 30.0), (65.25, 68.0, 18, 30.0))) == 1
    assert len(night(120.0, (60.0, 63.0, 18, 30.0), (65.75, 68.0, 18, 30.0))) == 2


@pytest.mark.parametrize(
    ("hz", "kind"),
    [(63, "low"), (160, "low"), (200, "middle"), (1250, "middle"), (1600, "high"), (6300, "high")],
)
def test_an_event_is_of_the_kind_that_rose_most(hz: float, kind: str) -> None:
    """By dBA; edges where engines end and where brakes begin (the octaves of 125 Hz and 1 kHz and their ends,
    177 and 1414 Hz), whatever stands there all the while."""
    band = int(np.flatnonzero(np.isclose(THIRD_OCTAVES, hz))[0])
    power = np.ones((960, 27))
    power[:, 17] = 1e5  # a fan at 1.25 kHz that runs all night
    power[480:560, band] = 1e7
    (one,) = find(power, ALL, rise_db=6.0)[0]
    assert one.kind == kind


def test_what_was_there_before_is_the_quarter_that_is_quietest() -> None:
    """A fan that runs half of the time about it is no part of an event that adds nothing to it."""
    power = np.ones((2400, 27))
    power[: 2400 // 2, 22] = 1e4
    power[1600:1680, 6] = 1e5
    (one,) = [found for found in find(power, ALL, rise_db=6.0)[0] if found.start > 150.0]
    assert one.kind == "low"


def test_what_stops_with_an_event_was_part_of_it() -> None:
    """A fan before it that is off for more than a quarter of the time about it, all of that afterwards."""
    power = np.ones((2400, 27))
    power[:1280, 22] = 1e4  # 6.3 dB less in dBA than the fan: 100 Hz loses 19 dB, 4 kHz gains 1
    power[1200:1280, 6] = 1e5
    (one,) = [found for found in find(power, ALL, rise_db=6.0)[0] if found.max_db[6] > 40.0]
    assert one.kind == "high"


def test_groups_have_the_energy_mean_and_the_spread_of_their_maxima() -> None:
    """60 and 66 dB: 64 dB by energy, a standard deviation of 3 dB; the most frequent kind first."""

    def event(level: float, length: float, kind: str) -> Event:
        return Event(0.0, length, level, np.full(27, level), np.full(27, level), 10.0, kind)

    found = grouped(
        [event(60.0, 2.0, "low"), event(66.0, 4.0, "low"), *(event(50.0, 1.0, "high") for _ in "abc")]
    )
    assert [(group.kind, len(group.events)) for group in found] == [("high", 3), ("low", 2)]
    low = found[1]
    assert low.level_db == pytest.approx(np.full(27, 10 * np.log10((1e6 + 10**6.6) / 2)))
    assert (low.spread_db, low.length) == (pytest.approx(3.0), pytest.approx(3.0))
