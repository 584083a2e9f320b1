"""Honest checks on recordings: what is wrong with a file, in words, and what to do again."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from isolate.bands import THIRD_OCTAVES, Array, index_of
from isolate.describe.words import listed
from isolate.measuring.recording import FRAMES_A_SECOND, Recording, decibels, grain
from isolate.standards.field import NEIGHBOURS_DB, SHORTEST, level_uncertainty
from isolate.standards.third_octave import UPPER, WIDTH, usable

NOTE, DOUBT, SPOILT = 0, 1, 2
"""How grave a finding is: worth knowing; the result is less sure; the result is not to be used."""

MIDDLE = slice(index_of(250), index_of(4000) + 1)
STEADY_DB = 1.5
"""Steady noise varies less than this from second to second (standard deviation, middle bands)."""

_ONE_OCTAVE_DB = 2.5  # in a single octave, where a slow walk alone may make 2
_DRIFT_DB = 2.0
_RULED_DB = 3.0  # by which a few loud seconds may lift the mean above the usual second
_HOLE_DB = 25.0
_GUSTS = 1.5  # times chance: spread of bass outdoors from second to second that is wind
_MOVED = 1.4  # times the variation of steady noise at one place
_ALIKE_DB = 3.0
_APART, _RAGGED = 4, 0.029  # bins between grains that are compared; share of holes that is no chance


@dataclass(frozen=True)
class Finding:
    """One thing about the recordings: which `file`, `what` it is, and what to do `again` ("" for a note)."""

    key: str
    grave: int
    file: str
    what: str
    again: str = ""

    def to_dict(self) -> dict[str, str]:
        """Plain data."""
        grave = ("note", "doubt", "spoilt")[self.grave]
        return {"key": self.key, "grave": grave, "file": self.file, "what": self.what, "again": self.again}


def of_one(recording: Recording, role: str, *, steady: bool, known: bool = False) -> list[Finding]:
    """Everything one file shows by itself; `role` "loud", "outdoors", "quiet", "background" or "decay";
    `steady`: test noise was played, not music; `known`: it is ours, whose steps tell the gain, so that what
    varies is the microphone's place."""
    found = [_clipped(recording), _gated(recording, role), _cut_off(recording)]
    if role in ("loud", "outdoors"):
        found += [_limited(recording, steady), _uneven(recording)]
    if role == "background":
        found.append(_hiss(recording))
    if role != "decay":
        found.append(_short(recording))
    if steady and role in ("loud", "outdoors", "quiet", "background"):
        found += [_moving(recording, role, known), _gusts(recording, role)]
        found += [_holes(recording), _suppressed(recording)]
    return [finding for finding in found if finding is not None]


def bands(which: NDArray[np.bool_]) -> str:
    """Third octaves as a run of words: "25 to 63 Hz, 8000 Hz"."""
    at = np.flatnonzero(which)
    runs = np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)
    ends = [(f"{THIRD_OCTAVES[run[0]]:g}", f"{THIRD_OCTAVES[run[-1]]:g}") for run in runs if run.size]
    return listed([f"{first} Hz" if first == last else f"{first} to {last} Hz" for first, last in ends])


def _clipped(r: Recording) -> Finding | None:
    tops = r.samples.clipped
    if tops < 3:
        return None
    grave = SPOILT if tops > r.wav.duration else DOUBT
    return Finding(
        "clipping", grave, r.name,
        f"is clipped: {tops} waves are cut off at the top, which adds false treble and takes level away",
        "turn the recorder's gain down until the peaks stay at half scale (-6 dB), and record again",
    )  # fmt: skip


def _gated(r: Recording, role: str) -> Finding | None:
    if r.samples.still < 0.02:
        return None
    grave = SPOILT if r.samples.still > 0.3 and role != "decay" else DOUBT
    return Finding(
        "digital silence", grave, r.name,
        f"is pure digital silence for {100 * r.samples.still:.0f} % of the time: a noise gate, noise "
        "suppression or "
        "an edit took the room's own sound away",
        "switch noise suppression off (use a plain recorder, not a call or voice memo mode), and record "
        "again",
    )  # fmt: skip


def _limited(r: Recording, steady: bool) -> Finding | None:
    if not steady or r.samples.crest_db >= 9.0:
        return None
    return Finding(
        "limiter", DOUBT, r.name,
        f"has peaks only {r.samples.crest_db:.0f} dB above its mean, where noise has 12 or more: a "
        "limiter, or the "
        "speaker or microphone overdriven",
        "turn the speaker down and the limiter off, and record again",
    )  # fmt: skip


def _uneven(r: Recording) -> Finding | None:
    level = r.level_db
    checked = (THIRD_OCTAVES >= 100) & (THIRD_OCTAVES <= 3150) & r.usable
    steps = np.abs(np.diff(level)) > NEIGHBOURS_DB
    pairs = checked[:-1] & checked[1:] & steps
    if not pairs.any():
        return None
    return Finding(
        "uneven source", NOTE, r.name,
        f"is uneven in the loud room: neighbouring bands differ by more than {NEIGHBOURS_DB:.0f} dB from "
        f"{bands(np.append(pairs, False))}",
        "move the speaker, or use the test signal and a speaker with more bass, for a surer result there",
    )  # fmt: skip


def _short(r: Recording) -> Finding | None:
    short = (r.time < SHORTEST) & r.usable
    if not short.any():
        return None
    need = SHORTEST[short].max()
    return Finding(
        "too short", DOUBT, r.name,
        f"has {r.time:.0f} s that count: too short for {bands(short)}",
        f"record at least {need:.0f} s, better 30 to 60 s",
    )  # fmt: skip


def _moving(r: Recording, role: str, known: bool) -> Finding | None:
    """Level that changes: all bands alike (gain) or not (the sound itself)."""
    seconds = r.course_db()[:, MIDDLE][:, r.usable[MIDDLE]]
    if len(seconds) < 4 or seconds.shape[1] == 0:
        return None
    common = seconds.mean(axis=1)
    apart = seconds - common[:, None]
    apart -= apart.mean(axis=0)
    drift = _drift(common)
    if abs(drift) > _DRIFT_DB and apart.std() < 0.5 * abs(drift) and role != "background" and not known:
        way = "falls" if drift < 0 else "rises"
        return Finding(
            "automatic gain", DOUBT, r.name,
            f"{way} by {abs(drift):.1f} dB in all bands alike: automatic gain at work, or the microphone "
            "came "
            "nearer or went away",
            "switch automatic gain, limiter and loudness off, set the gain by hand, keep it, and record "
            "again",
        )  # fmt: skip
    by_band = seconds.std(axis=0)
    octaves = [float(np.median(group)) for group in np.array_split(by_band, 4)]
    spread = max(float(np.median(by_band)), *octaves)
    lifted = float(_lifted(seconds).max())
    ruled = lifted > _RULED_DB
    if (np.median(by_band) <= STEADY_DB and spread <= _ONE_OCTAVE_DB) or (known and not ruled):
        return None
    what = f"is not steady: it varies by {spread:.1f} dB from second to second where 1.5 dB is usual"
    if ruled:
        what += f", and moments of something else lift its mean by up to {lifted:.0f} dB"
    if role == "background":
        again = "wait for a calm spell (no cars, no voices) and record again"
        return Finding("not steady", DOUBT if ruled else NOTE, r.name, what, again)
    again = "play steady noise, walk slowly, wait until nothing else is heard, and record again"
    return Finding("not steady", SPOILT if ruled else DOUBT, r.name, what, again)


def _lifted(seconds: Array) -> Array:
    """How far the mean of each band lies above its usual second [dB]."""
    return np.asarray(decibels((10.0 ** (seconds / 10.0)).mean(axis=0)) - np.median(seconds, axis=0))


def gusty(r: Recording, role: str) -> NDArray[np.bool_]:
    """Bands below 250 Hz (27,) whose level comes and goes by itself, more than the middle's. Where the
    microphone may be carried through a room's modes only what rules the mean counts."""
    which = np.zeros(r.usable.shape, bool)
    bass = np.flatnonzero(r.usable[: MIDDLE.start])
    seconds = r.course_db()[:, bass]
    if len(seconds) < 8:
        return which
    chance = level_uncertainty(WIDTH[bass], time=1.0)
    which[bass] = _lifted(seconds) > _RULED_DB + chance
    if role == "outdoors":
        middle = r.course_db()[:, MIDDLE][:, r.usable[MIDDLE]].std(axis=0)
        which[bass] |= seconds.std(axis=0) > _GUSTS * chance + float(np.median(middle))
    return which if which.sum() > 1 else np.zeros_like(which)


def _gusts(r: Recording, role: str) -> Finding | None:
    """Wind at the microphone outdoors, steps, doors and lorries indoors."""
    which = gusty(r, role)
    if not which.any():
        return None
    if role == "outdoors":
        return Finding(
            "gusts", DOUBT, r.name,
            f"has bass that comes and goes at {bands(which)}, which are left out: wind on the microphone, "
            "most likely",
            "put a foam or fur cover on, wait for a calm spell and record again, with the noise off too, so "
            "that what wind is left can be taken off",
        )  # fmt: skip
    return Finding(
        "gusts", DOUBT, r.name, f"has bass that comes and goes at {bands(which)}: doors, steps or lorries",
        "record again in a calm spell",
    )  # fmt: skip


def _drift(common: Array) -> float:
    """Change [dB] of a level from its first seconds to its end, or along its whole course: no loud moment is
    one, since medians of its thirds, two thirds of the course apart, tell it."""
    settled = float(np.median(common[len(common) // 2 :]))
    onset = settled - float(common[: max(len(common) // 10, 1)].mean())
    third = max(len(common) // 3, 1)
    course = 1.5 * float(np.median(common[-third:]) - np.median(common[:third]))
    return onset if abs(onset) > abs(course) else course


def _cut_off(r: Recording) -> Finding | None:
    at = r.cut_hz
    if at is None:
        return None
    lost = (at < UPPER) & usable(r.wav.rate)
    return Finding(
        "lossy coding", DOUBT, r.name,
        f"holds nothing above {at / 1000:.1f} kHz, so {bands(lost)} are missing: it was compressed (MP3, "
        "AAC, a call or a wireless link)",
        "record straight to WAV, or choose the lossless setting; converting the file afterwards does not "
        "help",
    )  # fmt: skip


def _holes(r: Recording) -> Finding | None:
    """Bands that a lossy coder switches off now and then: never in a true recording of steady noise."""
    limit = min(0.9 * (r.cut_hz or np.inf), 0.42 * r.wav.rate, 15_000.0)
    edges = np.arange(3000.0, limit, 1000.0)
    pieces = r.pieces[r.counting]
    if len(edges) < 3 or len(pieces) < 20:
        return None
    which = np.searchsorted(edges, r.piece_hz, side="right") - 1
    cells = np.stack([pieces[:, which == i].mean(axis=1) for i in range(len(edges) - 1)], axis=1)
    level = decibels(cells)
    holes = level < np.median(level, axis=0) - _HOLE_DB
    even = np.abs(decibels(pieces.mean(axis=1)) - decibels(pieces.mean())) < 10.0
    if float(holes[even].mean() if even.any() else 0.0) < 0.002:
        return None
    return Finding(
        "lossy coding", DOUBT, r.name,
        "has treble that drops out for moments, as lossy coding (MP3, AAC) or noise suppression leaves it",
        "record straight to WAV with all enhancement off, and record again",
    )  # fmt: skip


def _suppressed(r: Recording) -> Finding | None:
    """Noise whose grains differ more than chance lets them: power in two bins of Gaussian noise is drawn from
    one exponential distribution, so that they differ by over 20 dB in 2/(1 + 100) of all cases. Suppression
    turns the weak ones down further."""
    bins = np.fft.rfftfreq(grain(r.wav.rate), 1.0 / r.wav.rate)
    within = (bins > 400.0) & (bins < min(0.4 * r.wav.rate, 0.9 * (r.cut_hz or np.inf)))
    level = decibels(r.grains[r.counting][:, within])
    if len(level) < 50:
        return None
    apart = level[:, _APART:] - level[:, :-_APART]
    share = float(np.mean(np.abs(apart - np.median(apart, axis=0)) > 20.0))
    if share < _RAGGED:
        return None
    return Finding(
        "noise suppression", SPOILT, r.name,
        f"is noise with holes in it: pieces of it differ by 20 dB in {100 * share:.1f} % of cases, where "
        "noise as it is does in 2.0 %. Noise suppression (or lossy coding) takes away what is soft",
        "switch noise suppression, voice isolation and enhancement off, or use another recorder, and record "
        "again",
    )  # fmt: skip


def _hiss(r: Recording) -> Finding | None:
    """Self-noise: treble that rises like white noise, or that lies at the last bit."""
    high = (THIRD_OCTAVES >= 2500) & r.usable
    level = r.level_db
    last_bit = decibels(2.0 ** (2 - 2 * min(r.wav.bits, 24)) / 12.0 * WIDTH / (r.wav.rate / 2.0))
    if r.wav.floating is False and np.any(level[high] < last_bit[high] + 6.0):
        return Finding(
            "last bit", NOTE, r.name,
            f"lies at the last bit of {r.wav.bits} in the treble: the file's own noise, not the room's",
            "record with more gain or with 24 bit; until then the treble is a lower limit",
        )  # fmt: skip
    step = np.arange(high.sum())
    if step.size < 5:
        return None
    line = np.polyfit(step, level[high], 1)
    off = np.abs(level[high] - np.polyval(line, step)).max()
    if not (0.7 <= line[0] <= 1.3 and off < 1.0):
        return None
    return Finding(
        "self-noise", NOTE, r.name,
        "is hiss from 2.5 kHz up, rising like white noise: the microphone's or recorder's own noise, not "
        "the room's",
        "play louder or use a quieter microphone if the treble comes out as a lower limit",
    )  # fmt: skip


def of_all(
    loud: Sequence[Recording], quiet: Sequence[Recording], background: Sequence[Recording],
    *, gain_stated: bool,
) -> list[Finding]:  # fmt: skip
    """What the files show only together."""
    checks: tuple[Callable[..., Iterator[Finding]], ...] = (_same_file, _roles, _twins)
    found = [finding for check in checks for finding in check(loud, quiet, background)]
    if not gain_stated and not found:
        found += _levelled(loud, quiet)
    return found


def mean_level(recordings: Sequence[Recording], lasts: float | None = None) -> Array:
    """Energy mean level [dB re full scale] (27,) over places; NaN where one of them holds no band. With
    `lasts` [s] the sound is a passage of that length, whose whole energy counts however long it was heard."""
    weights = [1.0 if lasts is None else r.time / lasts for r in recordings]
    power = [weight * 10.0 ** (r.level_db / 10.0) for weight, r in zip(weights, recordings, strict=True)]
    return decibels(np.mean(power, axis=0))


def _same_file(
    loud: Sequence[Recording], quiet: Sequence[Recording], background: Sequence[Recording]
) -> Iterator[Finding]:
    everything = [*loud, *quiet, *background]
    for i, one in enumerate(everything):
        for other in everything[i + 1 :]:
            if one.power.shape == other.power.shape and np.array_equal(one.power, other.power):
                yield Finding(
                    "same recording", SPOILT, other.name, f"is the same recording as {one.name}",
                    "give each role its own recording",
                )  # fmt: skip


def _roles(
    loud: Sequence[Recording], quiet: Sequence[Recording], background: Sequence[Recording]
) -> Iterator[Finding]:
    difference = (mean_level(loud) - mean_level(quiet))[MIDDLE]
    difference = difference[np.isfinite(difference)]
    if difference.size and np.median(difference) < -_ALIKE_DB:
        yield Finding(
            "swapped", SPOILT, quiet[0].name,
            f"is {-np.median(difference):.0f} dB louder than {loud[0].name}: the loud and the quiet room "
            "are swapped",
            "give the loud room's file as loud and the quiet room's as quiet; state the gain if it was "
            "changed",
        )  # fmt: skip
    if not background:
        return
    over = (mean_level(quiet) - mean_level(background))[np.isfinite(mean_level(quiet))]
    if np.median(over) < -2.0:
        yield Finding(
            "swapped", SPOILT, background[0].name,
            f"is {-np.median(over):.0f} dB louder than {quiet[0].name}, the same room with the noise on: "
            "files "
            "swapped, automatic gain, or the noise was off",
            "check which file is which, set the gain by hand, and record both again without touching it",
        )  # fmt: skip


def _twins(
    loud: Sequence[Recording], quiet: Sequence[Recording], background: Sequence[Recording]
) -> Iterator[Finding]:
    difference = mean_level(loud) - mean_level(quiet)
    middle = difference[MIDDLE][np.isfinite(difference[MIDDLE])]
    if middle.size and np.all(np.abs(middle) < _ALIKE_DB):
        yield Finding(
            "same room", SPOILT, quiet[0].name,
            f"is as loud as {loud[0].name} in every band: both were made in the same room, or the door was "
            "open",
            "record the quiet room with the microphone in it and all doors and windows shut",
        )  # fmt: skip


def _levelled(loud: Sequence[Recording], quiet: Sequence[Recording]) -> list[Finding]:
    """Files whose gain was set to make them equally loud."""
    peaks = [20.0 * np.log10(max(r.samples.peak for r in files)) for files in (loud, quiet)]
    if abs(peaks[0] - peaks[1]) < 0.3 and min(peaks) > -6.5:
        return [
            Finding(
                "normalised", SPOILT, quiet[0].name,
                f"peaks at the same {peaks[1]:.1f} dB as {loud[0].name}: both files were normalised, which "
                "takes the "
                "difference away",
                "export again without normalising",
            )
        ]  # fmt: skip
    difference = mean_level(loud) - mean_level(quiet)
    difference = difference[np.isfinite(difference)]
    totals = [decibels(np.mean([r.used.mean(axis=0).sum() for r in files])) for files in (loud, quiet)]
    if totals[0] - totals[1] < 6.0 and np.ptp(difference) > 15.0:
        return [
            Finding(
                "automatic gain", DOUBT, quiet[0].name,
                f"is almost as loud as {loud[0].name} in all, though its spectrum is a quiet room's: "
                "automatic gain, or the gain was changed between the two",
                "set the gain by hand and keep it, or state as quiet gain what was changed",
            )
        ]  # fmt: skip
    return []


def walked(recording: Recording) -> bool:
    """Whether the microphone was moved: levels vary more over time than steady noise does at one place."""
    span = slice(index_of(250), index_of(2000) + 1)
    quarters = recording.course_db(FRAMES_A_SECOND // 4)[:, span][:, recording.usable[span]]
    if len(quarters) < 16 or quarters.shape[1] == 0:
        return False
    expected = level_uncertainty(WIDTH[span][recording.usable[span]], time=0.25)
    return bool(np.median(quarters.std(axis=0) / expected) > _MOVED)
