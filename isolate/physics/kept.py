"""Results that are asked for again and again: of the same wall, alone and behind linings, in memory; of the
same description, by one command after another, in the store."""

from __future__ import annotations

import base64
import json
from collections import OrderedDict
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import is_dataclass
from functools import lru_cache, partial, wraps
from types import FunctionType
from typing import Any, Concatenate, ParamSpec, TypeVar

import numpy as np

from isolate import store
from isolate.describe.materials import Material
from isolate.physics import calibrated
from isolate.physics.stack import Stack, typical

More = ParamSpec("More")
Found = TypeVar("Found")  # an array, or any number of them in tuples, mappings and dataclasses
Solve = Callable[Concatenate[Stack, More], Found]
MANY, WAYS = 256, 16  # stacks; values of constants for each
_forget: list[Callable[[], None]] = []


def kept(solve: Solve[More, Found]) -> Solve[More, Found]:
    """`solve` with its last results kept, read-only: of stacks of numbers, not of draws or arrays, each for
    the values of those calibrated constants that it read."""
    known: OrderedDict[object, list[tuple[Mapping[str, float], Found]]] = OrderedDict()

    @wraps(solve)
    def of(stack: Stack, *rest: More.args, **named: More.kwargs) -> Found:
        key = stack, rest, tuple(named.items())
        if stack.pick is not typical or not _is_plain(key):
            return solve(stack, *rest, **named)
        ways = known[key] = known.pop(key, [])  # the newest now, whatever other threads ask for
        for constants, result in ways:
            if calibrated.stand(constants):
                return result
        with calibrated.reading() as names:
            result = solve(stack, *rest, **named)
        _only_read(result)
        ways.append(({name: calibrated.value(name) for name in names}, result))
        del ways[:-WAYS]
        if len(known) > MANY:
            known.popitem(last=False)
        return result

    _forget.append(known.clear)
    return of


def _is_plain(key: object) -> bool:
    """Whether all it is made of are plain values; what holds arrays has no hash."""
    try:
        hash(key)
    except TypeError:
        return False
    return True


def _only_read(found: object) -> None:
    """Let nobody write into arrays that many hold."""
    if isinstance(found, np.ndarray):
        found.flags.writeable = False
        return
    parts = found if isinstance(found, dict | tuple) else getattr(found, "__dict__", ())
    for one in parts.values() if isinstance(parts, dict) else parts:
        _only_read(one)


def forget() -> None:
    """Keep nothing: for tests that solve the same on other grids."""
    for clear in _forget:
        clear()


# --- in the store ---


def stored(kind: type[Found], *, most: int = MANY) -> Callable[[Callable[..., Found]], Callable[..., Found]]:
    """A solver with its results stored, and the last `most` of them in memory, each for the values of those
    calibrated constants that it read.

    kind: of the results, arrays or dataclasses of arrays, numbers, texts and tuples of them. What is asked in
    other than plain values, of draws or of functions made on the spot, is solved and not stored.
    """

    def keeping(solve: Callable[..., Found]) -> Callable[..., Found]:
        known: OrderedDict[str, tuple[Mapping[str, float], Found]] = OrderedDict()

        @wraps(solve)
        def of(*asked: Any, **named: Any) -> Found:
            told = _told([np.__version__, solve, asked, named, calibrated.others()])
            if told is None:
                return solve(*asked, **named)
            result = known.pop(told, None) or _from_store(told, kind)
            if result is None or not calibrated.stand(result[0]):
                with calibrated.reading() as names:
                    found = solve(*asked, **named)
                result = {name: calibrated.value(name) for name in sorted(names)}, found
                if store.is_open():
                    store.write(told, json.dumps(result, default=_plain))
                _only_read(found)
            known[told] = result  # the newest now, whatever other threads ask for
            if len(known) > most:
                known.popitem(last=False)
            return result[1]

        _forget.append(known.clear)
        return of

    return keeping


def _from_store(told: str, kind: type[Found]) -> tuple[Mapping[str, float], Found] | None:
    """What the store has of a question, and the constants it was found with."""
    with suppress(ValueError):
        constants, found = json.loads(store.read(told) or "", object_hook=_array)
        return constants, kind(**found) if isinstance(found, dict) else found
    return None


def text(asked: object, make: Callable[[], str]) -> str:
    """The text that `make` makes of plain values `asked`, stored; made anew where others are among them."""
    told = _told(asked) if store.is_open() else None
    if told is None:
        return make()
    with suppress(ValueError):
        known = json.loads(store.read(told) or "")
        if isinstance(known, str):
            return known
    found = make()
    store.write(told, json.dumps(found))
    return found


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
