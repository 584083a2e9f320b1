"""Takes: the microphone, the four words, the floor, how often a noise meets a take, what to clear up."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from scipy import integrate, signal

from isolate.answers.take.answer import take
from isolate.bands import THIRD_OCTAVES, energy_sum, exact
from isolate.cli import root
from isolate.describe import rooms
from isolate.describe.hours import Hours, hours
from isolate.describe.rooms import Background
from isolate.errors import InputError, IsolateError
from isolate.physics import microphone
from isolate.room.chances import Sample
from isolate.room.takes import GONE, HISS, PAUSES, SPOILS, WORDS, AtMicrophone, at_microphone, expected
from isolate.show.figures import take as figures_take
from isolate.standards import criteria
from isolate.standards.weighting import A_WEIGHTING, dba

ROOM = """
title = "A room"
[room]
size = "4 m x 3 m x 2.5 m"
furnishing = "furnished"
background = "20 dBA"
background_day = "30 dBA"
[[side]]
name = "window"
faces = "street"
construction = "glass 6 mm"
area = "1.2 m x 1.4 m"
[[noise]]
name = "tram"
source = "tram"
distance = "20 m"
faces = "street"
per_day = 120
duration = "10 s"
hours = "6-24"
[[noise]]
name = "hum"
bands_hz = [80, 100, 125]
level_db = [40, 60, 40]
faces = "street"
[[own]]
name = "clarinet"
source = "clarinet"
level = "86 dBA"
"""


def room_file(tmp_path: Path, takes: str = "", room: str = ROOM) -> str:
    path = tmp_path / "room.toml"
    path.write_text(room + takes)
    return str(path)


# --- the microphone ---


@pytest.mark.parametrize(
    ("pattern", "efficiency"),
    [("omnidirectional", 1.0), ("subcardioid", 0.52), ("cardioid", 0.333), ("supercardioid", 0.268),
     ("hypercardioid", 0.25), ("figure of eight", 0.333)],
)  # fmt: skip
def test_random_efficiency_is_that_of_the_handbooks(pattern: str, efficiency: float) -> None:
    """Random energy efficiency of first-order microphones (from memory); subcardioids lie about 2.8 dB
    below all round."""
    assert microphone.random_efficiency(pattern) == pytest.approx(efficiency, abs=0.001)


@pytest.mark.parametrize("pattern", list(microphone.PATTERNS))
def test_random_efficiency_is_the_mean_over_all_directions(pattern: str) -> None:
    """Integrated over the sphere (scipy)."""
    a = microphone.PATTERNS[pattern]
    whole, _ = integrate.quad(lambda t: (a + (1 - a) * math.cos(t)) ** 2 * math.sin(t) / 2.0, 0.0, math.pi)
    assert microphone.random_efficiency(pattern) == pytest.approx(whole, rel=1e-9)


def test_an_unknown_pattern_is_named() -> None:
    with pytest.raises(InputError, match="shotgun"):
        microphone.random_efficiency("shotgun")


def test_self_noise_has_its_level_and_slopes() -> None:
    """White: a decibel more each third octave; 1/f below 100 Hz: level from third to third."""
    noise = microphone.self_noise(14.0, weighting_db=A_WEIGHTING)
    assert float(dba(noise)) == pytest.approx(14.0)
    assert noise[-1] - noise[-2] == pytest.approx(1.0, abs=0.02)
    assert noise[1] - noise[0] == pytest.approx(0.2, abs=0.03)  # at 25 Hz (1 + 100/f) is nearly all 1/f
    assert noise[6] - noise[26] == pytest.approx(10.0 * math.log10(2.0 / 100.0), abs=0.1)  # both alike


def test_direct_equals_reverberant_at_the_critical_distance() -> None:
    """0.057 sqrt(V/T) for a source that radiates evenly (H. Kuttruff, Room Acoustics, from memory)."""
    volume, time = 50.0, 0.5
    absorption = 0.161 * volume / time
    distance = 0.057 * math.sqrt(volume / time)
    assert microphone.direct_over_reverberant(distance, absorption=absorption) == pytest.approx(0.0, abs=0.1)
    with pytest.raises(ValueError, match="above 0 m"):
        microphone.direct_over_reverberant(0.0, absorption=absorption)


def test_low_cut_is_a_butterworth_of_second_order() -> None:
    """Against scipy.signal.butter, analogue."""
    f = exact(THIRD_OCTAVES)
    b, a = signal.butter(2, 2 * np.pi * 80.0, btype="highpass", analog=True)
    _, response = signal.freqs(b, a, worN=2 * np.pi * f)
    assert np.allclose(microphone.low_cut(f, corner=80.0), 20.0 * np.log10(np.abs(response)), atol=1e-9)


# --- the four words ---


def at(**changes: object) -> AtMicrophone:
    usual = AtMicrophone(
        played_db=np.full(27, 60.0), hiss_db=np.full(27, 0.0), room_db=np.zeros(27),
        softest_db=20.0, reduction_db=0.0, playback_dba=float(dba(np.full(27, 60.0))),
    )  # fmt: skip
    return replace(usual, **changes)  # type: ignore[arg-type]


def tone(level: float) -> Sample:
    levels = np.full(27, -100.0)
    levels[16] = level
    return Sample(levels, np.full(27, -20.0))


def test_a_rising_noise_goes_through_the_words_in_their_order() -> None:
    """In a quiet room with hiss of 0 dB a band at 1 kHz: the threshold of hearing is 0.8 dB there."""
    found = [WORDS[int(at(hiss_db=np.full(27, 12.0)).meet(tone(level)).rank)] for level in range(-10, 61, 2)]
    assert list(dict.fromkeys(found)) == [GONE, HISS, PAUSES, SPOILS]


def test_the_softest_passage_decides_what_spoils() -> None:
    """A band 8 dB above what hides it in a pause spoils the take only where the softest passage lets it
    through."""
    floor = np.full(27, 30.0)
    noise = Sample(tone(34.0).level_db, floor)
    loud = at(softest_db=0.0).meet(noise)
    soft = at(softest_db=60.0).meet(noise)
    assert 0.0 < float(loud.pause_db) < 10.0
    assert WORDS[int(loud.rank)] == PAUSES
    assert WORDS[int(soft.rank)] == SPOILS


def test_ten_decibels_in_a_pause_spoil_a_take() -> None:
    assert WORDS[int(at(softest_db=0.0).meet(tone(30.0)).rank)] == SPOILS


def test_compression_brings_up_what_lies_under_the_take() -> None:
    """Against the threshold of hearing by what it takes off; against hiss and room not at all."""
    quiet, hissy = Sample(tone(-3.0).level_db, np.full(27, -60.0)), np.full(27, 20.0)
    before, after = at(hiss_db=np.full(27, -60.0)), at(hiss_db=np.full(27, -60.0), reduction_db=9.0)
    assert float(after.meet(quiet).pause_db - before.meet(quiet).pause_db) == pytest.approx(9.0, abs=0.1)
    masked = [at(hiss_db=hissy, reduction_db=off).meet(tone(15.0)).pause_db for off in (0.0, 9.0)]
    assert float(masked[1] - masked[0]) == pytest.approx(0.0, abs=0.2)


def test_more_hiss_never_makes_a_noise_plainer() -> None:
    margins = [float(at(hiss_db=np.full(27, hiss)).meet(tone(10.0)).pause_db) for hiss in (-20.0, 0.0, 20.0)]
    assert margins == sorted(margins, reverse=True)
    assert margins[0] > margins[-1] + 10.0


def test_under_the_take_is_a_difference_of_weighted_levels() -> None:
    sample = tone(30.0)
    met = at(room_db=np.full(27, -5.0)).meet(sample)
    assert float(met.under_db) == pytest.approx(float(dba(np.full(27, 60.0))) - 25.0)


def test_chances_of_the_words_add_up() -> None:
    levels = np.tile(tone(0.0).level_db, (400, 1)) + np.random.default_rng(1).normal(0.0, 20.0, (400, 1))
    found = at().meet(Sample(levels, np.full((400, 27), -20.0))).chances()
    assert sum(found.values()) == pytest.approx(1.0)
    assert all(0.0 < share < 1.0 for share in found.values())


# --- the take at its microphone ---


def test_playing_is_direct_and_reverberant_sound(tmp_path: Path) -> None:
    """Far away it has the level in the room, at the critical distance 3 dB more, near 6 dB a halving."""
    read = rooms.load(room_file(tmp_path, '[[take]]\nplays = "clarinet"\n'))
    one, absorption = read.takes[0], np.full(27, 16.0)
    critical = math.sqrt(16.0 / (16.0 * math.pi))
    levels = {
        distance: at_microphone(replace(one, distance=distance), absorption=absorption, played_in_room=True)
        for distance in (0.05, 0.1, critical, 50.0)
    }
    assert levels[50.0].played_dba == pytest.approx(86.0, abs=0.05)
    assert levels[critical].played_dba == pytest.approx(89.0, abs=0.05)
    assert levels[0.05].played_dba - levels[0.1].played_dba == pytest.approx(6.0, abs=0.2)


def test_a_stated_level_holds_at_the_microphone(tmp_path: Path) -> None:
    read = rooms.load(room_file(tmp_path, '[[take]]\nplays = "clarinet"\nlevel = "75 dBA"\n'))
    found = at_microphone(read.takes[0], absorption=np.full(27, 16.0), played_in_room=True)
    assert found.played_dba == pytest.approx(75.0)


def test_the_meter_reads_what_was_stated_while_it_plays(tmp_path: Path) -> None:
    """dBFS of a level as loud as the playing is the reading; a floor 40 dB lower reads 40 dB less."""
    answer = take(room_file(tmp_path, '[[take]]\nplays = "clarinet"\nreads = "-12 dBFS"\n'), draws=50)
    floor, played = answer.takes[0].floor, answer.takes[0].at.played_db
    assert floor.meter(played) == pytest.approx(-12.0)
    assert floor.meter(played - 40.0) == pytest.approx(-52.0)
    assert floor.dbfs == pytest.approx(float(energy_sum(floor.both_db)) - float(energy_sum(played)) - 12.0)


@pytest.mark.parametrize(
    ("target", "rate"),
    [("NC 25", lambda level: float(criteria.nc(level)) - 25.0),
     ("NR 20", lambda level: float(criteria.nr(level)) - 20.0),
     ("18 dBA", lambda level: float(dba(level)) - 18.0)],
)  # fmt: skip
def test_targets_are_rated_in_their_own_terms(tmp_path: Path, target: str, rate: object) -> None:
    answer = take(room_file(tmp_path, f'[[take]]\nplays = "clarinet"\ntarget = "{target}"\n'), draws=50)
    floor = answer.takes[0].floor
    assert floor.excess_db == pytest.approx(rate(floor.both_db))  # type: ignore[operator]
    assert floor.target == target


def test_a_room_on_its_curve_just_meets_it(tmp_path: Path) -> None:
    """Background NC 20 and a microphone without noise: target NC 20 exactly met."""
    room = ROOM.replace('"20 dBA"', '"NC 20"').replace('background_day = "30 dBA"\n', "")
    take_text = '[[take]]\nplays = "clarinet"\nmicrophone = "0 dBA"\ntarget = "NC 20"\n'
    answer = take(room_file(tmp_path, take_text, room), draws=50)
    assert answer.takes[0].floor.excess_db == pytest.approx(0.0, abs=0.3)


# --- when and how often ---


def test_a_take_meets_as_many_events_as_come(tmp_path: Path) -> None:
    """120 a day over 18 hours: in 5 min, with 10 s each, 120/64800 s x 310 s."""
    text = '[[take]]\nplays = "clarinet"\nhours = "20-22"\nlength = "5 min"\n'
    read = rooms.load(room_file(tmp_path, text))
    assert expected(read.noises[0], read.takes[0]) == pytest.approx(120.0 / 64_800.0 * 310.0)
    assert expected(read.noises[1], read.takes[0]) is None


def test_half_the_hours_bring_half_the_events(tmp_path: Path) -> None:
    text = '[[take]]\nplays = "clarinet"\nhours = "{}"\n'
    whole = rooms.load(room_file(tmp_path, text.format("6-8")))
    half = rooms.load(room_file(tmp_path, text.format("5-7")))
    assert expected(half.noises[0], half.takes[0]) == pytest.approx(
        expected(whole.noises[0], whole.takes[0]) / 2.0  # type: ignore[operator]
    )


def test_what_does_not_come_at_that_hour_is_left_out(tmp_path: Path) -> None:
    answer = take(room_file(tmp_path, '[[take]]\nplays = "clarinet"\nhours = "2-4"\n'), draws=50)
    assert answer.takes[0].absent == ("tram",)
    assert [one.name for one in answer.takes[0].noises] == ["hum"]


def test_background_by_day_and_at_night(tmp_path: Path) -> None:
    """Stated 20 dBA and 30 dBA by day: the floor follows the take's hours."""
    found = {}
    for name, clock in (("night", "22-23"), ("day", "10-12")):
        text = f'[[take]]\nplays = "clarinet"\nhours = "{clock}"\nmicrophone = "0 dBA"\n'
        found[name] = take(room_file(tmp_path, text), draws=50).takes[0]
    assert found["night"].floor.dba == pytest.approx(20.0, abs=0.1)
    assert found["day"].floor.dba == pytest.approx(30.0, abs=0.1)


def test_rare_events_seldom_meet_the_take(tmp_path: Path) -> None:
    """Received with chance p each time it comes, it is in the take with 1 - exp(-expected p) (Poisson)."""
    answer = take(room_file(tmp_path, '[[take]]\nplays = "clarinet"\nhours = "20-22"\n'), draws=200)
    tram = answer.takes[0].noises[0]
    assert tram.chance_in_pauses > 0.8 and tram.expected is not None
    assert tram.chance_in_take == pytest.approx(1.0 - math.exp(-tram.expected * tram.chance_in_pauses))
    assert tram.comes >= tram.chance_in_take


@pytest.mark.parametrize(
    ("text", "start", "end", "length"),
    [("21-23", 21.0, 23.0, 2.0), ("5:30 - 9", 5.5, 9.0, 3.5), ("22-6", 22.0, 6.0, 8.0),
     ("0-24", 0.0, 24.0, 24.0), ("night", 22.0, 6.0, 8.0), ("9 pm-1 am", 21.0, 1.0, 4.0),
     ("9-11 pm", 21.0, 23.0, 2.0), ("9-5 pm", 9.0, 17.0, 8.0), ("10-2 am", 22.0, 2.0, 4.0),
     ("9 pm", 21.0, 22.0, 1.0), ("from 9 p.m. until midnight", 21.0, 24.0, 3.0),
     ("12 am to noon", 0.0, 12.0, 12.0), ("evenings", 18.0, 22.0, 4.0), ("all day", 6.0, 22.0, 16.0),
     ("24/7", 0.0, 24.0, 24.0), ("weekdays 9-17", 9.0, 17.0, 8.0), ("9 am to 5 pm, Mon-Fri", 9.0, 17.0, 8.0),
     ("Sunday mornings", 6.0, 12.0, 6.0), ("weekdays", 0.0, 24.0, 24.0), ("17-19 Uhr", 17.0, 19.0, 2.0),
     ("9h00 - 17h30", 9.0, 17.5, 8.5), ("0900-1700", 9.0, 17.0, 8.0), ("noon to 1", 12.0, 13.0, 1.0),
     ("8 in the evening", 20.0, 21.0, 1.0), ("during the day", 6.0, 22.0, 16.0), ("24h", 0.0, 24.0, 24.0)],
)  # fmt: skip
def test_hours_are_read(text: str, start: float, end: float, length: float) -> None:
    found = hours(text)
    assert (found.start, found.end) == (start, end)
    assert found.length == pytest.approx(length)


@pytest.mark.parametrize("text", ["25-26", "9-9", "teatime", "7:75-9", "13 pm", "21", "9 pm to 21"])
def test_hours_that_are_none(text: str) -> None:
    with pytest.raises(ValueError, match="write hours"):
        hours(text)


@pytest.mark.parametrize(
    ("text", "write"),
    [
        ("9-5", 'write "9:00 to 17:00" or "21:00 to 5:00"'),
        ("10 to 6", 'write "10:00 to 18:00" or "22:00 to 6:00"'),
        ("weekdays 11:30-1:30", 'write "11:30 to 13:30" or "23:30 to 1:30"'),
        ("from 7pm", "one end only .* write both"),
        ("until 22", "one end only"),
        ("7 pm onwards", "one end only"),
    ],
)
def test_hours_that_may_mean_two_things_are_asked_about(text: str, write: str) -> None:
    with pytest.raises(ValueError, match=write):
        hours(text)


def test_days_are_told_back_and_nothing_else_goes_by_them() -> None:
    assert str(hours("Mon-Fri 9-17")) == "9:00 to 17:00, Mon-Fri"
    assert hours("Mon-Fri 9-17") == hours("9-17") == hours(str(hours("9-17")))


def test_hours_shared_over_midnight() -> None:
    assert Hours(22, 6).shared(Hours(23, 1)) == pytest.approx(2.0)
    assert Hours(22, 6).shared(Hours(6, 22)) == pytest.approx(0.0)
    assert sum(Hours(3, 17).shared(one) for one in (Hours(22, 6), Hours(6, 22))) == pytest.approx(14.0)


# --- files and the command ---


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ('plays = "oboe"', "plays: no [[own]] is called"),
        ('plays = "clarinet"\nmicrophone = "14 dB"', "microphone: not in dBA"),
        ('plays = "clarinet"\nmicrophone = "90 dBA"', "microphone: no microphone's own noise"),
        ('plays = "clarinet"\npattern = "cardoid"', 'did you mean "cardioid"'),
        ('plays = "clarinet"\ntarget = "silence"', "target: not a noise floor"),
        ('plays = "clarinet"\nreads = "3 dBFS"', "reads: no level below full scale"),
        ('plays = "clarinet"\nhours = "late"', "hours: no hours"),
        ('plays = "clarinet"\nvolume = "11"', "volume: unknown key"),
    ],
)
def test_faults_of_a_take_are_named(tmp_path: Path, line: str, fault: str) -> None:
    with pytest.raises(InputError) as raised:
        rooms.load(room_file(tmp_path, f"[[take]]\n{line}\n"))
    assert fault in str(raised.value)
    assert "take[1]" in str(raised.value)


def test_a_target_on_the_meters_scale(tmp_path: Path) -> None:
    read = rooms.load(room_file(tmp_path, '[[take]]\nplays = "clarinet"\ntarget = "-60 dBFS"\n'))
    assert read.takes[0].target_dbfs == -60.0
    assert read.takes[0].target is None
    read = rooms.load(room_file(tmp_path, '[[take]]\nplays = "clarinet"\ntarget = "NC 15"\n'))
    assert read.takes[0].target == Background("NC", 15.0)


def test_a_room_without_takes_is_answered_and_says_what_it_took(tmp_path: Path) -> None:
    answer = take(room_file(tmp_path), draws=50)
    assert [one.name for one in answer.takes] == ["clarinet"]
    assert any("no [[take]]" in note for note in answer.notes)


def test_the_demo_says_what_is_heard_tonight_how_likely_and_what_to_clear_up() -> None:
    answer = take(draws=200)
    tonight = answer.takes[0]
    assert tonight.take.hours == Hours(22, 24)
    verdicts = {one.name: one.verdict for one in tonight.noises}
    assert {name for name, word in verdicts.items() if word == SPOILS} == {"ambulance siren", "tram"}
    assert verdicts["talk on the landing"] == PAUSES
    assert set(tonight.absent) == {"motorcycle", "delivery van", "school yard"}
    assert 0.0 < tonight.chance_clean < 1.0
    assert tonight.first[0].unknown.how
    assert tonight.first[0].share == max(one.share for one in tonight.first)


def test_json_and_requirement_of_the_command() -> None:
    told = CliRunner().invoke(root, ["take", "--draws", "60", "--json"], catch_exceptions=False)
    data = json.loads(told.stdout)
    assert data["question"] == "take"
    noise = data["takes"][0]["noises"][0]
    assert sum(noise["chances"].values()) == pytest.approx(1.0, abs=0.02)
    assert noise["under_take_low_db"] < noise["under_take_db"] < noise["under_take_high_db"]
    unmet = CliRunner().invoke(root, ["take", "--draws", "60", "--require", "chance_clean > 0.99"])
    assert unmet.exit_code == 3


def test_the_same_seed_gives_the_same_take() -> None:
    outputs = [
        CliRunner().invoke(root, ["take", "--draws", "60", "--seed", seed], catch_exceptions=False).stdout
        for seed in ("5", "5", "6")
    ]
    assert outputs[0] == outputs[1] != outputs[2]


def test_the_text_keeps_to_eighty_columns() -> None:
    told = CliRunner().invoke(root, ["take", "--draws", "60"], catch_exceptions=False).stdout
    assert max(map(len, told.splitlines())) <= 80
    assert "Find out first" in told


def test_the_picture_has_a_bar_a_noise_and_a_band_about_the_worst() -> None:
    answer = take(draws=60)
    tonight = answer.takes[0]
    bars = figures_take.draw_under(tonight)
    assert len(bars.patches) == len(tonight.noises) + 1  # and the floor
    for patch, one in zip(bars.patches[1:], tonight.noises, strict=True):
        low, high = one.under_limits
        assert patch.get_x() == pytest.approx(-high)
        assert patch.get_width() == pytest.approx(high - low)
    spectra = figures_take.draw_worst(tonight)
    assert figures_take.worst(tonight).name in spectra.get_title(loc="left")
    assert len(spectra.collections) == 2  # floor and limits


def test_a_take_without_noises_cannot_be_drawn(tmp_path: Path) -> None:
    answer = take(room_file(tmp_path), draws=50)
    silent = replace(answer, takes=tuple(replace(one, noises=()) for one in answer.takes))
    with pytest.raises(IsolateError, match="no noise to draw"):
        figures_take.figure(silent)
