"""When a neighbour allows a sound: the limits, silences and background that hold at an hour of the day; and
at which hour the street hides most of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.bands import Array
from isolate.describe import hours
from isolate.describe.hours import DAY, NIGHT, Hours
from isolate.describe.limits import Silence, StatedLimit
from isolate.describe.noises import HOURS, load
from isolate.describe.rooms import Background, Neighbour, Noise
from isolate.room import levels
from isolate.room.limits import exceeded
from isolate.room.received import Received
from isolate.standards import hearing

STEP = 0.25  # h between the times of day that are looked at
TIMES = tuple(i * STEP for i in range(int(24 / STEP)))
LESS_DB = 1.0  # less that hours ask before they are worth a word
ALIKE_DB = 0.5  # hours that hide as much
TRAFFIC = "road traffic"  # the noise of the catalogue whose course over a day streets have


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
        return not self.silences and float(self.excess(level_db)) <= 1e-9


def rules(to: Neighbour, what: str, time: float) -> Rules:
    """What a neighbour says to a sound of this name at a time [h].

    Who states hours for something leaves the rest of the day (6:00 to 22:00) free, unless a limit begins with
    the day: one "until" some hour is not lifted then. At other hours, and where nothing at all is stated, a
    sound is allowed that is not heard. What the night's limits do not measure is no more allowed than by day:
    those of the day that are of another kind hold as well.
    """
    forbids = tuple(one for one in to.silent if one.forbids(what))
    limits = tuple(one for one in to.limits if _holds(one.hours, time))
    if limits and not _holds(DAY, time):
        kinds = {(one.measure, one.over) for one in limits}
        limits += tuple(
            one for one in to.limits if (one.measure, one.over) not in kinds and meet(one.hours, DAY)
        )
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


def limits_in(to: Neighbour, played: Hours | None) -> tuple[StatedLimit, ...]:
    """The limits of a neighbour that hold at all while something is played in these hours."""
    return tuple(one for one in to.limits if meet(one.hours, played))


def forbidden(to: Neighbour, what: str, played: Hours | None) -> bool:
    """Whether a neighbour wants silence of a sound at all while it is played in these hours."""
    return any(one.forbids(what) and meet(one.hours, played) for one in to.silent)


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
    return tuple(span for span, good in _runs(list(told.values())) if good)


def easier(heard: Sequence[Received]) -> tuple[Hours, ...]:
    """Hours of the day in which the neighbours ask less of a sound than in those it is played in, as each
    receives it; the best first, of those that ask the same, or allow it, the longest."""
    if not heard:
        return ()
    said: dict[tuple[object, ...], float] = {}
    asked = []
    for time in TIMES:
        every = [rules(one.to, one.what, time) for one in heard]
        key = tuple(
            (*map(id, one.limits), *map(id, one.silences), one.free, one.background_db.tobytes())
            for one in every
        )
        if key not in said:
            over = [float(one.excess(x.level_db)) for one, x in zip(every, heard, strict=True)]
            said[key] = float("inf") if any(one.silences for one in every) else max(over)
        asked.append(key)
    now = [key for time, key in zip(TIMES, asked, strict=True) if _holds(heard[0].own.hours, time)]
    most = max(said[key] for key in now)
    able = [
        (max(said[key], 0.0), -span.length, span) for span, key in _runs(asked) if said[key] < most - LESS_DB
    ]
    return tuple(span for *_, span in sorted(able, key=lambda one: one[:2]))


@dataclass(frozen=True)
class Hidden:
    """A sound at all its neighbours in the `hours` when the street hides most of it: `more_db` than at the
    time asked for, and `left_db` that then still stands out where it does most."""

    hours: Hours
    more_db: float
    left_db: float

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"hours": str(self.hours), "more_db": self.more_db, "left_db": self.left_db}


def course(noises: Sequence[Noise]) -> Array:
    """Level of the street in each hour over that of the whole day (24,) [dB]: of the first noise outdoors
    with a course of its own, at its least outside its hours; else that of city traffic."""
    for one in noises:
        by_hour = one.spectrum.by_hour
        if by_hour is not None and not one.indoors:
            comes = [_holds(one.hours, float(hour)) for hour in range(HOURS)]
            return np.where(comes, by_hour, by_hour.min())
    usual = load(TRAFFIC).by_hour
    assert usual is not None
    return usual


def by_hour(to: Neighbour, street_db: Array) -> Array:
    """Background of a neighbour in each hour of the day (24, 27) [dB]: what is stated is the mean of the
    hours it is stated for, and rises and falls in them as the street does (24,) [dB]."""
    stated = [background(to, Hours(float(hour), hour + 1.0)) for hour in range(HOURS)]
    found = []
    for one, level in zip(stated, street_db, strict=True):
        same = street_db[[other is one for other in stated]]
        found.append(levels.of_background(one) + level - 10 * np.log10(np.mean(10 ** (same / 10))))
    return np.array(found)


def hidden(heard: Sequence[Received], street_db: Array, time: float) -> Hidden | None:
    """When the street hides most of a sound, as each neighbour receives it; None where no hour hides more of
    it than another: where what stands out lies in bass the ear hides by itself. street_db (24,): `course`."""
    each = [hearing.margin(one.level_db, by_hour(one.to, street_db)).max(-1) for one in heard]
    margin = np.max(each, axis=0)
    if np.ptp(margin) < LESS_DB:
        return None
    first = last = int(margin.argmin())
    good = margin <= margin.min() + ALIKE_DB
    while good[first - 1]:
        first -= 1
    while good[(last + 1) % HOURS]:
        last += 1
    more = float(margin[int(time) % HOURS] - margin.min())
    return Hidden(Hours(first % HOURS * 1.0, float(last % HOURS + 1)), more, float(margin.min()))


def _runs(values: Sequence[Any]) -> Iterator[tuple[Hours, Any]]:
    """Hours over which what is found at `TIMES` stays the same, and that."""
    starts = [i for i, value in enumerate(values) if value != values[i - 1]]
    if not starts:
        yield hours.ALWAYS, values[0]
    for i, after in zip(starts, [*starts[1:], *starts[:1]], strict=True):
        yield Hours(TIMES[i], TIMES[after] or 24.0), values[i]
