"""Fresh air through vents and slits."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import air, air_flow


def test_short_vent_is_an_orifice() -> None:
    """A short tube loses half a dynamic pressure going in and one coming out: 0.82 A sqrt(2 dp/rho), any
    text on fluid mechanics (from memory); with a sharp bend, 1.2, it passes 0.61, as a sharp hole does."""
    full = 0.01 * np.sqrt(2 * 10 / air.DENSITY)
    assert air_flow.vent_flow(area=0.01, pressure=10.0) / full == pytest.approx(0.82, abs=0.005)
    assert air_flow.vent_flow(area=0.01, pressure=10.0, losses=1.2) / full == pytest.approx(0.61, abs=0.005)


def test_narrow_slit_is_poiseuilles_and_wide_one_an_orifice() -> None:
    """w^3 dp/(12 mu d) (any text on fluid mechanics)."""
    narrow = air_flow.slit_flow(width=0.05e-3, depth=0.05, pressure=4.0)
    assert narrow == pytest.approx((0.05e-3) ** 3 * 4.0 / (12 * air.VISCOSITY * 0.05), rel=1e-3)
    wide = air_flow.slit_flow(width=20e-3, depth=0.05, pressure=4.0)
    assert wide == pytest.approx(float(air_flow.vent_flow(area=20e-3, pressure=4.0)), rel=0.02)


def test_area_is_the_inverse_of_flow() -> None:
    area = air_flow.vent_area(flow=0.02, pressure=2.0, losses=2.4)
    assert air_flow.vent_flow(area=area, pressure=2.0, losses=2.4) == pytest.approx(0.02)


def test_carbon_dioxide_of_a_ventilated_and_of_a_shut_room() -> None:
    """10 L/s a person keeps a room about 500 ppm above outdoors, category I (EN 16798-1: 550, from memory);
    a shut room rises in a straight line."""
    steady = air_flow.co2(people=2, flow=air_flow.needed(2), volume=33.0, hours=24.0)
    assert steady - air_flow.CO2_OUTSIDE == pytest.approx(550e-6, rel=0.1)
    hour, two = (
        air_flow.co2(people=2, flow=0.0, volume=33.0, hours=h) - air_flow.CO2_OUTSIDE for h in (1, 2)
    )
    assert two == pytest.approx(2 * hour)
    nearly = air_flow.co2(people=2, flow=1e-7, volume=33.0, hours=1.0) - air_flow.CO2_OUTSIDE
    assert nearly == pytest.approx(hour, rel=1e-3)
    assert air_flow.co2(people=1, flow=0.01, volume=33.0, hours=1.0, effort=2.0) > steady / 2
