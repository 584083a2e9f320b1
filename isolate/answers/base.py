"""What every answer offers beside its own numbers: plain data, a table, and itself at a prompt."""

from __future__ import annotations

import html
import textwrap
from abc import ABC, abstractmethod
from collections.abc import Iterable
from itertools import groupby
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

_LONGEST = 160  # characters of a line at the prompt
_TOLD = 8  # quantities in it
_ROWS = 30  # of a table in a notebook


class Answer(ABC):
    """An answer: a frozen dataclass (``repr=False``) that tells itself by `to_dict` and `to_rows`."""

    @abstractmethod
    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""

    @abstractmethod
    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output."""

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return []

    def to_frame(self) -> pd.DataFrame:
        """The rows of the CSV output at full precision, a column each; what there is none of is missing."""
        import pandas as pd

        header, rows = self.to_rows()
        return pd.DataFrame(rows, columns=header)

    def __repr__(self) -> str:
        """One line: the first quantities, and what `to_frame` holds."""
        header, rows = self.to_rows()
        named = groupby(self.quantities()[:_TOLD], key=lambda quantity: quantity[0])
        told = "; ".join(f"{subject}: {_listed(group)}" for subject, group in named)
        told = textwrap.shorten(told, _LONGEST, placeholder=" ...")
        size = f"{len(rows)} rows of {', '.join(header[:6])}{', ...' if len(header) > 6 else ''}"
        return f"<{type(self).__name__} {told + '; ' if told else ''}{size}>"

    def _repr_html_(self) -> str:
        """For a notebook: that line, the table, long ones cut in the middle, and the cautions."""
        table = self.to_frame().to_html(max_rows=_ROWS, border=0, na_rep="", float_format="{:.4g}".format)
        cautions = getattr(self, "cautions", ())
        minded = "".join(f"<li><b>{html.escape(x.title)}</b> {html.escape(x.text)}</li>" for x in cautions)
        return f"<p>{html.escape(repr(self)[1:-1])}</p>{table}" + (f"<ul>{minded}</ul>" if minded else "")


def _listed(quantities: Iterable[tuple[str, str, float]]) -> str:
    """Quantities of one subject in words: "Rw 29, C -2"."""
    return ", ".join(f"{name} {value:.4g}" for _, name, value in quantities)
