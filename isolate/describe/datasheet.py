"""What a seller's data sheet says of an element, in one line::

    Rw 42 (-2; -6)            Rw (C; Ctr) = 42 (-2; -6) dB          door Rw 37
    Rw,C,tr 36                STC 35, OITC 28                       Rw 55 (-1; -4), Ln,w 53
    125: 25, 250: 30, 500: 36, 1k: 42, 2k: 45 dB                    Dn,e,w 38 (-1; -3)
    125 Hz 25 dB, 250 Hz 30 dB, 500 Hz 36 dB, 1 kHz 42 dB

A word in front says what it is (window, door, wall, floor, ceiling, roof, vent); without one it is taken as
a vent where it says Dn,e,w, as a window up to Rw 48, as a floor where it says Ln,w or IIC, else as a wall.
A vent counts as 10 m2 of an element whose Rw is its Dn,e,w.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe import catalogue, spectra
from isolate.describe.measured import Measured
from isolate.describe.reading import Faults, label, list_of, number, read_toml, text
from isolate.errors import shown

SOURCE = "what the data sheet says"
ASK = (
    "the values by band (100 to 3150 Hz, better from 50), C and Ctr, the size that was tested, whether frame "
    "and seals were in, and the number of the report"
)
_ASK_VENT = (
    "the values by band (100 to 3150 Hz), open and shut, the free area in cm2, the depth of wall and the "
    "hood it was tested with, and the number of the report"
)
VENT = "vent"
_KINDS = ("window", "door", "wall", "floor", "ceiling", "roof", VENT)
_WINDOW_TO = 48.0  # Rw: better than that no window is sold as one (common practice, no source)
_SIGNED = r"[+-]?\d+(?:\.\d+)?"
_NAMES = {
    "dnew": r"D\s*n\s*,?\s*e\s*,?\s*w", "lnw": r"L'?\s*n\s*(?:T\s*)?,?\s*w", "iic": r"IIC", "stc": r"STC",
    "oitc": r"OITC", "rw_ctr": r"R'?\s*w\s*[,+]\s*C\s*,?\s*tr|R\s*A\s*,?\s*tr",
    "rw_c": r"R'?\s*w\s*[,+]\s*C|R\s*A",
    "rw": r"R'?\s*w(?:\s*,\s*[PR])?|(?:weighted\s+)?sound\s+reduction(?:\s+index)?", "ctr": r"C\s*,?\s*tr",
    "c": r"C", "ci": r"C\s*,?\s*I",
}  # fmt: skip
_ONE = re.compile(
    "(?:" + "|".join(f"(?P<{key}>{name})" for key, name in sorted(
        _NAMES.items(), key=lambda pair: -len(pair[1]))) + r")"
    rf"\s*(?:\(\s*C\s*[;,]\s*C\s*,?\s*tr\s*\))?\s*[:=]?\s*(?P<value>{_SIGNED})\s*(?:dB)?"
    rf"(?:\s*\(\s*(?P<first>{_SIGNED})\s*(?:[;,/|]\s*(?P<second>{_SIGNED})\s*)?\))?\s*(?:dB)?",
    re.IGNORECASE,
)  # fmt: skip
_LIMITS = {
    **dict.fromkeys(("rw", "rw_c", "rw_ctr", "stc", "oitc"), (5.0, 100.0)),
    "c": (-12.0, 2.0), "ctr": (-22.0, 2.0), "dnew": (10.0, 90.0), "lnw": (10.0, 110.0), "ci": (-15.0, 20.0),
    "iic": (0.0, 100.0),
}  # fmt: skip
_BAND = re.compile(
    rf"(\d+(?:\.\d+)?)\s*(k)?\s*(?:(?:Hz)?\s*[:=]|(?:Hz\b|(?<=k)))\s*({_SIGNED})\s*(?:dB)?", re.IGNORECASE
)
_EXAMPLE = 'write it as on the sheet, such as "Rw 42 (-2; -6)", "STC 35, OITC 28" or "125: 25, 250: 30 ..."'
_AS_PRINTED = str.maketrans("−–’´`", "--'''")
_SAID_BESIDE = re.compile(
    r"\b(?:min(?:imum)?\b\.?|at least|rating|rated|approx\.?|ca\.)\s*|[≥>]\s*=?\s*", re.IGNORECASE
)
_NAMED = r"(?:STC|OITC|IIC|L'?n,?w|R'?w|C,?\s*tr|C)\s*[:=]?\s*[+-]?\d"
_APART = re.compile(rf"[,;]\s+(?![^(]*\))|\s+and\s+|(?<=[\d)B])\s*[/,;]?\s*(?={_NAMED})", re.IGNORECASE)
_SPAN = re.compile(r"\d\s*(?:-|to)\s*\d\d")
# Numbers of sheets that no curve can be made of: how each begins, what it says, what to write.
_ELSE = (
    (r"(?:NRC|SAA|α|alpha)", "tells how much it swallows in its own room, nothing of what goes through",
     "write its Rw or STC, or its layers"),
    (r"(?:U\s*[gwdf]?\s*[:=]?\s*\d|[UgR]\s*-?\s*value)", "tells of heat, nothing of sound",
     'write its Rw or STC, or of a window its panes, such as "4-16-4"'),
    (r"(?:D'?\s*(?:n\s*,?\s*)?(?:T\s*,?\s*)?w|D\s*n\s*,?\s*f\s*,?\s*w|N?NIC\b|[AF](?:STC|IIC)\b)",
     "tells of two rooms, with all that goes round", "write the Rw or STC of the element itself"),
    (r"(?:Δ|delta)\s*[LR]\s*,?\s*w", "tells what something adds to what stands", "write both as layers"),
)  # fmt: skip
_CLASS = re.compile(  # of windows by VDI 2719 (from memory)
    r"(?:Schallschutzklasse|SSK|sound\s+(?:insulation|protection)\s+class)\s*([1-6])\b", re.IGNORECASE
)
_PANES = re.compile(r"\d\s*[-/]\s*\d+(?:\.\d)?\w{0,2}\s*[-/]\s*\d")
_BARE = re.compile(r"\b(\d\d)\s*dB(?:\s*\(?A\)?)?\b", re.IGNORECASE)

_NOTHING = Measured(SOURCE, "own")


@dataclass(frozen=True)
class Shape:
    """What elements of a kind stop on the whole: mean and standard deviation [dB] of their Rw (of vents
    D_n,e,w), and of what each band has beside it, (27,)."""

    rw: tuple[float, float]
    tl_db: Array
    sd_db: Array


def ask(kind: str) -> str:
    """What to ask the seller of an element of this kind."""
    return _ASK_VENT if kind == VENT else ASK


def is_sheet(value: str) -> bool:
    """Whether a text begins like a data sheet: a rating's name, or a band with its value."""
    plain = _bare(value)[1]
    return bool(_ONE.match(plain)) or len(_BAND.findall(plain)) > 1 or _unlike(value) is not None


def as_built(value: str) -> bool:
    """Whether its numbers are of a building, not of a laboratory: R'w, L'n,w."""
    return re.search(r"\b[RL]'", value.translate(_AS_PRINTED)) is not None


def _unlike(value: str) -> str | None:
    """What is wrong with a number of a sheet that says too little of an element, and what to write."""
    plain = _bare(value)[1]
    if len(_BAND.findall(plain)) > 1:
        return None
    if _PANES.search(plain) and re.search(r"\b(?:R'?w|STC)\b", plain):
        return f"panes and a rating (got {shown(value)}); write one of both: a rating is of all of the window"
    if _ONE.match(plain) or (re.search(r"\bR'?w\b|\bSTC\b", plain) and _BARE.search(plain)):
        return None
    for begins, what, write in _ELSE:
        if re.match(begins, plain, re.IGNORECASE) and any(map(str.isdigit, plain)):
            return f"{what} (got {shown(value)}); {write}"
    if found := _CLASS.search(plain):
        low = 20 + 5 * int(found[1])
        tells = f"a class, {low} to {low + 4} dB as built in (got {shown(value)})"
        return f'{tells}; write what its sheet says, or "Rw {low + 2}"'
    if found := _BARE.search(plain):
        return f'tells not which number it is (got {shown(value)}); write "Rw {found[1]}" or "STC {found[1]}"'
    return None


def _bare(value: str) -> tuple[str | None, str]:
    """The kind named in front, and the rest."""
    plain = _SAID_BESIDE.sub("", value.strip().translate(_AS_PRINTED))
    plain = re.sub(r"^(\d\d)\s*(STC|OITC|IIC)\b", r"\2 \1", plain, flags=re.IGNORECASE)
    plain = re.sub(r"\b(STC|OITC|IIC)-(?=\d)", r"\1 ", plain, flags=re.IGNORECASE)
    word = plain.split(maxsplit=1)[0].casefold().strip(":,") if plain else ""
    if word in _KINDS and " " in plain:
        return word, plain.split(maxsplit=1)[1]
    return None, plain


def read(value: str, kind: str | None = None) -> tuple[str, Measured]:
    """Kind of construction and its ratings or bands; `kind` where the sheet names none and the place does.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``.
    """
    if (wrong := _unlike(value)) is not None:
        raise ValueError(wrong)
    named, plain = _bare(value)
    bands = _BAND.findall(plain)
    first = _ONE.match(plain)
    if named == VENT or (first is not None and first["dnew"] is not None):
        return VENT, vent(value)
    if len(bands) > 1:
        return named or kind or "window", _by_band(value, bands)
    found = _ratings(value, plain)
    if not any(key in found for key in ("rw", "rw_c", "rw_ctr", "stc", "oitc", "lnw", "iic")):
        raise ValueError(f"no rating of an element (got {shown(value)}); {_EXAMPLE}")
    steps = "lnw" in found or "iic" in found
    likely = "floor" if steps else "window" if _level(found) <= _WINDOW_TO else "wall"
    return named or kind or likely, replace(_NOTHING, **found)


def vent(value: object) -> Measured:
    """Converter: what is said of a vent, its D_n,e,w with C and Ctr."""
    said = text(value)
    found = _ratings(said, _bare(said)[1], vent=True)
    if "rw" not in found:
        raise ValueError(f'no rating of a vent (got {shown(value)}); write it as "Dn,e,w 38 (-1; -3)"')
    return replace(_NOTHING, **found)


def _level(found: dict[str, Any]) -> float:
    return next((float(found[key]) for key in ("rw", "rw_c", "rw_ctr", "stc", "oitc") if key in found), 0.0)


def _ratings(value: str, plain: str, *, vent: bool = False) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for piece in _APART.split(plain.strip()):
        match = _ONE.fullmatch(piece.strip())
        if match is None and _SPAN.search(piece):
            raise ValueError(f"a span (got {shown(value)}); write one number, its lower end to be sure")
        if match is None:
            raise ValueError(f"not a rating: {shown(piece)} (got {shown(value)}); {_EXAMPLE}")
        key = next(name for name in _NAMES if match[name])
        if (key == "dnew") != vent and key not in ("c", "ctr"):
            what = "a rating of an element" if vent else "a rating of vents"
            write = 'write that of a vent, such as "Dn,e,w 38 (-1; -3)"' if vent else "write it by itself"
            raise ValueError(f"{what} (got {shown(value)}); {write}")
        pair = ("ci", "") if key == "lnw" else ("c", "ctr")
        names = ("rw" if key == "dnew" else key, *pair)
        for name, amount in zip(names, (match["value"], match["first"], match["second"]), strict=True):
            if amount is not None:
                found[name] = _within(name, float(amount), value)
    return found


def _within(name: str, amount: float, value: str) -> float:
    least, most = _LIMITS[name]
    if not least <= amount <= most:
        raise ValueError(f"no sane value, {least:g} to {most:g} (got {shown(value)}); {_EXAMPLE}")
    return amount


def _by_band(value: str, found: list[tuple[str, str, str]]) -> Measured:
    frequencies = [float(hz) * (1000.0 if kilo else 1.0) for hz, kilo, _ in found]
    loss = [float(db) for _, _, db in found]
    if not all(-10.0 <= db <= 150.0 for db in loss):
        raise ValueError(f"no sane transmission loss (got {shown(value)}); {_EXAMPLE}")
    return Measured(SOURCE, "own", spectra.bands(frequencies), np.array(loss))


@cache
def shapes() -> dict[str, Shape]:
    """The shapes of `constructions/shapes.toml` by kind, read once."""
    faults = Faults(catalogue.root() / "shapes.toml")
    root = faults.root(read_toml(catalogue.root() / "shapes.toml"))
    found = {}
    for table in root.tables("shape"):
        kind = table.need("kind", label, "", "name the kind")
        table.need("source", text, "", "say where it is from"), table.need("basis", label, "", "say how sure")
        keys, values_of = ("rw", "tl_db", "sd_db"), list_of(number(-100.0, 100.0))
        values = {key: table.get(key, values_of) or [] for key in keys}
        if [len(one) for one in values.values()] != [2, N_BANDS, N_BANDS]:
            table.fault("tl_db", f"write rw of two values, tl_db and sd_db of {N_BANDS}")
            continue
        mean, spread = values["rw"]
        found[kind] = Shape((mean, spread), np.array(values["tl_db"]), np.array(values["sd_db"]))
    faults.stop()
    return found


def shape(kind: str) -> Shape:
    """The shape of a kind of construction, or of a "vent"."""
    return shapes()[{"ceiling": "floor", "roof": "floor", "sheet": "wall"}.get(kind, kind)]
