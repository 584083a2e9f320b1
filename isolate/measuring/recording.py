"""One recording: its third-octave levels over time, and what its samples tell about how it was made.

The file is read once in blocks, so that an hour takes no more memory than a minute; a few hundred short
pieces are looked at again for their fine spectrum. Levels are in dB re full scale (mean square 1).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.describe import wav as sound
from isolate.describe.noises import NoiseSpectrum
from isolate.describe.wav import Wav
from isolate.errors import InputError
from isolate.measuring.bank import Bank
from isolate.standards.third_octave import UPPER, usable

if TYPE_CHECKING:
    from isolate.answers.listen.mixed import Recorded

FRAMES_A_SECOND = 8
SHORTEST_FILE = 2.0
"""A recording under two seconds [s] says nothing."""

SILENT_POWER = 1e-17
"""Mean square below which nothing was recorded: -170 dB re full scale, under the last bit of 24."""

_DEAD_CHANNEL_DB = 20.0
_PIECE, _PIECES = 4096, 400
_FLAT_RUN = 3
_GRADUAL = 0.15  # of the time between on and off: what is switched spends less there
_CLIFF_DB = 18.0  # a drop within 500 Hz that no room or wall makes
_ABSENT_DB = -100.0  # level of a band that a recording does not hold
_NOTHING_DB = 8.0  # above the last bit of 16, which no microphone's hiss stays under


@dataclass(frozen=True)
class Samples:
    """What the samples themselves show: `peak` (full scale 1), `clipped`: flat tops at the peak, an hour's
    worth counted, `still`: fraction of the time that is digital silence, `mean_square` of the sound about its
    `offset` (the mean of all samples, which a recorder should keep at 0)."""

    peak: float
    clipped: int
    still: float
    mean_square: float
    offset: float = 0.0

    @property
    def crest_db(self) -> float:
        """Peak over root mean square [dB], without the offset."""
        swing = self.peak - abs(self.offset)
        return float(20.0 * np.log10(swing / np.sqrt(max(self.mean_square, 1e-30))))


@dataclass(frozen=True)
class Recording:
    """One file. `power` (frames, 27): mean square in frames of 1/8 s, averaged over the channels in use;
    `part`: first and last frame that count; `pieces` (n, bins): power spectra of short pieces at
    `piece_hz`, the n-th in frame `piece_at` (n,), and `grains` (n, bins) of a fiftieth of a second of each;
    `cut_hz`: where the sound stops short of a band, as after lossy coding; `usable` (27,): bands that the
    sampling rate holds below it."""

    wav: Wav
    power: Array
    samples: Samples
    usable: NDArray[np.bool_]
    piece_hz: Array
    piece_at: NDArray[np.intp]
    pieces: Array
    grains: Array
    cut_hz: float | None
    part: tuple[int, int]
    notes: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The file's name without its folder."""
        return self.wav.path.name

    @property
    def time(self) -> float:
        """Length of the part that counts [s]."""
        return (self.part[1] - self.part[0]) / FRAMES_A_SECOND

    @property
    def used(self) -> Array:
        """Mean squares of the part that counts, (frames, 27)."""
        return self.power[slice(*self.part)]

    @property
    def level_db(self) -> Array:
        """Mean level [dB re full scale] (27,) of the part that counts; NaN where the rate holds no band."""
        return np.where(self.usable, decibels(self.used.mean(axis=0)), np.nan)

    @property
    def counting(self) -> NDArray[np.bool_]:
        """Which pieces lie in the part that counts (n,)."""
        return np.asarray((self.piece_at >= self.part[0]) & (self.piece_at < self.part[1]))

    def course_db(self, frames: int = FRAMES_A_SECOND) -> Array:
        """Levels of stretches of so many frames (a second) in the part that counts, (stretches, 27)."""
        whole = len(self.used) // frames
        cut = self.used[: whole * frames]
        return decibels(cut.reshape(whole, frames, -1).mean(axis=1))


def liveliest(wav: Wav) -> int:
    """The channel with most sound in it, from a few hundred short pieces."""
    starts = np.linspace(0, max(wav.frames - _PIECE, 0), _PIECES).astype(int)
    total = sum((sound.read(wav, skip=int(at), count=_PIECE) ** 2).mean(axis=0) for at in starts)
    return int(np.argmax(total))


def decibels(power: Array) -> Array:
    """Level [dB re full scale] of mean squares."""
    return np.asarray(10.0 * np.log10(np.maximum(power, 1e-30)))


def listen(
    path: str | Path, *, channel: int | None = None, longest: float = np.inf,
    progress: Callable[[float], None] | None = None,
) -> Recording:  # fmt: skip
    """Read a recording, all of it in the part that counts.

    Parameters
    ----------
    path : the WAV file.
    channel : the only channel to listen to; None: all that are not dead, averaged.
    longest : of a longer file only so much is read [s], with a note.
    progress : told after each block which part of the file is done.

    Raises
    ------
    InputError
        No usable WAV file, shorter than 2 s, or nothing but silence.
    """
    wav = sound.inspect(path)
    if wav.duration < SHORTEST_FILE:
        raise InputError(f"{wav.path}: length: is too short (got {wav.duration:.2f} s); record 30 s or more")
    notes = list(wav.notes)
    if wav.duration > longest:
        notes.append(f"only the first {longest / 3600:g} hours of {wav.duration / 3600:.1f} were read")
        wav = replace(wav, frames=round(longest * wav.rate))
    frame = round(wav.rate / FRAMES_A_SECOND)
    heard = range(wav.channels) if channel is None else [channel]
    bank = Bank(wav.rate, len(heard), wav.frames, frame=frame)
    watch = [_Watch(wav) for _ in heard]
    done, offset = 0, np.zeros(wav.channels)
    for block in sound.blocks(wav):
        sounds = block.any()
        if sounds and not offset.any():
            offset = block.mean(axis=0)  # switched on at once, it would ring through the lowest bands
        level = block - offset if sounds else block
        bank.feed(level if channel is None else level[:, [channel]])
        for one, at in zip(watch, heard, strict=True):
            one.feed(block[:, at])
        done += len(block)
        if progress is not None:
            progress(done / wav.frames)
    power = bank.power()
    kept, left_out = _channels(wav, power)
    starts, pieces, grains = _pieces(wav, [heard[i] for i in kept])
    samples = [watch[i].result() for i in kept]
    worst = Samples(
        max(s.peak for s in samples), sum(s.clipped for s in samples),
        max(s.still for s in samples), float(np.mean([s.mean_square for s in samples])),
        max((s.offset for s in samples), key=abs),
    )  # fmt: skip
    mean = power[kept].mean(axis=0)
    freqs = np.asarray(np.fft.rfftfreq(_PIECE, 1.0 / wav.rate), float)
    cut = cut_off(wav, freqs, pieces)
    holds = usable(wav.rate) & ((cut or np.inf) > UPPER)
    return Recording(
        wav, mean, worst, holds, freqs, starts // frame, pieces, grains, cut, (0, len(mean)),
        (*notes, *left_out),
    )  # fmt: skip


def recorded(path: Path) -> Recorded:
    """A recording as a sound to listen to, the bands it does not hold empty.

    Raises
    ------
    InputError
        As for `listen`.
    """
    from isolate.answers.listen.mixed import Recorded

    level_db = listen(path).level_db
    held_db = np.where(np.isfinite(level_db), level_db, _ABSENT_DB)
    return Recorded(path, NoiseSpectrum(path.name, path.name, held_db, f"recording {path.name}", "own"))


def steadied(recording: Recording) -> Recording:
    """The recording cut to its longest even part: lead-in, silence and other signals around it left out.

    The three octaves that vary most show where the sound is on; the part must last 5 s and a seventh of the
    file, else everything but half a second at both ends counts. What is switched is on or off and seldom in
    between; a level that goes up and down by degrees is a microphone that is carried about.
    """
    edge = FRAMES_A_SECOND // 2
    everything = (edge, len(recording.power) - edge)
    db = _octaves(recording)[FRAMES_A_SECOND // 2 : -FRAMES_A_SECOND // 2]
    low, high = np.percentile(db, [3.0, 90.0], axis=0)
    most = np.argsort(high - low)[-3:]
    course = db[:, most].mean(axis=1)
    bottom, top = np.percentile(course, [3.0, 90.0])
    between = np.mean((course > bottom + 0.3 * (top - bottom)) & (course < top - 0.3 * (top - bottom)))
    if top - bottom < 4.0 or between > _GRADUAL:
        return replace(recording, part=everything)
    first, last = _longest(course > max((top + bottom) / 2.0, top - 10.0))
    part = (first + FRAMES_A_SECOND, last)
    long_enough = max(5.0 * FRAMES_A_SECOND, 0.15 * len(recording.power))
    if part[1] - part[0] < long_enough:
        return replace(recording, part=everything)
    start, end = part[0] / FRAMES_A_SECOND, part[1] / FRAMES_A_SECOND
    return replace(recording, part=part, notes=(*recording.notes, f"used from {start:.0f} s to {end:.0f} s"))


def own_background(recording: Recording) -> Recording | None:
    """The longest silent stretch around the part that counts, as a recording of the background, or None.

    It must be at least 3 s long, a second away from the sound, and itself even.
    """
    first, last = recording.part
    gap = 3 * FRAMES_A_SECOND // 2
    octaves = _octaves(recording)
    loud = np.median(octaves[first:last], axis=0)
    sides = [(0, first - gap), (last + gap, len(octaves))]
    found = [_quietest(octaves[a:b], loud, a) for a, b in sides if b - a >= 3 * FRAMES_A_SECOND]
    found = [one for one in found if one[1] - one[0] >= 3 * FRAMES_A_SECOND]
    if not found:
        return None
    part = max(found, key=lambda one: one[1] - one[0])
    return replace(recording, part=part)


def _octaves(recording: Recording) -> Array:
    """Octave levels from 63 Hz [dB] of each second around a frame, (frames, 8)."""
    power = recording.power.reshape(len(recording.power), 9, 3).sum(axis=-1)[:, 1:]
    return decibels(
        np.apply_along_axis(np.convolve, 0, power, np.ones(FRAMES_A_SECOND) / FRAMES_A_SECOND, "same")
    )


def _quietest(course: Array, loud: Array, offset: int) -> tuple[int, int]:
    """The longest run in which every octave lies within 6 dB of its lowest second."""
    inner = course[FRAMES_A_SECOND:-FRAMES_A_SECOND]
    if len(inner) == 0:
        return 0, 0
    lowest = inner.min(axis=0)
    if np.all(lowest > loud - 1.0):
        return 0, 0
    first, last = _longest(np.all(course < lowest + 6.0, axis=1))
    return first + offset, last + offset


def sounding(recording: Recording) -> Recording:
    """The recording from the first to the last loud second, for music and repeated sweeps: what lies within
    25 dB of the loud and stands out of the silence, if there is one."""
    course = decibels(recording.power[:, 6:].sum(axis=1))  # from 100 Hz: lower filters ring on
    silent, high = np.percentile(course, [3.0, 90.0])
    loud = np.flatnonzero(course > max(high - 25.0, min(silent + 6.0, high - 3.0)))
    return replace(recording, part=(int(loud[0]), int(loud[-1]) + 1))


def _longest(on: NDArray[np.bool_]) -> tuple[int, int]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.view(np.int8), [0]))))
    starts, ends = edges[::2], edges[1::2]
    if starts.size == 0:
        return 0, 0
    at = int(np.argmax(ends - starts))
    return int(starts[at]), int(ends[at])


def _channels(wav: Wav, power: Array) -> tuple[list[int], tuple[str, ...]]:
    """The channels in use: those within 20 dB of the loudest."""
    total = power.sum(axis=-1).mean(axis=-1)
    if total.max() < SILENT_POWER:
        raise InputError(f"{wav.path}: samples: are silence; check input, gain and mute, and record again")
    kept = np.flatnonzero(total > total.max() / 10.0 ** (_DEAD_CHANNEL_DB / 10.0)).tolist()
    left = len(power) - len(kept)
    notes = (f"{left} of {len(power)} channels are dead or far quieter and were left out",) if left else ()
    return kept, notes


def _pieces(wav: Wav, channels: Sequence[int]) -> tuple[NDArray[np.intp], Array, Array]:
    """Where short pieces spread over the file start, their power spectra, mean over channels, and those of a
    grain of the first channel in each, (pieces, bins)."""
    count = min(_PIECES, wav.frames // _PIECE)
    starts = np.linspace(0, wav.frames - _PIECE, max(count, 1)).astype(int)
    pieces = np.array([sound.read(wav, skip=int(at), count=_PIECE)[:, list(channels)] for at in starts])
    spectra = (np.abs(np.fft.rfft(pieces * np.hanning(_PIECE)[:, None], axis=1)) ** 2).mean(axis=2)
    size = grain(wav.rate)
    grains = np.abs(np.fft.rfft(pieces[:, :size, 0] * np.hanning(size), axis=1)) ** 2
    return starts, spectra, grains


def grain(rate: float) -> int:
    """Samples of about a fiftieth of a second, the length of piece that noise suppression works in."""
    return int(2 ** round(np.log2(rate / 50.0)))


def cut_off(wav: Wav, piece_hz: Array, pieces: Array) -> float | None:
    """Frequency [Hz] above which a recording holds nothing, as after lossy coding, and bands are lost; None
    when it goes on, if only as hiss: a test signal ends too, and the microphone does not."""
    cell = 250.0
    edges = np.arange(2000.0, 0.5 * wav.rate, cell)
    which = np.searchsorted(edges, piece_hz, side="right") - 1
    mean = pieces.mean(axis=0)
    level = decibels(np.array([mean[which == i].mean() for i in range(len(edges) - 1)]))
    nothing = 10.0 * np.log10(0.375 * _PIECE * 2.0**-30 / 12.0) + _NOTHING_DB
    top = int(min(0.44 * wav.rate, 19_500.0) // cell - edges[0] // cell)
    for i in range(4, min(top, len(level) - 4)):
        below, above = level[i - 4 : i].min(), level[i + 2 : i + 5].max()
        ends = below - above > _CLIFF_DB and level[i + 2 :].max() < below - _CLIFF_DB
        if ends and level[i + 4 :].max() < nothing:
            return float(edges[i]) if np.any((edges[i] < UPPER) & usable(wav.rate)) else None
    return None


class _Watch:
    """Peak, flat tops and digital silence of one channel, block by block."""

    def __init__(self, wav: Wav) -> None:
        self._piece = max(wav.rate // 100, 1)
        self._step = 2.0 ** (1 - min(wav.bits, 24))
        self._peak, self._tops, self._square, self._sum = 0.0, 0, 0.0, 0.0
        self._still, self._pieces, self._count = 0, 0, 0

    def feed(self, x: Array) -> None:
        self._count += len(x)
        if not x.any():
            self._still += len(x) // self._piece
            self._pieces += len(x) // self._piece
            return
        size = np.abs(x)
        peak = float(size.max())
        if peak > 1.0002 * self._peak:
            self._peak, self._tops = peak, 0
        if peak > 0.9998 * self._peak and peak > 200.0 * self._step:
            self._tops += _flat_tops(x, self._peak)
        whole = len(x) // self._piece * self._piece
        still = ~size[:whole].reshape(-1, self._piece).any(axis=1)
        self._still += int(still.sum())
        self._pieces += still.size
        self._square += float(x @ x)
        self._sum += float(x.sum())

    def result(self) -> Samples:
        still = self._still / max(self._pieces, 1)
        offset = self._sum / max(self._count, 1)
        square = self._square / max(self._count, 1) - offset**2
        return Samples(self._peak, self._tops, still, square, offset)


def _flat_tops(x: Array, peak: float) -> int:
    """Runs of three and more samples at the peak that the signal enters steeply, as cut-off waves do."""
    total = 0
    for signed in (x, -x):
        at = np.flatnonzero(signed >= 0.9998 * peak)
        if at.size < _FLAT_RUN:
            continue
        breaks = np.flatnonzero(np.diff(at) > 1) + 1
        starts = at[np.concatenate(([0], breaks))]
        lengths = np.diff(np.concatenate(([0], breaks, [at.size])))
        entry = signed[starts] - signed[np.maximum(starts - 1, 0)]
        total += int(np.sum((lengths >= _FLAT_RUN) & (entry > 0.002 * peak)))
    return total
