"""Closed forms against printed values and against the solver, which does not use them."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import closed, layers
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.leaves import Limp, Plate, critical_frequency

F = np.geomspace(50.0, 5000.0, 31)


def diffuse(leaf: Limp | Plate, f: np.ndarray, count: int = 6000) -> np.ndarray:
    """TL [dB] of one endless leaf by brute force over cos^2, crowded towards grazing, through the solver."""
    part = ((np.arange(count) + 0.5) / count * 25.0)[:, None]
    cosine2 = np.exp(-part)
    trace = 2 * np.pi * f / SPEED * np.sqrt(1 - cosine2)
    sheet = layers.Sheet(leaf.impedance(f, trace))
    tau = layers.transmission([sheet], outer=IMPEDANCE / np.sqrt(cosine2))
    return -10 * np.log10((tau * cosine2).sum(0) * 25.0 / count)


@pytest.mark.parametrize(("mass", "printed"), [(210.0, 59.0), (12.5, 35.0)])
def test_brick_and_glass_at_one_kilohertz(mass: float, printed: float) -> None:
    """Crocker and Arenas, Engineering Acoustics (2021), chapter 12: 59 dB of brick, 35 dB of glass."""
    assert closed.mass_law(1000.0, surface_mass=mass) == pytest.approx(printed, abs=0.5)


def test_limp_sheet_follows_the_diffuse_mass_law() -> None:
    for mass in (3.0, 10.0, 300.0):
        law = closed.diffuse_mass_law(F, surface_mass=mass)
        np.testing.assert_allclose(diffuse(Limp(mass), F), law, atol=1e-3)


def test_mass_laws_beside_each_other() -> None:
    """Diffuse is R0 - 10 lg(0.23 R0), field R0 - 5 (textbooks), for R0 of 20 dB and more."""
    normal = closed.normal_mass_law(F, surface_mass=100.0)
    diffuse_law = closed.diffuse_mass_law(F, surface_mass=100.0)
    np.testing.assert_allclose(diffuse_law, normal - 10 * np.log10(0.23 * normal), atol=0.05)
    np.testing.assert_allclose(closed.mass_law(F, surface_mass=100.0), normal - 5.0, atol=0.02)


@pytest.mark.parametrize("cosine", [1.0, 0.8, 0.3])
def test_two_limp_sheets_follow_london(cosine: float) -> None:
    trace = 2 * np.pi * F / SPEED * np.sqrt(1 - cosine**2)
    k = 2 * np.pi * F / SPEED
    sheet = layers.Sheet(Limp(10.0).impedance(F, trace))
    gap = layers.Fluid(F, trace, density=IMPEDANCE / SPEED, wavenumber=k, depth=0.1)
    got = -10 * np.log10(layers.transmission([sheet, gap, sheet], outer=IMPEDANCE / cosine))
    law = closed.london(F, surface_mass=10.0, depth=0.1, cosine=cosine)
    np.testing.assert_allclose(got, law, atol=1e-9)


def test_resonance_is_london_s_first_minimum() -> None:
    f0 = float(closed.mass_air_mass(mass1=50.0, mass2=50.0, depth=0.05))
    fine = np.linspace(0.7 * f0, 1.2 * f0, 20001)
    lowest = fine[closed.london(fine, surface_mass=50.0, depth=0.05).argmin()]
    assert lowest == pytest.approx(f0, rel=0.003)


def test_resonance_as_printed() -> None:
    """60 sqrt((m1 + m2)/(m1 m2 d)) (Raichel, eq. 12.23); glass 4-16-4 mm near 210 Hz (trade, no source)."""
    m, d = 10.0, 0.016
    printed = 60.0 * np.sqrt(2 * m / (m * m * d))
    assert closed.mass_air_mass(mass1=m, mass2=m, depth=d) == pytest.approx(printed, rel=0.005)
    assert closed.mass_air_mass(mass1=m, mass2=m, depth=d) == pytest.approx(210.0, abs=5.0)


def test_coincidence_is_where_bending_waves_reach_the_speed_of_sound() -> None:
    """k_B = (w^2 m/B)^(1/4) equals w/c at fc."""
    fc = float(closed.coincidence(surface_mass=15.0, bending=1300.0))
    w = 2 * np.pi * fc
    assert (w**2 * 15.0 / 1300.0) ** 0.25 == pytest.approx(w / SPEED)


def test_plate_above_coincidence_follows_cremer() -> None:
    """An endless thin plate of low loss, two octaves and more above fc. The printed form leaves out the
    losses by radiation and the tail of other angles: 0.7 dB."""
    plate = Plate(0.006, 2500.0, 70e9 / (1 - 0.23**2), 0.23, 0.05)
    fc = float(critical_frequency(plate))
    f = np.array([3.0, 4.0, 6.0]) * fc
    thin = Plate(0.006, 2500.0, 70e9 / (1 - 0.23**2), -1000.0, 0.05)  # so stiff in shear that it only bends
    law = closed.cremer(f, surface_mass=15.0, critical_hz=fc, loss=0.05)
    np.testing.assert_allclose(diffuse(thin, f, count=40_000), law, atol=0.7)
    assert np.isnan(closed.cremer(0.5 * fc, surface_mass=15.0, critical_hz=fc, loss=0.05))


def test_sharp_in_its_three_ranges() -> None:
    m, d = 10.0, 0.1
    f0, fl = float(closed.mass_air_mass(mass1=m, mass2=m, depth=d)), SPEED / (2 * np.pi * d)
    at = np.array([0.5 * f0, 0.6 * fl, 3 * fl])
    one = closed.mass_law(at, surface_mass=m)
    got = closed.sharp(at, mass1=m, mass2=m, depth=d)
    assert got[0] == pytest.approx(closed.mass_law(at[0], surface_mass=2 * m))
    assert got[1] == pytest.approx(2 * one[1] + 20 * np.log10(at[1] * d) - 29, abs=0.3)  # Long, eq. (9.48)
    assert got[2] == pytest.approx(2 * one[2] + 6, abs=0.03)
