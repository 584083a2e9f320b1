"""The list of everyday words, `constructions/everyday.toml`: each with what it means where and when, and
words that tell an age, how tight something shuts or nothing at all. Read once, when it is first asked."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from isolate.describe import catalogue
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
from isolate.errors import shown

PARTS = (
    "window", "outer wall", "inner wall", "party wall", "door", "floor", "ceiling", "noise", "own", "vent",
)  # fmt: skip
BUILT = PARTS[:-3]
DONT_KNOW = "don't know"
_JOINING = frozenset(("a", "an", "and", "at", "in", "my", "of", "on", "the", "with"))
_RENEWED = 1985  # windows last some 40 years (common practice, no source)
_MARKS = str.maketrans({**dict.fromkeys(".,'’\"()?"), **dict.fromkeys("/-_", " "), "&": " and "})
_TENS = re.compile(r"(?<![\d'’])['’]?\b([2-9]0s)\b")  # the 70s
_DECADES = {
    "twenties": "1920s", "thirties": "1930s", "forties": "1940s", "fifties": "1950s", "sixties": "1960s",
    "seventies": "1970s", "eighties": "1980s", "nineties": "1990s",
}  # fmt: skip
_OF_TEN = re.compile(r"\b(early|mid|late)[\s-]+(?:the\s+)?(\d{4})s\b")
_INTO = {"early": 2, "mid": 5, "late": 8}  # years
_YEAR = re.compile(
    r"(?:built|fitted|from|about|around|in|c\.?|ca\.?)?\s*(?:the\s+)?(before|until|after|since)?\s*(1[5-9]\d\d|20\d\d)(s)?"
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
    what it goes by that was not said. `gives_way`: it tells how a part opens or where it is, not what it is
    made of, so that words which do go first. `seldom` said, so that it is offered nowhere. `unread`: words of
    the saying that nothing is known of; `laid`: the covering that was said with a floor, not in it."""

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
    gives_way: bool = False
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
class Entry:
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
class Words:
    """The list: entries by part and words, regions by all their names, forms, words that say no more, and
    what tells an age, how tight something shuts or what lies on a floor, by the value it tells."""

    entries: Mapping[tuple[str, tuple[str, ...]], Entry]
    regions: Mapping[str, str]
    forms: Mapping[str, str]
    besides: Mapping[str, frozenset[str]]
    ages: Mapping[str, tuple[frozenset[str], ...]]
    seals: Mapping[str, tuple[frozenset[str], ...]]
    laid: Mapping[str, tuple[frozenset[str], ...]]


@cache
def listed_words() -> Words:
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
    entries: dict[tuple[str, tuple[str, ...]], Entry] = {}
    for table in root.tables("word", most=1000):
        entry = _entry(table, known)
        for word in entry.words:
            key = (entry.usual.part, key_of(word, forms))
            if entries.get(key, entry) is not entry:
                table.fault("words", f"{shown(word)} comes twice among {key[0]}s; write it once")
            entries[key] = entry
    ages, seals, laid = (
        _plain_words(root.table(key), lambda value: _phrases(list_of(label)(value), forms))
        for key in ("ages", "seals", "laid")
    )
    faults.stop()
    return Words(entries, regions, forms, besides, ages, seals, laid)


def _plain_words(table: Table | None, convert: Any) -> dict[str, Any]:
    return {} if table is None else {key: table.get(key, convert) for key in table.data}


def _entry(table: Table, regions: set[str]) -> Entry:
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
        gives_way=table.get("gives_way", flag) or False,
    )  # fmt: skip
    cases = []
    for inner in table.tables("where"):
        share, perhaps = _odds(inner)
        region = inner.get("region", list_of(one_of(regions)))
        case: dict[str, Any] = {"region": region, "from": inner.get("from", number(1500, 2100))}
        case |= {"to": inner.get("to", number(1500, 2100)), "share": share, "perhaps": perhaps or None}
        cases.append(case | {"means": inner.need("means", label, "", "say what it is there")})
    return Entry(usual, words, tuple(cases))


def _odds(table: Table) -> tuple[float | None, tuple[str, ...]]:
    return table.get("share", number(1.0, 100.0)), tuple(table.get("perhaps", list_of(label, 8)) or ())


def key_of(word: str, forms: Mapping[str, str]) -> tuple[str, ...]:
    """The words of a saying, each in its usual form and in no order, without those that only join them."""
    words = plain(word).split()
    return tuple(sorted(one_form(one, forms) for one in words if one not in _JOINING or len(words) == 1))


def plain(word: str) -> str:
    """A saying in lower case without marks and accents."""
    if not word.isascii():
        word = "".join(one for one in unicodedata.normalize("NFKD", word) if not unicodedata.combining(one))
    return " ".join(re.sub(r"\ba/c\b", "ac", word.casefold()).translate(_MARKS).split())


def one_form(word: str, forms: Mapping[str, str]) -> str:
    """A word in its usual form, of several things as of one."""
    known = forms.get(word, word)
    one = known[:-1] if len(known) > 3 and known.endswith("s") and not known.endswith("ss") else known
    return forms.get(one, one)


def _besides(words: list[str], forms: Mapping[str, str]) -> frozenset[str]:
    return frozenset(one_form(one, forms) for one in words)


def _phrases(sayings: list[str], forms: Mapping[str, str]) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(key_of(one, forms)) for one in sayings)


def said(part: str | None = None) -> list[str]:
    """All words but "don't know", of one part of a house or of every."""
    entries = {id(entry): entry for entry in listed_words().entries.values()}.values()
    parts = BUILT if part is None else (part,)
    kept = [one for one in entries if one.usual.part in parts and DONT_KNOW not in one.words]
    return [word for entry in kept for word in entry.words]


def usual_words(part: str) -> list[str]:
    """One word for each thing of a part of a house that has a meaning and is not seldom: the first people
    say."""
    entries = {id(entry): entry.usual for entry in listed_words().entries.values()}.values()
    return [one.word for one in entries if one.part == part and not (one.refuse or one.seldom)]


def meanings(part: str) -> set[str]:
    """What the words of a part stand for, wherever and whenever."""
    entries = [entry for entry in listed_words().entries.values() if entry.usual.part == part]
    return {entry.usual.means for entry in entries} | {
        case["means"] for entry in entries for case in entry.where
    }


def region(value: object) -> str:
    """Converter: a country or region of the list."""
    word, known = label(value), listed_words().regions
    if tidy(word) not in known:
        told: dict[str, str] = {}
        for said, name in known.items():
            if len(said) > len("usa"):
                told.setdefault(name, said.title())
        names = ", ".join(f"{name} ({said})" for name, said in told.items())
        raise ValueError(f"no region of the list (got {shown(value)}); write one of {names}, or leave it out")
    return known[tidy(word)]


def _age(name: str) -> int | None:
    """The year of an age by its name, None where it is none."""
    listed = listed_words()
    said = frozenset(key_of(name, listed.forms))
    return next((int(one) for one, phrases in listed.ages.items() if said in phrases), None)


def year(value: object) -> int:
    """Converter: a year such as 1935, "1930s", "late 70s", "before 1920" or "1960-1980"; of a span its
    middle; or an age by its name, "Victorian"."""
    word = str(value) if isinstance(value, int) and not isinstance(value, bool) else text(value).casefold()
    said = word
    word = " ".join(_DECADES.get(one, one) for one in _TENS.sub(r"19\1", word.strip()).split())
    word = _OF_TEN.sub(lambda found: f"{int(found[2]) + _INTO[found[1]]}", word)
    match = _YEAR.fullmatch(word)
    if match is None and (named := _age(said)) is not None:
        return named
    if match is None:
        raise ValueError(f'no year (got {shown(value)}); write one such as "1935", "1930s" or "before 1920"')
    side, first, tens, last = match.groups()
    if last:
        return (int(first) + int(last)) // 2
    shift = -1 if side in ("before", "until") else 5 if tens else 0
    return int(first) + shift
