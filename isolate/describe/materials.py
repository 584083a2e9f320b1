"""Materials: what a leaf or a filling is made of, with ranges and a source for each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from isolate.describe import catalogue
from isolate.describe.reading import (
    Converter,
    Faults,
    Table,
    flag,
    label,
    list_of,
    nearest,
    number,
    one_of,
    quantity,
    read_toml,
    text,
    tidy,
)
from isolate.errors import shown


@dataclass(frozen=True)
class Range:
    """A value that varies: low and high enclose about 90 % of what is sold; SI units."""

    low: float
    typical: float
    high: float


@dataclass(frozen=True)
class Material:
    """One row of `constructions/materials.toml`.

    family: "plate" (bends), "laminate" (two equal glass plies on an interlayer), "limp" (no stiffness)
        or "porous".
    density [kg/m3]; youngs_modulus [Pa] (plates; the ply's for laminates); poisson; loss_factor (internal).
    interlayer: "standard" or "acoustic" (laminates); interlayer_thickness [m].
    flow_resistivity [Pa s/m2] (porous; of masonry the pores and joints of a bare wall, None: tight); porosity
        (porous).
    skeleton: modulus [Pa] across a porous board that carries what lies on it, None where none is made so.
    stiffness_ratio: modulus along over across the sheet (plates); the stated modulus is their mean.
    open_share: how much of the area of pieces laid side by side is open joint (plates), and `joint` [m], how
        far air goes through one.
    masonry: heavy monolithic material to which the boundary losses of walls and slabs apply.
    also: short names that mean the same.
    """

    name: str
    family: str
    density: Range
    source: str
    basis: str
    youngs_modulus: Range | None = None
    poisson: float = 0.2
    loss_factor: Range | None = None
    interlayer: str | None = None
    interlayer_thickness: float = 0.0
    flow_resistivity: Range | None = None
    porosity: float = 1.0
    stiffness_ratio: float = 1.0
    open_share: Range | None = None
    joint: float = 0.0
    masonry: bool = False
    skeleton: Range | None = None
    also: tuple[str, ...] = ()
    about: str = ""


def varying(convert: Converter[float]) -> Converter[Range]:
    """Converter: one value, or a list of low, typical and high."""

    def convert_range(value: object) -> Range:
        if not isinstance(value, list):
            typical = convert(value)
            return Range(typical, typical, typical)
        values = list_of(convert)(value)
        if len(values) != 3 or values != sorted(values):
            raise ValueError(f"not low, typical, high (got {shown(value)}); write three, rising")
        return Range(*values)

    return convert_range


_FIELDS: dict[str, Converter[Any]] = {
    "youngs_modulus": varying(quantity("modulus")),
    "loss_factor": varying(number(1e-5, 1.0)),
    "poisson": number(0.0, 0.49),
    "interlayer": one_of(("standard", "acoustic")),
    "interlayer_thickness": quantity("length"),
    "flow_resistivity": varying(quantity("flow resistivity")),
    "porosity": number(0.1, 1.0),
    "open_share": varying(number(1e-5, 0.5)),
    "joint": quantity("length", 1e-3, 0.5),
    "skeleton": varying(quantity("modulus")),
    "stiffness_ratio": number(1.0, 30.0),
    "masonry": flag,
    "also": lambda value: tuple(list_of(label)(value)),
    "about": text,
}
_PLATE = ("youngs_modulus", "loss_factor")
# What a family must say, and what it may.
_FAMILIES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "plate": (_PLATE, ("poisson", "stiffness_ratio", "masonry", "flow_resistivity", "open_share", "joint")),
    "laminate": ((*_PLATE, "interlayer", "interlayer_thickness"), ("poisson",)),
    "limp": ((), ("loss_factor",)),
    "porous": (("flow_resistivity",), ("porosity", "skeleton")),
}


def _read(name: str, table: Table) -> Material:
    family = table.need("family", one_of(_FAMILIES), "limp", "write one of " + ", ".join(_FAMILIES))
    source = table.need("source", text, "", "say where the values come from")
    basis = table.need("basis", one_of(("read", "memory", "own")), "", 'write "read", "memory" or "own"')
    density = table.need("density", varying(quantity("density")), Range(0, 0, 0), "write it in kg/m3")
    needed, possible = _FAMILIES[family]
    for key in needed:
        if key not in table:
            table.fault(key, f"missing; a {family} material needs it")
    given = {key: table.get(key, _FIELDS[key]) for key in (*needed, *possible, "also", "about")}
    stated = {key: value for key, value in given.items() if value is not None}
    return Material(name, family, density, source, basis, **stated)


@cache
def materials() -> Mapping[str, Material]:
    """All bundled materials by name, read once.

    Raises
    ------
    InputError
        With every fault of materials.toml.
    """
    path = catalogue.root() / "materials.toml"
    faults = Faults(path)
    root = faults.root(read_toml(path))
    listed = root.table("material")
    found = {name: _read(name, table) for name, table in (listed.children() if listed else [])}
    faults.stop()
    return MappingProxyType(found)


def _squeezed(name: str) -> str:
    return tidy(name).replace(" ", "")


@cache
def _by_short_name() -> dict[str, Material]:
    known: dict[str, Material] = {}
    for material in materials().values():
        known.update({_squeezed(word): material for word in material.also})
    known.update({_squeezed(name): material for name, material in materials().items()})
    return known


def find(name: str) -> Material | None:
    """The material of this name or short name, or None; case, hyphens and spaces do not matter."""
    return _by_short_name().get(_squeezed(name))


def material(value: object) -> Material:
    """Converter: a material by name or short name; ValueError with the closest names."""
    name = label(value)
    found = find(name)
    if found is None:
        known = nearest(name, [*materials(), *(s for m in materials().values() for s in m.also)])
        raise ValueError(f"no material of this name (got {shown(name)}); {known}")
    return found
