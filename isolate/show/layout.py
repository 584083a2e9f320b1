"""Plain text laid out for a terminal: tables, wrapped lines, bars; ink only where it is wanted."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

_INKS = {"strong": "1", "quiet": "2", "good": "32", "mild": "36", "warn": "33", "bad": "1;31", "title": "1;4"}
VERDICT_INKS = {"not audible": "good", "faint": "mild", "audible": "warn", "clear": "bad"}
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
class Cell:
    """A table's cell with its ink."""

    text: str
    ink: str = ""


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
