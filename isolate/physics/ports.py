"""What lies between two points that move: springs, rods, thin strips as two-ports of force and velocity."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more
from isolate.physics.layers import Complex

Ports = tuple[Complex, Complex, Complex]  # z11, z12, z22 [N s/m] of one fixing
Link = Callable[[Array, Array], Ports]  # of f and the wavenumber k_y along the line, broadcasting

# Softwood: along the grain EN 338, class C24; across it and density handbooks (all from memory).
WOOD_YOUNG, WOOD_SHEAR, WOOD_ACROSS, WOOD_DENSITY = 11e9, 0.69e9, 0.35e9, 450.0  # Pa, kg/m3
STEEL_YOUNG, STEEL_POISSON, STEEL_DENSITY = 205e9, 0.29, 7850.0
STUD_FACE = 0.038  # m, the face of a common stud that a board rests on


def spring(stiffness: Complex) -> Link:
    """A massless spring [N/m]."""
    return partial(_sprung, stiffness=stiffness)


def _sprung(f: Array, along: Array, *, stiffness: Complex) -> Ports:
    k = stiffness / (2j * np.pi * f)
    return k, -k, k


@above_zero(depth="m", length="m")
@zero_or_more(loss="1")
def rod(*, depth: float, length: float, loss: float) -> Link:
    """A joist between two boards: waves across its grain, its mass and stiffness spread over its depth.

    Parameters
    ----------
    depth : [m]. length : of it that one fixing has [m]. loss : loss factor.

    Raises
    ------
    ValueError
        A depth or length that is not above zero.

    Notes
    -----
    -j z cot(k depth) and j z / sin(k depth), z = rho c A, of a thin rod.

    References
    ----------
    Cremer and Heckl, Structure-borne Sound, chapter 2.
    """

    def link(f: Array, along: Array) -> Ports:
        speed = np.sqrt(WOOD_ACROSS * (1 + 1j * loss) / WOOD_DENSITY)
        z, x = WOOD_DENSITY * speed * STUD_FACE * length, 2 * np.pi * f / speed * depth
        own = -1j * z / np.tan(x)
        return own, 1j * z / np.sin(x), own

    return link


@above_zero(length="m", gauge="m", width="m")
@zero_or_more(loss="1")
def strip(*, length: float, gauge: float, width: float, loss: float) -> Link:
    """A leg of sheet steel that bends, both ends held from turning: a spring, above resonance a carrier of
    bending waves.

    Parameters
    ----------
    length : of the leg [m]. gauge : its thickness [m]. width : of it that one fixing has [m]. loss : its loss
    factor.

    Raises
    ------
    ValueError
        A length, gauge or width that is not above zero.

    Notes
    -----
    Dynamic stiffness of the Euler-Bernoulli beam, D k^3 (cos sinh + sin cosh)/(1 - cos cosh) and
    -D k^3 (sin + sinh)/(1 - cos cosh); 12 D/L^3 at low frequency.

    References
    ----------
    Textbook result, e.g. Cremer and Heckl, Structure-borne Sound, chapter 4.
    """

    def link(f: Array, along: Array) -> Ports:
        w = 2 * np.pi * f
        d = STEEL_YOUNG / (1 - STEEL_POISSON**2) * gauge**3 / 12 * (1 + 1j * loss)
        k = (w**2 * STEEL_DENSITY * gauge / d) ** 0.25
        x = k * length
        scale = d * k**3 / (1 - np.cos(x) * np.cosh(x)) * width / (1j * w)
        own = scale * (np.cos(x) * np.sinh(x) + np.sin(x) * np.cosh(x))
        return own, -scale * (np.sin(x) + np.sinh(x)), own

    return link


@zero_or_more(first="kg", last="kg")
def weighted(link: Link, *, first: float = 0.0, last: float = 0.0) -> Link:
    """A link with masses [kg] at its ends."""

    def heavier(f: Array, along: Array) -> Ports:
        z11, z12, z22 = link(f, along)
        w = 2j * np.pi * f
        return z11 + w * first, z12, z22 + w * last

    return heavier
