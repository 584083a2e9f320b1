"""A whole window: panes, the frame they sit in, and the joints of what opens.

A window is not its glass. Of its area the share s is glass, the rest frame and sash:

    tau = s tau_glass + (1 - s) tau_frame,

tau_glass of panes as large as the glass is. Where there are several frames one behind another, frame and
joint of each lie beside its panes, and what takes one of them goes on through the next (`joints`): a strong
second pane is no better than the frames and joints let it be.

References
----------
EN 14351-1:2006+A2:2016, annex B, has windows against their glass in the same shape: a unit of Rw 27 dB
makes a window of 30, one of 40 a window of 38 (from memory). EN 12207: air permeability of joints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.describe.frames import Frame
from isolate.physics import calibrated, glazing, joints
from isolate.physics.checks import positive
from isolate.physics.kept import kept
from isolate.physics.stack import Stack

PER_BAND = 12
# kg/m2 of frame and sash seen from the front (common practice, no source).
USUAL_MASS, MASS = 30.0, {"wood": 35.0, "plastic": 28.0, "aluminium": 24.0, "steel": 40.0}
RISE = 15.0  # dB a decade: between a strip by itself (none) and a wide wall (20)


@dataclass(frozen=True)
class Window:
    """A window solved; its joints are added in bands, so that seals cost nothing to compare.

    panes: band values of tau (..., 27), re the window's area, of the panes as the field drives them;
    through: with what goes round their edges, and through the frame where all are in one; runs: the panes
    of each frame of its own, from the noisy side; losses: of the cavities between these; beside: of each of
    these frames, (27,); usual: the joint of each, (27,).
    """

    panes: Array
    through: Array
    runs: tuple[Array, ...]
    losses: tuple[Array, ...]
    beside: Array
    usual: tuple[Array, ...]

    def past(self, stated: Sequence[Array | None] | None = None) -> Array:
        """tau (..., 27) of what takes a frame or a joint at least once.

        Parameters
        ----------
        stated : tau (27,), re the window's area, of the joint of each frame from the noisy side; None for one
            that is as usual, or for all of them.

        Raises
        ------
        ValueError
            Not one joint a frame.
        """
        chosen = [None] * len(self.runs) if stated is None else list(stated)
        if len(chosen) != len(self.runs):
            raise ValueError(f"stated: one joint a frame is needed, {len(self.runs)} (got {len(chosen)})")
        found = [usual if one is None else one for one, usual in zip(chosen, self.usual, strict=True)]
        return joints.past_panes(self.runs, joints=[self.beside + one for one in found], losses=self.losses)

    def tau(self, stated: Sequence[Array | None] | None = None) -> Array:
        """tau (..., 27) of the whole window, joints as in `past`."""
        return np.minimum(self.through + self.past(stated), 1.0)

    def at(self, *where: int) -> Window:
        """One of many windows that were solved at once, by its place along the axes before the bands."""

        def one(values: Array) -> Array:
            return np.asarray(np.broadcast_to(values, np.shape(self.through))[where])

        return replace(
            self,
            panes=one(self.panes),
            through=one(self.through),
            runs=tuple(map(one, self.runs)),
            losses=tuple(map(one, self.losses)),
        )

    def turned(self) -> Window:
        """The same seen from the other side."""
        return replace(self, runs=self.runs[::-1], losses=self.losses[::-1], usual=self.usual[::-1])


def solved(stack: Stack) -> Window:
    """A window of any number of panes and frames.

    Parameters
    ----------
    stack : depths [m] and thicknesses [m] may be arrays, as for `glazing.solved`.

    Returns
    -------
    Window, arrays (..., 27).

    Notes
    -----
    tau = s tau_glass + (1 - s) tau_frame; limits and references at the head of the module and of `glazing`.
    """
    panes, share = glazing.solved(stack), stack.glass_share
    frame = (1.0 - share) * frame_tau(stack.frame) if share < 1.0 else np.zeros(bands.N_BANDS)
    apart = any(c.framing == "separate frames" for c in stack.cavities) and len(panes.runs) > 1
    return Window(
        panes=share * panes.alone,
        through=np.minimum(share * panes.through + (0.0 if apart else frame), 1.0),
        runs=tuple(share * run for run in panes.runs),
        losses=panes.losses,
        beside=frame if apart else np.zeros_like(frame),
        usual=tuple(_joint(stack, len(panes.runs), apart) for _ in panes.runs),
    )


known = kept(solved)  # of one window, whose depths and thicknesses are numbers


def frame_tau(frame: Frame) -> Array:
    """Transmission of frame and sash: their mass, and what seals and corners let by.

    Parameters
    ----------
    frame : its material says how heavy it is.

    Returns
    -------
    tau (27,), re the area of frame and sash.

    Notes
    -----
    R = R100 + 15 lg(f/100 Hz) + 20 lg(m/30 kg/m2), in parallel with the seals: 31 dB at 100 Hz, 36 at 250, 39
    at 500, 40 at 1 kHz, 41 from 2 kHz on for a usual one (a trial on a copy, not measured apart).
    """
    mass = MASS.get(frame.material, USUAL_MASS)
    f = bands.exact(bands.THIRD_OCTAVES)
    solid = calibrated.value("frame_reduction") + RISE * np.log10(f / 100) + 20 * np.log10(mass / USUAL_MASS)
    return np.asarray(10 ** (-solid / 10) + 10 ** (-calibrated.value("frame_seals") / 10))


def _joint(stack: Stack, count: int, apart: bool) -> Array:
    """tau (27,) re the window's area of the usual joint round one of `count` frames; `apart`: of their own.

    One frame that opens has its seals counted with it; sashes that slide are not pressed together. A frame
    behind another has none of a modern window's seals unless it is fixed, and panes far apart in one frame
    are sealed: sashes that slide are no tighter than either.
    """
    slides = brushes(stack.frame, size=stack.opening)
    if count < 2:
        return slides
    found = joints.sash if apart and stack.frame.opens != "fixed" else joints.sealed
    return np.maximum(bands.band_mean(found(bands.points(PER_BAND), size=stack.opening), PER_BAND), slides)


def brushes(frame: Frame, *, size: tuple[float, float]) -> Array:
    """tau (27,) re the window's area of what sashes that slide let past their brushes, 0 of all others.

    Parameters
    ----------
    frame : how it opens. size : (width, height) [m] of the window.

    Raises
    ------
    ValueError
        A size that is not above 0.

    Notes
    -----
    Band means of `joints.sliding`, which has limits and references.
    """
    positive("size", size)
    if not frame.sliding:
        return np.zeros(bands.N_BANDS)
    return bands.band_mean(joints.sliding(bands.points(PER_BAND), size=size), PER_BAND)


def notes(stack: Stack) -> tuple[str, ...]:
    """What was assumed of a window's frames and gas."""
    found, apart = [], any(c.framing == "separate frames" for c in stack.cavities)
    several = len(glazing.frames_of(stack)) > 1
    if several and apart and stack.frame.opens != "fixed":
        gap = calibrated.value("sash_joint") * 1e3
        found.append(
            f"frames of their own: each counted as one that opens, with a joint of {gap:.1f} mm all round; "
            'for panes fixed and sealed in for good write frame_kind = "fixed"'
        )
    elif several:
        found.append(
            "panes counted as fixed and sealed for good: where a joint is not closed all round, 5 to 10 dB "
            "less, which the lower limit has"
        )
    if any(c.gas != "air" for c in stack.cavities):
        found.append(
            "gas: no measured curve is known; its slower sound is taken to meet the panes as air does, which "
            "leaves 1 dB of argon's change and 2 of krypton's"
        )
    return tuple(found)
