"""What a program meets in the wild: files that lead elsewhere, full disks, closed folders, interrupts.

Every case is put to the commands themselves.
"""

from __future__ import annotations

import json
import os
import pty
import re
import resource
import shutil
import signal
import struct
import subprocess
import sys
import termios
import time
from fcntl import ioctl
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from fuzzing import MEMORY
from pace import limited_memory, slowness
from test_fuzz import ROOM, SMALL, WALL

import isolate
from isolate.cli import root

REPOSITORY = Path(isolate.__file__).parents[1]


def run(*arguments: str) -> Result:
    with limited_memory(MEMORY):
        return CliRunner().invoke(root, list(arguments), catch_exceptions=False)


def environment() -> dict[str, str]:
    """This one, where a terminal's own width counts and this checkout is what runs, without bytecode: on a
    full disk Python cuts that short and cannot read it afterwards."""
    kept = {name: text for name, text in os.environ.items() if name not in ("COLUMNS", "LINES", "NO_COLOR")}
    return {**kept, "PYTHONPATH": str(REPOSITORY), "PYTHONDONTWRITEBYTECODE": "1"}


def process(*arguments: str, **settings: object) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "isolate", *arguments]
    return subprocess.Popen(command, env=environment(), **settings)  # type: ignore[call-overload,no-any-return]


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    monkeypatch.chdir(folder)
    Path("room.toml").write_text(ROOM)
    Path("own.toml").write_text(WALL)


def refused(text: str, *words: str) -> None:
    """A room that is not read, in one message that says these words."""
    Path("room.toml").write_text(text)
    before = {path: path.lstat().st_mtime_ns for path in Path().iterdir()}
    result = run("room", "room.toml", "--out", "told.txt")
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    for word in words:
        assert word in result.stderr
    assert {path: path.lstat().st_mtime_ns for path in Path().iterdir()} == before


def test_the_room_as_it_is_would_be_answered() -> None:
    assert run("room", "room.toml", "--draws", "50").exit_code == 0


# --- files that lead elsewhere ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    ["../secret.toml", "../../secret.toml", "/etc/hostname.toml", "parts/../../secret.toml", "linked.toml",
     "folder/secret.toml", "./../secret.toml"],
)  # fmt: skip
def test_a_room_reads_nothing_outside_its_folder(path: str) -> None:
    """A room somebody sends names files beside it, and through no path or link any other."""
    Path("../secret.toml").write_text("TOP SECRET")
    os.symlink(Path("../secret.toml").resolve(), "linked.toml")
    os.symlink(Path("..").resolve(), "folder")
    refused(ROOM.replace("own.toml", path), "outside the file's own folder")
    refused(ROOM.replace('source = "tram"', f'source = "{path}"'), "outside the file's own folder")
    assert "SECRET" not in run("room", "room.toml").stderr


def test_links_within_the_folder_are_followed() -> None:
    Path("parts").mkdir()
    Path("own.toml").rename("parts/own.toml")
    os.symlink("parts/own.toml", "own.toml")
    assert run("room", "room.toml", "--draws", "50").exit_code == 0


def test_links_that_lead_nowhere_or_round_in_circles() -> None:
    Path("own.toml").unlink()
    os.symlink("own.toml", "own.toml")
    refused(ROOM, "own.toml: no such file")
    Path("own.toml").unlink()
    os.symlink("gone", "own.toml")
    refused(ROOM, "own.toml: no such file")


@pytest.mark.parametrize("name", ["room.toml", "own.toml"])
def test_a_file_that_names_itself(name: str) -> None:
    """A room as its own wall, a noise that is the room: read as what it is, not for ever."""
    refused(ROOM.replace("own.toml", "room.toml"), "room.toml")
    refused(ROOM.replace('source = "tram"', f'source = "{name}"'), name)


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/full", "/dev/stdin", "/proc/self/mem", "/"])
def test_what_is_no_file_is_not_read_for_ever(device: str) -> None:
    if not Path(device).exists():
        pytest.skip(f"no {device} here")
    for arguments in (("room", device), ("curve", device), ("rate", device), ("survey", device)):
        result = run(*arguments)
        assert result.exit_code == 2 and result.stdout == "" and "Traceback" not in result.stderr


# --- descriptions that are too much -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('name = "wall"', 'name = "window"'),
        ('name = "hum"', 'name = "tram"'),
        ("[[take]]", '[[option]]\nname = "pane"\nreplace = "door"\ncost = "1"\n\n[[take]]'),
        ("[[take]]", '[[neighbour]]\nname = "flat"\nthrough = ["door"]\nbackground = "20 dBA"\n\n[[take]]'),
    ],
)
def test_names_that_come_twice(old: str, new: str) -> None:
    refused(ROOM.replace(old, new), "name", "is there 2 times")


@pytest.mark.parametrize(
    "quantity", ["1e308 m x 1e308 m x 1e308 m", "9" * 400 + " m x 3 m x 3 m", "1e-300 m x 1 m x 1 m"]
)
def test_huge_and_tiny_numbers(quantity: str) -> None:
    refused(ROOM.replace("4.0 m x 3.0 m x 2.5 m", quantity), "room.size")
    refused(ROOM.replace("72 dBA", "9" * 400 + " dBA"), "noise[1].level")
    refused(ROOM.replace('"own.toml"', f'"glass {"9" * 300} mm"'), "side[2].construction")


def test_names_in_any_script_are_names() -> None:
    """Greek, Hebrew, CJK, emoji and combining marks, in 80 columns and in JSON."""
    names = ["παράθυρο", "חלון", "窓", "🪟 window", "fene\u0302tre", "a" * 150]
    for i, name in enumerate(names):
        Path("room.toml").write_text(ROOM.replace('"window"', f'"{name}"'), encoding="utf-8")
        for tell in (("--csv",) if i % 2 else (), ("--json",)):
            result = run("room", "room.toml", "--draws", "50", *tell)
            assert result.exit_code == 0, result.stderr
        assert name in [side["name"] for side in json.loads(result.stdout)["sides"]]


def test_deep_and_wide_descriptions() -> None:
    refused(ROOM + "x = " + "[" * 100_000, "nested too deeply")
    refused(ROOM + "[" + ".".join("a" * 5000) + "]\n", "nested too deeply")
    refused(ROOM + "[[side]]\nname = 'x'\n" * 20_000, "room.toml")
    refused("x = 1\n" * 200_000, "too large")
    refused(ROOM + 'name = "x"\n' * 5_000, "not valid TOML")


# --- folders and disks that cannot be written ---------------------------------------------------------------


def bound(*arguments: str) -> list[str]:
    """A command that is not let into a closed folder, though it be root's own."""
    command = [sys.executable, "-m", "isolate", *arguments]
    if os.geteuid() == 0:
        if not shutil.which("setpriv"):
            pytest.skip("root may write anywhere, and cannot give it up here")
        command = ["setpriv", "--bounding-set", "-dac_override", "--", *command]
    return command


@pytest.mark.parametrize(
    "arguments",
    [
        ("curve", "glass 4 mm", "--out", "closed/a.txt"),
        ("curve", "glass 4 mm", "--plot", "closed/a.png"),
        ("new", "closed/a.toml"),
        ("test-signal", "closed/a.wav"),
        ("fixes", "--write-prices", "closed/a.toml"),
    ],
    ids=lambda arguments: arguments[0] + arguments[-2],
)
def test_a_folder_that_may_not_be_written_into(arguments: tuple[str, ...]) -> None:
    Path("closed").mkdir(mode=0o555)
    told = subprocess.run(bound(*arguments), capture_output=True, text=True, env=environment(), timeout=60)
    assert told.returncode == 1, told.stderr
    assert "could not be written (Permission denied)" in told.stderr
    assert list(Path("closed").iterdir()) == []


WRITTEN = {
    "curve": ("curve", "glass 4 mm", "--json", "--out", "{}/a.json", "--plot", "{}/a.png"),
    "new": ("new", "{}/a.toml"),
    "test-signal": ("test-signal", "{}/a.wav"),
    "listen": ("listen", "--seconds", "3", "--out", "{}/sounds"),
    "page": ("page", "--out", "{}/a.html"),
}


@pytest.mark.skipif(sys.platform != "linux", reason="file sizes are limited so on Linux")
@pytest.mark.parametrize("name", WRITTEN)
def test_a_disk_that_fills_up_leaves_nothing(name: str) -> None:
    """No file may grow beyond 2 kB, as on a disk with no more room."""
    Path("full").mkdir()
    arguments = [one.format("full") for one in WRITTEN[name]]

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))

    told = process(*arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, preexec_fn=small)
    output, errors = told.communicate(timeout=120)
    assert told.returncode == 1 and output == b"", errors
    assert b"could not be written (File too large)" in errors and b"Traceback" not in errors
    assert list(Path("full").iterdir()) == []


@pytest.mark.parametrize("name", ["curve", "test-signal"])
def test_a_small_disk(name: str) -> None:
    """A file system of 16 kB in memory, mounted in a namespace of its own."""
    Path("small").mkdir()
    asked = " ".join(f"'{one.format('small')}'" for one in WRITTEN[name])
    mount = f"mount -t tmpfs -o size=16k tmpfs small && {sys.executable} -m isolate {asked}"
    command = ["unshare", "-rm", "sh", "-c", f"{mount}; echo status $?; ls -A small"]
    if not shutil.which("unshare") or subprocess.run([*command[:4], "true"], capture_output=True).returncode:
        pytest.skip("no namespaces here")
    told = subprocess.run(command, capture_output=True, text=True, env=environment())
    if "permission denied" in told.stderr or "must be superuser" in told.stderr:
        pytest.skip("nothing can be mounted here")
    assert told.stdout == "status 1\n", told.stderr
    assert "could not be written (No space left on device)" in told.stderr


def test_an_output_that_takes_nothing() -> None:
    """Printing to a full device is a fault with a message, not a traceback."""
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with open("/dev/full", "wb") as full:
        told = process("curve", "glass 4 mm", stdout=full, stderr=subprocess.PIPE)
        errors = told.communicate(timeout=60)[1]
    assert told.returncode == 1
    assert b"No space left on device" in errors and b"Traceback" not in errors


# --- interrupts, pipes, terminals ---------------------------------------------------------------------------


def _interruptible() -> None:
    """Also where the tests run in the background, which shells keep interrupts from."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@pytest.mark.parametrize("after", [0.8, 2.0])
@pytest.mark.parametrize("name", ["listen", "page", "room"])
def test_an_interrupt_leaves_nothing_half_written(name: str, after: float) -> None:
    """Control-C at any moment since it runs: nothing, or a whole page if it was done but for leaving."""
    arguments = {
        **WRITTEN,
        "room": ("room", "--draws", "20000", "--out", "{}/a.txt", "--plot", "{}/a.png"),
    }[name]
    Path("out").mkdir()
    piped = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    told = process(*[one.format("out") for one in arguments], preexec_fn=_interruptible, **piped)
    time.sleep(after * slowness())
    told.send_signal(signal.SIGINT)
    errors = told.communicate(timeout=60)[1]
    left = [path for path in Path("out").rglob("*") if path.is_file()]
    assert told.returncode in (0, 1, -signal.SIGINT), errors
    assert b"Traceback" not in errors
    if told.returncode and not (name == "page" and [one.read_bytes()[-7:] for one in left] == [b"</html>"]):
        assert left == [] and list(Path("out").iterdir()) == []
    else:
        assert left and all(path.stat().st_size > 1000 and not path.name.startswith(".") for path in left)


def test_stdin_that_is_closed() -> None:
    told = process("rate", "-", stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    output, errors = told.communicate(timeout=60)
    assert told.returncode == 2 and output == b"" and b"empty" in errors and b"Traceback" not in errors


@pytest.mark.parametrize(
    ("closed", "arguments", "status"),
    [
        (">&-", ("curve", "glass 4 mm"), 0),
        (">&-", ("--help",), 0),
        ("2>&-", ("curve", "glass of beer"), 2),
        (">&- 2>&- <&-", ("rate", "-"), 2),
        ("<&-", ("rate", "-"), 2),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_streams_that_were_closed_before_it_began(
    closed: str, arguments: tuple[str, ...], status: int
) -> None:
    command = ["sh", "-c", f'exec "$@" {closed}', "sh", sys.executable, "-m", "isolate", *arguments]
    told = subprocess.run(command, capture_output=True, env=environment(), timeout=60)
    assert told.returncode == status and b"Traceback" not in told.stderr


def test_a_closed_output_does_not_keep_a_file_from_being_written() -> None:
    command = ["sh", "-c", 'exec "$@" >&-', "sh", sys.executable, "-m", "isolate", "curve", "glass 4 mm"]
    told = subprocess.run([*command, "--out", "told.txt"], capture_output=True, env=environment(), timeout=60)
    assert told.returncode == 0 and "Single glass" in Path("told.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8"])
def test_json_loses_nothing_in_any_encoding(encoding: str) -> None:
    """A name with letters and quotes the encoding does not have comes through as it is in the file."""
    name = "Ü “quoted” – 音"
    Path("own.toml").write_text(WALL.replace("title = ", f'title = "{name}"\n#'), encoding="utf-8")
    coded = {**environment(), "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    command = [sys.executable, "-m", "isolate", "curve", "own.toml", "--json"]
    told = subprocess.run(command, capture_output=True, env=coded, timeout=60)
    assert told.returncode == 0, told.stderr
    assert json.loads(told.stdout.decode(encoding))["inputs"]["title"] == name


@pytest.mark.parametrize(
    "arguments", [("--help",), ("room", "--help"), ("catalogue",), ("catalogue", "--csv")]
)
def test_a_reader_that_stops_early(arguments: tuple[str, ...]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    told = process(*arguments, stdout=writing, stderr=subprocess.PIPE)
    os.close(writing)
    assert b"Traceback" not in told.communicate(timeout=60)[1]


def terminal(*arguments: str, columns: int) -> str:
    """What a terminal of this many columns shows, without its colours."""
    ours, its = pty.openpty()
    ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    told = process(*arguments, stdin=its, stdout=its, stderr=subprocess.PIPE)
    os.close(its)
    shown = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:
            break
        if not part:
            break
        shown += part
    assert told.communicate(timeout=60)[1] == b"" and told.returncode == 0
    os.close(ours)
    return re.sub(r"\x1b\[[\d;]*m", "", shown.decode()).replace("\r\n", "\n")


@pytest.mark.parametrize("arguments", [("room",), ("take",), ("curve", "glass 4 mm", "--why")], ids=" ".join)
def test_a_narrow_terminal(arguments: tuple[str, ...]) -> None:
    """40 columns: prose and headings keep to them; only tables, which cannot, run on."""
    lines = terminal(*arguments, "--full", columns=40).splitlines()
    wide = [line for line in lines if len(line) > 40]
    assert len(lines) > 40 and len(wide) < 0.2 * len(lines)
    assert not any(re.match(r"[A-Z][a-z]+ [a-z]+ [a-z]+ ", line) for line in wide), wide


def test_a_wide_terminal_is_not_filled() -> None:
    assert max(map(len, terminal("curve", "glass 4 mm", columns=300).splitlines())) <= 100


def test_the_small_room_is_small_everywhere() -> None:
    """Texts of one room from all that answers, none longer than 80 columns in a pipe."""
    Path("small.toml").write_text(SMALL)
    for name in ("room", "take", "panels", "room-in-room", "fixes"):
        told = run(name, "small.toml").stdout
        assert told and max(map(len, told.splitlines())) <= 80, name


@pytest.mark.parametrize(
    "asked",
    ["new", "survey", "room", "curve glass --out", "listen --out", "measure --loud", "rate", "page --out"],
)
@pytest.mark.parametrize("end", ["", ".toml", ".wav", ".html"])
def test_a_name_too_long_for_a_file_is_one_clear_message(asked: str, end: str) -> None:
    result = run(*asked.split(), "a" * 10_000 + end)
    assert result.exit_code == 2
    assert result.stdout == "" and "Traceback" not in result.stderr
