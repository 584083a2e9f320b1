"""Cavities between leaves as layers of fluid: gas, filling, and what an empty one loses at its edges."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from isolate.bands import Array
from isolate.physics import calibrated
from isolate.physics.air import GASES
from isolate.physics.checks import above_zero, up_to_endless, within_one, zero_or_more
from isolate.physics.knots import smooth
from isolate.physics.layers import Complex, Fluid
from isolate.physics.porous import equivalent_fluid

LINING_HALF = 315.0  # Hz
DIFFUSE_FROM = 125.0  # Hz, near the second mode of a bay 2.4 m high
HARD_ABSORPTION = (
    0.04  # of boards and studs from 1 kHz up (plasterboard on a frame: Vorlaender, Auralization)
)


@above_zero(f="Hz", perimeter="m", area="m2", speed="m/s")
@zero_or_more(absorption="1")
def edge_loss(f: Array, *, absorption: Complex, perimeter: float, area: float, speed: float) -> Complex:
    """Loss factor of an empty cavity from absorption at its edges.

    Parameters
    ----------
    f : (F,) [Hz]. absorption : coefficient of the edge. perimeter : [m]. area : [m2]. speed : of sound [m/s].

    Raises
    ------
    ValueError
        A frequency or size that is not above zero.

    Notes
    -----
    alpha c U / (pi w S): the power a two-dimensional diffuse field brings to its edge is c U/(pi S) of the
    stored energy per second. Thin cavities, with modes enough to be diffuse in their plane.
    """
    return absorption * speed * perimeter / (np.pi * 2 * np.pi * f * area)


@above_zero(f="Hz")
def hard_absorption(f: Array) -> Array:
    """Absorption coefficient (F,) of hard faces and studs.

    Parameters
    ----------
    f : (F,) [Hz].

    Raises
    ------
    ValueError
        A frequency that is not above 0.

    Notes
    -----
    `HARD_ABSORPTION` min(f/`DIFFUSE_FROM`, 1): less and less where a cavity has no diffuse field that could
    bring sound to them. Judgement below.
    """
    return HARD_ABSORPTION * np.minimum(f / DIFFUSE_FROM, 1.0)


@above_zero(f="Hz", speed="m/s")
@zero_or_more(absorption="1")
@up_to_endless(depth="m")
def face_loss(f: Array, *, absorption: Complex, depth: Complex, speed: float) -> Complex:
    """Loss factor of a cavity from absorption at its two faces.

    Parameters
    ----------
    f : (F,) [Hz]. absorption : coefficient of a face. depth : [m], endless where there is one face at most.
    speed : of sound [m/s].

    Raises
    ------
    ValueError
        A frequency or speed that is not above zero.

    Notes
    -----
    alpha c/(2 w d): a diffuse field brings c/(4 V) of its energy per second to each square metre, of which
    the faces have 2 V/d.
    """
    return absorption * speed / (2 * 2 * np.pi * f * depth)


@above_zero(f="Hz")
def lining_absorption(f: Array, *, bare: Array | float) -> Array:
    """Absorption coefficient (F,) of a lined edge: `bare` in the bass, the calibrated one at high frequency.

    Parameters
    ----------
    f : (F,) [Hz]. bare : coefficient without the lining, 0 to 1.

    Raises
    ------
    ValueError
        A frequency that is not above 0, a coefficient not in 0 to 1.

    Notes
    -----
    bare + (a - bare) x/(1 + x), x = (f/`LINING_HALF`)^2: halfway where 25 mm of wool on a wall, what fits
    into a reveal, takes in half of what it ends at (`absorption`).
    """
    within_one("bare", bare)
    x = (f / LINING_HALF) ** 2
    return bare + (calibrated.value("lined_edge_absorption") - bare) * x / (1 + x)


@above_zero(f="Hz")
@up_to_endless(depth="m")
def wall_loss(f: Array, *, depth: Complex, gas: str) -> Complex:
    """Loss factor of a shallow cavity from drag and heat at its faces.

    Parameters
    ----------
    f : (F,) [Hz]. depth : [m]. gas : its name.

    Raises
    ------
    ValueError
        A frequency that is not above zero.

    Notes
    -----
    (d_v + (gamma - 1) d_t)/depth, d_v = sqrt(2 nu/w) and d_t = d_v/sqrt(Pr) the boundary layers [m]:
    Kirchhoff's result for a slit much deeper than they are.

    References
    ----------
    A. D. Pierce, Acoustics (1981), section 10.5 (from memory).
    """
    g = GASES[gas]
    drag = np.sqrt(2 * g.viscosity / g.density / (2 * np.pi * f))
    return drag * (1 + (g.heat_ratio - 1) / g.prandtl**0.5) / depth


def layers(
    f: Array,
    trace: Array,
    *,
    depth: Complex,
    gas: str,
    loss: Complex,
    lateral: float = 0.0,
    fill_depth: Complex = 0.0,
    flow_resistivity: Complex = None,
    porosity: Complex = 1.0,
    frame_density: Complex = None,
) -> Sequence[Fluid]:
    """Layers of one cavity, noisy side first; the filling lies on the listener's side.

    Parameters
    ----------
    f : (F,) [Hz]. trace : (..., A, F) [1/m]. depth, fill_depth : [m]. gas : its name. loss : factor of the
    gas part. lateral : wavenumber [1/m] of the first mode across an empty cavity, below which the pressure is
    the same all over. flow_resistivity : [Pa s/m2], None where nothing fills it. porosity : [1].
    frame_density : [kg/m3], None: held.

    Notes
    -----
    Gas k = w/c (1 - j loss/2); filling by `porous.equivalent_fluid`, with its limits.
    """
    out = []
    if flow_resistivity is None or np.any(depth - fill_depth > 1e-6):
        g = GASES[gas]
        k = 2 * np.pi * f / g.speed * (1 - 0.5j * loss)
        across = np.sqrt(np.maximum(trace**2 - lateral**2, 0.0))
        out.append(Fluid(f, across, g.density, k, depth - fill_depth))
    if flow_resistivity is not None:
        porous = partial(
            equivalent_fluid,
            flow_resistivity=flow_resistivity,
            porosity=porosity,
            frame_density=frame_density,
        )
        density, wavenumber = smooth(porous, f)
        out.append(Fluid(f, trace, density, wavenumber, fill_depth))
    return out
