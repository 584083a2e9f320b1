"""Closed forms for teaching and as checks beside the engine, which uses none of them.

Transmission losses in dB of large, mostly lossless constructions; arguments broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED


def _ratio(f: ArrayLike, surface_mass: ArrayLike) -> Array:
    """omega m / (2 rho c)."""
    return np.pi * np.asarray(f, float) * np.asarray(surface_mass, float) / IMPEDANCE


def normal_mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Transmission loss [dB] of a limp sheet at normal incidence, 10 lg(1 + (pi f m/(rho c))^2).

    `f` [Hz]; `surface_mass` [kg/m2].
    """
    return 10.0 * np.log10(1.0 + _ratio(f, surface_mass) ** 2)


def mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Field-incidence transmission loss [dB] of a limp sheet.

    `f` [Hz]; `surface_mass` [kg/m2]; they broadcast.

    Notes
    -----
    10 lg(1 + (pi f m / (rho c))^2 10^-0.5): the normal-incidence law less 5 dB, which is 20 lg(m f) - 47
    where it is large (Crocker and Arenas, Engineering Acoustics, 2021, chapter 12).
    """
    return 10.0 * np.log10(1.0 + _ratio(f, surface_mass) ** 2 * 10.0**-0.5)


def diffuse_mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Transmission loss [dB] of an endless limp sheet in a diffuse field, all angles to 90 degrees.

    tau = ln(1 + a^2)/a^2, a = pi f m/(rho c): the integral of 1/(1 + a^2 cos^2) over sin^2 (textbooks). It is
    R0 - 10 lg(0.23 R0) where that is large.
    """
    square = _ratio(f, surface_mass) ** 2
    return np.asarray(-10.0 * np.log10(np.log1p(square) / square))


def coincidence(*, surface_mass: ArrayLike, bending: ArrayLike) -> Array:
    """Critical frequency [Hz], c^2/(2 pi) sqrt(m/B); m [kg/m2], B [N m]."""
    return np.asarray(SPEED**2 / (2 * np.pi) * np.sqrt(np.asarray(surface_mass) / np.asarray(bending)))


def cremer(f: ArrayLike, *, surface_mass: ArrayLike, critical_hz: ArrayLike, loss: ArrayLike) -> Array:
    """Transmission loss [dB] of an endless thin plate in a diffuse field, above coincidence.

    20 lg(pi f m/(rho c)) + 10 lg(2 eta/pi) + 10 lg(f/fc - 1): L. Cremer, Akust. Z. 7 (1942) 81, as printed by
    textbooks. Meant for f well above fc and loss factors well below one; nan up to fc.
    """
    over = np.asarray(f, float) / np.asarray(critical_hz, float) - 1.0
    with np.errstate(invalid="ignore"):
        bent = np.log10(np.where(over > 0, over, np.nan)) + np.log10(2 * np.asarray(loss) / np.pi)
    return np.asarray(20.0 * np.log10(_ratio(f, surface_mass)) + 10.0 * bent)


def mass_air_mass(*, mass1: ArrayLike, mass2: ArrayLike, depth: ArrayLike) -> Array:
    """Resonance [Hz] of two leaves [kg/m2] on the air between them, `depth` [m].

    c/(2 pi) sqrt(rho (1/m1 + 1/m2)/d): 60 sqrt((m1 + m2)/(m1 m2 d)) (Raichel, The Science and Applications
    of Acoustics, eq. 12.23).
    """
    softness = 1.0 / np.asarray(mass1, float) + 1.0 / np.asarray(mass2, float)
    return np.asarray(SPEED / (2 * np.pi) * np.sqrt(DENSITY * softness / np.asarray(depth)))


def london(f: ArrayLike, *, surface_mass: ArrayLike, depth: ArrayLike, cosine: ArrayLike = 1.0) -> Array:
    """Transmission loss [dB] of two equal limp sheets of `surface_mass` [kg/m2] each, `depth` [m] apart.

    1/tau = 1 + 4 a^2 (cos b - a sin b)^2 with a = pi f m cos/(rho c), b = k d cos, at one angle of incidence:
    A. London, J. Acoust. Soc. Am. 22 (1950) 270, eq. (17) (from memory).
    """
    a = _ratio(f, surface_mass) * np.asarray(cosine)
    b = 2 * np.pi * np.asarray(f, float) / SPEED * np.asarray(depth) * np.asarray(cosine)
    return np.asarray(10.0 * np.log10(1.0 + 4 * a**2 * (np.cos(b) - a * np.sin(b)) ** 2))


def sharp(f: ArrayLike, *, mass1: ArrayLike, mass2: ArrayLike, depth: ArrayLike) -> Array:
    """Field-incidence transmission loss [dB] of two limp leaves [kg/m2] with a filled cavity [m], unlinked.

    Mass law of both together below their resonance f0; R1 + R2 + 20 lg(2 k d) from there to
    fl = c/(2 pi d); R1 + R2 + 6 above: B. H. Sharp, as printed by Long, Architectural Acoustics, eq. (9.48).
    """
    f, depth = np.asarray(f, float), np.asarray(depth, float)
    both = mass_law(f, surface_mass=mass1) + mass_law(f, surface_mass=mass2)
    k_d = 2 * np.pi * f / SPEED * depth
    together = mass_law(f, surface_mass=np.asarray(mass1) + np.asarray(mass2))
    apart = both + 20.0 * np.log10(2 * np.minimum(k_d, 1.0))
    return np.asarray(np.where(f < mass_air_mass(mass1=mass1, mass2=mass2, depth=depth), together, apart))
