"""Porous materials: limits, passivity, regressions and a published attenuation."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import closed_forms
import numpy as np
import pandas as pd
import pytest

from isolate.bands import THIRD_OCTAVES
from isolate.physics import air, knots, layers, porous

PUBLISHED = Path(__file__).parent / "published"
F = THIRD_OCTAVES
SIGMA = np.array([3e3, 10e3, 30e3, 100e3])[:, None]
TARNOW = pd.read_csv(PUBLISHED / "tarnow_2000_glass_wool.csv", comment="#")


def impedance(f, **how):
    density, k = porous.equivalent_fluid(f, **how)
    return 2 * np.pi * f * density / k


def attenuation(f, **how):
    """What a plane wave loses inside [dB/m]."""
    return -20 / np.log(10) * porous.equivalent_fluid(f, **how).wavenumber.imag


def modulus(f, **how):
    density, k = porous.equivalent_fluid(f, **how)
    return (2 * np.pi * f) ** 2 * density / k**2


@pytest.mark.parametrize("porosity", [1.0, 0.95])
def test_low_frequency_is_isothermal_and_resistive(porosity):
    f = 1.0
    density, _ = porous.equivalent_fluid(f, flow_resistivity=SIGMA, porosity=porosity)
    np.testing.assert_allclose(density * 2j * np.pi * f, SIGMA, rtol=2e-2)
    compression = modulus(f, flow_resistivity=SIGMA, porosity=porosity)
    np.testing.assert_allclose(compression * porosity, air.PRESSURE, rtol=1e-2)


def test_high_frequency_is_air_and_adiabatic():
    density, _ = porous.equivalent_fluid(1e9, flow_resistivity=1e4)
    assert density.real == pytest.approx(air.DENSITY, rel=0.01)
    assert modulus(1e9, flow_resistivity=1e4).real == pytest.approx(1.4 * air.PRESSURE, rel=0.01)


@pytest.mark.parametrize("frame", [None, 10.0, 80.0])
def test_passive_at_all_bands(frame):
    wavenumber = porous.equivalent_fluid(F, flow_resistivity=SIGMA, frame_density=frame).wavenumber
    assert np.all(wavenumber.imag < 0) and np.all(wavenumber.real > 0)
    assert np.all(impedance(F, flow_resistivity=SIGMA, frame_density=frame).real > 0)


@pytest.mark.parametrize("regression", [closed_forms.miki, closed_forms.delany_bazley])
def test_it_agrees_with_the_regressions_where_they_hold(regression):
    """Impedance and wavenumber within 20 % for 0.01 < f/sigma < 1, as the regressions spread."""
    f = np.geomspace(100, 10e3, 41)
    use = (f / SIGMA > 0.01) & (f / SIGMA < 1)
    assert use.sum() > 60
    ours = impedance(f, flow_resistivity=SIGMA), porous.equivalent_fluid(f, flow_resistivity=SIGMA).wavenumber
    for a, b in zip(regression(f, SIGMA), ours, strict=True):
        assert np.max(np.abs(b / a - 1)[use]) < 0.20


def test_jca_is_allard_and_champoux_for_fibres():
    """Allard and Champoux, JASA 91 (1992) 3346, closed form (from memory): within 3 % in both quantities."""
    x = 1.2 * F / SIGMA
    density = 1.2 + np.sqrt(-0.0364 / x**2 - 0.1144j / x)
    root = np.sqrt(2.82 / x**2 + 24.9j / x)
    bulk = 101320 * (29.64j + root) / (21.17j + root)
    fluid = porous.equivalent_fluid(F, flow_resistivity=SIGMA)
    np.testing.assert_allclose(fluid.density, density, rtol=0.03)
    np.testing.assert_allclose(modulus(F, flow_resistivity=SIGMA), bulk, rtol=0.03)


@pytest.mark.parametrize("row", list(TARNOW.itertuples()), ids=lambda r: f"{r.density_kg_m3} {r.direction}")
def test_published_attenuation_of_glass_wool(row):
    """Tarnow 2000 at 1 kHz. Normal to the sheet, the way sound meets a panel, within 15 %; along the fibres,
    where flow resistivity alone says less, within 35 %."""
    sigma = row.flow_resistivity_kpa_s_m2 * 1e3
    got = attenuation(1000, flow_resistivity=sigma)
    assert got == pytest.approx(row.attenuation_db_m, rel=0.15 if row.direction == "normal" else 0.35)


def test_fifty_millimetres_of_wool_cost_seven_db():
    """Tarnow 2000: 140 dB/m, so 50 mm of 30 kg/m3 cost 7 dB; here with Bies's resistivity of 6.8 um fibre."""
    sigma = closed_forms.glass_fibre_resistivity(30, diameter=6.8e-6)
    assert 0.05 * attenuation(1000, flow_resistivity=sigma) == pytest.approx(7, abs=1)


def test_heavy_frame_stands_still_and_light_frame_moves_with_its_mass():
    rigid = porous.equivalent_fluid(F, flow_resistivity=1e4)
    heavy = porous.equivalent_fluid(F, flow_resistivity=1e4, frame_density=1e7)
    np.testing.assert_allclose(heavy.density, rigid.density, rtol=1e-3)
    light = porous.equivalent_fluid(1.0, flow_resistivity=1e5, frame_density=15.0, porosity=0.99)
    assert light.density.real == pytest.approx(15.0 + 0.99 * air.DENSITY, rel=0.01)
    assert abs(light.density.imag) < 0.1


def test_a_weightless_frame_is_only_air():
    """Panneton's formula with nothing but air in it: the fibres float along and cost nothing."""
    fluid = porous.equivalent_fluid(F, flow_resistivity=SIGMA, frame_density=1e-9)
    np.testing.assert_allclose(fluid.density, air.DENSITY, rtol=1e-6)


def test_a_moving_frame_is_as_stiff_and_only_weighs():
    """Panneton: the compression stays that of the frame at rest."""
    for frame in (5.0, 60.0):
        moving = modulus(F, flow_resistivity=SIGMA, frame_density=frame)
        np.testing.assert_allclose(moving, modulus(F, flow_resistivity=SIGMA), rtol=1e-9)


@pytest.mark.parametrize("porosity", [1.0, 0.5])
def test_high_frequency_drag_is_that_of_the_viscous_length(porosity):
    """Johnson et al. (1987): rho porosity/rho0 - 1 goes to (1 - j) delta/length, the boundary layer delta
    sqrt(2 eta/(rho0 w)), length^2 = 8 eta/(sigma porosity) as the module has it."""
    f, sigma = 1e8, 1e4
    density, _ = porous.equivalent_fluid(f, flow_resistivity=sigma, porosity=porosity)
    layer = np.sqrt(2 * air.VISCOSITY / (air.DENSITY * 2 * np.pi * f))
    drag = density * porosity / air.DENSITY - 1
    assert drag == pytest.approx((1 - 1j) * layer * np.sqrt(sigma * porosity / (8 * air.VISCOSITY)), rel=0.01)


def test_the_tangent_of_real_numbers_is_that_of_complex_ones():
    """numpy's own, from next to nothing to where it is 1."""
    z = np.array([1e-9, 0.01, 0.7, 3.0, 30.0])[:, None] + 1j * np.linspace(-4.4, 4.4, 23)
    np.testing.assert_allclose(layers.tanh(z), np.tanh(z), rtol=1e-9)


def test_draws_broadcast_and_match_scalars():
    sigma = np.array([5e3, 2e4]).reshape(2, 1, 1)
    drawn = porous.equivalent_fluid(F, flow_resistivity=sigma, frame_density=30.0)
    assert drawn.density.shape == (2, 1, 27)
    one = porous.equivalent_fluid(float(F[3]), flow_resistivity=2e4, frame_density=30.0)
    assert one.wavenumber == drawn.wavenumber[1, 0, 3] and one.density == drawn.density[1, 0, 3]


def test_bad_input_names_the_argument():
    with pytest.raises(ValueError, match="flow_resistivity: must be above 0"):
        porous.equivalent_fluid(100, flow_resistivity=0)
    with pytest.raises(ValueError, match=r"porosity: .* at most 1 \(got 1.2"):
        porous.equivalent_fluid(100, flow_resistivity=1e4, porosity=1.2)
    with pytest.raises(ValueError, match="frame_density"):
        porous.equivalent_fluid(100, flow_resistivity=1e4, frame_density=0.0)


@pytest.mark.parametrize("sigma", [1e4, np.array([5e3, 2e4]).reshape(2, 1, 1)], ids=["one", "draws"])
def test_lines_between_knots_are_the_fluid(sigma):
    """At thousands of frequencies in no order, over all bands and within one; at few it is the fluid itself.
    1e-4 of an impedance is 0.001 dB."""
    rng = np.random.default_rng(1)
    fluid = partial(porous.equivalent_fluid, flow_resistivity=sigma, frame_density=15.0)
    for low, high in ((20.0, 12e3), (450.0, 560.0)):
        f = np.exp(rng.uniform(np.log(low), np.log(high), 5000))
        for got, wanted in zip(knots.smooth(fluid, f), fluid(f), strict=True):
            np.testing.assert_allclose(got, wanted, rtol=1e-4)
        assert np.any(knots.smooth(fluid, f)[0] != fluid(f)[0])
    assert np.array_equal(knots.smooth(fluid, F)[1], fluid(F).wavenumber)
    alone = np.full(1000, 100.0)
    np.testing.assert_allclose(knots.smooth(fluid, alone)[1], fluid(alone).wavenumber, rtol=1e-4)


def test_a_knot_is_where_it_is_whatever_else_is_asked():
    f = np.geomspace(100.0, 400.0, 3000)
    fluid = partial(porous.equivalent_fluid, flow_resistivity=9e3)
    whole, part = knots.smooth(fluid, f)[1], knots.smooth(fluid, f[700:1900])[1]
    np.testing.assert_allclose(part, whole[..., 700:1900], rtol=1e-12)


@pytest.mark.parametrize("draws", [1, 7, 8, 16])
def test_the_wave_across_is_the_same_however_numbers_lie_in_memory(draws):
    """k_z^2 + k_t^2 = k^2 and Im k_z < 0, draws next to each other or far apart: numpy 2.4 negates numbers
    that lie 64 bytes apart wrongly into others that do not lie in a row."""
    rng = np.random.default_rng(2)
    k = (rng.uniform(1, 50, (900, 1, draws)) - 1j * rng.uniform(0.1, 9, (900, 1, draws))).transpose(2, 1, 0)
    trace = rng.uniform(0, 60, (8, 900))
    normal = layers.Fluid(np.full(900, 100.0), trace, 1.2, k, 0.1).normal
    np.testing.assert_allclose(normal**2 + trace**2, k**2 + 0 * trace, rtol=1e-9)
    assert np.all(normal.imag < 0)
