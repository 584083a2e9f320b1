"""Means over bands, angles of incidence and azimuths: nets of points, doubled until a band is sure.

What a lattice passes has ridges all through these three dimensions, so that there is no part of them to look
at more closely. Points that lie evenly in all three at once know its mean, and those that were there before
are of use to twice as many.

References: I. M. Sobol', USSR Comput. Math. Math. Phys. 7 (1967) 86; P. Bratley, B. L. Fox, ACM Trans. Math.
Softw. 14 (1988) 88 (both from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from isolate.bands import Array
from isolate.physics.finite import diffuse

At = Callable[[Array, Array, Array], Array]  # f [Hz], cosine of incidence, azimuth [rad]: (n,) each -> (n,)

FIRST, MOST = 128, 2**13  # points of a band: parts of fewer may agree and all miss the same peak
ALL = 2**15  # of all bands: what is built takes fewer, leaves as soft as no board is would take them all
PARTS = 8  # of a net, each of them a net: what they differ by tells how sure all together are
BITS = 30  # of a coordinate
SHIFT = 0x2E5C1F93, 0x19A7D34B, 0x3C62B8E5  # of a net, digit by digit: its points are then in no corner
GRAZING = 1e-4  # of a right angle, left out at either end


def means(at: At, middles: Array, *, sure: Array, at_first: int = FIRST) -> Array:
    """Means (B,) of `at` over third octaves about `middles` (B,) [Hz], incidence and azimuth.

    sure (B,): the error of a band over its mean, as if its parts were random, that will do; it is less.
    at_first: points of a band to begin with.
    """
    found, left = np.empty(middles.size), np.arange(middles.size)
    values, spent = np.empty((left.size, 0)), 0
    while left.size:
        size = max(2 * values.shape[1], at_first)
        spent += left.size * (size - values.shape[1])
        values = np.concatenate([values, _values(at, middles[left], points(values.shape[1], size))], 1)
        parts = values.reshape(left.size, PARTS, -1).mean(-1)
        found[left] = mean = parts.mean(-1)
        unsure = parts.std(-1) > np.sqrt(PARTS - 1) * sure[left] * mean
        more = unsure & (size < MOST) & (spent + np.count_nonzero(unsure) * size <= ALL)
        left, values = left[more], values[more]
    return found


def points(start: int, end: int) -> Array:
    """Points of the net from number `start` to `end`, (3, n), each coordinate between 0 and 1."""
    number, at = np.arange(start, end), np.empty((3, end - start), np.int64)
    at[:] = np.array(SHIFT)[:, None]
    for i, one in enumerate(_digits().T[: end.bit_length()]):
        at ^= (number >> i & 1) * one[:, None]
    return (at + 0.5) / 2**BITS


def _digits() -> Array:
    """What each binary digit of a point's number turns over in its coordinates, (3, BITS): the digit itself
    reflected, and by the polynomials x + 1 and x^2 + x + 1."""
    second, third = [1], [1, 3]
    for _ in range(BITS):
        second.append(2 * second[-1] ^ second[-1])
        third.append(2 * third[-1] ^ 4 * third[-2] ^ third[-2])
    place = 2 ** np.arange(BITS - 1, -1, -1)
    return np.array([place, second[:BITS] * place, third[:BITS] * place])


def _values(at: At, middles: Array, net: Array) -> Array:
    """Values (B, n) at points (3, n) of bands about `middles`, weighed as a diffuse field does."""
    x, y, z = np.tile(net, middles.size)
    f = np.repeat(middles, net.shape[1]) * 10.0 ** (0.1 * (x - 0.5))
    theta = np.clip(y, GRAZING, 1 - GRAZING) * np.pi / 2
    cosine, weight = diffuse(theta)
    values = at(f, cosine, z * np.pi / 2) * weight * np.pi / 2
    return np.asarray(values.reshape(middles.size, -1))
