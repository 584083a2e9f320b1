"""What the shape of a measured curve points at: a hole, a path round the wall, a resonance, a coincidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import least_squares

from isolate.bands import THIRD_OCTAVES, Array, index_of
from isolate.measuring.measured import Measured

FLAT_DB = 1.5
"""A wall gains some 6 dB an octave off coincidence; under this much [dB/octave] something else rules."""

HOLE_BELOW_DB = 52.0
"""A plateau above this is more likely a path round the wall than a hole: common practice, no source."""

USUAL_ABSORPTION = 10.0
"""A [m2] where the volume was not given: the reference area of Dn."""

DIP_DB = 4.0
CRITICAL = {"glass": 12.5, "gypsum board": 35.8, "plywood": 16.8, "brick": 24.0}
"""Critical frequency times thickness [Hz m] (Hopkins 2007, Sound Insulation, table A2)."""

_STARTS, _END, _FEWEST = (500.0, 1000.0, 2000.0), 8000.0, 7
_TREBLE = slice(index_of(500), index_of(5000) + 1)
REACH = 3  # bands to both sides a dip is measured against


@dataclass(frozen=True)
class Hint:
    """One thing the curve shows: `kind` "plateau" or "dip"; first and last band [Hz]; `what` it points at;
    `look`: where to look and how. `open_area` [m2] of the plain hole that would let as much through."""

    kind: str
    first_hz: float
    last_hz: float
    what: str
    look: str
    open_area: float | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "kind": self.kind, "first_hz": self.first_hz, "last_hz": self.last_hz, "what": self.what,
            "look": self.look, "open_area_cm2": None if self.open_area is None else self.open_area * 1e4,
        }  # fmt: skip


def hints(result: Measured) -> tuple[Hint, ...]:
    """What the curve alone shows, the heaviest first."""
    dips = _dips(result)
    plateau = _plateau(result, [dip.first_hz for dip in dips])
    return ((plateau,) if plateau else ()) + dips


def _plateau(result: Measured, dips: Sequence[float]) -> Hint | None:
    """A curve that stays flat at high frequencies, where a wall's own rises; an octave around dips is left
    out."""
    frequency, curve = THIRD_OCTAVES, result.difference_db
    known = np.isfinite(curve) & ~result.drowned
    for dip in dips:
        known &= np.abs(np.log2(frequency / dip)) > 1.0
    for start in _STARTS:
        here = known & (frequency >= start) & (frequency <= _END)
        if here.sum() < _FEWEST:
            continue
        octaves = np.log2(frequency[here])
        slope = float(np.polyfit(octaves, curve[here], 1, w=1.0 / result.u_db[here])[0])
        if slope < FLAT_DB:
            span = known & (frequency >= start / 4.0) & (frequency <= _END)
            level = _cap(frequency[span], curve[span], result.u_db[span])
            return _flat(result, level, float(frequency[here][0]), float(frequency[here][-1]))
    return None


def _cap(frequency: Array, curve_db: Array, u_db: Array) -> float:
    """The level [dB] a curve runs into: a wall that gains 6 dB an octave beside a path that lets the same
    part through at all frequencies, fitted by least squares."""
    wall = 20.0 * np.log10(frequency / frequency[0])

    def off(levels: Array) -> Array:
        both = 10.0 ** (-(levels[0] + wall) / 10.0) + 10.0 ** (-levels[1] / 10.0)
        return np.asarray((-10.0 * np.log10(both) - curve_db) / u_db)

    fitted = least_squares(off, (curve_db[0], curve_db[-1]))
    return float(fitted.x[1])


def _flat(result: Measured, level: float, first: float, last: float) -> Hint:
    area = _hole(result, level)
    start = f"runs into a limit near {level:.0f} dB from {first:g} to {last:g} Hz instead of rising"
    if result.background_db is None:
        start += " (if that is not the quiet room's own noise: record it)"
    if level < HOLE_BELOW_DB:
        what = (
            f"{start}: air gets through (unless a thin pane or board stands there alone). A plain hole of "
            "about "
            f"{_cm2(area)} would let as much through"
        )
        look = (
            "follow the edges of door, window and vents with an ear or a tube while treble-rich noise "
            "plays, look "
            "for light, try a strip of paper in the seals; tape up what you find for a test and measure again"
        )
        return Hint("plateau", first, last, what, look, area)
    round_it = "sound that goes round it (floor, ceiling, side walls, ducts)"
    what = f"{start}: at that height {round_it} is likelier than a hole"
    look = "hold an ear to each surface of the quiet room while the noise plays; the loudest one is the path"
    return Hint("plateau", first, last, what, look, area)


def _cm2(area: float) -> str:
    return f"{area * 1e4:.2g} cm2 ({area / 0.0254**2:.2g} in2)"


def _hole(result: Measured, level_db: float) -> float:
    """Open area [m2] whose plain transmission gives this difference: A 10^(-D/10)."""
    absorption = result.absorption_area
    area = USUAL_ABSORPTION if absorption is None else float(np.median(absorption[_TREBLE]))
    return area * 10.0 ** (-level_db / 10.0)


def _dips(result: Measured) -> tuple[Hint, ...]:
    curve, found = result.difference_db, []
    for band in range(REACH, curve.size - REACH):
        low, mid, high = curve[band - REACH], curve[band], curve[band + REACH]
        near = curve[band - REACH : band + REACH + 1]
        if not np.isfinite(near).all() or result.drowned[band]:
            continue
        depth = (low + high) / 2.0 - mid
        if mid == near.min() and depth > max(DIP_DB, 1.645 * _local(result.u_db, band)):
            found.append(_dip(float(THIRD_OCTAVES[band]), depth, result.setup.volume))
    return tuple(found)


def _local(u_db: Array, band: int) -> float:
    """Uncertainty of a dip [dB]: its own and its two shoulders'; half of it is common to all and drops."""
    parts = u_db[[band - REACH, band, band + REACH]] * np.array([0.5, 1.0, 0.5])
    return float(np.sqrt(0.5 * np.sum(parts**2)))


def _dip(frequency: float, depth: float, volume: float | None) -> Hint:
    start = f"dips by {depth:.0f} dB at {frequency:g} Hz"
    modal = 2000.0 * np.sqrt(0.5 / (volume or 40.0))
    if frequency >= 800.0:
        likely = ", ".join(
            f"{name} {constant / frequency * 1e3:.0f} mm"
            for name, constant in CRITICAL.items()
            if name != "brick"
        )
        return Hint(
            "dip", frequency, frequency,
            f"{start}: coincidence, where a pane or board bends along with the sound. It fits {likely}",
            "a leaf of another thickness or a laminated pane fills the dip; sealing does not",
        )  # fmt: skip
    if frequency < min(80.0, modal):
        return Hint(
            "dip", frequency, frequency,
            f"{start}: down here the rooms themselves sway by place; this need not be the wall",
            "repeat with the speaker elsewhere and the microphone at more places before you believe it",
        )  # fmt: skip
    heavy = f" or coincidence of heavy masonry (brick {CRITICAL['brick'] / frequency * 1e3:.0f} mm)"
    return Hint(
        "dip", frequency, frequency,
        f"{start}: two leaves swinging on the air between them{heavy if frequency < 400 else ''}",
        "a wider gap, more mass or wool in the gap moves or dampens it; sealing does not",
    )  # fmt: skip
