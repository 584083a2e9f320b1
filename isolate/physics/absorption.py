"""Absorbers: what a layered lining takes out of a diffuse sound field, computed from its layers.

Layers are listed from the room to the wall, which is rigid. Admittances are normalised by that of air
(1 / `air.IMPEDANCE`); time convention e^{+jwt} as in `porous`. Angle before frequency: (angles, f).

Finite pieces absorb more than their area: sound bends into their rims. A piece of stated size is
computed with its own radiation impedance, which is why measured coefficients exceed 1; the
coefficient of a surface without end never does.

References
----------
S.-I. Thomasson, Acustica 44 (1980) 265: absorption as a function of the area.
T. J. Cox, P. D'Antonio, Acoustic Absorbers and Diffusers, chapter 2.6: impedance through layers.
R. V. Waterhouse, JASA 27 (1955) 247: pressure of a diffuse field near the edges of a room.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from isolate import bands
from isolate.bands import Array
from isolate.physics import air, porous
from isolate.physics.checks import above_zero
from isolate.physics.finite import right_angle
from isolate.physics.finite_sample import radiation_impedance
from isolate.physics.kept import stored
from isolate.physics.porous import Complex

PER_BAND = 5  # frequencies inside a third octave: a membrane is within 0.005 of many more
ANGLES = 48  # Gauss-Legendre points from 0 to 90 degrees: within 0.003 of three times as many


@dataclass(frozen=True)
class Wool:
    """A porous layer: `thickness` [m], `flow_resistivity` [Pa s/m2], `porosity`; `frame_density` [kg/m3]
    when the frame may move (hung, lying loose), None when it is held."""

    thickness: float
    flow_resistivity: float
    porosity: float = 0.98
    frame_density: float | None = None


@dataclass(frozen=True)
class AirGap:
    """Air of `thickness` [m]."""

    thickness: float


@dataclass(frozen=True)
class Skin:
    """A limp skin of `surface_mass` [kg/m2]; `flow_resistance` [Pa s/m], infinite when airtight. Air that
    flows through and the skin that moves are side by side: 1/z = 1/r + 1/(jwm)."""

    surface_mass: float
    flow_resistance: float = np.inf


Layer = Wool | AirGap | Skin
Stack = tuple[Layer, ...]


@dataclass(frozen=True)
class Absorber:
    """Something that absorbs: one stack of layers, or several side by side finer than a wavelength
    (a board across a corner, a folded curtain), whose admittances average.

    size : (width, height) [m] of one piece, None for a surface without end.
    corner : width [m] of a board across an edge of the room, else None.
    """

    stacks: tuple[Stack, ...]
    size: tuple[float, float] | None = None
    corner: float | None = None


@above_zero(size="m")
def on_wall(*layers: Layer, size: tuple[float, float] | None = None) -> Absorber:
    """Layers flat against a rigid wall.

    Parameters
    ----------
    layers : room side first. size : (width, height) [m] of a piece, None: no end.

    Raises
    ------
    ValueError
        A size that is not above 0.
    """
    return Absorber((layers,), size)


@above_zero(size="m")
def across_corner(*layers: Layer, size: tuple[float, float]) -> Absorber:
    """A board set at 45 degrees across an edge of the room.

    Parameters
    ----------
    layers : room side first. size : (width, height) [m] of a piece; the width spans the edge.

    Raises
    ------
    ValueError
        A size that is not above 0.

    Notes
    -----
    The air behind grows evenly from nothing at both rims to half the width in the middle; admittances of
    twelve depths average. Held to waves in two dimensions by tests/corner_waves.py; below 100 Hz nobody has
    measured it.
    """
    depths = (np.arange(12) + 0.5) / 12 * size[0] / 2
    return Absorber(tuple((*layers, AirGap(float(depth))) for depth in depths), size, corner=size[0])


def folded(*layers: Layer, gap: tuple[float, float], size: tuple[float, float] | None = None) -> Absorber:
    """A hanging in folds.

    Parameters
    ----------
    layers : room side first. gap : nearest and farthest distance to the wall [m], between which it varies
    evenly. size : (width, height) [m] of a piece, None: no end.
    """
    return Absorber(tuple((*layers, AirGap(float(g))) for g in np.linspace(*gap, 9)), size)


# --- admittance at the surface ---------------------------------------------------------------------------


def _fluid(layer: Wool | AirGap, f: Array) -> tuple[Complex, Complex]:
    if isinstance(layer, AirGap):
        return np.full(f.shape, air.DENSITY, complex), np.asarray(2 * np.pi * f / air.SPEED, complex)
    return porous.equivalent_fluid(
        f,
        flow_resistivity=layer.flow_resistivity,
        porosity=layer.porosity,
        frame_density=layer.frame_density,
    )


def _through(layer: Layer, behind: Complex, f: Array, along: Array) -> Complex:
    """Admittance in front of a layer from that `behind` it; `along` is k0 sin(angle) [rad/m]."""
    w = 2 * np.pi * f
    if isinstance(layer, Skin):
        mass = 1j * w * layer.surface_mass
        series = mass / (1 + mass / layer.flow_resistance) / air.IMPEDANCE
        return np.asarray(behind / (1 + behind * series))
    density, k = _fluid(layer, f)
    across = np.sqrt(k**2 - along**2)
    across = np.where(across.imag > 0, -across, across)
    z = w * density / across / air.IMPEDANCE
    echo = (1 - behind * z) / (1 + behind * z) * np.exp(-2j * across * layer.thickness)
    return np.asarray((1 - echo) / (1 + echo) / z)


def surface_admittance(f: ArrayLike, *, stack: Stack, angle: ArrayLike = 0.0) -> Complex:
    """Normalised admittance of a stack on a rigid wall, seen from the room.

    Parameters
    ----------
    f : (n,) [Hz]; angle : (angles,) of incidence [rad], or a scalar; stack : layers, room side first.

    Returns
    -------
    complex, (angles, n), or (n,) for one angle. Waves run along inside the layers too (extended
    reaction). Nothing on the wall is 0.
    """
    freq, sine = np.asarray(f, float), np.sin(np.asarray(angle, float))
    along = 2 * np.pi * freq / air.SPEED * (sine[..., None] if sine.ndim else sine)
    admittance: Complex = np.zeros(along.shape, complex)
    for layer in reversed(stack):
        admittance = _through(layer, admittance, freq, along)
    return admittance


# --- diffuse field ---------------------------------------------------------------------------------------


def incidence(count: int = ANGLES) -> tuple[Array, Array]:
    """Gauss-Legendre angles [rad] from 0 to 90 degrees and their weights, (count,) each."""
    theta, weight = right_angle(count)
    return theta[:, 0], weight[:, 0]


@lru_cache(maxsize=32)
def _radiation(size: tuple[float, float], f: tuple[float, ...], angles: int) -> Complex:
    return radiation_impedance(np.array(f), angle=incidence(angles)[0], width=size[0], height=size[1])


@above_zero(f="Hz", width="m")
def edge_gain(f: ArrayLike, *, width: float) -> Array:
    """How much stronger (energy) a diffuse field is on a board of `width` [m] across an edge of the room
    than on the open wall: up to 2 in the bass, 1 in the treble; same shape as `f`.

    Mean square pressure on a wall at a distance y from an edge is 1 + j0(2ky) times that far from it
    (Waterhouse 1955, eq. 17), here averaged over the part of each wall the board covers.
    """
    y = (np.arange(16) + 0.5) / 16 * width / np.sqrt(2)
    kr = 2 * np.pi * np.asarray(f, float)[..., None] / air.SPEED * y
    return np.asarray(1 + np.sinc(2 * kr / np.pi).mean(-1))  # sin(x)/x


def alpha_of_admittance(
    admittance: ArrayLike, f: ArrayLike, *, size: tuple[float, float] | None = None, gain: ArrayLike = 1.0
) -> Array:
    """Diffuse-field absorption coefficient of a surface of known admittance; (n,).

    Parameters
    ----------
    admittance : normalised, (angles, n) at the Gauss-Legendre angles of `incidence(angles)`.
    f : (n,) [Hz]; size : (width, height) [m] of the piece or None for an endless surface.
    gain : (n,), what the place adds to the incoming energy (`edge_gain`); it radiates more by as much.

    Notes
    -----
    8 integral of Re(y) sin(angle) / |1 + y Zr|^2 over 0 to 90 degrees (Thomasson 1980, eq. 38), with Zr the
    radiation impedance of the piece, or 1/cos(angle) without end, where it is the usual Paris mean.
    """
    y, strength = np.asarray(admittance, complex), np.asarray(gain, float)
    theta, weight = incidence(y.shape[0])
    if size is None:
        radiation = np.asarray(1 / np.cos(theta)[:, None], complex)
    else:
        radiation = _radiation(size, tuple(np.asarray(f, float).tolist()), theta.size)
    loaded = np.abs(1 + y * (strength * radiation.real + 1j * radiation.imag)) ** 2
    return np.asarray((8 * weight * np.sin(theta)) @ (strength * y.real / loaded))


def diffuse_alpha(f: ArrayLike, *, absorber: Absorber, angles: int = ANGLES) -> Array:
    """Absorption coefficient in a diffuse field, per area of the piece; shape of `f`.

    Parameters
    ----------
    f : [Hz], (n,) or scalar. absorber : its stacks, size and place. angles : points of Gauss's rule.

    Notes
    -----
    As in `alpha_of_admittance`, of the mean admittance of the stacks; references at the head of the module.
    """
    freq = np.atleast_1d(np.asarray(f, float))
    theta, _ = incidence(angles)
    y = np.mean([surface_admittance(freq, stack=s, angle=theta) for s in absorber.stacks], axis=0)
    gain = 1.0 if absorber.corner is None else edge_gain(freq, width=absorber.corner)
    return alpha_of_admittance(y, freq, size=absorber.size, gain=gain).reshape(np.shape(f))


@stored(np.ndarray)
def third_octaves(absorber: Absorber, *, per_band: int = PER_BAND) -> Array:
    """Diffuse-field absorption coefficients of the 27 third octaves.

    Parameters
    ----------
    absorber : its stacks, size and place. per_band : frequencies [Hz] inside a band, whose coefficients
    average.
    """
    return bands.band_mean(diffuse_alpha(bands.points(per_band), absorber=absorber), per_band)


def octaves(alpha: ArrayLike) -> Array:
    """Octave coefficients (..., 9) from third octaves (..., 27): the mean of three, ISO 11654 clause 4.1.

    Coefficients [1].
    """
    values = np.asarray(alpha, float)
    return np.asarray(values.reshape(*values.shape[:-1], bands.OCTAVES.size, 3).mean(-1))


def half_from(alpha: ArrayLike) -> float | None:
    """Lowest band frequency [Hz] from which third-octave coefficients (27,) stay at or above one half.

    None when they never do. Dips above a first rise count: it is the frequency the ear can rely on.
    """
    below = np.flatnonzero(np.asarray(alpha, float) < 0.5)
    first = 0 if below.size == 0 else int(below[-1]) + 1
    return None if first >= bands.N_BANDS else float(bands.THIRD_OCTAVES[first])
