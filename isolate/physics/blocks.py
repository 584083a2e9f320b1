"""Draws in blocks, so that memory does not grow with their number."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from isolate.bands import Array
from isolate.describe.materials import Range

Pick = Callable[[str, Range], "float | Array"]
BLOCK = 16  # draws: what is worked on then stays near the processor, and in few draws little varies


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
        """A pick of a block of draws from `start` on; what is the same in all of them is one number."""

        def some(key: str, value: Range) -> float | Array:
            drawn = np.asarray(self(key, value))
            if drawn.ndim == 0 or len(drawn) < 2:
                return self(key, value)
            here = drawn[start : start + BLOCK]
            return float(here.flat[0]) if np.all(here == here.flat[0]) else here

        return some


def in_blocks(evaluate: Callable[[Pick], tuple[Array, ...]], drawn: Remembered) -> tuple[Array, ...]:
    """What `evaluate` gives for a pick, arrays (..., 27), block after block of draws and joined."""
    found = [evaluate(drawn.block(0))]
    found += [evaluate(drawn.block(start)) for start in range(BLOCK, drawn.count, BLOCK)]
    if drawn.count == 1:
        return found[0]
    sizes = [min(BLOCK, drawn.count - start) for start in range(0, drawn.count, BLOCK)]
    return tuple(_joined(one, sizes) for one in zip(*found, strict=True))


def _joined(parts: tuple[Array, ...], sizes: list[int]) -> Array:
    """Blocks (..., 27) of so many draws one after the other, (draws, 27)."""
    each = (np.broadcast_to(one, (size, one.shape[-1])) for one, size in zip(parts, sizes, strict=True))
    return np.concatenate([*each])
