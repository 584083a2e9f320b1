"""The chapters of the guide, read as documents.

The Markdown is a small part of it: `# title`, `## heading`, paragraphs, lists, tables, ``` for examples, and
`**term**: meaning`. The paragraph below the title says what the chapter is about.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from isolate.describe.reading import nearest, tidy
from isolate.errors import InputError, shown
from isolate.show.document import Block, Document, Heading, Items, Next, Paragraph, Picture, Table

ORDER = ("room-file", "reading", "terms", "changes", "measuring", "requirements", "python", "completion")
_HERE = Path(__file__).parent
_ITEM = re.compile(r"- |\d+\. ")
_TERM = re.compile(r"\*\*(.+?)\*\*: (.*)")


@cache
def names() -> tuple[str, ...]:
    """The chapters there are, in the order to read them."""
    there = {path.stem for path in _HERE.glob("*.md")}
    return (*(name for name in ORDER if name in there), *sorted(there - set(ORDER)))


def contents() -> Document:
    """The list of chapters."""
    rows = [[name, re.split(r"(?<=[.]) ", chapter(name).about)[0]] for name in names()]
    return Document(
        title="The guide",
        first=[Table(["chapter", ""], rows, "lf")],
        next=[Next("Read one", "isolate guide reading"), Next("Look a word up", "isolate guide Rw")],
    )


def find(name: str) -> Document:
    """A chapter, or what the chapter of terms says of a word.

    Raises
    ------
    InputError
        Neither a chapter nor a term.
    """
    by_name = {tidy(one): one for one in names()}
    if tidy(name) in by_name:
        return chapter(by_name[tidy(name)])
    found = [block for block in chapter("terms").first if tidy(name) in map(tidy, _words(block))]
    if found:
        return Document(title=name, first=found, next=[Next("See all terms", "isolate guide terms")])
    known = [*names(), *(word for block in chapter("terms").first for word in _words(block))]
    raise InputError(f"guide: no chapter or term of this name (got {shown(name)}); {nearest(name, known)}")


def _words(block: Block) -> list[str]:
    """The words a paragraph of the terms explains: "Rw, C" are two."""
    label = block.label if isinstance(block, Paragraph) else ""
    return [word for word in re.split(r", | \(.*?\)", label.removesuffix(":")) if word]


@cache
def chapter(name: str) -> Document:
    """A chapter as a document."""
    title, about, *rest = _parts((_HERE / f"{name}.md").read_text(encoding="utf-8"))
    return Document(title.removeprefix("# "), list(_blocks(rest)), about=_plain(about))


def _parts(text: str) -> list[str]:
    """Paragraphs, headings, lists and examples, each whole: what empty lines part, save in examples."""
    parts: list[str] = []
    inside, begun = False, False
    for line in text.splitlines():
        if not line and not inside:
            begun = False
            continue
        if begun:
            parts[-1] += f"\n{line}"
        else:
            parts.append(line)
        begun = True
        inside ^= line.startswith("```")
    return parts


def _blocks(parts: list[str]) -> Iterator[Block]:
    for part in parts:
        lines = part.splitlines()
        if part.startswith("## "):
            yield Heading(part.removeprefix("## "))
        elif part.startswith("```"):
            yield Picture([f"  {line}".rstrip() for line in lines[1:-1]], "")
        elif _ITEM.match(part):
            items = re.split(r"\n(?=- |\d+\. )", part)
            yield Items([_plain(_ITEM.sub("", " ".join(item.split()))) for item in items])
        elif part.startswith("|"):
            head, _, *rows = [[_plain(cell.strip()) for cell in line.strip("|").split("|")] for line in lines]
            yield Table(head, rows, "f" * len(head))
        elif term := _TERM.fullmatch(part):
            yield Paragraph(_plain(term[2]), f"{term[1]}:")
        else:
            yield Paragraph(_plain(" ".join(lines)))


def _plain(text: str) -> str:
    """Text without the marks of Markdown."""
    return re.sub(r"\*\*?|`", "", text)
