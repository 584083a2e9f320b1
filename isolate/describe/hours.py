"""Hours of the day in words a file can hold: "21-23", "5:30-9", "22-6" over midnight, "9 pm-1 am", "9-11 pm",
"9 pm" (the hour that begins then), "day", "night"."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from isolate.describe.reading import text
from isolate.units import shown

INSTEAD = 'write hours of the clock, such as "21-23", "5:30-9:00" or "9 pm to 1 am", or "day" or "night"'
_CLOCK = r"(?:(\d{1,2})(?:[:.](\d{2}))?\s*(h|am|pm|o'clock)?|(noon|midday|midnight))"
_ONE = re.compile(rf"(?:at\s+)?{_CLOCK}")
_HOURS = re.compile(rf"(?:from\s+|between\s+)?{_CLOCK}\s*(?:-|–|to|till?|until|and)\s*{_CLOCK}")
DAY_LONG = 24.0


@dataclass(frozen=True)
class Hours:
    """From `start` to `end` o'clock [h], 0 to 24; over midnight where the end comes first."""

    start: float
    end: float

    @property
    def length(self) -> float:
        """How many hours these are, above 0 to 24."""
        return (self.end - self.start - 1e-9) % DAY_LONG + 1e-9

    def _parts(self) -> list[tuple[float, float]]:
        start = self.start % DAY_LONG
        end = start + self.length
        return [(start, min(end, DAY_LONG)), *([(0.0, end - DAY_LONG)] if end > DAY_LONG else [])]

    def shared(self, other: Hours) -> float:
        """Hours that both have.

        >>> Hours(22, 6).shared(Hours(5, 9))
        1.0
        """
        return sum(max(min(b, d) - max(a, c), 0.0) for a, b in self._parts() for c, d in other._parts())

    def __str__(self) -> str:
        def clock(hour: float) -> str:
            minutes = round(hour * 60)
            return f"{minutes // 60}:{minutes % 60:02d}"

        return f"{clock(self.start)} to {clock(self.end)}"


# Night as many noise rules have it (22:00 to 6:00: TA Lärm 1998, from memory).
NIGHT, DAY = Hours(22.0, 6.0), Hours(6.0, 22.0)
ALWAYS = Hours(0.0, 24.0)
_NAMED = {"night": NIGHT, "day": DAY, "always": ALWAYS}


def hours(value: object) -> Hours:
    """Converter: hours of the day."""
    wording = text(value).casefold().replace("a.m.", "am").replace("p.m.", "pm")
    if wording in _NAMED:
        return _NAMED[wording]
    match = _HOURS.fullmatch(wording)
    alone = None if match else _ONE.fullmatch(wording)
    said = match or alone
    if said is None or (alone and not (alone[3] or alone[4])):
        raise ValueError(f"no hours (got {shown(value)}); {INSTEAD}")
    if match and match[7] in ("am", "pm") and match[3] is None and match[1]:
        ends = _same_half(match)
    else:
        parts = said.groups()
        ends = [_clock(parts[i : i + 4]) for i in range(0, len(parts), 4)]
    if any(math.isnan(end) for end in ends):
        raise ValueError(f"no time of day (got {shown(value)}); {INSTEAD}")
    if alone:
        return Hours(ends[0], (ends[0] + 1.0) % DAY_LONG or DAY_LONG)
    if ends[0] == ends[1]:
        raise ValueError(f"begins when it ends (got {shown(value)}); {INSTEAD}")
    return Hours(*ends)


def _clock(parts: Sequence[str | None]) -> float:
    """Hours since midnight of one time: hour, minutes, am or pm, or noon; NaN where there is none such."""
    hour, minutes, half, named = parts
    if named:
        return DAY_LONG if named == "midnight" else DAY_LONG / 2
    whole, past = int(hour or 0), int(minutes or 0) / 60.0
    if half in ("am", "pm"):
        valid, whole = 1 <= whole <= 12, whole % 12 + (12 if half == "pm" else 0)
    else:
        valid = whole + past <= DAY_LONG
    return whole + past if valid and past < 1.0 else math.nan


def _same_half(match: re.Match[str]) -> list[float]:
    """Ends of "9-11 pm": the first in the same half of the day, or the other where it would come later."""
    hour, minutes, _, _, *last = match.groups()
    end = _clock(last)
    start = _clock((hour, minutes, last[2], None))
    return [start if start < end else (start + 12.0) % DAY_LONG, end]
