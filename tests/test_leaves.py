"""Plates one by one: the determinant of Mindlin's equations, thin plates, sandwiches in their limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import Array
from isolate.physics.air import DENSITY, VISCOSITY
from isolate.physics.leaves import (
    INTERLAYER_DENSITY,
    JOINT_WIDTH,
    Core,
    Jointed,
    Limp,
    Pack,
    Plate,
    critical_frequency,
    flat,
)

F = np.array([50.0, 500.0, 5000.0, 20000.0])
TRACE = np.array([[0.5], [12.0], [90.0]])
CONCRETE = Plate(0.15, 2300.0, 30e9, 0.2, 0.01)
GLASS = Plate(0.004, 2500.0, 70e9, 0.22, 0.02)


def determinant(plate: Plate, loss: float) -> Array:
    """Mindlin's plate as two equations for w and the turning psi under a pressure p at e^{-jkx} (textbook):
    (S k^2 - w^2 m) W + j k S P = p/(j w) (j w), D k^2 + S - w^2 I for the turning; Z = p/(j w W)."""
    w, k, m = 2 * np.pi * F, TRACE, plate.density * plate.thickness
    lossy = plate.modulus * (1 + 1j * loss)
    shear = 5 / 6 * lossy * (1 - plate.poisson) / 2 * plate.thickness  # G = E/(2 (1 + nu)), E' = E/(1 - nu^2)
    bending, rotary = lossy * plate.thickness**3 / 12, m * plate.thickness**2 / 12
    matrix = np.empty((*np.broadcast(w, k).shape, 2, 2), complex)
    matrix[..., 0, 0] = shear * k**2 - w**2 * m
    matrix[..., 0, 1] = 1j * k * shear
    matrix[..., 1, 0] = -1j * k * shear
    matrix[..., 1, 1] = bending * k**2 + shear - w**2 * rotary
    moved = np.linalg.inv(matrix)[..., 0, 0]
    return np.asarray(1 / (1j * w * moved))


@pytest.mark.parametrize("plate", [CONCRETE, GLASS, Plate(0.4, 1800.0, 5e9, 0.3, 0.05)])
def test_a_plate_bends_shears_and_turns(plate: Plate) -> None:
    np.testing.assert_allclose(plate.impedance(F, TRACE), determinant(plate, plate.loss), rtol=1e-9)
    lossier = determinant(plate, plate.loss + 0.1)
    np.testing.assert_allclose(plate.impedance(F, TRACE, 0.1), lossier, rtol=1e-9)


def test_a_thin_one_only_bends() -> None:
    """j w m (1 - (k/kB)^4 (1 + j loss)), Cremer's."""
    bending = GLASS.modulus * GLASS.thickness**3 / 12
    thin = 2j * np.pi * F * 10.0 + bending * (1 + 0.02j) * TRACE**4 / (2j * np.pi * F)
    np.testing.assert_allclose(GLASS.impedance(F, TRACE)[:2], thin[:2], rtol=1e-3)
    assert GLASS.bending == pytest.approx(bending)
    assert critical_frequency(GLASS) == pytest.approx(12.0 / 0.004, rel=0.05)  # 12/h for glass (handbooks)


def test_sheets_that_slip_add_up() -> None:
    three = replace(CONCRETE, count=3)
    assert (three.mass, three.bending) == pytest.approx((3 * 345.0, 3 * CONCRETE.bending))
    np.testing.assert_allclose(three.impedance(F, TRACE), 3 * CONCRETE.impedance(F, TRACE), rtol=1e-12)
    assert replace(three, surface_mass=350.0).mass == pytest.approx(1050.0)
    pack = Pack((CONCRETE, GLASS, Limp(5.0)))
    assert pack.mass == pytest.approx(345.0 + 10.0 + 5.0)
    whole = CONCRETE.impedance(F, TRACE) + GLASS.impedance(F, TRACE) + 2j * np.pi * F * 5.0
    np.testing.assert_allclose(pack.impedance(F, TRACE), whole, rtol=1e-12)
    equal = Pack((replace(GLASS, loss=0.01), replace(GLASS, loss=0.03), Limp(5.0)))
    assert equal.loss == pytest.approx(0.02)
    assert Pack((Limp(5.0),)).loss == 0.0


@pytest.mark.parametrize(("modulus", "glued"), [(1e15, True), (1e-3, False)])
def test_a_sandwich_is_one_plate_or_two(modulus: float, glued: bool) -> None:
    """Stiff in shear: two plies about a common axis, E ((2 p + c)^3 - c^3)/12. Soft: two plies that slip."""
    ply, core = 0.003, 0.00076
    sandwich = replace(GLASS, thickness=ply, core=Core(core, lambda f: modulus + 0j * f))
    apart = 2 * ply**3 / 12
    common = ((2 * ply + core) ** 3 - core**3) / 12
    assert sandwich.bending == pytest.approx(70e9 * common)
    assert sandwich.mass == pytest.approx(2 * ply * 2500.0 + core * INTERLAYER_DENSITY)
    found = sandwich.stiffness(F, TRACE)
    np.testing.assert_allclose(found, 70e9 * (common if glued else apart) * (1 + 0.02j), rtol=1e-3)
    twice = replace(sandwich, count=2)
    np.testing.assert_allclose(twice.impedance(F, TRACE), 2 * sandwich.impedance(F, TRACE), rtol=1e-12)
    assert (twice.mass, twice.bending) == pytest.approx((2 * sandwich.mass, 2 * sandwich.bending))


def test_a_sandwich_turns_and_shears_as_thick_as_it_is() -> None:
    """Two plies of 75 mm stiffly glued are one plate of 150 mm."""
    glued = replace(CONCRETE, thickness=0.075, core=Core(1e-6, lambda f: 1e16 + 0j * f))
    np.testing.assert_allclose(glued.impedance(F, TRACE), CONCRETE.impedance(F, TRACE), rtol=1e-3)


def test_a_sandwich_bends_as_its_core_lets_it() -> None:
    """Ross, Ungar and Kerwin's bending stiffness in complex numbers: 2 E h^3/12 + E h (h + c)^2/2 over
    1 + E h c k^2/(2 G), h of a ply and c of the core; in Mindlin's plate, h + c + h thick, by a quotient."""
    shear = np.array([2e6, 9e6, 4e7, 1e8]) * (1 + 0.6j)
    h, c, loss = 3e-3, 0.76e-3, 0.03
    pane = Plate(h, 2500.0, 73e9, 0.22, loss, core=Core(c, lambda f: shear))
    e, w, k2 = 73e9 * (1 + 1j * loss), 2 * np.pi * F, TRACE**2
    stiff = e * h**3 / 6 + e * h * (h + c) ** 2 / 2 / (1 + e * h * c * k2 / (2 * shear))
    np.testing.assert_allclose(pane.stiffness(F, TRACE), stiff, rtol=1e-9)
    whole, m = 2 * h + c, 2 * h * 2500.0 + c * INTERLAYER_DENSITY
    turn = stiff * k2 - w**2 * m * whole**2 / 12
    shears = 5 / 6 * e * (1 - 0.22) / 2 * whole
    wanted = 1j * w * m + k2 * shears * turn / (shears + turn) / (1j * w)
    np.testing.assert_allclose(pane.impedance(F, TRACE), wanted, rtol=1e-9)


def test_a_sheet_is_stiffer_one_way() -> None:
    """E along to E across is the ratio; half way between them, and alike in all directions, the mean."""
    sheet = replace(GLASS, ratio=9.0)
    along, between, across = (sheet.towards(angle).modulus for angle in (0.0, np.pi / 4, np.pi / 2))
    assert along / across == pytest.approx(9.0)
    assert np.sqrt(along * across) == pytest.approx(sheet.modulus)
    assert between == pytest.approx((np.sqrt(along) + np.sqrt(across)) ** 2 / 4)
    assert GLASS.towards(0.3) is GLASS
    assert sheet.towards(0.3).ratio == Pack((sheet,)).towards(0.3).ratio == 1.0
    assert Pack((GLASS, sheet)).ratio == 9.0


def test_air_passes_beside_tiles() -> None:
    """A plug of air in a hundredth of the area, rubbed as between faces (Poiseuille), beside their mass."""
    tiles = Jointed((Limp(50.0),), share=0.01, joint=0.05)
    w = 2 * np.pi * F
    plug = (1j * w * DENSITY + 12 * VISCOSITY / JOINT_WIDTH**2) * 0.05 / 0.01
    pieces = 1j * w * 50.0
    np.testing.assert_allclose(tiles.impedance(F, TRACE), plug * pieces / (plug + pieces), rtol=1e-9)


def test_a_value_without_its_angles() -> None:
    assert flat(3.0) == 3.0
    np.testing.assert_array_equal(flat(np.arange(3.0)), np.arange(3.0))
    assert flat(np.zeros((4, 1, 1))).shape == (4, 1)
