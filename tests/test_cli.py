"""The command line: every command, every way of telling, every example in help, wrong inputs, pipes."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import resource
import shlex
import subprocess
import sys
from pathlib import Path

import click
import numpy as np
import pytest
from click.testing import CliRunner, Result
from once import judged_once

import isolate
from isolate.cli import COMMANDS, root
from isolate.describe import wav

REPOSITORY = Path(isolate.__file__).parents[1]
SECOND_PANE = "glass 4 mm + 100 mm + laminated 6.4 mm"
WALL_CSV = "band_hz,tl_db\n" + "".join(
    f"{hz},{tl}\n"
    for hz, tl in zip(
        [100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150],
        [20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6, 28.0, 30.5, 31.8, 32.5, 33.4, 33.0, 31.0, 25.5],
        strict=True,
    )
)


def run(*arguments: str, **settings: object) -> Result:
    return CliRunner().invoke(root, list(arguments), catch_exceptions=False, **settings)  # type: ignore[arg-type]


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def _process(*arguments: str, **settings: object) -> subprocess.Popen[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(REPOSITORY), **settings.pop("environment", {})}  # type: ignore[dict-item]
    command = [sys.executable, "-m", "isolate", *arguments]
    return subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, **settings)  # type: ignore[call-overload,no-any-return]


def _examples() -> list[list[str]]:
    group = click.Context(root)
    found = []
    for name in COMMANDS:
        command = root.get_command(group, name)
        assert command is not None
        lines = [line.strip() for line in (command.help or "").splitlines()]
        examples = [line for line in lines if line.startswith("isolate ") and "\b" not in line]
        assert examples, f"isolate {name} --help shows no example"
        found += [shlex.split(line)[1:] for line in examples]
    return found


def _prepare(arguments: list[str]) -> None:
    """The files that the examples take as given: a spectrum, recordings, measurements made of them."""
    Path("wall.csv").write_text(WALL_CSV)
    Path("floor.csv").write_text(WALL_CSV.replace("tl_db", "l_n"))
    rng = np.random.default_rng(1)
    levels = {"loud": 0.1, "out": 0.1, "quiet": 0.01, "in": 0.01, "background": 1e-4, "night": 1e-3}
    levels["street"] = 0.1
    lengths = {"street": 5}
    for name, level in levels.items():
        if f"{name}.wav" in arguments:
            samples = level * rng.standard_normal(lengths.get(name, 40) * 44100)
            Path(f"{name}.wav").write_bytes(wav.encode(samples, rate=44100, bits=24))
    if "--against" in arguments or "--measured" in arguments:
        recordings = ["measure", "--loud", "loud.wav", "--quiet", "quiet.wav"]
        recordings += ["--background", "background.wav"]
        _prepare(recordings)
        for name in ("before.json", "after.json"):
            assert run(*recordings, "--json", "--out", name).exit_code == 0


@pytest.mark.parametrize("arguments", _examples(), ids=" ".join)
def test_every_example_in_help_runs(arguments: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("isolate.desk.serve.serve", lambda session, **_: None)  # waits for windows
    _prepare(arguments)
    with judged_once():
        result = run(*arguments)
    allowed = {3} if "--require" in arguments else {0}
    assert result.exit_code in allowed, result.output


def test_the_verdict_of_the_siren_comes_first() -> None:
    told = run("room").stdout
    assert "ambulance siren" in told.split("Weakest path")[0]
    assert told.index("You hear") < told.index("Weakest path") < told.index("What helps most")


@pytest.mark.parametrize(
    "arguments",
    [["room"], ["room", "drum room"], ["room", "voice booth"], ["curve", SECOND_PANE], ["catalogue"],
     ["compare", "glass 4 mm", SECOND_PANE], ["catalogue", "staggered stud wall 2x4, empty"],
     ["catalogue", "siren"], ["catalogue", "glass"], ["catalogue", "demo"]],
    ids=" ".join,
)  # fmt: skip
def test_text_keeps_to_80_columns_and_is_plain_in_a_pipe(arguments: list[str]) -> None:
    with judged_once():
        told = run(*arguments).stdout
    assert max(map(len, told.splitlines())) <= 80
    assert "\x1b" not in told


def test_long_names_wrap_and_lose_nothing() -> None:
    name = "the ambulance that passes by just when one is about to record something soft"
    side = "the old sash window with the broken putty over the kitchen sink"
    text = run("new", "long.toml").stdout or Path("long.toml").read_text()
    for old, new in (
        ("ambulance siren", name),
        ('"window"', f'"{side}"'),
        ('"street"', '"the street below us all"'),
        ("My room", " ".join(["a room"] * 20)),
        ('second pane"', 'a second pane, a hand behind it"'),
    ):
        text = text.replace(old, new)
    Path("long.toml").write_text(text)
    lines = run("room", "long.toml", "--draws", "50").stdout.splitlines()
    assert max(map(len, lines)) <= 80
    assert name in " ".join(" ".join(lines).split())


def test_json_of_the_curve_has_the_pinned_keys() -> None:
    told = json.loads(run("curve", SECOND_PANE, "--json").stdout)
    pinned = "format version inputs bands_hz tl_db octave ratings low_db high_db surface_mass_kg_m2 notes"
    assert {*pinned.split(), "cautions"} <= set(told)
    assert told["bands_hz"][0] == 25
    assert told["bands_hz"][-1] == 10000
    assert len(told["tl_db"]) == len(told["low_db"]) == len(told["high_db"]) == 27
    assert len(told["octave"]["bands_hz"]) == len(told["octave"]["tl_db"]) == 9
    assert set(told["ratings"]) == {"Rw", "C", "Ctr", "STC", "OITC"}
    assert told["surface_mass_kg_m2"] == pytest.approx(
        10.0 + 16.0, abs=0.7
    )  # 2.5 kg/m2 a millimetre (handbooks)
    assert all(
        low <= tl <= high
        for low, tl, high in zip(told["low_db"], told["tl_db"], told["high_db"], strict=True)
    )


def test_rating_of_the_standards_own_example() -> None:
    """ISO 717-1:2020, annex C.1: Rw(C; Ctr) = 30(-2; -3) dB."""
    Path("wall.csv").write_text(WALL_CSV)
    Path("floor.csv").write_text(WALL_CSV.replace("tl_db", "l_n"))
    told = json.loads(run("rate", "wall.csv", "--json").stdout)
    assert {name: told["ratings"][name] for name in ("Rw", "C", "Ctr")} == {"Rw": 30, "C": -2, "Ctr": -3}
    assert told["ratings"]["OITC"] is None
    assert run("rate", "-", input=WALL_CSV).stdout.startswith("Rw (C; Ctr) = 30 (-2; -3) dB")


def test_bands_that_no_rating_needs_are_left_aside_and_named() -> None:
    """Meters write 20 Hz and 12.5 kHz too; the standard's own example stays 30 (-2; -3) with them."""
    head, *rows = WALL_CSV.splitlines()
    Path("meter.csv").write_text("\n".join([head, "20,5", *rows, "12500,60"]))
    told = run("rate", "meter.csv")
    assert told.stdout.startswith("Rw (C; Ctr) = 30 (-2; -3) dB")
    assert "20, 12500 Hz left aside" in told.stdout
    assert "–" not in told.stdout.split("Notes")[0]  # what cannot be rated has no row


@pytest.mark.parametrize(
    "arguments",
    [["room"], ["curve", "glass 4 mm"], ["compare", "glass 4 mm", "glass 8 mm"], ["catalogue"],
     ["catalogue", "siren"]],
    ids=" ".join,
)  # fmt: skip
def test_csv_is_a_table_with_a_header(arguments: list[str]) -> None:
    rows = list(csv.reader(io.StringIO(run(*arguments, "--csv").stdout)))
    assert len(rows) > 4
    assert len({len(row) for row in rows}) == 1


def test_a_requirement_decides_on_status_3() -> None:
    unmet = run("room", "--require", "ambulance siren: inside_dba < 10")
    assert unmet.exit_code == 3
    assert "Not met: ambulance siren: inside_dba is" in unmet.stderr
    assert "Weakest path" in unmet.stdout
    assert run("curve", "glass 4 mm", "--require", "Rw >= 20").exit_code == 0


def test_one_changed_line_changes_the_answer() -> None:
    run("new", "mine.toml")
    before = json.loads(run("room", "mine.toml", "--json").stdout)
    text = Path("mine.toml").read_text()
    Path("mine.toml").write_text(
        text.replace('"double glass 4-12-4 mm"', '"second pane behind 4-12-4, 200 mm"', 1)
    )
    after = json.loads(run("room", "mine.toml", "--json").stdout)
    assert after["noises"][0]["inside_dba"] < before["noises"][0]["inside_dba"] - 2.0
    assert after["noises"][0]["outside_dba"] == before["noises"][0]["outside_dba"]


def test_a_new_room_never_replaces_a_file() -> None:
    Path("mine.toml").write_text("mine")
    result = run("new", "mine.toml")
    assert result.exit_code == 2
    assert "exists already" in result.stderr
    assert Path("mine.toml").read_text() == "mine"
    assert run("new", "mine.txt").exit_code == 2


def test_out_and_plot_write_whole_files_and_keep_others() -> None:
    result = run("curve", "glass 4 mm", "--json", "--out", "a.json", "--plot", "a.svg")
    assert result.exit_code == 0
    assert result.stdout == ""
    assert json.loads(Path("a.json").read_text())["ratings"]
    assert Path("a.svg").read_text().startswith("<?xml")
    again = run("curve", "glass 6 mm", "--json", "--out", "a.json", "--plot", "b.png")
    assert again.exit_code == 2
    assert not Path("b.png").exists()
    assert run("curve", "glass 6 mm", "--json", "--out", "a.json", "--force").exit_code == 0


@pytest.mark.parametrize(
    "arguments",
    [("room",), ("take",), ("panels",), ("second-pane", "--gap", "100 mm"), ("room-in-room",),
     ("fixes", "--draws", "50"), ("curve", "glass 4 mm"), ("compare", "glass 4 mm", "glass 6 mm"),
     ("rate", "low.csv"), ("accuracy", "--kind", "sheet")],
    ids=" ".join,
)  # fmt: skip
def test_every_answer_says_how_little_is_known_below_100_hz(arguments: tuple[str, ...]) -> None:
    """ISO 12999-1:2014, table 2: reproducibility of 3.0 dB at 100 Hz, 3.8 to 6.8 from 80 to 50 Hz."""
    Path("low.csv").write_text(WALL_CSV + "50,15\n63,15\n80,16\n")
    with judged_once():
        told = " ".join(run(*arguments, "--full").stdout.split())
    assert "by 3 dB at 100 Hz and 4 to 7 dB" in told


ROOM = """
[room]
size = "4 m x 3 m x 2.5 m"
[[side]]
name = "window"
faces = "street"
construction = "glass 4 mm"
area = "1.7 m2"
[[noise]]
source = "tram"
level = "78 dBA"
faces = "street"
"""


def test_the_small_room_of_the_wrong_inputs_answers() -> None:
    Path("small.toml").write_text(ROOM)
    assert run("room", "small.toml").exit_code == 0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("1.7 m2", "1.7 kg"), ["side[1].area", "kg"]),
        (("glass 4 mm", "glas 4 mm"), ["side[1].construction", "glas"]),
        (("78 dBA", "loud"), ["noise[1].level"]),
        (("1.7 m2", "-1.7 m2"), ["side[1].area"]),
        (("glass 4 mm", "glass -4 mm"), ["side[1].construction"]),
        (('name = "window"', ""), ["side[1].name"]),
        (('faces = "street"\n[[', 'faces = "yard"\n[['), ["faces"]),
        (("[room]", "[room"), []),
        (("size", "sise"), ["room.size", "sise"]),
    ],
)
def test_wrong_rooms_end_in_one_report(change: tuple[str, str], words: list[str]) -> None:
    wrong = ROOM.replace(*change)
    wrong = wrong if wrong != ROOM else ROOM.replace('faces = "street"', 'faces = "yard"', 1)
    Path("wrong.toml").write_text(wrong)
    result = run("room", "wrong.toml", "--json", "--out", "answer.json", "--plot", "picture.png")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert all("wrong.toml" in line for line in result.stderr.splitlines()), result.stderr
    assert all(word in result.stderr for word in words), result.stderr
    assert sorted(path.name for path in Path().iterdir()) == ["wrong.toml"]


def test_all_faults_of_a_file_are_in_one_report() -> None:
    wrong = ROOM.replace("1.7 m2", "1.7").replace("78 dBA", "78").replace("glass 4 mm", "glas")
    Path("wrong.toml").write_text(wrong)
    assert len(run("room", "wrong.toml").stderr.splitlines()) == 3


@pytest.mark.parametrize(
    ("name", "content"),
    [("empty.toml", b""), ("big.toml", b"# " + b"x" * 10_000_000), ("binary.toml", bytes(range(256)) * 4),
     ("folder.toml", None), ("missing.toml", b"missing")],
)  # fmt: skip
def test_files_that_are_no_rooms(name: str, content: bytes | None) -> None:
    if content is None:
        Path(name).mkdir()
    elif content != b"missing":
        Path(name).write_bytes(content)
    result = run("room", name)
    assert result.exit_code == 2
    assert name in result.stderr
    assert len(result.stderr) < 2000


@pytest.mark.parametrize(
    "rows", ["", "125,nan\n", "125,inf\n", "130,2\n", "125,2\n125,2\n", "125;20\n", "a,b\n"]
)
@pytest.mark.parametrize("head", ["", "hz,tl\n", "band_hz,tl_db\n"])
def test_spectra_that_cannot_be_rated(head: str, rows: str) -> None:
    Path("s.csv").write_text(head + rows)
    result = run("rate", "s.csv")
    assert result.exit_code == 2
    assert "s.csv" in result.stderr


@pytest.mark.parametrize(
    ("text", "code", "told"),
    [
        ("band_hz,tl_db\n500,30\n1000,30\n", 1, "s.csv: no rating can be made of these bands"),
        ("band_hz,tl_db,tl_db\n500,30,20\n", 2, "s.csv: line 1: column tl_db twice"),
        ("band_hz,band_hz,tl_db\n500,500,20\n", 2, "s.csv: line 1: column band_hz twice"),
    ],
)
def test_spectra_of_which_nothing_can_be_said(text: str, code: int, told: str) -> None:
    Path("s.csv").write_text(text)
    for tell in ([], ["--json"]):
        result = run("rate", "s.csv", *tell)
        assert (result.exit_code, result.stdout) == (code, "")
        assert result.stderr.startswith(told)


@pytest.mark.parametrize(
    ("name", "gap"), [("glass 4 mm", "80 mm"), ("acoustic laminated glass 8.8 mm", "12 mm")]
)
def test_forty_layers_may_be_written_in_a_line(name: str, gap: str) -> None:
    told = json.loads(run("curve", f" + {gap} + ".join([name] * 20), "--json").stdout)
    assert (len(told["inputs"]["layers"]), told["inputs"]["kind"]) == (39, "window")


@pytest.mark.parametrize("nonsense", ["nonsense", "", "-1", "9" * 30])
def test_nonsense_in_the_environment_of_drawing_libraries(nonsense: str) -> None:
    command = [sys.executable, "-m", "isolate", "curve", "glass 4 mm", "--plot", "x.pdf", "--out", "x.txt"]
    own = {"MPLBACKEND": nonsense, "SOURCE_DATE_EPOCH": nonsense, "MPLCONFIGDIR": os.devnull}
    environment = {**os.environ, **own}
    done = subprocess.run(command, env=environment, capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"wrote x.txt\nwrote x.pdf\n")


@pytest.mark.parametrize(
    "arguments",
    [["curve", "no such thing"], ["curve"], ["compare"], ["rate", "none.csv"], ["catalogue", "no such thing"],
     ["room", "none.toml"], ["nothing"], ["room", "--json", "--csv"], ["room", "--picture", "paths"],
     ["curve", "glass 4 mm", "--plot", "a.gif"],
     ["catalogue", "--plot", "a.png"], ["curve", "glass 4 mm", "--out", "no/where.txt"],
     ["room", "--require", "quiet"], ["room", "--require", "loudness < 3"]],
    ids=" ".join,
)  # fmt: skip
def test_wrong_command_lines_are_status_2_and_leave_nothing(arguments: list[str]) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.strip()
    assert "Traceback" not in result.stderr
    assert list(Path().iterdir()) == []


def test_a_closed_pipe_is_no_fault() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    process = _process("room", stdout=writing)
    os.close(writing)
    assert process.communicate(timeout=60)[1] == b""
    assert process.returncode == 0


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
def test_an_output_that_is_not_utf_8_gets_what_it_can_show(encoding: str) -> None:
    process = _process(
        "room", stdout=subprocess.PIPE, environment={"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    )
    told, errors = process.communicate(timeout=60)
    assert (process.returncode, errors) == (0, b"")
    assert "ambulance siren" in told.decode(encoding)


def test_colour_only_in_a_terminal_that_wants_it(monkeypatch: pytest.MonkeyPatch) -> None:
    from isolate.commands import telling
    from isolate.show.layout import Page

    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert telling.page_of_terminal(Page).colour
    monkeypatch.setenv("NO_COLOR", "1")
    assert not telling.page_of_terminal(Page).colour


def _seconds(*command: str, below: float = 0.0) -> float:
    """Processor time of a child, the least of five, or the first that is `below`."""

    def once() -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "ISOLATE_STORE": ""}
        subprocess.run([sys.executable, *command], check=True, capture_output=True, cwd=REPOSITORY, env=alone)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    found = [once()]
    while len(found) < 5 and min(found) >= below:
        found.append(once())
    return min(found)


def test_help_costs_at_most_two_and_a_half_imports_of_click() -> None:
    limit = 2.5 * _seconds("-c", "import click")
    assert _seconds("-m", "isolate", "--help", below=limit) <= limit


def test_the_demo_is_answered_soon() -> None:
    """In processor time 150 times what `import numpy` takes, on whatever machine; every remedy is tried, and
    nothing known from before."""
    limit = 150.0 * _seconds("-c", "import numpy")
    assert _seconds("-m", "isolate", "room", below=limit) < limit


def test_help_is_a_sentence_and_an_example() -> None:
    for name in COMMANDS:
        told = run(name, "--help").stdout
        assert re.search(r"\n\n  [A-Z][^.]*\.", told)
        assert f"isolate {name}" in told


def test_the_version_is_told() -> None:
    assert run("--version").stdout == f"isolate {isolate.__version__}\n"


@pytest.mark.parametrize("room", ["demo", "drum room", "voice booth"])
def test_no_bundled_answer_takes_200_mb(room: str, tmp_path: Path) -> None:
    """A page asks for most, and most with nothing known from before: all its curves, drawings and sounds."""
    code = (
        "import sys\n"
        "from isolate.cli import root\n"
        "root(sys.argv[1:], standalone_mode=False)\n"
        "print(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])"
    )
    file = REPOSITORY / "constructions" / "rooms" / f"{room}.toml"
    asked = [sys.executable, "-c", code, "page", str(file), "--out", str(tmp_path / "page.html")]
    alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "ISOLATE_STORE": ""}
    done = subprocess.run(asked, check=True, capture_output=True, text=True, env=alone)
    assert int(done.stdout.split()[-1]) * 1024 < 200e6
