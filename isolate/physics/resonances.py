"""Frequencies at which the masses of a stack swing on the gas between them."""

from __future__ import annotations

import numpy as np

from isolate.bands import Array
from isolate.physics.air import GASES, PRESSURE
from isolate.physics.stack import Stack


def surface_mass(stack: Stack) -> Array:
    """Mass per area [kg/m2] of leaves and fillings."""
    fills = sum(
        c.fill_depth * stack.pick(f"{c.fill.name}.density", c.fill.density) for c in stack.cavities if c.fill
    )
    return np.asarray(sum(leaf.mass for leaf in stack.leaves if leaf is not None) + fills)


def springs(stack: Stack) -> list[float]:
    """Stiffness per area of each cavity [N/m3]: adiabatic rho c^2/d, isothermal p0/d where it is filled."""
    out = []
    for c in stack.cavities:
        gas = GASES[c.gas]
        bare = (c.depth - c.fill_depth) / (gas.density * gas.speed**2)
        out.append(1.0 / (bare + c.fill_depth / PRESSURE))
    return out


def cavities(stack: Stack) -> tuple[float, ...]:
    """Mass-air-mass resonances [Hz], rising: roots of the free chain of leaves on the cavities' springs."""
    if any(leaf is None for leaf in stack.leaves) or not stack.cavities:
        return ()
    mass = np.array([float(np.mean(leaf.mass)) for leaf in stack.leaves if leaf is not None])
    k = springs(stack)
    matrix = np.zeros((mass.size, mass.size))
    for i, s in enumerate(k):
        matrix[i : i + 2, i : i + 2] += np.array([[s, -s], [-s, s]])
    root = np.sqrt(mass)
    squares = np.linalg.eigvalsh(matrix / np.outer(root, root))
    return tuple(float(np.sqrt(x)) / (2 * np.pi) for x in squares[1:])
