"""Constructions: layers from the noisy side to the listener, or a measurement without layers."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from isolate import units
from isolate.describe import catalogue, frames, glazing, layers, measured
from isolate.describe.frames import Frame
from isolate.describe.layers import BONDS, EDGES, FRAMINGS, GASES, Cavity, Leaf
from isolate.describe.materials import find, materials
from isolate.describe.measured import Measured
from isolate.describe.reading import Faults, Table, label, nearest, one_of, read_toml, size, text
from isolate.errors import InputError
from isolate.units import shown

__all__ = [
    "BONDS", "EDGES", "FRAMINGS", "GASES", "KINDS", "Cavity", "Construction", "Leaf", "Measured",
    "from_above", "inline", "load",
]  # fmt: skip
KINDS = ("wall", "window", "door", "ceiling", "floor", "roof", "sheet")
_LONGEST = 500
_WALKED_ON = ("chipboard", "softwood", "plywood", "OSB", "oak", "MDF", "screed", "concrete")


@dataclass(frozen=True, repr=False)
class Construction:
    """A described construction. `size` is (width, height) [m] or None; `name` is the catalogue's name,
    a path or the inline text it was read from; `notes` say what was assumed in reading. `frame` of a window
    or glazed door, None where nothing was said of it: then it is glass alone, but not as a side of a room."""

    name: str
    title: str
    kind: str
    layers: tuple[Leaf | Cavity, ...]
    size: tuple[float, float] | None = None
    measured: Measured | None = None
    about: str = ""
    notes: tuple[str, ...] = ()
    frame: Frame | None = None

    def __repr__(self) -> str:
        return f"<Construction {self.name!r}: {self.kind}, {len(self.layers)} layers>"

    @property
    def thickness(self) -> float:
        """Thickness [m] of all layers."""
        return layers.total(self.layers)


def load(name: str, *, beside: Path | None = None) -> Construction:
    """A construction by name, path or inline text.

    Parameters
    ----------
    name : a name in the catalogue, a path ending in .toml, or layers such as
        "glass 4 mm + 100 mm + laminated 6.4 mm" (see `inline`); a name in the catalogue comes first.
    beside : folder of the file that names it; its paths must stay in that folder. None: any path.

    Raises
    ------
    InputError
        No such construction, or every fault of its file.
    """
    try:
        return resolve(name, beside)
    except ValueError as fault:
        raise InputError(str(fault)) from None


def resolve(name: str, beside: Path | None) -> Construction:
    """As `load`, but a name that means nothing raises ValueError, for a reader to say where it stood."""
    if not name.strip() or len(name) > _LONGEST:
        raise ValueError(f"not a construction (got {shown(name)}); write a name, a path or layers")
    if re.search(r"(^|\s)[-−]\s*\d", name):  # a hyphen does not matter in a name, a minus sign does
        raise ValueError(f"a thickness below zero (got {shown(name)}); write it without the minus sign")
    if glazing.is_unit(name):
        return inline(name)
    path = catalogue.locate(name, catalogue.CONSTRUCTION_FOLDERS, "construction", beside)
    if path is not None:
        return _bundled(path) if catalogue.find(name) == path else read(path, name=name)
    if _LENGTH.search(name):
        return inline(name)
    raise ValueError(catalogue.unknown(name, catalogue.CONSTRUCTION_FOLDERS, "construction"))


@lru_cache(maxsize=512)
def _bundled(path: Path) -> Construction:
    return read(path, name=path.stem)


def read(path: Path, *, name: str) -> Construction:
    """The construction in a file; InputError with every fault of it."""
    faults = Faults(path)
    root = faults.root(read_toml(path))
    title = root.get("title", label) or path.stem
    built = described(root, name=name, title=title)
    faults.stop()
    return built


def described(table: Table, *, name: str, title: str) -> Construction:
    """The construction a table describes; what is wrong goes to its faults."""
    notes: list[str] = []
    kind = table.need("kind", one_of(KINDS), "wall", f"write one of {', '.join(KINDS)}")
    dimensions = table.get("size", size)
    about = table.get("about", text) or ""
    stack = layers.read(table.tables("layer"), notes)
    block = table.table("measured")
    measurement = measured.read(block) if block else None
    frame = frames.read(table, glazed=frames.glazed(kind, stack) or "kind" not in table)
    if "layer" not in table and "measured" not in table:
        table.fault("layer", "missing; write [[layer]] tables, or a [measured] block of a tested element")
    elif not table.data.get("layer") and "measured" not in table:
        table.fault("layer", "no layers; write [[layer]] tables from the noisy side to the listener")
    elif block and not stack and "tl_db" not in block:
        block.fault("tl_db", "missing without layers; write bands_hz and tl_db, or the layers")
    return Construction(name, title, kind, stack, dimensions, measurement, about, tuple(notes), frame)


_LENGTH = re.compile(
    r"\d[\d./\s-]*\s*(?:mm|cm|m|um|ft|in|inch|inches|''|[\"'])(?:\s*-?\s*\d[\d./\s-]*\s*(?:in|\"))?(?![\w/])"
)


def from_above(construction: Construction) -> bool:
    """Whether a floor's layers are listed from the room that walks on it, as in the catalogue; a file of
    one's own may list them towards that room: then its last leaf is one to walk on, and its first is not."""
    leaves = [layer.material.name for layer in construction.layers if isinstance(layer, Leaf)]
    return not (leaves and leaves[-1] in _WALKED_ON and leaves[0] not in _WALKED_ON)


_UNTIED = (
    "nothing ties the leaves of this wall together; studs or ties between them let far more through: write "
    'its layers in a file then, with framing = "wood stud" or the like (isolate catalogue has many)'
)


def inline(name: str) -> Construction:
    """A construction written in one line: layers from the noisy side, joined by " + ".

    Each layer is a length with or without a material, in either order: a material that is a leaf makes
    a leaf, a porous one a cavity filled with it, a gas or nothing an empty cavity. "2 x" in front means
    two sheets, screwed. A name in the catalogue stands for its layers. Panes alone make a window, one
    leaf of another light material a sheet, anything else a wall. "4-16-4" is an insulating unit (`glazing`).

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``.
    """
    if glazing.is_unit(name):
        return Construction(name, f"Insulating unit {name.strip()}", "window", glazing.unit(name))
    parts = re.split(r"\s*\+\s*", name.strip())
    stack = tuple(layer for part in parts for layer in _spliced(part) or (_inline_layer(part),))
    for _, fault in layers.stack_faults(stack):
        raise ValueError(f"{fault} (got {shown(name)})")
    kind = _kind(stack)
    untied = kind == "wall" and any(
        isinstance(one, Cavity) and one.framing is None and 0 < i < len(stack) - 1
        for i, one in enumerate(stack)
    )
    return Construction(name, name.strip(), kind, stack, notes=(_UNTIED,) if untied else ())


def _kind(stack: tuple[Leaf | Cavity, ...]) -> str:
    leaves = [layer for layer in stack if isinstance(layer, Leaf)]
    if leaves and all(layers.is_pane(leaf) for leaf in leaves):
        return "window"
    return "wall" if len(stack) > 1 or any(leaf.material.masonry for leaf in leaves) else "sheet"


def _spliced(part: str) -> tuple[Leaf | Cavity, ...]:
    """The layers of a bundled construction named inside inline text; none when it is no such name."""
    path = catalogue.find(part)
    return _bundled(path).layers if path else ()


def _inline_layer(part: str) -> Leaf | Cavity:
    example = 'write layers such as "glass 4 mm + 100 mm + laminated 6.4 mm"'
    sheets, rest = 1, part.replace("×", "x").translate(str.maketrans("″′", "\"'"))
    if count := re.match(r"(\d+)\s*x\s+", rest):
        sheets, rest = int(count[1]), rest[count.end() :]
    found = _LENGTH.search(rest)
    if found is None or not 1 <= sheets <= 12:
        raise ValueError(f"no construction of this name and no layer (got {shown(part)}); {example}")
    length = units.parse(found[0].strip(), "length")
    word = f"{rest[: found.start()]} {rest[found.end() :]}".strip().casefold()
    if not word or word in GASES:
        if sheets > 1 or length > 10.0:
            raise ValueError(f"not a cavity (got {shown(part)}); {example}")
        return Cavity(length, gas=word or "air")
    made_of = find(word)
    if made_of is None:
        near = nearest(part, [*(f"{name} {found[0].strip()}" for name in materials()), *catalogue.names()])
        raise ValueError(f"no material and no construction of this name (got {shown(part)}); {near}")
    if made_of.family == "porous":
        return Cavity(length * sheets, fill=made_of, fill_depth=length * sheets)
    if length > 2.0 or length <= made_of.interlayer_thickness:
        raise ValueError(f"no sane thickness (got {shown(part)}); {example}")
    return Leaf(made_of, length, sheets)
