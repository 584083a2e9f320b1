"""Studs between two leaves: beams, with what gives between their faces and the beam.

A stud is told by its mobilities: the velocity of one face per force on a line along it, at a wavenumber along
the stud. Screws meet it in one place on one leaf and in others on the other leaf, so that what goes from leaf
to leaf has to go along the stud between them, which bends, shears and has mass.

Reference: S. Timoshenko's beam (L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed. (1988), chapter 2).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.physics.layers import Complex
from isolate.physics.ports import (
    STEEL_DENSITY,
    STEEL_POISSON,
    STEEL_YOUNG,
    STUD_FACE,
    WOOD_SHEAR,
    WOOD_YOUNG,
    Link,
    rod,
    strip,
)

Mobilities = tuple[Complex, Complex, Complex]  # y11, y12, y22 of the faces [m2/(N s)]
Faces = Callable[[Array, Array], Mobilities]  # of f and the wavenumber along the stud, broadcasting
Places = tuple[float, ...]

FIELD, JOINT = 0.3, 0.2  # m between screws: within a board and at its joints (common practice, no source)
SHEAR_FACTOR = 5.0 / 6.0
WOOD_LOSS, STEEL_LOSS = 0.05, 0.02
STEEL_FLANGE, STEEL_LIP = 0.035, 0.006  # m, of common studs (common practice, no source)
STEEL_SHEAR = STEEL_YOUNG / (2 * (1 + STEEL_POISSON))


@dataclass(frozen=True)
class Line:
    """A stud and the places where leaves are fixed to it, which repeat along it.

    span [m] of board between two such lines; cell [m] after which the places repeat; places [m] of the
    fixings of leaf 1 and of leaf 2 within it, arrangements to take the mean of; faces: the stud's
    mobilities; give: of f (F,) what a fixing gives on leaf 1 and 2 [m/N].
    """

    span: float
    cell: float
    places: tuple[tuple[Places, Places], ...]
    faces: Faces
    give: Callable[[Array], tuple[Complex, Complex]]


def evenly(apart: float, cell: float) -> Places:
    """Places [m] about `apart` from each other, symmetrical within a cell."""
    count = max(round(cell / apart), 1)
    return tuple((i + 0.5) * cell / count for i in range(count))


def beam(f: Array, along: Array, *, bending: Complex, shear: Complex, mass: float) -> Complex:
    """Line impedance [N s/m2] of a beam: bending stiffness E I [N m2], shear stiffness k G A [N], mass
    [kg/m]; broadcast of f [Hz] and the wavenumber `along` [1/m]."""
    w = 2 * np.pi * f
    q2 = along * along
    return (bending * q2 * q2 / (1 + bending * q2 / shear) - w**2 * mass) / (1j * w)


def about(half: Link, core: Callable[[Array, Array], Complex]) -> Faces:
    """A beam of line impedance `core` with `half` (of one metre) between it and either face."""

    def faces(f: Array, along: Array) -> Mobilities:
        own, through, inner = half(f, along)
        middle = through**2 / (2 * inner + core(f, along))
        z11, z12 = own - middle, -middle
        det = z11 * z11 - z12 * z12
        return z11 / det, -z12 / det, z11 / det

    return faces


def wood(depth: float) -> Faces:
    """A stud or joist of softwood, `depth` [m] from face to face: a beam along the grain, a rod across it."""
    lossy, area = 1 + 1j * WOOD_LOSS, STUD_FACE * depth
    bending = WOOD_YOUNG * lossy * area * depth**2 / 12
    shear = SHEAR_FACTOR * WOOD_SHEAR * lossy * area

    def core(f: Array, along: Array) -> Complex:  # its mass is that of the rods
        return beam(f, along, bending=bending, shear=shear, mass=0.0)

    return about(rod(depth=depth / 2, length=1.0, loss=WOOD_LOSS), core)


def steel(*, depth: float, gauge: float, leg: float, loss: float) -> Faces:
    """A stud of thin steel, `depth` and `gauge` [m]: its web a beam, either flange hanging on it by half of
    what bends, a leg of length `leg` [m] from face to face."""
    lossy, flange = STEEL_YOUNG * (1 + 1j * STEEL_LOSS), STEEL_FLANGE * gauge
    bending = lossy * (flange * depth**2 / 2 + gauge * depth**3 / 12)
    shear, mass = STEEL_SHEAR * gauge * depth, STEEL_DENSITY * gauge * (depth + 2 * STEEL_FLANGE)
    stiff = lossy * _angle(STEEL_FLANGE, STEEL_LIP) * gauge
    bent = strip(length=leg / 2 ** (1 / 3), gauge=gauge, width=1.0, loss=loss)  # twice as stiff

    def half(f: Array, along: Array) -> tuple[Complex, Complex, Complex]:
        own, through, inner = bent(f, along)
        return own + beam(f, along, bending=stiff, shear=np.inf, mass=0.0), through, inner

    def core(f: Array, along: Array) -> Complex:
        return beam(f, along, bending=bending, shear=shear, mass=mass)

    return about(half, core)


def _angle(flange: float, lip: float) -> float:
    """Second moment of area per thickness [m3] of a thin flange with a lip, about their common centroid."""
    return lip**3 / 3 - (lip**2 / 2) ** 2 / (flange + lip)
