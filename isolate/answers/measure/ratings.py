"""Single numbers of a measurement, with their limits from its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from isolate.answers.measure.bands import COMMON, Measured
from isolate.bands import Array
from isolate.standards.field import LIMIT
from isolate.standards.single_numbers import rate

DRAWS = 400


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
    hidden = result.rule == LIMIT
    at_least = bool(hidden.any()) and getattr(rate(np.where(hidden, curve_db + 30.0, curve_db)), kind) > value
    terms = (numbers.c, numbers.ctr) if kind == "rw" else (None, None)
    return Rated(name, value, low, None if at_least else high, at_least, *terms)  # type: ignore[arg-type]
