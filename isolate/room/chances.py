"""Levels and margins draw by draw: limits, the chance that a sound is heard, and which unknown matters most.

A `Case` is one sound behind its paths at typical values, with what is not known of each part; it is
evaluated for blocks of draws. Everything rides on the typical answer as deviations in dB, so that the physics
is not done anew for each draw.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.processes import mapped as share
from isolate.room.contributions import Contribution
from isolate.room.draws import Draws, blocks
from isolate.room.unknowns import Unknown
from isolate.standards import hearing
from isolate.standards.weighting import dba

LOW, HIGH = 5.0, 95.0  # percent
KEPT = 10  # blocks of draws whose levels by band are kept, plenty for their limits
_NEPER = np.log(10.0) / 10.0
Progress = Callable[[int, int], None]
T = TypeVar("T")


def quiet(done: int, of: int) -> None:
    """Progress that nobody watches."""


@dataclass(frozen=True, eq=False)
class Case:
    """A sound of `level_db` (27,) behind its paths, each with its `part` (paths, 27) of the energy, over a
    `background_db` (27,); with what is not known of the sound and the room (`sound`), of each path's loss
    (`losses`) and of the background (`quiet`). `other_backgrounds` [dB] (27,) by name vary with it."""

    level_db: Array
    part: Array
    background_db: Array
    sound: tuple[Contribution, ...]
    losses: tuple[tuple[Contribution, ...], ...]
    quiet: tuple[Contribution, ...]
    other_backgrounds: Mapping[str, Array] = field(default_factory=dict)

    @property
    def unknowns(self) -> tuple[Unknown, ...]:
        """All that is not known, once each."""
        parts = [*self.sound, *self.quiet, *(part for loss in self.losses for part in loss)]
        return tuple({part.unknown.key: part.unknown for part in parts}.values())


class Sample(NamedTuple):
    """Draws of a case: levels and background [dB], (draws, 27) both."""

    level_db: Array
    background_db: Array


class Sampler:
    """What contributions add up to in one set of draws, each sum computed once."""

    def __init__(self, draws: Draws) -> None:
        self.draws = draws
        self._known: dict[tuple[object, ...], tuple[object, Array]] = {}
        self._energy: tuple[Case, Array] | None = None

    def _once(self, what: str, parts: Sequence[Contribution], make: Callable[[], Array]) -> Array:
        key = (what, *map(id, parts))
        if key not in self._known:
            self._known[key] = (tuple(parts), make())
        return self._known[key][1]

    def total(self, parts: Sequence[Contribution]) -> Array:
        """Sum of contributions [dB] (draws, 27 or 1)."""
        return self._once("total", parts, lambda: self._summed(parts))

    def passed(self, loss: Sequence[Contribution]) -> Array:
        """The energy that is left behind a loss, (draws, 27 or 1)."""
        return self._once("passed", loss, lambda: np.exp(-_NEPER * self._summed(loss)))

    def forget(self, loss: Sequence[Contribution]) -> None:
        """Let go of what is behind a loss that nobody asks for any more."""
        self._known.pop(("passed", *map(id, loss)), None)

    def _summed(self, parts: Sequence[Contribution]) -> Array:
        return sum((part.db(self.draws) for part in parts), np.zeros((self.draws.count, 1)))

    def _moved(self, parts: Sequence[Contribution], anew: str) -> Array | float:
        """How much a sum changes when the unknown `anew` is drawn anew [dB]; 0 where it has no part in it."""
        mine = [part for part in parts if part.unknown.key == anew]
        return sum((part.db(self.draws.others) - part.db(self.draws) for part in mine), 0.0)

    def _inside(self, case: Case) -> Array:
        """The energy of a case's paths (draws, 27); of the last case it is known."""
        if self._energy is None or self._energy[0] is not case:
            energy = np.zeros((self.draws.count, case.level_db.size))
            for part, loss in zip(case.part, case.losses, strict=True):
                energy += part * self.passed(loss)
            self._energy = case, energy
        return self._energy[1]

    def sample(self, case: Case, anew: str | None = None) -> Sample:
        """Draws of a case; the unknown of the key `anew` drawn anew, all others as before."""
        energy, sound, quiet = self._inside(case), self.total(case.sound), self.total(case.quiet)
        if anew is not None:
            sound, quiet = sound + self._moved(case.sound, anew), quiet + self._moved(case.quiet, anew)
            for part, loss in zip(case.part, case.losses, strict=True):
                moved = self._moved(loss, anew)
                if np.ndim(moved):
                    energy = energy + part * self.passed(loss) * np.expm1(-_NEPER * moved)
        level = case.level_db + sound + np.log(np.maximum(energy, 1e-30)) / _NEPER
        return Sample(level, case.background_db + quiet)


@dataclass(frozen=True)
class Drawn:
    """What draws make of a case: A-weighted level and largest margin [dB] of each draw, margins over other
    backgrounds by name; where they were kept, levels and background by band (at most `KEPT` blocks, 27)."""

    dba: Array
    margin: Array
    others: Mapping[str, Array] = field(default_factory=dict)
    sample: Sample | None = None

    @property
    def limits_dba(self) -> tuple[float, float]:
        """5 % and 95 % of the A-weighted level."""
        return limits(self.dba)

    @property
    def limits_db(self) -> tuple[Array, Array] | None:
        """5 % and 95 % of the levels by band (27,), where they were kept."""
        if self.sample is None:
            return None
        low, high = np.percentile(self.sample.level_db, [LOW, HIGH], axis=0)
        return np.asarray(low, float), np.asarray(high, float)

    @property
    def margin_limits(self) -> tuple[float, float]:
        """5 % and 95 % of the margin."""
        return limits(self.margin)

    @property
    def chance(self) -> float:
        """Chance that it is heard."""
        return chance(self.margin > 0.0)


def limits(values: Array) -> tuple[float, float]:
    """5 % and 95 % of draws."""
    low, high = np.percentile(values, [LOW, HIGH])
    return float(low), float(high)


def chance(happens: NDArray[np.bool_]) -> float:
    """Chance from draws in which it happens or not; never 0 or 1, which no number of draws can tell.

    (k + 1/2)/(n + 1): the mean of a binomial's chance under Jeffreys' prior.
    """
    return float((np.count_nonzero(happens) + 0.5) / (happens.size + 1.0))


class _Part(NamedTuple):
    """One block of a case, ready to be joined."""

    dba: Array
    margin: Array
    others: dict[str, Array]
    sample: Sample | None


def _block(draws: Draws, cases: Sequence[Case], keep: int) -> list[_Part]:
    """Every case; a path's draws are held as long as one to come passes it, as the next of a room do."""
    sampler, keep = Sampler(draws), keep if draws.block < KEPT else 0
    last = {id(loss): i for i, case in enumerate(cases) for loss in case.losses}
    found = []
    for i, case in enumerate(cases):
        found.append(_part(sampler.sample(case), case, i < keep))
        for loss in case.losses:
            if last[id(loss)] == i:
                sampler.forget(loss)
    return found


def _part(sample: Sample, case: Case, keep: bool) -> _Part:
    level, moved = sample.level_db, sample.background_db - case.background_db
    others = {name: _margin(level, base + moved) for name, base in case.other_backgrounds.items()}
    kept = Sample(_small(sample.level_db), _small(sample.background_db)) if keep else None
    return _Part(dba(level), _margin(level, sample.background_db), others, kept)


def _small(values: Array) -> Array:
    """In single precision, which is plenty for limits."""
    small: Array = values.astype(np.float32)
    return small


def _margin(level_db: Array, background_db: Array) -> Array:
    return np.asarray(hearing.margin(level_db, background_db).max(-1))


def drawn(
    cases: Sequence[Case],
    *,
    seed: int,
    count: int,
    keep: int = 0,
    processes: int = 1,
    progress: Progress = quiet,
) -> list[Drawn]:
    """Every case with the same `count` draws, levels by band kept of the first `keep` (in `KEPT` blocks).

    Any number of `processes` gives the same answer.
    """
    todo = blocks(seed, count)
    done: list[list[_Part]] = []
    for i, found in enumerate(mapped(partial(_block, cases=cases, keep=keep), todo, processes), 1):
        done.append(found)
        progress(min(i * todo[0].count, count), count)
    backgrounds: dict[bytes, Array] = {}
    return [_joined([block[i] for block in done], backgrounds) for i in range(len(cases))]


def mapped(evaluate: Callable[[Draws], T], todo: Sequence[Draws], processes: int) -> Iterator[T]:
    """Blocks of draws evaluated in their order, by so many processes."""
    shared = min(processes, len(todo))
    return share(partial(_forgotten, evaluate=evaluate, again=shared == 1), todo, shared)


def _forgotten(draws: Draws, *, evaluate: Callable[[Draws], T], again: bool) -> T:
    """All but the first block, which is asked again by whoever is alone, forget what they drew."""
    return evaluate(draws if again and draws.block == 0 else replace(draws))


def _joined(parts: Sequence[_Part], backgrounds: dict[bytes, Array]) -> Drawn:
    """A case of its blocks; of the same background, as most cases have, one of `backgrounds` is held."""
    sample = None
    if samples := [part.sample for part in parts if part.sample is not None]:
        level, background = map(np.concatenate, zip(*samples, strict=True))
        sample = Sample(level, backgrounds.setdefault(background.tobytes(), background))
    others = {name: np.concatenate([part.others[name] for part in parts]) for name in parts[0].others}
    dba_all, margin = (np.concatenate([part[i] for part in parts]) for i in (0, 1))
    return Drawn(dba_all, margin, others, sample)


class Doubt(NamedTuple):
    """An unknown and the share of the variance of a result that goes when it alone becomes known."""

    unknown: Unknown
    share: float


@dataclass(frozen=True)
class Doubts:
    """Which unknown moves a result most: variance-based, one unknown drawn anew while the others stay.

    share = E[(Y - Y')^2]/(2 Var Y), the total effect (M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35,
    from memory). Results that are sums have shares that add up to one.
    """

    sampler: Sampler

    def of(self, case: Case, result: Callable[[Sample], Array]) -> tuple[Doubt, ...]:
        """The unknowns of a case by what they do to `result` of a sample (draws,), the largest first."""
        usual = result(self.sampler.sample(case))
        spread = float(np.var(usual))
        if spread < 1e-12:
            return ()
        found = [
            Doubt(
                one,
                float(np.mean((usual - result(self.sampler.sample(case, one.key))) ** 2)) / (2.0 * spread),
            )
            for one in case.unknowns
        ]
        return tuple(sorted(found, key=lambda one: -one.share))


def largest_margin(sample: Sample) -> Array:
    """The largest margin [dB] of each draw."""
    return _margin(sample.level_db, sample.background_db)
