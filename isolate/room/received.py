"""How a sound is heard after all its paths: level, margin, verdict, which path counts, how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import THIRD_OCTAVES, Array
from isolate.physics import paths as sums
from isolate.room import prediction
from isolate.room.chances import Drawn
from isolate.room.elements import Path
from isolate.standards import hearing
from isolate.standards.weighting import A_WEIGHTING, dba


@dataclass(frozen=True)
class Passed:
    """A sound behind its `paths`: `level_db` and `background_db` (27,) there, `part` (paths, 27) of each
    path in each band's energy, `spread_db` the sound's own standard deviation; `drawn`, where what is not
    known was drawn. Without draws limits and chance are those of a normal distribution."""

    paths: tuple[Path, ...]
    level_db: Array
    part: Array
    background_db: Array
    spread_db: float
    drawn: Drawn | None = None

    @property
    def dba(self) -> float:
        """A-weighted level [dB]."""
        return float(dba(self.level_db))

    @cached_property
    def margin_db(self) -> Array:
        """Excess over what background and threshold of hearing hide [dB] (27,)."""
        return hearing.margin(self.level_db, self.background_db)

    @property
    def margin(self) -> float:
        """The largest excess of any band [dB]."""
        return float(self.margin_db.max())

    @property
    def plainest_hz(self) -> float:
        """The band that sticks out most [Hz]."""
        return float(THIRD_OCTAVES[self.margin_db.argmax()])

    @property
    def verdict(self) -> str:
        """The word for the margin."""
        return hearing.verdict(self.margin)

    @cached_property
    def energy(self) -> Array:
        """Part of each path in each band of the A-weighted energy, (paths, 27); adds up to 1."""
        return sums.shares(self.part, self.level_db, weighting_db=A_WEIGHTING)

    @cached_property
    def share(self) -> Array:
        """Part of each path in the A-weighted energy, (paths,); adds up to 1."""
        return np.asarray(self.energy.sum(-1))

    @property
    def by_side(self) -> dict[str, float]:
        """The same by side."""
        found = dict.fromkeys((path.side for path in self.paths), 0.0)
        for path, share in zip(self.paths, self.share, strict=True):
            found[path.side] += float(share)
        return found

    @cached_property
    def sigma_db(self) -> float:
        """Standard deviation of the A-weighted level [dB]."""
        return prediction.of_level(self.energy, self._sigmas, spread_db=self.spread_db)

    @cached_property
    def margin_sigma_db(self) -> float:
        """Standard deviation of the margin [dB], at the band that sticks out most."""
        at = [int(self.margin_db.argmax())]
        level = prediction.of_level(self.part[:, at], self._sigmas[:, at], spread_db=self.spread_db)
        return float(np.hypot(level, prediction.BACKGROUND_DB))

    @property
    def _sigmas(self) -> Array:
        return np.array([path.sigma_db for path in self.paths])

    @property
    def limits_dba(self) -> tuple[float, float]:
        """5 % and 95 % limits of the level [dBA]."""
        if self.drawn is not None:
            return self.drawn.limits_dba
        half = prediction.LIMIT * self.sigma_db
        return self.dba - half, self.dba + half

    @property
    def margin_limits(self) -> tuple[float, float]:
        """5 % and 95 % limits of the largest excess [dB]."""
        if self.drawn is not None:
            return self.drawn.margin_limits
        half = prediction.LIMIT * self.margin_sigma_db
        return self.margin - half, self.margin + half

    @property
    def limits_db(self) -> tuple[Array, Array]:
        """5 % and 95 % limits of the level by band [dB], (27,) each."""
        kept = self.drawn.limits_db if self.drawn is not None else None
        if kept is not None:
            return kept
        variance = np.square(self.part * self._sigmas).sum(0) + self.spread_db**2
        half = prediction.LIMIT * np.sqrt(variance)
        return self.level_db - half, self.level_db + half

    @property
    def chance(self) -> float:
        """Probability that it is heard."""
        if self.drawn is not None:
            return self.drawn.chance
        return prediction.chance_above(self.margin, self.margin_sigma_db)

    @property
    def strongest(self) -> int:
        """Index of the path that lets most of it through."""
        return int(self.share.argmax())

    @cached_property
    def without_strongest(self) -> Passed | None:
        """With the strongest path perfect; None where it is the only one."""
        if len(self.paths) < 2:
            return None
        i = self.strongest
        rest = np.delete(self.part, i, axis=0)
        total = rest.sum(0)
        part = np.where(total > 0.0, rest / np.where(total > 0.0, total, 1.0), 1.0 / len(rest))
        kept = (*self.paths[:i], *self.paths[i + 1 :])
        level = sums.without(self.level_db, self.part, i)
        return Passed(kept, level, part, self.background_db, self.spread_db)

    @cached_property
    def ceiling(self) -> Passed:
        """With every path but the strongest perfect: what no change of the others gets below."""
        i = self.strongest
        level = sums.alone(self.level_db, self.part, i)
        return Passed((self.paths[i],), level, np.ones((1, level.size)), self.background_db, self.spread_db)


def passed(
    level_db: Array,
    paths: Sequence[Path],
    *,
    transfer_db: ArrayLike,
    background_db: Array,
    spread_db: float,
    exposure_db: Sequence[float] | None = None,
) -> Passed:
    """How a sound of `level_db` (27,) is heard behind these paths; see `physics.paths` for the transfer.

    exposure_db: of each path, what reaches it less the level stated [dB].
    """
    exposure = np.zeros(len(paths)) if exposure_db is None else np.asarray(exposure_db, float)
    each = np.array(np.broadcast_arrays(*(path.tau_area for path in paths)))
    tau_area = sums.exposed(each, exposure_db=exposure.reshape(-1, *[1] * (each.ndim - 1)))
    level = sums.level(level_db, tau_area, transfer_db=transfer_db)
    return Passed(tuple(paths), level, sums.parts(tau_area), background_db, spread_db)
