"""Files to listen to: measured with our own `measure` they differ by what was computed; one gain, safe peaks,
the user's own recordings, takes, and folders that are written whole or not at all."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from synthetic import noise, put

from isolate.answers.listen.answer import How, Listening, inwards, outwards
from isolate.answers.room import room
from isolate.bands import THIRD_OCTAVES
from isolate.cli import root
from isolate.describe import wav
from isolate.describe.noises import Level
from isolate.errors import InputError
from isolate.measuring.isolation import measure
from isolate.measuring.measured import Files, Setup
from isolate.measuring.recording import decibels, listen, recorded
from isolate.show.sound import files as sound_files
from isolate.show.sound import scenes as sound_scenes
from isolate.show.sound import take as sound_take
from isolate.standards.weighting import dba

SECONDS = 10.0
CLEAR_DB = 12.0  # over the background a level needs, for it to be that of the noise within 0.3 dB


@pytest.fixture(scope="module")
def siren() -> Listening:
    return inwards(how=How(seconds=SECONDS), draws=0)


@pytest.fixture(scope="module")
def folder(siren: Listening, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("sounds")
    for name, data in sound_files.folder(siren).contents().items():
        (path / name).write_bytes(data())
    return path


def file_of(folder: Path, number: int) -> Path:
    return next(folder.glob(f"{number} *.wav"))


@pytest.mark.parametrize("number", [2, 3, 4, 5])
def test_measured_differences_are_those_computed(siren: Listening, folder: Path, number: int) -> None:
    """`isolate measure` on the written files, the quiet of the room as their background, in every band that
    stands out of it."""
    scene = siren.scenes[number - 1]
    files = Files(
        loud=(file_of(folder, 1),),
        quiet=(file_of(folder, number),),
        background=(file_of(folder, len(siren.scenes) + 1),),
    )
    found = measure(files, Setup(music=True))
    clear = (scene.level_db > siren.background_db + CLEAR_DB) & _reached(found.loud_db, siren)
    assert clear.any()
    softer = siren.made.dba - sound_files.MOST_DBA  # the file of the siren itself
    assert softer == pytest.approx(3.0, abs=0.1)
    assert found.difference_db[clear] == pytest.approx(scene.difference_db[clear] - softer, abs=0.5)


@pytest.mark.parametrize("name", ["ambulance siren", "tram", "school yard", "talk on the landing"])
def test_every_band_that_carries_energy_is_right_without_the_background(name: str, tmp_path: Path) -> None:
    """The same with nothing under the noise, so that no band is hidden, over the whole of each file:
    the levels that `measure` reads (class 1 filters), each file at full scale as one would set a
    recorder's gain."""
    answer = inwards(noise=name, how=How(seconds=5.0, takes=False), draws=0)
    made = sound_scenes.source(answer, 48_000)
    outside = _measured(tmp_path / "outside.wav", made)
    energy = np.isfinite(outside) & (outside > np.nanmax(outside) - 60.0) & _reached(outside, answer)
    assert energy.sum() > 12
    for scene in answer.arriving:
        inside = _measured(tmp_path / f"{scene.key}.wav", sound_scenes.arriving(made, scene, 48_000))
        expected = pytest.approx(scene.difference_db[energy], abs=0.5)
        assert (outside - inside)[energy] == expected, scene.key


def _reached(outside_db: np.ndarray, answer: Listening) -> np.ndarray:
    """Bands in which the sound is as loud as stated: a horn has nothing between its harmonics, where the
    filters show those beside."""
    less = outside_db - answer.made.level_db
    return less > np.nanmedian(less) - 3.0


def _measured(path: Path, samples: np.ndarray) -> np.ndarray:
    """Levels of a file written at full scale, its gain taken off again, in all bands: a siren ends at 8 kHz,
    and one without a room's quiet under it looks cut off."""
    gain = 0.5 / np.abs(samples).max()
    put(path, np.pad(samples, (0, 24_000)) * gain, bits=32)
    return decibels(listen(path).used.mean(axis=0)) - 20.0 * float(np.log10(gain))


def test_one_gain_keeps_levels_and_the_loudest_peak_is_safe(siren: Listening, folder: Path) -> None:
    scenes = folder.glob(f"[1-{len(siren.scenes) + 1}]*.wav")
    peaks = [np.abs(wav.read(wav.inspect(path))).max() for path in scenes]
    assert 20 * np.log10(max(peaks)) == pytest.approx(-3.0, abs=0.01)
    heard = sound_scenes.rendered(siren)
    assert heard.loudest_dba["outside"] == pytest.approx(88.0, abs=0.1)
    assert heard.loudest_dba["now"] == pytest.approx(siren.scenes[1].dba, abs=1.5)
    assert dba(siren.background_db) == pytest.approx(siren.background_dba)


@pytest.mark.parametrize(("room", "own"), [(None, None), ("drum room", "drum kit")])
def test_no_file_harms_at_the_volume_told(room: str | None, own: str | None) -> None:
    """85 dBA at most (NIOSH 1998: eight hours a day, from memory), the calibration noise being 65."""
    how = How(seconds=4.0, takes=False)
    answer = outwards(room, own=own, how=how, draws=0) if own else inwards(room, how=how, draws=0)
    made = sound_files.folder(answer)
    assert max(one.dba for one in made.files if one.dba is not None) == pytest.approx(85.0, abs=0.1)
    loudest = next(one for one in made.files if one.name.startswith("1 "))
    assert "softer" in loudest.name and "turned down" in loudest.what


def test_the_quiet_of_the_room_is_the_same_under_all(siren: Listening) -> None:
    """Where the noise is gone nothing is left but the quiet: no difference between files by chance."""
    heard = sound_scenes.rendered(siren)
    end = slice(-2000, -10)  # after the noise and its ring
    assert siren.arriving
    for scene in siren.arriving:
        assert heard.scenes[scene.key][end] == pytest.approx(heard.quiet[end], rel=0.1, abs=20.0)


def test_panels_ring_shorter_and_panes_do_not(siren: Listening) -> None:
    times = {one.key: one.time for one in siren.arriving if one.time is not None}
    assert np.all(times["panels"][6:] < times["now"][6:])
    assert np.array_equal(times["second"], times["now"])


def test_gains_and_verdicts_are_those_of_the_answers(siren: Listening) -> None:
    now = next(one for one in room(draws=0).heard if one.name == siren.sound)
    scene = siren.scene("now")
    assert scene is not None
    assert scene.dba == pytest.approx(now.dba)
    assert scene.verdict == now.verdict
    assert np.allclose(scene.difference_db, now.made_db - now.level_db)


def test_options_are_heard_too() -> None:
    name = "second pane, 200 mm behind"
    answer = inwards(noise="tram", options=[name], how=How(seconds=3.0, takes=False), draws=0)
    option = next(one for one in room(draws=0).options if one.name == name)
    expected = option.after.sound("tram").dba
    assert answer.scenes[-1].dba == pytest.approx(expected)


def test_a_neighbour_hears_what_is_played_here() -> None:
    answer = outwards("drum room", own="drum kit", how=How(seconds=3.0), draws=0)
    assert answer.at is not None
    found = next(one for one in room("drum room", draws=0).neighbours if one.name == answer.at.name)
    heard = next(one for one in found.heard if one.what == "drum kit")
    assert answer.scenes[1].dba == pytest.approx(heard.dba)
    assert answer.made.dba == pytest.approx(105.0, abs=0.01)
    assert np.array_equal(answer.background_db, heard.background_db)
    made = sound_scenes.rendered(answer)
    assert made.loudest_dba["now"] > made.loudest_dba[answer.scenes[-1].key]


def test_the_users_own_recording_stands_for_the_noise(tmp_path: Path) -> None:
    """Band-limited noise of the user's: its own spectrum, the level stated, the room's differences."""
    level = np.where((THIRD_OCTAVES >= 200) & (THIRD_OCTAVES <= 2000), -30.0, -90.0)
    samples = noise(level, 4.0, rng=np.random.default_rng(2), rate=44_100)
    path = put(tmp_path / "street.wav", samples, rate=44_100)
    how = How(recorded=recorded(path), level=Level(70.0), takes=False)
    answer = inwards(noise="tram", how=how, draws=0)
    assert answer.sound == "street"
    assert answer.made.dba == pytest.approx(70.0, abs=0.01)
    assert answer.made.level_db[10:20].max() - answer.made.level_db[:6].max() > 40.0
    heard = sound_scenes.rendered(answer)
    assert heard.loudest_dba["outside"] == pytest.approx(70.0, abs=0.1)
    assert heard.scenes["outside"].size == pytest.approx((4.0 + sound_scenes.TAIL) * 48_000, abs=2)
    plain = inwards(noise="tram", how=How(seconds=3.0, takes=False), draws=0)
    assert np.allclose(answer.scenes[1].difference_db, plain.scenes[1].difference_db)


def test_the_take_has_the_noise_in_its_pauses(siren: Listening) -> None:
    """While it plays the files differ little; in the pauses by what the pane takes off; compressed, the
    pauses come up."""
    assert siren.in_take is not None
    heard = sound_scenes.rendered(siren)
    takes = sound_take.takes(siren, heard)
    made = sound_take.playing(siren.in_take, siren.seed, heard)
    course = np.convolve(made**2, np.ones(4800) / 4800, "same")
    quiet = course < np.percentile(course, 99) * 1e-5
    assert quiet.mean() > 0.03
    spectra = {key: np.mean(one[quiet] ** 2) for key, one in takes.signals.items()}
    assert spectra["now", True] > 1.5 * spectra["now", False]
    loud = course > np.percentile(course, 60)
    now, then = (np.mean(takes.signals[key, False][loud] ** 2) for key in ("now", "second"))
    ratio = now / then
    assert ratio == pytest.approx(1.0, abs=0.05)
    peak = max(np.abs(one).max() for one in takes.signals.values())
    assert 20 * np.log10(peak) - takes.full_scale_db == pytest.approx(-3.0, abs=0.01)


def test_a_recorded_take_is_used(tmp_path: Path) -> None:
    level = np.where(THIRD_OCTAVES > 150, -40.0, -100.0)
    path = put(tmp_path / "slow movement.wav", noise(level, 4.0, rng=np.random.default_rng(3)))
    answer = inwards(how=How(seconds=3.0, played=recorded(path)), draws=0)
    assert answer.in_take is not None
    assert answer.in_take.played is not None and answer.in_take.played.path == path
    heard = sound_scenes.rendered(answer)
    assert dba(10 * np.log10(1.0) + _levels(sound_take.playing(answer.in_take, 1, heard))) == pytest.approx(
        answer.in_take.at.played_dba, abs=0.3
    )


def _levels(samples: np.ndarray) -> np.ndarray:
    from isolate.show.sound import shaping as sound

    return sound.levels(samples, 48_000)


@pytest.mark.parametrize(
    ("asked", "said"),
    [({"noise": "trumpets"}, "no noise of this name"), ({"options": ["a moat"]}, "no option of this name"),
     ({"how": How(take="waltz")}, "no take of this name")],
    ids=["noise", "option", "take"],
)  # fmt: skip
def test_what_is_not_there_is_refused_with_what_is(asked: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        inwards(**asked)  # type: ignore[arg-type]


def test_lengths_and_neighbours_out_of_range_are_refused() -> None:
    with pytest.raises(InputError, match="out of range"):
        How(seconds=0.5)
    with pytest.raises(InputError, match="no neighbour of this name"):
        outwards("drum room", own="drum kit", neighbour="the moon")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(root, list(arguments), catch_exceptions=False)


SHORT = ("listen", "--noise", "tram", "--no-take", "--seconds", "3")


def test_the_command_writes_a_folder_and_says_what_is_in_it(tmp_path: Path) -> None:
    folder = tmp_path / "sounds"
    result = run(*SHORT, "--out", str(folder), "--json")
    told = json.loads(result.stdout)
    names = {one["file"] for one in told["files"]}
    assert names | {"what is what.txt"} == {path.name for path in folder.iterdir()}
    assert told["question"] == "listen"
    assert {one["key"] for one in told["cautions"]} == {"played back"}
    keys = [one["key"] for one in told["scenes"]]
    assert keys[:3] == ["outside", "now", "panels"] and keys[-2:] == ["second", "inner"]
    text = (folder / "what is what.txt").read_text()
    assert max(map(len, text.splitlines())) <= 80
    assert "leave the volume alone" in " ".join(text.split())
    for name in names:
        found = wav.inspect(folder / name)
        assert (found.rate, found.bits, found.channels) == (48_000, 24, 1)
        assert found.duration == pytest.approx(10.0 if name.startswith("0") else 3.0, abs=0.01)


def test_nothing_is_overwritten_and_nothing_left_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "sounds"
    folder.mkdir()
    mine = folder / "1 outside, at the window.wav"
    mine.write_bytes(b"mine")
    assert run(*SHORT, "--out", str(folder)).exit_code == 2
    assert mine.read_bytes() == b"mine"
    assert list(folder.iterdir()) == [mine]
    assert run(*SHORT, "--out", str(folder), "--force").exit_code == 0
    assert mine.read_bytes()[:4] == b"RIFF"
    with monkeypatch.context() as undone:  # a second time: refused before anything is computed
        undone.setattr("isolate.commands.listen._answer", None)
        again = run(*SHORT, "--out", str(folder))
    assert again.exit_code == 2 and "exists already" in again.stderr
    assert run(*SHORT, "--out", str(tmp_path / "no" / "where")).exit_code == 2
    shutil.rmtree(folder)
    monkeypatch.setattr("os.replace", lambda *a: (_ for _ in ()).throw(OSError(28, "No space left", "disk")))
    result = run(*SHORT, "--out", str(folder))
    assert result.exit_code == 1
    assert not folder.exists()


@pytest.mark.parametrize(
    "arguments",
    [("--noise", "nothing like it"), ("--level", "loud"), ("--recording", "missing.wav"),
     ("--seconds", "1e9"), ("--own", "trombone"), ("--own", "clarinet", "--noise", "tram"),
     ("--json", "--csv")],
    ids=" ".join,
)  # fmt: skip
def test_bad_questions_are_refused_before_anything_is_written(
    arguments: tuple[str, ...], tmp_path: Path
) -> None:
    folder = tmp_path / "sounds"
    result = run("listen", *arguments, "--out", str(folder))
    assert result.exit_code == 2, result.output
    assert not folder.exists()


def test_file_names_are_safe_whatever_things_are_called() -> None:
    assert sound_files.plain_name("../../etc/<script>: 4/6 \x00 mm") == "etc script 4 6 mm"
    assert sound_files.plain_name("???") == "sound"
    assert len(sound_files.plain_name("x" * 500)) == 60


def test_the_span_told_is_that_of_the_files(siren: Listening) -> None:
    """From the loudest to the quiet of the place, which lies under every file: no file is softer."""
    span = siren.made.dba - siren.background_dba
    assert f"the loudest comes {span:.0f} dB above the softest" in siren.cautions[0].text
