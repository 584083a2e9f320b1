"""[inner] in a room's file: what it says, what is taken where it says nothing, every fault of it at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from isolate.describe import inner, rooms
from isolate.describe.inner_parts import Inner, Mat, Mounts
from isolate.describe.room_parts import Room
from isolate.errors import InputError

ROOM = """
[room]
size = "4 m x 3 m x 2.5 m"
[[side]]
name = "wall"
faces = "street"
construction = "brick wall 225 mm"
area = "10 m2"
[[side.vent]]
opening = "100 mm"
length = "0.3 m"
[[side]]
name = "floor"
faces = "below"
construction = "concrete slab 150 mm"
area = "12 m2"
[[noise]]
name = "tram"
source = "tram"
faces = "street"
"""


def read(tmp_path: Path, text: str) -> Room:
    file = tmp_path / "room.toml"
    file.write_text(ROOM + text, encoding="utf-8")
    return rooms.load(str(file))


def described(tmp_path: Path, text: str) -> Inner:
    found = read(tmp_path, text).inner
    assert found is not None
    return found


def test_a_room_without_the_table_has_none(tmp_path: Path) -> None:
    assert read(tmp_path, "").inner is None


def test_an_empty_table_is_the_usual_one(tmp_path: Path) -> None:
    found, usual = described(tmp_path, "[inner]"), inner.usual_inner()
    assert found.described and not usual.described
    assert (found.walls, found.ceiling, found.floor, found.ties) == (
        usual.walls, usual.ceiling, usual.floor, usual.ties,
    )  # fmt: skip


def test_everything_is_read(tmp_path: Path) -> None:
    found = described(
        tmp_path,
        """
[inner]
boards = "OSB 18 mm + 2 x gypsum board 15 mm"
bond = "damped"
gap = "8 in"
fill = "none"
frame = "steel stud"
spacing = "16 in"
stands_on = "floor"
sole = "strip"
session = "90 min"
opened = true
[inner.ceiling]
boards = "3 x gypsum board 15 mm"
carried_by = "resilient hangers"
[inner.floor]
boards = "concrete 80 mm"
base = "concrete slab 200 mm"
also_in = "below"
[inner.floor.mat]
stiffness = "9 MN/m3"
flow_resistivity = "120 kPa s/m2"
[inner.window]
pane = "laminated glass 8.8 mm"
gap = "300 mm"
reveal = "bare"
[inner.door]
construction = "solid core door 54 mm"
seal = "draught-stripped"
lobby = "0.5 m"
[[inner.vent]]
side = "wall"
opening = "100 mm"
length = "0.5 m"
[[inner.tie]]
what = "pipe"
at = "wall"
count = 2
""",
    )
    assert [leaf.material.name for leaf in found.walls.leaves] == ["OSB", "gypsum board"]
    assert {leaf.bond for leaf in found.walls.leaves} == {"damped"}
    assert found.walls.gap == pytest.approx(0.2032) and found.walls.fill is None and found.walls.opened
    assert found.walls.depth == pytest.approx(0.2032 + 0.018 + 0.03)
    assert (found.frame, found.stands_on, found.sole, found.session) == (
        "steel stud",
        "floor",
        "strip",
        5400.0,
    )
    assert found.carried == "resilient hangers" and found.ceiling.leaves[0].sheets == 3
    assert found.floor.on == Mat(9e6, 120e3) and found.floor.also_in == ("below",)
    assert found.floor.base is not None and found.floor.base.name == "concrete slab 200 mm"
    assert found.window.edges == "bare" and found.door.lobby == 0.5 and found.door.seal == "draught-stripped"
    assert found.vents[0][0] == "wall" and found.ties[0].name == "2 pipes, wall"


def test_a_gap_stated_alone_keeps_the_share_of_the_wool(tmp_path: Path) -> None:
    usual, found = inner.usual_inner().walls, described(tmp_path, '[inner]\ngap = "240 mm"').walls
    assert found.fill_depth / found.gap == pytest.approx(usual.fill_depth / usual.gap)


def test_mounts_keep_what_is_not_said_of_them(tmp_path: Path) -> None:
    found = described(tmp_path, '[inner.floor.mounts]\ncount = 40\ndeflection = "10 mm"').floor.on
    assert found == Mounts(count=40, deflection=0.01)


def test_every_fault_is_found_at_once(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read(
            tmp_path,
            """
[inner]
boards = "gypsum board 15 mm + 50 mm + gypsum board 15 mm"
gap = 120
fill_depth = "1 m"
stands_on = "air"
bords = "x"
[inner.floor]
also_in = "moon"
[inner.floor.mounts]
rating = "80 N"
[inner.floor.mat]
loss = 0.1
[inner.door]
construction = "no such door"
[[inner.vent]]
side = "roof"
opening = "100 mm"
[[inner.vent]]
side = "floor"
opening = "100 mm"
[[inner.tie]]
what = "glue"
at = "sky"
""",
        )
    told = str(caught.value)
    for part in (
        "inner.boards: not boards alone",
        "inner.gap: a bare number",
        "inner.fill_depth",
        "inner.stands_on: unknown",
        'inner.bords: unknown key; did you mean "boards"',
        "inner.floor.mat: given beside mounts",
        "inner.floor.mounts.rating",
        "inner.floor.mat.stiffness: missing",
        "inner.door.construction",
        'inner.vent[1].side: no side is called "roof"',
        'inner.vent[2].side: "floor" has no vent to go on from',
        'inner.floor.also_in: no side faces "moon"',
        "inner.tie[1].what: unknown",
        'inner.tie[1].at: no such place (got "sky")',
    ):
        assert part in told, part


def test_doors_get_the_gaps_of_their_seals() -> None:
    door = inner.usual_inner().door
    edge, below = inner.door_gaps(door, (0.8, 2.0))
    assert edge.length == pytest.approx(4.8) and below.length == pytest.approx(0.8)
    assert edge.widths is not None and edge.width == edge.widths.typical
