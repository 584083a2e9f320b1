"""Whether a sound at a listener keeps within a stated limit, and where it does not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, energy_sum, octave_levels
from isolate.describe.limits import StatedLimit
from isolate.standards import criteria
from isolate.standards.weighting import dba, dbc

KEPT_DB = 0.05  # up to which a limit is kept, to the tenth
_WHOLE = {"dBA": dba, "dBC": dbc, "dB": energy_sum, "NC": criteria.nc, "NR": criteria.nr}


@dataclass(frozen=True)
class LimitMet:
    """A limit against a sound: by how much the sound exceeds it, `excess_db` (negative: keeps within), and in
    which band [Hz], None for a whole level; `chance` that it is kept, where what is not known was drawn."""

    limit: StatedLimit
    excess_db: float
    at_hz: float | None = None
    chance: float | None = None

    @property
    def met(self) -> bool:
        """Whether the sound keeps within it."""
        return self.excess_db <= 0.0

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "limit": self.limit.text,
            "when": self.limit.when,
            "met": self.met,
            "excess_db": self.excess_db,
            "at_hz": self.at_hz,
            "chance_kept": self.chance,
        }


def against(limit: StatedLimit, *, level_db: Array, background_db: Array) -> LimitMet:
    """A sound of third-octave levels (27,) against a limit."""
    excess, worst = exceeded(limit, level_db=level_db, background_db=background_db)
    frequencies = OCTAVES if _by_octave(limit) else THIRD_OCTAVES
    at = None if limit.measure in _WHOLE else float(frequencies[int(worst)])
    return LimitMet(limit, float(excess), at)


def exceeded(limit: StatedLimit, *, level_db: Array, background_db: Array) -> tuple[Array, Array]:
    """By how much sounds (..., 27) exceed a limit [dB] (...), less than `KEPT_DB` being nothing, and the
    index of the band that does most.

    A limit over the background holds the sound and the background together against the background
    alone; any other holds the sound by itself.
    """
    level = level_db
    if limit.over:
        level = energy_sum(np.array(np.broadcast_arrays(level_db, background_db)), axis=0)
    if limit.measure in _WHOLE:
        whole = _WHOLE[limit.measure]
        base = whole(background_db) if limit.over else 0.0
        excess = np.asarray(whole(level) - base - limit.value)
        return _to_the_tenth(excess), np.zeros(excess.shape, int)
    octaves = _by_octave(limit)
    bands = octave_levels(level) if octaves else level
    allowed = _allowed(limit, octaves)
    if limit.over:
        allowed = allowed + (octave_levels(background_db) if octaves else background_db)
    over = bands - allowed
    return _to_the_tenth(over.max(-1)), over.argmax(-1)


def _to_the_tenth(excess_db: Array) -> Array:
    return np.where((excess_db > 0.0) & (excess_db < KEPT_DB), 0.0, excess_db)


def _by_octave(limit: StatedLimit) -> bool:
    return limit.measure.startswith("octave")


def _allowed(limit: StatedLimit, octaves: bool) -> Array:
    """What each band may have [dB]; inf where nothing is stated."""
    if limit.level_db is not None:
        return limit.level_db[1::3] if octaves else limit.level_db
    frequencies = OCTAVES if octaves else THIRD_OCTAVES
    inside = (frequencies >= 0.98 * limit.low_hz) & (frequencies <= 1.02 * limit.high_hz)
    return np.where(inside, limit.value, np.inf)
