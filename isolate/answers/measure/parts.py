"""The parts of a measurement: what the files do not tell, reverberation, uncertainty, calibration."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.answers.recordings import checks
from isolate.answers.recordings import decay as decays
from isolate.answers.recordings.checks import Finding, bands, walked
from isolate.answers.recordings.recording import Recording, decibels, listen
from isolate.bands import THIRD_OCTAVES, Array
from isolate.errors import InputError
from isolate.standards import field as rules
from isolate.standards.third_octave import WIDTH
from isolate.standards.weighting import A_WEIGHTING, C_WEIGHTING

ASSUMED_TIME = 0.5
"""Reverberation time [s] taken where none was measured: what furnished rooms of dwellings have."""

ASSUMED_TIME_DB = 1.5
"""Standard uncertainty of 10 lg T of that assumption (scatter of ISO 10052's table, widened; from memory)."""

OUTDOOR_PLACE_DB = 1.0
"""Standard uncertainty of the level 2 m before a facade from place to place: common practice, no source."""

_WALK_PLACES = 5.0  # a slow walk through the room counts as so many places


@dataclass(frozen=True)
class Setup:
    """What the files do not tell. Gains [dB] of the recorder relative to the loud recordings; `volume` of
    the quiet room and `loud_volume` [m3]; `area` of the partition or facade [m2]; `facade`: loud means
    outdoors, 2 m before it; `music`: the same passage was played instead of steady noise; `time`: stated
    reverberation time [s]; `level`: stated level of the loud recording (value, weighting)."""

    quiet_gain_db: float = 0.0
    background_gain_db: float | None = None
    volume: float | None = None
    loud_volume: float | None = None
    area: float | None = None
    facade: bool = False
    music: bool = False
    time: float | None = None
    level: tuple[float, str] | None = None
    gain_stated: bool = False


@dataclass(frozen=True)
class Files:
    """The recordings by role; corners are for 50, 63 and 80 Hz in rooms below 25 m3."""

    loud: tuple[Path, ...]
    quiet: tuple[Path, ...]
    background: tuple[Path, ...] = ()
    decay: tuple[Path, ...] = ()
    loud_corner: tuple[Path, ...] = ()
    quiet_corner: tuple[Path, ...] = ()
    background_corner: tuple[Path, ...] = ()


def setup_inputs(setup: Setup) -> dict[str, Any]:
    """The setup as inputs of the answer."""
    return {
        "quiet_gain_db": setup.quiet_gain_db, "background_gain_db": setup.background_gain_db,
        "volume_m3": setup.volume, "loud_volume_m3": setup.loud_volume, "area_m2": setup.area,
        "facade": setup.facade, "music": setup.music, "stated_time_s": setup.time,
        "stated_level": setup.level and f"{setup.level[0]:g} dB{setup.level[1].replace('Z', '')}",
    }  # fmt: skip


def findings(
    loud: list[Recording], quiet: list[Recording], silence: list[Recording], setup: Setup, *, given: bool
) -> list[Finding]:
    """What the files show, one by one and together; InputError where nothing can be made of them."""
    steady = not setup.music
    roles = [(loud, "loud"), (quiet, "quiet"), (silence if given else [], "background")]
    found = [f for files, role in roles for r in files for f in checks.of_one(r, role, steady=steady)]
    together = checks.of_all(loud, quiet, silence if given else [], gain_stated=setup.gain_stated)
    fatal = [f for f in together if f.key in ("same recording", "swapped")]
    if fatal:
        raise InputError([f"{f.file}: {f.what}; {f.again}" for f in fatal])
    return found + together


def names(files: Files) -> dict[str, list[str]]:
    """File names by role."""
    return {role: [str(path) for path in paths] for role, paths in vars(files).items() if paths}


def without_background(quiet_db: Array, background_db: Array | None) -> tuple[Array, NDArray[np.intp]]:
    """Signal levels [dB] by the background rule, and what it did."""
    if background_db is None:
        return quiet_db, np.full(quiet_db.shape, rules.LIMIT)
    with np.errstate(invalid="ignore"):
        return rules.background_rule(quiet_db, background_db)


def cornered(
    level_db: Array, paths: Sequence[Path], gain_db: float, cut: Callable[[Recording], Recording]
) -> Array:
    """Levels with the corner rule in 50, 63 and 80 Hz, where corners were recorded."""
    if not paths:
        return level_db
    corners = np.max([cut(listen(path)).level_db for path in paths], axis=0) - gain_db
    return rules.with_corners(level_db, corners)


def corner_notes(files: Files, setup: Setup) -> list[str]:
    """The corner procedure offered for small rooms."""
    rooms = [("quiet", setup.volume, files.quiet_corner), ("loud", setup.loud_volume, files.loud_corner)]
    return [
        f"the {name} room has {volume:.0f} m3: below 25 m3 the bass gathers in corners. Record four "
        "corners, 0.3 to "
        f"0.4 m from the walls, 15 s each, and add them with --{name}-corner: 50 to 80 Hz become truer"
        for name, volume, given in rooms
        if volume is not None and volume < rules.SMALL_ROOM and not given
    ]


def reverberation(paths: Sequence[Path], setup: Setup) -> tuple[Array, tuple[str, ...], Array, list[Finding]]:
    """Reverberation time [s] by band, its basis, its uncertainty in dB of 10 lg T, and findings."""
    size = THIRD_OCTAVES.size
    if paths:
        decay = decays.reverberation(paths)
        there = np.isfinite(decay.t20)
        if there.any():
            at = np.log(THIRD_OCTAVES)
            time = np.exp(np.interp(at, at[there], np.log(decay.t20[there])))
            u_db = 4.34 * np.interp(at, at[there], (decay.u_t20 / decay.t20)[there])
            basis = tuple("measured" if b else "carried on" for b in there)
            return time, basis, np.where(there, u_db, np.hypot(u_db, 1.0)), list(decay.findings)
        assumed = np.full(size, setup.time or ASSUMED_TIME)
        return assumed, ("assumed",) * size, np.full(size, ASSUMED_TIME_DB), list(decay.findings)
    if setup.time is not None:
        return np.full(size, setup.time), ("stated",) * size, np.full(size, 1.0), []
    return np.full(size, ASSUMED_TIME), ("assumed",) * size, np.full(size, ASSUMED_TIME_DB), []


def uncertainty(
    loud: list[Recording], quiet: list[Recording], silence: list[Recording], time: Array, u_time: Array,
    setup: Setup, quiet_db: Array, background_db: Array | None,
) -> tuple[Array, Array]:  # fmt: skip
    """Standard uncertainty of the curve and of its repetition [dB] (27,)."""
    outdoors = np.full(time.shape, OUTDOOR_PLACE_DB)
    place = (_places(quiet, time), outdoors if setup.facade else _places(loud, time))
    random = [_random(loud), _random(quiet)]
    weight: Array | float = 1.0
    if background_db is not None:
        above = np.maximum(quiet_db - background_db, rules.LEAST_DB)
        share = 10.0 ** (-above / 10.0)
        weight = 1.0 / (1.0 - share)
        random.append(_random(silence) * share * weight)
    random[1] = random[1] * weight
    chance = np.sqrt(np.sum(np.square(random), axis=0))
    method = np.maximum(rules.IN_SITU_DB, np.hypot(*place))
    return np.sqrt(method**2 + chance**2 + u_time**2), np.hypot(rules.REPEAT_DB, chance)


def _places(recordings: Sequence[Recording], time: Array) -> Array:
    count = sum(_WALK_PLACES if walked(r) else 1.0 for r in recordings)
    return rules.place_uncertainty(WIDTH, reverberation_time=time, places=count)


def _random(recordings: Sequence[Recording]) -> Array:
    """Standard deviation of a mean level that averaging over time leaves [dB]: of Gaussian noise, or more
    when the sixths of the recording differ by more than that."""
    total = sum(r.time for r in recordings)
    theory = rules.level_uncertainty(WIDTH, time=max(total, 0.1))
    long_enough = [np.array_split(r.used, 6) for r in recordings if len(r.used) >= 12]
    scatter = [decibels(np.array([part.mean(axis=0) for part in sixths])) for sixths in long_enough]
    if not scatter:
        return theory
    seen = np.sqrt(np.mean([s.std(axis=0, ddof=1) ** 2 / 6.0 for s in scatter], axis=0) / len(recordings))
    return np.maximum(theory, seen)


def calibration(loud_db: Array, level: tuple[float, str] | None) -> float:
    """What turns dB re full scale into sound pressure level, from the stated level of the loud recording."""
    if level is None:
        return 0.0
    value, weighting = level
    weights = {"A": A_WEIGHTING, "C": C_WEIGHTING}.get(weighting, 0.0)
    known = np.where(np.isfinite(loud_db), loud_db + weights, -np.inf)
    return value - float(10.0 * np.log10(np.sum(10.0 ** (known / 10.0))))


def notes(setup: Setup, rule: NDArray[np.intp], basis: tuple[str, ...], *, still: bool) -> list[str]:
    """What was assumed, and what to add for a better answer."""
    notes = []
    if still and not setup.music:
        notes.append(
            "the microphone stood still in a room, so that its place counts for much of the uncertainty: "
            "walk "
            "slowly through the room with it for 30 s or more, or give several files made at several places"
        )
    if (rule == rules.LIMIT).all():
        notes.append(
            "without a recording of the quiet room's background every value is a lower limit: the "
            "isolation may be "
            "better. Record 30 s in the quiet room with the noise off and add it with --background"
        )
    if "assumed" in basis:
        notes.append(
            f"no decay was recorded: a reverberation time of {ASSUMED_TIME:g} s is assumed in the quiet "
            "room, as "
            "furnished rooms of dwellings have it. Clap hard or burst a balloon there and add it with --decay"
        )
    carried = np.array([b == "carried on" for b in basis])
    if carried.any():
        notes.append(f"the reverberation time at {bands(carried)} is carried on from the bands beside")
    if setup.facade:
        notes.append("the outdoor microphone is taken to have stood 2 m before the facade (ISO 16283-3)")
    return notes
