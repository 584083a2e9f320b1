"""Isolation recovered from recordings made up with known isolation, noise and decay."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import signal
from synthetic import claps, noise, put

from isolate.bands import THIRD_OCTAVES, octave_tl
from isolate.errors import InputError
from isolate.measuring.isolation import Measurement, measure
from isolate.measuring.measured import Files, Setup
from isolate.measuring.request import load
from isolate.standards.field import CLEAR, CORRECTED, LIMIT, background_rule, with_corners
from isolate.standards.third_octave import WIDTH

LOUD = np.full(27, -35.0)
WALL = np.interp(np.log(THIRD_OCTAVES), np.log([25, 100, 500, 1000, 10_000]), [15, 22, 38, 44, 56])
ROOM = np.linspace(-80.0, -115.0, 27)
SECONDS = 40
CHANCE = 4.34 / np.sqrt(WIDTH * SECONDS) * np.sqrt(2)


def takes(
    folder: Path, wall: np.ndarray, room: np.ndarray, *, seed: int = 1, rate: int = 48_000, bits: int = 24
) -> Files:
    """Loud, quiet and background recordings of a wall of this level difference."""
    rng = np.random.default_rng(seed)
    made = {
        "loud": noise(LOUD, SECONDS, rng=rng, rate=rate),
        "quiet": noise(LOUD - wall, SECONDS, rng=rng, rate=rate) + noise(room, SECONDS, rng=rng, rate=rate),
        "background": noise(room, SECONDS, rng=rng, rate=rate),
    }
    end = f"-{seed}-{rate}-{bits}.wav"
    paths = {role: put(folder / f"{role}{end}", x, rate=rate, bits=bits) for role, x in made.items()}
    return Files(**{role: (path,) for role, path in paths.items()})


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("takes")


@pytest.fixture(scope="module")
def plain(folder: Path) -> Measurement:
    return measure(takes(folder, WALL, ROOM))


def test_a_known_filter_is_recovered_in_every_band(plain: Measurement) -> None:
    """Tolerance: four standard deviations of levels of noise over 40 s, and 0.3 dB for the filters' skirts on
    a curve that climbs up to 3 dB a band (class 1 lets 0.4 dB through)."""
    assert np.all(np.abs(plain.difference_db - WALL) < 4 * CHANCE + 0.3)
    assert (plain.rule == CLEAR).all()
    assert plain.trust == "good"
    assert plain.findings == ()


@pytest.mark.parametrize(
    ("rate", "bits"), [(16_000, 24), (32_000, 24), (44_100, 16), (96_000, 24), (44_100, 32)]
)
def test_rate_and_depth_make_no_difference(folder: Path, plain: Measurement, rate: int, bits: int) -> None:
    """The same take (48 kHz) brought to another rate by SciPy's resampler and to another depth. 0.1 dB; at
    16 bit the treble of the quiet room is the last bit's and is left out."""
    original = takes(folder, WALL, ROOM)
    from isolate.describe.wav import inspect, read

    files = {}
    for role in ("loud", "quiet", "background"):
        x = read(inspect(getattr(original, role)[0]))[:, 0]
        y = signal.resample(x, round(x.size * rate / 48_000))
        files[role] = (put(folder / f"{role}-as-{rate}-{bits}.wav", y, rate=rate, bits=bits),)
    other = measure(Files(**files))
    known = np.isfinite(other.difference_db) & ((bits > 16) | (THIRD_OCTAVES < 2000))
    assert known.sum() >= (25 if bits > 16 else 19)
    assert np.abs(other.difference_db - plain.difference_db)[known].max() < 0.1


def test_the_background_rule_prints_the_standards_numbers() -> None:
    """ISO 16283-1:2014, 9.2 (from memory): over 10 dB none, 6 to 10 dB by energy, 6 dB and less 1.3 dB."""
    above = np.array([20.0, 10.01, 10.0, 8.0, 6.01, 6.0, 3.0, 0.0, -2.0])
    level, rule = background_rule(above, np.zeros(9))
    assert rule.tolist() == [CLEAR] * 2 + [CORRECTED] * 3 + [LIMIT] * 4
    assert (above - level).round(2).tolist() == [0, 0, 0.46, 0.75, 1.25, 1.3, 1.3, 1.3, 1.3]


def test_bands_near_the_background_are_corrected_or_become_limits(folder: Path) -> None:
    """Background 8 dB under the signal, 3 dB under it, and 6 dB above it, in three stretches of bands."""
    room = LOUD - WALL - 20.0
    room[3:8], room[10:15], room[20:24] = (
        (LOUD - WALL - 8)[3:8], (LOUD - WALL - 3)[10:15], (LOUD - WALL + 6)[20:24]
    )  # fmt: skip
    result = measure(takes(folder, WALL, room, seed=2))
    assert (result.rule[4:7] == CORRECTED).all()
    assert np.all(np.abs(result.difference_db - WALL)[4:7] < 6 * CHANCE[4:7] + 0.3)
    for band in (*range(11, 14), *range(21, 23)):
        assert result.rule[band] == LIMIT
        assert result.difference_db[band] < WALL[band]
        assert np.isnan(result.high_db[band])
    assert result.difference_db[12] == pytest.approx(WALL[12] - 10 * np.log10(1 + 10**-0.3) + 1.3, abs=0.4)
    assert result.rating("DnT,w").at_least  # type: ignore[union-attr]


def test_two_recordings_give_a_lower_limit_and_one_take_with_silence_gives_all(folder: Path) -> None:
    files = takes(folder, WALL, ROOM)
    two = measure(Files(files.loud, files.quiet))
    assert (two.rule == LIMIT).all()
    assert "lower limit" in " ".join(two.notes)
    rng = np.random.default_rng(4)
    silence = np.zeros(48_000 * 8)
    sound = {role: np.concatenate([silence, noise(level, 30, rng=rng), silence])
             for role, level in (("loud", LOUD), ("quiet", LOUD - WALL))}  # fmt: skip
    whole = {
        role: put(folder / f"{role}-whole.wav", x + noise(ROOM, 46, rng=rng)) for role, x in sound.items()
    }
    one = measure(Files((whole["loud"],), (whole["quiet"],)))
    assert (one.rule == CLEAR).all()
    assert np.all(np.abs(one.difference_db - WALL) < 5 * CHANCE + 0.3)


def test_gain_is_taken_off(folder: Path, plain: Measurement) -> None:
    files = takes(folder, WALL, ROOM)
    from isolate.describe.wav import inspect, read

    lifted = {role: put(folder / f"{role}-lifted.wav", 10 * read(inspect(getattr(files, role)[0]))[:, 0])
              for role in ("quiet", "background")}  # fmt: skip
    setup = Setup(quiet_gain_db=20.0, gain_stated=True)
    result = measure(Files(files.loud, (lifted["quiet"],), (lifted["background"],)), setup)
    assert np.allclose(result.difference_db, plain.difference_db, atol=0.02)


def test_a_known_decay_standardises(folder: Path) -> None:
    """DnT = D + 10 lg(T/0.5), Dn = D - 10 lg(0.16 V/T/10), R' = D + 10 lg(S T/(0.16 V)) (ISO 16283-1)."""
    rng = np.random.default_rng(5)
    path = put(folder / "claps.wav", claps(1.0, rng=rng, count=6))
    result = measure(
        takes(folder, WALL, ROOM)
        if False
        else Files(**(vars(takes(folder, WALL, ROOM)) | {"decay": (path,)})),
        Setup(volume=30.0, area=8.0),
    )
    core = slice(8, 25)
    assert np.abs(result.standardised_db - result.difference_db - 3.01)[core].max() < 0.6
    assert result.normalised_db is not None and result.reduction_db is not None
    assert np.abs(result.normalised_db - WALL - 3.19)[core].max() < 0.9
    assert np.abs(result.reduction_db - WALL - 2.22)[core].max() < 0.9


def test_corners_follow_the_low_frequency_rule() -> None:
    """ISO 16283-1:2014 (from memory): (10^(Lcorner/10) + 2 10^(L/10))/3 in 50, 63, 80 Hz, others
    unchanged."""
    level = with_corners(np.full(27, 60.0), np.full(27, 66.0))
    expected = 10 * np.log10((10**6.6 + 2 * 10**6.0) / 3)
    assert level[3:6] == pytest.approx([expected] * 3)
    assert np.all(np.delete(level, [3, 4, 5]) == 60.0)


def test_small_rooms_are_offered_the_corner_procedure(folder: Path) -> None:
    files = takes(folder, WALL, ROOM)
    small = measure(files, Setup(volume=15.0))
    assert any("--quiet-corner" in note for note in small.notes)
    rng = np.random.default_rng(6)
    corner = put(folder / "corner.wav", noise(LOUD - WALL + 6, 20, rng=rng))
    cornered = measure(Files(**(vars(files) | {"quiet_corner": (corner,)})), Setup(volume=15.0))
    drop = small.difference_db - cornered.difference_db
    assert drop[3:6] == pytest.approx([10 * np.log10((10**0.6 + 2) / 3)] * 3, abs=1.0)
    assert np.abs(np.delete(drop, [3, 4, 5])).max() < 1e-9


def test_two_recordings_are_enough_to_point_at_the_hole(folder: Path) -> None:
    """Pink noise in both rooms, no background, no decay: a curve of lower limits and the hole's size in a
    room of 10 m2 absorption (0.001 m2 caps D at 40 dB)."""
    wall = 25 + 20 * np.log10(THIRD_OCTAVES / 100)
    files = takes(folder, -10 * np.log10(10 ** (-wall / 10) + 0.001 / 10), ROOM - 40, seed=9)
    result = measure(Files(files.loud, files.quiet))
    assert np.isfinite(result.curve_db).all()
    assert [hint.kind for hint in result.hints] == ["plateau"]
    assert result.hints[0].open_area == pytest.approx(0.001, rel=0.3)
    assert "quiet room's own noise" in result.hints[0].what


def test_a_measurement_survives_its_json(tmp_path: Path, plain: Measurement) -> None:
    path = tmp_path / "m.json"
    path.write_text(json.dumps(plain.to_dict()))
    again = load(path)
    assert np.allclose(again.curve_db, plain.curve_db, atol=0.006)
    assert [(r.name, r.value) for r in again.ratings] == [(r.name, r.value) for r in plain.ratings]
    assert plain.to_dict()["octave"]["tl_db"] == pytest.approx(octave_tl(plain.curve_db).tolist(), abs=0.006)


@pytest.mark.parametrize(
    "text", ["", "{", "[1]", '{"question": "room"}', '{"question": "measure"}', "NaN", "[" * 100_000]
)
def test_a_damaged_measurement_is_refused(tmp_path: Path, text: str) -> None:
    path = tmp_path / "m.json"
    path.write_text(text)
    with pytest.raises(InputError):
        load(path)


def test_swapped_rooms_stop_with_one_message(folder: Path) -> None:
    files = takes(folder, WALL, ROOM)
    with pytest.raises(InputError, match="are swapped"):
        measure(Files(files.quiet, files.loud))


def test_level_makes_it_absolute_and_warns_of_the_ears(folder: Path) -> None:
    """85 dBA for 8 h, 3 dB halves it: 15 minutes at 100 dBA (NIOSH 98-126, read in guidance that quotes
    it)."""
    result = measure(takes(folder, WALL, ROOM), Setup(level=(100.0, "A")))
    from isolate.standards.weighting import dba

    assert float(dba(result.loud_db)) == pytest.approx(100.0)
    assert any("15 minutes" in caution.text for caution in result.cautions)
