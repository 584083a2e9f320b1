"""A monolithic plate by ISO 12354-1 annex B: radiation, losses and transmission in third octaves.

Frequencies are band centres: the annex is written for bands, has one formula below the critical
frequency, one for the band that holds it and one above, and knows no mean over the band. Nominal
frequencies reproduce the worked example of annex L; exact ones move the factors by up to 1.5 %.

What annex L of 2017 settles, digit by digit, that the formulas as remembered left open:

* the air is rho0 = 1.29 kg/m3, c0 = 340 m/s (impedance 438.6), except in the upper limit, where it is 400;
* the resonant term is pi fc sigma^2 / (2 f eta) on both sides of fc. The edition of 2000 had
  (l1 + l2)^2/(l1^2 + l2^2) sqrt(fc/f) sigma^2/eta below it, 0.1 to 2 dB away;
* below fc the forced term 2 sigma_f is divided by (1 - (f/fc)^2)^2, without damping; in the band that
  holds fc, and above, there is no forced term.

References
----------
ISO 12354-1:2017, annex B (formulas from memory, confirmed by the printed numbers of annex L);
EN 12354-1:2000, annex B (from memory). Below fc the forced term near resonance is the standard's, not
physics.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more

RHO, C = 1.29, 340.0  # the air of ISO 12354-1:2017 annex L [kg/m3, m/s]
LIMIT_IMPEDANCE = 398.7  # of air, in the upper limit only: fitted to annex L, which leaves 398.6 to 398.8
HALF_THIRD = 10.0 ** (1 / 20)


@above_zero(longitudinal="m/s", thickness="m")
def critical_frequency(*, longitudinal: ArrayLike, thickness: ArrayLike) -> Array:
    """fc [Hz] = c0^2 / (1.8 cL t) of a plate with quasi-longitudinal speed [m/s], thickness [m]."""
    return C**2 / (1.8 * np.asarray(longitudinal, float) * np.asarray(thickness, float))


@above_zero(f="Hz")
def forced_radiation(f: ArrayLike, *, size: tuple[float, float]) -> Array:
    """Radiation factor sigma_f for forced waves of a plate of size (l1, l2) [m], at most 2.

    sigma_f = 0.5 [ln(k0 sqrt(l1 l2)) - Lambda]; eqs (B.2) of EN 12354-1:2000 (numbering from memory). Below
    about k0 sqrt(l1 l2) = 1 the formula leaves its range and falls below zero; it is held at the radiation of
    a small piston, k0^2 l1 l2 / (2 pi), or 0.05 if that is less.
    """
    k, (l1, l2) = 2 * np.pi * np.asarray(f, float) / C, _longer_first(size)
    shape = -0.964 - (0.5 + l2 / (np.pi * l1)) * np.log(l2 / l1)
    shape = shape + 5 * l2 / (2 * np.pi * l1) - 1 / (4 * np.pi * l1 * l2 * k**2)
    piston = np.minimum(k**2 * l1 * l2 / (2 * np.pi), 0.05)
    return np.clip(0.5 * (np.log(k * np.sqrt(l1 * l2)) - shape), piston, 2.0)


@above_zero(f="Hz", critical_hz="Hz")
def free_radiation(f: ArrayLike, *, critical_hz: ArrayLike, size: tuple[float, float]) -> Array:
    """Radiation factor sigma for free bending waves of a plate of size (l1, l2) [m], at most 2.

    ISO 12354-1 annex B, the three-formula set with the first resonance f11 (from memory; equal to
    annex L to the last digit in all 105 printed values).
    """
    f, fc, (l1, l2) = np.asarray(f, float), np.asarray(critical_hz, float), _longer_first(size)
    f11 = C**2 / (4 * fc) * (1 / l1**2 + 1 / l2**2)
    above = f > fc
    plain = 1 / np.sqrt(1 - fc / np.where(above, f, np.inf))
    corner = 4 * l1 * l2 * (f / C) ** 2
    edge = np.sqrt(2 * np.pi * f * (l1 + l2) / (16 * C))
    large = np.where(above, plain, _edge_modes(f, fc, l1, l2))
    large = np.where((f < f11) & (large > corner), corner, large)
    small = np.minimum(edge, np.where(above, plain, corner))
    sigma = np.where(f11 <= fc / 2, large, small)
    return np.minimum(np.where(f == fc, np.where(f11 <= fc / 2, 2.0, edge), sigma), 2.0)


def _longer_first(size: tuple[float, float]) -> tuple[float, float]:
    if not min(size) > 0.0:
        raise ValueError(f"size: both sides must be above 0 m (got {size})")
    return max(size), min(size)


def _edge_modes(f: Array, fc: Array, l1: float, l2: float) -> Array:
    """sigma below fc of a plate with many modes: edges (delta1) and corners (delta2)."""
    x = np.minimum(np.sqrt(f / fc), 1 - 1e-9)
    y = 1 - x**2
    root = np.sqrt(y)
    delta1 = (y * np.log((1 + x) / (1 - x)) + 2 * x) / (4 * np.pi**2 * y * root)
    delta2 = 8 * C**2 * (1 - 2 * x**2) / (fc**2 * np.pi**4 * l1 * l2 * x * root)
    return 2 * (l1 + l2) / (l1 * l2) * C / fc * delta1 + np.where(f < fc / 2, delta2, 0.0)


@above_zero(f="Hz", mass="kg/m2")
@zero_or_more(sigma="1")
def radiation_loss(f: ArrayLike, *, mass: ArrayLike, sigma: ArrayLike) -> Array:
    """Loss factor by radiation to both sides, 2 rho0 c0 sigma / (2 pi f m'); mass m' [kg/m2]."""
    return 2 * RHO * C * np.asarray(sigma) / (2 * np.pi * np.asarray(f, float) * np.asarray(mass))


@above_zero(f="Hz", mass="kg/m2")
@zero_or_more(internal="1")
def laboratory_loss(f: ArrayLike, *, mass: ArrayLike, internal: ArrayLike) -> Array:
    """Total loss factor in a laboratory, about eta_int + m'/(485 sqrt f); mass up to 800 kg/m2.

    ISO 12354-1 annex C (from memory). f [Hz], mass m' [kg/m2], internal loss factor [1].
    """
    return np.asarray(internal) + np.asarray(mass) / (485 * np.sqrt(np.asarray(f, float)))


@above_zero(f="Hz", mass="kg/m2", critical_hz="Hz", eta="1", rho_c_l="kg/(m2 s)")
def transmission(
    f: ArrayLike,
    *,
    mass: ArrayLike,
    critical_hz: ArrayLike,
    eta: ArrayLike,
    size: tuple[float, float],
    rho_c_l: ArrayLike | None = None,
    forced: bool = True,
) -> Array:
    """Diffuse transmission factor of a monolithic plate, in third octaves.

    Parameters
    ----------
    f : band centres [Hz], last axis.
    mass : m' [kg/m2]. critical_hz : fc [Hz]. eta : total loss factor, per band. size : (l1, l2) [m].
    rho_c_l : density times quasi-longitudinal speed [kg/(m2 s)] for the upper limit
        R <= 20 lg(rho cL / (4 * 400)) + 10 lg(eta / 0.02), where thickness waves take over; None: no limit.
    forced : include the forced waves below fc. Flanking paths of light plates need it off.

    Returns
    -------
    tau, at most 1, broadcast.

    Raises
    ------
    ValueError : a size not above zero.
    """
    f, fc, eta = np.asarray(f, float), np.asarray(critical_hz, float), np.asarray(eta, float)
    sigma = free_radiation(f, critical_hz=fc, size=size)
    below, above = f * HALF_THIRD < fc, f >= fc * HALF_THIRD
    free = np.pi * sigma**2 / (2 * eta) * np.where(below | above, fc / f, 1.0)
    if forced:
        near = (1 - np.minimum(f / fc, 1 / HALF_THIRD) ** 2) ** 2
        free = free + np.where(below, 2 * forced_radiation(f, size=size) / near, 0.0)
    tau = (2 * RHO * C / (2 * np.pi * f * np.asarray(mass))) ** 2 * free
    if rho_c_l is not None:
        tau = np.maximum(tau, (4 * LIMIT_IMPEDANCE / np.asarray(rho_c_l)) ** 2 * 0.02 / eta)
    return np.minimum(tau, 1.0)
