"""Recordings dropped in at the desk: measured by the library, held against the room and against what was
measured before, folded into its text.

The files are kept in a folder of the system's while they are read, and nowhere afterwards; what was measured
stays in a file beside the room where that is asked for.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import IO, Any

from isolate.describe import wav
from isolate.desk.session import Session
from isolate.errors import InputError, shown
from isolate.measuring import change, model, request, test_signal
from isolate.measuring.isolation import Measurement, measure
from isolate.measuring.measured import Files, Setup
from isolate.room.envelope import words_of_rooms
from isolate.show import corrected, data, files, web
from isolate.show.tell import measure as told

ROLES = {
    "loud": "noise on, in the loud place", "quiet": "noise on, heard in here",
    "background": "noise off, in here", "decay": "claps or a balloon, in here",
}  # fmt: skip
MOST_BYTES = 400_000_000  # of all recordings together
_MOST_FILES, _LONGEST = 24, 3600.0  # and s of each
_KEPT = "measured *.json"  # beside the room's own file
Given = Mapping[str, Sequence[tuple[str, IO[bytes]]]]


def ways(session: Session) -> list[dict[str, Any]]:
    """What the sound may have gone through: each side, and all that faces one word; whether from outdoors."""
    room = session.standing.room
    indoors = words_of_rooms(room)
    every = {one.name: (one.name, one.faces) for one in room.sides}
    for one in room.sides:
        every.setdefault(one.faces, (f"all that faces {one.faces}", one.faces))
    return [
        {"key": key, "words": words, "outdoors": faces not in indoors}
        for key, (words, faces) in every.items()
    ]


def measured(
    session: Session, given: Given, *, through: str, facade: bool, against: str = ""
) -> dict[str, Any]:
    """The measurement told, and whether there is anything to fold into the room.

    Parameters
    ----------
    given : names and contents of the recordings by role. through : a side or a word. facade : the loud place
        was outdoors, 2 m before it. against : one kept from before a change, by its file's name.

    Raises
    ------
    InputError
        What is missing or too much, and all faults of the files.
    """
    standing = session.standing
    missing = [f"{role}: missing; choose the recording of it ({ROLES[role]})"
               for role in ("loud", "quiet") if not given.get(role)]  # fmt: skip
    if missing:
        raise InputError(missing)
    sides = [one for one in standing.room.sides if through in (one.name, one.faces)]
    exact = [one for one in sides if one.name == through] or sides
    if not exact:
        raise InputError(f"through: no side of this room (got {shown(through)}); choose one of it")
    setup = Setup(volume=standing.room.volume, area=sum(one.area for one in exact), facade=facade)
    if against and against not in kept(session):
        raise InputError(f"against: no measurement kept here (got {shown(against)}); choose another")
    with _held(given) as recorded:
        found = measure(Files(**recorded), setup)
    plain = {role: [Path(one).name for one in paths] for role, paths in found.names.items()}
    found = replace(found, names=plain, model=model.compared(found, standing.room, through=through))
    if against:
        earlier = request.load(session.folder / against)
        found = replace(found, change=change.changed(earlier, found, name=against))
    session.measured = (found, through)
    document = told.document(found)
    return {
        "told": web.first(document), "full": web.rest(document), "cautions": web.cautions(document),
        "folds": _folds(found),
    }  # fmt: skip


def _folds(found: Measurement) -> bool:
    return found.model is not None and found.model.fit.kind != "as predicted"


def kept(session: Session) -> list[str]:
    """Measurements kept beside the room, the newest first."""
    found = [one for one in session.folder.glob(_KEPT) if one.is_file()]
    return [one.name for one in sorted(found, key=lambda one: one.stat().st_mtime, reverse=True)]


def keep(session: Session) -> str:
    """Write what was measured beside the room, so that one after a change can be held against it; its name.

    Raises
    ------
    InputError
        Nothing was measured yet, or the file cannot be written.
    """
    found, through = _last(session)
    name = " ".join(re.findall(r"[\w-]+", through))[:40]
    known = set(kept(session))
    tries = (f"measured {name}.json", *(f"measured {name} {i}.json" for i in range(2, 1000)))
    chosen = next(one for one in tries if one not in known)
    files.write({session.folder / chosen: data.to_json(found).encode()}, force=False)
    return chosen


def _last(session: Session) -> tuple[Measurement, str]:
    if session.measured is None:
        raise InputError("there is no measurement yet: drop the recordings in first")
    return session.measured


def fold(session: Session) -> None:
    """What explains the measurement, written into the room's text as one step: gaps as open as was found, a
    leak, one more side for what goes round.

    Raises
    ------
    InputError
        Nothing was measured yet, or nothing has to change.
    """
    found, through = _last(session)
    with session.lock:
        standing = session.standing
        seen = model.compared(found, standing.room, through=through)
        if seen.fit.kind == "as predicted":
            raise InputError("the room already agrees with what was measured: nothing to put into it")
        session.put(corrected.corrected(standing.text, standing.room, seen))


def noise() -> bytes:
    """The noise to play, as a sound file."""
    made = test_signal.signal("noise")
    return wav.encode(made.samples, rate=made.rate)


@contextmanager
def _held(given: Given) -> Iterator[dict[str, tuple[Path, ...]]]:
    """The recordings as files while they are read; faults name them as the user does."""
    if sum(map(len, given.values())) > _MOST_FILES:
        raise InputError(f"recordings: too many at once; choose at most {_MOST_FILES}")
    with tempfile.TemporaryDirectory(prefix="isolate-") as made:
        folder = Path(made)
        held: dict[str, list[Path]] = {role: [] for role in ROLES}
        for role, several in given.items():
            for i, (name, content) in enumerate(several):
                path = folder / f"{role} {i}" / _plain(name)
                path.parent.mkdir()
                with path.open("wb") as file:
                    while part := content.read(1 << 20):
                        file.write(part)
                held[role].append(path)
        every = {str(path): path.name for paths in held.values() for path in paths}
        try:
            for path in map(Path, every):
                if wav.inspect(path).duration > _LONGEST:
                    raise InputError(f"{path}: is longer than an hour; cut out the part that counts")
            yield {role: tuple(paths) for role, paths in held.items()}
        except InputError as error:
            faults = list(error.faults)
            for place, name in every.items():
                faults = [one.replace(place, name) for one in faults]
            raise InputError(faults) from None


def _plain(name: str) -> str:
    """A file's name without any folder, and nothing in it that a folder could be made of."""
    last = PurePosixPath(PureWindowsPath(name).name).name
    kept = "".join(one for one in last if one.isprintable())[-80:].lstrip(".")
    return kept or "recording.wav"
