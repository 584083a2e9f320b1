"""Single-number ratings of sound absorption: alpha_w (ISO 11654), NRC and SAA (ASTM C423).

Both standards round in steps (0.05, 0.01); the steps are counted as integers here, so that a deviation of
exactly the limit is exactly that.

References
----------
ISO 11654:1997, Acoustics - Sound absorbers for use in buildings - Rating of sound absorption (from memory).
ASTM C423-17, Standard test method for sound absorption by the reverberation room method (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isolate.bands import N_BANDS, Array, index_of
from isolate.standards.rounding import half_up

PRACTICAL_OCTAVES: Array = np.array([125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0])
_STEP = 20  # steps of 0.05 in one
_REFERENCE = np.array([16, 20, 20, 20, 18])  # 250 Hz to 4 kHz: 0.80 1.00 1.00 1.00 0.90
_LIMIT = 2  # sum of unfavourable deviations, 0.10
_EXCESS = 5  # 0.25 above the shifted curve earns a letter
_LETTERS = ("L", "M", "M", "H", "H")
_CLASSES: Mapping[str, float] = {"A": 0.90, "B": 0.80, "C": 0.60, "D": 0.30, "E": 0.15}
_FOUR = [index_of(f) for f in (250, 500, 1000, 2000)]
_TWELVE = slice(index_of(200), index_of(2500) + 1)


@dataclass(frozen=True)
class AbsorptionRating:
    """Ratings of one absorber; None where the data do not reach.

    `shape` holds the letters L, M, H of ISO 11654 for a surplus at low, middle or high frequencies;
    `absorber_class` is A to E of its annex B or "not classified".
    """

    alpha_w: float | None = None
    shape: str = ""
    absorber_class: str | None = None
    nrc: float | None = None
    saa: float | None = None

    def __str__(self) -> str:
        parts = []
        if self.alpha_w is not None:
            letters = f"({self.shape})" if self.shape else ""
            parts.append(f"alpha_w {self.alpha_w:.2f}{letters}, class {self.absorber_class}")
        if self.nrc is not None:
            parts.append(f"NRC {self.nrc:.2f}")
        if self.saa is not None:
            parts.append(f"SAA {self.saa:.2f}")
        return ", ".join(parts) or "no rating: too few bands"


def _thirds(alpha: ArrayLike) -> Array:
    values = np.asarray(alpha, float)
    if values.ndim == 0 or values.shape[-1] != N_BANDS:
        raise ValueError(f"alpha: last axis must have {N_BANDS} third octaves (got shape {values.shape})")
    return values


def _practical_steps(octave_means: Array) -> NDArray[np.int64]:
    return np.asarray(np.minimum(half_up(octave_means * _STEP), _STEP), dtype=np.int64)


def practical(alpha: ArrayLike) -> Array:
    """Practical absorption coefficients of the octaves 125 Hz to 4 kHz; (..., 27) to (..., 6).

    Mean of the octave's thirds in steps of 0.05, at most 1.00: ISO 11654:1997, 4.1.
    """
    values = _thirds(alpha)[..., index_of(100) : index_of(5000) + 1]
    means = values.reshape(*values.shape[:-1], PRACTICAL_OCTAVES.size, 3).mean(axis=-1)
    return np.asarray(_practical_steps(means) / _STEP)


def alpha_w(practical_alpha: ArrayLike) -> Array:
    """Weighted absorption coefficient of practical ones, 250 Hz to 4 kHz; (..., 5) to (...).

    The reference curve is lowered in steps of 0.05 until the measured values fall short of it by at most 0.10
    in sum; alpha_w is its value at 500 Hz. ISO 11654:1997, 4.2.

    >>> float(alpha_w([0.35, 1.0, 0.65, 0.6, 0.55]))
    0.6
    """
    steps = _practical_steps(np.asarray(practical_alpha, float))
    return np.asarray((_REFERENCE[1] + _curve_shift(steps)) / _STEP)


def _curve_shift(steps: NDArray[np.int64]) -> NDArray[np.int64]:
    distance = np.sort(steps - _REFERENCE, axis=-1)
    shift = np.min((_LIMIT + np.cumsum(distance, axis=-1)) // np.arange(1, _REFERENCE.size + 1), axis=-1)
    return np.asarray(shift)  # never above 0: coefficients end at 1.00, as three bands of the curve do


def shape_letters(practical_alpha: ArrayLike) -> str:
    """Letters L, M, H of one absorber's practical coefficients (5,): 0.25 or more above the shifted curve
    at 250 Hz, at 500 or 1000 Hz, at 2000 or 4000 Hz. ISO 11654:1997, 4.3.

    >>> shape_letters([0.35, 1.0, 0.65, 0.6, 0.55])
    'M'
    """
    steps = _practical_steps(np.asarray(practical_alpha, float))
    excess = steps - (_REFERENCE + _curve_shift(steps))
    found = {letter for letter, above in zip(_LETTERS, excess, strict=True) if above >= _EXCESS}
    return "".join(letter for letter in "LMH" if letter in found)


def absorber_class(weighted: float) -> str:
    """Class A to E of a weighted absorption coefficient, ISO 11654:1997, annex B. weighted: alpha_w [1]."""
    return next((name for name, least in _CLASSES.items() if weighted >= least - 1e-9), "not classified")


def nrc(alpha: ArrayLike) -> Array:
    """Noise reduction coefficient: mean at 250, 500, 1000 and 2000 Hz to the nearest 0.05;
    (..., 27) to (...). ASTM C423: coefficients to 0.01 first, values above 1 are kept."""
    hundredths = half_up(_thirds(alpha)[..., _FOUR] * 100.0)
    return np.asarray(half_up(hundredths.sum(axis=-1) / 400.0 * _STEP) / _STEP)


def saa(alpha: ArrayLike) -> Array:
    """Sound absorption average: mean of the 12 third octaves 200 to 2500 Hz to the nearest 0.01;
    (..., 27) to (...). ASTM C423."""
    return np.asarray(half_up(half_up(_thirds(alpha)[..., _TWELVE] * 100.0).mean(axis=-1)) / 100.0)


def rate_absorption(alpha: ArrayLike) -> AbsorptionRating:
    """Every rating of one absorber's third-octave coefficients (27,) [1]. NaN marks a band without data."""
    values = _thirds(alpha)
    steps = practical(np.nan_to_num(values))[1:]
    weighted = float(alpha_w(steps)) if _known(values, 200, 5000) else None
    return AbsorptionRating(
        alpha_w=weighted,
        shape="" if weighted is None else shape_letters(steps),
        absorber_class=None if weighted is None else absorber_class(weighted),
        nrc=float(nrc(values)) if np.isfinite(values[_FOUR]).all() else None,
        saa=float(saa(values)) if _known(values, 200, 2500) else None,
    )


def _known(values: Array, first_hz: float, last_hz: float) -> bool:
    return bool(np.isfinite(values[index_of(first_hz) : index_of(last_hz) + 1]).all())
