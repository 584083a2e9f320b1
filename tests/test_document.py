"""The document model: the same sentences in the terminal and in HTML, short first, nothing lost."""

from __future__ import annotations

from dataclasses import dataclass, replace
from html.parser import HTMLParser
from typing import Any

import pytest

from isolate.show import layout, web
from isolate.show.document import (
    Bar,
    Bars,
    Cell,
    Document,
    Figure,
    Heading,
    Items,
    Next,
    Paragraph,
    Picture,
    Table,
)
from isolate.show.layout import Page

HOSTILE = '<script>alert("x")</script> & "quoted"'
VOID = {"br", "rect", "img"}


@dataclass(frozen=True)
class Warned:
    """A caution, as far as telling it goes."""

    title: str
    short: str
    text: str
    grave: bool = False
    ask: str = "ask somebody"


def some(word: str = "siren", rows: int = 4, cautions: tuple[Warned, ...] = ()) -> Document:
    """A document with a block of each kind."""
    blocks = [
        Figure("34 dBA", f"of {word} inside"),
        Paragraph("by the window", "Weakest path"),
        Paragraph(f"{word} is heard."),
        Heading(f"Noise by noise: {word}"),
        Table(
            ["", "inside", "verdict"],
            [[f"{word} {i}", f"{i}", Cell("clear", "bad")] for i in range(rows)],
            "frl",
        ),
        Bars([Bar(f"by the {word}", 0.5, "50 %", "good")]),
        Items([f"assumed {word}"]),
        Picture(["/\\"], f"a picture of {word}"),
    ]
    deep: Any = [Heading("Deeper"), Paragraph(f"more about {word}")]
    return Document(
        word, blocks, deep, cautions=cautions, next=[Next("See what to fix first", "isolate fixes")],  # type: ignore[arg-type]
        more="what lies deeper",
    )  # fmt: skip


class Read(HTMLParser):
    """Text and tags, and whether every element is closed where it should be."""

    def __init__(self, markup: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.text = ""
        self.feed(markup)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not {name for name, _ in attrs} & {"style", "onclick"}
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += f" {data}"


def whole(told: Document) -> Read:
    """The document as HTML, read."""
    parts = [web.first(told), web.rest(told), web.cautions(told)]
    return Read("".join(str(part) for part in parts))


def test_terminal_and_html_tell_the_same_words() -> None:
    told = some(cautions=(Warned("Fumes", "Fumes: ask", "Never close its vent."),))
    lines = layout.tell(replace(told, next=[]), Page(), full=True)
    page = whole(told)
    assert not page.open
    bars = set("█▌-/\\")
    words = {word for word in lines.split() if not set(word) & bars}
    words -= {"Reminders,", "not", "advice", "on", "your", "building:", "local", "codes", "and", "licensed",
              "people", "come", "first.", "Before", "you", "build"}  # fmt: skip
    assert words and words <= set(page.text.split())


def test_the_rest_is_folded_part_by_part_under_its_headings() -> None:
    full = [Paragraph("before"), Heading("One"), Paragraph("of it"), Heading("Two <b>"), Paragraph("more")]
    told = str(web.rest(Document("", first=[], full=full)))
    assert told.startswith("<p>before</p>") and told.count("<details") == told.count("</details>") == 2
    assert "<summary><h3>Two &lt;b&gt;</h3></summary><p>more</p></details>" in told


def test_whatever_is_in_it_is_text_in_html() -> None:
    page = whole(some(HOSTILE, cautions=(Warned(HOSTILE, HOSTILE, HOSTILE),)))
    assert "script" not in page.tags
    assert page.text.count(HOSTILE) >= 10


def test_full_tells_what_the_first_screen_leaves_out() -> None:
    told = some(rows=4, cautions=(Warned("Fumes", "Fumes: ask the sweep.", "Never close its vent."),))
    first, full = layout.tell(told, Page()), layout.tell(told, Page(), full=True)
    assert "more about siren" not in first and "more about siren" in full
    assert "Fumes: ask the sweep." in first and "Never close its vent." in full
    assert first.splitlines()[-1] == "      More with --full: what lies deeper."
    assert "--full" not in full
    assert first.splitlines()[-2].startswith("Next  See what to fix first: isolate fixes")


def test_tables_give_way_so_that_the_first_screen_fits_and_full_has_all_rows() -> None:
    told = some(rows=50)
    first, full = layout.tell(told, Page()), layout.tell(told, Page(), full=True)
    assert len(first.splitlines()) == 30
    shown = sum(f"siren {i} " in first for i in range(50))
    assert f"… and {50 - shown} more" in first
    assert all(f"siren {i} " in full for i in range(50))
    assert f"siren {shown - 1} " in first


@pytest.mark.parametrize("grave", [3, 12])
def test_grave_cautions_stay_however_full_the_screen(grave: int) -> None:
    cautions = tuple(
        Warned(f"Title {i}", f"In short {i}.", f"At length {i}.", grave=i < grave) for i in range(grave + 9)
    )
    first = layout.tell(some(rows=30, cautions=cautions), Page())
    told = [i for i in range(grave + 9) if f"In short {i}." in first or f"title {i}:" in first]
    assert told[:grave] == list(range(grave))
    assert len(told) < len(cautions) and f"{len(cautions) - len(told)} more cautions" in first
    whole_text = layout.tell(some(cautions=cautions), Page(), full=True)
    assert all(f"At length {i}." in whole_text for i in range(grave + 9))


@pytest.mark.parametrize("width", [40, 80, 100])
def test_nothing_is_wider_than_the_terminal(width: int) -> None:
    told = some("a name that is far too long for a narrow terminal to hold")
    assert max(map(len, layout.tell(told, Page(width), full=True).splitlines())) <= width


def test_labels_of_a_document_share_one_margin() -> None:
    lines = layout.tell(some(), Page()).splitlines()
    texts = ("of siren inside", "by the window")
    assert [line.index(text) for line in lines for text in texts if text in line] == [14, 14]
