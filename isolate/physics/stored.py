"""What constructions pass, kept on disk: of one room one command after another asks the same.

A result is a small file of JSON in a folder named by a digest of the program's own text, so that no other
program reads it; its name is a digest of all that was asked. What cannot be told in plain values is not kept,
nor anything where no file can be written. `ISOLATE_STORE` names the place; unset, as in a library, or empty,
there is none.
"""

from __future__ import annotations

import base64
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import is_dataclass
from functools import cache, lru_cache, partial, wraps
from pathlib import Path
from types import FunctionType
from typing import Any, TypeVar

import numpy as np

from isolate.describe.materials import Material
from isolate.physics import calibrated
from isolate.physics.kept import only_read

PLACE = "ISOLATE_STORE"
MOST = 4000  # files, 2 kB each; of more the half that was written first goes
_FOLDER = "isolate-" + 16 * "[0-9a-f]"  # what a store is called
_PACKAGE = Path(__file__).parents[1]  # the program
Found = TypeVar("Found")


def stored(kind: type[Found]) -> Callable[[Callable[..., Found]], Callable[..., Found]]:
    """A solver with its results stored, each for the values of those calibrated constants that it read.

    kind: of the results, arrays or dataclasses of arrays, numbers, texts and tuples of them.
    """

    def keeping(solve: Callable[..., Found]) -> Callable[..., Found]:
        @wraps(solve)
        def of(*asked: Any, **named: Any) -> Found:
            folder = _folder(os.environ.get(PLACE, ""))
            told = _told([solve, asked, named, calibrated.others()]) if folder else None
            if folder is None or told is None:
                return solve(*asked, **named)
            path = folder / hashlib.sha256(told.encode()).hexdigest()[:40]
            with suppress(OSError, ValueError, KeyError, TypeError, AttributeError):
                constants, known = json.loads(path.read_bytes(), object_hook=_array)
                if calibrated.stand(constants):
                    return kind(**known) if isinstance(known, dict) else known
            with calibrated.reading() as names:
                found = solve(*asked, **named)
            constants = {name: calibrated.value(name) for name in sorted(names)}
            _write(path, json.dumps([constants, found], default=_plain))
            only_read(found)
            return found

        return of

    return keeping


def _told(value: Any) -> str | None:
    """A value in text that nothing else has; None if it holds what is no plain value."""
    if value is None or isinstance(value, bool | int | float | complex | str):
        return repr(value)
    if isinstance(value, FunctionType):
        name = value.__qualname__
        return None if "<" in name else f"{value.__module__}.{name}"
    if isinstance(value, Material):
        return _of_material(value)
    if isinstance(value, np.ndarray) and value.ndim < 2:  # no draws
        return _told(value.tolist())
    if is_dataclass(value) and not isinstance(value, type):
        value = [type(value).__name__, *(getattr(value, name) for name in value.__dataclass_fields__)]
    elif isinstance(value, partial):
        value = [value.func, value.args, value.keywords]
    elif isinstance(value, Mapping):
        value = [list(pair) for pair in sorted(value.items())]
    if not isinstance(value, list | tuple):
        return None
    parts = [_told(one) for one in value]
    return None if None in parts else f"[{','.join(map(str, parts))}]"


@lru_cache(maxsize=256)
def _of_material(value: Material) -> str | None:
    return _told([getattr(value, name) for name in value.__dataclass_fields__])


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return vars(value)
    whole = np.asarray(value, float)
    return {"shape": whole.shape, "float64": base64.b64encode(whole.tobytes()).decode()}


def _array(known: dict[str, Any]) -> Any:
    """The array, or the fields, that a mapping of JSON stands for."""
    if "float64" in known:
        return np.frombuffer(base64.b64decode(known["float64"])).reshape(known["shape"])
    return {name: tuple(value) if isinstance(value, list) else value for name, value in known.items()}


def _write(path: Path, text: str) -> None:
    """Whole or not at all, whoever writes the same."""
    with suppress(OSError):
        handle, name = tempfile.mkstemp(dir=path.parent)
        try:
            with open(handle, "w") as file:
                file.write(text)
            os.replace(name, path)
        finally:
            Path(name).unlink(missing_ok=True)


@cache
def _folder(place: str) -> Path | None:
    """The folder of this very program, there and not too full, those of others gone; None if there can be
    none."""
    if not place:
        return None
    text = hashlib.sha256(np.__version__.encode())
    for path in sorted(_PACKAGE.rglob("*.py")):
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
