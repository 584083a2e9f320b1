"""An answer as a document: blocks of plain text with inks by meaning, told alike by terminal, page and desk.

Blocks hold no markup and no line ends; `terminal.py` and `web.py` lay them out. What stands in `first` is the
first screen; `--full` and the page tell `full` below it, and every caution whole.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import overload

from isolate.remedies.cautions.facts import Caution

VERDICT_INKS = {
    "not audible": "good", "may be heard": "mild", "faint": "mild", "audible": "warn", "clear": "bad",
}  # fmt: skip


@dataclass(frozen=True)
class Cell:
    """A table's cell, or the text of a bar, with its ink."""

    text: str
    ink: str = ""


@dataclass(frozen=True)
class Heading:
    """A heading between parts."""

    text: str


@dataclass(frozen=True)
class Paragraph:
    """A paragraph; with a `label` in this ink before it, such as the verdict it explains."""

    text: str
    label: str = ""
    ink: str = "strong"


@dataclass(frozen=True)
class Figure:
    """The one number of an answer, with its unit, and what it is."""

    number: str
    text: str
    ink: str = "strong"


@dataclass(frozen=True)
class Table:
    """A table; `align` has a letter a column: l(eft), r(ight), or f for left columns that wrap into further
    lines until the whole fits, later ones first. Only `few` rows stand in the first screen (None: all)."""

    head: Sequence[str]
    rows: Sequence[Sequence[str | Cell]]
    align: str
    few: int | None = None


@dataclass(frozen=True)
class Bar:
    """A line of `Bars`: from 0 to 1, with its value as text, and what `more` is told of it."""

    label: str
    fraction: float
    value: str
    ink: str = ""
    more: Sequence[str | Cell] = ()


@dataclass(frozen=True)
class Bars:
    """Bars below each other, their columns named by `head` if it is there; only `few` stand in the first
    screen (None: all)."""

    bars: Sequence[Bar]
    few: int | None = None
    head: Sequence[str] = ()


@dataclass(frozen=True)
class Items:
    """A list, each with a dash; only `few` stand in the first screen (None: all)."""

    texts: Sequence[str]
    few: int | None = None


@dataclass(frozen=True)
class Picture:
    """Lines to be kept as they stand: an example, or a picture in characters with what it shows in words."""

    lines: Sequence[str]
    told: str


Block = Heading | Paragraph | Figure | Table | Bars | Items | Picture


@dataclass(frozen=True)
class Next:
    """What to do next, with the command that does it."""

    text: str
    command: str = ""


class Later(Sequence[Block]):
    """Blocks that are made when somebody asks for them, once."""

    def __init__(self, make: Callable[[], Iterable[Block]]) -> None:
        self._make = make

    @cached_property
    def _blocks(self) -> tuple[Block, ...]:
        return tuple(self._make())

    @overload
    def __getitem__(self, index: int) -> Block: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Block]: ...
    def __getitem__(self, index: int | slice) -> Block | Sequence[Block]:
        return self._blocks[index]

    def __len__(self) -> int:
        return len(self._blocks)


@dataclass(frozen=True)
class Document:
    """An answer, told: the `title` and what it is `about`; what the `first` screen shows, within so many
    `lines` at 80 columns; what only the `full` answer does, with `more` naming it ("each noise and path");
    the cautions it raises, under the words of `before`; what to do `next`."""

    title: str
    first: Sequence[Block]
    full: Sequence[Block] = ()
    cautions: Sequence[Caution] = ()
    next: Sequence[Next] = ()
    more: str = ""
    about: str = ""
    before: str = "Before you build"
    lines: int = 30


def notes(texts: Sequence[str], title: str = "Assumed") -> list[Block]:
    """A heading and the list of what was assumed; nothing where nothing was."""
    return [Heading(title), Items(texts)] if texts else []


def decibels(value: float) -> str:
    """A level or difference to the whole dB; "–" where there is none."""
    return f"{value:.0f}".replace("-0", "0") if math.isfinite(value) else "–"


def signed(value: float) -> str:
    """An error to a tenth with its sign; "–" where there is none.

    >>> signed(-1.26), signed(-0.04), signed(math.nan)
    ('-1.3', '0.0', '–')
    """
    return f"{value:+.1f}".replace("-0.0", "0.0").replace("+0.0", "0.0") if math.isfinite(value) else "–"


def decimal(value: float, digits: int = 1) -> str:
    """A value to a tenth, or more digits; "–" where there is none."""
    return f"{value:.{digits}f}" if math.isfinite(value) else "–"


def percent(fraction: float) -> str:
    """A share or chance as one reads it: "< 1 %", "37 %", "> 99 %"."""
    if fraction > 0.99 and fraction < 1.0 - 1e-9:
        return "> 99 %"
    return "< 1 %" if 0.0 < fraction < 0.005 else f"{100 * fraction:.0f} %"


def minutes(seconds: float) -> str:
    """A length of time to two digits.

    >>> minutes(300.0), minutes(45.0)
    ('5 min', '45 s')
    """
    if seconds < 60.0:
        return f"{seconds:.2g} s"
    return f"{seconds / 60.0:.2g} min" if seconds < 5400.0 else f"{seconds / 3600.0:.2g} h"


def clock(seconds: float) -> str:
    """Minutes and seconds, hours where there are some.

    >>> clock(75.0)
    '1:15'
    """
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    minute, left = divmod(rest, 60)
    return f"{hours}:{minute:02d}:{left:02d}" if hours else f"{minute}:{left:02d}"


def day_time(seconds: float) -> str:
    """Time of day.

    >>> day_time(90_061.0)
    '01:01:01'
    """
    whole = round(seconds) % 86_400
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}"
