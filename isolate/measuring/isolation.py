"""What do I have now? Isolation from recordings in the loud and the quiet room, with its trust.

Level differences need no calibrated meter: the microphone is the same in both rooms and cancels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_tl
from isolate.errors import InputError
from isolate.measuring import checks, recorder
from isolate.measuring import decay as decays
from isolate.measuring.change import Change
from isolate.measuring.checks import DOUBT, Finding, bands, mean_level, walked
from isolate.measuring.measured import Files, Measured, Rated, Setup, names, rated, setup_inputs
from isolate.measuring.model import Compared
from isolate.measuring.recording import (
    FRAMES_A_SECOND,
    Recording,
    decibels,
    listen,
    own_background,
    sounding,
)
from isolate.measuring.shape import Hint, hints
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.standards import field as rules
from isolate.standards.third_octave import WIDTH
from isolate.standards.weighting import A_WEIGHTING, C_WEIGHTING, dba

ASSUMED_TIME = 0.5
"""Reverberation time [s] taken where none was measured: what furnished rooms of dwellings have."""

ASSUMED_TIME_DB = 1.5
"""Standard uncertainty of 10 lg T of that assumption (scatter of ISO 10052's table, widened; from memory)."""

OUTDOOR_PLACE_DB = 1.0
"""Standard uncertainty of the level 2 m before a facade from place to place: common practice, no source."""

_WALK_PLACES = 5.0  # a slow walk through the room counts as so many places


@dataclass(frozen=True, repr=False)
class Measurement(Measured, Answer):
    """Isolation as measured, with what follows: single numbers, what the curve points at, cautions, and,
    where they were asked for, the `change` against a measurement before and the room's `model`."""

    ratings: tuple[Rated, ...] = ()
    hints: tuple[Hint, ...] = ()
    cautions: tuple[Caution, ...] = ()
    change: Change | None = None
    model: Compared | None = None

    def rating(self, *names: str) -> Rated | None:
        """The first of these ratings that could be made."""
        found = {one.name: one for one in self.ratings}
        return next((found[name] for name in names if name in found), None)

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output, and `io` reads them back."""
        limits = self.rule == rules.LIMIT
        body = {
            "bands_hz": THIRD_OCTAVES,
            "quantity": self.curve_name, "tl_db": self.curve_db,
            "low_db": self.low_db, "high_db": self.high_db,
            "at_least": limits, "u_db": self.u_db, "repeat_db": self.repeat_db,
            "octave": {"bands_hz": OCTAVES, "tl_db": octave_tl(self.curve_db)},
            "loud_db": self.loud_db, "quiet_db": self.quiet_db, "background_db": self.background_db,
            "level_reference": "20 uPa" if self.calibrated else "full scale",
            "difference_db": self.difference_db, "standardised_db": self.standardised_db,
            "normalised_db": self.normalised_db, "reduction_db": self.reduction_db,
            "reverberation_s": self.time, "reverberation_basis": self.time_basis,
            "ratings": {one.name: one.to_dict() for one in self.ratings},
            "change": None if self.change is None else self.change.to_dict(),
            "model": None if self.model is None else self.model.to_dict(),
            "trust": self.trust,
            "findings": [finding.to_dict() for finding in self.findings],
            "hints": [hint.to_dict() for hint in self.hints],
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }  # fmt: skip
        return headed("measure", self.names | setup_inputs(self.setup), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a third octave that was measured."""
        nothing = np.full(THIRD_OCTAVES.size, np.nan)
        columns = {
            "band_hz": THIRD_OCTAVES, "tl_db": self.curve_db, "low_db": self.low_db, "high_db": self.high_db,
            "at_least": (self.rule == rules.LIMIT).astype(int), "difference_db": self.difference_db,
            "standardised_db": self.standardised_db, "loud_db": self.loud_db, "quiet_db": self.quiet_db,
            "background_db": nothing if self.background_db is None else self.background_db,
            "reverberation_s": self.time,
        }  # fmt: skip
        rows = [list(row) for row in zip(*columns.values(), strict=True)]
        return list(columns), [row for row in rows if np.isfinite(row[1])]

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [("measured", one.name, float(one.value)) for one in self.ratings]


def measure(files: Files, setup: Setup | None = None) -> Measurement:
    """Answer: how much do wall, window and door keep out, as measured?

    Raises
    ------
    InputError
        A file that cannot be used, the files of the two rooms swapped, or one file given twice.
    """
    setup = setup or Setup()
    cut = sounding if setup.music else recorder.steady
    loud = [cut(listen(path)) for path in files.loud]
    quiet = [cut(listen(path)) for path in files.quiet]
    silence, how = _silence(files.background, quiet, "quiet", setup)
    loud_silence, there = _silence(files.loud_background, loud, "loud", setup)
    notes = [f"{r.name}: {note}" for r in (*loud, *quiet, *silence) for note in r.notes] + how + there
    found = _findings(loud, quiet, silence, setup, given=bool(files.background))
    background_gain = setup.quiet_gain_db if setup.background_gain_db is None else setup.background_gain_db
    lasts = float(np.mean([r.time for r in loud])) if setup.music else None
    loud_db, quiet_db = mean_level(loud, lasts), mean_level(quiet, lasts) - setup.quiet_gain_db
    background_db = mean_level(silence) - background_gain if silence else None
    if lasts and background_db is not None:  # as long as the passage was listened to
        background_db = background_db + 10.0 * float(np.log10(np.mean([r.time for r in quiet]) / lasts))
    loud_db = _cornered(loud_db, files.loud_corner, 0.0, cut)
    quiet_db = _cornered(quiet_db, files.quiet_corner, setup.quiet_gain_db, cut)
    if background_db is not None:
        background_db = _cornered(background_db, files.background_corner, background_gain, lambda r: r)
    if setup.facade and not setup.music:
        loud_db = np.where(np.any([checks.gusty(r, "outdoors") for r in loud], axis=0), np.nan, loud_db)
    loud_db, drowned = _own(loud_db, loud_silence, loud[0].name)
    found += drowned
    notes += _corner_notes(files, setup)
    clean_db, rule = _without_background(quiet_db, background_db)
    time, basis, u_time, more = _reverberation(files.decay, setup)
    found += more
    u_db, repeat_db = _uncertainty(loud, quiet, silence, time, u_time, setup, quiet_db, background_db)
    shift = _calibration(loud_db, setup.level)
    still = not all(map(walked, (*loud, *quiet)))
    notes += _assumed(setup, rule, basis, still=still, missing_db=_missing(quiet_db, background_db, rule))
    result = Measurement(
        setup=setup, names=names(files), loud_db=loud_db + shift, quiet_db=quiet_db + shift,
        background_db=None if background_db is None else background_db + shift, rule=rule,
        difference_db=loud_db - clean_db, time=time, time_basis=basis, u_db=u_db, repeat_db=repeat_db,
        calibrated=setup.level is not None, findings=tuple(found), notes=tuple(notes),
    )  # fmt: skip
    return told(result)


def told(result: Measurement) -> Measurement:
    """The measurement with what follows from its bands: ratings, hints and cautions."""
    return replace(result, ratings=rated(result), hints=hints(result), cautions=_cautions(result))


def _findings(
    loud: list[Recording], quiet: list[Recording], silence: list[Recording], setup: Setup, *, given: bool
) -> list[Finding]:
    """What the files show, one by one and together; InputError where nothing can be made of them."""
    steady = not setup.music
    source = "outdoors" if setup.facade else "loud"
    roles = [(loud, source), (quiet, "quiet"), (silence if given else [], "background")]
    found = []
    for role, r in [(role, r) for files, role in roles for r in files]:
        gain = recorder.gain(r) if steady and role != "background" else None
        known = steady and role != "background" and recorder.find_steps(r) is not None
        found += checks.of_one(r, role, steady=steady, known=known) + ([gain] if gain else [])
    together = checks.of_all(loud, quiet, silence if given else [], gain_stated=setup.gain_stated)
    fatal = [f for f in together if f.key in ("same recording", "swapped")]
    if fatal:
        raise InputError([f"{f.file}: {f.what}; {f.again}" for f in fatal])
    return found + together


def _silence(
    given: Sequence[Path], sounding: Sequence[Recording], role: str, setup: Setup
) -> tuple[list[Recording], list[str]]:
    """Recordings of a background, those given or the silent parts of others, and what to tell of it."""
    if given:
        return [listen(path) for path in given], []
    found = [] if setup.music else [silent for one in sounding for silent in recorder.silences(one)]
    found = found or [alone for alone in map(own_background, sounding) if alone is not None]
    note = f"the background of the {role} room is the silent part of its own recording"
    return found, [note] if found else []


def _own(loud_db: Array, silence: Sequence[Recording], name: str) -> tuple[Array, list[Finding]]:
    """The loud room's levels [dB] without what else sounds there, NaN where that drowns the noise: a lower
    limit of them would make the isolation look better than it is."""
    if not silence:
        return loud_db, []
    clean_db, rule = _without_background(loud_db, mean_level(silence))
    drowned = (rule == rules.LIMIT) & np.isfinite(loud_db)
    if not drowned.any():
        return clean_db, []
    return np.where(drowned, np.nan, clean_db), [Finding(
        "drowned", DOUBT, name,
        f"does not stand clear of what else sounds there at {bands(drowned)}, which are left out",
        "play louder, with a speaker that reaches down there; outdoors cover the microphone against the wind",
    )]  # fmt: skip


def _without_background(quiet_db: Array, background_db: Array | None) -> tuple[Array, NDArray[np.intp]]:
    """Signal levels [dB] by the background rule, and what it did."""
    if background_db is None:
        return quiet_db, np.full(quiet_db.shape, rules.LIMIT)
    with np.errstate(invalid="ignore"):
        return rules.background_rule(quiet_db, background_db)


def _cornered(
    level_db: Array, paths: Sequence[Path], gain_db: float, cut: Callable[[Recording], Recording]
) -> Array:
    """Levels with the corner rule in 50, 63 and 80 Hz, where corners were recorded."""
    if not paths:
        return level_db
    corners = np.max([cut(listen(path)).level_db for path in paths], axis=0) - gain_db
    return rules.with_corners(level_db, corners)


def _corner_notes(files: Files, setup: Setup) -> list[str]:
    """The corner procedure offered for small rooms."""
    rooms = [("quiet", setup.volume, files.quiet_corner), ("loud", setup.loud_volume, files.loud_corner)]
    return [
        f"the {name} room has {volume:.0f} m3: below 25 m3 the bass gathers in corners. Record four "
        "corners, 0.3 to "
        f"0.4 m from the walls, 15 s each, and add them with --{name}-corner: 50 to 80 Hz become truer"
        for name, volume, given in rooms
        if volume is not None and volume < rules.SMALL_ROOM and not given
    ]


def _reverberation(
    paths: Sequence[Path], setup: Setup
) -> tuple[Array, tuple[str, ...], Array, list[Finding]]:
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


def _uncertainty(
    loud: list[Recording], quiet: list[Recording], silence: list[Recording], time: Array, u_time: Array,
    setup: Setup, quiet_db: Array, background_db: Array | None,
) -> tuple[Array, Array]:  # fmt: skip
    """Standard uncertainty of the curve and of its repetition [dB] (27,)."""
    outdoors = np.full(time.shape, OUTDOOR_PLACE_DB)
    place = (_places(quiet, time), outdoors if setup.facade else _places(loud, time))
    random = [_random(loud, setup.music), _random(quiet, setup.music)]
    weight: Array | float = 1.0
    if background_db is not None:
        above = np.maximum(quiet_db - background_db, rules.LEAST_DB)
        share = 10.0 ** (-above / 10.0)
        weight = 1.0 / (1.0 - share)
        random.append(_random(silence, False) * share * weight)
    random[1] = random[1] * weight
    chance = np.sqrt(np.sum(np.square(random), axis=0))
    method = np.maximum(rules.IN_SITU_DB, np.hypot(*place))
    return np.sqrt(method**2 + chance**2 + u_time**2), np.hypot(rules.REPEAT_DB, chance)


def _places(recordings: Sequence[Recording], time: Array) -> Array:
    count = sum(_WALK_PLACES if walked(r) else 1.0 for r in recordings)
    return rules.place_uncertainty(WIDTH, reverberation_time=time, places=count)


def _random(recordings: Sequence[Recording], music: bool) -> Array:
    """Standard deviation of a mean level that averaging over time leaves [dB]: of Gaussian noise, or more
    when the sixths of the recording differ by more than that. Music is the same each time, so that its parts
    may differ: what counts is how long each band sounds."""
    if music:
        power = np.concatenate([r.used for r in recordings])
        lasts = np.sum(power, axis=0) ** 2 / np.sum(power**2, axis=0) / FRAMES_A_SECOND
        return np.asarray(rules.level_uncertainty(WIDTH * lasts, time=1.0))
    total = sum(r.time for r in recordings)
    theory = rules.level_uncertainty(WIDTH, time=max(total, 0.1))
    long_enough = [np.array_split(r.used, 6) for r in recordings if len(r.used) >= 12]
    scatter = [decibels(np.array([part.mean(axis=0) for part in sixths])) for sixths in long_enough]
    if not scatter:
        return theory
    seen = np.sqrt(np.mean([s.std(axis=0, ddof=1) ** 2 / 6.0 for s in scatter], axis=0) / len(recordings))
    return np.maximum(theory, seen)


def _calibration(loud_db: Array, level: tuple[float, str] | None) -> float:
    """What turns dB re full scale into sound pressure level, from the stated level of the loud recording."""
    if level is None:
        return 0.0
    value, weighting = level
    weights = {"A": A_WEIGHTING, "C": C_WEIGHTING}.get(weighting, 0.0)
    known = np.where(np.isfinite(loud_db), loud_db + weights, -np.inf)
    return value - float(10.0 * np.log10(np.sum(10.0 ** (known / 10.0))))


def _missing(quiet_db: Array, background_db: Array | None, rule: NDArray[np.intp]) -> float | None:
    """How much louder [dB] the noise must be to stand 10 dB clear in the usual band, in steps of 5 dB, where
    most of those from 100 to 3150 Hz drown; None where they do not."""
    drowned = decays.CORE & (rule == rules.LIMIT) & np.isfinite(quiet_db)
    if background_db is None or drowned.sum() <= decays.CORE.sum() / 2:
        return None
    above = np.maximum(quiet_db - background_db, 0.4)[drowned]  # less says no more than "at least 20 dB"
    short = rules.CLEAR_DB - 10.0 * np.log10(10.0 ** (above / 10.0) - 1.0)
    return float(5.0 * np.ceil(np.median(short) / 5.0))


def _assumed(
    setup: Setup, rule: NDArray[np.intp], basis: tuple[str, ...], *, still: bool, missing_db: float | None
) -> list[str]:
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
            "better. Record 30 s in the quiet room with the noise off and give it as background"
        )
    if missing_db is not None:
        notes.append(
            f"most bands are lower limits: play some {missing_db:.0f} dB louder (10 dB is about twice as "
            "loud; above 85 dBA with ear defenders), in a quieter hour, or play sweeps (music)"
        )
    if "assumed" in basis:
        notes.append(
            f"no decay was recorded: a reverberation time of {ASSUMED_TIME:g} s is assumed in the quiet "
            "room, as "
            "furnished rooms of dwellings have it. Clap hard or burst a balloon there and give it as decay"
        )
    carried = np.array([b == "carried on" for b in basis])
    if carried.any():
        notes.append(f"the reverberation time at {bands(carried)} is carried on from the bands beside")
    if setup.facade:
        notes.append("the outdoor microphone is taken to have stood 2 m before the facade (ISO 16283-3)")
    return notes


def _cautions(result: Measured) -> tuple[Caution, ...]:
    """Those of a measurement; with a calibrated level also how long ears may stay with the noise."""
    loud = -np.inf
    if result.calibrated and not result.setup.facade:
        loud = float(dba(np.where(np.isfinite(result.loud_db), result.loud_db, -np.inf)))
    facade = result.setup.facade
    return raised(Facts(loudest_dba=loud, test_noise=not facade, burst=True, on_facade=facade))
