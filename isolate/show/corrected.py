"""A room's file corrected by a measurement: the leak that was found, and what goes round, written into its
text."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from isolate.bands import OCTAVES, THIRD_OCTAVES
from isolate.describe import catalogue, rooms
from isolate.describe.rooms import Gap, Room
from isolate.errors import InputError
from isolate.measuring.fit import Fitted
from isolate.measuring.model import Compared
from isolate.measuring.moved import ROUND, round_about
from isolate.show.blocks import quoted
from isolate.units import parse

_HEADER = re.compile(r"^\s*\[\[?\s*([\w.]+)\s*\]\]?")
_NAME = re.compile(r"^\s*name\s*=\s*(\"[^\"]*\"|'[^']*')")
_WIDTH = re.compile(r"^(\s*width\s*=\s*)\"([^\"]*)\"(.*)$")
_WORDS = re.compile(r"^\s*(seal|threshold)\s*=")
_LEAKY = ("window", "door")
OCTAVE_BANDS = np.isin(THIRD_OCTAVES, OCTAVES)


def corrected_room(model: Compared, room: str, out: Path) -> str:
    """The room file's text with what was fitted in it.

    Raises
    ------
    InputError
        The copy would lie elsewhere than the constructions the room file names beside it.
    """
    source = catalogue.locate(room, rooms.FOLDERS, "room", None)
    if source is None:
        raise InputError(f"{room}: no such room; write the name of a file")
    text = source.read_text(encoding="utf-8")
    beside = re.search(r"=\s*\"[^\"]+\.toml\"", text)
    if beside and out.resolve().parent != source.resolve().parent:
        raise InputError(f"--corrected: {room} names files beside it; write {out.name} into the same folder")
    return corrected(text, rooms.load(room), model)


def corrected(text: str, room: Room, model: Compared) -> str:
    """A room's text with the fitted leak and what goes round in it; everything else, comments too, as it
    stands."""
    lines = text.splitlines()
    if model.fit.leak is not None:
        leakiest = _leakiest(model, room)
        lines = _widened(lines, model, room) if model.gaps else _with_gap(lines, model, leakiest)
    if model.fit.flanking_db is not None:
        lines = _with_round(lines, model, room)
    return "\n".join(lines) + "\n"


def _with_round(lines: list[str], model: Compared, room: Room) -> list[str]:
    """One more side, behind the last, that stands for all that goes round."""
    fitted = model.fit.flanking_db
    assert fitted is not None
    known = {one.name for one in room.sides}
    names = (ROUND, *(f"{ROUND} {i}" for i in range(2, 100)))
    curve = np.clip(round_about(fitted.value)[OCTAVE_BANDS], 0.0, 100.0)
    bands = ", ".join(f"{hz:g}: {value:.1f}" for hz, value in zip(OCTAVES, curve, strict=True))
    faces = next(one.faces for one in room.sides if one.name in model.sides)
    end = _last(lines, 0, max(last for _, last in _sides(lines).values()))
    limits = f"R' {fitted.value:.0f} dB at 500 Hz ({fitted.low:.0f} to {fitted.high:.0f} dB)"
    side = [
        "", f"# fitted to the measurement by isolate measure: {limits}, 6 dB more an octave up", "[[side]]",
        f"name = {quoted(next(one for one in names if one not in known))}", f"faces = {quoted(faces)}",
        f'construction = "wall {bands}"', f'area = "{model.area:.2f} m2"',
    ]  # fmt: skip
    return [*lines[:end], *side, *lines[end:]]


def _sides(lines: list[str]) -> dict[str, tuple[int, int]]:
    """Name of each side to the lines of its table and the tables inside it."""
    starts = [i for i, line in enumerate(lines) if (m := _HEADER.match(line)) and m[1] == "side"]
    heads = [(i, m[1]) for i, line in enumerate(lines) if (m := _HEADER.match(line))]
    found = {}
    for start in starts:
        end = next((i for i, head in heads if i > start and not head.startswith("side.")), len(lines))
        name = next((m[1][1:-1] for line in lines[start:end] if (m := _NAME.match(line))), "")
        found[name] = (start, end)
    return found


def _leakiest(model: Compared, room: Room) -> str:
    """The side a leak is likeliest in: a window or door, else the first."""
    kinds = {side.name: side.construction.kind for side in room.sides}
    return next((name for name in model.sides if kinds[name] in _LEAKY), model.sides[0])


def _last(lines: list[str], start: int, end: int) -> int:
    """The line after the last of a table that says something."""
    while end > start and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    return end


def _table(width: str, length: float, depth: float, more: tuple[str, ...] = ()) -> list[str]:
    return [
        "[[side.gap]]",
        *more,
        f"width = {width}",
        f'length = "{length:.3f} m"',
        f'depth = "{1e3 * depth:g} mm"',
    ]


def _with_gap(lines: list[str], model: Compared, name: str) -> list[str]:
    leak, width = model.fit.leak, model.fit.width
    assert leak is not None and width is not None
    end = _last(lines, *_sides(lines)[name])
    area = f"{1e4 * leak.value:.2g} cm2 ({1e4 * leak.low:.2g} to {1e4 * leak.high:.2g} cm2)"
    gap = _table(f'"{1e3 * width:g} mm"', max(leak.value / width, 0.001), model.depth)
    return [*lines[:end], "", f"# fitted to the measurement by isolate measure: {area}", *gap, *lines[end:]]


def _widened(lines: list[str], model: Compared, room: Room) -> list[str]:
    """Widths of the gaps of these sides times the fitted factor; gaps in words are written out."""
    gaps = {side.name: side.gaps for side in room.sides}
    changed = list(lines)
    for name, (start, end) in sorted(_sides(lines).items(), key=lambda one: -one[1][0]):
        if name in model.sides:
            changed[start:end] = _side_widened(changed[start:end], model.fit.leak, gaps[name])
    return changed


def _side_widened(lines: list[str], leak: Fitted | None, gaps: tuple[Gap, ...]) -> list[str]:
    assert leak is not None
    end = _last(lines, 0, len(lines))
    by = f"fitted, {leak.low:.2g} to {leak.high:.2g} times that"
    heads = [i for i, line in enumerate(lines) if _HEADER.match(line)]
    for first, after in zip(heads, [*heads[1:], len(lines)], strict=True):
        header = _HEADER.match(lines[first])
        assert header is not None
        if header[1] not in ("side", "side.gap"):
            continue
        worded = [i for i in range(first, after) if _WORDS.match(lines[i])]
        for i in range(first, after):
            if header[1] == "side.gap" and (match := _WIDTH.match(lines[i])):
                wider = 1e3 * parse(match[2], "length") * leak.value
                lines[i] = f'{match[1]}"{wider:.3g} mm"  # was "{match[2]}"; {by}'
        if worded and header[1] == "side.gap":
            worded = list(range(first, _last(lines, first, after)))
        for i in worded:
            lines[i] = f"# {lines[i]}"
    new: list[str] = []
    for gap in (one for one in gaps if one.widths is not None):
        more = (f"name = {quoted(gap.name)}", *(("at_edge = true",) if gap.at_edge else ()))
        width = f'"{1e3 * gap.width * leak.value:.3g} mm"  # words stood for {1e3 * gap.width:.2g} mm; {by}'
        new += ["", *_table(width, gap.length, gap.depth, more)]
    return [*lines[:end], *new, *lines[end:]]
