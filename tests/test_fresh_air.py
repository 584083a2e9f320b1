"""Fresh air through the openings of a room: flows by hand, people served, what is missing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import N_BANDS
from isolate.describe import constructions
from isolate.describe.materials import Range
from isolate.describe.rooms import Gap, Second, Side, Vent
from isolate.physics import air_flow, air_noise
from isolate.room import air

WALL = Side("wall", "street", constructions.load("brick wall 102 mm"), 10.0)
HOLE = Vent("hole", 0.01, (0.1, 0.1), 0.1)


def of(side: Side, people: float | None = None) -> air.Air:
    return air.of([side], people)


def test_a_hole_by_hand() -> None:
    """Q = A sqrt(2 p/(rho zeta)), zeta 1.5 of its mouths and 0.03 L/D of its walls (L/D 1 in a square of
    0.1 m, 0.1 m deep): 0.01 sqrt(2/(1.2 1.53)) = 10.4 L/s at 1 Pa, one person; root 20 more with a fan."""
    (way,) = of(replace(WALL, vents=(HOLE,))).ways
    assert way.still == pytest.approx(0.01 * math.sqrt(2 / (1.204 * 1.53)), rel=0.01)
    assert way.fan is not None and way.still is not None
    assert way.fan / way.still == pytest.approx(math.sqrt(20.0))
    assert way.people == pytest.approx(1.04, abs=0.02)
    assert way.people_with_fan == pytest.approx(1.04 * math.sqrt(20.0), abs=0.1)
    assert way.to_dict()["flow_l_s"] == pytest.approx(10.4, rel=0.01)
    assert way.to_dict()["fan_flow_l_s"] == pytest.approx(10.4 * math.sqrt(20.0), rel=0.01)
    (square,) = of(replace(WALL, vents=(replace(HOLE, section=None),))).ways
    assert square.still == pytest.approx(way.still)
    (two,) = of(replace(WALL, vents=(replace(HOLE, count=2),))).ways
    assert two.still == pytest.approx(2.0 * way.still)
    assert of(replace(WALL, vents=(HOLE,))).to_dict()["per_person_l_s"] == pytest.approx(10.0)
    flat = replace(HOLE, section=(0.02, 0.5))  # L/D 0.1 m/(4 0.01/1.04 m): 1.5 + 0.078
    (flat_way,) = of(replace(WALL, vents=(flat,))).ways
    assert flat_way.still == pytest.approx(0.01 * math.sqrt(2 / (1.204 * 1.578)), rel=0.01)


def test_boxes_and_silencers_cost_air_and_a_test_says_nothing_of_it() -> None:
    plain = of(replace(WALL, vents=(HOLE,))).served
    from isolate.describe.rooms import Box

    boxed = of(replace(WALL, vents=(replace(HOLE, box=Box((0.6, 0.3, 0.3), 2, 0.05)),))).served
    muffled = of(replace(WALL, vents=(replace(HOLE, insertion_db=np.full(N_BANDS, 10.0)),))).served
    assert muffled / plain == pytest.approx(math.sqrt(1.53 / 2.53), rel=0.01)
    lost = 2 * air_noise.LOSSES["box"]
    assert boxed / plain == pytest.approx(math.sqrt(1.53 / (1.53 + lost)), rel=0.01)
    (way,) = of(replace(WALL, vents=(Vent("tested", None, tested_db=np.full(N_BANDS, 40.0)),))).ways
    assert way.still is None and way.people is None and way.people_with_fan is None


def test_gaps_count_and_a_door_behind_a_lobby_does_not() -> None:
    gap = Gap(8e-3, 0.8, 0.04)
    found = of(replace(WALL, gaps=(gap,)))
    assert found.still == pytest.approx(0.8 * float(air_flow.slit_flow(width=8e-3, depth=0.04, pressure=1.0)))
    behind = Second(WALL.construction, (), (1.0, 1.0, 2.0))
    assert of(replace(WALL, gaps=(gap,), second=behind)).ways == ()


def test_an_open_window_airs_the_room() -> None:
    found = of(replace(WALL, opened=Range(0.1, 0.1, 0.1)), people=2)
    assert found.served > 50 and found.missing_area == 0.0
    assert of(replace(WALL, opened=Range(0.0, 0.0, 0.0))).ways == ()
    open_part = 0.1 * WALL.area * math.sqrt(2 / (1.204 * 1.5))
    assert found.still == pytest.approx(open_part, rel=0.01)


def test_what_is_missing_would_bring_the_rest() -> None:
    found = of(replace(WALL, vents=(HOLE,)), people=3)
    more = replace(HOLE, area=found.missing_area, section=None, length=0.0)
    both = of(replace(WALL, vents=(HOLE, more)), people=3)
    assert both.served == pytest.approx(3.0)
    assert both.to_dict()["served"] == pytest.approx(3.0)
