"""From ratings to a curve: what an element stops by band when its data sheet has single numbers only.

Elements of a kind have a shape on the whole (`describe.datasheet.Shape`). Of all curves that rate exactly as
stated the one is taken that departs least from it, measured by how elements of that kind differ: bands that
differ much move more, neighbours move together. What the ratings leave open is the range. Ratings reach from
100 Hz (OITC 80 Hz) to 3150 or 4000 Hz and weigh the middle; bass is where they say least.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import product

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe import datasheet
from isolate.errors import InputError
from isolate.standards import ratings
from isolate.standards.contours import level_through
from isolate.standards.tables import ISO_SPECTRA, ISO_THIRDS, OITC, STC, Contour, SourceSpectrum

ALIKE = 2.0  # third octaves over which departures of neighbours go together: as elements of the catalogue do
DIPS = 0.4  # part of their variance that each band has for itself, coincidence and resonance being narrow
ROUNDING_DB = 1 / np.sqrt(12)  # standard deviation of what a whole number leaves open
_STEPS, _NEAR, _HIDDEN_DB = 80, 1e-4, 0.02
OFF_DB = 1.0  # of odd numbers that no curve was found for
_INSIDE = (0.5, 0.2, 0.8)  # of the decibel a rating by contour stands for
_OFF = (0.0, 0.3, -0.3)  # from the whole number a rating by spectrum is rounded to
_SPECTRA: Mapping[str, SourceSpectrum] = {
    "rw_c": ISO_SPECTRA["100-3150"][0], "rw_ctr": ISO_SPECTRA["100-3150"][1], "oitc": OITC,
}  # fmt: skip
_CONTOURS: Mapping[str, Contour] = {"rw": ISO_THIRDS, "stc": STC}
Slope = tuple[float, Array]


def _by_contour(tl: Array, contour: Contour) -> Slope:
    """A rating by contour before it is cut to a whole number, and its slope by band (27,).

    The shift s at which sum max(0, c + s - R) is the limit: s = (limit + sum (R - c)) / n over the n bands
    below the contour.
    """
    distance = tl[contour.bands] - contour.reference
    order = np.argsort(distance)
    count = np.arange(1, distance.size + 1)
    shifts = (contour.sum_limit + np.cumsum(distance[order])) / count
    n = int(np.argmin(shifts))
    slope = np.zeros(distance.size)
    shift = float(shifts[n])
    slope[order[: n + 1]] = 1.0 / (n + 1)
    if contour.single_limit is not None and distance[order[0]] + contour.single_limit < shift:
        shift = float(distance[order[0]]) + contour.single_limit
        slope = np.zeros(distance.size)
        slope[order[0]] = 1.0
    whole = np.zeros(N_BANDS)
    whole[contour.bands] = slope
    return shift + contour.rating_at_zero, whole


def _by_spectrum(tl: Array, spectrum: SourceSpectrum) -> Slope:
    """A rating by spectrum before rounding, and its slope: each band's share of what comes through."""
    inside = tl[spectrum.bands]
    level = float(level_through(inside, spectrum.level_db))
    whole = np.zeros(N_BANDS)
    whole[spectrum.bands] = 10.0 ** ((spectrum.level_db - inside - level) / 10.0)
    return spectrum.total_db - level, whole


def _found(tl: Array, key: str) -> Slope:
    return _by_contour(tl, _CONTOURS[key]) if key in _CONTOURS else _by_spectrum(tl, _SPECTRA[key])


def _rounded(tl: Array) -> dict[str, int]:
    """The ratings by the standards' own procedures."""
    rw = int(ratings.rw(tl))
    c, ctr = (int(one) for one in ratings.adaptation(tl))
    return {
        "rw": rw, "rw_c": rw + c, "rw_ctr": rw + ctr,
        "stc": int(ratings.stc(tl)), "oitc": int(ratings.oitc(tl)),
    }  # fmt: skip


def _covariance(shape: datasheet.Shape) -> Array:
    """How elements of a kind differ [dB2] (27, 27): all bands by their rating, each by its own beside it."""
    apart = np.subtract.outer(np.arange(N_BANDS), np.arange(N_BANDS))
    alike = (1 - DIPS) * np.exp(-0.5 * (apart / ALIKE) ** 2) + DIPS * (apart == 0)
    return np.asarray(shape.rw[1] ** 2 + np.outer(shape.sd_db, shape.sd_db) * alike)


def _nearest(mean: Array, root: Array, wanted: Mapping[str, float]) -> tuple[Array, Array]:
    """The curve nearest to the mean that rates as wanted, and the slopes there (n, 27).

    With t = m + L z the least of |z|^2 + (w - g)^2 / s^2, s far below what rounding hides, by steps of
    Levenberg and Marquardt: where bands enter and leave a contour its slope leaps.
    """
    target = np.array(list(wanted.values()))

    def at(z: Array) -> tuple[Array, Array, float]:
        values, rows = zip(*(_found(mean + root @ z, key) for key in wanted), strict=True)
        miss = (target - np.array(values)) / _HIDDEN_DB
        return miss, np.array(rows) @ root / _HIDDEN_DB, float(z @ z + miss @ miss)

    z = np.zeros(N_BANDS)
    damping, (miss, slopes, cost) = 1.0, at(z)
    for _ in range(_STEPS):
        step = np.linalg.solve(slopes.T @ slopes + (1.0 + damping) * np.eye(N_BANDS), slopes.T @ miss - z)
        tried = at(z + step)
        if tried[2] < cost:
            small = cost - tried[2] < _NEAR
            z, (miss, slopes, cost), damping = z + step, tried, damping / 5.0
            if small:
                break
        else:
            damping *= 4.0
    return mean + root @ z, np.asarray(np.linalg.solve(root.T, slopes.T * _HIDDEN_DB).T, float)


def _targets(stated: Mapping[str, float]) -> Iterator[dict[str, float]]:
    """Values before rounding that a curve may have, the middle of what is stated first."""
    for inside, off in product(_INSIDE, _OFF):
        yield {key: value + (inside if key in _CONTOURS else off) for key, value in stated.items()}


def curve(stated: Mapping[str, float], kind: str) -> tuple[Array, Array]:
    """Transmission loss [dB] (27,) of elements of this kind that rate as stated, and its standard deviation.

    Parameters
    ----------
    stated : "rw", "rw_c" (Rw + C), "rw_ctr", "stc", "oitc" [dB, whole]; empty: of all elements of the kind.
        Of a "vent" they are those of D_n,e.

    Raises
    ------
    InputError
        Numbers that no curve has together.
    """
    return _curve(tuple(stated.items()), kind)


@lru_cache(maxsize=64)
def _curve(stated: tuple[tuple[str, float], ...], kind: str) -> tuple[Array, Array]:
    wanted = dict(stated)
    shape = datasheet.shape(kind)
    spread = _covariance(shape)
    if not wanted:
        return shape.tl_db + shape.rw[0], np.sqrt(np.diag(spread))
    key, value = next(iter(stated))
    mean = shape.tl_db + value - _found(shape.tl_db, key)[0]
    root = np.asarray(np.linalg.cholesky(spread + 1e-6 * np.eye(N_BANDS)), float)
    near: list[tuple[float, Array, Array]] = []
    for target in _targets(wanted):
        found, slopes = _nearest(mean, root, target)
        rated = _rounded(found)
        miss = max(abs(rated[key] - value) for key, value in wanted.items())
        near.append((miss, found, slopes))
        if miss == 0.0:
            break
    miss, found, slopes = min(near, key=lambda one: one[0])
    if miss <= OFF_DB:
        return found, _open(spread, slopes)
    numbers = ", ".join(f"{_WORDS[key]} {value:g}" for key, value in wanted.items())
    raise InputError(f"data sheet: no {kind} has these together (got {numbers}); check the numbers")


_WORDS = {"rw": "Rw", "rw_c": "Rw + C", "rw_ctr": "Rw + Ctr", "stc": "STC", "oitc": "OITC"}


def _open(spread: Array, slopes: Array) -> Array:
    """Standard deviation [dB] (27,) that ratings leave of what elements of a kind differ by."""
    system = slopes @ spread @ slopes.T + ROUNDING_DB**2 * np.eye(len(slopes))
    left = spread - spread @ slopes.T @ np.linalg.solve(system, slopes @ spread)
    return np.sqrt(np.maximum(np.diag(left), 0.0))
