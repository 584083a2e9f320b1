"""Rooms: reading the shell, the noises outside, what is played inside and who hears it.

Each kind of table has its own function (in `sides` and `sounds`); a key is one line in it. What holds
across tables (a noise faces a word that some side has) is checked at the end, for one report of all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from isolate import units
from isolate.bands import Array
from isolate.describe import (
    catalogue,
    everyday,
    flanking,
    impacts,
    inner,
    neighbours,
    plausible,
    sides,
    sounds,
    takes,
)
from isolate.describe.constructions import Construction
from isolate.describe.everyday import ANYWHERE, Where
from isolate.describe.noises import Level
from isolate.describe.openings import Box, Gap, Vent
from isolate.describe.reading import Faults, Table, label, nearest, number, read_toml, text
from isolate.describe.room_parts import (
    FURNISHINGS,
    Background,
    Flank,
    Microphone,
    Neighbour,
    Noise,
    Option,
    Own,
    Room,
    Second,
    Shape,
    Side,
    Take,
    underfoot,
)
from isolate.errors import InputError, shown

__all__ = [
    "FURNISHINGS", "Background", "Box", "Flank", "Gap", "Level", "Microphone", "Neighbour", "Noise",
    "Option", "Own", "Room", "Second", "Shape", "Side", "Take", "Vent", "load",
]  # fmt: skip
DEMO = "demo"
FEWEST = 0.1  # people who breathe in a room, if anybody does
FOLDERS = ("rooms",)
Named = TypeVar("Named", Side, Noise, Own, Neighbour, Option, Flank, Take)


def load(name: str | Path | None = None) -> Room:
    """A room by its name in the catalogue or its path; None is the bundled demo.

    Raises
    ------
    InputError
        No such room, or every fault of its file and of the files it names.
    """
    asked = "" if name is None else str(name)
    wanted = asked if name is not None else DEMO
    try:
        path = catalogue.locate(wanted, FOLDERS, "room", None)
        if path is None:
            raise ValueError(catalogue.unknown(wanted, FOLDERS, "room"))
    except ValueError as fault:
        raise InputError(str(fault)) from None
    return replace(read(path, name=path.stem), asked=asked)


def _on_planes(found: tuple[Side, ...]) -> tuple[Side, ...]:
    """Sides with the plane each is a part of: what is known by its area alone is too little to have a size of
    its own, so that walls, floors and ceilings of one construction that face the same are taken together."""

    def together(one: Side, other: Side) -> bool:
        alike = one.construction.layers == other.construction.layers and one.faces == other.faces
        return alike and one.construction.kind == other.construction.kind and other.size is None

    return tuple(
        side
        if side.size or side.construction.kind in PIECES
        else replace(side, plane=sum(other.area for other in found if together(side, other)))
        for side in found
    )


PIECES = ("window", "door")  # each has edges of its own, in a frame


def read(path: Path, *, name: str, written: Mapping[str, Any] | None = None) -> Room:
    """The room in a file, or in tables `written` for it and not yet saved; InputError with every fault."""
    faults = Faults(path)
    root = faults.root(read_toml(path) if written is None else written)
    notes: list[str] = []
    beside = path.parent
    title = root.get("title", label) or path.stem
    about = root.get("about", text) or ""
    inside = root.table("room")
    if "room" not in root:
        root.fault("room", "missing; write [room] with the size of the room")
    dimensions = neighbours.UNKNOWN_BOX
    if inside:
        dimensions = inside.need("size", neighbours.box, dimensions, neighbours.BOX_HINT)
    furnishing, time = _reverberation(inside, notes) if inside else ("furnished", None)
    backgrounds = sounds.backgrounds_of(inside) if inside else {}
    background = _background(inside, notes, backgrounds)
    where = _where(inside)
    described = _all(root, "side", lambda table: sides.read_side(table, beside, notes, where))
    played = _all(root, "own", lambda table: sounds.read_own(table, beside))
    complete = len(played) == len(root.tables("own"))  # else one is at fault, and says so itself
    floor = _floor(inside, beside, notes, where)
    covering = inside.get("covering", impacts.covering) if inside else None
    stands = [] if floor is None else [underfoot(floor, covering, dimensions, described)]
    changeable = (*described, *stands)
    within, found = root.table("inner"), _on_planes(sides.read_vents(root, described, notes))
    room = Room(
        name, title, dimensions, furnishing, time, background,
        sides=found,
        noises=_all(root, "noise", lambda table: sounds.read_noise(table, beside, notes, where)),
        own=played,
        neighbours=_all(root, "neighbour", lambda table: neighbours.read(table, beside, notes, where)),
        options=_all(root, "option", lambda table: sides.read_option(table, beside, changeable, where)),
        about=about,
        people=inside.get("people", _people) if inside else None,
        flanking=flanking.usual(inside) if inside else {},
        flanks=_all(root, "flank", lambda table: flanking.read_flank(table, beside)),
        backgrounds=backgrounds,
        takes=_all(root, "take", lambda table: takes.read(table, beside, played, complete=complete)),
        floor=floor,
        covering=covering,
        inner=inner.read(within, beside, found, notes, inner.usual_inner()) if within else None,
        in_feet=inside is not None and units.in_feet(str(inside.data.get("size", ""))),
    )  # fmt: skip
    _check_words(root, [one.name for one in stands])
    _check_footsteps(root, room)
    faults.stop()
    doubts = tuple(plausible.doubts(room))
    return replace(room, notes=(*(f"check this: {one}" for one in doubts), *notes), doubts=doubts)


def _floor(inside: Table | None, beside: Path, notes: list[str], where: Where) -> Construction | None:
    """What one stands on, where the file says so: it has to be something to walk on."""
    if inside is None or "floor" not in inside:
        return None
    built = inside.get("floor", sides.construction(beside, part="floor", where=where))
    if built is not None and built.meant is not None:
        notes.append(f"floor: {built.meant.note}")
    if built is not None and not built.layers and built.stepped is None:
        inside.fault("floor", "no layers to walk on; name a floor that is described, such as a slab")
    return built


def inhabited(people: float) -> float:
    """How many breathe in a room that has somebody in it; InputError where it has not."""
    if not people >= FEWEST:
        raise InputError(
            f"people: nobody breathes in there (got {people:g}); write how many do, {FEWEST:g} and more"
        )
    return people


def _people(value: object) -> float:
    """Converter: how many breathe in a room."""
    found = number(0.0, 1000.0)(value)
    if 0.0 < found < FEWEST:
        raise ValueError(f"next to nobody (got {shown(value)}); write 0, or {FEWEST:g} and more")
    return found


def _where(inside: Table | None) -> Where:
    """Where and when the house was built, for what its parts are called there."""
    if inside is None:
        return ANYWHERE
    return Where(inside.get("region", everyday.region), inside.get("built", everyday.year))


def _background(inside: Table | None, notes: list[str], by_time: Mapping[str, Background]) -> Background:
    """The room's background; where only day or night is stated, that of the night first."""
    if inside is None:
        return sounds.USUAL_BACKGROUND
    if by_time and not any(key in inside for key in ("background", "bands_hz", "level_db")):
        return next(iter(by_time.values()))
    return sounds.background_of(inside, notes, "the room")


def _all(root: Table, key: str, read_one: Callable[[Table], Named | None]) -> tuple[Named, ...]:
    """Every table of a kind; a name must not come twice, since answers go by it."""
    tables = root.tables(key)
    found = [one for table in tables if (one := read_one(table)) is not None]
    names = [table.data.get("name", table.data.get("source")) for table in tables]
    count = Counter(name.strip() for name in names if isinstance(name, str))
    for table, name in zip(tables, names, strict=True):
        if isinstance(name, str) and count[name.strip()] > 1:
            times = count[name.strip()]
            table.fault("name", f"{shown(name)} is there {times} times; give each its own name")
    return tuple(found)


def _reverberation(table: Table, notes: list[str]) -> tuple[str, Array | None]:
    """Furnishing, and the reverberation time (27,) [s] when stated."""
    furnishing, time = neighbours.reverberation(table)
    if furnishing is not None and time is not None:
        notes.append(f"room: reverberation_time counts, {furnishing} does not: one of the two is enough")
    if "furnishing" not in table and "reverberation_time" not in table:
        notes.append("room: neither furnishing nor reverberation_time stated, furnished taken")
    return furnishing or "furnished", time


def _check_words(root: Table, stands: Sequence[str]) -> None:
    """Words that one table uses and another must have; a table at fault still counts as having its own.
    stands: what the floor under [room] is called."""
    if not root.tables("side"):
        root.fault("side", "no sides; write [[side]] for each part of the shell: window, wall, door ...")
    if not root.tables("noise") and not root.tables("own"):
        root.fault("noise", "nothing to hear; write [[noise]] for what comes in, [[own]] for what goes out")
    faces = _stated(root, "side", "faces")
    _known(root, "noise", "faces", faces, "no side faces")
    _known(root, "flank", "faces", faces, "no side faces")
    _keys(root, "noise", "also", faces)
    _keys(root, "room", "flanking", faces)
    names = _stated(root, "side", "name")
    _known(root, "neighbour", "through", names, "no side is called")
    _known(root, "option", "replace", [*names, *stands], "no side is called")
    _known(root, "vent", "side", names, "no side is called")


def _check_footsteps(root: Table, room: Room) -> None:
    """Footsteps come from above, through a floor that can be walked on."""
    for table in root.tables("noise"):
        if not impacts.steps(table.data.get("source")):
            continue
        facing = [side for side in room.sides if side.faces == table.data.get("faces")]
        above = [side for side in facing if side.lies == "above"]
        if facing and not above:
            table.fault("faces", "no ceiling faces it, and footsteps come from above; name the flat above")
        elif above and not any(one.construction.layers or one.construction.stepped for one in above):
            told = "its ceiling is a measurement without layers; describe the floor above, or write its Ln,w"
            table.fault("faces", told)


def _stated(root: Table, key: str, word: str) -> list[str]:
    values = [table.data.get(word) for table in root.tables(key)]
    return list(dict.fromkeys(value.strip() for value in values if isinstance(value, str) and value.strip()))


def _known(root: Table, key: str, word: str, known: Sequence[str], what: str) -> None:
    if not known:
        return
    for table in root.tables(key):
        value = table.data.get(word)
        for one in value if isinstance(value, list) else [value]:
            if isinstance(one, str) and one.strip() and one.strip() not in known:
                table.fault(word, f"{what} {shown(one)}; {nearest(one, known)}")


def _keys(root: Table, key: str, inner: str, known: Sequence[str]) -> None:
    """Keys of an inner table that must be words sides face."""
    data = root.data.get(key)
    tables = root.tables(key) if isinstance(data, list) else [table] if (table := root.table(key)) else []
    for table in tables:
        within = table.data.get(inner)
        for word in within if known and isinstance(within, dict) else ():
            if word not in known:
                table.fault(inner, f"no side faces {shown(word)}; {nearest(word, known)}")
