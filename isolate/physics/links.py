"""What the named framings are: how each ties two leaves, in numbers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.describe.constructions import Cavity
from isolate.physics import calibrated
from isolate.physics.layers import Complex
from isolate.physics.leaves import SHEAR_FACTOR, AnyLeaf, Pack, Plate

WOOD_ACROSS = 0.35e9  # Pa, modulus of softwood across the grain (handbooks, from memory)
WOOD_DENSITY = 450.0  # kg/m3, softwood of studs and plates (handbooks, from memory)
COMMON_STUD = 0.089  # m
JOIST, JOIST_LOSS = 0.16, 0.05  # m of depth from which a stud is a joist; loss factor of its wood
STUD_FACE = 0.038  # m, the face of a common stud that a board rests on
FIXING = 0.25  # m between screws along a stud: 0.2 at joints, 0.3 in the field (common practice, no source)
HEAD = 4e-3  # m, radius of a screw's head
CHANNEL_GAUGE, CHANNEL_FACE = 0.5e-3, 0.01  # m, of resilient channels; of their face, what its screws hold
STEEL_MODULUS, STEEL_DENSITY = 205e9 / (1 - 0.29**2), 7850.0


Ports = tuple[Complex, Complex, Complex]  # z11, z12, z22 [N s/m] of one fixing
Link = Callable[[Array, Array], Ports]  # of f and the wavenumber k_y along the line, broadcasting


@dataclass(frozen=True)
class Tie:
    """How a framing ties two leaves.

    pattern: "lattice" (studs with screws), "points", "springs" (points that act as one layer while bending
    waves are long), or "edge" (round the perimeter). link: from f and the
    wavenumber along the line to the impedances of one fixing. spacing [m] of the lines, of which the board
    is free over `span`; fixing [m] along them; per_area [1/m2] of points.
    """

    pattern: str
    link: Link
    per_area: float = 0.0
    spacing: float = 0.0
    span: float = 0.0
    fixing: float = FIXING


def spring(stiffness: Complex) -> Link:
    """A massless spring [N/m]."""

    def link(f: Array, along: Array) -> Ports:
        k = stiffness / (2j * np.pi * f)
        return k, -k, k

    return link


def rod(*, depth: float, length: float, loss: float) -> Link:
    """A joist between two boards: waves across its grain, its mass and stiffness spread over `depth` [m].

    length [m] of it that one fixing has. -j z cot(k depth) and j z / sin(k depth), z = rho c A (rod of the
    textbooks, e.g. Cremer and Heckl, chapter 2).
    """

    def link(f: Array, along: Array) -> Ports:
        speed = np.sqrt(WOOD_ACROSS * (1 + 1j * loss) / WOOD_DENSITY)
        z, x = WOOD_DENSITY * speed * STUD_FACE * length, 2 * np.pi * f / speed * depth
        own = -1j * z / np.tan(x)
        return own, 1j * z / np.sin(x), own

    return link


def strip(*, length: float, gauge: float, width: float, loss: float) -> Link:
    """A leg of sheet steel that bends, both ends held from turning: spring below its own resonance,
    carrier of bending waves above it.

    length of the leg, gauge and the width of it that one fixing has [m]. Dynamic stiffness of the
    Euler-Bernoulli beam, D k^3 (cos sinh + sin cosh)/(1 - cos cosh) and -D k^3 (sin + sinh)/(1 - cos cosh)
    (textbook result, e.g. Cremer and Heckl, chapter 4); 12 D/L^3 at low frequency.
    """

    def link(f: Array, along: Array) -> Ports:
        w = 2 * np.pi * f
        d = STEEL_MODULUS * gauge**3 / 12 * (1 + 1j * loss)
        k = (w**2 * STEEL_DENSITY * gauge / d) ** 0.25
        x = k * length
        scale = d * k**3 / (1 - np.cos(x) * np.cosh(x)) * width / (1j * w)
        own = scale * (np.cos(x) * np.sinh(x) + np.sin(x) * np.cosh(x))
        return own, -scale * (np.sin(x) + np.sinh(x)), own

    return link


def weighted(link: Link, *, first: float = 0.0, last: float = 0.0) -> Link:
    """A link with masses [kg] at its ends."""

    def heavier(f: Array, along: Array) -> Ports:
        z11, z12, z22 = link(f, along)
        w = 2j * np.pi * f
        return z11 + w * first, z12, z22 + w * last

    return heavier


def _local_compliance(leaf: AnyLeaf, outer: int) -> float:
    """Give [m/N] of a board round the head of a screw: indentation and shear of its thickness.

    (1 - nu^2)/(2 E a) + ln(h/a)/(2 pi G h), punch on a half space and annulus in shear (textbooks of
    elasticity), a the head's radius.
    """
    if isinstance(leaf, Pack):
        return _local_compliance(leaf.plates[outer], outer)
    if not isinstance(leaf, Plate):
        return 0.0
    modulus, h = float(np.mean(leaf.modulus)), float(np.mean(leaf.thickness))
    shear = SHEAR_FACTOR * modulus * (1 - leaf.poisson) / 2
    return 1 / (2 * modulus * HEAD) + max(math.log(h / HEAD), 0.0) / (2 * math.pi * shear * h)


def screwed(link: Link, leaves: tuple[AnyLeaf, AnyLeaf]) -> Link:
    """A link with the give c of the boards at its ends: Z (1 + j w c Z)^-1."""
    give1, give2 = _local_compliance(leaves[0], 0), _local_compliance(leaves[1], -1)

    def soft(f: Array, along: Array) -> Ports:
        z11, z12, z22 = link(f, along)
        c1, c2 = 2j * np.pi * f * give1, 2j * np.pi * f * give2
        det = (1 + c1 * z11) * (1 + c2 * z22) - c1 * c2 * z12**2
        both = z11 * z22 - z12**2
        return (z11 + c2 * both) / det, z12 / det, (z22 + c1 * both) / det

    return soft


Leaves = tuple[AnyLeaf, AnyLeaf]
Size = tuple[float, float]


def _lattice(c: Cavity, link: Link, leaves: Leaves) -> Tie:
    spacing = c.spacing or 0.4064
    span = spacing - STUD_FACE
    return Tie("lattice", screwed(link, leaves), 1 / (spacing * FIXING), spacing=spacing, span=span)


def _leg(name: str, gauge: float) -> Link:
    return strip(
        length=calibrated.value(f"{name}_leg"),
        gauge=gauge,
        width=FIXING,
        loss=calibrated.value(f"{name}_loss"),
    )


def _wood(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """Studs weigh next to nothing beside what they hold; joists do not."""
    if c.depth > JOIST:
        return _lattice(c, rod(depth=c.depth, length=FIXING, loss=JOIST_LOSS), leaves)
    return _lattice(c, spring(WOOD_ACROSS * STUD_FACE / c.depth * FIXING), leaves)


def _steel(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return _lattice(c, _leg("steel_stud", c.gauge or 0.5e-3), leaves)


def _channel(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """The channel hangs on one of the leaves, by its face; no description says on which: the lighter one."""
    face = STEEL_DENSITY * CHANNEL_GAUGE * CHANNEL_FACE * FIXING
    first = np.mean(leaves[0].mass) < np.mean(leaves[1].mass)
    leg = weighted(_leg("channel", CHANNEL_GAUGE), first=face * first, last=face * (not first))
    return _lattice(c, leg, leaves)


def _clip(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("points", spring(calibrated.value("clip_stiffness")), 1 / (c.spacing or 0.8) ** 2)


def _staggered(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """The leaves meet only at the common plates, top and bottom."""
    return Tie(
        "points", screwed(spring(WOOD_ACROSS * STUD_FACE / c.depth * FIXING), leaves), 2 / (size[1] * FIXING)
    )


def _double(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """Plates of their own meet through what they stand on; it weighs on the path at least as they do."""
    plate = WOOD_DENSITY * STUD_FACE * COMMON_STUD * FIXING
    link = weighted(spring(1e9 * (1 + 1j * JOIST_LOSS)), first=plate, last=plate)
    return Tie("points", screwed(link, leaves), 2 / (size[1] * FIXING))


def _wall_tie(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    step = c.spacing or 0.63
    link = spring(calibrated.value("tie_stiffness") * (1 + 1j * calibrated.value("tie_loss")))
    return Tie("springs", link, 1 / step**2, spacing=step)


def _hanger(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("points", screwed(spring(1e9), leaves), 1 / (c.spacing or 1.2) ** 2)


def _edge(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("edge", spring(1e12), spacing=size[0] * size[1] / (2 * sum(size)))


TIES: dict[str, Callable[[Cavity, Leaves, Size], Tie]] = {
    "wood stud": _wood,
    "steel stud": _steel,
    "resilient channel": _channel,
    "resilient clip": _clip,
    "staggered stud": _staggered,
    "double stud": _double,
    "wall tie": _wall_tie,
    "hanger": _hanger,
    "glazing spacer": _edge,
    "shared frame": _edge,
}


def tie(cavity: Cavity, *, kind: str, leaves: Leaves, size: Size) -> Tie | None:
    """The tie of a described cavity between two leaves, in a construction of `kind`; None where nothing
    ties them (double studs, separate frames, a wall's cavity without framing)."""
    framing = cavity.framing or ("shared frame" if kind == "window" else None)
    return TIES[framing](cavity, leaves, size) if framing in TIES else None
