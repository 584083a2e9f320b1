"""Errors that end as one clear message; whatever else is raised is a fault and keeps its traceback."""

from __future__ import annotations

from collections.abc import Sequence


class IsolateError(Exception):
    """The question could not be answered (exit status 1)."""

    exit_code = 1


class InputError(IsolateError):
    """Bad input (exit status 2): every fault of a file, reported together.

    Each fault reads ``file: key.path: what is wrong (got ...); what to write instead``.
    """

    exit_code = 2

    def __init__(self, faults: str | Sequence[str]) -> None:
        self.faults: tuple[str, ...] = (faults,) if isinstance(faults, str) else tuple(faults)
        super().__init__("\n".join(self.faults))


def escaped(text: str) -> str:
    """Text with anything a terminal could obey written as its escape."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def shown(value: object) -> str:
    """What came, fit for one line of a message: quoted, cut, nothing a terminal could obey."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        return f"a list of {len(value)}"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**30:
        return "an enormous number"
    if not isinstance(value, str):
        return str(value)[:40]
    return f'"{escaped(value if len(value) <= 60 else value[:57] + "...")}"'
