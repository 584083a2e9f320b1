"""How quiet is it here, and what breaks in? Background and events of an hour or a night of recording."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, octave_levels
from isolate.describe import wav as sound
from isolate.describe.hours import time_of_day
from isolate.describe.stated import Stated
from isolate.errors import InputError
from isolate.measuring import checks
from isolate.measuring.checks import SPOILT, Finding
from isolate.measuring.events import Event, Group, background_course, find, grouped
from isolate.measuring.recording import FRAMES_A_SECOND, SILENT_POWER, Recording, decibels, listen, liveliest
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.standards.criteria import nc
from isolate.standards.weighting import A_WEIGHTING, C_WEIGHTING
from isolate.units import parse

LONGEST = 86_400.0
"""Of longer recordings the first 24 hours are read, so that memory stays bounded [s]."""

PLACES = {"inside": 0.0, "open": 3.0, "near facade": 0.0, "on facade": -3.0}
"""Where the microphone was, and what takes its level to that 2 m before the facade [dB], which room files
state: the reflection adds 3 dB there and 6 dB flush on it (ISO 12354-3, ASTM E966; from memory)."""

_LOUD_EVENT_DB, _BREATHES_DB = 15.0, 3.0  # rise of events that move a gain, and how far it must move
_NC_BANDS = slice(3, 24)  # 50 Hz to 5 kHz: the octaves 63 Hz to 4 kHz that decide, 8 kHz hardly ever does
_COLUMNS = 900  # of the picture
_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,2}):(\d{2})")


@dataclass(frozen=True, repr=False)
class Survey(Answer):
    """`level_db` names ("Leq", "L10", "L50", "L90") to third-octave levels (27,), NaN where the recording
    holds no band; `quiet_db` (27,) the mean of the quietest fifth of its seconds; `dba` levels A-weighted;
    `course_dba` and `low_dba` (columns,) and `picture_db` (columns, 27) over time, columns
    `column` [s] wide; `start` [s] since midnight or None."""

    name: str
    length: float
    place: str
    calibration: str
    start: float | None
    rise_db: float
    level_db: dict[str, Array]
    quiet_db: Array
    dba: dict[str, float]
    events: tuple[Event, ...]
    groups: tuple[Group, ...]
    column: float
    course_dba: Array
    low_dba: Array
    picture_db: Array
    findings: tuple[Finding, ...]
    notes: tuple[str, ...]

    @property
    def calibrated(self) -> bool:
        """Whether levels are sound pressure levels, not only relative to full scale."""
        return bool(self.calibration)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Those of leaving a recorder to run, indoors or out."""
        return raised(Facts(recorder=True, on_facade=self.place != "inside"))

    @property
    def per_hour(self) -> float:
        """Events an hour."""
        return len(self.events) / self.length * 3600.0

    @property
    def nc(self) -> float | None:
        """NC of the background; None without calibration or with bands missing."""
        low = self.quiet_db
        if not self.calibrated or np.isnan(low[_NC_BANDS]).any():
            return None
        return float(nc(np.nan_to_num(low, nan=-100.0)))

    def outside_db(self, level_db: Array) -> Array:
        """Levels as a room file states them, 2 m before the facade [dB]."""
        return level_db + PLACES[self.place]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        body = {
            "level_reference": "20 uPa" if self.calibrated else "full scale",
            "bands_hz": THIRD_OCTAVES, "levels_db": self.level_db, "quiet_db": self.quiet_db, "dba": self.dba,
            "nc": self.nc,
            "octave": {"bands_hz": OCTAVES, **{k: octave_levels(v) for k, v in self.level_db.items()}},
            "events_per_hour": self.per_hour, "events": [event.to_dict() for event in self.events],
            "kinds": [
                {"kind": g.kind, "about": g.about, "count": len(g.events), "level_db": g.level_db,
                 "spread_db": g.spread_db, "length_s": g.length} for g in self.groups
            ],
            "findings": [finding.to_dict() for finding in self.findings], "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }  # fmt: skip
        inputs = {
            "recording": self.name, "length_s": self.length, "place": self.place,
            "calibration": self.calibration or None, "start_s": self.start, "rise_db": self.rise_db,
        }  # fmt: skip
        return headed("survey", inputs, body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row an event."""
        bands = [f"max_{band:g}_hz_db" for band in THIRD_OCTAVES]
        rows = [[e.start, e.length, e.kind, e.max_dba, e.excess_db, *e.max_db.tolist()] for e in self.events]
        return ["start_s", "length_s", "kind", "max_dba", "excess_db", *bands], rows


def survey(
    path: Path, *, level: str | None = None, at: str | None = None, reference: Path | None = None,
    place: str = "inside", start: str | None = None, rise: str = "10 dB",
    progress: Callable[[float], None] | None = None,
) -> Survey:  # fmt: skip
    """Answer: how quiet is it, and what breaks in?

    Parameters
    ----------
    path : the recording.
    level : stated level, "62 dBA", of the passage `at` ("0:10:00 - 0:10:30") or of the file `reference`.
    place : where the microphone was, a key of `PLACES`.
    start : time of day it began, "22:30".
    rise : how far an event rises above the background in some octave.

    Raises
    ------
    InputError
        What was asked for contradicts itself, or the file cannot be used.

    Examples
    --------
    A minute of hiss with a second of it 20 dB louder:

    >>> import tempfile
    >>> import numpy as np
    >>> import isolate
    >>> from isolate.describe import wav
    >>> sound = 1e-3 * np.random.default_rng(1).standard_normal(60 * 16_000)
    >>> sound[30 * 16_000 : 31 * 16_000] *= 10
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder) / "night.wav"
    ...     _ = path.write_bytes(wav.encode(sound, rate=16_000))
    ...     events = isolate.survey(path).events
    >>> [round(event.start) for event in events]
    [30]
    """
    stated, passage, began, rise_db = _request(level, at, reference, place, start, rise)
    wav = sound.inspect(path)
    channel = liveliest(wav) if wav.channels > 1 else 0
    recording = listen(path, channel=channel, longest=LONGEST, progress=progress)
    notes = [*recording.notes]
    if wav.channels > 1:
        notes.append(f"channel {channel + 1} of {wav.channels}, the one with most sound in it, was used")
    shift, how = _calibration(recording, stated, passage, reference)
    if not how:
        notes.append(
            "without a stated level all levels are relative to full scale: differences and counts hold, "
            "verdicts "
            "on how quiet it is do not. Read a meter during one passage and state level and at"
        )
    elif reference is not None and sound.inspect(reference).bits != wav.bits:
        notes.append("the reference has another depth than the recording: same recorder, same gain is taken")
    power = _sounding(recording.power, notes) * 10.0 ** (shift / 10.0)
    if how and not recording.usable[_NC_BANDS.stop :].all():
        notes.append("the recording holds no 8 kHz octave: NC, where told, is of the octaves up to 4 kHz")
    events, _ = find(power, recording.usable, rise_db=rise_db)
    levels = _statistics(power, recording)
    weighted = power[:, recording.usable] @ 10.0 ** (A_WEIGHTING[recording.usable] / 10.0)
    column, course, low, picture = _columns(power, weighted)
    return Survey(
        name=str(path), length=len(power) / FRAMES_A_SECOND, place=place, calibration=how, start=began,
        rise_db=rise_db, level_db=levels, quiet_db=_quiet(power, weighted, recording),
        dba=_exceeded(decibels(weighted)), events=tuple(events),
        groups=grouped(events), column=column, course_dba=course, low_dba=low,
        picture_db=np.where(recording.usable, picture, np.nan),
        findings=(*checks.of_one(recording, "survey", steady=False), *_breathing(recording, events)),
        notes=tuple(notes),
    )  # fmt: skip


def _sounding(power: Array, notes: list[str]) -> Array:
    """Mean squares with digital silence replaced by the quiet that was recorded: no room is that quiet."""
    silent = power.sum(axis=1) < SILENT_POWER
    if not silent.any():
        return power
    notes.append(
        f"{100 * silent.mean():.0f} % of the recording is digital silence, a gate or pauses, and counts for "
        "nothing: levels are those of the rest"
    )
    return np.where(silent[:, None], np.percentile(power[~silent], 10.0, axis=0), power)


def _breathing(recording: Recording, events: Sequence[Event]) -> list[Finding]:
    """Automatic gain: after a loud event the background lies lower than before it, in all bands alike."""
    count, second = len(recording.power), FRAMES_A_SECOND
    falls = []
    for number, event in enumerate(events):
        start, end = (round(t * second) for t in (event.start, event.start + event.length))
        before = round((events[number - 1].start + events[number - 1].length) * second) if number else 0
        after = round(events[number + 1].start * second) if number + 1 < len(events) else count
        if event.excess_db < _LOUD_EVENT_DB or start - before < 8 * second or after - end < 3 * second:
            continue
        runs = (slice(start - 4 * second, start - second // 2), slice(end + 2, end + 2 * second))
        was, now = (np.median(decibels(recording.power[run]), axis=0)[recording.usable] for run in runs)
        falls.append(was - now)
    if len(falls) < 2:
        return []
    by_band = np.median(falls, axis=0)
    usual = float(np.median(by_band))
    if usual < _BREATHES_DB or float(np.mean(by_band > usual / 2.0)) < 0.8:
        return []
    return [Finding(
        "automatic gain", SPOILT, recording.name,
        f"has a background that lies {usual:.0f} dB lower after loud events than before them, in all bands "
        "alike: automatic gain, so that neither levels nor what stands out are true",
        "switch automatic gain off, set the gain by hand, and record again",
    )]  # fmt: skip


def _began(text: str) -> float:
    """Time of day in seconds, which a recorder's file may tell to the second."""
    return 3600.0 * time_of_day(text) if text.count(":") < 2 else seconds(text) % 86_400.0


def seconds(text: str) -> float:
    """ "1:20" or "0:01:20" in seconds.

    >>> seconds("1:02:03")
    3723.0
    """
    match = _CLOCK.fullmatch(text.strip())
    if match is None or int(match[3]) > 59 or (match[1] and int(match[2]) > 59):
        raise ValueError(f'not a time (got "{text}"); write minutes and seconds, "1:20", or "0:01:20"')
    return 3600.0 * int(match[1] or 0) + 60.0 * int(match[2]) + int(match[3])


def _request(
    level: str | None, at: str | None, reference: Path | None, place: str, start: str | None, rise: str
) -> tuple[tuple[float, str] | None, tuple[float, float] | None, float | None, float]:
    options = Stated()
    stated = options.read("level", level, lambda text: parse(text, "level"))
    passage = options.read("at", at, _passage)
    began = options.read("start", start, _began)
    rise_db = options.read("rise", rise, lambda text: parse(text, "decibel"))
    if place not in PLACES:
        options.fault("place", f'unknown (got "{place}"); write one of {", ".join(PLACES)}')
    if rise_db is not None and not 3.0 <= rise_db <= 60.0:
        options.fault("rise", f'out of range (got "{rise}"); write "3 dB" to "60 dB"')
    if at is not None and reference is not None:
        options.fault("at", "says the same as reference (got both); give one of them")
    if level is None and (at is not None or reference is not None):
        options.fault("level", "missing; state the level of that passage or reference")
    if level is not None and at is None and reference is None:
        options.fault("level", "says not when it holds; give at, its passage, or reference, a recording")
    options.stop()
    assert rise_db is not None
    return stated, passage, began, rise_db


def _passage(text: str) -> tuple[float, float]:
    ends = re.split(r"\s*[-–]\s*", text.strip())
    if len(ends) != 2:
        raise ValueError(f'not a passage (got "{text}"); write its start and end, "0:10:00 - 0:10:30"')
    first, last = (seconds(end) for end in ends)
    if last <= first:
        raise ValueError(f'ends before it starts (got "{text}"); write start - end')
    return first, last


def _calibration(
    recording: Recording, stated: tuple[float, str] | None, passage: tuple[float, float] | None,
    reference: Path | None,
) -> tuple[float, str]:  # fmt: skip
    """What turns dB re full scale into sound pressure level, and how it is known ("": it is not)."""
    if stated is None:
        return 0.0, ""
    value, weighting = stated
    if reference is not None:
        power, which = listen(reference).power, f"the file {reference}"
    else:
        assert passage is not None
        first, last = (round(edge * FRAMES_A_SECOND) for edge in passage)
        if last > len(recording.power):
            raise InputError(
                f"at: lies beyond the end of the recording ({len(recording.power) / FRAMES_A_SECOND:.0f} s)"
                "; write a passage inside it"
            )
        power, which = recording.power[first:last], "the passage given"
    weights = {"A": A_WEIGHTING, "C": C_WEIGHTING}.get(weighting, np.zeros(THIRD_OCTAVES.size))
    now = float(
        decibels(np.sum(power.mean(axis=0)[recording.usable] * 10.0 ** (weights[recording.usable] / 10.0)))
    )
    unit = f"dB{weighting}" if weighting != "Z" else "dB"
    return value - now, f"{value:g} {unit} stated for {which}"


def _exceeded(level_db: Array) -> dict[str, Any]:
    """Leq and the levels exceeded 10, 50 and 90 % of the time, along the first axis."""
    energy = decibels(np.mean(10.0 ** (level_db / 10.0), axis=0))
    l90, l50, l10 = np.percentile(level_db, [10.0, 50.0, 90.0], axis=0)
    found = {"Leq": energy, "L10": l10, "L50": l50, "L90": l90}
    return {name: float(value) if np.ndim(value) == 0 else value for name, value in found.items()}


def _statistics(power: Array, recording: Recording) -> dict[str, Array]:
    levels = _exceeded(decibels(power))
    return {name: np.where(recording.usable, value, np.nan) for name, value in levels.items()}


def _quiet(power: Array, weighted: Array, recording: Recording) -> Array:
    """Mean levels [dB] (27,) of the fifth of all seconds that is quietest in dBA, whose middle is L90.

    Bands' own L90 would not do as a spectrum: in 1/8 s a narrow band of steady noise has few independent
    values (2 B T), and its quietest tenth lies below its mean, 7 dB at 25 Hz, though no room is that quiet.
    """
    whole = max(len(power) // FRAMES_A_SECOND, 1)
    stretches = np.array_split(np.arange(len(power)), whole)
    loudness = np.array([weighted[one].mean() for one in stretches])
    quietest = np.argsort(loudness)[: max(whole // 5, 1)]
    mean = np.mean([power[stretches[i]].mean(axis=0) for i in quietest], axis=0)
    return np.where(recording.usable, decibels(mean), np.nan)


def _columns(power: Array, weighted: Array) -> tuple[float, Array, Array, Array]:
    """Width of a column [s]; highest dBA, background dBA and mean band levels of each."""
    count = min(_COLUMNS, max(len(power) // FRAMES_A_SECOND, 1))
    starts = np.linspace(0, len(power), count + 1).astype(int)
    dba = decibels(weighted)
    low = background_course(dba[:, None])[(starts[:-1] + starts[1:]) // 2, 0]
    sums = np.add.reduceat(power, starts[:-1], axis=0)
    picture = decibels(sums / np.diff(starts)[:, None])
    return len(power) / FRAMES_A_SECOND / count, np.maximum.reduceat(dba, starts[:-1]), low, picture
