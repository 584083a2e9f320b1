"""The noise that air makes on its way: flow in ducts, bends and grilles, the fan; and the pressure it takes.

Octaves 63 Hz to 8 kHz, sound power levels [dB] unless said. Each source goes by the velocity v [m/s]: 50 to
60 lg v, so that a duct half as wide, with four times the velocity, is some 30 dB louder.

References
----------
VDI 2081 part 1:2001, flow in straight ducts (from memory); ASHRAE Handbook, HVAC Applications (1991), grilles
and fans (from memory), bends as in a laboratory ventilation maker's manual (read); fan spectra of small
in-line fans: makers' sheets (from memory); VDI 2571, from power to level in a room (read).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array, energy_sum, index_of
from isolate.physics import air, air_flow
from isolate.physics.checks import above_zero, zero_or_more
from isolate.standards.weighting import A_WEIGHTING

OCTAVES: Array = np.array([63.0, 125, 250, 500, 1000, 2000, 4000, 8000])
OCTAVES.flags.writeable = False
FOOT = 0.3048

# A small in-line fan of 100 to 150 mm into its duct at 20 L/s and 25 Pa; 12 to 15 dB more at full speed
# (makers' sheets, from memory). Power of fans goes with Q p^2 (ASHRAE: 10 lg Q + 20 lg p).
SMALL_FAN: Array = np.array([50.0, 53, 52, 49, 46, 41, 33, 25])
FAN_FLOW, FAN_PRESSURE = 0.020, 25.0

# Losses in dynamic pressures rho v^2/2 (handbooks, from memory).
LOSSES: Mapping[str, float] = {"cowl": 2.5, "grille": 2.5, "box": 1.5, "bend": 0.4, "sharp bend": 1.2}
FILTER = 15.0  # Pa at 0.3 m/s: 10 to 20


@above_zero(velocity="m/s", area="m2")
def straight(*, velocity: ArrayLike, area: ArrayLike) -> Array:
    """Flow in a straight duct, (..., 8): 7 + 50 lg v + 10 lg S, octaves -2 - 26 lg(1.14 + 0.02 f/v).

    velocity [m/s], area [m2] (...).
    """
    v = np.asarray(velocity, float)[..., None]
    octave = -2 - 26 * np.log10(1.14 + 0.02 * OCTAVES / v)
    return 7 + 50 * np.log10(v) + 10 * np.log10(np.asarray(area, float))[..., None] + octave


@above_zero(velocity="m/s", area="m2", resistance="1")
def grille(*, velocity: ArrayLike, area: ArrayLike, resistance: ArrayLike) -> Array:
    """An open grille, (..., 8): 10 + 10 lg S + 30 lg xi + 60 lg v, spread about the octave of 160 v Hz.

    velocity [m/s] at the neck, area [m2]; resistance xi in dynamic pressures. Octaves -5.82 - 0.15 n -
    1.13 n^2, n octaves below the one that holds the peak.
    """
    v = np.asarray(velocity, float)[..., None]
    total = 10 + 10 * np.log10(np.asarray(area, float))[..., None] + 60 * np.log10(v)
    total = total + 30 * np.log10(np.asarray(resistance, float))[..., None]
    below = np.round(np.log2(160 * v / 1000)) - np.round(np.log2(OCTAVES / 1000))
    return np.asarray(total - 5.82 - 0.15 * below - 1.13 * below**2)


@above_zero(velocity="m/s", diameter="m")
def bend(*, velocity: ArrayLike, diameter: ArrayLike) -> Array:
    """A bend without vanes of a round duct, (..., 8): K + 10 lg f + 50 lg U + 10 lg S + 10 lg D - 107, in
    feet and feet a minute; K = -21, -28, -35, -44 at Strouhal numbers 60 f D/U of 2.5, 4.9, 9.8, 19.6.

    velocity [m/s], diameter [m] (...).
    """
    u = np.asarray(velocity, float)[..., None] / FOOT * 60
    d = np.asarray(diameter, float)[..., None] / FOOT
    strouhal = np.log2(60 * OCTAVES * d / u)
    known, k = np.log2([2.5, 4.9, 9.8, 19.6]), np.array([-21.0, -28, -35, -44])
    slope = np.maximum(strouhal - known[-1], 0) * (k[-1] - k[-2]) / (known[-1] - known[-2])
    shape = np.interp(strouhal, known, k) + slope
    return np.asarray(
        shape + 10 * np.log10(OCTAVES) + 50 * np.log10(u) + 10 * np.log10(np.pi * d**2 / 4 * d) - 107
    )


@above_zero(flow="m3/s", pressure="Pa")
def fan(*, flow: ArrayLike, pressure: ArrayLike) -> Array:
    """A small in-line fan into its duct, (..., 8), slowed to `flow` [m3/s] against `pressure` [Pa]."""
    more = 10 * np.log10(np.asarray(flow, float) / FAN_FLOW)
    more = more + 20 * np.log10(np.asarray(pressure, float) / FAN_PRESSURE)
    return SMALL_FAN + more[..., None]


@zero_or_more(velocity="m/s")
def dynamic_pressure(velocity: ArrayLike) -> Array:
    """rho v^2/2 [Pa]."""
    return air.DENSITY * np.asarray(velocity, float) ** 2 / 2


@above_zero(diameter="m")
@zero_or_more(length="m")
def friction(*, length: ArrayLike, diameter: ArrayLike) -> Array:
    """Loss along a lined duct in dynamic pressures, L/D times the friction factor.

    length [m], diameter [m].
    """
    return air_flow.FRICTION * np.asarray(length, float) / np.asarray(diameter)


@above_zero(absorption_area="m2")
def in_room(power_db: ArrayLike, *, absorption_area: ArrayLike) -> Array:
    """Level [dB] of a sound power in the room's reverberant field, L_w + 10 lg(4/A); A [m2]."""
    return np.asarray(power_db, float) + 10 * np.log10(4 / np.asarray(absorption_area))


def dba(octave_db: ArrayLike) -> Array:
    """A-weighted level [dB] of octaves (..., 8)."""
    return energy_sum(np.asarray(octave_db, float) + A_WEIGHTING[index_of(63) :: 3])
