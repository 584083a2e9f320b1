"""A document in a terminal, and what lays it out: tables, wrapped lines, bars; ink where it is wanted."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from isolate.remedies.cautions.facts import foremost
from isolate.show.document import (
    VERDICT_INKS,
    Bars,
    Block,
    Cell,
    Document,
    Figure,
    Heading,
    Items,
    Later,
    Next,
    Paragraph,
    Picture,
    Table,
)

__all__ = ["VERDICT_INKS", "Cell", "Page", "printable", "tell"]
_INKS = {"strong": "1", "quiet": "2", "good": "32", "mild": "36", "warn": "33", "bad": "1;31", "title": "1;4"}
_WIDEST_LABEL = 16  # longer ones stand above their text
_BAR = 24  # columns of the longest bar
_FEW_CAUTIONS = 3  # in the first screen, or all that are grave where they are more
_NEXT = 6  # columns before what to do next
_FEWEST = 3  # rows that a table is not cut below if it is to be told whole
_LEAST = 14  # columns left for each flexible column after the first
_ASCII = str.maketrans({
    "–": "-", "—": "-", "−": "-", "…": "~", "→": ">", "█": "#", "▌": "#", "·": ".", "²": "2", "³": "3",
    "×": "x", "±": "+-", "≤": "<=", "≥": ">=", "°": " deg", "é": "e", "ç": "c", "’": "'", "“": "'", "”": "'",
})  # fmt: skip


def printable(text: str, encoding: str) -> str:
    """`text` in the characters an output's encoding has: signs of ours spelt in ASCII, others as "?".

    >>> printable("5 – 95 %", "ascii")
    '5 - 95 %'
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return text.translate(_ASCII).encode(encoding, "replace").decode(encoding)
    return text


@dataclass(frozen=True)
class Page:
    """Where the text goes: `width` columns, in colour or not."""

    width: int = 80
    colour: bool = False

    def ink(self, text: str, name: str) -> str:
        """`text` in this ink, or plain."""
        return f"\x1b[{_INKS[name]}m{text}\x1b[0m" if self.colour and name and text.strip() else text

    def heading(self, text: str) -> str:
        """A heading between parts, an empty line before it."""
        lines = textwrap.wrap(text, max(self.width, 20)) or [""]
        return "\n" + "\n".join(self.ink(line, "strong") for line in lines)

    def wrapped(self, text: str, *, label: str = "", ink: str = "", margin: int = 0) -> str:
        """`text` wrapped; `label` stands in a hanging margin of this many columns, or above where it is
        too long."""
        hang = " " * margin
        lines = textwrap.wrap(
            text, max(self.width - margin, 20), break_long_words=True, break_on_hyphens=False
        ) or [""]
        if label and len(label) >= margin:
            above = textwrap.wrap(label, max(self.width, 20), subsequent_indent="  ")
            return "\n".join([*(self.ink(line, ink) for line in above), *(hang + line for line in lines)])
        first = label.ljust(margin)
        return "\n".join([self.ink(first, ink) + lines[0], *(hang + line for line in lines[1:])])

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str | Cell]], *, align: str) -> str:
        """A table; `align` has a letter a column: l(eft), r(ight), or f for left columns that wrap into
        further lines until the whole fits, later ones first."""
        cells = [[Cell(item) if isinstance(item, str) else item for item in row] for row in rows]
        widths = [max(len(text) for text in column) for column in
                  zip(head, *([cell.text for cell in row] for row in cells), strict=True)]  # fmt: skip
        flexible = [i for i, letter in enumerate(align) if letter == "f"]
        left = self.width - 2 * (len(widths) - 1) - sum(widths) + sum(widths[i] for i in flexible)
        for later, i in reversed(list(enumerate(reversed(flexible)))):
            widths[i] = max(min(widths[i], left - _LEAST * later), 8)
            left -= widths[i]
        lines = [[Cell(text, "quiet") for text in head], *cells]
        return "\n".join(line for row in lines for line in self._row(row, widths, align))

    def _row(self, cells: Sequence[Cell], widths: Sequence[int], align: str) -> list[str]:
        """A row's lines: the first, and what of its cells does not fit there."""
        hang = ("  ", *[""] * len(cells))
        parts = [
            textwrap.wrap(cell.text, width, subsequent_indent=hang[i], break_on_hyphens=False)
            if len(cell.text) > width
            else [cell.text]
            for i, (cell, width) in enumerate(zip(cells, widths, strict=True))
        ]
        lines = []
        for texts in zip_longest(*parts, fillvalue=""):
            shown = []
            for text, cell, width, side in zip(texts, cells, widths, align, strict=True):
                padded = text.rjust(width) if side == "r" else text.ljust(width)
                shown.append(padded.replace(text, self.ink(text, cell.ink), 1) if text else padded)
            lines.append("  ".join(shown).rstrip())
        return lines

    def bar(self, fraction: float, length: int) -> str:
        """A bar of up to `length` columns, half columns included."""
        halves = round(2 * length * min(max(fraction, 0.0), 1.0))
        return "█" * (halves // 2) + "▌" * (halves % 2)


def tell(told: Document, page: Page, *, full: bool = False) -> str:
    """The document: its first screen, within its lines where tables and lists can give way, or all."""
    if full:
        return _Teller(told, page, True).text()
    few, brief = told, False
    while len((text := _Teller(few, page, False, brief).text()).splitlines()) > told.lines:
        if not brief:
            brief = True
        elif (shorter := _shorter(few, told)) is not None:
            few = shorter
        else:
            break
    return text


def _shorter(told: Document, stated: Document) -> Document | None:
    """The document with a row less in the first screen: of the longest table or list that is cut as `stated`,
    else of the longest."""
    rows = {i: _shown(block) for i, block in enumerate(told.first)}
    cut = [i for i in rows if getattr(stated.first[i], "few", None) is not None and rows[i] > 1]
    long = [i for i in rows if rows[i] > _FEWEST]
    if not (cut or long):
        return None
    i = max(cut or long, key=lambda i: rows[i])
    block = told.first[i]
    assert isinstance(block, Table | Bars | Items)
    return replace(told, first=[*told.first[:i], replace(block, few=rows[i] - 1), *told.first[i + 1 :]])


def _rows(block: Block) -> int:
    if isinstance(block, Table):
        return len(block.rows)
    return len(block.bars) if isinstance(block, Bars) else len(block.texts) if isinstance(block, Items) else 0


def _shown(block: Block) -> int:
    """Rows of a table, bars or list in the first screen."""
    few = block.few if isinstance(block, Table | Bars | Items) else None
    return _rows(block) if few is None else min(few, _rows(block))


@dataclass(frozen=True)
class _Teller:
    """A document on its way to lines; `brief`: its cautions in a few words each."""

    told: Document
    page: Page
    full: bool
    brief: bool = False

    def text(self) -> str:
        """All lines."""
        lines = [*self._title()]
        before: Block | None = None
        for block in (*self.told.first, *(self.told.full if self.full else ())):
            if not (isinstance(before, Heading) or isinstance(block, Heading) or _runs_on(before, block)):
                lines.append("")
            lines += self._block(block)
            before = block
        return "\n".join([*lines, *self._cautions(), *self._next()]) + "\n"

    def _title(self) -> Iterator[str]:
        for text, ink in ((self.told.title, "title"), (self.told.about, "quiet")):
            if text:
                yield from (self.page.ink(line, ink) for line in self.page.wrapped(text).split("\n"))

    @property
    def margin(self) -> int:
        """Columns of the labels, alike all through the document, as far as it is made."""
        rest = () if isinstance(self.told.full, Later) and not self.full else self.told.full
        labels = [_label(block) for block in (*self.told.first, *rest)]
        return max([len(label) for label in labels if len(label) <= _WIDEST_LABEL], default=4) + 2

    def _block(self, block: Block) -> Iterator[str]:
        page = self.page
        if isinstance(block, Heading):
            yield page.heading(block.text)
        elif isinstance(block, Paragraph | Figure):
            label = _label(block)
            margin = self.margin if label else 0
            yield page.wrapped(block.text, label=label, ink=block.ink, margin=margin)
        elif isinstance(block, Picture):
            yield from block.lines
        else:
            shown = _rows(block) if self.full else _shown(block)
            if isinstance(block, Table):
                yield _headless(page.table(block.head, block.rows[:shown], align=block.align), block.head)
            elif isinstance(block, Bars):
                yield from self._bars(block, shown)
            else:
                yield from (page.wrapped(text, label="  -", margin=4) for text in block.texts[:shown])
            if shown < _rows(block):
                yield page.ink(f"  … and {_rows(block) - shown} more", "quiet")

    def _bars(self, block: Bars, shown: int) -> Iterator[str]:
        bars = block.bars[:shown]
        length = min(_BAR, self.page.width // 3)
        rows: list[list[str | Cell]] = [
            [one.label, Cell(self.page.bar(one.fraction, length), one.ink), one.value, *one.more]
            for one in bars
        ]
        more = max((len(one.more) for one in bars), default=0)
        head = block.head or [""] * (3 + more)
        told = self.page.table(head, rows, align="fl" + ("r" + "f" * more if more else "f"))
        yield _headless(told, head)

    def _cautions(self) -> Iterator[str]:
        raised = self.told.cautions
        if not raised:
            return
        if self.full:
            yield self.page.heading(self.told.before)
            yield self.page.wrapped(
                "Reminders, not advice on your building: local codes and licensed people come first."
            )
            yield from (
                self.page.wrapped(one.text, label=f"  {one.title}", ink="warn", margin=14) for one in raised
            )
            return
        told = foremost(raised, _FEW_CAUTIONS)
        if self.brief:
            yield from self._briefly([f"{one.title.lower()}: {one.ask}" for one in told])
            return
        if told:
            yield self.page.heading(self.told.before)
        for one in told:
            yield self.page.wrapped(one.short, label="  !", ink="warn", margin=4)

    def _briefly(self, each: Sequence[str]) -> Iterator[str]:
        """Cautions in a few words, side by side in as many columns as fit."""
        margin, widest = len("Careful") + 2, max(map(len, each)) + 2
        columns = max((self.page.width - margin + 2) // widest, 1)
        yield ""
        for i in range(0, len(each), columns):
            told = "".join(one.ljust(widest) for one in each[i : i + columns]).rstrip()
            yield self.page.wrapped(told, label="" if i else "Careful", ink="warn", margin=margin)

    def _next(self) -> Iterator[str]:
        steps = [self._step(one) for one in self.told.next]
        left = len(self.told.cautions) - len(foremost(self.told.cautions, _FEW_CAUTIONS))
        more = [f"{left} more caution{'s' * (left > 1)}"] if left else []
        more += [self.told.more] if self.told.more else []
        if more and not self.full:
            steps.append(f"More with --full: {'; '.join(more)}.")
        if steps:
            yield ""
        for label, step in zip(["Next", *[""] * len(steps)], steps, strict=False):
            lines = [self.page.wrapped(line, margin=_NEXT) for line in step.split("\n")]
            yield self.page.ink(label.ljust(_NEXT), "strong") + "\n".join(lines)[_NEXT:]

    def _step(self, one: Next) -> str:
        """What to do next; a command that does not fit beside its words stands below them, to be copied."""
        if not one.command:
            return one.text
        apart = _NEXT + len(one.text) + 2 + len(one.command) > self.page.width
        return f"{one.text}:\n{one.command}" if apart else f"{one.text}: {one.command}"


def _headless(table: str, head: Sequence[str]) -> str:
    """A table without the line of its head where that says nothing."""
    return table if any(head) else table.split("\n", 1)[-1]


def _label(block: Block) -> str:
    if isinstance(block, Figure):
        return block.number
    return block.label if isinstance(block, Paragraph) else ""


def _runs_on(before: Block | None, block: Block) -> bool:
    """Whether no empty line belongs between two blocks: labelled ones stand together, and below a list."""
    return bool(before is not None and (_label(before) or isinstance(before, Items)) and _label(block))
