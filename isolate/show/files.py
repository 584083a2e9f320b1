"""Output files: whole or not at all, and never over an existing one unless told so."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from isolate.describe import reading
from isolate.errors import InputError, IsolateError

_SYSTEM = ("dev",), ("proc",)  # where devices and streams have names


def check(paths: Iterable[Path], *, force: bool) -> None:
    """Refuse, before anything is computed, what could not be written.

    Raises
    ------
    InputError
        All faults together: a folder, a missing folder, a device or pipe (which moving a file there would
        destroy, `force` or not), an existing file without `force`, a file that was read, one path twice.
    """
    faults, seen = [], set()
    for path in paths:
        place = _place(path)
        if place.is_dir():
            faults.append(f"{path}: is a folder; write the name of a file")
        elif not place.parent.is_dir():
            faults.append(f"{path}: there is no folder {path.parent}; make it first, or write elsewhere")
        elif not _plain(path, place):
            faults.append(f"{path}: is no plain file; write the name of one, or - for the terminal")
        elif place in reading.opened:
            faults.append(f"{path}: was read for this; write elsewhere, --force or not")
        elif place.exists() and not force:
            faults.append(f"{path}: exists already; choose another name, or add --force to replace it")
        elif place in seen:
            faults.append(f"{path}: named for two outputs; give each its own file")
        seen.add(place)
    if faults:
        raise InputError(faults)


def _place(path: Path) -> Path:
    """Where a path leads, its links followed."""
    return Path(os.path.realpath(path))


def _plain(path: Path, place: Path) -> bool:
    """Whether a plain file is or may be there. A stream's name leads to what it is redirected to, which the
    shell still writes into; a link that is left after all were followed leads in a circle."""
    if place.is_symlink():
        return False
    while path.absolute().parts[1:2] not in _SYSTEM and path.is_symlink():
        path = path.parent / path.readlink()
    return path.absolute().parts[1:2] not in _SYSTEM and (place.is_file() or not place.exists())


Content = bytes | Callable[[], bytes]


def write(contents: Mapping[Path, Content], *, force: bool) -> None:
    """Write all files or none: each beside its place first, then moved there. What a link leads to is
    written, not the link, and a file that is replaced keeps its mode. Bytes may be made as they are written.

    Raises
    ------
    InputError
        A file that came to be meanwhile, without `force`, or that the answer was made from.
    IsolateError
        What the system says: a full disk, a folder that may not be written.
    """
    if read := [path for path in contents if _place(path) in reading.opened]:
        raise InputError([f"{path}: was read for this; write elsewhere, --force or not" for path in read])
    places = {_place(path): data for path, data in contents.items()}
    parts = {place: place.with_name(f".{os.getpid()}-{i}.part") for i, place in enumerate(places)}
    taken: Path | None = None
    try:
        for place, data in places.items():
            with open(parts[place], "xb") as file:
                file.write(data() if callable(data) else data)
            if place.exists():
                parts[place].chmod(stat.S_IMODE(place.stat().st_mode))
        for place, part in parts.items():
            if not force:  # whoever comes second finds it there; not every file system knows hard links
                open(place, "xb").close()
                taken = place
            os.replace(part, place)
            taken = None
    except FileExistsError as error:
        raise InputError(f"{error.filename}: exists already; add --force to replace it") from None
    except OSError as error:
        raise IsolateError(f"{error.filename}: could not be written ({error.strerror})") from None
    finally:
        for left in (*parts.values(), *([taken] if taken else ())):
            left.unlink(missing_ok=True)


def check_folder(folder: Path, sure: str, *, force: bool) -> None:
    """Refuse, before anything is computed, a folder that could not be written into.

    sure: the name of a file that will be among those written.

    Raises
    ------
    InputError
        A file of this name, no folder to make it in, or in it `sure` already, without `force`.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder}: is a file; write the name of a folder")
    if not folder.resolve().parent.is_dir():
        raise InputError(f"{folder}: there is no folder {folder.parent}; make it first, or write elsewhere")
    if folder.is_dir():
        check([folder / sure], force=force)


def write_folder(folder: Path, contents: Mapping[str, Content], *, force: bool) -> None:
    """Write all files into a folder or none, and make it if it is not there.

    Raises
    ------
    InputError
        Files that exist already, without `force`.
    IsolateError
        What the system says.
    """
    paths = {folder / name: data for name, data in contents.items()}
    new = not folder.exists()
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise IsolateError(f"{folder}: could not be made ({error.strerror})") from None
    try:
        check(paths, force=force)
        write(paths, force=force)
    except BaseException:
        if new:
            folder.rmdir()
        raise
