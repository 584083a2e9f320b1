"""Each caution is raised by what should raise it, and by nothing else."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from once import judged_once

from isolate.answers.compare import compare
from isolate.answers.inner_room import notes
from isolate.answers.room import room
from isolate.describe import constructions, rooms
from isolate.describe.materials import material
from isolate.describe.openings import Box, Gap, Vent
from isolate.describe.rooms import Option, Second
from isolate.measuring.check import Check
from isolate.physics import air_flow
from isolate.remedies.cautions import changes
from isolate.remedies.cautions.facts import Change, Facts, Hung, foremost
from isolate.remedies.cautions.table import TABLE, raised
from isolate.remedies.inner.materials import WITH_WALLS
from isolate.remedies.inner.shells import shells_of
from isolate.show.guide import chapters

GLASS, SECOND = "glass 4 mm", "glass 4 mm + 100 mm + laminated 6.4 mm"
BRICK = "brick wall 225 mm, plastered"
LINED = "brick wall 225 mm, lined on free studs"
JOISTS, SCREED = "joist floor, plywood and board", "joist floor, screed boards on wool"
ROOM = {"floor_area": 12.0, "volume": 30.0}


def change(new: str, old: str | None = None, **facts: object) -> Change:
    before = None if old is None else constructions.load(old)
    return Change("the change", constructions.load(new), before, **facts)  # type: ignore[arg-type]


def given(*changes: Change, **facts: object) -> dict[str, str]:
    return {one.key: one.text for one in raised(Facts(changes=changes, **facts))}  # type: ignore[arg-type]


def test_nothing_changed_raises_nothing() -> None:
    assert given(**ROOM) == {}
    assert given(change(GLASS, GLASS, area=1.7), **ROOM) == {}


def test_a_second_pane_raises_escape_glass_air_fumes_damp_and_old_work_but_no_load() -> None:
    told = given(change(SECOND, GLASS, added=16.0, area=1.7), **ROOM)
    assert {"escape", "glazing", "air", "combustion", "condensation", "old work", "permits"} <= set(told)
    assert not {"load", "fibres", "wiring", "hearing"} & set(told)


def test_the_weight_of_the_heaviest_pane_is_given() -> None:
    """15.5 to 16.0 kg/m2 for 6.4 mm laminated glass at 2.5 kg/m2 a millimetre (handbooks), on 2 m2."""
    text = given(change(SECOND, GLASS, area=2.0))["glazing"]
    kilograms = int(re.search(r"(\d+) kg here", text)[1])  # type: ignore[index]
    assert 30 <= kilograms <= 32
    assert "lift for two" in text
    assert "lift for two" not in given(change(SECOND, GLASS, area=0.5))["glazing"]


def test_only_what_comes_is_lifted() -> None:
    """The old 12 mm pane stays where it is: 4 mm are 10 kg/m2 (2.5 kg/m2 a millimetre, handbooks)."""
    text = given(change("glass 12 mm + 100 mm + glass 4 mm", "glass 12 mm", area=1.0))["glazing"]
    assert "10 kg/m2, 10 kg here" in text
    assert "30 kg/m2" in given(change("glass 4 mm + 100 mm + glass 12 mm", "glass 6 mm", area=1.0))["glazing"]


def test_large_panes_that_reach_low_are_named_for_safety_glazing() -> None:
    """Model residential code, hazardous locations: panes over 9 ft2 with the bottom edge under 18 in."""
    told = {area: given(change(SECOND, GLASS, area=area))["glazing"] for area in (0.8, 0.9)}
    assert "18 in" in told[0.9]
    assert "18 in" not in told[0.8]


def test_changing_a_window_warns_of_falls_and_asks_for_consent() -> None:
    assert {"falling", "listed"} <= set(given(change(SECOND, GLASS), **ROOM))
    assert not {"falling", "listed"} & set(given(change(LINED, BRICK), change(GLASS, GLASS), **ROOM))


@pytest.mark.parametrize(("added", "heavy"), [(24.0, False), (24.5, True)])
def test_five_pounds_a_square_foot_is_where_an_engineer_is_asked(added: float, heavy: bool) -> None:
    told = given(change(LINED, BRICK, added=added, area=2.0), **ROOM)
    assert ("load" in told) == heavy


def test_a_floor_is_told_against_what_floors_of_homes_are_built_for() -> None:
    """By hand: 100 kg/m2 are 0.98 kPa, 49 % of 2 kPa and 70 % of 1.4 (codes of several countries)."""
    text = given(change(SCREED, JOISTS, added=100.0, area=12.0), **ROOM)["load"]
    assert "100 kg/m2 (20 lb/ft2), 1200 kg in all" in text  # a pound a square foot is 4.88 kg/m2
    assert "1.0 kPa, 49 to 70 % of the 1.4 to 2 kPa (30 to 40 lb/ft2)" in text
    assert "structural engineer" in text


def test_a_lining_on_a_wall_is_a_line_load() -> None:
    """By hand: 30 kg/m2 on a wall 2.5 m high are 75 kg on each metre."""
    text = given(change(LINED, BRICK, added=30.0, area=5.0), height=2.5, **ROOM)["load"]
    assert "line of 75 kg on each metre" in text
    assert "kPa" not in text


def test_what_hangs_from_above_does_not_load_this_floor() -> None:
    text = given(change(LINED, BRICK, added=30.0, area=12.0, part="ceiling"), **ROOM)["load"]
    assert "hangs from what is above" in text
    assert "kPa" not in text
    assert "load" not in given(change(LINED, BRICK, added=20.0, area=30.0, part="ceiling"), **ROOM)


def test_what_stands_weighs_and_what_comes_adds() -> None:
    """A construction by itself adds nothing to anything."""
    by_itself = given(change("concrete slab 150 mm", added=320.0))["load"]
    assert "The change weighs 320 kg/m2" in by_itself
    assert "adds" not in by_itself


def test_light_work_all_over_loads_the_floor_too() -> None:
    """By hand: 20 kg/m2 on 30 m2 of wall are 600 kg, 50 kg/m2 over 12 m2 of floor."""
    assert "load" in given(change(LINED, BRICK, added=20.0, area=30.0), **ROOM)
    assert "load" not in given(change(LINED, BRICK, added=20.0, area=5.0), **ROOM)


def test_windows_load_no_floor() -> None:
    """By hand: 16 kg/m2 of pane on 20 m2 are 320 kg, 27 kg/m2 over 12 m2; the walls carry it."""
    assert "load" not in given(change(SECOND, GLASS, added=16.0, area=20.0), **ROOM)


def test_closing_gaps_alone_asks_for_air_and_leaves_the_window_in_peace() -> None:
    gap = Gap(0.002, 3.0, 0.04)
    told = given(change(GLASS, GLASS, area=1.7, gaps=(), old_gaps=(gap,)), **ROOM)
    assert set(told) == {"air", "combustion"}
    assert given(change(GLASS, GLASS, area=1.7, gaps=(gap,), old_gaps=(gap,)), **ROOM) == {}


def test_carbon_dioxide_is_told_by_one_rate_and_what_work_places_forbid() -> None:
    """0.0052 L/s a seated person (ASTM D6245): 0.0052e-3 * 3600/30 = 624 ppm an hour in 30 m3; playing 1.75
    times as much, 1092. From 420 outside it is 1500 after 59 minutes, 5000 after 4580/1092 hours."""
    text = given(change(SECOND, GLASS), **ROOM)["air"]
    assert "about 620 ppm an hour for each who sits still, 1100 for who plays" in text
    assert "in 59 minutes and passes 5000 ppm" in text
    assert "in 4.2 hours" in text
    assert "5000 ppm" in given(change(SECOND, GLASS), floor_area=12.0)["air"]


def test_carbon_dioxide_of_the_caution_is_that_of_the_inner_room() -> None:
    """`air_flow.co2` is what rooms within rooms are computed with."""
    after = air_flow.co2(people=1, flow=0.0, volume=30.0, hours=4.2, effort=air_flow.PLAYING)
    assert after == pytest.approx(5000e-6, rel=0.02)


@pytest.mark.parametrize("facts", [{"fan": True}, {}])
def test_a_fan_and_a_tighter_room_draw_fumes_back(facts: dict[str, object]) -> None:
    tight = [] if facts else [change(SECOND, GLASS)]
    assert "any fan that takes air out" in given(*tight, **facts)["combustion"]


def test_the_way_out_needs_area_width_height_and_sill_at_once() -> None:
    """Model residential code: 5.7 ft2 (0.53 m2) clear, 20 in wide, 24 in high, sill up to 44 in; the two
    least edges alone make 3.3 ft2 (0.31 m2)."""
    text = given(change(SECOND, GLASS), **ROOM)["escape"]
    for figure in ("all of these at once", "0.53 m2 (5.7 ft2)", "51 cm (20 in)", "61 cm (24 in)", "44 in"):
        assert figure in text
    assert "One country's code" in text
    assert "Yours rules" in text


def duct(**facts: object) -> Change:
    return change(BRICK, BRICK, vents=(Vent("duct", 0.01),), area=8.0, **facts)


def test_a_duct_through_a_party_wall_raises_all_that_belongs() -> None:
    told = given(duct(shared=True), **ROOM)
    assert set(told) == {"fire", "drilling", "old work", "hole", "permits"}
    assert "neighbour's and the owner's consent" in told["hole"]
    assert "lintel" in told["hole"]
    assert "damper" in told["fire"]
    assert "consent" not in given(duct(), **ROOM)["hole"]


def test_a_box_on_a_duct_that_stands_cuts_no_hole() -> None:
    there = (Vent("duct", 0.01),)
    boxed = (Vent("duct", 0.01, box=Box((0.6, 0.3, 0.3), 1, 0.05)),)
    assert given(change(BRICK, BRICK, vents=boxed, old_vents=there), **ROOM) == {}
    assert "hole" in given(change(BRICK, BRICK, vents=(Vent("duct", 0.02),), old_vents=there), **ROOM)


def test_what_stands_is_neither_cut_nor_carried_in() -> None:
    """Wool, plastics and glass of what is there already, layers listed from either end."""
    stood = constructions.load(LINED)
    boarded = replace(stood, layers=(*stood.layers, stood.layers[-1]))
    for after in (boarded, replace(stood, layers=(stood.layers[0], *stood.layers))):
        told = {one.key for one in raised(Facts(changes=(Change("boards", after, stood),)))}
        assert not {"fibres", "wiring", "condensation"} & told
        assert "old work" in told


def test_a_board_glued_to_one_that_stays_is_the_only_new_one() -> None:
    stood = constructions.load("plaster 13 mm + 100 mm + gypsum board 12.5 mm")
    last = replace(stood.layers[-1], bond="damped")
    after = replace(stood, layers=(*stood.layers[:-1], last, stood.layers[-1]))
    assert Change("one more", after, stood).brought == (stood.layers[-1],)


def test_lead_sheet_is_poison() -> None:
    leaded = "gypsum board 12.5 mm + lead 1 mm"
    assert "children" in given(change(leaded))["lead"]
    assert "lead" not in given(change(LINED, BRICK))


def test_boards_overhead_are_lifted_by_two() -> None:
    """12.5 mm gypsum board of 8 to 11 kg/m2 (handbooks): 1.2 x 2.4 m of it weigh 23 to 32 kg, and by the
    density of the list of materials what they weigh."""
    told = given(change("gypsum board 12.5 mm + 100 mm + gypsum board 12.5 mm", part="ceiling"))
    kilograms, pounds = map(int, re.search(r"weighs (\d+) kg \((\d+) lb\)", told["lifting"]).groups())  # type: ignore[union-attr]
    assert 23 <= kilograms <= 32
    assert kilograms == pytest.approx(material("gypsum board").density.typical * 0.0125 * 1.2 * 2.4, abs=0.5)
    assert pounds == pytest.approx(kilograms / 0.4536, abs=1.2)
    assert "board lift" in told["lifting"]
    assert "lifting" not in given(change(LINED, BRICK))


def test_a_panel_that_hangs_is_told_in_kilograms_and_pounds() -> None:
    """By hand: 10 kg are 22.05 lb; the heaviest counts."""
    hung = tuple(Hung(material("stone wool"), kilograms) for kilograms in (3.0, 10.0))
    assert "about 10 kg (22 lb)" in given(hung=hung)["overhead"]
    assert {"linings", "overhead", "fibres", "drilling"} <= set(given(hung=hung))


def test_measuring_tells_of_balloons_and_recorders_of_consent() -> None:
    assert "140 dB" in given(burst=True)["burst"]
    assert "neighbours" in given(recorder=True)["recorder"]


def test_children_are_spared() -> None:
    assert "child's" in given(loudest_dba=88.0)["hearing"]
    assert "children" in given(test_noise=True)["test noise"]


def test_a_lining_with_wool_raises_dust_wiring_fire_and_damp() -> None:
    told = given(change(LINED, BRICK, added=12.0, area=10.0), **ROOM)
    assert {"fibres", "wiring", "fire", "condensation", "old work", "permits"} <= set(told)
    assert "wool" in told["fibres"]


@pytest.mark.parametrize(
    ("level", "time"), [(85.0, "8.0 hours"), (94.0, "60 minutes"), (100.0, "15 minutes")]
)
def test_hearing_time_halves_every_three_decibels(level: float, time: str) -> None:
    """Published limits: 85 dBA 8 h, 94 dBA 1 h, 100 dBA 15 min."""
    assert time in given(loudest_dba=level)["hearing"]
    assert given(loudest_dba=84.9) == {}


def test_every_caution_has_its_trigger_source_and_a_line_that_fits_a_screen() -> None:
    assert len({one.key for one in TABLE}) == len(TABLE)
    for one in TABLE:
        assert one.trigger
        assert one.source
        assert one.text == ""
        assert 30 < len(one.short) <= 76, one.short
        assert not one.grave or len(f"{one.title}: {one.ask}") <= 34, one.ask  # two stand side by side
        assert one.short.endswith(".")


def test_what_maims_is_grave_and_on_every_first_screen() -> None:
    """Way out, load (holes in what carries too), fumes, fire, old work, wiring (drilling into it too)."""
    grave = {one.key for one in TABLE if one.grave}
    assert grave == {"load", "escape", "combustion", "fire", "wiring", "drilling", "old work", "hole"}
    found = raised(Facts(changes=(change(SECOND, GLASS), duct(shared=True)), loudest_dba=90.0))
    for most in (0, 3, 9, 99):
        first = foremost(found, most)
        assert {one.key for one in found if one.grave} <= {one.key for one in first}
        assert len(first) == min(max(most, sum(one.grave for one in found)), len(found))
        assert list(first) == [one for one in found if one in first]


def test_the_demo_carries_its_cautions_into_the_data() -> None:
    with judged_once():
        told = room().to_dict()["cautions"]
    assert {"escape", "glazing", "air", "hearing", "old work"} <= {one["key"] for one in told}
    assert all(one["text"] and one["source"] and one["short"] for one in told)


# --- what options and plans raise ---

INNER = {
    "load", "escape", "combustion", "fire", "wiring", "drilling", "old work", "hole", "air", "bracing",
    "alarm", "lifting", "fibres", "condensation", "permits",
}  # fmt: skip


@pytest.mark.parametrize("vents", [True, False])
def test_an_inner_room_raises_the_same_wherever_it_is_offered(vents: bool) -> None:
    """Whether as an answer of its own or as a step of a plan; its ducts want holes, vents or none."""
    described = rooms.load()
    if not vents:
        described = replace(described, sides=tuple(replace(one, vents=()) for one in described.sides))
    load = shells_of(described).load
    parts = ("walls", "ceiling", "floor")
    step = Facts(
        changes=tuple(changes.of_inner_room(described, load, parts)), within=changes.within(load, parts)
    )
    for found in (raised(step), notes.cautions(described, load)):
        assert {one.key for one in found} >= INNER
    walls = {one.key: one.text for one in raised(replace(step, within=changes.within(load, ("walls",))))}
    standing = float(re.match(r"(\d+) kg stand", walls["load"])[1])  # type: ignore[index]
    assert standing == pytest.approx(load.of("walls", *WITH_WALLS), abs=1.0)


def test_a_second_door_and_lined_flanks_are_changes_too() -> None:
    described = rooms.load()
    door = next(side for side in described.sides if side.construction.kind == "door")
    second = Second(constructions.load("solid core door 44 mm"), (), (0.8, 0.15, 2.0))
    found = [
        *changes.of_option(
            described, Option("o", door.name, second=second), door, added=0.0, less_air=True
        )
    ]
    assert "without a key" in {one.key: one.text for one in raised(Facts(changes=tuple(found)))}["escape"]
    lined = Option("o", "", lining=constructions.load(LINED), flanks=("all",))
    found = [*changes.of_option(described, lined, None, added=0.0, less_air=False)]
    keys = {one.key for one in raised(Facts(changes=tuple(found)))}
    assert {"fibres", "wiring", "fire", "drilling"} <= keys


def test_compared_constructions_carry_cautions() -> None:
    told = compare([BRICK, LINED]).to_dict()["cautions"]
    assert {"load", "fibres", "fire"} <= {one["key"] for one in told}


PLAIN = """
[room]
size = "4 m x 3 m x 2.5 m"
furnishing = "furnished"
background = "25 dBA"
people = {people}
[[side]]
name = "party wall"
faces = "next door"
construction = "brick wall 225 mm, plastered"
area = "8 m2"
[[noise]]
source = "speech"
level = "70 dBA"
faces = "next door"
indoors = true
"""
DUCT = """
[[option]]
name = "duct"
replace = "party wall"
[[option.vent]]
opening = "100 mm"
length = "0.3 m"
"""


def of_room(folder: Path, text: str) -> set[str]:
    (folder / "room.toml").write_text(text)
    found = room(rooms.load(folder / "room.toml"), draws=50)
    return {one["key"] for one in found.to_dict()["cautions"]}


def test_a_fan_that_a_room_is_offered_raises_fumes(tmp_path: Path) -> None:
    """Too little air for one comes by itself, so that an opening or a fan is named; nobody, no fan."""
    assert "combustion" in of_room(tmp_path, PLAIN.format(people=1))
    assert "combustion" not in of_room(tmp_path, PLAIN.format(people=0))


def test_a_duct_through_a_party_wall_in_a_room_file_raises_all_that_belongs(tmp_path: Path) -> None:
    told = of_room(tmp_path, PLAIN.format(people=1) + DUCT)
    assert {"fire", "drilling", "old work", "hole", "permits", "combustion"} <= told


def test_a_recorder_that_is_checked_has_loud_noise_played_to_it() -> None:
    found = Check("loud.wav", False, None, -7.0, ())
    assert {"test noise", "speakers"} <= {one["key"] for one in found.to_dict()["cautions"]}


def test_the_guide_to_measuring_says_what_hurts_where_it_asks_for_it() -> None:
    told = " ".join(Path(chapters.__file__).with_name("measuring.md").read_text(encoding="utf-8").split())
    balloon = told[told.index("burst a balloon") :][:400]
    assert "Ears plugged" in balloon and "no child" in balloon
    night = told[told.index("isolate survey night.wav") :][:700]
    assert "ask them first" in night
