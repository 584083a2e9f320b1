"""Every bundled table says where it comes from, and whether that was read, remembered or judged."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import isolate
from isolate.describe import catalogue

PUBLISHED = Path(__file__).with_name("published")
STANDARDS = Path(isolate.__file__).with_name("standards")
BASES = {"read", "memory", "practice", "estimate", "derived", "judgement", "own"}
FILES = sorted(catalogue.root().rglob("*.toml"))


def tables(value: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every table in a file, by its path."""
    if isinstance(value, dict):
        yield path, value
        for key, inner in value.items():
            yield from tables(inner, f"{path}.{key}")
    elif isinstance(value, list):
        for inner in value:
            yield from tables(inner, path)


def stated(path: Path) -> list[tuple[str, dict[str, Any]]]:
    """The tables of a bundled file that name a source; what a noise is made of is another `source`."""
    whole = tomllib.loads(path.read_text(encoding="utf-8"))
    named = catalogue.names("noises")
    return [
        (where, one) for where, one in tables(whole)
        if isinstance(one.get("source"), str) and not (where.endswith(".gives") or one["source"] in named)
    ]  # fmt: skip


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_what_names_a_source_says_on_what_basis(path: Path) -> None:
    for where, one in stated(path):
        assert one.get("basis") in BASES, f"{path.name}{where}"
        assert len(one["source"].split()) >= 2, f"{path.name}{where}: author, title, year, or what is unknown"


def test_every_list_of_the_catalogue_names_its_source() -> None:
    """The files beside the shelves. Prices are invented, and say so; references are works themselves."""
    assert FILES
    for path in sorted(catalogue.root().glob("*.toml")):
        whole = tomllib.loads(path.read_text(encoding="utf-8"))
        if path.stem == "prices":
            assert whole["list"]["invented"] is True
        elif path.stem == "references":
            works = whole["reference"].values()
            assert all({"authors", "title", "year", "basis"} <= set(one) for one in works)
        else:
            rows = [one for key, value in whole.items() if isinstance(value, list) for one in value]
            rows += list(whole.get("material", {}).values())
            assert "source" in whole or all("source" in one for one in rows), path.name


TABULATED = [
    path for path in sorted(STANDARDS.glob("*.py"))
    if re.search(r"^[A-Z_]+(: Array)? = (np\.array|Contour)\(", path.read_text(encoding="utf-8"), re.M)
]  # fmt: skip


@pytest.mark.parametrize("path", sorted(PUBLISHED.glob("*.csv")) + TABULATED, ids=lambda path: path.stem)
def test_a_transcribed_table_says_whether_it_was_read(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".csv":
        lines = text.splitlines()
        head = [line for line in lines if line.startswith("#")]
        text = "\n".join([*head, lines[len(head)]])  # or a column says it of each row
    assert re.search(r"\b(read|memory|computed|basis)\b", text, re.I), path.name
