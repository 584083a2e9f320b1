"""The test signal's steps in bare numbers: where they are found, what follows them, and what is silent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import linregress
from test_checks_of_numbers import GOOD, SECOND, taken

from isolate.bands import index_of
from isolate.measuring import check as checking
from isolate.measuring import recorder
from isolate.measuring.recorder import Following, Steps
from isolate.measuring.recording import Recording
from isolate.measuring.test_signal import STEPS_DB

START, STEADY, END = 40, 40 + 6 * 28, 40 + 6 * 28 + 160  # frames: 5 s before, six steps of 3.5 s, 20 s


def course(
    *, steady_db: float = -40.0, room_db: float = -100.0, strength: float = 0.0, after: int = 80
) -> np.ndarray:
    """Levels of the test signal as played (frames,), a part of each decibel below the steady noise taken
    away, over a room's own noise."""
    level = np.full(END + after, -300.0)
    for i, step in enumerate(STEPS_DB):
        level[START + 28 * i : START + 28 * i + 20] = steady_db + (1.0 - strength) * step
    level[STEADY:END] = steady_db
    return 10 * np.log10(10 ** (level / 10) + 10 ** (room_db / 10))


def recorded(level_db: np.ndarray) -> Recording:
    return taken(level_db[:, None] - 10 * np.log10(27.0) * np.ones(27))


def follows(**how: float) -> Following | None:
    one = recorded(course(**how))  # type: ignore[arg-type]
    steps = recorder.find_steps(one)
    assert steps is not None
    return recorder.following(one, steps)


# --- where they are ---


def test_steps_are_found_at_their_frame() -> None:
    """The noise stops 60 dB deep: a second's mean of levels, frame by frame, is 10 dB down with the second
    frame of silence in it, which is six before."""
    for early in (0, 13):
        steps = recorder.find_steps(recorded(course()[early:]))
        assert steps is not None and steps.alike > 0.95
        assert (steps.start, *steps.steady) == (START - early, STEADY - early, END - 6 - early)
    whole = recorder.find_steps(recorded(course(after=0)))
    assert whole is not None and whole.steady == (STEADY, END)  # it goes on to the end


def test_a_stop_is_half_of_what_the_noise_stands_out_and_10_db_at_most() -> None:
    """8 dB above the room: a second's mean is 4 dB down with four frames of eight in it, four before the end
    and more than that with five, of which the first is three before it."""
    level = course()
    level[END:] = level[STEADY] - 8.0
    level[:START] = level[STEADY] - 8.0
    for i in range(6):
        level[START + 28 * i - 2 : START + 28 * i] = level[STEADY] - 8.0
    level[STEADY - 2 : STEADY] = level[STEADY] - 8.0
    assert recorder._stops(level, START, STEADY) == END - 3
    deep = course()
    assert recorder._stops(deep, START, STEADY) == END - 6


def test_noise_that_hardly_stands_out_counts_for_its_shortest_length() -> None:
    """10 s, under 3 dB above what is silent."""
    for above, end in ((2.9, STEADY + 80), (3.1, END - 3)):
        level = np.full(END + 80, -60.0)
        level[STEADY:END] += above
        assert recorder._stops(level, START, STEADY) == end
    short = np.full(STEADY + 50, -60.0)
    assert recorder._stops(short, START, STEADY) == STEADY + 50


def test_steps_that_are_three_quarters_alike_are_those() -> None:
    """What comes to a course and has nothing to do with it, up and down by d from frame to frame, leaves
    V/(V + d^2) of the squared correlation, V its mean square within a step and its pause."""
    known = recorder.played_db()
    period = np.ones(28) / 28.0
    quick = (known - np.convolve(known, period, "same"))[14:-14]
    square = float(np.var(quick))
    for alike, found in ((0.71, False), (0.79, True)):
        noise = np.sqrt(square * (1.0 / alike**2 - 1.0)) * np.where(np.arange(END + 80) % 2, 1.0, -1.0)
        steps = recorder.find_steps(recorded(course() + noise))
        assert (steps is not None) == found, alike
        assert steps is None or steps.alike == pytest.approx(alike, abs=0.03)


def test_bands_from_250_hz_to_4_khz_tell() -> None:
    for hz, found in ((200.0, False), (250.0, True), (4000.0, True), (5000.0, False)):
        level = np.full((END + 80, 27), -100.0)
        level[:, index_of(hz)] = course()
        assert (recorder.find_steps(taken(level)) is not None) == found


def test_what_is_shorter_than_the_steps_has_none() -> None:
    """A second before, 21 s of steps, 5 s after: 27 s."""
    assert recorder.played_db().size == 27 * SECOND
    assert recorder.find_steps(recorded(course()[START - 8 : STEADY + 40])) is not None
    assert recorder.find_steps(recorded(course()[START - 8 : STEADY + 39])) is None


def test_the_course_that_is_played() -> None:
    known = recorder.played_db()
    assert known[:8].tolist() == [-60.0] * 8 and known[-40:].tolist() == [0.0] * 40
    for i, step in enumerate((-20.0, -30.0, -10.0, 0.0, -30.0, -10.0)):
        assert known[8 + 28 * i :][:20].tolist() == [step] * 20
        assert known[28 + 28 * i :][:8].tolist() == [-60.0] * 8


# --- which part is steady and which is silent ---


def test_the_steady_part_counts_from_a_second_on_to_its_stop() -> None:
    """1 frame before the stop; 1 s at least."""
    found = recorder.steady(recorded(course()))
    assert found.part == (STEADY + 8, END - 7)
    assert any(f"from {STEADY / 8:.0f} s on" in note for note in found.notes)


def test_silences_are_5_s_before_and_from_a_second_and_a_half_to_nine_after() -> None:
    before, after = recorder.silences(recorded(course(after=200)))
    assert before.part == (0, START - 2)
    assert after.part == (END - 6 + 12, END - 6 + 72)
    late = np.concatenate([np.full(60, -100.0), course(after=40)])
    before, after = recorder.silences(recorded(late))
    assert before.part == (60, 60 + START - 2)
    assert after.part == (60 + END - 6 + 12, 60 + END + 40 - 2)
    for left, kept in ((23, 1), (24, 2)):  # 2 s at least: from 6 frames after the stop to 2 before the end
        assert len(recorder.silences(recorded(course(after=left)))) == kept
    for first, kept in ((22, 2), (23, 1)):
        assert len(recorder.silences(recorded(course()[first:]))) == kept


def test_a_recorder_is_judged_by_its_findings_and_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half of full scale is 6.02 dB below it; a gain that takes half of each decibel away spoils it; without
    steps nothing is known."""
    for level, usable in ((course(), True), (course(strength=0.5), False), (course()[STEADY:], None)):
        one = replace(recorded(level), samples=replace(GOOD, peak=0.5))
        monkeypatch.setattr(checking, "listen", lambda path, one=one: one)
        found = checking.check("a.wav")
        assert found.usable is usable and found.found == (usable is not None)
        assert found.peak_db == pytest.approx(-6.0206, abs=1e-4)


# --- what follows them ---


@pytest.mark.parametrize("strength", [0.0, 0.3, 0.5, -0.3])
def test_the_part_of_each_decibel_that_is_taken_away(strength: float) -> None:
    """By definition of it: a step that is played 10 dB down is recorded 10 (1 - strength) dB down."""
    found = follows(strength=strength, room_db=-120.0)
    assert found is not None and found.strength == pytest.approx(strength, abs=0.01)
    assert np.array(found.steps) == pytest.approx(
        np.array([[step, (1.0 - strength) * step] for step in (0.0, -10.0, -20.0, -30.0)]), abs=0.1
    )
    assert (found.attack, found.release) == (0.0, 0.0) or strength == 0.0


def test_a_gain_follows_from_an_eighth_on_and_beyond_what_chance_brings() -> None:
    """5 dB over the 40 dB between two rooms: 0.12; six standard deviations."""
    for strength, u, found in (
        (0.11, 0.001, False), (0.13, 0.001, True), (-0.11, 0.001, False), (-0.13, 0.001, True),
        (0.3, 0.051, False), (0.3, 0.049, True),
    ):  # fmt: skip
        one = Following(strength, u, 0.0, 0.0, ())
        assert one.follows == found
        assert (recorder.told(recorded(course()), one) is not None) == found


def test_what_follows_is_named_and_counted() -> None:
    """10 dB become 10 (1 - strength); what lets go within half a second is a compressor."""
    here = recorded(course())

    def said(strength: float, release: float) -> str:
        told = recorder.told(here, Following(strength, 0.01, 0.1, release, ()))
        assert told is not None
        return told.what

    assert "each 10 dB became about 6 dB: a compressor" in said(0.4, 0.49)
    assert "each 10 dB became about 6 dB: automatic gain" in said(0.4, 0.5)
    assert "each 10 dB became about 0 dB" in said(1.2, 0.5)
    assert "each 10 dB became 14 dB: a gate" in said(-0.4, 0.5)


def test_steps_count_that_stand_four_times_above_the_background() -> None:
    """6 dB, of the power with the background in it: a step at -60 dB in a room of -65 dB is 6.2 dB above it,
    in one of -64 dB 5.5 dB. What is told of a step is without the background; of too few nothing is."""
    found = follows(room_db=-65.0)
    assert found is not None and [played for played, _ in found.steps] == [0.0, -10.0, -20.0]
    assert np.array(found.steps)[:, 1] == pytest.approx([0.0, -10.0, -20.0], abs=0.1)
    drowned = follows(room_db=-64.0)
    assert drowned is not None and [played for played, _ in drowned.steps] == [0.0, -10.0]
    assert follows(room_db=-44.0) is None


def test_one_band_is_enough_where_no_other_has_the_sound() -> None:
    level = np.full((END + 80, 27), -130.0)
    level[:, index_of(1000)] = course(strength=0.5)
    one = taken(level)
    steps = recorder.find_steps(one)
    assert steps is not None
    found = recorder.following(one, steps)
    assert found is not None and found.strength == pytest.approx(0.5, abs=0.01)


def test_four_bands_that_stand_clear_tell_of_a_step() -> None:
    """The others are 8 dB clear of -58 dB at -50 dB, and not at -60."""
    for clear, softest in ((3, -10.0), (4, -30.0)):
        bands = [course(room_db=-100.0 if i < clear else -58.0) for i in range(13)]
        level = np.full((END + 80, 27), -150.0)
        level[:, index_of(250) : index_of(4000) + 1] = np.stack(bands, axis=1)
        one = taken(level)
        steps = recorder.find_steps(one)
        assert steps is not None
        found = recorder.following(one, steps)
        assert found is not None and found.steps[-1][0] == softest


def test_a_gain_that_remembers_is_found_in_a_room_that_is_never_still() -> None:
    """A detector that rises within 0.5 s and falls within 5 s, as an automatic gain's does: it hears the
    room's noise, 40 dB below the steady sound, in the pauses."""
    level = course(room_db=-80.0)
    gain, last = np.empty(level.size), level[0]
    for i, now in enumerate(level):
        last += (1.0 - np.exp(-1 / 8 / (0.5 if now > last else 5.0))) * (now - last)
        gain[i] = -0.4 * last
    one = recorded(level + gain)
    steps = recorder.find_steps(one)
    assert steps is not None
    found = recorder.following(one, steps)
    assert found is not None and (found.attack, found.release) == (0.5, 5.0)
    assert found.strength == pytest.approx(0.4, abs=0.03)


def test_the_doubt_of_a_line_is_that_of_least_squares() -> None:
    """Ten points a minute apart, which know nothing of each other: as SciPy's own line has it."""
    rng = np.random.default_rng(5)
    heard, cells = np.zeros(4800 + 4), 480 * np.arange(10)[:, None] + np.arange(4)
    heard[cells] = rng.uniform(-30.0, 0.0, 10)[:, None]
    gain = -0.3 * heard[cells[:, 0]] + rng.standard_normal(10)
    _, strength, u = recorder._fit(gain, heard, cells, 0.0, 0.0)
    line = linregress(heard[cells[:, 0]], gain)
    assert (strength, u) == (pytest.approx(-line.slope), pytest.approx(line.stderr))


def test_ten_halves_of_a_second_are_enough() -> None:
    """Three of each step at 0 and -10 dB once it is settled, nine in all, and one of the steady noise."""
    one = recorded(course(room_db=-57.0))
    found = recorder.following(one, Steps(START, (STEADY, STEADY + 11), 1.0))
    assert found is not None and [played for played, _ in found.steps] == [0.0, -10.0]
    assert recorder.following(one, Steps(START, (STEADY, STEADY + 10), 1.0)) is None


def test_a_level_is_followed_up_within_the_attack_and_down_within_the_release() -> None:
    """1/e of a step is left after the time constant, on the grid of eighths of a second."""
    step = np.concatenate([np.zeros(8), np.full(80, 10.0), np.zeros(160)])
    found = recorder._smoothed(step, 0.5, 2.0)
    assert found[8 + 4 - 1] == pytest.approx(10.0 * (1.0 - np.exp(-1.0)))
    top = found[87]
    assert found[88 + 16 - 1] == pytest.approx(top * np.exp(-1.0))
    assert recorder._smoothed(step, 0.0, 0.0) == pytest.approx(step)


def test_the_line_through_a_gain_is_found_with_its_doubt() -> None:
    """Least squares: the slope of a gain over what is heard, minus one the strength. A drift whose parts
    forget each other within 2 s, exp(-t/2 s), with standard deviation s: slopes of many draws spread by u."""
    rng = np.random.default_rng(11)
    heard = np.repeat(np.tile([0.0, -10.0, -20.0, -30.0], 12), 20)
    cells = np.arange(heard.size).reshape(-1, 4)
    levels = heard[cells].mean(axis=1)
    kept = np.exp(-0.5 / 2.0)  # cells half a second apart
    found = []
    for _ in range(60):
        drift = np.empty(levels.size)
        drift[0] = rng.standard_normal()
        for i in range(1, levels.size):
            drift[i] = kept * drift[i - 1] + np.sqrt(1.0 - kept**2) * rng.standard_normal()
        found.append(recorder._fit(-0.2 * levels + drift, heard, cells, 0.0, 0.0))
    left, strength, u = np.array(found).T
    assert strength.mean() == pytest.approx(0.2, abs=3 * u.mean() / np.sqrt(60))
    assert strength.std() == pytest.approx(u.mean(), rel=0.3)
    assert (left / (levels.size - 2)).mean() == pytest.approx(1.0, rel=0.05)  # white, of unit variance
