"""Constructions: layers from the noisy side to the listener, or a measurement without layers."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from isolate.bands import Array
from isolate.describe.materials import Material

KINDS = ("wall", "window", "door", "ceiling", "floor", "roof", "sheet")
BONDS = ("screwed", "glued", "damped")
GASES = ("air", "argon", "krypton")
EDGES = ("bare", "absorbent")
FRAMINGS = (
    "wood stud", "steel stud", "resilient channel", "resilient clip", "staggered stud", "double stud",
    "wall tie", "glazing spacer", "hanger", "shared frame", "separate frames",
)  # fmt: skip


@dataclass(frozen=True)
class Leaf:
    """A solid leaf: `sheets` equal sheets of `thickness` [m], joined among themselves (and to a leaf
    that follows without a cavity) by `bond`. Overrides are None unless the file gives them (SI)."""

    material: Material
    thickness: float
    sheets: int = 1
    bond: str = "screwed"
    density: float | None = None
    surface_mass: float | None = None
    youngs_modulus: float | None = None
    loss_factor: float | None = None


@dataclass(frozen=True)
class Cavity:
    """A gas gap of `depth` [m], filled to `fill_depth` [m] if `fill` is set; `spacing` [m] centre to
    centre, `gauge` [m] of steel studs. In a window, framing None means panes in one shared frame."""

    depth: float
    fill: Material | None = None
    fill_depth: float = 0.0
    gas: str = "air"
    edges: str = "bare"
    framing: str | None = None
    spacing: float | None = None
    gauge: float | None = None


@dataclass(frozen=True)
class Measured:
    """A published or own measurement; arrays as given, not yet spread to the 27 bands."""

    source: str
    basis: str  # read | memory | own
    bands_hz: Array = field(default_factory=lambda: np.empty(0))
    tl_db: Array = field(default_factory=lambda: np.empty(0))
    stc: float | None = None
    rw: float | None = None
    c: float | None = None
    ctr: float | None = None
    doubt: str = ""


@dataclass(frozen=True)
class Construction:
    """A described construction. `size` is (width, height) [m] or None; `name` is the catalogue's name,
    a path or the inline text it was read from."""

    name: str
    title: str
    kind: str
    layers: tuple[Leaf | Cavity, ...]
    size: tuple[float, float] | None = None
    measured: Measured | None = None
    about: str = ""
