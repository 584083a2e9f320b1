"""Edges of panes and what holds them, of bare numbers put into the formulas at the heads of their modules."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.physics import pane_edges
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.bonded import Bonded
from isolate.physics.leaves import Plate
from isolate.physics.pane_edges import Waves

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
