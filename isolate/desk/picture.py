"""The picture of a room: its plan with four walls unfolded round it and the ceiling beyond, to scale; what is
on each wall where it may be, and where most of the worst noise comes in.

A file says how large a part is and what it faces, not where on its wall it sits: parts that face the same
word share a wall, openings side by side in its middle.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as Tree

from isolate.describe.rooms import Room, Side
from isolate.room.scenario import Scenario
from isolate.show import said
from isolate.show.document import VERDICT_INKS, percent
from isolate.show.page.drawings import drawing, put, written

METRE = 100.0  # units of the drawing
_ROOM_ROUND = 1.15  # m kept free round it for what is told of the outside
_SILL = 0.9  # m, of a window without a place
WALLS = ("top", "right", "bottom", "left")  # of the plan, in the order they are filled
_STRIP, _EDGE = 0.35, 0.1  # m, of a wall of which nothing is said, and round it
_OPENINGS = ("window", "door")
_LETTER = 0.19  # m a letter of these is wide, about
_SPILLS = 2.4  # m that a name may take over a part that is narrower
_LEAST_SHARE = 0.005
_LINE, _OVER_NAME = 0.36, 0.8  # m from line to line, and of what is below from the lower edge of the plan
_PILL = 0.68  # m high, round the room's size
_BESIDE = 0.3  # m of a wall beside a door that can hold its name
Box = tuple[float, float, float, float]  # x, y, width, height [m]


@dataclass(frozen=True)
class Place:
    """One surface: its corner of the drawing [m], its `length` along the room and `height`, and how it lies:
    "top", "right", "bottom", "left" of the plan, or "flat" for the floor and the ceiling."""

    x: float
    y: float
    length: float
    height: float
    lies: str

    def box(self, along: float, up: float, width: float, height: float) -> Box:
        """A rectangle on it: `along` the wall and `up` from the floor, as x, y, width, height [m]."""
        if self.lies == "right":
            return self.x + up, self.y + along, height, width
        if self.lies == "left":
            return self.x + self.height - up - height, self.y + along, height, width
        if self.lies == "bottom":
            return self.x + along, self.y + up, width, height
        return self.x + along, self.y + self.height - up - height, width, height

    @property
    def outer(self) -> Box:
        """Its rectangle in the drawing [m]."""
        return self.box(0.0, 0.0, self.length, self.height)


def picture(now: Scenario, *, feet: bool = False) -> str:
    """The drawing as SVG, each part a button of its own; sizes in `feet` and inches, or metres."""
    room = now.room
    walls = _by_wall(room)
    above = [one for one in room.sides if one.lies == "above"]
    below = [one for one in room.sides if one.lies == "below"]
    places, across, down = _places(room, walls, ceiling=bool(above))
    root = drawing(
        METRE * across, METRE * down, "The room, unfolded", _told(now), "room", **{"class": "room"}
    )
    shares = _shares(now)
    for name, place in places.items():
        _blank(root, place, name)
    found: dict[str, Box] = {}
    for lies, words in walls.items():
        sides = [one for one in room.sides if one.lies == "beside" and one.faces in words]
        found |= _wall(root, room, places[lies], sides, shares)
        _label(root, now, places[lies], words, (across, down))
    if above:
        found |= _wall(root, room, places["ceiling"], above, shares)
        _label(root, now, places["ceiling"], list(dict.fromkeys(one.faces for one in above)), (across, down))
    found |= _wall(root, room, places["floor"], below, shares)
    _weakest(root, now, places, found)
    _, *lines = _outside(now, [one.faces for one in below])
    _below(root, places["floor"], lines)
    _plan(root, room, places["floor"], feet=feet, lines=len(lines))
    return written(root)


def _places(
    room: Room, walls: Mapping[str, Sequence[str]], *, ceiling: bool
) -> tuple[dict[str, Place], float, float]:
    """Where each surface lies, and how wide and high the drawing is [m]; of a wall of which nothing is said
    only a strip is drawn."""
    length, width, height = room.size
    high = {lies: height if lies in walls else _STRIP for lies in WALLS}
    free = {lies: _ROOM_ROUND if lies in walls else _EDGE for lies in WALLS}
    top = free["top"] + (width + _ROOM_ROUND if ceiling else 0.0)
    x, y = free["left"] + high["left"], top + high["top"]
    found = {
        "floor": Place(x, y, length, width, "flat"),
        "top": Place(x, y - high["top"], length, high["top"], "top"),
        "right": Place(x + length, y, width, high["right"], "right"),
        "bottom": Place(x, y + width, length, high["bottom"], "bottom"),
        "left": Place(x - high["left"], y, width, high["left"], "left"),
    }
    if ceiling:
        found["ceiling"] = Place(x, _ROOM_ROUND, length, width, "flat")
    across = x + length + high["right"] + free["right"]
    return found, across, y + width + high["bottom"] + free["bottom"]


def _by_wall(room: Room) -> dict[str, list[str]]:
    """The wall of each word that sides face; what comes after the fourth shares the last."""
    words = list(dict.fromkeys(one.faces for one in room.sides if one.lies == "beside"))
    found: dict[str, list[str]] = {}
    for i, word in enumerate(words):
        found.setdefault(WALLS[min(i, len(WALLS) - 1)], []).append(word)
    return found


def _told(now: Scenario) -> str:
    worst = now.worst
    if worst is None:
        return "No noise is described that comes in."
    way = worst.elements[worst.strongest]
    return f"Most of {worst.name} comes in by {way.words}."


def _shares(now: Scenario) -> dict[str, float]:
    """The part of each side in the worst noise inside, else in what goes out to who hears it best."""
    worst = now.worst or max(now.sounds, key=lambda one: one.margin, default=None)
    return dict(worst.by_side) if worst is not None else {}


def _rectangle(parent: Tree.Element, box: tuple[float, ...], kind: str, **more: object) -> Tree.Element:
    x, y, width, height = (METRE * value for value in box)
    return put(parent, "rect", x=x, y=y, width=width, height=height, cls=kind, **more)


def _blank(root: Tree.Element, place: Place, name: str) -> None:
    """A surface of which nothing may be said."""
    group = put(root, "g", cls="p-blank")
    put(group, "title", f"{name}: nothing said of it")
    _rectangle(group, place.outer, "p-nothing")


def _wall(
    root: Tree.Element, room: Room, place: Place, sides: Sequence[Side], shares: dict[str, float]
) -> dict[str, Box]:
    """What is built on one surface: walls over all of it by their area, openings in the middle; where each
    side is."""
    found: dict[str, Box] = {}
    openings = [one for one in sides if one.construction.kind in _OPENINGS]
    whole = [one for one in sides if one not in openings]
    sizes = [_size(one, place) for one in openings]
    free = max(place.length - sum(wide for wide, _ in sizes), 0.0) / (len(sizes) + 1)
    beside = len(whole) == 1 and any(one.construction.kind == "door" for one in openings) and free > _BESIDE
    area, along = sum(one.area for one in whole), 0.0
    for one in whole:
        wide = place.length * one.area / area
        found[one.name] = place.box(along, 0.0, wide, place.height)
        seen = place.box(0.0, 0.0, free, place.height) if beside else found[one.name]  # of it, for its name
        _part(root, room, one, found[one.name], shares, seen)
        along += wide
    along = free
    for one, (wide, high) in zip(openings, sizes, strict=True):
        upright = one.construction.kind == "door" or place.lies == "flat"
        up = 0.0 if upright else max(min(_SILL, place.height - high - 0.2), 0.0)
        found[one.name] = place.box(along, up, wide, high)
        _part(root, room, one, found[one.name], shares, found[one.name])
        along += wide + free
    return found


def _size(side: Side, place: Place) -> tuple[float, float]:
    wide, high = side.size or (side.area**0.5,) * 2
    return min(wide, place.length), min(high, place.height)


def _part(root: Tree.Element, room: Room, side: Side, box: Box, shares: dict[str, float], seen: Box) -> None:
    """One side as a button: stronger the more comes in by it; named where it is `seen`."""
    share = shares.get(side.name, 0.0)
    number = room.sides.index(side)
    told = f"{side.name}, {side.construction.name}"
    told += f", {percent(share)} of the worst noise comes by it" if share > _LEAST_SHARE else ""
    kind = side.construction.kind if side.construction.kind in _OPENINGS else "wall"
    group = put(
        root, "g", cls=f"p-part p-{kind}", role="button", tabindex=0, data_where=f"side/{number}",
        aria_label=told,
    )  # fmt: skip
    put(group, "title", told)
    _rectangle(group, box, "p-body")
    if share > _LEAST_SHARE:
        _rectangle(group, box, "p-heat", fill_opacity=float(min(0.08 + 0.75 * share, 0.85)))
    if kind == "window":
        x, y, wide, high = box
        upright, level = (x + wide / 2 - 0.015, y, 0.03, high), (x, y + high / 2 - 0.015, wide, 0.03)
        _rectangle(group, upright if wide >= high else level, "p-bar")
    for i, _ in enumerate(side.vents):
        x, y, wide, high = box
        down = y + min(0.3 * high, 0.22) + 0.4 * i
        put(group, "circle", cx=METRE * (x + wide - 0.3), cy=METRE * down, r=14.0, cls="p-vent")
    _names(group, side, seen, share)


def _names(group: Tree.Element, side: Side, box: Box, share: float) -> None:
    """Its name, and how much comes in by it, where there is room."""
    x, y, wide, high = box
    kind = side.construction.kind
    middle = y + (high - 0.32 if kind not in _OPENINGS and high > 1.2 else high / 2)
    lines = [side.name, *([percent(share)] if share > _LEAST_SHARE else [])]
    longest = max(len(one) for one in lines)
    size, letter = _letters(longest, max(wide, 0.9))
    at_x, at_y = METRE * (x + wide / 2), METRE * middle
    turned = kind not in _OPENINGS and wide < min(0.13 * longest, high)
    if turned:  # a narrow strip of wall: along it
        at_y = METRE * (y + high / 2)
        group = put(group, "g", transform=f"rotate(-90 {at_x:.0f} {at_y:.0f})")
    space = max(high if turned else wide, _SPILLS)
    for i, line in enumerate(lines):
        put(
            group, "text", _cut(line, space, letter), x=at_x,
            y=at_y + 34.0 * (i - (len(lines) - 1) / 2) + 8.0,
            text_anchor="middle", cls="p-name" if i == 0 else "p-share", font_size=size,
        )  # fmt: skip


def _letters(longest: int, room: float) -> tuple[float, float]:
    """How large to write where a line has so many letters and so much room [m], and how wide a letter is."""
    return (31.0, 0.17) if room >= 0.17 * longest else (24.0, 0.13)


def _cut(text: str, room: float, letter: float) -> str:
    """As much of a text as there is room for [m]."""
    most = max(int(room / letter), 2)
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def _outside(now: Scenario, words: Sequence[str]) -> list[tuple[str, str]]:
    """What is where sides face, each line with its looks: the word, the noises by their verdict, who hears
    what is played."""
    room = now.room
    sounds = [one for one in now.heard if set(one.noise.reaches) & set(words)]
    loudest = max(sounds, key=lambda one: one.margin, default=None)
    through = {one.name for one in room.sides if one.faces in words}
    listeners = [one.name for one in room.neighbours if through & set(one.through)]
    lines = [(" / ".join(words), "p-word")]
    if loudest is not None:
        more = f" and {len(sounds) - 1} more" if len(sounds) > 1 else ""
        lines.append((f"{loudest.what}{more}", f"p-noise i-{VERDICT_INKS[loudest.verdict]}"))
    return lines + [(f"hears you: {name}", "p-ear") for name in listeners[:2]]


def _below(root: Tree.Element, plan: Place, lines: Sequence[tuple[str, str]]) -> None:
    """What is below the floor, over the floor's name."""
    size, letter = _letters(max((len(text) for text, _ in lines), default=0), plan.length)
    for i, (text, kind) in enumerate(lines):
        up = _OVER_NAME + _LINE * (len(lines) - 1 - i)
        put(
            root, "text", _cut(text, plan.length, letter), x=METRE * (plan.x + plan.length / 2),
            y=METRE * (plan.y + plan.height - up), text_anchor="middle", cls=f"{kind} p-on", font_size=size,
        )  # fmt: skip


def _label(
    root: Tree.Element, now: Scenario, place: Place, words: Sequence[str], whole: tuple[float, float]
) -> None:
    """What is outside of a wall, within the `whole` of the drawing, across and down [m]."""
    lines = _outside(now, words)
    x, y, wide, high = place.outer
    turn, at_x, at_y = "", x + wide / 2, y - 0.14 - _LINE * (len(lines) - 1)
    if place.lies == "bottom":
        at_y = y + high + 0.32
    aside = place.lies in ("left", "right")
    lines = [(_cut(text, whole[aside], _LETTER), kind) for text, kind in lines]
    half = min(_LETTER * max(len(text) for text, _ in lines), whole[aside]) / 2
    at_x = min(max(at_x, half), whole[0] - half)
    if aside:
        at_x = x - 0.16 - _LINE * (len(lines) - 1) if place.lies == "left" else x + wide + 0.32
        at_y = min(max(y + high / 2, half), whole[1] - half)
        turn = f"rotate(-90 {METRE * at_x:.0f} {METRE * at_y:.0f})"
    group = put(root, "g", **({"transform": turn} if turn else {}))
    for i, (text, kind) in enumerate(lines):
        put(
            group, "text", text, x=METRE * at_x, y=METRE * (at_y + _LINE * i), text_anchor="middle", cls=kind,
            font_size=31.0,
        )  # fmt: skip


def _weakest(
    root: Tree.Element, now: Scenario, places: Mapping[str, Place], found: Mapping[str, Box]
) -> None:
    """Fronts that spread into the plan from the side by which most of the worst noise comes in."""
    worst = now.worst
    name = worst.elements[worst.strongest].side if worst is not None else ""
    if worst is None or name not in found:
        return
    x, y, wide, high = found[name]
    plan, side = places["floor"], next(one for one in now.room.sides if one.name == name)
    lies = next((lies for lies in WALLS if side.faces in _by_wall(now.room).get(lies, ())), "")
    starts = {
        "top": (x + wide / 2, plan.y, 0), "bottom": (x + wide / 2, plan.y + plan.height, 180),
        "right": (plan.x + plan.length, y + high / 2, 90), "left": (plan.x, y + high / 2, 270),
    }  # fmt: skip
    if side.lies != "beside" or lies not in starts:
        return
    at_x, at_y, turn = starts[lies]
    group = put(
        root, "g", cls="p-waves",
        transform=f"translate({METRE * at_x:.0f} {METRE * at_y:.0f}) rotate({turn})",
    )  # fmt: skip
    strength = min(max(worst.dba - 10.0, 4.0) / 50.0, 1.0)
    for i, reach in enumerate((30.0, 55.0, 80.0, 105.0)):
        aside, far = 0.82 * reach, 0.57 * reach
        put(
            group, "path", d=f"M{-aside:.0f} {far:.0f}A{reach:.0f} {reach:.0f} 0 0 0 {aside:.0f} {far:.0f}",
            cls="p-wave", stroke_width=float(3.0 + 8.0 * strength - i), opacity=float(0.95 - 0.2 * i),
        )  # fmt: skip


def _plan(root: Tree.Element, room: Room, plan: Place, *, feet: bool, lines: int) -> None:
    """What the plan tells: the room's size, and a button for it, above the `lines` of what is below."""
    down = plan.height / 2
    if lines:
        down = min(down, max(plan.height - _OVER_NAME - _LINE * lines - _PILL / 2, _PILL / 2))
    x, y = METRE * (plan.x + plan.length / 2), METRE * (plan.y + down)
    told = said.box_in(room.size, feet=feet)
    group = put(
        root, "g", cls="p-part p-inside", role="button", tabindex=0, data_where="room",
        aria_label=f"the room, {told}",
    )  # fmt: skip
    put(group, "title", f"the room, {told}")
    wide = METRE * (_LETTER * len(told) + 0.3)
    small = min(METRE * (plan.length - 0.1) / wide, 1.0)
    wide, high = small * wide, small * METRE * _PILL
    put(group, "rect", x=x - wide / 2, y=y - high / 2, width=wide, height=high, rx=high / 2, cls="p-pill")
    put(
        group, "text", told, x=x, y=y + small * 11.0, text_anchor="middle", cls="p-name",
        font_size=small * 31.0,
    )  # fmt: skip
