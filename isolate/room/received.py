"""A sound at an ear: level, margin, verdict, chance, and what each element of the envelope adds to it.

Noises that come in, own sounds at a neighbour's and what a remedy leaves of either are all this.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels
from isolate.describe.rooms import Neighbour, Noise, Own
from isolate.physics import paths as sums
from isolate.room import audibility, prediction
from isolate.room.chances import Drawn
from isolate.room.elements import Element
from isolate.room.impact import STRUCTURE
from isolate.room.limits import LimitMet
from isolate.standards import hearing
from isolate.standards.scales import BASS
from isolate.standards.weighting import A_WEIGHTING, dba, dbc


@dataclass(frozen=True, eq=False)
class Received:
    """A sound of `source`: a noise in the room, or, with a `neighbour`, what they hear of an own sound.

    `made_db` (27,): at the facade, or in the room it is made in; `level_db` and `background_db` (27,) where
    it is heard; `part` (elements, 27) of each element in each band's energy. `limits` that hold there;
    `drawn`, where what is not known was drawn: without draws limits and chance are those of a normal
    distribution.
    """

    source: Noise | Own
    made_db: Array
    elements: tuple[Element, ...]
    level_db: Array
    part: Array
    background_db: Array
    neighbour: Neighbour | None = None
    limits: tuple[LimitMet, ...] = ()
    drawn: Drawn | None = None

    # --- who and where ---

    @property
    def what(self) -> str:
        """Name of the sound."""
        return self.source.name

    @property
    def where(self) -> str:
        """Name of the neighbour, empty for a noise in the room."""
        return self.neighbour.name if self.neighbour else ""

    @property
    def name(self) -> str:
        """Both: what answers go by."""
        return f"{self.what} at {self.where}" if self.neighbour else self.what

    @property
    def noise(self) -> Noise:
        """The noise it is; only of what comes in."""
        assert isinstance(self.source, Noise)
        return self.source

    @property
    def own(self) -> Own:
        """The own sound it is; only of what goes out."""
        assert isinstance(self.source, Own)
        return self.source

    @property
    def to(self) -> Neighbour:
        """The neighbour who hears it; only of what goes out."""
        assert self.neighbour is not None
        return self.neighbour

    # --- how loud ---

    @property
    def dba(self) -> float:
        """A-weighted level [dB]."""
        return float(dba(self.level_db))

    @property
    def made_dba(self) -> float:
        """A-weighted level where it is made or arrives [dB]."""
        return float(dba(self.made_db))

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
        """The word for margin and chance."""
        return audibility.verdict(self.margin, self.chance)

    @property
    def is_heard(self) -> bool:
        """Whether it is heard, surely or perhaps."""
        return audibility.heard(self.verdict)

    @property
    def bass_db(self) -> float:
        """C-weighted less A-weighted level [dB]: large where little but bass gets through."""
        return float(dbc(self.level_db)) - self.dba

    @property
    def bass(self) -> str:
        """What that difference means."""
        return next((words for least, words in BASS if self.bass_db >= least), "")

    @property
    def met(self) -> bool:
        """Whether every limit is kept."""
        return all(one.met for one in self.limits)

    # --- how sure ---

    @cached_property
    def sigma_db(self) -> float:
        """Standard deviation of the A-weighted level [dB]."""
        return prediction.of_level(self.energy, self._sigmas, spread_db=self.source.spectrum.spread_db)

    @cached_property
    def margin_sigma_db(self) -> float:
        """Standard deviation of the margin [dB], at the band that sticks out most."""
        at = [int(self.margin_db.argmax())]
        spread = self.source.spectrum.spread_db
        level = prediction.of_level(self.part[:, at], self._sigmas[:, at], spread_db=spread)
        return float(np.hypot(level, prediction.BACKGROUND_DB))

    @property
    def _sigmas(self) -> Array:
        return np.array([one.sigma_db for one in self.elements])

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
        variance = np.square(self.part * self._sigmas).sum(0) + self.source.spectrum.spread_db**2
        half = prediction.LIMIT * np.sqrt(variance)
        return self.level_db - half, self.level_db + half

    @cached_property
    def chance(self) -> float:
        """Probability that it is heard."""
        if self.drawn is not None:
            return self.drawn.chance
        return prediction.chance_above(self.margin, self.margin_sigma_db)

    # --- by which way ---

    @cached_property
    def energy(self) -> Array:
        """Part of each element in each band of the A-weighted energy, (elements, 27); adds up to 1."""
        return sums.shares(self.part, self.level_db, weighting_db=A_WEIGHTING)

    @cached_property
    def share(self) -> Array:
        """Part of each element in the A-weighted energy, (elements,); adds up to 1."""
        return np.asarray(self.energy.sum(-1))

    @property
    def by_side(self) -> dict[str, float]:
        """The same by side."""
        found = dict.fromkeys((one.side for one in self.elements), 0.0)
        for one, share in zip(self.elements, self.share, strict=True):
            found[one.side] += float(share)
        return found

    def by(self, *, structure: bool) -> Array:
        """Level [dB] (27,) of what comes by the structure of a floor, or of all the rest."""
        kinds = [(one.kind == STRUCTURE) == structure for one in self.elements]
        with np.errstate(divide="ignore"):
            return np.asarray(self.level_db + 10.0 * np.log10(np.sum(self.part[kinds], axis=0)))

    @property
    def strongest(self) -> int:
        """Index of the element that lets most of it through."""
        return int(self.share.argmax())

    @cached_property
    def without_strongest(self) -> Received | None:
        """With the strongest element perfect; None where it is the only one."""
        if len(self.elements) < 2:
            return None
        i = self.strongest
        rest = np.delete(self.part, i, axis=0)
        total = rest.sum(0)
        part = np.where(total > 0.0, rest / np.where(total > 0.0, total, 1.0), 1.0 / len(rest))
        kept = (*self.elements[:i], *self.elements[i + 1 :])
        return self._by(kept, sums.without(self.level_db, self.part, i), part)

    @cached_property
    def ceiling(self) -> Received:
        """With every element but the strongest perfect: what no change of the others gets below."""
        i = self.strongest
        level = sums.alone(self.level_db, self.part, i)
        return self._by((self.elements[i],), level, np.ones((1, level.size)))

    def _by(self, elements: Sequence[Element], level_db: Array, part: Array) -> Received:
        return replace(self, elements=tuple(elements), level_db=level_db, part=part, limits=(), drawn=None)

    # --- as data ---

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return self._there() if self.neighbour else self._inside()

    def _inside(self) -> dict[str, Any]:
        low, high = self.limits_dba
        return {
            "name": self.what,
            "faces": self.noise.faces,
            "outside_dba": self.made_dba,
            "inside_dba": self.dba,
            "low_dba": low,
            "high_dba": high,
            "bands_hz": THIRD_OCTAVES,
            "outside_db": self.made_db,
            "inside_db": self.level_db,
            "low_db": self.limits_db[0],
            "high_db": self.limits_db[1],
            **self._audible(),
        }

    def _there(self) -> dict[str, Any]:
        low, high = self.limits_dba
        return {
            "name": self.what,
            "made_dba": self.made_dba,
            "level_dba": self.dba,
            "low_dba": low,
            "high_dba": high,
            "bands_hz": THIRD_OCTAVES,
            "level_db": self.level_db,
            **self._audible(),
            "airborne_dba": _told(self.by(structure=False)),
            "structure_dba": _told(self.by(structure=True)),
            "bass_db": self.bass_db,
            "bass": self.bass,
            "limits": [one.to_dict() for one in self.limits],
        }

    def _audible(self) -> dict[str, Any]:
        return {
            "margin_db": self.margin,
            "margin_low_db": self.margin_limits[0],
            "margin_high_db": self.margin_limits[1],
            "verdict": self.verdict,
            "chance_heard": self.chance,
            "strongest_path": self.strongest_dict(),
        }

    def strongest_dict(self) -> dict[str, Any]:
        """The element that lets most through: what closing it, and what closing all others, would come to."""
        rest = self.without_strongest
        return {
            "name": self.elements[self.strongest].name,
            "share": float(self.share[self.strongest]),
            "without_dba": rest.dba if rest else None,
            "without_verdict": rest.verdict if rest else audibility.VERDICTS[0],
            "alone_dba": self.ceiling.dba,
            "alone_verdict": self.ceiling.verdict,
        }


def _told(level_db: Array) -> float | None:
    """A-weighted level [dB]; None where there is nothing."""
    level = float(dba(level_db))
    return level if np.isfinite(level) else None


def received(
    source: Noise | Own,
    made_db: Array,
    elements: Sequence[Element],
    *,
    transfer_db: ArrayLike,
    background_db: Array,
    exposure_db: Sequence[float] | None = None,
    neighbour: Neighbour | None = None,
) -> Received:
    """A sound of `made_db` (27,) behind these elements; see `physics.paths` for the transfer.

    exposure_db: of each element, what reaches it less the level stated [dB].
    """
    exposure = np.zeros(len(elements)) if exposure_db is None else np.asarray(exposure_db, float)
    each = np.array(np.broadcast_arrays(*(one.tau_area for one in elements)))
    tau_area = sums.exposed(each, exposure_db=exposure.reshape(-1, *[1] * (each.ndim - 1)))
    level = sums.level(made_db, tau_area, transfer_db=transfer_db)
    return Received(source, made_db, tuple(elements), level, sums.parts(tau_area), background_db, neighbour)


def together(sounds: Sequence[Received]) -> float:
    """A-weighted level [dBA] of all of these at once; -inf of none."""
    energy = sum(10.0 ** (one.dba / 10.0) for one in sounds)
    return float(10.0 * np.log10(energy)) if energy > 0.0 else float("-inf")


def gains(before: Sequence[Received], after: Sequence[Received]) -> Mapping[str, float]:
    """How much softer each sound gets [dBA], by its name."""
    return {old.name: old.dba - new.dba for old, new in zip(before, after, strict=True)}


HARM_DB = 1.0  # of an octave's level, from which a change does harm


def octave_gains(before: Received, after: Received) -> Array:
    """How much softer a sound gets in each octave [dB], (9,), 31.5 Hz to 8 kHz."""
    return octave_levels(before.level_db) - octave_levels(after.level_db)


def harmed(before: Received, after: Received) -> tuple[tuple[float, float], ...]:
    """Octaves [Hz] that get louder, and by how much [dB]."""
    each = zip(OCTAVES, octave_gains(before, after), strict=True)
    return tuple((float(f), -float(gain)) for f, gain in each if gain < -HARM_DB)
