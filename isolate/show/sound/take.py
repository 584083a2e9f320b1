"""How a noise sits in a take: the playing, the room's sound at the microphone and its hiss, compressed or
not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy import fft

from isolate.answers.listen.answer import Listening
from isolate.answers.listen.mixed import InTake
from isolate.bands import N_BANDS, Array
from isolate.show.sound import shaping, sources
from isolate.show.sound.scenes import Rendered, Signal, full_scale, recorded, single
from isolate.standards.weighting import dba

RATIO = 4.0
TAKEN = ("now", "second")  # the scenes that are mixed into a take
_WINDOW, _AHEAD, _RELEASE = 0.02, 0.006, 0.15  # [s] of the compressor
_LOUD = 98.0  # percentile of the level that counts as a peak
_PLAYING_SEED, _HISS_SEED = 404, 505


@dataclass(frozen=True)
class Takes:
    """Signals at the microphone [re 20 uPa] by (scene's key, compressed or not), the compressor's gain made
    up; `full_scale_db` as in `Rendered`."""

    signals: dict[tuple[str, bool], Signal]
    full_scale_db: float


def takes(answer: Listening, heard: Rendered) -> Takes:
    """The take of an answer with the noise as it arrives in each scene of `TAKEN`."""
    assert answer.in_take is not None
    without = playing(answer.in_take, answer.seed, heard)
    rng = np.random.default_rng(_HISS_SEED + answer.seed)
    without += shaping.noise(answer.in_take.at.hiss_db, without.size, heard.rate, rng)
    found: dict[tuple[str, bool], Signal] = {}
    for key in TAKEN:
        if key in heard.scenes:
            room = at_microphone(heard.scenes[key], answer.in_take.at.room_db, heard.rate)
            room += without
            whole = sources.faded(room, heard.rate)
            del room
            found[key, False] = single(whole)
            found[key, True] = single(compressed(whole, heard.rate, answer.in_take.reduction_db))
    return Takes(found, full_scale(found.values()))


def playing(one: InTake, seed: int, heard: Rendered) -> Array:
    """What is recorded, at its level at the microphone, as long as the scenes."""
    count = heard.quiet.size
    if one.played is not None:
        samples = recorded(one.played.path, heard.rate)[:count]
        samples = sources.faded(np.pad(samples, (0, count - samples.size)), heard.rate)
        return samples * 10.0 ** (
            (one.at.played_dba - float(dba(shaping.levels(samples, heard.rate)))) / 20.0
        )
    name = one.take.own.spectrum.name
    kind = sources.SPEAKER if name == "speech" else sources.kind_of(name)
    return sources.made(
        kind, one.at.played_db, seconds=count / heard.rate, rate=heard.rate, seed=_PLAYING_SEED + seed
    )


def at_microphone(room: Array | Signal, change_db: Array | float, rate: int) -> Array:
    """Sound of the room after what a microphone's pattern and low cut take off, one value or (27,) [dB]."""
    change = np.broadcast_to(np.asarray(change_db, float), (N_BANDS,))
    if np.ptp(change) == 0.0:
        return np.asarray(room, float) * 10.0 ** (change[0] / 20.0)
    response = shaping.minimum_phase(change, rate)
    count = shaping.padded(room.size + response.size, rate)
    passed = fft.rfft(np.asarray(room, float), count)
    passed *= fft.rfft(response, count)
    return np.asarray(fft.irfft(passed, count)[: room.size])


def compressed(samples: Array, rate: int, reduction_db: float) -> Array:
    """Samples after a compressor of ratio 4:1 that takes `reduction_db` off the peaks and gives it back to
    all.

    It looks 6 ms ahead and lets go within some 150 ms, so that what lies in the pauses comes up by the same
    `reduction_db`.
    """
    level = _even(samples**2, round(_WINDOW * rate))
    level = 10.0 * np.log10(level + 1e-20)
    ceiling = float(np.percentile(level, _LOUD))
    slope = 1.0 - 1.0 / RATIO
    level = -slope * np.clip(level - (ceiling - reduction_db / slope), 0.0, None)  # from here on the gain
    level = _released(level, rate) + reduction_db
    return np.asarray(samples * 10.0 ** (level / 20.0))


def _released(gain_db: Array, rate: int) -> Array:
    """A gain that falls ahead of time and rises exponentially back, in blocks of a millisecond."""
    step, ahead = rate // 1000, round(1000 * _AHEAD)
    blocks = np.minimum.reduceat(gain_db, np.arange(0, gain_db.size, step))
    blocks = np.lib.stride_tricks.sliding_window_view(np.pad(blocks, ahead, "edge"), 2 * ahead + 1).min(-1)
    keep, found, last = np.exp(-0.001 / _RELEASE), np.empty(blocks.size), 0.0
    for i, wanted in enumerate(blocks):
        last = wanted if wanted < last else keep * last + (1.0 - keep) * wanted
        found[i] = last
    smooth = np.interp(np.arange(gain_db.size), (np.arange(blocks.size) + 0.5) * step, found)
    return _even(smooth, 2 * step)


def _even(samples: Array, width: int) -> Array:
    """The mean of `width` samples about each, (count,)."""
    edge = np.pad(samples, (width // 2, width - width // 2 - 1), "edge")
    return np.convolve(edge, np.full(width, 1.0 / width), "valid")
