"""The layered wave problem against a second solution of it that shares no code with the solver.

The solver walks through the stack and carries an impedance. Here all waves of all layers are unknowns of one
system of linear equations, two continuity conditions to an interface, which `numpy.linalg` solves: the same
mathematics (L. M. Brekhovskikh, Waves in Layered Media (1960), section 5), another arithmetic. Each wave is
counted where it is strongest, so that every coefficient is at most one; the transmitted wave is set to one,
so that the incident wave is the largest unknown and as exact as the system is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from isolate.physics import layers

AIR, SPEED = 1.2, 343.0
F = np.geomspace(25.0, 10_000.0, 9)
COSINE = np.array([[0.005], [0.2], [0.6], [0.95], [1.0]])
STACKS = 60
LONG = np.clongdouble


@dataclass(frozen=True)
class Leaf:
    """Pressure drop over velocity as a function of f [Hz] and trace wavenumber [1/m]."""

    mass: float
    stiffness: complex

    def drop(self, f: float, trace: float) -> complex:
        w = 2 * np.pi * f
        return 1j * w * self.mass + self.stiffness * trace**4 / (1j * w)


@dataclass(frozen=True)
class Slab:
    """Fluid: density [kg/m3] and wave speed [m/s], complex where it loses sound, and depth [m]."""

    density: complex
    speed: complex
    depth: float

    def normal(self, f: float, trace: float) -> complex:
        kz = np.sqrt((2 * np.pi * f / self.speed) ** 2 - trace**2 + 0j)
        return -kz if kz.imag > 0 else kz


def random_depth(rng: np.random.Generator) -> float:
    """From a foil of 10 um to a metre."""
    return float(10 ** rng.uniform(-5, 0))


def random_stack(rng: np.random.Generator) -> list[Leaf | Slab]:
    """One to twelve layers of leaves, gases and porous fluids in any order."""
    out: list[Leaf | Slab] = []
    for _ in range(rng.integers(1, 13)):
        depth = random_depth(rng)
        if rng.random() < 0.45:
            density, modulus = 10 ** rng.uniform(2.0, 4.0), 10 ** rng.uniform(8.0, 11.3)
            loss = 10 ** rng.uniform(-3, -0.5)
            out.append(Leaf(density * depth, modulus * (1 + 1j * loss) * depth**3 / 12))
        elif rng.random() < 0.5:
            speed = rng.uniform(200, 400) * (1 + 1j * 10 ** rng.uniform(-4, -2))
            out.append(Slab(rng.uniform(0.5, 4.0), speed, depth))
        else:  # drag and heat: density with negative, modulus with positive imaginary part
            density = rng.uniform(1.2, 3.0) * (1 - 1j * 10 ** rng.uniform(-2, 1))
            modulus = rng.uniform(0.9e5, 1.5e5) * (1 + 1j * 10 ** rng.uniform(-3, -0.5))
            out.append(Slab(density, np.sqrt(modulus / density), depth))
    return out


def by_linear_system(stack: list[Leaf | Slab], f: float, cosine: float) -> float:
    """TL [dB] of a plane wave in air through the stack."""
    w, cosine = np.longdouble(2 * np.pi * f), np.longdouble(cosine)
    trace, zc = w / SPEED * np.sqrt(1 - cosine**2), AIR * SPEED / cosine
    slabs = [layer for layer in stack if isinstance(layer, Slab)]
    count = 2 + 2 * len(slabs)  # incident, reflected, two to a slab; the transmitted one is known
    matrix, right = np.zeros((count, count), LONG), np.zeros(count, LONG)
    drops = [0j]  # of the leaves between one fluid and the next
    for layer in stack:
        if isinstance(layer, Slab):
            drops.append(0j)
        else:
            drops[-1] += layer.drop(f, trace)
    fluids = [(zc, 1.0)]  # impedance and what is left of a wave across the layer
    for slab in slabs:
        kz = slab.normal(f, trace)
        fluids.append((w * slab.density / kz, np.exp(-1j * kz * slab.depth)))
    for i, drop in enumerate(drops):  # the interface behind fluid i
        z, left = fluids[i]
        velocity, pressure = 2 * i, 2 * i + 1  # rows
        there, back = (left, 1.0) if i else (1.0, 1.0)  # at this interface
        matrix[pressure, 2 * i], matrix[pressure, 2 * i + 1] = there * (1 - drop / z), back * (1 + drop / z)
        matrix[velocity, 2 * i], matrix[velocity, 2 * i + 1] = there / z, -back / z
        if i == len(slabs):
            right[pressure], right[velocity] = 1.0, 1.0 / zc
        else:
            z, left = fluids[i + 1]
            matrix[pressure, 2 * i + 2], matrix[pressure, 2 * i + 3] = -1.0, -left
            matrix[velocity, 2 * i + 2], matrix[velocity, 2 * i + 3] = -1.0 / z, left / z
    return float(20 * np.log10(np.abs(refined(matrix, right)[0])))


def refined(matrix: np.ndarray, right: np.ndarray) -> np.ndarray:
    """`numpy.linalg.solve`, its remainder computed in long doubles and solved for again."""
    scale = np.abs(matrix).max(1)
    even, rest = matrix / scale[:, None], right / scale
    x = np.zeros_like(rest)
    for _ in range(4):
        step = np.linalg.solve(even.astype(complex), (rest - even @ x).astype(complex))
        x = x + step
    return x


def by_solver(stack: list[Leaf | Slab], f: np.ndarray, cosine: np.ndarray) -> np.ndarray:
    """TL [dB] (A, F) as the program has it."""
    trace = 2 * np.pi * f / SPEED * np.sqrt(1 - cosine**2)
    parts: list[layers.Sheet | layers.Fluid] = []
    for layer in stack:
        if isinstance(layer, Leaf):
            parts.append(layers.Sheet(layer.drop(f, trace)))
        else:
            k = 2 * np.pi * f / layer.speed
            parts.append(layers.Fluid(f, trace, density=layer.density, wavenumber=k, depth=layer.depth))
    tau = layers.transmission(parts, outer=AIR * SPEED / cosine)
    with np.errstate(divide="ignore"):  # nothing may get through
        return -10 * np.log10(np.broadcast_to(tau, np.broadcast_shapes(f.shape, cosine.shape)))


@pytest.mark.parametrize("seed", range(STACKS))
def test_solver_agrees_with_a_linear_system_over_all_interfaces(seed: int) -> None:
    stack = random_stack(np.random.default_rng(seed))
    expected = np.array([[by_linear_system(stack, f, c) for f in F] for c in COSINE[:, 0]])
    np.testing.assert_allclose(by_solver(stack, F, COSINE), expected, rtol=0, atol=1e-6)


def test_the_second_solution_is_right_where_it_is_known() -> None:
    """A limp leaf, |1 + j w m cos/(2 rho c)|^2, and a slab at normal incidence, 1 + ((z - 1/z)/2 sin kd)^2
    (textbooks, e.g. L. E. Kinsler et al., Fundamentals of Acoustics, section 6.3), from memory."""
    mass, f, cosine = 10.0, 500.0, 0.6
    law = 10 * np.log10(1 + (2 * np.pi * f * mass * cosine / (2 * AIR * SPEED)) ** 2)
    assert by_linear_system([Leaf(mass, 0.0)], f, cosine) == pytest.approx(law, abs=1e-10)
    slab = Slab(3.0, 200.0, 0.13)
    z = slab.density.real * slab.speed.real / (AIR * SPEED)
    law = 10 * np.log10(1 + ((z - 1 / z) / 2 * np.sin(2 * np.pi * f / 200.0 * 0.13)) ** 2)
    assert by_linear_system([slab], f, 1.0) == pytest.approx(law, abs=1e-10)


@pytest.mark.parametrize("seed", range(STACKS))
def test_the_same_from_both_sides(seed: int) -> None:
    """Reciprocity to 1e-9 dB, to 1e-11 of itself beyond 300 dB; up to 3000 dB, what numbers can hold."""
    stack = random_stack(np.random.default_rng(1000 + seed))
    there, back = (np.minimum(by_solver(x, F, COSINE), 3000.0) for x in (stack, stack[::-1]))
    np.testing.assert_allclose(there, back, rtol=1e-11 / 3, atol=1e-9)


@pytest.mark.parametrize("seed", range(STACKS))
def test_never_more_out_than_in(seed: int) -> None:
    stack = random_stack(np.random.default_rng(2000 + seed))
    f, cosine = np.geomspace(25, 10_000, 60), np.linspace(0.001, 1, 40)[:, None]
    assert (by_solver(stack, f, cosine) >= -1e-12).all()


def test_huge_lossy_layers_neither_overflow_nor_vanish_into_nan() -> None:
    """Twelve metres of what takes tens of thousands of dB: nothing gets through, and that is a number."""
    dense = Slab(3.0 * (1 - 10j), 150 * (1 + 0.9j), 1.0)
    stack = [layer for _ in range(6) for layer in (dense, Leaf(1e4, 1e9))]
    with np.errstate(all="raise", under="ignore"):
        parts = [
            layers.Sheet(x.drop(F, 0.0))
            if isinstance(x, Leaf)
            else layers.Fluid(
                F, np.zeros((5, 1)), density=x.density, wavenumber=2 * np.pi * F / x.speed, depth=1
            )
            for x in stack
        ]
        tau = layers.transmission(parts, outer=AIR * SPEED / COSINE)
    assert np.isfinite(tau).all() and (tau >= 0).all() and (tau < 1e-200).any()


def test_waves_that_graze_inside_a_layer_get_through_it_as_a_spring() -> None:
    """Where the wave runs along the layer, k_z = 0, the layer is a mass rho d with even pressure: the limit
    of the neighbouring angles."""
    trace = np.array([[2 * np.pi * 500 / 343.0]]) * np.array([[1 - 1e-9], [1.0], [1 + 1e-9]])
    gap = layers.Fluid(np.array([500.0]), trace, density=1.2, wavenumber=2 * np.pi * 500 / 343.0, depth=0.1)
    tau = layers.transmission([layers.Sheet(300j), gap, layers.Sheet(500j)], outer=AIR * SPEED / 0.5)[:, 0]
    assert np.isfinite(tau).all()
    assert tau[1] == pytest.approx(tau[0], rel=1e-5) and tau[1] == pytest.approx(tau[2], rel=1e-5)
