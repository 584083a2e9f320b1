"""What is proposed behind a window, and what it does by noise, distance and octave."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from isolate.bands import Array, octave_tl
from isolate.describe.constructions import Construction, Leaf
from isolate.physics import second_window
from isolate.remedies.effect import Effect
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import LININGS, Spot, Sweep, leak_of_seal, past_seals
from isolate.room.elements import BuiltSide
from isolate.room.received import Received


@dataclass(frozen=True, eq=False)
class Pick:
    """The proposal: `spot` of the sweep, and what it does, computed as a change of the room."""

    sweep: Sweep
    asked: Asked
    spot: Spot
    effect: Effect

    @property
    def setting(self) -> Setting:
        return self.sweep.setting

    @cached_property
    def heard(self) -> tuple[Received, ...]:
        """The noises that reach the window, as they are."""
        return tuple(self.effect.before.sound(one.name) for one in self.setting.heard)

    @cached_property
    def then(self) -> tuple[Received, ...]:
        """The same with the proposal."""
        return tuple(self.effect.after.sound(one.name) for one in self.setting.heard)

    @property
    def window(self) -> Construction:
        """The old one."""
        return self.setting.side.construction

    @property
    def built(self) -> BuiltSide:
        """The side with both."""
        name = self.setting.side.name
        return next(one for one in self.effect.after.envelope.sides if one.side.name == name)

    @property
    def pane(self) -> Leaf:
        return self.sweep.panes[self.spot.pane]

    @property
    def gap(self) -> float:
        """Distance between the windows [m]."""
        return float(self.sweep.gaps[self.spot.gap])

    @property
    def edges(self) -> str:
        """Lining of the reveal, "bare" or "absorbent"."""
        return LININGS[self.spot.lining]

    @property
    def mass(self) -> float:
        """Mass of the new pane [kg]."""
        return float(self.sweep.masses[self.spot.pane])

    @property
    def counting(self) -> list[int]:
        """The noises to be stopped."""
        return list(self.setting.counting)

    @property
    def hardest(self) -> int:
        """The noise that counts of which most is left."""
        return max(self.counting, key=lambda noise: self.then[noise].margin)

    @property
    def gains(self) -> Array:
        """How much softer each noise gets [dBA], (noises,)."""
        return np.array([self.effect.gains[one.name] for one in self.setting.heard])

    @property
    def over_gaps(self) -> Array:
        """The same at all distances, on the few points of the sweep, (noises, gaps)."""
        return np.asarray(self.sweep.gain_dba[:, self.spot.lining, self.spot.pane])

    @property
    def heard_over_gaps(self) -> Array:
        """What sticks out of each noise [dB] at all distances, 0 where it is not heard; (noises, gaps)."""
        return np.asarray(self.sweep.excess[:, self.spot.lining, self.spot.pane])

    @property
    def resonances(self) -> tuple[float, ...]:
        """Resonances [Hz] of the panes on the air between them, rising."""
        return second_window.chain(self.window, self.pane, depth=self.gap, size=self.setting.size)

    @cached_property
    def tl_now(self) -> Array:
        """Transmission loss of the old window [dB] (27,), its gaps included, its vents not."""
        return _tl(self.setting.built)

    @cached_property
    def tl_then(self) -> Array:
        """The same with the new pane behind it."""
        return _tl(self.built)

    @property
    def octave_gain(self) -> Array:
        """What the window gains by octave [dB] (9,)."""
        return octave_tl(self.tl_then) - octave_tl(self.tl_now)

    def name(self, noise: int) -> str:
        """A noise's name."""
        return self.setting.heard[noise].name

    @property
    def tried(self) -> Array:
        """tau (27,) of the proposal on the few points of the sweep: what others are set against."""
        return np.asarray(self.sweep.tau[self.spot])

    def gains_of(self, tau: Array) -> Array:
        """How much softer the noises are [dBA] (noises,) with a window of tau (27,)."""
        return self.setting.gain_dba(self.setting.inside_db(tau))

    def excess_of(self, tau: Array) -> Array:
        """What sticks out of each noise [dB] (noises,) with a window of tau (27,)."""
        return self.setting.excess(self.setting.inside_db(tau))

    def leaking(self, *, seal: str | None = None, sash: Array | None = None) -> Array:
        """tau (27,) of the proposal with another seal, or with another leak round the old sash."""
        closed = leak_of_seal(self.setting, seal or self.sweep.seal)
        window = self.sweep.window(self.spot)
        return np.minimum(window.through + past_seals(self.setting, window, seal=closed, sash=sash), 1.0)


def _tl(built: BuiltSide) -> Array:
    through = [one.tau_area for one in built.elements if one.kind != "vent"]
    return np.asarray(-10.0 * np.log10(np.sum(through, axis=0) / built.side.area))
