"""Bridges between leaves: mobilities, radiation, bridges and links in their limits.

Printed formulas: L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed. (1988), table of point impedances (from
memory); B. H. Sharp as in T. E. Vigran, Building Acoustics (2008), eqs. 8.19 to 8.26 (read; the constant of
point bridges from memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import material
from isolate.physics import calibrated, framing, links, ports
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.layers import Complex
from isolate.physics.leaves import Limp, Plate, critical_frequency
from isolate.physics.transmission import transmission

LOW = np.array([100.0, 200.0])  # Hz, far below coincidence of the lead, which the air hardly loads there
LEAD = Plate(0.01, 11340.0, 20e9, 0.44, 0.001)
THICK_LEAD = Plate(0.018, 11340.0, 20e9, 0.44, 0.001)
BOARD = Plate(0.0127, 690.0, 2.2e9, 0.3, 0.02)
PAIRS = [(LEAD, LEAD), (LEAD, THICK_LEAD), (THICK_LEAD, LEAD)]


def rigid(f: Array, along: Array) -> tuple[Complex, Complex, Complex]:
    return ports.spring(1e14)(f, along)


# --- one leaf -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("plate", [LEAD, THICK_LEAD, BOARD])
def test_point_mobility_as_printed(plate: Plate) -> None:
    """Cremer and Heckl: 1/Y = 2.3 rho cL h^2, printed to two digits."""
    speed = np.sqrt(plate.modulus / plate.density)
    printed = 2.3 * plate.density * speed * plate.thickness**2
    assert 1.0 / framing.point_mobility(leaf=plate).item() == pytest.approx(printed, rel=0.05 / 2.3)


def test_line_mobility_as_printed() -> None:
    """Cremer and Heckl: 1/Y = 2 m cB (1 + j), with cB = c sqrt(f/fc) of the bending wave."""
    speed = SPEED * np.sqrt(LOW / critical_frequency(LEAD))
    np.testing.assert_allclose(
        1.0 / framing.line_mobility(LOW, leaf=LEAD), 2 * LEAD.mass * speed * (1 + 1j), rtol=1e-9
    )


def test_line_mobility_is_the_sum_of_all_waves_of_the_plate() -> None:
    """(1/2 pi) int dk / Z(k), Z the separation impedance that the leaves are solved with."""
    f, plate = np.array([50.0]), Plate(0.01, 11340.0, 20e9, 0.44, 0.02)
    bending = 2 * np.pi * np.sqrt(f * critical_frequency(plate)) / SPEED
    k = np.linspace(0.0, 60.0 * bending.item(), 400_001)[:, None]
    z = plate.impedance(f, k)
    summed = np.trapezoid(1.0 / z, k, axis=0) / np.pi
    np.testing.assert_allclose(summed, framing.line_mobility(f, leaf=plate), rtol=0.02)


@pytest.mark.parametrize("plate", [LEAD, THICK_LEAD])
def test_line_radiates_as_printed(plate: Plate) -> None:
    """Vigran 8.26 (Sharp): sigma S = (2/pi) lambda_c per length of line, of its velocity, one side."""
    mobility = np.abs(framing.line_mobility(LOW, leaf=plate)) ** 2
    printed = IMPEDANCE * 2 / np.pi * SPEED / critical_frequency(plate) * mobility
    np.testing.assert_allclose(framing.radiated_per_force(LOW, leaf=plate), printed, rtol=0.03)


# --- two leaves, rigid bridges ---------------------------------------------------------------------------


def free_velocity(f: Array, leaf: Plate) -> Array:
    """Mean square velocity of a limp leaf per mean square pressure of the room: 2 / (w m)^2, the pressure
    doubled at the wall."""
    return 2.0 / (2 * np.pi * f * leaf.mass) ** 2


@pytest.mark.parametrize(("leaf1", "leaf2"), PAIRS)
def test_rigid_lines_far_below_coincidence(leaf1: Plate, leaf2: Plate) -> None:
    """tau = 4 (rho c)^2 (2/pi) (lambda_c2 / b) |v2|^2, v2 = v1 Z1/(Z1 + Z2) (Vigran 8.20 to 8.26)."""
    z1, z2 = (1 / framing.line_mobility(LOW, leaf=leaf) for leaf in (leaf1, leaf2))
    moved = free_velocity(LOW, leaf1) * np.abs(z1 / (z1 + z2)) ** 2
    printed = 4 * IMPEDANCE**2 * 2 / np.pi * SPEED / critical_frequency(leaf2) / 0.5 * moved
    np.testing.assert_allclose(framing.lines(LOW, leaf1=leaf1, leaf2=leaf2, spacing=0.5), printed, rtol=0.05)


@pytest.mark.parametrize(("leaf1", "leaf2"), PAIRS)
def test_rigid_points_far_below_coincidence(leaf1: Plate, leaf2: Plate) -> None:
    """tau = 4 (rho c)^2 (8/pi^3) n lambda_c2^2 |v2|^2, v2 = v1 Z1/(Z1 + Z2) (Vigran 8.20 to 8.26)."""
    z1, z2 = (1 / framing.point_mobility(leaf=leaf) for leaf in (leaf1, leaf2))
    moved = free_velocity(LOW, leaf1) * (z1 / (z1 + z2)) ** 2
    printed = 4 * IMPEDANCE**2 * 8 / np.pi**3 * 4.0 * (SPEED / critical_frequency(leaf2)) ** 2 * moved
    got = framing.points(LOW, leaf1=leaf1, leaf2=leaf2, per_area=4.0, link=rigid)
    np.testing.assert_allclose(got, printed, rtol=0.05)


def over_mass_law(tau: Array, mass: float) -> Array:
    """Gain [dB] over the field-incidence mass law of a mass [kg/m2], 20 lg(pi f m/(rho c)) - 5 dB."""
    return -10 * np.log10(tau) - (20 * np.log10(np.pi * LOW * mass / IMPEDANCE) - 5.0)


def test_lines_bring_what_sharp_printed() -> None:
    """R = R(M) + 10 lg(b fc) - 23 for equal leaves. Printed to 1 dB and of older mass laws, which differ by
    2 dB among themselves: 3 dB."""
    tau = framing.lines(LOW, leaf1=LEAD, leaf2=LEAD, spacing=0.6)
    printed = 10 * np.log10(0.6 * critical_frequency(LEAD)) - 23.0
    np.testing.assert_allclose(over_mass_law(tau, 2 * LEAD.mass), printed, atol=3.0)


def test_points_bring_what_sharp_printed() -> None:
    """R = R(M) + 20 lg(e fc) - 45, leaves alike (constant from memory): 3 dB, as with lines."""
    tau = framing.points(LOW, leaf1=LEAD, leaf2=LEAD, per_area=1 / 0.6**2, link=rigid)
    printed = 20 * np.log10(0.6 * critical_frequency(LEAD)) - 45.0
    np.testing.assert_allclose(over_mass_law(tau, 2 * LEAD.mass), printed, atol=3.0)


def test_screws_find_both_ways_of_a_board_at_once() -> None:
    """A point's mobility goes by sqrt(B_x B_y) (Cremer and Heckl), and far below coincidence what a leaf
    radiates by its mass alone: whichever way waves go, the same as through boards of the mean stiffness."""
    stiff = Plate(0.0127, 690.0, 2.1e9, 0.25, 0.03, ratio=4.0)
    assert stiff.towards(0.0).bending * stiff.towards(np.pi / 2).bending == pytest.approx(stiff.bending**2)
    azimuths = np.linspace(0.0, np.pi / 2, LOW.size)
    waves = framing.Waves((48, 48), (1, 1), framing.spread(np.arange(LOW.size), 1), azimuths)
    uneven, even = (
        framing.points(LOW, leaf1=leaf, leaf2=leaf, per_area=4.0, link=rigid, waves=waves)
        for leaf in (stiff, replace(stiff, ratio=1.0))
    )
    np.testing.assert_allclose(uneven, even, rtol=0.03)


# --- links -----------------------------------------------------------------------------------------------


def test_rigid_and_soft_links_between_mobilities() -> None:
    """Two mobilities and a spring in series: -G = 1/(Y1 + Y2 + j w/k); forces on a link count inwards."""
    y1, y2, f, stiffness = 2e-4 + 1e-4j, 5e-5 - 2e-5j, np.array([100.0]), 3e5
    got = framing.through(y1, y2, ports.spring(stiffness)(f, f))
    np.testing.assert_allclose(-got, 1 / (y1 + y2 + 2j * np.pi * f / stiffness), rtol=1e-9)
    np.testing.assert_allclose(-framing.through(y1, y2, rigid(f, f)), 1 / (y1 + y2), rtol=1e-6)


@pytest.mark.parametrize("gauge", [0.5e-3, 0.85e-3])
def test_leg_is_a_clamped_strip_at_low_frequency(gauge: float) -> None:
    """12 E I/L^3 between two ends that cannot turn (textbook), I = b h^3/12, E of a wide strip."""
    f, length, width = np.array([0.5]), 0.045, 0.25
    z11, z12, z22 = ports.strip(length=length, gauge=gauge, width=width, loss=0.0)(f, f)
    static = 12 * 205e9 / (1 - 0.29**2) * width * gauge**3 / 12 / length**3
    np.testing.assert_allclose(2j * np.pi * f * np.array([z11, -z12, z22]), static, rtol=1e-3)


def test_leg_s_first_resonance_is_that_of_a_clamped_strip() -> None:
    """Held at one end and driven at the other it is rigid at (4.730/L)^2 sqrt(D/m)/(2 pi), 4.730 the first
    root of cos x cosh x = 1 (textbook): there its force grows past all bounds."""
    length, gauge = 0.05, 0.5e-3
    d, mass = 205e9 / (1 - 0.29**2) * gauge**3 / 12, 7850.0 * gauge
    at = (4.730 / length) ** 2 * np.sqrt(d / mass) / (2 * np.pi)
    f = np.linspace(0.5 * at, 1.5 * at, 2001)
    _, z12, _ = ports.strip(length=length, gauge=gauge, width=0.25, loss=1e-4)(f, f)
    assert f[np.argmax(np.abs(z12))] == pytest.approx(at, rel=1e-3)


def test_joist_is_a_column_at_low_frequency_and_weighs_what_it_is() -> None:
    """E A/d between its ends; moved as a whole, half its mass at each."""
    f, depth, length = np.array([1.0]), 0.24, 0.25
    z11, z12, _ = ports.rod(depth=depth, length=length, loss=0.0)(f, f)
    area = ports.STUD_FACE * length
    np.testing.assert_allclose(-z12 * 2j * np.pi * f, ports.WOOD_ACROSS * area / depth, rtol=1e-3)
    half = ports.WOOD_DENSITY * area * depth / 2
    np.testing.assert_allclose((z11 + z12) / (2j * np.pi * f), half, rtol=1e-3)


def test_thicker_and_shorter_legs_are_stiffer() -> None:
    f = np.array([100.0])
    k = [
        abs(ports.strip(length=length, gauge=gauge, width=0.25, loss=0.1)(f, f)[1]).item()
        for length, gauge in ((0.05, 0.5e-3), (0.05, 0.85e-3), (0.025, 0.85e-3))
    ]
    assert k[1] / k[0] == pytest.approx(1.7**3, rel=0.05) and k[2] / k[1] == pytest.approx(8.0, rel=0.05)


def test_the_face_of_a_channel_weighs_on_the_lighter_leaf() -> None:
    """10 mm of 0.5 mm steel, 39 g/m, by w m; on whichever side the lighter leaf is."""
    f = np.array([100.0])
    cavity = Cavity(0.1, framing="resilient channel", spacing=0.61)
    light, heavy = Limp(8.0), Limp(20.0)
    leg = ports.strip(
        length=calibrated.value("channel_leg"), gauge=0.5e-3, width=links.FIXING,
        loss=calibrated.value("channel_loss"),
    )(f, f)  # fmt: skip
    face = 7850 * 0.5e-3 * 0.01 * links.FIXING
    for leaves, more in (((light, heavy), (face, 0.0)), ((heavy, light), (0.0, face))):
        found = links.tie(cavity, kind="wall", leaves=leaves, size=(3.0, 2.4))
        assert found is not None
        z11, z12, z22 = found.link(f, f)
        np.testing.assert_allclose([z11 - leg[0], z22 - leg[2]], 2j * np.pi * f * np.array(more)[:, None])
        np.testing.assert_allclose(z12, leg[1])


def test_soft_clips_closer_than_half_a_wave_of_sound_are_one_layer() -> None:
    """Four times as many clips, each a quarter as stiff: the same stiffness per area, and the same wall while
    sound is two spacings long (281 Hz at 0.61 m); further apart they add up by power, and fewer stiff ones
    pass more. Without clips the wall is better at its resonance and above."""
    board, wool = Leaf(material("gypsum board"), 0.0159), material("glass wool")

    def wall(spacing: float | None) -> Array:
        framing = None if spacing is None else "resilient clip"
        gap = Cavity(0.13, wool, 0.089, framing=framing, spacing=spacing)
        return transmission(Construction("x", "x", "wall", (board, gap, board), (3.0, 2.4))).tl_db

    few, stiffness = wall(0.61), calibrated.value("clip_stiffness")
    with calibrated.using(clip_stiffness=stiffness / 4):
        many = wall(0.305)
    low, high = bands.THIRD_OCTAVES < 275.0, bands.THIRD_OCTAVES > 1200.0
    np.testing.assert_allclose(few[low], many[low], atol=1e-6)
    assert np.all(many[high] > few[high])
    free = wall(None)
    assert np.all((free - few)[bands.index_of(100.0) : bands.index_of(250.0)] > 1.0)
