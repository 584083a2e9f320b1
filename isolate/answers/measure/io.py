"""A measurement read back from the JSON it was written as."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np

from isolate.answers.measure.answer import Measurement, told
from isolate.answers.measure.parts import Setup
from isolate.answers.recordings.checks import Finding
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.reading import read_text
from isolate.errors import InputError
from isolate.standards.field import CLEAR, LIMIT
from isolate.units import parse

_NEEDED = ("loud_db", "quiet_db", "difference_db", "reverberation_s", "u_db", "repeat_db", "at_least")
_INSTEAD = "write it with isolate measure ... --json --out FILE"


def load(path: Path) -> Measurement:
    """The measurement in a file written with ``--json``.

    Raises
    ------
    InputError
        No JSON, another answer's, or one whose bands are not 27.
    """
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
