"""Shear modulus of the interlayers of laminated glass against frequency and temperature.

A fractional Zener solid, G = G0 + (Ginf - G0) z/(1 + z), z = (j w tau a_T)^alpha, with the temperature
shift of Williams, Landel and Ferry. The numbers are set so that standard polyvinyl butyral at 20 degC has
about 150 MPa and a loss factor of 0.25 at 1 kHz, the soft acoustic grade 10 MPa and 1.2
(handbook values, from memory; grades differ by a factor of two).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics.layers import Complex


class Zener(NamedTuple):
    """Low and high limits of the modulus [Pa], relaxation time at 20 degC [s] and the exponent."""

    low: float
    high: float
    time: float
    exponent: float


INTERLAYERS = {
    "standard": Zener(0.3e6, 230e6, 8e-4, 0.45),
    "acoustic": Zener(0.3e6, 250e6, 2.0e-6, 0.62),
}


def shear_modulus(f: Array, *, grade: str, temperature: float = 20.0) -> Complex:
    """Complex shear modulus [Pa] at f [Hz] and temperature [degC] of a named grade.

    Raises KeyError for an unknown grade. WLF constants 20.7 and 91.1 K (butyral, from memory).
    """
    z = INTERLAYERS[grade]
    shift = 10.0 ** (-20.7 * (temperature - 20.0) / (91.1 + temperature - 20.0))
    x = (2j * np.pi * f * z.time * shift) ** z.exponent
    return z.low + (z.high - z.low) * x / (1.0 + x)
