"""The facade: several sides at once and the level inside, against printed examples and by hand."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import facade, paths


def composite(tau: list[float], area: list[float]) -> float:
    """Transmission loss [dB] of sides together: what is left of 0 dB, spread over all their area."""
    sides = np.array([[t * s] for t, s in zip(tau, area, strict=True)])
    return -float(paths.level(np.zeros(1), sides, transfer_db=-10 * np.log10(sum(area)))[0])


def test_brick_with_a_window_is_44_8_db() -> None:
    """Crocker and Arenas, Engineering Acoustics (2021), example 12.13: brick 210 kg/m2 and 5 mm glass 12.5
    kg/m2 at 1 kHz by TL = 20 lg(M f) - 47, areas 9.5 and 1.08 m2; printed 44.8 dB. The example's own TL are
    the whole decibels 59 and 35."""
    brick, glass = (20 * np.log10(mass * 1000.0) - 47 for mass in (210.0, 12.5))
    assert (round(brick), round(glass)) == (59, 35)
    assert composite([10**-5.9, 10**-3.5], [9.5, 1.08]) == pytest.approx(44.8, abs=0.05)


def test_a_gap_of_one_percent_leaves_20_db_of_a_50_db_door() -> None:
    """Crocker and Arenas, Engineering Acoustics (2021), example 12.16: tau = 1 on 1 % of the area; printed 20
    dB, and 60 dB inside from 80 dB outside."""
    loss = composite([1e-5, 1.0], [0.99, 0.01])
    assert loss == pytest.approx(20.0, abs=0.05)
    assert 80.0 - loss == pytest.approx(60.0, abs=0.05)


def test_the_level_inside_by_hand() -> None:
    """Hand calculation: 70 dB arriving, R' 30 dB on 10 m2, A = 0.16 * 50/0.5 = 16 m2:
    70 - 30 + 10 lg(10/16) + 3 = 40.96 dB."""
    absorption = facade.absorption_area(volume=50.0, reverberation_time=0.5)
    assert absorption == pytest.approx(16.0)
    inside = facade.level_inside(70.0, 1e-3 * 10.0, absorption=absorption, field="arriving")
    assert inside == pytest.approx(40.96, abs=0.005)


@pytest.mark.parametrize(("field", "reflection_db"), [("arriving", 0.0), ("2 m before the facade", 3.0),
                                                      ("on the facade", 6.0)])  # fmt: skip
def test_reference_points_agree_about_one_and_the_same_sound(field: str, reflection_db: float) -> None:
    """ISO 16283-3:2016: a facade adds 3 dB at 2 m and 6 dB on its surface; the level inside is the same."""
    arriving = facade.level_inside(70.0, 0.01, absorption=16.0, field="arriving")
    assert facade.level_inside(70.0 + reflection_db, 0.01, absorption=16.0, field=field) == pytest.approx(
        arriving
    )


def test_it_agrees_with_the_standardised_level_difference() -> None:
    """ISO 12354-3:2017, equation 12, from the other end: D2m,nT = L1,2m - L2 + 10 lg(T/0.5) is R' + 10 lg of
    V/(6 T0 S), from which A = 0.16 V/T differs by 10 lg(6.25/6) = 0.18 dB."""
    volume, time, area, tl = 32.8, 0.7, 9.2, 33.0
    absorption = facade.absorption_area(volume=volume, reverberation_time=time)
    tau_area = 10 ** (-tl / 10) * area
    inside = facade.level_inside(73.0, tau_area, absorption=absorption, field="2 m before the facade")
    standardised = 73.0 - inside + 10 * np.log10(time / 0.5)
    assert standardised == pytest.approx(tl + 10 * np.log10(volume / (6 * 0.5 * area)), abs=0.2)


def test_doubling_the_absorption_buys_three_decibels_and_no_more() -> None:
    once, twice = (facade.level_inside(70.0, 0.01, absorption=a, field="room") for a in (10.0, 20.0))
    assert once - twice == pytest.approx(10 * np.log10(2))


def test_bad_input_is_named() -> None:
    with pytest.raises(ValueError, match="field: 'garden' is unknown; one of arriving"):
        facade.level_inside(70.0, 0.01, absorption=16.0, field="garden")
