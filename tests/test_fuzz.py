"""Anything may come in: every case ends in an answer or one clear message, soon, with nothing half written.

500 cases, always the same ones; ``ISOLATE_FUZZ=20000 pytest tests/test_fuzz.py`` takes as many new ones.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Iterator
from unittest.mock import patch

import numpy as np
import pytest
from fuzzing import BARE, EDITS, MEMORY, SECONDS, TEXTS, asked, cases, edited
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pace import limited_memory

from isolate.cli import COMMANDS
from isolate.describe import wav
from isolate.describe.catalogue import root

ROOM = """title = "A small room"
[room]
size = "4.0 m x 3.0 m x 2.5 m"
furnishing = "furnished"
background = "25 dBA"
flanking = "brick house, timber floors"
people = 1

[[side]]
name = "window"
faces = "street"
construction = "glass 4 mm"
area = "1.2 m x 1.4 m"
seal = "partly sealed"
open = "5 %"
perhaps = ["glass 6 mm"]
[[side.gap]]
width = "1 mm"
length = "3.2 m"
depth = "40 mm"

[[side]]
name = "wall"
faces = "next door"
construction = "own.toml"
area = "8 m2"
[[side.vent]]
opening = "100 mm"
length = "0.3 m"
lining = "25 mm"
box = "0.6 m x 0.3 m x 0.3 m"

[[side]]
name = "door"
faces = "hall"
construction = "hollow core door 35 mm"
area = "0.8 m x 2.0 m"
seal = "unsealed"
[side.second]
construction = "hollow core door 35 mm"
lobby = "1 m x 0.6 m x 2.1 m"

[[noise]]
name = "tram"
source = "tram"
level = "72 dBA"
at = "7.5 m"
distance = "10 m"
faces = "street"
per_day = 8
duration = "20 s"
hours = "6-24"
[noise.also]
hall = "12 dB"

[[noise]]
name = "hum"
bands_hz = [125, 250, 500]
level_db = [50, 45, 40]
faces = "hall"
indoors = true

[[own]]
source = "clarinet"
level = "86 dBA"

[[take]]
plays = "clarinet"
distance = "0.6 m"
softest = "20 dB"
microphone = "14 dBA"
pattern = "cardioid"
target = "NC 15"
length = "5 min"

[[neighbour]]
name = "flat"
through = ["wall"]
size = "4 m x 3 m x 2.5 m"
background = "25 dBA"
limit = "30 dBA at night"

[inner]
boards = "2 x gypsum board 15 mm"
gap = "150 mm"
[inner.ceiling]
gap = "200 mm"

[[option]]
name = "pane"
replace = "window"
construction = "glass 4 mm + 100 mm + laminated 6.4 mm"
cost = "900"
"""
WALL = """title = "Two boards on studs"
kind = "wall"
size = "3 m x 2.5 m"

[[layer]]
leaf = "gypsum board"
thickness = "12.5 mm"
sheets = 2
bond = "screwed"

[[layer]]
cavity = "90 mm"
fill = "glass wool"
fill_depth = "75 mm"
framing = "resilient clip"
spacing = "24 in"
gas = "air"
edges = "bare"

[[layer]]
leaf = "plywood"
thickness = "1/2 in"
surface_mass = "7 kg/m2"
loss_factor = 0.02

[measured]
source = "a made-up laboratory"
basis = "own"
bands_hz = [125, 250, 500, 1000, 2000, 4000]
tl_db = [25, 34, 44, 47, 48, 55]
rw = 45
"""
DOOR = WALL[: WALL.index("[[layer]]")].replace("wall", "door") + WALL[WALL.index("[measured]") :]
NOISE = """title = "A noise"
level = "78 dBA"
distance = "10 m"
spread = "5 dB"
duration = "20 s"
per_day = 6
source = "made up"
basis = "memory"
bands_hz = [63, 125, 250, 500, 1000, 2000, 4000]
level_db = [70, 72, 70, 68, 66, 60, 50]
"""
PRICES = """[list]
currency = "EUR"
year = 2025
labour = "own"

[[price]]
item = "sash strip"
unit = "m"
material = [1.5, 3, 6]
labour = [4, 6, 10]
"""
SPECTRUM = "band_hz,tl_db\n" + "".join(
    f"{hz},{20 + i}\n"
    for i, hz in enumerate(
        (100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150)
    )
)
SMALL = ROOM.replace('"own.toml"', '"gypsum board 12.5 mm"').split("[[take]]")[0]
HUM, QUIET = (
    wav.encode(level * np.random.default_rng(1).standard_normal(12 * 16000), rate=16000, bits=16)
    for level in (0.1, 0.01)
)

OWN = "ISOLATE_FUZZ" in os.environ  # the bundled rooms take their time
BUNDLED = [path.read_text() for path in sorted(root().glob("w*/*.toml")) if "[[layer]]" in path.read_text()]
ROOMS = [ROOM] * 9 + [path.read_text() for path in sorted(root().glob("rooms/*.toml")) if OWN]
TELL = st.sampled_from([(), ("--json",), ("--csv",), ("--out", "told.txt")])
INTS = st.integers(0, 9999)


def some(share: float) -> settings:
    slow = [HealthCheck.too_slow, HealthCheck.data_too_large]
    return settings(
        max_examples=cases(share),
        deadline=None,
        derandomize=not OWN,
        database=None,
        suppress_health_check=slow,
    )


@pytest.fixture(autouse=True, scope="module")
def _little_memory() -> Iterator[None]:
    with limited_memory(MEMORY):
        yield


def test_what_is_changed_would_be_answered() -> None:
    files = {
        "room.toml": ROOM,
        "own.toml": WALL,
        "small.toml": SMALL,
        "door.toml": DOOR,
        "x.wav": HUM,
        "quiet.wav": QUIET,
    }
    files |= {
        "noise.toml": SMALL.replace('"tram"\nlevel', '"own-noise.toml"\nlevel'),
        "own-noise.toml": NOISE,
        "prices.toml": PRICES,
        "own.csv": SPECTRUM,
    }
    for arguments in (
        "room room.toml", "take room.toml", "panels room.toml", "room-in-room room.toml", "fixes room.toml",
        "room small.toml", "curve own.toml", "curve door.toml", "rate own.csv",
        "fixes small.toml --prices prices.toml", "survey x.wav", "room noise.toml",
        "measure --loud x.wav --quiet quiet.wav",
    ):  # fmt: skip
        assert asked(*arguments.split(), files=files).exit_code == 0, arguments


@some(0.15)
@given(edits=EDITS, tell=TELL, of=st.sampled_from(ROOMS))
def test_rooms(edits: list[tuple[str, int, int]], tell: tuple[str, ...], of: str) -> None:
    files = {"room.toml": edited(of, edits), "own.toml": WALL}
    seconds = SECONDS if of == ROOM else 4 * SECONDS
    asked("room", "room.toml", "--draws", "50", *tell, files=files, seconds=seconds)


@some(0.06)
@given(edits=EDITS, command=st.sampled_from(["take", "panels", "room-in-room", "fixes"]))
def test_rooms_asked_otherwise(edits: list[tuple[str, int, int]], command: str) -> None:
    draws = ("--draws", "50") if command in ("take", "fixes") else ()
    asked(command, "room.toml", *draws, files={"room.toml": edited(ROOM, edits), "own.toml": WALL})


@some(0.005)
@given(edits=EDITS, command=st.sampled_from(["second-pane", "explain", "page", "listen"]))
def test_rooms_shown_and_heard(edits: list[tuple[str, int, int]], command: str) -> None:
    to = {"page": ("--out", "page.html"), "listen": ("--out", "sounds", "--seconds", "3")}.get(command, ())
    asked(command, "room.toml", *to, files={"room.toml": edited(SMALL, edits)})


@some(0.2)
@given(edits=EDITS, tell=TELL, of=st.sampled_from([WALL, DOOR]) | st.sampled_from(BUNDLED))
def test_constructions(edits: list[tuple[str, int, int]], tell: tuple[str, ...], of: str) -> None:
    asked("curve", "own.toml", *tell, files={"own.toml": edited(of, edits)})


@some(0.04)
@given(edits=EDITS)
def test_noises(edits: list[tuple[str, int, int]]) -> None:
    room = SMALL.replace('source = "tram"', 'source = "own.toml"')
    asked("room", "room.toml", "--draws", "50", files={"room.toml": room, "own.toml": edited(NOISE, edits)})


@some(0.03)
@given(edits=EDITS)
def test_prices(edits: list[tuple[str, int, int]]) -> None:
    files = {"room.toml": SMALL, "prices.toml": edited(PRICES, edits)}
    asked("fixes", "room.toml", "--prices", "prices.toml", "--draws", "50", files=files)


@some(0.17)
@given(
    cut=INTS,
    number=st.sampled_from([*BARE, "", "1e999", "-3", "99.9", "1,5", "１", "a"]),
    line=INTS,
    twice=INTS,
)
def test_spectra(cut: int, number: str, line: int, twice: int) -> None:
    lines = SPECTRUM.splitlines()
    i = line % len(lines)
    lines[i] = ",".join([lines[i].split(",")[cut % 2], number][:: 1 - 2 * (cut % 2)])
    if twice % 3 == 0:
        lines.insert(twice % len(lines), lines[twice % 7])
    text = "\n".join(lines)
    if cut % 5 == 0:
        text = text[: cut % len(text)]
    if cut % 4:
        asked("rate", "own.csv", files={"own.csv": text})
    else:
        asked("rate", "-", stdin=text.encode())


@some(0.1)
@given(data=st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    for arguments in (("room", "x.toml"), ("curve", "x.toml"), ("rate", "x.csv")):
        asked(*arguments, files={arguments[-1]: data})


@some(0.1)
@given(
    fields=st.lists(st.tuples(st.integers(0, 60), st.integers(0, 2**32 - 1)), min_size=1, max_size=3),
    size=st.sampled_from([1.0, 1.0, 0.5, 0.002]),
    command=st.sampled_from([("survey",), ("measure", "--quiet", "quiet.wav", "--loud")]),
)
def test_recordings(fields: list[tuple[int, int]], size: float, command: tuple[str, ...]) -> None:
    """Any four bytes of the header overwritten, the file cut short."""
    data = bytearray(HUM[: int(len(HUM) * size)])
    for at, value in fields:
        struct.pack_into("<I", data, min(at, len(data) - 4), value)
    asked(*command, "x.wav", files={"x.wav": bytes(data), "quiet.wav": QUIET})


NAMES = sorted(
    {*COMMANDS, "--version", "--help", "room", "curve", "nonsense"} - {"explain", "page", "listen"}
)
OPTIONS = (
    "--json", "--csv", "--out", "--plot", "--force", "--require", "--draws", "--seed", "--processes",
    "--why", "--noise", "--level", "--gap", "--pane", "--boards", "--budget", "--target", "--prices",
    "--panels", "--kind", "--length", "--loud", "--quiet", "--time", "--people", "--help", "--side",
    "--window", "--size", "-h", "--",
)  # fmt: skip
MORE = (
    *TEXTS, "room.toml", "own.toml", "x.png", "x.svg", ".", "/", "/nowhere/x.png", "inside_dba < 30",
    "Rw >= 45", "tram: inside_dba < 30, x", "<", "Rw > nan", "50", "-50", "1",
)  # fmt: skip


@some(0.15)
@given(
    name=st.sampled_from(NAMES),
    rest=st.lists(st.sampled_from(OPTIONS) | st.sampled_from(MORE) | st.text(max_size=12), max_size=4),
)
def test_command_lines(name: str, rest: list[str]) -> None:
    files = {"room.toml": SMALL, "own.toml": WALL}
    rest = [word for word in rest if word.isprintable()]  # a file may be called so
    if name in ("second-pane", "fixes", "panels", "room-in-room", "accuracy", "room", "take"):
        rest = ["room.toml", *rest]  # not the bundled room, which takes longer
    try:
        with patch("isolate.desk.serve.serve"):  # it waits until its windows are closed
            result = asked(name, *rest, files=files)
    except AssertionError as error:
        if "Not met" in str(error) or "neither" in str(error):
            return
        raise
    assert result.exit_code == 0 or ";" in result.stderr or ":" in result.stderr
