"""What several answers tell alike: what to find out first, names by verdict."""

from __future__ import annotations

from collections.abc import Sequence

from isolate.describe.words import listed
from isolate.room.first import ToClear
from isolate.show.document import Block, Paragraph, percent

_MOST = 3  # unknowns told after the first
_LEAST_LUCK = 0.05  # share of the doubt from which chance is told of


def to_clear(first: Sequence[ToClear]) -> Block:
    """What to find out first, and how."""
    if not first:
        return Paragraph("nothing: whatever is not known, no verdict hangs on it.", "Find out first")
    one = first[0]
    return Paragraph(
        f"{one.unknown.words} ({percent(one.share)} of the doubt). {one.unknown.how}", "Find out first"
    )


def then(first: Sequence[ToClear], luck: float) -> list[Block]:
    """What to find out after that, and how much of the doubt is chance."""
    found = [f"{one.unknown.words}, {percent(one.share)}" for one in first[1 : _MOST + 1]]
    if luck >= _LEAST_LUCK:
        found.append(f"{percent(luck)} is chance: no two events are alike")
    about = [Paragraph(f"{listed(first[0].moves)}.", "It decides")] if first and first[0].moves else []
    return [*about, *([Paragraph("; ".join(found) + ".", "Then", "quiet")] if found else [])]
