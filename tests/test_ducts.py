"""Vents: published attenuations, the ends against theory, limits of the boxes, and the way to D_n,e."""

from __future__ import annotations

from pathlib import Path

import closed_forms
import numpy as np
import pandas as pd
import pytest
from scipy.special import j1, struve

from isolate.bands import THIRD_OCTAVES, band_mean, index_of, points
from isolate.physics import air, ducts, openings

PUBLISHED = Path(__file__).parent / "published"
ROUND = pd.read_csv(PUBLISHED / "round_lining.csv", comment="#", index_col="diameter_in")
ENDS = pd.read_csv(PUBLISHED / "end_reflection.csv", comment="#", index_col="diameter_in")
BOX = {"area": 0.0177, "size": (0.6, 0.4, 0.3), "distance": 0.5}


def test_lined_duct_of_a_worked_example() -> None:
    """A 610 mm square lined duct loses about 2.5 dB/m at 250 Hz (read; thickness not said): between what
    25 mm and 50 mm of lining give."""
    at = index_of(250)
    thin, thick = (
        ducts.lined(THIRD_OCTAVES, width=0.61, height=0.61, thickness=t, length=1.0)[at]
        for t in (0.025, 0.05)
    )
    assert thin < 2.5 < thick
    assert thick < 2 * 2.5 < 4 * thin


def test_lined_duct_at_octaves_is_the_regression() -> None:
    """Reynolds and Bledsoe (1991), coefficients from memory: 2 ft square, 1 in, 10 ft, P/A = 2 per foot."""
    f = np.array([63.0, 125, 250, 500, 1000, 2000, 4000, 8000])
    rate = [0.0133, 0.0574, 0.271, 1.0147, 1.77, 1.392, 1.518, 1.581]
    narrow = np.array([1.959, 1.41, 0.824, 0.5, 0.695, 0.802, 0.451, 0.219])
    duct = {"width": 0.6096, "height": 0.6096, "length": 0.3048}
    thin, thick = (ducts.lined(f, thickness=inches * 0.0254, **duct) for inches in (1, 2))
    np.testing.assert_allclose(thin, rate * 2**narrow, rtol=1e-9)
    np.testing.assert_allclose(np.log2(thick / thin), [0.917, 0.941, 1.079, 1.087, 0, 0, 0, 0], atol=1e-9)


@pytest.mark.parametrize("diameter", ROUND.index)
def test_round_lining_of_a_handbook(diameter: int) -> None:
    """Its table, from memory, to the last digit; the regression's coefficients are remembered apart."""
    f = ROUND.columns.astype(float)
    found = ducts.lined_round(f, diameter=diameter * 0.0254, thickness=0.0254, length=0.3048)
    np.testing.assert_allclose(found, ROUND.loc[diameter], atol=0.0051)


def test_lining_as_thick_and_ducts_as_wide_as_were_tested() -> None:
    """3 in of lining, 3 and 60 in of duct: what lies beyond is told as these."""
    f, duct = [125.0, 1000.0], {"diameter": 0.3, "length": 1.0}
    thick = ducts.lined_round(f, thickness=3 * 0.0254, **duct)
    assert ducts.lined_round(f, thickness=0.1, **duct) == pytest.approx(thick)
    assert np.all(ducts.lined_round(f, thickness=0.07, **duct)[0] < thick[0])

    def of(inches: float) -> np.ndarray:
        return ducts.lined_round(f, diameter=inches * 0.0254, thickness=0.0254, length=1.0)

    assert of(2.0) == pytest.approx(of(3.0)) and of(90.0) == pytest.approx(of(60.0))
    assert of(3.2)[1] != pytest.approx(of(3.0)[1], rel=1e-3)
    assert of(58.0)[1] != pytest.approx(of(60.0)[1], rel=1e-3)


def test_two_lining_formulas_agree_in_the_middle_bands() -> None:
    """Sabine's and the regression, 25 mm in a 300 mm duct, absorption of a 25 mm board from memory
    (0.28, 0.68, 0.90 at 250, 500, 1000 Hz): within a factor of two."""
    f = np.array([250.0, 500, 1000])
    one = ducts.lined(f, width=0.3, height=0.3, thickness=0.025, length=1.0)
    other = closed_forms.lined_sabine(perimeter=1.2, area=0.09, absorption=[0.28, 0.68, 0.90])
    assert np.all((one / other > 0.5) & (one / other < 2.0))


def test_lining_is_capped_and_falls_towards_the_bass() -> None:
    loss = ducts.lined(THIRD_OCTAVES, width=0.15, height=0.15, thickness=0.05, length=2.0)
    assert loss.max() == 40.0
    assert np.all(np.diff(loss[: index_of(400)]) > 0)


@pytest.mark.parametrize("diameter", ENDS.index)
@pytest.mark.parametrize("band", ENDS.columns)
def test_end_reflection_of_a_handbook(diameter: int, band: str) -> None:
    area = np.pi * (diameter * 0.0254) ** 2 / 4
    assert ducts.end_reflection(float(band), area=area) == pytest.approx(ENDS.loc[diameter, band], abs=0.6)


def test_end_reflection_is_the_pistons() -> None:
    """Independent: 4 R/|1 + Z|^2 of a piston in a wall passes on what comes down a duct, up to ka = 0.7."""
    a = 0.075
    f = np.array([31.5, 63, 125, 250, 500])
    ka = 2 * np.pi * f / air.SPEED * a
    z = 1 - j1(2 * ka) / ka + 1j * struve(1, 2 * ka) / ka
    theory = -10 * np.log10(4 * z.real / np.abs(1 + z) ** 2)
    np.testing.assert_allclose(ducts.end_reflection(f, area=np.pi * a**2), theory, atol=0.15)


def test_vent_without_reflections_loses_what_is_in_it_and_at_its_end() -> None:
    """Much lining: no resonance is left. Then both mouths are independent, and tau is 8/|1 + Z|^2 of the way
    in (what a matched duct takes from a diffuse field), the lining, and the end reflection."""
    f, a = np.array([50.0, 100, 200]), 0.075
    ka = 2 * np.pi * f / air.SPEED * a
    z = 1 - j1(2 * ka) / ka + 1j * struve(1, 2 * ka) / ka
    tau = ducts.vent(f, area=np.pi * a**2, length=1.0, attenuation_db=25.0)
    way_in = 10 * np.log10(8 / np.abs(1 + z) ** 2)
    expected = way_in - 25.0 - ducts.end_reflection(f, area=np.pi * a**2)
    np.testing.assert_allclose(10 * np.log10(tau), expected, atol=0.4)


def test_bare_vent_is_a_hole_and_lining_helps_every_band() -> None:
    f = points(12)
    bare = ducts.vent(f, area=0.0177, length=0.3)
    np.testing.assert_allclose(bare, openings.hole(f, radius=np.sqrt(0.0177 / np.pi), depth=0.3))
    lining = ducts.lined(f, width=0.133, height=0.133, thickness=0.025, length=0.3)
    lined = band_mean(ducts.vent(f, area=0.0177, length=0.3, attenuation_db=lining), 12)
    peak = band_mean(bare, 12).argmax()
    assert band_mean(bare, 12)[peak] / lined[peak] > 2
    assert np.all(lined[index_of(315) :] < band_mean(bare, 12)[index_of(315) :])


def test_box_follows_wells_where_the_way_in_is_wide() -> None:
    """Wells (1958), all absorbed: only the straight part is left, 2 pi d^2 / (S cos)."""
    loss = ducts.baffle_box(8000.0, absorption=1.0, angle=0.5, **BOX)
    assert loss == pytest.approx(10 * np.log10(2 * np.pi * 0.25 / (0.0177 * np.cos(0.5))), abs=1e-6)
    # hardly any lining: what goes in comes out, or leaks to the walls
    assert ducts.baffle_box(8000.0, absorption=1e-6, **BOX) == 0.0


def test_box_in_the_bass_is_a_change_of_section() -> None:
    """10 lg(1 + (m - 1/m)^2/4), the most a bare chamber gives, at a quarter wavelength; nothing far below."""
    f = air.SPEED / (4 * 0.6)
    m = 0.12 / 0.0177
    loss = ducts.baffle_box(f, absorption=0.99, angle=1.4, **BOX)
    assert loss == pytest.approx(10 * np.log10(1 + (m - 1 / m) ** 2 / 4), abs=1e-6)
    assert ducts.baffle_box(5.0, absorption=0.9, **BOX) < 0.5


def test_boxes_in_series_add() -> None:
    one = ducts.baffle_box(THIRD_OCTAVES, absorption=0.5, **BOX)
    two = ducts.baffle_box(THIRD_OCTAVES, absorption=0.5, chambers=2, **BOX)
    np.testing.assert_allclose(two, np.minimum(2 * one, 40.0))


def test_difference_of_a_ventilator() -> None:
    """EN 12354-3, annex F (read): D_n,e 28 23 25 38 44 in octaves 125 to 2000; on 10 m2 it is R itself."""
    dne = np.array([28.0, 23, 25, 38, 44])
    np.testing.assert_allclose(-10 * np.log10(ducts.transmission_area(dne) / 10.0), dne)
    area = ducts.transmission_area(dne, count=2)
    np.testing.assert_allclose(ducts.element_difference(area / 0.02, area=0.02), dne - 10 * np.log10(2))


def test_draws_and_scalars() -> None:
    sizes = np.array([0.1, 0.15])[:, None, None]
    many = ducts.lined(THIRD_OCTAVES, width=sizes, height=0.15, thickness=0.025, length=1.0)
    one = ducts.lined(1000.0, width=0.15, height=0.15, thickness=0.025, length=1.0)
    assert many.shape == (2, 1, 27)
    assert float(one) == pytest.approx(many[1, 0, 16])
    assert np.ndim(one) == 0
