"""Hours of the day in words a file can hold: "21-23", "5:30-9", "22-6" over midnight, "day", "night"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from isolate.describe.reading import text
from isolate.units import shown

INSTEAD = 'write hours of the clock, such as "21-23" or "5:30-9:00", or "day" or "night"'
_CLOCK = r"(\d{1,2})(?::(\d{2}))?(?:\s*h)?"
_HOURS = re.compile(rf"{_CLOCK}\s*(?:-|–|to)\s*{_CLOCK}")
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
    wording = text(value).casefold()
    if wording in _NAMED:
        return _NAMED[wording]
    match = _HOURS.fullmatch(wording)
    if match is None:
        raise ValueError(f"no hours (got {shown(value)}); {INSTEAD}")
    ends = [int(match[i]) + int(match[i + 1] or 0) / 60.0 for i in (1, 3)]
    if any(end > DAY_LONG for end in ends) or any(int(match[i] or 0) > 59 for i in (2, 4)):
        raise ValueError(f"no time of day (got {shown(value)}); {INSTEAD}")
    if ends[0] == ends[1]:
        raise ValueError(f"begins when it ends (got {shown(value)}); {INSTEAD}")
    return Hours(*ends)
