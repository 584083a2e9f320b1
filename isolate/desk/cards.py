"""The cards of the desk: what is asked of each part of a room, with everyday choices, as data.

A card's values are those of the file; what is left empty is not written. Keys are the file's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from isolate.describe import catalogue, editing, everyday, impacts, noises
from isolate.describe.everyday import Where
from isolate.describe.impacts import FOOTSTEPS
from isolate.describe.rooms import Room
from isolate.describe.words import layers
from isolate.errors import InputError, shown
from isolate.show import sections
from isolate.units import is_size, told_in, with_unit

SEALS = {
    "": "not said", "sealed": "airtight, rubber all round", "draught-stripped": "held by strips all round",
    "partly sealed": "tight here and there", "unsealed": "I feel a draught",
}  # fmt: skip
_OPEN = {"": "shut", "tilted": "tilted", "ajar": "ajar", "half open": "half open", "open": "wide open"}
_ROOMS = "room."  # begins a key of the room's on the card of what stands in it
_LEVELS = ("level", "background", "limit")  # a bare number is in dBA, as a telephone tells it
_SOCKETS = {"place": "socket", "seal": "partly sealed"}  # as they mostly are (common practice, no source)
_FURNISHED = {
    "bare": "bare: hard floor, nothing soft", "furnished": "furnished", "treated": "lined with absorbers",
}  # fmt: skip


# Examples as one would say them in feet and inches.
_IN_FEET = {
    "1.2 m x 1.4 m": "4 ft x 5 ft", "80 mm": "3 in", "7.5 m": "25 ft", "10 m": "30 ft", "14 m": "45 ft",
    "4 m x 3.5 m x 2.6 m": "13 ft x 11 ft x 8 ft", "4.1 m x 3.2 m x 2.5 m": "13 ft x 11 ft x 8 ft",
    "100 mm": "4 in", "0.3 m": "12 in", "25 mm": "1 in", "50 mm": "2 in",
    "0.6 m x 0.3 m x 0.3 m": "24 in x 12 in x 12 in",
}  # fmt: skip


@dataclass(frozen=True)
class Field:
    """One thing asked: `key` in the file or the way to it, how it is `asked`, its `kind` ("text", "choice":
    pick or say, "pick", "yes", "several", "number", "sockets": how many, "size": told in the chosen system),
    `choices` as value, words, what they stand for and that drawn; a `hint` with an `example`; what of several
    is `usual` where nothing is said."""

    key: str
    asked: str
    kind: str = "text"
    choices: tuple[tuple[str, ...], ...] = ()
    hint: str = ""
    example: str = ""
    usual: tuple[str, ...] = ()

    def with_value(self, table: Mapping[str, Any], *, feet: bool) -> dict[str, Any]:
        """As data, with what the file says."""
        value = _within(table, self.key)
        if self.kind == "several":  # in the order of the choices, as they will be said
            there = self.usual if value is None else [value] if isinstance(value, str) else value
            order = {one: i for i, (one, *_) in enumerate(self.choices)}
            value = sorted(there, key=lambda one: order.get(one, len(order)))
        if self.kind == "sockets":
            value = sum(one.get("count", 1) for one in value or ()) or None
        plain = value if isinstance(value, bool | list) else "" if value is None else str(value)
        if self.kind == "size":
            plain = told_in(str(plain), feet=feet)
        example = f"such as {_IN_FEET[self.example] if feet else self.example}" if self.example else ""
        return {
            "key": self.key, "asked": self.asked, "kind": self.kind, "choices": self.choices,
            "hint": "; ".join(one for one in (example, self.hint) if one), "value": plain,
        }  # fmt: skip

    def value(self, said: object, *, feet: bool) -> Any:
        """What was said as the file has it; None: nothing."""
        if isinstance(said, bool):
            return said or None
        if isinstance(said, list):
            return None if self.usual and sorted(said) == sorted(self.usual) else [str(one) for one in said]
        text = str(said).strip()
        if self.kind == "size":
            text = with_unit(text, feet=feet) if self.key != "area" or is_size(text) else text
        if self.key in _LEVELS and re.fullmatch(r"\d+(?:\.\d+)?", text):
            text = f"{text} dBA"
        if self.kind not in ("number", "sockets") or not text:
            return text or None
        try:
            number = int(text) if text.isdigit() else float(text)
            return [{**_SOCKETS, "count": number}] if self.kind == "sockets" else number
        except ValueError:
            fault = f'{self.asked.rstrip("?")}: not a number (got {shown(text)}); write one such as "8"'
            raise InputError(fault) from None


def _within(table: Mapping[str, Any], way: str) -> Any:
    """The value at the end of a way such as "facade.area", None where there is none."""
    found: Any = table
    for key in way.split("."):
        found = found.get(key) if isinstance(found, Mapping) else None
    return found


def _same(words: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    return tuple((one, "not sure" if one == everyday.DONT_KNOW else one) for one in words)


def _everyday(part: str, where: Where) -> tuple[tuple[str, ...], ...]:
    """The words of a part of a house, with what each stands for there and then, in words and cut through."""
    words = tuple(everyday.usual_words(part))
    drawn = sections.of_words(words, part, where)
    return tuple((*one, *seen) for one, seen in zip(_same(words), drawn, strict=True))


def _where(data: Mapping[str, Any], part: str, table: Mapping[str, Any]) -> Where:
    """Where and when a part was built, as far as it is said and understood."""

    def read(convert: Callable[[object], Any], value: object) -> Any:
        try:
            return None if value is None else convert(value)
        except ValueError:
            return None

    room = data.get("room", {})
    house = Where(read(everyday.region, room.get("region")), read(everyday.year, room.get("built")))
    return house.of(part, read(everyday.year, table.get("built")))


def part_of(side: Mapping[str, Any]) -> str:
    """Which part of a house a side is, by its name and the word it faces."""
    named = everyday.part_named(str(side.get("name", "")), str(side.get("faces", "")))
    said = str(side.get("construction", "")).partition(", ")[0]  # "party wall, brick"
    return named or (said if said in everyday.BUILT else "outer wall")


def _side(data: Mapping[str, Any], table: Mapping[str, Any], words: Sequence[str]) -> list[Field]:
    part = part_of(table)
    choices = _everyday(part, _where(data, part, table))
    hint = 'In your words, or layers such as "4-16-4", or a data sheet: "Rw 42 (-2; -6)".'
    found = []
    if part in ("window", "door") and "gap" not in table:  # decides more than the panes
        found.append(Field("seal", "How tight does it shut?", "pick", tuple(SEALS.items())))
        if part == "door":
            found.append(Field("threshold", "And under it?", "pick", tuple(SEALS.items())))
    found += [
        Field("construction", "What is it?", "choice", choices, hint),
        Field("area", "How large? Width x height", "size", (), "of a wall its area will do", "1.2 m x 1.4 m"),
    ]
    if part == "window":
        found.append(Field("frame", "How wide is its frame, seen from the front?", "size", (), "", "80 mm"))
    if part in ("window", "door"):
        found.append(Field("open", "How does it stand while you listen?", "pick", tuple(_OPEN.items())))
    if part in ("floor", "ceiling"):
        found.append(_lies("covering"))
    if part.endswith("wall") and all(one.get("place") == "socket" for one in table.get("gap", ())):
        found.append(Field("gap", "Sockets back to back with those behind it: how many?", "sockets"))
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
        Field("at", "Measured how far from it?", "size", (), "empty: just outside the window", "7.5 m"),
        Field("distance", "How far from it is your window?", "size", (), "", "10 m"),
        Field("indoors", "It is in the room next door", "yes"),
        Field("per_day", "How often a day?", "number"),
    ]


def _sources(part: str) -> list[str]:
    """Everyday words of a sound, then those of the catalogue's names that no such word stands for."""
    usual = {meant.means for word in everyday.usual_words(part) if (meant := everyday.find(word, part=part))}
    wanted = everyday.meanings(part) - usual
    named = [name for name in catalogue.names("noises") if name in wanted]
    steps = (FOOTSTEPS, "children running", "chairs") if part == "noise" else ()
    return list(dict.fromkeys((*everyday.usual_words(part), *steps, *named)))


def _own(data: Mapping[str, Any], table: Mapping[str, Any]) -> list[Field]:
    feet_last = sorted(impacts.impacts().values(), key=lambda one: one.kind == "feet")
    struck = _same([one.name for one in feet_last])
    return [
        Field("source", "What do you play?", "choice", _same(_sources("own"))),
        Field("name", "What do you call it?"),
        Field("level", "How loud in the room?", hint="such as 86 dBA; empty: usual"),
        *_stands(data),
        Field("floor", "What of it shakes the floor?", "several", struck, usual=_put(table)),
    ]


def _stands(data: Mapping[str, Any]) -> tuple[Field, ...]:
    """The floor under what is played, where no side is it: one for all the room."""
    if any(part_of(one) == "floor" for one in data.get("side", ())):
        return ()
    built = _everyday("floor", _where(data, "floor", {}))
    hint = "One for all you play here. Empty: what goes into it is not counted."
    stands = Field(f"{_ROOMS}floor", "What does it stand on?", "choice", built, hint)
    return stands, _lies(f"{_ROOMS}covering")


def _lies(key: str) -> Field:
    """What lies on a floor."""
    known = (("", "nothing, or not known"), *_same(tuple(impacts.coverings())))
    return Field(key, "What lies on that floor?", "pick", known)


def _put(table: Mapping[str, Any]) -> tuple[str, ...]:
    """What usually goes into the floor of what is played."""
    try:
        return tuple(one.name for one in noises.resolve(str(table.get("source", "")), None, part="own").floor)
    except ValueError:
        return ()


def _neighbour(sides: Sequence[str], table: Mapping[str, Any]) -> list[Field]:
    return [
        Field("name", "Who is it?"),
        Field("through", "Behind what?", "several", _same(sides)),
        Field("background", "How quiet is it there?", hint="such as 25 dBA"),
        Field("size", "How large is their room?", "size", (), "empty: a usual one", "4 m x 3.5 m x 2.6 m"),
        Field("limit", "What may be heard there?", hint="such as 30 dBA at night; empty: nothing agreed"),
        Field("distance", "If they are outdoors or across: how far away?", "size", (), "", "14 m"),
        *(_facade() if "distance" in table else ()),
    ]


def _facade() -> list[Field]:
    """The window that somebody across is behind."""
    panes = _same(everyday.usual_words("window"))
    return [
        Field("facade.construction", "What window are they behind?", "choice", panes, "Empty: outdoors."),
        Field("facade.area", "How large is it?", "size", (), "", "1.2 m x 1.4 m"),
        Field("facade.frame", "How wide is its frame?", "size", (), "", "80 mm"),
        Field("facade.open", "How does it stand?", "pick", tuple(_OPEN.items())),
    ]


def _room() -> list[Field]:
    return [
        Field("size", "How large? Length x width x height", "size", (), "", "4.1 m x 3.2 m x 2.5 m"),
        Field("furnishing", "How is it furnished?", "pick", tuple(_FURNISHED.items())),
        Field("background", "How quiet is it between the noises?", hint="such as 25 dBA, or NC 20"),
        Field("region", "Which country?", hint="such as UK; the same word means another wall elsewhere"),
        Field("built", "When was it built?", hint="such as 1930s"),
        Field("people", "How many people breathe in it?", "number"),
    ]  # fmt: skip


def _vent(sides: Sequence[str], table: Mapping[str, Any]) -> list[Field]:
    return [
        Field(
            "tested" if isinstance(table.get("tested"), str) else "opening",
            "What is it, or how large is the hole?",
            "size",
            _same(everyday.usual_words("vent")),
            'a slot as width x height, or a data sheet: "Dn,e,w 38 (-1; -3)"',
            "100 mm",
        ),
        Field("side", "Through which wall or window?", "pick", _same(sides)),
        Field("length", "How long is the way through?", "size", (), "empty: a usual one", "0.3 m"),
        Field("lining", "How thick is absorbent on its walls?", "size", (), "empty: none", "25 mm"),
        Field("box", "A lined box in its way? Its size inside", "size", (), "", "0.6 m x 0.3 m x 0.3 m"),
        Field("box_lining", "How thick is its lining?", "size", (), "", "50 mm"),
        Field("name", "What do you call it?"),
    ]


def fields(data: Mapping[str, Any], kind: str, table: Mapping[str, Any]) -> list[Field]:
    """What is asked of a part of this kind."""
    sides = [str(one.get("name", "")) for one in data.get("side", ())]
    words = list(dict.fromkeys(str(one.get("faces", "")) for one in data.get("side", ())))
    asked = {
        "room": _room, "side": lambda: _side(data, table, words), "noise": lambda: _noise(words),
        "own": lambda: _own(data, table), "neighbour": lambda: _neighbour(sides, table),
        "vent": lambda: _vent(sides, table),
    }  # fmt: skip
    if kind not in asked:
        raise InputError(f"where: no part with a card (got {shown(kind)}); write one of {', '.join(asked)}")
    return asked[kind]()


def offered(data: Mapping[str, Any], where: Sequence[str | int]) -> tuple[str, ...]:
    """The constructions a side's card offers, in its words."""
    return tuple(everyday.usual_words(part_of(at(data, where)[1])))


def at(data: Mapping[str, Any], where: Sequence[str | int]) -> tuple[str, Mapping[str, Any]]:
    """The kind and the table of a part: ("room",) or ("side", 0); of what is played with the room's, whose
    floor it stands on."""
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
    return kind, {**table, "room": data.get("room", {})} if kind == "own" else table


def card(
    data: Mapping[str, Any], room: Room, where: Sequence[str | int], *, feet: bool = False
) -> dict[str, Any]:
    """A part's card: its title, its fields with their values, and what was taken for what is not said."""
    kind, table = at(data, where)
    name = str(table.get("name", table.get("source", "the room")))
    heads = (f"{name}: ", *(["floor: "] if kind == "own" else []))
    told = [note.removeprefix(head) for note in room.notes for head in heads if note.startswith(head)]
    asked = [one.with_value(table, feet=feet) for one in fields(data, kind, table)]
    built = [room.sides[int(where[1])].construction] if kind == "side" else []
    return {
        "title": "The room" if kind == "room" else name, "where": list(where), "told": told, "fields": asked,
        "removable": kind != "room", "section": "".join(sections.drawn(built)),
        "layers": "".join(map(layers, built)),
    }  # fmt: skip


def values(
    data: Mapping[str, Any], where: Sequence[str | int], said: Mapping[str, object], *, feet: bool = False
) -> dict[str, Any]:
    """What was said on a card as the file has it: what differs from it, by key."""
    kind, table = at(data, where)
    known = {one.key: one for one in fields(data, kind, table)}
    other = [key for key in said if key not in known]
    if other:
        raise InputError(f"{other[0]}: nothing this card asks; write one of {', '.join(known)}")
    found = {key: known[key].value(one, feet=feet) for key, one in said.items()}
    if kind in _SOUNDS and found.get("source") and "name" not in found and _unnamed(table):
        others = [one for i, one in enumerate(data[kind]) if i != where[1]]
        found["name"] = _named(str(found["source"]), others, unless=True)
    if kind == "side" and found.get("name"):
        found |= _still(table, found)
    return {key: one for key, one in found.items() if one != _within(table, key)}


_FAULT = re.compile(  # noise[1].faces: ...
    r"(?:^|: )(room|side|noise|own|neighbour|vent)(?:\[(\d+)\])?\.([a-z_.]+)(?:\[\d+\]\.\w+)?: "
)
_SILENT = "nothing would be left to hear: add another noise or instrument first"


def in_words(data: Mapping[str, Any], where: Sequence[str | int], faults: Sequence[str]) -> tuple[str, ...]:
    """Faults of tables told by what their cards ask, not by the file's keys; whose, where it is not that of
    the card at `where`."""
    return tuple(_said(data, where, fault) for fault in faults)


def _said(data: Mapping[str, Any], where: Sequence[str | int], fault: str) -> str:
    if "noise: nothing to hear" in fault:
        return _SILENT
    found = _FAULT.search(fault)
    if found is None:
        return fault
    its: tuple[str | int, ...] = (found[1], int(found[2]) - 1) if found[2] else (found[1],)
    key = found[3]
    if its == ("room",) and tuple(where[:1]) == ("own",) and f"{_ROOMS}{key}" in _asked(data, where):
        its, key = tuple(where), f"{_ROOMS}{key}"  # what an instrument stands on
    try:
        asked, table = _asked(data, its), at(data, its)[1]
    except InputError:
        return fault
    if key not in asked:
        return fault
    rest = fault[found.end() :]
    for other, words in asked.items():  # "write at = ..."
        rest = re.sub(rf"\b{re.escape(other)} = ", f"“{words}” ", rest)
    whose = "" if its == tuple(where) else f"{table.get('name', table.get('source', its[0]))}: "
    return f"{whose}{asked[key].rstrip('?')}: {rest}"


def _asked(data: Mapping[str, Any], where: Sequence[str | int]) -> dict[str, str]:
    """What the card of a part asks, by key."""
    return {one.key: one.asked for one in fields(data, *at(data, where))}


_SOUNDS = ("noise", "own")


def _still(table: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, str]:
    """What a side is made of, said of the part its name told of, where its `new` name tells of none."""
    faces, words = str(new.get("faces", table["faces"])), new.get("construction", table.get("construction"))
    part = everyday.part_named(str(table.get("name", "")), str(table["faces"]))
    if part is None or not isinstance(words, str) or everyday.part_named(str(new["name"]), faces):
        return {}
    return {"construction": f"{part}, {words}"} if words in everyday.usual_words(part) else {}


def _unnamed(table: Mapping[str, Any]) -> bool:
    """Whether a sound is called after what it is."""
    name, source = str(table.get("name", "")), str(table.get("source", ""))
    return not name or re.sub(r" \d+$", "", name) == source


def _named(name: str, others: Sequence[Mapping[str, Any]], *, unless: bool = False) -> str | None:
    """A name that no other has, with a number where it must; `unless` it must None."""
    taken = {str(one.get("name", one.get("source"))) for one in others}
    if unless and name not in taken:
        return None
    return next(one for one in (name, *(f"{name} {i}" for i in range(2, 1000))) if one not in taken)


# --- new parts ---

_UNKNOWN = {"construction": everyday.DONT_KNOW}
_NEW: dict[str, tuple[str, dict[str, Any]]] = {
    "window": ("side", {**_UNKNOWN, "area": "1.2 m x 1.4 m", "seal": "partly sealed"}),
    "door": ("side", {**_UNKNOWN, "area": "0.8 m x 2.0 m", "seal": "unsealed", "threshold": "unsealed"}),
    "wall": ("side", {**_UNKNOWN, "area": "8 m2"}),
    "ceiling": ("side", {**_UNKNOWN, "area": ""}),
    "floor": ("side", {**_UNKNOWN, "area": ""}),
    "vent": ("vent", {"opening": everyday.DONT_KNOW}),
    "noise": ("noise", {"source": "traffic"}),
    "instrument": ("own", {"source": "clarinet"}),
    "neighbour": ("neighbour", {"background": "25 dBA"}),
}
ADDED = tuple(_NEW)
BUILT = tuple(what for what, (kind, _) in _NEW.items() if kind == "side")


def new(data: Mapping[str, Any], room: Room, what: str) -> tuple[str, dict[str, Any]]:
    """The list a new window, noise or the like belongs to, and its table with what is usual; it is told more
    of on its card."""
    if what not in _NEW:
        known = ", ".join(_NEW)
        raise InputError(f"what: nothing that can be added (got {shown(what)}); write one of {known}")
    kind, usual = _NEW[what]
    sound, others = kind in _SOUNDS, data.get(kind, ())
    name = _named(usual["source"] if sound else what, others, unless=sound)  # a sound is called what it is
    found: dict[str, Any] = {} if name is None else {"name": name}
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
