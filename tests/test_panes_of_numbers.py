"""Panes, their edges, joints and cavities, of bare numbers put into the formulas of their modules."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate import bands
from isolate.describe import constructions
from isolate.describe.layers import Cavity
from isolate.describe.materials import material
from isolate.physics import (
    annex_b,
    calibrated,
    cavity,
    finite,
    glazing,
    interlayer,
    joints,
    openings,
    pane_edges,
    second_window,
    studs,
)
from isolate.physics.air import DENSITY, IMPEDANCE, PRESSURE, SPEED, VISCOSITY
from isolate.physics.bonded import Bonded
from isolate.physics.interlayer import modulus
from isolate.physics.leaves import Core, Plate
from isolate.physics.pane_edges import Waves
from isolate.physics.stack import Stack, build

F = np.array([125.0, 500.0, 1000.0])


def glass(thickness: float) -> Plate:
    """2500 kg/m3, 70 GPa over 1 - nu^2."""
    return Plate(thickness, 2500.0, 70e9 / (1 - 0.22**2), 0.22, 0.01)


def test_a_strip_is_a_spring_with_loss() -> None:
    """s (1 + j eta)/(j w): of 1 MN/m2 and 0.1 at 100 Hz 1e6/628.3 (0.1 - j)."""
    found = pane_edges.spring(np.array([100.0]), stiffness=1e6, loss=0.1)
    assert found[0] == pytest.approx(159.15 - 1591.5j, rel=1e-4)


def test_impedances_at_edges_by_whole_numbers() -> None:
    """The formulas of `absorbed`, `behind`, `passed`, `yielding` and `carried`, by hand."""
    assert pane_edges.absorbed(2.0, 6.0) == pytest.approx(4 * 2 * 6 / 64)
    assert pane_edges.behind(2.0, 1.0, 3.0) == pytest.approx(2 * 4 / 6)
    assert pane_edges.passed(1.0, 2.0, strip=1.0, link=3.0) == pytest.approx(8 * (3 / (5 * 6 - 9)) ** 2)
    assert pane_edges.yielding(2.0, 1.0, 3.0) == pytest.approx(2.75 / 3.75 - 1)
    given, whole = 1 / 2 * 1 / 3, 3 + 1 / 2 + 2 / 3
    assert pane_edges.carried(1.0, 2.0, strip=1.0, liner=3.0) == pytest.approx(8 * (given / whole) ** 2)


def test_what_a_held_edge_takes_off_a_forced_wave() -> None:
    """w m U c_B/(2 w S) with the flight loss 2 c_B U/(pi w S): pi^2/2 m f of it, of modes half there; at a
    trace of k_B/sqrt(2) three quarters are left, beyond k_B nothing."""
    free = 2 * np.pi / SPEED * (500.0 * 2000.0) ** 0.5
    array = np.full(3, 1.0)
    wave = Waves(10.0, 2000.0 * array, 0.01 * array, array, 0.02 * array, 0.003 * array, 0.5 * array)
    trace = np.array([[0.0, free / 2**0.5, 1.5 * free]])
    flight, resistance = wave.scattered(np.full(3, 500.0), trace, np.arange(3))
    assert flight == pytest.approx(0.02 * array)
    whole = np.pi**2 / 2 * 10.0 * 500.0 * 0.02 * 0.5
    assert resistance[0] == pytest.approx([whole, 0.75 * whole, 0.0])
    assert wave.loss(0.25) == pytest.approx(0.01 + 0.003 + 0.005)


def test_waves_of_a_pane_leave_by_its_edges_and_faces() -> None:
    """6 mm of 1.2 x 0.8 m: c_g U/(pi w S) with c_g = 2 c sqrt(f/fc), 2 rho c sigma/(w m) to both sides, and
    fewer below the first mode, c^2/(4 fc) (1/1.2^2 + 1/0.8^2)."""
    wave = pane_edges.waves(F, leaf=glass(6e-3), size=(1.2, 0.8))
    assert wave is not None
    w, fc = 2 * np.pi * F, wave.critical
    assert fc == pytest.approx(SPEED**2 / (2 * np.pi) * (15.0 / (70e9 / 0.9516 * 6e-3**3 / 12)) ** 0.5)
    assert wave.flight == pytest.approx(2 * SPEED * np.sqrt(F / fc) * 4.0 / (np.pi * w * 0.96))
    assert wave.radiated == pytest.approx(2 * IMPEDANCE * wave.sigma / (w * 15.0))
    first = SPEED**2 / (4 * fc) * (1 / 1.44 + 1 / 0.64)
    assert wave.modal == pytest.approx(1 / (1 + (first / F) ** 4))
    assert wave.inner == pytest.approx(0.01)
    flat = annex_b.free_radiation(F, critical_hz=fc, size=(1.2, 0.8))
    assert wave.sigma == pytest.approx(flat * (2 - F / fc))  # in a reveal twice (Hopkins, 2007, from memory)


def test_panes_glued_bend_as_one() -> None:
    """Two of 4 mm without a core between are one of 8 mm, whose critical frequency is half that of each."""
    both, one, whole = (
        pane_edges.waves(F, leaf=leaf, size=(1.2, 0.8))
        for leaf in (Bonded((glass(4e-3), glass(4e-3))), glass(4e-3), glass(8e-3))
    )
    assert both is not None and one is not None and whole is not None
    assert both.critical == pytest.approx(whole.critical, rel=0.01)
    assert both.critical == pytest.approx(one.critical / 2, rel=0.01)


def test_sound_goes_round_by_an_edge_from_one_pane_to_the_other() -> None:
    """(rho c/(pi f))^2 pi fc/(2 f) sigma1 sigma2 eta12/(eta1 eta2 m1 m2) of hand-made waves: fc of the
    second is a quarter of the first's, so half of its waves fit."""
    one = Waves(10.0, np.array([4000.0]), *(np.array([x]) for x in (0.01, 0.5, 0.02, 0.005, 0.8)))
    two = Waves(20.0, np.array([1000.0]), *(np.array([x]) for x in (0.02, 0.25, 0.04, 0.01, 0.5)))
    f = np.array([500.0])
    taken = (np.array([0.25]), np.array([0.5]))
    found = pane_edges.across(f, wave1=one, wave2=two, taken=taken, share=np.array([0.1]))
    eta1, eta2, eta12 = 0.01 + 0.005 + 0.005, 0.02 + 0.01 + 0.02, 0.1 * 0.02 * 0.5
    coupling = (IMPEDANCE / (np.pi * 500.0)) ** 2 * np.pi * 4000.0 / 1000.0
    assert found == pytest.approx(coupling * 0.5 * 0.25 * eta12 / (eta1 * eta2 * 200.0) * 0.8 * 0.5)
    alone = pane_edges.resonant(f, wave=one, taken=taken[0])
    assert alone == pytest.approx(coupling * 0.25 / 100.0 * (1 / eta1 - 1 / 0.035) * 0.8)


def test_a_soft_core_bends_as_it_does_at_the_wavenumber_that_comes_of_it() -> None:
    """fc = c^2/(2 pi) sqrt(m/B), B of the pane at k = w/c sqrt(fc/f): a fixed point."""
    leaf = Plate(3e-3, 2500.0, 70e9 / (1 - 0.22**2), 0.22, 0.01, core=Core(0.76e-3, modulus("acoustic")))
    wave = pane_edges.waves(F, leaf=leaf, size=(1.2, 0.8))
    assert wave is not None
    free = 2 * np.pi * np.sqrt(F * wave.critical) / SPEED
    stiffness = leaf.stiffness(F, free)
    expected = SPEED**2 / (2 * np.pi) * np.sqrt(leaf.mass / stiffness.real)
    assert wave.critical == pytest.approx(expected, rel=0.02)
    assert wave.inner == pytest.approx(stiffness.imag / stiffness.real, rel=0.02)
    assert np.all(np.diff(wave.critical) > 0.0)


def test_a_forced_pane_radiates_up_to_a_limiting_angle_and_along_the_shadow() -> None:
    """Davy (2009, from memory): 2 x 2 m at k = 8 pi have (2 ka/pi)^0.5 = 4, the limit 1.3/4, h = 1/(8/3 -
    0.124) = 0.3933 and q = 2 pi/(k^2 S) = 0.0025; at cos 0.1 g = 0.3933 - 0.1 (0.3933/0.325 - 1)."""
    cosine = np.array([[1.0], [0.5], [0.1], [0.0]])
    found = finite.forced_radiation(cosine, wavenumber=np.array([8 * np.pi]), width=2.0, height=2.0)
    assert found[:, 0] == pytest.approx([1.0, 2.0, 1 / 0.37227, 1 / 0.39328], rel=1e-3)
    slow = finite.forced_radiation(cosine, wavenumber=np.array([0.1]), width=2.0, height=1.0)
    assert slow[-1, 0] == pytest.approx(1 / (np.pi / 0.01), rel=0.01)  # far below, 1/q = k^2 S/(2 pi)


# --- cavities -------------------------------------------------------------------------------------------


def test_losses_of_a_cavity_at_100_hz() -> None:
    """alpha c U/(pi w S) at its edge: 0.1 343 13/(pi 628.3 10); alpha c/(2 w d) at its faces: 34.3/(2 62.83);
    (d_v + 0.4 d_v/sqrt(0.71))/d by drag and heat, d_v = sqrt(2 nu/w) = 0.219 mm of air at 20 degrees."""
    f = np.array([100.0])
    edge = cavity.edge_loss(f, absorption=0.1, perimeter=13.0, area=10.0, speed=343.0)
    assert edge == pytest.approx(0.022590, rel=1e-3)
    assert cavity.face_loss(f, absorption=0.1, depth=0.1, speed=343.0) == pytest.approx(0.27295, rel=1e-3)
    drag = (2 * 1.82e-5 / 1.204 / 628.32) ** 0.5
    assert drag == pytest.approx(0.219e-3, abs=1e-6)
    assert cavity.wall_loss(f, depth=0.01, gas="air") == pytest.approx(drag * 1.4747 / 0.01, rel=0.01)


def test_hard_and_lined_edges_by_frequency() -> None:
    """0.04 from 125 Hz up, half of it at half of that; a lining half at 315 Hz, four fifths an octave up."""
    assert cavity.hard_absorption(np.array([62.5, 125.0, 2000.0])) == pytest.approx([0.02, 0.04, 0.04])
    end = calibrated.value("lined_edge_absorption")
    found = cavity.lining_absorption(np.array([315.0, 630.0]), bare=0.1)
    assert found == pytest.approx([0.1 + (end - 0.1) / 2, 0.1 + 0.8 * (end - 0.1)])


def test_layers_of_a_cavity_are_gas_and_then_what_fills_it() -> None:
    """k = w/c (1 - j eta/2); below the first mode across an empty cavity its pressure is even."""
    f, trace = np.array([500.0]), np.array([[5.0]])
    gas, filled = cavity.layers(
        f, trace, depth=0.1, gas="argon", loss=0.2, lateral=3.0, fill_depth=0.04, flow_resistivity=1e4
    )
    assert gas.wavenumber == pytest.approx(2 * np.pi * 500 / 319.0 * (1 - 0.1j))
    assert gas.trace == pytest.approx(np.array([[4.0]])) and gas.density == pytest.approx(1.661)
    assert (gas.depth, filled.depth) == pytest.approx((0.06, 0.04)) and filled.trace == pytest.approx(trace)
    (low,) = cavity.layers(f, trace, depth=0.1, gas="air", loss=0.0, lateral=6.0)
    assert low.trace == pytest.approx(np.array([[0.0]])) and low.density == pytest.approx(DENSITY)
    (full,) = cavity.layers(
        f, trace, depth=0.1, gas="air", loss=0.0, fill_depth=0.1, flow_resistivity=1e4
    )
    assert full.depth == pytest.approx(0.1) and np.imag(full.wavenumber) < -1.0


# --- joints ---------------------------------------------------------------------------------------------


def test_edges_between_panes_take_in_more_in_the_bass() -> None:
    """a0 + (a1 - a0)/(1 + (f/250 Hz)^4): half way at 250 Hz, a seventeenth at 500."""
    high, bass = calibrated.value("reveal_absorption"), calibrated.value("reveal_absorption_bass")
    f = np.array([250.0, 500.0])
    bare = joints.edge_absorption(f, Cavity(0.1))
    assert bare == pytest.approx([(high + bass) / 2, high + (bass - high) / 17])
    lined = cavity.lining_absorption(f, bare=bare)
    assert joints.edge_absorption(f, Cavity(0.1, edges="absorbent")) == pytest.approx(lined)
    filled = Cavity(0.1, fill=material("glass wool"), fill_depth=0.1)
    assert joints.edge_absorption(f, filled) == pytest.approx(lined)
    # alpha U d/S of 1.2 x 0.8 m: U = 4 m, S = 0.96 m2
    soaked = joints.soaked(f, cavity=Cavity(0.1), size=(1.2, 0.8))
    assert soaked == pytest.approx(bare * 4.0 * 0.1 / 0.96)


def test_joints_are_slits_all_round_and_brushes_between_sashes_too() -> None:
    """4 m round 1.2 x 0.8 m, 10 mm deep; brushes 60 mm deep, 0.8 m more where the sashes meet."""
    f, area = np.array([500.0, 2000.0]), 0.96
    for name, found, depth, length in (
        ("sash_joint", joints.sash, 0.01, 4.0), ("sealed_joint", joints.sealed, 0.01, 4.0),
        ("sliding_joint", joints.sliding, 0.06, 4.8),
    ):  # fmt: skip
        width = calibrated.value(name)
        slit = openings.slit(f, width=width, depth=depth, length=length)
        assert found(f, size=(1.2, 0.8)) == pytest.approx(slit * width * length / area), name


def test_what_takes_a_joint_is_what_panes_alone_leave() -> None:
    """t1 t2/(a + t1 + t2) with the joints less without; three in a row from the last one on."""
    one, two, joint, loss = (np.array([x]) for x in (0.02, 0.03, 0.01, 0.1))
    whole, panes = 0.03 * 0.04 / 0.17, 0.02 * 0.03 / 0.15
    found = joints.past_panes([one, two], joints=[joint, joint], losses=[loss])
    assert found == pytest.approx(whole - panes)
    behind = 0.02 * 0.03 / (0.1 + 0.05)  # a wave meets the last two as one that passes this ...
    into = 0.03 * (0.02 + 0.1) / (0.1 + 0.05)  # ... and takes in this of what comes to it
    three = 0.04 / (0.04 + into + 0.2) * behind
    series = joints.in_series([np.array([0.04]), two, one], losses=[np.array([0.2]), loss])
    assert series == pytest.approx(three)


# --- interlayers and films ------------------------------------------------------------------------------


def test_an_interlayer_is_a_fractional_solid_that_warms() -> None:
    """G0 + (Ginf - G0) x/(1 + x), x = (j w tau)^0.45, of 0.3 and 230 MPa, 6e-5 s at 20 degrees; WLF of 20.7
    and 91.1 K at 30: 10^(-207/101.1) as long."""
    f = np.array([1000.0])
    for temperature, times in ((20.0, 1.0), (30.0, 10 ** (-207.0 / 101.1))):
        x = (2j * np.pi * 1000.0 * 6e-5 * times) ** 0.45
        found = interlayer.shear_modulus(f, grade="standard", temperature=temperature)
        assert found == pytest.approx(0.3e6 + 229.7e6 * x / (1 + x))


def test_the_thinnest_laminated_pane_is_two_plies_of_a_millimetre() -> None:
    """2.38 mm with one foil; of 1.38 mm no ply would be left that is sold."""
    assert interlayer.thickness(2.38e-3, usual=0.5e-3) == pytest.approx(0.38e-3)
    assert interlayer.thickness(1.38e-3, usual=0.5e-3) == 0.5e-3


def test_air_under_a_flange_is_a_dashpot_and_then_a_spring() -> None:
    """mu b^3/h^3 and P0 b/(j w h) as it is pressed; j w mu b^5/(60 h^3) and P0 b^3/(12 h) as it turns."""
    width = 0.035
    slow, fast = np.array([1.0]), np.array([1e6])
    wide, narrow = 1e-3, 2e-5
    film = studs.film(slow, width=width, gap=wide)
    assert film.real == pytest.approx(VISCOSITY * width**3 / wide**3, rel=1e-3)
    pressed = studs.film(fast, width=width, gap=narrow)
    assert pressed.imag == pytest.approx(-PRESSURE * width / (2 * np.pi * 1e6 * narrow), rel=0.02)
    turned = studs.pivot(slow, width=width, gap=wide)
    assert turned.imag == pytest.approx(2 * np.pi * VISCOSITY * width**5 / (60 * wide**3), rel=1e-3)
    held = studs.pivot(fast, width=width, gap=narrow)
    assert held.real == pytest.approx(PRESSURE * width**3 / (12 * narrow), rel=0.03)


# --- edges of a whole window ----------------------------------------------------------------------------


def edges(built: str) -> tuple[Stack, list[Waves], list[np.ndarray]]:
    """A window of panes, their waves at `F`, and the line impedances of their ends."""
    stack = build(replace(constructions.inline(built), kind="window"), size=(1.2, 0.8))
    moving = [wave for wave in glazing._waves(F, stack) if wave is not None]
    ends = [pane_edges.end_impedance(F, mass=w.mass, critical=w.critical) for w in moving]
    return stack, moving, ends


def value(name: str) -> float:
    return calibrated.value(name)


def test_a_spacer_is_the_softer_the_deeper() -> None:
    """k/d per metre of edge; nothing holds panes in frames of their own apart."""
    link = glazing._link(F, Cavity(0.016))
    strip = pane_edges.spring(F, stiffness=value("pane_link") / 0.016, loss=value("pane_strip_loss"))
    assert link == pytest.approx(strip)
    assert glazing._link(F, Cavity(0.016, framing="separate frames")) is None


def test_a_liner_is_a_mass_on_its_fixings() -> None:
    """j w m + s (1 + j eta)/(j w); from 40 mm on, or between frames of their own."""
    w = 2j * np.pi * F
    loss = 1 + 1j * value("liner_loss")
    expected = w * value("liner_mass") + value("liner_stiffness") * loss / w
    for gap in (Cavity(0.1), Cavity(0.02, framing="separate frames")):
        assert glazing._liner(F, gap) == pytest.approx(expected)
    assert glazing._liner(F, Cavity(0.02)) is None


def test_an_edge_takes_what_its_strip_its_spacer_and_friction_do() -> None:
    """Of three panes: 1 - (1 - taken by strip and spacers)(1 - friction), two spacers at the middle one."""
    stack, moving, ends = edges("glass 4 mm + 12 mm + glass 6 mm + 16 mm + glass 8 mm")
    strip = pane_edges.spring(F, stiffness=value("pane_strip_stiffness"), loss=value("pane_strip_loss"))
    first, last = (glazing._link(F, Cavity(depth)) for depth in (0.012, 0.016))
    loads = [
        strip + pane_edges.behind(first, strip, ends[1]),
        strip + pane_edges.behind(first, strip, ends[0]) + pane_edges.behind(last, strip, ends[2]),
        strip + pane_edges.behind(last, strip, ends[1]),
    ]
    friction = value("pane_edge_friction")
    found = glazing._taken(F, stack, moving)
    for one, end, load in zip(found, ends, loads, strict=True):
        assert one == pytest.approx(1 - (1 - pane_edges.absorbed(end, load)) * (1 - friction))


def test_an_edge_on_a_liner_takes_what_that_carries_off() -> None:
    """Both are in one frame, 100 mm apart, so that a spacer holds them and a liner moves with them."""
    stack, moving, ends = edges("glass 4 mm + 100 mm + glass 6 mm")
    gap = replace(stack.cavities[0], framing="shared frame")
    stack = replace(stack, cavities=(gap,))
    assert len(ends) == 2
    strip = pane_edges.spring(F, stiffness=value("pane_strip_stiffness"), loss=value("pane_strip_loss"))
    link, liner = glazing._link(F, gap), glazing._liner(F, gap)
    friction = value("pane_edge_friction")
    found = glazing._taken(F, stack, moving)
    for one, end, other in zip(found, ends, ends[::-1], strict=True):
        load = strip + pane_edges.behind(link, strip, other) + pane_edges.yielding(liner, strip, other)
        assert one == pytest.approx(1 - (1 - pane_edges.absorbed(end, load)) * (1 - friction))


def test_a_cavity_between_panes_loses_at_its_edges_and_faces() -> None:
    """alpha c U/(pi w S) with the window's own 4 m and 0.96 m2, and drag and heat; argon's slower sound meets
    the panes at the traces of air times c/c_argon."""
    stack, _, _ = edges("glass 4 mm + 16 mm + glass 6 mm")
    k = 2 * np.pi * F / SPEED
    trace = np.array([[0.5], [0.9]]) * k
    part = glazing.Field(F, trace, np.full((2, 3), 400.0), np.ones((2, 3)))
    (layer,) = glazing._cavity(stack, 0, part)
    absorption = joints.edge_absorption(F, stack.cavities[0])
    loss = cavity.edge_loss(F, absorption=absorption, perimeter=4.0, area=0.96, speed=SPEED)
    loss = loss + cavity.wall_loss(F, depth=0.016, gas="air")
    assert layer.wavenumber == pytest.approx(k * (1 - 0.5j * loss))
    argon = replace(stack, cavities=(replace(stack.cavities[0], gas="argon"),))
    (slow,) = glazing._cavity(argon, 0, part)
    assert np.all(slow.trace <= trace * SPEED / 319.0 + 1e-9)
    assert slow.trace[1, -1] == pytest.approx(trace[1, -1] * SPEED / 319.0, rel=0.05)


@pytest.mark.parametrize(
    ("depth", "framing", "alone", "with_joint"),
    [
        (0.1, None, True, True),
        (0.04, None, True, True),
        (0.039, None, False, False),
        (0.1, "shared frame", False, True),
        (0.02, "shared frame", False, True),
        (0.02, "separate frames", True, True),
        (0.1, "glazing spacer", False, False),
    ],
)
def test_two_windows_are_panes_far_apart_or_in_frames_of_their_own(
    depth: float, framing: str | None, alone: bool, with_joint: bool
) -> None:
    """From 40 mm on, which no unit has; in one frame only where the inner pane has a joint of its own. The
    widest gap is the one between them."""
    made = constructions.inline("glass 4 mm + 12 mm + glass 4 mm + 16 mm + glass 6 mm")
    built = replace(made, kind="window")
    unit, gap = built.layers[1], built.layers[3]
    layers = (*built.layers[:3], replace(gap, depth=depth, framing=framing), built.layers[4])
    pair = replace(built, layers=layers)
    for shared, expected in ((False, alone), (True, with_joint)):
        found = second_window.apart(pair, shared=shared)
        assert (found is not None) == expected
    assert second_window.apart(replace(pair, kind="wall"), shared=True) is None
    parted = second_window.apart(pair, shared=True) or pair
    assert parted.layers[1] == unit
    assert (parted.layers[3].framing == "separate frames") == with_joint  # type: ignore[union-attr]


def test_a_field_between_its_cells_lies_on_the_line_between_them() -> None:
    """A quarter of a cell up and down from the third of five, whose values are 0, 1, 4, 9 and 16; at either
    end the line of the outermost two goes on."""
    f = 100.0 * 10 ** (0.1 * np.arange(5) / 12)
    values = np.arange(5.0)[None, :] ** 2
    part = glazing.Field(f, 0.0 * values, values, values + 1.0)
    cells, off = np.array([2, 2, 0, 4]), np.array([0.25, -0.25, -0.25, 0.25])
    found = part.between(cells, off, 12)
    assert found.air[0] == pytest.approx([5.25, 3.25, -0.25, 17.75])
    assert found.weight[0] == pytest.approx([6.25, 4.25, 0.75, 18.75])
    assert found.f == pytest.approx(f[cells] * 10 ** (0.1 * off / 12))
    assert found.f[1] < f[2] < found.f[0] < f[3]


def test_a_pane_lets_through_what_is_forced_and_what_resonates() -> None:
    """The one of 6 mm alone: tau of both add up."""
    stack = build(replace(constructions.inline("glass 6 mm"), kind="window"), size=(1.2, 0.8))
    f = bands.points(stack.finer * glazing.PER_BAND)
    moving = glazing._waves(f, stack)
    (taken,) = glazing._taken(f, stack, moving)
    assert moving[0] is not None
    resonant = glazing._mean(glazing._flat(pane_edges.resonant(f, wave=moving[0], taken=taken)))
    forced = glazing._forced(stack, ((0, 1),))[0, 1]
    found = glazing.solved(stack)
    assert found.alone == pytest.approx(np.minimum(forced + resonant, 1.0))
    assert found.through == pytest.approx(found.alone) and len(found.runs) == 1 and found.losses == ()
    assert np.any(resonant > 0.5 * forced)


@pytest.mark.parametrize(
    ("gap", "by_liner"), [(Cavity(0.012), False), (Cavity(0.1, framing="separate frames"), True)]
)
def test_a_way_round_the_edge_joins_the_way_through(gap: Cavity, by_liner: bool) -> None:
    """By a spacer in a unit; by what both frames are fixed to, where each has its own."""
    made = replace(constructions.inline("glass 4 mm + 12 mm + glass 6 mm"), kind="window")
    pair = replace(made, layers=(made.layers[0], gap, made.layers[2]))
    stack = build(pair, size=(1.2, 0.8))
    f = bands.points(stack.finer * glazing.PER_BAND)
    moving = glazing._waves(f, stack)
    spacers, liners = glazing._links(f, stack, moving, glazing._taken(f, stack, moving))
    assert (set(spacers), set(liners)) == ((set(), {0}) if by_liner else ({0}, set()))
    (way,) = (liners if by_liner else spacers).values()
    found = glazing.solved(stack)
    assert found.through == pytest.approx(np.minimum(found.alone + way, 1.0))
    assert len(found.runs) == (2 if by_liner else 1)


def test_from_40_mm_on_a_gap_is_wide_and_draws_lose_their_angles() -> None:
    assert glazing.is_wide(Cavity(0.04)) and not glazing.is_wide(Cavity(0.039))
    assert not glazing.is_wide(Cavity(0.1, framing="separate frames"))
    assert glazing._flat(np.ones((7, 1, 5))).shape == (7, 5)
    assert glazing._flat(np.ones((1, 5))).shape == glazing._flat(np.ones(5)).shape == (5,)


def test_patterns_are_summed_up_to_where_they_are_many() -> None:
    """k^2 S/(4 pi) of them below k: whole bands up to `MODES`."""
    found = glazing.patterned((1.2, 0.8), 2).f
    k = 2 * np.pi * bands.exact(bands.THIRD_OCTAVES) / SPEED
    below, few = k**2 * 0.96 / (4 * np.pi), found.size // 2
    assert found.size == 2 * few and below[few - 1] < glazing.MODES <= below[few]
