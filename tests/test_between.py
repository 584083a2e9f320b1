"""Between rooms: the standard's example, reciprocity, the lobby, and the way outdoors."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import between, facade, facade_shape


@pytest.mark.parametrize("time", [0.3, 0.5, 1.2])
def test_standardised_difference_of_annex_h3(time: float) -> None:
    """EN 12354-1:2000, annex H.3: R'_w 52.2, 50 m3, 11.5 m2, printed 53.8, which is with V/3 for 0.32 V: 10
    lg(50/(3 x 11.5)) = 1.6. The exact factor gives 53.6; both round to 54. The reverberation is no matter."""
    absorption = facade.absorption_area(volume=50.0, reverberation_time=time)
    d = between.level_difference(11.5 * 10**-5.22, absorption=absorption)
    assert between.standardised(d, reverberation_time=time) == pytest.approx(53.6, abs=0.05)
    assert 52.2 + 10 * np.log10(50 / (3 * 11.5)) == pytest.approx(53.8, abs=0.05)


def test_reciprocity_between_rooms_of_different_size() -> None:
    """Same source power in either room: the level in the other is the same, whatever the sizes. D differs
    by the absorption areas."""
    tau_area = 12 * 10 ** (-np.array([30.0, 45, 60]) / 10)
    small, large = 8.0, 27.0
    d_to_large = between.level_difference(tau_area, absorption=large)
    d_to_small = between.level_difference(tau_area, absorption=small)
    level_per_power = {"small": -10 * np.log10(small / 4), "large": -10 * np.log10(large / 4)}
    np.testing.assert_allclose(level_per_power["small"] - d_to_large, level_per_power["large"] - d_to_small)


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
    through = 90 + 10 * np.log10(10.0 * 10 ** (-30 / 10))  # a level of 90 dB and 10 m2 of 30 dB
    near = through + between.outside_transfer(distance=0.5, area=10.0)
    assert near == pytest.approx(90 - 6 - 30)
    far = through + between.outside_transfer(distance=np.array([20.0, 40.0]), area=10.0)
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
