"""A room's file as text that is changed key by key: comments and order stay as the person wrote them."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any

from isolate.describe import reading
from isolate.errors import InputError
from isolate.units import shown

LISTS = ("side", "noise", "own", "neighbour", "vent", "option", "take")  # [[...]] that a room's file has
Where = Sequence[str | int]  # keys of tables and numbers in lists, from the outside in


def opened(path: Path) -> str:
    """The text of a room's file; unlike what other answers are made from, it may be saved over."""
    text = reading.read_text(path)
    reading.opened.discard(Path(os.path.realpath(path)))
    return text


@lru_cache(maxsize=4)
def tables(text: str) -> Mapping[str, Any]:
    """What the file says, as plain tables, to be read only."""
    return reading.toml(text, Path("the room"))


def changed(text: str, where: Where, values: Mapping[str, Any]) -> str:
    """The text with values put into one table, by key or the way to it ("facade.area"); None takes one away.

    Raises
    ------
    InputError
        No such table in it.
    """
    import tomlkit

    document = _parsed(text)
    for way, value in values.items():
        table = _at(document, where)
        *inner, key = way.split(".")
        for one in inner:
            if one not in table:
                table[one] = tomlkit.table()
            table = table[one]
        if value is not None:
            table[key] = value
        elif key in table:
            del table[key]
    return _written(document)


def added(text: str, kind: str, data: Mapping[str, Any]) -> str:
    """The text with one more ``[[kind]]`` behind the last of them."""
    import tomlkit

    document = _parsed(text)
    table = tomlkit.table()
    for key, value in data.items():
        table.add(key, value)
    if kind not in document:
        document.add(kind, tomlkit.aot())
    document[kind].append(table)
    return _written(document)


def removed(text: str, kind: str, number: int) -> str:
    """The text without the ``[[kind]]`` of this number, counted from 0."""
    document = _parsed(text)
    _at(document, (kind, number))
    several: Any = document[kind]
    del several[number]
    if not len(several):
        del document[kind]
    return _written(document)


def _parsed(text: str) -> Any:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        return tomlkit.parse(text)
    except TOMLKitError as fault:
        raise InputError(f"the room's text: not valid TOML: {fault}") from None


def _written(document: Any) -> str:
    import tomlkit

    return tomlkit.dumps(document)


def _at(document: Any, where: Where) -> Any:
    table = document
    for key in where:
        try:
            table = table[key]
        except (KeyError, IndexError, TypeError):
            path = ".".join(map(str, where))
            raise InputError(f"{path}: not in this room (got {shown(str(key))})") from None
    return table
