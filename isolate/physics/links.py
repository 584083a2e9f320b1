"""What the named framings are: how each ties two leaves, in numbers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from isolate.bands import Array
from isolate.describe.constructions import Cavity
from isolate.describe.layers import USUAL_GAUGE, USUAL_SPACING, WALL_TIES
from isolate.physics import calibrated, studs
from isolate.physics.air import SPEED
from isolate.physics.checks import above_zero
from isolate.physics.layers import Complex
from isolate.physics.leaves import SHEAR_FACTOR, AnyLeaf, Pack, Plate, flat
from isolate.physics.ports import (
    STEEL_DENSITY,
    STUD_FACE,
    WOOD_ACROSS,
    WOOD_DENSITY,
    Link,
    Ports,
    rod,
    spring,
    strip,
    weighted,
)
from isolate.physics.studs import FIELD, HEAD, JOINT, Faces, Line, Places, evenly

COMMON_STUD = 0.089  # m
STUD, JOIST = 0.14, 0.18  # m of depth up to which wood is a stud, from which a joist (own choice)
JOIST_LOSS = 0.05  # loss factor of its wood
RUBBER_LOSS = 0.15  # loss factor of the rubber of clips (handbooks, from memory)
MOUNT_RESONANCE = 10.0  # Hz of a floor on its mounts, the air under it let out: 8 to 12 (common practice)
FIXING = 0.25  # m between screws along a stud: 0.2 at joints, 0.3 in the field (common practice, no source)
CHANNEL_GAUGE, CHANNEL_FACE = 0.5e-3, 0.01  # m, of resilient channels; of their face, what its screws hold
CHANNEL_DEPTH, CROSSING = 0.013, 0.4064  # m, of the channel; from one of the studs it crosses to the next
BEARING = ("floor", "ceiling")  # listed from above: what lies on a full layer of wool is carried by it
PATCH = 0.02  # m, of wool taken as one spring: small beside every bending wave
LEAST_STUD = 0.01  # m of depth


@dataclass(frozen=True)
class Tie:
    """How a framing ties two leaves.

    pattern: "lattice" (studs with screws), "points", "springs" (points that act as one layer while waves are
    long: bending waves, or those of the speed `wave` [m/s] where ties are soft), or "edge" (round the
    perimeter). link: from f and the wavenumber along the line to the impedances of one fixing. spacing [m] of
    the lines; per_area [1/m2] of points; line: the studs of a lattice. heavier: another link, of which the
    points have this share in dB; contact: of f (F,), what gives way [m2/N] where boards lie on the studs
    between screws.
    """

    pattern: str
    link: Link
    per_area: float = 0.0
    spacing: float = 0.0
    line: Line | None = None
    heavier: tuple[Link, float] | None = None
    contact: Callable[[Array], Complex] | None = None
    wave: float | None = None

    @property
    def shares(self) -> tuple[tuple[Link, float], ...]:
        """Links, and the share in dB that each has in what the points pass."""
        if self.heavier is None:
            return ((self.link, 1.0),)
        other, share = self.heavier
        return ((self.link, 1.0 - share), (other, share))


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
    """A link with the give c of the boards at its ends, Z (1 + j w c Z)^-1.

    Parameters
    ----------
    link : of one fixing [N s/m]. leaves : whose outer boards are screwed to it.

    Notes
    -----
    c = (1 - nu^2)/(2 E a) + ln(h/a)/(2 pi G h) [m/N], punch on a half space and annulus in shear, a the
    radius of the head (textbooks of elasticity).
    """
    give1, give2 = _give(leaves)

    def soft(f: Array, along: Array) -> Ports:
        z11, z12, z22 = link(f, along)
        c1, c2 = 2j * np.pi * f * give1, 2j * np.pi * f * give2
        det = (1 + c1 * z11) * (1 + c2 * z22) - c1 * c2 * z12**2
        both = z11 * z22 - z12**2
        return (z11 + c2 * both) / det, z12 / det, (z22 + c1 * both) / det

    return soft


Leaves = tuple[AnyLeaf, AnyLeaf]
Size = tuple[float, float]


def _apart(c: Cavity) -> float:
    """Spacing of a cavity's framing [m], the usual one where none is said."""
    return c.spacing or USUAL_SPACING[c.framing or "wood stud"]


def _lattice(c: Cavity, link: Link, leaves: Leaves, faces: Faces) -> Tie:
    """Studs that either leaf is screwed to; which of them has its joints there is not known."""
    spacing, cell = _apart(c), math.lcm(round(FIELD * 1e3), round(JOINT * 1e3)) / 1e3
    places = evenly(FIELD, cell), evenly(JOINT, cell)
    soft1, soft2 = _give(leaves)
    line = Line(spacing - STUD_FACE, cell, (places, places[::-1]), faces, lambda f: (soft1, soft2))
    return Tie("lattice", screwed(link, leaves), 1 / (spacing * FIXING), spacing=spacing, line=line)


def _give(leaves: Leaves) -> tuple[float, float]:
    """What the outer boards of two leaves give at a screw [m/N]."""
    return _local_compliance(leaves[0], 0), _local_compliance(leaves[1], -1)


def _leg(name: str, gauge: float) -> Link:
    return strip(
        length=calibrated.value(f"{name}_leg"),
        gauge=gauge,
        width=FIXING,
        loss=calibrated.value(f"{name}_loss"),
    )


def _wood(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """Studs weigh next to nothing beside what a screw holds; joists do not."""
    link = spring(WOOD_ACROSS * STUD_FACE / c.depth * FIXING)
    tie = _lattice(c, link, leaves, studs.wood(c.depth))
    share = min((c.depth - STUD) / (JOIST - STUD), 1.0)
    if share <= 0.0:
        return tie
    joist = screwed(rod(depth=c.depth, length=FIXING, loss=JOIST_LOSS), leaves)
    return replace(tie, heavier=(joist, share))


def _steel(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    gauge = c.gauge or USUAL_GAUGE
    gap = calibrated.value("steel_stud_gap")
    faces = studs.steel(depth=c.depth, gauge=gauge, gap=gap)
    tie = _lattice(c, studs.fixed(faces, FIXING), leaves, faces)

    def films(f: Array) -> Complex:  # one on either side
        return 2 / (2j * np.pi * f * studs.film(f, width=studs.STEEL_FLANGE, gap=gap))

    return replace(tie, contact=films)


def _channel(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """One leaf is screwed to the studs, the other hangs on channels across them, which hold it by a leg
    wherever they cross one. No description says which: the lighter one, the limper of two alike."""
    first = _lighter(leaves)
    cell = _apart(c)
    leg = _leg("channel", CHANNEL_GAUGE)
    face = STEEL_DENSITY * CHANNEL_GAUGE * CHANNEL_FACE * FIXING
    link = screwed(weighted(leg, first=face * first, last=face * (not first)), leaves)
    hung: Places = (cell / 2,)
    places = [(evenly(apart, cell), hung) for apart in (FIELD, JOINT)]
    soft = _give(leaves)

    def give(f: Array) -> tuple[Complex, Complex]:
        by_leg = -1 / (2j * np.pi * f * leg(f, f)[1])
        return (soft[0] + by_leg, soft[1]) if first else (soft[0], soft[1] + by_leg)

    line = Line(
        span=CROSSING - STUD_FACE,
        cell=cell,
        places=tuple(two[::-1] if first else two for two in places),
        faces=studs.wood(max(c.depth - CHANNEL_DEPTH, LEAST_STUD)),
        give=give,
    )
    return Tie("lattice", link, 1 / (cell * CROSSING), spacing=cell, line=line)


def _lighter(leaves: Leaves) -> bool:
    """Whether the first of two leaves is."""
    one, other = ((float(np.mean(leaf.mass)), float(np.mean(leaf.bending))) for leaf in leaves)
    return one < other


def _clip(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """Rubber, too soft for the leaves to feel where it sits."""
    apart = _apart(c)
    link = spring(calibrated.value("clip_stiffness") * (1 + 1j * RUBBER_LOSS))
    return Tie("springs", link, 1 / apart**2, spacing=apart, wave=SPEED)


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
    step = _apart(c)
    stiffness = calibrated.value(f"{c.ties or WALL_TIES[0]}_tie_stiffness")
    return Tie("springs", spring(stiffness * (1 + 1j * calibrated.value("tie_loss"))), 1 / step**2, step)


def _carrying(c: Cavity) -> Tie:
    """A board of wool that carries what lies on it: its skeleton, E/d, beside the air in it."""
    assert c.fill is not None and c.fill.skeleton is not None
    stiffness = c.fill.skeleton.typical / c.depth * PATCH**2
    return Tie("springs", spring(stiffness * (1 + 1j * calibrated.value("wool_loss"))), 1 / PATCH**2, PATCH)


@above_zero(mass="kg/m2")
def mount_stiffness(mass: float) -> float:
    """Stiffness per area [N/m3] of mounts as they are chosen for a floor, (2 pi f0)^2 m.

    Parameters
    ----------
    mass : of the floor [kg/m2].

    Raises
    ------
    ValueError
        A mass that is not above 0.
    """
    return float((2 * np.pi * MOUNT_RESONANCE) ** 2 * mass)


def _mount(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    """Rubber under a floor that floats, the lighter leaf."""
    apart = _apart(c)
    mass = min(float(np.mean(flat(leaf.mass))) for leaf in leaves)
    link = spring(mount_stiffness(mass) * apart**2 * (1 + 1j * RUBBER_LOSS))
    return Tie("springs", link, 1 / apart**2, spacing=apart)


def _hanger(c: Cavity, leaves: Leaves, size: Size) -> Tie:
    return Tie("points", screwed(spring(1e9), leaves), 1 / _apart(c) ** 2)


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
    "mount": _mount,
    "glazing spacer": _edge,
    "shared frame": _edge,
}


def carries(cavity: Cavity) -> bool:
    """Whether what lies above a cavity rests on its filling."""
    return cavity.framing is None and cavity.full


def tie(cavity: Cavity, *, kind: str, leaves: Leaves, size: Size) -> Tie | None:
    """The tie of a described cavity between two leaves.

    Parameters
    ----------
    cavity : its framing. kind : of the construction. leaves : about the cavity. size : (width, height) [m].

    Returns
    -------
    Tie, or None where nothing ties them (separate frames, a wall's cavity without framing).
    """
    if kind in BEARING and carries(cavity) and cavity.fill is not None and cavity.fill.skeleton is not None:
        return _carrying(cavity)
    framing = cavity.framing or ("shared frame" if kind == "window" else None)
    return TIES[framing](cavity, leaves, size) if framing in TIES else None
