"""What was measured as blocks of description files: noises, a background, a construction with [measured]."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.words import listed
from isolate.errors import IsolateError
from isolate.measuring.isolation import Measurement
from isolate.measuring.model import Compared
from isolate.measuring.survey import Group, Survey
from isolate.standards.field import LIMIT


def numbers(values: Iterable[float]) -> str:
    """Numbers as a TOML list, to a tenth."""
    return "[" + ", ".join(f"{value:.1f}".removesuffix(".0") for value in values) + "]"


def quoted(text: str) -> str:
    """Text as a TOML string."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _bands(level_db: Array, key: str) -> list[str]:
    known = np.isfinite(level_db)
    return [f"bands_hz = {numbers(THIRD_OCTAVES[known])}", f"{key} = {numbers(level_db[known])}"]


def _freed(group: Group, background_db: Array) -> Array:
    """Levels of events without the background in them [dB]; a tenth of it stays where they drown in it."""
    with np.errstate(invalid="ignore"):
        over = 10.0 ** (group.level_db / 10.0) - 10.0 ** (background_db / 10.0)
        return np.asarray(10.0 * np.log10(np.maximum(over, 10.0 ** (background_db / 10.0 - 1.0))))


def survey_blocks(found: Survey) -> str:
    """Blocks for a room file: the background (recorded inside) or the noises (recorded outdoors)."""
    level = found.calibration or "no stated level: levels are relative to full scale, complete them"
    lines = [f"# From {quoted(found.name)}, {found.length / 3600:.2f} h, {found.place}; {level}.", ""]
    if found.place == "inside":
        lines += _background(found)
    else:
        for group in found.groups:
            lines += _noise(found, group)
    return "\n".join(lines).rstrip() + "\n"


def _background(found: Survey) -> list[str]:
    if not found.calibrated:
        raise IsolateError(
            "--blocks: a background needs sound pressure levels, and this survey has none; state the level "
            "of one "
            "passage with --level and --at"
        )
    return [
        "# The background inside, in the quietest fifth of the time: put these lines below [room] of your",
        "# room file, in place of background = ... (noises come from a survey recorded outdoors: --place).",
        "[room]",
        *_bands(found.quiet_db, "level_db"),
    ]


def _noise(found: Survey, group: Group) -> list[str]:
    per_day = len(group.events) / found.length * 86_400.0
    lines = [
        f"# {len(group.events)} events, {group.about}; loudest second, as it arrives at the facade",
        "[[noise]]",
        f"name = {quoted(f'{group.kind} sounds heard')}",
        'faces = "street"',
        *_bands(found.outside_db(_freed(group, found.level_db["L50"])), "level_db"),
        f'duration = "{max(group.length, 0.5):.1f} s"',
        f"per_day = {per_day:.0f}",
        f'spread = "{min(max(group.spread_db, 1.0), 15.0):.1f} dB"',
    ]
    if not found.calibrated:
        lines.append('level = "?"  # complete: how loud it is outdoors, such as "72 dBA"')
    return [*lines, ""]


def measured_block(result: Measurement) -> str:
    """A construction file that holds the measured curve, to be named in a room file.

    Measured against a room file, it is R' of the sides there. Bands that background noise hides hold the
    lower limit, and a comment says so.
    """
    model = result.model
    curve = result.curve_db if model is None else model.measured_db
    name = result.curve_name if model is None else "R'"
    known = np.isfinite(curve)
    hidden = known & (result.rule == LIMIT)
    files = ", ".join(Path(file).name for files in result.names.values() for file in files)
    source = f"own measurement, {name}, {files}"[:300]
    lines = [
        "# Written by isolate measure. Name this file as a side's construction in a room file beside it.",
        f"# {name} as measured; its range, 5 to 95 %, is some "
        f"{1.645 * float(np.median(result.u_db[known])):.0f} dB either way, more in the bass.",
        *_stands_for(model),
    ]
    if name != "R'":
        lines.append(
            "# Without volume and area this is the level difference, not R': measure with --volume, --area."
        )
    if hidden.any():
        lines.append(f"# Lower limits, hidden by the background: {numbers(THIRD_OCTAVES[hidden])} Hz.")
    lines += ['title = "As measured"', _kind(model), "", "[measured]"]
    lines += [f"source = {quoted(source)}", 'basis = "own"', *_bands(np.clip(curve, -10.0, 150.0), "tl_db")]
    return "\n".join(lines) + "\n"


def _stands_for(model: Compared | None) -> list[str]:
    """What of the room file the curve replaces, so that nothing is counted twice."""
    if model is None:
        return ["# Gaps and vents are in it: give the side that has it none."]
    if len(model.sides) == 1:
        return [f"# It is {quoted(model.sides[0])} with its gaps and vents: take those out of that side."]
    return [
        f"# It is {listed([quoted(side) for side in model.sides])} together, gaps and vents included: put",
        f'# one side with this construction and area = "{model.area:.2f} m2" in their place.',
    ]


def _kind(model: Compared | None) -> str:
    """The line that says what it is: as in the room file, or to be filled in."""
    kinds = set() if model is None else set(model.kinds)
    if len(kinds) == 1:
        return f'kind = "{kinds.pop()}"'
    return 'kind = "wall"  # or window, door, ceiling, floor, roof: cautions and usual seals follow from it'
