"""How sure a room's answer is: limits, chances, steadier options, day and night, limits kept, cost."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from isolate.answers.compare import compare
from isolate.answers.room import RoomAnswer, room
from isolate.bands import energy_sum, index_of
from isolate.cli import root
from isolate.describe import rooms
from isolate.describe.limits import limit
from isolate.room import audibility, limits
from isolate.room.often import often
from isolate.room.scenario import gain_limits
from isolate.standards.scales import BASS

ROOM = """
title = "A room"
[room]
size = "4 m x 3 m x 2.5 m"
furnishing = "furnished"
background = "NC 15"
background_day = "NC 25"
[[side]]
name = "window"
faces = "street"
construction = "glass 4 mm"
area = "1.2 m x 1.4 m"
seal = "partly sealed"
[[side]]
name = "wall"
faces = "street"
construction = "brick wall 225 mm, plastered"
area = "8 m2"
[[noise]]
name = "bus"
source = "bus"
level = "62 dBA"
faces = "street"
per_day = 90
hours = "4-24"
[[noise]]
name = "speech"
source = "speech"
level = "46 dBA"
faces = "street"
[[option]]
name = "thicker"
replace = "window"
construction = "glass 8 mm"
[[option]]
name = "the same again"
replace = "window"
construction = "glass 4 mm"
"""


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> RoomAnswer:
    path = tmp_path_factory.mktemp("sure") / "room.toml"
    path.write_text(ROOM)
    return room(str(path))


def test_limits_lie_about_the_level_and_are_no_normal_guess(answer: RoomAnswer) -> None:
    assert answer.heard
    for one in answer.heard:
        low, high = one.limits_dba
        assert low < one.dba < high
        assert one.drawn is not None
        assert np.mean(one.drawn.dba < low) == pytest.approx(0.05, abs=0.005)
        assert np.mean(one.drawn.dba > high) == pytest.approx(0.05, abs=0.005)
        low_db, high_db = one.limits_db
        assert np.all(low_db < high_db)


def test_bass_is_less_sure_than_the_middle(answer: RoomAnswer) -> None:
    """Laboratories differ by 8.9 dB at 25 Hz and by 1.8 dB at 500 Hz (ISO 12999-1 and its extension)."""
    low, high = answer.heard[0].limits_db
    assert (high - low)[0] > (high - low)[13] + 5.0


def test_draws_and_the_normal_estimate_agree_on_a_plain_case(tmp_path: Path) -> None:
    """One pane and nothing else: what draws add to the estimate is the noise's own level and the room."""
    path = tmp_path / "room.toml"
    path.write_text(ROOM)
    with_draws, without = (room(str(path), draws=draws).heard[0] for draws in (2000, 0))
    assert without.drawn is None
    spans = [one.limits_dba[1] - one.limits_dba[0] for one in (with_draws, without)]
    assert spans[0] == pytest.approx(spans[1], rel=0.25)
    assert with_draws.dba == without.dba  # the answer itself is the typical one


# --- options ---


@pytest.mark.parametrize(
    ("stated", "absorbed"), [('furnishing = "furnished"', 1.5), ('reverberation_time = "0.5 s"', 0.7)]
)
def test_every_doubt_about_a_level_is_drawn_by_band(tmp_path: Path, stated: str, absorbed: float) -> None:
    """One tested side, one recorded noise: a level in dB is a sum of independent parts, so their variances
    add: events 3 dB as stated, the recording 1 dB and the room's absorption (common practice, no source), and
    laboratories (ISO 12999-1:2014 table 2, A: 6.8, 3.0, 1.8, 2.8 dB at 50, 100, 1000, 5000 Hz)."""
    (tmp_path / "tested.toml").write_text(
        'title = "x"\nkind = "door"\n[measured]\nsource = "x"\nbasis = "own"\n'
        "bands_hz = [125, 250, 500, 1000, 2000, 4000]\ntl_db = [25, 28, 30, 32, 35, 36]"
    )
    (tmp_path / "room.toml").write_text(
        f'title = "x"\n[room]\nsize = "4 m x 3 m x 2.5 m"\n{stated}\nbackground = "NC 20"\n'
        '[[side]]\nname = "door"\nfaces = "hall"\nconstruction = "tested.toml"\narea = "2 m2"\n'
        '[[noise]]\nname = "hum"\nfaces = "hall"\nspread = "3 dB"\n'
        "bands_hz = [63, 125, 250, 500, 1000, 2000, 4000]\nlevel_db = [60, 60, 60, 60, 60, 60, 60]"
    )
    drawn = room(str(tmp_path / "room.toml"), draws=4000).heard[0].drawn
    assert drawn is not None
    assert drawn.sample is not None
    sigma = np.asarray(drawn.sample.level_db, float).std(axis=0)
    for hz, laboratory in ((50, 6.8), (100, 3.0), (1000, 1.8), (5000, 2.8)):
        by_hand = np.sqrt(3.0**2 + 1.0**2 + laboratory**2 + absorbed**2)
        assert sigma[index_of(hz)] == pytest.approx(by_hand, rel=0.03)


def test_options_differ_more_surely_than_levels(answer: RoomAnswer) -> None:
    low, high = answer.heard[0].limits_dba
    thicker = answer.options[0]
    least, most = thicker.gain_limits
    assert least < thicker.gain_db < most
    assert most - least < 0.6 * (high - low)


def test_the_same_window_again_changes_nothing_surely(answer: RoomAnswer) -> None:
    same = answer.options[1]
    assert same.gain_db == pytest.approx(0.0, abs=1e-9)
    assert same.gain_limits == pytest.approx((0.0, 0.0), abs=1e-9)


def test_independent_draws_would_make_gains_as_unsure_as_levels(answer: RoomAnswer) -> None:
    """What common draws are for: shuffled against each other, the same draws say less."""
    now, then = (list(heard) for heard in (answer.heard, answer.options[0].after.heard))
    order = np.random.default_rng(2).permutation(now[0].drawn.dba.size)
    shuffled = [replace(one, drawn=replace(one.drawn, dba=one.drawn.dba[order])) for one in then]
    common, apart = gain_limits(now, then), gain_limits(now, shuffled)
    assert common[1] - common[0] < 0.5 * (apart[1] - apart[0])


# --- by day and at night, how often ---


def test_day_and_night_are_held_against_their_own_background(answer: RoomAnswer) -> None:
    times = {one.when: one for one in often(answer.room, answer.heard[0]).times}
    assert times["night"].margin == pytest.approx(answer.heard[0].margin)
    assert times["day"].margin < times["night"].margin - 3.0
    assert times["day"].chance < times["night"].chance
    assert times["day"].verdict == audibility.verdict(times["day"].margin, times["day"].chance)


def test_events_are_shared_out_by_their_hours(answer: RoomAnswer) -> None:
    """Buses from 4 to 24 o'clock: 16 hours of the 20 by day (6 to 22), 4 at night."""
    found = often(answer.room, answer.heard[0])
    assert {one.when: one.part for one in found.times} == pytest.approx({"day": 0.8, "night": 0.2})
    day, night = found.times
    assert found.heard_per_day == pytest.approx(90.0 * (0.8 * day.chance + 0.2 * night.chance))
    assert often(answer.room, answer.heard[1]).heard_per_day is None or answer.heard[1].noise.per_day


# --- what matters ---


def test_what_is_in_doubt_has_its_unknowns(answer: RoomAnswer) -> None:
    assert answer.sure is not None
    doubtful = {one.name for one in answer.heard if 0.02 < one.chance < 0.98}
    assert set(answer.sure.doubts) == doubtful
    for doubts in answer.sure.doubts.values():
        assert 0.8 < sum(doubt.share for doubt in doubts) < 1.6
        assert list(doubts) == sorted(doubts, key=lambda doubt: -doubt.share)
    assert all(one.unknown.knowable for one in answer.sure.first)
    assert 0.0 <= answer.sure.luck < 1.0


def test_not_knowing_the_pane_is_an_unknown_with_a_way_to_find_out(tmp_path: Path) -> None:
    others = 'perhaps = ["double glass 10-16-8.8 mm acoustic", "glass 3 mm"]\n'
    text = ROOM.replace('"glass 4 mm"\narea', f'"glass 4 mm"\n{others}area')
    text = text.replace("partly sealed", "sealed").replace('level = "46 dBA"', 'level = "52 dBA"')
    path = tmp_path / "unsure.toml"
    path.write_text(text)
    found = room(str(path))
    assert found.sure is not None
    make = [one for one in found.sure.first if one.unknown.key == "make: window"]
    assert make and make[0].share == max(one.share for one in found.sure.first)
    assert "reflections" in make[0].unknown.how
    plain = tmp_path / "sure.toml"
    plain.write_text(text.replace(others, ""))
    sure_of_it = room(str(plain))
    spread = [one.heard[1].limits_dba[1] - one.heard[1].limits_dba[0] for one in (found, sure_of_it)]
    assert spread[0] > spread[1] + 2.0


# --- limits at the neighbours ---


@pytest.mark.parametrize(
    "text",
    ["30 dBA", "35 dBC at night", "NC 20", "NR 25", "45 dB in every third octave 63-500 Hz",
     "40 dB in every octave", "3 dBA over background", "8 dB in every octave over background"],
)  # fmt: skip
def test_limits_of_many_sounds_are_those_of_each(text: str) -> None:
    level = np.random.default_rng(3).normal(35.0, 8.0, (6, 27))
    background = np.random.default_rng(4).normal(20.0, 5.0, (6, 27))
    stated = limit(text)
    excess, _ = limits.exceeded(stated, level_db=level, background_db=background)
    for i in range(6):
        one = limits.against(stated, level_db=level[i], background_db=background[i])
        assert excess[i] == pytest.approx(one.excess_db)


def test_chance_of_a_limit_is_that_of_the_draws() -> None:
    found = room(draws=400)
    sound = found.neighbours[0].heard[0]
    kept, drawn = sound.limits[0], sound.drawn
    assert drawn is not None and kept.chance is not None
    under = np.mean(drawn.dba < kept.limit.value + 0.05)
    assert kept.chance == pytest.approx(under, abs=0.01)
    assert kept.to_dict()["chance_kept"] == kept.chance


def test_bass_at_a_neighbour_is_told_by_its_weightings() -> None:
    """dBC less dBA of a 50 Hz band is 30.2 - 1.3 dB (IEC 61672-1), of a 1 kHz band nothing."""
    found = room(draws=0).neighbours[0].heard[0]
    bass, treble = (np.full(27, -100.0) for _ in range(2))
    bass[3], treble[16] = 60.0, 60.0
    low = replace(found, level_db=bass)
    high = replace(found, level_db=treble)
    assert low.bass_db == pytest.approx(28.9, abs=0.01)
    assert low.bass == BASS[0][1]
    assert high.bass_db == pytest.approx(0.0, abs=0.01)
    assert high.bass == ""
    words = []
    for band in (80, 100, 200, 250):  # 22.0, 18.8, 10.9 and 8.6 dB by the weightings of IEC 61672
        alone = np.full(27, -100.0)
        alone[index_of(band)] = 60.0
        words.append(replace(found, level_db=alone).bass)
    assert words == [BASS[0][1], BASS[1][1], BASS[1][1], ""]


# --- the whole ---


def test_the_same_seed_the_same_answer_on_one_and_two_processes() -> None:
    told = [
        CliRunner().invoke(root, ["room", "--draws", "700", "--json", *more], catch_exceptions=False).stdout
        for more in ([], ["--processes", "2"], ["--seed", "2"])
    ]
    assert told[0] == told[1]
    assert told[0] != told[2]


def test_json_has_chances_and_limits_everywhere() -> None:
    told = CliRunner().invoke(root, ["room", "--draws", "100", "--json"], catch_exceptions=False)
    data = json.loads(told.stdout)
    for noise in (*data["noises"], *(one for option in data["options"] for one in option["noises"])):
        assert 0.0 < noise["chance_heard"] < 1.0  # no number of draws tells for sure
        assert noise["low_dba"] < noise["inside_dba"] < noise["high_dba"]
        assert noise["margin_low_db"] <= noise["margin_high_db"]
    assert data["uncertainty"]["draws"] == 100
    assert all(one["how_to_find_out"] for one in data["uncertainty"]["clear_up_first"])
    assert all(o["gain_low_dba"] <= o["gain_dba"] + 0.01 <= o["gain_high_dba"] + 1.0 for o in data["options"])


def test_a_thousand_draws_cost_no_more_than_sixty_answers() -> None:
    """The demo room with all its options; measured in processor time, best of three."""
    demo = rooms.load()
    room(demo, draws=50)

    def cost(draws: int) -> float:
        times = []
        for _ in range(3):
            began = time.process_time()
            room(demo, draws=draws)
            times.append(time.process_time() - began)
        return min(times)

    assert cost(1000) < 60.0 * cost(0)


def test_draws_of_all_noises_together(answer: RoomAnswer) -> None:
    """The gain is of the energy sum of all noises, draw by draw."""
    before, after = answer.heard, answer.options[0].after.heard
    was, will = (energy_sum(np.array([one.drawn.dba for one in h]), axis=0) for h in (before, after))
    assert answer.options[0].gain_limits == pytest.approx(tuple(np.percentile(was - will, [5.0, 95.0])))


def test_gains_of_a_comparison_lie_within_their_limits() -> None:
    """Against itself a construction gains nothing, surely; against another less surely than it is known."""
    found = compare(["glass 4 mm", "glass 4 mm", "glass 8 mm"])
    nothing, same, thicker = found.gains_db
    assert np.allclose(nothing, 0.0) and np.allclose(same, 0.0)
    gain, low, high = thicker
    assert np.all(low < gain) and np.all(gain < high)
    curve = found.curves[2]
    assert np.mean(high - low) < np.mean(curve.high_db - curve.low_db)


def test_the_text_names_what_to_find_out_in_eighty_columns() -> None:
    told = CliRunner().invoke(root, ["room", "--draws", "100", "--full"], catch_exceptions=False).stdout
    assert "Find out first" in told
    assert "How often you hear it" in told
    assert "5 – 95 %" in told.split("Noise by noise")[1].splitlines()[1]
    assert max(map(len, told.splitlines())) <= 80
