"""Where the bundled descriptions lie, and how a name or a path finds one."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from isolate.describe.reading import nearest, tidy
from isolate.errors import shown

CONSTRUCTION_FOLDERS = ("walls", "windows", "doors", "ceilings", "floors")
_PACKAGE = Path(__file__).resolve().parents[1]


@cache
def root() -> Path:
    """The folder of the bundled descriptions: inside an installed package, or beside it in a checkout."""
    bundled = _PACKAGE / "_constructions"
    return bundled if bundled.is_dir() else _PACKAGE.parent / "constructions"


@cache
def _paths(folders: tuple[str, ...]) -> dict[str, Path]:
    found = (p for folder in folders for p in sorted((root() / folder).glob("*.toml")))
    return {p.stem: p for p in found}


@cache
def _tidied(folders: tuple[str, ...]) -> dict[str, Path]:
    return {tidy(name): path for name, path in _paths(folders).items()}


def names(*folders: str) -> tuple[str, ...]:
    """Names of the bundled descriptions in these folders, in order; without any: all constructions."""
    return tuple(_paths(folders or CONSTRUCTION_FOLDERS))


def measured() -> tuple[str, ...]:
    """The names of the constructions in whose files a measurement stands: all others need not be read."""
    paths = _paths(CONSTRUCTION_FOLDERS)
    return tuple(name for name, path in paths.items() if "\n[measured]" in path.read_text("utf-8"))


def find(name: str, folders: Iterable[str] = CONSTRUCTION_FOLDERS) -> Path | None:
    """The bundled description of this name, or None; case, hyphens and underscores do not matter."""
    return _tidied(tuple(folders)).get(tidy(name))


def is_path(name: str) -> bool:
    """Whether a name is meant as a path: it ends in .toml."""
    return name.casefold().endswith(".toml")


def _is_there(name: str) -> bool:
    try:
        return Path(name).exists()
    except (OSError, ValueError):
        return False


def _resolved(path: Path) -> Path:
    """Where a path leads, links followed; itself if they lead round in a circle, as reading it tells."""
    try:
        return path.resolve()
    except (OSError, RuntimeError):
        return path.parent.resolve() / path.name


def locate(name: str, folders: tuple[str, ...], what: str, beside: Path | None) -> Path | None:
    """The file a name in a description or on the command line means; None when there is none.

    A name ending in .toml is a path: from the command line (`beside` None) any path; in a file a path
    that stays in that file's own folder, links followed, so that a room from someone else reads
    nothing but what came with it. Any other name is the catalogue's; from the command line, if the
    catalogue has none, a file that is there.

    Raises
    ------
    ValueError
        A path that leaves the folder, or a separator in a name that is no path.
    """
    if is_path(name):
        if beside is None:
            return Path(name)
        path = beside / name
        if not _resolved(path).is_relative_to(beside.resolve()):
            raise ValueError(f"outside the file's own folder (got {shown(name)}); copy it beside the file")
        return path
    found = find(name, folders)
    if found is None and beside is None and _is_there(name):
        return Path(name)
    separated = re.search(r"[/\\]", re.sub(r"\b\w/\w\b", "", name))  # 1/4 in and a/c are no paths
    if found is None and separated and " " not in name.strip():  # nor are words, as "brick/block cavity"
        raise ValueError(f"no {what} (got {shown(name)}); write a name, or a path ending in .toml")
    return found


def unknown(name: str, folders: tuple[str, ...], what: str) -> str:
    """The fault of a name that is in none of these folders."""
    return f"no {what} of this name (got {shown(name)}); {nearest(name, names(*folders))}"
