"""What was found before, kept on disk as texts: of one room one command after another asks the same.

A text is a small file in a folder named by a digest of the program's own text, so that no other program reads
it; its name is a digest of all that was asked. Where no file can be written nothing is kept, and nothing at
all where `ISOLATE_STORE` is empty or, as in a library, not set.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path

PLACE = "ISOLATE_STORE"
MOST = 4000  # files, 2 kB each; of more the half that was written first goes
_FOLDER = "isolate-" + 16 * "[0-9a-f]"
_PACKAGE = Path(__file__).parent


def use_cache() -> None:
    """Keep what is found with the user's caches, unless a place is stated."""
    stated = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or ""
    folder = stated if os.path.isabs(stated) else os.path.expanduser("~/.cache")
    os.environ.setdefault(PLACE, os.path.join(folder, "isolate") if os.path.isabs(folder) else "")


def use_none() -> None:
    """Neither read nor write any file from now on."""
    os.environ[PLACE] = ""


def is_open() -> bool:
    """Whether anything is kept."""
    return _folder(os.environ.get(PLACE, "")) is not None


def read(asked: str) -> str | None:
    """What is known of `asked`, if anything is and it is as it was written."""
    path = _path(asked)
    with suppress(OSError, ValueError):
        sign, _, found = path.read_text("ascii").partition("\n") if path else ("", "", "")
        return found if sign == _sign(found) else None
    return None


def _sign(found: str) -> str:
    return hashlib.sha256(found.encode("ascii")).hexdigest()


def write(asked: str, found: str) -> None:
    """Keep it, plain ASCII, whole or not at all, whoever writes the same."""
    path = _path(asked)
    if path is None:
        return
    with suppress(OSError):
        handle, name = tempfile.mkstemp(dir=path.parent)
        try:
            with open(handle, "w", encoding="ascii") as file:
                file.write(f"{_sign(found)}\n{found}")
            os.replace(name, path)
        finally:
            Path(name).unlink(missing_ok=True)


def _path(asked: str) -> Path | None:
    folder = _folder(os.environ.get(PLACE, ""))
    return folder and folder / hashlib.sha256(asked.encode()).hexdigest()[:40]


@cache
def _folder(place: str) -> Path | None:
    """The folder of this very program, there and not too full, those of others gone; None if there can be
    none."""
    if not place:
        return None
    text = hashlib.sha256()
    for path in sorted([*_PACKAGE.rglob("*.py"), *_PACKAGE.rglob("*.mplstyle")]):
        text.update(path.read_bytes())
    folder = Path(place) / f"isolate-{text.hexdigest()[:16]}"
    try:
        for other in set(Path(place).glob(_FOLDER)) - {folder}:
            shutil.rmtree(other, ignore_errors=True)
        folder.mkdir(parents=True, exist_ok=True)
        kept = sorted(os.scandir(folder), key=lambda one: one.stat().st_mtime)
        for one in kept[: len(kept) // 2] if len(kept) > MOST else ():
            os.unlink(one)
    except OSError:
        return None
    return folder
