"""A room within a room by hand: its sizes, its bill, its weight, its steps and joints."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES
from isolate.describe import constructions, houses, inner, rooms
from isolate.describe.inner_parts import InnerFloor, InnerTie, Lining, Mat, Mounts
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.describe.rooms import Box, Side, Vent
from isolate.errors import InputError
from isolate.remedies.inner import building, materials, shells
from isolate.remedies.inner.air import _through, breathing, for_air
from isolate.remedies.inner.house import base_plates, guessed
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import Plan, roles
from isolate.remedies.inner.shell import composite, inner_face, third_leaf
from isolate.remedies.inner.ties import Touching
from isolate.remedies.remedy import Need

BOARDS = Lining(0.1, (Leaf(material("gypsum board"), 0.0125, 2),), material("stone wool"), 0.075)
DECK = Lining(0.05, (Leaf(material("chipboard"), 0.022, 1),))


def made(
    name: str, kind: str, size: tuple[float, float], built: str = "brick wall 225 mm", faces: str = "street"
) -> Side:
    construction = replace(constructions.load(built), kind=kind)
    return Side(name, faces, construction, size[0] * size[1], size)


SLAB, TIMBER = "concrete slab 150 mm", "timber floor above, one board"
WINDOW = made("window", "window", (1.2, 1.0), "glass 4 mm")
DOOR = made("door", "door", (0.8, 2.0), "hollow core door 35 mm")
WALL = made("street wall", "wall", (4.0, 2.2))


def plan(*sides: Side, **how: Any) -> Plan:
    """5 x 4 x 2.5 m; boards of 25 mm, 0.1 m clear on walls and ceiling; 22 mm on mounts, 50 mm clear."""
    room = replace(rooms.load("drum room"), size=(5.0, 4.0, 2.5), sides=sides or (WALL, WINDOW, DOOR))
    floor = InnerFloor(how.pop("lining", DECK), how.pop("on", Mounts()), how.pop("base", None))
    built = replace(inner.usual_inner(), walls=BOARDS, ceiling=BOARDS, floor=floor, spacing=0.6, **how)
    return Plan(replace(room, inner=built), built)


def needs(found: Plan, part: str) -> dict[str, Need]:
    return {need.item or need.name: need for need in materials.needs(found) if need.part == part}


# --- sizes ---


def test_the_inner_room_is_what_the_linings_leave() -> None:
    """5 - 2 x 0.125, 4 - 2 x 0.125, 2.5 - 0.125 - 0.072 m."""
    found = plan()
    assert found.inner_size == pytest.approx((4.75, 3.75, 2.303))
    assert found.size(()) == (5.0, 4.0, 2.5)
    assert found.size(("ceiling",)) == pytest.approx((5.0, 4.0, 2.375))
    assert found.inner_perimeter == pytest.approx(17.0) and found.floor_area == pytest.approx(17.8125)
    assert found.outer_area == 20.0 and found.stud_height == pytest.approx(2.303)
    assert plan(stands_on="floor").stud_height == pytest.approx(2.375)
    assert found.wall_area == pytest.approx(17.0 * 2.303 - 1.2 - 1.6)
    assert found.face("walls") == (5.0, 2.5) and found.face("floor") == (5.0, 4.0)
    assert found.face_area("walls") == 45.0 and found.face_area("ceiling") == 20.0


def test_before_a_gate_the_inner_wall_runs_on() -> None:
    """From 3 m2 on a door is a gate (common practice); what a side is called says what lies level."""
    for area, role in ((2.99, "door"), (3.01, "walls")):
        assert roles(replace(DOOR, area=area)) == role
    assert roles(made("ceiling", "floor", (5.0, 4.0))) == "ceiling"
    assert roles(made("roof window", "window", (1.0, 1.0))) == "window"
    assert roles(made("floor by the ceiling", "wall", (5.0, 2.0))) == "walls"


def test_walls_stand_where_their_lengths_say_and_windows_come_second() -> None:
    """Sides of 4 m and 5 m at 2.5 m; a window and a door go into the smallest wall that faces as they do."""
    end, long = made("end wall", "wall", (4.0, 2.0)), made("long wall", "wall", (5.0, 2.5), faces="yard")
    found = plan(long, end, WINDOW, replace(DOOR, faces="hall")).around
    assert found[1].side is end and found[1].openings == (WINDOW,) and found[1].lit
    assert long in (found[2].side, found[3].side)
    assert sum(one.area for one in found) == pytest.approx(8.0 + 12.5 + 1.2 + 1.6)
    assert [one.faces for one in found if one.side is None and one.openings] == ["hall"]
    two = plan(long, replace(long, name="wider", area=14.0), replace(WINDOW, faces="yard")).around
    assert [one.side for one in two if one.lit] == [long]


# --- bill ---


def test_studs_joists_and_hangers_by_hand() -> None:
    """17 m at 0.6 m: 29 studs, 8 at the corners, 2 at each opening, 2.303 m long; 3 plates. 9 joists of
    3.75 m, 38 x 140 mm (450 kg/m3); a hanger for 1.44 m2,
    under a grid of steel channel of 0.55 kg/m every 0.4 m and every 1 m across."""
    run = (29 + 8 + 4) * 2.303 + 51.0
    wood = needs(plan(), "walls")["wood stud"]
    assert wood.amount == pytest.approx(run) and wood.mass == pytest.approx(
        run * 0.038 * 0.089 * 450, rel=0.1
    )
    steel = needs(plan(frame="steel stud"), "walls")["steel stud"]
    assert steel.amount == pytest.approx(run) and steel.mass == pytest.approx(
        run * 0.15 * 6e-4 * 7850, rel=0.1
    )
    joists = needs(plan(carried="inner walls"), "ceiling")["wood stud"]
    assert joists.amount == pytest.approx(33.75)
    assert joists.mass == pytest.approx(33.75 * 0.038 * 0.140 * 450, rel=0.1)
    hung = needs(plan(carried="hangers"), "ceiling")["hanger"]
    assert hung.amount == 13 and hung.mass == pytest.approx(17.8125 * 0.55 / 0.4 * 1.4, rel=0.1)
    assert pytest.approx(1.44) == materials.HANGER_AREA


def test_boards_wool_and_finish_by_hand() -> None:
    area = 17.0 * 2.303 - 2.8
    walls = needs(plan(), "walls")
    assert walls["gypsum board"].amount == pytest.approx(2 * area)
    assert walls["gypsum board"].mass == pytest.approx(2 * area * 0.0125 * 690, rel=0.15)
    assert walls["finish"].amount == walls["wool"].amount == pytest.approx(area)
    assert walls["wool"].mass == pytest.approx(area * 0.075 * material("stone wool").density.typical)
    assert walls["wool"].thickness == 0.075 and "edge strip" not in walls
    strip = needs(plan(sole="strip"), "walls")["edge strip"]
    assert strip.amount == pytest.approx(17.0)
    floor = needs(plan(), "floor")
    assert floor["chipboard"].amount == pytest.approx(17.8125) and floor[
        "edge strip"
    ].amount == pytest.approx(17.0)
    assert "finish" not in floor and "wool" not in floor
    assert needs(plan(on=Mat(10e6)), "floor")["wool"].thickness == 0.05
    filled = replace(DECK, fill=material("stone wool"), fill_depth=0.05)
    assert needs(plan(lining=filled), "floor")["wool"].amount == pytest.approx(17.8125)
    empty = replace(DECK, fill=material("stone wool"), fill_depth=0.0)
    assert "wool" not in needs(plan(lining=empty), "floor")
    plain = replace(BOARDS, leaves=(Leaf(material("steel"), 1e-3),))
    assert "finish" in needs(plan(), "ceiling")
    bare = replace(plan(), inner=replace(plan().inner, ceiling=plain))
    assert "finish" not in needs(bare, "ceiling")


def test_openings_and_sealing_by_hand() -> None:
    """A frame 2 (1.2 + 1.0) m round; beads along both edges of two layers of walls and two of ceiling, and
    twice round both openings, four times the root of their areas."""
    found = needs(plan(), "windows")
    assert found["second frame"].amount == pytest.approx(4.4)
    area_only = replace(WINDOW, area=1.44, size=None)
    assert needs(plan(WALL, area_only), "windows")["second frame"].amount == pytest.approx(4.8)
    doors = needs(plan(), "doors")
    assert doors["solid door"].amount == doors["door frame"].amount == 1
    assert 20.0 <= doors["solid door"].mass / 1.6 <= 45.0  # kg/m2 of heavy doors (common practice)
    wide = replace(DOOR, area=2.9, size=(1.45, 2.0))
    two = needs(plan(WALL, wide), "doors")
    assert two["solid door"].amount == 2 and two["door frame"].mass == pytest.approx(24.0)
    run = 17.0 * 5 + 2 * 4 * (1.2**0.5 + 1.6**0.5)
    assert needs(plan(), "sealing")["soft sealant"].amount == np.ceil(run / 8.6)


def test_points_and_sheets_by_hand() -> None:
    """A socket every 2.5 m of 17 m, a light every 6 m2 of 17.8: 7 and 3. Boards of 1.2 x 2.4 m, a tenth more:
    100 m2 are 39."""
    points = needs(plan(), "electricity")["electric point"]
    assert points.amount == 10 and points.mass == pytest.approx(10 * materials.POINT)
    wide = plan()
    wide = replace(wide, room=replace(wide.room, size=(8.25, 5.25, 2.5)))  # 8 x 5 m: 26 m round, 40 m2
    assert needs(wide, "electricity")["electric point"].amount == 11 + 7
    assert materials.sheets(Need("gypsum board", "", 100.0, "m2")) == 39
    assert materials.sheets(Need("wool", "", 100.0, "m2")) is None


def test_what_the_file_puts_on_vents_in_the_inner_shell_is_bought() -> None:
    """Two ducts of 177 cm2, 150 mm wide; a box and a silencer each."""
    vent = Vent(
        "grille", 0.0177, (0.133, 0.133), 1.5, 0.025, Box((0.6, 0.3, 0.3), 2, 0.05), np.ones(27), count=2
    )
    found = needs(plan(vents=(("street wall", vent),)), "air")
    assert found["lined duct"].amount == 3.0 and found["lined duct"].thickness == pytest.approx(
        0.15, abs=0.001
    )
    assert found["lined box"].amount == 4 and found["lined box"].mass == pytest.approx(48.0, rel=0.2)
    assert found["silencer"].amount == 2 and found["silencer"].mass == pytest.approx(16.0, rel=0.2)
    assert "air" not in {need.part for need in materials.needs(plan())}


# --- weight ---


def test_what_lives_in_it_weighs_by_hand() -> None:
    """People of 80 kg; things of 25 kg/m2, a sixth of the 1.5 kN/m2 that floors of homes are made for
    (EN 1991-1-1, table 6.2)."""
    load = Load(plan(), 2.0)
    assert load.in_use == pytest.approx(2 * 80.0 + 17.8125 * 1500.0 / 9.81 / 6, rel=0.02)
    assert load.surface_mass == pytest.approx(load.on_floor / 20.0)
    assert load.pressure == pytest.approx(load.surface_mass * 9.81)
    wanted = np.ceil((load.floated + load.in_use) / 80.0)
    assert load.mounts == wanted == load.bill[-1].amount
    empty = Load(plan(on=Mounts(rating=1e5)), 0.0)
    assert empty.mounts == 4  # one a corner
    assert Load(plan(on=Mounts(count=7)), 0.0).mounts == 7 and Load(plan(on=Mat(10e6)), 0.0).mounts == 0


def test_walls_weigh_on_their_line_and_on_what_floats() -> None:
    """With the ceiling they carry, or without one that hangs."""
    own, hung = Load(plan(carried="inner walls")), Load(plan(carried="hangers"))
    parts = [own.of(name) for name in ("walls", "windows", "doors", "ceiling")]
    assert own.per_metre == pytest.approx(sum(parts) / 17.0)
    assert hung.per_metre == pytest.approx(sum(parts[:3]) / 17.0)
    assert own.floated == pytest.approx(sum(parts) + own.of("floor"))
    assert hung.floated == pytest.approx(sum(parts[:3]) + hung.of("floor"))
    assert Load(plan(stands_on="floor")).floated == pytest.approx(own.of("floor"))
    assert own.on_floor == pytest.approx(own.mass)
    assert hung.on_floor == pytest.approx(hung.mass - hung.of("ceiling"))


def test_mounts_spring_as_their_sheet_says() -> None:
    """80 kg sink 4 mm: 196 N/mm, half as much again in motion; air of 50 mm: rho c2/d, isothermal in wool."""
    load = Load(plan())
    assert load.static_stiffness == pytest.approx(80 * 9.81 / 4e-3)
    assert load.mount_stiffness == pytest.approx(1.5 * 80 * 9.81 / 4e-3)
    assert load.on_mount(used=True) - load.on_mount(used=False) == pytest.approx(load.in_use / load.mounts)
    assert load.deflection(used=True) == pytest.approx(load.on_mount(used=True) / 80.0 * 4e-3)
    assert load.air_stiffness == pytest.approx(1.4 * 101325.0 / 0.05, rel=0.02)
    full = Load(plan(lining=replace(DECK, fill=material("stone wool"), fill_depth=0.05)))
    assert full.air_stiffness == pytest.approx(101325.0 / 0.05, rel=0.02)
    half = Load(plan(lining=replace(DECK, fill=material("stone wool"), fill_depth=0.025)))
    assert 1 / half.air_stiffness == pytest.approx((1 / full.air_stiffness + 1 / load.air_stiffness) / 2)
    assert load.stiffness == pytest.approx(load.mounts * load.mount_stiffness / 17.8125 + load.air_stiffness)
    assert load.floated_surface_mass == pytest.approx(load.of("floor") / 17.8125)
    f0 = (load.stiffness / load.floated_surface_mass) ** 0.5 / (2 * np.pi)
    assert load.resonance == pytest.approx(f0) and load.swing >= f0
    mat = Load(plan(on=Mat(10e6)))
    assert mat.stiffness == max(mat.mat_stiffness, mat.air_stiffness) and mat.mount_resonance is None


def test_a_light_floor_swings_with_what_floats() -> None:
    """160 sqrt(s'(1/m1' + 1/m2')), s' in MN/m3 (ISO 12354-1:2017, annex D); a slab stands still."""
    joists = constructions.load("joist floor, boards and lath and plaster")
    light, heavy = Load(plan(base=joists)), Load(plan(base=constructions.load("concrete slab 150 mm")))
    assert light.base.light and not heavy.base.light
    for load, other in ((light, 1 / light.base.whole), (heavy, 0.0)):
        both = 1 / load.floated_surface_mass + other
        assert load.swing == pytest.approx(160 * np.sqrt(load.stiffness / 1e6 * both), rel=0.02)


# --- steps and joints ---


@pytest.mark.parametrize(
    ("item", "part", "step"),
    [
        ("chipboard", "floor", "floor"), ("second frame", "windows", "openings"),
        ("solid door", "doors", "openings"), ("lined duct", "air", "services"), ("cowl", "air", "finish"),
        ("electric point", "electricity", "services"), ("wood stud", "walls", "frames"),
        ("hanger", "ceiling", "frames"), ("gypsum board", "walls", "boards"), ("wool", "ceiling", "boards"),
        ("finish", "walls", "finish"), ("soft sealant", "sealing", "boards"),
    ],
)  # fmt: skip
def test_each_line_is_built_in_its_step(item: str, part: str, step: str) -> None:
    assert building.step_of(Need(item, item, 1.0, "m", part=part)) == step


def test_days_are_of_two_for_eight_hours() -> None:
    """16 hours before anything is built are the first day; then each step begins where the last one ends."""
    load = Load(plan(), 1.0)
    found = {one.key: one for one in building.steps(load)}
    assert (found["before"].first, found["before"].last) == (1, 1) and found["floor"].first == 2
    done = 1.0
    for key in building.STEPS[1:]:
        own = building.hours([need for need in load.bill if building.step_of(need) == key]) / 2 / 8.0
        assert found[key].first <= done + 1.0 + 1e-6 < found[key].first + 1 + 1e-6
        done += own
        assert found[key].last == pytest.approx(np.ceil(done), abs=1e-6)
    assert building.Part("walls", None, 0.0, 40.0).days == pytest.approx(2.5)
    boards = Need("gypsum board", "", 10.0, "m2")  # 11 m2 bought
    assert building.hours([boards, boards]) == pytest.approx(22.0 * building.HOURS["gypsum board"])


def test_joints_are_clear_by_what_is_left() -> None:
    """A centimetre where edges meet, two round ducts and pipes, half of one under boards (common practice);
    behind studs of 89 mm and joists of 145 mm what the gaps leave."""
    found = {one.key: 1e3 * one.clear for one in building.joints(plan())}
    assert found == pytest.approx({
        "mounts": 50.0, "floor edge": 10.0, "sole on floor": 0.0, "studs": 11.0, "joists": 0.0, "heads": 10.0,
        "boards": 5.0, "window": 10.0, "door": 10.0, "cables": 0.0, "pipes": 20.0,
    })  # fmt: skip
    other = plan(WALL, on=Mat(10e6), stands_on="floor", carried="hangers",
                 vents=(("street wall", Vent("g", 0.01)),))  # fmt: skip
    kept = {one.key: 1e3 * one.clear for one in building.joints(other)}
    assert {"mat", "sole on house", "hangers"} <= kept.keys() and not {
        "window",
        "door",
        "joists",
    } & kept.keys()
    assert kept["ducts"] == 20.0 and kept["hangers"] == pytest.approx(100.0)
    assert building.joints(other)[0].to_dict() == {"joint": "mat", "clear_mm": pytest.approx(50.0)}
    high = replace(plan(), inner=replace(plan().inner, ceiling=replace(BOARDS, gap=0.2)))
    assert {one.key: one.clear for one in building.joints(high)}["joists"] == pytest.approx(0.055)


# --- what touches, what is left ---


def test_what_crosses_a_gap_by_hand() -> None:
    """Mounts over the floor's area, hangers one to 1.44 m2, bolts over the face they are at; a board of 2 m
    bears at three points a metre (our judgement)."""
    ties_ = (InnerTie("bolt", "walls", 9), InnerTie("board", "street wall", 2, 2.0))
    hung = Touching(Load(plan(carried="resilient hangers", ties=ties_)))
    (mounts,) = hung.across("floor", ("floor",))
    assert mounts.pattern == "springs"
    assert mounts.per_area == pytest.approx(hung.load.mounts / 17.8125) == mounts.spacing**-2
    (hangers,) = hung.across("ceiling", ("ceiling",))
    assert hangers.pattern == "points" and hangers.per_area == pytest.approx(1 / 1.44)
    assert Touching(Load(plan(carried="inner walls"))).across("ceiling", ("ceiling",)) == ()
    assert hung.across("walls", ("walls",)) == ()
    bolts, board = hung.across("walls", ("walls", "ties"), "street wall")
    assert bolts.per_area == pytest.approx(9 / 45.0) and board.per_area == pytest.approx(2 * 3 * 2.0 / 8.8)
    assert [one.per_area for one in hung.across("walls", ("walls", "ties"), "other")] == [bolts.per_area]
    mat = Touching(Load(plan(on=Mat(10e6))))
    (layer,) = mat.across("floor", ("floor",))
    assert layer.per_area * layer.spacing**2 == pytest.approx(1.0)


def test_what_springs_takes_energy_away() -> None:
    """A force over a speed of s (1 + j eta)/(j w): its real part, what is lost, is above 0. Mounts by their
    sheet, half as stiff again in motion; hangers 120 N/mm and 0.1, a pipe 0.05 (our judgement); a mat is
    what it is without the air in it, which is there anyway."""
    w = 2 * np.pi * 10.0

    def stiff(link: Any) -> complex:
        return complex(link(np.array([10.0]), np.array([0.0]))[0][0]) * 1j * w

    ties_ = (InnerTie("pipe", "ceiling", 2),)
    hung = Touching(Load(plan(carried="resilient hangers", ties=ties_)))
    mount = 1.5 * 80 * 9.81 / 4e-3 * (1 + 1j * Mounts().loss)
    (mounts,), (hangers,) = hung.across("floor", ("floor",)), hung.across("ceiling", ("ceiling",))
    assert stiff(mounts.link) == pytest.approx(mount)
    assert stiff(hangers.link) == pytest.approx(1.2e5 * (1 + 0.1j))
    found = {one.name: one for one in hung.contacts(("walls", "ceiling", "floor", "ties"))}
    assert stiff(found["mounts of the floor"].link) == pytest.approx(mount)
    assert stiff(found["hangers of the ceiling"].link) == pytest.approx(1.2e5 * (1 + 0.1j))
    assert found["hangers of the ceiling"].count == pytest.approx(17.8125 / 1.44)
    assert stiff(found["tie (2 pipes, ceiling)"].link) == pytest.approx(1e8 * (1 + 0.05j))
    mat = Load(plan(on=Mat(10e6)))
    (layer,) = Touching(mat).across("floor", ("floor",))
    own = (mat.mat_stiffness - mat.air_stiffness) * (1 + 1j * Mat(10e6).loss)
    assert stiff(layer.link) * layer.per_area == pytest.approx(own)
    boards = Touching(Load(plan(ties=(InnerTie("board", "street wall", 2, 3.0),))))
    (board,) = [one for one in boards.contacts(("walls", "ties")) if "board" in one.name]
    assert board.length == 6.0


def test_inner_walls_are_one_plate_round_the_room_and_a_mat_parts_by_30_lg() -> None:
    """17 m round, 2.303 m high; 30 lg(f/f0) far above its resonance (ISO 12354-2, annex C)."""
    plates = Touching(Load(plan())).plates(("walls", "ceiling", "floor"))
    assert plates["inner walls"].size == pytest.approx((17.0, 2.303))
    assert plates["inner ceiling"].size == plates["inner floor"].size == pytest.approx((4.75, 3.75))
    mat = Load(plan(on=Mat(10e6)))
    (under, *_) = Touching(mat).contacts(("floor",))
    factor = np.asarray(under.factor)
    assert factor[-1] == pytest.approx((mat.resonance / 1e4) ** 3, rel=0.05) and factor[0] > 1.0


def test_a_window_of_which_only_the_area_is_told_is_square() -> None:
    """1.44 m2: 1.2 m each way, 4.8 m round."""
    here = replace(WINDOW, area=1.44, size=None)
    (gap,) = plan(WALL, here).window_option(here).inner_gaps or ()
    assert gap.length == pytest.approx(4.8)


def test_where_the_inner_room_touches_by_its_state() -> None:
    """Walls alone stand on the house and bear against its ceiling; of the whole only its mounts touch. A
    strip of rubber parts plates from 125 Hz on by 10 lg of the frequency (EN 12354-1, annex E)."""
    floats, stands = (
        Touching(Load(plan(sole="strip"))),
        Touching(Load(plan(stands_on="floor", carried="hangers"))),
    )

    def names(touching: Touching, *parts: str) -> list[str]:
        return [one.name for one in touching.contacts(parts)]

    assert names(floats, "walls") == ["soles of the inner walls", "heads of the inner walls"]
    assert names(floats, "walls", "ceiling", "floor") == [
        "mounts of the floor", "walls on the floor", "ceiling on the walls",
    ]  # fmt: skip
    assert names(stands, "walls", "ceiling", "floor") == [
        "mounts of the floor", "soles of the inner walls", "hangers of the ceiling",
    ]  # fmt: skip
    assert names(Touching(Load(plan(on=Mat(10e6)))), "floor")[0] == "mat under the floor"
    soles = floats.contacts(("walls",))[0]
    strip = np.broadcast_to(np.asarray(soles.k_db), (27,))
    assert strip == pytest.approx(10 * np.log10(np.maximum(THIRD_OCTAVES / 125.0, 1.0)))
    assert np.all(np.asarray(stands.contacts(("walls",))[0].k_db) == 0.0)
    ties_ = (InnerTie("pipe", "ceiling", 2), InnerTie("board", "street wall", 1, 3.0))
    tied = Touching(Load(plan(ties=ties_))).contacts(("walls", "ceiling", "floor", "ties"))
    by_name = {one.name: one for one in tied}
    pipe, board = by_name["tie (2 pipes, ceiling)"], by_name["tie (board, street wall)"]
    assert (pipe.base, pipe.part, pipe.count) == ("ceiling", "inner ceiling", 2)
    assert (board.base, board.part, board.length) == ("walls", "inner walls", 3.0)


def test_an_inner_room_leaves_room_to_stand_in() -> None:
    """0.6 m wide and 1.5 m high at least (common practice)."""
    for size, fits in (
        ((0.86, 4.0, 2.5), True), ((0.84, 4.0, 2.5), False), ((4.0, 0.84, 2.5), False),
        ((4.0, 4.0, 1.71), True), ((4.0, 4.0, 1.69), False),
    ):  # fmt: skip
        here = replace(plan(), room=replace(plan().room, size=size))
        if fits:
            shells._check_room(here)
        else:
            with pytest.raises(InputError, match="would leave"):
                shells._check_room(here)


def test_a_floated_floor_takes_25_db_at_most_and_half_where_it_touches() -> None:
    room = rooms.load("drum room")
    found = shells.shells_of(room)
    free = np.asarray(shells._floated(found, ("walls", "floor")))
    tied = np.asarray(shells._floated(found, ("walls", "floor", "ties")))
    assert shells._floated(found, ("walls",)) == 0.0
    assert free.max() == 25.0 and free.min() < 0.0  # it swings at its resonance
    assert tied == pytest.approx(np.where(free > 0.0, free / 2, free))


def test_of_a_light_double_wall_the_old_boards_come_off() -> None:
    """Else three leaves swing: 0.1 m of gap, 88.9 mm of studs and a board of 12.5 mm are one space."""
    wall = constructions.load("wood stud wall 2x4 16 in, empty")
    studs = next(layer for layer in wall.layers if isinstance(layer, Cavity))
    after = wall.layers[wall.layers.index(studs) + 1 :]
    assert third_leaf(wall) and inner_face(wall) == after
    brick = constructions.load("brick wall 225 mm, lined on free studs")
    assert not third_leaf(constructions.load("brick wall 225 mm")) and inner_face(brick)
    assert not third_leaf(replace(wall, kind="window")) and not third_leaf(replace(wall, kind="door"))
    bare = replace(wall, layers=tuple(
        replace(one, framing=None) if isinstance(one, Cavity) else one for one in wall.layers))  # fmt: skip
    assert not third_leaf(bare)
    opened, closed = (composite(wall, BOARDS.layers, opened=opened) for opened in (True, False))
    gaps = [layer for layer in opened.layers if isinstance(layer, Cavity)]
    boards = sum(one.thickness * one.sheets for one in after if isinstance(one, Leaf))
    assert [gap.depth for gap in gaps] == [pytest.approx(0.1 + studs.depth + boards)]
    assert gaps[0].fill_depth == pytest.approx(0.075 + studs.fill_depth) and gaps[0].fill is not None
    assert len(closed.layers) == len(wall.layers) + 2
    faced = replace(wall, layers=(*wall.layers, Cavity(0.05, material("open-cell foam"), 0.05)))
    assert composite(faced, BOARDS.layers).layers == closed.layers


def test_a_lined_side_weighs_what_its_boards_add() -> None:
    """By the bill: what boards weigh over the area they cover."""
    found = shells.shells_of(rooms.load("drum room"))
    lining, whole = found.lining("walls"), found.envelope(("walls", "ceiling", "floor"))
    each = sum(one.thickness * one.sheets * one.material.density.typical for one in lining.leaves)
    both = zip(found.now.sides, whole.sides, strict=True)
    pairs = [pair for pair in both if roles(pair[0].side) == "walls"]
    assert pairs
    for old, new in pairs:
        assert new.surface_mass - old.surface_mass == pytest.approx(each, rel=0.15)


def test_more_people_have_shells_of_their_own() -> None:
    room = rooms.load("drum room")
    finder = shells.shells_of(room).now.finder
    one, four = (shells.shells_of(room, people=many, finder=finder) for many in (1.0, 4.0))
    assert (one.load.people, four.load.people) == (1.0, 4.0)
    assert shells.shells_of(room, people=1.0, finder=finder) is one


# --- the house round it, and its air ---


@pytest.mark.parametrize(
    ("walls", "above", "below", "house"),
    [
        ("brick wall 225 mm", "concrete slab 150 mm", "", "brick house, concrete floors"),
        ("brick wall 225 mm", TIMBER, "concrete slab 150 mm", "brick house, timber floors"),
        ("brick wall 225 mm", "", "concrete slab 150 mm", "brick house, concrete floors"),
        ("brick wall 225 mm", "", "", "brick house, timber floors"),
        ("wood stud wall 2x4 16 in, empty", "concrete slab 150 mm", "", "concrete frame, light walls"),
        ("wood stud wall 2x4 16 in, empty", TIMBER, "", "timber house"),
    ],
)  # fmt: skip
def test_a_house_is_guessed_from_what_is_heavy(walls: str, above: str, below: str, house: str) -> None:
    """Floors by the ceiling; by what is below only where no ceiling is told: ground says little."""
    sides = [made("wall", "wall", (4.0, 2.5), walls)]
    sides += [made("ceiling", "ceiling", (5.0, 4.0), above)] if above else []
    sides += [made("floor", "floor", (5.0, 4.0), below)] if below else []
    assert guessed(plan(*sides).room) == houses.find(house)


def test_the_heaviest_of_each_stands_for_walls_floor_and_ceiling() -> None:
    """Masonry before what is larger; 225 mm of brick have some 400 kg/m2, a slab of 150 mm 345 (books)."""
    light = made("partition", "wall", (5.0, 2.5), "wood stud wall 2x4 16 in, empty")
    room = replace(
        plan(light, WALL, made("ceiling", "ceiling", (5.0, 4.0), "concrete slab 150 mm")).room, inner=None
    )
    found = base_plates(room)
    assert not found["walls"].light and found["walls"].mass == pytest.approx(400.0, rel=0.15)
    assert not found["ceiling"].light and found["ceiling"].mass == pytest.approx(345.0, rel=0.1)
    assert not found["floor"].light  # untold: a slab
    assert base_plates(replace(room, sides=(light,)))["walls"].light
    bare = base_plates(replace(room, sides=(WINDOW,)))
    assert bare["ceiling"].light and not bare["walls"].light


def test_air_comes_by_a_wall_else_beside_a_window_or_door_else_by_the_roof() -> None:
    room = replace(plan().room, noises=(), neighbours=(), own=(), options=(), flanks=(), flanking={})
    roof = made("roof", "roof", (5.0, 4.0), "concrete slab 150 mm")
    order = [roof, DOOR, WINDOW, WALL]
    for i, best in enumerate(order):
        assert for_air(replace(room, sides=tuple(order[: i + 1]))) is best
    larger = replace(WALL, name="larger", area=9.0)
    assert for_air(replace(room, sides=(WALL, larger))) is larger


def test_the_air_of_a_shut_room_by_hand() -> None:
    """Each person gives off 5.2 mL/s of carbon dioxide, 1.75 times that playing, and 100 W, and needs 10 L/s
    (`physics/air_flow.py`): the fraction rises from 420 ppm by what is made over the volume, and is stale at
    1500; 10 L/s a person get 100/(1200 x 0.01) = 8.3 K warmer."""
    found = shells.shells_of(rooms.load("drum room"), people=2.0)
    length, width, height = found.plan.inner_size
    volume, made = length * width * height, 2 * 5.2e-6 * 1.75
    told = breathing(found, session=5400.0, bare=None)
    assert told.volume == pytest.approx(volume)
    assert told.sealed == pytest.approx(420e-6 + made * 5400.0 / volume)
    assert told.stuffy == pytest.approx((1500e-6 - 420e-6) * volume / made)
    assert told.warmth == 200.0 and told.warmer == pytest.approx(100.0 / 12.0)
    data = told.to_dict()
    assert data["session_h"] == 1.5 and data["needed_l_s"] == pytest.approx(20.0)
    assert data["co2_sealed_ppm"] == pytest.approx(420.0 + 1e6 * made * 5400.0 / volume)
    assert data["co2_fan_ppm"] == pytest.approx(1e6 * told.fan) and told.fan < told.sealed
    assert data["co2_vents_ppm"] == pytest.approx(1e6 * told.still)
    assert data["sealed_stuffy_after_min"] == pytest.approx(told.stuffy / 60.0)


def test_a_vent_through_both_shells_is_as_long_as_both() -> None:
    """0.25 m and 0.2 m; one box before it and two behind; a side's own boxes where the inner one has none."""
    box = Box((0.4, 0.4, 0.4), 1, 0.05)
    outer = Vent("grille", 0.01, length=0.25, box=box)
    for inner_box, count in ((replace(box, count=2), 3), (None, 1)):
        there = SimpleNamespace(
            plan=SimpleNamespace(ducts=None, side=lambda name: replace(WALL, vents=(outer,))),
            beyond=lambda side, vent, own=inner_box: Vent("b", 0.01, length=0.2, box=own),
        )
        (vent,) = _through(there, "street wall").vents  # type: ignore[arg-type]
        assert vent.length == pytest.approx(0.45)
        assert vent.box is not None and vent.box.count == count


def test_old_boards_of_two_sheets_leave_the_room_of_both() -> None:
    """Studs of 90 mm with 40 mm of wool in them, two boards of 12.5 mm, and the gap of 0.1 m with 75 mm."""
    board = Leaf(material("gypsum board"), 0.0125, 2)
    wool = material("stone wool")
    studs = Cavity(0.09, wool, 0.04, framing="wood stud", spacing=0.4)
    wall = replace(constructions.load("wood stud wall 2x4 16 in, empty"), layers=(board, studs, board))
    (gap,) = [one for one in composite(wall, BOARDS.layers, opened=True).layers if isinstance(one, Cavity)]
    assert gap.depth == pytest.approx(0.1 + 0.09 + 0.025) and gap.fill_depth == pytest.approx(0.115)
