"""What to find out first: unknowns weighed by how much doubt about verdicts they cause."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from isolate.room.chances import Doubt
from isolate.room.unknowns import Unknown

LEAST = 0.03  # share of all doubt from which an unknown is spoken of
SURE = 0.02  # chance of the other verdict up to which a result is not in doubt


class Result(NamedTuple):
    """Something that is so with `chance`, or not; what moves it, largest first."""

    name: str
    chance: float
    doubts: tuple[Doubt, ...]

    @property
    def doubt(self) -> float:
        """4 p (1 - p): 1 where it may as well be as not, 0 where it is sure; 0 below `SURE`."""
        p = self.chance
        return 4.0 * p * (1.0 - p) if SURE < p < 1.0 - SURE else 0.0


@dataclass(frozen=True)
class ToClear:
    """An unknown that can be found out, its `share` of all the doubt there is, and the results it moves
    most."""

    unknown: Unknown
    share: float
    moves: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {**self.unknown.to_dict(), "share_of_doubt": self.share, "moves": list(self.moves)}


def to_clear(results: Sequence[Result]) -> tuple[ToClear, ...]:
    """The unknowns to find out, the one that removes most doubt first; none where no verdict is in doubt.

    Each result counts by how much in doubt it is; what nobody can know beforehand takes its share, but is
    left out.
    """
    whole = sum(one.doubt for one in results)
    share: dict[str, float] = defaultdict(float)
    moved: dict[str, list[tuple[float, str]]] = defaultdict(list)
    known: dict[str, Unknown] = {}
    for one in results:
        if one.doubt <= 0.0:
            continue
        for doubt in one.doubts:
            known[doubt.unknown.key] = doubt.unknown
            share[doubt.unknown.key] += one.doubt * doubt.share / whole
            moved[doubt.unknown.key].append((one.doubt * doubt.share, one.name))
    found = [
        ToClear(unknown, share[key], _most(moved[key]))
        for key, unknown in known.items()
        if unknown.knowable and share[key] >= LEAST
    ]
    return tuple(sorted(found, key=lambda one: -one.share))


def luck(results: Sequence[Result]) -> float:
    """Share of all the doubt there is that nobody can clear up beforehand; 0 where there is none."""
    whole = sum(one.doubt for one in results)
    if whole <= 0.0:
        return 0.0
    return sum(
        one.doubt * doubt.share / whole
        for one in results
        for doubt in one.doubts
        if not doubt.unknown.knowable
    )


def _most(moved: Sequence[tuple[float, str]]) -> tuple[str, ...]:
    """The results an unknown moves, those left out that it hardly does."""
    ranked = sorted(moved, reverse=True)
    return tuple(name for weight, name in ranked if weight >= 0.1 * ranked[0][0])
