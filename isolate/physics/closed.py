"""Closed forms for teaching and as checks beside the engine."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.air import IMPEDANCE


def mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Field-incidence transmission loss [dB] of a limp sheet.

    `f` [Hz]; `surface_mass` [kg/m2]; they broadcast.

    Notes
    -----
    10 lg(1 + (pi f m / (rho c))^2 10^-0.5): the normal-incidence law less 5 dB, which is 20 lg(m f) - 47
    where it is large (Crocker and Arenas, Engineering Acoustics, 2021, chapter 12).
    """
    normal = np.pi * np.asarray(f, float) * np.asarray(surface_mass, float) / IMPEDANCE
    return 10.0 * np.log10(1.0 + normal**2 * 10.0**-0.5)
