"""Two leaves on parallel studs, screwed at regular fixings: the wall as a lattice.

Every incident plane wave excites the space harmonics k_x + 2 pi n / spacing across the studs and
k_y + 2 pi m / fixing along them. Each harmonic sees two plates with the layered cavity between them; the
studs answer the velocity at the fixings with a force, and all harmonics radiate. The strips between the
studs and their resonance, the wall that moves as one plate below it, and the bridges above it all follow.

Reference: G. Lin, J. Garrelick, J. Acoust. Soc. Am. 61 (1977) 1014 for lines; D. Takahashi, J. Sound Vib. 90
(1983) 243 for points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.finite import forced_radiation
from isolate.physics.layers import Complex, Fluid, across
from isolate.physics.leaves import AnyLeaf, critical_frequency
from isolate.physics.links import Tie

Admittances = tuple[Complex, Complex, Complex]
CavityAt = Callable[[Array, Array], Sequence[Fluid]]  # (f, trace) -> layers of the cavity
LIMP, MARGIN = 1e5, 2.0  # Hz; times the largest wavenumber that sound or free waves have
# Harmonics on either side: down to wavelengths of some thicknesses of a board. Part of the model, not a grid:
# a point on a plate that shears has no limit, and `links` adds what gives way nearer to a screw.
ACROSS, ALONG = 8, 6
AT_ONCE = 400  # directions, with 221 harmonics each: what is worked on then stays near the processor


def _radiation(f: Array, trace: Array) -> Complex:
    """rho w / k_z [Pa s/m] of air at a trace wavenumber; imaginary when subsonic."""
    air = Fluid(f, trace, DENSITY, 2 * np.pi * f / SPEED, 0.0)
    return 1.0 / air.admittance(air.normal)


def _two_port(layers: Sequence[Fluid]) -> tuple[Complex, Complex, Complex]:
    """(a1, a2, b) of a layered cavity: p1 = a1 v1 - b v2, p2 = b v1 - a2 v2 [Pa s/m]; one layer behind the
    other, p and v common to both between them."""
    (a1, a2, b), *rest = (_port(layer) for layer in layers)
    for c1, c2, d in rest:
        joint = a2 + c1
        a1, a2, b = a1 - b * b / joint, c2 - d * d / joint, b * d / joint
    return a1, a2, b


def _port(layer: Fluid) -> tuple[Complex, Complex, Complex]:
    """-j z cot(k d) twice and -j z / sin(k d)."""
    normal = layer.normal
    _, lost = across(normal, layer.depth)
    short = 1.0 / (layer.admittance(normal) * lost)
    own = (2.0 - lost) * short
    return own, own, 2.0 * np.exp(-1j * layer.depth * normal) * short


def _forces(
    s: tuple[Complex, Complex, Complex],
    free: tuple[Complex, Complex],
    z: tuple[Complex, Complex, Complex],
) -> tuple[Complex, Complex]:
    """Forces on a link (z11, z12, z22) from the free velocities and the leaves' mobilities (s11, s12,
    s22) there: V = (1 + S Z)^-1 V_free, F = Z V."""
    (s11, s12, s22), (free1, free2), (z11, z12, z22) = s, free, z
    q11, q12 = 1 + s11 * z11 + s12 * z12, s11 * z12 + s12 * z22
    q21, q22 = s12 * z11 + s22 * z12, 1 + s12 * z12 + s22 * z22
    det = q11 * q22 - q12 * q21
    v1, v2 = (q22 * free1 - q12 * free2) / det, (q11 * free2 - q21 * free1) / det
    return z11 * v1 + z12 * v2, z12 * v1 + z22 * v2


class _Waves(NamedTuple):
    """Frequencies (F,); cosine of incidence, azimuth and weight of the directions at each (P, F)."""

    f: Array
    cosine: Array
    azimuth: Array
    weight: Array


def _harmonics(
    f: Array, leaves: tuple[AnyLeaf, AnyLeaf], tie: Tie
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Orders (n, m) of the harmonics that sound or free bending waves may meet, the incident wave first; and
    of those so short that the direction of the sound is nothing to them."""
    slow = max(float(np.max(np.minimum(critical_frequency(leaf), LIMP))) for leaf in leaves)
    highest = 2 * np.pi * f[-1] / SPEED * (1 + np.sqrt(slow / f[-1]))
    n, m = np.mgrid[-ACROSS : ACROSS + 1.0, -ALONG : ALONG + 1.0]
    order = np.argsort((n**2 + m**2).ravel(), kind="stable")
    n, m = (x.ravel()[order][:, None, None] for x in (n, m))
    long = np.ravel(np.hypot(n / tie.span, m / tie.fixing) * 2 * np.pi < MARGIN * highest)
    return (n[long], m[long]), (n[~long], m[~long])


def transmission(
    f: Array,
    *,
    cosine: Array,
    azimuth: Array,
    weight: Array,
    leaf1: AnyLeaf,
    leaf2: AnyLeaf,
    cavity: CavityAt,
    tie: Tie,
    size: tuple[float, float],
) -> Array:
    """Transmission tau (F,) of two leaves on studs, with the cavity's path; mean of both ways.

    f (F,) [Hz]; cosine of incidence, azimuth [rad] from across the studs, and weight of directions (P, F);
    size (width, height) [m] for the finite wall's radiation. Scalars only, no draws.
    """
    waves = np.broadcast_arrays(cosine, azimuth, weight, f)[:3]
    step, rising, tau = max(AT_ONCE // len(waves[0]), 1), np.argsort(f), np.empty(f.size)
    for i in range(0, f.size, step):  # alike frequencies need alike many harmonics
        at = rising[i : i + step]
        here = _Waves(f[at], *(x[:, at] for x in waves))
        tau[at] = _transmission(here, leaf1, leaf2, cavity, tie, size)
    return tau


def _transmission(
    waves: _Waves,
    leaf1: AnyLeaf,
    leaf2: AnyLeaf,
    cavity: CavityAt,
    tie: Tie,
    size: tuple[float, float],
) -> Array:
    f, cosine, azimuth, weight = waves
    k = 2 * np.pi * f / SPEED
    sine = np.sqrt(1 - cosine**2)
    kx, ky = k * sine * np.cos(azimuth), k * sine * np.sin(azimuth)
    long, short = _harmonics(f, (leaf1, leaf2), tie)

    def answers(n: Array, m: Array, kx: Complex, ky: Complex) -> tuple[Array, Complex, Admittances]:
        """Trace wavenumbers, radiation impedances and admittances (harmonics, directions, F)."""
        trace = np.hypot(kx + n * 2 * np.pi / tie.span, ky + m * 2 * np.pi / tie.fixing)
        zr = _radiation(f, trace)
        a1, a2, b = _two_port(cavity(f, trace))
        z1 = leaf1.impedance(f, trace)
        z2 = z1 if leaf2 == leaf1 else leaf2.impedance(f, trace)
        m1, m2 = z1 + zr + a1, z2 + zr + a2
        det = 1.0 / (m1 * m2 - b * b)
        return trace, zr, (m2 * det, b * det, m1 * det)

    trace, zr, (y11, y12, y22) = answers(*long, kx, ky)
    rest = answers(*short, 0.0, 0.0)[2]
    cell = tie.span * tie.fixing
    mobility = tuple((y.sum(0) + more.sum(0)) / cell for y, more in zip((y11, y12, y22), rest, strict=True))
    link = tie.link(f, ky)
    leaving = np.sqrt(np.maximum(1 - (trace / k) ** 2, 0.0))
    window = np.sqrt(leaving * forced_radiation(leaving, wavenumber=k, width=size[0], height=size[1]))
    heard = np.real(zr) * np.where(trace < k, window, 0.0) * window[0]

    def power(free: tuple[Complex, Complex], near: Complex, far: Complex) -> Array:
        """|velocity|^2 that radiates, when `free` are the velocities without studs."""
        f1, f2 = _forces(mobility, free, link)
        out = -(near * f1 + far * f2) / cell
        out[0] += y12[0]
        return np.asarray((np.abs(out) ** 2 * heard).sum(0))

    # from either side, which are equal but for the coarse choice of directions
    both = power((y11[0], y12[0]), y12, y22) + power((y12[0], y22[0]), y11, y12)
    return np.asarray((2 * IMPEDANCE * both / cosine * weight).sum(0))
