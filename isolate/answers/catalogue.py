"""What is bundled: constructions, materials, noises and rooms, listed or one at a time."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES
from isolate.describe import catalogue, constructions, everyday, materials, noises, rooms, words
from isolate.describe.constructions import Construction
from isolate.describe.materials import Material, Range
from isolate.describe.noises import NoiseSpectrum
from isolate.describe.reading import nearest
from isolate.describe.rooms import Room
from isolate.errors import InputError, shown
from isolate.room import levels
from isolate.standards.weighting import dba

SHELVES = (*catalogue.CONSTRUCTION_FOLDERS, "materials", "noises", "rooms")
Item = Construction | Material | NoiseSpectrum | Room


@dataclass(frozen=True)
class Line:
    """One line of the list: its `shelf`, name, title and what else is worth a glance."""

    shelf: str
    name: str
    title: str
    about: str


@dataclass(frozen=True, repr=False)
class Listing(Answer):
    """All that is bundled, or what stands on one `shelf`."""

    lines: tuple[Line, ...]
    shelf: str = ""

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        entries = [{field.name: getattr(line, field.name) for field in fields(line)} for line in self.lines]
        return headed("catalogue", {"shelf": self.shelf or None}, {"entries": entries})

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output."""
        return ["shelf", "name", "title", "about"], [
            [ln.shelf, ln.name, ln.title, ln.about] for ln in self.lines
        ]


@dataclass(frozen=True, repr=False)
class Entry(Answer):
    """One bundled thing."""

    item: Item

    def details(self) -> list[tuple[str, str]]:
        """What is known of it, as pairs of a label and words."""
        return _DETAILS[type(self.item)](self.item)

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        inputs = {"name": self.item.name}
        body: dict[str, Any] = {"name": self.item.name, "details": dict(self.details())}
        if isinstance(self.item, NoiseSpectrum):
            body |= {"bands_hz": THIRD_OCTAVES, "level_db": levels.shifted(self.item, None)}
        return headed("catalogue", inputs, body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output."""
        return ["what", "value"], [list(pair) for pair in self.details()]


def _measurement(built: Construction) -> str:
    measured = built.measured
    if measured is None:
        return ""
    number = f"STC {measured.stc:g}" if measured.stc is not None else ""
    number = number or (f"Rw {measured.rw:g}" if measured.rw is not None else "per band")
    return f"measured: {number}"


def _construction(built: Construction) -> list[tuple[str, str]]:
    size = f"{built.size[0]:.2f} x {built.size[1]:.2f} m" if built.size else "not stated"
    pairs = [("title", built.title), ("kind", built.kind), ("size", size)]
    pairs += [(f"layer {number}", words.layer_both(part)) for number, part in enumerate(built.layers, 1)]
    if built.about:
        pairs.append(("about", built.about))
    if built.measured is not None:
        measured = built.measured
        bands = ", ".join(f"{hz:g}: {tl:g}" for hz, tl in zip(measured.bands_hz, measured.tl_db, strict=True))
        pairs += [("measured [Hz: dB]", bands), ("rated", _measurement(built).removeprefix("measured: "))]
        pairs += [("source", f"{measured.source} ({measured.basis})")]
        pairs += [("doubt", measured.doubt)] if measured.doubt else []
    return pairs


def _range(value: Range, scale: float = 1.0) -> str:
    low, typical, high = (_number(one / scale) for one in (value.low, value.typical, value.high))
    return typical if low == high else f"{typical} ({low} to {high})"


def _number(value: float) -> str:
    """Three digits, or a whole number; never as a power of ten."""
    return f"{value:.3g}" if abs(value) < 1000.0 else f"{value:.0f}"


def _material(of: Material) -> list[tuple[str, str]]:
    pairs = [("family", of.family), ("density [kg/m3]", _range(of.density))]
    if of.youngs_modulus is not None:
        pairs.append(("Young's modulus [GPa]", _range(of.youngs_modulus, 1e9)))
    if of.loss_factor is not None:
        pairs.append(("loss factor", _range(of.loss_factor)))
    if of.flow_resistivity is not None:
        pairs.append(("flow resistivity [kPa s/m2]", _range(of.flow_resistivity, 1e3)))
    return [*pairs, ("source", f"{of.source} ({of.basis})")]


def _dba(of: NoiseSpectrum) -> float:
    return float(dba(levels.shifted(of, None)))


def _level(of: NoiseSpectrum) -> str:
    distance = f", {of.distance:g} m away" if of.distance else ""
    return f"{_dba(of):.0f} dBA{distance}"


def _noise(of: NoiseSpectrum) -> list[tuple[str, str]]:
    bands = ", ".join(
        f"{hz:g}: {level:.0f}" for hz, level in zip(THIRD_OCTAVES, levels.shifted(of, None), strict=True)
    )
    return [
        ("title", of.title),
        ("level", f"{_level(of)}, from event to event +- {of.spread_db:g} dB"),
        ("levels [Hz: dB]", bands),
        *([("about", of.about)] if of.about else []),
        ("source", f"{of.source} ({of.basis})"),
    ]


def _room(of: Room) -> list[tuple[str, str]]:
    sides = [(f"side: {side.name}", f"faces {side.faces}, {side.construction.title}") for side in of.sides]
    heard = words.listed([noise.name for noise in of.noises])
    return [("title", of.title), *sides, ("noises", heard)]


_DETAILS: dict[type, Any] = {
    Construction: _construction, Material: _material, NoiseSpectrum: _noise, Room: _room,
}  # fmt: skip


def listing(shelf: str = "") -> Listing:
    """Answer: what is there to choose from, on all shelves or one?

    Raises
    ------
    InputError
        No such shelf.

    Examples
    --------
    >>> import isolate
    >>> shelves = isolate.listing().to_frame().groupby("shelf").size()
    >>> bool(shelves["windows"] > 10)
    True
    """
    lines = []
    for folder in catalogue.CONSTRUCTION_FOLDERS:
        for name in catalogue.names(folder):
            built = constructions.load(name)
            lines.append(Line(folder, name, built.title, _measurement(built)))
    lines += [
        Line("materials", of.name, f"{_range(of.density)} kg/m3", of.family)
        for of in materials.materials().values()
    ]
    for name in catalogue.names("noises"):
        noise = noises.load(name)
        lines.append(Line("noises", name, noise.title, _level(noise)))
    lines += [Line("rooms", name, rooms.load(name).title, "") for name in catalogue.names("rooms")]
    if shelf and shelf not in SHELVES:
        raise InputError(f"catalogue: no such shelf (got {shown(shelf)}); there are {words.listed(SHELVES)}")
    return Listing(tuple(line for line in lines if shelf in ("", line.shelf)), shelf)


def entry(name: str) -> Entry:
    """Answer: what is this? A construction (also a path or inline layers), material, noise or room.

    Examples
    --------
    >>> import isolate
    >>> isolate.entry("glass 4 mm").to_frame().set_index("what").value["layer 1"]
    '4 mm (3/16 in) glass'
    """
    if catalogue.find(name, ("noises",)) is not None:
        return Entry(noises.load(name))
    if catalogue.find(name, ("rooms",)) is not None:
        return Entry(rooms.load(name))
    of = materials.find(name)
    if of is not None:
        return Entry(of)
    if not (
        catalogue.find(name)
        or catalogue.is_path(name)
        or any(sign.isdigit() for sign in name)
        or everyday.is_word(name)
    ):
        known = [*SHELVES, *(line.name for line in listing().lines)]
        raise InputError(f"catalogue: nothing of this name (got {shown(name)}); {nearest(name, known)}")
    return Entry(constructions.load(name))
