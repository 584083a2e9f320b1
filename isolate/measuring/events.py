"""Events in a long recording: what rises above the background, when, how long, how loud and of which kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array
from isolate.measuring.recording import FRAMES_A_SECOND, decibels
from isolate.standards.weighting import A_WEIGHTING

STRETCH = 300.0
"""The background is sought anew in stretches of so many seconds."""

MERGE = 2.0
"""Lull that does not end an event [s]."""

_AROUND = 100 * FRAMES_A_SECOND  # frames to both sides that tell what was there without the event
_SLOW_BELOW = 4  # octaves 31.5 to 250 Hz are smoothed over a second, the others over half of one
_FIRST = 1  # events are sought in the octaves from 63 Hz up: below, wind and steps rule

KINDS = (
    (177.0, "low", "engines, trains, bass, hum, steps, wind"),
    (1414.0, "middle", "speech, traffic, sirens, music"),
    (np.inf, "high", "birds, brakes, hiss, cutlery"),
)
"""Upper edge [Hz] of where what rose is loudest in dBA, its kind, and what makes such sounds."""


@dataclass(frozen=True)
class Event:
    """`start` [s] into the recording, `length` [s], `max_dba` of its loudest 1/8 s, `max_db` (27,) maximum of
    each band, `level_db` (27,) of its loudest second, `excess_db` over the background, `kind`."""

    start: float
    length: float
    max_dba: float
    max_db: Array
    level_db: Array
    excess_db: float
    kind: str

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "start_s": self.start, "length_s": self.length, "max_dba": self.max_dba, "kind": self.kind,
            "excess_db": self.excess_db, "max_db": self.max_db,
        }  # fmt: skip


@dataclass(frozen=True)
class Group:
    """Events of one kind: `events`, `level_db` (27,) energy mean of their loudest seconds, `spread_db`
    standard deviation of their maxima, `length` [s] median."""

    kind: str
    about: str
    events: tuple[Event, ...]
    level_db: Array
    spread_db: float
    length: float


def background_course(octave_db: Array) -> Array:
    """Level exceeded 90 % of the time around each frame [dB], (frames, 9), from octave levels alike.

    The tenth percentile of each stretch of 5 minutes, the median of three neighbours, straight between.
    """
    count = len(octave_db)
    pieces = max(round(count / FRAMES_A_SECOND / STRETCH), 1)
    lows = np.array([np.percentile(part, 10.0, axis=0) for part in np.array_split(octave_db, pieces)])
    if pieces >= 3:
        padded = np.concatenate((lows[:1], lows, lows[-1:]))
        lows = np.median(np.stack((padded[:-2], padded[1:-1], padded[2:])), axis=0)
    at = (np.arange(pieces) + 0.5) * count / pieces
    frames = np.arange(count)
    return np.stack([np.interp(frames, at, lows[:, i]) for i in range(lows.shape[1])], axis=1)


def find(power: Array, usable: NDArray[np.bool_], *, rise_db: float) -> tuple[list[Event], Array]:
    """Events of a recording, and how far each frame rises above the background [dB] (frames,).

    Parameters
    ----------
    power : mean squares (frames, 27), calibrated or not.
    usable : bands that count (27,).
    rise_db : an event rises this far above the background in some octave; it ends at half of it.
    """
    octaves = power.reshape(len(power), OCTAVES.size, 3).sum(axis=-1)
    whole = np.array(usable.reshape(-1, 3).all(axis=1))
    whole[:_FIRST] = False
    smooth = np.empty_like(octaves)
    for i in range(OCTAVES.size):
        frames = FRAMES_A_SECOND if i < _SLOW_BELOW else FRAMES_A_SECOND // 2
        smooth[:, i] = np.convolve(octaves[:, i], np.ones(frames), "same")  # only how far it rises counts
    level = decibels(smooth)[:, whole]
    over = (level - background_course(level)).max(axis=1)
    runs = _merged(_runs(over > rise_db / 2.0))
    loud = [(a, b) for a, b in runs if over[a:b].max() > rise_db]
    return [_event(power, over, a, b) for a, b in loud], over


def grouped(events: Sequence[Event]) -> tuple[Group, ...]:
    """Events by kind, the most frequent first."""
    groups = []
    for _, kind, about in KINDS:
        own = tuple(event for event in events if event.kind == kind)
        if own:
            mean = decibels(np.mean([10.0 ** (event.level_db / 10.0) for event in own], axis=0))
            spread = float(np.std([event.max_dba for event in own]))
            groups.append(Group(kind, about, own, mean, spread, float(np.median([e.length for e in own]))))
    return tuple(sorted(groups, key=lambda group: -len(group.events)))


def _runs(on: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.view(np.int8), [0]))))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))


def _merged(runs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for start, end in runs:
        if joined and start - joined[-1][1] < MERGE * FRAMES_A_SECOND:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined


def _event(power: Array, over: Array, start: int, end: int) -> Event:
    part = power[start:end]
    weighted = part * 10.0 ** (A_WEIGHTING / 10.0)
    total = weighted.sum(axis=1)
    width = min(FRAMES_A_SECOND, len(part))
    first = int(np.argmax(np.convolve(total, np.ones(width), "valid")))
    level = decibels(part[first : first + width].mean(axis=0))
    around = power[max(start - _AROUND, 0) : end + _AROUND : FRAMES_A_SECOND]
    rose = 10.0 ** (level / 10.0) - np.percentile(around, 25.0, axis=0)
    loudest = float(THIRD_OCTAVES[np.argmax(rose * 10.0 ** (A_WEIGHTING / 10.0))])
    kind = next(name for edge, name, _ in KINDS if loudest < edge)
    return Event(
        start / FRAMES_A_SECOND, (end - start) / FRAMES_A_SECOND, float(decibels(total.max())),
        decibels(part.max(axis=0)), level, float(over[start:end].max()), kind,
    )  # fmt: skip
