"""Heavy leaves: losses to what they stand in, free bending waves, and the ways round through the structure.

A wall of brick or a slab of concrete is built into others. It loses energy to them, which damps it; and
they carry sound past it, which no laboratory with heavy walls and no house is without. Both are told by
ISO 12354-1's model of plates and rigid junctions, with the neighbours taken as plates of one typical mass.

References
----------
ISO 12354-1:2017, annexes B, C and E (formulas as in `annex_b` and `flanking_junctions`);
C. Hopkins, Sound Insulation (2007), chapters 2 and 5 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from isolate.bands import Array
from isolate.physics import annex_b, calibrated, flanking, flanking_junctions
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.checks import above_zero
from isolate.physics.layers import Complex
from isolate.physics.leaves import AnyLeaf, Limp, Pack, Plate, critical_frequency, flat

End = tuple[Array, Array]  # R [dB] of a plate's free waves and its absorption length [m]
NEIGHBOUR_DENSITY, NEIGHBOUR_SPEED, NEIGHBOUR_LOSS = 1900.0, 2700.0, 0.01  # brick and block (Hopkins A2)
NEVER = 1e-30  # tau of a leaf without free waves
MASS_RULE = 485.0  # kg/(m2 Hz^0.5), of ISO 12354-1 annex C
NEIGHBOUR_DEPTH = 3.0  # m, of a neighbour from the junction (common practice, no source)


@above_zero(f="Hz", mass="kg/m2")
def edge_loss(f: Array, *, mass: Array | float) -> Array:
    """Loss factor of a built-in leaf by energy that leaves through its edges into the structure.

    Parameters
    ----------
    f : frequencies [Hz], (F,), above zero.
    mass : of the leaf [kg/m2], above zero; broadcasts against `f`.

    Raises
    ------
    ValueError : a frequency or a mass not above zero.

    Notes
    -----
    m'/(485 sqrt f), the quick rule of a laboratory, held between two limits over sqrt f: light leaves lose no
    less than a laboratory has to see to, the heaviest no more than edges can take. Up to 800 kg/m2.

    References
    ----------
    ISO 12354-1:2017, annex C (from memory); ISO 10140-5, annex A, for 0.3/sqrt f at least (from memory).
    """
    least, most = calibrated.value("edge_loss_least"), calibrated.value("edge_loss_most")
    return np.asarray(np.clip(np.asarray(mass) / MASS_RULE, least, most) / np.sqrt(f))


@above_zero(f="Hz", size="m")
def radiation(f: Array, *, critical_hz: Array, size: tuple[float, float]) -> Array:
    """Radiation factor (F,) of free bending waves: annex B's, near fc no more than a plate of this size can.

    Parameters
    ----------
    f : (F,) [Hz]. critical_hz : [Hz]. size : (width, height) [m].

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    At most (0.5 - 0.15 a/b) sqrt(k a), a <= b its sides; the annex says 2 for every size.

    References
    ----------
    F. G. Leppington, E. G. Broadbent, K. H. Heron, Proc. R. Soc. A 382 (1982) 245 (from memory).
    """
    a, b = min(size), max(size)
    most = (0.5 - 0.15 * a / b) * np.sqrt(2 * np.pi * f / SPEED * a)
    return np.asarray(np.minimum(annex_b.free_radiation(f, critical_hz=critical_hz, size=size), most))


@dataclass(frozen=True)
class Heavy(Pack):
    """Plates of which at least one is masonry, built in along all edges.

    pores: flow resistance [Pa s/m] of its pores and joints, through which air gets past the moving wall.
    flight: mean way [m] of a bending wave from edge to edge, pi S/U.
    """

    pores: Array | float = np.inf
    flight: float = np.inf

    def towards(self, angle: Array | float) -> Heavy:
        """Itself as waves at `angle` [rad] meet it."""
        return replace(self, plates=tuple(p.towards(angle) for p in self.plates))

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Separation impedance [Pa s/m] until waves meet an edge, the pores beside it."""
        flight = self.flight_loss(f, critical_frequency(self))
        give = np.reciprocal(super().impedance(f, trace, extra_loss + flight))
        return np.reciprocal(give + 1.0 / self.pores)

    @property
    def depth(self) -> Array | float:
        """Thickness [m] of all plates."""
        return _depth(self)

    def flight_loss(self, f: Array, critical: Array) -> Array:
        """Loss factor of forced waves that lasts them to the next edge, 2/(k_B flight); critical [Hz]."""
        bending = 2 * np.pi * np.sqrt(f * critical) / SPEED
        return np.asarray(2.0 / (bending * self.flight))

    def total_loss(self, f: Array, sigma: Array) -> Array:
        """Loss factor with edges and radiation to both sides; (..., F)."""
        mass = flat(self.mass)
        radiated = 2 * IMPEDANCE * sigma / (2 * np.pi * f * mass)
        return np.asarray(flat(self.loss) + edge_loss(f, mass=mass) + radiated)


def _depth(leaf: AnyLeaf) -> Array | float:
    if isinstance(leaf, Pack):
        return sum(_depth(p) for p in leaf.plates)
    return 0.0 if isinstance(leaf, Limp) else leaf.thickness * leaf.count


@above_zero(f="Hz", size="m")
def resonant(f: Array, *, leaf: AnyLeaf, size: tuple[float, float]) -> Array:
    """tau (..., F) by free bending waves alone.

    Parameters
    ----------
    f : (F,) [Hz]. leaf : limp ones carry none. size : (width, height) [m].

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    (2 rho c/(w m))^2 pi fc sigma^2/(2 f eta), at most 1 (ISO 12354-1, annex B).
    """
    if not np.all(leaf.bending):
        return np.zeros_like(f)  # a limp leaf carries none
    mass, fc = flat(leaf.mass), flat(critical_frequency(leaf))
    sigma = radiation(f, critical_hz=fc, size=size)
    if isinstance(leaf, Heavy):
        eta = leaf.total_loss(f, sigma)
    else:
        eta = flat(leaf.loss) + 2 * IMPEDANCE * sigma / (2 * np.pi * f * mass)
    tau = (2 * IMPEDANCE / (2 * np.pi * f * mass)) ** 2 * np.pi * fc * sigma**2 / (2 * f * eta)
    return np.asarray(np.minimum(tau, 1.0))


@above_zero(f="Hz", size="m")
def reflected(f: Array, *, leaf: Heavy, size: tuple[float, float], more: Array | float = 0.0) -> Array:
    """tau (..., F) by the waves that have met an edge: `resonant` without those on their first flight.

    Parameters
    ----------
    f : (F,) [Hz]. leaf : as built in. size : (width, height) [m]. more : loss factor beside the leaf's own,
    its edges' and radiation's.

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    `resonant` times e'/(e' + eta + more) eta/(eta + more), e' the loss factor of the flight. Own derivation.
    """
    critical = flat(critical_frequency(leaf))
    eta = leaf.total_loss(f, radiation(f, critical_hz=critical, size=size))
    flight = leaf.flight_loss(f, critical)
    share = flight / (flight + eta + more) * eta / (eta + more)
    return np.asarray(resonant(f, leaf=leaf, size=size) * share)


@above_zero(f="Hz", size="m")
def thick_limit(f: Array, *, leaf: Heavy, size: tuple[float, float]) -> Array:
    """Least tau (..., F) of a leaf, by waves across its thickness: annex B's upper limit of R.

    Parameters
    ----------
    f : (F,) [Hz]. leaf : as built in. size : (width, height) [m].

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    20 lg(rho cL/(4 * 400)) + 10 lg(eta/0.02), cL = c^2/(1.8 fc h) (ISO 12354-1, annex B).
    """
    critical = flat(critical_frequency(leaf))
    eta = leaf.total_loss(f, radiation(f, critical_hz=critical, size=size))
    rho_c_l = flat(leaf.mass) * SPEED**2 / (1.8 * critical * flat(leaf.depth) ** 2)
    return np.asarray((4 * annex_b.LIMIT_IMPEDANCE / rho_c_l) ** 2 * 0.02 / eta)


def spread_out(
    f: Array,
    *,
    leaf1: AnyLeaf,
    leaf2: AnyLeaf,
    stiffness: Complex,
    ties: Complex,
    cosine: Array,
) -> Array:
    """tau (..., A, F) of two leaves on ties so close that they act as springs spread over the area.

    Parameters
    ----------
    f : (F,) [Hz]. leaf1, leaf2 : about the cavity. stiffness : of the cavity, ties : of the ties [N/m3].
    cosine : (A, 1) of the incident waves.

    Notes
    -----
    4 Z^2 |K/(z1 z2 + K (z1 + z2))|^2, K the stiffness over j w, z of the leaves with the air's Z = rho
    c/cosine. The cavity is thin: one pressure at both leaves.
    """
    air = IMPEDANCE / cosine
    trace = 2 * np.pi * f / SPEED * np.sqrt(1 - cosine**2)
    z1, z2 = (leaf.impedance(f, trace) + air for leaf in (leaf1, leaf2))
    spring = (stiffness + ties) / (2j * np.pi * f)
    through = spring / (z1 * z2 + spring * (z1 + z2))
    return np.asarray(4 * air**2 * np.abs(through) ** 2)


def _heavier(leaf: AnyLeaf) -> Array:
    """lg of the neighbours' mass over a leaf's, M of the junction formulas."""
    return np.asarray(np.log10(calibrated.value("structure_mass") / flat(leaf.mass)))


def _neighbour(f: Array, size: tuple[float, float]) -> End:
    """R [dB] and absorption length [m] of what a heavy leaf stands in."""
    depth = calibrated.value("structure_mass") / NEIGHBOUR_DENSITY
    modulus = NEIGHBOUR_DENSITY * NEIGHBOUR_SPEED**2
    return _end(f, Heavy((Plate(depth, NEIGHBOUR_DENSITY, modulus, 0.2, NEIGHBOUR_LOSS),)), size)


def _length(f: Array, area: float, eta: Array) -> Array:
    return flanking_junctions.absorption_length(f, area=area, eta=eta)


def _end(f: Array, leaf: Heavy, size: tuple[float, float]) -> End:
    """R [dB] of a leaf's free waves and its absorption length [m]."""
    area = size[0] * size[1]
    sigma = radiation(f, critical_hz=flat(critical_frequency(leaf)), size=size)
    length = _length(f, area, leaf.total_loss(f, sigma))
    return _loss_db(f, leaf, size), length


def _loss_db(f: Array, leaf: Heavy, size: tuple[float, float]) -> Array:
    most = thick_limit(f, leaf=leaf, size=size) if np.all(leaf.bending) else NEVER
    return -10 * np.log10(np.maximum(resonant(f, leaf=leaf, size=size), most))


def _path(one: End, other: End, k: Array, length: float, areas: tuple[float, float]) -> Array:
    """tau times area [m2] from one plate to another across an edge."""
    least = flanking_junctions.minimum_reduction(junction_length=length, area_i=areas[0], area_j=areas[1])
    dv = flanking_junctions.level_difference(
        k=np.maximum(k, least), junction_length=length, a_i=one[1], a_j=other[1]
    )
    path = flanking.path(
        r_i=one[0], r_j=other[0], level_difference=dv, separating_area=1.0, area_i=areas[0], area_j=areas[1]
    )
    return np.asarray(10 ** (-path / 10))


def round_the_edges(
    f: Array,
    *,
    base: Heavy,
    first: AnyLeaf | None,
    last: AnyLeaf | None,
    size: tuple[float, float],
    closed: bool = False,
) -> Array:
    """tau (..., F) through the structure that a heavy construction stands in, all four edges.

    Parameters
    ----------
    f : third octaves [Hz]. base : its heaviest leaf. first, last : its outermost leaves, the same one if
    there is only one; None for one that floats and touches nothing, as light linings do not either: they are
    caulked. size : (width, height) [m]. closed : whether two heavy leaves meet on all edges, as tied ones in
    one opening do.

    Notes
    -----
    Of a single heavy leaf neighbour to neighbour, leaf to neighbour and back; behind a lining only from the
    leaf's bare face, since a laboratory shields its own structure before it tests linings (ISO 10140-5: it
    has to stop well more than what it tests). Rigid junctions, K = 5.7 + 5.7 M^2. Two heavy leaves meet
    across what both stand in, 3 dB and the mean of both (a cross, where the leaves are alike); two walls of
    their own only stand on one footing, and what they stand in is parted elsewhere. References at the head of
    the module.
    """
    area = size[0] * size[1]
    leaves = [x for x in (first, last) if isinstance(x, Heavy)]
    ends = [_end(f, leaf, size) for leaf in leaves]
    corner = [5.7 + 5.7 * _heavier(leaf) ** 2 for leaf in leaves]
    bare = len(leaves) == 2
    if bare and first is not last:
        across = 3.0 + (corner[0] + corner[1]) / 2
        met = ((size[0], 2), (size[1], 2)) if closed else ((size[0], 1),)
        ways = (n * _path(ends[0], ends[1], across, length, (area, area)) for length, n in met)
        return np.asarray(sum(ways) / area)
    past = 5.7 - 14.1 * _heavier(base) + 5.7 * _heavier(base) ** 2
    total = np.zeros_like(f)
    for length in size:  # two edges each
        beside, wide = _neighbour(f, (length, NEIGHBOUR_DEPTH)), length * NEIGHBOUR_DEPTH
        if bare:
            total = total + _path(beside, beside, past, length, (wide, wide))
        for end, k in zip(ends, corner, strict=True):
            total = total + _path(beside, end, k, length, (wide, area))
    return np.asarray(2 * total / area)
