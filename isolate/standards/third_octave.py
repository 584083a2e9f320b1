"""Third octaves as their filters have them (IEC 61260-1:2014): edges, width, steepness."""

from __future__ import annotations

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array, exact

ORDER = 4
"""Of the low-pass prototype. Its equivalent noise bandwidth is 2.6 % (0.11 dB) wider than the band."""

_HALF_BAND = 10.0**0.05
LOWER: Array = exact(THIRD_OCTAVES) / _HALF_BAND
UPPER: Array = exact(THIRD_OCTAVES) * _HALF_BAND
WIDTH: Array = UPPER - LOWER
"""Edges and width of the bands [Hz] (IEC 61260-1:2014, 5.6 and 5.7)."""

_USABLE = 0.45  # recorders' own filters begin here


def usable(rate: float) -> np.ndarray:
    """Which of the 27 bands a recording at `rate` [Hz] holds, as booleans (27,)."""
    return np.asarray(_USABLE * rate >= UPPER)
