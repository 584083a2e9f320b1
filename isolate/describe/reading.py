"""Reading TOML so that every fault of a file is found at once and none is vague.

A reader asks a `Table` for each key it knows: ``table.get("spacing", quantity("length"))``. A value the
converter refuses becomes a fault ``file: key.path: what is wrong (got ...); what to write instead``;
keys nobody asked for are faults too. `Faults.stop` raises them all together, so a value returned after
a fault never gets further than the reader.
"""

from __future__ import annotations

import difflib
import math
import os
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from isolate import units
from isolate.errors import InputError, escaped, shown
from isolate.units import Scalar

T = TypeVar("T")
Converter = Callable[[object], T]
MOST_TABLES = 200  # of one kind
MOST_FAULTS = 50  # of one report
_LONGEST_LABEL, _LONGEST_TEXT = 160, 5000
LARGEST_FILE = 500_000  # bytes; a long room file has some ten thousand
_DEEPEST_KEY = 100  # dots in a key: the parser needs memory with the square of them
_KEY_LIKE = re.compile(r"[\w.\"' \t-]+")


def unquoted(text: str) -> str:
    """A name out of a list of them, with what follows it: in double quotes where it holds commas or colons.

    >>> unquoted('"line 5, night": in the take')
    'line 5, night: in the take'
    """
    return re.sub(r'^\s*"([^"]*)"', r"\1", text).strip()


def tidy(name: str) -> str:
    """A name as it is compared: lower case, hyphens, underscores and runs of spaces as one space."""
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


def nearest(word: str, known: Iterable[str], count: int = 3) -> str:
    """The known names closest to an unknown one, or the known ones: the end of a message.

    Close are those that hold all its words in whatever order, else those spelt alike, else those that share
    half of its words.
    """
    known = list(known)
    if not known:
        return "there are none"
    word = word[:_LONGEST_LABEL]
    close = difflib.get_close_matches(word.casefold(), [k.casefold() for k in known], n=count, cutoff=0.7)
    alike = [k for c in close for k in known if k.casefold() == c]
    words = _words(word)
    share = {k: len(words & _words(k)) / max(len(words), 1) for k in known}
    by_share = sorted((k for k in known if share[k] >= 0.5), key=lambda k: (-share[k], len(k)))[:count]
    best = [k for k in by_share if share[k] == 1.0] or alike or by_share
    if best:
        return "did you mean " + " or ".join(f'"{b}"' for b in dict.fromkeys(best)) + "?"
    more = f" and {len(known) - 8} more" if len(known) > 12 else ""
    named = known[:8] if more else known
    apart = "; " if any("," in k for k in named) else ", "
    return f"known: {apart.join(named)}{more}"


def _words(name: str) -> set[str]:
    return set(re.findall(r"\w+", name.casefold()))


def file_name(path: str | Path) -> str:
    """A path fit for a message."""
    return escaped(str(path))


opened: set[Path] = set()
"""Where files were read from since a command began: no output replaces one of them."""


def note_opened(path: Path) -> None:
    """Remember that a file was read."""
    opened.add(Path(os.path.realpath(path)))


def read_text(path: Path) -> str:
    """The text of a small file.

    Raises
    ------
    InputError
        Missing, a folder, no plain file, unreadable, empty, too large, binary or not UTF-8.
    """
    try:
        if path.is_dir():
            raise InputError(f"{file_name(path)}: a folder; write the name of a file")
        if not path.exists():
            raise InputError(f"{file_name(path)}: no such file; check the name and the folder")
        if not path.is_file():
            raise InputError(f"{file_name(path)}: not a plain file; write the name of a file")
        with path.open("rb") as file:
            note_opened(path)
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or str(fault)
        raise InputError(f"{file_name(path)}: cannot be read ({reason.lower()})") from None
    return decoded(raw, file_name(path))


def decoded(raw: bytes, name: str) -> str:
    """The text of what was read of a file, UTF-8 or, as spreadsheets save it, UTF-16 with its mark;
    InputError when it is empty, too large, binary or neither."""
    if len(raw) > LARGEST_FILE:
        most = LARGEST_FILE // 1000
        raise InputError(f"{name}: too large (more than {most} kB); is it the right file?")
    if not raw.strip():
        raise InputError(f"{name}: the file is empty; start from a bundled one")
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as fault:
        line = raw[: fault.start].count(b"\n") + 1
        raise InputError(f"{name}: line {line}: not UTF-8 text; save it as UTF-8") from None
    if "\0" in text:
        raise InputError(f"{name}: a binary file; write the name of a text file")
    return text


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file as nested dicts; InputError with the line when it is none."""
    return toml(read_text(path), path)


def toml(text: str, path: Path) -> dict[str, Any]:
    """The same of a text that stands for a file."""
    too_deep = InputError(f"{file_name(path)}: nested too deeply; a description needs four levels")
    if any(run[0].count(".") > _DEEPEST_KEY for run in _KEY_LIKE.finditer(text)):
        raise too_deep
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise too_deep from None
    except ValueError as fault:
        raise InputError(f"{file_name(path)}: not valid TOML: {_plain(str(fault))}") from None


def _plain(reason: str) -> str:
    """A parser's reason, in lower case; the commonest cause named."""
    reason = escaped(reason)
    if reason.startswith("Invalid value"):
        reason += '; put text and quantities in quotes: thickness = "12.5 mm"'
    return reason[0].lower() + reason[1:]


class Members(ValueError):
    """Every fault of a list's members, each a text of its own."""

    def __init__(self, texts: Sequence[str]) -> None:
        super().__init__("; ".join(texts))
        self.texts = tuple(texts)


class Faults:
    """The faults of one file, collected."""

    def __init__(self, file: str | Path) -> None:
        self.file = file_name(file)
        self.found: list[str] = []
        self._tables: list[Table] = []

    def root(self, data: Mapping[str, Any]) -> Table:
        """The file's outermost table."""
        return Table(data, "", self)

    def add(self, path: str, text: str) -> None:
        """A fault at a key path; the text reads ``what (got ...); instead``."""
        self.found.append(f"{self.file}: {path}: {text}" if path else f"{self.file}: {text}")

    def include(self, faults: Iterable[str]) -> None:
        """Faults of another file this one names."""
        self.found.extend(fault for fault in faults if fault not in self.found)

    def watch(self, table: Table) -> None:
        """Have a table's unknown keys reported in the end."""
        self._tables.append(table)

    def stop(self) -> None:
        """Raise InputError with all faults, unknown keys included, if there is any."""
        for table in self._tables:
            if len(self.found) <= MOST_FAULTS:
                table.report_unknown()
        self._tables.clear()
        if len(self.found) > MOST_FAULTS:
            self.found[MOST_FAULTS:] = [f"{self.file}: and more; these first"]
        if self.found:
            raise InputError(self.found)


class Table:
    """One table of a file, asked key by key."""

    def __init__(self, data: Mapping[str, Any], path: str, faults: Faults) -> None:
        self.data, self.path, self.faults = data, path, faults
        self._asked: dict[str, None] = {}
        self._inner: dict[str, list[Table]] = {}
        faults.watch(self)

    def _path(self, key: str) -> str:
        plain = key.replace("_", "").replace("-", "").isalnum() and len(key) <= 60
        key = key if plain or not key else shown(key)
        return f"{self.path}.{key}" if self.path and key else self.path or key

    def fault(self, key: str, text: str) -> None:
        """A fault at a key of this table, or at the table itself for ""."""
        self.faults.add(self._path(key), text)

    def __contains__(self, key: str) -> bool:
        return key in self.data

    def get(self, key: str, convert: Converter[T]) -> T | None:
        """The converted value; None when the key is missing or at fault."""
        self._asked[key] = None
        if key not in self.data:
            return None
        try:
            return convert(self.data[key])
        except InputError as other:
            self.faults.include(other.faults)
        except Members as several:
            for text in several.texts:
                self.fault(key, text)
        except ValueError as fault:
            self.fault(key, str(fault))
        return None

    def need(self, key: str, convert: Converter[T], placeholder: T, instead: str) -> T:
        """As `get`, but a missing key is a fault; then, or at fault, the placeholder."""
        if key not in self.data:
            self._asked[key] = None
            self.fault(key, f"missing; {instead}")
        value = self.get(key, convert)
        return placeholder if value is None else value

    def table(self, key: str) -> Table | None:
        """The table of this name, or None."""
        if key not in self._inner:
            self._asked[key] = None
            value = self.data.get(key)
            self._inner[key] = []
            if isinstance(value, dict):
                self._inner[key] = [Table(value, self._path(key), self.faults)]
            elif key in self.data:
                path = self._path(key)
                self.fault(key, f"not a table (got {shown(value)}); write [{path}] and its keys below")
        return next(iter(self._inner[key]), None)

    def tables(self, key: str, *, most: int = MOST_TABLES) -> list[Table]:
        """The list of tables of this name; empty when there is none."""
        if key not in self._inner:
            self._asked[key] = None
            value, path = self.data.get(key, []), self._path(key)
            self._inner[key] = []
            if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
                self.fault(key, f"not a list of tables (got {shown(value)}); write [[{path}]] before each")
            elif len(value) > most:
                self.fault(key, f"{len(value)} tables; write at most {most}")
            else:
                inner = [Table(v, f"{path}[{i}]", self.faults) for i, v in enumerate(value, 1)]
                self._inner[key] = inner
        return self._inner[key]

    def children(self) -> list[tuple[str, Table]]:
        """All keys, each a table; for files whose keys are names."""
        return [(key, child) for key in self.data if (child := self.table(key)) is not None]

    def report_unknown(self) -> None:
        unknown = [key for key in self.data if key not in self._asked]
        for key in unknown[: MOST_FAULTS + 1]:
            self.fault(key, f"unknown key; {nearest(key, self._asked)}")


def text(value: object) -> str:
    """Converter: a text, not blank, without control characters; whatever ends a line or parts words in it, in
    any writing, is an end of line or a space."""
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f'not a text (got {shown(value)}); write it in quotes, such as "..."')
    if len(value) > _LONGEST_TEXT:
        raise ValueError(f"too long (got {len(value)} characters); write at most {_LONGEST_TEXT}")
    plain = "\n".join(re.sub(r"\s", " ", line) for line in value.splitlines())
    if not plain.replace("\n", "").isprintable():
        raise ValueError(f"holds a control character (got {shown(value)}); write plain text")
    return plain.strip()


def label(value: object) -> str:
    """Converter: a short text of one line, such as a name."""
    word = text(value)
    if len(word) > _LONGEST_LABEL or "\n" in word:
        raise ValueError(f"too long (got {shown(word)}); write one line of at most {_LONGEST_LABEL}")
    return " ".join(word.split())


def one_of(options: Iterable[str]) -> Converter[str]:
    """Converter: one of these words; case, hyphens and underscores do not matter."""
    known = {tidy(option): option for option in options}

    def convert(value: object) -> str:
        word = label(value)
        if tidy(word) not in known:
            raise ValueError(f"unknown (got {shown(value)}); {nearest(word, known.values())}")
        return known[tidy(word)]

    return convert


def quantity(name: Scalar, least: float = -math.inf, most: float = math.inf) -> Converter[float]:
    """Converter: a quantity with its unit, within [least, most] (SI)."""

    def convert(value: object) -> float:
        si = units.parse(value, name)
        if not least <= si <= most:
            side, limit = ("at most", most) if si > most else ("at least", least)
            told = units.show_time(limit) if name == "time" else f"{limit:g} {units.si_unit(name)}"
            raise ValueError(f"out of range (got {shown(value)}); write {side} {told}")
        return si

    return convert


def size(value: object) -> tuple[float, float]:
    """Converter: width x height [m] of a part of a building."""
    found = units.parse(value, "size")
    if not all(0.02 <= edge <= 100.0 for edge in found):
        raise ValueError(f"no sane size (got {shown(value)}); write one such as " + '"1.2 m x 1.4 m"')
    return found


def number(least: float, most: float) -> Converter[float]:
    """Converter: a bare, finite number within [least, most]."""
    instead = f"write one from {least:.9g} to {most:.9g}"

    def convert(value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"not a number (got {shown(value)}); {instead}")
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError(f"not finite (got {shown(value)}); {instead}")
        if not least <= value <= most:
            raise ValueError(f"out of range (got {shown(value)}); {instead}")
        return float(value)

    return convert


def whole(least: int, most: int) -> Converter[int]:
    """Converter: a whole number within [least, most]."""

    def convert(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise ValueError(f"not a whole number from {least} to {most} (got {shown(value)}); write one")
        return value

    return convert


def flag(value: object) -> bool:
    """Converter: true or false."""
    if not isinstance(value, bool):
        raise ValueError(f"not true or false (got {shown(value)}); write true or false without quotes")
    return value


def list_of(convert: Converter[T], most: int = 1000) -> Converter[list[T]]:
    """Converter: a list, each member converted; faults name the members."""

    def convert_all(value: object) -> list[T]:
        if not isinstance(value, list) or len(value) > most:
            raise ValueError(f"not a list (got {shown(value)}); write [first, second, ...], at most {most}")
        members, faults = [], []
        for i, member in enumerate(value, 1):
            try:
                members.append(convert(member))
            except ValueError as fault:
                faults.append(f"member {i}: {fault}")
        if faults:
            raise Members(faults)
        return members

    return convert_all


def words(value: object) -> list[str]:
    """Converter: one name or a list of them."""
    found = list_of(label)([value] if isinstance(value, str) else value)
    if not found:
        raise ValueError("no side or element in the list; write one at least")
    return found
