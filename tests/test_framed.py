"""Leaves on studs among others: bodies in a chain, against layers, a lattice, and all waves of all leaves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import material
from isolate.physics import framed, lattice, layers
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.finite import angles, forced_radiation
from isolate.physics.stack import Stack, build
from isolate.physics.studs import Line
from isolate.physics.transmission import transmission

BOARD, WOOL = Leaf(material("gypsum board"), 0.0159), material("glass wool")
ON_STUDS = Cavity(0.089, WOOL, 0.089, framing="wood stud", spacing=0.4064)
GAP = Cavity(0.025)


def wall(*parts: Leaf | Cavity, size: tuple[float, float] = (4.0, 2.5)) -> Construction:
    return Construction("x", "x", "wall", parts, size)


def line(stack: Stack, i: int) -> Line:
    return framed._wall(stack.alone(i)).line


def test_a_chain_that_nothing_ties_is_layers() -> None:
    free = replace(ON_STUDS, framing=None)
    stack = build(wall(BOARD, free, BOARD, GAP, replace(BOARD, sheets=2)), size=None)
    f = np.array([63.0, 160.0, 400.0])
    cosine, weight = angles(framed.ANGLES)
    k = 2 * np.pi * f / SPEED
    trace = k * np.sqrt(1 - cosine**2)
    parts: list[layers.Sheet | layers.Fluid] = []
    for i, leaf in enumerate(stack.leaves):
        assert leaf is not None
        parts += [*(stack.fluids(i - 1, f, trace) if i else ()), layers.Sheet(leaf.impedance(f, trace))]
    tau = layers.transmission(parts, outer=IMPEDANCE / cosine)
    seen = np.minimum(forced_radiation(cosine, wavenumber=k, width=4.0, height=2.5) * cosine, 1.0)
    np.testing.assert_allclose(framed.chain(stack, {}, f), (tau * seen * weight).sum(0), rtol=1e-9)


def test_bodies_of_alike_leaves_are_alike_and_of_others_not() -> None:
    """Whichever leaf has its joints on the studs; difference of the bodies' own impedances, what couples them
    taken off: j w (m2 - m1) of a board and two."""
    f = np.array([63.0, 80.0])
    alike, other = (
        lattice.as_one(framed._wall(build(wall(BOARD, ON_STUDS, replace(BOARD, sheets=n)), size=None)), f)
        for n in (1, 2)
    )
    np.testing.assert_allclose(alike, alike[:, ::-1, ::-1], rtol=1e-6)
    mass = BOARD.thickness * BOARD.material.density.typical
    heavier = (other[:, 1, 1] - other[:, 0, 0]).imag / (2 * np.pi * f)
    np.testing.assert_allclose(heavier, mass, rtol=0.15)  # bays are not yet stiff


@pytest.mark.parametrize("framing", ["wood stud", "steel stud", "resilient channel"])
def test_two_bodies_pass_what_their_lattice_does(framing: str) -> None:
    """Straight on and as long as no other wave radiates, they are the same."""
    gap = replace(ON_STUDS, framing=framing, gauge=5e-4 if framing == "steel stud" else None)
    stack, f = build(wall(BOARD, gap, replace(BOARD, sheets=2)), size=None), np.array([80.0, 125.0, 200.0])
    whole = framed._wall(stack)._replace(size=(1e4, 1e4))
    bodies = lattice.as_one(whole, f)
    loaded = bodies + IMPEDANCE * np.eye(2)
    tau = np.abs(2 * IMPEDANCE * np.linalg.inv(loaded)[:, 1, 0]) ** 2
    cosine = np.full(f.size, 1 - 1e-12)
    np.testing.assert_allclose(lattice.transmission(whole, f, cosine, 0.3 * np.ones(f.size)), tau, rtol=0.02)
    np.testing.assert_allclose(bodies[:, 0, 1], bodies[:, 1, 0], rtol=1e-9)


def all_waves(stack: Stack, lines: Mapping[int, Line], f: Array, cosine: Array, azimuth: Array) -> Array:
    """tau (n,) of leaves on rows of studs by all waves of all leaves, 13 across the bays, 31 along a stud."""
    span, cell, count = (first := next(iter(lines.values()))).span, first.cell, len(stack.leaves)
    k, sine = 2 * np.pi * f / SPEED, np.sqrt(1 - cosine**2)
    along = np.arange(-15, 16)
    n, m = (x.ravel()[:, None] for x in np.meshgrid(np.arange(-6, 7), along, indexing="ij"))
    ky = k * sine * np.sin(azimuth)
    trace = np.hypot(k * sine * np.cos(azimuth) + n * 2 * np.pi / span, ky + m * 2 * np.pi / cell)
    z, air = np.zeros((*trace.shape, count, count), complex), lattice._radiation(f, trace)
    for i, leaf in enumerate(stack.leaves):
        assert leaf is not None
        z[..., i, i] += leaf.impedance(f, trace) + air * ((i == 0) + (i == count - 1))
    for i in range(count - 1):
        one, other, between = lattice.two_port(stack.fluids(i, f, trace))
        z[..., [i, i + 1], [i, i + 1]] += np.stack([one, other], -1)
        z[..., [i, i + 1], [i + 1, i]] -= between[..., None]
    y = np.linalg.inv(z)
    sides = [(i, side, at) for i, row in lines.items() for side in (0, 1) for at in row.places[0][side]]
    screws = [(i + side, at, i, side) for i, side, at in sides]
    stud = {i: row.faces(f, ky + 2 * np.pi / cell * along[:, None])[0] for i, row in lines.items()}
    mobility = np.zeros((f.size, len(screws), len(screws)), complex)
    for r, (leaf1, at1, row1, side1) in enumerate(screws):
        mobility[:, r, r] += 2j * np.pi * f * lines[row1].give(f)[side1]
        for c, (leaf2, at2, row2, side2) in enumerate(screws):
            turn = 2j * np.pi * (at1 - at2) / cell
            mobility[:, r, c] += (y[..., leaf1, leaf2] * np.exp(turn * m)).sum(0) / (span * cell)
            if row1 == row2:
                mobility[:, r, c] += (stud[row1][side1 + side2] * np.exp(turn * along[:, None])).sum(0) / cell
    straight = int(np.flatnonzero((n == 0) & (m == 0))[0])
    free = np.stack([y[straight, :, one, 0] for one, *_ in screws], -1)
    force = np.linalg.solve(mobility, free[..., None])[..., 0] / (span * cell)
    moved = -sum(
        y[..., -1, one] * np.exp(-2j * np.pi * m * at / cell) * force[:, r]
        for r, (one, at, *_) in enumerate(screws)
    )
    moved[straight] += y[straight, :, -1, 0]
    leaving = np.sqrt(np.maximum(1 - (trace / k) ** 2, 0.0))
    width, height = stack.size
    seen = np.sqrt(leaving * forced_radiation(leaving, wavenumber=k, width=width, height=height))
    heard = np.real(air) * np.where(trace < k, seen, 0.0) * seen[straight]
    return np.asarray(4 * IMPEDANCE * (np.abs(moved) ** 2 * heard).sum(0) / cosine)


def test_a_pair_is_all_its_waves() -> None:
    """Direction by direction: the lattice's mean of both ways through one board, studs and two boards, whose
    screws lie apart."""
    f, cosine = np.geomspace(80.0, 800.0, 30), np.linspace(0.2, 0.95, 30)
    azimuth = np.linspace(0.1, 7.0, 30) % (np.pi / 2)
    stack = build(wall(BOARD, ON_STUDS, replace(BOARD, sheets=2)), size=None)
    pair = framed._wall(stack)
    row = replace(pair.line, places=pair.line.places[:1])
    turned = replace(row, places=(row.places[0][::-1],), give=lambda f: row.give(f)[::-1])
    back = replace(stack, leaves=stack.leaves[::-1])
    ways = (all_waves(one, {0: own}, f, cosine, azimuth) for one, own in ((stack, row), (back, turned)))
    got = lattice.transmission(pair._replace(line=row), f, cosine, azimuth)
    np.testing.assert_allclose(got, sum(ways) / 2, rtol=0.03)


@pytest.mark.parametrize(
    "parts",
    [(BOARD, ON_STUDS, BOARD, GAP, BOARD), (BOARD, ON_STUDS, BOARD, GAP, BOARD, ON_STUDS, BOARD)],
    ids=["three leaves", "four leaves"],
)
def test_leaves_on_studs_among_others_are_what_all_their_waves_are(parts: tuple[Leaf | Cavity, ...]) -> None:
    """Solved leaf by leaf and wave by wave, which takes no shortcut by pairs; within 2.5 dB up to 200 Hz.
    Bays ring at 160 Hz. No bay is cut in a wall so wide."""
    built = wall(*parts, size=(60.0, 2.5))
    stack, rng = build(built, size=None), np.random.default_rng(3)
    got = transmission(built).tl_db
    lines = {i: line(stack, i) for i, gap in enumerate(stack.cavities) if gap.framing}
    for middle in (63.0, 100.0, 160.0, 200.0):
        u = rng.random((400, 3))
        theta = (0.001 + 0.998 * u[:, 1]) * np.pi / 2
        f = middle * 10 ** (0.1 * (u[:, 0] - 0.5))
        tau = all_waves(stack, lines, f, np.cos(theta), u[:, 2] * np.pi / 2)
        expected = -10 * np.log10((tau * np.sin(2 * theta)).mean() * np.pi / 2)
        assert got[bands.index_of(middle)] == pytest.approx(expected, abs=2.5), middle


def test_a_layer_of_springs_in_a_chain_goes_from_nothing_to_one_leaf() -> None:
    """No stiffness changes nothing; a great one makes one leaf of two, but for the air between."""
    stack, f = build(wall(BOARD, GAP, replace(BOARD, sheets=2)), size=None), np.array([63.0, 160.0])
    free = framed.chain(stack, {}, f)
    np.testing.assert_allclose(framed.chain(stack, {}, f, {0: np.zeros(2)}), free, rtol=1e-12)
    held = framed.chain(stack, {}, f, {0: np.full(2, 1e13)})
    np.testing.assert_allclose(held, framed.chain(stack.merged([0]), {}, f), rtol=3e-3)
    assert np.all(np.abs(held / free - 1) > 0.01)


def test_a_floor_on_wool_over_joists_rings_where_its_wool_does() -> None:
    """Dry screed on 25 mm of wool over an old joist floor: no band is 9 dB below both beside it."""
    screed, wool = replace(BOARD, sheets=3), Cavity(0.025, material("stone wool"), 0.025)
    joists, deck = Cavity(0.2, framing="wood stud", spacing=0.4), Leaf(material("softwood"), 0.021)
    layers_ = (screed, wool, deck, joists, replace(BOARD, sheets=2))
    floor = Construction("x", "x", "floor", layers_, (4.0, 3.0))
    tl_db = transmission(floor).tl_db[: framed.told().size]
    assert (tl_db[1:-1] > np.minimum(tl_db[:-2], tl_db[2:]) - 9).all()


def test_a_leaf_more_costs_less_where_bays_ring_than_below() -> None:
    """A third board 25 mm in front of a stud wall: the gap's resonance costs the bass, but where bays ring
    the wall is better, not worse, than without it."""
    two = transmission(wall(BOARD, ON_STUDS, BOARD)).tl_db
    three = transmission(wall(BOARD, ON_STUDS, BOARD, GAP, BOARD)).tl_db
    assert three[bands.index_of(160.0)] > two[bands.index_of(160.0)] + 3
    assert three[bands.index_of(100.0)] < two[bands.index_of(100.0)] + 3


def test_the_same_from_both_sides() -> None:
    parts = (BOARD, ON_STUDS, replace(BOARD, sheets=2), GAP, replace(BOARD, sheets=3))
    np.testing.assert_allclose(
        transmission(wall(*parts)).tl_db, transmission(wall(*parts[::-1])).tl_db, rtol=0, atol=0.1
    )


def test_a_bay_cut_anywhere_alike_is_told_by_gauss_s_points() -> None:
    """Means over u from 0 to 1 of u^n, each part counted by its area u: 2/(n + 2), with the narrow part that
    does not ring, 0.2123405 with 0.139654 (Gauss and Jacobi, tables)."""
    points = (*framed.CUT_BAYS, (0.2123405, 0.139654))
    for power in range(6):
        mean = sum(share * part**power for part, share in points)
        assert mean == pytest.approx(2 / (power + 2), abs=1e-5)


def test_a_cut_bay_rings_where_whole_ones_do_not() -> None:
    """Strips 0.6 to 0.9 times as wide resonate higher: of wood studs at 610 mm, whose bays resonate at
    100 Hz, 200 Hz lies lower than where a wall is so wide that one bay counts for nothing."""
    gap = replace(ON_STUDS, spacing=0.6096)
    narrow, wide = (transmission(wall(BOARD, gap, BOARD, size=(width, 2.44))).tl_db for width in (3.05, 30.5))
    there = bands.index_of(200.0)
    assert wide[there] - narrow[there] > 1.0
