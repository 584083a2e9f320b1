"""Panes by their numbers, as glaziers write them: "4-16-4", "4/16/6.4", "44.2s/20/10", "4-16-4 argon"."""

from __future__ import annotations

import re
from itertools import zip_longest

from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.units import shown

FOIL = 0.38e-3  # m, of one foil of a laminated pane
_NUMBER = r"\d+(?:\.\d+)?s?"
_UNIT = re.compile(
    rf"{_NUMBER}(?:\s*[-/]\s*{_NUMBER}){{2}}(?:(?:\s*[-/]\s*{_NUMBER}){{2}})?(?:\s*mm)?(?:,?\s*(argon|krypton|air))?",
    re.IGNORECASE,
)
_FOILS = re.compile(r"(\d)(\d)\.(\d)(s?)")


def is_unit(text: str) -> bool:
    """Whether a text is an insulating unit by its numbers."""
    return _UNIT.fullmatch(text.strip()) is not None


def unit(text: str) -> tuple[Leaf | Cavity, ...]:
    """Layers of an insulating unit by its numbers in millimetres, glass and gaps in turn.

    Glass with a fraction of a millimetre (6.4, 8.8) is laminated; 44.2 is 4 and 4 mm with two foils of
    0.38 mm, an s behind it says acoustic foils.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``.

    Examples
    --------
    >>> pane, gap, _ = unit("44.2s/20/10")
    >>> pane.material.name, round(pane.thickness * 1e3, 2), gap.depth
    ('acoustic laminated glass', 8.76, 0.02)
    """
    parts = re.findall(_NUMBER, text)
    said = _UNIT.fullmatch(text.strip())
    gas = (said[1] if said else None) or "air"
    layers: list[Leaf | Cavity] = []
    for glass, gap in zip_longest(parts[::2], parts[1::2]):
        pane = _pane(glass)
        if pane is None or (gap is not None and (gap.endswith("s") or not 4.0 <= float(gap) <= 40.0)):
            raise ValueError(
                f'no insulating unit (got {shown(text)}); write glass-gap-glass in mm, such as "4-16-4"'
            )
        layers += (
            [pane]
            if gap is None
            else [pane, Cavity(float(gap) * 1e-3, gas=gas.casefold(), framing="glazing spacer")]
        )
    return tuple(layers)


def _pane(text: str) -> Leaf | None:
    """A pane by its number; None if no pane is."""
    foils = _FOILS.fullmatch(text)
    if foils is not None and float(text.rstrip("s")) > 25.0:
        if min(int(foils[1]), int(foils[2]), int(foils[3])) < 1:
            return None
        name = "acoustic laminated glass" if foils[4] else "laminated glass"
        return Leaf(material(name), (int(foils[1]) + int(foils[2])) * 1e-3 + int(foils[3]) * FOIL)
    thickness = float(text.rstrip("s"))
    if not 2.0 <= thickness <= 25.0:
        return None
    whole = abs(thickness - round(thickness)) < 0.05
    name = "acoustic laminated glass" if text.endswith("s") else "glass" if whole else "laminated glass"
    return Leaf(material(name), thickness * 1e-3)
