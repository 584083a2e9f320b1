"""Closed forms for teaching and as checks beside the engine, which uses none of them.

Transmission losses in dB of large, mostly lossless constructions; arguments broadcast.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.checks import above_zero


def _ratio(f: ArrayLike, surface_mass: ArrayLike) -> Array:
    """omega m / (2 rho c)."""
    return np.pi * np.asarray(f, float) * np.asarray(surface_mass, float) / IMPEDANCE


@above_zero(f="Hz", surface_mass="kg/m2")
def normal_mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Transmission loss [dB] of a limp sheet at normal incidence.

    Parameters
    ----------
    f : [Hz]. surface_mass : [kg/m2]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    10 lg(1 + (pi f m/(rho c))^2), of an endless sheet that neither bends nor stretches (textbooks).
    """
    return 10.0 * np.log10(1.0 + _ratio(f, surface_mass) ** 2)


@above_zero(f="Hz", surface_mass="kg/m2")
def mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Field-incidence transmission loss [dB] of a limp sheet.

    Parameters
    ----------
    f : [Hz]. surface_mass : [kg/m2]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    10 lg(1 + (pi f m / (rho c))^2 10^-0.5): the normal-incidence law less 5 dB, which is 20 lg(m f) - 47
    where it is large. Of plates well below coincidence.

    References
    ----------
    M. J. Crocker, J. P. Arenas, Engineering Acoustics (2021), chapter 12.
    """
    return 10.0 * np.log10(1.0 + _ratio(f, surface_mass) ** 2 * 10.0**-0.5)


@above_zero(f="Hz", surface_mass="kg/m2")
def diffuse_mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Transmission loss [dB] of an endless limp sheet in a diffuse field, all angles to 90 degrees.

    Parameters
    ----------
    f : [Hz]. surface_mass : [kg/m2]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    tau = ln(1 + a^2)/a^2, a = pi f m/(rho c): the integral of 1/(1 + a^2 cos^2) over sin^2 (textbooks). It is
    R0 - 10 lg(0.23 R0) where that is large. No sheet of finite size lets through so much near grazing.
    """
    square = _ratio(f, surface_mass) ** 2
    return np.asarray(-10.0 * np.log10(np.log1p(square) / square))


@above_zero(surface_mass="kg/m2", bending="N m")
def coincidence(*, surface_mass: ArrayLike, bending: ArrayLike) -> Array:
    """Critical frequency [Hz] of a thin plate.

    Parameters
    ----------
    surface_mass : m [kg/m2]. bending : stiffness B [N m]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    c^2/(2 pi) sqrt(m/B) (textbooks); bending waves much longer than the plate is thick.
    """
    return np.asarray(SPEED**2 / (2 * np.pi) * np.sqrt(np.asarray(surface_mass) / np.asarray(bending)))


@above_zero(f="Hz", surface_mass="kg/m2", critical_hz="Hz", loss="1")
def cremer(f: ArrayLike, *, surface_mass: ArrayLike, critical_hz: ArrayLike, loss: ArrayLike) -> Array:
    """Transmission loss [dB] of an endless thin plate in a diffuse field, above coincidence.

    Parameters
    ----------
    f : [Hz]. surface_mass : [kg/m2]. critical_hz : fc [Hz]. loss : loss factor eta; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    20 lg(pi f m/(rho c)) + 10 lg(2 eta/pi) + 10 lg(f/fc - 1), well above fc, loss factors well below one; nan
    up to fc.

    References
    ----------
    L. Cremer, Akust. Z. 7 (1942) 81, as printed by textbooks.
    """
    over = np.asarray(f, float) / np.asarray(critical_hz, float) - 1.0
    with np.errstate(invalid="ignore"):
        bent = np.log10(np.where(over > 0, over, np.nan)) + np.log10(2 * np.asarray(loss) / np.pi)
    return np.asarray(20.0 * np.log10(_ratio(f, surface_mass)) + 10.0 * bent)


@above_zero(mass1="kg/m2", mass2="kg/m2", depth="m")
def mass_air_mass(*, mass1: ArrayLike, mass2: ArrayLike, depth: ArrayLike) -> Array:
    """Resonance [Hz] of two leaves on the air between them.

    Parameters
    ----------
    mass1, mass2 : [kg/m2]. depth : of the air [m]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    c/(2 pi) sqrt(rho (1/m1 + 1/m2)/d): 60 sqrt((m1 + m2)/(m1 m2 d)); gaps thin beside the wavelength,
    at normal incidence, nothing in the gap but air.

    References
    ----------
    D. R. Raichel, The Science and Applications of Acoustics, eq. (12.23).
    """
    softness = 1.0 / np.asarray(mass1, float) + 1.0 / np.asarray(mass2, float)
    return np.asarray(SPEED / (2 * np.pi) * np.sqrt(DENSITY * softness / np.asarray(depth)))


@above_zero(f="Hz", surface_mass="kg/m2", depth="m")
def london(f: ArrayLike, *, surface_mass: ArrayLike, depth: ArrayLike, cosine: ArrayLike = 1.0) -> Array:
    """Transmission loss [dB] of two equal limp sheets at one angle of incidence.

    Parameters
    ----------
    f : [Hz]. surface_mass : of each [kg/m2]. depth : between them [m]. cosine : of the angle; they broadcast.

    Raises
    ------
    ValueError
        A frequency, mass or depth that is not above zero.

    Notes
    -----
    1/tau = 1 + 4 a^2 (cos b - a sin b)^2 with a = pi f m cos/(rho c), b = k d cos; endless, without loss.

    References
    ----------
    A. London, J. Acoust. Soc. Am. 22 (1950) 270, eq. (17) (from memory).
    """
    a = _ratio(f, surface_mass) * np.asarray(cosine)
    b = 2 * np.pi * np.asarray(f, float) / SPEED * np.asarray(depth) * np.asarray(cosine)
    return np.asarray(10.0 * np.log10(1.0 + 4 * a**2 * (np.cos(b) - a * np.sin(b)) ** 2))


@above_zero(f="Hz", mass1="kg/m2", mass2="kg/m2", depth="m")
def sharp(f: ArrayLike, *, mass1: ArrayLike, mass2: ArrayLike, depth: ArrayLike) -> Array:
    """Field-incidence transmission loss [dB] of two limp leaves with a filled cavity, unlinked.

    Parameters
    ----------
    f : [Hz]. mass1, mass2 : [kg/m2]. depth : [m]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    Mass law of both together below their resonance f0; R1 + R2 + 20 lg(2 k d) from there to fl = c/(2 pi d);
    R1 + R2 + 6 above. Nothing at f0 itself, where real walls have a dip.

    References
    ----------
    B. H. Sharp, as printed by M. Long, Architectural Acoustics, eq. (9.48).
    """
    f, depth = np.asarray(f, float), np.asarray(depth, float)
    both = mass_law(f, surface_mass=mass1) + mass_law(f, surface_mass=mass2)
    k_d = 2 * np.pi * f / SPEED * depth
    together = mass_law(f, surface_mass=np.asarray(mass1) + np.asarray(mass2))
    apart = both + 20.0 * np.log10(2 * np.minimum(k_d, 1.0))
    return np.asarray(np.where(f < mass_air_mass(mass1=mass1, mass2=mass2, depth=depth), together, apart))
