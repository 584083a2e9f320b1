"""A room's file as text that is changed key by key: comments and order stay as the person wrote them."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from isolate.describe import reading
from isolate.errors import InputError, shown

LISTS = ("side", "noise", "own", "neighbour", "vent", "option", "take")  # [[...]] that a room's file has
Where = Sequence[str | int]  # keys of tables and numbers in lists, from the outside in


def opened(path: Path) -> str:
    """The text of a room's file; unlike what other answers are made from, it may be saved over."""
    text = reading.read_text(path)
    reading.opened.discard(Path(os.path.realpath(path)))
    return text


class Editable:
    """The text of a room's file, parsed once for all its changes."""

    def __init__(self, text: str) -> None:
        import tomlkit
        from tomlkit.exceptions import TOMLKitError

        try:
            self._document: Any = tomlkit.parse(text)
        except TOMLKitError as fault:
            raise InputError(f"the room's text: not valid TOML: {fault}") from None

    @property
    def text(self) -> str:
        """As it is now."""
        import tomlkit

        return tomlkit.dumps(self._document)

    def change(self, where: Where, values: Mapping[str, Any]) -> None:
        """Put values into one table, by key or the way to it ("facade.area"); None takes one away.

        Raises
        ------
        InputError
            No such table in it.
        """
        import tomlkit

        for way, value in values.items():
            table = self._at(where)
            *inner, key = way.split(".")
            for one in inner:
                if one not in table:
                    table[one] = tomlkit.table()
                table = table[one]
            if value is not None:
                table[key] = value
            elif key in table:
                del table[key]

    def add(self, kind: str, data: Mapping[str, Any]) -> None:
        """Put one more ``[[kind]]`` behind the last of them."""
        import tomlkit

        table = tomlkit.table()
        for key, value in data.items():
            table.add(key, value)
        if kind not in self._document:
            if not self.text.endswith("\n\n"):
                self._document.add(tomlkit.nl())
            self._document.add(kind, tomlkit.aot())
        self._document[kind].append(table)

    def remove(self, kind: str, number: int) -> None:
        """Take the ``[[kind]]`` of this number away, counted from 0."""
        self._at((kind, number))
        several = self._document[kind]
        del several[number]
        if not len(several):
            del self._document[kind]

    def _at(self, where: Where) -> Any:
        table = self._document
        for key in where:
            try:
                table = table[key]
            except (KeyError, IndexError, TypeError):
                path = ".".join(map(str, where))
                raise InputError(f"{path}: not in this room (got {shown(str(key))})") from None
        return table
