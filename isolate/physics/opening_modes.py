"""What the air before a rectangular opening asks of each pattern a pane in it can move in.

Patterns cos(m pi x/w) cos(n pi y/h): the modes of air with hard walls at the rim, so that one family serves
the sound outside and the shallow cavity between two panes. Each meets the outside with its own radiation
impedance in a baffle; what one pattern feeds into another is left out. A diffuse field excites every
pattern in proportion to the power it would radiate, so that

    tau = 4 pi / (k^2 S) sum_mn 4 R1 R2 / |Z + Z1 + Z2|^2,

which is a sum over angles, 2 sin cos d(theta), when the opening is large.

References
----------
P. J. Shorter, R. S. Langley, J. Acoust. Soc. Am. 117 (2005) 85 for the diffuse field's reciprocity;
C. E. Wallace, J. Acoust. Soc. Am. 51 (1972) 946 for radiation by patterns (both from memory).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.physics.air import SPEED
from isolate.physics.layers import Complex


def patterns(*, width: float, height: float, highest: float) -> tuple[Any, Any, Array]:
    """(m, n, wavenumber [1/m]) of all patterns up to wavenumber `highest` [1/m]; (modes,) each."""
    m, n = np.meshgrid(
        np.arange(int(highest * width / np.pi) + 1),
        np.arange(int(highest * height / np.pi) + 1),
        indexing="ij",
    )
    trace = np.hypot(m * np.pi / width, n * np.pi / height)
    inside = trace <= highest
    return m[inside], n[inside], trace[inside]


def radiation_impedance(f: Array, *, m: Any, n: Any, width: float, height: float) -> Complex:
    """Radiation impedance over rho c of patterns (m, n) of a `width` by `height` [m] opening in a baffle.

    f (F,) [Hz]; m, n (modes,). Returns (modes, F), resistance and reactance.

    Notes: 2 j k / pi int int C_m(x) C_n(y) exp(-j k r) / r dx dy over the opening, C the normalised
    autocorrelation of the pattern along a side; in polar coordinates r cancels. Good to 1e-4.
    """
    fastest = np.pi * max(np.max(m) / width, np.max(n) / height, 2 * np.max(f) / SPEED)
    x, y, weight, r = _points(width, height, fastest)
    shape = _overlap(x[:, None], m, width) * _overlap(y[:, None], n, height) * weight[:, None]
    k = 2 * np.pi * np.asarray(f, float)[:, None] / SPEED
    return np.asarray(2j * k / np.pi * (np.exp(-1j * k * r) @ shape)).T


def _overlap(shift: Array, order: Any, side: float) -> Array:
    """Mean of cos(q s) cos(q (s + shift)) over the part of a side that both cover, over that of cos^2."""
    q = order * np.pi / side
    bent = ((side - shift) * np.cos(q * shift) - np.sin(q * shift) / np.where(order == 0, 1.0, q)) / side
    return np.asarray(np.where(order == 0, (side - shift) / side, bent))


def _points(width: float, height: float, fastest: float) -> tuple[Array, ...]:
    """Points (x, y), weights dr d(phi) and radii of a rectangle in polar coordinates about a corner, enough
    for waves of wavenumber `fastest` [1/m]."""
    along = 16 + int(0.6 * fastest * np.hypot(width, height))
    across = 16 + int(8 * (max(width, height) / min(width, height) - 1))
    angle, w_angle = np.polynomial.legendre.leggauss(across)
    part, w_part = np.polynomial.legendre.leggauss(along)
    corner = np.arctan2(height, width)
    out = []
    for low, high in ((0.0, corner), (corner, np.pi / 2)):
        phi = (low + high) / 2 + (high - low) / 2 * angle[:, None]
        reach = np.minimum(width / np.maximum(np.cos(phi), 1e-12), height / np.maximum(np.sin(phi), 1e-12))
        r = reach * (part + 1) / 2
        weight = w_angle[:, None] * (high - low) / 2 * w_part * reach / 2
        out.append([v.ravel() for v in (r * np.cos(phi), r * np.sin(phi), weight, r)])
    return tuple(np.concatenate(pair) for pair in zip(*out, strict=True))
