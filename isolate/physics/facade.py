"""Outdoor noise into a room: where its level holds, and the level inside (ISO 12354-3).

Reference point. A level stated at the facade is L1,2m, what a microphone 2 m before it reads; one worked out
from a source and its distance is that of the arriving sound, without the building's reflection. The term
that the standard's quantities add depends on where the outdoor level holds (`FIELD_DB`, to be added to
L - R' + 10 lg(S/A)):

- 2 m before the facade (L1,2m, with the reflection, taken as +3 dB): 0. It follows from D2m,nT =
  R' + dLfs + 10 lg(V/(6 T0 S)) (ISO 12354-3:2017, equation 12; EN 12354-3:2000, equation 10) with the shape
  term dLfs = 0 of a plane facade and A = 0.16 V/T.
- on the facade (L1,s, taken as +6 dB): -3, the term of R'tr,s (ISO 16283-3:2016, definition 3.15).
- without reflection: +3. Both lines above give it: a plane wave carries four times the energy to the wall
  that a diffuse field of the same pressure does, 3 dB of these 6 are lost on the mean to slanting arrival.
- a room next door (diffuse field): 0, L2 = L1 - R' + 10 lg(S/A) (ISO 12354-1:2017, clause 4).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more

FIELD_DB: Final[dict[str, float]] = {
    "arriving": 3.0,
    "2 m before the facade": 0.0,
    "on the facade": -3.0,
    "room": 0.0,
}


@above_zero(volume="m3", reverberation_time="s")
def absorption_area(*, volume: float, reverberation_time: ArrayLike) -> Array:
    """Equivalent absorption area A = 0.16 V/T [m2], the constant as the standards print it.

    `volume` [m3]; `reverberation_time` [s], any shape.
    """
    return 0.16 * volume / np.asarray(reverberation_time, float)


@above_zero(absorption="m2")
@zero_or_more(tau_area="m2")
def level_inside(level_db: ArrayLike, tau_area: ArrayLike, *, absorption: ArrayLike, field: str) -> Array:
    """Level in the room [dB] from a level at its sides, per band.

    Parameters
    ----------
    level_db : level [dB] where `field` says (a key of `FIELD_DB`), (..., bands).
    tau_area : transmission coefficient times area of the sides it reaches, summed [m2], (..., bands).
    absorption : equivalent absorption area A of the room [m2], (..., bands).

    Notes
    -----
    L2 = L + 10 lg(sum(tau_i S_i)/A) + FIELD_DB[field], which is L - R' + 10 lg(S/A) + the field's term.
    """
    if field not in FIELD_DB:
        raise ValueError(f"field: {field!r} is unknown; one of {', '.join(FIELD_DB)}")
    with np.errstate(divide="ignore"):
        passed = 10.0 * np.log10(np.asarray(tau_area, float) / np.asarray(absorption, float))
    return np.asarray(level_db, float) + passed + FIELD_DB[field]
