"""Openings in a wall: slits and round holes with depth, in a diffuse field.

`tau` is the power an opening lets through, divided by the power that falls on its own area; near a
resonance it exceeds one, because the opening draws sound from around itself. An opening is a short
line of air with a radiation load at both ends. The blocked pressure squared at a wall is twice that
of the diffuse field, of which a quarter of the plane wave's intensity falls on the wall: hence a
factor 8 instead of a plane wave's 4, and 16 in an edge. Once the opening is no longer small against
the wavelength that doubling is lost: from k times width (or diameter) 1 to 4 tau goes over to one,
the value of geometry; the formulas alone would end at two, or 3 dB too much.

Losses in the viscous and thermal boundary layers of the walls are in by default. In a slit 100 mm deep
they cost 2.5 dB at 50 Hz and 1 dB at 250 Hz if it is 1 mm wide, 8 and 2 dB if it is 0.5 mm, and some 9 dB
of the first resonance's band at 1 mm. Losses at the sharp mouths are left out: at depth 0 there are none.

References
----------
Gomperts and Kihlman, The sound transmission loss of circular and slit-shaped apertures in walls,
Acustica 18 (1967), as given in Hopkins, Sound Insulation (2007), eq. 4.99 (from memory).
Wilson and Soroka, Approximation to the diffraction of sound by a circular aperture in a rigid wall
of finite thickness, J. Acoust. Soc. Am. 37 (1965) (from memory).
Stinson, The propagation of plane sound waves in narrow and wide circular tubes, and generalization
to uniform tubes of arbitrary cross-sectional shape, J. Acoust. Soc. Am. 89 (1991) (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isolate.bands import Array
from isolate.physics import air
from isolate.physics.checks import at_least_zero, positive

Complex = NDArray[np.complex128]

SMALL, LARGE = 1.0, 4.0  # k times width or diameter: formula up to here, geometry from there
EULER = 0.57722


def slit(
    f: ArrayLike,
    *,
    width: ArrayLike,
    depth: ArrayLike,
    length: ArrayLike | None = None,
    at_edge: bool = False,
    losses: bool = True,
) -> Array:
    """Diffuse-field transmission of a slit, relative to its area.

    Parameters
    ----------
    f : frequency [Hz], last axis.
    width, depth : [m], broadcast against `f`; depth may be 0.
    length : [m], None for a slit long against the wavelength. A short one (k length < pi) radiates
        as a small source in space rather than as a line.
    at_edge : the slit lies in the edge of two surfaces at right angles (under a door, at a ceiling),
        where its mirror image doubles it.
    losses : boundary layers on the two walls (Stinson 1991); without them a slit as of the 1967 paper.

    Returns
    -------
    tau, of the broadcast shape; above 1 near resonances, f = z c / (2 (depth + 2 width e)).

    Raises
    ------
    ValueError : width or length not above 0, depth below 0, f not above 0.

    Notes
    -----
    Radiation load K/2 + j tan(K e), K = k width, e = (ln(8/K) - 0.5772)/pi, twice the width in an
    edge. In the middle of a wall and without losses it agrees with Gomperts and Kihlman's formula within
    0.05 dB up to K = 0.5; at an edge that formula keeps the end correction of the single width, which moves
    its resonances.
    """
    k, w, d = _wavenumber(f), positive("width", width), at_least_zero("depth", depth)
    image = 2.0 * w if at_edge else w
    resistance, end = _line_load(k, image)
    if length is not None:
        long = np.maximum(positive("length", length), w)
        resistance = resistance * np.minimum(1.0, k * long / np.pi)
        end = np.minimum(end, (np.log(2.0 * long / image) + 0.5) / np.pi)
    z = resistance + 1j * np.tan(k * image * np.maximum(end, 0.0))
    zc, kc = _between_plates(k, w) if losses else (np.ones_like(k + 0j), k + 0j)
    return _to_geometry(k * image, _through(z, zc, kc * d, blocked=16.0 if at_edge else 8.0))


def hole(
    f: ArrayLike, *, radius: ArrayLike, depth: ArrayLike, losses: bool = True, attenuation_db: ArrayLike = 0.0
) -> Array:
    """Diffuse-field transmission of a round hole or a duct, relative to its area.

    Parameters
    ----------
    f : frequency [Hz], last axis. radius, depth : [m], broadcast against `f`; depth may be 0.
    losses : boundary layers on the wall of the hole (Stinson 1991).
    attenuation_db : what lining, bends or a silencer take from a wave on its way through [dB], per f.

    Returns
    -------
    tau, of the broadcast shape; above 1 near resonances.

    Raises
    ------
    ValueError : radius not above 0, depth below 0, f not above 0.

    Notes
    -----
    A piston at either end, R0 + j X0 = 1 - J1(2ka)/ka + j H1(2ka)/ka (Wilson and Soroka 1965).
    """
    k, a, d = _wavenumber(f), positive("radius", radius), at_least_zero("depth", depth)
    ka = k * a
    r, x = _piston(ka)
    z = r + 1j * x
    zc, kc = _in_tube(k, a) if losses else (np.ones_like(k + 0j), k + 0j)
    loss = np.asarray(attenuation_db, float)
    phase = kc * d - 1j * loss * np.log(10.0) / 20.0
    return _to_geometry(2.0 * ka, _through(z, zc, phase, blocked=8.0), 10.0 ** (-loss / 10.0))


def _wavenumber(f: ArrayLike) -> Array:
    return 2.0 * np.pi * positive("f", f, unit="Hz") / air.SPEED


def _line_load(k: Array, width: Array) -> tuple[Array, Array]:
    """Radiation resistance (re rho c) of a long slit and its end correction over its width."""
    kw = k * width
    return np.minimum(kw / 2.0, 1.0), (np.log(8.0 / kw) - EULER) / np.pi


def _fluid(k: Array, viscous: Complex, thermal: Complex) -> tuple[Complex, Complex]:
    """Impedance (re rho c) and wavenumber of air between near walls; the arguments are the means over
    the section of the wave that the walls hold back."""
    density, compliance = 1.0 / (1.0 - viscous), 1.0 + (air.HEAT_RATIO - 1.0) * thermal
    kc = k * np.sqrt(density * compliance)
    return np.sqrt(density / compliance), np.where(kc.imag > 0.0, -kc, kc)


def _between_plates(k: Array, width: Array) -> tuple[Complex, Complex]:
    s = width / 2.0 * np.sqrt(1j * k * air.SPEED * air.DENSITY / air.VISCOSITY)
    t = s * np.sqrt(air.PRANDTL)
    return _fluid(k, np.tanh(s) / s, np.tanh(t) / t)


def _piston(ka: Array) -> tuple[Array, Array]:
    """Resistance and reactance of a piston in a baffle over rho c."""
    from scipy.special import j1, struve

    return 1.0 - j1(2.0 * ka) / ka, struve(1, 2.0 * ka) / ka


def _in_tube(k: Array, radius: Array) -> tuple[Complex, Complex]:
    from scipy.special import jve

    def held_back(s: Complex) -> Complex:
        return np.asarray(2.0 * jve(1, s) / (s * jve(0, s)))

    s = radius * np.sqrt(-1j * k * air.SPEED * air.DENSITY / air.VISCOSITY)
    return _fluid(k, held_back(s), held_back(s * np.sqrt(air.PRANDTL)))


def _through(z: Complex, zc: Complex, kd: NDArray[np.complexfloating], *, blocked: float) -> Array:
    """tau of a line (impedance zc, phase kd) between two radiation loads z, all re rho c.

    The decay e^{Im kd} is taken out of the line's matrix, so that no depth overflows.
    """
    forth, back = np.exp(1j * kd.real), np.exp(-1j * kd.real + 2.0 * kd.imag)
    cosine, sine = (forth + back) / 2.0, (forth - back) / 2j
    across = 2.0 * z * cosine + 1j * (zc + z * z / zc) * sine
    return np.asarray(blocked * z.real * np.exp(2.0 * kd.imag) / np.abs(across) ** 2)


def _to_geometry(kw: Array, tau: Array, wide: ArrayLike = 1.0) -> Array:
    """Go over to the value of geometry where the opening is wide against the wavelength."""
    s = np.clip(np.log(kw / SMALL) / np.log(LARGE / SMALL), 0.0, 1.0)
    return np.asarray(tau + s * s * (3.0 - 2.0 * s) * (np.asarray(wide) - tau))
