"""Fluid layers against an optical multilayer library.

A stack of fluids of equal density passes sound as a stack of glasses passes light polarised across the plane
of incidence: pressure stands for the electric field, 1/c for the refractive index. `tmm` (Byrnes, arXiv
1603.02720) is an independent solver of that.
"""

from __future__ import annotations

import numpy as np
import pytest
from tmm import coh_tmm

from isolate.physics.air import DENSITY, SPEED
from isolate.physics.layers import Fluid, transmission

STACKS = {
    "one slow layer": [(1.6, 0.05)],
    "one fast layer": [(0.7, 0.12)],
    "beyond total reflection": [(0.5, 0.02)],
    "three": [(1.3, 0.03), (0.8, 0.11), (2.1, 0.004)],
    "lossy": [(1.2 + 0.15j, 0.05), (2.5 + 1.5j, 0.08), (1.0 + 0.01j, 0.2)],
}


@pytest.mark.parametrize("degrees", [0.0, 17.0, 35.0, 52.0, 71.0, 86.0])
@pytest.mark.parametrize("name", STACKS)
def test_same_as_light(name: str, degrees: float) -> None:
    f = np.geomspace(25.0, 10_000.0, 40)
    theta = np.radians(degrees)
    k = 2 * np.pi * f / SPEED
    parts = [
        Fluid(f, k * np.sin(theta), density=DENSITY, wavenumber=k * np.conj(n), depth=d)
        for n, d in STACKS[name]
    ]
    got = transmission(parts, outer=DENSITY * SPEED / np.cos(theta))
    indices, depths = (
        [1.0, *(n for n, _ in STACKS[name]), 1.0],
        [np.inf, *(d for _, d in STACKS[name]), np.inf],
    )
    light = [coh_tmm("s", indices, depths, theta, SPEED / one)["T"] for one in f]
    np.testing.assert_allclose(10 * np.log10(got), 10 * np.log10(light), atol=1e-6)


def test_what_stands_behind_may_differ() -> None:
    """Another medium on the listener's side: the optical T counts power, so does tau."""
    f, theta = np.geomspace(25.0, 10_000.0, 40), np.radians(30.0)
    k = 2 * np.pi * f / SPEED
    behind = 1.4
    cosine = np.sqrt(1 - (np.sin(theta) / behind) ** 2)
    layer = Fluid(f, k * np.sin(theta), density=DENSITY, wavenumber=1.2 * k, depth=0.05)
    got = transmission(
        [layer],
        outer=DENSITY * SPEED / np.cos(theta),
        receiving=DENSITY * SPEED / (behind * cosine),
    )
    light = [coh_tmm("s", [1.0, 1.2, behind], [np.inf, 0.05, np.inf], theta, SPEED / one)["T"] for one in f]
    np.testing.assert_allclose(10 * np.log10(got), 10 * np.log10(light), atol=1e-6)
