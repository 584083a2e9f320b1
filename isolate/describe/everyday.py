"""What people call the parts of a home, noises and instruments: words of `constructions/everyday.toml`.

A word stands for the likeliest construction or noise of its region and age, with what it may be instead and
how to find out. The list is read when a name is in no catalogue, not before.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from isolate.describe import catalogue, leaks
from isolate.describe.reading import (
    Faults,
    Table,
    flag,
    label,
    list_of,
    number,
    one_of,
    read_toml,
    text,
    tidy,
)
from isolate.units import shown

PARTS = (
    "window", "outer wall", "inner wall", "party wall", "door", "floor", "ceiling", "noise", "own", "vent",
)  # fmt: skip
BUILT = PARTS[:-3]
_SOUNDS = ("noise", "own")
_WALLS = ("outer wall", "party wall", "inner wall")
# Where else a word is looked for: the like of a part of a house, and what may stand in its place.
_ALIKE = {
    "window": ("door",), "door": ("window",), "floor": ("ceiling",), "ceiling": ("floor", "window"),
    "noise": ("own",), "own": ("noise",), "vent": (),
    **{wall: (*(one for one in _WALLS if one != wall), "window", "door") for wall in _WALLS},
}  # fmt: skip
DONT_KNOW = "don't know"
_JOINING = frozenset(("a", "an", "and", "at", "in", "my", "of", "on", "the", "with"))
_RENEWED = 1985  # windows last some 40 years (common practice, no source)
_DATE = re.compile(r"\b(1[5-9]\d\d|20\d\d)s?\b(?!\s*mm)")
_TURNED = frozenset(("but", "except", "instead", "never", "no", "non", "not", "or", "removed", "without"))
_UNREAD = 2  # words of a saying that may say nothing
_MARKS = str.maketrans({**dict.fromkeys(".,'’\"()?"), **dict.fromkeys("/-_", " "), "&": " and "})
_DATED = ("about", "after", "around", "before", "built", "circa", "from", "since")
_CLOSE, _SLIP = 0.75, 0.88  # of 1: spelt alike, and so alike that it is a slip of the keys
_WITH = re.compile(r"[\s,]+(?:with|and|plus)\s+", re.IGNORECASE)
_ARTICLE = re.compile(r"^(?:an?|the|its|one)\s+", re.IGNORECASE)
_YEAR = re.compile(
    r"(?:built|fitted|from|about|around|in|c\.?|ca\.?)?\s*(before|until|after|since)?\s*(1[5-9]\d\d|20\d\d)(s)?"
    r"(?:\s*(?:-|–|to)\s*(1[5-9]\d\d|20\d\d))?",
)


@dataclass(frozen=True)
class Where:
    """Where and when something was built: the list's name of the `region`, and the `year`; None: not said."""

    region: str | None = None
    year: int | None = None

    def of(self, part: str | None, fitted: int | None) -> Where:
        """The same of one part of the house, of the year it was `fitted` in if that is said; windows of older
        houses have been renewed, nobody knows when."""
        renewed = part == "window" and self.year is not None and self.year < _RENEWED
        return Where(self.region, fitted or (None if renewed else self.year))


ANYWHERE = Where()


@dataclass(frozen=True)
class Meaning:
    """What a `word` most likely is: `means` a name or layers, `share` of cases [%] by judgement, `perhaps`
    what it may be instead, `tell` how to find out, `about` it; `seal` of its joints when nobody says,
    `level` and `at` of a sound, `at` the way through a vent. `refuse`: why nothing stands for it. `asks`:
    what it goes by that was not said. `seldom` said, so that it is offered nowhere. `unread`: words of the
    saying that nothing is known of; `laid`: the covering that was said with a floor, which is not in it."""

    word: str
    part: str
    means: str
    share: float | None = None
    perhaps: tuple[str, ...] = ()
    tell: str = ""
    about: str = ""
    seal: str | None = None
    level: str | None = None
    at: str | None = None
    refuse: str = ""
    asks: tuple[str, ...] = ()
    seldom: bool = False
    unread: tuple[str, ...] = ()
    laid: str = ""

    @property
    def note(self) -> str:
        """What was taken for it and how to be surer, in a sentence."""
        left = f" (nothing known of {', '.join(map(shown, self.unread))})" if self.unread else ""
        odds = "" if self.share is None else f", the likeliest ({self.share:.0f} % by judgement)"
        otherwise = f"; else {' or '.join(self.perhaps)}" if self.perhaps else ""
        more = f"; {' and '.join(self.asks)} in [room] would make it surer" if self.asks else ""
        tell = f". {self.tell.rstrip('.')}" if self.tell else ""
        about = f". {self.about[0].upper()}{self.about[1:]}" if self.about else ""
        about += f'. What lies on it is not in that: covering = "{self.laid}" counts it' if self.laid else ""
        return f'"{self.word}"{left} taken as {self.means}{odds}{otherwise}{more}{tell}{about}'


@dataclass(frozen=True)
class _Entry:
    usual: Meaning
    words: tuple[str, ...]
    where: tuple[Mapping[str, Any], ...]

    def meaning(self, word: str, where: Where) -> Meaning:
        for case in self.where:
            if _fits(case, where):
                found = {key: case[key] for key in ("means", "share", "perhaps") if case.get(key) is not None}
                return _with(self.usual, word=word, **found)
        by_region = where.region is None and any(case["region"] for case in self.where)
        by_age = where.year is None and any(case["from"] or case["to"] for case in self.where)
        asks = ("region",) * by_region + ("built",) * by_age
        return _with(self.usual, word=word, asks=asks)


def _with(usual: Meaning, **changes: Any) -> Meaning:
    return Meaning(**{**vars(usual), **changes})


def _fits(case: Mapping[str, Any], where: Where) -> bool:
    since, until = case.get("from"), case.get("to")
    if case.get("region") and where.region not in case["region"]:
        return False
    if (since or until) and where.year is None:
        return False
    return where.year is None or (since or 0) <= where.year < (until or 9999)


@dataclass(frozen=True)
class _Words:
    """The list: entries by part and words, regions by all their names, forms, words that say no more, and
    what tells an age, how tight something shuts or what lies on a floor, by the value it tells."""

    entries: Mapping[tuple[str, tuple[str, ...]], _Entry]
    regions: Mapping[str, str]
    forms: Mapping[str, str]
    besides: Mapping[str, frozenset[str]]
    ages: Mapping[str, tuple[frozenset[str], ...]]
    seals: Mapping[str, tuple[frozenset[str], ...]]
    laid: Mapping[str, tuple[frozenset[str], ...]]


@cache
def _listed() -> _Words:
    """Everything in the list, read once; InputError with every fault of it."""
    path = catalogue.root() / "everyday.toml"
    faults = Faults(path)
    root = faults.root(read_toml(path))
    root.need("source", text, "", "say where it comes from"), root.need("basis", label, "", "write judgement")
    regions: dict[str, str] = {}
    for table in root.tables("region"):
        name, also = table.need("name", label, "", "name it"), table.get("also", list_of(label)) or []
        regions.update({tidy(word): name for word in (name, *also)})
    forms = _plain_words(root.table("forms"), label)
    besides = _plain_words(root.table("besides"), lambda value: _besides(list_of(label)(value), forms))
    known = set(regions.values())
    entries: dict[tuple[str, tuple[str, ...]], _Entry] = {}
    for table in root.tables("word", most=1000):
        entry = _entry(table, known)
        for word in entry.words:
            key = (entry.usual.part, _key(word, forms))
            if entries.get(key, entry) is not entry:
                table.fault("words", f"{shown(word)} comes twice among {key[0]}s; write it once")
            entries[key] = entry
    ages, seals, laid = (
        _plain_words(root.table(key), lambda value: _phrases(list_of(label)(value), forms))
        for key in ("ages", "seals", "laid")
    )
    faults.stop()
    return _Words(entries, regions, forms, besides, ages, seals, laid)


def _plain_words(table: Table | None, convert: Any) -> dict[str, Any]:
    return {} if table is None else {key: table.get(key, convert) for key in table.data}


def _entry(table: Table, regions: set[str]) -> _Entry:
    part = table.need("part", one_of(PARTS), PARTS[0], f"write one of {', '.join(PARTS)}")
    words = tuple(table.get("words", list_of(label)) or ())
    if not words:
        table.fault("words", "missing; write what people say")
    refuse = table.get("refuse", text) or ""
    means = table.get("means", label) or ""
    if bool(means) == bool(refuse):
        table.fault("means", "missing, or given beside refuse; write one of both")
    share, perhaps = _odds(table)
    usual = Meaning(
        words[0] if words else "", part, means, share, perhaps, table.get("tell", text) or "",
        table.get("about", text) or "", table.get("seal", label), table.get("level", label),
        table.get("at", label), refuse, seldom=table.get("seldom", flag) or False,
    )  # fmt: skip
    cases = []
    for inner in table.tables("where"):
        share, perhaps = _odds(inner)
        region = inner.get("region", list_of(one_of(regions)))
        case: dict[str, Any] = {"region": region, "from": inner.get("from", number(1500, 2100))}
        case |= {"to": inner.get("to", number(1500, 2100)), "share": share, "perhaps": perhaps or None}
        cases.append(case | {"means": inner.need("means", label, "", "say what it is there")})
    return _Entry(usual, words, tuple(cases))


def _odds(table: Table) -> tuple[float | None, tuple[str, ...]]:
    return table.get("share", number(1.0, 100.0)), tuple(table.get("perhaps", list_of(label, 8)) or ())


def _key(word: str, forms: Mapping[str, str]) -> tuple[str, ...]:
    """The words of a saying, each in its usual form and in no order, without those that only join them."""
    words = _plain(word).split()
    return tuple(sorted(_one_form(one, forms) for one in words if one not in _JOINING or len(words) == 1))


def _plain(word: str) -> str:
    """A saying in lower case without marks and accents."""
    if not word.isascii():
        word = "".join(one for one in unicodedata.normalize("NFKD", word) if not unicodedata.combining(one))
    return " ".join(word.casefold().translate(_MARKS).split())


def _one_form(word: str, forms: Mapping[str, str]) -> str:
    """A word in its usual form, of several things as of one."""
    known = forms.get(word, word)
    one = known[:-1] if len(known) > 3 and known.endswith("s") and not known.endswith("ss") else known
    return forms.get(one, one)


def _besides(words: list[str], forms: Mapping[str, str]) -> frozenset[str]:
    return frozenset(_one_form(one, forms) for one in words)


def _phrases(sayings: list[str], forms: Mapping[str, str]) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(_key(one, forms)) for one in sayings)


def find(word: str, *, part: str | None = None, where: Where = ANYWHERE) -> Meaning | None:
    """What an everyday word means, or None.

    part: one of `PARTS`, what it is said of; first of all the meaning there, then of what is like it. None:
    any part of a house, unless the word says which.

    Raises
    ------
    ValueError
        "don't know" of nobody knows what.
    """
    listed = _listed()
    said = DONT_KNOW if word.strip(" ?") == "" else word
    tokens, seal = _key(said, listed.forms), None
    hint = part or part_named(said)
    entry = _entry_of(tokens, said, hint)
    if entry is None and hint not in (*_SOUNDS, "vent"):
        tokens, since, seal = _asides(said)
        where = replace(where, year=since or where.year)
        entry = _entry_of(tokens or _key(DONT_KNOW, {}), said, hint) if since or seal else None
    if entry is None and hint in _SOUNDS and (sound := _sound(word, hint)) is not None:
        return sound
    unread: tuple[str, ...] = ()
    if entry is None and hint is not None:
        entry, unread = _within(tokens, hint)
    if entry is None:
        return None
    if hint is None and DONT_KNOW in entry.words:
        raise ValueError(f'{shown(word)} of what?; write "window, don\'t know", or door ...')
    laid = _laid_on(said) if entry.usual.part in ("floor", "ceiling") else ""
    meant = replace(entry.meaning(" ".join(word.split()), where), unread=unread, laid=laid)
    return meant if seal is None else replace(meant, seal=seal)


def _laid_on(said: str) -> str:
    """The covering a saying names beside the floor itself, empty for none."""
    listed = _listed()
    beside = set(_key(said, listed.forms))
    return next((name for name, words in listed.laid.items() if any(one <= beside for one in words)), "")


def _entry_of(tokens: tuple[str, ...], said: str, hint: str | None) -> _Entry | None:
    """The entry of these words, of the part that is hinted at or of its like."""
    listed = _listed()
    about = listed.besides.get(hint or "", frozenset())  # of "neighbour's drums", as a noise
    for one in _order(hint):
        if one in ("window", "door") and hint not in (None, "window", "door") and part_named(said) != one:
            continue  # a garden office is no door, though a garden door is one
        besides = listed.besides.get(one, frozenset()) | (about if hint in _SOUNDS else frozenset())
        for key in _keys(tokens, besides, hinted=one == hint):
            if (entry := listed.entries.get((one, key))) is not None:
                return entry
    return None


def _within(tokens: tuple[str, ...], part: str) -> tuple[_Entry | None, tuple[str, ...]]:
    """The one entry of a part whose words are the most within these, and the few words that are then left
    unread; none where a word turns the meaning round, where a number or a word left says more, and where
    one is a slip of the keys."""
    listed = _listed()
    if _TURNED.intersection(tokens) or any(map(str.isdigit, "".join(tokens))):
        return None, ()
    best: dict[int, tuple[tuple[str, ...], _Entry]] = {}
    for one in _like(part):
        besides = listed.besides.get(one, frozenset())
        there = [
            (key, entry) for (each, key), entry in listed.entries.items()
            if each == one and DONT_KNOW not in entry.words and set(key).issubset(tokens)
            and not besides.issuperset(key) and (one == part or len(key) > 1)
        ]  # fmt: skip
        longest = max((len(key) for key, _ in there), default=0)
        if longest > max((len(key) for key, _ in best.values()), default=0):
            best = {id(entry): (key, entry) for key, entry in there if len(key) == longest}
        if best and part not in ("window", "door"):
            break  # a French door is listed among windows
    if len(best) != 1:
        return None, ()
    ((key, entry),) = best.values()
    besides = listed.besides.get(part, frozenset()) | listed.besides.get(entry.usual.part, frozenset())
    unread = tuple(one for one in tokens if one not in key and one not in besides)
    others = (listed.entries.get((part, (one,)), entry) for one in unread)
    words = {word for one, key in listed.entries if one == part for word in key}
    slips = (difflib.get_close_matches(one, words, n=1, cutoff=_SLIP) for one in unread if one not in words)
    asked = len(unread) > _UNREAD or any(one is not entry for one in others) or any(slips)
    return (None, ()) if asked else (entry, unread)


def _asides(said: str) -> tuple[tuple[str, ...], int | None, str | None]:
    """The words of a saying without those that tell when it was built or how tight it shuts, and both."""
    listed, told = _listed(), []
    tokens = _key(said, listed.forms)
    left, date = set(tokens), _DATE.search(_plain(said))
    if date is not None:
        left -= {_one_form(date[0], listed.forms), *_DATED}
    for known in (listed.ages, listed.seals):
        found = [(value, one) for value, phrases in known.items() for one in phrases if one <= left]
        value, words = max(found, key=lambda pair: len(pair[1]), default=(None, frozenset()))
        left -= words
        told.append(value)
    age, seal = told
    since = year(date[0]) if date else int(age) if age else None
    return tuple(one for one in tokens if one in left), since, seal


def apart(saying: str) -> tuple[str, tuple[str, ...]]:
    """A saying without the holes that come with it, and these: "front door", ("letter box",) of "front door
    with a letter box"."""
    for found in _WITH.finditer(saying):
        named = re.split(r"\s*,\s*|\s+and\s+", saying[found.end() :].strip())
        holes = [_ARTICLE.sub("", one) for one in named]
        if all(map(_is_hole, holes)):
            return saying[: found.start()].strip(), tuple(holes)
    return saying, ()


def _is_hole(word: str) -> bool:
    entry = _listed().entries.get(("vent", _key(word, _listed().forms)))
    return leaks.hole(word) is not None or (entry is not None and bool(entry.usual.means))


def likely(word: str, part: str | None = None) -> str:
    """What to write in place of a saying that means nothing of a part of the house, or of any: the end of a
    message. A slip of the keys is told first, then names of the catalogue that hold all its words, then what
    is said within it, then what is spelt alike; else what is usual."""
    forms, tokens = _listed().forms, set(_key(word, _listed().forms))
    parts = _like(part)
    there = [one for each in parts for one in said(each)]
    within = [one for one in there if tokens.issuperset(_key(one, forms))]
    longest = max((len(_key(one, forms)) for one in within), default=0)
    folders = ("noises",) if part in _SOUNDS else catalogue.CONSTRUCTION_FOLDERS
    named, others = sorted(catalogue.names(*folders), key=len), () if part in _SOUNDS else said()
    alike = difflib.get_close_matches(tidy(word), [*there, *named, *others], n=3, cutoff=_CLOSE)
    near = (
        [one for one in alike if difflib.SequenceMatcher(None, tidy(word), one).ratio() >= _SLIP]
        or [one for one in named if tokens.issubset(_key(one, forms))]
        or [one for one in within if len(_key(one, forms)) == longest]
        or alike
    )
    if near:
        return "did you mean " + " or ".join(map(shown, list(dict.fromkeys(near))[:3])) + "?"
    usual = usual_words(part)[:4] if part else ["double glazing", "brick", "fire door"]
    such = ", ".join(map(shown, usual))
    if part in _SOUNDS:
        return f"write what it sounds like, such as {such}"
    return f'write it in other words, such as {such} or "{DONT_KNOW}", or its layers ("glass 6 mm")'


def _sound(word: str, part: str) -> Meaning | None:
    """A sound of the catalogue, said with words that say no more of it: "my clarinet", "dogs next door"."""
    listed = _listed()
    said = [(one, _one_form(one, listed.forms)) for one in _plain(word).split()]
    rest = [pair for pair in said if not listed.besides.get(part, frozenset()).intersection(pair)]
    for names in zip(*rest, strict=True) if rest else ():
        path = catalogue.find(" ".join(names), ("noises",))
        if path is not None:
            return Meaning(" ".join(word.split()), part, path.stem)
    return None


def bare_words(saying: str) -> frozenset[str]:
    """The words of a saying, each in its usual form."""
    return frozenset(_key(saying.replace(";", " ").replace(":", " "), _listed().forms))


def is_word(word: str) -> bool:
    """Whether a saying names a part of a house."""
    try:
        return find(word) is not None
    except ValueError:
        return False


def _order(hint: str | None) -> tuple[str, ...]:
    """Parts to look in: what is hinted at, then its like."""
    return BUILT if hint is None else (hint, *_ALIKE[hint])


def _like(part: str | None) -> tuple[str, ...]:
    """Parts whose words may be meant; of walls not windows and doors, which say what they are."""
    opening = part in (None, "window", "door")
    return tuple(one for one in _order(part) if opening or one not in ("window", "door"))


def _keys(tokens: tuple[str, ...], besides: frozenset[str], *, hinted: bool) -> Iterator[tuple[str, ...]]:
    """The saying itself, then without words that say no more, then such a word alone ("uPVC window"); of the
    part that is hinted at nothing is known where all words say no more ("party wall", "bay window")."""
    yield tokens
    rest = tuple(one for one in tokens if one not in besides)
    if rest:
        yield rest
        return
    yield from ((one,) for one in tokens)
    if hinted:
        yield _key(DONT_KNOW, {})


# Words in the name of a side, or in a saying, that tell which part of a house it is.
_NAMED = {
    "window": ("window", "pane", "glazing", "glazed", "skylight", "rooflight", "glass"),
    "door": ("door", "hatch"),
    "ceiling": ("ceiling", "roof", "loft"),
    "floor": ("floor",),
}
_SHARED = (
    "party", "neighbour", "neighbor", "flat", "next door", "apartment", "shared", "common", "demising",
    "separating",
)  # fmt: skip
_OUTSIDE = (
    "street", "road", "yard", "garden", "outside", "outdoors", "outdoor", "square", "lane", "field", "park",
    "outer", "facade", "railway", "front", "back", "external", "exterior", "court",
)  # fmt: skip


def part_named(name: str, faces: str = "") -> str | None:
    """The part of a house that a side's name tells of, of a wall with the word it faces; None if none."""
    words = re.findall(r"\w+", name.casefold())
    stems = {*words, *(one.removesuffix("s") for one in words)}
    part = next((part for part, known in _NAMED.items() if stems.intersection(known)), None)
    if part is not None or not stems.intersection(("wall", "partition")):
        return part
    about = f" {name} {faces} ".casefold()
    if any(f" {word}" in about for word in _SHARED):
        return "party wall"
    return "outer wall" if any(f" {word}" in about for word in _OUTSIDE) else "inner wall"


def said(part: str | None = None) -> list[str]:
    """All words but "don't know", of one part of a house or of every."""
    entries = {id(entry): entry for entry in _listed().entries.values()}.values()
    parts = BUILT if part is None else (part,)
    kept = [one for one in entries if one.usual.part in parts and DONT_KNOW not in one.words]
    return [word for entry in kept for word in entry.words]


def usual_words(part: str) -> list[str]:
    """One word for each thing of a part of a house that has a meaning and is not seldom: the first people
    say."""
    entries = {id(entry): entry.usual for entry in _listed().entries.values()}.values()
    return [one.word for one in entries if one.part == part and not (one.refuse or one.seldom)]


def meanings(part: str) -> set[str]:
    """What the words of a part stand for, wherever and whenever."""
    entries = [entry for entry in _listed().entries.values() if entry.usual.part == part]
    return {entry.usual.means for entry in entries} | {
        case["means"] for entry in entries for case in entry.where
    }


def region(value: object) -> str:
    """Converter: a country or region of the list."""
    word, known = label(value), _listed().regions
    if tidy(word) not in known:
        told: dict[str, str] = {}
        for said, name in known.items():
            if len(said) > len("usa"):
                told.setdefault(name, said.title())
        names = ", ".join(f"{name} ({said})" for name, said in told.items())
        raise ValueError(f"no region of the list (got {shown(value)}); write one of {names}, or leave it out")
    return known[tidy(word)]


def year(value: object) -> int:
    """Converter: a year such as 1935, "1930s", "before 1920" or "1960-1980"; of a span its middle."""
    word = str(value) if isinstance(value, int) and not isinstance(value, bool) else text(value).casefold()
    match = _YEAR.fullmatch(word.strip())
    if match is None:
        raise ValueError(f'no year (got {shown(value)}); write one such as "1935", "1930s" or "before 1920"')
    side, first, tens, last = match.groups()
    if last:
        return (int(first) + int(last)) // 2
    shift = -1 if side in ("before", "until") else 5 if tens else 0
    return int(first) + shift
