"""Constructions: layers from the noisy side to the listener, or a measurement without layers."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path

from isolate import units
from isolate.describe import catalogue, datasheet, everyday, frames, glazing, layers, measured
from isolate.describe import inline as one_line
from isolate.describe.everyday import ANYWHERE, Meaning, Where
from isolate.describe.frames import Frame
from isolate.describe.layers import BONDS, EDGES, FRAMINGS, GASES, Cavity, Leaf
from isolate.describe.measured import Measured
from isolate.describe.reading import Faults, Table, label, one_of, read_toml, size, text
from isolate.errors import InputError, shown
from isolate.units import show_length

__all__ = [
    "BONDS", "EDGES", "FRAMINGS", "GASES", "KINDS", "Cavity", "Construction", "Leaf", "Measured",
    "from_above", "inline", "load",
]  # fmt: skip
KINDS = ("wall", "window", "door", "ceiling", "floor", "roof", "sheet")
_LONGEST = 2000  # 40 layers in words
_ENDLESS = re.compile(r"\d{40}")  # no number; to look for units behind it takes with the square of its digits
_AS_THICK = 0.1  # of a stated thickness: sizes as sold, and as measured at an opening
_THINNEST, _THICKEST = 0.05, 2.0  # [m] heavy leaves
_COMMA = re.compile(r"(?<=\d),(?=\d+\s*(?:mm|cm|m|in)\b)")
_WALKED_ON = ("chipboard", "softwood", "plywood", "OSB", "oak", "MDF", "screed", "concrete")


@dataclass(frozen=True, repr=False)
class Construction:
    """A described construction. `size` is (width, height) [m] or None; `name` is the catalogue's name,
    a path or the inline text it was read from; `notes` say what was assumed in reading. `frame` of a window
    or glazed door, None where nothing was said of it: then it is glass alone, but not as a side of a room.
    `meant`: the everyday word it was read from; `holes` that were said with it, such as a letter box: a side
    of a room has them, a construction by itself has not."""

    name: str
    title: str
    kind: str
    layers: tuple[Leaf | Cavity, ...]
    size: tuple[float, float] | None = None
    measured: Measured | None = None
    about: str = ""
    notes: tuple[str, ...] = ()
    frame: Frame | None = None
    meant: Meaning | None = None
    holes: tuple[str, ...] = ()

    def __repr__(self) -> str:
        return f"<Construction {self.name!r}: {self.kind}, {len(self.layers)} layers>"

    @property
    def called(self) -> str:
        """What it was called by whoever asked: the everyday word it was read from, or its name."""
        word = self.meant.word if self.meant else self.name
        return " with ".join((word, " and ".join(self.holes))) if self.holes else word

    @property
    def unnamed(self) -> Construction:
        """All that its sound depends on, whatever it is called."""
        measured = None if self.layers else self.measured
        return Construction("", "", self.kind, self.layers, self.size, measured, frame=self.frame)

    def framed(self, size: tuple[float, float], frame: Frame | None = None) -> Construction:
        """A window or glazed door as it stands in a wall, of `size` [m]: in this frame, its own, or a usual
        one; anything else as it is."""
        if not self.layers or not frames.glazed(self.kind, self.layers):
            return self
        return replace(self, frame=frame or self.frame or frames.usual(size))

    @property
    def rated(self) -> Measured | None:
        """Its data sheet, where that and no more is known of it."""
        known = bool(self.layers) or self.measured is None or self.measured.bands_hz.size > 0
        return None if known else self.measured

    @property
    def stepped(self) -> Measured | None:
        """What a data sheet tells of steps on it, where no layers do."""
        told = self.measured
        known = told is not None and not (told.lnw is None and told.iic is None)
        return told if known and not self.layers else None

    @property
    def silent(self) -> bool:
        """Whether its data sheet tells of steps alone, nothing of sound in the air."""
        return self.rated is not None and not self.rated.in_air

    @property
    def offered(self) -> bool:
        """Whether it is known from a data sheet in one line: a specimen in a laboratory's opening."""
        return self.measured is not None and self.measured.source == datasheet.SOURCE

    @property
    def thickness(self) -> float:
        """Thickness [m] of all layers."""
        return layers.total(self.layers)


def load(name: str, *, beside: Path | None = None) -> Construction:
    """A construction by name, path, layers in one line, or everyday word.

    Parameters
    ----------
    name : a name in the catalogue, a path ending in .toml, layers such as
        "glass 4 mm + 100 mm + laminated 6.4 mm" (see `inline`), or a word such as "double glazing"; a name in
        the catalogue comes first.
    beside : folder of the file that names it; its paths must stay in that folder. None: any path.

    Raises
    ------
    InputError
        No such construction, or every fault of its file.
    """
    try:
        found = _resolved(name, beside, None, ANYWHERE)
    except ValueError as fault:
        raise InputError(str(fault)) from None
    left = tuple(f"{hole} left out: it counts in a room, as part of a side" for hole in found.holes)
    return replace(found, notes=(*found.notes, *left))


def resolve(
    name: str, beside: Path | None, *, part: str | None = None, where: Where = ANYWHERE
) -> Construction:
    """As `load`, but a name that means nothing raises ValueError, for a reader to say where it stood.

    part, where: which part of a house it is said of, where and when that was built, as for `everyday.find`.
    A vent on its own is none, it belongs to a side; nor is wool, which nothing holds sound back in.
    """
    found = _resolved(name, beside, part, where)
    if found.kind == datasheet.VENT:
        raise ValueError(
            f"what a vent lets through (got {shown(name)}); write what stands there, and in it [[side.vent]] "
            f"with tested = {shown(name)}"
        )
    if found.layers and not any(isinstance(layer, Leaf) for layer in found.layers):
        whole = shown(f"{name} + gypsum board 12.5 mm")
        raise ValueError(f"nothing but wool (got {shown(name)}); write what stands there too, as {whole}")
    return found


def _resolved(name: str, beside: Path | None, part: str | None, where: Where) -> Construction:
    if not name.strip() or len(name) > _LONGEST or _ENDLESS.search(name):
        raise ValueError(f"not a construction (got {shown(name)}); write a name, a path or layers")
    if datasheet.is_sheet(name):
        return _with_holes(name, part, where) or _from_sheet(name, part)
    if re.search(r"(^|\s)[-−]\s*\d", name):  # a hyphen does not matter in a name, a minus sign does
        raise ValueError(f"a thickness below zero (got {shown(name)}); write it without the minus sign")
    if _COMMA.search(name):
        raise ValueError(f"a decimal comma (got {shown(name)}); write {shown(_COMMA.sub('.', name))}")
    if glazing.is_unit(name):
        return inline(name)
    path = catalogue.locate(name, catalogue.CONSTRUCTION_FOLDERS, "construction", beside)
    if path is not None:
        return _bundled(path) if catalogue.find(name) == path else read(path, name=name)
    if (unit := glazing.among(name, partial(everyday.besides, "window"))) is not None:
        return replace(inline(unit), name=name)
    if one_line.LENGTH.search(name):
        try:
            return inline(name)
        except ValueError as fault:
            if (found := _in_words(name, part, where) or _as_thick(name, part, where)) is not None:
                return found
            near = everyday.likely(one_line.LENGTH.sub("", name), part)
            told = not isinstance(fault, one_line.Unnamed) or "did you mean" in str(fault)
            if told or " + " in name or not near.startswith("did"):
                raise
            raise ValueError(f"no construction of this name (got {shown(name)}); {near}") from None
    if (found := _in_words(name, part, where)) is not None:
        return found
    raise ValueError(f"no construction of this name (got {shown(name)}); {everyday.likely(name, part)}")


def _with_holes(name: str, part: str | None, where: Where) -> Construction | None:
    """A construction that is said with a letter box or the like, None without one."""
    rest, holes = everyday.apart(name)
    return replace(_resolved(rest, None, part, where), holes=holes) if holes else None


def _from_sheet(name: str, part: str | None) -> Construction:
    """An element of which a data sheet tells the ratings, or the loss by band."""
    place = (part or "").rpartition(" ")[2]  # an outer wall is a wall
    kind, measured = datasheet.read(name, place if place in KINDS else None)
    said = " ".join(name.split()).removeprefix(f"{kind} ")
    built = Construction(name, f"{kind.capitalize()}, {said}", kind, (), measured=measured)
    notes = [f"{kind} as on its data sheet; ask the seller for {datasheet.ask(kind)}"]
    if kind == datasheet.VENT:
        notes.append("a vent counts as 10 m2 of an element: what stands under Rw is its Dn,e,w")
    if datasheet.as_built(name):
        notes.append("measured in a building, with what goes round: the element alone is some dB better")
    return replace(built, notes=tuple(notes))


def _in_words(name: str, part: str | None, where: Where) -> Construction | None:
    """The likeliest construction of an everyday word, or a pane by its number; None when it is none."""
    if (pane := glazing.pane(name)) is not None:
        return Construction(name, f"Pane, {name.strip()}", "window", (pane,))
    if (cut := _with_holes(name, part, where)) is not None:
        return cut
    if (listed := everyday.names().get(everyday.key(name))) is not None:
        return resolve(listed, None)
    meant = everyday.find(name, part=part, where=where)
    if meant is None:
        return None
    if meant.refuse:
        raise ValueError(f"no construction to compute with (got {shown(name)}); {meant.refuse}")
    built = resolve(meant.means, None)
    kind = "door" if meant.part == "door" else built.kind
    return replace(built, kind=kind, notes=(meant.note, *built.notes), meant=meant)


def _as_thick(name: str, part: str | None, where: Where) -> Construction | None:
    """What an everyday word means where its thickness is said too: the likely one that is as thick, else the
    heavy one made as thick; None where there is none."""
    said = one_line.LENGTH.findall(name)
    meant = everyday.find(one_line.LENGTH.sub(" ", name), part=part, where=where) if len(said) == 1 else None
    if meant is None or meant.refuse or meant.unread:
        return None  # of "door with 20 mm undercut" the length is no thickness
    thick = units.parse(said[0].strip(), "length")
    likely = [(one, resolve(one, None)) for one in (meant.means, *meant.perhaps)]
    means, built = min(likely, key=lambda one: abs(one[1].thickness - thick))
    if abs(built.thickness - thick) > _AS_THICK * thick:
        means, built = likely[0]
        heavy = [one for one in built.layers if isinstance(one, Leaf) and one.material.masonry]
        apart = len(heavy) > 1 and any(isinstance(one, Cavity) for one in built.layers)
        if not heavy or apart or not _THINNEST <= thick <= _THICKEST:
            return None
        core = max(heavy, key=lambda one: one.thickness)
        made = tuple(replace(one, thickness=thick) if one is core else one for one in built.layers)
        built = replace(built, title=" ".join(name.split()), layers=made, measured=None)
        means = f"{means}, its {core.material.name} {show_length(thick)}"
    meant = replace(meant, word=" ".join(name.split()), means=means, share=None, perhaps=())
    kind = "door" if meant.part == "door" else built.kind
    return replace(built, name=name, kind=kind, notes=(meant.note, *built.notes), meant=meant)


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
    glazed = frames.glazed(kind, stack) or "kind" not in table
    frame = frames.read(table, glazed=glazed, size=dimensions)
    if "layer" not in table and "measured" not in table:
        table.fault("layer", "missing; write [[layer]] tables, or a [measured] block of a tested element")
    elif not table.data.get("layer") and "measured" not in table:
        table.fault("layer", "no layers; write [[layer]] tables from the noisy side to the listener")
    elif block and not stack and "tl_db" not in block and not (measurement and measurement.ratings):
        block.fault("tl_db", "missing without layers; write bands_hz and tl_db, or the layers")
    return Construction(name, title, kind, stack, dimensions, measurement, about, tuple(notes), frame=frame)


def from_above(construction: Construction) -> bool:
    """Whether a floor's layers are listed from the room that walks on it, as in the catalogue; a file of
    one's own may list them towards that room: then its last leaf is one to walk on, and its first is not."""
    leaves = [layer.material.name for layer in construction.layers if isinstance(layer, Leaf)]
    return not (leaves and leaves[-1] in _WALKED_ON and leaves[0] not in _WALKED_ON)


def inline(name: str) -> Construction:
    """A construction written in one line: layers joined by " + ", as `isolate.describe.inline` reads them.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``.
    """
    if glazing.is_unit(name):
        return Construction(name, f"Insulating unit {name.strip()}", "window", glazing.unit(name))
    kind, stack, notes = one_line.read(name, _spliced)
    return Construction(name, name.strip(), kind, stack, notes=notes)


def _spliced(part: str) -> tuple[Leaf | Cavity, ...]:
    """The layers of a bundled construction named inside inline text, or of an insulating unit by its numbers;
    none when it is neither."""
    path = catalogue.find(part)
    if path is None:
        return glazing.unit(part) if glazing.is_unit(part) else ()
    return _bundled(path).layers
