"""Plates coupled along lines and at points: the standard's level difference, powers both ways, limits."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES
from isolate.describe.houses import Plate
from isolate.describe.materials import Range
from isolate.physics import coupled, flanking_junctions
from isolate.physics.coupled import Member
from isolate.physics.links import spring

F = THIRD_OCTAVES


def member(mass: float, density: float, speed: float, *, light: bool = False, loss: float = 0.01) -> Member:
    plate = Plate("plate", Range(mass, mass, mass), Range(mass, mass, mass), density, speed, loss, light)
    return coupled.member(F, plate, size=(5.0, 4.0))


SLAB, WALL = member(345.0, 2300.0, 3500.0), member(200.0, 1750.0, 2300.0)
BOARDS = member(20.0, 690.0, 1700.0, light=True, loss=0.06)


def modal_energy(one: Member, velocity: np.ndarray) -> np.ndarray:
    """Energy over modal density but for a common factor; modes go as area times critical frequency."""
    return one.mass * velocity / one.critical_hz


def test_mean_of_both_directions_is_the_standards_level_difference() -> None:
    """ISO 12354-1: D_v,ij = K_ij - 10 lg(l/sqrt(a_i a_j)), mean of both directions (weak coupling)."""
    k, length = 25.0, 4.0
    ways = (
        coupled.along_line(F, SLAB, WALL, k=k, length=length),
        coupled.along_line(F, WALL, SLAB, k=k, length=length),
    )
    lengths = [flanking_junctions.absorption_length(F, area=one.area, eta=one.loss) for one in (SLAB, WALL)]
    expected = k - 10 * np.log10(length / np.sqrt(lengths[0] * lengths[1]))
    found = -5 * np.log10(ways[0] * ways[1])
    np.testing.assert_allclose(found, expected, atol=0.1)


def test_integers_are_frequencies_too() -> None:
    f = np.array([125, 500, 2000])
    np.testing.assert_array_equal(SLAB.radiates(f), SLAB.radiates(f.astype(float)))


@pytest.mark.parametrize("other", [WALL, BOARDS], ids=["heavy", "light"])
def test_power_is_the_same_both_ways_for_the_same_energy_per_mode(other: Member) -> None:
    """Consistency of statistical energy analysis, n_i eta_ij = n_j eta_ji."""

    def lost(start: Member, end: Member, k: float) -> np.ndarray:
        ratio = coupled.along_line(F, start, end, k=k, length=4.0)
        kept = end.loss + end.radiated_loss(F)
        return ratio * end.mass * end.area * kept / (start.mass * start.area)

    forth, back = lost(SLAB, other, 60.0), lost(other, SLAB, 60.0)  # so weak that nothing comes back
    modes = SLAB.area * SLAB.critical_hz, other.area * other.critical_hz
    np.testing.assert_allclose(modes[0] * forth, modes[1] * back, rtol=1e-3)


@pytest.mark.parametrize("count", [1.0, 1e6])
def test_no_plate_is_driven_beyond_the_energy_per_mode_of_the_driver(count: float) -> None:
    by_points = coupled.at_points(F, SLAB, BOARDS, count=count, link=spring(1e12))
    by_line = coupled.along_line(F, SLAB, BOARDS, k=-40.0, length=count)
    for velocity in (by_points, by_line):
        assert np.all(modal_energy(BOARDS, velocity) <= modal_energy(SLAB, np.ones_like(F)) * (1 + 1e-9))


def test_soft_links_pass_nothing_and_stiff_ones_the_most() -> None:
    soft, mount, rigid = (
        coupled.at_points(F, SLAB, BOARDS, count=20.0, link=spring(k)) for k in (1e-3, 3e5, 1e12)
    )
    assert np.all(soft < 1e-12)
    assert np.all(mount < rigid)
    np.testing.assert_allclose(
        rigid, coupled.at_points(F, SLAB, BOARDS, count=20.0, link=spring(1e15)), rtol=1e-6
    )


def test_links_double_what_few_of_them_pass() -> None:
    one, two = (coupled.at_points(F, SLAB, BOARDS, count=n, link=spring(3e4)) for n in (1.0, 2.0))
    np.testing.assert_allclose(two, 2 * one, rtol=1e-3)


def test_point_mobility_is_that_of_the_endless_plate() -> None:
    """1/(8 sqrt(B m)) (Cremer and Heckl): concrete of 150 mm, E = cL^2 rho."""
    bending = 2300.0 * 3500.0**2 * 0.15**3 / 12.0
    expected = 1 / (8 * np.sqrt(bending * 345.0))
    assert SLAB.mobility == pytest.approx(expected, rel=0.01)  # the standard's fc has 1.8 for 1.81
