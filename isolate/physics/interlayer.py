"""Shear modulus of the interlayers of laminated glass against frequency and temperature.

A fractional Zener solid, G = G0 + (Ginf - G0) z/(1 + z), z = (j w tau a_T)^alpha, with the temperature
shift of Williams, Landel and Ferry. The numbers are set so that standard polyvinyl butyral at 20 degC has
about 90 MPa and a loss factor of 0.45 at 1 kHz, the soft acoustic grade 18 MPa and 1.2
(master curves, from memory: 50 to 200 MPa and 0.2 to 0.6, 5 to 30 MPa and 0.8 to 1.4; set on laminated
panes).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more
from isolate.physics.layers import Complex


class Zener(NamedTuple):
    """Low and high limits of the modulus [Pa], relaxation time at 20 degC [s] and the exponent."""

    low: float
    high: float
    time: float
    exponent: float


INTERLAYERS = {
    "standard": Zener(0.3e6, 230e6, 6e-5, 0.45),
    "acoustic": Zener(0.3e6, 250e6, 5.0e-6, 0.62),
}


@above_zero(f="Hz")
def shear_modulus(f: Array, *, grade: str, temperature: float = 20.0) -> Complex:
    """Complex shear modulus [Pa] at f [Hz] and temperature [degC] of a named grade.

    Raises KeyError for an unknown grade. WLF constants 20.7 and 91.1 K (butyral, from memory).
    """
    z = INTERLAYERS[grade]
    shift = 10.0 ** (-20.7 * (temperature - 20.0) / (91.1 + temperature - 20.0))
    x = (2 * np.pi * z.time * shift * f) ** z.exponent * 1j**z.exponent
    return z.low + (z.high - z.low) * x / (1.0 + x)


@cache
def modulus(grade: str) -> Callable[[Array], Complex]:
    """`shear_modulus` of a grade, the same object every time, so that panes of it are equal."""
    return partial(shear_modulus, grade=grade)


@above_zero(whole="m")
@zero_or_more(usual="m")
def thickness(whole: float, *, usual: float) -> float:
    """Thickness [m] of the interlayer of a laminated pane `whole` [m] thick; plies come in whole millimetres.

    Foils are 0.38 mm and multiples: 6.4 mm is 3 + 0.38 + 3, 12.8 mm is 6 + 0.76 + 6; few foils rather than
    many where thicknesses are rounded. `usual` where no multiple up to six comes within 0.1 mm of whole
    millimetres of glass (common practice, no source).

    >>> round(thickness(12.8e-3, usual=0.38e-3) * 1e3, 2)
    0.76
    >>> round(thickness(6.3e-3, usual=0.38e-3) * 1e3, 2)
    0.38
    """

    def off(foils: int) -> float:
        glass = (whole - foils * FOIL) * 1e3
        return abs(glass - round(glass)) if glass >= 2.0 else np.inf

    foils = min(FOILS, key=lambda count: off(count) + RARER * count)
    return foils * FOIL if off(foils) <= ROUNDED else usual


FOIL = 0.38e-3  # m
FOILS = (1, 2, 3, 4, 6)
ROUNDED, RARER = 0.1, 0.015  # mm: that a stated thickness may be off; that a foil more has to fit better
