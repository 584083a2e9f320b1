"""Usual houses for flanking in plain words, from constructions/flanking.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from isolate.describe import catalogue
from isolate.describe.materials import Range, varying
from isolate.describe.reading import (
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
)
from isolate.errors import shown

DIRECTIONS = ("beside", "above")
JUNCTIONS = (
    "rigid cross", "rigid tee", "flexible interlayer", "light on heavy", "light coupled", "light facade",
)  # fmt: skip


@dataclass(frozen=True)
class Plate:
    """What an element shows to a room: `mass` [kg/m2] of the plate, `whole` of the element it belongs to,
    `density` [kg/m3], `longitudinal` wave speed [m/s], internal `loss` factor."""

    name: str
    mass: Range
    whole: Range
    density: float
    longitudinal: float
    loss: float
    light: bool


@dataclass(frozen=True)
class Flank:
    """A flanking element, the same on both sides: `length` [m] of its junction, `area` [m2] of the near half
    and `beyond` of the far one (None: the same); `through`: it is the heavy one that runs on past a light
    separating element."""

    plate: Plate
    junction: str
    length: float
    area: float
    through: bool
    beyond: float | None = None

    @property
    def far(self) -> float:
        """Area [m2] of the far half."""
        return self.beyond or self.area


@dataclass(frozen=True)
class Surroundings:
    """A separating element and what flanks it."""

    separating: Plate
    flanks: tuple[Flank, ...]


@dataclass(frozen=True)
class House:
    """A usual house; `beside` and `above` are None where nothing flanks."""

    name: str
    about: str
    also: tuple[str, ...]
    beside: Surroundings | None
    above: Surroundings | None


def _plate(name: str, table: Table) -> Plate:
    none = Range(0.0, 0.0, 0.0)
    mass = table.need("mass", varying(quantity("surface mass")), none, "write low, typical, high")
    return Plate(
        name,
        mass,
        table.get("whole", varying(quantity("surface mass"))) or mass,
        table.need("density", quantity("density"), 0.0, "write it in kg/m3"),
        table.need("longitudinal", number(100, 10000), 0.0, "write the wave speed in m/s"),
        table.need("loss", number(1e-4, 1.0), 0.0, "write the internal loss factor"),
        table.get("light", flag) or False,
    )


def _surroundings(table: Table | None, plates: Mapping[str, Plate]) -> Surroundings | None:
    if table is None:
        return None

    def plate(value: object) -> Plate:
        if (name := text(value)) not in plates:
            raise ValueError(f"no plate of this name (got {shown(name)}); {nearest(name, plates)}")
        return plates[name]

    anything = next(iter(plates.values()))
    flanks = [
        Flank(
            flank.need("plate", plate, anything, "name a plate"),
            flank.need("junction", one_of(JUNCTIONS), "", f"write one of {', '.join(JUNCTIONS)}"),
            flank.need("length", quantity("length"), 0.0, "write the length of the junction"),
            flank.need("area", quantity("area"), 0.0, "write the area of the flank"),
            flank.get("through", flag) or False,
        )
        for flank in table.tables("flank")
    ]
    return Surroundings(table.need("separating", plate, anything, "name a plate"), tuple(flanks))


@cache
def houses() -> Mapping[str, House]:
    """All houses by name, read once; InputError with every fault of flanking.toml."""
    faults = Faults(path := catalogue.root() / "flanking.toml")
    root = faults.root(read_toml(path))
    root.need("source", text, "", "say where it comes from"), root.need("basis", label, "", "write judgement")
    listed = root.table("plate")
    plates = {name: _plate(name, table) for name, table in (listed.children() if listed else [])}
    found = [
        House(
            table.need("name", text, "", "give it a name"),
            table.need("about", text, "", "say what is meant"),
            tuple(table.get("also", list_of(text)) or ()),
            *(_surroundings(table.table(direction), plates) for direction in DIRECTIONS),
        )
        for table in root.tables("house")
    ]
    faults.stop()
    return MappingProxyType({house.name: house for house in found})


def find(name: str) -> House:
    """The house meant by a name or by one of its other words.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``, to be put behind the key it came from.
    """
    words = {catalogue.tidy(word): house for house in houses().values() for word in (house.name, *house.also)}
    if (tidy := catalogue.tidy(name)) not in words:
        raise ValueError(f"no usual house (got {shown(name)}); {nearest(name, houses())}")
    return words[tidy]
