"""Results that a room asks for again and again: of the same wall, alone and behind linings."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

import numpy as np

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
        only_read(result)
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


def only_read(found: object) -> None:
    """Let nobody write into arrays that many hold."""
    if isinstance(found, np.ndarray):
        found.flags.writeable = False
        return
    parts = found if isinstance(found, dict | tuple) else getattr(found, "__dict__", ())
    for one in parts.values() if isinstance(parts, dict) else parts:
        only_read(one)


def forget() -> None:
    """Keep nothing: for tests that solve the same on other grids."""
    for clear in _forget:
        clear()
