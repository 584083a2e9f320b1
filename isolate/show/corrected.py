"""A room file corrected by a measurement: the leak that was found, written into a copy of its text."""

from __future__ import annotations

import re
from pathlib import Path

from isolate.answers.measured_model import Compared
from isolate.describe import catalogue, rooms
from isolate.errors import InputError, IsolateError
from isolate.units import parse

_HEADER = re.compile(r"^\s*\[\[?\s*([\w.]+)\s*\]\]?")
_NAME = re.compile(r"^\s*name\s*=\s*(\"[^\"]*\"|'[^']*')")
_WIDTH = re.compile(r"^(\s*width\s*=\s*)\"([^\"]*)\"(.*)$")
_LEAKY = ("window", "door")


def corrected_room(model: Compared, room: str, out: Path) -> str:
    """The room file's text with the fitted leak in it; everything else, comments too, as it stands.

    Raises
    ------
    InputError
        The copy would lie elsewhere than the constructions the room file names beside it.
    IsolateError
        No leak was found, so there is nothing to correct; or the file's gaps are not sized in it.
    """
    if model.fit.leak is None:
        raise IsolateError(
            "--corrected: the measurement shows no leak to write into the room file; use --block to plan "
            "with the "
            "measured curve itself"
        )
    source = catalogue.locate(room, rooms.FOLDERS, "room", None)
    if source is None:
        raise InputError(f"{room}: no such room; write the name of a file")
    text = source.read_text(encoding="utf-8")
    beside = re.search(r"=\s*\"[^\"]+\.toml\"", text)
    if beside and out.resolve().parent != source.resolve().parent:
        raise InputError(f"--corrected: {room} names files beside it; write {out.name} into the same folder")
    lines = text.splitlines()
    lines = _widened(lines, model) if model.gaps else _with_gap(lines, model, _leakiest(model, room))
    return "\n".join(lines) + "\n"


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


def _leakiest(model: Compared, room: str) -> str:
    """The side a leak is likeliest in: a window or door, else the first."""
    kinds = {side.name: side.construction.kind for side in rooms.load(room).sides}
    return next((name for name in model.sides if kinds[name] in _LEAKY), model.sides[0])


def _with_gap(lines: list[str], model: Compared, name: str) -> list[str]:
    leak, width = model.fit.leak, model.fit.width
    assert leak is not None and width is not None
    start, end = _sides(lines)[name]
    while end > start and (not lines[end - 1].strip() or lines[end - 1].lstrip().startswith("#")):
        end -= 1
    area = f"{1e4 * leak.value:.2g} cm2 ({1e4 * leak.low:.2g} to {1e4 * leak.high:.2g} cm2)"
    gap = [
        "",
        f"# fitted to the measurement by isolate measure: {area}",
        "[[side.gap]]",
        f'width = "{1e3 * width:g} mm"',
        f'length = "{max(leak.value / width, 0.001):.3f} m"',
        f'depth = "{1e3 * model.depth:g} mm"',
    ]
    return [*lines[:end], *gap, *lines[end:]]


def _widened(lines: list[str], model: Compared) -> list[str]:
    """Widths of the gaps of these sides times the fitted factor."""
    leak = model.fit.leak
    assert leak is not None
    places = _sides(lines)
    changed = list(lines)
    found = 0
    for name in model.sides:
        start, end = places[name]
        inside = False
        for i in range(start, end):
            if header := _HEADER.match(lines[i]):
                inside = header[1] == "side.gap"
            if inside and (match := _WIDTH.match(lines[i])):
                width = 1e3 * parse(match[2], "length") * leak.value
                note = f'# was "{match[2]}"; fitted, {leak.low:.2g} to {leak.high:.2g} times that'
                changed[i] = f'{match[1]}"{width:.3g} mm"  {note}'
                found += 1
    if not found:
        raise IsolateError(
            "--corrected: the gaps of these sides have no width in the room file; state it there"
        )
    return changed
