"""Glued layers: the parallel-axis theorem, slip, sandwiches and reversal; pieces with open joints."""

from __future__ import annotations

from dataclasses import replace

import closed_forms
import numpy as np
import pytest

from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.bonded import Bonded, coupling
from isolate.physics.leaves import Jointed, Limp, Pack, Plate

BRICK = Plate(0.1, 1800.0, 12e9, 0.2, 0.0)
PLASTER = Plate(0.02, 1200.0, 3e9, 0.2, 0.0)
F, TRACE = np.array([50.0, 500.0, 2000.0]), np.array([[0.3], [4.0], [20.0]])


def composite(*plates: Plate) -> float:
    """EI per width [N m] about the neutral axis, by hand (textbooks of strength of materials)."""
    z, at = 0.0, []
    for p in plates:
        at.append(z + p.thickness / 2)
        z += p.thickness
    stretch = [p.modulus * p.thickness for p in plates]
    axis = sum(e * a for e, a in zip(stretch, at, strict=True)) / sum(stretch)
    return sum(
        p.modulus * p.thickness**3 / 12 + e * (a - axis) ** 2
        for p, e, a in zip(plates, stretch, at, strict=True)
    )


@pytest.mark.parametrize("plates", [(BRICK, PLASTER), (PLASTER, BRICK, PLASTER), (BRICK, BRICK)])
def test_long_waves_bend_about_one_neutral_axis(plates: tuple[Plate, ...]) -> None:
    assert Bonded(plates).bending == pytest.approx(composite(*plates), rel=1e-5)
    assert Bonded(plates).mass == pytest.approx(sum(p.mass for p in plates))


def test_two_halves_make_the_whole() -> None:
    """Two glued plates of 50 mm are one of 100 mm, while its shear does not yet matter."""
    half = replace(BRICK, thickness=0.05)
    low = np.array([[0.3]])
    whole, glued = BRICK.impedance(F, low), Bonded((half, half)).impedance(F, low)
    np.testing.assert_allclose(glued, whole, rtol=1e-4)


def test_without_shear_stiffness_between_they_slip() -> None:
    """The bond adds next to nothing to what the layers have by themselves."""
    glued = Bonded((PLASTER, Plate(0.01, 100.0, 1e3, 0.2, 0.0), PLASTER))
    added = np.abs(glued.added(TRACE)) * TRACE**4 / (2 * np.pi * F)
    assert (added < 2e-3 * np.abs(Pack(glued.plates).impedance(F, TRACE))).all()


SKIN = Plate(0.0015, 7850.0, 220e9, 0.29, 0.01)
DOOR = Bonded((SKIN, Plate(0.057, 120.0, 0.5e6, 0.0, 0.1), SKIN))
CORE_FREQUENCIES = np.linspace(60.0, 600.0, 5401)


def at_normal_incidence(leaf: Bonded) -> np.ndarray:
    """tau of a leaf in air, 1/(1 + z/(2 rho c))."""
    z = leaf.impedance(CORE_FREQUENCIES, np.zeros((1, CORE_FREQUENCIES.size)))
    return np.abs(1 / (1 + z[0] / (2 * IMPEDANCE))) ** 2


def test_skins_swing_against_each_other_on_a_soft_core() -> None:
    """sqrt(s (1/m1 + 1/m2))/(2 pi), s = E/h: two masses on a spring (textbooks), half the core with each."""
    mass = 0.0015 * 7850.0 + 0.057 * 120.0 / 2
    swing = np.sqrt(0.5e6 / 0.057 * 2 / mass) / (2 * np.pi)
    tau = at_normal_incidence(DOOR)
    near = abs(CORE_FREQUENCIES - swing) < 0.3 * swing
    found = CORE_FREQUENCIES[near][np.argmax((tau * CORE_FREQUENCIES**2)[near])]
    assert found == pytest.approx(swing, rel=0.03)


def test_skins_on_a_core_pass_what_two_sheets_on_a_spring_do() -> None:
    """Transfer matrices of sheet, spring and sheet multiplied by hand (textbooks)."""
    w, mass = 2 * np.pi * CORE_FREQUENCIES, 0.0015 * 7850.0 + 0.057 * 120.0 / 2
    sheet, spring = 1j * w * mass, 0.5e6 * (1 + 0.1j) / 0.057 / (1j * w)
    a, d = 1 + sheet / spring, 1 + sheet / spring
    whole = 2 * sheet + sheet**2 / spring + IMPEDANCE * (a + d) + IMPEDANCE**2 / spring
    np.testing.assert_allclose(at_normal_incidence(DOOR), np.abs(2 * IMPEDANCE / whole) ** 2, rtol=2e-3)


def test_a_core_that_is_stiff_across_leaves_one_body() -> None:
    solid = replace(DOOR.plates[1], modulus=220e9 / 9)
    as_one = Bonded((SKIN, solid, SKIN))
    just = Bonded((SKIN, replace(solid, modulus=220e9 / 11), SKIN))
    assert (as_one.core, just.core) == (None, 1)
    low = np.array([50.0]), np.array([[0.3]])
    np.testing.assert_allclose(as_one.impedance(*low), just.impedance(*low), rtol=0.05)


def test_a_soft_core_stays_passive_and_has_no_front() -> None:
    """|tau| at most 1 at every angle; from behind it is the same."""
    cosine = np.array([[0.02], [0.3], [0.7], [1.0]])
    trace = 2 * np.pi * CORE_FREQUENCIES / SPEED * np.sqrt(1 - cosine**2)
    uneven = Bonded((SKIN, DOOR.plates[1], replace(SKIN, thickness=0.0005)))
    z = uneven.impedance(CORE_FREQUENCIES, trace)
    back = Bonded(uneven.plates[::-1]).impedance(CORE_FREQUENCIES, trace)
    np.testing.assert_allclose(z, back, rtol=1e-9)
    assert (np.abs(1 / (1 + z * cosine / (2 * IMPEDANCE))) <= 1.0 + 1e-9).all()


def test_soft_core_is_the_sandwich_of_mead_and_markus() -> None:
    """Added stiffness Y g/(1 + g), Y = E'h d^2/2 of two equal skins, g = 2 G/(E'h t k^2): as printed."""
    skin, core_depth, shear = Plate(0.001, 7850.0, 200e9, 0.29, 0.0), 0.04, 3e6
    stretch = skin.modulus * skin.thickness
    g = 2 * shear / (stretch * core_depth * TRACE**2)
    printed = stretch * (core_depth + skin.thickness) ** 2 / 2 * g / (1 + g)
    got = coupling(
        TRACE,
        stretch=[stretch, 0.0, stretch],
        compliance=[0.0, core_depth / (2 * shear), 0.0],
        thickness=[skin.thickness, core_depth, skin.thickness],
    )
    np.testing.assert_allclose(got, printed, rtol=1e-9)


def test_a_soft_core_has_an_answer_for_waves_along_it_and_slower_ones() -> None:
    """The air on its skins has 1/cos(theta), which has no limit for a wave along them and none beyond."""
    k = 2 * np.pi * CORE_FREQUENCIES / SPEED
    assert np.isfinite(DOOR.impedance(CORE_FREQUENCIES, k * np.array([[1.0], [1.15], [3.0]]))).all()


def test_order_from_either_face_is_the_same() -> None:
    there, back = Bonded((PLASTER, BRICK)), Bonded((BRICK, PLASTER))
    np.testing.assert_allclose(there.impedance(F, TRACE), back.impedance(F, TRACE), rtol=1e-9)


def test_limp_layer_only_weighs() -> None:
    heavier = Bonded((BRICK, Limp(5.0))).impedance(F, TRACE) - BRICK.impedance(F, TRACE)
    np.testing.assert_allclose(heavier, np.broadcast_to(2j * np.pi * F * 5.0, heavier.shape), rtol=1e-9)


def test_loss_cannot_turn_to_gain() -> None:
    lossy = Bonded((replace(PLASTER, loss=0.1), replace(BRICK, loss=0.02)))
    assert (lossy.added(TRACE).imag > 0).all()
    assert (lossy.impedance(F, TRACE).real > 0).all()


def test_open_joints_of_tiles_weigh_what_the_air_in_them_does() -> None:
    """Tiles too heavy to move: normal mass law of rho joint/share, 6 kg/m2 for 1.5 % open and laps of 75 mm
    (textbooks: a plug of air); without joints it is the tiles alone."""
    stuck = Jointed((Limp(1e7),), share=0.015, joint=0.075)
    z = stuck.impedance(CORE_FREQUENCIES, np.zeros(CORE_FREQUENCIES.size))
    plug = closed_forms.normal_mass_law(CORE_FREQUENCIES, mass=DENSITY * 0.075 / 0.015)
    np.testing.assert_allclose(20 * np.log10(np.abs(1 + z / (2 * IMPEDANCE))), plug, atol=0.5)
    shut = Jointed((SKIN,), share=0.0, joint=0.075).impedance(F, TRACE)
    np.testing.assert_allclose(shut, SKIN.impedance(F, TRACE))
