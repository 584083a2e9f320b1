"""Reference curves and source spectra of ISO 717-1, ASTM E413 and ASTM E1332, digits as printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array, index_of
from isolate.standards.weighting import A_WEIGHTING


def _span(first_hz: float, last_hz: float) -> slice:
    return slice(index_of(first_hz), index_of(last_hz) + 1)


@dataclass(frozen=True)
class Contour:
    """A reference contour that is shifted under a measured curve.

    `bands` slices the house's 27 third octaves; None for octave contours.
    """

    name: str
    reference: NDArray[np.int64]
    sum_limit: int
    single_limit: int | None
    units_per_db: int  # 10: the data are rounded to tenths of a decibel, 1: to whole decibels
    rating_at_zero: int  # what the unshifted contour reads at 500 Hz
    bands: slice


@dataclass(frozen=True)
class SourceSpectrum:
    """A-weighted levels of a source and the total they are compared with [dB]."""

    name: str
    level_db: Array
    total_db: float
    tenths: bool  # data rounded to 0.1 dB before use
    bands: slice


_WHOLE = slice(None)

# ISO 717-1:2020, table 3.
ISO_THIRDS = Contour(
    "ISO 717-1 third octaves",
    np.array([33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56]),
    sum_limit=32, single_limit=None, units_per_db=10, rating_at_zero=52, bands=_span(100, 3150),
)  # fmt: skip
ISO_OCTAVES = Contour(
    "ISO 717-1 octaves",
    np.array([36, 45, 52, 55, 56]),
    sum_limit=10, single_limit=None, units_per_db=10, rating_at_zero=52, bands=_WHOLE,
)  # fmt: skip

# ASTM E413-16, table 1, relative to 500 Hz.
STC = Contour(
    "ASTM E413",
    np.array([-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4]),
    sum_limit=32, single_limit=8, units_per_db=1, rating_at_zero=0, bands=_span(125, 4000),
)  # fmt: skip


def _pair(
    first_hz: float, last_hz: float, pink: Sequence[float], traffic: Sequence[float]
) -> tuple[SourceSpectrum, SourceSpectrum]:
    bands = _span(first_hz, last_hz)
    return (
        SourceSpectrum("ISO 717-1 spectrum 1", np.array(pink, float), 0.0, True, bands),
        SourceSpectrum("ISO 717-1 spectrum 2", np.array(traffic, float), 0.0, True, bands),
    )


# ISO 717-1:2020, table 4 (100 to 3150 Hz) and annex B, table B.1 (enlarged ranges).
_PINK = [-29, -26, -23, -21, -19, -17, -15, -13, -12, -11, -10, -9, -9, -9, -9, -9]
_PINK_5000 = [-30, -27, -24, -22, -20, -18, -16, -14, -13, -12, -11, -10, -10, -10, -10, -10, -10, -10]
_TRAFFIC = [-20, -20, -18, -16, -15, -14, -13, -12, -11, -9, -8, -9, -10, -11, -13, -15]
_TRAFFIC_LOW = [-25, -23, -21]
_TRAFFIC_HIGH = [-16, -18]

ISO_SPECTRA: Mapping[str, tuple[SourceSpectrum, SourceSpectrum]] = {
    "100-3150": _pair(100, 3150, _PINK, _TRAFFIC),
    "50-3150": _pair(50, 3150, [-40, -36, -33, *_PINK], [*_TRAFFIC_LOW, *_TRAFFIC]),
    "50-5000": _pair(50, 5000, [-41, -37, -34, *_PINK_5000], [*_TRAFFIC_LOW, *_TRAFFIC, *_TRAFFIC_HIGH]),
    "100-5000": _pair(100, 5000, _PINK_5000, [*_TRAFFIC, *_TRAFFIC_HIGH]),
}

# The same for octaves (table 4 and table B.1; enlarged ranges from memory, each the energy sum of its
# thirds): first octave centre, then the levels from there upwards.
ISO_OCTAVE_SPECTRA: Mapping[str, tuple[float, Sequence[int], Sequence[int]]] = {
    "100-3150": (125.0, [-21, -14, -8, -5, -4], [-14, -10, -7, -4, -6]),
    "50-3150": (63.0, [-31, -21, -14, -8, -5, -4], [-18, -14, -10, -7, -4, -6]),
    "50-5000": (63.0, [-32, -22, -15, -9, -6, -5, -5], [-18, -14, -10, -7, -4, -6, -11]),
    "100-5000": (125.0, [-22, -15, -9, -6, -5, -5], [-14, -10, -7, -4, -6, -11]),
}

# ASTM E1332-16, table 1: mean of aircraft take-off, road traffic and diesel locomotive. The levels are from
# memory; that they and the A-weighting give the standard's constant 100.13 is tested.
_OITC_BANDS = _span(80, 4000)
OITC_SOURCE: Array = np.array(
    [103, 102, 101, 98, 97, 95, 94, 93, 93, 91, 90, 89, 89, 88, 88, 87, 85, 84], float
)
OITC = SourceSpectrum("ASTM E1332", OITC_SOURCE + A_WEIGHTING[_OITC_BANDS], 100.13, False, _OITC_BANDS)
