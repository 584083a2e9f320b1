"""What is stated by options: read one by one, and all that is wrong with them told together."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from isolate.errors import InputError

T = TypeVar("T")


class Stated:
    """Reads options and collects their faults."""

    def __init__(self) -> None:
        self.faults: list[str] = []

    def read(self, option: str, text: str | None, convert: Callable[[str], T]) -> T | None:
        """The value of an option; None where it is not given, or `convert` refuses it."""
        if text is None:
            return None
        try:
            return convert(text)
        except (ValueError, InputError) as fault:
            for line in str(fault).splitlines():
                self.fault(option, line)
            return None

    def fault(self, option: str, text: str) -> None:
        """A fault of an option; the text reads ``what (got ...); what to write instead``."""
        self.faults.append(f"{option}: {text}")

    def stop(self) -> None:
        """Raise InputError with all faults, if there is any."""
        if self.faults:
            raise InputError(self.faults)
