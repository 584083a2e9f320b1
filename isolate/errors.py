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
