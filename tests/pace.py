"""Limits on time that mean the same on a slow machine."""

from __future__ import annotations

import time

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


def in_time(spent: float, limit: float) -> bool:
    """Whether `spent` [s] of processor time keeps to `limit`, stretched where this machine is slow now."""
    return spent < limit or spent < limit * max(_work() for _ in range(5)) / USUAL
