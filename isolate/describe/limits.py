"""Limits a file states in words: "42 dBA at night", "45 dB in every third octave 63-500 Hz", "NC 25"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, index_of
from isolate.describe import spectra
from isolate.describe.hours import DAY, NIGHT, Hours, hours
from isolate.describe.reading import Table, label
from isolate.errors import shown

INSTEAD = (
    'write one such as "42 dBA at night", "NC 25", "45 dB in every third octave 63-500 Hz" or '
    '"5 dBA over background"'
)
_LEVEL = (
    r"(?:(?P<curve>NC|NR)\s*-?\s*(?P<grade>\d+(?:\.\d+)?)"
    r"|(?P<value>-?\d+(?:\.\d+)?)\s*dB\s*\(?(?P<weight>[ACZ])?\)?)"
)
_OVER = r"(?:\s+(?P<over>(?:over|above)\s+(?:the\s+)?background))?"
_BANDS = (
    r"(?:,?\s+in\s+(?:every|each|any|all)\s+(?P<width>third[\s-]octaves?|1/3[\s-]octaves?|octaves?)(?:\s+bands?)?"
    r"(?:\s+(?:from\s+)?(?P<low>\d+(?:\.\d+)?)(?:\s*Hz)?\s*(?:-|–|to)\s*(?P<high>\d+(?:\.\d+)?)\s*(?P<kilo>k)?(?:Hz)?)?)?"
)
_WHEN = r"(?:,?\s+(?P<when>(?:at|by|from|between|during|in the|any|on|until|till|before|after)\b.*))?"
_NO = re.compile(
    r"(?:no|never)\s+(?P<what>\S.*?)\s+(?P<when>(?:at|by|from|between|during|until|before|after)\b.*)"
)
_END = re.compile(r"(?P<word>until|till|before|after)\s+(?P<clock>.*)")
_CLOCKED = re.compile(r"(?:until|till|before|after|from|between)\b|.*\d", re.IGNORECASE)
_FILLED = re.compile(r"^(?:at|by|from|during|in the|any)\s+(?:the\s+)?")
_LIMIT = re.compile(_LEVEL + _OVER + _BANDS + _OVER.replace("over>", "over2>") + _WHEN, re.IGNORECASE)
_RANGE = {"NC": (10.0, 70.0), "NR": (0.0, 100.0), "dB": (-20.0, 140.0)}


@dataclass(frozen=True)
class StatedLimit:
    """A limit at a listener, as `text` states it.

    `measure`: "dBA", "dBC", "dB" (their whole level), "NC", "NR" (no band above that curve), "third octave"
    or "octave" (no band from `low_hz` to `high_hz` above `value`), or "bands" (`level_db` (27,), inf where
    nothing is stated). `over`: counted from the background. `when` it holds, in the file's words.
    """

    text: str
    measure: str
    value: float = 0.0
    low_hz: float = 0.0
    high_hz: float = float("inf")
    over: bool = False
    when: str = ""
    level_db: Array | None = None

    @property
    def hours(self) -> Hours | None:
        """When it holds; None round the clock, or where its words say no hours."""
        return hours_of(self.when)


@dataclass(frozen=True)
class Silence:
    """Hours in which something must not sound at all: `what`, or "playing" and the like for everything."""

    text: str
    what: str
    hours: Hours

    def forbids(self, name: str) -> bool:
        """Whether it means a sound of this name."""
        return bool(_stems(self.what) & (EVERYTHING | _stems(name)))


def _stems(words: str) -> set[str]:
    return {word.rstrip("s") for word in re.findall(r"\w+", words.casefold())}


EVERYTHING = {"playing", "music", "noise", "instrument", "sound", "practice", "practising"}


@lru_cache(maxsize=256)
def hours_of(when: str) -> Hours | None:
    """Hours in the words of a limit: "at night", "until 10 pm", "after 21:00", "from 22 to 6"; None where
    there are none. "until" begins with the day, "before" at midnight, "after" ends with the night (6:00)."""
    wording = when.casefold().strip()
    match = _END.fullmatch(wording)
    try:
        if match is None:
            return hours(_FILLED.sub("", wording)) if wording else None
        clock = match["clock"] + (":00" if match["clock"].isdigit() else "")
        edge = hours(f"{clock} to 5:59").start
    except ValueError:
        return None
    if match["word"] == "after":
        return Hours(edge, NIGHT.end)
    return Hours(0.0 if match["word"] == "before" else DAY.start, edge)


def silence(value: object) -> Silence | None:
    """Words such as "no drums after 21:00"; None where they are no such thing."""
    match = _NO.fullmatch(label(value))
    if match is None:
        return None
    when = hours_of(match["when"])
    if when is None:
        raise ValueError(f'no hours (got {shown(value)}); write one such as "no drums after 21:00"')
    return Silence(label(value), match["what"], when)


def limit(value: object) -> StatedLimit:
    """Converter: a limit in words."""
    wording = label(value)
    match = _LIMIT.fullmatch(wording)
    if match is None:
        raise ValueError(f"not a limit (got {shown(value)}); {INSTEAD}")
    kind = match["curve"].upper() if match["curve"] else "dB"
    number = float(match["grade"] or match["value"])
    least, most = _RANGE[kind]
    if not least <= number <= most:
        raise ValueError(f"out of range, {least:g} to {most:g} (got {shown(value)}); {INSTEAD}")
    over, when = bool(match["over"] or match["over2"]), _when(match["when"] or "")
    if match["width"] is None:
        weight = (match["weight"] or "").upper().replace("Z", "")
        return StatedLimit(wording, kind + weight if kind == "dB" else kind, number, over=over, when=when)
    if match["curve"] or match["weight"]:
        raise ValueError(f"a level in bands has no weighting (got {shown(value)}); {INSTEAD}")
    width = "octave" if match["width"].casefold().startswith("octave") else "third octave"
    low = _band(match["low"], width)
    high = _band(match["high"], width, kilo=bool(match["kilo"]))
    if low is not None and high is not None and high < low:
        raise ValueError(f"the bands run backwards (got {shown(value)}); write the lower one first")
    return StatedLimit(wording, width, number, low or 0.0, high or float("inf"), over, when)


def _when(wording: str) -> str:
    """When a limit holds, in words; those of a clock have to say hours."""
    if _CLOCKED.match(wording) and hours_of(wording) is None:
        raise ValueError(f'no hours (got {shown(wording)}); write some such as "until 10 pm"')
    return wording


def _band(text: str | None, width: str, *, kilo: bool = False) -> float | None:
    if text is None:
        return None
    frequency = float(text) * (1000.0 if kilo else 1.0)
    if not np.any(np.isclose(frequency, OCTAVES if width == "octave" else THIRD_OCTAVES, rtol=0.02)):
        raise ValueError(
            f"no {width} from 25 Hz to 10 kHz (got {shown(text)}); write nominal ones, such as 63-500 Hz"
        )
    return frequency


def read(table: Table) -> tuple[StatedLimit | Silence, ...]:
    """`limit` of a neighbour: one in words, a list of them, or ``[[neighbour.limit]]`` tables by band."""
    stated = table.data.get("limit")
    if isinstance(stated, list) and any(isinstance(one, dict) for one in stated):
        found = [_by_band(one) for one in table.tables("limit")]
        return tuple(one for one in found if one is not None)
    return tuple(table.get("limit", _words) or ())


def _words(value: object) -> list[StatedLimit | Silence]:
    return [silence(one) or limit(one) for one in (value if isinstance(value, list) else [value])]


def _by_band(table: Table) -> StatedLimit | None:
    pair = spectra.pair(table, "level_db", spectra.values(-20.0, 140.0))
    when = table.get("when", lambda value: _when(label(value))) or ""
    name = table.get("name", label) or "limit by band"
    if "bands_hz" not in table and "level_db" not in table:
        table.fault("level_db", "missing; write bands_hz and level_db, or the limit in words")
    if pair is None:
        return None
    level = spectra.NOTHING.copy() + float("inf")
    octaves = spectra.is_octaves(pair[0])
    for frequency, value in zip(*pair, strict=True):
        level[index_of(frequency)] = value
    return StatedLimit(name, "octave bands" if octaves else "bands", when=when, level_db=level)
