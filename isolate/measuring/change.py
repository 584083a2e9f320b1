"""Before and after: what a change did, from two measurements by the same person in the same rooms."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.bands import THIRD_OCTAVES, Array
from isolate.errors import InputError
from isolate.measuring.measured import COMMON, Measured
from isolate.room.audibility import loudness, noticed
from isolate.standards.field import LIMIT

TWO_SIDED = 1.645  # 90 % between
_FEWEST = 5  # bands to either side of a step


@dataclass(frozen=True)
class Part:
    """A run of bands with one gain: `first_hz`, `last_hz`, `gain_db` with its standard uncertainty `u_db`;
    `bound`: "" or "at least" or "at most", where background noise hid one of the two."""

    first_hz: float
    last_hz: float
    gain_db: float
    u_db: float
    bound: str

    @property
    def chance_better(self) -> float:
        """Probability that the change helped here."""
        return 0.5 * math.erfc(-self.gain_db / (self.u_db * math.sqrt(2.0)))

    @property
    def sure(self) -> bool:
        """Whether the change is outside what measuring again brings by chance, 90 % sure."""
        return abs(self.gain_db) > TWO_SIDED * self.u_db

    def words(self) -> str:
        """What happened, in words."""
        span = f"from {self.first_hz:g} to {self.last_hz:g} Hz"
        range_text = f"{abs(self.gain_db):.0f} ± {TWO_SIDED * self.u_db:.0f} dB"
        if not self.sure:
            gain = f"{self.gain_db:+.0f} ± {TWO_SIDED * self.u_db:.0f} dB".replace("-0", "0").replace(
                "+0", "0"
            )
            return f"no change that these measurements can show {span} ({gain})"
        way = "better" if self.gain_db > 0 else "worse"
        felt = f": {loudness(self.gain_db)}" if self.gain_db > 0 else ""
        return f"{way} by {self.bound + ' ' if self.bound else ''}{range_text} {span}{felt}"

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return vars(self) | {"chance_better": self.chance_better, "sure": self.sure, "words": self.words()}


@dataclass(frozen=True)
class Change:
    """`gain_db` (27,) after minus before [dB], NaN where unknown, `u_db` its standard uncertainty, `bound`
    by band, and the `parts` it falls into, lowest first."""

    before: str
    quantity: str
    gain_db: Array
    u_db: Array
    bound: tuple[str, ...]
    parts: tuple[Part, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "before": self.before, "quantity": self.quantity, "bands_hz": THIRD_OCTAVES,
            "gain_db": self.gain_db,
            "u_db": self.u_db, "bound": self.bound, "parts": [part.to_dict() for part in self.parts],
        }  # fmt: skip

    @property
    def noticed(self) -> bool:
        """Whether anyone will notice."""
        return any(part.sure and noticed(abs(part.gain_db)) for part in self.parts)


def changed(before: Measured, after: Measured, *, name: str) -> Change:
    """What changed between two measurements of the same rooms.

    Compared are the standardised differences when the reverberation was measured both times, else the plain
    ones. The uncertainty is that of the same person repeating the same placement.

    Raises
    ------
    InputError
        Fewer than five bands that both hold and that are not hidden both times, or a facade against a room.
    """
    if before.setup.facade != after.setup.facade:
        raise InputError(f"{name}: compares a facade with a room; give two measurements of the same kind")
    timed = all("measured" in one.time_basis for one in (before, after))
    old, new = (m.standardised_db if timed else m.difference_db for m in (before, after))
    gain, u_db = new - old, np.hypot(before.repeat_db, after.repeat_db)
    hidden_before, hidden_after = before.rule == LIMIT, after.rule == LIMIT
    bound = np.select(
        [hidden_before & hidden_after, hidden_after, hidden_before], ["unknown", "at least", "at most"], ""
    )
    gain = np.where(bound == "unknown", np.nan, gain)
    known = np.flatnonzero(np.isfinite(gain))
    if known.size < _FEWEST:
        raise InputError(
            f"{name}: shares too few bands with this measurement (got {known.size}); measure louder"
        )
    cut = _step(gain[known], u_db[known])
    runs = [known] if cut is None else [known[:cut], known[cut:]]
    parts = tuple(_part(run, gain, u_db, bound) for run in runs)
    quantity = ("D2m,nT" if after.setup.facade else "DnT") if timed else "D"
    return Change(name, quantity, gain, u_db, tuple(bound.tolist()), parts)


def _part(run: NDArray[np.intp], gain: Array, u_db: Array, bound: NDArray[np.str_]) -> Part:
    mean, u = _mean(gain[run], u_db[run])
    bounds = {str(b) for b in bound[run]} - {""}
    word = bounds.pop() if len(bounds) == 1 else ("" if not bounds else "about")
    return Part(float(THIRD_OCTAVES[run[0]]), float(THIRD_OCTAVES[run[-1]]), mean, u, word)


def _mean(gain: Array, u_db: Array) -> tuple[float, float]:
    """Weighted mean of correlated bands and its standard uncertainty."""
    weight = u_db**-2 / np.sum(u_db**-2)
    common = COMMON * float(np.sum(weight * u_db)) ** 2
    own = (1.0 - COMMON) * float(np.sum((weight * u_db) ** 2))
    return float(np.sum(weight * gain)), math.sqrt(common + own)


def _step(gain: Array, u_db: Array) -> int | None:
    """Where one gain gives way to another, or None when one gain describes all bands as well (BIC)."""
    own = u_db * math.sqrt(1.0 - COMMON)
    size = gain.size

    def misfit(part: slice) -> float:
        mean, _ = _mean(gain[part], u_db[part])
        return float(np.sum(((gain[part] - mean) / own[part]) ** 2))

    cuts = range(_FEWEST, size - _FEWEST + 1)
    if not cuts:
        return None
    best = min(cuts, key=lambda i: misfit(slice(None, i)) + misfit(slice(i, None)))
    split = misfit(slice(None, best)) + misfit(slice(best, None))
    return best if misfit(slice(None)) - split > 2.0 * math.log(size) else None
