"""What changes smoothly with frequency and is wanted at very many: straight lines between knots."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

import numpy as np

from isolate.bands import Array
from isolate.physics.checks import above_zero
from isolate.physics.layers import Complex

APART = 0.025  # of ln f, from a knot to the next: lines are then off by less than a part in ten thousand


@above_zero(f="Hz")
def smooth(of: Callable[[Array], Iterable[Complex]], f: Array) -> list[Complex]:
    """Values (..., n) of smooth functions of frequency at f (n,) [Hz], as exact as the lines are.

    Parameters
    ----------
    of : the functions. f : (n,) [Hz].

    Raises
    ------
    ValueError
        A frequency that is not above 0.

    Notes
    -----
    Off by `APART`^2/8 of the second derivative by ln f; by nothing where knots would not be far fewer than f.
    """
    first = math.floor(math.log(f.min()) / APART)
    count = max(math.ceil(math.log(f.max()) / APART) - first, 1)
    if f.size <= 2 * count:
        return list(of(f))
    place = np.log(f) / APART - first
    at = np.minimum(place.astype(np.intp), count - 1)
    values = of(np.exp(APART * np.arange(first, first + count + 1)))
    return [y.take(at, -1) + (place - at) * np.diff(y).take(at, -1) for y in values]
