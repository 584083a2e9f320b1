"""Between rooms, and from a room to the outdoors: level differences from transmission.

References
----------
ISO 12354-1:2017, clauses 3 and 4; ISO 16283-1:2014, clause 3; ISO 12354-4:2017, clause 4 (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more

REFERENCE_TIME = 0.5  # T0 [s] of D_nT
INSIDE_TO_FACADE_DB = -6.0  # C_d of ISO 12354-4, diffuse field in an ordinary room


@above_zero(absorption="m2")
@zero_or_more(tau_area="m2")
def level_difference(tau_area: ArrayLike, *, absorption: ArrayLike) -> Array:
    """D = 10 lg(A / sum(tau S)) [dB] between a room and one of absorption area A [m2]; all paths in
    tau_area [m2], flanking as A0 10^(-D_n,f/10)."""
    with np.errstate(divide="ignore"):
        return 10 * np.log10(np.asarray(absorption, float) / np.asarray(tau_area, float))


@above_zero(reverberation_time="s")
def standardised(difference_db: ArrayLike, *, reverberation_time: ArrayLike) -> Array:
    """D_nT = D + 10 lg(T/T0) [dB], T0 = 0.5 s."""
    return np.asarray(difference_db) + 10 * np.log10(np.asarray(reverberation_time) / REFERENCE_TIME)


@above_zero(area_in="m2", area_out="m2")
@zero_or_more(absorption="m2", tau_in="1", tau_out="1")
def through_lobby(
    tau_in: ArrayLike, tau_out: ArrayLike, *, area_in: ArrayLike, area_out: ArrayLike, absorption: ArrayLike
) -> Array:
    """tau S [m2] of two doors (or walls) one behind the other with a small room between them.

    Sound in the lobby is diffuse, S_1 tau_1 / (A + S_1 tau_1 + S_2 tau_2) of that before the first door:
    good where the lobby is wider than half a wavelength. Below it two close doors are one double
    construction and are to be computed as such; the smaller of both is the honest value.
    absorption: of the lobby [m2], without the doors' own leaks.
    """
    first, second = np.asarray(tau_in) * area_in, np.asarray(tau_out) * area_out
    return np.asarray(first * second / (np.asarray(absorption) + first + second))


@above_zero(area="m2")
@zero_or_more(distance="m")
def outside_transfer(*, distance: ArrayLike, area: ArrayLike) -> Array:
    """What to add to L + 10 lg(sum(tau S)) for the level outdoors [dB] before a facade.

    C_d - 10 lg(2 pi d^2), half a sphere round it; near the facade no more than it radiates on its own
    `area` [m2], C_d - 10 lg(area). Distance d [m] at right angles; C_d = -6 dB (ISO 12354-4, clause 4).
    """
    sphere = np.maximum(2 * np.pi * np.asarray(distance, float) ** 2, area)
    return INSIDE_TO_FACADE_DB - 10 * np.log10(sphere)
