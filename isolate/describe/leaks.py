"""Leaks in words: "unsealed" under a door, "draught-stripped" sash, from constructions/leaks.toml.

Each is a slit with the same effect, its width a range: nobody can measure a fifth of a millimetre
round a wall, but everybody knows whether there is a bead of sealant.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from isolate.describe import catalogue
from isolate.describe.materials import Range, varying
from isolate.describe.reading import Faults, Table, flag, nearest, one_of, quantity, read_toml, text
from isolate.describe.sayings import key_of, listed_words
from isolate.errors import shown

SEALS = ("sealed", "draught-stripped", "partly sealed", "unsealed")
BASES = ("read", "memory", "practice", "derived")
_WORDS = {
    "tight": "sealed", "caulked": "sealed", "airtight": "sealed", "weatherstripped": "draught-stripped",
    "weather stripped": "draught-stripped", "draughtstripped": "draught-stripped",
    "draft stripped": "draught-stripped", "brush": "draught-stripped", "half sealed": "partly sealed",
    "partially sealed": "partly sealed", "one bead": "partly sealed", "open": "unsealed",
    "none": "unsealed", "no seal": "unsealed",
}  # fmt: skip
_PLACES = {
    "door": "door edge", "door frame": "door edge", "door undercut": "under the door",
    "undercut": "under the door", "threshold": "under the door", "under door": "under the door",
    "window": "window sash", "sash": "window sash", "wall edge": "perimeter", "wall": "perimeter",
    "edge": "perimeter", "outlet": "socket", "light switch": "socket", "switch": "socket",
    **dict.fromkeys(("letterbox", "letter plate", "letter flap", "mail slot", "mailbox"), "letter box"),
    **dict.fromkeys(
        ("catflap", "cat door", "dog flap", "dog door", "doggie door", "doggy door", "pet flap", "pet door"),
        "cat flap",
    ),
    "key hole": "keyhole",
}  # fmt: skip
HOLES = ("letter box", "cat flap", "keyhole")  # places cut into what they are in


@dataclass(frozen=True)
class Leak:
    """A slit with the effect of a leak. `width` (low, typical, high), `depth` [m]; `length` [m] of one,
    None where it is as long as its place (the edge of a wall, a door's three sides)."""

    place: str
    seal: str
    width: Range
    depth: float
    length: float | None
    at_edge: bool
    source: str
    basis: str


def seal(value: object) -> str:
    """Converter: a state of a seal, usual other words understood, and those that tell it of a whole part."""
    word = text(value)
    if catalogue.tidy(word) not in _WORDS and word not in SEALS:
        said = set(key_of(word, listed_words().forms))
        word = next((one for one, told in listed_words().seals.items() if said in told), word)
    return _named(word, SEALS, _WORDS, "state of a seal")


def _read(table: Table) -> Leak:
    none = Range(0.0, 0.0, 0.0)
    return Leak(
        table.need("place", text, "", "say where the leak is"),
        table.need("seal", seal, "", f"write one of {', '.join(SEALS)}"),
        table.need("width", varying(quantity("length")), none, "write low, typical and high"),
        table.need("depth", quantity("length"), 0.0, "write the way through, such as 40 mm"),
        table.get("length", quantity("length")),
        table.get("at_edge", flag) or False,
        table.need("source", text, "", "say where the widths come from"),
        table.need("basis", one_of(BASES), "", f"write one of {', '.join(BASES)}"),
    )


@cache
def leaks() -> Mapping[tuple[str, str], Leak]:
    """All leaks by (place, seal), read once; InputError with every fault of leaks.toml."""
    faults = Faults(path := catalogue.root() / "leaks.toml")
    found = [_read(table) for table in faults.root(read_toml(path)).tables("leak")]
    faults.stop()
    return MappingProxyType({(leak.place, leak.seal): leak for leak in found})


def places() -> tuple[str, ...]:
    """The places that are known, in the file's order."""
    return tuple(dict.fromkeys(place for place, _ in leaks()))


def find(place: str, state: str) -> Leak:
    """The leak at a place in a state of its seal; usual other words are understood.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``, to be put behind the key it came from.

    Examples
    --------
    >>> find("undercut", "open").width.typical
    0.008
    """
    where = _named(place, places(), _PLACES, "place of a leak")
    sealed = seal(state)
    if (where, sealed) not in leaks():
        known = [s for p, s in leaks() if p == where]
        raise ValueError(f"a {where} is never {sealed} (got {shown(state)}); write {' or '.join(known)}")
    return leaks()[where, sealed]


def hole(word: str) -> str | None:
    """The place of a hole that is cut into a door or window, None where a word means none."""
    tidy = catalogue.tidy(word)
    place = _PLACES.get(tidy, tidy)
    return place if place in HOLES else None


def _named(word: str, known: tuple[str, ...], others: Mapping[str, str], what: str) -> str:
    tidy = catalogue.tidy(word)
    names = {catalogue.tidy(name): name for name in known} | dict(others)
    if tidy not in names:
        raise ValueError(f"no {what} (got {shown(word)}); {nearest(word, (*known, *others))}")
    return names[tidy]
