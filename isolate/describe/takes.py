"""What is to be recorded in the room, and with what.

::

    [[take]]
    name = "slow movement, clarinet"
    plays = "clarinet"              # an [[own]] of the room; or a source of its own, as there
    distance = "0.6 m"              # to the microphone
    level = "80 dBA"                # at the microphone; without it, from the level in the room
    softest = "20 dB"               # how far the softest passages lie below; default 20 dB
    microphone = "14 dBA"           # its own noise, from its data sheet; default 15 dBA
    pattern = "cardioid"            # default omnidirectional
    low_cut = "80 Hz"               # switch on the microphone or in the desk; default none
    compression = "6 dB"            # what a compressor takes off the peaks; default none
    reads = "-20 dBFS"              # what the meter shows while it plays; default -20 dBFS
    playback = "75 dBA"             # how loud one listens to it; default 75 dBA
    target = "NC 15"                # noise floor wanted: NC, NR, dBA or dBFS
    length = "5 min"
    hours = "21-23"
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from isolate.describe import noises, sounds
from isolate.describe.hours import hours
from isolate.describe.noises import Level
from isolate.describe.reading import Table, label, nearest, one_of, quantity, text
from isolate.describe.room_parts import Background, Microphone, Own, Take
from isolate.errors import shown

PATTERNS = (
    "omnidirectional", "subcardioid", "cardioid", "supercardioid", "hypercardioid", "figure of eight",
)  # fmt: skip
_DBFS = re.compile(r"(-?\d+(?:\.\d+)?)\s*dBFS", re.IGNORECASE)
USUAL_DISTANCE = 0.5  # m, common practice, no source


def dbfs(value: object) -> float:
    """Converter: a level below full scale."""
    match = _DBFS.fullmatch(text(value).replace("−", "-"))
    if match is None or not -140.0 <= float(match[1]) <= 0.0:
        raise ValueError(f'no level below full scale (got {shown(value)}); write one such as "-20 dBFS"')
    return float(match[1])


def a_weighted(value: object) -> float:
    """Converter: a level in dBA."""
    level = noises.level(value)
    if level.weighting != "A":
        raise ValueError(f'not in dBA (got {shown(value)}); write one such as "14 dBA"')
    return level.value


def _target(value: object) -> Background | float:
    try:
        return dbfs(value)
    except ValueError:
        pass
    try:
        return sounds.background(value)
    except ValueError:
        wrong = f"not a noise floor (got {shown(value)})"
        raise ValueError(f'{wrong}; write one such as "NC 15", "NR 15", "20 dBA" or "-65 dBFS"') from None


def _microphone(table: Table) -> Microphone:
    inner = table.table("microphone") if isinstance(table.data.get("microphone"), dict) else None
    pattern = table.get("pattern", one_of(PATTERNS)) or PATTERNS[0]
    corner = table.get("low_cut", quantity("frequency", 10.0, 1000.0)) or 0.0
    if inner is not None:
        by_band = noises.bands_of(inner)
        if by_band is None and "bands_hz" not in inner:
            inner.fault("level_db", "missing; write bands_hz and level_db of its own noise")
        return Microphone(level_db=by_band, pattern=pattern, low_cut=corner)
    noise = table.get("microphone", a_weighted)
    if noise is None:
        return Microphone(pattern=pattern, low_cut=corner)
    if not 0.0 <= noise <= 60.0:
        table.fault("microphone", "no microphone's own noise; data sheets say 4 to 40 dBA")
    return Microphone(noise, pattern=pattern, low_cut=corner)


def _own(table: Table, beside: Path, played: Sequence[Own], complete: bool) -> Own | None:
    """What is recorded: a sound of the room by name, or one stated here."""
    name = table.get("plays", label)
    if "plays" not in table:
        return sounds.own_of(table, beside)
    found = next((own for own in played if own.name == name), None)
    if found is None and name is not None and complete:
        table.fault(
            "plays", f"no [[own]] is called {shown(name)}; {nearest(name, [one.name for one in played])}"
        )
    return found


def read(table: Table, beside: Path, played: Sequence[Own], *, complete: bool = True) -> Take | None:
    """``[[take]]``; None when at fault."""
    own = _own(table, beside, played, complete)
    name = table.get("name", label) or (own.name if own else "")
    level: Level | None = table.get("level", noises.level)
    distance = table.get("distance", quantity("length", 0.02, 20.0))
    target = table.get("target", _target)
    stated: dict[str, Any] = {
        "softest_db": table.get("softest", quantity("decibel", 0.0, 60.0)),
        "reduction_db": table.get("compression", quantity("decibel", 0.0, 40.0)),
        "reads_dbfs": table.get("reads", dbfs),
        "playback_dba": table.get("playback", a_weighted),
        "length": table.get("length", quantity("time", 1.0, 86_400.0)),
        "hours": table.get("hours", hours),
        "target": target if isinstance(target, Background) else None,
        "target_dbfs": target if isinstance(target, float) else None,
    }
    microphone = _microphone(table)
    if own is None or not name:
        return None
    given = {key: value for key, value in stated.items() if value is not None}
    return Take(name, own, distance or USUAL_DISTANCE, level, microphone=microphone, **given)
