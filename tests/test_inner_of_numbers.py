"""What a room within a room stands in and what touches it, of bare numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.describe import constructions, noises
from isolate.describe.constructions import Construction
from isolate.describe.room_parts import Flank
from isolate.describe.rooms import Background, Noise, Room, Side
from isolate.physics import flanking_rooms
from isolate.remedies.inner import house
from isolate.room import envelope

BRICK, SLAB = constructions.load("brick 102 mm"), constructions.load("concrete slab 150 mm")


def room(*sides: Side, **changes: object) -> Room:
    """5 x 4 x 2.5 m of these sides."""
    described = Room(
        name="plain", title="plain", size=(5.0, 4.0, 2.5), furnishing="furnished",
        reverberation_time=np.full(27, 0.5), background=Background("A", 25.0), sides=sides, noises=(),
    )  # fmt: skip
    return replace(described, **changes)  # type: ignore[arg-type]


def flank(name: str, faces: str, made_of: Construction) -> Flank:
    return Flank(name, faces, made_of, "rigid cross", 2.5, 10.0, 10.0)


def test_every_flank_brings_three_ways_each_on_what_it_ends_on() -> None:
    """A slab 4 m2 per metre of 2.5 m and a brick wall, past a brick wall of 10 m2; half of a range of 3 dB
    down and 5 up is 4 dB."""
    described = room(
        Side("wall", "next", BRICK, 10.0), Side("ceiling", "above", SLAB, 20.0),
        flanks=(flank("slab", "next", SLAB), flank("side", "next", BRICK), flank("other", "above", BRICK)),
    )  # fmt: skip
    now = envelope.of_room(described)
    ranged = replace(now.flanking["next"], down_db=np.full(27, 3.0), up_db=np.full(27, 5.0))
    found = house.arrivals(described, replace(now, flanking={"next": ranged}), "next")
    assert [(one.name, one.ends, one.element) for one in found] == [
        ("slab", "Ff", "floor"), ("slab", "Fd", "walls"), ("slab", "Df", "floor"),
        ("side", "Ff", "walls"), ("side", "Fd", "walls"), ("side", "Df", "walls"),
    ]  # fmt: skip
    assert [one.spread_db[0] for one in found] == pytest.approx([4.0] * 6)
    assert [one.plate.size for one in found[:2]] == [(2.5, 4.0), (2.5, 4.0)]
    assert [one.base.kind for one in found] == ["floor", "wall", "floor", "wall", "wall", "wall"]
    for one, path in zip(found, ranged.paths, strict=True):
        assert one.difference_db == pytest.approx(path.difference_db)


def test_a_house_is_guessed_only_where_nothing_is_said_of_it() -> None:
    upstairs = Noise("radio", "next", noises.load("pink noise"), indoors=True, also={"above": 0.0})
    sides = (Side("wall", "next", BRICK, 10.0), Side("ceiling", "above", SLAB, 20.0))
    described = room(*sides, flanks=(flank("slab", "next", SLAB),), noises=(upstairs,))
    assert house.with_house(described)[1] == ("above",)
    assert house.with_house(replace(described, flanks=()))[1] == ("above", "next")


def test_the_separating_plate_has_the_area_of_the_wall() -> None:
    """15 m2 along a junction of 2.5 m."""
    described = room(Side("wall", "next", BRICK, 15.0), flanks=(flank("slab", "next", SLAB),))
    found = house.arrivals(described, envelope.of_room(described), "next")
    assert [one.plate.size for one in found if one.ends == "Fd"] == [(2.5, 6.0)]


def test_walls_of_a_room_are_one_plate_as_long_as_they_are_round_it() -> None:
    """2 (5 + 4) m by 2.5 m; floor and ceiling 5 by 4 m."""
    plates = house.base_plates(room(Side("wall", "street", BRICK, 10.0)))
    assert plates["walls"].size == (18.0, 2.5)
    assert plates["floor"].size == plates["ceiling"].size == (5.0, 4.0)


def test_what_goes_round_a_heavy_wall_comes_half_by_the_walls_and_a_quarter_by_each_slab() -> None:
    """Of all of it 10 m2 by D_n,e: 3.0 dB more than the whole by the walls, 6.0 by floor and by ceiling; the
    largest heavy side is the one that stands for the walls."""
    heavier = constructions.load("brick wall 225 mm")
    sides = (
        Side("front", "street", BRICK, 6.0, (3.0, 2.0)), Side("gable", "street", heavier, 8.0, (4.0, 2.0)),
        Side("floor", "ground", SLAB, 20.0), Side("ceiling", "sky", SLAB, 20.0),
    )  # fmt: skip
    for order in (sides, sides[::-1]):
        now = envelope.of_room(room(*order))
        found = {one.element: one for one in house.arrivals(room(*order), now, "street")}
        round_it = 0.0
        for side in sides[:2]:
            size = side.extent
            whole, alone = (
                10 ** (-now.finder.through(side.construction, size, flanked=flanked).tl_db / 10)
                for flanked in (False, True)
            )
            round_it = round_it + np.maximum(whole - alone, 1e-15) * side.area
        whole_db = -10 * np.log10(round_it / 10.0)
        assert found["walls"].difference_db - whole_db == pytest.approx(3.01, abs=0.01)
        assert found["floor"].difference_db - whole_db == pytest.approx(6.02, abs=0.01)
        assert found["ceiling"].difference_db - whole_db == pytest.approx(6.02, abs=0.01)
        assert {role: one.base.kind for role, one in found.items()} == {
            "walls": "wall", "floor": "floor", "ceiling": "ceiling",
        }  # fmt: skip
        mass = flanking_rooms.plate(heavier, "walls").mass.typical
        leaf = found["walls"].base.layers[0]
        assert leaf.thickness * (leaf.density or 0.0) == pytest.approx(mass)  # type: ignore[union-attr]
