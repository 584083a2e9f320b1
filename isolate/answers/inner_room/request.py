"""An inner room asked for by options: they say what they say, the room's file or usual values the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from isolate.describe import inner
from isolate.describe.inner_parts import Inner
from isolate.describe.reading import Faults
from isolate.describe.rooms import Room
from isolate.errors import InputError, shown

# Where each option stands in an [inner] table; boards are those of walls and ceiling.
KEYS: dict[str, tuple[str, ...]] = {
    "boards": ("boards",),
    "gap": ("gap",),
    "stands_on": ("stands_on",),
    "sole": ("sole",),
    "session": ("session",),
    "ceiling_gap": ("ceiling", "gap"),
    "ceiling_on": ("ceiling", "carried_by"),
    "floor": ("floor", "boards"),
    "deflection": ("floor", "mounts", "deflection"),
    "rating": ("floor", "mounts", "rating"),
    "mat": ("floor", "mat", "stiffness"),
    "pane": ("window", "pane"),
    "pane_gap": ("window", "gap"),
    "door": ("door", "construction"),
}
_WHERE = "options"


def asked(room: Room, options: Mapping[str, str | None], ties: Sequence[str] = ()) -> Inner | None:
    """The inner room that options ask for; None where they ask for nothing.

    options : by the keys of `KEYS`, None where not given. ties : such as "pipe=party wall" or "bolt=walls".

    Raises
    ------
    InputError
        Every fault of them together.
    """
    data: dict[str, Any] = {}
    for name, value in options.items():
        if value is None:
            continue
        *folders, key = KEYS[name]
        table = data
        for folder in folders:
            table = table.setdefault(folder, {})
        table[key] = value
    if "boards" in data:
        data.setdefault("ceiling", {}).setdefault("boards", data["boards"])
    if ties:
        data["tie"] = [_tie(text) for text in ties]
    if not data:
        return None
    faults = Faults(_WHERE)
    usual = room.inner or inner.usual_inner()
    found = inner.read(faults.root(data), Path(), room.sides, [], usual)
    try:
        faults.stop()
    except InputError as wrong:
        raise InputError(list(dict.fromkeys(map(_by_argument, wrong.faults)))) from None
    return found


def _by_argument(fault: str) -> str:
    """A fault of a key behind the name of the argument that set it; of a file that one names, as it is."""
    path, _, what = fault.removeprefix(f"{_WHERE}: ").partition(": ")
    keys = {".".join(keys): name for name, keys in KEYS.items()} | {"ceiling.boards": "boards"}
    name = "ties" if path.startswith("tie[") else keys.get(path)
    return f"{name}: {what}" if name else fault


def _tie(text: str) -> dict[str, str]:
    what, equals, at = (part.strip() for part in text.partition("="))
    if not (what and equals and at):
        raise InputError(f'ties: not a tie and its place (got {shown(text)}); write "pipe=walls", say')
    return {"what": what, "at": at}
