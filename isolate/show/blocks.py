"""What was measured as blocks of description files: noises, a background, a construction with [measured]."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from isolate.answers.measure.answer import Measurement
from isolate.answers.survey.answer import Group, Survey
from isolate.bands import THIRD_OCTAVES, Array
from isolate.errors import IsolateError
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
        "# The background inside, exceeded 90 % of the time: put these lines below [room] of your room file,",
        "# in place of background = ... (noises come from a survey recorded outdoors: --place).",
        "[room]",
        *_bands(found.level_db["L90"], "level_db"),
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

    Bands that background noise hides hold the lower limit, and a comment says so.
    """
    curve = result.curve_db
    known = np.isfinite(curve)
    hidden = known & (result.rule == LIMIT)
    kind = "window" if result.setup.facade else "wall"
    files = ", ".join(name for names in result.names.values() for name in names)
    lines = [
        "# Written by isolate measure. Name this file as a side's construction in a room file beside it.",
        f"# {result.curve_name} as measured; its 5 and 95 % limits are some "
        f"{1.645 * float(np.median(result.u_db[known])):.0f} dB away, more in the bass.",
    ]
    if result.reduction_db is None:
        lines.append(
            "# Without volume and area this is the level difference, not R': measure with --volume and "
            "--area."
        )
    if hidden.any():
        lines.append(f"# Lower limits, hidden by the background: {numbers(THIRD_OCTAVES[hidden])} Hz.")
    source = f"own measurement, {result.curve_name}, {files}"[:300]
    lines += [f"title = {quoted('As measured')}", f'kind = "{kind}"', "", "[measured]"]
    lines += [f"source = {quoted(source)}", 'basis = "own"', *_bands(curve, "tl_db")]
    best = result.rating("R'w", "DnT,w", "D2m,nT,w")
    if best is not None and best.name == "R'w":
        lines.append(f"rw = {best.value}")
    return "\n".join(lines) + "\n"
