"""Gaps of a side, stated by size or in words, and how far a window stands open.

In words: ``place = "under the door"``, ``seal = "unsealed"``; or for the whole side ``seal =
"draught-stripped"``, which means the leaks usual for its kind (and ``threshold`` that under a door).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from isolate import units
from isolate.describe import leaks
from isolate.describe.leaks import Leak
from isolate.describe.materials import Range
from isolate.describe.openings import Gap
from isolate.describe.reading import Converter, Table, flag, label, quantity, text, whole
from isolate.errors import shown
from isolate.units import show_length

# Leaks a seal stated for the whole side stands for.
USUAL = {"door": ("door edge", "under the door"), "window": ("window sash",)}
_OTHERS = ("perimeter",)
SASH_DEPTH = 0.06  # m of the way past a sash stated by its width, as in the table of leaks
# As they are called behind the name of their side ("window: sash gaps").
_SHORT = {
    "door edge": "edge gaps", "under the door": "gap under it", "window sash": "sash gaps",
    "perimeter": "edge gaps",
}  # fmt: skip
# Share of its area an open window gives free: what leaves a usual room the difference between outside and
# inside that was measured in dwellings, in the median 10 dBA open and 16 tilted (102 residents, Locher et
# al., 2018, read); 10 to 15 slightly open (WHO guidance, read); with a restrictor 11 less than closed and 5
# more than open (a consultancy, read). Whether those levels outside had the facade's reflection in them is
# not told: the shares stand between both. Half open: common practice, no source.
OPEN = {
    "tilted": Range(0.06, 0.12, 0.2),
    "ajar": Range(0.07, 0.15, 0.3),
    "half open": Range(0.2, 0.3, 0.4),
    "open": Range(0.4, 0.5, 0.9),
}
_PERCENT = re.compile(r"(\d+(?:\.\d+)?)\s*%")


@dataclass(frozen=True)
class Opening:
    """What a gap sits in: `kind` of construction, empty if at fault, its `thickness` [m] (0 where not known),
    `area` [m2], and `size` (width, height) [m] when that was written."""

    kind: str
    thickness: float
    area: float | None = None
    size: tuple[float, float] | None = None

    def run(self, place: str) -> float | None:
        """Length [m] of a leak that is as long as its place; None without a size."""
        if self.size is None:
            return None
        width, height = self.size
        if place == "under the door":
            return width
        return 2.0 * height + width if place == "door edge" else 2.0 * (width + height)


def read(table: Table, hole: Opening, notes: list[str], *, usual: str | None = None) -> tuple[Gap, ...]:
    """All gaps of a side or a second door: its ``[[gap]]`` tables, ``seal`` and ``threshold``.

    `usual`: the seal such a side mostly has, where the table says nothing of gaps.
    """
    if usual is not None and not stated(table) and hole.kind:
        return _usual(table, hole, notes, usual)
    found = [_gap(one, hole, notes) for one in table.tables("gap")]
    return (*(gap for gap in found if gap is not None), *_sealed(table, hole))


def _usual(table: Table, hole: Opening, notes: list[str], seal: str) -> tuple[Gap, ...]:
    """The leaks of a side whose table says nothing of them, where its size is known or may be guessed."""
    sized = hole
    if hole.size is None and hole.area:
        edge = hole.area**0.5
        sized = Opening(hole.kind, hole.thickness, hole.area, (edge, edge))
    places = USUAL.get(hole.kind, _OTHERS)
    name = table.data.get("name", table.path)
    instead = f"write seal, one of {', '.join(leaks.SEALS)}"
    notes.append(f"{name}: nothing said of its joints, {seal} taken; {instead}")
    known = ((leaks.find(place, seal), sized.run(place)) for place in places)
    return tuple(_leaky(leak, length) for leak, length in known if length is not None)


def stated(table: Table) -> bool:
    """Whether the table says anything of gaps."""
    return any(key in table for key in ("gap", "seal", "threshold"))


def _sealed(table: Table, hole: Opening) -> Iterator[Gap]:
    """The usual leaks of a whole side."""
    state, below = table.get("seal", leaks.seal), table.get("threshold", leaks.seal)
    if not hole.kind:
        return
    if "threshold" in table and hole.kind != "door":
        table.fault("threshold", f"a {hole.kind} has none; it belongs to a door")
        return
    for place in USUAL.get(hole.kind, _OTHERS):
        under = place == "under the door"
        key = "threshold" if under and "threshold" in table else "seal"
        chosen = below if key == "threshold" else state
        if chosen is None:
            continue
        try:
            leak = leaks.find(place, chosen)
        except ValueError as fault:
            table.fault(key, str(fault))
            continue
        length = hole.run(place)
        if length is None:
            told = "the length of its joints is not known"
            table.fault(key, f"{told}; write area as width x height, or a gap's length")
            return
        yield _leaky(leak, length)


def _leaky(leak: Leak, length: float, *, depth: float | None = None, name: str | None = None) -> Gap:
    name = name or _SHORT.get(leak.place, leak.place)
    return Gap(leak.width.typical, length, depth or leak.depth, leak.at_edge, name, leak.width)


def _gap(table: Table, hole: Opening, notes: list[str]) -> Gap | None:
    """A slit; without a depth it is as deep as the construction is thick, where that is known."""
    if "place" in table or "seal" in table:
        return _in_words(table, hole)
    width = table.need("width", quantity("length", most=1.0), 0.0, 'write "1 mm", say, or place and seal')
    length = table.need("length", quantity("length", most=200.0), 0.0, 'write one such as "3.2 m"')
    depth = table.get("depth", quantity("length", most=2.0))
    name, at_edge = table.get("name", label) or "", table.get("at_edge", flag) or False
    if "depth" not in table:
        depth = hole.thickness or None
        if depth is None:
            table.fault("depth", 'missing; write how deep the slit is, such as "40 mm"')
        else:
            notes.append(f"{table.path}: no depth stated, {show_length(depth)} taken, the construction's")
    return Gap(width, length, depth, at_edge, name) if width and length and depth else None


def _in_words(table: Table, hole: Opening) -> Gap | None:
    """A leak by its place and the state of its seal; ``count`` of sockets and the like."""
    place = table.need("place", text, "", f"write one of {', '.join(leaks.places())}")
    state = table.need("seal", text, "", f"write one of {', '.join(leaks.SEALS)}")
    length = table.get("length", quantity("length", most=200.0))
    depth = table.get("depth", quantity("length", most=2.0))
    name, count = table.get("name", label), table.get("count", whole(1, 500))
    if "width" in table:
        table.get("width", text)
        table.fault("width", "given beside words that stand for it; write one of both")
    if not place or not state:
        return None
    try:
        leak = leaks.find(place, state)
    except ValueError as fault:
        table.fault("place", str(fault))
        return None
    if "count" in table and (leak.length is None or "length" in table):
        table.fault("count", "counts sockets, pipes and cables; write a length here")
    run = length or (leak.length * (count or 1) if leak.length else hole.run(leak.place))
    if run is None:
        table.fault("length", "missing; write it, or the side's area as width x height")
        return None
    several = f"{count} {leak.place}s" if count and count > 1 else None
    return _leaky(leak, run, depth=depth, name=name or several)


def holes(said: Sequence[str]) -> tuple[Gap, ...]:
    """The letter boxes and cat flaps among what is said with a construction, unsealed as they mostly are."""
    found = [leaks.find(place, "unsealed") for place in map(leaks.hole, said) if place is not None]
    return tuple(_leaky(leak, leak.length) for leak in found if leak.length is not None)


def told(said: Sequence[str]) -> list[str]:
    """What was taken for the letter boxes and cat flaps among these holes."""
    return [
        f"nothing said of how its {gap.name} shuts, a slit of {show_length(gap.width)} along "
        f"{show_length(gap.length)} taken; a brush behind it makes that less than half"
        for gap in holes(said)
    ]


def round_window(seal: str | float, size: tuple[float, float]) -> Gap:
    """The joint round a window of `size` [m]: its seal in words, or its width [m]."""
    length = 2.0 * sum(size)
    if isinstance(seal, float):
        return Gap(seal, length, SASH_DEPTH, name=_SHORT["window sash"])
    return _leaky(leaks.find("window sash", seal), length)


def inner(table: Table, hole: Opening) -> tuple[Gap, ...] | None:
    """``inner_seal``: how the inner one of two windows shuts; None where nothing is said."""
    seal = table.get("inner_seal", leaks.seal)
    if seal is None or hole.area is None:
        return None
    if hole.kind != "window":
        table.fault("inner_seal", f"a {hole.kind or 'side at fault'} has none; it belongs to a second window")
        return None
    try:
        return (round_window(seal, hole.size or (hole.area**0.5,) * 2),)
    except ValueError as fault:
        table.fault("inner_seal", str(fault))
        return None


def opened(area: float) -> Converter[Range]:
    """Converter: "tilted", "ajar", "half open", "open", a share such as "12 %", an area such as "0.1 m2"."""
    instead = f'write one of {", ".join(OPEN)}, a share such as "12 %", or an area such as "0.1 m2"'

    def convert(value: object) -> Range:
        word = text(value).casefold()
        if word in OPEN:
            return OPEN[word]
        if word in ("shut", "closed"):
            return Range(0.0, 0.0, 0.0)
        match = _PERCENT.fullmatch(word)
        try:
            share = float(match[1]) / 100.0 if match else units.parse(value, "area") / area
        except ValueError:
            raise ValueError(f"not an opening (got {shown(value)}); {instead}") from None
        if not 0.0 < share <= 1.0:
            raise ValueError(f"out of range, above 0 to the whole side (got {shown(value)}); {instead}")
        return Range(share, share, share)

    return convert
