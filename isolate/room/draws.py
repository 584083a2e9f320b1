"""Seeded draws of what is not known: the same quantity has the same draw wherever it comes in.

Every quantity has a name. Its draws depend on the seed, the block and that name alone, not on what else is
drawn or in which order: a material is the same in every option that holds it, so that differences between
options are surer than levels, and blocks may be computed by any number of processes.

Within a block each normal is stratified (one draw in each of `count` slices of equal chance, in random order;
M. D. McKay and others, Technometrics 21 (1979) 239, from memory), which steadies means and limits.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from isolate.bands import N_BANDS, Array

Cells = NDArray[np.intp]

BLOCK = 500  # draws
_MOST = 400  # quantities whose draws are kept, three times what a bundled room and all its remedies have
# Correlation of the error of a prediction between bands: half is left an octave away. Of 51 published
# specimens (without doubtful ones) it is 0.50 one octave apart, 0.25 two, 0.1 three and four.
OCTAVE_CORRELATION = 0.5
_NEXT = OCTAVE_CORRELATION ** (1.0 / 3.0)


@dataclass(frozen=True)
class Draws:
    """`count` draws of block `block`; `salt` tells independent sets of the same block apart."""

    seed: int
    count: int
    block: int = 0
    salt: int = 0
    _known: dict[str, Array] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def others(self) -> Draws:
        """As many draws that have nothing in common with these."""
        return replace(self, salt=self.salt + 1)

    def _rng(self, key: str) -> np.random.Generator:
        name = zlib.crc32(key.encode()), len(key)
        return np.random.default_rng(np.random.SeedSequence([self.seed, self.block, self.salt, *name]))

    def _stratified(self, key: str, rows: int) -> tuple[Cells, Array]:
        """Slices, each once in a row, and uniform numbers between 0 and 1 in them, (rows, count)."""
        rng = self._rng(key)
        slices = rng.permuted(np.tile(np.arange(self.count), (rows, 1)), axis=1)
        return slices, (slices + rng.random((rows, self.count))) / self.count

    def uniform(self, key: str) -> Array:
        """Between 0 and 1, (count,)."""
        return self._stratified(key, 1)[1][0]

    def normal(self, key: str) -> Array:
        """Standard normal, (count,)."""
        return self._once(f"normal {key}", lambda: _normal(*self._stratified(key, 1))[0])

    def smooth(self, key: str) -> Array:
        """Standard normal in each third octave, neighbours alike: (count, 27).

        A first-order autoregression over the bands; correlation is `OCTAVE_CORRELATION` to the power of the
        octaves between them.
        """
        return self._once(f"smooth {key}", lambda: self._smooth(key))

    def _once(self, name: str, make: Callable[[], Array]) -> Array:
        found = self._known.get(name)
        if found is None:
            found = make()
            found.flags.writeable = False
            if len(self._known) == _MOST:
                self._known.clear()
            self._known[name] = found
        return found

    def _smooth(self, key: str) -> Array:
        steps = _normal(*self._stratified(key, N_BANDS))
        steps[1:] *= np.sqrt(1.0 - _NEXT**2)
        for i in range(1, N_BANDS):
            steps[i] += _NEXT * steps[i - 1]
        return np.ascontiguousarray(steps.T)


# To a hundred thousandth, without the third of a second in which scipy's `ndtri` is loaded.
_NORMAL = np.linspace(-6.0, 6.0, 4001)
_UNIFORM = np.array([0.5 * math.erfc(-z / math.sqrt(2.0)) for z in _NORMAL])


def _normal(slices: Cells, uniform: Array) -> Array:
    """Standard normal numbers of the same rank as uniform ones, looked up in rising order, which is quick."""
    rows, rising = np.arange(len(slices))[:, None], np.empty_like(uniform)
    rising[rows, slices] = uniform
    return np.interp(rising, _UNIFORM, _NORMAL)[rows, slices]


def blocks(seed: int, count: int) -> list[Draws]:
    """`count` draws in blocks of up to `BLOCK`; the first is the same for whoever asks, with what it drew."""
    sizes = [BLOCK] * (count // BLOCK) + ([count % BLOCK] if count % BLOCK else [])
    return [Draws(seed, size, block) if block else _first(seed, size) for block, size in enumerate(sizes)]


@lru_cache(maxsize=1)
def _first(seed: int, count: int) -> Draws:
    return Draws(seed, count)


def forget() -> None:
    """Let go of what the first block drew, where all is drawn and something else wants the memory."""
    _first.cache_clear()
