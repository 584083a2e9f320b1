"""A recorder that does something to levels is found by the test signal's steps; a plain one passes."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from simulator import CLEAN, PROCESSED, Place, Recorder, at_level, heard, hiss, put, recorded

from isolate.cli import root
from isolate.measuring.check import Check, check
from isolate.measuring.recorder import find_steps, following, steady
from isolate.measuring.recording import listen
from isolate.measuring.test_signal import signal

RATE = 16_000
STEADY = slice(26 * RATE, 36 * RATE)  # 5 s of silence and six steps of 3.5 s come before it
DRY = Place(time=0.2, direct_db=6.0, walked=True, swing_db=6.0)  # a walk towards the speaker and away again


@cache
def played(length: str = "20 s") -> np.ndarray:
    return signal("noise", length=length, rate=RATE).samples


def loud(
    place: Place, recorder: Recorder, *, level: float = 78.0, floor: float = 30.0, seed: int = 1
) -> np.ndarray:
    """The test signal as recorded in a room with so much noise of its own [dBA]."""
    rng = np.random.default_rng(seed)
    x = heard(played(), place, RATE, rng)
    x = at_level(x, level, RATE, like=x[STEADY])
    return recorded(x + hiss(x.size, floor, RATE, rng), recorder, RATE, rng)


def checked(folder: Path, x: np.ndarray) -> Check:
    return check(put(folder / "loud.wav", x, RATE))


@pytest.mark.parametrize("place", [Place(), Place(walked=True), DRY], ids=["still", "walked", "dry walk"])
@pytest.mark.parametrize("name", PROCESSED)
def test_a_gain_that_follows_the_level_is_found(tmp_path: Path, name: str, place: Place) -> None:
    """Strength within a third of what the recorder does: a compressor of 2:1 takes a half of each decibel
    away, 3:1 two thirds (by definition of the ratio)."""
    found = checked(tmp_path, loud(place, PROCESSED[name]))
    assert found.usable is False
    assert found.following is not None
    assert found.following.strength == pytest.approx(PROCESSED[name].strength, rel=1 / 3)
    assert "automatic gain" in {finding.key for finding in found.findings}


@pytest.mark.parametrize("floor", np.linspace(20, 45, 5))
@pytest.mark.parametrize("place", [Place(0.4, walked=True), DRY], ids=["walked", "dry walk"])
def test_a_clean_recorder_passes_at_any_noise_floor(tmp_path: Path, floor: float, place: Place) -> None:
    found = checked(tmp_path, loud(place, Recorder(floor_dba=floor), floor=floor - 3, seed=int(floor)))
    assert found.usable is True, found.findings
    assert found.findings == ()


def test_what_was_played_is_what_was_recorded(tmp_path: Path) -> None:
    """The steps of a clean recording, to half a decibel: 2.5 s of 13 bands of noise leave a tenth."""
    found = checked(tmp_path, loud(Place(), CLEAN))
    assert found.following is not None
    steps = np.array(found.following.steps)
    assert steps[:, 0].tolist() == [0.0, -10.0, -20.0, -30.0]
    assert np.abs(steps[:, 0] - steps[:, 1]).max() < 0.5


def test_suppression_in_the_quiet_file_alone_is_found(tmp_path: Path) -> None:
    """A gate that presses down what is below the loud room's level, and suppression by short pieces."""
    rng = np.random.default_rng(3)
    x = heard(played(), Place(), RATE, rng)
    x = at_level(x, 38.0, RATE, like=x[STEADY]) + hiss(x.size, 18.0, RATE, rng)
    plain = recorded(x, Recorder(floor_dba=15.0), RATE, rng)
    path = put(tmp_path / "plain.wav", plain, RATE)
    assert checked(tmp_path, plain).findings == ()
    gated = recorded(x, Recorder(gate_db=-65.0, floor_dba=15.0), RATE, rng)
    found = checked(tmp_path, gated)
    assert {finding.key for finding in found.findings} >= {"noise suppression"}
    assert found.following is not None and found.following.strength < -0.5
    dull = recorded(x, Recorder(suppress_db=12.0, floor_dba=15.0), RATE, rng)
    assert "noise suppression" in {finding.key for finding in checked(tmp_path, dull).findings}
    assert steady(listen(path)).part[0] / 8 == pytest.approx(27, abs=0.3)


def test_steps_are_found_only_where_they_are(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    noise = hiss(60 * RATE, 60.0, RATE, rng)
    t = np.arange(noise.size) / RATE
    for x in (noise, noise * (1 + 0.8 * np.sin(0.7 * t)), noise * (np.sin(2 * np.pi * t / 7) > 0)):
        path = put(tmp_path / "other.wav", recorded(x, CLEAN, RATE, rng), RATE)
        assert find_steps(listen(path)) is None
    late = loud(Place(), CLEAN)[round(5.2 * RATE) :]  # the recorder was started with the first step
    found = checked(tmp_path, late)
    assert found.usable is None and not found.found


def test_steps_that_drown_tell_nothing(tmp_path: Path) -> None:
    path = put(tmp_path / "soft.wav", loud(Place(), CLEAN, level=42.0, floor=38.0), RATE)
    recording = listen(path)
    steps = find_steps(recording)
    assert steps is None or following(recording, steps) is None
    told = CliRunner().invoke(root, ["measure", "--check", str(path)])
    assert told.exit_code == 0 and "cannot be told" in told.stdout


def test_the_verdict_comes_first_and_names_the_setting(tmp_path: Path) -> None:
    path = put(tmp_path / "loud.wav", loud(Place(), PROCESSED["half automatic gain"]), RATE)
    told = CliRunner().invoke(root, ["measure", "--check", str(path)])
    assert told.exit_code == 0
    verdict, setting, steps = map(told.stdout.index, ("cannot be used", "automatic gain", "played"))
    assert verdict < setting < steps
    refused = CliRunner().invoke(root, ["measure", "--check", str(path), "--require", "usable >= 1"])
    assert refused.exit_code == 3
    both = CliRunner().invoke(root, ["measure", "--check", str(path), "--quiet", str(path)])
    assert both.exit_code == 2 and "leave the other options out" in both.stderr
