"""Layers of a construction: leaves and cavities, and reading them from ``[[layer]]``."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from isolate.describe.materials import Material, find, material
from isolate.describe.reading import Table, number, one_of, quantity, whole
from isolate.errors import shown
from isolate.units import show_length

BONDS = ("screwed", "glued", "damped")
GASES = ("air", "argon", "krypton")
EDGES = ("bare", "absorbent")
FRAMINGS = (
    "wood stud", "steel stud", "resilient channel", "resilient clip", "staggered stud", "double stud",
    "wall tie", "glazing spacer", "hanger", "shared frame", "separate frames", "mount",
)  # fmt: skip
WALL_TIES = ("wire", "strip")
# What is taken when a file does not say (common practice, no source): centre to centre of studs,
# channels and hangers; of clips, mounts and ties the side of the square that one holds.
USUAL_SPACING = {
    "wood stud": 0.4064, "steel stud": 0.6096, "resilient channel": 0.6096, "resilient clip": 0.8,
    "staggered stud": 0.4064, "double stud": 0.4064, "wall tie": 0.63, "hanger": 1.2, "mount": 0.6,
}  # fmt: skip
WIDE = 0.04  # m, from which a gap between panes is no insulating unit's (they have up to 36 mm)
USUAL_GAUGE = 0.5e-3  # m, the thin sheet of common partition studs
NO_GAUGE = (
    f"steel stud: no gauge stated, {show_length(USUAL_GAUGE)} taken; thicker steel is worse, write "
    'gauge = "0.85 mm" in a file'
)
NO_TIES = (
    f'wall tie: no kind stated, {WALL_TIES[0]} taken; flat strips are worse, write ties = "strip" in a file'
)


@dataclass(frozen=True)
class Leaf:
    """A solid leaf: `sheets` equal sheets of `thickness` [m], joined among themselves (and to a leaf
    that follows without a cavity) by `bond`. Overrides are None unless the file gives them (SI)."""

    material: Material
    thickness: float
    sheets: int = 1
    bond: str = "screwed"
    density: float | None = None
    surface_mass: float | None = None  # of one sheet
    youngs_modulus: float | None = None
    loss_factor: float | None = None


@dataclass(frozen=True)
class Cavity:
    """A gas gap of `depth` [m], filled to `fill_depth` [m] if `fill` is set; `spacing` [m] centre to
    centre, `gauge` [m] of steel studs; `ties` of brick leaves, one of `WALL_TIES`. In a window, framing None
    means panes in one shared frame."""

    depth: float
    fill: Material | None = None
    fill_depth: float = 0.0
    gas: str = "air"
    edges: str = "bare"
    framing: str | None = None
    spacing: float | None = None
    gauge: float | None = None
    ties: str | None = None

    @property
    def full(self) -> bool:
        """Whether a porous filling takes the whole depth."""
        return self.fill is not None and self.fill_depth >= self.depth


Layer = Leaf | Cavity


def _solid(value: object) -> Material:
    found = material(value)
    if found.family == "porous":
        raise ValueError(
            f"a porous material is no leaf (got {shown(value)}); write it as the filling of a cavity: "
            f'cavity = "50 mm" and fill = "{found.name}"'
        )
    return found


def _porous(value: object) -> Material:
    found = material(value)
    if found.family != "porous":
        raise ValueError(
            f'not a porous material (got {shown(value)}); write one such as "glass wool", or make it a leaf'
        )
    return found


def read_leaf(table: Table) -> Leaf | None:
    """A leaf; None when its material or thickness is at fault."""
    made_of = table.get("leaf", _solid)
    thickness = table.get("thickness", quantity("length", most=2.0))
    if "thickness" not in table:
        table.fault("thickness", 'missing; write that of one sheet, such as "12.5 mm"')
    sheets = table.get("sheets", whole(1, 12)) or 1
    bond = table.get("bond", one_of(BONDS)) or "screwed"
    overrides = {
        "density": table.get("density", quantity("density")),
        "surface_mass": table.get("surface_mass", quantity("surface mass")),
        "youngs_modulus": table.get("youngs_modulus", quantity("modulus")),
        "loss_factor": table.get("loss_factor", number(1e-5, 1.0)),
    }
    if overrides["density"] and overrides["surface_mass"]:
        table.fault("surface_mass", "given beside density; write one of them")
    if made_of is None or thickness is None:
        return None
    if made_of.family == "laminate" and thickness <= made_of.interlayer_thickness:
        least = show_length(made_of.interlayer_thickness)
        table.fault("thickness", f"thinner than its interlayer, {least}; write that of the whole pane")
    return Leaf(made_of, thickness, sheets, bond, **overrides)


def read_cavity(table: Table, notes: list[str]) -> Cavity | None:
    """A cavity; None when its depth is at fault. What had to be assumed joins `notes`."""
    depth = table.get("cavity", quantity("length", most=10.0))
    fill = table.get("fill", _porous)
    fill_depth = table.get("fill_depth", quantity("length"))
    gas = table.get("gas", one_of(GASES)) or "air"
    edges = table.get("edges", one_of(EDGES)) or "bare"
    framing = table.get("framing", one_of(FRAMINGS))
    spacing = table.get("spacing", quantity("length", 0.02, 5.0))
    gauge = table.get("gauge", quantity("length", 0.2e-3, 5e-3))
    if "fill_depth" in table and "fill" not in table:
        table.fault("fill_depth", "without a fill; write fill too, or leave it out")
    if "spacing" in table and ("framing" not in table or (framing and framing not in USUAL_SPACING)):
        table.fault("spacing", f"has no meaning {_with(framing)}; leave it out, or name the framing")
    if "gauge" in table and (framing or "") != "steel stud" and not ("framing" in table and not framing):
        table.fault("gauge", f'has no meaning {_with(framing)}; it belongs to framing = "steel stud"')
    ties = table.get("ties", one_of(WALL_TIES))
    if "ties" in table and (framing or "") != "wall tie" and not ("framing" in table and not framing):
        table.fault("ties", f'has no meaning {_with(framing)}; it belongs to framing = "wall tie"')
    if depth is None:
        return None
    if fill_depth is not None and fill_depth > depth * (1 + 1e-6):
        table.fault(
            "fill_depth", f"{show_length(fill_depth)} in a cavity of {show_length(depth)}; write at most that"
        )
    if framing in USUAL_SPACING and "spacing" not in table:
        spacing = USUAL_SPACING[framing]
        notes.append(f"{framing}: no spacing stated, {show_length(spacing)} taken")
    if framing == "steel stud" and "gauge" not in table:
        gauge = USUAL_GAUGE
        notes.append(NO_GAUGE)
    if framing == "wall tie" and "ties" not in table:
        ties = WALL_TIES[0]
        notes.append(NO_TIES)
    filled = (fill_depth or depth) if fill else 0.0
    return Cavity(depth, fill, filled, gas, edges, framing, spacing, gauge, ties)


def _with(framing: str | None) -> str:
    return f"with {framing}" if framing else "without framing"


def read(tables: Sequence[Table], notes: list[str]) -> tuple[Layer, ...]:
    """All ``[[layer]]`` tables; faults go to the tables."""
    found: list[Layer | None] = []
    for table in tables:
        if ("leaf" in table) == ("cavity" in table):
            table.get("leaf", str), table.get("cavity", str)
            table.fault("", 'neither a leaf nor a cavity, or both; write leaf = "..." or cavity = "..."')
            return ()
        found.append(read_leaf(table) if "leaf" in table else read_cavity(table, notes))
    layers = tuple(layer for layer in found if layer is not None)
    if len(layers) == len(tables):
        for at, what in stack_faults(layers):
            tables[at].fault("", what)
    return layers


def stack_faults(layers: Sequence[Layer]) -> list[tuple[int, str]]:
    """What is wrong with the order of layers: (index, text) each.

    Leaves and cavities take turns, or leaves touch; only a cavity that is filled to its whole depth
    may be outermost: a porous facing, such as foam on a wall.
    """
    faults = []
    for i, layer in enumerate(layers):
        if not isinstance(layer, Cavity):
            continue
        if i and isinstance(layers[i - 1], Cavity):
            faults.append((i, "two cavities in a row; write one cavity with its fill_depth"))
        elif i in (0, len(layers) - 1) and not layer.full:
            faults.append((i, "an outermost cavity; begin and end with a leaf (or a cavity filled whole)"))
        elif i in (0, len(layers) - 1) and layer.framing:
            faults.append((i, "an outermost cavity with framing; a facing has none, or write the leaf on it"))
    if len(layers) > 40:
        faults.append((40, f"{len(layers)} layers; write at most 40"))
    return faults


def is_pane(layer: Layer) -> bool:
    """Whether a layer is a clear pane: glass of any kind, or acrylic."""
    panes = (find("glass"), find("acrylic"))
    return isinstance(layer, Leaf) and (layer.material.family == "laminate" or layer.material in panes)


def unfaced(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """A stack without a porous facing towards the listener, which what comes behind has in its gap."""
    return tuple(layers[:-1] if isinstance(layers[-1], Cavity) else layers)


def total(layers: Sequence[Layer]) -> float:
    """Thickness [m] of a stack."""
    return math.fsum(x.depth if isinstance(x, Cavity) else x.thickness * x.sheets for x in layers)
