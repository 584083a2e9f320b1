"""Hours of the day in words a file can hold: "21-23", "5:30-9", "22-6" over midnight, "9 pm-1 am", "9-11 pm",
"9 pm" (the hour that begins then), "day", "night", "evenings", "weekdays 9-17"."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from isolate.describe.reading import text
from isolate.errors import shown

INSTEAD = (
    'write hours of the clock, such as "21-23", "5:30-9:00" or "9 pm to 1 am", or "day", "evening" or "night"'
)
_CLOCK = r"(?:(\d{1,2})(?:[:.h](\d{2}))?\s*(h|uhr|am|pm|o'clock)?|(noon|midday|midnight))"
_ONE = re.compile(rf"(?:at\s+)?{_CLOCK}")
_HOURS = re.compile(rf"(?:from\s+|between\s+)?{_CLOCK}\s*(?:-|–|to|till?|until|and)\s*{_CLOCK}")
DAY_LONG = 24.0


@dataclass(frozen=True)
class Hours:
    """From `start` to `end` o'clock [h], 0 to 24; over midnight where the end comes first. `days` as they
    were said: what is answered holds on these, days are not told apart."""

    start: float
    end: float
    days: str = field(default="", compare=False)

    @property
    def length(self) -> float:
        """How many hours these are, above 0 to 24."""
        return (self.end - self.start - 1e-9) % DAY_LONG + 1e-9

    def parts(self) -> list[tuple[float, float]]:
        """From and to, once or, over midnight, twice."""
        start = self.start % DAY_LONG
        end = start + self.length
        return [(start, min(end, DAY_LONG)), *([(0.0, end - DAY_LONG)] if end > DAY_LONG else [])]

    def shared(self, other: Hours) -> float:
        """Hours that both have.

        >>> Hours(22, 6).shared(Hours(5, 9))
        1.0
        """
        return _shared(self.start, self.end, other.start, other.end)

    def __str__(self) -> str:
        def clock(hour: float) -> str:
            minutes = round(hour * 60)
            return f"{minutes // 60}:{minutes % 60:02d}"

        return f"{clock(self.start)} to {clock(self.end)}" + (f", {self.days}" if self.days else "")


@lru_cache(maxsize=1024)
def _shared(start: float, end: float, other_start: float, other_end: float) -> float:
    both = Hours(start, end).parts(), Hours(other_start, other_end).parts()
    return sum(max(min(b, d) - max(a, c), 0.0) for a, b in both[0] for c, d in both[1])


# Night as many noise rules have it (22:00 to 6:00: TA Lärm 1998, from memory).
NIGHT, DAY = Hours(22.0, 6.0), Hours(6.0, 22.0)
ALWAYS = Hours(0.0, 24.0)
# What people mean by a part of the day (judgement).
_NAMED = {
    **dict.fromkeys(("night", "all night"), NIGHT), **dict.fromkeys(("day", "all day"), DAY),
    **dict.fromkeys(
        ("always", "24/7", "24h", "24 h", "24 hour", "round the clock", "all the time", "day and night"),
        ALWAYS,
    ),
    "early morning": Hours(5.0, 8.0), "morning": Hours(6.0, 12.0), "lunchtime": Hours(12.0, 14.0),
    "lunch": Hours(12.0, 14.0), "afternoon": Hours(12.0, 18.0), "evening": Hours(18.0, 22.0),
    "late evening": Hours(20.0, 24.0), "office hour": Hours(9.0, 17.0), "working hour": Hours(9.0, 17.0),
    "business hour": Hours(9.0, 17.0),
}  # fmt: skip
_DAY = r"(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?s?|week\s?days?|week\s?ends?)"
_DAYS = re.compile(rf"(?:on\s+)?({_DAY}(?:\s*(?:-|–|to|,|and|&)\s*{_DAY})*)\s*,?\s*", re.IGNORECASE)
_OPEN = re.compile(r"(?:from|after|since|before|by|until|till?)\b.*\d.*|.*\d.*\b(?:onwards?|on)")
_TWELVE = re.compile(r"(\d{1,2})(?:[:.]\d{2})?\s*(?:-|–|to|till?|until|and)\s*(\d{1,2})(?:[:.]\d{2})?")


def hours(value: object) -> Hours:
    """Converter: hours of the day, with days of the week before or behind them where they are said."""
    wording = " ".join(text(value).split())
    said = _DAYS.match(wording) or re.search(rf"(?:\s|,)\s*{_DAYS.pattern}$", wording, re.IGNORECASE)
    if said is None:
        return _of_day(wording, value)
    rest = (wording[: said.start()] + wording[said.end() :]).strip(" ,")
    return replace(_of_day(rest, value) if rest else ALWAYS, days=said[1])


def time_of_day(said: str) -> float:
    """Hours since midnight of one time: "21:00", "9 pm" or "21"."""
    found = _ONE.fullmatch(_halves(said.strip().casefold()))
    at = _clock(found.groups()) if found else math.nan
    if math.isnan(at):
        raise ValueError(f'no time of day (got {shown(said)}); write one such as "21:00" or "9 pm"')
    return at % DAY_LONG


def _of_day(wording: str, value: object) -> Hours:
    """Hours of one day, by name or by the clock."""
    wording = _halves(wording.casefold())
    plain = re.sub(r"^(?:in the|during the|during|in|at|the|every|all)\s+(?=[a-z])|\s*time$|s$", "", wording)
    named = next((_NAMED[one] for one in (wording, plain, plain.removesuffix("s")) if one in _NAMED), None)
    if named is not None:
        return named
    wording = re.sub(r"\b(\d{2})([0-5]\d)\b", r"\1:\2", wording)
    match = _HOURS.fullmatch(wording)
    alone = None if match else _ONE.fullmatch(wording)
    said = match or alone
    if said is None and _OPEN.fullmatch(wording):
        raise ValueError(f'says one end only (got {shown(value)}); write both, such as "19-22" or "22-6"')
    if said is None or (alone and not (alone[3] or alone[4] or "h" in wording)):
        raise ValueError(f"no hours (got {shown(value)}); {INSTEAD}")
    if match and match[7] in ("am", "pm") and match[3] is None and match[1]:
        ends = _same_half(match)
    else:
        parts = said.groups()
        ends = [_clock(parts[i : i + 4]) for i in range(0, len(parts), 4)]
    if any(math.isnan(end) for end in ends):
        raise ValueError(f"no time of day (got {shown(value)}); {INSTEAD}")
    if alone:
        return Hours(ends[0] % DAY_LONG, (ends[0] + 1.0) % DAY_LONG or DAY_LONG)
    if ends[0] == ends[1]:
        raise ValueError(f"begins when it ends (got {shown(value)}); {INSTEAD}")
    if match and match[4] in ("noon", "midday") and match[5] and not match[7] and ends[1] < DAY_LONG / 2:
        ends[1] += DAY_LONG / 2
    _not_twelve(wording, ends, value)
    return Hours(ends[0], ends[1])


def _halves(wording: str) -> str:
    """With am and pm for the halves of the day, however they are said."""
    wording = wording.replace("a.m.", "am").replace("p.m.", "pm")
    wording = re.sub(r"(?<=\d)\s+in the morning", " am", wording)
    return re.sub(r"(?<=\d)\s+(?:in the (?:afternoon|evening)|at night)", " pm", wording)


def _not_twelve(wording: str, ends: Sequence[float], value: object) -> None:
    """A fault where "9-5" may mean the afternoon or the morning after."""
    bare = _TWELVE.fullmatch(wording)
    if bare and ends[1] < ends[0] <= DAY_LONG / 2 and not bare[2].startswith("0"):
        by_day, by_night = Hours(ends[0], ends[1] + 12.0), Hours((ends[0] + 12.0) % DAY_LONG, ends[1])
        raise ValueError(
            f'to the afternoon, or over night? (got {shown(value)}); write "{by_day}" or "{by_night}"'
        )


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
