"""Radiation impedance of a flat rectangle in a baffle, driven by a wave that runs along it.

This is what a finite piece of wall sees of the air in front of it. Its real part also is the radiation
factor of a forced wave; without end it becomes 1/cos(angle), which is infinite at grazing incidence.
Normalised by `air.IMPEDANCE`; averaged over all directions along the surface.

References
----------
S.-I. Thomasson, Acustica 44 (1980) 265, eq. (31); the mean over directions reduces the fourfold
integral to one over the distance between two points of the rectangle.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics import air
from isolate.physics.checks import above_zero, zero_or_more
from isolate.physics.porous import Complex


@above_zero(width="m", height="m")
@zero_or_more(r="m")
def distance_weight(r: ArrayLike, *, width: float, height: float) -> Array:
    """Area integral of the overlap of a rectangle with itself shifted by `r` [m], over all directions.

    2 pi width height at r = 0; its integral r dr from 0 to the diagonal is (width height)^2.
    """
    a, b, dist = max(width, height), min(width, height), np.asarray(r, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        low = np.where(dist > a, np.arccos(np.minimum(a / dist, 1)), 0.0)
        high = np.where(dist > b, np.arcsin(np.minimum(b / dist, 1)), np.pi / 2)
    overlap = (
        a * b * (high - low)
        + a * dist * (np.cos(high) - np.cos(low))
        - b * dist * (np.sin(high) - np.sin(low))
        + dist**2 / 2 * (np.sin(high) ** 2 - np.sin(low) ** 2)
    )
    return np.asarray(np.where(dist < np.hypot(a, b), 4 * overlap, 0.0))


@above_zero(f="Hz", width="m", height="m")
def radiation_impedance(f: ArrayLike, *, angle: ArrayLike, width: float, height: float) -> Complex:
    """Normalised radiation impedance of a `width` by `height` [m] rectangle.

    Parameters
    ----------
    f : (n,) [Hz]; angle : (angles,) of incidence from the normal [rad].

    Returns
    -------
    complex, (angles, n).

    Notes
    -----
    jk / (2 pi S) integral of exp(-jkr) J0(k r sin(angle)) W(r) dr, W the `distance_weight`.
    """
    sine = np.sin(np.atleast_1d(np.asarray(angle, float)))[:, None]
    columns = [_at(k, sine, width, height) for k in 2 * np.pi * np.atleast_1d(f) / air.SPEED]
    return np.stack(columns, axis=-1)


def _at(k: float, sine: Array, width: float, height: float) -> Complex:
    """One wavenumber [rad/m]; the integral is cut where the weight has its kinks, and between them into
    pieces that double, as the weight falls along a strip."""
    from scipy.special import j0

    short, long = sorted((width, height))
    doubled = short * 2.0 ** np.arange(1, int(np.log2(long / short)) + 1)
    cuts = sorted({0.0, short, *doubled[doubled < long], long, float(np.hypot(width, height))})
    total: Complex = np.zeros(sine.shape[0], complex)
    for start, stop in pairwise(cuts):
        r, weight = _points(start, stop, pieces=1 + int(k * (stop - start) / 14))
        part = np.exp(-1j * k * r) * distance_weight(r, width=width, height=height)
        total += j0(k * r * sine) @ (part * weight)
    return np.asarray(1j * k / (2 * np.pi * width * height) * total)


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)  # of a piece the integrand turns round in four times


def _points(start: float, stop: float, *, pieces: int) -> tuple[Array, Array]:
    """Points and weights of Gauss and Legendre on equal `pieces` of an interval."""
    half = (stop - start) / (2 * pieces)
    middles = start + half * (2 * np.arange(pieces) + 1)
    return (middles[:, None] + half * _NODES).ravel(), np.tile(half * _WEIGHTS, pieces)
