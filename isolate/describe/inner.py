"""The room within a room in a room's file; every key may be left out (see `inner_parts.usual`).

::

    [inner]
    boards     = "2 x gypsum board 15 mm"   # of the inner walls, from the gap to the room
    bond       = "damped"                   # between boards: screwed (default) | glued | damped
    gap        = "120 mm"                   # from the old wall to the boards, clear of everything
    fill       = "stone wool"
    fill_depth = "90 mm"
    opened     = true                       # old boards of a light wall come off first; default they stay
    frame      = "wood stud"                # or steel stud; it touches the old wall nowhere
    spacing    = "600 mm"
    stands_on  = "floated floor"            # or floor: the house's own
    sole       = "strip"                    # under the walls: rigid (default) or a strip of rubber
    session    = "3 h"                      # how long people stay in it
    [inner.ceiling]                         # boards, bond, gap, fill, fill_depth, opened as above, and
    carried_by = "inner walls"              # or hangers, or resilient hangers
    [inner.floor]                           # boards (from below), bond, gap, fill, fill_depth as above, and
    base    = "concrete slab 150 mm"        # what it lies on; default the room's floor
    also_in = "next house"                  # whose room has the same floor on the same base
    [inner.floor.mounts]
    count      = 30                         # default: as many as the load asks for
    rating     = "80 kg"                    # what one carries, and
    deflection = "4 mm"                     # how far it sinks then
    stiffening = 1.5                        # dynamic over static stiffness: 1 steel, 1.2 to 3 rubber
    loss       = 0.1
    [inner.floor.mat]                       # instead of mounts
    stiffness  = "10 MN/m3"                 # tested dynamic stiffness
    flow_resistivity = "20 kPa s/m2"
    loss       = 0.2
    [inner.window]
    pane   = "laminated glass 10.4 mm"
    gap    = "200 mm"
    reveal = "absorbent"                    # or bare
    [inner.door]
    construction = "solid core door 44 mm"
    seal = "sealed"
    threshold = "sealed"
    lobby = "150 mm"                        # from door to door; default the gap of the wall
    [[inner.vent]]                          # continues the vent of a side; keys as of [[vent]]
    side = "garden wall"
    [[inner.tie]]                           # what ties both shells after all
    what  = "conduit"                       # pipe | bolt | conduit | board (that touches)
    at    = "walls"                         # walls | ceiling | floor | a side's name
    count = 2
    length = "1 m"                          # of a board that touches
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from isolate.describe import constructions, leaks, vents
from isolate.describe import inner_parts as parts
from isolate.describe.inner_parts import (
    Inner,
    InnerDoor,
    InnerFloor,
    InnerTie,
    InnerWindow,
    Lining,
    Mat,
    Mounts,
)
from isolate.describe.layers import BONDS, EDGES, Leaf
from isolate.describe.materials import Material, material
from isolate.describe.openings import Gap, Vent
from isolate.describe.reading import (
    Converter,
    Table,
    flag,
    label,
    nearest,
    number,
    one_of,
    quantity,
    text,
    whole,
    words,
)
from isolate.describe.room_parts import Side
from isolate.errors import shown
from isolate.units import show_length

USUAL_DOOR = "solid core door 44 mm"
_LENGTH = quantity("length", 0.001, 3.0)
_GAP = quantity("length", 0.01, 3.0)


def usual_inner() -> Inner:
    """What is taken where a file says nothing."""
    return parts.usual(constructions.load(USUAL_DOOR))


def leaves(value: object) -> tuple[Leaf, ...]:
    """Converter: boards or panes that touch, such as "2 x gypsum board 15 mm"."""
    found = constructions.resolve(text(value), None).layers
    solid = tuple(layer for layer in found if isinstance(layer, Leaf))
    if not solid or len(solid) != len(found):
        raise ValueError(
            f'not boards alone (got {shown(value)}); write "2 x gypsum board 15 mm"; gap has its own key'
        )
    return solid


def _porous(value: object) -> Material:
    found = material(value)
    if found.family != "porous":
        raise ValueError(f'not a porous material (got {shown(value)}); write one such as "stone wool"')
    return found


def read(table: Table, beside: Path, sides: Sequence[Side], notes: list[str], usual: Inner) -> Inner:
    """``[inner]``; what is not stated is as in `usual`."""
    ceiling, floor = table.table("ceiling"), table.table("floor")
    window, door = table.table("window"), table.table("door")
    found = Inner(
        walls=_lining(table, usual.walls),
        ceiling=_lining(ceiling, usual.ceiling) if ceiling else usual.ceiling,
        floor=_floor(floor, beside, sides, usual.floor) if floor else usual.floor,
        window=_window(window, usual.window) if window else usual.window,
        door=_door(door, beside, usual.door) if door else usual.door,
        carried=(ceiling.get("carried_by", one_of(parts.CARRIED)) if ceiling else None) or usual.carried,
        stands_on=table.get("stands_on", one_of(parts.STANDS_ON)) or usual.stands_on,
        sole=table.get("sole", one_of(parts.SOLES)) or usual.sole,
        frame=table.get("frame", one_of(parts.FRAMES)) or usual.frame,
        spacing=table.get("spacing", quantity("length", 0.2, 1.2)) or usual.spacing,
        vents=tuple(_vents(table, sides, notes)) or usual.vents,
        ties=tuple(_tie(one, sides) for one in table.tables("tie")) or usual.ties,
        session=table.get("session", quantity("time", 60.0, 86_400.0)) or usual.session,
        described=True,
    )
    return found


def _lining(table: Table, usual: Lining) -> Lining:
    """boards, bond, gap, fill and fill_depth."""
    boards, bond = table.get("boards", leaves) or usual.leaves, table.get("bond", one_of(BONDS))
    if bond:
        boards = tuple(replace(leaf, bond=bond) for leaf in boards)
    gap = table.get("gap", _GAP) or usual.gap
    fill = usual.fill
    if "fill" in table and table.data["fill"] == "none":
        table.get("fill", text)
        fill = None
    elif "fill" in table:
        fill = table.get("fill", _porous)
    share = usual.fill_depth / usual.gap
    depth = table.get("fill_depth", _LENGTH) or share * gap
    if depth > gap * (1 + 1e-6):
        table.fault("fill_depth", f"{show_length(depth)} in a gap of {show_length(gap)}; write at most that")
    opened = table.get("opened", flag)
    return Lining(
        gap, boards, fill, min(depth, gap) if fill else 0.0, usual.opened if opened is None else opened
    )


def _floor(table: Table, beside: Path, sides: Sequence[Side], usual: InnerFloor) -> InnerFloor:
    mounts, mat = table.table("mounts"), table.table("mat")
    if mounts and mat:
        table.fault("mat", "given beside mounts; write one of them")
    on = usual.on
    if mounts:
        on = _mounts(mounts, on if isinstance(on, Mounts) else Mounts())
    if mat:
        on = _mat(mat)
    alike, faces = table.get("also_in", words) or list(usual.also_in), [side.faces for side in sides]
    for word in alike:
        if faces and word not in faces:
            table.fault("also_in", f"no side faces {shown(word)}; {nearest(word, dict.fromkeys(faces))}")
    return InnerFloor(
        lining=_lining(table, usual.lining),
        on=on,
        base=table.get("base", _construction(beside)) or usual.base,
        also_in=tuple(alike),
    )


def _construction(beside: Path) -> Converter[constructions.Construction]:
    def convert(value: object) -> constructions.Construction:
        found = constructions.resolve(text(value), beside)
        if not found.layers:
            raise ValueError(f"known by its measurement only (got {shown(value)}); write one with layers")
        return found

    return convert


def _mounts(table: Table, usual: Mounts) -> Mounts:
    return Mounts(
        table.get("count", whole(3, 2000)) or usual.count,
        table.get("rating", quantity("mass", 1.0, 1e5)) or usual.rating,
        table.get("deflection", quantity("length", 0.1e-3, 0.2)) or usual.deflection,
        table.get("stiffening", number(1.0, 5.0)) or usual.stiffening,
        table.get("loss", number(0.001, 1.0)) or usual.loss,
    )


def _mat(table: Table) -> Mat:
    usual = Mat(10e6)
    hint = 'write the tested dynamic stiffness, such as "10 MN/m3"'
    return Mat(
        table.need("stiffness", quantity("dynamic stiffness", 0.1e6, 5e9), usual.stiffness, hint),
        table.get("flow_resistivity", quantity("flow resistivity")) or usual.flow_resistivity,
        table.get("loss", number(0.001, 1.0)) or usual.loss,
    )


def _window(table: Table, usual: InnerWindow) -> InnerWindow:
    return InnerWindow(
        table.get("pane", leaves) or usual.pane,
        table.get("gap", _GAP) or usual.gap,
        table.get("reveal", one_of(EDGES)) or usual.edges,
    )


def _door(table: Table, beside: Path, usual: InnerDoor) -> InnerDoor:
    found = InnerDoor(
        table.get("construction", _leaf(beside)) or usual.construction,
        table.get("seal", leaks.seal) or usual.seal,
        table.get("threshold", leaks.seal) or usual.threshold,
        table.get("lobby", quantity("length", 0.03, 5.0)) or usual.lobby,
    )
    stated = ("seal", "door edge", found.seal), ("threshold", "under the door", found.threshold)
    for key, place, state in stated:
        try:
            leaks.find(place, state)
        except ValueError as fault:
            table.fault(key, str(fault))
    return found


def _leaf(beside: Path) -> Converter[constructions.Construction]:
    def convert(value: object) -> constructions.Construction:
        found = constructions.resolve(text(value), beside)
        heavy = any(isinstance(layer, Leaf) and layer.material.masonry for layer in found.layers)
        if heavy or found.kind in ("window", "ceiling", "floor", "roof"):
            raise ValueError(f'no door (got {shown(value)}); write one such as "{USUAL_DOOR}"')
        return found

    return convert


def door_gaps(door: InnerDoor, size: tuple[float, float]) -> tuple[Gap, ...]:
    """The gaps of an inner door of this size (width, height) [m]."""
    width, height = size
    found = []
    for place, state, length in (
        ("door edge", door.seal, 2 * height + width),
        ("under the door", door.threshold, width),
    ):
        leak = leaks.find(place, state)
        name = "edge gaps" if place == "door edge" else "gap under it"
        found.append(Gap(leak.width.typical, length, leak.depth, leak.at_edge, name, leak.width))
    return tuple(found)


def _vents(table: Table, sides: Sequence[Side], notes: list[str]) -> list[tuple[str, Vent]]:
    names = [side.name for side in sides]
    found = []
    for one in table.tables("vent"):
        name = one.need("side", label, "", "write the name of the side whose vent it continues")
        if name and names and name not in names:
            one.fault("side", f"no side is called {shown(name)}; {nearest(name, names)}")
        elif any(side.name == name and not side.vents for side in sides):
            one.fault("side", f"{shown(name)} has no vent to go on from; write [[side.vent]] there too")
        vent = vents.read(one, 0.1, notes)
        if vent is not None:
            found.append((name, vent))
    return found


def _tie(table: Table, sides: Sequence[Side]) -> InnerTie:
    places = list(dict.fromkeys([*parts.PLACES, *(side.name for side in sides)]))
    at = table.need("at", label, "walls", f"write one of {', '.join(parts.PLACES)}, or a side's name")
    if at not in places:
        table.fault("at", f"no such place (got {shown(at)}); {nearest(at, places)}")
    return InnerTie(
        table.need("what", one_of(parts.TIES), "bolt", f"write one of {', '.join(parts.TIES)}"),
        at,
        table.get("count", whole(1, 1000)) or 1,
        table.get("length", quantity("length", 0.01, 100.0)) or 1.0,
    )
