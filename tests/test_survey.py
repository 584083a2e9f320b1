"""A long recording with known background and known events."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from simulator import Recorder, hiss, recorded
from simulator import put as written
from synthetic import noise, put

from isolate.bands import THIRD_OCTAVES, energy_sum
from isolate.describe import rooms
from isolate.errors import InputError
from isolate.measuring.events import background_course
from isolate.measuring.recording import Recording, decibels, listen
from isolate.measuring.survey import Survey, seconds, survey
from isolate.show.blocks import survey_blocks
from isolate.show.document import day_time
from isolate.show.layout import Page, tell
from isolate.show.tell.survey import document
from isolate.standards.weighting import A_WEIGHTING

RATE = 24_000
ROOM = np.interp(np.log(THIRD_OCTAVES), np.log([25, 10_000]), [-70, -105])
TRAM, BIRD = np.full(27, -140.0), np.full(27, -140.0)
TRAM[3:9], BIRD[21:24] = -55.0, -72.0
TRAMS = (60.0, 180.0, 300.0)
BIRDS = (30.0, 95.0, 130.0, 200.0, 214.0)
LENGTH = 360.0


@pytest.fixture(scope="module", autouse=True)
def _heard_once() -> Iterator[None]:
    """Most ask anew of one night: the survey is theirs, the reading of the same file is not."""
    known: dict[object, Recording] = {}

    def heard(path: str | Path, **how: Any) -> Recording:
        key = str(path), Path(path).stat().st_mtime_ns, *sorted(how.items())
        return known[key] if key in known else known.setdefault(key, listen(path, **how))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("isolate.measuring.survey.listen", heard)
        yield


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    rng = np.random.default_rng(21)
    x = noise(ROOM, LENGTH, rng=rng, rate=RATE)
    for times, level, length in ((TRAMS, TRAM, 12.0), (BIRDS, BIRD, 1.5)):
        for start in times:
            at = round(start * RATE)
            event = noise(level, length, rng=rng, rate=RATE)
            x[at : at + event.size] += event
    return put(tmp_path_factory.mktemp("night") / "night.wav", x, rate=RATE)


@pytest.fixture(scope="module")
def found(path: Path) -> Survey:
    return survey(path, start="22:59")


def test_the_background_is_found_in_every_band(found: Survey) -> None:
    """L50 of 1/8 s levels of Gaussian noise: the median of a chi-square with 2 B T degrees of freedom lies
    below its mean by about 10 lg(1 - 2/(9 n))^3, n = 2 B T (Wilson and Hilferty 1931). Events fill 12 % of
    the time."""
    from isolate.standards.third_octave import WIDTH

    freedom = 2 * WIDTH / 8
    below = 30 * np.log10(1 - 2 / (9 * freedom))
    known = np.isfinite(found.level_db["L50"])
    assert known.sum() == 26
    off = np.abs(found.level_db["L50"] - ROOM - below)
    assert np.all((off < 0.2 + 0.2 * 4.34 / np.sqrt(WIDTH / 8))[known])
    assert np.all((found.level_db["L90"] < found.level_db["L50"])[known])


def test_the_quiet_of_a_room_is_its_noise_and_not_the_luck_of_an_eighth_of_a_second(found: Survey) -> None:
    """Steady noise under the events: its mean in every band, where L90 of 25 Hz lies some 7 dB below. 72
    seconds of it: 4.34 / sqrt(B T) dB of scatter."""
    from isolate.standards.third_octave import WIDTH

    known = np.isfinite(found.quiet_db)
    assert known.sum() == 26
    off = np.abs(found.quiet_db - ROOM)
    assert np.all((off < 0.3 + 3.0 * 4.34 / np.sqrt(72.0 * WIDTH))[known])


def test_events_are_found_when_they_were_and_as_long(found: Survey) -> None:
    low = [event for event in found.events if event.length > 5]
    high = [event for event in found.events if event.kind == "high"]
    assert [e.start for e in low] == pytest.approx(TRAMS, abs=1.0)
    assert [e.length for e in low] == pytest.approx([12.0] * 3, abs=1.5)
    assert [e.start for e in high] == pytest.approx(BIRDS, abs=0.5)
    assert [e.length for e in high] == pytest.approx([1.5] * 5, abs=0.7)
    assert len(found.events) == 8
    assert found.per_hour == pytest.approx(80.0)


def test_event_levels_are_what_was_put_in(found: Survey) -> None:
    birds = [event for event in found.events if event.kind == "high"]
    level = decibels(np.mean([10 ** (event.level_db[21:24] / 10) for event in birds], axis=0))
    assert level == pytest.approx([-72.0] * 3, abs=0.6)
    dba = float(energy_sum(BIRD + A_WEIGHTING))
    assert [event.max_dba for event in birds] == pytest.approx([dba] * 5, abs=1.5)


def test_a_background_that_changes_is_followed() -> None:
    """A heating that runs for the second half hour is no event of half an hour."""
    rng = np.random.default_rng(3)
    level = np.concatenate([np.full(14_400, -60.0), np.full(14_400, -45.0)])[:, None] + rng.normal(
        0, 0.5, (28_800, 1)
    )
    course = background_course(level)
    assert course[3000, 0] == pytest.approx(-60.6, abs=0.3)
    assert course[-3000, 0] == pytest.approx(-45.6, abs=0.3)


def test_a_stated_level_makes_it_absolute(path: Path, found: Survey) -> None:
    calibrated = survey(path, level="30 dBA", at="0:40 - 0:58")
    shift = calibrated.level_db["L50"] - found.level_db["L50"]
    assert np.nanmax(np.abs(shift - np.nanmean(shift))) < 1e-9
    assert calibrated.dba["L50"] == pytest.approx(30.0, abs=0.4)
    assert calibrated.calibrated and not found.calibrated
    assert calibrated.nc is None or calibrated.nc > 0


def test_a_reference_file_does_the_same(path: Path, tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    reference = put(tmp_path / "ref.wav", noise(ROOM + 40, 20, rng=rng, rate=RATE), rate=RATE)
    assert survey(path, level="70 dBA", reference=reference).dba["L50"] == pytest.approx(30.0, abs=0.4)


def test_blocks_go_into_a_room_file(path: Path, tmp_path: Path) -> None:
    """The background block replaces the room's background, the noise blocks add noises; the room reader takes
    both, and levels flush on a facade lose 3 of the 6 dB of its reflection, as 2 m before it."""
    inside = tomllib.loads(survey_blocks(survey(path, level="30 dBA", at="0:40 - 0:58")))["room"]
    outside = survey(path, level="60 dBA", at="0:40 - 0:58", place="on facade")
    blocks = survey_blocks(outside)
    room = tmp_path / "room.toml"
    room.write_text(
        '[room]\nsize = "4 m x 3 m x 2.5 m"\n'
        f"bands_hz = {inside['bands_hz']}\nlevel_db = {inside['level_db']}\n"
        '[[side]]\nname = "window"\nfaces = "street"\nconstruction = "glass 4 mm"\narea = "1.7 m2"\n' + blocks
    )
    read = rooms.load(str(room))
    assert read.background.kind == "bands"
    assert len(read.noises) == len(outside.groups) == 2
    bird = next(noise for noise in read.noises if "high" in noise.name)
    group = next(group for group in outside.groups if group.kind == "high")
    assert bird.spectrum.level_db[22] == pytest.approx(group.level_db[22] - 3.0, abs=0.2)
    assert bird.per_day == pytest.approx(5 / LENGTH * 86_400, rel=0.01)


def test_relative_noise_blocks_ask_to_be_completed(path: Path) -> None:
    assert 'level = "?"' in survey_blocks(survey(path, place="open"))


def test_text_says_relative_and_keeps_to_80_columns(found: Survey) -> None:
    text = tell(document(found), Page(), full=True)
    assert "re full scale" in text and "22:59:00" in text and "23:00:00" in text
    assert max(map(len, text.splitlines())) <= 80


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        ({"level": "loud"}, "level: not a level"),
        ({"level": "30 dBA"}, "says not when it holds"),
        ({"at": "0:10 - 0:20"}, "level: missing"),
        ({"level": "30 dBA", "at": "0:20 - 0:10"}, "ends before it starts"),
        ({"level": "30 dBA", "at": "9:00 - 9:10"}, "beyond the end"),
        ({"level": "30 dBA", "at": "soon"}, "not a passage"),
        ({"start": "late"}, "start: no time of day"),
        ({"rise": "1 dB"}, "rise: out of range"),
        ({"place": "roof"}, "place: unknown"),
    ],
)
def test_what_contradicts_itself_is_refused(path: Path, asked: dict[str, str], message: str) -> None:
    with pytest.raises(InputError, match=message):
        survey(path, **asked)


def test_clock_times() -> None:
    assert seconds("1:20") == 80.0
    assert day_time(23 * 3600 + 59 * 60 + 61) == "00:00:01"


NIGHT_RATE = 16_000


def night(*, seed: int = 1, seconds: int = 150, events_dba: float | None = 60.0) -> np.ndarray:
    """A quiet room [re 20 uPa], 25 dBA, with a second of noise every 25 s."""
    rng = np.random.default_rng(seed)
    x = hiss(seconds * NIGHT_RATE, 25.0, NIGHT_RATE, rng)
    if events_dba is not None:
        for start in range(20, seconds - 10, 25):
            x[start * NIGHT_RATE : (start + 1) * NIGHT_RATE] += hiss(NIGHT_RATE, events_dba, NIGHT_RATE, rng)
    return x


def surveyed(folder: Path, x: np.ndarray, recorder: Recorder, **asked: str) -> Survey:
    rng = np.random.default_rng(9)
    path = written(folder / "night.wav", recorded(x, recorder, NIGHT_RATE, rng), NIGHT_RATE)
    return survey(path, **asked)  # type: ignore[arg-type]


def test_an_event_is_named_by_what_rose(tmp_path: Path) -> None:
    """A mains hum over a hiss that is louder in dBA than the hum: what rose is low."""
    x = hiss(120 * NIGHT_RATE, 34.0, NIGHT_RATE, np.random.default_rng(2), slope=0.0)
    at = np.arange(50 * NIGHT_RATE, 60 * NIGHT_RATE)
    x[at] += np.sqrt(2) * 10 ** (45 / 20) * np.sin(2 * np.pi * 100 * at / NIGHT_RATE)  # 45 dB, 26 dBA
    found = surveyed(tmp_path, x, Recorder(floor_dba=15.0))
    assert [(round(event.start), event.kind) for event in found.events] == [(50, "low")]


def test_digital_silence_is_no_level(tmp_path: Path) -> None:
    x = night(events_dba=None)
    plain = surveyed(tmp_path, x, Recorder(floor_dba=10.0))
    samples = recorded(x, Recorder(floor_dba=10.0), NIGHT_RATE, np.random.default_rng(9))
    samples[40 * NIGHT_RATE : 110 * NIGHT_RATE] = 0.0
    gated = survey(written(tmp_path / "gated.wav", samples, NIGHT_RATE))
    assert gated.dba["L90"] == pytest.approx(plain.dba["L90"], abs=1.5)
    assert "digital silence" in " ".join(gated.notes)
    assert "digital silence" in {finding.key for finding in gated.findings}


def test_automatic_gain_is_found_in_a_night_and_not_in_a_plain_one(tmp_path: Path) -> None:
    agc = Recorder(strength=0.7, attack=0.1, release=6.0, target_db=-40.0, floor_dba=15.0)
    assert "automatic gain" in {f.key for f in surveyed(tmp_path, night(events_dba=70.0), agc).findings}
    assert surveyed(tmp_path, night(events_dba=70.0), Recorder(floor_dba=15.0)).findings == ()


def test_nc_holds_at_16_khz_and_says_what_is_missing(tmp_path: Path) -> None:
    """A neutral room of 25 dBA has about NC 20 (dBA less 5 to 7: common practice)."""
    quiet = night(events_dba=None)
    found = surveyed(tmp_path, quiet, Recorder(floor_dba=10.0), level="25 dBA", at="0:10 - 1:00")
    assert found.nc == pytest.approx(19.0, abs=4.0)
    assert "no 8 kHz octave" in " ".join(found.notes)
