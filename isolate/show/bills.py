"""Bills told: line by line as one buys it, and by part as a builder quotes it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.describe.prices import Prices
from isolate.remedies.bill import bought, price
from isolate.remedies.inner.building import Part
from isolate.remedies.inner.materials import sheets
from isolate.remedies.remedy import Cost, Need
from isolate.show import said
from isolate.show.document import Block, Cell, Heading, Table
from isolate.units import show_mass


def lines(title: str, needs: Sequence[Need], prices: Prices) -> Iterator[Block]:
    """What to buy: a line a thing, waste included, with its price in material and in hired labour."""
    yield Heading(title)
    rows, part = list[list[str | Cell]](), ""
    for need in needs:
        material, labour = apart(price([need], prices))
        first = need.part if need.part != part else ""
        rows.append([first, need.name, _buy(need), weight(need.mass), material, labour])
        part = need.part
    invented = any(prices.invents(need.item) for need in needs)
    money = f"{prices.currency}{'*' * invented}"
    yield Table(["", "what", "buy", "weighs", money, "+ labour"], rows, "lfrrrr")


def by_part(title: str, parts: Sequence[Part], whole: Cost | None, prices: Prices) -> Iterator[Block]:
    """What each part costs in material and in hired labour, weighs, and takes of two people's days."""
    yield Heading(title)
    rows: list[list[str | Cell]] = [
        [one.name, *apart(one.cost), weight(one.mass), f"{one.days:.1f}"] for one in parts
    ]
    mass, days = sum(one.mass for one in parts), sum(one.days for one in parts)
    rows.append(["together", *apart(whole), weight(mass), f"{days:.1f}"])
    invented = any(one.cost is not None and one.cost.invented for one in parts)
    money = f"material, {prices.currency}{'*' * invented}"
    yield Table(["", money, f"+ hired labour{'*' * invented}", "weighs", "days of two"], rows, "frrrr")


def apart(cost: Cost | None) -> tuple[str, str]:
    """Material, and labour where it is hired; a star marks an invented sum."""
    if cost is None:
        return "–", "–"
    star = "*" if cost.invented else ""
    work = cost.hired.typical - cost.material.typical
    return f"{said.round_sum(cost.material.typical)}{star}", f"{said.round_sum(work)}{star}"


def weight(mass: float) -> str:
    """A mass, nothing where there is none to tell."""
    return show_mass(mass).partition(" (")[0] if mass else ""


def _buy(need: Need) -> str:
    count = sheets(need)
    if count is not None:
        return f"{count} board{'s' * (count != 1)}"
    amount = bought(need)
    if need.unit == "m2":
        return f"{amount:.1f} m2"
    return f"{amount:.0f} m" if need.unit == "m" else f"{amount:.0f}"
