"""Floating floors: natural frequency, dynamic stiffness, transmissibility, like floors on a slab."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, exact
from isolate.physics import floating
from isolate.standards import ratings

ANNEX_L = json.loads((Path(__file__).parent / "published" / "iso12354_1_annex_l.json").read_text())
F = exact(THIRD_OCTAVES)


def test_natural_frequency_is_15_8_over_the_root_of_the_deflection_in_mm() -> None:
    """Handbook formula for linear springs (from memory); 15.76 with g = 9.81 m/s2."""
    for millimetres in (0.5, 1.0, 4.0, 25.0):
        found = floating.resonance_of_deflection(millimetres / 1000.0)
        assert found == pytest.approx(15.8 / np.sqrt(millimetres), rel=0.005)


def test_rubber_is_stiffer_when_it_moves_fast() -> None:
    """Dynamic over static stiffness 1.2 to 3 (handbooks, from memory) raises it by the root."""
    static, moving = (floating.resonance_of_deflection(4e-3, stiffening=x) for x in (1.0, 1.44))
    assert moving == pytest.approx(1.2 * static)


def test_floor_of_annex_l_has_its_printed_resonance() -> None:
    """ISO 12354-1:2017 annex L: 160 sqrt(8/73.5) = 52.8 Hz; the same from masses and springs."""
    screed = ANNEX_L["screed"]
    stiffness = screed["stiffness_MN_m3"] * 1e6
    assert 160 * np.sqrt(screed["stiffness_MN_m3"] / screed["mass"]) == pytest.approx(52.8, abs=0.05)
    (found,) = floating.chain([screed["mass"], 1e9], [stiffness])
    assert found == pytest.approx(screed["resonance_hz"], rel=0.006)  # 160 is 1000/(2 pi) to two digits


def test_improvement_far_above_the_resonance_is_that_of_annex_l() -> None:
    """Table L.4: 30 lg(f/f0); from 100 Hz up, where the resonance itself has passed."""
    bands = np.array(ANNEX_L["bands_hz"], float)
    found = floating.improvement(bands, resonance_hz=ANNEX_L["screed"]["resonance_hz"], loss=0.1)
    from_160 = bands >= 160.0
    np.testing.assert_allclose(found[from_160], np.array(ANNEX_L["improvement"])[from_160], atol=0.06)


@pytest.mark.parametrize(
    ("resistivity", "expected"),
    [(150e3, 10e6), (100e3, 10e6), (50e3, 10e6 + 0.111e6 / 0.02), (10e3, 15.55e6)],
)
def test_air_adds_to_the_tested_stiffness_as_iso_9052_says(resistivity: float, expected: float) -> None:
    """ISO 9052-1 clause 9 (from memory): s' = s't from 100 kPa s/m2, s't + 111/d from 10; 20 mm."""
    found = floating.dynamic_stiffness(10e6, flow_resistivity=resistivity, depth=0.02)
    assert found == pytest.approx(expected)


def test_two_masses_swing_as_the_formula_of_two_says() -> None:
    """(1/2 pi) sqrt(s'(1/m1 + 1/m2)), EN 12354-1 annex D."""
    (found,) = floating.chain([30.0, 50.0], [2e6])
    assert found == pytest.approx(np.sqrt(2e6 * (1 / 30 + 1 / 50)) / (2 * np.pi))
    with pytest.raises(ValueError, match="one fewer"):
        floating.chain([1.0, 2.0], [1.0, 2.0])


def test_transmissibility_of_one_mass() -> None:
    """Textbook: 1 far below, Q at, 1 again at sqrt 2 times, (f0/f)^2 far above the resonance."""
    low, at, crossing, high = floating.transmissibility(
        [0.01, 10.0, 14.142136, 300.0], resonance_hz=10.0, loss=0.1
    )
    assert low == pytest.approx(1.0, abs=1e-4)
    assert at == pytest.approx(np.sqrt(1.01) / 0.1)
    assert crossing == pytest.approx(1.0, abs=0.01)
    assert 20 * np.log10(high) == pytest.approx(-20 * np.log10(900.0) + 0.05, abs=0.1)


def test_like_floors_on_one_slab_collapse_where_both_swing() -> None:
    """Hongisto (thesis, read): identical floated floors in flats side by side on one slab collapse the
    insulation at their common resonance, and Rw was 9 dB better without them. Both ends of the path lose in
    the same band, so that Rw falls below that of the bare slab; unlike floors do not."""
    bare = 50.0 + 25.0 * np.log10(THIRD_OCTAVES / 500.0)  # a flanking path as it rises along a slab
    here, other = (floating.improvement(F, resonance_hz=f0, loss=0.1) for f0 in (160.0, 40.0))
    like, unlike = bare + 2 * here, bare + here + other
    assert (like - bare).min() == pytest.approx(2 * here.min())
    assert int(ratings.rw(like)) <= int(ratings.rw(bare)) - 3
    assert int(ratings.rw(unlike)) > int(ratings.rw(like))


def test_like_floors_have_two_resonances() -> None:
    """Three masses on two springs: the floors apart while the slab stands still, and both against it."""
    apart, against = floating.chain([60.0, 345.0, 60.0], [15e6, 15e6])
    assert apart == pytest.approx(np.sqrt(15e6 / 60.0) / (2 * np.pi))
    assert against == pytest.approx(np.sqrt(15e6 * (1 / 60 + 2 / 345)) / (2 * np.pi))


@pytest.mark.parametrize("ratio", [0.0, 0.3, 4.0])
def test_what_floats_on_something_light_lends_it_its_mass(ratio: float) -> None:
    """Two masses on a spring, a force on the upper one, the lower one's motion against what it does when it
    is struck itself: solved as a matrix. Far below the resonance 20 lg(1 + m1/m2), far above it the law of
    ISO 12354-2 by f1 = sqrt(s'/m1)/(2 pi), however light the base is."""
    m1, loss = 30.0, 0.1
    f1 = 50.0
    k = (2 * np.pi * f1) ** 2 * m1 * (1 + 1j * loss)
    m2 = m1 / ratio if ratio else 1e12
    f0 = f1 * np.sqrt(1 + ratio)
    f = np.array([5.0, 0.8 * f0, f0, 1.2 * f0])
    moved = []
    for w in 2 * np.pi * f:
        matrix = np.array([[k - w**2 * m1, -k], [-k, k - w**2 * m2]])
        moved.append(abs(np.linalg.solve(matrix, [1.0, 0.0])[1] * w**2 * m2))
    found = floating.improvement(f, resonance_hz=f0, loss=loss, ratio=ratio)
    np.testing.assert_allclose(found, -20 * np.log10(moved), atol=0.1)
    assert found[0] == pytest.approx(20 * np.log10(1 + ratio), abs=0.2)
    high = np.array([8.0, 20.0]) * f0
    above = floating.improvement(high, resonance_hz=f0, loss=loss, ratio=ratio)
    np.testing.assert_allclose(above, 30 * np.log10(high / f1), atol=0.1)
