"""The figures of `isolate accuracy` as a block of Markdown that a README carries between two marks."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from isolate.answers.accuracy import answer as answers
from isolate.answers.accuracy.answer import Accuracy, Apart
from isolate.errors import IsolateError
from isolate.room.families import FAMILIES
from isolate.show.text.accuracy import APART_HEAD, apart_row, decimal, group_row, share

BEGIN = "<!-- accuracy: written by .ci/refresh_accuracy.py, not by hand -->"
END = "<!-- end of accuracy -->"
_GROUPS = ("all", "without doubt", "read", "memory")
_HEAD = ("", "rows", "median", "RMS", "bias", "s.d.", "Rw, STC", "bias", "s.d.", "inside")


def block(answer: Accuracy) -> str:
    """The block with its marks; the answer must have been asked to leave one out."""
    assert answer.left_out is not None
    whole = answer.groups["all"]
    left = answers.aims(answer.left_out.specimens)
    aims = [
        (one.name, decimal(one.value, 2), decimal(other.value, 2), decimal(one.most))
        for one, other in zip(answer.aims, left, strict=True)
    ]
    groups = [group_row(answer.groups[name]) for name in _GROUPS if name in answer.groups]
    parts = [
        BEGIN,
        _filled(
            f"{len(answer.specimens)} bundled constructions have a published measurement: "
            f"{whole.bands.count} bands and {whole.rated.count} single numbers. Each is predicted without "
            "it; errors in dB are predicted less published. *Left out* is the same with the row's own say in "
            "the calibrated constants taken out; the RMS of all bands then is "
            f"{answer.rise_db:.1f} dB higher."
        ),
        _table(("", "found", "left out", "aimed at"), aims),
        _filled(
            "*Median* is that of the rows' own RMS, *inside* the share of published bands between the "
            f"limits for 5 and 95 % (90 % would be right; {share(answer.covered_left_out)} with limits told "
            "from the other rows alone). Rows are *doubted* where they contradict others or state too "
            "little; *memory* are values recalled from the work named, not seen on its page."
        ),
        _table(_HEAD, [*groups, *(group_row(group) for group in answer.families)]),
        *_unseen(answer),
        *(part for one in answer.apart for part in _apart(one)),
        END,
    ]
    return "\n\n".join(parts) + "\n"


def _apart(one: Apart) -> list[str]:
    text = f"{one.whole.name}, rows that had no say in any constant ({one.about}):"
    return [_filled(text), _table(APART_HEAD, [apart_row(group) for group in (one.whole, *one.groups)])]


def _unseen(answer: Accuracy) -> list[str]:
    seen = {one.family for one in answer.specimens if one.bands_hz.size and not one.measured.doubt}
    unseen = [name for name in FAMILIES if name not in seen]
    text = f"Without published bands that nobody doubts: {', '.join(unseen)}; limits as of all kinds."
    return [text] if unseen else []


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
