"""What the tool itself would try in a room: for each side the usual remedies, priced from the list of prices.

Sizes of what is put in are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from isolate.describe import constructions, impacts, leaks, words
from isolate.describe.constructions import Construction, from_above
from isolate.describe.layers import Cavity, Layer, Leaf
from isolate.describe.materials import material
from isolate.describe.openings import Box, Vent
from isolate.describe.prices import Prices
from isolate.describe.rooms import Gap, Option, Room, Second, Side
from isolate.physics.flanking_rooms import largest
from isolate.remedies import ducts
from isolate.remedies.bill import door_leaves
from isolate.remedies.ducts import System
from isolate.remedies.inner.plan import masonry
from isolate.remedies.making import made, mass_of
from isolate.remedies.remedy import Remedy
from isolate.remedies.second_window import choice, setting
from isolate.remedies.second_window.choice import USUAL_DEPTH
from isolate.remedies.second_window.panes import is_window
from isolate.room import air, scenario
from isolate.room.audibility import noticed
from isolate.room.envelope import Envelope
from isolate.room.scenario import Scenario

SOLID, LIGHT_DOOR = "solid core door 44 mm", 25.0  # kg/m2 below which a solid one is tried
LOBBY = 0.15  # m from door to door in one deep opening
BOX = Box((0.6, 0.3, 0.3), 1, 0.05)  # a lined box on a vent [m]
CARPET = "carpet on a soft pad"
MOUNTED = 0.6  # m between the mounts of a floor
DOOR_WIDTH = 0.8  # m, where a door's size is not stated
_PLACES = {"sash gaps": "window sash", "gap under it": "under the door"}


def usual(present: Scenario, prices: Prices, *, max_gap: float = USUAL_DEPTH) -> Iterator[Remedy]:
    """All of them, side by side in the room's order; inner rooms are not among them.

    max_gap: how far behind the old window a second pane may stand [m].
    """
    room, envelope = present.room, present.envelope
    stepped = {noise.faces for noise in room.noises if noise.impact is not None}
    walked = any(one.kind == "feet" for own in room.own for one in own.floor)
    for one in envelope.sides:
        above = one.side.lies == "above"
        besides: Iterable[tuple[str, Option]] = ()
        if is_window(one.side):
            besides = _second_windows(present, one.side, max_gap)
        elif above and one.side.faces in stepped:
            besides = _floors(one.side, stepped=True)
        elif not above and one.side.construction.kind == "floor":
            besides = (*_floors(one.side, stepped=walked), *_ceiling_below(one.side))
        for key, option in (*_options(one.side), *besides):
            theirs = (key, one.side.lies) in (("floor", "above"), ("ceiling", "below"))
            yield made(envelope, option, key, prices, inside=not theirs)
            if key == "box" and (quiet := _ducts(room, envelope, one.side, option)):
                called = ", ".join(vent.name for vent in one.side.vents)
                instead = Option(f"quiet ducts in place of the {called}", one.side.name, vents=(quiet.vent,))
                one_more = made(envelope, instead, "ducts", prices, needs=quiet.bill)
                yield replace(one_more, space=quiet.volume)
            if option.construction is not None and (flanks := _flanks(envelope, one.side)):
                length, width, height = room.size
                more = max(2.0 * (length + width) * height - 2.0 * one.side.area, 0.0)
                both = replace(
                    option, name=f"{option.name} and the walls it meets", flanks=flanks,
                    lining=option.construction,
                )  # fmt: skip
                meeting = replace(one.side, area=more, size=None) if more else None
                yield made(envelope, both, key, prices, beside=meeting)


    if envelope.underfoot is not None and any(own.floor for own in room.own):
        for key, option in _floors(envelope.underfoot, stepped=walked):
            yield made(envelope, option, key, prices)


def _flanks(envelope: Envelope, side: Side) -> tuple[str, ...]:
    """The walls that meet a wall of masonry to a room next door, where it is the one that separates them."""
    if (
        side.faces not in envelope.flanking
        or side.construction.kind != "wall"
        or not masonry(side.construction)
    ):
        return ()
    if largest([found.side for found in envelope.facing(side.faces)]).name != side.name:
        return ()
    names = dict.fromkeys(path.name for path in envelope.flanking[side.faces].paths)
    return tuple(name for name in names if not any(word in name for word in ("floor", "ceiling", "slab")))


def _options(side: Side) -> Iterator[tuple[str, Option]]:
    kind = side.construction.kind
    yield from _sealing(side)
    yield from _boxes(side)
    if kind == "door":
        yield from _doors(side)
    elif kind in ("wall", "ceiling", "roof") or (kind == "floor" and side.lies == "above"):
        yield from _linings(side)


# --- gaps and vents ---


def place_of(gap: Gap, kind: str) -> str:
    """Which place of the table of leaks a gap lies at."""
    if gap.name in _PLACES:
        return _PLACES[gap.name]
    named = [place for place in leaks.places() if place in gap.name]
    if named:
        return named[0]
    if kind == "door":
        return "under the door" if gap.at_edge else "door edge"
    return "window sash" if kind == "window" else "perimeter"


def sealed(side: Side, state: str) -> tuple[Gap, ...]:
    """A side's gaps with their seals in this state, where that is tighter than they are."""
    return tuple(_tighter(gap, side.construction.kind, state) for gap in side.gaps)


def _tighter(gap: Gap, kind: str, state: str) -> Gap:
    place = place_of(gap, kind)
    if (place, state) not in leaks.leaks():
        return gap
    leak = leaks.find(place, state)
    if leak.width.typical >= gap.width:
        return gap
    return Gap(leak.width.typical, gap.length, leak.depth, leak.at_edge, gap.name, leak.width)


def _sealing(side: Side) -> Iterator[tuple[str, Option]]:
    states = {
        "door": (
            ("draught-stripped", f"strips and a brush on the {side.name}"),
            ("sealed", f"rubber all round and a drop seal on the {side.name}"),
        ),
        "window": (("draught-stripped", f"draught strips on the {side.name}"),),
    }.get(side.construction.kind, (("sealed", f"gaps of the {side.name} sealed"),))
    last = side.gaps
    for state, name in states:
        gaps = sealed(side, state)
        if gaps != last:
            yield "seal", Option(name, side.name, gaps=gaps)
        last = gaps


def _boxes(side: Side) -> Iterator[tuple[str, Option]]:
    for i, vent in enumerate(side.vents):
        if vent.tested:
            continue
        vents = (*side.vents[:i], boxed(vent), *side.vents[i + 1 :])
        more = "one more lined box" if vent.box else "a lined box"
        yield "box", Option(f"{more} on the {vent.name}", side.name, vents=vents)


def _ducts(room: Room, envelope: Envelope, side: Side, box: Option) -> System | None:
    """The smallest quiet ducts in place of a side's vents; None where none are good enough, or but for the
    first vent that might have a `box` instead."""
    if box.vents is None or box.vents[0] == side.vents[0]:
        return None
    shut = scenario.of(room, envelope.replaced(envelope.find(replace(side, vents=()))))
    best, _ = ducts.place(shut, side.name).smallest(room.people or air.USUAL_PEOPLE)
    return None if best is None else best.system


def boxed(vent: Vent) -> Vent:
    """A vent with one lined box more."""
    return replace(vent, box=replace(vent.box, count=vent.box.count + 1) if vent.box else BOX)


# --- windows ---


def _second_windows(present: Scenario, side: Side, max_gap: float) -> Iterator[tuple[str, Option]]:
    """The pane that is proposed behind a window, where one would notice it; and the one that would be if
    nothing came in or went out by other ways, for a room where these are closed too."""
    found = []
    for beside in (True, False):
        here = setting.of(present, side.name, beside=beside)
        swept, spot = choice.proposed(here, max_gap)
        option = swept.option(spot)
        if option not in found and any(map(noticed, swept.gain_dba[(list(here.counting), *spot)])):
            found.append(option)
    yield from (("second window", option) for option in found)


# --- doors ---


def _door_gaps(side: Side, state: str) -> tuple[Gap, ...]:
    """The gaps of a door hung in this side's opening."""
    width, height = side.size or (DOOR_WIDTH, side.area / DOOR_WIDTH)
    runs = {"door edge": (2.0 * height + width, "edge gaps"), "under the door": (width, "gap under it")}
    found = []
    for place, (run, name) in runs.items():
        leak = leaks.find(place, state)
        found.append(Gap(leak.width.typical, run, leak.depth, leak.at_edge, name, leak.width))
    return tuple(found)


def _doors(side: Side) -> Iterator[tuple[str, Option]]:
    if side.second is not None:
        return
    solid = constructions.load(SOLID)
    width, height = side.size or (DOOR_WIDTH, side.area / DOOR_WIDTH)
    leaves = door_leaves(side)
    door = "door" if leaves == 1 else f"door of {leaves} leaves"
    if mass_of(side) < LIGHT_DOOR:
        name = f"solid {door} with a drop seal for the {side.name}"
        yield "solid door", Option(name, side.name, solid, _door_gaps(side, "sealed"))
    second = Second(solid, _door_gaps(side, "draught-stripped"), (width, LOBBY, height), "treated")
    name = f"second {door}, {words.millimetres(LOBBY)} behind the {side.name}"
    yield "second door", Option(name, side.name, second=second)


# --- walls, ceilings, floors ---


def _wool(depth: float, fill: float, framing: str | None = None, spacing: float | None = None) -> Cavity:
    return Cavity(depth, material("stone wool"), fill, framing=framing, spacing=spacing)


def _boards(sheets: int, thickness: float = 0.0125) -> Leaf:
    return Leaf(material("gypsum board"), thickness, sheets)


def _with(side: Side, name: str, layers: Sequence[Layer], *, last: Leaf | None = None) -> Option:
    """An option that puts layers on the room's side of what stands; `last` in place of its last leaf."""
    old = side.construction
    kept = old.layers if last is None else (*old.layers[:-1], last)
    return Option(name, side.name, _built(old, name, (*kept, *layers)))


def _built(old: Construction, name: str, layers: tuple[Layer, ...]) -> Construction:
    return replace(old, name=name, title=name, layers=layers, measured=None)


def _free_ceiling() -> tuple[Layer, ...]:
    return _wool(0.2, 0.15), _boards(2, 0.015)


def _linings(side: Side) -> Iterator[tuple[str, Option]]:
    """On a wall or ceiling, from the thinnest: a board, boards on something soft, boards that stand free."""
    layers = side.construction.layers
    last = layers[-1] if layers else None
    if not isinstance(last, Leaf):
        return
    if not masonry(side.construction):
        damped = replace(last, bond="damped")
        name = f"one more board, damped, on the {side.name}"
        yield "board", _with(side, name, [_boards(1, 0.015)], last=damped)
    if side.construction.kind != "wall":
        channel = (_wool(0.05, 0.05, "resilient channel", 0.4), _boards(2))
        yield "ceiling", _with(side, f"two boards on resilient channel under the {side.name}", channel)
        yield "ceiling", _with(side, f"free ceiling under the {side.name}", _free_ceiling())
        return
    clips = (_wool(0.05, 0.05, "resilient clip", 0.8), _boards(2))
    yield "lining", _with(side, f"two boards on clips on the {side.name}", clips)
    free = (_wool(0.1, 0.075), _boards(2, 0.015))
    yield "lining", _with(side, f"lining on free studs before the {side.name}", free)


def _floors(side: Side, *, stepped: bool) -> Iterator[tuple[str, Option]]:
    """What floats on a floor: boards on wool, on a slab also a screed, on one's own also boards on mounts.
    Where feet fall on it (`stepped`), a carpet first: a pedal on its plate is hardly softer on one."""
    layers = side.construction.layers
    if not layers:
        return
    over = f"(theirs) over the {side.name}" if side.lies == "above" else f"over the {side.name}"
    if stepped and side.covering is None:
        laid = impacts.coverings()[CARPET]
        yield "floor", Option(f"{CARPET} {over}", side.name, covering=laid)
    screeds: dict[str, tuple[Layer, ...]] = {
        "dry screed on wool": (Leaf(material("chipboard"), 0.018), _boards(2), _wool(0.025, 0.025)),
    }
    if masonry(side.construction):
        screeds["cement screed on wool"] = (Leaf(material("screed"), 0.05), _wool(0.03, 0.03))
    if side.lies != "above":
        boards = Leaf(material("chipboard"), 0.022)
        on = _wool(0.05, 0.05, "mount", MOUNTED)
        screeds["floor on mounts"] = (boards, _boards(2), boards, on)
    for what, coming in screeds.items():
        name = f"{what} {over}"
        whole = (*coming, *layers) if from_above(side.construction) else (*layers, *coming[::-1])
        yield "floor", Option(name, side.name, _built(side.construction, name, whole))


def _ceiling_below(side: Side) -> Iterator[tuple[str, Option]]:
    """What only who lives below can hang under one's floor: boards that stand free of it."""
    layers = side.construction.layers
    if layers:
        name = f"free ceiling (theirs) under the {side.name}"
        free = _free_ceiling()
        whole = (*layers, *free) if from_above(side.construction) else (*free[::-1], *layers)
        yield "ceiling", Option(name, side.name, _built(side.construction, name, whole))
