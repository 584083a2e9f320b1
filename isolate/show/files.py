"""Output files: whole or not at all, and never over an existing one unless told so."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from isolate.errors import InputError, IsolateError


def check(paths: Iterable[Path], *, force: bool) -> None:
    """Refuse, before anything is computed, what could not be written.

    Raises
    ------
    InputError
        All faults together: a folder, a missing folder, a device or pipe (which moving a file there would
        destroy, `force` or not), an existing file without `force`, one path twice.
    """
    faults, seen = [], set()
    for path in paths:
        if path.is_dir():
            faults.append(f"{path}: is a folder; write the name of a file")
        elif not path.parent.is_dir():
            faults.append(f"{path}: there is no folder {path.parent}; make it first, or write elsewhere")
        elif path.exists() and not path.is_file():
            faults.append(f"{path}: is no plain file; write the name of one, or - for the terminal")
        elif path.exists() and not force:
            faults.append(f"{path}: exists already; choose another name, or add --force to replace it")
        elif path in seen:
            faults.append(f"{path}: named for two outputs; give each its own file")
        seen.add(path)
    if faults:
        raise InputError(faults)


def write(contents: Mapping[Path, bytes], *, force: bool) -> None:
    """Write all files or none: each beside its place first, then moved there.

    Raises
    ------
    InputError
        A file that came to be meanwhile, without `force`.
    IsolateError
        What the system says: a full disk, a folder that may not be written.
    """
    parts = {path: path.with_name(f".{path.name}.{os.getpid()}.part") for path in contents}
    try:
        for path, data in contents.items():
            with open(parts[path], "xb") as file:
                file.write(data)
        for path, part in parts.items():
            if force:
                os.replace(part, path)
            else:
                os.link(part, path)
    except FileExistsError as error:
        raise InputError(
            f"{error.filename2 or error.filename}: exists already; add --force to replace it"
        ) from None
    except OSError as error:
        raise IsolateError(f"{error.filename}: could not be written ({error.strerror})") from None
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)


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


def write_folder(folder: Path, contents: Mapping[str, bytes], *, force: bool) -> None:
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
