"""Studs between two leaves: beams, with what gives between their faces and the beam.

A stud is told by its mobilities: the velocity of one face per force on a line along it, at a wavenumber along
the stud. Screws meet it in one place on one leaf and in others on the other leaf, so that what goes from leaf
to leaf has to go along the stud between them, which bends, shears and has mass.

Reference: S. Timoshenko's beam (L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed. (1988), chapter 2).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.physics.air import PRESSURE, VISCOSITY
from isolate.physics.checks import above_zero, at_least_zero
from isolate.physics.layers import Complex, tanh
from isolate.physics.leaves import SHEAR_FACTOR
from isolate.physics.ports import (
    STEEL_DENSITY,
    STEEL_POISSON,
    STEEL_YOUNG,
    STUD_FACE,
    WOOD_SHEAR,
    WOOD_YOUNG,
    Link,
    rod,
)

Mobilities = tuple[Complex, Complex, Complex]  # y11, y12, y22 of the faces [m2/(N s)]
# Of f and the wavenumber along the stud, broadcasting: velocity by force; where screws also keep a face from
# turning, velocity by moment (and turning by force), turning by moment.
Faces = Callable[[Array, Array], tuple[Mobilities, ...]]
Places = tuple[float, ...]

FIELD, JOINT = 0.3, 0.2  # m between screws: within a board and at its joints (common practice, no source)
WOOD_LOSS, STEEL_LOSS = 0.05, 0.02  # with fixings and screws (handbooks, from memory)
SHEET_LOSS = 0.08  # of thin sheet screwed to boards; 0.05 to 0.12 change no published row by 0.4 dB
HEAD = 4e-3  # m, radius of a screw's head
BEND = 1.5e-3  # m, radius of the corners of a steel stud (common practice, no source)
STEEL_FLANGE, STEEL_LIP = 0.035, 0.006  # m, of common studs (common practice, no source)
ARM = STEEL_FLANGE / 2 - BEND  # m, of flange that bends between a screw in its middle and the web
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


@above_zero(apart="m", cell="m")
def evenly(apart: float, cell: float) -> Places:
    """Places [m] about `apart` from each other, symmetrical within a cell.

    Parameters
    ----------
    apart, cell : [m].

    Raises
    ------
    ValueError
        One of them that is not above 0.
    """
    count = max(round(cell / apart), 1)
    return tuple((i + 0.5) * cell / count for i in range(count))


def beam(f: Array, along: Array, *, bending: Complex, shear: Complex, mass: float) -> Complex:
    """Line impedance [N s/m2] of a beam, broadcast of `f` and `along`.

    Parameters
    ----------
    f : [Hz]. along : wavenumber along it [1/m]. bending : E I [N m2]. shear : k G A [N]. mass : [kg/m].

    Notes
    -----
    (B q^4/(1 + B q^2/S) - w^2 m)/(j w): Timoshenko's beam without rotary inertia, see the head of the module.
    """
    w = 2 * np.pi * f
    q2 = along * along
    return (bending * q2 * q2 / (1 + bending * q2 / shear) - w**2 * mass) / (1j * w)


def about(half: Link, core: Callable[[Array, Array], Complex]) -> Faces:
    """A beam of line impedance `core` with `half` (of one metre) between it and either face."""

    def faces(f: Array, along: Array) -> tuple[Mobilities, ...]:
        own, through, inner = half(f, along)
        middle = through**2 / (2 * inner + core(f, along))
        z11, z12 = own - middle, -middle
        det = z11 * z11 - z12 * z12
        return ((z11 / det, -z12 / det, z11 / det),)

    return faces


@above_zero(depth="m")
def wood(depth: float) -> Faces:
    """A stud or joist of softwood: a beam along the grain, a rod across it.

    Parameters
    ----------
    depth : from face to face [m].

    Returns
    -------
    Mobilities of the faces, of frequency [Hz] and wavenumber along the stud [1/m].

    Raises
    ------
    ValueError
        A depth that is not above 0.

    Notes
    -----
    `beam` between two halves of `ports.rod`; nothing turns. References at the head of the module.
    """
    lossy, area = 1 + 1j * WOOD_LOSS, STUD_FACE * depth
    bending = WOOD_YOUNG * lossy * area * depth**2 / 12
    shear = SHEAR_FACTOR * WOOD_SHEAR * lossy * area

    def core(f: Array, along: Array) -> Complex:  # its mass is that of the rods
        return beam(f, along, bending=bending, shear=shear, mass=0.0)

    return about(rod(depth=depth / 2, length=1.0, loss=WOOD_LOSS), core)


@above_zero(depth="m", gauge="m", gap="m")
def steel(*, depth: float, gauge: float, gap: float, loss: float = SHEET_LOSS) -> Faces:
    """A C of thin sheet steel between two boards, as a folded plate.

    Parameters
    ----------
    depth : from face to face [m]; gauge : thickness of the sheet [m]; gap : of air between flange and board
    [m]; loss : loss factor of the sheet in a wall.

    Returns
    -------
    Mobilities of the faces by frequency [Hz] and wavenumber along the stud [1/m], broadcasting: velocity by
    force, velocity by moment, turning by moment.

    Raises
    ------
    ValueError
        A depth, gauge or gap that is not above 0, a loss below 0.

    Notes
    -----
    Screws hold either flange flat in its middle. From there to the corner it bends as a strip of plate, an
    arm of `ARM`, and turns the corner, which the web resists as a strip too (`ends`). Between screws nothing
    but the film of air (`pivot`) keeps the flange from turning about them: a dashpot, so that thin studs are
    held by it from 100 Hz up, thick ones later, and gauge counts for less than its cube. Soft while the web
    just bows, the stud stiffens by several times where the web's own bending resonance is passed and its mass
    holds the corners: at 310 Hz for 92 mm of 0.5 mm. In their planes arms and web are rigid, but for the stud
    as a beam, bending and shearing along itself. Boards that move alike turn both corners one way, boards
    that move apart turn them oppositely, so that each case is one arm with half a web.

    References
    ----------
    Stiffness that rises with frequency: J. Poblet-Puig et al., Acta Acustica 95 (2009) 555; J. L. Davy et
    al., J. Acoust. Soc. Am. 131 (2012) (both from memory).
    """
    at_least_zero("loss", loss, "1")
    lossy, flange = STEEL_YOUNG * (1 + 1j * STEEL_LOSS), STEEL_FLANGE * gauge
    bending = lossy * (flange * depth**2 / 2 + gauge * depth**3 / 12)
    shear, mass = STEEL_SHEAR * gauge * depth, STEEL_DENSITY * gauge
    stiff = lossy * _angle(STEEL_FLANGE, STEEL_LIP) * gauge
    outer = STEEL_FLANGE - ARM
    rest, swing = mass * (outer + STEEL_LIP), mass * (outer**3 / 3 + STEEL_LIP * outer**2)
    twist = STEEL_SHEAR * gauge**3 / 3 * (outer + STEEL_LIP)
    plate = STEEL_YOUNG / (1 - STEEL_POISSON**2) * gauge**3 / 12 * (1 + 1j * loss)

    def faces(f: Array, along: Array) -> tuple[Mobilities, ...]:
        (even, odd), (web_apart, web_alike) = ends(f, along, bending=plate, mass=mass, widths=(ARM, depth))
        w, q2 = 2 * np.pi * f, along * along
        own, far = (even[0] + odd[0]) / 2, (even[0] - odd[0]) / 2  # at the screw and at the corner
        near, there = (even[1] - odd[1]) / 2, (even[1] + odd[1]) / 2
        turn, over = (even[2] + odd[2]) / 2, (even[2] - odd[2]) / 2
        face = own + 1j * w * beam(f, along, bending=stiff, shear=np.inf, mass=rest)
        free = turn + twist * q2 - swing * w**2 + pivot(f, width=STEEL_FLANGE, gap=gap)
        by = 1 / (turn + web_apart[2])
        apart = face - near**2 * by, there - near * over * by, free - over**2 * by
        corner = own + 1j * w * beam(f, along, bending=bending, shear=shear, mass=mass * depth) / 2
        turned = turn + web_alike[2]
        by = 1 / (corner * turned - there**2)
        alike = (
            face - (far**2 * turned - 2 * far * near * there + near**2 * corner) * by,
            there - (far * near * turned - (far * over + near**2) * there + near * over * corner) * by,
            free - (near**2 * turned - 2 * near * over * there + over**2 * corner) * by,
        )
        half = 0.5j * w
        inverse = [(c * d, -b * d, a * d) for a, b, c in (alike, apart) for d in [half / (a * c - b * b)]]
        halves = [(x + y, x - y) for x, y in zip(*inverse, strict=True)]
        return tuple((same, other, same) for same, other in halves)

    return faces


Edge = tuple[Complex, Complex, Complex]


def ends(
    f: Array, along: Array, *, bending: Complex, mass: float, widths: Sequence[float]
) -> list[tuple[Edge, Edge]]:
    """Dynamic stiffness of strips of plate at their two long edges, moving evenly and oddly about the middle.

    Parameters
    ----------
    f [Hz] and wavenumber `along` the strips [1/m], broadcasting; bending : stiffness [N m]; mass : [kg/m2];
    widths : from edge to edge [m], a strip each.

    Returns
    -------
    Of each strip, per length of either edge: force by deflection [N/m2], force by slope or moment by
    deflection [N/m], moment by slope [N]; first for edges that deflect alike (their slopes opposite), then
    for edges that deflect oppositely.

    Notes
    -----
    Thin plate, w = A cosh(r1 x) + C cosh(r2 x), r1^2 = along^2 + k^2, r2^2 = along^2 - k^2, k^4 = w^2 m/B,
    and sinh for the odd one; with along = 0 the dynamic stiffness of a beam (Cremer and Heckl, chapter 4).
    By r1 tanh(r1 width/2) and r2 tanh(r2 width/2), for the odd one with the tangents in the denominator.
    """
    k2, q2 = 2 * np.pi * f * np.sqrt(mass / bending), along * along
    r1, r2 = _root(q2 + k2), _root(q2 - k2)
    twice, bent = 2 * bending * k2, q2 * (bending * (1 - STEEL_POISSON))
    out = []
    for width in widths:
        t1, t2 = tanh(r1 * (width / 2)), tanh(r2 * (width / 2))

        def edge(a: Complex, b: Complex) -> Edge:
            by = twice / (a - b)
            return by * a * b, bent - by * (a + b) / 2, by

        out.append((edge(r1 * t1, r2 * t2), edge(r1 / t1, r2 / t2)))
    return out


def _root(z: Complex) -> Complex:
    """Square root with a real part above zero; in real numbers, which a complex one takes three times as long
    as."""
    x, y = np.real(z), np.imag(z)
    large = np.sqrt(x * x + y * y)
    large += np.abs(x)
    large *= 0.5
    np.sqrt(large, out=large)
    small = 0.5 * y / large
    root = np.empty(large.shape, complex)
    root.real = np.where(x >= 0, large, np.abs(small))
    root.imag = np.where(x >= 0, small, np.copysign(large, y))
    return root


@above_zero(apart="m")
def fixed(faces: Faces, apart: float) -> Link:
    """A stud as the link that one screw of many has, opposite each other.

    Parameters
    ----------
    faces : of the stud. apart : from screw to screw [m].

    Raises
    ------
    ValueError
        A distance that is not above 0.

    Notes
    -----
    Sum over the harmonics k + 2 pi n/apart that are longer than the stud's face is wide; faces that turn are
    kept flat at the screws.
    """
    count = apart // STUD_FACE
    orders = np.arange(-count, count + 1)

    def link(f: Array, along: Array) -> tuple[Complex, Complex, Complex]:
        waves = along + 2 * np.pi / apart * orders.reshape(-1, *(1,) * np.ndim(along))
        force, *turning = (tuple(y.sum(0) / apart for y in of) for of in faces(f, waves))
        y11, y12, y22 = force
        if turning:
            y11, y12, y22 = _kept_flat(force, *turning)
        det = y11 * y22 - y12 * y12
        return y22 / det, -y12 / det, y11 / det

    return link


def _kept_flat(force: Mobilities, mixed: Mobilities, moment: Mobilities) -> Mobilities:
    """Mobilities of two places that do not turn."""

    def matrix(of: Mobilities) -> Complex:
        return np.moveaxis(np.array([[of[0], of[1]], [of[1], of[2]]]), (0, 1), (-2, -1))

    y, by, own = (matrix(of) for of in (force, mixed, moment))
    left = y - by @ np.linalg.solve(own, by)
    return left[..., 0, 0], left[..., 0, 1], left[..., 1, 1]


@above_zero(f="Hz", width="m", gap="m")
def film(f: Array, *, width: float, gap: float) -> Complex:
    """Impedance per length [N s/m2] of the air between a board and the flange it lies on, (F,).

    Parameters
    ----------
    f : (F,) [Hz]; width : of the flange [m]; gap : between the two [m].

    Notes
    -----
    P0 b/(j w h) (1 - tanh(x)/x), x = sqrt(j s)/2, s = 12 mu w b^2/(P0 h^2): isothermal squeeze film between
    parallel strips with open edges. A dashpot mu b^3/h^3 while the air has time to leave, a spring P0 b/h
    when it has not.

    References
    ----------
    W. E. Langlois, Q. Appl. Math. 20 (1962) 131; for joints of plates, G. Maidanik, J. Acoust. Soc. Am. 40
    (1966) 1064 (both from memory).
    """
    w = 2 * np.pi * f
    x = np.sqrt(12j * VISCOSITY * w / PRESSURE) * width / gap / 2
    return np.asarray(PRESSURE * width / (1j * w * gap) * (1 - np.tanh(x) / x))


@above_zero(f="Hz", width="m", gap="m")
def pivot(f: Array, *, width: float, gap: float) -> Complex:
    """Moment per length and angle [N] of the same film when the flange turns about its middle, (F,).

    Notes
    -----
    P0 b^3/(12 h) (1 - 3 (x coth x - 1)/x^2) with x of `film`: j w mu b^5/(60 h^3) while the air has time to
    leave, P0 b^3/(12 h) when it has not.
    """
    x = np.sqrt(12j * VISCOSITY * 2 * np.pi * f / PRESSURE) * width / gap / 2
    return np.asarray(PRESSURE * width**3 / (12 * gap) * (1 - 3 * (x / np.tanh(x) - 1) / x**2))


def _angle(flange: float, lip: float) -> float:
    """Second moment of area per thickness [m3] of a thin flange with a lip, about their common centroid."""
    return lip**3 / 3 - (lip**2 / 2) ** 2 / (flange + lip)
