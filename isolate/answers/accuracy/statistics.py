"""How far predictions lie from what was published: bias, scatter and what both make together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array


@dataclass(frozen=True)
class Statistics:
    """Of `count` errors, predicted less published [dB]: mean, sample standard deviation (n - 1 below the
    line) and root mean square; nan where there are too few."""

    count: int
    bias_db: float
    sd_db: float
    rms_db: float

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"count": self.count, "bias_db": self.bias_db, "sd_db": self.sd_db, "rms_db": self.rms_db}


def of_errors(error_db: ArrayLike) -> Statistics:
    """Statistics of errors [dB], any shape.

    >>> of_errors([1.0, 3.0])
    Statistics(count=2, bias_db=2.0, sd_db=1.4142135623730951, rms_db=2.23606797749979)
    """
    error = np.asarray(error_db, float).ravel()
    if not error.size:
        return Statistics(0, np.nan, np.nan, np.nan)
    sd = float(error.std(ddof=1)) if error.size > 1 else float("nan")
    return Statistics(error.size, float(error.mean()), sd, float(np.sqrt(np.mean(error**2))))


def median(values: ArrayLike) -> float:
    """Median, nan of nothing."""
    array = np.asarray(values, float)
    return float(np.median(array)) if array.size else float("nan")


def joined(arrays: list[Array]) -> Array:
    """Arrays end to end, an empty one of none."""
    return np.concatenate([np.empty(0), *arrays])
