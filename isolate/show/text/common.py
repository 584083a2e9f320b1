"""Parts of the text that several answers share: notes, cautions, numbers as people read them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.describe.words import listed
from isolate.remedies.cautions.facts import Caution
from isolate.room.first import ToClear
from isolate.show.document import decibels, minutes, percent
from isolate.show.layout import Page

__all__ = ["decibels", "minutes", "percent"]
MOST_UNKNOWNS = 3  # told after the first
MARGIN = 14  # columns of the labels in front of wrapped text


def cautions(page: Page, raised: Sequence[Caution], title: str = "Before you build") -> list[str]:
    """The lines of the cautions, none where none is raised."""
    if not raised:
        return []
    lines = [page.heading(title), page.wrapped(
        "Reminders, not advice on your building: local codes and licensed people come first."
    )]  # fmt: skip
    return lines + [
        page.wrapped(one.text, label=f"  {one.title}", ink="warn", margin=MARGIN) for one in raised
    ]


def notes(page: Page, texts: Sequence[str], title: str = "Assumed") -> list[str]:
    """The lines of the notes, each with a dash."""
    if not texts:
        return []
    return [page.heading(title), *(page.wrapped(text, label="  -", margin=4) for text in texts)]


def clear_up(first: Sequence[ToClear], luck: float, page: Page, margin: int) -> Iterator[str]:
    """What to find out first, with how, and the next ones in a line."""
    if not first:
        text = "nothing: whatever is not known, no verdict hangs on it."
        yield page.wrapped(text, label="Clear up first", ink="strong", margin=margin)
        return
    one = first[0]
    share = percent(one.share)
    text = f"{one.unknown.words}: {share} of the doubt, about {listed(one.moves[:3])}. {one.unknown.how}"
    yield page.wrapped(text, label="Clear up first", ink="strong", margin=margin)
    then = [f"{other.unknown.words}, {percent(other.share)}" for other in first[1 : MOST_UNKNOWNS + 1]]
    if luck >= 0.05:
        then.append(f"{percent(luck)} nobody can tell, one event not being like the next")
    if then:
        yield page.wrapped("; ".join(then), label="Then", ink="quiet", margin=margin)
