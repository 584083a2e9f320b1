"""The figures of `isolate accuracy` as a block of Markdown that a README carries between two marks."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from isolate.answers.accuracy import answer as answers
from isolate.answers.accuracy.answer import Accuracy
from isolate.errors import IsolateError
from isolate.show.document import decimal
from isolate.show.tell.accuracy import AIMS, share

BEGIN = "<!-- accuracy: written by .ci/refresh_accuracy.py, not by hand -->"
END = "<!-- end of accuracy -->"


def block(answer: Accuracy) -> str:
    """The block with its marks; the answer must have been asked to leave one out."""
    assert answer.left_out is not None
    whole = answer.groups["all"]
    left = answers.aims(answer.left_out.specimens)
    aims = [
        (AIMS[one.name], decimal(one.value, 2), decimal(other.value, 2), decimal(one.most))
        for one, other in zip(answer.aims, left, strict=True)
    ]
    text = _filled(
        f"Errors in dB, over {len(answer.specimens)} constructions with a published measurement "
        f"({whole.bands.count} bands, {whole.rated.count} single numbers). *Left out*: without the row's own "
        f"say in the constants. {share(whole.covered)} of the bands lie in the range told from 5 to 95 %; "
        "90 % would be right."
    )
    return "\n\n".join([BEGIN, text, _table(("", "found", "left out", "aimed at"), aims), END]) + "\n"


def _filled(text: str) -> str:
    return textwrap.fill(text, 120, break_on_hyphens=False)


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    line = ["---", *["---:"] * (len(head) - 1)]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in (head, line, *rows))


def replaced(document: str, new: str) -> str:
    """The document with the block between the marks replaced; IsolateError if it has no marks."""
    start, end = document.find(BEGIN), document.find(END)
    if start < 0 or end < start:
        raise IsolateError(f"no lines {BEGIN} and {END}; write them where the figures belong")
    return document[:start] + new.rstrip("\n") + document[end + len(END) :]


def cells(document: str) -> dict[str, list[str]]:
    """The rows of the block's tables by their first cell."""
    inside = document[document.index(BEGIN) : document.index(END)]
    lines = [line for line in inside.splitlines() if line.startswith("|")]
    rows = ([cell.strip() for cell in line.strip("|").split("|")] for line in lines)
    return {row[0]: row[1:] for row in rows if row[0] not in ("", "---")}
