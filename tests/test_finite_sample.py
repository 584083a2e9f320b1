"""Radiation impedance of a finite rectangle: limits, brute force and a sibling formula."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import air
from isolate.physics.finite import forced_radiation
from isolate.physics.finite_sample import distance_weight, radiation_impedance


@pytest.mark.parametrize("size", [(2.0, 3.0), (3.0, 2.0), (1.0, 1.0), (0.1, 4.0)])
def test_weight_counts_every_pair_of_points(size):
    width, height = size
    r = np.linspace(0, np.hypot(*size), 200_001)
    weight = distance_weight(r, width=width, height=height)
    assert weight[0] == pytest.approx(2 * np.pi * width * height)
    assert np.trapezoid(weight * r, r) == pytest.approx((width * height) ** 2, rel=1e-6)


def test_mean_distance_in_a_unit_square():
    """0.5214 (integral geometry: (2 + 2^0.5 + 5 asinh 1)/15)."""
    r = np.linspace(0, np.sqrt(2), 200_001)
    mean = np.trapezoid(distance_weight(r, width=1, height=1) * r**2, r)
    assert mean == pytest.approx((2 + np.sqrt(2) + 5 * np.arcsinh(1)) / 15, rel=1e-6)


def test_small_piston_radiates_as_a_point():
    """Re Zr = k^2 S / (2 pi) for a small baffled piston, at any angle."""
    got = radiation_impedance(20.0, angle=[0.0, 1.5], width=0.1, height=0.2)
    k = 2 * np.pi * 20 / air.SPEED
    np.testing.assert_allclose(got[:, 0].real, k**2 * 0.02 / (2 * np.pi), rtol=1e-3)


def test_large_piston_feels_an_endless_plane():
    theta = np.array([0.0, 0.5, 1.0])
    got = radiation_impedance(4000.0, angle=theta, width=3.0, height=3.6)[:, 0]
    np.testing.assert_allclose(got, 1 / np.cos(theta), atol=0.05)
    grazing = radiation_impedance(4000.0, angle=np.pi / 2, width=3.0, height=3.6)
    assert np.isfinite(grazing).all()


def test_against_brute_force_over_both_shifts():
    """The same integral on a grid of shifts (u, v), averaged over 64 directions along the surface."""
    f, theta, a, b = 300.0, 0.9, 1.0, 1.5
    k, n = 2 * np.pi * f / air.SPEED, 600
    u, v = (np.arange(n) + 0.5) * a / n, (np.arange(n) + 0.5) * b / n
    r = np.hypot(u[:, None], v[None, :])
    phi = (np.arange(64) + 0.5) * 2 * np.pi / 64
    ku, kv = k * np.sin(theta) * np.cos(phi), k * np.sin(theta) * np.sin(phi)
    along = np.mean(
        [np.cos(x * u)[:, None] * np.cos(y * v)[None, :] for x, y in zip(ku, kv, strict=True)], axis=0
    )
    pairs = (a - u)[:, None] * (b - v)[None, :]
    total = 4 * np.sum(pairs * along * np.exp(-1j * k * r) / r) * a * b / n**2
    brute = 1j * k / (2 * np.pi * a * b) * total
    got = radiation_impedance(f, angle=theta, width=a, height=b)[0, 0]
    assert got == pytest.approx(brute, rel=0.01)


def test_real_part_is_the_forced_radiation_factor():
    """Davy 2009's closed formula is a fit to the same quantity: within 15 % where both hold."""
    f, cosine = np.array([50.0, 100, 200, 500, 1000]), np.array([1, 0.8, 0.5, 0.2, 0.05])
    exact = radiation_impedance(f, angle=np.arccos(cosine), width=3.0, height=3.6).real
    davy = forced_radiation(cosine[:, None], wavenumber=2 * np.pi * f / air.SPEED, width=3.0, height=3.6)
    np.testing.assert_allclose(exact, davy, rtol=0.15)


def test_sides_must_be_above_nothing():
    with pytest.raises(ValueError, match="width: must be above 0"):
        radiation_impedance(100.0, angle=0.0, width=0.0, height=1.0)
