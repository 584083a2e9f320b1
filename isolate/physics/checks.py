"""Numbers that nothing built or heard can have are refused where they come in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from inspect import Parameter, signature
from typing import ParamSpec, TypeVar, cast

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array


def positive(name: str, value: ArrayLike, unit: str = "m") -> Array:
    """A quantity as an array, finite and above zero; ValueError names it, what came and what is allowed.

    >>> positive("f", 100.0, "Hz")
    array(100.)
    """
    number = np.asarray(value, float)
    if number.size and not 0.0 < number.min() <= number.max() < np.inf:
        raise ValueError(f"{name}: must be above 0 {unit} (got {value!r})")
    return number


def at_least_zero(name: str, value: ArrayLike, unit: str = "m") -> Array:
    """The same for one that may be zero."""
    number = np.asarray(value, float)
    if not (np.all(np.isfinite(number)) and np.all(number >= 0.0)):
        raise ValueError(f"{name}: must be at least 0 {unit} (got {value!r})")
    return number


def not_nothing(name: str, value: ArrayLike, unit: str = "m") -> Array:
    """The same for one that is above zero and may be endless."""
    number = np.asarray(value, float)
    if not np.all(number > 0.0):
        raise ValueError(f"{name}: must be above 0 {unit} (got {value!r})")
    return number


def within_one(name: str, value: ArrayLike) -> Array:
    """The same for a share: 0 to 1."""
    number = np.asarray(value, float)
    if not (np.all(number >= 0.0) and np.all(number <= 1.0)):
        raise ValueError(f"{name}: must be from 0 to 1 (got {value!r})")
    return number


Asked = ParamSpec("Asked")
Told = TypeVar("Told")


Check = Callable[[str, ArrayLike, str], Array]


def above_zero(**units: str) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    """A function that refuses those of its arguments, named with their units, that are not above zero; None,
    where an argument may be left out, passes.

    >>> @above_zero(mass="kg/m2")
    ... def twice(mass: float) -> float:
    ...     return 2 * mass
    >>> twice(mass=-1.0)
    Traceback (most recent call last):
    ValueError: mass: must be above 0 kg/m2 (got -1.0)
    """
    return _guarding(positive, 0.0, units)


def zero_or_more(**units: str) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    """The same for those that may be zero."""
    return _guarding(at_least_zero, -np.finfo(float).tiny, units)


def up_to_endless(**units: str) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    """The same for those that are above zero and may be endless."""
    return _guarding(not_nothing, 0.0, units)


def _guarding(
    check: Check, above: float, units: Mapping[str, str]
) -> Callable[[Callable[Asked, Told]], Callable[Asked, Told]]:
    def guarded(function: Callable[Asked, Told]) -> Callable[Asked, Told]:
        by_place = Parameter.POSITIONAL_ONLY, Parameter.POSITIONAL_OR_KEYWORD
        names = [one.name for one in signature(function).parameters.values() if one.kind in by_place]

        @wraps(function)
        def asked(*given: Asked.args, **named: Asked.kwargs) -> Told:
            for name, value in (*zip(names, given, strict=False), *named.items()):
                if name not in units or value is None:
                    continue
                if not (isinstance(value, float) and above < value < np.inf):  # most are: no array is made
                    check(name, cast(ArrayLike, value), units[name])
            return function(*given, **named)

        return asked

    return guarded
