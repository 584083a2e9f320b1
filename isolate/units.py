"""Quantities as people write them, read once into SI and shown again in both systems.

`parse` reads "12.5 mm", "5/8 in", "5 ft 7 1/2 in", 5'-7 1/2", 16" o.c., "2.2 lb/ft2", "4.1 m x 3.2 m",
"4.1 by 3.2 m", "18 sq ft" or "62 dBA". It raises ValueError whose text says what came and what to write
instead, so that a reader of files only has to put the place in front of it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, overload

from isolate.errors import shown

INCH, FOOT, POUND = 0.0254, 0.3048, 0.45359237  # exact: NIST SP 811 (2008), appendix B.8
_PSI = POUND * 9.80665 / INCH**2

Scalar = Literal[
    "length", "area", "volume", "mass", "surface mass", "density", "modulus", "frequency", "time", "load",
    "flow resistivity", "dynamic stiffness", "air flow", "decibel", "temperature",
]  # fmt: skip


@dataclass(frozen=True)
class _Quantity:
    """Units and their factor to SI, the sane range in SI, and how to write one."""

    units: Mapping[str, float]
    low: float
    high: float
    example: str
    offsets: Mapping[str, float] | None = None


_LENGTHS = {
    "mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6, "in": INCH, "ft": FOOT, "km": 1e3, "yd": 3 * FOOT,
    "mi": 5280 * FOOT,
}  # fmt: skip
_QUANTITIES: dict[str, _Quantity] = {
    "length": _Quantity(_LENGTHS, 1e-6, 1e5, '"12.5 mm", "5/8 in" or "5 ft 7 1/2 in"'),
    "area": _Quantity(
        {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "ft2": FOOT**2, "in2": INCH**2, "yd2": 9 * FOOT**2},
        1e-9, 1e6, '"1.7 m2", "18 ft2" or "1.2 m x 1.4 m"',
    ),
    "volume": _Quantity({"m3": 1.0, "ft3": FOOT**3, "L": 1e-3}, 1e-6, 1e7, '"32 m3" or "1150 ft3"'),
    "mass": _Quantity({"kg": 1.0, "g": 1e-3, "lb": POUND}, 1e-6, 1e7, '"80 kg" or "180 lb"'),
    "surface mass": _Quantity(
        {"kg/m2": 1.0, "g/m2": 1e-3, "lb/ft2": POUND / FOOT**2, "psf": POUND / FOOT**2},
        1e-3, 1e5, '"10.8 kg/m2" or "2.2 lb/ft2"',
    ),
    "density": _Quantity(
        {"kg/m3": 1.0, "g/cm3": 1e3, "lb/ft3": POUND / FOOT**3, "pcf": POUND / FOOT**3},
        0.5, 25e3, '"720 kg/m3" or "45 lb/ft3"',
    ),
    "modulus": _Quantity(
        {"GPa": 1e9, "MPa": 1e6, "kPa": 1e3, "Pa": 1.0, "psi": _PSI}, 1.0, 2e12, '"3 GPa" or "70 MPa"'
    ),
    "frequency": _Quantity({"Hz": 1.0, "kHz": 1e3}, 0.01, 1e6, '"250 Hz" or "1.6 kHz"'),
    "time": _Quantity({"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0}, 1e-4, 1e7, '"0.4 s" or "20 min"'),
    "load": _Quantity(
        {"kPa": 1e3, "Pa": 1.0, "kN/m2": 1e3, "lb/ft2": _PSI / 144, "psf": _PSI / 144},
        1.0, 1e7, '"1.9 kPa" or "40 lb/ft2"',
    ),
    "flow resistivity": _Quantity(
        {"kPa s/m2": 1e3, "Pa s/m2": 1.0, "kN s/m4": 1e3, "N s/m4": 1.0}, 1.0, 1e8,
        '"10 kPa s/m2" or "10000 Pa s/m2"',
    ),
    "dynamic stiffness": _Quantity({"MN/m3": 1e6, "N/m3": 1.0}, 1e3, 1e12, '"9 MN/m3"'),
    "air flow": _Quantity(
        {"m3/s": 1.0, "m3/h": 1 / 3600, "L/s": 1e-3, "cfm": FOOT**3 / 60}, 1e-7, 1e3,
        '"10 L/s", "36 m3/h" or "20 cfm"',
    ),
    "decibel": _Quantity({"dB": 1.0}, -200.0, 200.0, '"3 dB"'),
    "temperature": _Quantity(
        {"C": 1.0, "degC": 1.0, "F": 5 / 9, "degF": 5 / 9, "K": 1.0}, 173.15, 373.15, '"20 C" or "68 F"',
        {"C": 273.15, "degC": 273.15, "F": 459.67 * 5 / 9, "degF": 459.67 * 5 / 9},
    ),
}  # fmt: skip
_LEVELS = {
    **dict.fromkeys(("dba", "db(a)", "db a", "dba leq", "db laeq"), "A"),
    **dict.fromkeys(("dbc", "db(c)", "db c"), "C"),
    **dict.fromkeys(("db", "dbz", "db leq", "db spl", "decibel", "decibels"), "Z"),
}
_SYNONYMS = {
    "inch": "in", "inches": "in", "feet": "ft", "foot": "ft", "lbs": "lb", "psf": "lb/ft2",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "centimetre": "cm", "centimetres": "cm",
    "centimeter": "cm", "centimeters": "cm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm",
    "millimeters": "mm", "cms": "cm", "mms": "mm", "mtr": "m", "mtrs": "m", "mts": "m", "sft": "ft2",
    "sf": "ft2", "kilometre": "km", "kilometres": "km", "kilometer": "km", "kilometers": "km", "kms": "km",
    "yard": "yd", "yards": "yd", "yds": "yd", "mile": "mi", "miles": "mi",
    "second": "s", "seconds": "s", "sec": "s", "secs": "s", "minute": "min",
    "minutes": "min", "mins": "min", "hour": "h", "hours": "h", "hrs": "h", "kilos": "kg", "pounds": "lb",
}  # fmt: skip
_POWERS = {"sq": "2", "square": "2", "cu": "3", "cubic": "3"}
_POWER = re.compile(r"(sq|square|cu|cubic)\b\.?\s*([a-z]+)|(sq|cu)(ft|in|m|cm|mm)", re.IGNORECASE)
_SQUARED = re.compile(r"^([a-z]+) squared?$", re.IGNORECASE)
_MARKS = str.maketrans({
    "×": "x", "✕": "x", "⨯": "x", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'",
    "µ": "u", "μ": "u",
    "²": "2", "³": "3", "⁴": "4", "−": "-", "–": "-", "‑": "-", "·": " ", "⋅": " ", "⁄": "/", "°": "",
    **{part: f" {whole}" for part, whole in {
        "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3",
        "⅔": "2/3"}.items()},
})  # fmt: skip
_NUMBER = r"[+-]?(?:\d+(?:\s+|-)\d+/\d+|\d+/\d+|(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
_VALUE = re.compile(rf"({_NUMBER})\s*(.*)")
_FEET = re.compile(rf"({_NUMBER})\s*(?:ft|feet|foot|')\s*-?\s*({_NUMBER})\s*(?:in|inch|inches|\"|'')?")
_BY = re.compile(r"\s*(?:x|\*|by|,\s)\s*", re.IGNORECASE)
_ROUGHLY = re.compile(r"(?i)^(?:(?:about|around|roughly|nearly|circa|approx|ca)\b\.?|~)\s*|\s+or so$")
_WAY = re.compile(r"\s*\(?\b(?:high|wide|long|deep|tall|away|[lwdh])\b\)?$", re.IGNORECASE)
_NAMED = re.compile(r"^(?:length|width|height|[lwdh])\b\s*[:=]?\s*(?=\d)", re.IGNORECASE)
_HEIGHT_FIRST = re.compile(r"h(?:eight)?\b|[^x*]*\d[^x*]*\b(?:high|tall|h)\b", re.IGNORECASE)
# "4m10": metres and centimetres, as one says them; "1 h 30": hours and minutes.
_METRES = re.compile(r"(\d+)\s*(?:m|met(?:re|er)s?)(?:\s*(\d\d)|\s*(\d{1,2})\s*cm)", re.IGNORECASE)
_HOURS = re.compile(r"(?i)(\d+)\s*(?:h|hours?|hrs?)\s*(?:and\s*)?(\d{1,2})\s*(?:m|min|mins|minutes?)?")
_COUNTED = {
    "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8",
    "nine": "9", "ten": "10", "eleven": "11", "twelve": "12", "fifteen": "15", "twenty": "20",
    "thirty": "30", "forty": "40", "fifty": "50",
}  # fmt: skip
_COUNT = re.compile(rf"\b(?:{'|'.join(_COUNTED)})\b", re.IGNORECASE)
# "half a mile", "quarter of an inch", "two and a half metres", "an hour", "a hundred yards", in figures.
_PARTS_SAID = (
    (re.compile(r"\b(\d+) and a half\b", re.IGNORECASE), r"\1 1/2"),
    (re.compile(r"\b(?:3 quarters|three-quarters)\s+(?:of\s+)?(?:an?\s+)?", re.IGNORECASE), "3/4 "),
    (re.compile(r"\b(?:an?\s+)?half\s+(?:of\s+)?(?:an?\s+)?", re.IGNORECASE), "1/2 "),
    (re.compile(r"\b(?:an?\s+)?quarter\s+(?:of\s+)?(?:an?\s+)?", re.IGNORECASE), "1/4 "),
    (re.compile(r"\b(?:an?\s+)?(\d*)\s*hundred\b", re.IGNORECASE), lambda m: f"{m[1] or 1}00"),
    (re.compile(r"^an?\s+(?=[a-z])", re.IGNORECASE), "1 "),
)
_DOOR = re.compile(r"(\d{2,4})\s*/\s*(\d{2,4})\s*(cm|mm)", re.IGNORECASE)  # of continental doors
_SPAN = re.compile(rf"{_NUMBER}\s*[a-z]*\s*(?:-|to)\s*{_NUMBER}\s*[a-z]\w*", re.IGNORECASE)
_LEQ = re.compile(r"L(A?)eq\s+(\S+)(?:\s*dB)?", re.IGNORECASE)
_SIDE = re.compile(r"\b(long|wide|deep)\s+(?=\d)", re.IGNORECASE)
_ON_CENTRE = re.compile(r"\s*,?\s*(?:o\.?\s?c\.?|on cent(?:re|er)s?|c/c)$", re.IGNORECASE)
_LONGEST = 200


def _clean(text: str) -> str:
    plain = _ROUGHLY.sub("", re.sub(r"\s+", " ", text.translate(_MARKS)).strip())
    if not plain[:1].isalpha():
        return plain
    plain = _COUNT.sub(lambda match: _COUNTED[match[0].lower()], plain)
    for said, figures in _PARTS_SAID:
        plain = said.sub(figures, plain)
    return plain


def si_unit(name: Scalar) -> str:
    """The unit in which `parse` returns a quantity.

    >>> si_unit("surface mass")
    'kg/m2'
    """
    quantity = _QUANTITIES[name]
    return "K" if quantity.offsets else next(u for u, factor in quantity.units.items() if factor == 1.0)


def _number(text: str) -> float:
    parts = re.split(r"\s+|(?<=\d)-(?=\d+/)", text)
    try:
        values = [float(Fraction(part)) if "/" in part else float(part) for part in parts]
    except (ZeroDivisionError, OverflowError):
        return math.nan
    return math.copysign(sum(abs(v) for v in values), -1.0 if text.startswith("-") else 1.0)


def _unit(text: str, quantity: _Quantity) -> str | None:
    """The table's name of a unit written a little differently, or None."""
    tidy = text.replace("^", "").replace("*", " ").rstrip(".")
    tidy = re.sub(r"\s*/\s*", "/", re.sub(r"^''$|^\"$", "in", tidy))
    tidy = ("ft" if tidy == "'" else tidy).replace("lbs", "lb")
    tidy = _SQUARED.sub(r"square \1", tidy)
    if power := _POWER.fullmatch(tidy):
        edge = (power[2] or power[4]).lower()
        tidy = _SYNONYMS.get(edge, edge) + _POWERS[(power[1] or power[3]).lower()]
    candidates = (tidy, _SYNONYMS.get(tidy.lower(), tidy))
    for name in candidates:
        if name in quantity.units:
            return name
    folded = {name.lower(): name for name in quantity.units}
    alone = len(folded) == len(quantity.units)
    return next((folded[c.lower()] for c in candidates if alone and c.lower() in folded), None)


def with_article(name: str) -> str:
    """ "a length", "an area"."""
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _wanted(name: str, quantity: _Quantity) -> str:
    return f"write {with_article(name)} in {', '.join(quantity.units)}, such as {quantity.example}"


def _text(value: object, name: str, instead: str) -> str:
    """The cleaned text of a quantity, or ValueError when it is no text at all or a bare number."""
    if isinstance(value, bool) or not isinstance(value, str):
        what = "a bare number without a unit" if type(value) in (int, float) else f"not {with_article(name)}"
        raise ValueError(f"{what} (got {shown(value)}); {instead}")
    if len(value) > _LONGEST:
        raise ValueError(f"too long for {with_article(name)} (got {len(value)} characters); {instead}")
    text = _clean(value)
    if re.fullmatch(_NUMBER, text):
        raise ValueError(f"a bare number without a unit (got {shown(value)}); {instead}")
    return text


def _scalar(value: object, name: str) -> float:
    quantity = _QUANTITIES[name]
    instead = _wanted(name, quantity)
    text = _text(value, name, instead)
    feet = None
    if name == "length":
        text = _WAY.sub("", _ON_CENTRE.sub("", text))
        feet = _FEET.fullmatch(text)
    elif name == "time":
        text = "24 h" if text.casefold() == "all day" else text
    two = _both(text, name)
    if feet:
        si = _number(feet[1]) * FOOT + _number(feet[2]) * INCH
    elif two is not None:
        si = two
    else:
        match = _VALUE.fullmatch(text)
        if match is None:
            raise ValueError(f"not {with_article(name)} (got {shown(value)}); {instead}")
        if re.match(r",\d", match[2]):
            point = shown(text.replace(",", "."))
            raise ValueError(f"a decimal comma (got {shown(value)}); write a decimal point: {point}")
        unit = _unit(match[2], quantity)
        if unit is None and _SPAN.fullmatch(text):
            raise ValueError(f"a span (got {shown(value)}); write one value, such as its middle")
        if unit is None:
            raise ValueError(f"{shown(match[2])} is no unit of {name} (got {shown(value)}); {instead}")
        si = _number(match[1]) * quantity.units[unit] + (quantity.offsets or {}).get(unit, 0.0)
    if not quantity.low <= si <= quantity.high:
        what = "must be more than zero" if si <= 0 < quantity.low else f"no sane {name}"
        raise ValueError(f"{what} (got {shown(value)}); {instead}")
    return si


def _both(text: str, name: str) -> float | None:
    """Metres with centimetres, or hours with minutes, in SI; None where it is neither."""
    if name == "length" and (found := _METRES.fullmatch(text)):
        return float(found[1]) + float(found[2] or found[3]) * 1e-2
    if name == "time" and (found := _HOURS.fullmatch(text)) and int(found[2]) < 60:
        return float(found[1]) * 3600.0 + float(found[2]) * 60.0
    return None


def _product(value: object, name: str, count: int, example: str) -> tuple[float, ...]:
    instead = f"write {count} lengths with their units (mm, cm, m, in, ft), such as "
    text = _text(value, name, instead + example)
    parts = _edges(text)
    instead += (_in_either(text, parts) if len(parts) == count else "") or example
    if len(parts) != count:
        raise ValueError(f"not {with_article(name)} (got {shown(value)}); {instead}")
    try:
        return tuple(_scalar(part, "length") for part in parts)
    except ValueError as fault:
        raise ValueError(f"{str(fault).split(' (got ')[0]} (got {shown(value)}); {instead}") from None


def _in_either(text: str, parts: list[str]) -> str:
    """Lengths of which no unit is said, in the two they may have been measured in; empty where one is."""
    bare = [float(one) for one in parts if re.fullmatch(r"\d{1,3}(?:\.\d+)?", one)]
    either = ("m", "ft") if max(bare, default=0.0) < _BARE_BELOW else ("cm", "in")
    return " or ".join(shown(f"{text} {one}") for one in either) if len(bare) == len(parts) else ""


def _edges(text: str) -> list[str]:
    """The lengths of a size, each with its unit: one without takes that of the next, or of those before where
    nothing comes after; none where its neighbours are of two units."""
    text = f"{door[1]} {door[3]} x {door[2]} {door[3]}" if (door := _DOOR.fullmatch(text)) else text
    parts = [_NAMED.sub("", _WAY.sub("", one)) for one in _BY.split(_SIDE.sub(r"\1, ", text))]
    units, found = [_stated(one) for one in parts], []
    for i, part in enumerate(parts):
        before, after = [one for one in units[:i] if one], [one for one in units[i:] if one][:1]
        unit = next(iter((*after, *before)), "")
        clear = all(one == unit for one in before)
        found.append(f"{part} {unit}".strip() if clear and not units[i] else part)
    return found[::-1] if len(found) == 2 and _HEIGHT_FIRST.match(text) else found  # width, then height


def _stated(part: str) -> str:
    """The unit a length says; of feet with inches feet, of metres with centimetres metres; empty for none."""
    if _FEET.fullmatch(part):
        return "ft"
    if _METRES.fullmatch(part):
        return "m"
    stated = _VALUE.fullmatch(part)
    said = stated[2] if stated else ""
    return _unit(said, _QUANTITIES["length"]) or said


def is_size(text: str) -> bool:
    """Whether text is meant as lengths by lengths, such as "1.2 m x 1.4 m" or "4 by 3 m"."""
    return len(text) <= _LONGEST and len(_edges(_clean(text))) > 1 and any(map(str.isdigit, text))


def _level(value: object) -> tuple[float, str]:
    instead = 'write a level in dBA, dBC or dB, such as "62 dBA"'
    said = _LEQ.sub(r"\2 dB L\1eq", _text(value, "level", instead))
    if _SPAN.fullmatch(said.replace("(A)", "A")):
        raise ValueError(f"a span (got {shown(value)}); write one value, such as its middle")
    match = _VALUE.fullmatch(said)
    weighting = _LEVELS.get(match[2].lower()) if match else None
    if match is None or weighting is None:
        raise ValueError(f"not a level (got {shown(value)}); {instead}")
    level = _number(match[1])
    if not -50.0 <= level <= 200.0:
        raise ValueError(f"no sane level (got {shown(value)}); {instead}")
    return level, weighting


@overload
def parse(text: object, quantity: Scalar) -> float: ...
@overload
def parse(text: object, quantity: Literal["size"]) -> tuple[float, float]: ...
@overload
def parse(text: object, quantity: Literal["box"]) -> tuple[float, float, float]: ...
@overload
def parse(text: object, quantity: Literal["level"]) -> tuple[float, str]: ...
def parse(text: object, quantity: str) -> float | tuple[float, ...] | tuple[float, str]:
    """Read one quantity with its unit.

    Parameters
    ----------
    text : what the file or the command line holds; anything but text is a fault.
    quantity : one of `Scalar`, or "size" (width x height), "box" (length x width x height), "level".

    Returns
    -------
    float or tuple
        SI values; an "area" may be written as a size; a "level" is (value, weighting "A", "C" or "Z");
        a "decibel" stays in dB; a "temperature" is in K.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``.

    Examples
    --------
    >>> round(parse("5 ft 7 1/2 in", "length"), 4)
    1.7145
    >>> parse("4.1 m x 3.2 m", "size")
    (4.1, 3.2)
    >>> parse("62 dBA", "level")
    (62.0, 'A')
    """
    if quantity == "size":
        return _product(text, "size", 2, '"4.1 m x 3.2 m"')
    if quantity == "box":
        return _product(text, "size of a room", 3, '"4.1 m x 3.2 m x 2.5 m"')
    if quantity == "level":
        return _level(text)
    if quantity == "area" and isinstance(text, str) and is_size(text):
        return math.prod(_product(text, "area", 2, '"1.7 m2" or "1.2 m x 1.4 m"'))
    return _scalar(text, quantity)


def _inches(length: float) -> str:
    """Feet and inches to the nearest sixteenth; of sheet thinner than a millimetre, in decimals."""
    if 0.0 < length < 1e-3:
        return f"{length / INCH:.2g} in"
    sixteenths = round(length / INCH * 16)
    feet, rest = (0, sixteenths) if length < FOOT * 4 else divmod(sixteenths, 12 * 16)
    whole, part = divmod(rest, 16)
    inch = " ".join(str(p) for p in (whole or "", Fraction(part, 16) or "") if p != "") or "0"
    return f"{feet} ft {inch} in" if feet else f"{inch} in"


def millimetres(length: float) -> str:
    """A length [m] in millimetres, to what one measures: tenths below 100 mm, else whole ones.

    >>> millimetres(0.003175), millimetres(0.00038), millimetres(0.3048)
    ('3.2 mm', '0.38 mm', '305 mm')
    """
    value = length * 1e3
    if value < 1.0:
        return f"{value:.2g} mm"
    return f"{value:.1f}".removesuffix(".0") + " mm" if value < 99.95 else f"{value:.0f} mm"


def show_time(seconds: float) -> str:
    """A time [s] in the unit one says it in.

    >>> show_time(86400.0), show_time(90.0), show_time(8.0)
    ('24 h', '1.5 min', '8 s')
    """
    units = ((3600.0, "h"), (60.0, "min"), (1.0, "s"))
    size, unit = next((one for one in units if seconds >= one[0]), units[-1])
    value = seconds / size
    return f"{value:.0f} {unit}" if value >= 100 else f"{value:.3g} {unit}"


def show_length(length: float) -> str:
    """A length [m] in millimetres (from 2 m on in metres) and inches.

    >>> show_length(0.0127)
    '12.7 mm (1/2 in)'
    >>> show_length(4.1)
    '4.10 m (13 ft 5 7/16 in)'
    """
    metric = f"{length:.2f} m" if length >= 2.0 else millimetres(length)
    return f"{metric} ({_inches(length)})"


def show_area(area: float) -> str:
    """An area [m2] in both systems.

    >>> show_area(1.7), show_area(98.4)
    ('1.7 m2 (18.3 ft2)', '98.4 m2 (1060 ft2)')
    """
    return f"{float(f'{area:.3g}'):g} m2 ({float(f'{area / FOOT**2:.3g}'):g} ft2)"


def show_mass(mass: float) -> str:
    """A mass [kg] in both systems.

    >>> show_mass(80.0)
    '80 kg (176 lb)'
    """
    digits = 1 if mass < 10 else 0
    return f"{mass:.{digits}f} kg ({mass / POUND:.{digits}f} lb)"


def show_surface_mass(surface_mass: float) -> str:
    """A surface mass [kg/m2] in both systems.

    >>> show_surface_mass(10.8)
    '10.8 kg/m2 (2.2 lb/ft2)'
    """
    return f"{surface_mass:.1f} kg/m2 ({surface_mass / POUND * FOOT**2:.1f} lb/ft2)"


# --- one system or the other ---

_FEET_SAID = re.compile(r"""(?<![a-z])(ft|feet|foot|in|inch|inches)(?![a-z])|ft2|in2|['"]""", re.IGNORECASE)
_BARE_BELOW = 20.0  # m or ft: what has no unit and is larger may be centimetres or inches


def in_feet(text: str) -> bool:
    """Whether a size is written in feet or inches.

    >>> in_feet("5 ft 7 1/2 in"), in_feet("1.2 m x 1.4 m")
    (True, False)
    """
    return bool(_FEET_SAID.search(_clean(text)))


def told_in(text: str, *, feet: bool) -> str:
    """A length, size or area in one system; what is in it already, or none of these, stays as it is.

    >>> told_in("1.2 m x 1.5 m", feet=True), told_in("8.5 m2", feet=True), told_in("25 mm", feet=False)
    ('47 1/4 in x 4 ft 11 in', '91.5 ft2', '25 mm')
    """
    if in_feet(text) == feet:
        return text
    try:
        if is_size(text):
            return " x ".join(length_in(parse(edge, "length"), feet=feet) for edge in _edges(_clean(text)))
        return length_in(parse(text, "length"), feet=feet)
    except ValueError:
        pass
    try:
        area = parse(text, "area")
    except ValueError:
        return text
    return f"{float(f'{area / FOOT**2:.3g}'):g} ft2" if feet else f"{float(f'{area:.3g}'):g} m2"


def length_in(length: float, *, feet: bool) -> str:
    """A length [m] as a tape tells it: feet and inches, the longer the coarser, or metres and millimetres.

    >>> length_in(4.1, feet=True), length_in(0.1, feet=True), length_in(0.1, feet=False)
    ('13 ft 5 in', '3 15/16 in', '100 mm')
    """
    if not feet:
        return f"{length:.2f} m" if length >= 1.0 else millimetres(length)
    step = INCH / (16 if length < FOOT else 4 if length < 4 * FOOT else 1)
    return _inches(round(length / step) * step)


def with_unit(text: str, *, feet: bool) -> str:
    """A size written without any unit with that of the chosen system, where its numbers can be no other.

    >>> with_unit("4.1 x 3.2", feet=False), with_unit("76 x 198", feet=False)
    ('4.1 x 3.2 m', '76 x 198')
    """
    plain = _clean(text)
    if not re.fullmatch(rf"{_NUMBER}(?:\s*(?:x|by)\s*{_NUMBER})*", plain, re.IGNORECASE):
        return text
    small = all(0.0 < _number(one) < _BARE_BELOW for one in _BY.split(plain))
    return f"{plain} {'ft' if feet else 'm'}" if small else text
