"""Results that a room asks for again and again: of the same wall, alone and behind linings."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Concatenate, ParamSpec, TypeVar

import numpy as np

from isolate.physics import calibrated
from isolate.physics.stack import Stack, typical

More = ParamSpec("More")
Found = TypeVar("Found")  # an array, or any number of them in tuples and dataclasses
Solve = Callable[Concatenate[Stack, More], Found]
MANY = 256
_forget: list[Callable[[], None]] = []


def kept(solve: Solve[More, Found]) -> Solve[More, Found]:
    """`solve` with its last results kept, read-only: of stacks without draws, and while nobody changes the
    calibrated constants or asks which are read."""

    @lru_cache(MANY)
    def known(stack: Stack, *rest: More.args, **named: More.kwargs) -> Found:
        found = solve(stack, *rest, **named)
        _only_read(found)
        return found

    @wraps(solve)
    def of(stack: Stack, *rest: More.args, **named: More.kwargs) -> Found:
        usual = stack.pick is typical and calibrated.untouched()
        return (known if usual else solve)(stack, *rest, **named)

    _forget.append(known.cache_clear)
    return of


def _only_read(found: object) -> None:
    """Let nobody write into arrays that many hold."""
    if isinstance(found, np.ndarray):
        found.flags.writeable = False
        return
    for one in found if isinstance(found, tuple) else vars(found).values():
        _only_read(one)


def forget() -> None:
    """Keep nothing: for tests that solve the same on other grids."""
    for clear in _forget:
        clear()
