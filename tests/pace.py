"""Limits on memory, and on time that mean the same on a slow machine."""

from __future__ import annotations

import resource
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

USUAL = 0.035  # s of processor time for `_work` on a common machine of two cores


def _work() -> float:
    x, found = np.linspace(0.0, 1.0, 20_000) * 1j, {}
    start = time.process_time()
    for _ in range(60):
        (np.exp(x) / (x + 2.0)).sum()
    for i in range(100_000):
        found[i % 1000] = str(i)
    return time.process_time() - start


def slowness() -> float:
    """How many times slower than a common machine this one is now, 1 at least."""
    return max(1.0, *(_work() / USUAL for _ in range(5)))


def in_time(spent: float, limit: float) -> bool:
    """Whether `spent` [s] of processor time keeps to `limit`, stretched where this machine is slow now."""
    return spent < limit or spent < limit * slowness()


@contextmanager
def limited_memory(more: float) -> Iterator[None]:
    """No more than this [bytes] beyond what the process has already; on Linux."""
    status = Path("/proc/self/statm")
    if not status.exists():
        yield
        return
    now = int(status.read_text().split()[0]) * resource.getpagesize()
    usual = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (now + int(more), usual[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, usual)


@contextmanager
def within(seconds: float, memory: float) -> Iterator[None]:
    """What is done in here takes no more processor time [s] and memory [bytes]."""
    start = time.process_time()
    with limited_memory(memory):
        yield
    spent = time.process_time() - start
    assert in_time(spent, seconds), f"{spent:.1f} s"
