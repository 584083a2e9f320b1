"""When a neighbour allows a sound: the limits, silences and background that hold at an hour of the day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.describe import hours
from isolate.describe.hours import DAY, NIGHT, Hours
from isolate.describe.limits import Silence, StatedLimit
from isolate.describe.rooms import Background, Neighbour
from isolate.room import levels
from isolate.room.limits import exceeded
from isolate.room.received import Received
from isolate.standards import hearing

STEP = 0.25  # h between the times of day that are looked at
TIMES = tuple(i * STEP for i in range(int(24 / STEP)))
KEPT_DB = 0.05


@dataclass(frozen=True)
class Rules:
    """What a neighbour says to a sound at an hour: `limits` and `silences`, over `background_db` (27,);
    `free`: they have stated limits or silences, and leave this hour of the day free."""

    limits: tuple[StatedLimit, ...]
    silences: tuple[Silence, ...]
    background_db: Array
    free: bool = False

    def excess(self, level_db: Array, background_db: Array | None = None) -> Array:
        """By how much sounds (..., 27) exceed the strictest limit [dB] (...); where there is none, by how
        much they are heard, and less than nothing where the hour is free."""
        background = self.background_db if background_db is None else background_db
        if self.limits:
            each = [exceeded(one, level_db=level_db, background_db=background)[0] for one in self.limits]
            return np.asarray(np.max(each, axis=0))
        margin = np.asarray(hearing.margin(level_db, background).max(-1))
        return np.full_like(margin, -np.inf) if self.free else margin

    def allow(self, level_db: Array) -> bool:
        """Whether a sound (27,) may be played."""
        most = KEPT_DB if self.limits else 1e-9
        return not self.silences and float(self.excess(level_db)) < most


def rules(to: Neighbour, what: str, time: float) -> Rules:
    """What a neighbour says to a sound of this name at a time [h].

    Who states hours for something leaves the rest of the day (6:00 to 22:00) free, unless a limit begins with
    the day: one "until" some hour is not lifted then. At other hours, and where nothing at all is stated, a
    sound is allowed that is not heard.
    """
    forbids = tuple(one for one in to.silent if one.forbids(what))
    limits = tuple(one for one in to.limits if _holds(one.hours, time))
    stated = [*(one.hours for one in to.limits), *(one.hours for one in forbids)]
    free = bool(stated) and _holds(DAY, time) and all(one and one.start != DAY.start for one in stated)
    return Rules(
        limits,
        tuple(one for one in forbids if _holds(one.hours, time)),
        levels.of_background(background(to, Hours(time, time + STEP / 2))),
        free,
    )


def background(to: Neighbour, played: Hours | None) -> Background:
    """The background over which a neighbour hears what is played in these hours."""
    if played is None or meet(DAY, played) == meet(NIGHT, played):
        return to.background
    return to.backgrounds.get("day" if meet(DAY, played) else "night", to.background)


def meet(stated: Hours | None, played: Hours | None) -> bool:
    """Whether stated hours (None: round the clock) hold at all in those of playing (None: at any)."""
    return stated is None or played is None or stated.shared(played) > 1e-6


def _holds(stated: Hours | None, time: float) -> bool:
    return meet(stated, Hours(time, time + STEP / 2))


def free(heard: Sequence[Received]) -> tuple[Hours, ...]:
    """The hours of the day in which every neighbour allows a sound, as each receives it."""
    told: dict[float, bool] = {}
    for time in TIMES:
        told[time] = all(rules(one.to, one.what, time).allow(one.level_db) for one in heard)
    good = list(told.values())
    if all(good):
        return (hours.ALWAYS,)
    found = []
    for i in (i for i, ok in enumerate(good) if ok and not good[i - 1]):
        n = next(k for k in range(1, len(good) + 1) if not good[(i + k) % len(good)])
        found.append(Hours(TIMES[i], (TIMES[i] + n * STEP) % 24.0 or 24.0))
    return tuple(found)
