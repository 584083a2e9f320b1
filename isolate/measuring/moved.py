"""A room moved to where its measurement and its prediction agree, and how surely the explanation holds.

What is uncertain beforehand is how wide gaps are, what goes round, and how well the prediction of a
construction holds. The explanation that the fit prefers is put into the room: its gaps as open as was found,
one more in the likeliest side, or one more way in that stands for all that goes round; what is left in all
bands alike is shared between measurement and constructions by their variances. What was measured is known
better from then on, and changes told from there start where the measurement is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from isolate.answers.room import Explained
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import rooms
from isolate.describe.constructions import Construction
from isolate.describe.materials import Range
from isolate.describe.measured import Measured as Curve
from isolate.describe.room_parts import Found
from isolate.describe.rooms import Gap, Room, Side
from isolate.measuring import request
from isolate.measuring.fit import RISE_DB, Fitted
from isolate.measuring.model import Compared, compared
from isolate.room import envelope as shell

ROUND = "what goes round"
_LEAKY = ("window", "door")


@dataclass(frozen=True)
class Moved:
    """The `room` as measured and the comparison it follows from."""

    room: Room
    compared: Compared

    @property
    def explained(self) -> Explained:
        """Which explanation is preferred, how surely, and what else might be."""
        found, fit = self.compared, self.compared.fit
        return Explained(found.sides, fit.kind, found.explanation, fit.chances)


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
    known = _known(room, found)
    room = replace(room, sides=tuple(known.get(side.name, side) for side in room.sides))
    through_sides = [known[side.name] for side in through_sides]
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


def _known(room: Room, found: Compared) -> dict[str, Side]:
    """The measured sides by name, their constructions as good as was found and known as well as the part they
    have in what was measured allows."""
    sigma, u = found.sigma_db, np.where(np.isfinite(found.u_db) & ~found.hidden, found.u_db, np.inf)
    used = np.isfinite(u)
    share = float(np.mean(sigma[used] ** 2) / np.mean(sigma[used] ** 2 + u[used] ** 2)) if used.any() else 0.0
    whole = found.area * 10.0 ** (-found.fit.curve_db / 10.0)
    sides = {}
    for built in shell.of_room(room).sides:
        if built.side.name in found.sides:
            own = next(one for one in built.elements if one.kind == "construction")
            part = np.minimum(own.tau_area / whole, 1.0)
            left = own.sigma_db**2 / (1.0 + part * own.sigma_db**2 / u**2)
            known = Found(share * found.fit.shift_db, np.sqrt(left))
            sides[built.side.name] = replace(built.side, found=known)
    return sides


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
