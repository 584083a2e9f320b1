"""Draws in blocks, so that memory does not grow with their number."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from isolate.bands import Array
from isolate.describe.materials import Range

Pick = Callable[[str, Range], "float | Array"]
BLOCK = 48  # draws: what is worked on then stays near the processor


class Remembered:
    """A pick that gives each key the same draws, whole or a block of them."""

    def __init__(self, pick: Pick) -> None:
        self.pick = pick
        self.known: dict[str, float | Array] = {}

    def __call__(self, key: str, value: Range) -> float | Array:
        if key not in self.known:
            self.known[key] = self.pick(key, value)
        return self.known[key]

    @property
    def count(self) -> int:
        """The number of draws there are of anything asked for until now."""
        return max((len(x) for x in map(np.asarray, self.known.values()) if x.ndim), default=1)

    def block(self, start: int) -> Pick:
        """A pick of a block of draws from `start` on; what has fewer than two is common to all."""

        def some(key: str, value: Range) -> float | Array:
            drawn = np.asarray(self(key, value))
            return drawn[start : start + BLOCK] if drawn.ndim and len(drawn) > 1 else self(key, value)

        return some


def in_blocks(evaluate: Callable[[Pick], tuple[Array, ...]], drawn: Remembered) -> tuple[Array, ...]:
    """What `evaluate` gives for a pick, arrays (..., 27), block after block of draws and joined."""
    found = [evaluate(drawn.block(0))]
    found += [evaluate(drawn.block(start)) for start in range(BLOCK, drawn.count, BLOCK)]
    return found[0] if len(found) == 1 else tuple(map(_joined, zip(*found, strict=True)))


def _joined(parts: tuple[Array, ...]) -> Array:
    """Blocks (block, ..., 27) one after the other; without draws, the value they share."""
    return parts[0] if parts[0].ndim < 2 or len(parts[0]) == 1 else np.concatenate(parts)
