"""Isolation as measured: what was stated, the bands, the quantities and single numbers that follow."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels, octave_tl
from isolate.measuring.checks import DOUBT, SPOILT, Finding
from isolate.standards import field as rules
from isolate.standards.single_numbers import rate

COMMON = 0.5
"""Part of a band's variance that all bands share, and that may shift the whole curve: between the two
extremes of ISO 12999-1, annex B."""

LIMIT = 1.645
"""Low and high limits are at 5 % and 95 %: so many standard deviations away."""


DRAWS = 400
_ROUGH_DB, _VAGUE_DB = 3.5, 6.0  # usual standard uncertainty of a band from which on trust is fair, poor


@dataclass(frozen=True)
class Setup:
    """What the files do not tell. Gains [dB] of the recorder relative to the loud recordings; `volume` of
    the quiet room and `loud_volume` [m3]; `area` of the partition or facade [m2]; `facade`: loud means
    outdoors, 2 m before it; `music`: the same passage was played instead of steady noise; `time`: stated
    reverberation time [s]; `level`: stated level of the loud recording (value, weighting)."""

    quiet_gain_db: float = 0.0
    background_gain_db: float | None = None
    volume: float | None = None
    loud_volume: float | None = None
    area: float | None = None
    facade: bool = False
    music: bool = False
    time: float | None = None
    level: tuple[float, str] | None = None
    gain_stated: bool = False


@dataclass(frozen=True)
class Files:
    """The recordings by role; corners are for 50, 63 and 80 Hz in rooms below 25 m3."""

    loud: tuple[Path, ...]
    quiet: tuple[Path, ...]
    background: tuple[Path, ...] = ()
    loud_background: tuple[Path, ...] = ()
    decay: tuple[Path, ...] = ()
    loud_corner: tuple[Path, ...] = ()
    quiet_corner: tuple[Path, ...] = ()
    background_corner: tuple[Path, ...] = ()


def setup_inputs(setup: Setup) -> dict[str, Any]:
    """The setup as inputs of the answer."""
    return {
        "quiet_gain_db": setup.quiet_gain_db, "background_gain_db": setup.background_gain_db,
        "volume_m3": setup.volume, "loud_volume_m3": setup.loud_volume, "area_m2": setup.area,
        "facade": setup.facade, "music": setup.music, "stated_time_s": setup.time,
        "stated_level": setup.level and f"{setup.level[0]:g} dB{setup.level[1].replace('Z', '')}",
    }  # fmt: skip


def names(files: Files) -> dict[str, list[str]]:
    """File names by role."""
    return {role: [str(path) for path in paths] for role, paths in vars(files).items() if paths}


@dataclass(frozen=True)
class Octave:
    """One octave [dB]: levels, D, the curve's value with its limits, and whether it is only a lower limit."""

    hz: float
    loud_db: float
    quiet_db: float
    background_db: float | None
    difference_db: float
    value_db: float
    low_db: float
    high_db: float
    at_least: bool


@dataclass(frozen=True, repr=False)
class Measured:
    """What was measured. All (27,), NaN where the recordings hold no such band.

    `loud_db`, `quiet_db`, `background_db`: levels [dB re full scale, or absolute when `calibrated`], gains
    taken off; `rule`: what the background rule did; `difference_db` D; `time` [s] reverberation time and
    `time_basis` by band; `u_db` standard uncertainty of `curve_db`, `repeat_db` that of the same person
    doing it again.
    """

    setup: Setup
    names: dict[str, list[str]]
    loud_db: Array
    quiet_db: Array
    background_db: Array | None
    rule: NDArray[np.intp]
    difference_db: Array
    time: Array
    time_basis: tuple[str, ...]
    u_db: Array
    repeat_db: Array
    calibrated: bool
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]

    @property
    def absorption_area(self) -> Array | None:
        """A of the quiet room [m2] by band; None without its volume."""
        if self.setup.volume is None:
            return None
        return rules.absorption(volume=self.setup.volume, reverberation_time=self.time)

    @property
    def standardised_db(self) -> Array:
        """DnT, or D2m,nT of a facade [dB]."""
        return rules.standardised(self.difference_db, reverberation_time=self.time)

    @property
    def normalised_db(self) -> Array | None:
        """Dn [dB]; None without the volume."""
        area = self.absorption_area
        return None if area is None else rules.normalised(self.difference_db, absorption_area=area)

    @property
    def reduction_db(self) -> Array | None:
        """R' [dB]; None without volume and area."""
        absorption = self.absorption_area
        if absorption is None or self.setup.area is None:
            return None
        return rules.apparent_reduction(self.difference_db, area=self.setup.area, absorption_area=absorption)

    @property
    def curve_db(self) -> Array:
        """The fullest quantity there is: R', else DnT [dB]."""
        reduction = self.reduction_db
        return self.standardised_db if reduction is None else reduction

    @property
    def curve_name(self) -> str:
        """The name of `curve_db`."""
        if self.reduction_db is not None:
            return "R'"
        return "D2m,nT" if self.setup.facade else "DnT"

    @property
    def low_db(self) -> Array:
        """5 % limit of `curve_db` [dB]."""
        return self.curve_db - LIMIT * self.u_db

    @property
    def high_db(self) -> Array:
        """95 % limit [dB]; NaN where the value itself is only a lower limit."""
        return np.where(self.rule == rules.LIMIT, np.nan, self.curve_db + LIMIT * self.u_db)

    @property
    def drowned(self) -> NDArray[np.bool_]:
        """Bands (27,) that are known to drown in the background; none where it was not recorded."""
        return (self.rule == rules.LIMIT) & (self.background_db is not None)

    @property
    def trust(self) -> str:
        """ "good", "fair", "poor": what the files and the background allow."""
        core = (THIRD_OCTAVES >= 100) & (THIRD_OCTAVES <= 3150)
        worst = max((finding.grave for finding in self.findings), default=0)
        if worst == SPOILT:
            return "poor"
        limited = float(np.mean((self.rule == rules.LIMIT)[core]))
        usual = float(np.median(self.u_db[core]))
        if usual > _VAGUE_DB:
            return "poor"
        return "fair" if worst == DOUBT or limited > 0.25 or usual > _ROUGH_DB else "good"

    def octaves(self) -> list[Octave]:
        """The octaves that were measured, with the sums of levels and the mean transmission."""
        limited = (self.rule == rules.LIMIT).reshape(-1, 3).any(axis=1)
        u_db = self.u_db.reshape(-1, 3).mean(axis=1)
        value, difference = octave_tl(self.curve_db), octave_tl(self.difference_db)
        loud, quiet = octave_levels(self.loud_db), octave_levels(self.quiet_db)
        background = None if self.background_db is None else octave_levels(self.background_db)
        return [
            Octave(
                float(hz), float(loud[i]), float(quiet[i]),
                None if background is None else float(background[i]), float(difference[i]), float(value[i]),
                float(value[i] - LIMIT * u_db[i]), float(value[i] + LIMIT * u_db[i]), bool(limited[i]),
            )
            for i, hz in enumerate(OCTAVES) if np.isfinite(value[i])
        ]  # fmt: skip


@dataclass(frozen=True)
class Rated:
    """One rating [dB]: `value`, spectrum terms `c` and `ctr` where the standard has them, 5 and 95 % limits;
    `at_least`: background noise hides the true value, which may be higher (`high` is then None)."""

    name: str
    value: int
    low: int
    high: int | None
    at_least: bool
    c: int | None = None
    ctr: int | None = None

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return dict(vars(self))

    def __str__(self) -> str:
        terms = "" if self.c is None else f" ({self.c:+d}; {self.ctr:+d})"
        return f"{self.name} {'at least ' if self.at_least else ''}{self.value}{terms} dB"


def rated(result: Measured) -> tuple[Rated, ...]:
    """All ratings the data allow: DnT,w (D2m,nT,w), NIC, NNIC, Dn,w, R'w, and OITC of a facade."""
    facade = result.setup.facade
    normalised, reduction = result.normalised_db, result.reduction_db
    timed = any(basis in ("measured", "stated") for basis in result.time_basis)
    wanted: list[tuple[str, str, Array | None]] = [
        ("D2m,nT,w" if facade else "DnT,w", "rw", result.standardised_db),
        ("R'w", "rw", reduction),
        ("Dn,w", "rw", None if facade else normalised),
        ("NIC", "stc", None if facade else result.difference_db),
        ("NNIC", "stc", result.standardised_db if timed and not facade else None),
        ("OITC (apparent)", "oitc", reduction if facade else None),
        ("OITC (of D2m,nT)", "oitc", result.standardised_db if facade and reduction is None else None),
    ]
    found = [_rated(name, kind, curve, result) for name, kind, curve in wanted if curve is not None]
    return tuple(one for one in found if one is not None)


def _rated(name: str, kind: str, curve_db: Array, result: Measured) -> Rated | None:
    numbers = rate(curve_db)
    value = getattr(numbers, kind)
    if value is None:
        return None
    rng = np.random.default_rng(717)
    common = np.sqrt(COMMON) * rng.standard_normal((DRAWS, 1))
    own = np.sqrt(1.0 - COMMON) * rng.standard_normal((DRAWS, curve_db.size))
    drawn = getattr(rate(curve_db + result.u_db * (common + own)), kind)
    low, high = (round(float(q)) for q in np.percentile(drawn, [5.0, 95.0]))
    hidden = result.rule == rules.LIMIT
    at_least = bool(hidden.any()) and getattr(rate(np.where(hidden, curve_db + 30.0, curve_db)), kind) > value
    terms = (numbers.c, numbers.ctr) if kind == "rw" else (None, None)
    return Rated(name, value, low, None if at_least else high, at_least, *terms)  # type: ignore[arg-type]
