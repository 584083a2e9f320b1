"""Results that a room asks for again and again: of the same wall, alone and behind linings."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Concatenate, ParamSpec

from isolate.bands import Array
from isolate.physics import calibrated
from isolate.physics.stack import Stack, typical

More = ParamSpec("More")
Solve = Callable[Concatenate[Stack, More], Array]
MANY = 256
_forget: list[Callable[[], None]] = []


def kept(solve: Solve[More]) -> Solve[More]:
    """`solve` with its last results kept, read-only: of stacks without draws, and while nobody changes the
    calibrated constants or asks which are read."""

    @lru_cache(MANY)
    def known(stack: Stack, *rest: More.args, **named: More.kwargs) -> Array:
        found = solve(stack, *rest, **named)
        found.flags.writeable = False
        return found

    @wraps(solve)
    def of(stack: Stack, *rest: More.args, **named: More.kwargs) -> Array:
        usual = stack.pick is typical and calibrated.untouched()
        return (known if usual else solve)(stack, *rest, **named)

    _forget.append(known.cache_clear)
    return of


def forget() -> None:
    """Keep nothing: for tests that solve the same on other grids."""
    for clear in _forget:
        clear()
