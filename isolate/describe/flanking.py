"""Flanking in a room's file: a usual house in words, or the elements one by one.

::

    [room]
    flanking = "brick house, timber floors"     # one for all; or by the word that sides face:
    # flanking = { "flat below" = "brick house, timber floors", landing = "none" }

    [[flank]]                                   # instead of the house, for one word
    name = "outer wall"
    faces = "house next door"                   # the room it runs on to
    construction = "brick wall 225 mm, plastered"   # as seen from outside to this room; linings count
    junction = "rigid tee"                      # with what separates the rooms
    length = "2.6 m"                            # of the junction
    area = "8 m2"                               # of this element in this room
    beyond = "8 m2"                             # in the other; default the same
    through = false                             # true: the heavy one that runs on past a light wall or floor
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from isolate.describe import houses, sides
from isolate.describe.houses import House
from isolate.describe.reading import Table, flag, label, one_of, quantity, text
from isolate.describe.room_parts import Flank

THROUGH = ("rigid cross", "flexible interlayer", "light on heavy")  # with an element across, on both sides


def usual(room: Table) -> dict[str, House]:
    """The usual house for each word that sides face; "" stands for every other one."""
    stated = room.data.get("flanking")
    if isinstance(stated, Mapping):
        table = room.table("flanking")
        assert table is not None
        found = {word: table.get(word, _house) for word in stated}
    else:
        found = {"": room.get("flanking", _house)}
    return {word: house for word, house in found.items() if house is not None}


def _house(value: object) -> House:
    return houses.find(text(value))


def read_flank(table: Table, beside: Path) -> Flank | None:
    """``[[flank]]``; None when at fault."""
    name = table.need("name", label, "", 'write one such as "outer wall"')
    faces = table.need("faces", label, "", "write the word of the room it runs on to")
    built = table.get("construction", sides.construction(beside))
    if "construction" not in table:
        table.fault("construction", "missing; write a name in the catalogue, a path or layers")
    elif built is not None and not built.layers:
        table.fault("construction", "known by its measurement only; flanking needs layers")
    known = f"write one of {', '.join(houses.JUNCTIONS)}"
    junction = table.need("junction", one_of(houses.JUNCTIONS), "", known)
    length = table.need("length", quantity("length", 0.1, 100.0), 0.0, "write the length of the junction")
    area = table.need("area", quantity("area", 0.1, 1e4), 0.0, "write its area in this room")
    beyond = table.get("beyond", quantity("area", 0.1, 1e4))
    through = table.get("through", flag) or False
    if through and junction and junction not in THROUGH:
        table.fault("through", f"nothing runs on past a {junction}; write one of {', '.join(THROUGH)}")
    if built is None or not name or not junction or not length or not area:
        return None
    return Flank(name, faces, built, junction, length, area, beyond or area, through)
