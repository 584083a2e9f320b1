"""Leaves and layers against closed forms, which the solver does not use."""

from __future__ import annotations

import closed_forms
import numpy as np
import pytest

from isolate.physics import layers
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.leaves import Limp, Plate, critical_frequency, mass_law

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
    assert mass_law(1000.0, surface_mass=mass) == pytest.approx(printed, abs=0.5)


def test_limp_sheet_follows_the_diffuse_mass_law() -> None:
    for mass in (3.0, 10.0, 300.0):
        law = closed_forms.diffuse_mass_law(F, mass)
        np.testing.assert_allclose(diffuse(Limp(mass), F), law, atol=1e-3)


def test_mass_law_of_the_field_is_five_decibels_below_that_of_normal_incidence() -> None:
    """R0 - 5 (textbooks), for R0 of 20 dB and more."""
    normal = closed_forms.normal_mass_law(F, 100.0)
    np.testing.assert_allclose(mass_law(F, surface_mass=100.0), normal - 5.0, atol=0.02)


@pytest.mark.parametrize("cosine", [1.0, 0.8, 0.3])
def test_two_limp_sheets_follow_london(cosine: float) -> None:
    trace = 2 * np.pi * F / SPEED * np.sqrt(1 - cosine**2)
    k = 2 * np.pi * F / SPEED
    sheet = layers.Sheet(Limp(10.0).impedance(F, trace))
    gap = layers.Fluid(F, trace, density=IMPEDANCE / SPEED, wavenumber=k, depth=0.1)
    got = -10 * np.log10(layers.transmission([sheet, gap, sheet], outer=IMPEDANCE / cosine))
    law = closed_forms.london(F, mass=10.0, depth=0.1, cosine=cosine)
    np.testing.assert_allclose(got, law, atol=1e-9)


def test_plate_above_coincidence_follows_cremer() -> None:
    """An endless thin plate of low loss, two octaves and more above fc. The printed form leaves out the
    losses by radiation and the tail of other angles: 0.7 dB."""
    plate = Plate(0.006, 2500.0, 70e9 / (1 - 0.23**2), 0.23, 0.05)
    fc = float(critical_frequency(plate))
    f = np.array([3.0, 4.0, 6.0]) * fc
    thin = Plate(0.006, 2500.0, 70e9 / (1 - 0.23**2), -1000.0, 0.05)  # so stiff in shear that it only bends
    law = closed_forms.cremer(f, mass=15.0, critical_hz=fc, loss=0.05)
    np.testing.assert_allclose(diffuse(thin, f, count=40_000), law, atol=0.7)
