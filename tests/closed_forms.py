"""Formulas as published that the program does not use: what it computes is held against them.

Of walls they are transmission losses [dB]. Arguments in SI, air that of the program; no guards.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import j1, struve

from isolate.physics import air

# --- walls -------------------------------------------------------------------------------------------------


def _ratio(f: ArrayLike, mass: ArrayLike) -> np.ndarray:
    """omega m/(2 rho c)."""
    return np.pi * np.asarray(f, float) * np.asarray(mass, float) / air.IMPEDANCE


def normal_mass_law(f: ArrayLike, mass: ArrayLike) -> np.ndarray:
    """Endless limp sheet, normal incidence: 10 lg(1 + (pi f m/(rho c))^2) (textbooks)."""
    return 10 * np.log10(1 + _ratio(f, mass) ** 2)


def diffuse_mass_law(f: ArrayLike, mass: ArrayLike) -> np.ndarray:
    """Endless limp sheet, all angles: tau = ln(1 + a^2)/a^2, the integral of 1/(1 + a^2 cos^2) over sin^2
    (textbooks). No sheet of finite size lets through so much near grazing."""
    square = _ratio(f, mass) ** 2
    return -10 * np.log10(np.log1p(square) / square)


def cremer(f: ArrayLike, mass: float, critical_hz: float, loss: float) -> np.ndarray:
    """Endless thin plate in a diffuse field, well above coincidence, losses well below one (L. Cremer, Akust.
    Z. 7 (1942) 81, as printed by textbooks)."""
    over = np.asarray(f, float) / critical_hz - 1
    return 20 * np.log10(_ratio(f, mass)) + 10 * np.log10(2 * loss / np.pi * over)


def london(f: ArrayLike, mass: float, depth: float, cosine: float) -> np.ndarray:
    """Two equal limp sheets at one angle, without loss: 1/tau = 1 + 4 a^2 (cos b - a sin b)^2 (A. London, J.
    Acoust. Soc. Am. 22 (1950) 270, eq. (17), from memory)."""
    a, b = _ratio(f, mass) * cosine, 2 * np.pi * np.asarray(f, float) / air.SPEED * depth * cosine
    return 10 * np.log10(1 + 4 * a**2 * (np.cos(b) - a * np.sin(b)) ** 2)


# --- heavy plates, ISO 12354 -------------------------------------------------------------------------------


def edge_absorption(neighbours: Sequence[tuple[float, ArrayLike]]) -> np.ndarray:
    """alpha_k of an edge: sum over its neighbours (fc_j, K_ij) of sqrt(fc_j/1000 Hz) 10^(-K_ij/10) (ISO
    12354-1 annex C, from memory, confirmed by annex L)."""
    return np.asarray(sum(np.sqrt(fc / 1000) * 10 ** (-np.asarray(k) / 10) for fc, k in neighbours))


def laboratory_edge_absorption(mass: float, critical_hz: float) -> float:
    """alpha_k of a heavy wall in a test frame of 600 mm concrete (EN 12354-1:2000 annex C, from memory)."""
    chi, psi = np.sqrt(31.1 / critical_hz), 44.3 * critical_hz / mass
    part = 2 * np.sqrt(chi * psi) * (1 + chi) * (1 + psi) / (chi * (1 + psi) ** 2 + 2 * psi * (1 + chi**2))
    return part**2 / 3 * (1 - 0.9999 * part**2 / 3)


def edge_loss(f: ArrayLike, area: float, critical_hz: float, absorbing_length: ArrayLike) -> np.ndarray:
    """Loss factor by the edges, c0/(pi^2 S sqrt(f fc)) sum(l_k alpha_k), c0 = 340 m/s (ISO 12354-1, C)."""
    root = np.sqrt(np.asarray(f, float) * critical_hz)
    return 340.0 / (np.pi**2 * area * root) * np.asarray(absorbing_length)


def power_by_reciprocity(f: ArrayLike, tau: ArrayLike, sigma: ArrayLike) -> np.ndarray:
    """Power [W/N2] below a floor per mean square force on it, from sound the other way: k^2 tau/(16 pi rho c
    sigma). A diffuse field moves the face by v^2/p^2 = tau/(4 (rho c)^2 sigma), and v^2/p^2 = 4 pi W/(rho c
    k^2 F^2) for any passive floor (Cremer and Heckl, from memory)."""
    k = 2 * np.pi * np.asarray(f, float) / air.SPEED
    return k**2 * np.asarray(tau) / (16 * np.pi * air.IMPEDANCE * np.asarray(sigma))


def massive_level(f: ArrayLike, mass: float, loss: ArrayLike, sigma: ArrayLike) -> np.ndarray:
    """L_n [dB] of a concrete floor under the tapping machine, third octaves: 155 - 30 lg m' + 10 lg Ts +
    10 lg sigma + 10 lg(f/1000), Ts = 2.2/(f eta) (ISO 12354-2, annex B, from memory)."""
    f = np.asarray(f, float)
    ring = 2.2 / (f * np.asarray(loss))
    return 155 - 30 * np.log10(mass) + 10 * np.log10(ring * np.asarray(sigma)) + 10 * np.log10(f / 1000)


# --- openings and ducts ------------------------------------------------------------------------------------


def gomperts_kihlman(f: ArrayLike, width: float, depth: float) -> np.ndarray:
    """tau of a slit in the middle of a wall, diffuse field, no losses, k width below 1 (Gomperts and Kihlman,
    Acustica 18 (1967), in Hopkins, Sound Insulation (2007), eq. 4.99, from memory)."""
    k = 2 * np.pi * np.asarray(f, float) / air.SPEED
    kw, kd = k * width, k * depth
    ke = kw * (np.log(8 / kw) - 0.57722) / np.pi
    resonance = np.sin(kd + 2 * ke) ** 2 / np.cos(ke) ** 2
    radiation = kw**2 / 2 * (1 + np.cos(kd) * np.cos(kd + 2 * ke))
    return 8 * kw * np.cos(ke) ** 2 / (2 * (resonance + radiation))


def wilson_soroka(f: ArrayLike, radius: float, depth: float) -> np.ndarray:
    """tau of a round hole, a plane wave at right angles, no losses (Wilson and Soroka, J. Acoust. Soc. Am. 37
    (1965), from memory)."""
    k = 2 * np.pi * np.asarray(f, float) / air.SPEED
    ka, kd = k * radius, k * depth
    r, x = 1 - j1(2 * ka) / ka, struve(1, 2 * ka) / ka
    real = 4 * r**2 * (np.cos(kd) - x * np.sin(kd)) ** 2
    return 4 * r / (real + ((r**2 - x**2 + 1) * np.sin(kd) + 2 * x * np.cos(kd)) ** 2)


def lined_sabine(perimeter: float, area: float, absorption: ArrayLike) -> np.ndarray:
    """Attenuation of a lined duct [dB/m] not wider than the wavelength: 1.05 alpha^1.4 P/S (Sabine, from
    memory)."""
    return 1.05 * np.asarray(absorption) ** 1.4 * perimeter / area


# --- porous materials --------------------------------------------------------------------------------------


def delany_bazley(f: ArrayLike, resistivity: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    """Characteristic impedance and wavenumber, 0.01 < f/resistivity < 1 (Delany and Bazley, Applied Acoustics
    3 (1970) 105, from memory)."""
    x = air.DENSITY * np.asarray(f, float) / resistivity
    k = 2 * np.pi * np.asarray(f, float) / air.SPEED
    z = air.IMPEDANCE * (1 + 0.0571 * x**-0.754 - 0.087j * x**-0.732)
    return z, k * (1 + 0.0978 * x**-0.700 - 0.189j * x**-0.595)


def miki(f: ArrayLike, resistivity: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    """The same (Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19, eqs (30) to (34))."""
    x = 1e3 * np.asarray(f, float) / resistivity
    k = 2 * np.pi * np.asarray(f, float) / air.SPEED
    z = air.IMPEDANCE * (1 + 5.50 * x**-0.632 - 8.43j * x**-0.632)
    return z, k * (1 + 7.81 * x**-0.618 - 11.41j * x**-0.618)


def glass_fibre_resistivity(density: float, diameter: float = 7e-6) -> float:
    """Flow resistivity [Pa s/m2] of uniform glass fibre of 1 to 15 um with little binder (Bies and Hansen,
    Applied Acoustics 13 (1980) 357)."""
    return 3.18e-9 * density**1.53 / diameter**2


def mineral_fibre_resistivity(density: float, radius: float = 3e-6) -> float:
    """Flow resistivity [Pa s/m2] of mineral fibre, 4.4 eta h^1.59/a^2, h its share of a volume at 2500 kg/m3
    (Cox and D'Antonio, Acoustic Absorbers and Diffusers, Table 5.1, from memory)."""
    return 4.4 * air.VISCOSITY * (density / 2500) ** 1.59 / radius**2
