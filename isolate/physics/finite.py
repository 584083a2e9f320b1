"""What the finite size of a wall or window does to the sound it radiates.

A panel carrying a plane wave k_t = k sin(theta) radiates rho c sigma |v|^2 per area; an infinite one has
sigma = 1/cos(theta), which a finite one cannot follow at grazing angles or at low frequency.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from isolate.bands import Array
from isolate.physics.checks import above_zero


@above_zero(wavenumber="1/m", width="m", height="m")
def forced_radiation(
    cosine: Array, *, wavenumber: Array, width: Array | float, height: Array | float
) -> Array:
    """Radiation efficiency of a baffled panel forced by a plane wave at angle theta, (..., A, F).

    Parameters
    ----------
    cosine : (..., A, 1) of theta. wavenumber : (F,) [1/m]. width, height : [m].

    Raises
    ------
    ValueError
        A wavenumber or size that is not above zero.

    Notes
    -----
    sigma = (g^2 + q^2)^(-1/2) with q = 2 pi / (k^2 S) and g = cos(theta) up to a limiting angle, beyond it
    the shadow-zone line; a side 2a = 4S/U stands for the rectangle.

    References
    ----------
    J. L. Davy, J. Acoust. Soc. Am. 126 (2009) 1871, eqs. 23-30 (from memory).
    """
    area = width * height
    long = np.sqrt(wavenumber * (2.0 * area / (np.pi * (width + height))))  # (2 ka/pi)^0.5
    limit = np.minimum(1.3 / long, 1.0)  # cos of the limiting angle
    h = 1.0 / np.maximum(2.0 / 3.0 * long - 0.124, 0.05)  # q rules long before
    shadow = h - (h / limit - 1.0) * cosine
    g = np.where(cosine >= limit, cosine, shadow)
    q = 2.0 * np.pi / area / (wavenumber * wavenumber)
    return 1.0 / np.sqrt(g * g + q * q)


def diffuse(theta: Array) -> tuple[Array, Array]:
    """Cosines [1] of angles of incidence [rad] and what each counts for in a diffuse field, 2 sin cos [1]."""
    slope = np.tan(theta)  # in a tenth of a sine's time
    cosine = 1.0 / np.sqrt(1.0 + slope * slope)
    return cosine, 2.0 * slope * cosine * cosine


@lru_cache
def right_angle(count: int) -> tuple[Array, Array]:
    """Angles [rad] from 0 to 90 degrees, shape (count, 1), and their weights, which sum to pi/2:
    Gauss-Legendre."""
    nodes, weights = np.polynomial.legendre.leggauss(count)
    theta, weights = np.pi / 4 * (nodes[:, None] + 1), np.pi / 4 * weights[:, None]
    theta.flags.writeable = weights.flags.writeable = False
    return theta, weights


@lru_cache
def angles(count: int) -> tuple[Array, Array]:
    """Cosines of `count` angles of incidence, shape (count, 1), and their weights in a diffuse field,
    2 sin cos d(theta) summing to one."""
    theta, weights = right_angle(count)
    cosine, weight = diffuse(theta)
    weight *= weights
    weight /= weight.sum()
    cosine.flags.writeable = weight.flags.writeable = False
    return cosine, weight
