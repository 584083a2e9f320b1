"""The shell of a room: what each side lets through, and how a noise outside is heard inside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers import levels, uncertainty
from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.describe.constructions import Construction
from isolate.describe.rooms import Gap, Noise, Room, Side
from isolate.physics import facade, reverberation
from isolate.physics.transmission import transmission
from isolate.standards import hearing, ratings
from isolate.standards.weighting import A_WEIGHTING, dba


@dataclass(frozen=True)
class SideFound:
    """One side with what was found of it: `tau` (27,) with its gaps, `surface_mass` [kg/m2]."""

    side: Side
    tau: Array
    surface_mass: float
    notes: tuple[str, ...]

    @property
    def tl_db(self) -> Array:
        """Transmission loss [dB] (27,), gaps included."""
        return -10.0 * np.log10(self.tau)

    @property
    def rw(self) -> int:
        """Weighted sound reduction index [dB], gaps included."""
        return int(ratings.rw(self.tl_db))

    @property
    def sigma_db(self) -> Array:
        """Standard deviation of the transmission loss [dB] (27,)."""
        return uncertainty.of_curve(self.side.construction)


def found(side: Side) -> SideFound:
    """What this side lets through; without a stated size it is taken as square."""
    edge = side.area**0.5
    through = transmission(side.construction, size=side.size or (edge, edge), gaps=side.gaps)
    mass = float(np.squeeze(through.surface_mass))
    return SideFound(side, 10.0 ** (-through.tl_db / 10.0), mass, tuple(through.notes))


def changed(side: Side, construction: Construction | None, gaps: tuple[Gap, ...] | None) -> Side:
    """The side with another construction or other gaps; None leaves them as they are."""
    return replace(
        side,
        construction=side.construction if construction is None else construction,
        gaps=side.gaps if gaps is None else gaps,
    )


@dataclass(frozen=True)
class Heard:
    """How one noise is heard in the room.

    `outside_db`, `inside_db`, `margin_db` (27,) [dB]: level at its sides, level in the room, excess over what
    the background and the threshold of hearing hide; `share` side to part of the A-weighted energy inside;
    `sigma_db` of the level and `margin_sigma_db` of the margin, standard deviations.
    """

    noise: Noise
    outside_db: Array
    inside_db: Array
    margin_db: Array
    share: Mapping[str, float]
    sigma_db: float
    margin_sigma_db: float

    @property
    def name(self) -> str:
        return self.noise.name

    @property
    def outside_dba(self) -> float:
        return float(dba(self.outside_db))

    @property
    def inside_dba(self) -> float:
        return float(dba(self.inside_db))

    @property
    def limits_dba(self) -> tuple[float, float]:
        """5 % and 95 % limits of the level inside [dBA]."""
        half = uncertainty.LIMIT * self.sigma_db
        return self.inside_dba - half, self.inside_dba + half

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
        return hearing.verdict(self.margin)

    @property
    def chance(self) -> float:
        """Probability that it is heard."""
        return uncertainty.chance_above(self.margin, self.margin_sigma_db)

    @property
    def weakest(self) -> str:
        """The side that lets most of it in."""
        return max(self.share, key=self.share.__getitem__)

    @property
    def without_weakest_dba(self) -> float:
        """Level inside [dBA] if the weakest side let nothing through; -inf if it is the only one."""
        rest = 1.0 - self.share[self.weakest]
        return self.inside_dba + 10.0 * float(np.log10(rest)) if rest > 1e-12 else float("-inf")

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        low, high = self.limits_dba
        return {
            "name": self.name,
            "faces": self.noise.faces,
            "outside_dba": self.outside_dba,
            "inside_dba": self.inside_dba,
            "low_dba": low,
            "high_dba": high,
            "bands_hz": THIRD_OCTAVES,
            "outside_db": self.outside_db,
            "inside_db": self.inside_db,
            "margin_db": self.margin,
            "verdict": self.verdict,
            "chance_heard": self.chance,
        }


@dataclass(frozen=True)
class Shell:
    """The sides of a room with its absorption area [m2] and background [dB], both (27,)."""

    sides: tuple[SideFound, ...]
    absorption: Array
    background_db: Array

    def replaced(self, new: SideFound) -> Shell:
        """The shell with the side of this name replaced."""
        sides = tuple(new if old.side.name == new.side.name else old for old in self.sides)
        return replace(self, sides=sides)

    def facing(self, word: str) -> tuple[SideFound, ...]:
        """The sides that face this word."""
        return tuple(found for found in self.sides if found.side.faces == word)

    def composite(self, word: str) -> Array:
        """Transmission loss [dB] (27,) of all sides that face this word, by area."""
        sides = self.facing(word)
        tau = facade.composite([s.tau for s in sides], area=[s.side.area for s in sides])
        return -10.0 * np.log10(tau)

    def hear(self, noise: Noise) -> Heard:
        """How a noise is heard inside."""
        sides = self.facing(noise.faces)
        tau_area = np.array([found.tau * found.side.area for found in sides])
        outside = levels.at_facade(noise)
        field = "room" if noise.indoors else "arriving"
        inside = facade.level_inside(outside, tau_area.sum(0), absorption=self.absorption, field=field)
        margin = hearing.margin(inside, self.background_db)
        by_side = tau_area / tau_area.sum(0)
        energy = by_side * 10.0 ** ((inside + A_WEIGHTING - dba(inside)) / 10.0)
        sigma = np.array([found.sigma_db for found in sides])
        spread = noise.spectrum.spread_db
        plainest = int(margin.argmax())
        at_band = uncertainty.of_level(by_side[:, [plainest]], sigma[:, [plainest]], spread_db=spread)
        return Heard(
            noise=noise,
            outside_db=outside,
            inside_db=inside,
            margin_db=margin,
            share={f.side.name: float(e) for f, e in zip(sides, energy.sum(-1), strict=True)},
            sigma_db=uncertainty.of_level(energy, sigma, spread_db=spread),
            margin_sigma_db=float(np.hypot(at_band, uncertainty.BACKGROUND_DB)),
        )


def of_room(room: Room) -> Shell:
    """The shell of a described room."""
    time = room.reverberation_time
    if time is None:
        time = reverberation.of_furnishing(room.furnishing, size=room.size)
    return Shell(
        sides=tuple(found(side) for side in room.sides),
        absorption=facade.absorption_area(volume=room.volume, reverberation_time=time),
        background_db=levels.of_background(room.background),
    )


def together(heard: tuple[Heard, ...]) -> float:
    """A-weighted level [dBA] of all noises at once."""
    return float(energy_sum([one.inside_dba for one in heard]))
