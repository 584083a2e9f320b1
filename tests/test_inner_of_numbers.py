"""What a room within a room stands in and what touches it, of bare numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES
from isolate.describe import constructions, inner, noises
from isolate.describe.constructions import Cavity, Construction, Leaf, Measured
from isolate.describe.inner_parts import InnerFloor, Lining, Mounts
from isolate.describe.materials import material
from isolate.describe.room_parts import Flank
from isolate.describe.rooms import Background, Gap, Noise, Room, Side
from isolate.physics import buildings, flanking_rooms, inner_shell
from isolate.physics.transmission import transmission
from isolate.remedies.inner import house
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import Plan
from isolate.remedies.inner.shell import Shells, composite
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


# --- its shells -----------------------------------------------------------------------------------------

BOARDS = Lining(0.1, (Leaf(material("gypsum board"), 0.0125, 2),), material("stone wool"), 0.075)
DECK = Lining(0.05, (Leaf(material("chipboard"), 0.022, 1),))
WALL = Side("wall", "street", BRICK, 8.0, (4.0, 2.0))
FLOOR = Side("floor", "ground", SLAB, 20.0, (5.0, 4.0))


def shells(*sides: Side, **changes: object) -> Shells:
    """Boards of 25 mm behind 0.1 m on walls and ceiling, 22 mm on mounts, in a room of these sides."""
    built = replace(
        inner.usual_inner(), walls=BOARDS, ceiling=BOARDS, floor=InnerFloor(DECK, Mounts(), None), **changes
    )
    described = room(*sides, inner=built)
    return Shells(Load(Plan(described, built)), envelope.of_room(described))


def tau(built: Construction, size: tuple[float, float]) -> np.ndarray:
    """Of a construction where flanking is computed for itself."""
    return 10 ** (-transmission(built, size=size, round_about=False).tl_db / 10)


def test_what_ties_a_wall_is_a_way_of_its_own() -> None:
    found = shells(WALL)
    whole = composite(BRICK, BOARDS.layers)
    free = tau(whole, (4.0, 2.0))
    (ties,) = [found.touching.across("walls", ("walls", "ties"), "wall")]
    added = inner_shell.crossed(whole, free=free, size=(4.0, 2.0), ties=ties)
    own, tied = found.envelope(("walls", "ties")).sides[0].elements
    assert ties and {tie.pattern for tie in ties} == {"points"}
    assert own.tau_area == pytest.approx(8.0 * free)
    assert tied.name == "wall: what ties it" and tied.tau_area == pytest.approx(8.0 * added)
    (alone,) = found.envelope(("walls",)).sides[0].elements
    assert alone.tau_area == pytest.approx(8.0 * free)


def test_springs_under_a_floor_move_its_own_way() -> None:
    found = shells(WALL, FLOOR)
    ties = found.touching.across("floor", ("floor",), "floor")
    whole = composite(SLAB, DECK.layers)
    free = tau(whole, (5.0, 4.0))
    moved = inner_shell.crossed(whole, free=free, size=(5.0, 4.0), ties=ties)
    (own,) = found.envelope(("floor",)).sides[1].elements
    assert [tie.pattern for tie in ties] == ["springs"]
    assert own.tau_area == pytest.approx(20.0 * (free + moved))


def test_a_light_wall_shares_its_floor_with_the_inner_one() -> None:
    """Not where the inner one floats, nor a heavy wall, nor what hangs under joists."""
    studs = replace(WALL, construction=constructions.load("wood stud wall 2x4 16 in, empty"))
    found = shells(studs)

    def framing(side: Side, role: str, *parts: str) -> str | None:
        gap = found._layers(side, BOARDS, role, parts)[0]
        assert isinstance(gap, Cavity)
        return gap.framing

    usual = BOARDS.cavity.framing
    assert usual != "double stud"
    assert framing(studs, "walls", "walls") == "double stud"
    assert framing(studs, "walls", "walls", "floor") == usual
    assert framing(WALL, "walls", "walls") == usual and framing(studs, "ceiling", "ceiling") == usual


def test_gaps_of_the_old_wall_open_behind_the_inner_leaf() -> None:
    """tau S of a slit times t S/(2 a S + t S), a 0.5 where there is wool, t of the boards."""
    slit = Gap(2e-3, 2.0, 0.1)
    found = shells(replace(WALL, gaps=(slit,)))
    boards = tau(Construction("leaf", "leaf", "wall", BOARDS.leaves), (4.0, 2.0))
    before = found.now.sides[0].elements[1].tau_area
    own, gap = found.envelope(("walls",)).sides[0].elements
    assert (own.name, gap.name) == ("wall: itself", "wall: 2 mm gap")
    assert gap.tau_area == pytest.approx(before * boards / (1.0 + boards))


def test_a_window_known_by_its_curve_adds_up_with_the_new_pane() -> None:
    """30 dB and the pane's own less 5 dB by judgement, and no less than the window alone."""
    curve = Measured("made for the test", "own", THIRD_OCTAVES, np.full(27, 30.0))
    old = Construction("flat", "flat 30 dB", "window", (), None, curve)
    found = shells(WALL, Side("window", "street", old, 2.0, (1.0, 2.0), (Gap(1e-3, 6.0, 0.05),)))
    new = found.plan.inner.window.pane
    pane = tau(Construction("pane", "pane", "window", new), (1.0, 2.0))
    own = found.envelope(("walls",)).sides[1].elements[0]
    assert own.name == "window: panes"
    assert own.tau_area == pytest.approx(2.0 * np.minimum(1e-3 * pane * 10**0.5, 1e-3))
    assert np.all(pane[10:] * 10**0.5 < 0.5)


def test_a_door_without_a_size_is_850_mm_wide() -> None:
    """Common practice; 1.7 m2 are then 2 m high."""
    door = Side("door", "hall", constructions.load("hollow core door 35 mm"), 1.7)
    guess, told = (shells(WALL, one)._door(one) for one in (door, replace(door, size=(0.85, 2.0))))
    assert guess.tau == pytest.approx(told.tau)
    wide = shells(WALL, door)._door(replace(door, size=(1.7, 1.0)))
    assert np.any(np.abs(10 * np.log10(wide.tau / told.tau)) > 0.5)


def test_amateurs_leave_open_what_is_6_db_more_than_goes_round_the_best() -> None:
    """Of 8 m2 over 10 m2; half of a 90 % range of 5 dB of standard deviation."""
    light = replace(WALL, construction=constructions.load("wood stud wall 2x4 16 in, empty"))
    found = shells(light).envelope(("walls", "amateurs")).flanking["street"]
    (left,) = found.paths
    assert left.difference_db == pytest.approx(buildings.most_db() - 6.0 - 10 * np.log10(0.8))
    assert found.up_db == pytest.approx(5.0 * 1.645) and found.down_db == pytest.approx(5.0 * 1.645)


def test_what_contacts_pass_on_joins_what_crosses_the_gap(monkeypatch: pytest.MonkeyPatch) -> None:
    """A contact that passes on a twentieth of what the wall radiates bare, where the lining lets through its
    own share: the rest of it is added. The wall's corners are 18 m long; 3.3 dB of a house and 4 times 1.645
    of contacts add by squares."""
    found, asked = shells(WALL), []

    def radiated(f: np.ndarray, *, perimeter: float, **_: object) -> dict[str, np.ndarray]:
        asked.append(perimeter)
        return {"sole": np.full(f.size, 0.05)}

    monkeypatch.setattr(inner_shell, "radiated", radiated)
    came = house.arrivals(found.plan.room, found.now, "street")
    paths = found.envelope(("walls",)).flanking["street"]
    walls = [one.name for one in came].index("walls round it")
    by_air, by_sole = paths.paths[2 * walls : 2 * walls + 2]
    gain = by_air.difference_db - came[walls].difference_db
    share = np.maximum(0.05 - 10 ** (-gain / 10), 1e-15)
    assert by_sole.name == "sole" and np.any(share < 0.045) and np.any(share > 0.0499)
    assert by_sole.difference_db == pytest.approx(came[walls].difference_db - 10 * np.log10(share))
    assert set(asked) == {18.0}
    assert paths.up_db == pytest.approx(np.hypot(3.3, 4.0 * 1.645))
