"""Panes by their numbers, as glaziers write them: "4-16-4", "4/16/6.4", "44.2s/20/10", "4-16Ar-4", "44.2"."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from itertools import zip_longest

from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.errors import shown

FOIL = 0.38e-3  # m, of one foil of a laminated pane
_NUMBER = r"\d+(?:\.\d+)?s?"
_UNIT = re.compile(
    rf"{_NUMBER}(?:\s*[-/]\s*{_NUMBER}){{2}}(?:(?:\s*[-/]\s*{_NUMBER}){{2}})?(?:\s*mm)?(?:,?\s*(argon|krypton|air))?",
    re.IGNORECASE,
)
_LIKE = re.compile(r"\d[\w.]*(?:\s*[-/]\s*\d[\w.]*){2}(?:(?:\s*[-/]\s*\d[\w.]*){2})?")
_COATED = re.compile(r"(?<=\d):|:(?=\d)")  # where its coat against heat lies, which sound does not meet
_GAS = re.compile(r"(?<=\d)\s*(ar|kr)(?![a-z])", re.IGNORECASE)
_FOILS = re.compile(r"(\d)(\d)\.(\d)(s?)")
_GASES = {"ar": "argon", "kr": "krypton"}
# Words about a unit that its numbers tell or that sound does not meet, and the gas that some of them name.
_UNITS = {
    **dict.fromkeys(("double", "triple", "glazed", "glazing", "mm", "igu", "dgu", "gas", "gap"), ""),
    "argon": "argon", "krypton": "krypton",
}  # fmt: skip
_LAMINATED = frozenset(("laminated", "laminate", "lam", "lami"))  # a pane with a fraction is
# Words about one pane, beside its number: what it is made of, or nothing that sound meets.
_PANES = {
    "acoustic": "acoustic laminated glass", "laminated": "laminated glass", "vsg": "laminated glass",
    **dict.fromkeys(("esg", "toughened", "tempered", "float", "clear", "glass", "pane", "single"), ""),
}  # fmt: skip


def _plain(text: str) -> tuple[str, str | None]:
    """A unit's numbers without signs of coats and gas between, and that gas: "4-16-4" of "4:-16Ar-4"."""
    gases = [_GASES[one.casefold()] for one in _GAS.findall(text)]
    return _GAS.sub("", _COATED.sub("", text)).strip(), gases[0] if gases else None


def is_unit(text: str) -> bool:
    """Whether a text is an insulating unit by its numbers."""
    plain = _plain(text)[0]
    return _UNIT.fullmatch(plain) is not None or _LIKE.fullmatch(plain) is not None


def among(text: str, besides: Callable[[], frozenset[str]]) -> str | None:
    """The unit's numbers in a text that says no more than that: "4-16-4" of "upvc double glazed 4-16-4"; None
    where a word is not among `besides`, or says what the numbers do not."""
    found = _LIKE.search(text)
    if found is None:
        return None
    words = re.findall(r"\w+", f"{text[: found.start()]} {text[found.end() :]}".casefold())
    layered = not re.fullmatch(r"[\d\s/-]+", found[0])
    known = besides() | _UNITS.keys() | (_LAMINATED if layered else frozenset())
    gas = [_UNITS[one] for one in words if _UNITS.get(one)]
    told = all(known.intersection((one, one.removesuffix("s"))) for one in words)
    return f"{found[0]} {' '.join(gas[:1])}".strip() if told else None


def pane(text: str) -> Leaf | None:
    """One pane by the number that glaziers call it by, as "44.2 acoustic", "VSG 44.2" or "6.4 laminated", or
    by its millimetres; None if a text is none."""
    words = re.sub(r"(?<=\d)\s*mm\b", "", text.casefold()).split()
    numbers = [one for one in words if re.fullmatch(_NUMBER, one)]
    said = [one for one in words if one not in numbers]
    if len(numbers) != 1 or not all(one in _PANES for one in said):
        return None
    foils = _FOILS.fullmatch(numbers[0]) and float(numbers[0].rstrip("s")) > 25.0
    if not foils and not (said and ("." in numbers[0] or "mm" in text)):
        return None
    found = _pane(numbers[0])
    made_of = next((name for word, name in _PANES.items() if word in said and name), "")
    return found if found is None or not made_of else replace(found, material=material(made_of))


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
    plain, gas = _plain(text)
    parts = re.findall(_NUMBER, plain)
    said = _UNIT.fullmatch(plain)
    wrong = f'no insulating unit (got {shown(text)}); write glass-gap-glass in mm, "4-16-4" or "6-16-44.2s"'
    if said is None:
        raise ValueError(wrong)
    gas = gas or said[1] or "air"
    layers: list[Leaf | Cavity] = []
    for glass, gap in zip_longest(parts[::2], parts[1::2]):
        pane = _pane(glass)
        if pane is None or (gap is not None and (gap.endswith("s") or not 4.0 <= float(gap) <= 40.0)):
            raise ValueError(wrong)
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
