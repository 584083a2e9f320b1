"""Between rooms: the standard's example, reciprocity, the lobby, and the way outdoors."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import between, facade, facade_shape


def test_standardised_difference_of_annex_h3() -> None:
    """EN 12354-1:2000, annex H.3: R'_w 52.2, 50 m3, 11.5 m2. Printed 53.8, with V/3 for 0.32 V it would
    be 53.8: 10 lg(50/(3 x 11.5)) = 1.6; the exact factor gives 53.6. Both round to 54."""
    exact = float(between.standardised_from_index(52.2, volume=50.0, area=11.5))
    assert exact == pytest.approx(53.6, abs=0.05)
    assert 52.2 + 10 * np.log10(50 / (3 * 11.5)) == pytest.approx(53.8, abs=0.05)


def test_three_ways_to_the_standardised_difference_agree() -> None:
    r, s, v, t = 50.0, 12.0, 33.0, 0.7
    a = facade.absorption_area(volume=v, reverberation_time=t)
    d = between.level_difference(s * 10 ** (-r / 10), absorption=a)
    assert between.standardised(d, reverberation_time=t) == pytest.approx(
        float(between.standardised_from_index(r, volume=v, area=s))
    )
    assert between.normalised(d, absorption=10.0) == pytest.approx(float(d))


def test_reciprocity_between_rooms_of_different_size() -> None:
    """Same source power in either room: the level in the other is the same, whatever the sizes. D differs
    by the absorption areas, D_nT by the volumes alone."""
    tau_area = 12 * 10 ** (-np.array([30.0, 45, 60]) / 10)
    small, large = 8.0, 27.0
    d_to_large = between.level_difference(tau_area, absorption=large)
    d_to_small = between.level_difference(tau_area, absorption=small)
    level_per_power = {"small": -10 * np.log10(small / 4), "large": -10 * np.log10(large / 4)}
    np.testing.assert_allclose(level_per_power["small"] - d_to_large, level_per_power["large"] - d_to_small)
    to_large = between.standardised_from_index(50.0, volume=90.0, area=12.0)
    to_small = between.standardised_from_index(50.0, volume=30.0, area=12.0)
    assert to_large - to_small == pytest.approx(10 * np.log10(3))


def test_lobby_adds_the_doors_and_its_absorption() -> None:
    """R_1 + R_2 + 10 lg(A/S), two doors of 30 dB and 2 m2 with 4 m2 of absorption: 63 dB; without any
    absorption it still is no worse than the better door, and two open ends share."""
    both = between.through_lobby(1e-3, 1e-3, area_in=2.0, area_out=2.0, absorption=4.0)
    assert -10 * np.log10(both / 2.0) == pytest.approx(63.0, abs=0.05)
    bare = between.through_lobby(1e-3, 1e-3, area_in=2.0, area_out=2.0, absorption=0.0)
    assert bare == pytest.approx(1e-3)
    swapped = between.through_lobby(1e-2, 1e-3, area_in=1.0, area_out=2.0, absorption=4.0)
    assert swapped == between.through_lobby(1e-3, 1e-2, area_in=2.0, area_out=1.0, absorption=4.0)


def test_level_outdoors() -> None:
    """ISO 12354-4 (from memory): L - 6 - R before the facade, 6 dB less for each doubling far away."""
    tau_area = 10.0 * 10 ** (-30 / 10)
    near = between.outside_level(90.0, tau_area, distance=0.5, area=10.0)
    assert near == pytest.approx(90 - 6 - 30)
    far = between.outside_level(90.0, tau_area, distance=np.array([20.0, 40.0]), area=10.0)
    assert far[0] - far[1] == pytest.approx(20 * np.log10(2))
    assert far[0] == pytest.approx(90 - 6 - 30 + 10 - 10 * np.log10(2 * np.pi * 400))


def test_shape_of_the_facade_stays_within_the_published_ranges() -> None:
    """ISO 12354-3 annex C, ranges over the table's rows (read)."""
    assert facade_shape.level_difference("plane", soffit_absorption=0.9, sight_height=3.0) == 0.0
    for kind, least, most in (("balcony", -1.0, 4.0), ("gallery", -1.0, 4.0), ("terrace", 3.0, 7.0)):
        assert facade_shape.level_difference(kind) == least
        assert facade_shape.level_difference(kind, soffit_absorption=0.9, sight_height=3.0) == most
    assert facade_shape.level_difference("terrace", sight_height=2.0) == pytest.approx(4.0)
    with pytest.raises(ValueError, match="no facade called 'porch'; known are plane, gallery"):
        facade_shape.level_difference("porch")
