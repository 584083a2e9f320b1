"""The cards of the desk: what is asked of each part of a room, with everyday choices, as data.

A card's values are those of the file; what is left empty is not written. Keys are the file's own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from isolate.describe import catalogue, editing, everyday
from isolate.describe.rooms import Room
from isolate.errors import InputError
from isolate.units import shown

SEALS = {
    "": "not said", "sealed": "airtight, rubber all round", "draught-stripped": "held by strips all round",
    "partly sealed": "tight here and there", "unsealed": "I feel a draught",
}  # fmt: skip
_OPEN = {"": "shut", "tilted": "tilted", "ajar": "ajar", "half open": "half open", "open": "wide open"}
_FURNISHED = {
    "bare": "bare: hard floor, nothing soft", "furnished": "furnished", "treated": "lined with absorbers",
}  # fmt: skip


@dataclass(frozen=True)
class Field:
    """One thing asked: `key` in the file, how it is `asked`, its `kind` ("text", "choice": pick or say,
    "pick", "yes", "several", "number"), `choices` as value and words, a `hint`."""

    key: str
    asked: str
    kind: str = "text"
    choices: tuple[tuple[str, str], ...] = ()
    hint: str = ""

    def with_value(self, table: Mapping[str, Any]) -> dict[str, Any]:
        """As data, with what the file says."""
        value = table.get(self.key)
        plain = value if isinstance(value, bool | list) else "" if value is None else str(value)
        return {
            "key": self.key, "asked": self.asked, "kind": self.kind, "choices": self.choices,
            "hint": self.hint, "value": plain,
        }  # fmt: skip

    def value(self, said: object) -> Any:
        """What was said as the file has it; None: nothing."""
        if isinstance(said, bool):
            return said or None
        if isinstance(said, list):
            return [str(one) for one in said]
        text = str(said).strip()
        if self.kind != "number" or not text:
            return text or None
        try:
            return int(text) if text.isdigit() else float(text)
        except ValueError:
            fault = f'{self.asked}: not a number (got {shown(text)}); write one such as "8"'
            raise InputError(fault) from None


def _same(words: Sequence[str]) -> tuple[tuple[str, str], ...]:
    return tuple((one, "not sure" if one == everyday.DONT_KNOW else one) for one in words)


def _everyday(part: str | None) -> tuple[tuple[str, str], ...]:
    return _same(everyday.usual_words(part)) if part else ()


def part_of(side: Mapping[str, Any]) -> str:
    """Which part of a house a side is, by its name and the word it faces."""
    named = everyday.part_named(str(side.get("name", "")), str(side.get("faces", "")))
    return named or "outer wall"


def _side(table: Mapping[str, Any], words: Sequence[str]) -> list[Field]:
    part = part_of(table)
    hint = 'In your words, or layers such as "4-16-4", or a data sheet: "Rw 42 (-2; -6)".'
    found = [
        Field("construction", "What is it?", "choice", _everyday(part), hint),
        Field("area", "How large? Width x height", hint="such as 1.2 m x 1.4 m; of a wall 8.5 m2 will do"),
    ]
    measured = "gap" in table
    if part in ("window", "door") and not measured:
        found.append(Field("seal", "How tight does it shut?", "pick", tuple(SEALS.items())))
    if part == "door" and not measured:
        found.append(Field("threshold", "And under it?", "pick", tuple(SEALS.items())))
    if part == "window":
        found.append(Field("open", "How does it stand while you listen?", "pick", tuple(_OPEN.items())))
    return [
        *found, Field("faces", "What is behind it?", "choice", _same(words), "Noises name the same word."),
        Field("name", "What do you call it?"),
    ]  # fmt: skip


def _noise(words: Sequence[str]) -> list[Field]:
    return [
        Field("source", "What is it?", "choice", _same(_sources("noise"))),
        Field("name", "What do you call it?"),
        Field("faces", "Where does it come from?", "choice", _same(words)),
        Field("level", "How loud?", hint="such as 75 dBA; a phone tells it to some 5 dB. Empty: usual"),
        Field("at", "Measured how far from it?", hint="such as 7.5 m; empty: just outside the window"),
        Field("distance", "How far from it is your window?", hint="such as 10 m"),
        Field("indoors", "It is in the room next door", "yes"),
        Field("per_day", "How often a day?", "number"),
    ]


def _sources(part: str) -> list[str]:
    """Everyday words of a sound, then the catalogue's names."""
    return list(dict.fromkeys((*everyday.usual_words(part), *catalogue.names("noises"))))


def _own() -> list[Field]:
    return [
        Field("source", "What do you play?", "choice", _same(_sources("own"))),
        Field("name", "What do you call it?"),
        Field("level", "How loud in the room?", hint="such as 86 dBA; empty: usual"),
    ]


def _neighbour(sides: Sequence[str]) -> list[Field]:
    return [
        Field("name", "Who is it?"),
        Field("through", "Behind what?", "several", _same(sides)),
        Field("background", "How quiet is it there?", hint="such as 25 dBA"),
        Field("distance", "If they are outdoors or across: how far away?", hint="such as 14 m"),
        Field("limit", "What may be heard there?", hint="such as 30 dBA at night; empty: nothing agreed"),
    ]


def _room() -> list[Field]:
    return [
        Field("size", "How large? Length x width x height", hint="such as 4.1 m x 3.2 m x 2.5 m"),
        Field("furnishing", "How is it furnished?", "pick", tuple(_FURNISHED.items())),
        Field("background", "How quiet is it between the noises?", hint="such as 25 dBA, or NC 20"),
        Field("region", "Which country?", hint="such as UK; the same word means another wall elsewhere"),
        Field("built", "When was it built?", hint="such as 1930s"),
        Field("people", "How many people breathe in it?", "number"),
    ]  # fmt: skip


def _vent(sides: Sequence[str]) -> list[Field]:
    return [
        Field("name", "What do you call it?"),
        Field("side", "Through which wall or window?", "pick", _same(sides)),
        Field("opening", "How large is the hole?", hint="such as 100 mm, or 300 mm x 13 mm"),
        Field("length", "How long is the way through?", hint="such as 0.3 m"),
        Field("lining", "How thick is absorbent on its walls?", hint="such as 25 mm; empty: none"),
        Field("box", "A lined box in its way? Its size inside", hint="such as 0.6 m x 0.3 m x 0.3 m"),
    ]


def fields(data: Mapping[str, Any], kind: str, table: Mapping[str, Any]) -> list[Field]:
    """What is asked of a part of this kind."""
    sides = [str(one.get("name", "")) for one in data.get("side", ())]
    words = list(dict.fromkeys(str(one.get("faces", "")) for one in data.get("side", ())))
    asked = {
        "room": _room, "side": lambda: _side(table, words), "noise": lambda: _noise(words), "own": _own,
        "neighbour": lambda: _neighbour(sides), "vent": lambda: _vent(sides),
    }  # fmt: skip
    if kind not in asked:
        raise InputError(f"where: no part with a card (got {shown(kind)}); write one of {', '.join(asked)}")
    return asked[kind]()


def at(data: Mapping[str, Any], where: Sequence[str | int]) -> tuple[str, Mapping[str, Any]]:
    """The kind and the table of a part: ("room",) or ("side", 0)."""
    kind = str(where[0]) if where else ""
    if where == ("room",):
        return kind, data.get("room", {})
    try:
        number = int(where[1])
        if len(where) != 2 or kind not in editing.LISTS or number < 0:
            raise IndexError
        table: Mapping[str, Any] = data[kind][number]
    except (KeyError, IndexError, ValueError):
        raise InputError(f"where: nothing there (got {shown('/'.join(map(str, where)))})") from None
    return kind, table


def card(data: Mapping[str, Any], room: Room, where: Sequence[str | int]) -> dict[str, Any]:
    """A part's card: its title, its fields with their values, and what was taken for what is not said."""
    kind, table = at(data, where)
    name = str(table.get("name", table.get("source", "the room")))
    told = [note.removeprefix(f"{name}: ") for note in room.notes if note.startswith(f"{name}: ")]
    return {
        "title": "The room" if kind == "room" else name, "where": list(where), "told": told,
        "fields": [one.with_value(table) for one in fields(data, kind, table)], "removable": kind != "room",
    }  # fmt: skip


def values(data: Mapping[str, Any], where: Sequence[str | int], said: Mapping[str, object]) -> dict[str, Any]:
    """What was said on a card as the file has it: what differs from it, by key."""
    kind, table = at(data, where)
    known = {one.key: one for one in fields(data, kind, table)}
    other = [key for key in said if key not in known]
    if other:
        raise InputError(f"{other[0]}: nothing this card asks; write one of {', '.join(known)}")
    found = {key: known[key].value(one) for key, one in said.items()}
    return {key: one for key, one in found.items() if one != table.get(key)}


# --- new parts ---

_UNKNOWN = {"construction": everyday.DONT_KNOW}
_NEW: dict[str, tuple[str, dict[str, Any]]] = {
    "window": ("side", {**_UNKNOWN, "area": "1.2 m x 1.4 m", "seal": "partly sealed"}),
    "door": ("side", {**_UNKNOWN, "area": "0.8 m x 2.0 m", "seal": "unsealed", "threshold": "unsealed"}),
    "wall": ("side", {**_UNKNOWN, "area": "8 m2"}),
    "ceiling": ("side", {**_UNKNOWN, "area": ""}),
    "floor": ("side", {**_UNKNOWN, "area": ""}),
    "vent": ("vent", {"opening": "100 mm", "length": "0.3 m"}),
    "noise": ("noise", {"source": "traffic"}),
    "instrument": ("own", {"source": "clarinet"}),
    "neighbour": ("neighbour", {"background": "25 dBA"}),
}
ADDED = tuple(_NEW)


def new(data: Mapping[str, Any], room: Room, what: str) -> tuple[str, dict[str, Any]]:
    """The list a new window, noise or the like belongs to, and its table with what is usual; it is told more
    of on its card."""
    if what not in _NEW:
        known = ", ".join(_NEW)
        raise InputError(f"what: nothing that can be added (got {shown(what)}); write one of {known}")
    kind, usual = _NEW[what]
    names = {str(one.get("name", one.get("source"))) for one in data.get(kind, ())}
    name = next(one for one in (what, *(f"{what} {i}" for i in range(2, 1000))) if one not in names)
    found: dict[str, Any] = {"name": name}
    sides = list(data.get("side", ()))
    outside = next((str(one["faces"]) for one in sides if part_of(one) == "window"), sides[0]["faces"])
    if kind == "side":
        found["faces"] = {"door": "hall", "ceiling": "flat above", "floor": "flat below"}.get(what, outside)
        length, width, _ = room.size
        usual = usual if usual["area"] else {**usual, "area": f"{length:.2f} m x {width:.2f} m"}
    elif kind == "noise":
        found["faces"] = outside
    elif kind == "neighbour":
        inner = [one for one in sides if one["faces"] != outside] or sides
        found["through"] = [str(inner[-1]["name"])]
    elif kind == "vent":
        found["side"] = str(sides[0]["name"])
    return kind, found | usual
