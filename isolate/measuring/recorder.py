"""What a recorder does to levels: automatic gain, compression, suppression, found by the test signal's steps.

Where the steps of `test_signal.py` are found in a recording, how far each stands below the steady noise is
known. A recorder that leaves levels alone keeps that; one whose gain follows the level takes a part of each
decibel away, at once (a compressor) or in time (automatic gain). That part, its `strength`, and its memory
are fitted with a drift for the microphone that is carried about, which does not know the steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from isolate.bands import Array, index_of
from isolate.measuring.checks import SPOILT, Finding
from isolate.measuring.recording import FRAMES_A_SECOND, Recording, decibels, steadied
from isolate.measuring.test_signal import PAUSE, SHORTEST, STEP, STEPS_DB

STRENGTH = 0.12
"""Part of a decibel taken away from which on a gain is said to follow the level: over the 40 dB between two
rooms it is 5 dB."""

ALIKE = 0.75
"""Correlation of a recording's course with that of the steps from which on they are found in it."""

_MIDDLE = slice(index_of(250), index_of(4000) + 1)
_MEMORIES = (
    (0.0, 0.0), (0.1, 0.1), (0.1, 1.5), (0.5, 0.5), (0.5, 5.0), (2.0, 2.0), (2.0, 10.0), (8.0, 8.0),
    (0.5, 30.0),
)  # fmt: skip
_SURE = 6.0  # standard deviations: nine memories are tried
_CARRIED = 2.0  # [s] after which a microphone that is carried about is elsewhere
_LEAD, _TAIL = FRAMES_A_SECOND, 5 * FRAMES_A_SECOND  # frames around the steps that they are known by
_SETTLED = 6  # frames after which a room has filled
_CELL = 4  # frames to a point
_SILENT_DB = -60.0  # in the course that is played
_CLEAR = 4.0  # times the background's power from which on a step stands clear of it
_FEWEST = 10
_HARDLY_DB = 3.0  # of steady noise above silence, below which nobody sees it stop
SETTINGS = (
    "switch automatic gain (auto level, limiter, compressor), noise suppression and voice enhancement off, "
    "or take a recorder that lets you, set the gain by hand, and record again"
)


@dataclass(frozen=True)
class Steps:
    """The test signal in a recording: the frame it `start`s at, the first and last of its `steady` noise, and
    how `alike` the two courses are."""

    start: int
    steady: tuple[int, int]
    alike: float


@dataclass(frozen=True)
class Following:
    """How the gain follows the level: `strength`, the part of each decibel that is taken away (0: none; below
    0: what is soft is made softer), its standard deviation `u`, the `attack` and `release` [s] that fit best,
    and `steps`, each as played and as recorded [dB re the steady noise], of those that stood clear of the
    background."""

    strength: float
    u: float
    attack: float
    release: float
    steps: tuple[tuple[float, float], ...]

    @property
    def follows(self) -> bool:
        """Whether this is no recorder to measure with."""
        return abs(self.strength) > max(STRENGTH, _SURE * self.u)


def played_db() -> Array:
    """Course of the steps [dB re the steady noise] in frames, from `_LEAD` before them to `_TAIL` after."""
    silent = np.full(round(PAUSE * FRAMES_A_SECOND), _SILENT_DB)
    steps = [part for step in STEPS_DB for part in (np.full(round(STEP * FRAMES_A_SECOND), step), silent)]
    return np.concatenate([np.full(_LEAD, _SILENT_DB), *steps, np.zeros(_TAIL)])


def find_steps(recording: Recording) -> Steps | None:
    """Where the test signal's steps are in a recording; None where they are not.

    The course of the middle bands is correlated with that of the steps, as much of them as may stand out of
    the background: a correlation does not ask how many decibels the recorder left between them.
    """
    course = decibels(_middle(recording).sum(axis=1))
    known = played_db()
    if course.size < known.size:
        return None
    windows = np.lib.stride_tricks.sliding_window_view(_quick(course), known.size)
    windows = windows - windows.mean(axis=1, keepdims=True)
    size = np.sqrt((windows**2).sum(axis=1)) + 1e-9
    best = (0.0, 0)
    for floor in (-45.0, -35.0, -25.0, -15.0, -8.0):
        shape = _quick(np.maximum(known, floor))
        shape -= shape.mean()
        alike = (windows @ shape) / size / np.sqrt(shape @ shape)
        at = int(alike.argmax())
        best = max(best, (float(alike[at]), at))
    alike, at = best
    first = at + known.size - _TAIL
    return Steps(at + _LEAD, (first, _stops(course, at + _LEAD, first)), alike) if alike >= ALIKE else None


def _quick(course_db: Array) -> Array:
    """What of a course changes within a step and its pause: slow gains and other sounds drop out."""
    period = round((STEP + PAUSE) * FRAMES_A_SECOND)
    return np.asarray(course_db - ndimage.uniform_filter1d(course_db, period))


def _stops(course: Array, start: int, first: int) -> int:
    """The frame in which steady noise from `first` on stops; after its shortest length where that drowns."""
    usual = float(np.median(course[first : first + _TAIL]))
    silent = min(float(np.median(course[end - 2 : end])) for end in [*_starts(start), first] if end >= 2)
    second = np.convolve(course[first:], np.full(FRAMES_A_SECOND, 1.0 / FRAMES_A_SECOND), "valid")
    off = np.flatnonzero(second < usual - min((usual - silent) / 2.0, 10.0))
    if usual - silent < _HARDLY_DB:
        return min(first + round(SHORTEST * FRAMES_A_SECOND), course.size)
    return first + int(off[0]) if off.size else course.size


def steady(recording: Recording) -> Recording:
    """The recording cut to the test signal's steady noise where its steps are found, else to its longest even
    part."""
    steps = find_steps(recording)
    if steps is None:
        return steadied(recording)
    first, last = steps.steady
    note = f"the test signal's steady noise is used, from {first / FRAMES_A_SECOND:.0f} s on"
    return replace(
        recording, part=(first + FRAMES_A_SECOND, max(last - 1, first + 2 * FRAMES_A_SECOND)),
        notes=(*recording.notes, note),
    )  # fmt: skip


def silences(recording: Recording) -> list[Recording]:
    """The silences before and after the test signal's noise, where its steps are found, each as a recording
    of the background."""
    steps = find_steps(recording)
    if steps is None:
        return []
    second, last = FRAMES_A_SECOND, steps.steady[1]
    around = [(max(steps.start - 5 * second, 0), steps.start - 2)]
    around += [(last + 3 * second // 2, min(last + 9 * second, len(recording.power) - 2))]
    return [replace(recording, part=(a, b), notes=()) for a, b in around if b - a >= 2 * second]


def gain(recording: Recording) -> Finding | None:
    """What the steps in a recording say against its recorder."""
    steps = find_steps(recording)
    found = None if steps is None else following(recording, steps)
    return None if found is None else told(recording, found)


def told(recording: Recording, found: Following) -> Finding | None:
    """A gain that follows the level as a finding; None where it leaves levels alone."""
    if not found.follows:
        return None
    if found.strength < 0.0:
        return Finding(
            "noise suppression", SPOILT, recording.name,
            f"makes soft sound softer: of the test signal's steps each 10 dB became "
            f"{10 * (1 - found.strength):.0f} dB: a gate or noise suppression",
            SETTINGS,
        )  # fmt: skip
    kind = "a compressor or limiter" if found.release < 0.5 else "automatic gain"
    return Finding(
        "automatic gain", SPOILT, recording.name,
        f"has a gain that follows the level: of the test signal's steps each 10 dB became about "
        f"{max(10 * (1 - found.strength), 0):.0f} dB: {kind} (or the speaker's own loudness control)",
        SETTINGS,
    )  # fmt: skip


def following(recording: Recording, steps: Steps) -> Following | None:
    """How the recorder's gain follows the level; None where too little stands clear of the background."""
    played, heard, silent = _courses(recording, steps)
    power = _middle(recording)
    background = np.min([np.median(power[run], axis=0) for run in silent], axis=0)
    cells = np.array([run[i : i + _CELL] for run in heard for i in range(0, len(run) - _CELL + 1, _CELL)])
    mean, level = power[cells].mean(axis=1), played[cells[:, 0]]
    clear = mean > _CLEAR * background
    gain = np.where(clear, decibels(np.maximum(mean - background, 1e-20)) - level[:, None], np.nan)
    known = clear[cells[:, 0] >= steps.steady[0]].any(axis=0)
    if not known.any():
        return None
    gain = gain[:, known] - np.nanmedian(gain[cells[:, 0] >= steps.steady[0]][:, known], axis=0)
    enough = np.isfinite(gain).sum(axis=1) >= min(4, known.sum())
    if enough.sum() < _FEWEST or np.ptp(level[enough]) < 5.0:
        return None
    gain_db, cells = np.nanmean(gain[enough], axis=1), cells[enough]
    floor = max(float(decibels(background.sum()) - decibels(mean[level == 0.0].sum(axis=1)).mean()), -50.0)
    heard_db = 10.0 * np.log10(10.0 ** (played / 10.0) + 10.0 ** (floor / 10.0))
    fits = [(*_fit(gain_db, heard_db, cells, *memory), *memory) for memory in _MEMORIES]
    _, strength, u, attack, release = min(fits)
    level = level[enough]
    kept = tuple((float(one), float(one + gain_db[level == one].mean())) for one in np.unique(level)[::-1])
    return Following(strength, u, attack, release, kept)


def _middle(recording: Recording) -> Array:
    return recording.power[:, _MIDDLE][:, recording.usable[_MIDDLE]]


def _courses(
    recording: Recording, steps: Steps
) -> tuple[Array, list[NDArray[np.intp]], list[NDArray[np.intp]]]:
    """Level played [dB re the steady noise] in each frame, where it is settled, and where it is silent."""
    count = len(recording.power)
    played = np.full(count, _SILENT_DB)
    edges = [(start, start + round(STEP * FRAMES_A_SECOND)) for start in _starts(steps.start)]
    for (start, end), step in zip(edges, STEPS_DB, strict=True):
        played[start:end] = step
    played[slice(*steps.steady)] = 0.0
    heard = [np.arange(start + _SETTLED, end - 1) for start, end in [*edges, steps.steady]]
    before = np.arange(max(steps.start - 5 * FRAMES_A_SECOND, 0), max(steps.start - 1, 1))
    pauses = [np.arange(b[0] - 2, b[0]) for _, b in pairwise([*edges, steps.steady])]
    return played, heard, [before, *pauses]


def _starts(first: int) -> Iterator[int]:
    for number in range(len(STEPS_DB)):
        yield first + round(number * (STEP + PAUSE) * FRAMES_A_SECOND)


def _fit(
    gain_db: Array, heard_db: Array, cells: NDArray[np.intp], attack: float, release: float
) -> tuple[float, float, float]:
    """Sum of squares left, strength and its standard deviation: least squares with errors that are forgotten
    within `_CARRIED`, as places are."""
    course = _smoothed(heard_db, attack, release)[cells].mean(axis=1)
    kept = np.exp(-np.diff(cells.mean(axis=1)) / FRAMES_A_SECOND / _CARRIED)

    def white(y: Array) -> Array:
        return np.concatenate((y[:1], (y[1:] - kept * y[:-1]) / np.sqrt(1.0 - kept**2)))

    known = np.stack([white(np.ones_like(course)), white(course)], axis=1)
    wanted = white(gain_db)
    values = np.linalg.lstsq(known, wanted)[0]
    left = float(np.sum((wanted - known @ values) ** 2))
    variance = np.linalg.inv(known.T @ known)[1, 1] * left / (wanted.size - 2)
    return left, -float(values[1]), float(np.sqrt(variance))


def _smoothed(level_db: Array, attack: float, release: float) -> Array:
    """A level as a detector follows it that rises within `attack` and falls within `release` [s]."""
    up, down = (1.0 - np.exp(-1.0 / FRAMES_A_SECOND / t) if t else 1.0 for t in (attack, release))
    found, last = np.empty_like(level_db), level_db[0]
    for i, now in enumerate(level_db):
        last += (up if now > last else down) * (now - last)
        found[i] = last
    return found
