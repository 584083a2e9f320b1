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
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED
from isolate.physics.checks import above_zero
from isolate.physics.finite import forced_radiation
from isolate.physics.fixings import Mobility, shares, together
from isolate.physics.layers import GRAZING, Complex, Fluid, tanh
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
# Directions, and these times their harmonics: what is worked on then stays near the processor.
AT_ONCE, WAVES = 1000, 550_000


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
    k = 2 * np.pi * f / SPEED
    square = k * k - trace * trace
    size = SPEED * DENSITY * k / np.sqrt(np.abs(square) + GRAZING * k * k)
    out, travels = np.zeros(size.shape, complex), square > 0.0
    np.copyto(out.real, size, where=travels)
    np.copyto(out.imag, size, where=~travels)
    return out


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
    """z (1/t + t)/2 twice and z (1/t - t)/2, t = tanh(j k d/2): -j z cot(k d) and -j z / sin(k d)."""
    normal = layer.normal
    half = tanh(0.5j * layer.depth * normal)
    z = 0.5 / layer.admittance(normal)
    short, stiff = z * half, z / half
    own = stiff + short
    return own, own, stiff - short


class _Waves(NamedTuple):
    """Harmonics by their orders across the studs, n, and along them, m, (H, 1) each, rising in m; where each
    m begins, and which they are (M,)."""

    n: Array
    m: Array
    starts: NDArray[np.intp]
    orders: Array


def _harmonics(f: Array, leaves: tuple[AnyLeaf, AnyLeaf], line: Line) -> tuple[_Waves, _Waves]:
    """Those that sound or free bending waves may meet, and those so short that the direction of the sound is
    nothing to them."""
    slow = max(_slowness(leaf) for leaf in leaves)
    highest = 2 * np.pi * f[-1] / SPEED * (1 + np.sqrt(slow / f[-1]))
    by_length = _by_length(line.span, line.cell)
    return _parted(line.span, line.cell, int(np.searchsorted(by_length[-1], MARGIN * highest)))


@lru_cache
def _by_length(span: float, cell: float) -> Array:
    """Orders n and m of all harmonics and their wavenumbers [1/m], the longest first; (3, H)."""
    most = cell // STUD_FACE
    n, m = np.meshgrid(np.arange(-ACROSS, ACROSS + 1.0), np.arange(-most, most + 1), indexing="ij")
    waves = np.array([n.ravel(), m.ravel(), 2 * np.pi * np.hypot(n / span, m / cell).ravel()])
    return waves[:, np.argsort(waves[-1], kind="stable")]


@lru_cache
def _parted(span: float, cell: float, count: int) -> tuple[_Waves, _Waves]:
    """The longest `count` harmonics and the others."""
    n, m, _ = _by_length(span, cell)

    def waves(n: Array, m: Array) -> _Waves:
        rising = np.argsort(m, kind="stable")
        orders, starts = np.unique(m[rising], return_index=True)
        return _Waves(n[rising, None], m[rising, None], starts, orders)

    return waves(n[:count], m[:count]), waves(n[count:], m[count:])


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
    step = min(AT_ONCE, max(WAVES // _by_length(wall.line.span, wall.line.cell).shape[-1], 1))
    for at in np.array_split(rising, -(-f.size // step)):  # alike frequencies need alike many harmonics
        tau[at] = _transmission(wall, f[at], cosine[at], azimuth[at])
    return tau


def _transmission(wall: Wall, f: Array, cosine: Array, azimuth: Array) -> Array:
    k = 2 * np.pi * f / SPEED
    sine = np.sqrt(1 - cosine**2)
    met = _met(wall, f, k * sine * np.cos(azimuth), k * sine * np.sin(azimuth))
    out = np.flatnonzero((met.trace < k).any(1))
    leaving = np.sqrt(np.maximum(1 - (met.trace[out] / k) ** 2, 0.0))
    (width, height) = wall.size
    window = np.sqrt(leaving * forced_radiation(leaving, wavenumber=k, width=width, height=height))
    heard = np.real(met.air[out]) * np.where(leaving > 0.0, window, 0.0) * window[out == met.incident]
    both = sum(_power(met, way, wall.line, out, heard) for way in met.ways)
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
    y11, y12, y22 = (y[met.incident] for y in met.driven)
    moved = np.moveaxis(np.array([[y11, y12], [y12, y22]]), -1, 0)
    means = np.zeros_like(moved)
    for places in met.ways:
        forces, count = _forces(met, places, wall.line), len(places[0])
        on = np.stack([forces[:, :count].sum(1), forces[:, count:].sum(1)], 1)
        means += (moved - moved @ on) / len(met.ways)
    if len(met.ways) < len(wall.line.places):  # leaves are alike, and the ways left out the same turned round
        means = (means + means[:, ::-1, ::-1]) / 2
    return np.linalg.inv(means) - met.air[met.incident][:, None, None] * np.eye(2)


class _Moved(NamedTuple):
    """Mobilities of long waves at n, of short ones at a few frequencies K, what takes these to n (n, K)."""

    long: Mobility
    short: Mobility
    between: Array

    def at(self, places: tuple[Places, Places], cell: float) -> Complex:
        """Between fixings at `places` [m] in the cell, (n, N, N)."""
        short = np.tensordot(self.between, together(self.short, places, cell), 1)
        return together(self.long, places, cell) + short


class _Met(NamedTuple):
    """What waves of sound meet: the orders (H,) along the studs of waves that are as long and which is the
    incident one, their trace wavenumbers, radiation impedances and admittances (H, n); what moves at the
    screws, of turning too; what a fixing on either side gives [m/(N s)], (n,); arrangements for a mean."""

    orders: Array
    incident: int
    trace: Array
    air: Complex
    driven: Admittances
    at_screws: _Moved
    turns: Sequence[_Moved]
    give: Sequence[Complex]
    ways: Sequence[tuple[Places, Places]]


def _met(wall: Wall, f: Array, kx: Array, ky: Array) -> _Met:
    leaf1, leaf2, cavity, line, _ = wall
    long, short = _harmonics(f, (leaf1, leaf2), line)

    def answers(f: Array, waves: _Waves, kx: Complex, ky: Complex) -> tuple[Array, Complex, Admittances]:
        """Trace wavenumbers, radiation impedances and admittances (harmonics, n)."""
        x, y = kx + waves.n * 2 * np.pi / line.span, ky + waves.m * 2 * np.pi / line.cell
        trace = np.sqrt(x * x + y * y)
        zr = _radiation(f, trace)
        a1, a2, b = two_port(cavity(f, trace))
        m1 = leaf1.impedance(f, trace) + zr + a1
        m2 = m1 if leaf2 == leaf1 and a2 is a1 else leaf2.impedance(f, trace) + zr + a2
        det = 1.0 / (m1 * m2 - b * b)
        y11 = m2 * det
        return trace, zr, (y11, b * det, y11 if m2 is m1 else m1 * det)

    def on_studs(
        f: Array, waves: _Waves, driven: Admittances, ky: Complex, studs: NDArray[np.bool_]
    ) -> list[Mobility]:
        """Mobilities of leaves and of studs where these are among those orders."""
        force, *turning = line.faces(f, 2 * np.pi / line.cell * waves.orders[studs, None] + ky)
        leaves = [np.add.reduceat(y, waves.starts) / line.span for y in driven]
        for leaf, stud in zip(leaves, force, strict=True):
            leaf[studs] += stud
        return [Mobility(waves.orders, *leaves), *(Mobility(waves.orders[studs], *of) for of in turning)]

    trace, zr, driven = answers(f, long, kx, ky)
    some, between = _nodes(f)
    near = on_studs(f, long, driven, ky, np.ones(long.orders.size, bool))
    far = on_studs(some, short, answers(some, short, 0.0, 0.0)[2], 0.0, ~np.isin(short.orders, long.orders))
    at_screws, *turns = (_Moved(*of, between) for of in zip(near, far, strict=True))
    give = [2j * np.pi * f * soft for soft in line.give(f)]
    alike = driven[0] is driven[2]
    ways = [way for i, way in enumerate(line.places) if not (alike and way[::-1] in line.places[:i])]
    incident = int(np.flatnonzero((long.n == 0) & (long.m == 0))[0])
    return _Met(long.m.ravel(), incident, trace, zr, driven, at_screws, turns, give, ways)


def _nodes(f: Array) -> tuple[Array, Array]:
    """Frequencies (K,) at which short waves, which change smoothly, are known well enough, and what takes
    values there to those at f (n,): (n, K). Chebyshev's points and the polynomial through them."""
    low, high = f.min(), f.max()
    if f.size <= NODES or low == high:
        return f, np.eye(f.size)
    at = np.cos((np.arange(NODES) + 0.5) * np.pi / NODES)
    x = (2 * f - low - high) / (high - low)
    between = np.vander(x, NODES) @ np.linalg.inv(np.vander(at))
    return (low + high + at * (high - low)) / 2, between


def _forces(met: _Met, places: tuple[Places, Places], line: Line) -> Complex:
    """Forces per area (n, N, 2) at the fixings, of side 1 and then of side 2, when side 1 or 2 is driven."""
    count = len(places[0])
    mobility = met.at_screws.at(places, line.cell)
    if met.turns:  # boards, far stiffer than studs that turn, keep them flat at their screws
        mixed, moment = (of.at(places, line.cell) for of in met.turns)
        mobility -= mixed @ np.linalg.solve(moment, mixed)
    mobility /= line.cell
    each = range(mobility.shape[-1])
    mobility[..., each, each] += np.stack([met.give[i >= count] for i in each], -1)
    y11, y12, y22 = (y[met.incident] for y in met.driven)
    free = np.empty((*mobility.shape[:-1], 2), complex)  # without studs, driven from side 1, from side 2
    free[..., :count, :] = np.stack([y11, y12], -1)[..., None, :]
    free[..., count:, :] = np.stack([y12, y22], -1)[..., None, :]
    return np.linalg.solve(mobility, free) / (line.span * line.cell)


def _power(
    met: _Met, places: tuple[Places, Places], line: Line, out: NDArray[np.intp], heard: Array
) -> Array:
    """|velocity|^2 that radiates from either side of the wall when the other is driven, added up; (n,).

    out: which waves leave the wall; heard: what of the |velocity|^2 of each of them radiates.
    """
    forces = np.moveaxis(_forces(met, places, line), (-2, -1), (1, 0))
    power, count = np.zeros(heard.shape[1]), len(places[0])
    for force, sides in zip(forces, ((1, 2), (0, 1)), strict=True):
        on = force[:count], force[count:]
        moved = -sum(
            met.driven[side][out] * shares(some, at, line.cell, met.orders[out])
            for side, some, at in zip(sides, on, places, strict=True)
        )
        moved[out == met.incident] += met.driven[1][met.incident]
        power += (np.abs(moved) ** 2 * heard).sum(0)
    return power
