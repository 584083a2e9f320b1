"""The paths of a room: what each lets through, what closing it does; that the demo's weak points count."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import isolate
from isolate.answers.room import RoomAnswer
from isolate.answers.room import room as answer
from isolate.bands import N_BANDS, THIRD_OCTAVES, Array, energy_sum
from isolate.describe import constructions, houses, leaks, noises, rooms
from isolate.describe.constructions import Construction, Measured
from isolate.describe.materials import Range
from isolate.describe.rooms import Background, Gap, Noise, Option, Room, Second, Shape, Side, Vent
from isolate.physics import between, facade_shape
from isolate.room import elements as paths
from isolate.room import envelope as shell
from isolate.room.elements import BuiltSide, Finder
from isolate.room.received import Received
from isolate.show import data


def measured(tl_db: float, *, kind: str = "wall") -> Construction:
    """A construction that stops the same in every band."""
    curve = Measured("made for the test", "own", THIRD_OCTAVES, np.full(27, tl_db))
    return Construction(f"flat {tl_db:g}", f"flat {tl_db:g} dB", kind, (), None, curve)


def noise(**changes: object) -> Noise:
    shape = replace(noises.load("pink noise"), level_db=np.full(27, 60.0), level=None)
    return replace(Noise("noise", "street", shape), **changes)  # type: ignore[arg-type]


def plain(*sides: Side, **changes: object) -> Room:
    """50 m3 and T 0.5 s, so A = 16 m2."""
    described = Room(
        name="plain", title="plain", size=(5.0, 4.0, 2.5), furnishing="furnished",
        reverberation_time=np.full(27, 0.5), background=Background("A", 25.0), sides=sides, noises=(noise(),),
    )  # fmt: skip
    return replace(described, **changes)  # type: ignore[arg-type]


def room(described: Room | None = None) -> RoomAnswer:
    return answer(described, draws=0)


@cache
def demo() -> RoomAnswer:
    return room()


def changed(side: str, **parts: object) -> dict[str, Received]:
    """How the demo's noises are heard with one side changed."""
    described = rooms.load()
    sides = tuple(replace(one, **parts) if one.name == side else one for one in described.sides)  # type: ignore[arg-type]
    return {one.name: one for one in room(replace(described, sides=sides, options=())).heard}


def now(name: str) -> Received:
    return next(one for one in demo().heard if one.name == name)


# --- the demo: door gap, vent and flanking each change the verdict --------------------------------------


def test_the_demo_s_door_gap_decides_whether_talk_on_the_landing_is_heard() -> None:
    tight = changed("door", gaps=())["talk on the landing"]
    assert now("talk on the landing").verdict in ("audible", "clear")
    assert tight.verdict in ("not audible", "faint")
    assert now("talk on the landing").margin - tight.margin > 5.0


def test_the_demo_s_vent_is_quiet_for_its_box_and_would_be_heard_without() -> None:
    """A bare hole in place of the lined box: speech on the pavement comes up by a verdict or more."""
    wall = next(side for side in demo().room.sides if side.vents)
    bare = replace(wall.vents[0], lining=0.0, box=None)
    open_hole, closed = (changed(wall.name, vents=vents) for vents in ((bare,), ()))
    words = ("not audible", "faint", "audible", "clear")
    speech = "speech on the pavement"
    assert words.index(open_hole[speech].verdict) > words.index(now(speech).verdict)
    assert now(speech).dba - closed[speech].dba < 0.5
    hole = open_hole["ambulance siren"]
    assert hole.elements[hole.strongest].kind in ("vent", "gap")


def test_the_demo_s_flanking_decides_what_a_lining_brings_next_door() -> None:
    """With the party wall lined, the neighbour still hears the clarinet by what flanks; were there no
    flanking, the same lining would silence it."""
    described = demo().room
    (lining,) = [option for option in described.options if option.name == "lining on the party wall"]
    heard = {}
    for house in ("brick house, timber floors", "none"):
        built = replace(described, flanking={"": houses.find(house)}, options=(lining,))
        found = room(built).options[0].after.neighbours[0]
        heard[house] = found.heard[0]
        assert found.dnt_w is not None
    assert heard["brick house, timber floors"].verdict in ("audible", "clear")
    path = heard["brick house, timber floors"].elements[heard["brick house, timber floors"].strongest]
    assert path.kind == "flanking"
    assert heard["none"].dba < heard["brick house, timber floors"].dba - 5.0


# --- a small gap makes a better wall pointless ----------------------------------------------------------


def leaky(tl_db: float) -> Side:
    """10 m2 with a slit of 0.1 % of its area."""
    return Side("wall", "street", measured(tl_db), 10.0, gaps=(Gap(3e-3, 10.0 / 3.0, 0.1),))


def test_a_gap_of_a_tenth_of_a_percent_makes_a_better_wall_pointless_and_says_so() -> None:
    """Percent open table: 0.1 % caps a wall of 50 dB at 30 and one of 60 at 30. The slit of 3 mm in
    100 mm is not quite the open area: within 3 dB."""
    described = plain(leaky(50.0), options=(Option("better wall", "wall", measured(60.0)),))
    found = room(described)
    wall = found.envelope.sides[0]
    assert wall.open_share == pytest.approx(0.001)
    assert wall.rw == pytest.approx(30, abs=3) and wall.own_rw == 50
    assert wall.leak_rw is not None and wall.rw <= wall.leak_rw <= wall.rw + 1
    assert found.options[0].gain_db < 0.5
    told = isolate.text(found, full=True)
    assert "wall leaks (gaps)" in told
    assert f"no better wall brings it above Rw {wall.leak_rw}" in " ".join(told.split())
    assert "nobody notices" in told
    assert not found.options[0].noticed


# --- bookkeeping ----------------------------------------------------------------------------------------


def test_shares_of_all_paths_add_up_to_one_for_noises_and_neighbours() -> None:
    heard = list(demo().heard)
    heard += [one for to in demo().neighbours for one in to.heard]
    assert heard
    for one in heard:
        np.testing.assert_allclose(one.part.sum(0), 1.0)
        assert one.energy.sum() == pytest.approx(1.0) and one.share.sum() == pytest.approx(1.0)
        assert sum(one.by_side.values()) == pytest.approx(1.0)


def test_the_composite_of_a_wall_and_its_leak_by_areas() -> None:
    """tau S adds up: what is solid of the wall, and the gap; 0.999 * 10 m2 * 1e-5 + its own."""
    found = Finder().side(leaky(50.0))
    wall, gap = found.elements
    np.testing.assert_allclose(wall.tau_area, 0.999 * 10.0 * 1e-5)
    np.testing.assert_allclose(found.tau * 10.0, wall.tau_area + gap.tau_area)
    assert wall.name == "wall: itself" and gap.name == "wall: 3 mm gap"


def test_without_the_strongest_path_is_the_room_with_it_closed() -> None:
    """The gap goes, the wall stays: two routes to one level; the ceiling is the gap's own."""
    sides = (leaky(50.0), Side("window", "street", measured(30.0), 0.2))
    passed = room(plain(*sides)).heard[0]
    assert passed.elements[passed.strongest].kind == "gap"
    rest = passed.without_strongest
    assert rest is not None
    solid = replace(sides[0], construction=measured(50.0 - 10 * math.log10(0.999)), gaps=())
    closed = room(plain(solid, sides[1])).heard[0]
    np.testing.assert_allclose(rest.level_db, closed.level_db, atol=1e-6)
    assert rest.verdict == closed.verdict
    np.testing.assert_allclose(energy_sum([rest.level_db, passed.ceiling.level_db], axis=0), passed.level_db)
    assert passed.ceiling.dba < passed.dba and passed.ceiling.margin <= passed.margin


def test_a_path_may_carry_draws() -> None:
    """Monte Carlo: a width in words drawn three times gives three levels, in one pass."""
    leak = leaks.find("perimeter", "unsealed")
    gap = Gap(leak.width.typical, 13.0, leak.depth, True, "edge gaps", leak.width)
    described = plain(Side("wall", "street", measured(55.0), 10.0, gaps=(gap,)))

    def pick(key: str, value: Range) -> float | Array:
        return np.array([value.low, value.typical, value.high])[:, None, None]

    drawn = shell.of_room(described, Finder(pick)).hear(described.noises[0])
    single = shell.of_room(described).hear(described.noises[0])
    assert drawn.level_db.shape == (3, N_BANDS)
    np.testing.assert_allclose(drawn.level_db[1], single.level_db)
    assert np.all(np.diff(drawn.level_db[:, 6:16], axis=0) > 0.0)


# --- where noise comes from -----------------------------------------------------------------------------


def test_shielding_and_shape_take_off_their_own_side_only() -> None:
    """Two equal sides, one 10 dB in the shade: 10/11 of the energy by the other (1 + 0.1 parts)."""
    lit = Side("lit", "street", measured(30.0), 5.0)
    shaded = replace(lit, name="shaded", shielding_db=10.0)
    heard = room(plain(lit, shaded)).heard[0]
    assert heard.by_side["shaded"] == pytest.approx(0.1 / 1.1)
    balcony = replace(lit, name="balcony", shape=Shape("balcony", 0.9, 2.5))
    heard = room(plain(lit, balcony)).heard[0]
    taken = facade_shape.level_difference("balcony", soffit_absorption=0.9, sight_height=2.5)
    assert heard.by_side["balcony"] == pytest.approx(10 ** (-taken / 10) / (1 + 10 ** (-taken / 10)))
    indoors = room(plain(lit, shaded, noises=(noise(indoors=True),))).heard[0]
    assert indoors.by_side["shaded"] == pytest.approx(indoors.by_side["lit"])
    assert indoors.by_side["shaded"] == pytest.approx(0.5, abs=1e-3)  # the house itself has a little


def test_a_noise_comes_from_several_directions_each_as_loud_as_it_is_there() -> None:
    """A skylight 10 dB weaker: 1/11 by it; a noise screened by 4 dB is 4 dB softer in all."""
    window = Side("window", "street", measured(30.0), 1.0)
    skylight = Side("skylight", "sky", measured(30.0), 1.0)
    found = room(
        plain(window, skylight, noises=(noise(also={"sky": 10.0}), noise(name="b", shielding_db=4.0)))
    )
    both, screened = found.heard
    assert both.by_side == pytest.approx({"window": 1 / 1.1, "skylight": 0.1 / 1.1})
    alone = room(plain(window)).heard[0].dba
    assert screened.dba == pytest.approx(alone - 4.0)
    assert both.dba == pytest.approx(alone + 10 * math.log10(1.1))


def test_a_tilted_window_lets_in_what_its_open_share_does() -> None:
    """10 % open: Rw near 10, whatever the glass."""
    glass = constructions.load("double glass 10-16-8.8 mm acoustic")
    found = Finder().side(Side("window", "street", glass, 1.8, opened=Range(0.1, 0.1, 0.1)))
    assert found.rw == pytest.approx(10, abs=1)
    assert found.elements[-1].name == "window: open part"


# --- two doors with a lobby -----------------------------------------------------------------------------


def doors(outer_gap: bool, inner_gap: bool) -> BuiltSide:
    gap = (Gap(2e-3, 4.0, 0.045),)
    second = Second(measured(30.0, kind="door"), gap if inner_gap else (), (1.0, 1.2, 2.2), "treated")
    side = Side("doors", "hall", measured(30.0, kind="door"), 2.0, (1.0, 2.0),
                gap if outer_gap else (), second=second)  # fmt: skip
    return Finder().side(side)


def test_two_tight_doors_add_up_with_their_lobby() -> None:
    """R1 + R2 + 10 lg(A/S): 30 + 30 dB, lobby of 2 (1.2 + 2.2 + 2.64) = 12.08 m2 at 0.3, doors of 2 m2."""
    found = doors(outer_gap=False, inner_gap=False)
    lobby = 0.3 * 12.08
    expected = 60 + 10 * math.log10(lobby / 2.0)
    np.testing.assert_allclose(found.tl_db, expected, atol=0.01)


def test_the_ways_through_two_leaky_doors_add_up_to_all_pairs() -> None:
    found = doors(outer_gap=True, inner_gap=True)
    tight = doors(outer_gap=False, inner_gap=False)
    one = doors(outer_gap=True, inner_gap=False)
    assert [path.name for path in found.elements] == [
        "doors: leaf",
        "doors: 2 mm gap",
        "doors: 2 mm gap, second",
    ]
    first = Finder().side(Side("door", "hall", measured(30.0, kind="door"), 2.0, (1.0, 2.0),
                               (Gap(2e-3, 4.0, 0.045),)))  # fmt: skip
    expected = between.through_lobby(
        first.tau, first.tau, area_in=2.0, area_out=2.0, absorption=paths.LOBBY_ABSORPTION["treated"] * 12.08
    )
    np.testing.assert_allclose(found.tau_area, expected)
    assert np.all(tight.tau_area <= one.tau_area) and np.all(one.tau_area <= found.tau_area)


def test_two_near_doors_are_no_better_than_one_double_construction() -> None:
    """A lobby of 0.1 m: below 1.7 kHz the mass-air-mass resonance of both leaves counts."""
    leaf = constructions.load("solid core door 44 mm")
    second = Second(leaf, (), (0.9, 0.1, 2.1), "treated")
    side = Side("doors", "hall", leaf, 1.9, (0.9, 2.1))
    double = constructions.inline("chipboard 44 mm + 100 mm + chipboard 44 mm")
    found = Finder().side(replace(side, second=second))
    one = Finder().side(side)
    assert np.all(found.tau <= one.tau * 1.5)
    assert found.surface_mass == pytest.approx(2 * one.surface_mass)
    assert double.layers and np.all(found.tl_db[:4] < 2 * one.tl_db[:4])


# --- vents, air, options --------------------------------------------------------------------------------


def test_closing_a_vent_is_said_with_the_air_it_takes() -> None:
    found = next(one for one in demo().options if one.remedy.option.vents == ())
    vent = next(way for way in demo().air.ways if "air inlet" in way.name)
    assert vent.people is not None and found.air_lost == pytest.approx(vent.people)
    told = " ".join(isolate.text(demo(), full=True).split())
    assert f"takes away air for {vent.people:.1f} people: plan another way in for it" in told
    assert any(caution.key == "air" for caution in demo().cautions)


def test_flanking_counts_only_towards_rooms() -> None:
    """The street is outdoors; a word named in the table flanks whatever it is."""
    assert set(demo().envelope.flanking) == {"landing", "house next door", "flat below"}
    described = replace(demo().room, flanking={"street": houses.find("timber house")}, options=())
    assert set(shell.of_room(described).flanking) == {"street"}


def test_where_flanking_is_stated_masonry_loses_what_its_laboratory_adds() -> None:
    wall = Side("party wall", "next", constructions.load("brick wall 225 mm, lined on free studs"), 10.0)
    alone, flanked = (Finder().side(wall, flanked=stated) for stated in (False, True))
    assert np.all(flanked.tau <= alone.tau) and flanked.rw > alone.rw + 5


def test_an_option_in_words_is_the_side_in_words() -> None:
    gap = leaks.find("window sash", "sealed")
    seal = (Gap(gap.width.typical, 4.0, gap.depth, False, "sash gaps", gap.width),)
    window = Side("window", "street", measured(30.0, kind="window"), 1.0, (1.0, 1.0),
                  (Gap(3e-3, 4.0, 0.05),))  # fmt: skip
    found = room(plain(window, options=(Option("seal", "window", gaps=seal),)))
    then = room(plain(replace(window, gaps=seal)))
    assert found.options[0].after.heard[0].dba == pytest.approx(then.heard[0].dba)


def test_a_lining_on_what_flanks_helps_next_door_and_nobody_else() -> None:
    (option,) = [one for one in demo().options if one.remedy.option.flanks]
    assert option.remedy.option.lining is not None
    assert {one.where for one in option.helped} == {
        "neighbour next door"
    } and option.gain_db == pytest.approx(0.0, abs=0.01)
    before, after = demo().neighbours[0].heard[0], option.after.neighbours[0].heard[0]
    assert after.dba < before.dba - 5.0
    below = demo().neighbours[1].heard[0].dba - option.after.neighbours[1].heard[0].dba
    assert abs(below) < 5.0


def test_vents_of_a_side_are_paths_of_their_own() -> None:
    vent = Vent("inlet", 0.01, (0.1, 0.1), 0.2)
    found = Finder().side(Side("wall", "street", measured(60.0), 10.0, vents=(vent,)))
    assert [path.kind for path in found.elements] == ["construction", "vent"]
    assert found.leak_words == "vent" and found.own_rw == 60
    assert found.leak_rw is not None and found.rw <= found.leak_rw


# --- data -----------------------------------------------------------------------------------------------


def test_the_data_name_every_path_with_its_shares() -> None:
    told = json.loads(data.to_json(demo()))
    kinds = {path["kind"] for path in told["paths"]}
    assert kinds == {"construction", "gap", "vent", "flanking"}
    for one in told["noises"]:
        parts = [path["share"].get(one["name"], 0.0) for path in told["paths"]]
        assert sum(parts) == pytest.approx(1.0, abs=1e-4)
        best = max(told["paths"], key=lambda path, name=one["name"]: path["share"].get(name, 0.0))
        assert one["strongest_path"]["name"] == best["name"]
        assert one["strongest_path"]["alone_dba"] <= one["inside_dba"]
        sides = [side["share"][one["name"]] for side in told["sides"]]
        assert sum(sides) == pytest.approx(1.0, abs=1e-4)
    for path in told["paths"]:
        assert len(path["dn_db"]) == N_BANDS


HEARD = '[[noise]]\nname = "n"\nsource = "tram"\nfaces = "street"\nlevel = "70 dBA"\n'


@pytest.mark.parametrize("made_of", ["brick 102 mm", "gypsum board 12.5 mm + 100 mm + gypsum board 12.5 mm"])
def test_two_halves_of_one_wall_are_the_whole(tmp_path: Path, made_of: str) -> None:
    """Nothing outside decides it but sense: a wall told in two pieces lets through what it does in one."""
    file = tmp_path / "room.toml"

    def let_through(*areas: float) -> np.ndarray:
        said = "".join(
            f'[[side]]\nname = "w{i}"\nfaces = "street"\nconstruction = "{made_of}"\narea = "{a} m2"\n'
            for i, a in enumerate(areas)
        )
        file.write_text(f'[room]\nsize = "4 m x 3 m x 2.5 m"\n{said}{HEARD}')
        room = rooms.load(str(file))
        return np.asarray(sum(Finder().side(side).tau_area for side in room.sides))

    np.testing.assert_allclose(let_through(4.0, 6.0), let_through(10.0), rtol=1e-9)
