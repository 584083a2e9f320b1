"""What is asked of a plan: the target, what may be spent, and where fixes and prices come from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from isolate import units
from isolate.describe.prices import LABOURS
from isolate.describe.stated import Stated
from isolate.remedies.usual import REVEAL

CANDIDATES = ("options", "own", "both")


@dataclass(frozen=True)
class Request:
    """A question; None where nothing was said.

    target : in words (see `fixes_target`); without one nothing is to be audible.
    budget : money; max_weight [kg] and max_space [m3] of all fixes together; max_thickness [m] of one.
    candidates : "options" of the file, the tool's "own", or "both"; None: the file's if it has any.
    prices : path of a list; labour "own" or "hired", None as the list says.
    chance : with which the target is to be met, 0 to 1; None: as likely as not.
    reveal : how deep a second pane may stand behind a window [m].
    may_close : fixes that shut a vent and open no other are allowed.
    """

    target: str | None = None
    budget: float | None = None
    max_weight: float | None = None
    max_thickness: float | None = None
    max_space: float | None = None
    candidates: str | None = None
    prices: str | None = None
    labour: str | None = None
    chance: float | None = None
    reveal: float = REVEAL
    may_close: bool = False

    @property
    def limits(self) -> tuple[float, float, float]:
        """The most of cost, mass and space."""
        return tuple(  # type: ignore[return-value]
            float("inf") if one is None else one for one in (self.budget, self.max_weight, self.max_space)
        )

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "target": self.target,
            "budget": self.budget,
            "max_weight_kg": self.max_weight,
            "max_thickness_mm": None if self.max_thickness is None else 1e3 * self.max_thickness,
            "max_space_m3": self.max_space,
            "candidates": self.candidates,
            "prices": self.prices,
            "labour": self.labour,
            "chance": self.chance,
            "reveal_mm": 1e3 * self.reveal,
            "may_close_vents": self.may_close,
        }


def request(
    *,
    target: str | None = None,
    budget: float | None = None,
    max_weight: str | None = None,
    max_thickness: str | None = None,
    max_space: str | None = None,
    candidates: str | None = None,
    prices: str | None = None,
    labour: str | None = None,
    chance: float | None = None,
    reveal: str | None = None,
    may_close: bool = False,
) -> Request:
    """A question in words, each option as on the command line; `chance` in percent.

    Raises
    ------
    InputError
        All faults together, each behind the name of its option.
    """
    options = Stated()
    found = Request(
        target=target,
        budget=budget,
        max_weight=options.read("--max-weight", max_weight, lambda text: units.parse(text, "mass")),
        max_thickness=options.read("--max-thickness", max_thickness, lambda text: _length(text, 0.001, 2.0)),
        max_space=options.read("--max-space", max_space, lambda text: units.parse(text, "volume")),
        candidates=candidates,
        prices=prices,
        labour=labour,
        chance=None if chance is None else chance / 100.0,
        reveal=options.read("--reveal", reveal, lambda text: _length(text, 0.02, 0.6)) or REVEAL,
        may_close=may_close,
    )
    if target is not None and not target.strip():
        options.fault("--target", 'is empty; write one such as "25 dBA", "faint" or "tram: not audible"')
    if budget is not None and not 0.0 <= budget < 1e12:
        options.fault("--budget", f"no sum of money (got {budget:g}); write 0 or more")
    if chance is not None and not 1.0 <= chance <= 99.0:
        options.fault("--chance", f"not from 1 to 99 percent (got {chance:g}); write one such as 80")
    if candidates is not None and candidates not in CANDIDATES:
        options.fault(
            "--candidates", f"none of {', '.join(CANDIDATES)} (got {candidates!r}); write one of them"
        )
    if labour is not None and labour not in LABOURS:
        options.fault("--labour", f"neither own nor hired (got {labour!r}); write one of them")
    options.stop()
    return found


def _length(text: str, least: float, most: float) -> float:
    length = units.parse(text, "length")
    if not least <= length <= most:
        low, high = units.show_length(least), units.show_length(most)
        raise ValueError(f'not from {low} to {high} (got "{text}"); write one such as "100 mm"')
    return length
