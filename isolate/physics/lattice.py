"""Two leaves on parallel studs, screwed at places that repeat along them: the wall as a lattice.

Every incident plane wave excites the space harmonics k_x + 2 pi n / spacing across the studs and
k_y + 2 pi m / cell along them. Each harmonic sees two plates with the layered cavity between them; the
studs answer the velocity at the fixings with forces (`fixings`), and all harmonics radiate. The strips
between the studs and their resonance, the wall that moves as one plate below it, and the bridges above it
all follow.

Reference: G. Lin, J. Garrelick, J. Acoust. Soc. Am. 61 (1977) 1014 for lines; D. Takahashi, J. Sound Vib. 90
(1983) 243 for points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.checks import above_zero
from isolate.physics.finite import forced_radiation
from isolate.physics.fixings import Mobility, shares, together
from isolate.physics.layers import Complex, Fluid, across
from isolate.physics.leaves import AnyLeaf, critical_frequency
from isolate.physics.ports import STUD_FACE
from isolate.physics.studs import Line, Places

Admittances = tuple[Complex, Complex, Complex]
CavityAt = Callable[[Array, Array], Sequence[Fluid]]  # (f, trace) -> layers of the cavity
LIMP, MARGIN = 1e5, 1.5  # Hz; times the largest wavenumber that sound or free waves have
# Harmonics across the studs on either side; along them down to wavelengths of a stud's face. Part of the
# model, not a grid: a point on a plate that shears has no limit, and `links` adds what gives way nearer to a
# screw.
ACROSS = 8
NODES = 5
AT_ONCE = 1000  # directions, with 221 harmonics each at most: what is worked on then stays near the processor


class Wall(NamedTuple):
    """Two leaves, the layers of the cavity between them by frequency and trace, the studs they are fixed to;
    size (width, height) [m], for the radiation of the finite wall."""

    leaf1: AnyLeaf
    leaf2: AnyLeaf
    cavity: CavityAt
    line: Line
    size: tuple[float, float]


def _radiation(f: Array, trace: Array) -> Complex:
    """rho w / k_z [Pa s/m] of air at a trace wavenumber; imaginary when subsonic."""
    air = Fluid(f, trace, DENSITY, 2 * np.pi * f / SPEED, 0.0)
    return 1.0 / air.admittance(air.normal)


def two_port(layers: Sequence[Fluid]) -> tuple[Complex, Complex, Complex]:
    """(a1, a2, b) [Pa s/m] of a layered cavity: p1 = a1 v1 - b v2, p2 = b v1 - a2 v2.

    Parameters
    ----------
    layers : one behind the other, p and v common to both between them.

    Notes
    -----
    -j z cot(k d) and -j z/sin(k d) of each layer; two in a row: a1 - b^2/s, c2 - d^2/s, b d/s, s = a2 + c1.
    """
    (a1, a2, b), *rest = (_port(layer) for layer in layers)
    for c1, c2, d in rest:
        joint = a2 + c1
        a1, a2, b = a1 - b * b / joint, c2 - d * d / joint, b * d / joint
    return a1, a2, b


def _port(layer: Fluid) -> tuple[Complex, Complex, Complex]:
    """-j z cot(k d) twice and -j z / sin(k d)."""
    normal = layer.normal
    _, lost = across(normal, layer.depth)
    short = 1.0 / (layer.admittance(normal) * lost)
    own = (2.0 - lost) * short
    return own, own, 2.0 * np.exp(-1j * layer.depth * normal) * short


def _harmonics(
    f: Array, leaves: tuple[AnyLeaf, AnyLeaf], line: Line
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Orders (n, m) of the harmonics that sound or free bending waves may meet, the incident wave first; and
    of those so short that the direction of the sound is nothing to them."""
    slow = max(_slowness(leaf) for leaf in leaves)
    highest = 2 * np.pi * f[-1] / SPEED * (1 + np.sqrt(slow / f[-1]))
    n, m = np.meshgrid(np.arange(-ACROSS, ACROSS + 1.0), _orders(line), indexing="ij")
    order = np.argsort((n**2 + m**2).ravel(), kind="stable")
    n, m = (x.ravel()[order][:, None] for x in (n, m))
    long = np.ravel(np.hypot(n / line.span, m / line.cell) * 2 * np.pi < MARGIN * highest)
    return (n[long], m[long]), (n[~long], m[~long])


def _slowness(leaf: AnyLeaf) -> float:
    """Critical frequency [Hz] of a leaf, `LIMP` at most; none of one that has no bending waves."""
    critical = float(np.max(critical_frequency(leaf)))
    return 0.0 if np.isinf(critical) else min(critical, LIMP)


def transmission(wall: Wall, f: Array, cosine: Array, azimuth: Array) -> Array:
    """Transmission tau (n,) of a wall on studs, with its cavity's path; mean of both ways.

    Parameters
    ----------
    wall : scalars only, no draws. f : [Hz]. cosine : of incidence. azimuth : [rad] from across the studs;
    (n,) each.

    Notes
    -----
    See the head of the module: an endless row of equal bays.
    """
    rising, tau = np.argsort(f, kind="stable"), np.empty(f.size)
    for i in range(0, f.size, AT_ONCE):  # alike frequencies need alike many harmonics
        at = rising[i : i + AT_ONCE]
        tau[at] = _transmission(wall, f[at], cosine[at], azimuth[at])
    return tau


def _transmission(wall: Wall, f: Array, cosine: Array, azimuth: Array) -> Array:
    k = 2 * np.pi * f / SPEED
    sine = np.sqrt(1 - cosine**2)
    met = _met(wall, f, k * sine * np.cos(azimuth), k * sine * np.sin(azimuth))
    leaving = np.sqrt(np.maximum(1 - (met.trace / k) ** 2, 0.0))
    (width, height) = wall.size
    window = np.sqrt(leaving * forced_radiation(leaving, wavenumber=k, width=width, height=height))
    heard = np.real(met.air) * np.where(met.trace < k, window, 0.0) * window[0]
    both = sum(_power(met, way, wall.line, heard) for way in met.ways)
    return np.asarray(2 * IMPEDANCE * both / len(met.ways) / cosine)


@above_zero(f="Hz")
def as_one(wall: Wall, f: Array) -> Complex:
    """A pair of leaves on studs to sound that is long beside the bays: two bodies and what couples them.

    Parameters
    ----------
    wall : scalars only, no draws. f : (n,) [Hz], alike ones.

    Returns
    -------
    Impedances [Pa s/m] of pressure on either leaf by the mean velocity of either, (n, 2, 2), without the air
    outside; at normal incidence, since neither studs nor leaves tell long waves apart by their directions.

    Raises
    ------
    ValueError
        A frequency that is not above 0.

    Notes
    -----
    See the head of the module.
    """
    none = np.zeros_like(f)
    met = _met(wall, f, none, none)
    y11, y12, y22 = (y[0] for y in met.driven)
    moved = np.moveaxis(np.array([[y11, y12], [y12, y22]]), -1, 0)
    means = np.zeros_like(moved)
    for places in met.ways:
        forces, count = _forces(met, places, wall.line), len(places[0])
        on = np.stack([forces[:, :count].sum(1), forces[:, count:].sum(1)], 1)
        means += (moved - moved @ on) / len(met.ways)
    if len(met.ways) < len(wall.line.places):  # leaves are alike, and the ways left out the same turned round
        means = (means + means[:, ::-1, ::-1]) / 2
    return np.linalg.inv(means) - met.air[0][:, None, None] * np.eye(2)


class _Met(NamedTuple):
    """What waves of sound meet: the orders (H,) along the studs of waves that are as long, the incident one
    first, their trace wavenumbers, radiation impedances and admittances (H, n); mobilities at the screws, of
    turning too; what a fixing on either side gives [m/(N s)], (n,); arrangements of places for a mean."""

    orders: Array
    trace: Array
    air: Complex
    driven: Admittances
    at_screws: Mobility
    turns: tuple[Mobility, ...]
    give: Sequence[Complex]
    ways: Sequence[tuple[Places, Places]]


def _met(wall: Wall, f: Array, kx: Array, ky: Array) -> _Met:
    leaf1, leaf2, cavity, line, _ = wall
    long, short = _harmonics(f, (leaf1, leaf2), line)

    def answers(f: Array, n: Array, m: Array, kx: Complex, ky: Complex) -> tuple[Array, Complex, Admittances]:
        """Trace wavenumbers, radiation impedances and admittances (harmonics, n)."""
        trace = np.hypot(kx + n * 2 * np.pi / line.span, ky + m * 2 * np.pi / line.cell)
        zr = _radiation(f, trace)
        a1, a2, b = two_port(cavity(f, trace))
        z1 = leaf1.impedance(f, trace)
        z2 = z1 if leaf2 == leaf1 else leaf2.impedance(f, trace)
        m1, m2 = z1 + zr + a1, z2 + zr + a2
        det = 1.0 / (m1 * m2 - b * b)
        return trace, zr, (m2 * det, b * det, m1 * det)

    trace, zr, driven = answers(f, *long, kx, ky)
    some, between = _nodes(f)
    rest = answers(some, *short, 0.0, 0.0)[2]
    orders, cells = _orders(line), (line.cell, line.span * line.cell)
    studs, *turning = line.faces(f, ky + 2 * np.pi / line.cell * orders[:, None])
    at_screws = Mobility(
        orders,
        *(
            stud / cells[0]
            + (_summed(long[1], one, orders) + _summed(short[1], other, orders) @ between) / cells[1]
            for stud, one, other in zip(studs, driven, rest, strict=True)
        ),
    )
    turns = tuple(Mobility(orders, *(y / line.cell for y in of)) for of in turning)
    give = [2j * np.pi * f * soft for soft in line.give(f)]
    alike = leaf1 == leaf2 and np.array_equal(driven[0], driven[2])
    ways = [way for i, way in enumerate(line.places) if not (alike and way[::-1] in line.places[:i])]
    return _Met(long[1].ravel(), trace, zr, driven, at_screws, turns, give, ways)


def _nodes(f: Array) -> tuple[Array, Array]:
    """Frequencies (K,) at which short waves, which change smoothly, are known well enough, and what takes
    values there to those at f (n,): (K, n). Chebyshev's points and the polynomial through them."""
    low, high = f.min(), f.max()
    if f.size <= NODES or low == high:
        return f, np.eye(f.size)
    at = np.cos((np.arange(NODES) + 0.5) * np.pi / NODES)
    x = (2 * f - low - high) / (high - low)
    powers = np.arange(NODES)
    between = np.linalg.solve((at[:, None] ** powers).T, (x[:, None] ** powers).T)
    return (low + high + at * (high - low)) / 2, between


def _orders(line: Line) -> Array:
    most = line.cell // STUD_FACE
    return np.arange(-most, most + 1)


def _summed(m: Array, values: Complex, orders: Array) -> Complex:
    """Sums (orders, ...) of what waves (H, ...) of each order m (H, 1) along the studs have."""
    out = np.zeros((orders.size, *values.shape[1:]), complex)
    if m.size:
        by_order = np.argsort(m.ravel(), kind="stable")
        of = m.ravel()[by_order]
        first = np.flatnonzero(np.diff(of, prepend=np.nan) != 0)
        out[np.searchsorted(orders, of[first])] = np.add.reduceat(values[by_order], first, axis=0)
    return out


def _forces(met: _Met, places: tuple[Places, Places], line: Line) -> Complex:
    """Forces per area (n, N, 2) at the fixings, of side 1 and then of side 2, when side 1 or 2 is driven."""
    count = len(places[0])
    mobility = together(met.at_screws, places, line.cell)
    if met.turns:  # boards, far stiffer than studs that turn, keep them flat at their screws
        mixed, moment = (together(of, places, line.cell) for of in met.turns)
        mobility -= mixed @ np.linalg.solve(moment, mixed)
    each = range(mobility.shape[-1])
    mobility[..., each, each] += np.stack([met.give[i >= count] for i in each], -1)
    y11, y12, y22 = (y[0] for y in met.driven)
    free = np.empty((*mobility.shape[:-1], 2), complex)  # without studs, driven from side 1, from side 2
    free[..., :count, :] = np.stack([y11, y12], -1)[..., None, :]
    free[..., count:, :] = np.stack([y12, y22], -1)[..., None, :]
    return np.linalg.solve(mobility, free) / (line.span * line.cell)


def _power(met: _Met, places: tuple[Places, Places], line: Line, heard: Array) -> Array:
    """|velocity|^2 that radiates from either side of the wall when the other is driven, added up; (n,).

    heard: what of the |velocity|^2 of each wave radiates.
    """
    forces = np.moveaxis(_forces(met, places, line), (-2, -1), (1, 0))
    power, out, count = np.zeros(met.trace.shape[1]), np.flatnonzero(heard.any(1)), len(places[0])
    for force, sides in zip(forces, ((1, 2), (0, 1)), strict=True):
        on = force[:count], force[count:]
        moved = -sum(
            met.driven[side][out] * shares(some, at, line.cell, met.orders[out])
            for side, some, at in zip(sides, on, places, strict=True)
        )
        moved[0] += met.driven[1][0]
        power += (np.abs(moved) ** 2 * heard[out]).sum(0)
    return power
