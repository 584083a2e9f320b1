"""What the tool tries of its own, and what people buy instead: each limit from both sides."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isolate.describe import constructions, impacts, prices, rooms
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.describe.openings import Box, Vent
from isolate.describe.rooms import Gap, Option, Second, Side
from isolate.remedies import making, popular, usual
from isolate.remedies.remedy import Cost, Remedy
from isolate.room import scenario
from isolate.room.elements import Finder


def made(
    name: str, kind: str, built: str, size: tuple[float, float] = (4.0, 2.5), faces: str = "street"
) -> Side:
    return Side(name, faces, replace(constructions.load(built), kind=kind), size[0] * size[1], size)


def door(kg_m2: float) -> Side:
    leaf = Leaf(material("chipboard"), 0.02, surface_mass=kg_m2)
    whole = made("door", "door", "hollow core door 35 mm", (0.8, 2.0))
    return replace(whole, construction=replace(whole.construction, layers=(leaf,)))


@cache
def tried(name: str) -> tuple[Remedy, ...]:
    return tuple(usual.usual(scenario.present(rooms.load(name)), prices.bundled()))


# --- doors ---


def test_a_door_under_25_kg_m2_is_light() -> None:
    """A solid one has some 30 kg/m2, a hollow one 10 to 15 (common practice)."""
    for kg_m2, keys in ((24.9, ["solid door", "second door"]), (25.1, ["second door"])):
        assert [key for key, _ in usual._doors(door(kg_m2))] == keys
    twice = replace(door(10.0), second=Second(constructions.load(usual.SOLID), (), (0.8, 0.15, 2.0)))
    assert list(usual._doors(twice)) == []


def test_a_second_door_stands_150_mm_behind_the_first() -> None:
    (_, (_, option)) = usual._doors(door(10.0))
    assert option.second is not None and option.second.lobby == (0.8, 0.15, 2.0)
    assert option.name == "second door, 150 mm behind the door"
    (_, (_, wide)) = usual._doors(replace(door(10.0), size=(1.6, 2.0), area=3.2))
    assert wide.name == "second door of 2 leaves, 150 mm behind the door"


def test_a_door_without_a_size_is_800_mm_wide() -> None:
    """1.6 m2 are 0.8 m x 2.0 m: 4.8 m of edges, 0.8 m under it."""
    _, (_, second) = usual._doors(replace(door(10.0), size=None))
    assert second.second is not None and second.second.lobby == pytest.approx((0.8, 0.15, 2.0))
    gaps = usual._door_gaps(replace(door(10.0), size=None), "sealed")
    assert [(gap.name, gap.length) for gap in gaps] == [
        ("edge gaps", pytest.approx(4.8)), ("gap under it", pytest.approx(0.8)),
    ]  # fmt: skip


# --- gaps and vents ---


def test_each_gap_has_its_place_in_the_table_of_leaks() -> None:
    def place(name: str, kind: str, at_edge: bool = False) -> str:
        return usual.place_of(Gap(1e-3, 1.0, 0.04, at_edge, name), kind)

    assert place("sash gaps", "window") == "window sash" and place("gap under it", "door") == "under the door"
    assert place("", "door") == "door edge" and place("", "door", True) == "under the door"
    assert place("", "window") == "window sash" and place("", "wall") == "perimeter"


def test_what_is_sealed_once_is_not_sealed_again() -> None:
    for kind, built in (
        ("door", "hollow core door 35 mm"),
        ("window", "glass 4 mm"),
        ("wall", "brick wall 225 mm"),
    ):
        side = replace(made("x", kind, built), gaps=(Gap(5e-3, 4.0, 0.04),))
        names = [option.name for _, option in usual._sealing(side)]
        assert len(names) == {"door": 2, "window": 1, "wall": 1}[kind]
        tight = replace(side, gaps=usual.sealed(side, "draught-stripped" if kind == "window" else "sealed"))
        assert tight.gaps[0].width < 5e-3 and list(usual._sealing(tight)) == []


def test_a_box_on_a_vent_is_0_6_by_0_3_m_and_one_more_each_time() -> None:
    """600 x 300 x 300 mm inside, 50 mm lined (common practice)."""
    vent = Vent("grille", 0.01, (0.1, 0.1), 0.3)
    once = usual.boxed(vent)
    assert once.box == Box((0.6, 0.3, 0.3), 1, 0.05)
    twice = usual.boxed(once).box
    assert twice is not None and twice.count == 2
    side = replace(
        made("wall", "wall", "brick wall 225 mm"), vents=(replace(vent, tested_db=np.zeros(27)), vent)
    )
    (one,) = [option for _, option in usual._boxes(side)]
    assert one.vents is not None and [found.box is not None for found in one.vents] == [False, True]


# --- linings and floors ---


@pytest.mark.parametrize(
    ("name", "kind", "built", "keys"),
    [
        ("wall", "wall", "brick wall 225 mm", ["lining", "lining"]),
        ("wall", "wall", "wood stud wall 2x4 16 in, empty", ["board", "lining", "lining"]),
        ("ceiling", "ceiling", "timber floor above, one board", ["board", "ceiling", "ceiling"]),
        ("ceiling", "ceiling", "concrete slab 150 mm", ["ceiling", "ceiling"]),
    ],
)
def test_linings_by_what_stands(name: str, kind: str, built: str, keys: list[str]) -> None:
    """One board more gains nothing on masonry; under a ceiling it is channel, before a wall clips."""
    found = list(usual._linings(made(name, kind, built)))
    assert [key for key, _ in found] == keys
    framings = [
        layer.framing
        for _, option in found
        if option.construction
        for layer in option.construction.layers[-3:]
        if isinstance(layer, Cavity) and layer.framing and layer.framing.startswith("resilient")
    ]
    assert framings == ["resilient clip" if kind == "wall" else "resilient channel"]


def test_what_lies_above_is_lined_from_below_and_floats_at_theirs() -> None:
    for name, keys, theirs in (("ceiling", {"ceiling"}, True), ("floor", set(), False)):
        side = made(name, "floor", "concrete slab 150 mm", (4.0, 3.0), "flat")
        assert (side.lies == "above") is theirs
        assert {key for key, _ in usual._options(side)} == keys
        floors = [one.name for _, one in usual._floors(side, stepped=True)]
        assert floors and all(("(theirs)" in one) is theirs for one in floors)


def test_floors_float_by_what_they_are_and_who_walks_on_them() -> None:
    """Cement only on a slab; mounts, every 0.6 m, only on one's own; carpet where feet fall and none is."""
    slab = made("floor", "floor", "concrete slab 150 mm", (4.0, 3.0), "cellar")
    joists = made("floor", "floor", "joist floor, boards and lath and plaster", (4.0, 3.0), "flat")

    def names(side: Side, stepped: bool = False) -> list[str]:
        return [
            option.name.split(" over")[0].removesuffix(" (theirs)")
            for _, option in usual._floors(side, stepped=stepped)
        ]

    assert names(joists) == ["dry screed on wool", "floor on mounts"]
    assert names(slab) == ["dry screed on wool", "cement screed on wool", "floor on mounts"]
    above = made("ceiling", "floor", "concrete slab 150 mm", (4.0, 3.0), "flat above")
    assert above.lies == "above" and names(above) == ["dry screed on wool", "cement screed on wool"]
    assert names(joists, True)[0] == "carpet on a soft pad"
    carpeted = replace(joists, covering=impacts.coverings()["carpet"])
    assert names(carpeted, True) == names(joists)
    (mounts,) = [one for _, one in usual._floors(slab, stepped=False) if "mounts" in one.name]
    assert mounts.construction is not None
    assert [layer.spacing for layer in mounts.construction.layers
            if isinstance(layer, Cavity) and layer.framing == "mount"] == [0.6]  # fmt: skip


def test_the_demo_is_offered_what_its_sides_can_take() -> None:
    found = {(one.key, one.side) for one in tried("demo")}
    assert found >= {("second window", "window"), ("seal", "door"), ("box", "street wall"),
                     ("ducts", "street wall"),
                     ("lining", "party wall"), ("floor", "floor"), ("ceiling", "floor")}  # fmt: skip
    assert not any(key in ("lining", "board") and side in ("window", "door", "floor") for key, side in found)
    assert [one.name for one in tried("demo") if not one.inside] == ["free ceiling (theirs) under the floor"]
    flanks = [one for one in tried("demo") if one.option.flanks]
    assert {one.side for one in flanks} == {"party wall"}  # of masonry, and the one that separates
    length, width, height = rooms.load("demo").size
    party = next(side for side in rooms.load("demo").sides if side.name == "party wall")
    more = 2 * (length + width) * height - 2 * party.area
    for one in flanks:
        alone = next(
            two for two in tried("demo") if two.name == one.name.removesuffix(" and the walls it meets")
        )
        assert one.mass / alone.mass == pytest.approx((party.area + more) / party.area, rel=0.02)
        assert one.space == pytest.approx(one.depth * (party.area + more))


# --- what an option weighs, takes and closes ---


def test_an_option_is_weighed_against_what_stands() -> None:
    """A board of 12.5 mm more on 10 m2; depth and space only of walls, floors and ceilings of this room."""
    now = scenario.present(rooms.load("demo"))
    built = now.envelope
    wall = built.named("street wall")
    assert wall is not None
    layers = (*wall.construction.layers, Leaf(material("gypsum board"), 0.0125))
    option = Option("more", "street wall", replace(wall.construction, layers=layers))
    found = making.made(built, option, "board", prices.bundled())
    board = material("gypsum board").density.typical * 0.0125 * wall.area
    assert found.mass == pytest.approx(board) and found.air_lost == 0.0 and not found.closes
    assert (found.depth, found.space) == (pytest.approx(0.0125), pytest.approx(0.0125 * wall.area))
    beyond = making.made(built, option, "board", prices.bundled(), inside=False)
    assert (beyond.depth, beyond.space) == (0.0, 0.0)
    shut = making.made(built, Option("shut", "street wall", vents=()), "vent", prices.bundled())
    assert shut.closes and shut.air_lost > 0.0 and shut.mass == 0.0
    boxed = tuple(usual.boxed(vent) for vent in wall.vents)
    lined = making.made(built, Option("box", "street wall", vents=boxed), "box", prices.bundled())
    assert not lined.closes and lined.mass == sum(need.mass for need in lined.bill) == 12.0  # of a lined box
    glass = built.named("window")
    assert glass is not None
    thick = replace(
        glass.construction, layers=(*glass.construction.layers, Cavity(0.1), Leaf(material("glass"), 0.006))
    )
    pane = making.made(built, Option("pane", "window", thick), "x", prices.bundled())
    frame = 1.5 * 2 * sum(glass.size or 2 * (glass.area**0.5,))  # kg on each metre round it
    assert (pane.depth, pane.space) == (0.0, 0.0) and pane.mass == pytest.approx(15.0 * glass.area + frame)


def test_what_holds_a_lining_is_weighed_with_it_and_what_goes_is_taken_off() -> None:
    """Studs at 0.6 m and a sheet of 9 kg/m2 on 4 m x 2.4 m: 8 studs of 2.4 m, two plates of 4 m, 1.5 kg/m."""
    now = scenario.present(rooms.load("demo"))
    wall = replace(made("wall", "wall", "brick wall 225 mm"), area=9.6, size=(4.0, 2.4))
    beside = replace(now.envelope, sides=(replace(now.envelope.sides[0], side=wall),))
    sheet = Leaf(material("gypsum board"), 0.0125, surface_mass=9.0)
    stood = (*wall.construction.layers, Cavity(0.07, framing="wood stud", spacing=0.6), sheet)
    option = Option("lined", "wall", replace(wall.construction, layers=stood))
    lined = making.made(beside, option, "x", prices.bundled())
    assert lined.mass == pytest.approx(9.6 * 9.0 + 1.5 * (8 * 2.4 + 2 * 4.0))
    old = replace(wall, construction=replace(wall.construction, layers=stood))
    beside = replace(now.envelope, sides=(replace(now.envelope.sides[0], side=old),))
    doubled = (*stood[:-1], replace(sheet, sheets=2, surface_mass=10.0))
    taken = Option("two boards for one", "wall", replace(old.construction, layers=doubled))
    assert making.made(beside, taken, "x", prices.bundled()).mass == pytest.approx(9.6 * (20.0 - 9.0))


def test_filled_cavities_weigh_what_fills_them() -> None:
    wool = Cavity(0.1, material("stone wool"), 0.05)
    side = made("wall", "wall", "brick wall 225 mm")
    filled = replace(side, construction=replace(side.construction, layers=(*side.construction.layers, wool)))
    more = making.mass_of(filled) - making.mass_of(side)
    assert more == pytest.approx(0.05 * material("stone wool").density.typical)


# --- remedies beside each other ---


def test_what_sets_the_same_part_excludes_each_other() -> None:
    def one(**sets: object) -> Remedy:
        return Remedy("x", "x", Option("x", "wall", **sets))  # type: ignore[arg-type]

    built = constructions.load("brick wall 225 mm")
    lining, seal, vent = one(construction=built), one(gaps=()), one(vents=())
    assert lining.excludes(lining) and not lining.excludes(seal) and not seal.excludes(vent)
    assert vent.airs and not seal.airs and not one(vents=(), gaps=()).airs
    inner = Remedy("inner room", "x", Option("x", ""), parts=("walls",))
    assert (
        inner.excludes(seal) and seal.excludes(inner) and not inner.excludes(vent) and inner.excludes(inner)
    )
    flanks = [one(flanks=names) for names in (("all",), ("floor",), ("wall",))]
    assert (
        flanks[0].excludes(flanks[1]) and not flanks[1].excludes(flanks[2]) and not flanks[0].excludes(lining)
    )
    assert seal.on(made("wall", "wall", "brick wall 225 mm")).gaps == ()
    other = made("other", "wall", "brick wall 225 mm")
    assert seal.on(other) is other


def test_hired_work_counts_where_it_is_hired() -> None:
    own, hired = prices.Range(1.0, 2.0, 3.0), prices.Range(4.0, 5.0, 6.0)
    assert Cost(own, hired).counts is own and Cost(own, hired, "hired").counts is hired


# --- what people buy instead ---


def test_weights_of_what_people_buy_are_those_of_its_stuff() -> None:
    """Egg trays 0.3 kg/m2, vinyl 1 lb/ft2, two boards of 12.5 mm at 690 kg/m3; polyester film 0.1 mm of 1.35;
    velour of some 2.5 mm, 0.5 kg/m2 and more (from memory)."""
    found = [popular.EGG_KG_M2, popular.VINYL_KG_M2, popular.BOARDS_KG_M2]
    assert found == pytest.approx([0.3, 0.4536 / 0.3048**2, 2 * 0.0125 * 690.0], rel=0.02)
    assert popular.words.leaf_mass(popular.FILM) == pytest.approx(0.135)
    assert 0.4 <= popular.curtain_kg_m2() <= 0.8


def test_a_curtain_hardly_stops_bass() -> None:
    """0.6 kg/m2 before 10 kg/m2 of glass: 20 lg 1.06 = 0.5 dB where both move as one; of a window without a
    size, as before a square of its area."""
    finder, side = Finder(), made("window", "window", "glass 4 mm", (1.3, 1.3))
    found = popular.curtain(finder.side(side), finder, prices.bundled())
    assert found.loss_db is not None and found.loss_db[0] == pytest.approx(0.5, abs=0.2)
    assert found.mass == pytest.approx(popular.curtain_kg_m2() * 1.69)
    square = popular.curtain(finder.side(replace(side, size=None)), finder, prices.bundled())
    assert square.loss_db == pytest.approx(found.loss_db)


def test_what_an_option_adds_is_what_it_weighs_more() -> None:
    """A leaf of 10 kg/m2 called egg boxes, whose weight is told."""
    room = rooms.load("demo")
    wall = next(one for one in room.sides if one.construction.kind == "wall")
    layers = (*wall.construction.layers, Leaf(material("gypsum board"), 0.0125, surface_mass=10.0))
    option = Option("egg boxes", wall.name, replace(wall.construction, layers=layers, measured=None))
    now = scenario.present(replace(room, options=(option,)))
    found = [*popular._yours(now, now.envelope.sides, prices.bundled())]
    assert [one.key for one in found] == ["egg boxes"]
    assert found[0].values["kg_m2"] == pytest.approx(10.0)
    more = popular.by_mass(found[0].values["on_kg_m2"], 10.0)
    assert found[0].values["rw"] == pytest.approx(more, abs=2.0)  # glued on, it is mass alone


def test_a_heavy_wall_gains_nothing_from_a_sheet_of_vinyl() -> None:
    """4.9 kg/m2 on 40 are 1 dB by the mass law; from there on it is told."""
    assert popular.by_mass(40.0, popular.VINYL_KG_M2) == pytest.approx(1.0, abs=0.01)
    assert popular.by_mass(0.0, 1.0) == 0.0
    found = scenario.present(rooms.load("demo")).envelope.sides
    wall = next(one for one in found if one.side.name == "street wall")
    for kg_m2, heavy in ((39.9, False), (40.1, True)):
        assert popular._heavy(replace(wall, surface_mass=kg_m2)) == heavy
    window = next(one for one in found if one.side.name == "window")
    assert not popular._heavy(replace(window, surface_mass=100.0))


def test_wool_is_blown_only_into_what_rigid_studs_cross() -> None:
    wall = constructions.load("wood stud wall 2x4 16 in, empty")
    filled = popular._filled(wall)
    side = made("wall", "wall", "wood stud wall 2x4 16 in, empty")
    envelope = scenario.present(rooms.load("demo")).envelope
    assert filled is not None
    _, told = popular._insulation(envelope.find(side), filled, envelope, prices.bundled())
    assert 0.0 < told["rw"] < 6.0  # by studs that tie both faces most goes round it (common practice)
    assert popular._empty(wall) == pytest.approx(0.0889, abs=0.001)
    assert popular._filled(filled) is None and popular._filled(replace(wall, kind="door")) is None
    assert popular._filled(constructions.load("brick wall 225 mm")) is None
    for layer in filled.layers:
        assert not isinstance(layer, Cavity) or (layer.fill is not None and layer.full)


def test_the_octave_that_lets_more_through_is_one_below_500_hz_by_half_a_decibel() -> None:
    found = scenario.present(rooms.load("demo")).envelope.sides
    wall = next(one for one in found if one.side.name == "street wall")

    def worse(octave: int, db: float) -> tuple[float, float] | None:
        more = np.zeros(27)
        more[3 * octave : 3 * octave + 3] = db
        elements = tuple(
            replace(one, tau_area=one.tau_area * 10 ** (more / 10)) if one.kind == "construction" else one
            for one in wall.elements
        )
        return popular.louder(wall, replace(wall, elements=elements))

    assert worse(2, 0.4) is None and worse(4, 9.0) is None
    for octave, hz in ((0, 31.5), (3, 250.0)):
        assert worse(octave, 0.6) == (hz, pytest.approx(0.6))


def test_foam_is_what_the_money_buys() -> None:
    """50 mm of it, 0.72 m2 a piece; nothing where there is no money for one."""
    now, own = scenario.present(rooms.load("demo")), prices.bundled()
    each = own.cost("foam", 0.72)
    assert each is not None
    foam = popular._foam(now, own, 3.5 * each.typical)
    assert foam is not None and "3 panels of 50 mm" in foam.name
    assert popular._foam(now, own, 0.5 * each.typical) is None


def test_a_third_leaf_is_one_more_than_two() -> None:
    board = (Cavity(0.1), Leaf(material("gypsum board"), 0.0125))

    def known(built: str) -> str | None:
        old = made("wall", "wall", built)
        new = replace(old.construction, layers=(*old.construction.layers, *board))
        return popular.known(Option("more", "wall", new), old, replace(old, construction=new))

    assert known("wood stud wall 2x4 16 in, empty") == "third leaf"
    assert known("brick wall 225 mm") is None  # two now
    old = made("wall", "wall", "wood stud wall 2x4 16 in, empty")
    thicker = replace(old.construction, layers=(*old.construction.layers, board[1]))
    assert popular.known(Option("more", "wall", thicker), old, replace(old, construction=thicker)) is None


def test_things_on_a_wall_are_known_by_their_stuff() -> None:
    """Cloth or foam before it; vinyl from 1 kg/m2, sheets below that are film (common practice); wool in the
    same cavity, and nothing of these where a leaf is new."""
    old = made("wall", "wall", "wood stud wall 2x4 16 in, empty")
    vinyl, layers = material("mass-loaded vinyl"), old.construction.layers

    def known(*then: Leaf | Cavity, name: str = "x") -> str | None:
        new = replace(old.construction, layers=then)
        return popular.known(Option(name, "wall", new), old, replace(old, construction=new))

    assert known(*layers, Cavity(0.0025, fill=material("heavy curtain"), fill_depth=0.0025)) == "curtain"
    assert known(*layers, Cavity(0.05, fill=material("open-cell foam"), fill_depth=0.05)) == "foam"
    for kg_m2, key in ((0.9, "film"), (1.5, "loaded vinyl"), (4.9, "loaded vinyl")):
        assert known(*layers, Leaf(vinyl, 0.001, surface_mass=kg_m2)) == key
    assert known(*layers, Leaf(material("gypsum board"), 0.0125, surface_mass=1.5)) is None
    gap = next(i for i, layer in enumerate(layers) if isinstance(layer, Cavity))
    full = replace(layers[gap], fill=material("stone wool"), fill_depth=0.08)  # type: ignore[type-var]
    assert known(*layers[:gap], full, *layers[gap + 1 :]) == "insulation"
    thick = Leaf(material("gypsum board"), 0.015)
    assert known(*layers[:gap], full, *layers[gap + 1 :], thick) is None


def test_only_a_bare_room_gains_by_furniture() -> None:
    room = rooms.load("demo")
    bare, furnished = (scenario.present(replace(room, furnishing=how)) for how in ("bare", "furnished"))
    assert popular._furniture(furnished) == {} and popular._furniture(bare)["furnishing_db"] > 1.0


def test_egg_boxes_and_foam_are_tried_where_they_would_be_hung() -> None:
    """On the largest wall, whatever else faces the noise; a curtain and film at the window."""
    now = scenario.present(rooms.load("demo"))
    sides = [one.side.name for one in now.envelope.sides]
    found = {one.key: one.remedy for one in popular.popular(now, prices.bundled(), sides, money=600.0)}
    walls = [one.side for one in now.envelope.sides if one.side.construction.kind == "wall"]
    assert found["egg boxes"].side == max(walls, key=lambda one: one.area).name
    assert found["curtain"].side == found["film"].side == "window"
    assert found["egg boxes"].mass == pytest.approx(0.3 * max(one.area for one in walls), rel=0.02)
    heavy = [one for one in now.envelope.sides if popular._heavy(one)]
    vinyl = next(one.side for one in heavy if one.side.name == found["loaded vinyl"].side)
    assert found["loaded vinyl"].mass == pytest.approx(4.882 * vinyl.area, rel=0.02)
    assert found["film"].mass == pytest.approx(0.135 * now.envelope.named("window").area)  # type: ignore[union-attr]
    assert found["loaded vinyl"].side in {one.side.name for one in heavy}
    assert popular.popular(now, prices.bundled(), [], money=600.0) == ()
