"""Plane waves through a stack of layers: the one solver behind every transmission loss.

Conventions of the whole house: time factor e^{+j w t}; a wave travelling towards the listener is
e^{-j k_z z}, so a lossy layer has Im k_z < 0. The state is (pressure, normal velocity), both continuous
across an interface; a leaf keeps the velocity and takes the pressure Z v away. The in-plane
wavenumber k_t = k0 sin(theta) is the same in every layer.

The solver walks from the listener's side to the noise, carrying the impedance it has reached and the
velocity that got through, each fluid layer scaled by its own decay, so nothing overflows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from isolate.bands import Array

Complex = Any  # complex scalar or array, broadcast over (draws, angle, frequency)


@dataclass(frozen=True)
class Sheet:
    """A leaf: its separation impedance (p1 - p2) / v [Pa s/m]."""

    impedance: Complex


# Freed once, a large array makes the GNU allocator keep the small ones of later calls, which otherwise go
# back to the system one by one and come back as pages to be cleared: half the time of the solver.
np.empty(1 << 21)

GRAZING = 1e-20  # loss of (k_z / k)^2 that every fluid has, so that k_z is nowhere nought


@dataclass(frozen=True)
class Fluid:
    """A layer of fluid seen at a trace wavenumber.

    f (F,) [Hz]; trace (..., A, F) [1/m]; density [kg/m3] and wavenumber [1/m] may be complex (an equivalent
    fluid, which takes energy and gives none: Im k <= 0); depth [m].
    """

    f: Array
    trace: Array
    density: Complex
    wavenumber: Complex
    depth: Complex

    @property
    def normal(self) -> Complex:
        """Normal wavenumber k_z [1/m], Im k_z < 0."""
        k = np.asarray(self.wavenumber)
        real, lossy = np.real(k), -np.imag(k)
        x = np.atleast_1d((real - lossy) * (real + lossy) - self.trace * self.trace)
        return _decaying_root(x, 2.0 * real * lossy + GRAZING * real * real)

    def admittance(self, normal: Complex) -> Complex:
        """k_z / (rho w) [m/(Pa s)]."""
        return normal * (1.0 / (2 * np.pi * self.f * self.density))

    @cached_property
    def crossed(self) -> tuple[Array, Complex, Complex]:
        """|e^{-j k d}|^2, 1 - e^{-2 j k d} and the admittance; kept, since windows are solved run by run."""
        normal = self.normal
        return *across(normal, self.depth), self.admittance(normal)


def transmission(layers: Sequence[Sheet | Fluid], *, outer: Complex, receiving: Complex = None) -> Array:
    """Transmitted over incident power of a plane wave through `layers`, noisy side first.

    outer: impedance rho c / cos(theta) [Pa s/m] of the air on the noisy side, `receiving` the listener's
    (default the same). Returns tau with the broadcast shape of everything. Equation: continuity of
    pressure and velocity at each interface (Brekhovskikh, Waves in Layered Media, 1960, section 5).
    """
    (tau,) = transmissions([layers], outer=outer, receiving=receiving)
    return tau


def transmissions(
    groups: Sequence[Sequence[Sheet | Fluid]], *, outer: Complex, receiving: Complex = None
) -> list[Array]:
    """The same through each group of layers with all behind it, the noisiest first, in one walk; `outer` and
    `receiving` [Pa s/m]."""
    load = outer if receiving is None else receiving
    into = load
    got: Array | float = 1.0
    tau = []
    for layers in reversed(groups):
        for layer in reversed(layers):
            if isinstance(layer, Sheet):
                load = load + layer.impedance
                continue
            left, lost, admittance = layer.crossed
            back = 2.0 - lost
            relative = load * admittance
            below = relative * lost
            below += back
            relative = relative * back
            relative += lost
            got = got * left / square(below)
            got *= 4.0
            below *= admittance
            relative /= below
            load = relative
        tau.append(4.0 * np.real(outer) * np.real(into) * got / square(outer + load))
    return tau[::-1]


# What follows works in place and on real numbers: a complex root or exponential takes three times as long.


def across(normal: Complex, depth: Complex) -> tuple[Array, Complex]:
    """|e^{-j k d}|^2 and 1 - e^{-2 j k d} of a layer, exact when thin, by the tangent of its phase.

    normal: wavenumber across it [1/m]; depth [m].
    """
    fall = np.imag(normal) * (2.0 * depth)
    tangent = np.real(normal) * depth
    np.tan(tangent, out=tangent)
    left, lost = np.exp(fall), np.empty(fall.shape, complex)
    sine = tangent * tangent
    sine += 1.0
    np.divide(tangent, sine, out=sine)  # half the sine of twice the phase
    sine *= 2.0 * left
    lost.imag = sine
    sine *= tangent
    np.subtract(sine, np.expm1(fall, out=fall), out=lost.real)
    return left, lost


def tanh(z: Complex) -> Complex:
    """Hyperbolic tangent [1] of complex numbers z [1], exact near 0 and where it is 1."""
    fall, turn = np.tanh(np.real(z)), np.tan(np.imag(z))
    fall2, turn2 = fall * fall, turn * turn
    scale = 1.0 / (1.0 + fall2 * turn2)
    out = np.empty(scale.shape, complex)
    np.multiply(fall * (1.0 + turn2), scale, out=out.real)
    np.multiply(turn * (1.0 - fall2), scale, out=out.imag)
    return out


def _decaying_root(x: Array, loss: Array) -> Complex:
    """Root of x - j loss with Im < 0, for loss > 0."""
    large = x * x + loss * loss
    np.sqrt(large, out=large)
    large += np.abs(x)
    large *= 0.5
    np.sqrt(large, out=large)
    small = 0.5 * loss / large
    root, travels = np.empty(large.shape, complex), x >= 0
    root.real = np.where(travels, large, small)
    root.imag = np.where(travels, small, large)
    return np.conj(root, out=root)  # numpy.negative fails on some strides (2.4)


def square(z: Complex) -> Array:
    """|z|^2 [1] of complex numbers z [1]."""
    re, im = np.real(z), np.imag(z)
    return re * re + im * im
