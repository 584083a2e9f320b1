"""What is proposed behind a window, and what it does by noise, distance and octave."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from isolate.bands import Array, octave_tl
from isolate.describe.constructions import Construction, Leaf
from isolate.physics import second_window
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import LININGS, Spot, Sweep, leak_of_seal, past_seals
from isolate.room.envelope import Heard


@dataclass(frozen=True, eq=False)
class Pick:
    """The proposal: `spot` of the sweep, and the noises as they are `then`."""

    sweep: Sweep
    asked: Asked
    spot: Spot
    then: tuple[Heard, ...]

    @property
    def setting(self) -> Setting:
        return self.sweep.setting

    @property
    def window(self) -> Construction:
        """The old one."""
        return self.setting.side.construction

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
        return np.asarray(self.sweep.gain_dba[(slice(None), *self.spot)])

    @property
    def over_gaps(self) -> Array:
        """The same at all distances, (noises, gaps)."""
        return np.asarray(self.sweep.gain_dba[:, self.spot.lining, self.spot.pane])

    @property
    def heard_over_gaps(self) -> Array:
        """What sticks out of each noise [dB] at all distances, 0 where it is not heard; (noises, gaps)."""
        return np.asarray(self.sweep.excess[:, self.spot.lining, self.spot.pane])

    @property
    def resonances(self) -> tuple[float, ...]:
        """Frequencies [Hz] at which the panes swing against each other, rising."""
        return second_window.chain(self.window, self.pane, depth=self.gap, size=self.setting.size)

    @cached_property
    def tl_now(self) -> Array:
        """Transmission loss of the old window [dB] (27,), its gaps included, its vents not."""
        paths = [path.tau_area for path in self.setting.now.paths if path.kind != "vent"]
        return np.asarray(-10.0 * np.log10(np.sum(paths, axis=0) / self.setting.side.area))

    @property
    def tl_then(self) -> Array:
        """The same with the new pane behind it."""
        return np.asarray(-10.0 * np.log10(self.sweep.tau[self.spot]))

    @property
    def octave_gain(self) -> Array:
        """What the window gains by octave [dB] (9,)."""
        return octave_tl(self.tl_then) - octave_tl(self.tl_now)

    def name(self, noise: int) -> str:
        """A noise's name."""
        return self.setting.heard[noise].name

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
