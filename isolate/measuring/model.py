"""A measurement against the prediction for a room: where they part, and the leak or flanking that explains
it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.bands import N_BANDS, THIRD_OCTAVES, Array, band_mean, index_of, points
from isolate.describe import rooms
from isolate.describe.rooms import Room, Side
from isolate.describe.words import listed
from isolate.errors import InputError
from isolate.measuring.fit import Fit, Leak, best_fit
from isolate.measuring.measured import Measured
from isolate.measuring.shape import DIP_DB, REACH, Hint
from isolate.physics import leakage, openings
from isolate.physics.transmission import transmission
from isolate.room import envelope as shell
from isolate.room.elements import BuiltSide, Element
from isolate.room.envelope import Envelope
from isolate.standards import field as rules

WIDTHS, GAP_DEPTH = (0.5e-3, 1e-3, 2e-3, 4e-3, 8e-3), 40e-3
SHORTEST_SLIT = 0.05  # m; what is shorter is told as a hole
"""Slits [m] a leak of unknown shape may be: their widths, and how deep a sash or door is."""

SHIFT_DB = 2.0
"""Shift of the whole curve worth telling beside a leak."""

SLOPE_DB = 1.5
"""Difference of slope [dB/octave] worth telling."""

_COUNTS = 0.25  # part of the sound below which a side cannot make a dip in the whole
_TIMES = np.linspace(-1.5, 1.2, 28)  # lg of how many times as wide a gap is tried
_CORE = slice(index_of(100), index_of(3150) + 1)


@dataclass(frozen=True)
class Compared:
    """Measured and predicted R' (27,) [dB] of the `sides`, their `kinds` (wall, window, ...) and whole `area`
    [m2], the prediction's standard deviation `sigma_db`, `hidden` bands that are only lower limits, the best
    `fit`, and what the residual shows."""

    room: str
    sides: tuple[str, ...]
    kinds: tuple[str, ...]
    area: float
    depth: float
    gaps: bool
    measured_db: Array
    u_db: Array
    hidden: NDArray[np.bool_]
    predicted_db: Array
    sigma_db: Array
    fit: Fit
    hints: tuple[Hint, ...]

    @property
    def residual_db(self) -> Array:
        """Measured less predicted [dB] (27,)."""
        return self.measured_db - self.predicted_db

    @property
    def explanation(self) -> tuple[str, ...]:
        """What the fit found, in words, a line each."""
        fit = self.fit
        if fit.kind == "as predicted" and abs(fit.shift_db) < SHIFT_DB:
            return ("nothing: the two differ by no more than the uncertainty of both",)
        lines = []
        if fit.leak is not None and fit.existing:
            low, high = fit.leak.low, fit.leak.high
            lines.append(
                f"the gaps of the room file, {fit.leak.value:.2g} times as open as described ({low:.2g} to "
                f"{high:.2g})"
            )
        elif fit.leak is not None and fit.width is not None:
            area, low, high = (1e4 * x for x in (fit.leak.value, fit.leak.low, fit.leak.high))
            length = fit.leak.value / fit.width
            slit = f"a slit {1e3 * fit.width:.2g} mm wide and {length:.2g} m long"
            if length < SHORTEST_SLIT:
                slit = f"a hole {1e3 * math.sqrt(fit.leak.value):.2g} mm square"
            lines.append(f"a leak of {area:.2g} cm2 ({low:.2g} to {high:.2g} cm2), such as {slit}")
        if fit.flanking_db is not None:
            low, high = fit.flanking_db.low, fit.flanking_db.high
            lines.append(
                f"sound that goes round: it alone limits R' to {fit.flanking_db.value:.0f} dB at 500 Hz "
                f"({low:.0f} to "
                f"{high:.0f} dB), 6 dB an octave more above"
            )
        if abs(fit.shift_db) >= SHIFT_DB:
            side = "more" if fit.shift_db > 0 else "less"
            lines.append(
                f"{abs(fit.shift_db):.0f} dB {side} than predicted in all bands alike, as prediction and "
                "microphone places may be off"
            )
        return tuple(lines)

    @property
    def agrees(self) -> float:
        """Share of the bands in which the two agree within their 90 % limits."""
        known = np.isfinite(self.residual_db) & ~self.hidden
        inside = np.abs(self.residual_db) < 1.645 * np.hypot(self.u_db, self.sigma_db)
        return float(inside[known].mean()) if known.any() else float("nan")

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "room": self.room, "sides": self.sides, "area_m2": self.area, "bands_hz": THIRD_OCTAVES,
            "measured_db": self.measured_db, "predicted_db": self.predicted_db,
            "predicted_low_db": self.predicted_db - 1.645 * self.sigma_db,
            "predicted_high_db": self.predicted_db + 1.645 * self.sigma_db,
            "residual_db": self.residual_db, "agrees": self.agrees, "fit": self.fit.to_dict(),
            "hints": [hint.to_dict() for hint in self.hints],
        }  # fmt: skip


def compared(result: Measured, described: Room | str, *, through: str | None = None) -> Compared:
    """The measurement beside the prediction for the sides of a room that it went through.

    Raises
    ------
    InputError
        `through` is neither a side's name nor a word that sides face, or is needed and missing.
    """
    room = rooms.load(described) if isinstance(described, str) else described
    described_shell = shell.of_room(room)
    sides, paths = _ways(described_shell, room, through)
    area = float(sum(found.side.area for found in sides))
    taus = np.array([path.tau_area for path in paths]) / area
    leaks = np.array([path.kind == "gap" for path in paths])
    whole = taus.sum(axis=0)
    sigma = np.sqrt(np.sum((taus / whole * np.array([path.sigma_db for path in paths])) ** 2, axis=0))
    depth = next((gap.depth for found in sides for gap in found.side.gaps), GAP_DEPTH)
    measured = _reduction(result, room, described_shell.absorption, area)
    hidden, gaps = result.drowned, bool(leaks.any())
    body = taus[~leaks].sum(axis=0)
    parts = {
        found.side.name: sum(path.tau_area for path in paths if path.side == found.side.name) / area / whole
        for found in sides
    }
    shapes = {0.0: _wider(sides, paths, area)} if gaps else _slits(depth, area)
    fit = best_fit(measured, result.u_db, hidden, body=body, leaks=shapes, sigma_db=sigma, existing=gaps)
    answer = Compared(
        room.name, tuple(found.side.name for found in sides),
        tuple(found.side.construction.kind for found in sides), area, depth, gaps, measured, result.u_db,
        hidden, -10.0 * np.log10(whole), sigma, fit, (),
    )  # fmt: skip
    return replace(answer, hints=_hints(answer, [(found.side, parts[found.side.name]) for found in sides]))


def slit(width: float, depth: float) -> Array:
    """Transmission of a long slit [m], per open area, in third octaves (27,)."""
    per_band = 12
    return band_mean(openings.slit(points(per_band), width=width, depth=depth), per_band)


def _slits(depth: float, area: float) -> dict[float, Leak]:
    """Slits of each width, as leaks of so much open area (lg m2) in `area` [m2]."""

    def leak(width: float) -> Leak:
        tau = slit(width, depth) / area
        return lambda size: 10.0**size * tau

    return {width: leak(width) for width in WIDTHS}


def _wider(sides: Sequence[BuiltSide], paths: Sequence[Element], area: float) -> Leak:
    """The described gaps, so many times as wide (lg of it): a side scaled as its slits alone would be."""
    tables = []
    for found in sides:
        own = [path for path in paths if path.kind == "gap" and path.side == found.side.name]
        if not own:
            continue
        gaps = [replace(gap, widths=None) for gap in found.side.gaps]
        wider = [sum(leakage.gap(replace(gap, width=gap.width * 10.0**x)) for gap in gaps) for x in _TIMES]
        now = np.asarray(sum(leakage.gap(gap) for gap in gaps))
        tables.append(np.asarray(sum(path.tau_area for path in own)) / now * np.array(wider) / area)
    table = np.log(np.sum(tables, axis=0))

    def leak(size: float) -> Array:
        x = float(np.clip(size, _TIMES[0], _TIMES[-1]))
        at = int(np.clip(np.searchsorted(_TIMES, x) - 1, 0, len(_TIMES) - 2))
        part = (x - _TIMES[at]) / (_TIMES[at + 1] - _TIMES[at])
        beyond = 10.0 ** (size - x)
        return np.asarray(beyond * np.exp((1.0 - part) * table[at] + part * table[at + 1]))

    return leak


def _ways(
    described: Envelope, room: Room, through: str | None
) -> tuple[tuple[BuiltSide, ...], tuple[Element, ...]]:
    """The sides the sound went through and all its paths: of one side, or of a word that sides face."""
    words = list(dict.fromkeys(side.faces for side in room.sides))
    if through is None and len(words) > 1:
        raise InputError(f"through: missing; write what the sound went through: {listed(words)}")
    wanted = (through or words[0]).casefold().strip()
    for found in described.sides:
        if found.side.name.casefold() == wanted:
            return (found,), found.elements
    for word in words:
        if word.casefold() == wanted:
            return described.facing(word), described.elements(word)
    known = listed([*words, *(side.name for side in room.sides)])
    raise InputError(f'through: no such side in {room.name} (got "{through}"); write one of {known}')


def _reduction(result: Measured, room: Room, absorption: Array, area: float) -> Array:
    """R' [dB] of these sides from D: with the measured reverberation in the room's volume, or with the
    `absorption` [m2] the room file gives."""
    if "assumed" not in result.time_basis:
        absorption = rules.absorption(
            volume=result.setup.volume or room.volume, reverberation_time=result.time
        )
    return rules.apparent_reduction(result.difference_db, area=area, absorption_area=absorption)


def _hints(answer: Compared, sides: Sequence[tuple[Side, Array]]) -> tuple[Hint, ...]:
    """What is left over by the fit shows: dips at resonances or coincidences of the sides whose part (27,) of
    what comes through counts there, and a difference of slope."""
    residual = np.where(answer.hidden, np.nan, answer.measured_db - answer.fit.curve_db)
    causes = []
    for side, part in sides:
        built = transmission(side.construction, size=side.size)
        named = [(hz, "resonance of leaves on the air between them") for hz in built.resonances]
        named += [(hz, "coincidence") for hz in built.criticals]
        causes += [(hz, what, part) for hz, what in named]
    found = [
        _dip(band, residual, [(hz, what) for hz, what, part in causes if part[band] > _COUNTS])
        for band in range(REACH, N_BANDS - REACH) if _is_dip(residual, answer, band)
    ]  # fmt: skip
    slope = _slope(residual, np.hypot(answer.u_db, answer.sigma_db))
    if slope is not None and answer.fit.kind == "as predicted":
        found.append(slope)
    return tuple(found)


def _is_dip(residual: Array, answer: Compared, band: int) -> bool:
    near = residual[band - REACH : band + REACH + 1]
    if not np.isfinite(near).all() or residual[band] != near.min():
        return False
    depth = (near[0] + near[-1]) / 2.0 - residual[band]
    return bool(depth > max(DIP_DB, answer.u_db[band]))


def _dip(band: int, residual: Array, causes: Sequence[tuple[float, str]]) -> Hint:
    frequency = float(THIRD_OCTAVES[band])
    depth = (residual[band - REACH] + residual[band + REACH]) / 2.0 - residual[band]
    near = [(abs(np.log2(hz / frequency)), hz, what) for hz, what in causes]
    start = f"is {depth:.0f} dB deeper at {frequency:g} Hz than predicted"
    closest = min(near, default=None)
    if closest is not None and closest[0] < 0.75:
        what = (
            f"{start}: the {closest[2]}, predicted near {closest[1]:.0f} Hz, is less damped or lies elsewhere"
        )
        look = (
            "check thickness and distance of the leaves in the room file; wool or a lined reveal dampens it"
        )
    else:
        what = f"{start}, where the described construction has neither resonance nor coincidence"
        look = "something in it is not as the file says: a thickness, a rigid tie, a hollow, one more layer"
    return Hint("dip", frequency, frequency, what, look)


def _slope(residual: Array, u_db: Array) -> Hint | None:
    known = np.isfinite(residual[_CORE])
    if known.sum() < 8:
        return None
    octaves = np.log2(THIRD_OCTAVES[_CORE][known])
    weights = 1.0 / u_db[_CORE][known]
    (slope, _), covariance = np.polyfit(octaves, residual[_CORE][known], 1, w=weights, cov="unscaled")
    if abs(slope) < max(SLOPE_DB, 1.645 * float(np.sqrt(covariance[0, 0]))):
        return None
    first, last = (float(hz) for hz in THIRD_OCTAVES[_CORE][known][[0, -1]])
    if slope < 0:
        what = f"falls behind the prediction by {-slope:.1f} dB more with each octave"
        look = (
            "stiff links between leaves, or leaks too small to name: look for rigid ties and unsealed edges"
        )
    else:
        what = f"gains {slope:.1f} dB an octave on the prediction"
        look = "more damping or less stiffness than the file says; do not count on it in the bass"
    return Hint("slope", first, last, what, look)
