"""What the named framings are: how they tie two leaves, in numbers."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from isolate.describe.constructions import Cavity
from isolate.physics import calibrated

WOOD_DENSITY = 450.0  # kg/m3, softwood studs
WOOD_ACROSS = 0.35e9  # Pa, modulus of softwood across the grain (handbooks, from memory)
STUD_WIDTH = 0.038  # m, of the narrow face of a common stud
SCREW_SPACING = 0.3  # m along a stud (common practice, no source)
STEEL_DENSITY = 7850.0


@dataclass(frozen=True)
class Tie:
    """How a framing ties two leaves.

    pattern: "lattice" (studs with screws), "points" or "edge" (round the perimeter).
    spacing [m] of the lines; fixing [m] along them; per_area [1/m2] of points; mass [kg/m]; stiffness [N/m]
    of one fixing, link and screw in series.
    """

    pattern: str
    stiffness: float
    spacing: float = 0.0
    fixing: float = SCREW_SPACING
    per_area: float = 0.0
    mass: float = 0.0


def _series(*stiffnesses: float) -> float:
    return 1.0 / sum(1.0 / k for k in stiffnesses)


def _lattice(c: Cavity, per_metre: float, mass: float = 0.0) -> Tie:
    spacing = c.spacing or 0.4064
    screw = calibrated.value("screw_stiffness")
    stiffness = _series(per_metre * SCREW_SPACING, screw)
    return Tie("lattice", stiffness, spacing, per_area=1 / (spacing * SCREW_SPACING), mass=mass)


def _wood(c: Cavity, size: tuple[float, float]) -> Tie:
    return _lattice(c, WOOD_ACROSS * STUD_WIDTH / c.depth)


def _steel(c: Cavity, size: tuple[float, float]) -> Tie:
    gauge = (c.gauge or 0.5e-3) / 0.5e-3
    return _lattice(c, calibrated.value("steel_stud_stiffness") * gauge**3)


def _channel(c: Cavity, size: tuple[float, float]) -> Tie:
    return _lattice(c, calibrated.value("channel_stiffness"))


def _clip(c: Cavity, size: tuple[float, float]) -> Tie:
    spacing = c.spacing or 0.8
    return Tie("points", calibrated.value("clip_stiffness"), per_area=1 / spacing**2)


def _plates(c: Cavity, size: tuple[float, float]) -> Tie:
    """Staggered studs: the leaves meet only at the plates, top and bottom."""
    per_area = 2 / (size[1] * SCREW_SPACING)
    return Tie("points", calibrated.value("screw_stiffness"), per_area=per_area)


def _wall_tie(c: Cavity, size: tuple[float, float]) -> Tie:
    return Tie("points", calibrated.value("tie_stiffness"), per_area=1 / (c.spacing or 0.63) ** 2)


def _hanger(c: Cavity, size: tuple[float, float]) -> Tie:
    return Tie("points", calibrated.value("screw_stiffness"), per_area=1 / (c.spacing or 1.2) ** 2)


def _edge(c: Cavity, size: tuple[float, float]) -> Tie:
    return Tie("edge", math.inf, spacing=size[0] * size[1] / (2 * sum(size)))


TIES: dict[str, Callable[[Cavity, tuple[float, float]], Tie]] = {
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


def tie(cavity: Cavity, *, kind: str, size: tuple[float, float]) -> Tie | None:
    """The tie of a described cavity in a construction of `kind`; None where nothing ties the leaves
    (double studs, separate frames, a wall's cavity without framing)."""
    framing = cavity.framing or ("shared frame" if kind == "window" else None)
    return TIES[framing](cavity, size) if framing in TIES else None
