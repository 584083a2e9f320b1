"""Vents: what a duct, its lining, a baffle box, a silencer and its open ends take from sound on its way.

Attenuations [dB] add up along the way, and `vent` puts them between two open ends, which it treats as
`openings.hole` does: the ends reflect low notes back and let resonances of a bare duct through. For sound
that is in a duct already, `end_reflection` is the loss at its mouth alone.

How much air passes is in `air_flow`, what noise it makes by itself in `air_noise`.

References
----------
Wells, Acoustical plenum chambers, Noise Control 4 (1958); Reynolds and Bledsoe, Algorithms for HVAC
Acoustics, ASHRAE (1991); ASHRAE Handbook, HVAC Applications, sound and vibration control (all from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics import air, openings
from isolate.physics.checks import above_zero, zero_or_more

FOOT, INCH = 0.3048, 0.0254
MOST_DB = 40.0  # what flanking along the duct's wall leaves of any lining
REFERENCE_AREA = 10.0  # A0 of D_n,e [m2]

# Lined rectangular ducts: insertion loss [dB/ft] = B (P/A)^C t^D, P/A [1/ft], t [in], at octaves.
_OCTAVES = np.array([63.0, 125, 250, 500, 1000, 2000, 4000, 8000])
_B = np.array([0.0133, 0.0574, 0.2710, 1.0147, 1.7700, 1.3920, 1.5180, 1.5810])
_C = np.array([1.959, 1.410, 0.824, 0.500, 0.695, 0.802, 0.451, 0.219])
_D = np.array([0.917, 0.941, 1.079, 1.087, 0.0, 0.0, 0.0, 0.0])


@above_zero(f="Hz", width="m", height="m")
@zero_or_more(thickness="m", length="m")
def lined(
    f: ArrayLike, *, width: ArrayLike, height: ArrayLike, thickness: ArrayLike, length: ArrayLike
) -> Array:
    """Insertion loss [dB] of the lining of a rectangular duct, at most 40 dB.

    f [Hz], last axis; width, height of the clear section, thickness of the lining (made for 25 to 50 mm),
    length, all [m]. Octave regression of Reynolds and Bledsoe (1991), between octaves and beyond 63 Hz
    interpolated in lg f and lg IL.
    """
    w, h = np.asarray(width, float), np.asarray(height, float)
    per_foot = 2 * (w + h) / (w * h) * FOOT
    octave = (
        _B * per_foot**_C * (np.asarray(thickness, float) / INCH) ** _D * np.asarray(length, float) / FOOT
    )
    loss = _from_octaves(f, np.log(np.maximum(octave, 1e-6)))
    return np.minimum(np.exp(loss), MOST_DB)


# Lined round ducts: insertion loss [dB/ft] = A + B t + C t^2 + D d + E d^2 + F d^3, t and d [in], at octaves.
_ROUND = np.array([
    [0.2825, 0.3447, -0.05251, -0.03837, 9.132e-4, -8.294e-6],
    [0.5237, 0.2234, -0.004936, -0.02724, 3.377e-4, -2.490e-6],
    [0.3652, 0.7900, -0.1157, -0.01834, -1.211e-4, 2.681e-6],
    [0.1333, 1.8450, -0.3735, -0.01293, 8.624e-5, -4.986e-6],
    [1.9330, 0.0, 0.0, 0.06135, -3.891e-3, 3.934e-5],
    [2.7300, 0.0, 0.0, -0.07341, 4.428e-4, 1.006e-6],
    [2.8000, 0.0, 0.0, -0.1467, 3.404e-3, -2.851e-5],
    [1.5450, 0.0, 0.0, -0.05452, 1.290e-3, -1.318e-5],
])  # fmt: skip
_THICKEST, _WIDEST, _NARROWEST = 3.0, 60.0, 3.0  # in: of lining and of ducts; the narrowest tested were 6


@above_zero(f="Hz", diameter="m")
@zero_or_more(thickness="m", length="m")
def lined_round(f: ArrayLike, *, diameter: float, thickness: float, length: float) -> Array:
    """Insertion loss [dB] of the lining of a round duct, at most 40 dB.

    f [Hz]; clear diameter, thickness of the lining (25 to 75 mm tested), length, all [m]. Octave regression
    of Reynolds and Bledsoe (1991; coefficients from memory, they give a maker's table of 150 mm to 0.1 dB/m).
    Less than in a rectangular duct: no corners, and tested by itself without its ends. Below 25 mm it falls
    with the thickness.
    """
    d = np.clip(diameter / INCH, _NARROWEST, _WIDEST)
    t = np.clip(thickness / INCH, 1.0, _THICKEST)
    rate = _ROUND @ np.array([1.0, t, t**2, d, d**2, d**3]) * min(thickness / INCH, 1.0)
    octave = np.maximum(rate, 1e-6) * length / FOOT
    loss = _from_octaves(f, np.log(octave))
    return np.minimum(np.exp(loss), MOST_DB)


@above_zero(f="Hz", area="m2")
def end_reflection(f: ArrayLike, *, area: ArrayLike) -> Array:
    """Loss [dB] at the open end of a duct of clear `area` [m2] in a wall, for sound inside it.

    10 lg(1 + (0.7 c/(pi f D))^2), D = sqrt(4A/pi).
    """
    diameter = np.sqrt(4 * np.asarray(area, float) / np.pi)
    return 10 * np.log10(1 + (0.7 * air.SPEED / (np.pi * np.asarray(f, float) * diameter)) ** 2)


@above_zero(f="Hz", area="m2", distance="m", size="m")
@zero_or_more(absorption="1")
def baffle_box(
    f: ArrayLike,
    *,
    area: ArrayLike,
    size: tuple[float, float, float],
    absorption: ArrayLike,
    distance: ArrayLike,
    angle: ArrayLike = 0.0,
    chambers: int = 1,
) -> Array:
    """Attenuation [dB] of a lined box, or of several alike in series, at most 40 dB.

    Parameters
    ----------
    area : clear area of way in and way out [m2]. size : inside dimensions of one box [m].
    absorption : of the lining at `f`.
    distance, angle : from the middle of the way in to that of the way out [m], and between that line and
        the axis of the way out [rad]; an offset way keeps the straight part small.

    Notes
    -----
    Wells (1958): -10 lg{S [cos(angle)/(2 pi d^2) + (1 - alpha)/(A alpha)]}, A the inside surface, from
    the frequency where half a wavelength fits across the way in. Where not even the box is half a wavelength
    long, no more than its change of section gives, 10 lg(1 + (m - 1/m)^2/4 sin^2(kL)), m the ratio of
    the sections, kL at most pi/2; in between over lg f from one to the other (our own reading).
    """
    f, s = np.asarray(f, float), np.asarray(area, float)
    long, wide, high = size
    surface = 2 * (long * wide + wide * high + high * long)
    alpha = np.clip(np.asarray(absorption, float), 1e-3, 1.0)
    straight = np.cos(angle) / (2 * np.pi * np.asarray(distance, float) ** 2)
    wells = -10 * np.log10(s * (straight + (1 - alpha) / (surface * alpha)))
    ratio = np.maximum(wide * high / s, 1.0)
    turn = np.minimum(2 * np.pi * f * long / air.SPEED, np.pi / 2)
    section = 10 * np.log10(1 + (ratio - 1 / ratio) ** 2 / 4 * np.sin(turn) ** 2)
    whole, across = air.SPEED / (2 * max(size)), air.SPEED / (2 * np.sqrt(s))
    share = np.clip(np.log(f / whole) / np.log(np.maximum(across / whole, 1.001)), 0.0, 1.0)
    low = np.minimum(wells, section)
    one = np.maximum(low + share * (wells - low), 0.0)
    return np.minimum(chambers * one, MOST_DB)


def _from_octaves(f: ArrayLike, values: Array) -> Array:
    """Of values (..., 8) at the octaves those at `f` [Hz]: linear in lg f, below the lowest with the slope of
    the first pair, above the highest as there."""
    at, bands = np.log(np.asarray(f, float)), np.log(_OCTAVES)
    left = np.clip(np.searchsorted(bands, at) - 1, 0, bands.size - 2)
    share = np.minimum((at - bands[left]) / (bands[left + 1] - bands[left]), 1.0)
    return values[..., left] * (1 - share) + values[..., left + 1] * share


@above_zero(f="Hz", area="m2")
@zero_or_more(length="m")
def vent(f: ArrayLike, *, area: ArrayLike, length: ArrayLike, attenuation_db: ArrayLike = 0.0) -> Array:
    """Diffuse-field transmission of a duct through a wall, relative to its clear area.

    area [m2], any compact section (taken as round); length [m]; attenuation_db: the sum of lining,
    box and silencer at `f`. Both open ends are in it.
    """
    radius = np.sqrt(np.asarray(area, float) / np.pi)
    return openings.hole(f, radius=radius, depth=length, attenuation_db=attenuation_db)


@above_zero(area="m2")
@zero_or_more(tau="1")
def element_difference(tau: ArrayLike, *, area: ArrayLike) -> Array:
    """Element-normalised level difference D_n,e = -10 lg(tau S / A0) [dB], A0 = 10 m2 (ISO 10140-2)."""
    with np.errstate(divide="ignore"):
        return -10 * np.log10(np.asarray(tau, float) * np.asarray(area) / REFERENCE_AREA)


@zero_or_more(count="1")
def transmission_area(dne_db: ArrayLike, *, count: ArrayLike = 1) -> Array:
    """tau S [m2] of `count` elements of D_n,e [dB], to be added to that of the wall."""
    return np.asarray(count) * REFERENCE_AREA * 10 ** (-np.asarray(dne_db, float) / 10)
