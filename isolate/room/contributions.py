"""What each unknown adds to a level or to the loss of a path, in dB, draw by draw.

All are deviations from what is typical, (count, 27) or (count, 1), and each says which unknown it belongs to,
so that one unknown can be drawn anew while all others stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.physics.responses import Response
from isolate.room.draws import Draws
from isolate.room.unknowns import Unknown
from isolate.standards.weighting import dba


@dataclass(frozen=True)
class Flat:
    """The same in all bands: normal, standard deviation `sigma_db`. `key` names the draws."""

    unknown: Unknown
    key: str
    sigma_db: float

    def db(self, draws: Draws) -> Array:
        """(count, 1)."""
        return self.sigma_db * draws.normal(self.key)[:, None]


@dataclass(frozen=True)
class Smooth:
    """Differs from band to band, neighbours alike: standard deviation `sigma_db` (27,).

    shares: names of draws and the part of the variance each has; they add up to 1. What two of these have in
    common, they vary with in common.
    """

    unknown: Unknown
    shares: tuple[tuple[str, float], ...]
    sigma_db: Array

    def db(self, draws: Draws) -> Array:
        """(count, 27)."""
        return self.sigma_db * sum(np.sqrt(part) * draws.smooth(key) for key, part in self.shares)


@dataclass(frozen=True)
class Pitch:
    """A spectrum of which only the A-weighted level is known well: smooth, that level kept."""

    unknown: Unknown
    key: str
    sigma_db: float
    level_db: Array

    def db(self, draws: Draws) -> Array:
        """(count, 27)."""
        change = self.sigma_db * draws.smooth(self.key)
        return change - (dba(self.level_db + change) - dba(self.level_db))[:, None]


@dataclass(frozen=True)
class Answering:
    """A quantity of materials or workmanship, by its `physics.responses.Response`."""

    unknown: Unknown
    response: Response
    key: str

    def db(self, draws: Draws) -> Array:
        """(count, 27)."""
        return self.response.at(draws.normal(self.key))


@dataclass(frozen=True)
class OneOf:
    """One of several, equally likely: `changes_db` (n, 27) of each from what is stated."""

    unknown: Unknown
    key: str
    changes_db: Array

    def db(self, draws: Draws) -> Array:
        """(count, 27)."""
        which = (draws.uniform(self.key) * len(self.changes_db)).astype(int)
        return np.asarray(self.changes_db[np.minimum(which, len(self.changes_db) - 1)])


Contribution = Flat | Smooth | Pitch | Answering | OneOf
_TRIAL = Draws(0, 200)


def spread(parts: Sequence[Contribution]) -> Array:
    """Standard deviation [dB] (27,) that these add up to."""
    found = [np.broadcast_to(part.db(_TRIAL), (_TRIAL.count, 27)) for part in parts]
    return np.std(np.sum(found, axis=0), axis=0) if found else np.zeros(27)
