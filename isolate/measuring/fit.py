"""Which leak, or which path round the wall, brings a prediction to a measurement: least squares with
limits."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from isolate.bands import THIRD_OCTAVES, Array
from isolate.measuring.measured import COMMON

RISE_DB = 6.0
"""How much a path round the wall gains an octave: that of the flanking paths of EN 12354-1:2000, annex H.2,
from 250 Hz on is 6 to 8 dB. A leak gains nothing, which tells the two apart."""

PENALTY = 6.0
"""Decrease of chi-square that an explanation must bring for each of its numbers (ln of some 20 bands is 3;
twice that)."""

_NEARLY = 2.7  # of chi-square: widths within it fit as well (90 % of a chi-square with one degree)
_FIT = (THIRD_OCTAVES >= 50.0) & (THIRD_OCTAVES <= 5000.0)
_KINDS = {"as predicted": (), "leak": ("leak",), "flanking": ("flanking",), "both": ("leak", "flanking")}


Leak = Callable[[float], Array]


@dataclass(frozen=True)
class Fitted:
    """A fitted number with its 5 and 95 % limits."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Fit:
    """The simplest explanation that suffices: `kind` "as predicted", "leak", "flanking" or "both".

    `leak`: open area [m2] of slits of `width` [m], or with `existing` gaps how many times as open as
    described; `flanking_db`: R' [dB] at 500 Hz of all paths round the wall; `shift_db`: of the whole curve,
    part of the uncertainty; `chances` of each kind, from how well each fits (exp(-worth/2), as of the Akaike
    weights); `curve_db` (27,) the fitted R'; `chi2` of `bands` bands, and `chi2_predicted`
    without it."""

    kind: str
    existing: bool
    leak: Fitted | None
    flanking_db: Fitted | None
    shift_db: float
    curve_db: Array
    chi2: float
    chi2_predicted: float
    bands: int
    width: float | None = None
    chances: tuple[tuple[str, float], ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "kind": self.kind,
            "leak_width_mm": None if self.width is None else 1e3 * self.width,
            "leak_area_cm2": _limits(self.leak, 1e4) if not self.existing else None,
            "gaps_times": _limits(self.leak, 1.0) if self.existing else None,
            "flanking_500_db": _limits(self.flanking_db, 1.0),
            "shift_db": self.shift_db, "curve_db": self.curve_db,
            "chances": {f"chance {kind}": chance for kind, chance in self.chances},
            "chi2": self.chi2, "chi2_predicted": self.chi2_predicted, "bands": self.bands,
        }  # fmt: skip


def _limits(fitted: Fitted | None, factor: float) -> dict[str, float] | None:
    if fitted is None:
        return None
    return {"value": factor * fitted.value, "low": factor * fitted.low, "high": factor * fitted.high}


def best_fit(
    measured_db: Array, u_db: Array, hidden: NDArray[np.bool_], *, body: Array,
    leaks: Mapping[float, Leak], sigma_db: Array, existing: bool,
) -> Fit:  # fmt: skip
    """The simplest of four explanations that suffices.

    Parameters
    ----------
    measured_db, u_db : R' and its standard uncertainty [dB] (27,); NaN where not measured.
    hidden : bands in which the measurement is only a lower limit.
    body : predicted transmission coefficient without gaps (27,).
    leaks : transmission coefficient (27,) of the leak from lg of its size: with `existing` gaps of so many
        times their width, else of so many m2 open in slits of different widths [m], the keys.
    sigma_db : standard deviation of the prediction [dB] (27,).
    """
    tasks = {
        width: _Task(measured_db, u_db, hidden, body, leak, sigma_db, existing)
        for width, leak in leaks.items()
    }
    fits = {kind: _over_widths(kind, tasks) for kind in _KINDS}
    worth = {kind: fit.chi2 + PENALTY * len(_KINDS[kind]) for kind, fit in fits.items()}
    best = fits[min(worth, key=worth.__getitem__)]
    least = min(worth.values())
    weights = {kind: math.exp(-(one - least) / 2.0) for kind, one in worth.items()}
    chances = tuple((kind, weight / sum(weights.values())) for kind, weight in weights.items())
    return replace(best, chi2_predicted=fits["as predicted"].chi2, chances=chances)


def _over_widths(kind: str, tasks: Mapping[float, _Task]) -> Fit:
    """The best width; the limits of the open area hold for all widths that fit nearly as well."""
    if "leak" not in _KINDS[kind]:
        return next(iter(tasks.values())).fit(kind)
    fits = {width: task.fit(kind) for width, task in tasks.items()}
    width = min(fits, key=lambda one: fits[one].chi2)
    best = fits[width]
    near = [fit.leak for fit in fits.values() if fit.chi2 < best.chi2 + _NEARLY and fit.leak is not None]
    if best.leak is None or best.existing:
        return best
    leak = Fitted(best.leak.value, min(one.low for one in near), max(one.high for one in near))
    return replace(best, leak=leak, width=width)


@dataclass(frozen=True)
class _Task:
    """What is fitted, band by band. Parameters: shift [dB], then lg of the leak, then flanking [dB]."""

    measured_db: Array
    u_db: Array
    hidden: NDArray[np.bool_]
    body: Array
    leak: Leak
    sigma_db: Array
    existing: bool

    @property
    def used(self) -> NDArray[np.bool_]:
        return np.asarray(_FIT & np.isfinite(self.measured_db))

    @property
    def variance(self) -> Array:
        return self.u_db**2 + self.sigma_db**2

    def curve(self, kind: str, values: Array) -> Array:
        """R' [dB] (27,) for these parameters."""
        names = _KINDS[kind]
        tau = self.body * 10.0 ** (-values[0] / 10.0)
        if "leak" in names:
            tau = tau + self.leak(float(np.clip(values[1 + names.index("leak")], -20.0, 6.0)))
        elif self.existing:
            tau = tau + self.leak(0.0)
        if "flanking" in names:
            rise = RISE_DB * np.log2(THIRD_OCTAVES / 500.0)
            level = np.clip(values[1 + names.index("flanking")], -50.0, 200.0)
            tau = tau + 10.0 ** (-(level + rise) / 10.0)
        return np.asarray(-10.0 * np.log10(tau))

    def off(self, values: Array, kind: str) -> Array:
        """Weighted residuals: bands, and the shift against what is common to all bands."""
        used = self.used
        residual = self.measured_db[used] - self.curve(kind, values)[used]
        residual = np.where(self.hidden[used], np.maximum(residual, 0.0), residual)
        own = np.sqrt((1.0 - COMMON) * self.variance[used])
        common = math.sqrt(COMMON * float(self.variance[used].mean()))
        return np.append(residual / own, values[0] / common)

    def start(self, kind: str) -> list[Array]:
        """Starting points."""
        leaks = (-0.5, 0.5) if self.existing else (-4.5, -3.5, -2.5)
        flanks = (45.0, 60.0)
        grid: dict[str, list[list[float]]] = {
            "as predicted": [[0.0]],
            "leak": [[0.0, leak] for leak in leaks],
            "flanking": [[0.0, flank] for flank in flanks],
            "both": [[0.0, leak, flank] for leak in leaks for flank in flanks],
        }
        return [np.array(point) for point in grid[kind]]

    def fit(self, kind: str) -> Fit:
        """Least squares from all starting points."""
        runs = [least_squares(self.off, point, args=(kind,), x_scale="jac") for point in self.start(kind)]
        best = min(runs, key=lambda run: float(run.cost))
        names = _KINDS[kind]
        covariance = np.linalg.pinv(best.jac.T @ best.jac)
        half = 1.645 * np.sqrt(np.diag(covariance))
        limits = {name: (best.x[i], half[i]) for i, name in enumerate(names, 1)}
        leak = flank = None
        if "leak" in limits:
            value, reach = limits["leak"]
            leak = Fitted(*(float(10.0 ** np.clip(x, -12, 6)) for x in (value, value - reach, value + reach)))
        if "flanking" in limits:
            value, reach = limits["flanking"]
            flank = Fitted(float(value), float(value - reach), float(value + reach))
        return Fit(kind, self.existing, leak, flank, float(best.x[0]), self.curve(kind, best.x),
                   2.0 * float(best.cost), 0.0, int(self.used.sum()))  # fmt: skip
