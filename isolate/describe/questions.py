"""A room in some ten questions: the questions are data (`constructions/questions.toml`), and one function
makes a room's file of the answers. The terminal asks them; whatever else asks the same gets the same room.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from isolate import units
from isolate.describe import catalogue, constructions, datasheet, everyday, impacts, noises
from isolate.describe.everyday import DONT_KNOW
from isolate.describe.layers import is_pane
from isolate.describe.reading import Faults, Table, label, list_of, one_of, read_toml, text, tidy
from isolate.errors import shown

KINDS = ("choice", "choices", "size", "place")
Answers = Mapping[str, str | Sequence[str]]


@dataclass(frozen=True)
class Choice:
    """One answer: its `key`, how it reads, what it `gives` the room, and words that mean it `also`."""

    key: str
    words: str
    gives: Mapping[str, Any]
    also: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True)
class Question:
    """A question: `why` it is asked, its `kind`, the `usual` answer, and the choices where there are some;
    where it asks of a `part` that has everyday words, any of these is an answer too, which gives the room
    what stands `otherwise` as well, or, where it says one of the words of a `place`, what that gives."""

    key: str
    ask: str
    why: str
    kind: str
    usual: str
    choices: tuple[Choice, ...] = ()
    part: str = ""
    otherwise: Mapping[str, Any] = field(default_factory=dict)
    places: tuple[tuple[tuple[frozenset[str], ...], Mapping[str, Any]], ...] = ()

    def choice(self, key: str) -> Choice:
        """The choice of this key, or what an everyday word in its place gives."""
        found = next((one for one in self.choices if one.key == key), None)
        if found is None and self.part == "noise" and impacts.steps(key):
            return Choice(key, key, {"source": key, "faces": "flat above"})
        rest, holes = everyday.apart(key) if found is None else (key, ())
        if holes and "construction" in (gives := self.choice(self._key(rest)).gives):
            return Choice(key, key, {**gives, "construction": f"{gives['construction']}{key[len(rest) :]}"})
        place = {} if self.part in everyday.BUILT and datasheet.is_sheet(key) else self._place(key)
        return found or Choice(key, key, {self._gives: key, **self._level(key), **place})

    def _place(self, word: str) -> Mapping[str, Any]:
        """Where what is said in words is."""
        said = everyday.bare_words(word)
        there = (gives for phrases, gives in self.places if any(one <= said for one in phrases))
        return next(there, self.otherwise)

    def _level(self, word: str) -> dict[str, str]:
        """The level a sound in words starts from, outdoors as far away as it holds."""
        if self._gives == "construction":
            return {}
        sound = noises.at_its_word(noises.resolve(word, None, part=self.part))
        near = sound.distance is None or self.part == "own" or "indoors" in self._place(word)
        far = {} if near else dict.fromkeys(("at", "distance"), f"{sound.distance:.4g} m")
        return ({} if sound.level is None else {"level": f"{sound.level.value:g} dBA"}) | far

    @property
    def _gives(self) -> str:
        """What an everyday word is to a part."""
        return "source" if self.part in ("noise", "own") else "construction"

    def answer(self, said: str) -> str | tuple[str, ...]:
        """What was said as an answer: of choices their keys, by key, words or number; else as it is.

        Raises
        ------
        ValueError
            ``what is wrong (got ...); what to write instead``.
        """
        said = said.strip() or self.usual
        if _unsure(said) and DONT_KNOW not in [one.key for one in self.choices]:
            said = self.usual
        if self.kind == "size":
            if _BARE.fullmatch(said):
                raise ValueError(f"in metres or in feet? Write {shown(f'{said} m')} or {shown(f'{said} ft')}")
            units.parse(said, "box")
            return said
        if self.kind == "place":
            place(said)
            return said
        if self.kind == "choice":
            return self._key(said)
        if tidy(said) in (tidy(one.words) for one in self.choices):
            return (self._key(said),)
        found = tuple(dict.fromkeys(self._key(one) for one in re.split(r"\s*[,;]\s*|\s+and\s+", said) if one))
        nothing = tuple(one for one in found if self.choice(one).gives)
        return nothing or found[:1]

    def _key(self, said: str) -> str:
        if said.isdigit() and 1 <= int(said) <= len(self.choices):
            return self.choices[int(said) - 1].key
        word = tidy(DONT_KNOW if _unsure(said) else said)
        words = everyday.bare_words(said)
        for one in self.choices:
            if word in (tidy(one.key), tidy(one.words)) or words in one.also:
                return one.key
        if self.part in everyday.BUILT and (self._stated(said) or everyday.tells_more(said, self.part)):
            return " ".join(said.split())
        return (self._everyday(said) if self.part else None) or self._alike(said)

    def _stated(self, said: str) -> bool:
        """Whether it is panes, layers, a word with its thickness or a data sheet; ValueError where a sheet's
        number tells too little, and where a window has no glass."""
        if not any(map(str.isdigit, said)):
            return False
        try:
            built = constructions.resolve(said, None, part=self.part)
        except ValueError:
            if datasheet.is_sheet(said):
                raise
            return False
        if self.part == "window" and built.layers and not any(map(is_pane, built.layers)):
            raise ValueError(f'no glass in it (got {shown(said)}); write the panes, such as "4-16-4"')
        return built.meant is None or everyday.find(said, part=self.part) is None

    def _everyday(self, said: str) -> str | None:
        """The choice that means what an everyday word does, or the word itself; None where it is none."""
        meant = self._means(said)
        known = everyday.find(said, part=self.part)
        if meant is None or everyday.apart(said)[1] or (known is not None and known.seldom):
            return None if meant is None else " ".join(said.split())
        place = self._place(said).get("faces")
        same = (
            one.key for one in self.choices
            if self._means(str(one.gives.get(self._gives, ""))) == meant
            and (place == self.otherwise.get("faces") or place == one.gives.get("faces"))
        )  # fmt: skip
        return next(same, " ".join(said.split()))

    def _means(self, said: str) -> str | None:
        """What a word stands for; ValueError where nothing does and it is known why."""
        if not said.strip():
            return None
        if self.part == "noise" and impacts.steps(said):
            return said
        path = catalogue.find(said, ("noises",)) if self.part in ("noise", "own") else None
        if path is not None and not (self.part == "own" and _outdoor(path.stem)):
            return path.stem
        meant = everyday.find(everyday.apart(said)[0], part=self.part)
        if self.part == "own" and meant is not None and not _OURS.search(said) and _outdoor(meant.means):
            ours = shown(f"my {' '.join(said.split())}")
            told = f"write what you play, or {ours} if that is in the room"
            raise ValueError(f"that comes in from outdoors (got {shown(said)}); {told}")
        if meant is not None and meant.refuse:
            raise ValueError(f"that cannot be computed (got {shown(said)}); {meant.refuse}")
        unsaid = everyday.find(DONT_KNOW, part=self.part)  # such as "window", which says nothing of it
        return None if meant is None or (unsaid and meant.tell == unsaid.tell) else meant.means

    def _alike(self, said: str) -> str:
        """The choice whose other words are in what was said, the most of them and the last listed; else the
        one that shares most words with it, where one does."""
        words = everyday.bare_words(said)
        meant = [(len(also), i) for i, one in enumerate(self.choices) for also in one.also if also <= words]
        if meant:
            return self.choices[max(meant)[1]].key
        words -= _SMALL
        shared = [len(words & everyday.bare_words(f"{one.key} {one.words}")) for one in self.choices]
        best = [i for i, count in enumerate(shared) if count == max(shared) > 0]
        if len(best) == 1:
            return self.choices[best[0]].key
        if best:
            either = " or ".join(shown(self.choices[i].words) for i in best)
            raise ValueError(f"may be {either} (got {shown(said)}); write which")
        known = shown(self.choices[0].words)
        own = ' or your own words, "tram"' if self.part == "noise" else ""
        raise ValueError(f"no answer to this (got {shown(said)}); write one of them, such as {known}{own}")


_BARE = re.compile(r"[\d.]+(?:\s*(?:x|by)\s*[\d.]+){2}", re.IGNORECASE)  # three lengths without a unit


_OURS = re.compile(r"\b(?:my|our)\b", re.IGNORECASE)


def _outdoor(sound: str) -> bool:
    """Whether a sound of the catalogue is known so many metres away, or offered as one of the street,
    and nothing one plays."""
    if sound in everyday.meanings("own") or not sound:
        return False
    asked = next(one for one in questions() if one.key == "noises")
    street = (one.gives.get("source") for one in asked.choices if one.gives.get("faces") == "street")
    return sound in street or noises.resolve(sound, None).distance is not None


def _unsure(said: str) -> bool:
    """Whether somebody says that they do not know."""
    return tidy(said.strip("?.! ")) in ("", tidy(DONT_KNOW), "not sure", "no idea", "unknown", "dunno")


# Words that tell no choice from another.
_SMALL = frozenset((
    "i", "it", "is", "are", "there", "here", "that", "this", "to", "not", "yes", "all", "me", "we", "us",
    "by", "one", "some", "door", "window", "wall", "glass",
))  # fmt: skip


@cache
def questions() -> tuple[Question, ...]:
    """All questions in the order they are asked; InputError with every fault of their file."""
    path = catalogue.root() / "questions.toml"
    faults = Faults(path)
    root = faults.root(read_toml(path))
    root.need("source", text, "", "say where it comes from"), root.need("basis", label, "", "write judgement")
    found = tuple(_question(table) for table in root.tables("question"))
    faults.stop()
    return found


def _question(table: Table) -> Question:
    choices = []
    for inner in table.tables("choice"):
        values = _given(inner.table("gives"))
        key, words = inner.need("key", label, "", "name it"), inner.need("words", text, "", "say it")
        also = tuple(everyday.bare_words(one) for one in inner.get("also", list_of(label)) or ())
        choices.append(Choice(key, words, values, also))
    otherwise = table.table("otherwise")
    return Question(
        table.need("key", label, "", "name it"),
        table.need("ask", text, "", "write the question"),
        table.need("why", text, "", "say what it decides"),
        table.need("kind", one_of(KINDS), "choice", f"write one of {', '.join(KINDS)}"),
        table.need("usual", label, "", "write the usual answer"),
        tuple(choices),
        table.get("part", one_of(everyday.PARTS)) or "",
        _given(otherwise),
        tuple(_place(one) for one in table.tables("place")),
    )


def _given(table: Table | None) -> dict[str, Any]:
    return {} if table is None else {key: table.get(key, _plain) for key in table.data}


def _place(table: Table) -> tuple[tuple[frozenset[str], ...], Mapping[str, Any]]:
    said = table.get("words", list_of(label)) or []
    return tuple(everyday.bare_words(one) for one in said), _given(table.table("gives"))


def _plain(value: object) -> object:
    return value if isinstance(value, bool) else text(value)


def usual() -> dict[str, str | tuple[str, ...]]:
    """The usual answer to every question."""
    return {one.key: one.answer(one.usual) for one in questions()}


def place(said: str) -> tuple[str | None, str | None]:
    """Country and year of "UK 1930s", either None where it is not said."""
    if _unsure(said):
        return None, None
    words = said.replace(",", " ").split()
    for i in range(len(words) - 1, 0, -1):
        with suppress(ValueError):
            everyday.year(" ".join(words[i:]))
            return everyday.region(" ".join(words[:i])), " ".join(words[i:])
    with suppress(ValueError):
        everyday.year(said)
        return None, said.strip()
    match = re.fullmatch(r"(.*?)[\s,]*((?:(?:before|after|since|about)\s+)?\d{4}.*)?", said.strip())
    country, year = (match[1], match[2]) if match else (said, None)
    region = everyday.region(country) if country else None
    if year is not None:
        everyday.year(year)
    return region, year


class _Given:
    """What the answers give, question by question; of what was not answered the usual."""

    def __init__(self, answers: Answers) -> None:
        self.answers: dict[str, str | Sequence[str]] = {**usual(), **answers}
        self._asked = {one.key: one for one in questions()}

    def of(self, key: str) -> Mapping[str, Any]:
        """What the answer to a question of one choice gives."""
        return self._asked[key].choice(str(self.answers[key])).gives

    def choice(self, key: str, answer: str) -> Choice:
        """What an answer to a question would be."""
        return self._asked[key].choice(answer)

    def each(self, key: str) -> list[tuple[Choice, Mapping[str, Any]]]:
        """The choices made, with what each gives, where it gives something."""
        question, said = self._asked[key], self.answers[key]
        keys = (said,) if isinstance(said, str) else said
        return [(one, one.gives) for one in map(question.choice, keys) if one.gives]


def room(answers: Answers) -> dict[str, Any]:
    """The room that the answers describe, as its file would read: tables of keys and text.

    Parameters
    ----------
    answers : by key of their question, each as `Question.answer` gives it; what is missing is usual.
    """
    given = _Given(answers)
    size = str(given.answers["size"])
    region, year = place(str(given.answers["place"]))
    inside: dict[str, Any] = {"size": size, "furnishing": "furnished"}
    inside |= {**given.of("quiet"), "flanking": given.of("home")["flanking"]}
    inside |= {key: value for key, value in (("region", region), ("built", year)) if value}
    inside["people"] = 1
    sides, alone = _sides(given, units.parse(size, "box")), "alone" in given.of("home")
    there = {side["name"]: side["faces"] for side in sides}
    heard = [(one, _outside(gives) if alone else gives) for one, gives in given.each("noises")]
    over = given.of("home").get("over")
    if over:
        heard = [(one, {**on, "faces": over} if on["faces"] == ABOVE else on) for one, on in heard]
    comes = [(one, gives) for one, gives in heard if gives["faces"] in there.values()]
    found: dict[str, Any] = {"title": "My room", "room": inside, "side": sides}
    found["noise"] = [{"name": one.words.partition(", ")[0], **gives} for one, gives in comes]
    found["own"] = [{"name": one.key, **gives} for one, gives in given.each("plays")]
    shakes = any(noises.resolve(own["source"], None, part="own").floor for own in found["own"])
    if shakes and not any(side["name"] == "floor" for side in sides):
        inside["floor"] = given.of("home").get("below", DONT_KNOW)
    who = [gives for _, gives in given.each("hears")]
    if alone and who:
        who = [given.choice("hears", "across").gives]  # nobody else is behind its walls
    hears = [(gives, _through(gives, sides, over)) for gives in who]
    found["neighbour"] = [{**gives, "through": way} for gives, way in hears if way] if found["own"] else []
    return found


def _outside(gives: Mapping[str, Any]) -> Mapping[str, Any]:
    """A noise as a room that stands alone meets it: what sounds outdoors comes from there, wherever."""
    sound = noises.resolve(gives["source"], None) if gives["faces"] == "next door" else None
    if sound is None or (far := noises.at_its_word(sound).distance) is None:
        return gives
    stays = {key: value for key, value in gives.items() if key not in ("faces", "indoors")}
    return {**stays, **dict.fromkeys(("at", "distance"), f"{far:.4g} m"), "faces": "street"}


def _through(gives: Mapping[str, Any], sides: Sequence[Mapping[str, Any]], over: str | None) -> list[str]:
    """What somebody hears through: the part that is named, or all that face what is; who lives in the house
    is `over` one as well."""
    words = {gives["through"], over} if gives["through"] == "hall" else {gives["through"]}
    return [side["name"] for side in sides if words & {side["name"], side["faces"]}]


def _sides(given: _Given, box: tuple[float, float, float]) -> list[dict[str, Any]]:
    """The sides of the room: window and outer wall on its long side, door, and what neighbours are behind."""
    length, width, height = max(box[:2]), min(box[:2]), box[2]
    glass, pane = given.of("glass"), WINDOW[0] * WINDOW[1]
    sides: list[dict[str, Any]] = []
    if glass:
        window = {"name": "window", "faces": "street", "construction": _window(given)}
        sides.append(window | {"area": f"{WINDOW[0]} m x {WINDOW[1]} m", "seal": given.of("edge")["seal"]})
    home, who = given.of("home"), [one.key for one, _ in given.each("hears")]
    roof = home.get("alone")
    door = {"name": "door", "faces": "street" if roof else "hall", **given.of("door")}
    door = {**door, "area": door.get("area", "0.8 m x 2.0 m")}
    openings = (pane if glass else 0.0) + (units.parse(door["area"], "area") if _outdoors(door) else 0.0)
    outer = max(length * height - openings, 1.0)
    built = given.of("walls")["construction"]
    built = home.get("wall", built) if built == DONT_KNOW else built
    wall = {"name": "outer wall", "faces": "street", "construction": built, "area": f"{outer:.1f} m2"}
    sides += [wall, door]
    if roof:
        sides += [
            {**wall, "name": f"{one} wall", "area": f"{edge:.2f} m x {height:.2f} m"}
            for one, edge in (("back", length), ("left", width), ("right", width))
        ]
        area = f"{length:.2f} m x {width:.2f} m"
        return [*sides, {"name": "roof", "faces": "street", "construction": roof, "area": area}]
    comes_from = {gives["faces"] for _, gives in given.each("noises")}
    if home.get("beside") or "beside" in who or "next door" in comes_from:
        sides.append({
            "name": "party wall", "faces": "next door", "construction": DONT_KNOW,
            "area": f"{width:.2f} m x {height:.2f} m",
        })  # fmt: skip
    over, below, area = home.get("over"), home.get("below", DONT_KNOW), f"{length:.2f} m x {width:.2f} m"
    if "below" in who or BELOW in comes_from:
        sides.append({"name": "floor", "faces": BELOW, "construction": below, "area": area})
    if "above" in who or ABOVE in comes_from or (over and "hall" in who):
        known = DONT_KNOW if over else below
        sides.append({"name": "ceiling", "faces": over or ABOVE, "construction": known, "area": area})
    return sides


def _outdoors(side: Mapping[str, Any]) -> bool:
    return bool(side["faces"] == "street")


WINDOW = (1.2, 1.4)  # [m], a usual one
BELOW, ABOVE = "flat below", "flat above"


def _window(given: _Given) -> str:
    """The glass, or what a second frame makes of it."""
    said = str(given.of("glass")["construction"])
    behind = given.of("second").get("behind")
    if behind is None:
        return said
    single = given.answers["glass"] in ("single", DONT_KNOW)
    return f"second pane 4-{behind.split()[0]}-6 mm" if single else f"second pane behind 4-12-4, {behind}"


_HEAD = (
    "A room by its questions (isolate new --ask). It answers as it stands: isolate room THIS-FILE.toml",
    'Change what differs; every quantity is text with its unit. Words such as "double glazing" stand for the',
    'likeliest of their kind; a name from isolate catalogue, layers ("4-16-4") or a data sheet',
    '("Rw 42 (-2; -6)") say more.',
)  # fmt: skip
_COMMENTS = {
    "size": "length x width x height",
    "furnishing": "bare | furnished | treated (lined for recording)",
    "background": "what is left when nothing happens; isolate survey measures it",
    "floor": "what you stand on: what shakes it goes out by it",
    "flanking": "what goes round walls and floors to the rooms next door",
    "region": "where the house stands: the same word means another wall elsewhere",
    "faces": "any word; noises name the same word",
    "area": "as it is; width x height, or m2",
    "seal": "sealed | draught-stripped | partly sealed | unsealed",
    "threshold": "the gap under it",
    "level": "change it if yours is louder or further off",
    "indoors": "the level in the room next door itself",
    "through": 'by what they hear you; what is agreed: limit = "30 dBA at night"',
}


def written(answers: Answers) -> str:
    """The file of the room that the answers describe: TOML with a comment where a key first stands."""
    import tomlkit

    document, commented = tomlkit.document(), set[str]()

    def add(table: Any, data: Mapping[str, Any]) -> Any:
        for key, value in data.items():
            item = tomlkit.item(value)
            if key in _COMMENTS and key not in commented:
                item.comment(_COMMENTS[key])
                commented.add(key)
            table.add(key, item)
        return table

    for line in _HEAD:
        document.add(tomlkit.comment(line))
    document.add(tomlkit.nl())
    for key, value in room(answers).items():
        if isinstance(value, dict):
            document.add(key, add(tomlkit.table(), value))
        elif isinstance(value, list):
            tables = tomlkit.aot()
            for one in value:
                tables.append(add(tomlkit.table(), one))
            if value:
                document.add(key, tables)
        else:
            document.add(key, value)
    return tomlkit.dumps(document)
