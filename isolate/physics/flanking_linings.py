"""Linings on heavy elements: resonance and improvement, in bands and as one number.

A lining of known layers is better computed as part of its construction; these are the standard's rules
for a floating floor on a heavy slab and for flanking paths of which little is known.

References
----------
ISO 12354-1:2017, annex D; ISO 12354-2:2017, annex C; EN 12354-1:2000, annex D (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero, up_to_endless, zero_or_more

# Table D.1: dR_w = OFFSET - SHARE R_w at these resonances [Hz].
_RESONANCES = (80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 1600, 2000, 5000)
_OFFSETS = (35, 32, 30, 28, -1, -3, -5, -7, -9, -10, -10, -5, -5)
_SHARES = (0.5, 0.5, 0.5, 0.5, 0, 0, 0, 0, 0, 0, 0, 0, 0)


@above_zero(mass="kg/m2")
@zero_or_more(stiffness="N/m3")
@up_to_endless(base_mass="kg/m2")
def resonance(*, stiffness: ArrayLike, mass: ArrayLike, base_mass: ArrayLike = np.inf) -> Array:
    """Resonance f0 [Hz] of a lining `mass` [kg/m2] on a layer of dynamic `stiffness` s' [N/m3] before a
    base of `base_mass` [kg/m2]: (1/2 pi) sqrt(s' (1/m1 + 1/m2)) (annex D.2, eq. D.1)."""
    return np.sqrt(np.asarray(stiffness) * (1 / np.asarray(mass) + 1 / np.asarray(base_mass))) / (2 * np.pi)


@above_zero(depth="m")
def cavity_stiffness(depth: ArrayLike) -> Array:
    """Dynamic stiffness [N/m3] of a cavity with a porous filling, 0.111/d MN/m3, depth d [m]
    (annex D.2, eq. D.2)."""
    return 0.111e6 / np.asarray(depth, float)


@above_zero(f="Hz", resonance_hz="Hz")
def floating_floor(f: ArrayLike, *, resonance_hz: ArrayLike) -> Array:
    """Improvement dR [dB] of a floating screed, 30 lg(f/f0) above f0, 0 below (confirmed by annex L.4)."""
    return np.maximum(30 * np.log10(np.asarray(f, float) / np.asarray(resonance_hz)), 0.0)


@above_zero(resonance_hz="Hz")
def weighted(*, resonance_hz: ArrayLike, rw: ArrayLike) -> Array:
    """Weighted improvement dR_w [dB] of a lining with resonance f0 [Hz] on an element of R_w 20 to 60 dB.

    Table D.1; between its resonances linear in lg f0; up to 160 Hz at least 0.
    """
    f0 = np.asarray(resonance_hz, float)
    at, known = np.log(f0), np.log(_RESONANCES)
    value = np.interp(at, known, _OFFSETS) - np.interp(at, known, _SHARES) * np.asarray(rw, float)
    return np.where(f0 <= 160.0, np.maximum(value, 0.0), value)
