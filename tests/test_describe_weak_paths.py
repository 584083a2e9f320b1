"""Weak paths in a room's file: seals in words, vents, open windows, flanking, neighbours and their limits."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES
from isolate.describe import leaks, rooms
from isolate.describe.limits import StatedLimit, limit
from isolate.describe.openings import Box
from isolate.describe.room_parts import Room, Shape
from isolate.errors import InputError

HEAD = """
[room]
size = "4 m x 3 m x 2.5 m"
furnishing = "furnished"
background = "25 dBA"
{room}
"""
DOOR = """
[[side]]
name = "door"
faces = "hall"
construction = "solid core door 44 mm"
area = "0.8 m x 2.0 m"
{side}
"""
REST = """
[[noise]]
source = "speech"
level = "60 dBA"
faces = "hall"
indoors = true
{noise}
[[own]]
source = "clarinet"
level = "86 dBA"
[[neighbour]]
name = "flat"
through = ["door"]
background = "25 dBA"
{neighbour}
[[option]]
name = "change"
replace = "door"
gap = []
{option}
"""


def file(room: str = "", side: str = "", noise: str = "", neighbour: str = "", option: str = "") -> str:
    parts = {"room": room, "side": side, "noise": noise, "neighbour": neighbour, "option": option}
    return (HEAD + DOOR + REST).format(**parts)


def read(tmp_path: Path, content: str) -> Room:
    path = tmp_path / "room.toml"
    path.write_text(content, encoding="utf-8")
    return rooms.load(path)


def faults(tmp_path: Path, content: str) -> list[str]:
    with pytest.raises(InputError) as fault:
        read(tmp_path, content)
    prefix = f"{tmp_path / 'room.toml'}: "
    return [one.removeprefix(prefix) for one in fault.value.faults]


def test_a_seal_of_a_door_is_its_three_edges_and_a_threshold_the_fourth(tmp_path: Path) -> None:
    """0.8 m x 2.0 m: two posts and the head, 4.8 m, and 0.8 m below, in an edge with the floor."""
    door = read(tmp_path, file(side='seal = "draught-stripped"\nthreshold = "unsealed"')).sides[0]
    edge, under = door.gaps
    known = leaks.find("under the door", "unsealed")
    assert (edge.length, under.length) == (pytest.approx(4.8), pytest.approx(0.8))
    assert (under.width, under.widths, under.depth) == (known.width.typical, known.width, known.depth)
    assert (edge.at_edge, under.at_edge) == (False, True)
    assert (edge.name, under.name) == ("edge gaps", "gap under it")
    both = read(tmp_path, file(side='seal = "sealed"')).sides[0].gaps
    assert both[1].widths == leaks.find("under the door", "sealed").width


def test_a_place_in_words_and_a_measured_gap_stand_beside_each_other(tmp_path: Path) -> None:
    door = read(tmp_path, file(side="""
[[side.gap]]
place = "outlet"
seal = "one bead"
count = 2
[[side.gap]]
name = "letter box"
width = "5 mm"
length = "0.25 m"
at_edge = true
""")).sides[0]  # fmt: skip
    sockets, box = door.gaps
    leak = leaks.find("socket", "partly sealed")
    assert leak.length is not None
    assert sockets.length == pytest.approx(2 * leak.length) and sockets.name == "2 sockets"
    assert (box.name, box.at_edge, box.depth, box.widths) == ("letter box", True, 0.044, None)
    assert box.area == pytest.approx(0.00125)


def test_a_window_has_a_sash_and_a_wall_a_perimeter(tmp_path: Path) -> None:
    content = file().replace('"solid core door 44 mm"', '"glass 4 mm"').replace("0.8 m x 2.0 m", "1 m x 1 m")
    window = read(tmp_path, content.replace('name = "door"', 'name = "door"\nseal = "unsealed"')).sides[0]
    assert [(gap.name, gap.length) for gap in window.gaps] == [("sash gaps", 4.0)]
    wall = content.replace('"glass 4 mm"', '"brick 102 mm"')
    edge = read(tmp_path, wall.replace('name = "door"', 'name = "door"\nseal = "unsealed"')).sides[0].gaps[0]
    assert edge.at_edge and edge.length == 4.0


def test_every_key_of_a_vent_arrives(tmp_path: Path) -> None:
    vents = read(tmp_path, file(side="""
[[side.vent]]
opening = "100 mm"
[[side.vent]]
name = "duct"
opening = "200 mm x 50 mm"
length = "1.5 m"
lining = "25 mm"
box = "0.6 m x 0.4 m x 0.3 m"
boxes = 2
count = 3
[side.vent.silencer]
bands_hz = [125, 250, 500]
loss_db = [5, 10, 15]
[[side.vent]]
opening = "80 cm2"
[side.vent.tested]
bands_hz = [125, 250, 500, 1000, 2000]
dne_db = [28, 23, 25, 38, 44]
""")).sides[0].vents  # fmt: skip
    hole, duct, tested = vents
    assert hole.area == pytest.approx(math.pi * 0.05**2) and hole.length == 0.044 and hole.name == "vent"
    assert duct.section == (0.2, 0.05) and duct.area == pytest.approx(0.01)
    assert (duct.length, duct.lining, duct.count, duct.name) == (1.5, 0.025, 3, "duct")
    assert duct.box == Box((0.6, 0.4, 0.3), 2, 0.025)
    assert duct.insertion_db is not None and tested.tested_db is not None
    np.testing.assert_allclose(duct.insertion_db[[0, 7, 10, 13, 26]], [5, 5, 10, 15, 15])
    np.testing.assert_allclose(tested.tested_db[[7, 10, 13, 16, 19]], [28, 23, 25, 38, 44])
    assert tested.area == pytest.approx(0.008)


def test_a_trickle_vent_is_a_vent(tmp_path: Path) -> None:
    side = '[[side.vent]]\nopening = "{}"\nlength = "60 mm"\n'
    slot = read(tmp_path, file(side=side.format("300 x 13 mm"))).sides[0].vents[0]
    assert slot.area == pytest.approx(0.0039) and slot.section == pytest.approx((0.3, 0.013))
    assert faults(tmp_path, file(side=side.format("300 mm x 1 mm")))[0].startswith(
        "side[1].vent[1].opening: no sane opening of a vent"
    )


def test_a_vent_of_the_room_goes_into_the_side_it_names(tmp_path: Path) -> None:
    room = read(tmp_path, file() + '[[vent]]\nside = "door"\nopening = "100 mm"\n')
    assert len(room.sides[0].vents) == 1
    assert faults(tmp_path, file() + '[[vent]]\nside = "wall"\nopening = "100 mm"\n') == [
        'vent[1].side: no side is called "wall"; known: door'
    ]


@pytest.mark.parametrize(
    ("stated", "share"),
    [("12 %", 0.12), ("0.4 m2", 0.25), ("shut", 0.0), ("open", 0.5)],
)
def test_a_side_stands_open_by_a_share_of_its_area(tmp_path: Path, stated: str, share: float) -> None:
    opened = read(tmp_path, file(side=f'open = "{stated}"')).sides[0].opened
    assert opened is not None and opened.typical == pytest.approx(share)
    assert opened.low <= opened.typical <= opened.high


def test_a_second_door_its_lobby_and_the_shape_of_the_facade(tmp_path: Path) -> None:
    side = read(tmp_path, file(side="""
shape = "balcony"
soffit_absorption = 0.6
sight_height = "2 m"
shielding = "5 dB"
[side.second]
construction = "panel door 35 mm, pine"
lobby = "0.9 m x 1.2 m x 2.2 m"
furnishing = "treated"
seal = "unsealed"
""")).sides[0]  # fmt: skip
    assert side.shape == Shape("balcony", 0.6, 2.0) and side.shielding_db == 5.0
    assert side.second is not None
    assert side.second.lobby == (0.9, 1.2, 2.2) and side.second.furnishing == "treated"
    assert [gap.length for gap in side.second.gaps] == pytest.approx([4.8, 0.8])


def test_a_noise_reaches_other_sides_weaker(tmp_path: Path) -> None:
    other = DOOR.format(side="").replace('"door"', '"hatch"').replace('"hall"', '"attic"')
    room = read(tmp_path, file(noise='shielding = "3 dB"\n[noise.also]\nattic = "12 dB"') + other)
    assert room.noises[0].reaches == {"hall": 0.0, "attic": 12.0} and room.noises[0].shielding_db == 3.0
    assert faults(tmp_path, file(noise='[noise.also]\ncellar = "12 dB"')) == [
        'noise[1].also: no side faces "cellar"; known: hall'
    ]


def test_flanking_for_all_or_by_the_word(tmp_path: Path) -> None:
    room = read(tmp_path, file(room='people = 2\nflanking = "old brick house"'))
    assert room.flanking[""].name == "brick house, timber floors" and room.people == 2
    room = read(tmp_path, file(room='flanking = { hall = "none" }'))
    assert room.flanking["hall"].beside is None
    assert "no usual house" in faults(tmp_path, file(room='flanking = "igloo"'))[0]
    assert faults(tmp_path, file(room='flanking = { attic = "none" }')) == [
        'room.flanking: no side faces "attic"; known: hall'
    ]


def test_a_flank_described_by_itself(tmp_path: Path) -> None:
    flank = """
[[flank]]
name = "outer wall"
faces = "hall"
construction = "brick wall 225 mm, plastered"
junction = "rigid tee"
length = "2.5 m"
area = "8 m2"
"""
    found = read(tmp_path, file() + flank).flanks[0]
    assert (found.junction, found.length, found.area, found.beyond) == ("rigid tee", 2.5, 8.0, 8.0)
    assert "unknown" in faults(tmp_path, file() + flank.replace("rigid tee", "welded"))[0]
    past = faults(tmp_path, file() + flank + "through = true\n")
    assert past[0].startswith("flank[1].through: nothing runs on past a rigid tee")
    measured = flank.replace("brick wall 225 mm, plastered", "hollow wood door")
    assert "flanking needs layers" in faults(tmp_path, file() + measured)[0]


def test_a_neighbour_across_the_yard(tmp_path: Path) -> None:
    one = read(tmp_path, file(neighbour="""
distance = "12 m"
size = "4 m x 4 m x 2.5 m"
furnishing = "bare"
limit = ["30 dBA at night", "NC 25"]
[neighbour.facade]
construction = "double glass 4-12-4 mm"
area = "1.5 m2"
open = "tilted"
""")).neighbours[0]  # fmt: skip
    assert (one.distance, one.size, one.furnishing) == (12.0, (4.0, 4.0, 2.5), "bare")
    assert one.facade is not None and one.facade.opened is not None
    assert [found.measure for found in one.limits] == ["dBA", "NC"]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("42 dBA", StatedLimit("42 dBA", "dBA", 42.0)),
        ("55 dB(C) by day", StatedLimit("55 dB(C) by day", "dBC", 55.0, when="by day")),
        ("NR 25 at night", StatedLimit("NR 25 at night", "NR", 25.0, when="at night")),
        (
            "45 dB in every third octave 63-500 Hz at night",
            StatedLimit("45 dB in every third octave 63-500 Hz at night", "third octave", 45.0, 63.0, 500.0,
                        when="at night"),
        ),
        (
            "8 dB over background in every octave from 31.5 to 8 kHz",
            StatedLimit("8 dB over background in every octave from 31.5 to 8 kHz", "octave", 8.0, 31.5,
                        8000.0, over=True),
        ),
        ("5 dBA above the background", StatedLimit("5 dBA above the background", "dBA", 5.0, over=True)),
    ],
)  # fmt: skip
def test_limits_in_words(words: str, expected: StatedLimit) -> None:
    assert limit(words) == expected


def test_a_limit_by_band(tmp_path: Path) -> None:
    stated = "[[neighbour.limit]]\nname = 'lease'\nbands_hz = [63, 80, 100]\nlevel_db = [45, 44, 43]\n"
    found = read(tmp_path, file(neighbour=stated)).neighbours[0].limits[0]
    assert (found.text, found.measure) == ("lease", "bands") and found.level_db is not None
    np.testing.assert_array_equal(found.level_db[4:7], [45, 44, 43])
    assert np.isinf(found.level_db).sum() == THIRD_OCTAVES.size - 3


def test_an_option_changes_seals_vents_and_openings_and_leaves_the_rest(tmp_path: Path) -> None:
    side = 'seal = "unsealed"\n[[side.vent]]\nopening = "100 mm"\n'
    room = read(tmp_path, file(side=side, option='vent = []\nopen = "ajar"'))
    changed = room.options[0].on(room.sides[0])
    assert changed.gaps == () and changed.vents == () and changed.opened is not None
    assert changed.construction is room.sides[0].construction
    room = read(tmp_path, file(side=side).replace("gap = []", 'seal = "sealed"'))
    changed = room.options[0].on(room.sides[0])
    assert len(changed.gaps) == 2 and len(changed.vents) == 1


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (file(side='seal = "windy"'), "side[1].seal: no state of a seal"),
        (file(side='[[side.gap]]\nplace = "lamp"\nseal = "unsealed"'), "side[1].gap[1].place: no place"),
        (file(side='[[side.gap]]\nplace = "socket"'), "side[1].gap[1].seal: missing"),
        (file(side='[[side.gap]]\nplace = "perimeter"\nseal = "sealed"\ncount = 2'),
         "side[1].gap[1].count: counts"),
        (file(side='[[side.gap]]\nplace = "socket"\nseal = "sealed"\nwidth = "1 mm"'),
         "side[1].gap[1].width: given"),
        (file(side='[[side.vent]]\nlength = "1 m"'), "side[1].vent[1].opening: missing"),
        (file(side='[[side.vent]]\nopening = "100"'), "side[1].vent[1].opening: not an opening"),
        (file(side='[[side.vent]]\nopening = "0.1 m"\nboxes = 2'), "side[1].vent[1].boxes: without a box"),
        (file(side='[[side.vent]]\nopening = "0.1 m"\nsilencer = { loss_db = [1, 2, 3] }'),
         "side[1].vent[1].silencer.bands_hz: missing"),
        (file(side='open = "wide"'), "side[1].open: not an opening"),
        (file(side='open = "3 m2"'), "side[1].open: out of range"),
        (file(side='sight_height = "2 m"'), "side[1].sight_height: without a shape"),
        (file(side='[side.second]\nconstruction = "glass 4 mm"'), "side[1].second.lobby: missing"),
        (file(neighbour='limit = "quiet"'), "neighbour[1].limit: not a limit"),
        (file(neighbour='limit = "45 dB in every third octave 60-500 Hz"'),
         "neighbour[1].limit: no third octave"),
        (file(neighbour='limit = "45 dB in every octave 500-63 Hz"'), "neighbour[1].limit: the bands run"),
        (file(neighbour='distance = "5 m"\nsize = "4 m x 4 m x 2 m"'), "neighbour[1].distance: outdoors"),
        (file(neighbour='[neighbour.facade]\nconstruction = "glass 4 mm"\narea = "1 m2"'),
         "neighbour[1].distance: missing"),
        (file(option='lining = "brick wall 225 mm, lined on free studs"'),
         "option[1].lining: lining and flanks"),
        (file().replace("gap = []", ""), "option[1].construction: changes nothing"),
        (file().replace('replace = "door"\ngap', "gap"), "option[1].replace: missing"),
    ],
)  # fmt: skip
def test_faults_say_where_they_are(tmp_path: Path, content: str, said: str) -> None:
    found = faults(tmp_path, content)
    assert any(fault.startswith(said) for fault in found), found


def test_a_seal_needs_to_know_how_long_it_is(tmp_path: Path) -> None:
    content = file(side='seal = "sealed"').replace("0.8 m x 2.0 m", "1.6 m2")
    assert faults(tmp_path, content)[0].startswith("side[1].seal: the length of its joints is not known")
