"""What of a described room is hardly so, asked back: sides that do not fit, feet taken for metres."""

from __future__ import annotations

import math
from collections.abc import Iterator

from isolate.describe.everyday import part_named
from isolate.describe.layers import is_pane
from isolate.describe.room_parts import Noise, Own, Room, Side
from isolate.units import show_area, show_length

# Beyond these a home has hardly anything (common practice, no source): height of a room [m], edge of a room
# [m], clear opening of a vent [m2], width of a slit [m].
LOWEST, HIGHEST, LONGEST, WIDEST_VENT, WIDEST_GAP = 1.9, 5.0, 15.0, 0.1, 0.03
FEET = (6.5, 12.0)  # a height of so many metres was most likely one of feet
LOUDEST = 130.0  # dB, where hearing hurts (from memory)
STANDING = 0.3  # m2 a person who stands in a crowd (common practice, no source)
UPRIGHT = 1.5  # [m] no door is wider than this and lower
SLACK = 1.05  # what measuring with a tape leaves
LEAST = 0.5  # of a wall that is described at all
_LEVEL = {"floor", "ceiling", "roof"}


def doubts(room: Room) -> list[str]:
    """Each as a sentence that says what came and asks."""
    openings = (one for side in room.sides for one in _openings(side))
    return [*(list(of_size(room.size)) or _sides(room)), *openings, *_full(room), *_sounds(room)]


def of_size(size: tuple[float, float, float]) -> Iterator[str]:
    """What of a room's size [m] is hardly so."""
    length, width, height = size
    box = " x ".join(f"{edge:.3g}" for edge in size)
    if FEET[0] <= height <= FEET[1]:
        feet = f'size = "{length:.3g} x {width:.3g} x {height:.3g} ft"'
        yield f"room: {box} m is a hall; was it measured in feet? Then write {feet}"
    elif not LOWEST <= height <= HIGHEST:
        yield f"room: a height of {show_length(height)}; is that right?"
    elif max(length, width) > LONGEST:
        yield f"room: {box} m; is that right, and in metres?"


def _full(room: Room) -> Iterator[str]:
    floor = room.size[0] * room.size[1]
    if room.people is not None and room.people > max(floor / STANDING, 1.0):
        yield f"room: {room.people:g} people on {show_area(floor)}; is that right?"


def _sounds(room: Room) -> Iterator[str]:
    sounds: tuple[Noise | Own, ...] = (*room.noises, *room.own)
    for one in sounds:
        if one.level is not None and one.level.value > LOUDEST:
            yield f"{one.name}: {one.level.value:g} dB{one.level.weighting.replace('Z', '')}; is that right?"


def _sides(room: Room) -> Iterator[str]:
    length, width, height = room.size
    largest = max(length * width, length * height, width * height)
    single = [side for side in room.sides if not {"walls", "sides"} & set(side.name.casefold().split())]
    large = [side for side in single if side.area > SLACK * largest]
    for side in large:
        face = f"more than the room's largest face, {show_area(largest)}"
        yield f"{side.name}: {show_area(side.area)}, {face}; is that right?"
    edge, diagonal = max(room.size), math.hypot(length, width)
    for side in room.sides:
        if side.size is not None and side not in large and max(side.size) > SLACK * max(edge, diagonal):
            yield f"{side.name}: {show_length(max(side.size))} long, longer than the room; is that right?"
    upright = [side for side in room.sides if not {side.construction.kind, part_named(side.name)} & _LEVEL]
    walls, whole = 2 * (length + width) * height, math.fsum(side.area for side in room.sides)
    standing = math.fsum(side.area for side in upright)
    if standing > SLACK * walls:
        more = f"more than the four walls of the room, {show_area(walls)}"
        yield f"walls, windows and doors: {show_area(standing)} in all, {more}; count no window twice"
    elif whole > SLACK * room.surface:
        yield f"sides: {show_area(whole)} in all, more than the six faces, {show_area(room.surface)}"
    smallest = min(length, width) * height
    for word in dict.fromkeys(side.faces for side in upright if side.construction.kind == "wall"):
        there = math.fsum(side.area for side in upright if side.faces == word)
        if there < LEAST * smallest:
            less = f"less than half of the room's smallest wall, {show_area(smallest)}"
            yield f"towards {word}: {show_area(there)} in all, {less}; is there more of it?"


def _openings(side: Side) -> Iterator[str]:
    if side.construction.kind == "door" and not side.joints:
        yield f"{side.name}: how does it shut? No gap round and under it is counted; write seal"
    layers = side.construction.layers
    if layers and part_named(side.name) == "window" and not any(map(is_pane, layers)):
        yield f"{side.name}: no glass in {side.construction.name}; is that right?"
    if side.size is not None and part_named(side.name) == "door" and side.size[0] > UPRIGHT > side.size[1]:
        wide, high = map(show_length, side.size)
        yield f"{side.name}: {wide} wide and {high} high; is that right? The width comes first"
    for vent in side.vents:
        if (vent.area or 0.0) * vent.count > WIDEST_VENT and vent.area:
            across = show_length(math.sqrt(4 * vent.area / math.pi))
            yield f"{side.name}: {vent.name} as large as a hole {across} across; is that in millimetres?"
    for gap in side.gaps:
        if gap.width > WIDEST_GAP:
            yield f"{side.name}: a slit {show_length(gap.width)} wide; is that right?"
