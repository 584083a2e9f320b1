"""How often a noise is heard: how many a day and how long each, by day and at night."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from isolate.describe.hours import ALWAYS, DAY, NIGHT, Hours
from isolate.describe.rooms import Room
from isolate.room import audibility, levels, prediction
from isolate.room.chances import chance
from isolate.room.received import Received
from isolate.standards import hearing

TIMES: dict[str, Hours] = {"day": DAY, "night": NIGHT}


@dataclass(frozen=True)
class AtTime:
    """A noise by day or at night: the part of its events that come then, its margin [dB] over the background
    of that time, the word for it and the chance that it is heard."""

    when: str
    part: float
    margin: float
    verdict: str
    chance: float

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "when": self.when,
            "part_of_events": self.part,
            "margin_db": self.margin,
            "verdict": self.verdict,
            "chance_heard": self.chance,
        }


@dataclass(frozen=True)
class Often:
    """A noise over a day: `per_day` events (None: it is steady) of `duration` [s], and how it is heard by day
    and at night."""

    name: str
    per_day: float | None
    duration: float | None
    hours: Hours | None
    times: tuple[AtTime, ...]

    @property
    def heard_per_day(self) -> float | None:
        """Events heard a day, on the mean; None where it is steady."""
        if self.per_day is None:
            return None
        return self.per_day * sum(one.part * one.chance for one in self.times)

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "per_day": self.per_day,
            "duration_s": self.duration,
            "hours": str(self.hours) if self.hours else None,
            "heard_per_day": self.heard_per_day,
            "times": [one.to_dict() for one in self.times],
        }


def often(room: Room, heard: Received) -> Often:
    """How often a noise of a room is heard; it comes evenly over its hours."""
    noise = heard.noise
    return Often(noise.name, noise.per_day, noise.duration, noise.hours, tuple(_times(room, heard)))


def _times(room: Room, heard: Received) -> Iterator[AtTime]:
    hours = heard.noise.hours or ALWAYS
    for when, clock in TIMES.items():
        part = hours.shared(clock) / hours.length
        if part <= 0.0:
            continue
        if when not in room.backgrounds:
            yield AtTime(when, part, heard.margin, heard.verdict, heard.chance)
            continue
        background = levels.of_background(room.backgrounds[when])
        margin = float(hearing.margin(heard.level_db, background).max())
        drawn = heard.drawn
        heard_then = (
            chance(drawn.others[when] > 0.0)
            if drawn
            else prediction.chance_above(margin, heard.margin_sigma_db)
        )
        yield AtTime(when, part, margin, audibility.verdict(margin, heard_then), heard_then)
