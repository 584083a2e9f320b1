"""Changes switched on at the desk, told together: who hears what then, what they bring, take and cost."""

from __future__ import annotations

from isolate.remedies.effect import Effect
from isolate.show import said
from isolate.show.document import Block, Cell, Figure, Heading, Paragraph, Table, decibels
from isolate.units import show_mass


def blocks(effect: Effect, currency: str) -> list[Block]:
    """What a set of changes does to the room as it is."""
    money = said.price(effect.cost, currency) if effect.cost else "no price known"
    found: list[Block] = [
        Figure(f"{decibels(effect.gain_db)} dB", "softer, all noises inside together.", "good")
        if effect.before.heard else Paragraph("Nothing is heard inside.")
    ]  # fmt: skip
    weight = f", {show_mass(effect.mass)} more" if abs(effect.mass) >= 0.5 else ""
    found.append(Paragraph(f"{money}{weight}.", "It takes"))
    if effect.air_lost >= 0.2:
        lost = f"for {effect.air_lost:.1f} people; plan another way in."
        found.append(Paragraph(lost, "It takes air", "warn"))
    return [*found, Heading("Then"), *said.who_hears_what(effect.after), *_table(effect)]


def _table(effect: Effect) -> list[Block]:
    rows: list[list[str | Cell]] = [
        [old.name, decibels(old.dba), f"{decibels(new.dba)} dBA", said.verdict(new)]
        for old, new in effect.changed
    ]
    if not rows:
        return [Paragraph("Nobody would notice.", "To the ear", "warn")]
    return [Table(["", "now", "then", ""], rows, "frrl")]
