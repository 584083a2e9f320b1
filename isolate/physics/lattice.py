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
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.finite import forced_radiation
from isolate.physics.layers import Complex, Fluid, across
from isolate.physics.leaves import AnyLeaf
from isolate.physics.links import Tie

CavityAt = Callable[[Array, Array], Sequence[Fluid]]  # (f, trace) -> layers of the cavity
ACROSS, ALONG = 8, 6  # harmonics on either side; doubling them moves a band by under 0.1 dB up to 1 kHz
POLAR, AZIMUTH = 10, 4
AT_ONCE = 8  # frequencies: what is worked on then stays near the processor


@dataclass(frozen=True)
class _Waves:
    """Incident directions and what each weighs: sin, cos (P, 1, 1); k_x, k_y and weight (P, Z, F or 1)."""

    cos: Array
    kx: Array
    ky: Array
    weight: Array


def _incident(k: Array) -> _Waves:
    theta, wt = np.polynomial.legendre.leggauss(POLAR)
    phi, wp = np.polynomial.legendre.leggauss(AZIMUTH)
    theta, phi = (np.pi / 4 * (x + 1) for x in (theta, phi))
    sin, cos = np.sin(theta)[:, None, None], np.cos(theta)[:, None, None]
    weight = wt[:, None, None] * wp[:, None] * sin * cos
    kx, ky = k * sin * np.cos(phi)[:, None], k * sin * np.sin(phi)[:, None]
    return _Waves(cos, kx, ky, weight / weight.sum())


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


def transmission(
    f: Array, *, leaf1: AnyLeaf, leaf2: AnyLeaf, cavity: CavityAt, tie: Tie, size: tuple[float, float]
) -> Array:
    """Diffuse transmission tau (F,) of two leaves on studs, with the cavity's path; mean of both ways.

    f (F,) [Hz]; size (width, height) [m] for the finite wall's radiation. Scalars only, no draws.
    """
    parts = (f[i : i + AT_ONCE] for i in range(0, f.size, AT_ONCE))
    return np.concatenate([_transmission(part, leaf1, leaf2, cavity, tie, size) for part in parts])


def _transmission(
    f: Array, leaf1: AnyLeaf, leaf2: AnyLeaf, cavity: CavityAt, tie: Tie, size: tuple[float, float]
) -> Array:
    k = 2 * np.pi * f / SPEED
    waves = _incident(k)
    n, m = np.meshgrid(np.arange(-ACROSS, ACROSS + 1), np.arange(-ALONG, ALONG + 1), indexing="ij")
    order = np.argsort((n**2 + m**2).ravel(), kind="stable")  # the incident wave itself comes first
    n, m = (x.ravel()[order][:, None, None, None] for x in (n, m))
    across, along = waves.kx + 2 * np.pi * n / tie.span, waves.ky + 2 * np.pi * m / tie.fixing
    trace = np.sqrt(across**2 + along**2)  # (harmonic, polar, azimuth, F)
    zr = _radiation(f, trace)
    a1, a2, b = _two_port(cavity(f, trace))
    z1 = leaf1.impedance(f, trace)
    z2 = z1 if leaf2 == leaf1 else leaf2.impedance(f, trace)
    m1, m2 = z1 + zr + a1, z2 + zr + a2
    det = m1 * m2 - b * b
    y11, y12, y22 = m2 / det, b / det, m1 / det
    cell = tie.span * tie.fixing
    mobility = tuple(y.sum(0) / cell for y in (y11, y12, y22))
    link = tie.link(f, waves.ky)
    cosine = np.sqrt(np.maximum(1 - (trace / k) ** 2, 0.0))
    window = np.sqrt(cosine * forced_radiation(cosine, wavenumber=k, width=size[0], height=size[1]))
    heard = np.real(zr) * np.where(trace < k, window, 0.0) * window[0]

    def power(free: tuple[Complex, Complex], near: Complex, far: Complex) -> Array:
        """|velocity|^2 that radiates, when `free` are the velocities without studs."""
        f1, f2 = _forces(mobility, free, link)
        out = -(near * f1 + far * f2) / cell
        out[0] += y12[0]
        return np.asarray((np.abs(out) ** 2 * heard).sum(0))

    # from either side, which are equal but for the coarse choice of directions
    both = power((y11[0], y12[0]), y12, y22) + power((y12[0], y22[0]), y11, y12)
    return np.asarray((2 * IMPEDANCE * both / waves.cos * waves.weight).sum((0, 1)))
