"""Reverberation time from a recording of something that stops: a balloon, a clap, noise switched off.

Backward integration (Schroeder 1965) of each band, filtered backwards in time so that the filter's own
ringing hardly lengthens the decay; T20 from -5 to -25 dB (ISO 3382-2:2008, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from isolate.bands import N_BANDS, THIRD_OCTAVES, Array
from isolate.describe import wav as sound
from isolate.describe.wav import Wav
from isolate.errors import InputError
from isolate.measuring.bank import Bank
from isolate.measuring.checks import DOUBT, NOTE, SPOILT, Finding, bands
from isolate.measuring.recording import decibels
from isolate.standards.field import decay_uncertainty
from isolate.standards.third_octave import WIDTH, usable

STEP = 0.004
"""Time step of the decay curves [s]."""

RANGE_DB = 35.0
"""The decay must begin this far above the noise: T20 ends 25 dB down, 10 dB above it (ISO 3382-2)."""

CORE: NDArray[np.bool_] = (THIRD_OCTAVES >= 100.0) & (THIRD_OCTAVES <= 3150.0)
"""Bands that the single numbers are made of."""

_LOUDER = "burst a balloon, clap harder or play louder, in a quiet moment, some 2 m from the microphone"
_LONGEST_FILE = 900.0
_LONGEST, _LEAD, _LULL = 8.0, 0.3, 0.25  # of a decay, before it, and silence that parts two [s]
_SLOWEST = 1500.0  # filters' lowest rate [Hz]: keeps the low bands' time steps fine
_BENT, _BENT_SHORT = 10.0, 25.0  # curvature [%] of T30 over T20 that warns, and of T20's halves
_REVERSED_BT = 8.0  # B T from which filters of this order, reversed, add under a tenth


@dataclass(frozen=True)
class Decay:
    """Mean over all decays found. `t20` [s] (27,), NaN where no band decays far enough; `u_t20` [s];
    `count` of decays, `counts` (27,) of those that could be used in each band; `findings`."""

    t20: Array
    u_t20: Array
    count: int
    counts: NDArray[np.intp]
    findings: tuple[Finding, ...]


def reverberation(paths: Sequence[str | Path]) -> Decay:
    """T20 from one or more recordings, each with one or more decays.

    Raises
    ------
    InputError
        No usable file, or none in which anything decays by 20 dB.
    """
    times, bends, findings = [], [], []
    for path in paths:
        wav = sound.inspect(path)
        if wav.duration > _LONGEST_FILE:
            raise InputError(
                f"{wav.path}: length: is over {_LONGEST_FILE / 60:.0f} minutes (got "
                f"{wav.duration / 60:.0f}); "
                "cut out the claps"
            )
        samples = sound.read(wav)
        found = _decays(samples.mean(axis=1), wav)
        if not found:
            raise InputError(
                f"{wav.path}: decay: nothing in it dies away by 20 dB; record a balloon, hard claps, or "
                "loud noise "
                "switched off, with three seconds of quiet after each"
            )
        for start, end in found:
            t20, bend = _one(samples, wav, start, end)
            times.append(t20)
            bends.append(bend)
        if np.abs(samples).max() > 0.999:
            findings.append(_overdriven(wav))
    return _mean(np.array(times), np.array(bends), findings)


def _mean(times: Array, bends: Array, findings: list[Finding]) -> Decay:
    finite = [own[np.isfinite(own)] for own in times.T]
    middle = np.array([np.median(own) if own.size else 0.0 for own in finite])
    kept = (times > middle / 2.0) & (times < 2.0 * middle)  # a passing car in one of them
    times, bends = np.where(kept, times, np.nan), np.where(kept, bends, np.nan)
    count = np.isfinite(times).sum(axis=0)
    number = np.where(count > 0, count, np.nan)
    t20 = np.nansum(times, axis=0) / number
    t20 = np.where(WIDTH * t20 > _REVERSED_BT, t20, np.nan)
    bend = np.nansum(bends, axis=0) / number
    spread = np.sqrt(np.nansum((times - t20) ** 2, axis=0) / np.maximum(count - 1, 1) / number)
    random = decay_uncertainty(t20, width=WIDTH, decays=1) / np.sqrt(number)
    bent = np.abs(bend) > np.maximum(_BENT, 250.0 * random / t20)
    if bent.any():
        findings.append(Finding(
            "bent decay", NOTE, "decay",
            f"does not fall in a straight line at {bands(bent)}: two decays in one (an open door, bare walls "
            "facing each other), so that one time does not describe it",
            "take the standardised values there as rough; close doors, clap at other places and average",
        ))  # fmt: skip
    counts = np.where(np.isfinite(t20), count, 0)
    missing = CORE & (counts == 0)
    if 0 < missing.sum() < CORE.sum() and 2 * missing.sum() > CORE.sum():
        findings.append(Finding(
            "few decays", DOUBT, "decay",
            f"could be used in only {CORE.sum() - missing.sum()} of the {CORE.sum()} bands from 100 to 3150 "
            f"Hz; at {bands(missing)} the reverberation time is carried on from the bands beside",
            _LOUDER,
        ))  # fmt: skip
    if not np.isfinite(t20).any():
        findings.append(Finding(
            "weak decay", SPOILT, "decay",
            f"does not stand {RANGE_DB:.0f} dB above the noise in any band",
            _LOUDER,
        ))  # fmt: skip
    return Decay(t20, np.hypot(random, spread), len(times), counts, tuple(findings))


def _overdriven(wav: Wav) -> Finding:
    return Finding(
        "clipping", DOUBT, wav.path.name, "is clipped at the start of the decay",
        "turn the recorder's gain down and clap or burst again",
    )  # fmt: skip


def _decays(x: Array, wav: Wav) -> list[tuple[int, int]]:
    """Where decays begin and end, as sample numbers: each bang, and each end of a long loud stretch."""
    piece = wav.rate // 100
    count = len(x) // piece
    smooth = np.diff(x[: count * piece], prepend=0.0)  # tilts the bass out, which often outlasts the rest
    course = decibels((smooth.reshape(count, piece) ** 2).mean(axis=1))
    floor = float(np.percentile(course, 10.0))
    on = np.flatnonzero(course > max(floor + 20.0, course.max() - 40.0))
    if on.size == 0 or course.max() - floor < 20.0:
        return []
    lull = round(_LULL * 100)
    cuts = np.flatnonzero(np.diff(on) > lull) + 1
    found = []
    runs = np.split(on, cuts)
    for i, run in enumerate(runs):
        stretch = course[run[0] : run[-1] + 1]
        top = stretch.max() if len(stretch) < 100 else float(np.percentile(stretch, 75.0))
        last_loud = np.flatnonzero(stretch >= top - 3.0)[-1]
        start = run[0] + int(last_loud if len(stretch) >= 100 else stretch.argmax())
        after = runs[i + 1][0] - 5 if i + 1 < len(runs) else count
        end = min(after, start + round(_LONGEST * 100))
        if end - start > 30:
            found.append((start * piece, end * piece))
    return found


def _one(samples: Array, wav: Wav, start: int, end: int) -> tuple[Array, Array]:
    """T20 [s] and curvature [%] by band of one decay."""
    lead = min(round(_LEAD * wav.rate), start)
    clip = samples[start - lead : end][::-1]
    step = round(STEP * wav.rate)
    bank = Bank(wav.rate, wav.channels, len(clip), frame=step, slowest=_SLOWEST)
    bank.feed(clip)
    energy = bank.power().mean(axis=0)[::-1]
    first = max(lead // step - 2, 0)
    t20, bend = np.full(N_BANDS, np.nan), np.full(N_BANDS, np.nan)
    for band in np.flatnonzero(usable(wav.rate)):
        t20[band], bend[band] = fit(energy[first:, band], step / wav.rate)
    return t20, bend


def fit(energy: Array, step: float) -> tuple[float, float]:
    """T20 [s] and curvature [%] of one decay's energy over time, NaN where it is too short or too near
    the noise.

    The noise (mean of the last tenth) is taken off; the integration ends where the decay meets it, and what
    lies beyond is added as the straight line's rest (ISO 3382-1:2009, 5.3.3, from memory).
    """
    noise = float(energy[-max(len(energy) // 10, 5) :].mean())
    width = max(int(0.04 / step), 1)
    smooth = np.convolve(energy, np.ones(width) / width, "same")
    top = int(smooth[: max(int(0.3 / step), 1)].argmax())
    if decibels(smooth[top]) - decibels(np.array(noise)) < RANGE_DB:
        return np.nan, np.nan
    below = np.flatnonzero(smooth[top:] < 3.2 * noise)
    end = top + int(below[0]) if below.size else len(energy)
    curve = np.cumsum(np.maximum(energy[:end] - noise, 0.0)[::-1])[::-1]
    for _ in range(3):  # the rest depends on the slope it changes
        slope = _slope(curve, step, -5.0, -25.0)
        if np.isnan(slope):
            return np.nan, np.nan
        left = max(float(smooth[end - 1]) - noise, 0.0)
        rest = left * 10.0 / np.log(10.0) / -slope / step
        curve = np.cumsum(np.maximum(energy[:end] - noise, 0.0)[::-1])[::-1] + rest
    full = _slope(curve, step, -5.0, -35.0)
    if decibels(smooth[top]) - decibels(np.array(noise)) > RANGE_DB + 10.0 and np.isfinite(full):
        return -60.0 / slope, 100.0 * (slope / full - 1.0)
    early, late = _slope(curve, step, -5.0, -15.0), _slope(curve, step, -15.0, -25.0)
    return -60.0 / slope, 100.0 * (early / late - 1.0) * _BENT / _BENT_SHORT


def _slope(curve: Array, step: float, high: float, low: float) -> float:
    """Slope [dB/s] of a decay curve between two levels below its start; NaN when it does not get there."""
    level = decibels(curve) - decibels(curve[:1])
    reached = np.flatnonzero(level <= low)
    if reached.size == 0:
        return np.nan
    inside = np.flatnonzero((level[: reached[0] + 1] <= high) & (level[: reached[0] + 1] >= low))
    if inside.size < 3:
        return np.nan
    return float(np.polyfit(inside * step, level[inside], 1)[0])
