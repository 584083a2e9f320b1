"""Each caution is raised by what should raise it, and by nothing else."""

from __future__ import annotations

import re

import pytest

from isolate.answers.room.answer import room
from isolate.describe import constructions
from isolate.describe.rooms import Gap
from isolate.remedies.cautions.facts import Change, Facts
from isolate.remedies.cautions.table import TABLE, raised

GLASS, SECOND = "glass 4 mm", "glass 4 mm + 100 mm + laminated 6.4 mm"
BRICK = "brick wall 225 mm, plastered"
LINED = "brick wall 225 mm, lined on free studs"
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


def test_the_load_is_told_against_the_floors() -> None:
    """By hand: 100 kg/m2 on 12 m2 are 1200 kg; 1200 * 9.81/12 = 0.98 kPa, 52 % of 1.9 kPa."""
    text = given(change(LINED, BRICK, added=100.0, area=12.0), **ROOM)["load"]
    assert "1200 kg in all" in text
    assert "1.0 kPa, 52 % of the 1.9 kPa (40 lb/ft2)" in text
    assert "structural engineer" in text


def test_light_work_all_over_loads_the_floor_too() -> None:
    assert "load" in given(change(LINED, BRICK, added=20.0, area=30.0), **ROOM)
    assert "load" not in given(change(LINED, BRICK, added=20.0, area=5.0), **ROOM)


def test_closing_gaps_alone_asks_for_air_and_leaves_the_window_in_peace() -> None:
    gap = Gap(0.002, 3.0, 0.04)
    told = given(change(GLASS, GLASS, area=1.7, gaps=(), old_gaps=(gap,)), **ROOM)
    assert set(told) == {"air", "combustion"}
    assert given(change(GLASS, GLASS, area=1.7, gaps=(gap,), old_gaps=(gap,)), **ROOM) == {}


def test_the_rise_of_carbon_dioxide_is_that_of_a_seated_person() -> None:
    """Published rate 0.3 L/min a person (0.0052 L/s); 0.0052e-3 * 3600/30 = 624 ppm an hour in 30 m3."""
    assert "about 620 ppm an hour" in given(change(SECOND, GLASS), **ROOM)["air"]


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


def test_every_caution_has_its_trigger_source_and_defers_or_tells_what_to_do() -> None:
    assert len({one.key for one in TABLE}) == len(TABLE)
    for one in TABLE:
        assert one.trigger
        assert one.source
        assert one.text == ""


def test_the_demo_carries_its_cautions_into_the_data() -> None:
    told = room().to_dict()["cautions"]
    assert {"escape", "glazing", "air", "hearing", "old work"} <= {one["key"] for one in told}
    assert all(one["text"] and one["source"] for one in told)
