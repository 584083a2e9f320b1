"""Rounding as standards ask for it: a half goes up, whatever the binary fraction behind it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array

_NEARLY = 1e-7  # a printed digit lies this close to its binary neighbour, and nothing measured does


def half_up(value: ArrayLike) -> Array:
    """Nearest whole number, halves upwards; same shape.

    ISO 717-1:2020, 4.4, footnote: XX.YZZZ is rounded to XX for Y < 5 and to XX + 1 for Y >= 5.

    >>> half_up([2.5, -2.5, 0.35 * 10]).tolist()
    [3.0, -2.0, 4.0]
    """
    return np.floor(np.asarray(value, float) + 0.5 + _NEARLY)
