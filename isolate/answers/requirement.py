"""A requirement put to an answer: "inside_dba < 30", "tram: margin_db <= 0, Rw >= 45"."""

from __future__ import annotations

import operator
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from isolate.describe.reading import unquoted
from isolate.errors import InputError, shown

_TESTS: dict[str, Callable[[float, float], bool]] = {
    "<=": operator.le, ">=": operator.ge, "<": operator.lt, ">": operator.gt,
}  # fmt: skip
_PART = re.compile(  # names may hold commas, as DnT,w does: only one after a limit joins
    r"\s*(?:(?P<subject>\"[^\"]+\"|[^<>]+):)?\s*(?P<quantity>[^:<>=]+?)\s*(?P<test><=|>=|<|>)"
    r"\s*(?P<limit>-?\d+(\.\d+)?)\s*(?:,|$)"
)
_WORDING = (
    'write for example "inside_dba < 30", or "tram: margin_db <= 0" for one noise, whose name may stand in '
    "double quotes; a comma joins several"
)

Quantities = Sequence[tuple[str, str, float]]  # subject, quantity, value


@dataclass(frozen=True)
class Requirement:
    """One condition; `subject` None means that it holds for all subjects."""

    subject: str | None
    quantity: str
    test: str
    limit: float

    def unmet(self, quantities: Quantities) -> list[str]:
        """What does not meet it, in words.

        Raises
        ------
        InputError
            When the answer has no such subject or quantity.
        """
        known = dict.fromkeys(quantity for _, quantity, _ in quantities)
        if not known:
            raise InputError(
                f"require: nothing to hold {self.quantity} against; without it the answer says why"
            )
        if self.quantity not in known:
            raise InputError(f"require: no quantity {shown(self.quantity)} here; one of {', '.join(known)}")
        subjects = dict.fromkeys(subject for subject, _, _ in quantities)
        if self.subject is not None and self.subject not in subjects:
            raise InputError(
                f"require: no subject {shown(self.subject)} here; one of {', '.join(subjects)}"
            )
        return [
            f"{subject}: {quantity} is {value:.4g}, required {self.test} {self.limit:g}"
            for subject, quantity, value in quantities
            if quantity == self.quantity
            and self.subject in (None, subject)
            and not _TESTS[self.test](value, self.limit)
        ]


def parse(text: str) -> tuple[Requirement, ...]:
    """Read a requirement.

    >>> parse("tram: margin_db <= 0")[0].limit
    0.0

    Raises
    ------
    InputError
        When it is worded otherwise.
    """
    found: list[Requirement] = []
    at = 0
    while at < len(text) or not found:
        match = _PART.match(text, at)
        if match is None:
            raise InputError(f"require: not a requirement (got {shown(text[at:].strip())}); {_WORDING}")
        at = match.end()
        subject = unquoted(match["subject"]) if match["subject"] else None
        found.append(Requirement(subject, match["quantity"], match["test"], float(match["limit"])))
    return tuple(found)
