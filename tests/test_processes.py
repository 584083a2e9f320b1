"""Work that processes share: the same by any number of them, wherever it is done."""

from __future__ import annotations

import os
import threading
import time
from functools import partial

import pytest

from isolate.processes import mapped


def squared(number: int, *, pause: float = 0.0) -> tuple[int, int]:
    """A number's square and the process that found it."""
    if number == 13:
        raise ValueError("thirteen")
    time.sleep(pause)
    return number * number, os.getpid()


@pytest.mark.parametrize("processes", [1, 2, 3])
def test_all_come_in_their_order(processes: int) -> None:
    assert [found for found, _ in mapped(squared, range(12), processes)] == [n * n for n in range(12)]


def test_this_process_begins_and_others_help_from_the_back() -> None:
    by = [process for _, process in mapped(partial(squared, pause=0.05), range(12), 2)]
    assert by[0] == os.getpid() != by[-1]
    assert len(set(by)) == 2


def test_beside_a_thread_others_start_from_nothing() -> None:
    """A copy of a process with threads may wait for ever for what they held."""
    ended = threading.Event()
    beside = threading.Thread(target=ended.wait)
    beside.start()
    try:
        assert [found for found, _ in mapped(squared, range(4), 2)] == [0, 1, 4, 9]
    finally:
        ended.set()
        beside.join()


@pytest.mark.parametrize("processes", [1, 2])
def test_what_fails_fails_here(processes: int) -> None:
    with pytest.raises(ValueError, match="thirteen"):
        list(mapped(squared, range(10, 20), processes))


def test_whoever_stops_asking_waits_for_nothing_that_has_not_begun() -> None:
    began = time.perf_counter()
    found = mapped(partial(squared, pause=0.2), range(100), 2)
    next(found)
    found.close()
    assert time.perf_counter() - began < 5.0
