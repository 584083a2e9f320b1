"""A document as HTML, for the page and the desk: everything escaped, readable on a telephone.

`document.css` styles it; classes are "d-" and what a block is, or the ink. Nothing is styled in place, so
that a page's content security policy can forbid that.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from markupsafe import Markup, escape

from isolate.show.document import (
    Bar,
    Bars,
    Block,
    Cell,
    Document,
    Figure,
    Heading,
    Items,
    Paragraph,
    Picture,
    Table,
)

STYLE = Path(__file__).with_name("document.css")
_WIDE = 3  # columns that stand side by side on a telephone; more make a card of each row
_NONE = Markup("")


def first(told: Document) -> Markup:
    """What the first screen shows, without title, cautions and what is next."""
    return blocks(told.first)


def rest(told: Document) -> Markup:
    """What only the full answer tells, each part folded under its heading, without the cautions; empty where
    there is none."""
    parts: list[list[Block]] = [[]]
    for one in told.full:
        parts += [[]] if isinstance(one, Heading) else []
        parts[-1].append(one)
    shown = (_folded(part) if isinstance(part[0], Heading) else blocks(part) for part in parts if part)
    return Markup("\n").join(shown)


def _folded(part: Sequence[Block]) -> Markup:
    return _with("details", _with("summary", _block(part[0])) + blocks(part[1:]), "d-part")


def blocks(several: Sequence[Block]) -> Markup:
    """Blocks one after another."""
    return Markup("\n").join(_block(one) for one in several)


def cautions(told: Document) -> Markup:
    """The cautions whole; empty where none is raised."""
    if not told.cautions:
        return _NONE
    items = (_with("div", _with("dt", one.title) + _with("dd", one.text)) for one in told.cautions)
    return _with("dl", Markup("\n").join(items), "d-cautions")


def _with(tag: str, inside: str, style: str = "", more: Markup = _NONE) -> Markup:
    """An element; what is inside is escaped unless it is markup already."""
    kind = Markup(' class="{}"').format(style) if style else _NONE
    return Markup("<{0}{1}{2}>{3}</{0}>").format(Markup(tag), kind, more, inside)


def _ink(text: str, ink: str) -> Markup:
    return _with("span", text, f"d-{ink}") if ink and text else escape(text)


def _block(block: Block) -> Markup:
    if isinstance(block, Heading):
        return _with("h3", block.text)
    if isinstance(block, Figure):
        return _with("p", _with("b", block.number, f"d-number d-{block.ink}") + " " + escape(block.text))
    if isinstance(block, Paragraph):
        label = _with("b", block.label, f"d-{block.ink}") + " " if block.label else _NONE
        return _with("p", label + escape(block.text))
    if isinstance(block, Items):
        return _with("ul", _NONE.join(_with("li", one) for one in block.texts))
    if isinstance(block, Picture):
        told = Markup(' role="img" aria-label="{}"').format(block.told) if block.told else _NONE
        return _with("pre", "\n".join(block.lines), "d-picture", told)
    return _bars(block) if isinstance(block, Bars) else _table(block)


def _bars(block: Bars) -> Markup:
    def row(one: Bar) -> Markup:
        length = f"{100.0 * min(max(one.fraction, 0.0), 1.0):.1f}"
        drawn = Markup(
            '<svg class="d-bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">'
            '<rect class="d-all" width="100" height="6"/><rect class="d-{}" width="{}" height="6"/></svg>'
        ).format(one.ink or "plain", length)
        more = (cell if isinstance(cell, Cell) else Cell(cell) for cell in one.more)
        cells = _NONE.join(_with("td", _ink(cell.text, cell.ink)) for cell in more)
        head = _with("th", one.label, more=Markup(' scope="row"'))
        return _with("tr", head + _with("td", drawn, "d-wide") + _with("td", one.value, "d-n") + cells)

    names = _NONE.join(_with("th", name, more=Markup(' scope="col"')) for name in block.head)
    top = _with("thead", _with("tr", names)) if block.head else _NONE
    return _with("table", top + _with("tbody", Markup("\n").join(row(one) for one in block.bars)), "d-bars")


def _table(table: Table) -> Markup:
    head = list(zip(table.head, table.align, strict=True))

    def row(cells: Sequence[str | Cell]) -> Markup:
        inked = [Cell(one) if isinstance(one, str) else one for one in cells]
        first_cell = _with("th", _ink(inked[0].text, inked[0].ink), more=Markup(' scope="row"'))
        others = (
            _with("td", _ink(cell.text, cell.ink), _number(letter), Markup(' data-label="{}"').format(name))
            for cell, (name, letter) in zip(inked[1:], head[1:], strict=True)
        )
        return _with("tr", first_cell + _NONE.join(others))

    names = _NONE.join(_with("th", name, _number(letter), Markup(' scope="col"')) for name, letter in head)
    top = _with("thead", _with("tr", names)) if any(table.head) else _NONE
    body = _with("tbody", Markup("\n").join(row(cells) for cells in table.rows))
    return _with("table", top + body, "d-table d-cards" if len(head) > _WIDE else "d-table")


def _number(letter: str) -> str:
    return "d-n" if letter == "r" else ""
