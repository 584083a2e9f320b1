"""What feet, pedals and things put down do to a floor, and what it radiates.

A source is a force if nothing yields (its blocked force) and a mobility Y_s; a mount or covering between it
and the floor has Y_i, the floor Y_f. The floor then feels the force times Y_s/(Y_s + Y_i + Y_f): a hammer on
concrete, a hammer on carpet and a drummer on a riser are one formula. In the floor, free bending waves carry
what the force does, F^2 Re Y, until losses have taken it; they and the near field of the spot radiate.

By reciprocity the same floor stops sound in the air by R with L_n + R = 37.7 + 30 lg f - 10 lg sigma (third
octaves, sigma the radiation factor of the floor's upper face).

References
----------
ISO 12354-2:2017, annex B (detailed model of massive floors, from memory); T. E. Vigran, Building Acoustics
(2008), ch. 6 (eqs 6.56, 6.62 read); L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed. (1988); I. L. Ver, J.
Acoust. Soc. Am. 50 (1971) 1043 (both from memory): L_n and R of one floor.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics import annex_b, masonry
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.checks import above_zero, up_to_endless, zero_or_more
from isolate.physics.layers import Complex
from isolate.physics.leaves import AnyLeaf, critical_frequency, flat
from isolate.physics.masonry import Heavy

HAMMER_MASS, HAMMER_FALL, BLOWS = 0.5, 0.04, 10.0  # kg, m, 1/s of a tapping machine (ISO 10140-5, read)
GRAVITY = 9.81
THIRD = 10 ** (1 / 20) - 10 ** (-1 / 20)  # width of a third octave over its middle
POWER_0 = 1e-12  # W


@above_zero(f="Hz")
def tapping_force(f: ArrayLike) -> Array:
    """Mean square force [N2] of a tapping machine on a floor that does not yield, in third octaves.

    2 n (m v)^2 df with v = sqrt(2 g h): 0.91 f. Hammers that bounce give up to 6 dB more, and none stick to
    a floor; the standard's constant of 155 dB for concrete is this value without any bounce.
    """
    momentum = HAMMER_MASS * np.sqrt(2 * GRAVITY * HAMMER_FALL)
    return np.asarray(2 * BLOWS * momentum**2 * THIRD * np.asarray(f, float))


@above_zero(f="Hz", mass="kg")
def mass_mobility(f: ArrayLike, *, mass: ArrayLike) -> Complex:
    """1/(j w m) [m/(N s)] of a body of `mass` [kg]."""
    return 1.0 / (2j * np.pi * np.asarray(f, float) * np.asarray(mass))


@above_zero(f="Hz")
@zero_or_more(loss="1")
@up_to_endless(stiffness="N/m")
def spring_mobility(f: ArrayLike, *, stiffness: ArrayLike, loss: ArrayLike = 0.0) -> Complex:
    """j w/k [m/(N s)] of a spring of `stiffness` [N/m], complex with its loss; 0 where it is endless."""
    k = np.asarray(stiffness, float) * (1 + 1j * np.asarray(loss))
    return 2j * np.pi * np.asarray(f, float) / k


@above_zero(mass="kg", resonance_hz="Hz")
def stiffness_for(*, mass: ArrayLike, resonance_hz: ArrayLike) -> Array:
    """Stiffness [N/m] on which `mass` [kg] has this natural frequency [Hz], (2 pi f0)^2 m."""
    return (2 * np.pi * np.asarray(resonance_hz, float)) ** 2 * np.asarray(mass)


def passed(source: Complex, mount: Complex | float, floor: Complex | float) -> Array:
    """Squared force at the floor over the blocked one, |Y_s/(Y_s + Y_i + Y_f)|^2; mobilities [m/(N s)]."""
    return np.abs(source / (source + mount + floor)) ** 2


@above_zero(f="Hz", mass="kg")
@up_to_endless(stiffness="N/m")
def softened(f: ArrayLike, *, mass: ArrayLike, stiffness: ArrayLike) -> Array:
    """Squared force of a blow of `mass` [kg] on something of this dynamic `stiffness` [N/m] over that of a
    hard one: 1/(1 + (f/fr)^4) with fr = sqrt(k/m)/(2 pi).

    The envelope of a half sine that lasts 1/(2 fr). Above fr it is what ISO 12354-2 has for soft coverings
    under the tapping machine, 40 lg(f/fr).
    """
    soft = np.sqrt(np.asarray(stiffness, float) / np.asarray(mass)) / (2 * np.pi)
    return np.asarray(1 / (1 + (np.asarray(f, float) / soft) ** 4))


def point_mobility(leaf: AnyLeaf) -> float:
    """Mobility [m/(N s)] of an endless plate at a point, 1/(8 sqrt(B m)); its mean if waves differ by way."""
    return float(np.mean(1.0 / (8.0 * np.sqrt(flat(leaf.bending) * flat(leaf.mass)))))


@above_zero(f="Hz", loss="1", size="m")
def radiated(f: Array, leaf: AnyLeaf, *, size: tuple[float, float], loss: ArrayLike | None = None) -> Array:
    """Power [W/N2] radiated to one side per mean square force at a point of a bare leaf, (F,).

    size [m] that its waves have to themselves: all of a slab, the strip of a deck between joists. loss: total
    loss factor; None: the leaf's own with radiation, a heavy one's edges too.

    Near field rho/(2 pi c m^2); free waves rho c sigma Re Y/(w eta m) (Vigran 6.62, 6.56).
    """
    mass, fc = float(np.mean(flat(leaf.mass))), float(np.mean(critical_frequency(leaf)))
    heavy = isinstance(leaf, Heavy)
    find = masonry.radiation if heavy else annex_b.free_radiation
    sigma = find(f, critical_hz=np.asarray(fc), size=size)
    if loss is not None:
        eta = np.asarray(loss, float)
    elif isinstance(leaf, Heavy):
        eta = np.asarray(np.squeeze(leaf.total_loss(f, sigma)))
    else:
        eta = float(np.mean(flat(leaf.loss))) + 2 * IMPEDANCE * sigma / (2 * np.pi * f * mass)
    near = DENSITY / (2 * np.pi * SPEED * mass**2)
    return np.asarray(near + IMPEDANCE * sigma * point_mobility(leaf) / (2 * np.pi * f * eta * mass))


@above_zero(absorption_area="m2")
@zero_or_more(power="W")
def level(power: ArrayLike, *, absorption_area: ArrayLike = 10.0) -> Array:
    """Level [dB] of a power [W] in a room of this absorption area [m2], L_w + 10 lg(4/A); L_n for 10 m2."""
    return 10 * np.log10(np.asarray(power, float) / POWER_0 * 4 / np.asarray(absorption_area))


@above_zero(floor_mass="kg/m2", flank_mass="kg/m2")
def flanking_term(*, floor_mass: ArrayLike, flank_mass: ArrayLike, ceiling: bool = False) -> Array:
    """K [dB]: what the walls below add to a massive floor's single number, at least 0 (from memory).

    0.6 + 5.5 lg(m'floor/m'flank), under a hung ceiling -5.3 + 10.2 lg(...); flank_mass the mean of the heavy
    walls, linings resonant below 125 Hz left out.
    """
    ratio = np.log10(np.asarray(floor_mass, float) / np.asarray(flank_mass))
    return np.maximum(-5.3 + 10.2 * ratio if ceiling else 0.6 + 5.5 * ratio, 0.0)


@above_zero(floor_area="m2", flank_area="m2")
def flanking_path(
    floor_level_db: ArrayLike,
    *,
    r_floor_db: ArrayLike,
    r_flank_db: ArrayLike,
    level_difference_db: ArrayLike,
    floor_area: float,
    flank_area: float,
) -> Array:
    """L_n,ij [dB] radiated by a wall that the floor sets in motion, ISO 12354-2, detailed (from memory).

    L_n,ii + (R_i - R_j)/2 - D_v,ij - 5 lg(S_i/S_j); linings come off either level.
    """
    return (
        np.asarray(floor_level_db, float)
        + (np.asarray(r_floor_db) - np.asarray(r_flank_db)) / 2
        - np.asarray(level_difference_db)
        - 5 * np.log10(floor_area / flank_area)
    )


POSITIONS = {  # K_T [dB] taken off for rooms that are not straight below (simplified method, read)
    "below": 0.0,
    "beside": 5.0,
    "beside, one room between": 10.0,
    "above": 10.0,
    "across a house joint": 15.0,
}
