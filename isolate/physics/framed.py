"""Pairs of leaves on studs, in the bands where bays count: by themselves, and among other leaves.

By itself a pair is a lattice. Among others it is, to sound that is long beside the bays, two bodies and what
couples them, one link of a chain: two pairs with a gap between them do not both lose what each loses by
itself where its bays ring, since the gap holds their inner boards too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.physics import calibrated, lattice, links, nets
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.averages import NOTHING
from isolate.physics.checks import above_zero
from isolate.physics.finite import angles, forced_radiation
from isolate.physics.kept import kept
from isolate.physics.layers import Complex
from isolate.physics.leaves import Plate
from isolate.physics.ports import STUD_FACE
from isolate.physics.stack import Stack

# Bays that are cut: parts of a whole one and their shares, two of Gauss's three points for a cut at any place
# alike, each counted by its area; the third, a fifth of a bay with a seventh of it, is too stiff to ring.
CUT_BAYS = ((0.5905331, 0.458482), (0.9114120, 0.401864))
SURE, CUT_SURE, CUT_FIRST = 0.04, 0.2, 64  # as in `nets`
CHAINED, ANGLES = 12, 48  # frequencies of a band and angles of leaves in a chain

_NONE: Mapping[int, Complex] = {}


def told() -> Array:
    """Share in dB of the lattice in the lowest bands, the rest that of isolated bridges.

    Notes
    -----
    1 - log2(f/f1) from 1 to 0, f1 the calibrated "lattice_to": none an octave above it.
    """
    octaves = np.log2(bands.THIRD_OCTAVES / calibrated.value("lattice_to"))
    share = np.round(np.clip(1.0 - octaves, 0.0, 1.0), 2)  # nominal bands are no thirds of octaves exactly
    return np.asarray(share[share > 0.0])


def alone(pair: Stack) -> Array:
    """Band values of tau of a pair on studs in the bands of `told`.

    Parameters
    ----------
    pair : two leaves and the cavity between them, without draws.

    Notes
    -----
    The lattice (`lattice.transmission`) of whole bays and of one that is cut, by area; references there.
    """
    return _lattice(_either_way(pair))


def _either_way(pair: Stack) -> Stack:
    """The same for a pair and the pair turned round, which lets as much through: it is solved once. Leaves of
    several boards, and a filling on one side of its cavity, are left as they lie."""
    gap = pair.cavities[0]
    lopsided = gap.fill is not None and gap.depth - gap.fill_depth > 1e-6
    if lopsided or not all(isinstance(leaf, Plate) for leaf in pair.leaves):
        return pair
    return min(pair, replace(pair, leaves=pair.leaves[::-1]), key=lambda one: repr(one.leaves))


@kept
def _lattice(pair: Stack) -> Array:
    """Band values of tau of a pair on studs, without draws, in the lowest bands, those of `told`.

    Where the row of studs begins nobody states: what is left of it at both ends of a wall makes one bay
    together, cut at any place alike, and each part rings higher than whole bays do.
    """
    whole = _wall(pair)
    share_of = told()
    middles = bands.exact(bands.THIRD_OCTAVES[: share_of.size])
    bay = whole.line.span + STUD_FACE
    cut = min(bay / pair.size[0], 1.0)
    total: Array = np.zeros(share_of.size)
    cuts = [(part, cut * weight) for part, weight in CUT_BAYS]
    for part, share in ((1.0, 1.0 - sum(share for _, share in cuts)), *cuts):
        line = replace(whole.line, span=part * bay - STUD_FACE)
        size = pair.size if part == 1.0 else (part * bay, pair.size[1])
        wall = whole._replace(line=line, size=size)
        through = partial(lattice.transmission, wall)
        enough = min(SURE / share, CUT_SURE) / share_of
        at_first = nets.FIRST if part == 1.0 else CUT_FIRST
        total += share * nets.means(through, middles, sure=enough, at_first=at_first)
    return total


def _wall(pair: Stack) -> lattice.Wall:
    """A pair on studs; its tie found anew, so that what is kept goes by the pair alone."""
    leaf1, leaf2 = pair.leaves
    assert leaf1 is not None and leaf2 is not None
    tie = links.tie(pair.cavities[0], kind=pair.kind, leaves=(leaf1, leaf2), size=pair.size)
    assert tie is not None and tie.line is not None
    return lattice.Wall(leaf1, leaf2, partial(pair.fluids, 0), tie.line, pair.size)


def points() -> Array:
    """`CHAINED` frequencies [Hz] of each band of `told`."""
    return bands.points(CHAINED)[: told().size * CHAINED]


@kept
def _bodies(pair: Stack) -> Complex:
    """A pair on studs as two bodies, in the bands of `told`, `CHAINED` frequencies each."""
    wall = _wall(pair)
    return np.concatenate([lattice.as_one(wall, f) for f in np.split(points(), told().size)])


def chained(
    stack: Stack,
    free: Array,
    pairs: Mapping[int, Array],
    others: Mapping[int, Array],
    springs: Mapping[int, Complex],
) -> Array:
    """Band values of tau of three leaves and more, some in pairs on studs, in the bands of `told`.

    Parameters
    ----------
    stack : leaves and cavities, without draws. free : tau of it untied (27,) [1]. pairs : band values tied
    over untied of the pairs on studs, others : of those tied otherwise. springs : of those among them that
    are layers of springs, at `points` (n,), as in `chain`; each by its cavity.

    Notes
    -----
    Bodies in a chain tell what studs and springs change in it, each pair by itself what that leaves out; ties
    that are neither change it as they change theirs. Sound long beside the bays.
    """
    by_band = np.split(points(), told().size)

    def change(of: Stack, bodies: Mapping[int, Complex], springs: Mapping[int, Complex]) -> Array:
        parts = [{i: np.split(z, len(by_band)) for i, z in each.items()} for each in (bodies, springs)]
        ratios = []
        for n, f in enumerate(by_band):
            whole, ties = ({i: z[n] for i, z in each.items()} for each in parts)
            untied = max(chain(of, {}, f).mean(), NOTHING)
            ratios.append(max(chain(of, whole, f, ties).mean(), NOTHING) / untied)
        return np.array(ratios)

    held = {i: _bodies(stack.alone(i)) for i in pairs}
    total = free[: len(by_band)] * change(stack, held, springs)
    for i, own in {**pairs, **others}.items():
        total = total * own[: len(by_band)]
        if i in held or i in springs:
            alike = ({0: one[i]} if i in one else {} for one in (held, springs))
            total = total / change(stack.alone(i), *alike)
    return np.asarray(total)


@above_zero(f="Hz")
def chain(
    stack: Stack, pairs: Mapping[int, Complex], f: Array, springs: Mapping[int, Complex] = _NONE
) -> Array:
    """Diffuse tau (n,) of a stack without draws, some of its leaves in pairs that move as two bodies.

    Parameters
    ----------
    stack : leaves and cavities; None beside an outermost filling counts as no leaf.
    pairs : by index of their cavity, impedances (n, 2, 2) [Pa s/m] of pairs of leaves with all between them.
    f : (n,) [Hz], far below where bays are half a wave of sound wide.
    springs : by index, stiffness per area [N/m3] (n,) beside the gas of other cavities.

    Notes
    -----
    Velocities v of the leaves follow from (Z + R) v = 2 p e1: Z has the leaves' own impedances, the two-ports
    of the cavities and the pairs', R the air on either side, rho c/cos(theta). A leaf of two pairs is in both
    and once too often, which is taken away. tau = |2 R v_N/(2 p)|^2, seen through the finite size.
    """
    cosine, weight = angles(ANGLES)
    k, count = 2 * np.pi * f / SPEED, len(stack.leaves)
    trace = k * np.sqrt(1 - cosine**2)
    z = np.zeros((*trace.shape, count, count), complex)
    for i in range(count - 1):
        if i in pairs:
            z[..., i : i + 2, i : i + 2] += pairs[i]
            continue
        spring = springs.get(i, 0.0) / (2j * np.pi * f)
        first, last, across = lattice.two_port(stack.fluids(i, f, trace))
        z[..., i, i] += first + spring
        z[..., i + 1, i + 1] += last + spring
        z[..., i, i + 1] -= across + spring
        z[..., i + 1, i] -= across + spring
    for i, leaf in enumerate(stack.leaves):
        missing = 1 - (i in pairs) - (i - 1 in pairs)
        if leaf is not None and missing:
            z[..., i, i] += missing * leaf.impedance(f, trace)
    air = IMPEDANCE / cosine
    z[..., 0, 0] += air
    z[..., -1, -1] += air
    driven = np.zeros((count, 1))
    driven[0] = 1.0
    last = np.linalg.solve(z, driven)[..., -1, 0]
    sigma = forced_radiation(cosine, wavenumber=k, width=stack.size[0], height=stack.size[1])
    tau = np.abs(2 * air * last) ** 2 * np.minimum(sigma * cosine, 1.0)
    return np.asarray((tau * weight).sum(0))
