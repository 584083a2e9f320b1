"""The catalogue, told: its shelves with counts, one shelf, or one entry with all that is known of it."""

from __future__ import annotations

from isolate.answers.catalogue import SHELVES, Entry, Line, Listing
from isolate.describe.constructions import Construction
from isolate.describe.rooms import Room
from isolate.show import said
from isolate.show.document import Block, Document, Heading, Next, Paragraph, Table

_LINES = 40
_EXAMPLES = 3


def document(answer: Listing | Entry) -> Document:
    """The shelves, a shelf, or an entry."""
    if isinstance(answer, Entry):
        return _entry(answer)
    return _shelf(answer) if answer.shelf else _shelves(answer)


def _shelves(answer: Listing) -> Document:
    rows: list[list[str]] = []
    full: list[Block] = []
    for shelf in SHELVES:
        lines = [line for line in answer.lines if line.shelf == shelf]
        such = [line.name for line in lines[:: max(len(lines) // _EXAMPLES, 1)][:_EXAMPLES]]
        rows.append([shelf, str(len(lines)), "; ".join(such)])
        full += [Heading(shelf.capitalize()), _table(lines)]
    return Document(
        title="What comes with the program",
        about="Names for room files and the command line",
        first=[Table(["shelf", "", "such as"], rows, "lrf")],
        full=full,
        next=[
            Next("List a shelf", "isolate catalogue windows"),
            Next("See one thing in detail", 'isolate catalogue "glass 4 mm"'),
        ],
        more="every name",
        lines=_LINES,
    )


def _shelf(answer: Listing) -> Document:
    name = answer.lines[0].name
    return Document(
        title=f"{answer.shelf.capitalize()} that come with the program",
        first=[_table(answer.lines)],
        next=[Next("See one in detail", f"isolate catalogue {said.quoted(name)}")],
        more="every name",
        lines=_LINES,
    )


def _table(lines: list[Line] | tuple[Line, ...]) -> Table:
    align = "ff" if lines and lines[0].shelf == "rooms" else "fr"
    return Table(["", ""], [[line.name, _glance(line)] for line in lines], align)


def _glance(line: Line) -> str:
    """What tells it from its like: a material's density, a room's title, else what is told of it."""
    return line.title if line.shelf in ("materials", "rooms") else line.about


def _entry(answer: Entry) -> Document:
    first: list[Block] = [Paragraph(text, label) for label, text in answer.details()]
    return Document(title=answer.item.name, first=first, next=_next(answer), lines=_LINES)


def _next(answer: Entry) -> list[Next]:
    """What can be done with such a thing."""
    name = answer.item.name
    if isinstance(answer.item, Construction):
        return [Next("See what it stops", f"isolate curve {said.quoted(name)}")]
    if isinstance(answer.item, Room):
        return [Next("See what is heard in it", f"isolate room {said.quoted(name)}")]
    return [Next("Use it in a room of your own", "isolate guide room-file")]
