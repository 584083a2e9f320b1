"""Prices: what a unit of each item costs, from constructions/prices.toml (invented) or the user's own file.

The bundled list is the vocabulary: a user's file may price any of its items, in its units, and no others.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from isolate.describe import catalogue
from isolate.describe.materials import Range, varying
from isolate.describe.reading import (
    Faults,
    Table,
    flag,
    label,
    nearest,
    number,
    one_of,
    quantity,
    read_toml,
    whole,
)
from isolate.errors import shown

UNITS = ("m", "m2", "piece")
LABOURS = ("own", "hired")
FREE = Range(0.0, 0.0, 0.0)
_MONEY = varying(number(0.0, 1e7))
_HINT = "write low, typical and high, such as [3, 5, 8], or one number"


@dataclass(frozen=True)
class Price:
    """What one `unit` of an item costs: `material` and hired `labour`; at `thickness` [m] where the price of
    material goes by it. `invented`: not from the user."""

    item: str
    unit: str
    material: Range
    labour: Range = FREE
    thickness: float | None = None
    invented: bool = False


@dataclass(frozen=True)
class Prices:
    """A list of prices: `currency`, `year`, `place`; `labour` "own" or "hired"; `by_item`."""

    currency: str
    year: int | None
    place: str
    labour: str
    by_item: Mapping[str, Price]
    invented: bool = False

    def cost(self, item: str, amount: float, *, thickness: float | None = None) -> Range | None:
        """What an amount of an item costs, with labour where that is hired; None for an item without price.

        thickness [m]: of the material, scaled from the one the price holds for.
        """
        price = self.by_item.get(item)
        if price is None:
            return None
        scale = thickness / price.thickness if thickness and price.thickness else 1.0
        hired = 1.0 if self.labour == "hired" else 0.0

        def total(material: float, labour: float) -> float:
            return amount * (material * scale + hired * labour)

        stuff, work = price.material, price.labour
        return Range(
            total(stuff.low, work.low),
            total(stuff.typical, work.typical),
            total(stuff.high, work.high),
        )

    def invents(self, item: str) -> bool:
        """Whether the price of an item is invented."""
        price = self.by_item.get(item)
        return price is not None and price.invented

    def working(self, labour: str | None) -> Prices:
        """The same with work "own" or "hired"; None leaves it."""
        return self if labour is None else replace(self, labour=labour)


def path() -> Path:
    """The bundled file."""
    return catalogue.root() / "prices.toml"


@cache
def bundled() -> Prices:
    """The bundled list, every price of it invented."""
    return _read(path(), None)


def load(file: str | Path | None = None) -> Prices:
    """The user's prices over the bundled ones, or those alone.

    Raises
    ------
    InputError
        Every fault of the file.
    """
    return bundled() if file is None else _read(Path(file), bundled())


def _read(file: Path, known: Prices | None) -> Prices:
    faults = Faults(file)
    root = faults.root(read_toml(file))
    head = root.table("list")
    if "list" not in root:
        root.fault("list", "missing; write [list] with currency, year and place")
    found = _head(head) if head else Prices("", None, "", "own", {})
    prices: dict[str, Price] = {}
    for table in root.tables("price"):
        price = _price(table, known, found.invented)
        if price is None:
            continue
        if price.item in prices:
            table.fault("item", f"{shown(price.item)} is there twice; write it once")
        prices[price.item] = price
    if not root.tables("price"):
        root.fault("price", "no prices; write [[price]] with item, unit and material")
    faults.stop()
    return replace(found, by_item={**(known.by_item if known else {}), **prices})


def _head(head: Table) -> Prices:
    return Prices(
        currency=head.need("currency", label, "", 'write one such as "EUR"'),
        year=head.get("year", whole(1900, 2200)),
        place=head.get("place", label) or "",
        labour=head.get("labour", one_of(LABOURS)) or "own",
        by_item={},
        invented=head.get("invented", flag) or False,
    )


def _price(table: Table, known: Prices | None, invented: bool) -> Price | None:
    item = table.need("item", label, "", "name what it is the price of")
    unit = table.need("unit", one_of(UNITS), "", f"write one of {', '.join(UNITS)}")
    material = table.need("material", _MONEY, FREE, _HINT)
    labour = table.get("labour", _MONEY) or FREE
    thickness = table.get("thickness", quantity("length", 1e-4, 1.0))
    if not item or not unit:
        return None
    if known is not None:
        old = known.by_item.get(item)
        if old is None:
            table.fault("item", f"nothing is priced by this name (got {shown(item)}); "
                        f"{nearest(item, known.by_item)}")  # fmt: skip
            return None
        if unit != old.unit:
            table.fault("unit", f"{item} is counted otherwise (got {shown(unit)}); write {shown(old.unit)}")
        if (thickness is None) != (old.thickness is None):
            what = "missing; its price goes by it" if thickness is None else "does not go by it; leave it out"
            table.fault("thickness", what)
    return Price(item, unit, material, labour, thickness, invented)
