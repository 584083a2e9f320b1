"""Leaves tied to each other by studs, channels, clips, spacers and frames.

`periodic` solves two plates with a layered cavity between them, held together along parallel lines a
distance `spacing` apart: every incident plane wave excites all space harmonics k_x + 2 pi n / spacing, the
studs answer the velocity at the lines with a force, and the harmonics radiate. The strips between the
studs, the wall that moves as one plate below their resonance, and the line bridges above it all follow.

`lines` and `points` are the limit of bridges too far apart, in wavelengths, to know of each other. With the
power R a plate radiates per squared force at a line or point, reciprocity also gives the velocity a
diffuse field makes there, so that the product R1 R2 carries the whole path:

    lines:  tau = 8/(b k^2) int dk_y R1(k_y) R2(k_y) / |Y1 + Y2 + Y|^2
    points: tau = 16 pi n / k^2  R1 R2 / |Y1 + Y2 + Y|^2

References: G. Lin, J. Garrelick, J. Acoust. Soc. Am. 61 (1977) 1014 for the periodic wall; L. Cremer,
M. Heckl, Structure-borne Sound, 2nd ed. (1988), chapters 4 and 6, for mobilities and radiation.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.finite import forced_radiation
from isolate.physics.layers import Complex, Fluid
from isolate.physics.leaves import AnyLeaf

CavityAt = Callable[[Array, Array], Sequence[Fluid]]  # (f, trace) -> layers of the cavity


@dataclass(frozen=True)
class Link:
    """What ties two leaves along a line: `mass` [kg/m], dynamic `stiffness` between its faces [N/m2, per
    metre of line; complex, may depend on f], bending stiffness EI along the line [N m2], and the distance
    of its fixings [m]."""

    mass: float
    stiffness: Callable[[Array], Complex]
    bending: float = 0.0
    fixing: float = 0.3


def _radiation(f: Array, trace: Array) -> Complex:
    """rho w / k_z [Pa s/m] of air at a trace wavenumber; imaginary when subsonic."""
    k = 2 * np.pi * f / SPEED
    normal = np.sqrt(k**2 - trace**2 + 0j)
    normal = np.where(normal.imag > 0, -normal, normal)
    return DENSITY * 2 * np.pi * f / np.where(np.abs(normal) < 1e-9 * k, 1e-9 * k, normal)


def _two_port(layers: Sequence[Fluid]) -> tuple[Complex, Complex, Complex]:
    """(a1, a2, b) of a layered cavity: p1 = a1 v1 - b v2, p2 = b v1 - a2 v2 [Pa s/m]."""
    t11, t12, t21, t22 = 1.0, 0.0, 0.0, 1.0
    for layer in layers:
        phase = layer.normal_wavenumber * layer.depth
        c, s, z = np.cos(phase), 1j * np.sin(phase), layer.impedance
        t11, t12, t21, t22 = (
            t11 * c + t12 * s / z,
            t11 * s * z + t12 * c,
            t21 * c + t22 * s / z,
            t21 * s * z + t22 * c,
        )
    return t11 / t21, t22 / t21, 1.0 / t21


def periodic(
    f: Array,
    *,
    leaf1: AnyLeaf,
    leaf2: AnyLeaf,
    cavity: CavityAt,
    spacing: float,
    link: Link,
    size: tuple[float, float],
    harmonics: int = 12,
    along: int = 0,
    polar: int = 14,
    azimuth: int = 6,
) -> Array:
    """Diffuse transmission of two leaves tied along parallel lines, cavity path included.

    f (F,) [Hz]; returns tau (F,). `harmonics` on either side of the incident one, `polar` and `azimuth`
    angles of incidence.
    """
    w, k = 2 * np.pi * f, 2 * np.pi * f / SPEED
    theta, wt = np.polynomial.legendre.leggauss(polar)
    theta, wt = np.pi / 4 * (theta + 1), wt * np.pi / 4
    phi, wp = np.polynomial.legendre.leggauss(azimuth)
    phi, wp = np.pi / 4 * (phi + 1), wp / 2
    sin, cos = np.sin(theta)[:, None, None], np.cos(theta)[:, None, None]
    kx = k * sin * np.cos(phi)[:, None]
    ky = k * sin * np.sin(phi)[:, None]  # (polar, azimuth, F)
    n, m = np.meshgrid(np.arange(-harmonics, harmonics + 1), np.arange(-along, along + 1), indexing="ij")
    order = np.argsort((n**2 + m**2).ravel(), kind="stable")  # the incident wave itself first
    n, m = (x.ravel()[order][:, None, None, None] for x in (n, m))
    trace = np.sqrt(
        (kx + 2 * np.pi * n / spacing) ** 2 + (ky + 2 * np.pi * m / link.fixing) ** 2
    )  # (H, polar, azimuth, F)
    zr = _radiation(f, trace)
    a1, a2, b = _two_port(cavity(f, trace))
    m1 = leaf1.impedance(f, trace) + zr + a1
    m2 = leaf2.impedance(f, trace) + zr + a2
    det = m1 * m2 - b * b
    y11, y22, y12 = m2 / det, m1 / det, b / det
    s11, s22, s12 = (y.sum(0) / spacing for y in (y11, y22, y12))
    inertia = (1j * w * link.mass + link.bending * ky**4 / (1j * w)) / 2
    spring = link.stiffness(f) / (1j * w)
    z11, z12 = inertia + spring, -spring
    # V = (1 + S Z)^-1 v_free and F = Z V, two by two
    free1, free2 = y11[0], y12[0]
    q11, q12 = 1 + s11 * z11 + s12 * z12, s11 * z12 + s12 * z11
    q21, q22 = s12 * z11 + s22 * z12, 1 + s12 * z12 + s22 * z11
    dq = q11 * q22 - q12 * q21
    v1, v2 = (q22 * free1 - q12 * free2) / dq, (q11 * free2 - q21 * free1) / dq
    f1, f2 = z11 * v1 + z12 * v2, z12 * v1 + z11 * v2
    out = -(y12 * f1 + y22 * f2) / spacing
    out[0] += free2
    supersonic = trace < k
    cos_n = np.sqrt(np.maximum(1 - (trace / k) ** 2, 0.0))
    window = np.where(
        supersonic,
        np.sqrt(cos_n * forced_radiation(cos_n, wavenumber=k, width=size[0], height=size[1])),
        0.0,
    )
    power = (np.abs(out) ** 2 * np.real(zr) * window).sum(0)
    enter = window[0]
    tau = 4 * IMPEDANCE * power * enter / cos
    weight = wt[:, None, None] * wp[:, None] * 2 * sin * cos
    return np.asarray((tau * weight).sum((0, 1)) / weight.sum((0, 1)))


def radiated_per_force(f: Array, *, leaf: AnyLeaf, along: Array | float = 0.0, nodes: int = 48) -> Array:
    """Power radiated to one side per length of line and squared force per length, (..., F) [W m/N2].

    `along` (F,): wavenumber k_y of the force along the line [1/m], below k.
    """
    k = 2 * np.pi * f / SPEED
    inside = np.sqrt(np.maximum(k**2 - np.asarray(along) ** 2, 0.0))
    x, weights = np.polynomial.legendre.leggauss(nodes)
    theta, weights = (np.pi / 4 * (x + 1))[:, None], (weights * np.pi / 4)[:, None]
    trace = np.sqrt((inside * np.sin(theta)) ** 2 + np.asarray(along) ** 2)
    zr = DENSITY * 2 * np.pi * f / np.maximum(inside * np.cos(theta), 1e-9)
    v2 = 1.0 / np.abs(leaf.impedance(f, trace) + 2 * zr) ** 2
    return np.asarray((v2 * DENSITY * 2 * np.pi * f * weights).sum(-2) / np.pi)  # dk_x / k_z = d(theta)


def line_mobility(f: Array, *, leaf: AnyLeaf) -> Complex:
    """Velocity per line force [m2/(N s)] of an infinite thin plate, (..., F):
    1 / (2 (1 + j) m sqrt(w) (B/m)^(1/4))."""
    return 1.0 / (
        2 * (1 + 1j) * _flat(leaf.mass) * np.sqrt(2 * np.pi * f) * _flat(leaf.bending / leaf.mass) ** 0.25
    )


def point_mobility(*, leaf: AnyLeaf) -> Array:
    """Velocity per point force [m/(N s)] of an infinite thin plate, (..., 1): 1 / (8 sqrt(B m))."""
    return np.asarray(1.0 / (8.0 * np.sqrt(_flat(leaf.bending * leaf.mass))))


def _flat(value: Array | float) -> Array:
    """A leaf's value without the angle axis: draws (D, 1, 1) become (D, 1)."""
    array = np.asarray(value, float)
    return array[..., 0] if array.ndim > 1 else array


def lines(
    f: Array, *, leaf1: AnyLeaf, leaf2: AnyLeaf, spacing: float, compliance: Complex = 0.0, nodes: int = 12
) -> Array:
    """tau (..., F) of isolated line bridges `spacing` [m] apart; compliance [m2/N] per metre of line."""
    k = 2 * np.pi * f / SPEED
    x, weights = np.polynomial.legendre.leggauss(nodes)
    theta, weights = np.pi / 4 * (x + 1), weights * np.pi / 4
    both: Array | float = 0.0
    for angle, weight in zip(theta, weights, strict=True):  # k_y = k sin(angle), both signs
        r1 = radiated_per_force(f, leaf=leaf1, along=k * np.sin(angle))
        r2 = r1 if leaf2 is leaf1 else radiated_per_force(f, leaf=leaf2, along=k * np.sin(angle))
        both = both + 2 * r1 * r2 * k * np.cos(angle) * weight
    y = line_mobility(f, leaf=leaf1) + line_mobility(f, leaf=leaf2) + 2j * np.pi * f * compliance
    return np.asarray(8.0 / (spacing * k**2) * both / np.abs(y) ** 2)


def points(
    f: Array, *, leaf1: AnyLeaf, leaf2: AnyLeaf, per_area: float, compliance: Complex = 0.0, nodes: int = 48
) -> Array:
    """tau (..., F) of isolated point bridges, `per_area` [1/m2]; compliance [m/N] of each."""
    k = 2 * np.pi * f / SPEED
    x, weights = np.polynomial.legendre.leggauss(nodes)
    theta, weights = (np.pi / 4 * (x + 1))[:, None], (weights * np.pi / 4)[:, None]

    def radiated(leaf: AnyLeaf) -> Array:
        z = leaf.impedance(f, k * np.sin(theta)) + 2 * IMPEDANCE / np.cos(theta)
        return np.asarray((IMPEDANCE * k**2 * np.sin(theta) / np.abs(z) ** 2 * weights).sum(-2) / (2 * np.pi))

    y = point_mobility(leaf=leaf1) + point_mobility(leaf=leaf2) + 2j * np.pi * f * compliance
    return np.asarray(16 * np.pi * per_area / k**2 * radiated(leaf1) * radiated(leaf2) / np.abs(y) ** 2)
