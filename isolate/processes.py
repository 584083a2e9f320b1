"""Work shared by processes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

Asked = TypeVar("Asked")
Found = TypeVar("Found")


def mapped(evaluate: Callable[[Asked], Found], todo: Iterable[Asked], processes: int) -> Iterator[Found]:
    """What `evaluate` finds of each, in their order, by so many processes; the same by any number of them."""
    if processes <= 1:
        yield from map(evaluate, todo)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(processes, mp_context=get_context("spawn")) as pool:
        yield from pool.map(evaluate, todo)
