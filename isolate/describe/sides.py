"""Sides of a room: parts of the shell, their gaps and areas, and options that change them."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from isolate import units
from isolate.describe import constructions, everyday, frames, gaps, impacts, vents
from isolate.describe.constructions import Construction
from isolate.describe.everyday import ANYWHERE, Where
from isolate.describe.frames import Frame
from isolate.describe.reading import (
    Converter,
    Table,
    label,
    list_of,
    number,
    one_of,
    quantity,
    size,
    text,
    words,
)
from isolate.describe.room_parts import FURNISHINGS, SHAPES, Option, Second, Shape, Side
from isolate.errors import shown
from isolate.units import show_area, show_length

_AT_FAULT = 0.1  # m, stands for a thickness not known because the construction is at fault
_INSTALLED = "draught-stripped"  # joints of what a laboratory tested, once it hangs in a house
_COST = re.compile(r"[^\d\s.,+-]{0,4}\s*(\d+(?:\.\d+)?)\s*[^\d\s.,+-]{0,12}")


def construction(
    beside: Path, *, part: str | None = None, where: Where = ANYWHERE
) -> Converter[Construction]:
    """Converter: a construction by name, path, layers or everyday word of that part, built there and then."""
    return lambda value: constructions.resolve(text(value), beside, part=part, where=where)


def _area(value: object) -> tuple[float, tuple[float, float] | None]:
    """Area [m2], and width and height [m] when it was written so."""
    area = units.parse(value, "area")
    if not 1e-4 <= area <= 1e4:
        raise ValueError(f"no sane area of a side (got {shown(value)}); write one such as 1.7 m2")
    try:
        return area, size(value)
    except ValueError:
        return area, None


def read_side(table: Table, beside: Path, notes: list[str], where: Where = ANYWHERE) -> Side | None:
    """``[[side]]``; None when at fault. `where` the house stands, unless the side says when it was built."""
    name = table.need("name", label, "", 'write one such as "window"')
    faces = table.need("faces", label, "", "write a word the noises that reach it name too")
    shielding = table.get("shielding", quantity("decibel", 0.0, 40.0)) or 0.0
    built = read_element(table, beside, notes, name=name, faces=faces, where=where)
    said = construction(beside, part=everyday.part_named(name, faces), where=where)
    others = tuple(table.get("perhaps", list_of(said, 8)) or ())
    laid = table.get("covering", impacts.covering)
    if built is None or not name:
        return None
    if laid is not None and built.lies == "beside":
        table.fault("covering", "lies on floors; leave it out, or say it of the floor or the ceiling")
    meant = built.construction.meant
    if "perhaps" not in table and meant is not None:
        others = tuple(constructions.resolve(one, None) for one in meant.perhaps)
    notes.extend(f"{name}: {note}" for note in built.construction.notes)
    return replace(built, shape=_shape(table), shielding_db=shielding, perhaps=others, covering=laid)


def read_element(
    table: Table, beside: Path, notes: list[str], *, name: str, faces: str, where: Where = ANYWHERE
) -> Side | None:
    """What a side is made of: construction, area, gaps, vents, how far it is open, a second door behind."""
    part = everyday.part_named(name, faces)
    said = construction(beside, part=part, where=where.of(part, table.get("built", everyday.year)))
    built = table.get("construction", said)
    if "construction" not in table:
        table.fault("construction", "missing; write a name in the catalogue, a path or layers")
    area = table.get("area", _area)
    if "area" not in table:
        table.fault("area", 'missing; write "1.7 m2" or "1.2 m x 1.4 m"')
    hole = gaps.Opening(
        built.kind if built and area else "", built.thickness if built else _AT_FAULT, *(area or (None, None))
    )
    cut = built.holes if built else ()
    leaks = (*gaps.read(table, hole, notes, usual=_usual_seal(built)), *gaps.holes(cut))
    ways = (*vents.of_side(table, hole.thickness, notes), *vents.holes(cut))
    notes.extend(f"{name}: {one}" for one in (*gaps.told(cut), *vents.told(cut)))
    opened = table.get("open", gaps.opened(hole.area or 1.0))
    second, inner = _second(table, hole, beside, notes), gaps.inner(table, hole)
    frame = _frame(table, built, area)
    if built is None or area is None:
        return None
    if frame is None and built.frame is None and built.layers and frames.glazed(built.kind, built.layers):
        taken = show_length(frames.usual(area[1] or (area[0] ** 0.5,) * 2).width)
        notes.append(f"{name}: no frame stated, {taken} of frame and sash on each side taken; write frame")
    if math.fsum(gap.area for gap in leaks) > area[0]:
        table.fault("gap", f"the gaps are larger than the side, {show_area(area[0])}; check both")
    joints = bool(leaks) or gaps.stated(table)
    return Side(
        name, faces, built, area[0], area[1], leaks, ways, opened, second, inner, frame=frame, joints=joints
    )


def _frame(
    table: Table,
    built: Construction | None,
    area: tuple[float, tuple[float, float] | None] | None,
) -> Frame | None:
    """The frame stated for a side, or for what an option makes of it."""
    glazed = built is None or frames.glazed(built.kind, built.layers)
    size = None if area is None else area[1] or (area[0] ** 0.5,) * 2
    return frames.read(table, glazed=glazed, size=size)


def _usual_seal(built: Construction | None) -> str | None:
    """The seal such an element mostly has where nobody says: by its everyday word, or as installed."""
    if built is None:
        return None
    if built.offered and built.kind in gaps.USUAL:
        return _INSTALLED
    return built.meant.seal if built.meant else None


def _shape(table: Table) -> Shape | None:
    """The shape of the facade before a side."""
    kind = table.get("shape", one_of(SHAPES))
    soffit = table.get("soffit_absorption", number(0.0, 1.0)) or 0.0
    sight = table.get("sight_height", quantity("length", 0.0, 20.0)) or 0.0
    for key in ("soffit_absorption", "sight_height"):
        if key in table and kind in (None, "plane"):
            table.fault(key, f"without a shape; write shape, one of {', '.join(SHAPES[1:])}")
    return None if kind in (None, "plane") else Shape(kind, soffit, sight)


def _second(table: Table, hole: gaps.Opening, beside: Path, notes: list[str]) -> Second | None:
    """``[side.second]``: one more door or sash behind a lobby."""
    inner = table.table("second")
    if inner is None:
        return None
    built = inner.get("construction", construction(beside))
    lobby = inner.need("lobby", _lobby, (1.0, 1.0, 2.0), 'write its size, such as "1.0 m x 1.2 m x 2.4 m"')
    lined = inner.get("furnishing", one_of(FURNISHINGS)) or "bare"
    if "construction" not in inner:
        inner.fault("construction", "missing; write a name in the catalogue, a path or layers")
    kind, thickness = (built.kind if hole.kind else "", built.thickness) if built else ("", _AT_FAULT)
    leaks = gaps.read(inner, replace(hole, kind=kind, thickness=thickness), notes)
    return Second(built, leaks, lobby, lined) if built else None


def _lobby(value: object) -> tuple[float, float, float]:
    found = units.parse(value, "box")
    if not all(0.03 <= edge <= 20.0 for edge in found):
        raise ValueError(f'no sane size of a lobby (got {shown(value)}); write it as "1 m x 1.2 m x 2.4 m"')
    return found


def read_vents(root: Table, sides: Sequence[Side], notes: list[str]) -> tuple[Side, ...]:
    """The sides with the ``[[vent]]`` tables of the file put into the side each names."""
    found = list(sides)
    for table in root.tables("vent"):
        name = table.need("side", label, "", "write the name of the side it goes through")
        where = next((i for i, side in enumerate(found) if side.name == name), None)
        thickness = _AT_FAULT if where is None else found[where].construction.thickness
        vent = vents.read(table, thickness, notes)
        if vent is not None and where is not None:
            found[where] = replace(found[where], vents=(*found[where].vents, vent))
    return tuple(found)


def _cost(value: object) -> float:
    """Converter: an amount in the user's own money, as a number or as text that holds one."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return number(0.0, 1e12)(value)
    match = _COST.fullmatch(text(value))
    if match is None:
        raise ValueError(f'not an amount (got {shown(value)}); write one such as "900"')
    return number(0.0, 1e12)(float(match[1]))


def read_option(table: Table, beside: Path, sides: Sequence[Side], where: Where = ANYWHERE) -> Option | None:
    """``[[option]]``; None when at fault."""
    name = table.need("name", label, "", "name the change")
    replaced = table.get("replace", label) or ""
    old = next((side for side in sides if side.name == replaced), None)
    part = None if old is None else everyday.part_named(old.name, old.faces)
    built = table.get("construction", construction(beside, part=part, where=where))
    cost = table.get("cost", _cost)
    lining, flanks = table.get("lining", construction(beside)), tuple(table.get("flanks", words) or ())
    _check_change(table)
    kind = (
        "" if old is None and replaced else built.kind if built else old.construction.kind if old else "wall"
    )
    thickness = built.thickness if built else _AT_FAULT if "construction" in table or old is None else (
        old.construction.thickness
    )  # fmt: skip
    hole = gaps.Opening(kind, thickness, old.area if old else None, old.size if old else None)
    usual = _INSTALLED if built and built.offered and built.kind in gaps.USUAL else None
    leaks = gaps.read(table, hole, [], usual=usual) if usual or gaps.stated(table) else None
    ways = vents.of_side(table, thickness, []) if "vent" in table else None
    opened = table.get("open", gaps.opened(old.area if old else 1.0))
    second, inner = _second(table, hole, beside, []), gaps.inner(table, hole)
    if built and built.holes and old is not None:
        leaks = (*(old.gaps if leaks is None else leaks), *gaps.holes(built.holes))
        ways = (*(old.vents if ways is None else ways), *vents.holes(built.holes))
    frame = None if old is None else _frame(table, built or old.construction, (old.area, old.size))
    if not name:
        return None
    laid = table.get("covering", impacts.covering)
    return Option(
        name, replaced, built, leaks, cost, ways, opened, second, lining, flanks, inner, frame, laid
    )


_CHANGES = (
    "construction", "gap", "seal", "inner_seal", "threshold", "vent", "open", "second", "frame", "frame_kind",
    "covering",
)  # fmt: skip


def _check_change(table: Table) -> None:
    """An option changes a side or what flanks, and says what."""
    if ("lining" in table) != ("flanks" in table):
        table.fault("lining", 'lining and flanks belong together; write flanks = "all", or their names')
    if any(key in table for key in _CHANGES) and "replace" not in table:
        table.fault("replace", "missing; write the name of the side it changes")
    elif "replace" in table and not any(key in table for key in _CHANGES):
        table.fault("construction", 'changes nothing; write a construction, seal = "sealed", or gap = []')
    elif "replace" not in table and "lining" not in table:
        table.fault("replace", "missing; write the name of the side it changes")
