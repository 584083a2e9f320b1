"""Bridges between two leaves, too far apart in wavelengths to know of each other.

With the power R a plate radiates per squared force at a line or point, reciprocity also gives the velocity a
diffuse field makes there, so that the product R1 R2 carries the whole path:

    lines:  tau = 8/(b k^2) int dk_y R1(k_y) R2(k_y) |G|^2
    points: tau = 16 pi n / k^2  R1 R2 |G|^2

G is the force that reaches leaf 2 per free velocity of leaf 1: 1/(Y1 + Y2) for a rigid link, with the
leaves' mobilities Y. Coincidence and the leaves' damping are inside R.

Reference: L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed. (1988), chapters 4 and 6, for mobilities and
radiation.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.averages import IN_ANGLE
from isolate.physics.checks import above_zero
from isolate.physics.finite import right_angle
from isolate.physics.layers import Complex, square
from isolate.physics.leaves import AnyLeaf, critical_frequency, flat

LIMP_BENDING = 1e-6  # N m, of a plastic film
# Angles of incidence where no bending wave is as fast as sound, and where one may be: coincidence is as wide
# as the loss factor times the tangent of its angle. Waves along a line or a row of points where none is.
SMOOTH, PEAKED, SHARP, WIDE = 24, 80, 160, 0.03
LINES, WAYS = 6, 4


def quiet(f: Array, *leaves: AnyLeaf) -> NDArray[np.bool_]:
    """Which frequencies [Hz] (F,) lie an octave and more below all coincidence of leaves."""
    return np.asarray(f < min((critical_frequency(leaf).min() for leaf in leaves), default=np.inf) / 2)


def angles(f: Array, leaf: AnyLeaf) -> int:
    """How many angles find a leaf's coincidence at any of the frequencies [Hz] (F,)."""
    if quiet(f, leaf).all():
        return SMOOTH
    width = np.mean(leaf.loss) * np.sqrt(np.mean(critical_frequency(leaf)) / f.max())
    return PEAKED if width > WIDE else SHARP


class Waves(NamedTuple):
    """Of (F,) frequencies, for two leaves: angles of incidence for either, how many frequencies in a row are
    one to either, places, 0 to 1, of waves along lines or rows of bridges (n, F), and the way they go to the
    stiff one of leaves (F,) [rad]; None where these are as stiff as waves find them. All differ from one
    frequency to the next: what holds is the mean of a band."""

    angles: tuple[int, int]
    alike: tuple[int, int]
    places: Array
    azimuths: Array | None = None

    def turned(self, leaf: AnyLeaf) -> AnyLeaf:
        """A leaf as waves at each frequency meet it."""
        return leaf if self.azimuths is None else leaf.towards(self.azimuths)


def spread(number: NDArray[np.intp], ways: int) -> Array:
    """Places [1] of so many ways at frequencies of each `number` (F,), (ways, F), which lie evenly in all."""
    return np.asarray((np.arange(ways)[:, None] + number * IN_ANGLE % 1.0) / ways)


def _usual(f: Array, leaf1: AnyLeaf, leaf2: AnyLeaf) -> Waves:
    return Waves((angles(f, leaf1), angles(f, leaf2)), (1, 1), spread(np.arange(f.size), WAYS))


@above_zero(f="Hz")
def radiated_per_force(
    f: Array, *, leaf: AnyLeaf, along: Array | float = 0.0, nodes: int | None = None
) -> Array:
    """Power radiated to one side per length of line and squared force per length [W m/N2].

    Parameters
    ----------
    f : (F,) [Hz]. leaf : what the force acts on. along : (F,), wavenumber k_y of the force along the
    line [1/m], below k. nodes : angles, as many as `angles` says if None.

    Returns
    -------
    (..., F), of draws in front.

    Raises
    ------
    ValueError
        A frequency that is not above zero.

    Notes
    -----
    rho w/pi times the integral over angles across the line, 0 to 90 degrees, of 1/|Z + 2 rho w/k_z|^2, with Z
    the leaf's impedance to a wave, coincidence and losses in it: an endless leaf, air on both sides.

    References
    ----------
    Cremer and Heckl, chapter 6.
    """
    w, way2 = 2 * np.pi * f, np.square(along)
    inside2 = np.maximum((w / SPEED) ** 2 - way2, 0.0)
    theta, weights = right_angle(nodes or angles(f, leaf))
    trace = np.sqrt(inside2 * np.sin(theta) ** 2 + way2)
    z = leaf.impedance(f, trace) + 2 * DENSITY * w / np.maximum(np.sqrt(inside2) * np.cos(theta), 1e-9)
    return np.asarray((weights / square(z)).sum(-2) * DENSITY * w / np.pi)  # dk_x / k_z = d(theta)


@above_zero(f="Hz")
def line_mobility(f: Array, *, leaf: AnyLeaf) -> Complex:
    """Velocity per line force [m2/(N s)] of an endless thin plate, (..., F).

    Parameters
    ----------
    f : (F,) [Hz]. leaf : the plate; next to no stiffness is taken for a limp one.

    Raises
    ------
    ValueError
        A frequency that is not above zero.

    Notes
    -----
    1 / (2 (1 + j) m sqrt(w) (B/m)^(1/4)) (Cremer and Heckl, chapter 4); waves longer than the leaf is thick.
    """
    return 1.0 / (
        2 * (1 + 1j) * flat(leaf.mass) * np.sqrt(2 * np.pi * f) * flat(_held(leaf) / leaf.mass) ** 0.25
    )


def _held(leaf: AnyLeaf) -> Array:
    """Bending stiffness [N m] that a tie finds; next to none in a limp leaf, which then slips past it."""
    return np.maximum(leaf.bending, LIMP_BENDING)


def point_mobility(*, leaf: AnyLeaf) -> Array:
    """Velocity per point force [m/(N s)] of an endless thin plate, (..., 1).

    Parameters
    ----------
    leaf : the plate, both ways at once; next to no stiffness is taken for a limp one.

    Notes
    -----
    1 / (8 sqrt(B m)) (Cremer and Heckl, chapter 4), with B = sqrt(B_x B_y) where it is stiffer one way
    (chapter 4; from memory).
    """
    return np.asarray(1.0 / (8.0 * np.sqrt(flat(_held(leaf) * leaf.mass))))


@above_zero(f="Hz", spacing="m")
def lines(
    f: Array,
    *,
    leaf1: AnyLeaf,
    leaf2: AnyLeaf,
    spacing: float,
    compliance: Complex = 0.0,
    waves: Waves | None = None,
) -> Array:
    """Diffuse tau (..., F) of line bridges that know nothing of each other.

    Parameters
    ----------
    f : (F,) [Hz]. leaf1, leaf2 : what they tie. spacing : of the lines [m]. compliance : what gives in them
    [m2/N], per metre. waves : at these frequencies.

    Raises
    ------
    ValueError
        A frequency or spacing that is not above zero.

    Notes
    -----
    See the head of the module. Lines must lie some bending wavelengths apart.
    """
    k, both = 2 * np.pi * f / SPEED, 0.0
    waves = waves or _usual(f, leaf1, leaf2)
    one = waves.turned(leaf1)
    other = one if leaf2 is leaf1 else waves.turned(leaf2)
    if max(waves.angles) <= SMOOTH:
        ways, weights = right_angle(LINES)
    else:
        ways, weights = waves.places * np.pi / 2, np.full(len(waves.places), np.pi / 2 / len(waves.places))
    for angle, weight in zip(ways, weights, strict=True):  # k_y = k sin(angle), both signs
        radiated = partial(radiated_per_force, f, along=k * np.sin(angle))
        r1 = radiated(leaf=one, nodes=waves.angles[0])
        r2 = r1 if other is one else radiated(leaf=other, nodes=waves.angles[1])
        both = both + 2 * r1 * r2 * k * np.cos(angle) * weight
    y = line_mobility(f, leaf=one) + line_mobility(f, leaf=other) + 2j * np.pi * f * compliance
    return np.asarray(8.0 / (spacing * k**2) * both / np.abs(y) ** 2)


def through(y1: Complex, y2: Complex, link: tuple[Complex, Complex, Complex]) -> Complex:
    """Force on leaf 2 per free velocity of leaf 1 across a link, G [N s/m].

    Parameters
    ----------
    y1, y2 : mobilities of the leaves [m/(N s)]. link : (z11, z12, z22) [N s/m].

    Notes
    -----
    z12/((1 + z11 y1)(1 + z22 y2) - z12^2 y1 y2); 1/(y1 + y2) for one that is rigid and massless.
    """
    z11, z12, z22 = link
    return z12 / ((1 + z11 * y1) * (1 + z22 * y2) - z12**2 * y1 * y2)


@above_zero(f="Hz", per_area="1/m2")
def points(
    f: Array,
    *,
    leaf1: AnyLeaf,
    leaf2: AnyLeaf,
    per_area: float,
    link: Callable[[Array, Array], tuple[Complex, Complex, Complex]],
    waves: Waves | None = None,
) -> Array:
    """Diffuse tau (..., F) of point bridges that know nothing of each other.

    Parameters
    ----------
    f : (F,) [Hz]. leaf1, leaf2 : what they tie. per_area : their number [1/m2]. link : from f and the
    wavenumber k_y along a line of bridges to (z11, z12, z22) of each [N s/m]. waves : at these
    frequencies.

    Raises
    ------
    ValueError
        A frequency or number that is not above zero.

    Notes
    -----
    See the head of the module. Points must lie some bending wavelengths apart.
    """
    k = 2 * np.pi * f / SPEED
    waves = waves or _usual(f, leaf1, leaf2)

    def radiated(leaf: AnyLeaf, count: int, step: int) -> Array:
        some = f[step // 2 :: step]
        theta, weights = right_angle(count)
        wave = 2 * np.pi * some / SPEED
        z = waves.turned(leaf).impedance(some, wave * np.sin(theta)) + 2 * IMPEDANCE / np.cos(theta)
        found = (np.sin(theta) * weights / square(z)).sum(-2) * IMPEDANCE * wave**2 / (2 * np.pi)
        return np.repeat(found, step, -1)

    y1, y2 = point_mobility(leaf=leaf1), point_mobility(leaf=leaf2)
    ways = k * waves.places
    reached = sum(np.abs(through(y1, y2, link(f, way))) ** 2 for way in ways) / len(ways)
    r1 = radiated(leaf1, waves.angles[0], waves.alike[0])
    r2 = r1 if leaf2 is leaf1 else radiated(leaf2, waves.angles[1], waves.alike[1])
    return np.asarray(16 * np.pi * per_area / k**2 * r1 * r2 * reached)
