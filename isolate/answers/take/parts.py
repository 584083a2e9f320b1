"""Parts of the answer for takes: a noise in a take, the recording's floor, a take with its noises."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.describe.rooms import Noise, Take
from isolate.room import chances
from isolate.room.chances import Doubt
from isolate.room.first import ToClear
from isolate.room.takes import PAUSES, SPOILS, WORDS, AtMicrophone, Met
from isolate.standards import criteria
from isolate.standards.weighting import dba


@dataclass(frozen=True)
class NoiseInTake:
    """One noise in a take: as typical (`met`) and in draws (`drawn`), its level at the microphone [dB] (27,)
    with 5 % and 95 % limits, and the unknowns by what they do to it. `expected`: how many events the take
    meets on the mean, None for a steady noise, which is there for the part `there` of the take's hours."""

    noise: Noise
    level_db: Array
    low_db: Array
    high_db: Array
    met: Met
    drawn: Met
    expected: float | None
    there: float
    doubts: tuple[Doubt, ...]

    @property
    def name(self) -> str:
        return self.noise.name

    @property
    def verdict(self) -> str:
        """The word for what becomes of it."""
        return WORDS[int(self.met.rank)]

    @cached_property
    def chances(self) -> Mapping[str, float]:
        """Chance of each word, once it is there."""
        return self.drawn.chances()

    @property
    def under_limits(self) -> tuple[float, float]:
        """5 % and 95 % of how far it lies under the playing [dB]."""
        return chances.limits(self.drawn.under_db)

    @property
    def chance_in_pauses(self) -> float:
        """Chance that it is heard in the pauses, once it is there."""
        return self.chances[PAUSES] + self.chances[SPOILS]

    @property
    def chance_in_take(self) -> float:
        """Chance that the take has it: it comes and is heard."""
        return self._chance(self.chance_in_pauses)

    @property
    def comes(self) -> float:
        """Chance that it comes while the take lasts."""
        return self._chance(1.0)

    def _chance(self, heard: float) -> float:
        """Chance of at least one event that counts, each with chance `heard` by itself (Poisson)."""
        return self.there * heard if self.expected is None else 1.0 - math.exp(-self.expected * heard)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        low, high = self.under_limits
        margin_low, margin_high = chances.limits(self.drawn.pause_db)
        return {
            "name": self.name,
            "under_take_db": float(self.met.under_db),
            "under_take_low_db": low,
            "under_take_high_db": high,
            "bands_hz": THIRD_OCTAVES,
            "level_db": self.level_db,
            "low_db": self.low_db,
            "high_db": self.high_db,
            "pause_margin_db": float(self.met.pause_db),
            "pause_margin_low_db": margin_low,
            "pause_margin_high_db": margin_high,
            "verdict": self.verdict,
            "chances": dict(self.chances),
            "chance_heard": self.chance_in_pauses,
            "chance_comes": self.comes,
            "chance_in_take": self.chance_in_take,
            "doubts": [{**one.unknown.to_dict(), "share": one.share} for one in self.doubts],
        }


@dataclass(frozen=True)
class Floor:
    """What is there without any noise, at the microphone [dB] (27,): room, hiss and both, the `target` in
    words with how far the floor is above it [dB] (None: no target). While it plays, `played_z` [dB]
    unweighted, the meter shows `reads_dbfs`. `drawn_dba` (draws,): both [dBA], draw by draw."""

    room_db: Array
    hiss_db: Array
    both_db: Array
    drawn_dba: Array
    reads_dbfs: float
    played_z: float
    target: str | None = None
    excess_db: float | None = None

    @property
    def limits_dba(self) -> tuple[float, float]:
        """5 % and 95 % of the floor [dBA], as the background is known."""
        return chances.limits(self.drawn_dba)

    @property
    def dba(self) -> float:
        return float(dba(self.both_db))

    def meter(self, level_db: Array) -> float:
        """What the meter shows of levels (27,) [dBFS], unweighted, 25 Hz to 10 kHz."""
        return float(energy_sum(level_db)) - self.played_z + self.reads_dbfs

    @property
    def dbfs(self) -> float:
        """The floor on the meter [dBFS]."""
        return self.meter(self.both_db)

    @property
    def dbfs_a(self) -> float:
        """The same, A-weighted."""
        return self.dba - self.played_z + self.reads_dbfs

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "bands_hz": THIRD_OCTAVES,
            "level_db": self.both_db,
            "room_db": self.room_db,
            "hiss_db": self.hiss_db,
            "dba": self.dba,
            "low_dba": self.limits_dba[0],
            "high_dba": self.limits_dba[1],
            "nc": float(criteria.nc(self.both_db)),
            "nr": float(criteria.nr(self.both_db)),
            "dbfs": self.dbfs,
            "dbfs_a": self.dbfs_a,
            "target": self.target,
            "over_target_db": self.excess_db,
        }


@dataclass(frozen=True)
class TakeFound:
    """One take: at the microphone, its floor, and each noise that may come while it lasts; what to find out
    first, and the share of the doubt that is luck."""

    take: Take
    at: AtMicrophone
    when: str
    floor: Floor
    noises: tuple[NoiseInTake, ...]
    absent: tuple[str, ...]
    first: tuple[ToClear, ...]
    luck: float

    @property
    def name(self) -> str:
        return self.take.name

    @property
    def between(self) -> float:
        """Time [s] from one noise heard in the pauses to the next, on the mean; inf if there are none."""
        heard = sum(
            one.chance_in_pauses * (math.inf if one.expected is None else one.expected)
            for one in self.noises
            if one.expected is not None or one.verdict in (PAUSES, SPOILS)
        )
        return self.take.length / heard if heard > 0.0 else math.inf

    @property
    def chance_clean(self) -> float:
        """Chance that nothing is heard in its pauses, the noises taken as independent."""
        return math.prod(1.0 - one.chance_in_take for one in self.noises)

    @property
    def heard(self) -> tuple[NoiseInTake, ...]:
        """The noises heard in it."""
        return tuple(one for one in self.noises if one.verdict in (PAUSES, SPOILS))

    @property
    def worst(self) -> NoiseInTake | None:
        """What sticks out most in its pauses; None where nothing is heard."""
        return max(self.heard, key=lambda one: float(one.met.pause_db), default=None)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        take = self.take
        return {
            "name": take.name,
            "plays": take.own.name,
            "distance_m": take.distance,
            "played_dba": self.at.played_dba,
            "softest_db": take.softest_db,
            "compression_db": take.reduction_db,
            "hours": str(take.hours) if take.hours else None,
            "background": self.when,
            "length_s": take.length,
            "floor": self.floor.to_dict(),
            "noises": [one.to_dict() for one in self.noises],
            "not_at_that_hour": list(self.absent),
            "chance_clean": self.chance_clean,
            "clear_up_first": [one.to_dict() for one in self.first],
            "share_of_luck": self.luck,
        }
