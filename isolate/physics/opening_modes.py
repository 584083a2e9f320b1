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

from collections.abc import Iterator
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.physics.air import SPEED
from isolate.physics.checks import above_zero
from isolate.physics.layers import Complex


def patterns(*, width: float, height: float, highest: float) -> tuple[Any, Any, Array]:
    """Patterns of an opening, (m, n, wavenumber [1/m]) of (modes,) each.

    Parameters
    ----------
    width, height : [m]. highest : wavenumber [1/m] up to which they are counted.

    Notes
    -----
    k = pi sqrt((m/w)^2 + (n/h)^2), see the head of the module.
    """
    m, n = np.meshgrid(
        np.arange(int(highest * width / np.pi) + 1),
        np.arange(int(highest * height / np.pi) + 1),
        indexing="ij",
    )
    trace = np.hypot(m * np.pi / width, n * np.pi / height)
    inside = trace <= highest
    return m[inside], n[inside], trace[inside]


@above_zero(f="Hz", width="m", height="m")
def radiation_impedance(f: Array, *, m: Any, n: Any, width: float, height: float) -> Complex:
    """Radiation impedance over rho c of patterns (m, n) of an opening in a baffle.

    Parameters
    ----------
    f : (F,) [Hz]. m, n : orders (modes,). width, height : [m].

    Returns
    -------
    (modes, F), resistance and reactance.

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    2 j k/pi int int C_m(x) C_n(y) exp(-j k r)/r dx dy over the opening, C the normalised autocorrelation of
    the pattern along a side. In the square at the corner in polar coordinates, in which r cancels; beyond it,
    along the longer side, in pieces that double. Good to 1e-4, whatever the sides' ratio. References at the
    head of the module.
    """
    if height > width:
        return radiation_impedance(f, m=n, n=m, width=height, height=width)
    k = 2 * np.pi * np.asarray(f, float) / SPEED
    fastest = max(np.pi * max(np.max(m) / width, np.max(n) / height), 2 * np.max(k, initial=0.0))
    x, y, weight, r = _corner(height, fastest)
    near = (
        _overlap(x, m, width) * _overlap(y, n, height) + _overlap(y, m, width) * _overlap(x, n, height)
    ) * weight
    phase = np.outer(k, r)
    total = np.cos(phase) @ near - 1j * (np.sin(phase) @ near)  # real: half the products
    short = np.unique(n)
    y, of_y = _gauss(0.0, height, fastest, 10)
    across = _overlap(y[:, None], short, height) * of_y[:, None]
    for x, of_x in _beyond(height, width, fastest):
        r = np.hypot(x[:, None], y)
        phase = k[:, None, None] * r
        real, lag = (part(phase) / r @ across for part in (np.cos, np.sin))  # (F, x, one for each n)
        along = _overlap(x[:, None], m, width) * of_x[:, None]
        for i, order in enumerate(short):
            some = along[:, n == order]
            total[:, n == order] += real[..., i] @ some - 1j * (lag[..., i] @ some)
    return np.asarray(2j * k[:, None] / np.pi * total).T


def _overlap(shift: Array, order: Any, side: float) -> Array:
    """Mean of cos(q s) cos(q (s + shift)) over the part of a side that both cover, over that of cos^2."""
    q = order * np.pi / side
    bent = ((side - shift) * np.cos(q * shift) - np.sin(q * shift) / np.where(order == 0, 1.0, q)) / side
    return np.asarray(np.where(order == 0, (side - shift) / side, bent))


def _gauss(start: float, stop: float, fastest: float, base: int = 16) -> tuple[Array, Array]:
    """Points and weights between, enough for waves of wavenumber `fastest` [1/m]."""
    node, weight = np.polynomial.legendre.leggauss(base + int(0.6 * fastest * (stop - start)))
    return start + (stop - start) * (node + 1) / 2, weight * (stop - start) / 2


def _corner(side: float, fastest: float) -> tuple[Array, ...]:
    """Points (x, y) and weights dr d(phi), (n, 1), and radii (n,) in polar coordinates about the corner of a
    square, up to its diagonal: (y, x) are those beyond it."""
    angle, w_angle = _gauss(0.0, np.pi / 4, 0.0)
    part, w_part = _gauss(0.0, 1.0, fastest * side * 2**0.5)
    reach = side / np.cos(angle)[:, None]
    r, weight = reach * part, (reach * w_part * w_angle[:, None]).ravel()
    x, y = ((r * turn(angle)[:, None]).reshape(-1, 1) for turn in (np.cos, np.sin))
    return x, y, weight[:, None], r.ravel()


def _beyond(start: float, stop: float, fastest: float) -> Iterator[tuple[Array, Array]]:
    """Points and weights from start to stop in pieces: each no longer than what lies before it, as 1/r falls,
    nor than some thirty waves."""
    while start < stop * (1 - 1e-12):
        end = min(2 * start, start + 200.0 / max(fastest, 1e-9), stop)
        yield _gauss(start, end, fastest, 10)
        start = end
