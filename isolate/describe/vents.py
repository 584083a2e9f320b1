"""Vents: ways for air through a side, from a plain hole to a lined box, or by a tested D_n,e.

::

    [[side.vent]]                   # or [[option.vent]]; or [[vent]] with side = "..."
    name     = "air inlet"          # optional
    opening  = "100 mm"             # diameter, "200 mm x 60 mm" or "80 cm2": what is clear; or "air brick"
    length   = "0.3 m"              # the way through; default its word's, the construction's depth, 100 mm
    lining   = "25 mm"              # optional: absorbent on its walls
    box      = "0.6 m x 0.3 m x 0.3 m"  # optional: a lined box in the way, its inside
    boxes    = 2                    # optional: several, one behind the other
    box_lining = "50 mm"            # optional, default 25 mm
    count    = 1                    # optional
    [side.vent.silencer]            # optional: insertion loss as its maker states it
    bands_hz = [63, 125, 250, 500, 1000, 2000, 4000, 8000]
    loss_db  = [2, 4, 8, 15, 22, 24, 18, 12]
    [side.vent.tested]              # instead of all this: element-normalised level difference D_n,e
    bands_hz = [125, 250, 500, 1000, 2000]
    dne_db   = [28, 23, 25, 38, 44]
                                    # or as on its data sheet: tested (or opening) = "Dn,e,w 38 (-1; -3)"
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from isolate import units
from isolate.bands import Array
from isolate.describe import datasheet, everyday, spectra
from isolate.describe.everyday import Meaning
from isolate.describe.openings import Box, Vent
from isolate.describe.reading import Table, label, quantity, whole
from isolate.errors import shown
from isolate.units import show_length

USUAL_LINING = 0.025  # [m] of a box
USUAL_WAY = 0.1  # [m] through what only a data sheet tells of; our own
_NARROWEST, _WIDEST = 0.002, 3.0  # [m] edges of an opening
_EDGE = r"\d[\d./ ]*(?:(?:mm|cm|m|inch(?:es)?|in)2?|\")?"
_SIZED = re.compile(rf"{_EDGE}(?:\s*x\s*{_EDGE})?(?![a-z])", re.IGNORECASE)
Section = tuple[float, tuple[float, float], bool]


def _opening(value: object) -> Section:
    """Clear area [m2], section (width, height) [m] and whether it is round, of which the section is the
    square of the same area; an area alone is taken as round, whose lining takes less."""
    instead = 'write a diameter such as "100 mm", "300 mm x 13 mm", "80 cm2" or "trickle vent"'
    if (meant := _meant(value)) is not None:
        if meant.refuse:
            raise ValueError(f"no hole to compute with (got {shown(value)}); {meant.refuse}")
        return _opening(meant.means)
    if isinstance(value, str) and units.is_size(value):
        try:
            found = units.parse(value, "size")
        except ValueError as fault:
            if value.strip()[:1].isdigit():
                raise
            raise ValueError(f"not an opening (got {shown(value)}); {instead}") from fault
        if not all(_NARROWEST <= edge <= _WIDEST for edge in found):
            raise ValueError(f"no sane opening of a vent (got {shown(value)}); {instead}")
        return found[0] * found[1], found, False
    try:
        area = math.pi / 4.0 * units.parse(value, "length") ** 2
    except ValueError:
        try:
            area = units.parse(value, "area")
        except ValueError:
            raise ValueError(f"not an opening (got {shown(value)}); {instead}") from None
    if not 1e-5 <= area <= 4.0:
        raise ValueError(f"no sane opening of a vent (got {shown(value)}); {instead}")
    return area, (math.sqrt(area), math.sqrt(area)), True


def _sheet(table: Table) -> str | None:
    """The key under which a vent's data sheet is written, None where it is not."""
    if "tested" in table:
        return "tested" if isinstance(table.data["tested"], str) else None
    said = table.data.get("opening")
    return "opening" if isinstance(said, str) and datasheet.is_sheet(said) else None


def _meant(value: object) -> Meaning | None:
    """What a word for a vent stands for, None where it is a size. A size said with it goes before the usual
    one if it is of its kind: of a pipe its diameter, of a slot its edges; that of an air brick is not what is
    clear of it."""
    if not isinstance(value, str) or not value.strip():
        return None
    if (said := _SIZED.search(value)) is None:
        return everyday.find(value, part="vent")
    rest = f"{value[: said.start()]} {value[said.end() :]}"
    meant = everyday.find(rest, part="vent") if rest.strip() else None
    if meant is None or not meant.means or _kind(meant.means) != _kind(said[0]):
        return None
    return replace(meant, word=value, means=said[0].strip(), share=None, perhaps=())


def _kind(size: str) -> str:
    """Whether an opening is told by its edges, its area or its diameter."""
    return "size" if units.is_size(size) else "area" if "2" in size[-1:] else "length"


def read(table: Table, thickness: float, notes: list[str]) -> Vent | None:
    """A vent; None when at fault. thickness [m] of the side, 0 where not known."""
    name = table.get("name", label) or "vent"
    sheet = _sheet(table)
    opening = None if sheet == "opening" else table.get("opening", _opening)
    length = table.get("length", quantity("length", most=50.0))
    lining = table.get("lining", quantity("length", most=0.5)) or 0.0
    count = table.get("count", whole(1, 100)) or 1
    box = _box(table)
    silencer = _spectrum(table, "silencer", "loss_db")
    stated = table.get(sheet, datasheet.vent) if sheet else None
    tested = _spectrum(table, "tested", "dne_db") if sheet != "tested" else None
    if "tested" in table or sheet:
        beside = [key for key in ("length", "lining", "box", "silencer") if key in table]
        if beside:
            table.fault(beside[0], f"given beside {sheet or 'tested'}, which has it in; write one of them")
        area = opening[0] if opening else None
        known = tested is not None or stated is not None
        return Vent(name, area, tested_db=tested, count=count, stated=stated) if known else None
    if "opening" not in table:
        table.fault("opening", 'missing; write what is clear, such as "100 mm" or "200 mm x 60 mm"')
    meant = _meant(table.data.get("opening"))
    if opening and meant is not None:
        notes.append(f"{name}: {meant.note}")
    if "length" not in table and meant is not None and meant.at:
        length = units.parse(meant.at, "length")
    elif "length" not in table:
        length = thickness or USUAL_WAY
        if opening:
            whose = "the construction's" if thickness else "the construction tells none"
            notes.append(f"{table.path}: no length stated, {show_length(length)} taken, {whose}")
    if opening is None or length is None:
        return None
    area, section, is_round = opening
    return Vent(name, area, section, length, lining, box, silencer, count=count, round=is_round)


def holes(said: Sequence[str]) -> tuple[Vent, ...]:
    """The vents among the holes said with a construction."""
    return tuple(
        Vent(word, area, section, units.parse(meant.at, "length"), round=is_round)
        for word, meant in _among(said)
        if meant.at
        for area, section, is_round in [_opening(word)]
    )


def told(said: Sequence[str]) -> list[str]:
    """What was taken for these vents."""
    return [meant.note for _, meant in _among(said)]


def _among(said: Sequence[str]) -> Iterator[tuple[str, Meaning]]:
    found = ((word, _meant(word)) for word in said)
    yield from ((word, meant) for word, meant in found if meant is not None and not meant.refuse)


def _box(table: Table) -> Box | None:
    dimensions = table.get("box", lambda value: units.parse(value, "box"))
    count, lining = table.get("boxes", whole(1, 20)), table.get("box_lining", quantity("length", 0.005, 0.3))
    for key in ("boxes", "box_lining"):
        if key in table and "box" not in table:
            table.fault(key, "without a box; write its inside dimensions too")
    if dimensions is None:
        return None
    if not all(0.03 <= edge <= 5.0 for edge in dimensions):
        table.fault("box", f"no sane box (got {shown(table.data['box'])}); write its inside, 3 cm to 5 m")
        return None
    return Box(dimensions, count or 1, lining or USUAL_LINING)


def _spectrum(table: Table, key: str, values: str) -> Array | None:
    """Values (27,) of an inner table with bands_hz, held at both ends."""
    inner = table.table(key)
    if inner is None:
        return None
    found = spectra.pair(inner, values, spectra.values(-10.0, 100.0))
    if "bands_hz" not in inner and values not in inner:
        inner.fault(values, f"missing; write bands_hz and {values}")
    return None if found is None else spectra.held(*found)


def of_side(table: Table, thickness: float, notes: list[str]) -> tuple[Vent, ...]:
    """All ``[[vent]]`` tables of a side or option."""
    found = [read(one, thickness, notes) for one in table.tables("vent")]
    return tuple(vent for vent in found if vent is not None)
