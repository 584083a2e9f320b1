"""A survey of bare numbers: what is told of levels known in every eighth of a second, no recordings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from test_checks_of_numbers import FLAT, SECOND, course, taken

from isolate.bands import index_of
from isolate.errors import InputError
from isolate.measuring import survey as surveys
from isolate.measuring.checks import SPOILT, Finding
from isolate.measuring.events import Event
from isolate.measuring.recording import Recording
from isolate.measuring.survey import Survey, seconds

Ask = Callable[..., Survey]
NIGHT, REFERENCE = Path("night.wav"), Path("reference.wav")


@pytest.fixture
def surveyed(monkeypatch: pytest.MonkeyPatch) -> Ask:
    """The survey of a recording made of numbers, in so many channels, and a reference beside it."""

    def survey(
        one: Recording, *, beside: Recording | None = None, channels: int = 1, bits: int = 24, **asked: Any
    ) -> Survey:
        def heard(path: Path, *, longest: float = 86_400.0, **how: Any) -> Recording | None:
            assert longest == 24 * 3600.0
            return files[path]

        files = {NIGHT: one, REFERENCE: beside}
        depth = {NIGHT: 24, REFERENCE: bits}
        monkeypatch.setattr(
            surveys.sound, "inspect", lambda path: SimpleNamespace(channels=channels, bits=depth[path])
        )
        monkeypatch.setattr(surveys, "liveliest", lambda wav: 1)
        monkeypatch.setattr(surveys, "listen", heard)
        return surveys.survey(NIGHT, **asked)

    return survey


def tone(level_db: float, hz: float = 1000.0, *, minutes: int = 1) -> np.ndarray:
    """One band of this level, the others -150 dB."""
    level = np.full((60 * minutes * SECOND, 27), -150.0)
    level[:, index_of(hz)] = level_db
    return level


def test_levels_exceeded_and_their_energy_mean() -> None:
    """Ten levels of 0, 10 ... 90 dB, each as long: the energy mean is 10 lg(1.11111111 10^9 / 10) = 80.46 dB;
    nine tenths lie above 9 dB, a tenth above 81 dB, half above 45 dB (quantiles of ten values, straight
    between)."""
    found = surveys._exceeded(np.arange(0.0, 100.0, 10.0))
    assert found == {
        "Leq": pytest.approx(80.46, abs=0.005), "L10": pytest.approx(81.0), "L50": pytest.approx(45.0),
        "L90": pytest.approx(9.0),
    }  # fmt: skip
    assert isinstance(found["Leq"], float)  # as JSON takes it


def test_weighted_levels_are_those_of_the_weighting(surveyed: Ask) -> None:
    """125 Hz loses 16.1 dB by A and 0.2 dB by C, 1 kHz nothing (IEC 61672-1:2013, table 3)."""
    assert surveyed(taken(tone(-40.0))).dba["Leq"] == pytest.approx(-40.0, abs=1e-3)
    assert surveyed(taken(tone(-40.0, 125.0))).dba["Leq"] == pytest.approx(-56.1, abs=1e-3)
    for level, shift in (("50 dBA", 106.1), ("50 dBC", 90.2), ("50 dB", 90.0)):
        found = surveyed(taken(tone(-40.0, 125.0)), level=level, at="0:10 - 0:20")
        assert found.level_db["L50"][index_of(125)] == pytest.approx(-40.0 + shift, abs=1e-3)
        assert found.calibration == f"{level} stated for the passage given"


def test_a_passage_is_that_of_its_seconds(surveyed: Ask) -> None:
    """20 dB louder from 0:30 to 0:40: 70 dB stated for that stretch are 50 dB elsewhere. It may end with the
    recording, of which 60 s is the end."""
    one = taken(np.where(np.arange(480)[:, None] // 80 == 3, tone(-20.0), tone(-40.0)))
    assert surveyed(one, level="70 dBA", at="0:30 - 0:40").dba["L50"] == pytest.approx(50.0, abs=1e-3)
    assert surveyed(one, level="50 dBA", at="0:50 - 1:00").dba["L50"] == pytest.approx(50.0, abs=1e-3)
    with pytest.raises(InputError, match=r"beyond the end of the recording \(60 s\)"):
        surveyed(one, level="50 dBA", at="0:50 - 1:01")
    for at in ("0:30 - 0:30", "0:30 - 0:20"):
        with pytest.raises(InputError, match="ends before it starts"):
            surveyed(one, level="50 dBA", at=at)
    with pytest.raises(InputError, match="not a passage"):
        surveyed(one, level="50 dBA", at="0:10 - 0:20 - 0:30")


def test_a_reference_of_another_depth_is_told(surveyed: Ask) -> None:
    one, loud = taken(tone(-40.0)), taken(tone(-10.0))
    asked: dict[str, Any] = {"beside": loud, "level": "94 dBA", "reference": REFERENCE}
    found = surveyed(one, **asked)
    assert found.dba["L50"] == pytest.approx(64.0, abs=1e-3)
    assert not any("depth" in note for note in found.notes)
    assert any("depth" in note for note in surveyed(one, bits=16, **asked).notes)


def test_the_channel_in_use_is_counted_from_one(surveyed: Ask) -> None:
    assert not any("channel" in note for note in surveyed(taken(FLAT)).notes)
    (note,) = [note for note in surveyed(taken(FLAT), channels=2).notes if "channel" in note]
    assert note.startswith("channel 2 of 2,")


def test_events_are_counted_by_the_hour(surveyed: Ask) -> None:
    """Three in four minutes are 45 an hour."""
    bursts = [(60 * i + 30, 60 * i + 33, 30.0) for i in range(3)]
    found = surveyed(taken(course(240, *bursts)))
    assert found.length == 240.0 and len(found.events) == 3
    assert found.per_hour == pytest.approx(45.0)


def test_digital_silence_takes_the_place_of_the_quiet(surveyed: Ask) -> None:
    """Half of it nothing at all: told as 50 %; no level and no event comes of it, and one frame of a night
    that is as soft as the last bit is no silence."""
    gated = course(120)
    gated[: 60 * SECOND] = -300.0
    found = surveyed(taken(gated))
    assert any(note.startswith("50 % of the recording is digital silence") for note in found.notes)
    assert found.level_db["Leq"] == pytest.approx(FLAT) and found.events == ()
    soft = surveyed(taken(np.full(27, -170.0)))  # 27 bands of 1e-17 each
    assert not any("digital silence" in note for note in soft.notes)


def test_the_quiet_is_the_mean_of_the_quietest_fifth_of_seconds(surveyed: Ask) -> None:
    """Of a minute 12 s: six of -70 and six of -60 dB there, their energy mean is 10 lg((1e-7 + 1e-6)/2) =
    -62.6 dB. With one second more at -70 dB, the level that is exceeded nine tenths of the time would not
    move and this one would."""
    level = np.full((60 * SECOND, 27), -50.0)
    level[10 * SECOND : 16 * SECOND], level[30 * SECOND : 36 * SECOND] = -70.0, -60.0
    assert surveyed(taken(level)).quiet_db == pytest.approx(np.full(27, -62.596), abs=1e-3)


def test_nc_is_of_the_octaves_that_decide(surveyed: Ask) -> None:
    """NC 30 lies at 41 dB in 250 Hz and at 31 dB in 1 kHz (ANSI S12.2): a band of that octave alone touches
    it. Without 6.3 kHz on it is still told, with a note; without 50 Hz or 5 kHz not, nor uncalibrated."""
    asked = {"level": "31 dBZ".replace("Z", ""), "at": "0:10 - 0:20"}
    one = taken(tone(-40.0))
    assert surveyed(one, **asked).nc == pytest.approx(30.0, abs=0.05)
    assert surveyed(one).nc is None

    def without(*hz: float) -> Survey:
        held = np.ones(27, bool)
        held[[index_of(band) for band in hz]] = False
        return surveyed(replace(one, usable=held), **asked)

    slow = without(6300.0, 8000.0, 10_000.0)
    assert slow.nc == pytest.approx(30.0, abs=0.05) and any("no 8 kHz octave" in note for note in slow.notes)
    assert without(50.0).nc is None and without(5000.0).nc is None
    assert without(25.0, 31.5, 40.0).nc is not None
    assert np.isnan(slow.level_db["L50"][-3:]).all() and np.isnan(slow.quiet_db[-3:]).all()
    assert not any("8 kHz" in note for note in surveyed(one, **asked).notes)


def test_levels_are_taken_to_2_m_before_the_facade(surveyed: Ask) -> None:
    """A facade adds 3 dB 2 m before it and 6 dB flush on it to the free field (ISO 12354-3, from memory)."""
    one = taken(FLAT)
    for place, db in (("open", 3.0), ("near facade", 0.0), ("on facade", -3.0), ("inside", 0.0)):
        found = surveyed(one, place=place)
        assert found.outside_db(FLAT) == pytest.approx(FLAT + db)
        assert any("fall on people" in caution.text for caution in found.cautions) == (place != "inside")


def test_the_picture_has_its_columns(surveyed: Ask) -> None:
    """A second wide up to a quarter of an hour, then 900 of them; a burst lies in the column of its time, as
    loud as its mean there in the picture and as its loudest eighth of a second in the course."""
    level = tone(-60.0)
    level[30 * SECOND : 30 * SECOND + 2] += 30.0
    found = surveyed(taken(level))
    band = index_of(1000)
    assert (found.column, len(found.course_dba), found.picture_db.shape) == (1.0, 60, (60, 27))
    assert found.picture_db[30, band] == pytest.approx(-60.0 + 10 * np.log10((2 * 1000 + 6) / 8), abs=1e-3)
    assert found.course_dba[30] == pytest.approx(-30.0, abs=1e-3)
    assert np.delete(found.course_dba, 30) == pytest.approx(np.full(59, -60.0), abs=1e-3)
    rising = np.concatenate([tone(level, minutes=5) for level in (-60.0, -50.0, -40.0, -30.0)])
    long = surveyed(taken(rising))
    assert (len(long.course_dba), long.column) == (900, pytest.approx(1200.0 / 900))
    at = np.array([112, 337, 562, 787])  # the middles of five minutes
    assert long.low_dba[at] == pytest.approx([-60.0, -50.0, -40.0, -30.0], abs=0.1)
    assert long.course_dba[at] == pytest.approx([-60.0, -50.0, -40.0, -30.0], abs=1e-3)


# --- automatic gain ---


def accused(
    fall_db: float = 6.0, *, starts: tuple[float, ...] = (20.0, 50.0), length: float = 2.0, seconds: int = 90,
    rise_db: float = 20.0, bands: int = 27, rest_db: float = 0.0,
    edge: Callable[[np.ndarray, int, int], None] = lambda level, start, end: None,
) -> Finding | None:  # fmt: skip
    """What is told of events of 2 s at these times, after each of which so many bands lie lower for 3 s (the
    others by `rest_db`) than the -60 dB before; `edge` puts into the levels what else is there."""
    level, events = course(seconds), []
    for at in starts:
        start, end = round(at * SECOND), round((at + length) * SECOND)
        level[start:end] += rise_db
        level[end : end + 3 * SECOND, :bands] -= fall_db
        level[end : end + 3 * SECOND, bands:] -= rest_db
        edge(level, start, end)
        events.append(Event(at, length, 0.0, FLAT, FLAT, rise_db, "low"))
    found = surveys._breathing(taken(level), events)
    return found[0] if found else None


def test_a_background_that_falls_3_db_after_loud_events_is_automatic_gain() -> None:
    found = accused(7.0)
    assert found is not None and found.grave == SPOILT and "lies 7 dB lower" in found.what
    assert accused(2.9) is None and accused(3.1) is not None
    assert accused(-7.0) is None  # what is left over of the event
    assert accused(rise_db=14.9) is None and accused(rise_db=15.1) is not None
    assert accused(starts=(20.0,)) is None  # of one nothing follows


def test_gain_falls_in_four_bands_of_five() -> None:
    """22 of 27 bands are 0.81, 21 are 0.78; what falls by less than half of the usual does not count."""
    assert accused(bands=21) is None and accused(bands=22) is not None
    assert accused(10.0, bands=20, rest_db=4.9) is None and accused(10.0, bands=20, rest_db=5.1) is not None


def test_events_count_that_have_8_s_of_quiet_before_them_and_3_s_after() -> None:
    assert accused(starts=(20.0, 29.9)) is None and accused(starts=(20.0, 30.1)) is not None
    assert accused(starts=(7.9, 30.0)) is None and accused(starts=(8.1, 30.0)) is not None
    assert accused(starts=(20.0, 50.0), seconds=54) is None
    assert accused(starts=(20.0, 50.0), seconds=56) is not None
    assert accused(starts=(20.0, 40.0, 44.0), seconds=60) is None  # the second has a third right after it
    assert accused(starts=(20.0, 40.0, 46.0), seconds=60) is not None


def test_neither_the_rise_nor_the_dying_away_of_an_event_counts() -> None:
    """From 4 to half a second before, and from a quarter of a second after it on to 2 s: medians there."""

    def swells(level: np.ndarray, start: int, end: int) -> None:
        level[start - 17 : start] = -50.0  # 13 of the 28 eighths that count, which leaves their median

    def dies(level: np.ndarray, start: int, end: int) -> None:
        level[end : end + 2] = -40.0
        level[end + 10 : end + 24] = -60.0  # 8 of the 14 eighths that count lie lower

    assert accused(1.0, edge=swells) is None
    assert accused(6.0, edge=dies) is not None


# --- clock ---


def test_times_of_the_clock() -> None:
    assert [seconds(text) for text in ("1:20", "0:01:20", "1:02:03", "10:59", "1:59:59")] == [
        80.0, 80.0, 3723.0, 659.0, 7199.0
    ]  # fmt: skip
    for text in ("0:60", "1:60:00", "1:00:60", "80", "1:2:3:4"):
        with pytest.raises(ValueError, match="not a time"):
            seconds(text)
    assert surveys._began("22:30") == 81_000.0 and surveys._began("22:30:36") == 81_036.0


def test_an_event_rises_by_3_to_60_db(surveyed: Ask) -> None:
    for rise in ("3 dB", "60 dB"):
        assert surveyed(taken(FLAT), rise=rise).rise_db == float(rise.split()[0])
    for rise in ("2.9 dB", "60.1 dB"):
        with pytest.raises(InputError, match="rise: out of range"):
            surveyed(taken(FLAT), rise=rise)
