"""A sheet for the builder: the changes chosen at the desk, what each is made of, what to buy and to heed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.prices import Prices
from isolate.describe.rooms import Side
from isolate.remedies import bill
from isolate.remedies.cautions.changes import PARTS, facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.checks import Work, checks
from isolate.remedies.effect import Effect
from isolate.remedies.inner.shells import shells_of
from isolate.remedies.remedy import YOURS, Need, Remedy
from isolate.show import said
from isolate.show.document import Block, Cell, Heading, Paragraph, Table
from isolate.show.tell import tried
from isolate.show.tell.fixes import amount
from isolate.units import POUND, length_in


def work(effect: Effect) -> Work:
    """What is done on site."""
    return Work.of(effect.remedies, effect.before.envelope.described)


def built(effect: Effect, one: Remedy, pair: tuple[Side, Side] | None) -> list[tuple[str, Construction]]:
    """What of a change is drawn, with what it is: the side as it stands and as it will be, or the parts of an
    inner room."""
    if pair is not None:
        before, after = pair
        if before.construction == after.construction:
            return [("stays", after.construction)]
        return [("stands", before.construction), ("will be", after.construction)]
    inner = shells_of(effect.before.room).load.plan.inner if one.parts else None
    if inner is None:
        return []
    parts = {"walls": inner.walls, "ceiling": inner.ceiling, "floor": inner.floor.lining}
    return [
        (f"inner {name}", Construction(name, name, PARTS[name], lining.layers))
        for name, lining in parts.items()
        if name in one.parts
    ]


def change(
    effect: Effect, one: Remedy, pair: tuple[Side, Side] | None, *, currency: str, feet: bool
) -> Iterator[Block]:
    """What one change is: where, of which layers, how heavy, how deep, its price."""
    yield Heading(said.capital(one.name))
    if pair is not None:
        side = pair[0]
        wide, high = side.size or (side.area**0.5,) * 2
        size = f"{length_in(wide, feet=feet)} x {length_in(high, feet=feet)}"
        yield Paragraph(f"{side.name}, {size}, towards {side.faces}", "Where")
    for name, construction in built(effect, one, pair):
        each = words.layer_both if feet else words.layer
        told = " | ".join(each(part) for part in construction.layers) or construction.name
        yield Paragraph(told, said.capital(name))
    takes = [f"{_mass(one.mass, feet=feet)} more"] if abs(one.mass) >= 0.5 else []
    takes += [f"{length_in(one.depth, feet=feet)} off the room"] if one.depth >= 0.001 else []
    if takes:
        yield Paragraph(", ".join(takes), "Takes")
    yield Paragraph(said.price(one.cost, currency), "Costs")


def shopping(effect: Effect, prices: Prices, *, feet: bool) -> Iterator[Block]:
    """What to buy for all of it, and what it comes to."""
    needs = bill.shopping(effect.remedies)
    if needs:
        yield Heading("To buy, waste included")
        stated = any(one.origin == YOURS for one in effect.remedies)
        rows: list[list[str | Cell]] = [
            [_name(one, feet=feet), " ".join(amount(one, feet=feet)),
             _mass(one.mass, feet=feet) if one.mass >= 0.5 else "",
             "" if stated else _cost(one, prices)]
            for one in needs
        ]  # fmt: skip
        head = ["", "how much", "weighs", "" if stated else prices.currency]
        yield Table(head, rows, "frrr")
    money = said.price(effect.cost, prices.currency) if effect.cost else "no price known"
    yield Paragraph(f"{money}, {_mass(effect.mass, feet=feet)} more than now", "All together")


def site(effect: Effect) -> Iterator[Block]:
    """What to look at while it is built."""
    found = checks(work(effect))
    if found:
        yield Heading("While it is built")
        yield from (Paragraph(one.text, one.title) for one in found)


def brings(effect: Effect) -> list[Block]:
    """What it should bring."""
    return [Heading("What it should bring"), *tried.changed(effect)]


def cautions(effect: Effect) -> Sequence[Caution]:
    """What building it may hurt."""
    return raised(facts(effect.before, effect.remedies))


def _name(need: Need, *, feet: bool) -> str:
    inches = f" ({length_in(need.thickness, feet=True)})" if feet and need.thickness else ""
    return need.name + inches


def _cost(need: Need, prices: Prices) -> str:
    cost = prices.cost(need.item, need.amount, thickness=need.thickness)
    if cost is None:
        return ""
    return f"{said.round_sum(cost.typical)}{'*' if prices.invents(need.item) else ''}"


def _mass(mass: float, *, feet: bool) -> str:
    return f"{mass / POUND:.0f} lb" if feet else f"{mass:.0f} kg"
