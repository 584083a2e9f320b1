"""The catalogue as text: the list, or one entry."""

from __future__ import annotations

from isolate.answers.catalogue import Entry, Listing
from isolate.show.layout import Page

_LABEL = 18


def render(answer: Listing | Entry, page: Page) -> str:
    """The list by shelf, or one entry with all that is known of it."""
    return _listing(answer, page) if isinstance(answer, Listing) else _entry(answer, page)


def _listing(answer: Listing, page: Page) -> str:
    lines = [page.wrapped("Names for room files and the command line; isolate catalogue NAME tells more.")]
    for shelf in dict.fromkeys(line.shelf for line in answer.lines):
        lines.append(page.heading(shelf.capitalize()))
        for line in (one for one in answer.lines if one.shelf == shelf):
            lines.append(_line(line.name, line.about, page))
    return "\n".join(lines) + "\n"


def _line(name: str, about: str, page: Page) -> str:
    room = page.width - 2
    if len(name) + len(about) + 2 <= room and about:
        return f"  {name}{page.ink(about.rjust(room - len(name)), 'quiet')}"
    return f"  {name}"


def _entry(answer: Entry, page: Page) -> str:
    lines = [page.ink(page.wrapped(answer.item.name), "title")]
    lines += [page.wrapped(text, label=label, ink="strong", margin=_LABEL) if len(label) < _LABEL
              else f"{page.ink(label, 'strong')}\n{page.wrapped(text, margin=_LABEL)}"
              for label, text in answer.details()]  # fmt: skip
    return "\n".join(lines) + "\n"
