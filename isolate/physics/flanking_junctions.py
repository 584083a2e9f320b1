"""Junctions of building elements: vibration reduction index, level difference, absorption lengths.

Numbering of the elements at a junction, as in ISO 12354-1 annex E: 1 and 3 lie in one plane, 2 (and 4)
stand across. `mass` and `across` are surface masses [kg/m2]: of the element the path starts in and of
the one perpendicular to it, M = lg(across / mass). K12 goes round the corner, K13 straight on.

References
----------
ISO 12354-1:2017 and EN 12354-1:2000, annex E (formulas from memory; rigid X, rigid T and flexible
interlayer confirmed by the worked examples of annex H.3 of 2000 and annex L of 2017).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more

C = 340.0
REFERENCE_HZ = 1000.0  # of the equivalent absorption length
INTERLAYER_HZ = 125.0  # f1 of a flexible interlayer with E/t near 100 MN/m3


class Reduction(NamedTuple):
    """Vibration reduction indices [dB] of a junction; None where the junction has no such path."""

    corner: Array  # K12
    straight: Array | None = None  # K13
    across: Array | None = None  # K24, between the perpendicular elements


def _ratio(mass: ArrayLike, across: ArrayLike) -> Array:
    m, p = np.asarray(mass, float), np.asarray(across, float)
    return np.log10(p / m)


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def rigid_cross(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Rigid cross (E.1): K13 = 8.7 + 17.1 M + 5.7 M^2, K12 = 8.7 + 5.7 M^2."""
    m = _ratio(mass, across) + 0 * np.asarray(f, float)
    return Reduction(8.7 + 5.7 * m**2, 8.7 + 17.1 * m + 5.7 * m**2, 8.7 - 17.1 * m + 5.7 * m**2)


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def rigid_tee(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Rigid T, 1 and 3 straight on, 2 the leg (E.2): K13 = 5.7 + 14.1 M + 5.7 M^2, K12 = 5.7 + 5.7 M^2."""
    m = _ratio(mass, across) + 0 * np.asarray(f, float)
    return Reduction(5.7 + 5.7 * m**2, 5.7 + 14.1 * m + 5.7 * m**2)


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def flexible_interlayer(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Wall junction with flexible interlayers (E.3, E.4): the rigid T with D1 once (K12) or twice (K13),
    D1 = 10 lg(f/f1) from f1 = 125 Hz up; K24 = 3.7 + 14.1 M + 5.7 M^2, between -4 and 0."""
    rigid = rigid_tee(f, mass=mass, across=across)
    d1 = 10 * np.log10(np.maximum(np.asarray(f, float) / INTERLAYER_HZ, 1.0))
    m = _ratio(mass, across) + 0 * d1
    straight = 5.7 + 14.1 * m + 5.7 * m**2 + 2 * d1
    return Reduction(rigid.corner + d1, straight, np.clip(3.7 + 14.1 * m + 5.7 * m**2, -4.0, 0.0))


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def light_facade(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Light facade (1, 3) past a heavy element (E.5): K13 = 5 + 10 M, at least 5; K12 = 10 + 10 |M|."""
    m = _ratio(mass, across) + 0 * np.asarray(f, float)
    return Reduction(10 + 10 * np.abs(m), np.maximum(5 + 10 * m, 5.0))


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def light_on_heavy(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Light double-leaf elements (1, 3) on a homogeneous one (2, 4) (E.6): K13 = 10 + 20 M - 3.3 lg(f/500),
    at least 10; K12 = 10 + 10 |M| + 3.3 lg(f/500); K24 = 3 - 14.1 M + 5.7 M^2, for across/mass above 3."""
    m, tilt = _ratio(mass, across), 3.3 * np.log10(np.asarray(f, float) / 500.0)
    straight = np.maximum(10 + 20 * m - tilt, 10.0)
    return Reduction(10 + 10 * np.abs(m) + tilt, straight, 3 - 14.1 * m + 5.7 * m**2 + 0 * tilt)


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def light_coupled(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Coupled light double-leaf walls (E.7): K13 = 10 + 20 M - 3.3 lg(f/500), at least 10;
    K12 = 10 + 10 |M| - 3.3 lg(f/500)."""
    m, tilt = _ratio(mass, across), 3.3 * np.log10(np.asarray(f, float) / 500.0)
    return Reduction(10 + 10 * np.abs(m) - tilt, np.maximum(10 + 20 * m - tilt, 10.0))


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def corner(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Corner of two elements (E.8): K12 = 15 |M| - 3, at least -2."""
    m = _ratio(mass, across) + 0 * np.asarray(f, float)
    return Reduction(np.maximum(15 * np.abs(m) - 3, -2.0))


@above_zero(f="Hz", mass="kg/m2", across="kg/m2")
def change(f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """Change of thickness in one plane (E.9): K12 = 5 M^2 - 5."""
    m = _ratio(mass, across) + 0 * np.asarray(f, float)
    return Reduction(5 * m**2 - 5)


Junction = Callable[..., Reduction]
JUNCTIONS: dict[str, Junction] = {
    "rigid cross": rigid_cross,
    "rigid tee": rigid_tee,
    "flexible interlayer": flexible_interlayer,
    "light facade": light_facade,
    "light on heavy": light_on_heavy,
    "light coupled": light_coupled,
    "corner": corner,
    "change": change,
}


def reduction(kind: str, f: ArrayLike, *, mass: ArrayLike, across: ArrayLike) -> Reduction:
    """The junction called `kind`, one of `JUNCTIONS`; ValueError lists the known ones."""
    if kind not in JUNCTIONS:
        raise ValueError(f"kind: no junction {kind!r}; known are {', '.join(JUNCTIONS)}")
    return JUNCTIONS[kind](f, mass=mass, across=across)


@above_zero(junction_length="m", area_i="m2", area_j="m2")
def minimum_reduction(*, junction_length: float, area_i: float, area_j: float) -> float:
    """Smallest K_ij [dB], 10 lg[l_f l0 (1/S_i + 1/S_j)], l0 = 1 m (EN 12354-1:2000 eq. 23, from memory)."""
    return float(10 * np.log10(junction_length * (1 / area_i + 1 / area_j)))


@above_zero(f="Hz", area="m2")
@zero_or_more(eta="1")
def absorption_length(f: ArrayLike, *, area: ArrayLike, eta: ArrayLike) -> Array:
    """Equivalent absorption length a = 2.2 pi^2 S/(c0 Ts) sqrt(1000/f) [m], Ts = 2.2/(f eta).

    Vigran, Building Acoustics (2008), eq. (9.42). Light elements with losses of their own have a = S / 1 m.
    """
    f = np.asarray(f, float)
    return np.pi**2 * np.asarray(area) * f * np.asarray(eta) / C * np.sqrt(REFERENCE_HZ / f)


@above_zero(junction_length="m", a_i="m", a_j="m")
def level_difference(*, k: ArrayLike, junction_length: float, a_i: ArrayLike, a_j: ArrayLike) -> Array:
    """Direction-averaged velocity level difference in the building [dB], at least 0:
    K_ij - 10 lg(l_ij / sqrt(a_i a_j)). Vigran, Building Acoustics (2008), eq. (9.41)."""
    root = np.sqrt(np.asarray(a_i) * np.asarray(a_j))
    return np.maximum(np.asarray(k) - 10 * np.log10(junction_length / root), 0.0)
