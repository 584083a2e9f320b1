"""What neighbours hear: level differences by hand, outdoors, behind a facade, limits kept and broken."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import numpy as np
import pytest

import isolate
from isolate.answers.room import RoomAnswer
from isolate.answers.room import room as answer
from isolate.bands import THIRD_OCTAVES, energy_sum
from isolate.describe import constructions, houses, noises, rooms
from isolate.describe.constructions import Construction, Measured
from isolate.describe.limits import limit
from isolate.describe.materials import Range
from isolate.describe.rooms import Background, Level, Neighbour, Noise, Option, Own, Room, Side
from isolate.physics import buildings, flanking_rooms
from isolate.physics.ducts import transmission_area
from isolate.remedies.combined import Combined
from isolate.remedies.remedy import Remedy
from isolate.room import envelope as shell
from isolate.room import limits, neighbours, scenario
from isolate.room.impact import STRUCTURE
from isolate.show import data
from isolate.standards import criteria, ratings
from isolate.standards.weighting import dba, dbc

QUIET = Background("A", 25.0)
THEIRS = (5.0, 5.0, 2.4)  # 60 m3
FLAT = replace(noises.load("pink noise"), level_db=np.full(27, 70.0), level=None, spread_db=3.0)


def measured(tl_db: float) -> Construction:
    curve = Measured("made for the test", "own", THIRD_OCTAVES, np.full(27, tl_db))
    return Construction(f"flat {tl_db:g}", f"flat {tl_db:g} dB", "wall", (), None, curve)


WALL = Side("party wall", "next", measured(50.0), 12.0)
ROUND = 10 ** (-buildings.most_db() / 10)  # of every partition between rooms, re its area


def next_door(**changes: object) -> Neighbour:
    one = Neighbour("flat", ("party wall",), QUIET, size=THEIRS, reverberation_time=np.full(27, 0.5))
    return replace(one, **changes)  # type: ignore[arg-type]


def plain(*to: Neighbour, **changes: object) -> Room:
    """A room of 30 m3 behind a wall of 50 dB, 12 m2, with 70 dB in every third octave."""
    described = Room(
        name="plain", title="plain", size=(4.0, 3.0, 2.5), furnishing="furnished",
        reverberation_time=np.full(27, 0.4), background=QUIET, sides=(WALL,), noises=(),
        own=(Own("test", FLAT),), neighbours=to,
    )  # fmt: skip
    return replace(described, **changes)  # type: ignore[arg-type]


def room(described: Room) -> RoomAnswer:
    return answer(described, draws=0)


def test_level_and_level_difference_next_door_by_hand() -> None:
    """A2 = 0.16 60/0.5 = 19.2 m2: L2 = 70 - 50 + 10 lg(12/19.2); D_nT = R + 10 lg(0.32 V/S) (ISO 12354-1),
    50 + 10 lg(0.32 60/12) = 52.0, whatever the room here."""
    found = room(plain(next_door())).neighbours[0]
    through = -10 * np.log10(1e-5 + ROUND)
    expected = 70.0 - through + 10 * math.log10(12 / 19.2)
    np.testing.assert_allclose(found.heard[0].level_db, expected, atol=1e-9)
    assert found.difference_db is not None
    np.testing.assert_allclose(found.difference_db, through + 10 * math.log10(0.32 * 60 / 12), atol=1e-9)
    assert found.dnt_w == int(ratings.rw(found.difference_db)) == 52
    assert found.c == int(ratings.adaptation(found.difference_db)[0])


def test_the_difference_is_the_same_in_a_live_and_a_dead_room_and_the_level_is_not() -> None:
    """D_nT is standardised to 0.5 s; twice the reverberation is 3 dB more."""
    dead, live = (room(plain(next_door(reverberation_time=np.full(27, t)))).neighbours[0] for t in (0.5, 1.0))
    assert dead.difference_db is not None and live.difference_db is not None
    np.testing.assert_allclose(dead.difference_db, live.difference_db)
    louder = live.heard[0].level_db - dead.heard[0].level_db
    np.testing.assert_allclose(louder, 10 * math.log10(2))


def test_flanking_joins_the_direct_path() -> None:
    """10 m2 10^(-D_n,f/10) beside tau S = 12 m2 1e-5, both ways of writing D."""
    house = houses.find("brick house, timber floors")
    found = room(plain(next_door(), flanking={"": house})).neighbours[0]
    flanks = flanking_rooms.of_house(house, sides=[WALL])
    assert flanks is not None
    total = 12 * (1e-5 + ROUND) + sum(transmission_area(path.difference_db) for path in flanks.paths)
    expected = 70.0 + 10 * np.log10(total / 19.2)
    np.testing.assert_allclose(found.heard[0].level_db, expected)
    assert {path.kind for path in found.elements} == {"construction", "flanking"}


def test_a_room_that_absorbs_half_is_three_decibels_louder_next_door() -> None:
    """A sound keeps its power: L = L_w + 10 lg 4/A. A blow to the floor is the same in any room."""
    pedal = next(one for one in rooms.load("drum room").own if one.floor)
    slab = Side("floor", "below", constructions.load("concrete slab 150 mm"), 12.0)
    described = plain(next_door(through=("floor",)), sides=(slab,), own=(Own("test", FLAT), pedal))
    present = scenario.present(described).envelope
    lively = replace(present, absorption=present.absorption / 2.0)
    (usual,), (louder,) = (neighbours.found(described, one) for one in (present, lively))
    for now, then in zip(usual.heard, louder.heard, strict=True):
        np.testing.assert_allclose(then.made_db - now.made_db, 10 * math.log10(2))
        by_air = then.by(structure=False) - now.by(structure=False)
        np.testing.assert_allclose(by_air, 10 * math.log10(2))
    floor = neighbours.into_floor(louder.heard[1], described, lively)
    kinds = [one for one in louder.heard[1].elements if one.kind == STRUCTURE]
    assert floor and len(floor) == len(kinds)
    for one, same in zip(floor, kinds, strict=True):
        np.testing.assert_allclose(one.tau_area, same.tau_area)
    np.testing.assert_allclose(usual.heard[1].by(structure=True), louder.heard[1].by(structure=True))


def test_steps_below_by_their_room_and_its_walls() -> None:
    """Both absorb 19.2 m2. Below 50 m3 a room has 8 dB less at 25 Hz (judgement); walls below that radiate as
    much as the floor add 3 dB, walls behind another side nothing."""
    pedal = next(one for one in rooms.load("drum room").own if one.floor)
    slab = Side("floor", "below", constructions.load("concrete slab 150 mm"), 12.0)
    large = next_door(through=("floor",))
    small = replace(large, size=(4.0, 3.0, 2.5), reverberation_time=np.full(27, 0.25))
    described = plain(large, small, sides=(slab, WALL), own=(pedal,))
    present = scenario.present(described).envelope

    def by_floor(word: str, far: float) -> list[np.ndarray]:
        walls = {word: flanking_rooms.Walls(400.0, near=np.zeros(27), far=np.full(27, far))}
        found = neighbours.found(described, replace(present, walls=walls))
        levels = []
        for one in found:
            heard = one.heard[0]
            kinds = [part for part in heard.elements if part.kind == STRUCTURE]
            levels.append(heard.made_db + 10 * np.log10(np.sum([part.tau_area for part in kinds], axis=0)))
        return levels

    bare, walled, aside = by_floor("below", 0.0), by_floor("below", 1.0), by_floor("next", 1.0)
    assert (bare[0] - bare[1])[[0, -1]] == pytest.approx([8.0, 0.0])
    assert walled[0] - bare[0] == pytest.approx(3.01, abs=0.01)
    assert aside[0] == pytest.approx(bare[0])


def test_outdoors_by_hand() -> None:
    """ISO 12354-4 (from memory): L_w = 70 - 6 - 50 + 10 lg 12, then half a sphere of 10 m."""
    found = room(plain(next_door(distance=10.0, size=None))).neighbours[0]
    power = 70 - 6 - 50 + 10 * math.log10(12)
    np.testing.assert_allclose(found.heard[0].level_db, power - 10 * math.log10(2 * math.pi * 100.0))
    assert found.dnt_w is None and found.difference_db is None
    near = room(plain(next_door(distance=0.2, size=None))).neighbours[0]
    np.testing.assert_allclose(near.heard[0].level_db, 70 - 6 - 50)


def test_nothing_flanks_on_the_way_outdoors() -> None:
    house = houses.find("timber house")
    found = room(plain(next_door(distance=10.0, size=None), flanking={"": house})).neighbours[0]
    assert {path.kind for path in found.elements} == {"construction"}


def test_behind_their_own_facade_by_hand() -> None:
    """Another 10 lg(tau S/A) + 3 dB (arriving sound, ISO 12354-3) through 2 m2 of 30 dB."""
    out = next_door(distance=10.0)
    window = Side("flat", "flat", measured(30.0), 2.0)
    free, behind = (
        room(plain(one)).neighbours[0].heard[0].level_db for one in (out, replace(out, facade=window))
    )
    np.testing.assert_allclose(behind - free, -30 + 10 * math.log10(2.0 / 19.2) + 3)
    screened = replace(window, shielding_db=4.0)
    shade = room(plain(replace(out, facade=screened))).neighbours[0].heard[0].level_db
    np.testing.assert_allclose(behind - shade, 4.0)
    tilted = replace(window, opened=Range(0.1, 0.1, 0.1))
    opened = room(plain(replace(out, facade=tilted))).neighbours[0].heard[0].level_db
    assert np.all(opened > behind + 15)


def test_the_same_wall_both_ways_between_rooms_of_different_size() -> None:
    """Reciprocity: one source power in either room makes one level in the other, flanking included."""
    house = {"": houses.find("brick house, timber floors")}
    power = 80.0

    def heard(own: tuple[float, float, float], other: tuple[float, float, float]) -> float:
        area, _ = shell.absorption(own, furnishing="furnished", reverberation_time=np.full(27, 0.5))
        source = replace(FLAT, level_db=power - 10 * np.log10(area / 4.0))
        described = plain(
            next_door(size=other), size=own, reverberation_time=np.full(27, 0.5), own=(Own("test", source),),
            flanking=house,
        )  # fmt: skip
        return float(room(described).neighbours[0].heard[0].dba)

    small, large = (3.0, 2.0, 2.4), (8.0, 6.0, 2.7)
    assert heard(small, large) == pytest.approx(heard(large, small))


def test_what_one_does_not_say_of_their_room_is_taken_from_this_one_and_noted() -> None:
    found = room(plain(next_door(size=None)))
    same = room(plain(next_door(size=(4.0, 3.0, 2.5))))
    np.testing.assert_allclose(
        found.neighbours[0].heard[0].level_db, same.neighbours[0].heard[0].level_db
    )
    assert any("the size of their room is not stated" in note for note in found.notes)
    assert not any("the size of their room is not stated" in note for note in same.notes)


def test_a_room_right_behind_a_window_to_the_street_is_asked_about() -> None:
    street = replace(WALL, faces="street")
    siren = Noise("siren", "street", FLAT)
    asked = [room(plain(one, sides=(street,), noises=(siren,))).notes
             for one in (next_door(), next_door(distance=9.0, size=None))]  # fmt: skip
    assert [any("write distance" in note for note in notes) for notes in asked] == [True, False]


# --- limits -------------------------------------------------------------------------------------------

LEVEL = np.linspace(50.0, 24.0, 27)


@pytest.mark.parametrize("words", ["42 dBA", "55 dBC by day", "60 dB"])
def test_a_limit_on_the_whole_level(words: str) -> None:
    found = limits.against(limit(words), level_db=LEVEL, background_db=np.full(27, 10.0))
    stated = limit(words)
    level = {"dBA": dba, "dBC": dbc, "dB": energy_sum}[stated.measure](LEVEL)
    assert found.excess_db == pytest.approx(float(level) - stated.value) and found.at_hz is None
    assert found.met == (float(level) < stated.value)


def test_a_limit_in_every_third_octave_holds_in_its_bands_only() -> None:
    """45 dB in 63-500 Hz: 46 dB at 63 Hz is 1 dB too much; 50 dB at 50 Hz does not count."""
    level = np.full(27, 30.0)
    level[4], level[3] = 46.0, 50.0
    found = limits.against(
        limit("45 dB in every third octave 63-500 Hz at night"), level_db=level, background_db=level
    )
    assert (found.excess_db, found.at_hz, found.met) == (pytest.approx(1.0), 63.0, False)
    level[4] = 45.0
    assert limits.against(found.limit, level_db=level, background_db=level).met


def test_octave_limits_take_octave_levels() -> None:
    """Three thirds of 40 dB make an octave of 44.8."""
    level = np.full(27, 40.0)
    found = limits.against(limit("40 dB in every octave 63-8000 Hz"), level_db=level, background_db=level)
    assert found.excess_db == pytest.approx(10 * math.log10(3))


def test_over_the_background_counts_both_together() -> None:
    """A sound as loud as the background raises it by 3 dB: within 5 dB, over 1 dB."""
    level = np.full(27, 30.0)
    for words, met in (("5 dBA over background", True), ("1 dBA over background", False)):
        found = limits.against(limit(words), level_db=level, background_db=level)
        assert found.met == met
        assert found.excess_db == pytest.approx(10 * math.log10(2) - limit(words).value)
    banded = limits.against(
        limit("2 dB over background in every octave 125-4000 Hz"), level_db=level, background_db=level
    )
    assert banded.excess_db == pytest.approx(10 * math.log10(2) - 2)


@pytest.mark.parametrize("kind", ["NC", "NR"])
def test_a_curve_is_kept_by_its_own_spectrum_and_broken_by_5_dB_more(kind: str) -> None:
    curve = {"NC": criteria.nc_levels, "NR": criteria.nr_levels}[kind](25.0)
    stated, quiet = limit(f"{kind} 25"), np.full(27, 0.0)
    assert limits.against(stated, level_db=curve, background_db=quiet).excess_db == pytest.approx(0, abs=0.3)
    assert limits.against(stated, level_db=curve + 5, background_db=quiet).excess_db > 3


def test_limits_are_told_with_what_is_too_much_and_may_be_required() -> None:
    stated = (limit("10 dBA at night"), limit("60 dBA"))
    found = room(plain(next_door(limits=stated)))
    heard = found.neighbours[0].heard[0]
    assert [one.met for one in heard.limits] == [False, True] and not heard.met
    told = " ".join(isolate.text(found, full=True).split())
    assert f"test, 10 dBA at night: {heard.limits[0].excess_db:.0f} dB too loud" in told
    assert f"test, 60 dBA: kept, {-heard.limits[1].excess_db:.0f} dB to spare" in told
    named = [
        value
        for subject, name, value in found.quantities()
        if (subject, name) == ("test at flat", "over_limit_db")
    ]
    assert named == [one.excess_db for one in heard.limits]


# --- told -----------------------------------------------------------------------------------------------


def test_the_data_hold_each_neighbour_and_each_sound() -> None:
    told = json.loads(data.to_json(room(plain(next_door(), next_door(name="yard", distance=9.0, size=None)))))
    flat, yard = told["neighbours"]
    assert flat["dnt_w"] == 52 and yard["dnt_w"] is None and yard["outdoors"]
    (sound,) = flat["sounds"]
    assert {"name", "made_dba", "level_dba", "level_db", "bands_hz", "margin_db", "verdict", "chance_heard",
            "strongest_path", "limits"} <= set(sound)  # fmt: skip
    assert len(sound["level_db"]) == 27
    level = energy_sum(np.array(sound["level_db"]) + dba_weights())
    assert sound["level_dba"] == pytest.approx(float(level), abs=0.02)


def dba_weights() -> np.ndarray:
    from isolate.standards.weighting import A_WEIGHTING

    return A_WEIGHTING


def test_a_louder_sound_is_heard_more_and_the_head_says_by_whom() -> None:
    soft, loud = (room(plain(next_door(), own=(Own("horn", FLAT, Level(level)),))) for level in (60.0, 110.0))
    assert soft.neighbours[0].heard[0].margin < loud.neighbours[0].heard[0].margin
    assert "Heard clearly by flat (horn)" in " ".join(isolate.text(loud).split())


def test_a_side_that_is_not_there_leads_nowhere() -> None:
    found = neighbours.found(plain(next_door(through=("gone",))), shell.of_room(plain()))
    assert found[0].heard == () and found[0].worst is None


# --- what goes round any partition of a building ---


def test_no_wall_keeps_more_from_the_next_room_than_any_building_shows() -> None:
    """By hand: a wall that lets nothing through is as good as the most that was measured, D_nT = R' + 10
    lg(0.32 V / S) (ISO 12354-1, T0 = 0.5 s); one as good as the most is told 3 dB less, one 20 dB worse 0."""
    most = buildings.most_db()
    shape = 10 * np.log10(0.32 * 60.0 / 12.0)
    for wall, less in ((150.0, 0.0), (45.0, None)):
        found = room(plain(next_door(), sides=(replace(WALL, construction=measured(wall)),))).neighbours[0]
        assert found.difference_db is not None
        if less is None:
            summed = -10 * np.log10(10**-4.5 + 10 ** (-most / 10)) + shape
            np.testing.assert_allclose(found.difference_db, summed, atol=1e-6)
        else:
            np.testing.assert_allclose(found.difference_db, most + shape, atol=0.01)
    assert found.elements[-1].name.startswith("flanking: small paths")
    assert found.elements[-1].sigma_db[0] == buildings.SPREAD_DB


def test_outdoors_and_through_a_facade_nothing_goes_round() -> None:
    """What was measured is between rooms of a building: a neighbour outdoors has the wall alone, and so has a
    side that noise outdoors reaches."""
    strong = replace(WALL, construction=measured(150.0))
    outdoors = room(plain(next_door(distance=10.0), sides=(strong,))).neighbours[0]
    assert [one.name for one in outdoors.elements] == ["party wall"]
    bus = Noise("bus", "next", FLAT)
    exposed = room(plain(next_door(), sides=(strong,), noises=(bus,)))
    assert [one.name for one in exposed.heard[0].elements] == ["party wall"]


def test_combined_remedies_count_what_goes_round() -> None:
    """The sum over cells is the room built anew, with a wall so good that the rest is what goes round."""
    described = plain(next_door())
    now = scenario.present(described)
    option = Option("better wall", "party wall", measured(90.0))
    combined = Combined(now, [Remedy("built", "better wall", option)])
    sound, made = now.sounds[0], frozenset({0})
    then = combined.scenario(made).sounds[0]
    np.testing.assert_allclose(combined.level(sound, made), then.level_db, atol=1e-9)
    assert then.elements[then.strongest].kind == "flanking"
