"""Absorption of what rooms are made of, from published tables: for a room described by its surfaces.

Octave coefficients 125 Hz to 4 kHz, random incidence. Outside them the end values hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, exact


class Surface(NamedTuple):
    """Coefficients in the octaves 125 Hz to 4 kHz and where they come from."""

    alpha: tuple[float, float, float, float, float, float]
    source: str


_AURALIZATION = "Vorlaender, Auralization (2008), annex (read)"
_KAYE_LABY = "Kaye & Laby 2.4.4 (read); 4 kHz as at 2 kHz where not given"

SURFACES: Mapping[str, Surface] = {
    "plasterboard": Surface((0.15, 0.10, 0.06, 0.04, 0.04, 0.05), _AURALIZATION),
    "plaster": Surface((0.02, 0.02, 0.03, 0.03, 0.04, 0.05), _AURALIZATION),
    "brick": Surface((0.02, 0.02, 0.03, 0.04, 0.05, 0.07), _KAYE_LABY),
    "concrete": Surface((0.02, 0.03, 0.03, 0.03, 0.04, 0.07), _AURALIZATION),
    "glass": Surface((0.08, 0.04, 0.03, 0.03, 0.02, 0.02), _AURALIZATION),
    "double glazing": Surface((0.10, 0.07, 0.05, 0.03, 0.02, 0.02), _AURALIZATION),
    "wood lining": Surface((0.27, 0.23, 0.22, 0.15, 0.10, 0.07), _AURALIZATION),
    "wood floor": Surface((0.18, 0.12, 0.10, 0.09, 0.08, 0.07), _AURALIZATION),
    "wooden door": Surface((0.14, 0.10, 0.06, 0.08, 0.10, 0.10), _AURALIZATION),
    "linoleum": Surface((0.02, 0.03, 0.03, 0.03, 0.03, 0.02), _AURALIZATION),
    "carpet": Surface((0.05, 0.15, 0.30, 0.45, 0.55, 0.55), _KAYE_LABY),
    "carpet on underlay": Surface((0.05, 0.20, 0.40, 0.60, 0.65, 0.65), _KAYE_LABY),
    "curtain": Surface((0.14, 0.35, 0.55, 0.72, 0.70, 0.65), _KAYE_LABY + ": draped velour"),
    "upholstered seats": Surface((0.49, 0.66, 0.80, 0.88, 0.82, 0.70), _AURALIZATION),
}


def alpha(name: str) -> Array:
    """Third-octave coefficients (27,) of a surface in `SURFACES`, straight in lg f between octaves."""
    if name not in SURFACES:
        raise ValueError(f"no surface of this name (got {name!r}); known: {', '.join(SURFACES)}")
    return np.interp(
        np.log(exact(THIRD_OCTAVES)), np.log(exact(OCTAVES[2:8])), np.array(SURFACES[name].alpha)
    )
