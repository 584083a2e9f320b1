"""Sides of a room: parts of the shell, their gaps and areas, and options that change them."""

from __future__ import annotations

import math
import re
from pathlib import Path

from isolate import units
from isolate.describe import constructions
from isolate.describe.constructions import Construction
from isolate.describe.reading import Converter, Table, label, number, quantity, size, text
from isolate.describe.room_parts import Gap, Option, Room, Side
from isolate.units import show_area, show_length, shown

_AT_FAULT = 0.1  # m, stands for a thickness not known because the construction is at fault
_COST = re.compile(r"[^\d\s.,+-]{0,4}\s*(\d+(?:\.\d+)?)\s*[^\d\s.,+-]{0,12}")


def construction(beside: Path) -> Converter[Construction]:
    """Converter: a construction by name, path or layers."""
    return lambda value: constructions.resolve(text(value), beside)


def _area(value: object) -> tuple[float, tuple[float, float] | None]:
    """Area [m2], and width and height [m] when it was written so."""
    area = units.parse(value, "area")
    if not 1e-4 <= area <= 1e4:
        raise ValueError(f"no sane area of a side (got {shown(value)}); write one such as 1.7 m2")
    try:
        return area, size(value)
    except ValueError:
        return area, None


def read_side(table: Table, beside: Path, notes: list[str]) -> Side | None:
    """``[[side]]``; None when at fault."""
    name = table.need("name", label, "", 'write one such as "window"')
    faces = table.need("faces", label, "", "write a word the noises that reach it name too")
    built = table.get("construction", construction(beside))
    if "construction" not in table:
        table.fault("construction", "missing; write a name in the catalogue, a path or layers")
    area = table.get("area", _area)
    if "area" not in table:
        table.fault("area", 'missing; write "1.7 m2" or "1.2 m x 1.4 m"')
    depth = built.thickness if built else _AT_FAULT
    gaps = tuple(gap for one in table.tables("gap") if (gap := _gap(one, depth, notes)) is not None)
    if not name or built is None or area is None:
        return None
    if math.fsum(gap.width * gap.length for gap in gaps) > area[0]:
        table.fault("gap", f"the gaps are larger than the side, {show_area(area[0])}; check both")
    notes.extend(f"{name}: {note}" for note in built.notes)
    return Side(name, faces, built, area[0], area[1], gaps)


def _gap(table: Table, thickness: float, notes: list[str]) -> Gap | None:
    """A slit; without a depth it is as deep as the construction is thick, where that is known."""
    width = table.need("width", quantity("length", most=1.0), 0.0, 'write one such as "1 mm"')
    length = table.need("length", quantity("length", most=200.0), 0.0, 'write one such as "3.2 m"')
    depth = table.get("depth", quantity("length", most=2.0))
    if "depth" not in table:
        depth = thickness or None
        if depth is None:
            table.fault("depth", 'missing; write how deep the slit is, such as "40 mm"')
        else:
            notes.append(f"{table.path}: no depth stated, {show_length(depth)} taken, the construction's")
    return Gap(width, length, depth) if width and length and depth else None


def _cost(value: object) -> float:
    """Converter: an amount in the user's own money, as a number or as text that holds one."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return number(0.0, 1e12)(value)
    match = _COST.fullmatch(text(value))
    if match is None:
        raise ValueError(f'not an amount (got {shown(value)}); write one such as "900"')
    return number(0.0, 1e12)(float(match[1]))


def read_option(table: Table, beside: Path) -> Option | None:
    """``[[option]]``; None when at fault."""
    name = table.need("name", label, "", "name the change")
    side = table.need("replace", label, "", "write the name of the side it changes")
    built = table.get("construction", construction(beside))
    gaps = None
    if "gap" in table:
        depth = built.thickness if built else _AT_FAULT if "construction" in table else 0.0
        gaps = tuple(gap for one in table.tables("gap") if (gap := _gap(one, depth, [])))
    cost = table.get("cost", _cost)
    if "construction" not in table and "gap" not in table:
        table.fault("construction", "changes nothing; write a construction, or gap = [] to seal")
    return Option(name, side, built, gaps, cost) if name and side else None


def area_notes(room: Room) -> list[str]:
    """Notes on areas that do not fit the size of the room."""
    length, width, height = room.size
    largest = max(length * width, length * height, width * height)
    notes = [
        f"{side.name}: {show_area(side.area)}, more than the room's largest face, {show_area(largest)}"
        for side in room.sides
        if side.area > 1.05 * largest
    ]
    total = math.fsum(side.area for side in room.sides)
    if total > 1.05 * room.surface:
        notes.append(f"sides: {show_area(total)} in all, more than the six faces, {show_area(room.surface)}")
    return notes
