"""What the tool itself would try in a room: for each side the usual remedies, priced from the list of prices.

Sizes of what is put in are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from isolate.describe import constructions, leaks
from isolate.describe.constructions import Construction, from_above
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.describe.prices import Prices
from isolate.describe.rooms import Gap, Option, Room, Second, Side
from isolate.physics.flanking_rooms import largest
from isolate.remedies.bill import bill, invented, merged, price
from isolate.remedies.inner.plan import masonry
from isolate.remedies.inner.shell import BOX
from isolate.remedies.options import made
from isolate.remedies.remedy import OURS, Fix
from isolate.remedies.second_window.setting import Setting, is_window
from isolate.remedies.second_window.sweep import Spot, Sweep, pane_name, sweep
from isolate.room import air
from isolate.room.chances import Progress, quiet
from isolate.room.elements import SideFound
from isolate.room.envelope import Shell
from isolate.units import show_length

PANE_GAPS = (0.05, 0.1, 0.15, 0.2)  # m from the old window
REVEAL = 0.2  # m a reveal has room for, when nothing is stated
SOLID, LIGHT_DOOR = "solid core door 44 mm", 25.0  # kg/m2 below which a solid one is tried
LOBBY = 0.15  # m from door to door in one deep opening
_PLACES = {"sash gaps": "window sash", "gap under it": "under the door"}


def candidates(
    room: Room, shell: Shell, prices: Prices, *, reveal: float = REVEAL, progress: Progress = quiet
) -> tuple[Fix, ...]:
    """All of them, side by side in the room's order; inner rooms are not among them.

    reveal: how far behind the old one a second pane has room [m]. progress: told how many sides are done.
    """
    now = air.of_sides(shell.sides, room.people)
    found: list[Fix] = []
    stepped = {noise.faces for noise in room.noises if noise.impact is not None}
    for done, one in enumerate(shell.sides, 1):
        above = _floors(one.side) if one.side.lies == "above" and one.side.faces in stepped else ()
        for option in (*_options(one), *above):
            found.append(_priced(shell, now, option, prices))
            if option.construction is not None and (flanks := _flanks(shell, one.side)):
                found.append(_with_flanks(room, shell, now, option, flanks, prices))
        if is_window(one.side):
            found += _panes(room, shell, now, one, prices, reveal)
        progress(done, len(shell.sides))
    return tuple(found)


def _priced(shell: Shell, now: air.Air, option: Option, prices: Prices) -> Fix:
    side = next(one.side for one in shell.sides if one.side.name == option.replace)
    needs = bill(side, option.on(side))
    cost = price(needs, prices)
    assert cost is not None, f"{option.name}: something has no price"
    return made(shell, now, option, cost, origin=OURS, needs=needs, invented=invented(needs, prices))


def _flanks(shell: Shell, side: Side) -> tuple[str, ...]:
    """The walls that meet a wall of masonry to a room next door, where it is the one that separates them."""
    if side.faces not in shell.flanking or side.construction.kind != "wall" or not masonry(side.construction):
        return ()
    if largest([found.side for found in shell.facing(side.faces)]).name != side.name:
        return ()
    names = dict.fromkeys(path.name for path in shell.flanking[side.faces].paths)
    return tuple(name for name in names if not any(word in name for word in ("floor", "ceiling", "slab")))


def _with_flanks(
    room: Room, shell: Shell, now: air.Air, option: Option, flanks: tuple[str, ...], prices: Prices
) -> Fix:
    """The same lining on the two walls that meet it too."""
    side = next(one.side for one in shell.sides if one.side.name == option.replace)
    length, width, height = room.size
    more = max(2.0 * (length + width) * height - 2.0 * side.area, 0.0)
    name = f"{option.name} and the walls it meets"
    both = replace(option, name=name, flanks=flanks, lining=option.construction)
    meeting = replace(side, area=more, size=None) if more else side
    needs = merged([*bill(side, option.on(side)), *(bill(meeting, option.on(meeting)) if more else ())])
    cost = price(needs, prices)
    assert cost is not None
    return made(
        shell, now, both, cost, origin=OURS, needs=needs, invented=invented(needs, prices),
        beside=more / side.area,
    )  # fmt: skip


def _options(found: SideFound) -> Iterator[Option]:
    side = found.side
    kind = side.construction.kind
    yield from _sealing(side)
    yield from _boxes(side)
    if kind == "door":
        yield from _doors(found)
    elif kind == "floor":
        yield from _floors(side)
    elif kind in ("wall", "ceiling", "roof"):
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


def _sealing(side: Side) -> Iterator[Option]:
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
            yield Option(name, side.name, gaps=gaps)
        last = gaps


def _boxes(side: Side) -> Iterator[Option]:
    for i, vent in enumerate(side.vents):
        if vent.tested:
            continue
        box = replace(vent.box, count=vent.box.count + 1) if vent.box else BOX
        vents = (*side.vents[:i], replace(vent, box=box), *side.vents[i + 1 :])
        more = "one more lined box" if vent.box else "a lined box"
        yield Option(f"{more} on the {vent.name}", side.name, vents=vents)


# --- doors ---


def _door_gaps(side: Side, state: str) -> tuple[Gap, ...]:
    """The gaps of a door hung in this side's opening."""
    width, height = side.size or (0.8, side.area / 0.8)
    runs = {"door edge": (2.0 * height + width, "edge gaps"), "under the door": (width, "gap under it")}
    found = []
    for place, (run, name) in runs.items():
        leak = leaks.find(place, state)
        found.append(Gap(leak.width.typical, run, leak.depth, leak.at_edge, name, leak.width))
    return tuple(found)


def _doors(found: SideFound) -> Iterator[Option]:
    side = found.side
    solid = constructions.load(SOLID)
    width, height = side.size or (0.8, side.area / 0.8)
    if found.surface_mass < LIGHT_DOOR and side.second is None:
        name = f"solid door with a drop seal for the {side.name}"
        yield Option(name, side.name, solid, _door_gaps(side, "sealed"))
    if side.second is None:
        second = Second(solid, _door_gaps(side, "draught-stripped"), (width, LOBBY, height), "treated")
        yield Option(f"second door, {show_length(LOBBY)} behind the {side.name}", side.name, second=second)


# --- windows ---


def _panes(
    room: Room, shell: Shell, now: air.Air, one: SideFound, prices: Prices, reveal: float
) -> Iterator[Fix]:
    """A pane of laminated glass behind at several distances, and a heavier one with the reveal lined."""
    panes = [Leaf(material("laminated glass"), t) for t in (0.0064, 0.0108)]
    gaps = sorted({gap for gap in PANE_GAPS if gap <= reveal + 1e-6} | ({reveal} if reveal < 0.2 else set()))
    setting = Setting(room, shell, one, (), None, False, ())
    swept = sweep(setting, panes, np.array(gaps), seal="sealed")
    spots = [Spot(0, 0, i) for i in range(len(gaps))] + [Spot(1, 1, len(gaps) - 1)]
    for spot in spots:
        yield _pane(shell, now, swept, spot, prices)


def _pane(shell: Shell, now: air.Air, swept: Sweep, spot: Spot, prices: Prices) -> Fix:
    side = swept.setting.side
    depth = show_length(float(swept.gaps[spot.gap]))
    lined = ", reveal lined" if spot.lining else ""
    name = f"second pane, {pane_name(swept.panes[spot.pane])}, {depth} behind the {side.name}{lined}"
    option = Option(name, side.name, swept.construction(spot), gaps=())
    found = swept.found(spot)

    def finds(shell: Shell, changed: Side) -> SideFound:
        if changed.vents == side.vents:
            return found
        vents = [path for path in shell.find(changed).paths if path.kind == "vent"]
        kept = [path for path in found.paths if path.kind != "vent"]
        return replace(found, side=replace(found.side, vents=changed.vents), paths=(*kept, *vents))

    needs = bill(side, option.on(side))
    cost = price(needs, prices)
    assert cost is not None
    return made(
        shell, now, option, cost, origin=OURS, needs=needs, invented=invented(needs, prices), finds=finds
    )


# --- walls, ceilings, floors ---


def _wool(depth: float, fill: float, framing: str | None = None, spacing: float | None = None) -> Cavity:
    return Cavity(depth, material("stone wool"), fill, framing=framing, spacing=spacing)


def _boards(sheets: int, thickness: float = 0.0125) -> Leaf:
    return Leaf(material("gypsum board"), thickness, sheets)


def _with(side: Side, name: str, layers: Sequence[Cavity | Leaf], *, last: Leaf | None = None) -> Option:
    """An option that puts layers on the room's side of what stands; `last` in place of its last leaf."""
    old = side.construction
    kept = old.layers if last is None else (*old.layers[:-1], last)
    return Option(name, side.name, _built(old, name, (*kept, *layers)))


def _built(old: Construction, name: str, layers: tuple[Cavity | Leaf, ...]) -> Construction:
    return replace(old, name=name, title=name, layers=layers, measured=None)


def _linings(side: Side) -> Iterator[Option]:
    """On a wall or ceiling, from the thinnest: a board, boards on something soft, boards that stand free."""
    layers = side.construction.layers
    last = layers[-1] if layers else None
    if not isinstance(last, Leaf):
        return
    over = side.construction.kind != "wall"
    if not masonry(side.construction):
        damped = replace(last, bond="damped")
        yield _with(side, f"one more board, damped, on the {side.name}", [_boards(1, 0.015)], last=damped)
    if over:
        channel = (_wool(0.05, 0.05, "resilient channel", 0.4), _boards(2))
        yield _with(side, f"two boards on resilient channel under the {side.name}", channel)
        free = (_wool(0.2, 0.15), _boards(2, 0.015))
        yield _with(side, f"free ceiling under the {side.name}", free)
        return
    clips = (_wool(0.05, 0.05, "resilient clip", 0.8), _boards(2))
    yield _with(side, f"two boards on clips on the {side.name}", clips)
    free = (_wool(0.1, 0.075), _boards(2, 0.015))
    yield _with(side, f"lining on free studs before the {side.name}", free)


def _floors(side: Side) -> Iterator[Option]:
    """A dry screed on wool board."""
    layers = side.construction.layers
    if not layers:
        return
    boards = (Leaf(material("chipboard"), 0.018), _boards(2), _wool(0.025, 0.025))
    name = f"dry screed on wool over the {side.name}"
    whole = (*boards, *layers) if from_above(side.construction) else (*layers, *boards[::-1])
    yield Option(name, side.name, _built(side.construction, name, whole))
