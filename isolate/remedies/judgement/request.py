"""What is asked of a judgement: what is wanted, what may be spent, which remedies count, whose prices."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from isolate import units
from isolate.describe.prices import LABOURS
from isolate.describe.stated import Stated
from isolate.remedies.second_window.choice import USUAL_DEPTH


@dataclass(frozen=True)
class Request:
    """A question; None where nothing was said.

    target : in words (see `target`); without one what the room suffers from (`target.suffered`).
    budget : money; max_weight [kg] and max_space [m3] of all remedies together; max_thickness [m] of one.
    only_mine : the options of the file alone, not the tool's own remedies.
    prices : path of a list; labour "own" or "hired", None as the list says.
    chance : with which the target is to be met, 0 to 1; None: as likely as not.
    max_gap : how far behind a window a second pane may stand [m].
    as_played : no other ways to play, even where building does not do.
    may_close : remedies that shut a vent and open no other are allowed.
    """

    target: str | None = None
    budget: float | None = None
    max_weight: float | None = None
    max_thickness: float | None = None
    max_space: float | None = None
    only_mine: bool = False
    prices: str | None = None
    labour: str | None = None
    chance: float | None = None
    max_gap: float = USUAL_DEPTH
    may_close: bool = False
    as_played: bool = False

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
            "only_mine": self.only_mine,
            "prices": self.prices,
            "labour": self.labour,
            "chance": self.chance,
            "max_gap_mm": 1e3 * self.max_gap,
            "may_close_vents": self.may_close,
            "as_played": self.as_played,
        }


def request(
    *,
    target: str | None = None,
    budget: float | None = None,
    max_weight: str | None = None,
    max_thickness: str | None = None,
    max_space: str | None = None,
    only_mine: bool = False,
    prices: str | None = None,
    labour: str | None = None,
    chance: float | None = None,
    max_gap: str | None = None,
    may_close: bool = False,
    as_played: bool = False,
) -> Request:
    """A question in words; lengths, masses and volumes with their units, `chance` in percent.

    Raises
    ------
    InputError
        All faults together, each behind the name of its argument.
    """
    words = Stated()
    found = Request(
        target=target,
        budget=budget,
        max_weight=words.read("max_weight", max_weight, lambda text: units.parse(text, "mass")),
        max_thickness=words.read("max_thickness", max_thickness, lambda text: _length(text, 0.001, 2.0)),
        max_space=words.read("max_space", max_space, lambda text: units.parse(text, "volume")),
        only_mine=only_mine,
        prices=prices,
        labour=labour,
        chance=None if chance is None else chance / 100.0,
        max_gap=words.read("max_gap", max_gap, lambda text: _length(text, 0.02, 0.6)) or USUAL_DEPTH,
        may_close=may_close,
        as_played=as_played,
    )
    if target is not None and not target.strip():
        words.fault("target", 'is empty; write one such as "25 dBA", "faint" or "tram: not audible"')
    if budget is not None and not 0.0 <= budget < 1e12:
        words.fault("budget", f"no sum of money (got {budget:g}); write 0 or more")
    if chance is not None and not 1.0 <= chance <= 99.0:
        words.fault("chance", f"not from 1 to 99 percent (got {chance:g}); write one such as 80")
    if labour is not None and labour not in LABOURS:
        words.fault("labour", f"neither own nor hired (got {labour!r}); write one of them")
    words.stop()
    return found


def _length(text: str, least: float, most: float) -> float:
    length = units.parse(text, "length")
    if not least <= length <= most:
        low, high = units.show_length(least), units.show_length(most)
        raise ValueError(f'not from {low} to {high} (got "{text}"); write one such as "100 mm"')
    return length
