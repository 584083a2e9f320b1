"""measure, test-signal and survey on the command line: what they write, what they refuse, what they cost."""

import json
import os
import re
import struct
import subprocess
import sys
import time
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest
from click.testing import CliRunner, Result
from pace import in_time
from synthetic import band_power, noise, put

from isolate.bands import THIRD_OCTAVES
from isolate.cli import root
from isolate.describe.constructions import load
from isolate.describe.wav import encode, inspect, read
from isolate.measuring.isolation import measure
from isolate.measuring.measured import Files
from isolate.measuring.survey import survey
from isolate.measuring.test_signal import HIGHEST_HZ, LEVEL_DB, signal
from isolate.show.figures.measure import draw_levels, draw_measurement
from isolate.show.figures.survey import draw_course

RATE = 16_000
WALL = np.linspace(20.0, 60.0, 27)


@pytest.fixture(autouse=True)
def in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    mpl.use("agg")


@pytest.fixture
def takes(tmp_path: Path) -> list[str]:
    rng = np.random.default_rng(2)
    loud, room = np.full(27, -35.0), np.linspace(-90, -120, 27)
    put(tmp_path / "loud.wav", noise(loud, 20, rng=rng, rate=RATE), rate=RATE)
    quiet = noise(loud - WALL, 20, rng=rng, rate=RATE) + noise(room, 20, rng=rng, rate=RATE)
    put(tmp_path / "quiet.wav", quiet, rate=RATE)
    put(tmp_path / "background.wav", noise(room, 20, rng=rng, rate=RATE), rate=RATE)
    return ["measure", "--loud", "loud.wav", "--quiet", "quiet.wav", "--background", "background.wav"]


def run(*arguments: str) -> Result:
    return CliRunner().invoke(root, list(arguments), catch_exceptions=False)


def test_a_measurement_is_told_in_every_way(takes: list[str]) -> None:
    text = run(*takes, "--plot", "m.png")
    assert text.exit_code == 0, text.stderr
    assert text.stdout.index("DnT,w") < text.stdout.index("octave by octave")
    assert max(map(len, text.stdout.splitlines())) <= 80
    assert Path("m.png").stat().st_size > 10_000
    told = json.loads(run(*takes, "--json").stdout)
    assert told["format"] == 2 and told["question"] == "measure"
    assert len(told["tl_db"]) == 27 and told["tl_db"][-1] is None  # 16 kHz holds no 10 kHz band
    assert told["ratings"]["DnT,w"]["value"] > 30
    rows = run(*takes, "--csv").stdout.splitlines()
    assert rows[0].startswith("band_hz,tl_db,low_db,high_db,at_least")
    assert len(rows) == 1 + 25


def test_a_requirement_holds_or_not(takes: list[str]) -> None:
    assert run(*takes, "--require", "NIC >= 20").exit_code == 0
    assert run(*takes, "--require", "NIC >= 90").exit_code == 3
    assert run(*takes, "--require", "DnT,w >= 20").exit_code == 0
    assert run(*takes, "--require", "DnT,w >= 90, NIC >= 20").exit_code == 3


def test_extra_files_are_replaced_only_with_force(takes: list[str]) -> None:
    assert run(*takes, "--block", "own.toml", "--volume", "30 m3", "--area", "8 m2").exit_code == 0
    before = Path("own.toml").read_text()
    again = run(*takes, "--block", "own.toml")
    assert again.exit_code == 2 and "add --force" in again.stderr
    assert Path("own.toml").read_text() == before
    assert json.loads(run("curve", "own.toml", "--json").stdout)["ratings"]["Rw"] > 30
    assert run(*takes, "--block", "own.toml", "--force").exit_code == 0
    assert "DnT" in Path("own.toml").read_text() != before
    assert run("fixes", "--write-prices", "own.toml").exit_code == 2
    assert run("fixes", "--write-prices", "own.toml", "--force").exit_code == 0


@pytest.mark.parametrize(
    ("through", "kind", "area"), [("window", "window", None), ("door", "door", None), ("street", "wall", 8.3)]
)
def test_a_block_knows_what_it_is_from_the_room(
    takes: list[str], through: str, kind: str, area: float | None
) -> None:
    """The kind of its only side, else a wall to be renamed; loads either way, and says what it replaces."""
    asked = (*takes, "--room", "demo", "--through", through, "--block", f"{through}.toml", "--force")
    assert run(*asked).exit_code == 0
    text = Path(f"{through}.toml").read_text()
    assert load(f"{through}.toml").kind == kind
    assert (f'area = "{area:.2f} m2"' in text) if area else (f'It is "{through}"' in text)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (["--volume", "30"], "--volume: a bare number"),
        (["--area", "much"], "--area: not a"),
        (["--quiet-gain", "200 dB"], '--quiet-gain: out of range (got "200 dB")'),
        (["--time", "90 s"], '--time: out of range (got "90 s"); write "0.05 s" to "20 s"'),
        (["--quiet-gain", "20 dB", "--same-sound", "loud.wav", "quiet.wav"], "--same-sound"),
        (["--through", "street"], "--through: of which room"),
        (["--corrected", "x.toml"], "needs --room"),
        (["--from", "m.json"], "give one or the other"),
        (["--against", "none.json"], "no such file"),
        (["--room", "none"], "no room of this name"),
        (["--plot", "m.txt"], "--plot"),
    ],
)
def test_requests_that_make_no_sense_get_one_message(takes: list[str], more: list[str], message: str) -> None:
    result = run(*takes, *more)
    assert result.exit_code == 2
    assert message in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize(
    ("asked", "message"),
    [
        (["survey", "loud.wav", "--start", "25:10"], '--start: no time of day (got "25:10")'),
        (["survey", "loud.wav", "--start", "22:75"], "--start: no time of day"),
        (["survey", "loud.wav", "--level", "42 dBA"], "--level: says not when it holds; give at, its"),
        (["measure", "--from", "loud.wav"], "is a recording, not what was measured of it; write it with"),
        (["room", "--measured", "loud.wav", "--through", "window"], "is a recording, not what was measured"),
        (["survey", "loud.wav", "--rise", "0 dB"], '--rise: out of range (got "0 dB")'),
        (["survey", "loud.wav", "--blocks", "b.toml"], "--blocks: a background needs sound pressure levels"),
        (["test-signal", "noise.mp3"], "write a name that ends in .wav"),
        (["listen", "--take", "x", "--no-take", "--out", "s"], "--take and --no-take"),
        (["fixes", "--target", " "], "--target: is empty"),
    ],
)
def test_other_requests_that_make_no_sense(takes: list[str], asked: list[str], message: str) -> None:
    result = run(*asked)
    assert (result.exit_code, result.stdout) == (2, "")
    assert message in result.stderr
    assert not [path for path in Path().iterdir() if path.suffix != ".wav"]


@pytest.mark.parametrize(
    ("said", "told"), [("10 pm", 22.0), ("22:30", 22.5), ("22:30:36", 22.51), ("7:15", 7.25)]
)
def test_a_survey_begins_at_any_time_of_day(takes: list[str], said: str, told: float) -> None:
    found = json.loads(run("survey", "quiet.wav", "--start", said, "--json").stdout)
    assert found["inputs"]["start_s"] == pytest.approx(3600.0 * told)


def test_without_recordings_the_two_that_are_needed_are_named() -> None:
    result = run("measure")
    assert result.exit_code == 2
    assert "--loud" in result.stderr and "--quiet" in result.stderr


def test_the_gain_between_two_recordings_of_one_sound(takes: list[str]) -> None:
    loud = read(inspect("loud.wav"))
    put(Path("more.wav"), 0.1 * loud[: loud.size // 2], rate=RATE)
    told = json.loads(run(*takes, "--same-sound", "loud.wav", "more.wav", "--json").stdout)
    assert told["inputs"]["quiet_gain_db"] == pytest.approx(-20.0, abs=0.3)
    wrong = run(*takes, "--same-sound", "loud.wav", "quiet.wav")
    assert wrong.exit_code == 2 and "is not the same sound" in wrong.stderr


BAD = {
    "empty.wav": b"",
    "text.wav": b"this is no sound\n" * 30,
    "cut.wav": encode(np.zeros(9), rate=RATE)[:30],
    "silence.wav": encode(np.zeros(5 * RATE), rate=RATE),
    "blip.wav": encode(np.ones(100) * 0.1, rate=RATE),
    "lies.wav": b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0\x03\0\x01\0\x80\x3e\0\0\0\xfa\0\0\x04\0\x20\0"
    + b"data\xff\xff\xff\x7f"
    + b"\xff" * 200_000,
    "zip.wav": b"PK\x03\x04" + bytes(999),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", [["measure", "--quiet", "quiet.wav", "--loud"], ["survey"]])
def test_bad_files_get_a_message_and_status_2(takes: list[str], name: str, command: list[str]) -> None:
    Path(name).write_bytes(BAD[name])
    result = run(*command, name, "--json", "--out", "never.json")
    assert result.exit_code == 2
    assert result.stderr.startswith(f"{name}: ")
    assert "Traceback" not in result.stderr
    assert not Path("never.json").exists()


def test_the_test_signal_holds_what_it_says() -> None:
    result = run("test-signal", "t.wav")
    assert result.exit_code == 0
    assert "85 dBA" in result.stdout and max(map(len, result.stdout.splitlines())) <= 80
    wav = inspect("t.wav")
    x = read(wav)[:, 0]
    assert np.abs(x).max() < 10 ** (-5.9 / 20)
    parts: dict[str, list[np.ndarray]] = {"silence": [], "steps": [], "pink": [], "": []}
    for section in signal("both").sections:
        kind = next(kind for kind in parts if kind in section.what)
        parts[kind].append(x[round((section.start + 0.3) * wav.rate) : round((section.end - 0.3) * wav.rate)])
    assert len(parts["silence"]) > 1 and len(parts["steps"]) == 1 and parts["pink"]
    assert not any(part.any() for part in parts["silence"])
    course = [parts["steps"][0][round(3.5 * i * wav.rate) :][: 2 * wav.rate] for i in range(6)]
    steps = [10 * np.log10(np.mean(one**2)) for one in course]
    assert steps == pytest.approx([LEVEL_DB + step for step in (-20, -30, -10, 0, -30, -10)], abs=0.3)
    for part in parts["pink"]:
        level = 10 * np.log10(np.mean(part**2))
        assert level == pytest.approx(LEVEL_DB, abs=0.2)
        power = band_power([part[:, None]], wav.rate, channels=1, frames=part.size, frame=6000)[0, 8:]
        thirds = 10 * np.log10(power.mean(axis=0))
        assert np.ptp(thirds[8:26]) < 0.8  # equal energy: pink
    spectrum = np.abs(np.fft.rfft(x)) ** 2
    f = np.fft.rfftfreq(x.size, 1 / wav.rate)
    assert spectrum[f > 1.3 * HIGHEST_HZ].sum() < 1e-5 * spectrum.sum()
    assert run("test-signal", "t.wav").exit_code == 2
    assert run("test-signal", "u.wav", "--length", "1 h").exit_code == 2


def test_sweeps_have_equal_energy_in_every_third_octave() -> None:
    made = signal("sweeps", rate=48_000)
    power = band_power(
        [made.samples[:, None]], 48_000, channels=1, frames=made.samples.size, frame=made.samples.size
    )[0, 0]
    thirds = 10 * np.log10(power[2:26])
    assert np.ptp(thirds) < 0.6


def test_the_test_signal_measures_a_wall_when_played_through_it(tmp_path: Path) -> None:
    """Both takes of the whole signal, sweeps and silences included: the noise is found, the silence is the
    background, and the wall comes out."""
    made = signal("both", length="20 s", rate=RATE).samples
    rng = np.random.default_rng(3)
    f = np.fft.rfftfreq(made.size, 1 / RATE)
    loss = np.interp(np.log(np.maximum(f, 1)), np.log(THIRD_OCTAVES), WALL)
    quiet = np.fft.irfft(np.fft.rfft(made) * 10 ** (-loss / 20), made.size)
    room = noise(np.linspace(-100, -125, 27), made.size / RATE, rng=rng, rate=RATE)
    takes = [put(tmp_path / f"{n}.wav", x + room, rate=RATE) for n, x in (("l", made), ("q", quiet))]
    result = measure(Files((takes[0],), (takes[1],)))
    known = np.isfinite(result.difference_db) & (THIRD_OCTAVES > 60)
    assert np.abs(result.difference_db - WALL)[known].max() < 1.0
    assert "silent part" in " ".join(result.notes)


def test_figures_show_what_they_say(takes: list[str], tmp_path: Path) -> None:
    result = measure(Files(*[(tmp_path / f"{n}.wav",) for n in ("loud", "quiet", "background")]))
    ax = draw_measurement(result)
    lines = [line for line in ax.lines if len(line.get_xdata()) == 27]
    assert any(np.allclose(line.get_ydata(), result.curve_db, equal_nan=True) for line in lines)
    levels = draw_levels(result)
    assert {text.get_text() for text in levels.texts} >= {"loud room", "quiet room", "background"}
    course = draw_course(survey(tmp_path / "background.wav", start="23:50"))
    assert course.get_xlabel() == "time of day"


def header_of(seconds: float, *, rate: int, channels: int) -> bytes:
    size = round(seconds * rate) * channels * 2
    form = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * 2, channels * 2, 16)
    head = b"WAVEfmt " + struct.pack("<I", 16) + form + b"data" + struct.pack("<I", size)
    return b"RIFF" + struct.pack("<I", size + 36) + head


def sparse(path: Path, *, seconds: float, rate: int = 48_000, channels: int = 2) -> None:
    """A WAV file of zeros that takes no room on the disk."""
    head = header_of(seconds, rate=rate, channels=channels)
    with path.open("wb") as file:
        file.write(head)
        file.truncate(len(head) + round(seconds * rate) * channels * 2)


def test_two_gigabytes_of_zeros_are_streamed_and_called_silence(tmp_path: Path) -> None:
    """Slow: some seconds of reading. Three hours of stereo, all of it digital silence."""
    sparse(tmp_path / "zeros.wav", seconds=2**31 / (4 * 48_000) - 1)
    start = time.process_time()
    result = run("survey", "zeros.wav")
    assert result.exit_code == 2
    assert result.stderr.startswith("zeros.wav: samples: are silence")
    assert in_time(time.process_time() - start, 40.0)


@pytest.mark.skipif(sys.platform != "linux", reason="a process's memory is told so on Linux")
def test_ten_minutes_of_stereo_take_a_sixth_of_an_hours_memory(tmp_path: Path) -> None:
    """A minute of noise at 48 kHz again and again, 460 MB as numbers; an hour is to take less than 1.5 GB,
    ten minutes less than a sixth of it, in a process of their own."""
    rng = np.random.default_rng(4)
    minute = (noise(-40.0, 60, rng=rng) * 2**15).astype("<i2")
    stereo = np.repeat(minute, 2).tobytes()
    with (tmp_path / "long.wav").open("wb") as file:
        file.write(header_of(600, rate=48_000, channels=2))
        for _ in range(10):
            file.write(stereo)
    code = """
from isolate.cli import root
root(["survey", "long.wav", "--json", "--out", "long.json"], standalone_mode=False)
print(open("/proc/self/status").read())
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(Path(inspect.__code__.co_filename).parents[2])},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    told = json.loads((tmp_path / "long.json").read_text())
    assert told["inputs"]["length_s"] == pytest.approx(600, abs=1)
    (peak,) = re.findall(r"VmHWM:\s*(\d+) kB", done.stdout)
    assert int(peak) * 1024 < 1.5e9 / 6
