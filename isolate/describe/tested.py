"""Published tests that took no part in any constant: what predictions are held against, and nothing else.

One file a topic in ``constructions/tested``: ``title``, ``about`` and ``[[row]]`` tables. A row has a `name`,
a `group` among the topic's rows, and what a construction's file has; panes may also be written by their
numbers, ``panes = "44.2/16/6"``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from isolate.describe import catalogue, constructions, glazing, measured
from isolate.describe.constructions import Construction
from isolate.describe.frames import read as read_frame
from isolate.describe.layers import Layer
from isolate.describe.reading import Faults, Table, label, one_of, read_toml, size, text

KINDS = ("window", "door")  # what may be told by its panes


@dataclass(frozen=True)
class Topic:
    """Tests of one topic; `groups` names the group of each of the `rows`."""

    title: str
    about: str
    rows: tuple[Construction, ...]
    groups: tuple[str, ...]


@cache
def topics() -> tuple[Topic, ...]:
    """All topics that are shipped, by the names of their files; InputError with every fault of one."""
    return tuple(_read(path) for path in sorted((catalogue.root() / "tested").glob("*.toml")))


def _read(path: Path) -> Topic:
    faults = Faults(path)
    root = faults.root(read_toml(path))
    title = root.need("title", label, "", "say what was tested")
    about = root.need("about", text, "", "say where the tests come from and what is not known of them")
    tables = root.tables("row")
    groups = tuple(table.get("group", label) or title for table in tables)
    rows = tuple(_row(table) for table in tables)
    faults.stop()
    return Topic(title, about, rows, groups)


def _row(table: Table) -> Construction:
    name = table.need("name", label, "", "name the row")
    described = _glazed if "panes" in table else constructions.described
    built = described(table, name=name, title=name)
    if built.measured is None:
        table.fault("measured", "missing; write what was measured")
    return built


def _glazed(table: Table, *, name: str, title: str) -> Construction:
    stack: Sequence[Layer] = table.get("panes", lambda value: glazing.unit(text(value))) or ()
    kind = table.get("kind", one_of(KINDS)) or "window"
    block = table.table("measured")
    tested = measured.read(block) if block else None
    dimensions = table.get("size", size)
    frame = read_frame(table, glazed=True, size=dimensions)
    return Construction(name, title, kind, tuple(stack), dimensions, tested, frame=frame)
