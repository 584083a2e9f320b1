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
from isolate.physics.leaves import SHEAR_FACTOR, AnyLeaf, Plate

WOOD_ACROSS = 0.35e9  # Pa, modulus of softwood across the grain (handbooks, from memory)
WOOD_DENSITY = 450.0  # kg/m3, softwood of studs and plates (handbooks, from memory)
STUD_FACE = 0.038  # m, the face of a common stud that a board rests on
FIXING = 0.3  # m between screws along a stud (common practice, no source)
HEAD = 4e-3  # m, radius of a screw's head
STEEL_MODULUS, STEEL_DENSITY = 205e9 / (1 - 0.29**2), 7850.0


@dataclass(frozen=True)
class Tie:
    """How a framing ties two leaves.

    pattern: "lattice" (studs with screws), "points", or "edge" (round the perimeter). link: f to the
    impedances (z11, z12) [N s/m] of one fixing. spacing [m] of the lines, of which the board is free
    over `span`; fixing [m] along them; per_area [1/m2] of points.
    """

    pattern: str
    link: Callable[[Array], tuple[Complex, Complex]]
    per_area: float = 0.0
    spacing: float = 0.0
    span: float = 0.0
    fixing: float = FIXING

    def impedance(self, f: Array) -> tuple[Complex, Complex]:
        """(z11, z12) [N s/m] of one fixing at f [Hz]."""
        return self.link(f)


def spring(stiffness: float, *, mass: float = 0.0) -> Callable[[Array], tuple[Complex, Complex]]:
    """A massless spring [N/m] between two halves of a mass [kg]."""

    def link(f: Array) -> tuple[Complex, Complex]:
        k = stiffness / (2j * np.pi * f)
        return k + 1j * np.pi * f * mass, -k

    return link


def strip(
    *, length: float, gauge: float, width: float, loss: float
) -> Callable[[Array], tuple[Complex, Complex]]:
    """A leg of sheet steel that bends, both ends held from turning: spring below its own resonance,
    carrier of bending waves above it.

    length of the leg, gauge and the width of it that one fixing has [m]. Dynamic stiffness of the
    Euler-Bernoulli beam, D k^3 (cos sinh + sin cosh)/(1 - cos cosh) and -D k^3 (sin + sinh)/(1 - cos cosh)
    (textbook result, e.g. Cremer and Heckl, chapter 4); 12 D/L^3 at low frequency.
    """

    def link(f: Array) -> tuple[Complex, Complex]:
        w = 2 * np.pi * f
        d = STEEL_MODULUS * gauge**3 / 12 * (1 + 1j * loss)
        k = (w**2 * STEEL_DENSITY * gauge / d) ** 0.25
        x = k * length
        scale = d * k**3 / (1 - np.cos(x) * np.cosh(x)) * width / (1j * w)
        own = np.cos(x) * np.sinh(x) + np.sin(x) * np.cosh(x)
        return scale * own, -scale * (np.sin(x) + np.sinh(x))

    return link


def _local_compliance(leaf: AnyLeaf) -> float:
    """Give [m/N] of a board round the head of a screw: indentation and shear of its thickness.

    (1 - nu^2)/(2 E a) + ln(h/a)/(2 pi G h), punch on a half space and annulus in shear (textbooks of
    elasticity), a the head's radius.
    """
    plates = leaf.plates if hasattr(leaf, "plates") else (leaf,)
    outer = plates[0]
    if not isinstance(outer, Plate):
        return 0.0
    modulus, h = float(np.mean(outer.modulus)), float(np.mean(outer.thickness))
    shear = SHEAR_FACTOR * modulus * (1 - outer.poisson) / 2
    return 1 / (2 * modulus * HEAD) + max(math.log(h / HEAD), 0.0) / (2 * math.pi * shear * h)


def _screwed(
    link: Callable[[Array], tuple[Complex, Complex]], leaves: tuple[AnyLeaf, AnyLeaf]
) -> Callable[[Array], tuple[Complex, Complex]]:
    """A link with the give of the boards at both ends, the same at each: it adds to the compliance of
    both the joint and the opposed motion."""
    give = sum(_local_compliance(leaf) for leaf in leaves) / 2

    def soft(f: Array) -> tuple[Complex, Complex]:
        z11, z12 = link(f)
        jwc = 2j * np.pi * f * give
        joint, opposed = z11 + z12, z11 - z12
        joint, opposed = joint / (1 + jwc * joint), opposed / (1 + jwc * opposed)
        return (joint + opposed) / 2, (joint - opposed) / 2

    return soft


Leaves = tuple[AnyLeaf, AnyLeaf]
Size = tuple[float, float]


def _lattice(c: Cavity, link: Callable[[Array], tuple[Complex, Complex]], leaves: Leaves) -> Tie:
    spacing = c.spacing or 0.4064
    return Tie(
        "lattice",
        _screwed(link, leaves),
        1 / (spacing * FIXING),
        spacing=spacing,
        span=spacing - STUD_FACE / 2,
    )


def _wood(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return _lattice(c, spring(WOOD_ACROSS * STUD_FACE / c.depth * FIXING), leaves)


def _steel(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    gauge = c.gauge or 0.5e-3
    leg = strip(
        length=calibrated.value("steel_stud_leg"),
        gauge=gauge,
        width=FIXING,
        loss=calibrated.value("steel_stud_loss"),
    )
    return _lattice(c, leg, leaves)


def _channel(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    leg = strip(
        length=calibrated.value("channel_leg"),
        gauge=0.5e-3,
        width=FIXING,
        loss=calibrated.value("channel_loss"),
    )
    return _lattice(c, leg, leaves)


def _clip(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("points", spring(calibrated.value("clip_stiffness")), 1 / (c.spacing or 0.8) ** 2)


def _plates(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """Staggered studs: the leaves meet only at the plates, top and bottom, whose mass stands between."""
    mass = WOOD_DENSITY * STUD_FACE * c.depth * FIXING
    link = spring(WOOD_ACROSS * STUD_FACE / c.depth * FIXING, mass=mass)
    return Tie("points", _screwed(link, leaves), 2 / (size[1] * FIXING))


def _wall_tie(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("points", spring(calibrated.value("tie_stiffness")), 1 / (c.spacing or 0.63) ** 2)


def _hanger(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("points", _screwed(spring(1e9), leaves), 1 / (c.spacing or 1.2) ** 2)


def _edge(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("edge", spring(1e12), spacing=size[0] * size[1] / (2 * sum(size)))


TIES: dict[str, Callable[[Cavity, Leaves, Size], Tie]] = {
    "wood stud": _wood,
    "steel stud": _steel,
    "resilient channel": _channel,
    "resilient clip": _clip,
    "staggered stud": _plates,
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
