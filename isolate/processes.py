"""Work shared by processes."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

Asked = TypeVar("Asked")
Found = TypeVar("Found")


def mapped(evaluate: Callable[[Asked], Found], todo: Iterable[Asked], processes: int) -> Iterator[Found]:
    """What `evaluate` finds of each, in their order, by so many processes; the same by any number of them.

    This one works from the front, the others from the back, since it takes them a moment to start.
    """
    if processes <= 1:
        yield from map(evaluate, todo)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # A copy of this process is at hand at once, and safe where no thread holds anything.
    alone = sys.platform == "linux" and threading.active_count() == 1
    asked = list(todo)
    pool = ProcessPoolExecutor(processes - 1, mp_context=get_context("fork" if alone else "spawn"))
    try:
        others = [pool.submit(evaluate, one) for one in reversed(asked)][::-1]
        for one, other in zip(asked, others, strict=True):
            yield evaluate(one) if other.cancel() else other.result()
    finally:
        pool.shutdown(cancel_futures=True)
