"""The request for a measurement as it comes from the command line, made into an answer."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.reading import read_text
from isolate.describe.stated import Stated
from isolate.describe.wav import SUFFIXES
from isolate.errors import InputError
from isolate.measuring import change, model
from isolate.measuring.checks import Finding
from isolate.measuring.isolation import Measurement, measure, told
from isolate.measuring.measured import Files, Setup
from isolate.measuring.recording import listen, steadied
from isolate.standards.field import CLEAR, LIMIT
from isolate.standards.third_octave import WIDTH
from isolate.units import is_size, parse

_LATER = ("volume", "loud_volume", "area")  # what may still be stated for a saved measurement
_FIXED = ("quiet_gain", "background_gain", "same_sound", "time", "level", "facade", "music")
_ROLES = (
    "loud", "quiet", "background", "loud_background", "decay", "loud_corner", "quiet_corner",
    "background_corner",
)  # fmt: skip

_NEEDED = ("loud_db", "quiet_db", "difference_db", "reverberation_s", "u_db", "repeat_db", "at_least")
_INSTEAD = "write it with isolate measure ... --json --out FILE"


def answer(
    *, saved: Path | None, against: Path | None, room: str | None, through: str | None, **given: Any,
) -> Measurement:  # fmt: skip
    """The measurement asked for, compared where that was asked for too.

    Raises
    ------
    InputError
        All faults of the request together, or those of the files.
    """
    files = Files(**{role: tuple(given.pop(role)) for role in _ROLES})
    options = Stated()
    _wanting(options, files, saved, room, through)
    if saved is not None:
        for key in _FIXED:
            if given[key]:
                options.fault(key, "goes with recordings, not with a saved measurement; measure again")
    setup = _setup(options, given)
    options.stop()
    result = _again(saved, setup) if saved else measure(files, setup)
    if against is not None:
        name = str(against)
        result = replace(result, change=change.changed(load(against), result, name=name))
    if room is not None:
        result = replace(result, model=model.compared(result, room, through=through))
    return result


def _again(saved: Path, stated: Setup) -> Measurement:
    """A saved measurement, with the volume and area stated now where they are."""
    loaded = load(saved)
    now = {key: value for key in _LATER if (value := getattr(stated, key)) is not None}
    return told(replace(loaded, setup=replace(loaded.setup, **now))) if now else loaded


def _wanting(
    options: Stated, files: Files, saved: Path | None, room: str | None, through: str | None
) -> None:
    """What is missing, or given twice."""
    if saved is None:
        for role in ("loud", "quiet"):
            if not getattr(files, role):
                options.fault(role, "missing; give a WAV file")
    elif any(vars(files).values()):
        options.fault("saved", "a measurement replaces the recordings (got both); give one or the other")
    if room is None and through is not None:
        options.fault("through", "of which room? Give room too")


def _volume(text: str) -> float:
    if is_size(text):
        return float(np.prod(parse(text, "box")))
    return parse(text, "volume")


def _setup(options: Stated, given: dict[str, Any]) -> Setup:
    """The stated quantities."""

    def read(key: str, quantity: Any) -> Any:
        convert = _volume if quantity == "volume" else lambda text: parse(text, quantity)
        return options.read(key, given[key], convert)

    def within(key: str, quantity: Any, least: float, most: float, unit: str) -> float | None:
        value = read(key, quantity)
        if value is not None and not least <= value <= most:
            got = f'(got "{given[key]}"); write "{least:g} {unit}" to "{most:g} {unit}"'
            options.fault(key, f"out of range {got}")
        return value

    pair = given["same_sound"]
    stated = within("quiet_gain", "decibel", -80.0, 80.0, "dB")
    if pair is not None and given["quiet_gain"] is not None:
        options.fault("same_sound", "says the same as quiet_gain (got both); give one of them")
    gain = stated or 0.0
    if pair is not None and not options.faults:
        gain = _gain_between(*pair)
    return Setup(
        quiet_gain_db=gain, background_gain_db=within("background_gain", "decibel", -80.0, 80.0, "dB"),
        volume=read("volume", "volume"), loud_volume=read("loud_volume", "volume"), area=read("area", "area"),
        facade=given["facade"], music=given["music"], time=within("time", "time", 0.05, 20.0, "s"),
        level=read("level", "level"),
        gain_stated=stated is not None or pair is not None,
    )  # fmt: skip


def _gain_between(loud: Path, quiet: Path) -> float:
    """How much more gain [dB] one of two recordings of the same steady sound had, from the bands that stand
    out in it: the energy-weighted median over the third octaves."""
    first, second = (steadied(listen(path)).level_db for path in (loud, quiet))
    both = np.isfinite(first) & np.isfinite(second) & (WIDTH > 20.0)
    strongest = np.argsort(np.where(both, first, -np.inf))[-9:]
    difference = (second - first)[strongest]
    if np.ptp(difference) > 6.0:
        raise InputError(
            f"{quiet}: is not the same sound as {loud} (bands differ by {np.ptp(difference):.0f} dB); "
            "record one "
            "steady sound twice from the same place, only the gain changed"
        )
    return float(np.median(difference))


def load(path: Path) -> Measurement:
    """The measurement in a file written with ``--json``.

    Raises
    ------
    InputError
        A recording, no JSON, another answer's, or one whose bands are not 27.
    """
    if path.suffix.lower() in SUFFIXES:
        raise InputError(f"{path}: is a recording, not what was measured of it; {_INSTEAD}")
    try:
        data = json.loads(read_text(path))
    except (ValueError, RecursionError):
        raise InputError(f"{path}: is no JSON; {_INSTEAD}") from None
    if not isinstance(data, dict) or data.get("question") != "measure":
        raise InputError(f"{path}: is no measurement; {_INSTEAD}")
    arrays = {key: _array(data.get(key)) for key in _NEEDED}
    faults = [
        f"{path}: {key}: must have {THIRD_OCTAVES.size} values; {_INSTEAD}"
        for key, a in arrays.items()
        if a is None
    ]
    if faults:
        raise InputError(faults)
    try:
        return _measurement(data, {key: array for key, array in arrays.items() if array is not None})
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        raise InputError(f"{path}: {fault}: is damaged; {_INSTEAD}") from None


def _measurement(data: dict[str, Any], arrays: dict[str, Array]) -> Measurement:
    inputs = data["inputs"]
    level = inputs["stated_level"]
    setup = Setup(
        quiet_gain_db=float(inputs["quiet_gain_db"]), background_gain_db=inputs["background_gain_db"],
        volume=inputs["volume_m3"], loud_volume=inputs["loud_volume_m3"], area=inputs["area_m2"],
        facade=bool(inputs["facade"]), music=bool(inputs["music"]), time=inputs["stated_time_s"],
        level=None if level is None else parse(level, "level"),
    )  # fmt: skip
    grades = ("note", "doubt", "spoilt")
    findings = tuple(
        Finding(f["key"], grades.index(f["grave"]), f["file"], f["what"], f["again"])
        for f in data["findings"]
    )
    return told(Measurement(
        setup=setup,
        names={role: list(files) for role, files in inputs.items() if isinstance(files, list)},
        loud_db=arrays["loud_db"], quiet_db=arrays["quiet_db"], background_db=_array(data["background_db"]),
        rule=np.where(arrays["at_least"] > 0, LIMIT, CLEAR), difference_db=arrays["difference_db"],
        time=arrays["reverberation_s"], time_basis=tuple(map(str, data["reverberation_basis"])),
        u_db=arrays["u_db"], repeat_db=arrays["repeat_db"],
        calibrated=data["level_reference"] == "20 uPa", findings=findings,
        notes=tuple(map(str, data["notes"])),
    ))  # fmt: skip


def _array(value: object) -> Array | None:
    if not isinstance(value, list) or len(value) != THIRD_OCTAVES.size:
        return None
    try:
        return np.array([np.nan if item is None else float(item) for item in value])
    except (TypeError, ValueError):
        return None
