"""A room moved to where its measurement and its prediction agree, and how surely the explanation holds.

What is uncertain beforehand is how wide gaps are and what goes round. The explanation that the fit prefers is
put into the room: its gaps as open as was found, one more in the likeliest side, or one more way in that
stands for all that goes round. Changes told from there start where the measurement is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import rooms
from isolate.describe.constructions import Construction
from isolate.describe.materials import Range
from isolate.describe.measured import Measured as Curve
from isolate.describe.rooms import Gap, Room, Side
from isolate.measuring import request
from isolate.measuring.fit import RISE_DB, Fitted
from isolate.measuring.model import Compared, compared

ROUND = "what goes round"
_LEAKY = ("window", "door")


@dataclass(frozen=True)
class Moved:
    """The `room` as measured and the comparison it follows from."""

    room: Room
    compared: Compared

    @property
    def notes(self) -> tuple[str, ...]:
        """Which explanation is preferred, how surely, and what else might be."""
        fit = self.compared.fit
        sides = " and ".join(self.compared.sides)
        others = [f"{kind} {100 * chance:.0f} %" for kind, chance in fit.chances if kind != fit.kind]
        preferred = dict(fit.chances)[fit.kind]
        how = f"measured through {sides}: {fit.kind}, {100 * preferred:.0f} % sure ({', '.join(others)})"
        moved = fit.leak is not None or fit.flanking_db is not None
        after = "changes are told from the room so moved" if moved else "the room is told as described"
        return (f"{how}. What explains the measurement: {'; '.join(self.compared.explanation)}; {after}.",)


def moved(described: Room | str | None, measurement: Path, *, through: str | None = None) -> Moved:
    """The room as its measurement explains it.

    Raises
    ------
    InputError
        No measurement saved with ``--json``, or none of this room's sides.
    """
    room = described if isinstance(described, Room) else rooms.load(described)
    found = compared(request.load(measurement), room, through=through)
    through_sides = [side for side in room.sides if side.name in found.sides]
    fit = found.fit
    if fit.leak is not None and fit.existing:
        wider = {side.name: _widened(side, fit.leak) for side in through_sides}
        room = replace(room, sides=tuple(wider.get(side.name, side) for side in room.sides))
    elif fit.leak is not None and fit.width is not None:
        leaky = next((one for one in through_sides if one.construction.kind in _LEAKY), through_sides[0])
        low, high = (fit.width * limit / fit.leak.value for limit in (fit.leak.low, fit.leak.high))
        gap = Gap(
            fit.width, fit.leak.value / fit.width, found.depth, name="leak found by measuring",
            widths=Range(low, fit.width, high),
        )  # fmt: skip
        sides = [replace(one, gaps=(*one.gaps, gap)) if one is leaky else one for one in room.sides]
        room = replace(room, sides=tuple(sides))
    if fit.flanking_db is not None:
        side = _round(round_about(fit.flanking_db.value), through_sides[0], found.area)
        room = replace(room, sides=(*room.sides, side))
    return Moved(room, found)


def round_about(at_500_db: float) -> Array:
    """R' [dB] (27,) of all that goes round, by its value at 500 Hz."""
    return at_500_db + RISE_DB * np.log2(THIRD_OCTAVES / 500.0)


def _widened(side: Side, times: Fitted) -> Side:
    """A side whose gaps are so many times as wide."""
    gaps = []
    for gap in side.gaps:
        low, width, high = (gap.width * factor for factor in (times.low, times.value, times.high))
        gaps.append(replace(gap, width=width, widths=Range(low, width, high)))
    return replace(side, gaps=tuple(gaps))


def _round(curve_db: Array, beside: Side, area: float) -> Side:
    """All that goes round as one side with the fitted curve."""
    known = Curve("fitted to the measurement", "own", THIRD_OCTAVES, curve_db)
    built = Construction(ROUND, "What goes round, as fitted to the measurement", "wall", (), measured=known)
    return Side(ROUND, beside.faces, built, area)
