"""Slits and round holes: published formulas, limits, and safety over the whole range of sizes."""

from __future__ import annotations

import closed_forms
import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from isolate.bands import THIRD_OCTAVES, band_mean, points
from isolate.physics import air, openings

WIDTHS = np.geomspace(1e-5, 0.5, 25)[:, None, None]
DEPTHS = np.array([0.0, 1e-3, 0.04, 0.1, 0.5])[:, None]


@pytest.mark.parametrize("width", [0.5e-3, 1e-3, 5e-3, 20e-3])
@pytest.mark.parametrize("depth", [0.01, 0.1, 0.3])
def test_slit_without_losses_is_gomperts_and_kihlmans(width: float, depth: float) -> None:
    """Hopkins, Sound Insulation (2007), eq. 4.99 (from memory), K = k width up to 0.5."""
    f = points(12)
    f = f[2 * np.pi * f / air.SPEED * width < 0.5]
    ours = openings.slit(f, width=width, depth=depth, losses=False)
    theirs = closed_forms.gomperts_kihlman(f, width=width, depth=depth)
    np.testing.assert_allclose(10 * np.log10(ours / theirs), 0.0, atol=0.05)


def test_hole_without_losses_is_twice_wilson_and_sorokas() -> None:
    """J. Acoust. Soc. Am. 37 (1965), a plane wave at right angles (from memory): diffuse, twice as much."""
    f = points(12)[: 27 * 12 - 60]
    ours = openings.hole(f, radius=0.005, depth=0.1, losses=False)
    theirs = closed_forms.wilson_soroka(f, radius=0.005, depth=0.1)
    np.testing.assert_allclose(ours, 2 * theirs, rtol=1e-9)


@pytest.mark.parametrize(("wide", "share"), [(1.0, 0.0), (2.0, 0.5), (4.0, 1.0), (9.0, 1.0)])
def test_a_hole_wide_against_the_wave_passes_what_meets_it(wide: float, share: float) -> None:
    """Geometry from k times its diameter of 4, the formula up to 1, both alike in the middle: judgement."""
    a, d = 0.02, 0.03
    f = np.array([wide * air.SPEED / (2 * np.pi * 2 * a)])
    formula = 2 * closed_forms.wilson_soroka(f, radius=a, depth=d)
    assert abs(formula - 1.0) > 0.1
    ours = openings.hole(f, radius=a, depth=d, losses=False)
    assert ours == pytest.approx((1 - share) * formula + share, rel=1e-6)


def test_vigrans_hole_gains_at_its_resonances() -> None:
    """Vigran, Building Acoustics (2008), fig. 9.2: radius 10 mm in 100 mm, normal incidence, 50 to 5000 Hz;
    R at resonances is about -5 to -10 dB (read). The first, sharp one reaches -14 dB by any theory without
    losses (cross-section lambda^2/(2 pi)); its third octave is within. The third, 4.5 kHz, is half geometry
    here."""
    f = np.geomspace(50, 4000, 4001)
    hole = {"radius": 0.01, "depth": 0.1, "losses": False}
    r = -10 * np.log10(openings.hole(f, **hole) / 2)  # a diffuse field: twice
    dips = r[1:-1][(r[1:-1] < r[:-2]) & (r[1:-1] < r[2:])]
    assert len(dips) == 2 and -10 < dips[1] < -5
    bands = -10 * np.log10(band_mean(openings.hole(points(24), **hole), 24) / 2)
    assert -10 < bands.min() < -5 and bands.argmin() == 18


def _peak(tau_of_f: object, low: float, high: float) -> tuple[float, float]:
    found = minimize_scalar(lambda f: -tau_of_f(f), bounds=(low, high), method="bounded")  # type: ignore[operator]
    return float(found.x), float(-found.fun)


def test_resonant_hole_reaches_the_largest_cross_section() -> None:
    """A small resonator between two half spaces takes lambda^2/(2 pi) from a plane wave, whatever its size
    (Ingard, J. Acoust. Soc. Am. 25 (1953), from memory), and twice that in a diffuse field."""
    a = 0.004
    f, tau = _peak(lambda f: openings.hole(f, radius=a, depth=0.1, losses=False), 1200, 1800)
    assert tau * np.pi * a**2 == pytest.approx(2 * (air.SPEED / f) ** 2 / (2 * np.pi), rel=0.02)


def test_resonant_slit_reaches_the_largest_width() -> None:
    """As the hole: lambda/pi from a plane wave, twice that in a diffuse field; at f = c/(2(d + 2we))."""
    w, d = 0.5e-3, 0.1
    f, tau = _peak(lambda f: openings.slit(f, width=w, depth=d, losses=False), 1500, 1800)
    assert tau * w == pytest.approx(2 * air.SPEED / f / np.pi, rel=0.03)
    e = (np.log(8 / (2 * np.pi * f / air.SPEED * w)) - 0.57722) / np.pi
    assert f == pytest.approx(air.SPEED / (2 * (d + 2 * w * e)), rel=0.01)


def test_thin_screen_is_the_classical_narrow_slit() -> None:
    """Hard screen, plane wave at right angles: a slit passes (pi^2/2k)/[(ln(kw/8) + gamma)^2 + pi^2/4] of
    its width (Lamb; Bowman, Senior and Uslenghi, Electromagnetic and Acoustic Scattering, from memory)."""
    k, w = 2 * np.pi * np.array([50.0, 500, 2000]) / air.SPEED, 1e-3
    classical = np.pi**2 / (2 * k) / ((np.log(k * w / 8) + np.euler_gamma) ** 2 + np.pi**2 / 4)
    tau = openings.slit(np.array([50.0, 500, 2000]), width=w, depth=0.0) / 2  # a diffuse field: twice
    np.testing.assert_allclose(tau * w, classical, rtol=3e-3)


def test_losses_of_wide_channels_are_kirchhoffs() -> None:
    """sqrt(nu w/2) (1 + (gamma - 1)/sqrt(Pr)) / (c r), r the radius of a tube or the width between plates
    (Kirchhoff 1868, in any text on acoustics, from memory): what a further metre costs."""
    f, w = 1000.0, 5e-3
    skin = np.sqrt(air.VISCOSITY / air.DENSITY * np.pi * f)
    rate = skin * (1 + (air.HEAT_RATIO - 1) / np.sqrt(air.PRANDTL)) / (air.SPEED * w)
    plates = openings.slit(f, width=w, depth=30.0) / openings.slit(f, width=w, depth=31.0)
    assert np.log(plates) / 2 == pytest.approx(rate, rel=0.02)
    tube = openings.hole(f, radius=w, depth=30.0) / openings.hole(f, radius=w, depth=31.0)
    assert np.log(tube) / 2 == pytest.approx(rate, rel=0.02)


def test_hair_slit_is_poiseuilles() -> None:
    """Resistance 12 mu d/w^2 between plates and 8 mu d/a^2 in a tube rule a hair's breadth at 25 Hz; the
    load is K/2 or (ka)^2/2, the blocked pressure squared 8 times what tau is based on."""
    k, w, d = 2 * np.pi * 25 / air.SPEED, 0.03e-3, 0.02
    plates = 12 * air.VISCOSITY * d / w**2 / air.IMPEDANCE
    assert openings.slit(25.0, width=w, depth=d) == pytest.approx(8 * (k * w / 2) / plates**2, rel=0.02)
    tube = 8 * air.VISCOSITY * d / w**2 / air.IMPEDANCE
    assert openings.hole(25.0, radius=w, depth=d) == pytest.approx(8 * (k * w) ** 2 / 2 / tube**2, rel=0.02)


@pytest.mark.parametrize("at_edge", [False, True])
@pytest.mark.parametrize("losses", [False, True])
def test_every_slit_is_finite_and_within_its_largest_width(at_edge: bool, losses: bool) -> None:
    f = points(6)
    tau = openings.slit(f, width=WIDTHS, depth=DEPTHS, at_edge=at_edge, losses=losses)
    assert tau.shape == (25, 5, f.size)
    assert np.all(np.isfinite(tau)) and np.all(tau >= 0)
    most = (2 if at_edge else 1) * 2 * air.SPEED / f / np.pi
    assert np.all(tau * WIDTHS <= np.maximum(most, WIDTHS) * 1.3)


def test_every_hole_is_finite_and_within_its_largest_section() -> None:
    f = points(6)
    tau = openings.hole(f, radius=WIDTHS, depth=DEPTHS)
    area = np.pi * WIDTHS**2
    assert np.all(np.isfinite(tau)) and np.all(tau >= 0)
    assert np.all(tau * area <= np.maximum(2 * (air.SPEED / f) ** 2 / (2 * np.pi), area) * 1.3)


def test_wide_openings_let_through_what_falls_on_them() -> None:
    assert openings.slit(10000.0, width=0.1, depth=0.05) == pytest.approx(1.0)
    assert openings.hole(10000.0, radius=0.1, depth=0.05) == pytest.approx(1.0)
    assert openings.hole(10000.0, radius=0.1, depth=0.5, attenuation_db=15.0) == pytest.approx(10**-1.5)


def test_slit_at_an_edge_is_half_of_one_twice_as_wide() -> None:
    """The wall beside it is a mirror: what lies behind it is the slit's other half."""
    f = points(3)[:40]
    edge = openings.slit(f, width=2e-3, depth=0.05, at_edge=True, losses=False)
    middle = openings.slit(f, width=4e-3, depth=0.05, losses=False)
    np.testing.assert_allclose(edge, 2 * middle, rtol=1e-9)


def test_losses_cost_narrow_slits_most_and_never_help_off_resonance() -> None:
    f = np.array([50.0, 100, 200])
    loss = [
        10
        * np.log10(openings.slit(f, width=w, depth=0.1, losses=False) / openings.slit(f, width=w, depth=0.1))
        for w in (0.2e-3, 0.5e-3, 1e-3, 5e-3)
    ]
    assert np.all(np.diff(loss, axis=0) < 0)
    assert np.all(loss[-1] > 0) and loss[0][0] > 20


def test_short_slit_radiates_as_a_hole_of_its_area() -> None:
    """A slot of 30 x 3 mm lies within 3 dB of a round hole of its area where both are far below the
    wavelength (another shape's end correction is all that differs)."""
    f = np.array([50.0, 100, 200])
    slot = openings.slit(f, width=3e-3, depth=0.1, length=0.03, losses=False)
    round_one = openings.hole(f, radius=np.sqrt(9e-5 / np.pi), depth=0.1, losses=False)
    np.testing.assert_allclose(10 * np.log10(slot / round_one), 0.0, atol=3.0)
    long = openings.slit(f, width=3e-3, depth=0.1, losses=False)
    assert np.all(slot < long)


def test_doubling_the_grid_moves_no_band_by_a_tenth() -> None:
    """Bands with a sharp resonance included; the widths are those of real leaks."""
    for width in (0.2e-3, 1e-3, 5e-3):
        coarse = band_mean(openings.slit(points(24), width=width, depth=0.06), 24)
        fine = band_mean(openings.slit(points(48), width=width, depth=0.06), 48)
        np.testing.assert_allclose(10 * np.log10(coarse / fine), 0.0, atol=0.1)


def test_scalar_equals_vector() -> None:
    whole = openings.slit(THIRD_OCTAVES, width=[[1e-3], [2e-3]], depth=0.05, length=0.8)
    one = openings.slit(1000.0, width=2e-3, depth=0.05, length=0.8)
    assert whole.shape == (2, 27)
    assert float(one) == whole[1, 16]


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"width": 0.0, "depth": 0.1}, "width: must be above 0 m"),
        ({"width": np.nan, "depth": 0.1}, "width: must be above 0 m"),
        ({"width": 1e-3, "depth": -0.1}, "depth: must be at least 0 m"),
        ({"width": 1e-3, "depth": 0.1, "length": 0.0}, "length: must be above 0 m"),
    ],
)
def test_impossible_slits_are_refused(given: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        openings.slit(THIRD_OCTAVES, **given)
    with pytest.raises(ValueError, match="f: must be above 0 Hz"):
        openings.slit(0.0, width=1e-3, depth=0.1)
    with pytest.raises(ValueError, match="radius: must be above 0 m"):
        openings.hole(THIRD_OCTAVES, radius=-1.0, depth=0.1)
