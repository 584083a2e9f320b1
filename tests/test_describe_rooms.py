"""Rooms, noises and CSV spectra: every key arrives, every fault is said where it is."""

import io
import re
import sys
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pace import in_time

from isolate.bands import N_BANDS, THIRD_OCTAVES, energy_sum, index_of, octave_levels
from isolate.describe import noises, rooms, spectra
from isolate.describe.noises import Level
from isolate.describe.rooms import Background, Gap
from isolate.errors import InputError

ROOM = """
title = "A room"
about = "For a test."
[room]
size = "4.1 m x 3.2 m x 2.5 m"
furnishing = "treated"
background = "NC 20"
[[side]]
name = "window"
faces = "street"
construction = "glass 4 mm"
area = "1.2 m x 1.4 m"
frame = "none"
[[side.gap]]
width = "1 mm"
length = "3.2 m"
depth = "40 mm"
[[side]]
name = "party wall"
faces = "flat"
construction = "brick 102 mm"
area = "8 m2"
[[noise]]
name = "ambulance"
source = "siren"
level = "118 dBA"
at = "3 m"
distance = "30 m"
faces = "street"
duration = "20 s"
per_day = 4
spread = "6 dB"
[[noise]]
name = "television"
bands_hz = [63, 125, 250, 500, 1000, 2000]
level_db = [50, 55, 60, 60, 55, 50]
level = "70 dBC"
faces = "flat"
indoors = true
[[own]]
source = "clarinet"
level = "86 dBA"
[[neighbour]]
name = "flat next door"
through = ["party wall"]
background = "25 dBA"
[[option]]
name = "second pane"
replace = "window"
construction = "glass 4 mm + 100 mm + laminated 6.4 mm"
cost = "900"
[[option]]
name = "seal it"
replace = "window"
gap = []
cost = 40
"""
NOISE = """
title = "Pump"
source = "own notebook"
basis = "own"
level = "60 dBA"
distance = "2 m"
spread = "1 dB"
duration = "1 h"
per_day = 3
bands_hz = [100, 125, 160]
level_db = [50, 51, 52]
"""


def read(tmp_path, content):
    path = tmp_path / "room.toml"
    path.write_text(content)
    return rooms.load(path)


def faults(tmp_path, content):
    with pytest.raises(InputError) as fault:
        read(tmp_path, content)
    prefix = f"{tmp_path / 'room.toml'}: "
    return [one.removeprefix(prefix) for one in fault.value.faults]


def test_every_key_of_a_room_arrives(tmp_path):
    room = read(tmp_path, ROOM)
    assert (room.name, room.title, room.about) == ("room", "A room", "For a test.")
    assert (room.size, room.furnishing, room.reverberation_time) == ((4.1, 3.2, 2.5), "treated", None)
    assert room.volume == pytest.approx(32.8)
    assert room.background == Background("NC", 20.0)
    window, wall = room.sides
    assert (window.name, window.faces, window.size) == ("window", "street", (1.2, 1.4))
    assert window.area == pytest.approx(1.68)
    assert window.construction.title and window.gaps == (Gap(0.001, 3.2, 0.04),)
    assert (wall.size, wall.area, wall.gaps) == (None, 8.0, ())
    siren, television = room.noises
    assert (siren.level, siren.at, siren.distance) == (Level(118.0, "A"), 3.0, 30.0)
    assert (siren.duration, siren.per_day, siren.spectrum.spread_db) == (20.0, 4.0, 6.0)
    assert (television.level, television.indoors, siren.indoors) == (Level(70.0, "C"), True, False)
    assert television.spectrum.basis == "own"
    assert (room.own[0].name, room.own[0].level) == ("clarinet", Level(86.0, "A"))
    assert (room.neighbours[0].through, room.neighbours[0].background) == (
        ("party wall",),
        Background("A", 25.0),
    )
    pane, seal = room.options
    assert pane.construction is not None and len(pane.construction.layers) == 3
    assert (pane.gaps, pane.cost) == (None, 900.0)
    assert (seal.construction, seal.gaps, seal.cost) == (None, (), 40.0)
    assert room.notes == ()


def test_a_room_reads_fast():
    rooms.load()
    start = time.process_time()
    for _ in range(5):
        rooms.load()
    assert in_time((time.process_time() - start) / 5, 0.03)


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("NC 20", "NC", 20),
        ("nr-15", "NR", 15),
        ("NC35", "NC", 35),
        ("24 dBA", "A", 24),
        ("38.5 dBC", "C", 38.5),
    ],
)
def test_backgrounds(tmp_path, said, kind, value):
    room = read(tmp_path, ROOM.replace('"NC 20"', f'"{said}"'))
    assert room.background == Background(kind, value)


def test_background_and_reverberation_by_band(tmp_path):
    octaves = "bands_hz = [125, 250, 500]\nlevel_db = [30, 25, 20]"
    times = "reverberation_time = { bands_hz = [125, 250, 500], time_s = [0.8, 0.6, 0.4] }"
    room = read(tmp_path, ROOM.replace('background = "NC 20"', f"{octaves}\n{times}"))
    assert room.background.kind == "bands"
    np.testing.assert_allclose(octave_levels(room.background.level_db)[2:5], [30, 25, 20])
    time_ = room.reverberation_time
    assert (time_[0], time_[index_of(250)], time_[-1]) == (0.8, 0.6, 0.4)
    single = read(tmp_path, ROOM.replace('"treated"', '"bare"\nreverberation_time = "400 ms"'))
    np.testing.assert_array_equal(single.reverberation_time, np.full(N_BANDS, 0.4))
    assert "room: reverberation_time counts, bare does not: one of the two is enough" in single.notes


def test_what_a_room_leaves_out_is_taken_and_noted(tmp_path):
    bare = ROOM.replace('furnishing = "treated"\nbackground = "NC 20"\n', "")
    bare = (
        bare.replace('depth = "40 mm"\n', "")
        .replace('level = "70 dBC"\n', "")
        .replace('area = "8', 'area = "80')
    )
    room = read(tmp_path, bare)
    assert room.furnishing == "furnished" and room.background == Background("A", 25.0)
    assert room.sides[0].gaps[0].depth == pytest.approx(0.004)
    said = "\n".join(room.notes)
    for part in (
        "neither furnishing nor reverberation_time stated",
        "no background stated, 25 dBA taken",
        r"side\[1\].gap\[1\]: no depth stated, 4 mm",
        "television: no level stated",
        "party wall: 80 m2 .* more than the room's largest face, 13.1 m2",
        "walls, windows and doors: 81.7 m2 .* in all, more than the four walls of the room, 36.5 m2",
    ):
        assert re.search(part, said), part


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[room]", "[roo]", "room: missing; write [room]"),
        ("[room]", "[roo]", 'roo: unknown key; did you mean "room"?'),
        ('"4.1 m x 3.2 m x 2.5 m"', '"4.1 m x 3.2 m"', "room.size: not a size of a room"),
        ('"4.1 m x 3.2 m x 2.5 m"', '"4.1 m x 3.2 m x 2.5 mm"', "room.size: no sane size of a room"),
        ('"4.1 m x 3.2 m x 2.5 m"', "4.1", "room.size: a bare number without a unit (got 4.1)"),
        ('size = "4.1 m x 3.2 m x 2.5 m"\n', "", "room.size: missing; write length x width x height"),
        ('"treated"', '"plush"', "room.furnishing: unknown"),
        ('"treated"', '"bare"\nreverberation_time = "9 h"', "room.reverberation_time: out of range"),
        ('"brick 102 mm"', '"stone wool 3 m"', 'side[2].construction: nothing but wool'),
        ('"treated"', '"bare"\npeople = 1e-320', "room.people: next to nobody (got 1e-320)"),
        ('"treated"', '"bare"\nreverberation_time = [1]', "room.reverberation_time: not a time"),
        (
            '"treated"',
            '"bare"\nreverberation_time = {bands_hz = [125, 250, 500]}',
            "room.reverberation_time.time_s: missing",
        ),
        ('"NC 20"', '"PNC 20"', "room.background: not a background"),
        ('"NC 20"', '"20"', "room.background: not a background"),
        ('"NC 20"', "20", "room.background: not a text (got 20)"),
        ('"NC 20"', '"NC 200"', "room.background: out of range, 10 to 70"),
        (
            '"NC 20"',
            '"NC 20"\nbands_hz = [63, 125, 250]\nlevel_db = [1, 2, 3]',
            "room.background: given beside",
        ),
        ('name = "window"', "", "side[1].name: missing"),
        ('name = "window"', 'name = "party wall"', 'side[1].name: "party wall" is there 2 times'),
        ('faces = "flat"\nconst', "const", "side[2].faces: missing"),
        ('construction = "glass 4 mm"\n', "", "side[1].construction: missing"),
        ('"glass 4 mm"', '"glas 4 mm"', "side[1].construction: no material and no construction"),
        ('"glass 4 mm"', '"/etc/x.toml"', "side[1].construction: outside the file's own folder"),
        ('"glass 4 mm"', '"../x.toml"', "side[1].construction: outside the file's own folder"),
        ('"glass 4 mm"', '"../../etc/passwd"', "side[1].construction: no construction"),
        ('"glass 4 mm"', "4", "side[1].construction: not a text (got 4)"),
        ('area = "8 m2"\n', "", "side[2].area: missing"),
        ('"8 m2"', "8", "side[2].area: a bare number without a unit (got 8)"),
        ('"8 m2"', '"-8 m2"', "side[2].area: must be more than zero"),
        ('"8 m2"', '"8 m"', 'side[2].area: "m" is no unit of area'),
        ('width = "1 mm"', 'width = "0.9 m"', "side[1].gap: the gaps are larger than the side"),
        ('width = "1 mm"\n', "", "side[1].gap[1].width: missing"),
        (
            'source = "siren"',
            'source = "sirn"',
            'noise[1].source: no noise of this name (got "sirn"); did you mean',
        ),
        ('source = "siren"', 'source = "../siren.toml"', "noise[1].source: outside the file's own folder"),
        ('source = "siren"', "", "noise[1].source: missing, or given beside bands_hz"),
        ('"118 dBA"', '"118"', "noise[1].level: a bare number without a unit"),
        ('at = "3 m"\n', "", "noise[1].distance: says nothing of a level at the facade"),
        ('distance = "30 m"\n', "", "noise[1].at: says where level holds"),
        (
            'level = "70 dBC"',
            'distance = "30 m"',
            "noise[2].distance: this source has no distance of its own",
        ),
        (
            'faces = "street"\ndur',
            'faces = "stret"\ndur',
            'noise[1].faces: no side faces "stret"; did you mean "street"',
        ),
        ("per_day = 4", "per_day = -4", "noise[1].per_day: out of range"),
        ("per_day = 4", "per_day = 90000", "noise[1].per_day: out of range"),
        ('duration = "20 s"', 'duration = "200 h"', "noise[1].duration: out of range"),
        ('duration = "20 s"', 'duration = "7 h"', "noise[1].per_day: 4 a day of 7 h each are 28 h"),
        ("[50, 55, 60, 60, 55, 50]", "[50, 55, nan, 60, 55, 50]", "noise[2].level_db: member 3: not finite"),
        ("[50, 55, 60, 60, 55, 50]", "[50, 55]", "noise[2].level_db: 2 values for 6 bands_hz"),
        ("indoors = true", 'indoors = "yes"', "noise[2].indoors: not true or false"),
        ('source = "clarinet"', 'source = "clarinett"', "own[1].source: no noise of this name"),
        (
            'through = ["party wall"]',
            'through = ["party"]',
            'neighbour[1].through: no side is called "party"',
        ),
        ('through = ["party wall"]', "through = []", "neighbour[1].through: no side"),
        ('through = ["party wall"]', "", "neighbour[1].through: missing"),
        ('replace = "window"\ncon', 'replace = "windw"\ncon', 'option[1].replace: no side is called "windw"'),
        ("gap = []\n", "", "option[2].construction: changes nothing"),
        ('"900"', '"cheap"', "option[1].cost: not an amount"),
        ('"900"', '"-900"', "option[1].cost: not an amount"),
        ("cost = 40", "cost = inf", "option[2].cost: not finite"),
        ('title = "A room"', 'titel = "A room"', 'titel: unknown key; did you mean "title"?'),
        ("[[own]]", "[[owns]]", 'owns: unknown key; did you mean "own"?'),
    ],
)
def test_faults_of_a_room(tmp_path, old, new, said):
    assert old in ROOM
    found = faults(tmp_path, ROOM.replace(old, new))
    assert any(fault.startswith(said) for fault in found), found


def test_one_slip_makes_one_fault(tmp_path):
    """A wrong key does not drag others after it, such as a noise that faces a side read in vain."""
    for old, new in (
        ('"glass 4 mm"', '"glas 4 mm"'),
        ('area = "8 m2"', 'area = "8"'),
        ('source = "siren"', 'source = "sirn"'),
        ('faces = "flat"\nindoors = true', 'faces = "flatt"\nindoors = true'),
        ('width = "1 mm"', 'width = "1"'),
    ):
        assert len(faults(tmp_path, ROOM.replace(old, new))) == 1, new


def test_a_room_without_sides_or_sounds(tmp_path):
    said = faults(tmp_path, '[room]\nsize = "4 m x 3 m x 2.5 m"\n')
    assert [one.split(";")[0] for one in said] == ["side: no sides", "noise: nothing to hear"]


def test_faults_of_files_a_room_names_are_in_its_report(tmp_path):
    (tmp_path / "own.toml").write_text('kind = "wall"\n[[layer]]\nleaf = "glass"\nthickness = "4"\n')
    (tmp_path / "pump.toml").write_text(NOISE.replace('"own"', '"guess"'))
    content = ROOM.replace('"glass 4 mm"', '"own.toml"').replace('"brick 102 mm"', '"own.toml"')
    said = "\n".join(faults(tmp_path, content.replace('"siren"', '"pump.toml"').replace('"8 m2"', "8")))
    assert said.count("own.toml: layer[1].thickness: a bare number") == 1
    assert said.count("pump.toml: basis: unknown") == 1
    assert "side[2].area: a bare number" in said


def test_a_room_that_is_not_there(tmp_path):
    with pytest.raises(InputError, match=r'no room of this name \(got "dmo"\); did you mean "demo"'):
        rooms.load("dmo")
    with pytest.raises(InputError, match="a folder; write the name of a file"):
        rooms.load(tmp_path)
    with pytest.raises(InputError, match=r"no room .* a path ending in .toml"):
        rooms.load("rooms/none")


def test_every_key_of_a_noise_arrives(tmp_path):
    (tmp_path / "pump.toml").write_text(NOISE)
    pump = noises.load("pump.toml", beside=tmp_path)
    assert (pump.title, pump.source, pump.basis, pump.level) == (
        "Pump",
        "own notebook",
        "own",
        Level(60.0, "A"),
    )
    assert (pump.distance, pump.spread_db, pump.duration, pump.per_day) == (2.0, 1.0, 3600.0, 3.0)
    at = index_of(100)
    np.testing.assert_array_equal(pump.level_db[at : at + 3], [50, 51, 52])
    assert set(np.delete(pump.level_db, [at, at + 1, at + 2])) == {spectra.SILENT_DB}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('source = "own notebook"\n', "", "source: missing; say where the spectrum comes from"),
        ('"own"', '"mine"', "basis: unknown"),
        ('"60 dBA"', "60", "level: a bare number"),
        ('"1 dB"', '"99 dB"', "spread: out of range"),
        ("bands_hz = [100, 125, 160]\n", "", "bands_hz: missing"),
        ("bands_hz = [100, 125, 160]\nlevel_db = [50, 51, 52]\n", "", "level_db: missing"),
        ('title = "Pump"', "title = 3", "title: not a text"),
        ("per_day", "perday", 'perday: unknown key; did you mean "per_day"?'),
    ],
)
def test_faults_of_a_noise(tmp_path, old, new, said):
    (tmp_path / "pump.toml").write_text(NOISE.replace(old, new))
    with pytest.raises(InputError, match=re.escape(said)):
        noises.load("pump.toml", beside=tmp_path)


def test_octaves_become_thirds_of_the_same_energy():
    octave_hz, level_db = np.array([63.0, 125.0, 250.0]), np.array([60.0, 50.0, 55.0])
    thirds = spectra.levels(octave_hz, level_db)
    np.testing.assert_allclose(octave_levels(thirds)[1:4], level_db)
    assert energy_sum(thirds) == pytest.approx(energy_sum(level_db), abs=1e-9)


# --- CSV ------------------------------------------------------------------------------------------


def csv(tmp_path, content, columns=("band_hz", "tl_db")):
    path = tmp_path / "x.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return spectra.read_csv(path, columns)


@pytest.mark.parametrize(
    "content",
    [
        "band_hz,tl_db\n125,30\n250,35.5\n500,40\n",
        b"\xef\xbb\xbfband_hz,tl_db\r\n125,30\r\n250,35.5\r\n500,40\r\n",
        "# a note\n\n Band_Hz , TL_dB \n500, 40\n# again\n125 ,30\n250.0,35.5\n",
        "name,tl_db,band_hz\na,30,125\nb,35.5,250\nc,40,500\n",
        'band_hz,tl_db\n"125","30"\n250,35.5,\n500,4e1\n',
        "band_hz,tl_db\n125.89,30\n251.19,35.5\n501.19,40\n",  # exact centres of IEC 61260-1
        "band_hz;tl_db\n125;30\n250;35,5\n500;40,0\n",  # where the decimal sign is a comma
        "band_hz\ttl_db\n125\t30\n250\t35,5\n500\t40\n",
        "band_hz,tl_db,,\n125,30,,\n250,35.5,,\n500,40,,\n",
        "band_hz;tl_db;\r\n125;30;\r\n250;35.5;\r\n500;40;\r\n".encode("utf-16"),
    ],
    ids=[
        "plain", "windows", "comments", "columns", "quotes", "exact", "semicolons", "tabs", "trailing",
        "utf-16",
    ],
)
def test_csv_as_people_save_it(tmp_path, content):
    bands_hz, tl_db = csv(tmp_path, content)
    np.testing.assert_array_equal(bands_hz, [125, 250, 500])
    np.testing.assert_array_equal(tl_db, [30, 35.5, 40])


def test_csv_of_levels(tmp_path):
    bands_hz, level_db = csv(tmp_path, "band_hz,level_db\n100,60\n", ("band_hz", "level_db"))
    assert (bands_hz[0], level_db[0]) == (100, 60)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("", "the file is empty"),
        ("# only\n# comments\n", "only comments; write a line band_hz,tl_db"),
        ("125,30\n250,35\n", r"line 1: no column band_hz and tl_db \(got \"125,30\"\); write a first line"),
        ("band_hz,tl\n125,30\n", "no column tl_db"),
        ("band;tl_db\n125;30\n", "no column band_hz"),
        ("band_hz,tl_db\n125;30\n", r"line 2: semicolons \(got \"125;30\"\); separate as in the first line"),
        ("band_hz;tl_db\n125;30,5,1\n", r"line 2: not a number \(got \"30,5,1\"\)"),
        ("band_hz,tl_db\n125,30,5\n", r"line 2: not the 2 columns of the first line .* with a decimal point"),
        ("band_hz,tl_db\n125\n", "line 2: not the 2 columns"),
        ("band_hz,tl_db\n", "no bands below the column names"),
        ("band_hz,tl_db\n125,nan\n", r"line 2: no sane value \(got \"nan\"\)"),
        ("band_hz,tl_db\n125,inf\n", "no sane value"),
        ("band_hz,tl_db\n125,1e9\n", "no sane value"),
        ("band_hz,tl_db\nnan,30\n", "line 2: not finite"),
        ("band_hz,tl_db\n125,loud\n", r"line 2: not a number \(got \"loud\"\)"),
        ("band_hz,tl_db\n140,30\n", r"line 2: no third-octave band from 25 Hz to 10 kHz \(got 140.0\)"),
        ("band_hz,tl_db\n20000,30\n", "no third-octave band"),
        ("band_hz,tl_db\n125,30\n125,31\n", "line 3: band 125 Hz again"),
        ("band_hz,tl_db\n" + "125,30\n" * 300, r"301 lines \(at most 200\)"),
        ('band_hz,tl_db\n"125,30\n', "line 2: not columns"),
        ('"band_hz,tl_db\n125,30\n', "no column band_hz and tl_db"),
        (b"band_hz,tl_db\n125,\xff\n", "not UTF-8"),
        (b"PK\x03\x04\x00\x00", "a binary file"),
    ],
)
def test_faults_of_csv(tmp_path, content, said):
    with pytest.raises(InputError, match=said):
        csv(tmp_path, content)


def test_all_faults_of_csv_come_together(tmp_path):
    with pytest.raises(InputError) as fault:
        csv(tmp_path, "band_hz,tl_db\n125,x\n250,30\n251,31\n500,nan\n")
    assert [one.split(": ")[1] for one in fault.value.faults] == ["line 2", "line 4", "line 5"]


def test_csv_from_standard_input(monkeypatch):
    stdin = io.TextIOWrapper(io.BytesIO(b"\xef\xbb\xbfband_hz,tl_db\n125,30\n"))
    monkeypatch.setattr(sys, "stdin", stdin)
    assert spectra.read_csv("-")[0] == [125]
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"\xff\xff")))
    with pytest.raises(InputError, match="standard input: line 1: not UTF-8"):
        spectra.read_csv("-")


@settings(max_examples=40, deadline=None)
@given(
    values=st.dictionaries(st.sampled_from(THIRD_OCTAVES.tolist()), st.floats(-50, 150), min_size=1),
    order=st.randoms(use_true_random=False),
)
def test_a_written_spectrum_reads_back_the_same(tmp_path_factory, values, order):
    rows = [f"{band!r},{value!r}" for band, value in values.items()]
    order.shuffle(rows)
    bands_hz, tl_db = csv(tmp_path_factory.mktemp("csv"), "\n".join(["band_hz,tl_db", *rows]))
    assert dict(zip(bands_hz.tolist(), tl_db.tolist(), strict=True)) == values
    assert np.all(np.diff(bands_hz) > 0)


@settings(max_examples=100, deadline=None)
@given(content=st.binary(max_size=80), header=st.booleans())
def test_any_bytes_are_a_spectrum_or_a_report(tmp_path_factory, content, header):
    try:
        bands_hz, values = csv(tmp_path_factory.mktemp("csv"), b"band_hz,tl_db\n" * header + content)
        assert bands_hz.size == values.size > 0
    except InputError as fault:
        assert all("\n" not in one for one in fault.faults)


FAULTY = """
[room]
size = "4 m x 3 m x 2.5 m"
[[side]]
name = "window"
faces = "street"
{construction}
area = {area}
seal = "unsealed"
[[noise]]
source = "tram"
level = "70 dBA"
faces = "street"
[[own]]
name = "voice"
source = {source}
level = "80 dBA"
[[option]]
name = "seals"
replace = {replace}
seal = "draught-stripped"
[[take]]
plays = "voice"
"""
GOOD = {
    "construction": 'construction = "glass 4 mm"', "area": '"1 m x 1.2 m"', "source": '"speech"',
    "replace": '"window"',
}  # fmt: skip


@pytest.mark.parametrize(
    "wrong",
    [{"construction": 'constuction = "glass 4 mm"'}, {"area": '"1 x 1.2"'}, {"source": '"speach"'},
     {"replace": '"windows"'}],
    ids=lambda wrong: next(iter(wrong)),
)  # fmt: skip
def test_one_fault_brings_no_others_that_follow_from_it(tmp_path, wrong):
    path = tmp_path / "x.toml"
    path.write_text(FAULTY.format(**GOOD))
    rooms.load(path)
    path.write_text(FAULTY.format(**GOOD | wrong))
    with pytest.raises(InputError) as fault:
        rooms.load(path)
    told = str(fault.value)
    assert next(iter(wrong)) in told or "constuction" in told
    assert not any(word in told for word in ("draught", "there are none", "has none", "not known"))


def test_an_option_states_a_frame_as_a_side_does(tmp_path):
    """The same as the room written anew with that frame."""
    option = """
[[option]]
name = "slide"
replace = "window"
frame = "60 mm"
frame_kind = "sliding aluminium"
"""
    room = read(tmp_path, ROOM + option)
    anew = read(
        tmp_path, ROOM.replace('frame = "none"', 'frame = "60 mm"\nframe_kind = "sliding aluminium"')
    )
    assert room.options[-1].on(room.sides[0]) == anew.sides[0]
    assert anew.sides[0].construction.frame.sliding and room.sides[0] != anew.sides[0]


def test_a_frame_of_an_option_is_for_windows(tmp_path):
    option = '[[option]]\nname = "odd"\nreplace = "party wall"\nframe = "60 mm"\n'
    (fault,) = faults(tmp_path, ROOM + option)
    assert "frame: belongs to a window" in fault
