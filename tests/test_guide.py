"""The guide: its chapters are there, fit, explain the words that answers use, and its examples run."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner
from once import judged_once

import isolate
from isolate.cli import root
from isolate.commands import fixes
from isolate.describe import catalogue
from isolate.errors import InputError
from isolate.show import layout, web
from isolate.show.document import Heading, Items, Paragraph, Picture, Table
from isolate.show.guide import chapters
from isolate.show.layout import Page

TERMS = [
    "dB", "dBA", "octave", "background", "NC", "margin", "share", "Rw", "C", "Ctr", "STC", "OITC", "DnT,w",
    "flanking", "mass law", "resonance", "coincidence", "gap", "distance", "leaf", "vent", "absorption",
    "room within a room", "tie", "kPa", "Ln,w", "IIC", "own noise", "limit", "range", "change", "draws",
]  # fmt: skip


def run(*arguments: str) -> str:
    result = CliRunner().invoke(root, ["guide", *arguments], catch_exceptions=False)
    assert result.exit_code == 0
    return result.stdout


def test_every_chapter_is_listed_and_printed_whole() -> None:
    told = run()
    assert {"room-file", "reading", "terms", "changes", "requirements", "python", "completion"} <= set(
        chapters.names()
    )
    for name in chapters.names():
        assert f"\n{name} " in told
        document = chapters.chapter(name)
        words = {word.strip("`*#|-") for word in Path(chapters.__file__).with_name(f"{name}.md").read_text(
            encoding="utf-8").split()}  # fmt: skip
        said = layout.tell(document, Page(), full=True)
        assert {word for word in words if word.isalpha()} <= set(re.findall(r"\w+", said))
        prose = [line for line in said.splitlines() if not line.startswith("  ")]
        assert max(map(len, prose)) <= 80, name


def test_the_small_part_of_markdown_is_read() -> None:
    text = (
        "- one\n  more\n- two",
        "```\nisolate room\n\nisolate take\n```",
        "**Rw, STC**: a `number`",
        "| a | b |\n| - | - |\n| 1 | 2 |",
        "## Head",
    )
    parts = chapters._parts("\n\n".join(text))
    assert list(chapters._blocks(parts)) == [
        Items(["one more", "two"]),
        Picture(["  isolate room", "", "  isolate take"], ""),
        Paragraph("a number", "Rw, STC:"),
        Table(["a", "b"], [["1", "2"]], "ff"),
        Heading("Head"),
    ]


@pytest.mark.parametrize("word", TERMS)
def test_every_word_of_the_field_is_explained(word: str) -> None:
    assert len(run(word).split()) > 12


def test_what_is_neither_chapter_nor_term_is_answered_with_what_there_is() -> None:
    with pytest.raises(InputError, match=r'no chapter or term of this name .*"coincidence"'):
        chapters.find("coincidenc")


def examples() -> list[str]:
    found = [
        line.split("  # ")[0].strip()
        for name in chapters.names()
        for block in chapters.chapter(name).first
        if isinstance(block, Picture)
        for line in block.lines
    ]
    helps = Path(fixes.__file__).read_text(encoding="utf-8")  # whose examples are run too, and slow
    return [
        line for line in found if line.startswith("isolate ") and ".wav" not in line and line not in helps
    ]


@pytest.mark.parametrize("line", examples())
def test_every_example_runs(line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    arguments = shlex.split(line)[1:]
    draws = [] if arguments[0] in ("curve", "second-pane", "new", "guide") else ["--draws", "50"]
    with judged_once():
        result = CliRunner().invoke(root, [*arguments, *draws], catch_exceptions=False)
    assert result.exit_code == 0, result.output


def test_the_python_shown_runs(capsys: pytest.CaptureFixture[str]) -> None:
    (shown,) = [block for block in chapters.chapter("python").first if isinstance(block, Picture)]
    exec("\n".join(line.removeprefix("  ") for line in shown.lines), {})
    told = capsys.readouterr().out
    assert "(27,)" in told and " dBA, " in told and "200 mm" in told
    text = Path(chapters.__file__).with_name("python.md").read_text(encoding="utf-8")
    for name in {*isolate.__all__} - {"InputError", "IsolateError"}:
        assert f"`{name}`" in text, f"the guide does not tell of isolate.{name}"


def test_the_constructions_shown_can_be_read(tmp_path: Path) -> None:
    (shown,) = [block for block in chapters.chapter("room-file").first if isinstance(block, Picture)]
    lines = (re.fullmatch(r'  construction = "(.*)"', line) for line in shown.lines)
    names = [found[1] for found in lines if found and not catalogue.is_path(found[1])]
    assert names
    for name in (one for one in names if "don't know" not in one):
        built = isolate.describe(name)
        assert built.layers or built.rated


def test_the_guide_is_html_too() -> None:
    told = str(web.first(chapters.chapter("terms")))
    assert "<h3>How loud</h3>" in told and '<b class="d-strong">Rw:</b>' in told
