"""Rooms: reading the shell, the noises outside, what is played inside and who hears it.

Each kind of table has its own function (in `sides` and `sounds`); a key is one line in it. What holds
across tables (a noise faces a word that some side has) is checked at the end, for one report of all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import numpy as np

from isolate import units
from isolate.bands import N_BANDS, Array
from isolate.describe import catalogue, sides, sounds, spectra
from isolate.describe.noises import Level
from isolate.describe.reading import Faults, Table, label, nearest, one_of, quantity, read_toml, text
from isolate.describe.room_parts import Background, Gap, Neighbour, Noise, Option, Own, Room, Side
from isolate.errors import InputError
from isolate.units import shown

__all__ = [
    "Background", "Gap", "Level", "Neighbour", "Noise", "Option", "Own", "Room", "Side", "load",
]  # fmt: skip
DEMO = "demo"
FOLDERS = ("rooms",)
FURNISHINGS = ("bare", "furnished", "treated")
_UNKNOWN_BOX = (1.0, 1.0, 1.0)
_BOX_HINT = 'write length x width x height, such as "4.1 m x 3.2 m x 2.5 m"'
Named = TypeVar("Named", Side, Noise, Own, Neighbour, Option)


def load(name: str | Path | None = None) -> Room:
    """A room by its name in the catalogue or its path; None is the bundled demo.

    Raises
    ------
    InputError
        No such room, or every fault of its file and of the files it names.
    """
    name = DEMO if name is None else str(name)
    try:
        path = catalogue.locate(name, FOLDERS, "room", None)
        if path is None:
            raise ValueError(catalogue.unknown(name, FOLDERS, "room"))
    except ValueError as fault:
        raise InputError(str(fault)) from None
    return read(path, name=path.stem)


def read(path: Path, *, name: str) -> Room:
    """The room in a file; InputError with every fault of it."""
    faults = Faults(path)
    root = faults.root(read_toml(path))
    notes: list[str] = []
    beside = path.parent
    title = root.get("title", label) or path.stem
    about = root.get("about", text) or ""
    inside = root.table("room")
    if "room" not in root:
        root.fault("room", "missing; write [room] with the size of the room")
    dimensions = inside.need("size", _box, _UNKNOWN_BOX, _BOX_HINT) if inside else _UNKNOWN_BOX
    furnishing, time = _reverberation(inside, notes) if inside else ("furnished", None)
    background = sounds.background_of(inside, notes, "the room") if inside else sounds.USUAL_BACKGROUND
    room = Room(
        name, title, dimensions, furnishing, time, background,
        sides=_all(root, "side", lambda table: sides.read_side(table, beside, notes)),
        noises=_all(root, "noise", lambda table: sounds.read_noise(table, beside, notes)),
        own=_all(root, "own", lambda table: sounds.read_own(table, beside)),
        neighbours=_all(root, "neighbour", lambda table: sounds.read_neighbour(table, notes)),
        options=_all(root, "option", lambda table: sides.read_option(table, beside)),
        about=about,
    )  # fmt: skip
    _check_words(root)
    faults.stop()
    return replace(room, notes=(*notes, *sides.area_notes(room)))


def _box(value: object) -> tuple[float, float, float]:
    found = units.parse(value, "box")
    if not all(0.3 <= edge <= 100.0 for edge in found):
        raise ValueError(f"no sane size of a room (got {shown(value)}); {_BOX_HINT}")
    return found


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
    """Furnishing, and the reverberation time (27,) [s] when stated, alone or by band."""
    furnishing = table.get("furnishing", one_of(FURNISHINGS))
    stated = table.data.get("reverberation_time")
    time: Array | None = None
    if isinstance(stated, dict):
        by_band = table.table("reverberation_time")
        pair = spectra.pair(by_band, "time_s", spectra.values(0.05, 30.0)) if by_band else None
        time = spectra.held(*pair) if pair else None
    elif (single := table.get("reverberation_time", quantity("time", 0.05, 30.0))) is not None:
        time = np.full(N_BANDS, single)
    if "furnishing" not in table and stated is None:
        notes.append("room: neither furnishing nor reverberation_time stated, furnished taken")
    return furnishing or "furnished", time


def _check_words(root: Table) -> None:
    """Words that one table uses and another must have; a table at fault still counts as having its own."""
    if not root.tables("side"):
        root.fault("side", "no sides; write [[side]] for each part of the shell: window, wall, door ...")
    if not root.tables("noise") and not root.tables("own"):
        root.fault("noise", "nothing to hear; write [[noise]] for what comes in, [[own]] for what goes out")
    _known(root, "noise", "faces", _stated(root, "side", "faces"), "no side faces")
    names = _stated(root, "side", "name")
    _known(root, "neighbour", "through", names, "no side is called")
    _known(root, "option", "replace", names, "no side is called")


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
