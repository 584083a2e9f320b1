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
from typing import Any

import numpy as np

from isolate.bands import Array

Complex = Any  # complex scalar or array, broadcast over (draws, angle, frequency)


@dataclass(frozen=True)
class Sheet:
    """A leaf: its separation impedance (p1 - p2) / v [Pa s/m]."""

    impedance: Complex


@dataclass(frozen=True)
class Fluid:
    """A layer of fluid: normal wavenumber [1/m], impedance rho w / k_z [Pa s/m] and depth [m]."""

    normal_wavenumber: Complex
    impedance: Complex
    depth: Complex


def fluid(f: Array, trace: Array, *, density: Complex, wavenumber: Complex, depth: Complex) -> Fluid:
    """A fluid layer seen at the trace wavenumber.

    f (F,) [Hz]; trace (..., A, F) [1/m]; density [kg/m3] and wavenumber [1/m] may be complex (an
    equivalent fluid); depth [m].
    """
    normal = np.sqrt(np.asarray(wavenumber) ** 2 - trace**2 + 0j)
    normal = np.where(normal.imag > 0, -normal, normal)
    return Fluid(normal, 2 * np.pi * f * density / normal, depth)


def transmission(layers: Sequence[Sheet | Fluid], *, outer: Complex, receiving: Complex = None) -> Array:
    """Transmitted over incident power of a plane wave through `layers`, noisy side first.

    outer: impedance rho c / cos(theta) [Pa s/m] of the air on the noisy side, `receiving` the listener's
    (default the same). Returns tau with the broadcast shape of everything. Equation: continuity of
    pressure and velocity at each interface (Brekhovskikh, Waves in Layered Media, 1960, section 5).
    """
    load = outer if receiving is None else receiving
    into = load
    got = 1.0
    for layer in reversed(layers):
        if isinstance(layer, Sheet):
            load = load + layer.impedance
            continue
        decay = np.exp(-1j * layer.normal_wavenumber * layer.depth)
        lost = -np.expm1(-2j * layer.normal_wavenumber * layer.depth)  # 1 - e^{-2 j k d}, exact when thin
        zc = layer.impedance
        back = 2.0 - lost
        denominator = load * lost + zc * back
        got = got * np.abs(2.0 * zc * decay / denominator) ** 2
        load = zc * (load * back + zc * lost) / denominator
    return np.abs(2.0 / (outer + load)) ** 2 * np.real(outer) * np.real(into) * got
