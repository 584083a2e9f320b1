"""Changes switched on at the desk, told together: who hears what then, what they bring, take and cost."""

from __future__ import annotations

import math

from isolate.remedies.effect import Effect
from isolate.show import said
from isolate.show.document import Block, Cell, Figure, Heading, Paragraph, Table, decibels, percent
from isolate.units import show_mass


def blocks(effect: Effect, currency: str) -> list[Block]:
    """What a set of changes does to the room as it is; with draws on it also how sure that is."""
    money = said.price(effect.cost, currency) if effect.cost else "no price known"
    softer = f"softer, all noises inside together{_sure(effect)}."
    found: list[Block] = [
        Figure(f"{decibels(effect.gain_db)} dB", softer, "good")
        if effect.before.heard else Paragraph("Nothing is heard inside.")
    ]  # fmt: skip
    weight = f", {show_mass(effect.mass)} more" if abs(effect.mass) >= 0.5 else ""
    found.append(Paragraph(f"{money}{weight}.", "It takes"))
    if effect.air_lost >= 0.2:
        lost = f"for {effect.air_lost:.1f} people; plan another way in."
        found.append(Paragraph(lost, "It takes air", "warn"))
    return [*found, Heading("Then"), *said.who_hears_what(effect.after), *changed(effect)]


def _sure(effect: Effect) -> str:
    """5 and 95 % of the gain, where draws tell."""
    low, high = effect.gain_limits
    return "" if math.isnan(low) else f" ({decibels(low)} to {decibels(high)})"


def changed(effect: Effect) -> list[Block]:
    """The sounds that change, now and then; with draws on them the range and the chance of each."""
    drawn = all(new.drawn is not None for _, new in effect.changed)
    rows: list[list[str | Cell]] = [
        [old.name, decibels(old.dba), f"{decibels(new.dba)} dBA",
         *([said.level_range(new)] if drawn else []), said.verdict(new),
         *([percent(new.chance)] if drawn else [])]
        for old, new in effect.changed
    ]  # fmt: skip
    if not rows:
        return [Paragraph("Nobody would notice.", "To the ear", "warn")]
    if drawn:
        return [Table(["", "now", "then", "5 – 95 %", "", "chance"], rows, "frrrlr")]
    return [Table(["", "now", "then", ""], rows, "frrl")]
