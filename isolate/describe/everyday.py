"""What people call the parts of a home, noises and instruments: what their words most likely mean.

A word stands for the likeliest construction or noise of its region and age, with what it may be instead and
how to find out (`isolate/describe/sayings.py`). The list is read when a name is in no catalogue, not before.
"""

from __future__ import annotations

import difflib
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import cache

from isolate.describe import catalogue, leaks
from isolate.describe.reading import tidy
from isolate.describe.sayings import (
    ANYWHERE,
    BUILT,
    DONT_KNOW,
    PARTS,
    Entry,
    Meaning,
    Where,
    key_of,
    listed_words,
    meanings,
    one_form,
    plain,
    region,
    said,
    usual_words,
    year,
)
from isolate.errors import shown
from isolate.units import with_article

__all__ = [
    "ANYWHERE", "BUILT", "DONT_KNOW", "PARTS", "Meaning", "Where", "apart", "bare_words", "find", "is_word",
    "likely", "meanings", "part_named", "region", "usual_words", "year",
]  # fmt: skip
_SOUNDS = ("noise", "own")
_WALLS = ("outer wall", "party wall", "inner wall")
# Where else a word is looked for: the like of a part of a house, and what may stand in its place.
_ALIKE = {
    "window": ("door",), "door": ("window",), "floor": ("ceiling",), "ceiling": ("floor", "window"),
    "noise": ("own",), "own": ("noise",), "vent": (),
    **{wall: (*(one for one in _WALLS if one != wall), "window", "door") for wall in _WALLS},
}  # fmt: skip
_NOUNS = {"window": ("window", "glazing", "glass"), "door": ("door",)}  # words for it that say no more
_DATE = re.compile(r"\b(?:(?:1[5-9]\d\d|20\d\d)s?|[2-9]0s)\b(?!\s*mm)")
_OLD = re.compile(r"\b(\d{1,3}) (?:years?|yrs?) old\b")
_TURNED = frozenset(("but", "except", "instead", "never", "no", "non", "not", "or", "removed", "without"))
_LITTLE = ("board",)  # says too little beside a word that is not known
_UNREAD = 2  # words of a saying that may say nothing
_DATED = ("about", "after", "approx", "around", "before", "built", "circa", "from", "since")
_SIZED = re.compile(r"\d+x\d+|[a-z]{1,2}\d+")  # studs and joists, and roads
_CLOSE, _SLIP = 0.75, 0.88  # of 1: spelt alike, and so alike that it is a slip of the keys
_WITH = re.compile(r"[\s,]+(?:with|and|plus)\s+", re.IGNORECASE)
_ARTICLE = re.compile(r"^(?:an?|the|its|one)\s+", re.IGNORECASE)


def find(word: str, *, part: str | None = None, where: Where = ANYWHERE) -> Meaning | None:
    """What an everyday word means, or None.

    part: one of `PARTS`, what it is said of; first of all the meaning there, then of what is like it. None:
    any part of a house, unless the word says which.

    Raises
    ------
    ValueError
        "don't know" of nobody knows what.
    """
    listed = listed_words()
    said = DONT_KNOW if word.strip(" ?") == "" else word
    tokens, seal = key_of(said, listed.forms), None
    hint = part or part_named(said)
    entry = _entry_of(tokens, said, hint)
    if entry is None and hint not in (*_SOUNDS, "vent"):
        tokens, since, seal = _asides(said)
        where = replace(where, year=since or where.year)
        entry = _entry_of(tokens or key_of(DONT_KNOW, {}), said, hint) if since or seal else None
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
    listed = listed_words()
    beside = set(key_of(said, listed.forms))
    return next((name for name, words in listed.laid.items() if any(one <= beside for one in words)), "")


def _entry_of(tokens: tuple[str, ...], said: str, hint: str | None) -> Entry | None:
    """The entry of these words, of the part that is hinted at or of its like."""
    listed = listed_words()
    about = listed.besides.get(hint or "", frozenset())  # of "neighbour's drums", as a noise
    for one in _order(hint):
        if one in ("window", "door") and hint not in (None, "window", "door") and part_named(said) != one:
            continue  # a garden office is no door, though a garden door is one
        besides = listed.besides.get(one, frozenset()) | (about if hint in _SOUNDS else frozenset())
        for key in _keys(tokens, besides, one if one == hint or one in tokens else None):
            if (entry := listed.entries.get((one, key))) is not None:
                return entry
    return None


def _within(tokens: tuple[str, ...], part: str) -> tuple[Entry | None, tuple[str, ...]]:
    """The one entry of a part whose words are the most within these, and the few words that are then left
    unread; none where a word turns the meaning round, where a number or a word left says more, and where
    one is a slip of the keys."""
    listed = listed_words()
    if _TURNED.intersection(tokens):
        return None, ()
    best: dict[int, tuple[tuple[str, ...], Entry]] = {}
    passed: tuple[str, ...] = ()
    for one in _like(part):
        besides = listed.besides.get(one, frozenset())
        there = [
            (key, entry) for (each, key), entry in listed.entries.items()
            if each == one and DONT_KNOW not in entry.words and set(key).issubset(tokens)
            and not besides.union(_LITTLE).issuperset(key) and (one == part or len(key) > 1)
        ]  # fmt: skip
        there, way = _telling(there, tokens)
        passed += way
        longest = max((len(key) for key, _ in there), default=0)
        if longest > max((len(key) for key, _ in best.values()), default=0):
            best = {id(entry): (key, entry) for key, entry in there if len(key) == longest}
        if best and part not in ("window", "door"):
            break  # a French door is listed among windows
    if len(best) > 1:  # "double pane" says more of a window than "double window"
        said = {one: len(set(key) - listed.besides.get(part, frozenset())) for one, (key, _) in best.items()}
        best = {one: pair for one, pair in best.items() if said[one] == max(said.values())}
    if len(best) != 1:
        return None, ()
    ((key, entry),) = best.values()
    besides = listed.besides.get(part, frozenset()) | listed.besides.get(entry.usual.part, frozenset())
    left = [one for one in tokens if one not in (*key, *passed) and one not in besides]
    unread = tuple(one for one in left if listed.entries.get((part, (one,))) is not entry)
    others = (listed.entries.get((part, (one,)), entry) for one in unread)
    numbers = (re.search(r"\d", one) and not _SIZED.fullmatch(one) for one in unread)
    words = {word for one, key in listed.entries if one == part for word in key}
    slips = (difflib.get_close_matches(one, words, n=1, cutoff=_SLIP) for one in unread if one not in words)
    asked = len(unread) > _UNREAD or any(one is not entry for one in others) or any(slips) or any(numbers)
    return (None, ()) if asked else (entry, unread)


_Within = list[tuple[tuple[str, ...], Entry]]


def _telling(there: _Within, tokens: tuple[str, ...]) -> tuple[_Within, tuple[str, ...]]:
    """Of what is within a saying that which tells what it is made of, and the words that only tell how it
    opens or where it is: "double hung" beside "double pane"."""
    way = max((key for key, entry in there if entry.usual.gives_way), key=len, default=())
    left = Counter(tokens) - Counter(way)
    firm = [pair for pair in there if not pair[1].usual.gives_way and Counter(pair[0]) <= left]
    return (firm, way) if way and firm else (there, ())


def _asides(said: str) -> tuple[tuple[str, ...], int | None, str | None]:
    """The words of a saying without those that tell when it was built or how tight it shuts, and both."""
    listed, told = listed_words(), []
    tokens = key_of(said, listed.forms)
    left, old, built = set(tokens), _OLD.search(plain(said)), _DATE.search(plain(said))
    for found_age in filter(None, (old, built)):
        left -= {*key_of(found_age[0], listed.forms), *_DATED}
    for known in (listed.ages, listed.seals):
        found = [(value, one) for value, phrases in known.items() for one in phrases if one <= left]
        value, words = max(found, key=lambda pair: len(pair[1]), default=(None, frozenset()))
        left -= words
        told.append(value)
    age, seal = told
    since = year(built[0]) if built else date.today().year - int(old[1]) if old else int(age) if age else None
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
    entry = listed_words().entries.get(("vent", key_of(word, listed_words().forms)))
    return leaks.hole(word) is not None or (entry is not None and bool(entry.usual.means))


def likely(word: str, part: str | None = None) -> str:
    """What to write in place of a saying that means nothing of a part of the house, or of any: the end of a
    message. A slip of the keys is told first, then names of the catalogue that hold all its words, then what
    is said within it, then what is spelt alike; else what is usual."""
    forms, tokens = listed_words().forms, set(key_of(word, listed_words().forms))
    parts, elsewhere = _like(part), find(word)
    if part in BUILT and elsewhere is not None and elsewhere.part in BUILT and elsewhere.part not in parts:
        such = ", ".join(map(shown, usual_words(part)[:3]))
        return f"that is said of {with_article(elsewhere.part)}; write such as {such}"
    there = [one for each in parts for one in said(each)]
    within = [one for one in there if tokens.issuperset(key_of(one, forms))]
    longest = max((len(key_of(one, forms)) for one in within), default=0)
    folders = ("noises",) if part in _SOUNDS else catalogue.CONSTRUCTION_FOLDERS
    named = sorted(catalogue.names(*folders), key=len)
    others = () if part in _SOUNDS else (*BUILT, "wall", *said())
    alike = difflib.get_close_matches(tidy(word), [*there, *named, *others], n=3, cutoff=_CLOSE)
    near = (
        [one for one in alike if difflib.SequenceMatcher(None, tidy(word), one).ratio() >= _SLIP]
        or [one for one in named if tokens.issubset(key_of(one, forms))]
        or [one for one in within if len(key_of(one, forms)) == longest]
    )
    refused = find(near[0], part=part) if near and part else None
    if refused is not None and refused.refuse:
        return refused.refuse
    near = near or alike
    if near:
        return "did you mean " + " or ".join(map(shown, list(dict.fromkeys(near))[:3])) + "?"
    usual = usual_words(part)[:4] if part else ["double glazing", "brick", "fire door"]
    such = ", ".join(map(shown, usual))
    if part in _SOUNDS:
        return f"write what it sounds like, such as {such}"
    return f'write it in other words, such as {such} or "{DONT_KNOW}", or its layers ("glass 6 mm")'


def _sound(word: str, part: str) -> Meaning | None:
    """A sound of the catalogue, said with words that say no more of it, "my clarinet", "dogs next door", or
    with a few of which nothing is known: "helicopter hovering overhead"."""
    listed = listed_words()
    said = [(one, one_form(one, listed.forms)) for one in plain(word).split()]
    rest = [pair for pair in said if not listed.besides.get(part, frozenset()).intersection(pair)]
    for names in zip(*rest, strict=True) if rest else ():
        path = catalogue.find(" ".join(names), ("noises",))
        if path is not None:
            return Meaning(" ".join(word.split()), part, path.stem)
    tokens = key(word)
    within = [(set(key(one)), one) for one in catalogue.names("noises") if set(key(one)) <= set(tokens)]
    longest = max((len(words) for words, _ in within), default=0)
    named = [(words, one) for words, one in within if len(words) == longest]
    if len(named) != 1 or _TURNED.intersection(tokens):
        return None
    ((words, sound),) = named
    unread = tuple(one for _, one in rest if one in tokens and one not in words)
    if len(unread) > _UNREAD or any((part, (one,)) in listed.entries or not one.isalpha() for one in unread):
        return None
    return Meaning(" ".join(word.split()), part, sound, unread=unread)


def tells_more(word: str, part: str) -> bool:
    """Whether a word that means something tells when that was built or how tight it shuts, too."""
    return any(_asides(word)[1:]) and find(word, part=part) is not None


def key(word: str) -> tuple[str, ...]:
    """The words of a saying, each in its usual form and in no order, without those that only join them."""
    return key_of(word, listed_words().forms)


@cache
def names() -> Mapping[tuple[str, ...], str]:
    """The constructions of the catalogue by the words of their names, where no two are alike."""
    keys = [(key(one), one) for one in catalogue.names()]
    count = Counter(one for one, _ in keys)
    return {words: one for words, one in keys if count[words] == 1}


def besides(part: str) -> frozenset[str]:
    """Words that say no more of a part of the house."""
    return listed_words().besides.get(part, frozenset())


def bare_words(saying: str) -> frozenset[str]:
    """The words of a saying, each in its usual form."""
    return frozenset(key_of(saying.replace(";", " ").replace(":", " "), listed_words().forms))


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


def _keys(tokens: tuple[str, ...], besides: frozenset[str], said_of: str | None) -> Iterator[tuple[str, ...]]:
    """The saying itself, then without words that say no more, then as one of the part it is `said_of`
    ("sliding" or "shop glazing" as a window), then a word that says no more alone ("uPVC window"); of that
    part nothing is known where all words say no more ("party wall", "bay window", "office glazing")."""
    yield tokens
    rest = tuple(one for one in tokens if one not in besides)
    bare = tuple(one for one in rest if one not in _NOUNS.get(said_of or "", ()))
    yield from (key for key in dict.fromkeys((rest, bare)) if key)
    if said_of in _NOUNS:
        yield tuple(sorted((*(one for one in tokens if one not in _NOUNS[said_of]), said_of)))
    if bare:
        return
    yield from ((one,) for one in tokens)
    if said_of is not None:
        yield key_of(DONT_KNOW, {})


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
    "outer", "facade", "railway", "front", "back", "external", "exterior", "court", "curtain wall",
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
