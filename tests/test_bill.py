"""What a change is made of: bills and prices by hand, and what is tried of its own."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from test_fixes_search import flat

from isolate.describe import constructions, impacts, prices
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.describe.rooms import Box, Gap, Second, Side, Vent
from isolate.remedies import bill
from isolate.remedies import usual as own_remedies
from isolate.remedies.remedy import Need


def side(name: str = "wall", kind: str = "wall", built: str = "brick wall 225 mm, plastered") -> Side:
    construction = replace(constructions.load(built), kind=kind)
    return Side(name, "street", construction, 10.0, (4.0, 2.5))


def test_the_bill_of_a_lining_by_hand() -> None:
    """10 m2 on free studs at 0.6 m, 4 m x 2.5 m: 8 studs of 2.5 m and two plates of 4 m: 28 m; boards twice
    10 m2; sealant 2 x 13 m / 8.6 m a cartridge."""
    (option,) = [o for _, o in own_remedies._linings(side()) if "free studs" in o.name]
    found = {need.item: need for need in bill.bill(side(), option.on(side()))}
    assert found["gypsum board"].amount == 20.0
    assert found["gypsum board"].thickness == 0.015
    assert found["gypsum board"].mass == pytest.approx(20.0 * 0.015 * 700.0, rel=0.15)  # kg/m3, as sold
    assert found["wood stud"].amount == pytest.approx(28.0)
    assert found["wool"].amount == 10.0
    assert found["soft sealant"].amount == pytest.approx(26.0 / 8.6)
    assert "brick" not in " ".join(found)


def test_the_price_of_a_bill_by_hand() -> None:
    """2.2 m2 of board (a tenth for waste) at 5 and one whole cartridge at 8: 19."""
    needs = [Need("gypsum board", "", 2.0, "m2", thickness=0.0125), Need("soft sealant", "", 0.3, "piece")]
    cost = bill.price(needs, prices.bundled())
    assert cost is not None and cost.counts.typical == pytest.approx(19.0)
    assert 0.0 < cost.counts.low < 19.0 < cost.counts.high
    assert bill.price([Need("", "marble", 1.0, "m2")], prices.bundled()) is None


@pytest.mark.parametrize(
    ("framing", "spacing", "bought"),
    [
        ("resilient clip", 0.8, {"resilient clip": 16, "resilient channel": 10 / 0.6}),
        ("resilient clip", 0.6, {"resilient clip": 28, "resilient channel": 10 / 0.6}),
        ("hanger", 1.2, {"hanger": 7, "resilient channel": 10 / 0.6}),
        ("resilient channel", 0.4, {"resilient channel": 29}),
        ("steel stud", 0.6, {"steel stud": 28}),
        ("staggered stud", 0.6, {"wood stud": 56}),
        ("double stud", 0.6, {"wood stud": 56}),
        ("mount", 0.6, {"mount": 28, "edge strip": 13}),
    ],
)
def test_what_holds_a_lining_by_hand(framing: str, spacing: float, bought: dict[str, float]) -> None:
    """10 m2, 4 m x 2.5 m: a clip, hanger or mount for each square of its spacing; channel across 2.5 m and a
    line more; 8 studs and two plates, in two rows where both leaves have their own."""
    old = side(kind="floor" if framing == "mount" else "wall")
    layers = (Cavity(0.1, framing=framing, spacing=spacing), Leaf(material("gypsum board"), 0.0125))
    new = replace(old, construction=replace(old.construction, layers=(*old.construction.layers, *layers)))
    found = {need.item: need.amount for need in bill.bill(old, new)}
    boards = {"gypsum board", "soft sealant", "finish"}
    assert {item: found[item] for item in found.keys() - boards} == pytest.approx(bought)


def test_things_weigh_what_they_are_made_of() -> None:
    """By hand, sizes common practice: a stud 38 x 89 mm at 450 kg/m3; a channel of 0.15 m of 0.6 mm steel; a
    box 0.7 x 0.4 x 0.4 m of 12 mm plywood (500 kg/m3) with 50 mm of wool (48 kg/m3) on 1.1 m2; a door frame,
    5 m, 120 x 40 mm at 500 kg/m3; a silencer, 1 m of tubes of 125 and 225 mm, 0.7 mm of steel, wool between;
    a carpet of 1.7 kg/m2 on a pad of felt, 9 mm of 150 kg/m3."""
    steel = 7850.0
    by_hand = [
        (bill.WOOD_STUD, 0.038 * 0.089 * 450.0),
        (bill.STEEL_STUD, 0.15 * 0.0006 * steel),
        (bill.BOX, 2 * (0.7 * 0.4 * 2 + 0.4**2) * 0.012 * 500.0 + 1.1 * 0.05 * 48.0),
        (bill.DOOR_FRAME, 5.0 * 0.12 * 0.04 * 500.0),
        (bill.SILENCER, math.pi * ((0.125 + 0.225) * 0.0007 * steel + (0.225**2 - 0.125**2) / 4 * 48.0)),
        (bill.CARPET, 1.7 + 0.009 * 150.0),
    ]
    for kg, expected in by_hand:
        assert kg == pytest.approx(expected, rel=0.15)


def test_vinyl_compound_and_strips_have_their_lines() -> None:
    """Each by its name in the list of prices; compound only where a joint is said to be damped."""
    wall = side()
    last = wall.construction.layers[-1]
    assert isinstance(last, Leaf)
    vinyl = Leaf(material("mass-loaded vinyl"), 0.0025)
    with_it = replace(wall.construction, layers=(*wall.construction.layers, vinyl))
    assert "loaded vinyl" in {need.item for need in bill.bill(wall, replace(wall, construction=with_it))}
    board = Leaf(material("gypsum board"), 0.0125)
    for bond, coats in (("damped", {10.0}), ("screwed", set())):
        layers = (*wall.construction.layers[:-1], replace(last, bond=bond), board)
        new = replace(wall, construction=replace(wall.construction, layers=layers))
        found = {need.amount for need in bill.bill(wall, new) if need.item == "damping compound"}
        assert found == coats
    assert bill._seal(Gap(1e-3, 5.0, 0.06, name="sash gaps"), "window").item == "sash strip"
    crack = bill._seal(Gap(1e-3, 4.3, 0.06, name="perimeter"), "wall")
    assert crack.item == "soft sealant" and crack.amount == pytest.approx(0.5)  # 4.3 m of 8.6 a cartridge
    sockets = [bill._seal(Gap(1e-3, run, 0.1, name="sockets"), "wall").amount for run in (0.1, 0.9)]
    assert sockets == [1, 3]  # 0.3 m round each


def amounts(old: Side, new: Side) -> dict[str, float]:
    return {need.item: need.amount for need in bill.bill(old, new)}


def test_the_bill_of_a_second_window_by_hand() -> None:
    """1.2 m x 1.0 m: 4.4 m of frame, as much sealant round it, 0.44 m2 of lining in a reveal 0.1 m deep; an
    insulating unit comes whole."""
    old = Side("window", "street", constructions.load("glass 4 mm"), 1.2, (1.2, 1.0))
    pane = Leaf(material("glass"), 0.006)
    for edges, lining in (("bare", {}), ("absorbent", {"reveal lining": 0.44})):
        layers = (*old.construction.layers, Cavity(0.1, edges=edges, framing="separate frames"), pane)
        found = amounts(old, replace(old, construction=replace(old.construction, layers=layers)))
        frame = {"glass": 1.2, "second frame": 4.4, "soft sealant": 4.4 / 8.6}
        assert found == pytest.approx(frame | lining)
        (made,) = [need for need in bill.bill(old, replace(old, construction=replace(
            old.construction, layers=layers))) if need.item == "second frame"]  # fmt: skip
        assert made.mass == pytest.approx(4.4 * 0.05 * 0.06 * 500.0)  # 50 x 60 mm of timber, 500 kg/m3
    unit = replace(old, construction=constructions.resolve("6-16-4", None, part="window"))
    assert "second frame" not in amounts(old, unit)


def test_two_damped_boards_in_place_of_one_have_one_coat_between() -> None:
    board = Leaf(material("gypsum board"), 0.0125)
    old = replace(side(), construction=replace(side().construction, layers=(board,)))
    two = Leaf(material("gypsum board"), 0.015, 2, bond="damped")
    for new, coats in ((two, 10.0), (replace(two, bond="screwed"), 0.0)):
        found = amounts(old, replace(old, construction=replace(old.construction, layers=(new,))))
        assert found["gypsum board"] == 20.0 and found.get("damping compound", 0.0) == coats


def test_what_fills_is_bought_by_its_name_and_studs_by_their_stuff() -> None:
    old = side()
    for fill, item in (("stone wool", "wool"), ("cellulose", "wool"), ("open-cell foam", "")):
        cavity = Cavity(0.1, material(fill), 0.1, framing="steel stud", spacing=0.6)
        layers = (*old.construction.layers, cavity, Leaf(material("gypsum board"), 0.0125))
        needs = bill.bill(old, replace(old, construction=replace(old.construction, layers=layers)))
        (filled,) = [need for need in needs if fill in need.name]
        assert filled.item == item and filled.amount == 10.0
        assert filled.mass == pytest.approx(material(fill).density.typical * 10.0 * 0.1)
        (studs,) = [need for need in needs if need.unit == "m"]
        assert studs.mass == pytest.approx(bill.STEEL_STUD * studs.amount)


def test_a_carpet_is_bought_once() -> None:
    bare = side(kind="floor")
    laid = replace(bare, covering=impacts.coverings()["carpet"])
    assert amounts(bare, laid) == {"carpet": 10.0}
    assert bill.bill(bare, laid)[0].mass == pytest.approx(10.0 * bill.CARPET)
    assert amounts(laid, laid) == {} and amounts(laid, bare) == {}


def test_of_two_gaps_the_one_that_gets_narrower_is_sealed() -> None:
    """A drop seal where less than 1 mm is left under a door, else a brush (common practice)."""
    edge, under = Gap(2e-3, 4.8, 0.04, name="edge gaps"), Gap(8e-3, 0.8, 0.04, True, "gap under it")
    door = Side("door", "hall", constructions.load("panel door 35 mm, pine"), 1.6, (0.8, 2.0), (edge, under))
    for left, seal in ((0.9e-3, "drop seal"), (1.2e-3, "brush strip")):
        assert amounts(door, replace(door, gaps=(edge, replace(under, width=left)))) == {seal: 1.0}


def test_boxes_and_silencers_are_bought_where_they_come() -> None:
    """Two vents, one of them two alike with a box already: a box more in each of it, the other's first."""
    boxed = Vent("grille", 0.01, (0.1, 0.1), 0.3, box=Box((0.6, 0.3, 0.3), 1, 0.05), count=2)
    plain = Vent("airbrick", 0.01, (0.1, 0.1), 0.3)
    old = replace(side(), vents=(boxed, plain))
    assert boxed.box is not None

    def found(*vents: Vent) -> dict[str, float]:
        return {need.name: need.amount for need in bill.bill(old, replace(old, vents=vents))}

    more = replace(boxed, box=replace(boxed.box, count=2))
    assert found(more, replace(plain, box=boxed.box)) == {
        "lined box in the grille": 2.0, "lined box in the airbrick": 1.0,
    }  # fmt: skip
    (first, _) = bill.bill(old, replace(old, vents=(more, replace(plain, box=boxed.box))))
    assert first.mass == pytest.approx(2 * bill.BOX)
    assert found(boxed, plain) == {}
    assert found(boxed, plain, replace(boxed, name="third")) == {"lined box in the third": 2.0}
    quiet = replace(plain, insertion_db=np.ones(27))
    assert found(boxed, quiet) == {"silencer in the airbrick": 1.0}
    (silencers,) = bill.bill(side(), replace(side(), vents=(replace(quiet, count=2),)))
    assert silencers.mass == pytest.approx(2 * bill.SILENCER)


def test_a_garage_known_by_its_area_has_its_leaves() -> None:
    """5.2 m2 at 2 m high are 2.6 m wide: three leaves of 1.25 m at most (common practice)."""
    gate = Side("gate", "street", replace(constructions.load("steel 0.7 mm"), kind="door"), 5.2)
    assert bill.door_leaves(gate) == 3


def test_layers_that_stand_are_not_bought_again() -> None:
    """Two ways to write the same: appended, and a construction of its own that holds the old leaves."""
    old = side(built="brick wall 225 mm")
    lined = replace(old, construction=constructions.load("brick wall 225 mm, lined on free studs"))
    names = [need.name for need in bill.bill(old, lined)]
    assert not any("brick" in name for name in names)
    assert any("gypsum board" in name for name in names)


def test_seals_are_bought_by_the_metre() -> None:
    bare = Side("d", "h", flat(20.0), 1.6, (0.8, 2.0))
    before = Side("door", "hall", constructions.load("panel door 35 mm, pine"), 1.6, (0.8, 2.0),
                  own_remedies._door_gaps(bare, "unsealed"))  # fmt: skip
    after = replace(before, gaps=own_remedies.sealed(before, "sealed"))
    needs = {need.item: need.amount for need in bill.bill(before, after)}
    assert needs == {"door strip": pytest.approx(4.8), "drop seal": 1.0}
    brush = replace(before, gaps=own_remedies.sealed(before, "draught-stripped"))
    assert {need.item for need in bill.bill(before, brush)} == {"door strip", "brush strip"}


@pytest.mark.parametrize(
    ("size", "leaves"), [((0.8, 2.0), 1), ((1.25, 2.1), 1), ((1.4, 2.0), 2), ((2.4, 2.1), 2), ((4.9, 2.1), 4)]
)
def test_the_door_of_a_garage_is_bought_by_the_leaf(size: tuple[float, float], leaves: int) -> None:
    """No leaf is sold wider than 1.25 m (common practice): in place of it, and as a second one behind."""
    old = Side("door", "street", constructions.load("steel 0.7 mm"), size[0] * size[1], size)
    old = replace(old, construction=replace(old.construction, kind="door"))
    solid = constructions.load(own_remedies.SOLID)
    inner = Second(solid, own_remedies._door_gaps(old, "sealed"), (size[0], 0.15, size[1]))
    for new in (replace(old, construction=solid, gaps=inner.gaps), replace(old, second=inner)):
        amounts = {need.item: need.amount for need in bill.bill(old, new)}
        (mass,) = [need.mass for need in bill.bill(old, new) if need.item == "solid door"]
        assert 25.0 <= mass / old.area <= 35.0  # kg/m2 of a solid core (common practice)
        frames = [need.mass for need in bill.bill(old, new) if need.item == "door frame"]
        assert not frames or frames == [leaves * bill.DOOR_FRAME]
        assert amounts["solid door"] == amounts["drop seal"] == leaves
        assert amounts.get("door frame", leaves) == leaves


def test_two_doors_with_a_lobby_have_a_frame_more_for_each_leaf() -> None:
    old = Side("gate", "street", replace(constructions.load("steel 0.7 mm"), kind="door"), 4.2, (2.0, 2.1))
    solid = constructions.load(own_remedies.SOLID)
    twice = replace(solid, layers=(*solid.layers, Cavity(0.15), *solid.layers))
    found = amounts(old, replace(old, construction=twice))
    assert found["solid door"] == 4 and found["door frame"] == 2


def test_a_gap_that_is_no_more_was_filled() -> None:
    open_ = replace(side(), gaps=(Gap(1e-3, 4.3, 0.1, name="perimeter"),))
    assert amounts(open_, side()) == {"soft sealant": pytest.approx(0.5)}


def test_sealing_never_widens_a_gap() -> None:
    narrow = Side("window", "street", constructions.load("glass 4 mm"), 1.5, (1.0, 1.5),
                  (Gap(1e-5, 5.0, 0.06, name="sash gaps"),))  # fmt: skip
    assert own_remedies.sealed(narrow, "draught-stripped") == narrow.gaps


def test_a_floor_is_lined_on_the_side_one_walks_on() -> None:
    for name in ("joist floor, boards and lath and plaster", "joist floor, plywood and board"):
        below = side("floor", "floor", name)
        old = below.construction
        for built in (old, replace(old, layers=old.layers[::-1])):
            kept = replace(below, construction=built)
            found = [one for _, one in own_remedies._floors(kept, stepped=False)]
            assert [one.name.split(" over")[0] for one in found] == ["dry screed on wool", "floor on mounts"]
            for option, depth in zip(found, (0.025, 0.05), strict=True):
                assert option.construction is not None
                layers = option.construction.layers
                fresh = [layer for layer in layers if isinstance(layer, Cavity) and layer.depth == depth]
                walked = layers[0] if own_remedies.from_above(built) else layers[-1]
                assert walked.material.name == "chipboard"  # type: ignore[union-attr]
                assert len(fresh) == 1


def test_each_door_behind_another_has_its_frame() -> None:
    """Three leaves with two spaces between are three doors; two of them stand in frames of their own."""
    leaf = Leaf(material("chipboard"), 0.04)
    one = replace(side("door", "door", "hollow core door 35 mm"), area=1.7, size=(0.85, 2.0))
    found = {need.item: need for need in bill._door(one, [leaf, Cavity(0.1), leaf, Cavity(0.1), leaf])}
    assert found["solid door"].amount == 3 and found["door frame"].amount == 2
    assert "door frame" not in {need.item for need in bill._door(one, [leaf])}
