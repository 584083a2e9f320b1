"""Sounds of a room: noises outside, what is played inside, backgrounds, and who hears it."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

from isolate import units
from isolate.describe import impacts, noises
from isolate.describe.everyday import ANYWHERE, Where
from isolate.describe.hours import ALWAYS, Hours, hours
from isolate.describe.noises import NoiseSpectrum
from isolate.describe.reading import Table, flag, label, number, quantity, text
from isolate.describe.room_parts import Background, Noise, Own
from isolate.errors import shown
from isolate.units import show_length, show_time

# What is taken when a file does not say (a quiet room at night; common practice, no source).
USUAL_BACKGROUND = Background("A", 25.0)
_CURVE = re.compile(r"(NC|NR)[\s-]*(\d+(?:\.\d+)?)", re.IGNORECASE)
_BACKGROUND_RANGE = {"NC": (10.0, 70.0), "NR": (0.0, 100.0), "A": (0.0, 90.0), "C": (0.0, 110.0)}


def background(value: object) -> Background:
    """Converter: "NC 20", "NR 15" or "24 dBA"."""
    instead = 'write one such as "NC 20", "NR 15" or "24 dBA"'
    match = _CURVE.fullmatch(text(value))
    if match:
        kind, level = match[1].upper(), float(match[2])
    else:
        try:
            level, kind = units.parse(value, "level")
        except ValueError:
            kind, level = "", math.nan
    if kind not in _BACKGROUND_RANGE:
        raise ValueError(f"not a background (got {shown(value)}); {instead}")
    least, most = _BACKGROUND_RANGE[kind]
    if not least <= level <= most:
        raise ValueError(f"out of range, {least:g} to {most:g} (got {shown(value)}); {instead}")
    return Background(kind, level)


def background_of(table: Table, notes: list[str], whose: str) -> Background:
    """The background a table states in words or by band, or the usual one with a note."""
    by_band = noises.bands_of(table)
    stated = table.get("background", background)
    if "background" in table and "bands_hz" in table:
        table.fault("background", "given beside bands_hz; write one of them")
    if by_band is not None:
        return Background("bands", level_db=by_band)
    if "background" not in table and "bands_hz" not in table:
        notes.append(f"{whose}: no background stated, {USUAL_BACKGROUND.value:g} dBA taken")
    return stated or USUAL_BACKGROUND


def backgrounds_of(table: Table) -> dict[str, Background]:
    """The backgrounds stated for "day" and "night"."""
    stated = {when: table.get(f"background_{when}", background) for when in ("night", "day")}
    return {when: one for when, one in stated.items() if one is not None}


def _spectrum(
    table: Table, beside: Path, name: str, *, part: str = "own", where: Where = ANYWHERE
) -> NoiseSpectrum | None:
    """The spectrum of a noise or own sound: a source by name or everyday word, or its bands here."""
    named = table.get("source", lambda value: noises.resolve(label(value), beside, part=part, where=where))
    here = noises.bands_of(table)
    spread = noises.spread(table)
    if ("source" in table) == ("bands_hz" in table or "level_db" in table):
        table.fault("source", "missing, or given beside bands_hz; write a source or bands_hz and level_db")
        return None
    if here is not None:
        return NoiseSpectrum(name, name, here, "stated in the room's file", "own", spread_db=spread)
    if named is not None and "spread" in table:
        return replace(named, spread_db=spread)
    return named


def _name_or_source(table: Table, what: str) -> str:
    default = table.data.get("source")
    if "name" in table or not isinstance(default, str):
        return table.need("name", label, "", f"name the {what}")
    table.get("name", label)
    return default


def read_noise(table: Table, beside: Path, notes: list[str], where: Where = ANYWHERE) -> Noise | None:
    """``[[noise]]``; None when at fault."""
    if impacts.steps(table.data.get("source")):
        return _footsteps(table, notes)
    name = _name_or_source(table, "noise")
    faces = table.need("faces", label, "", "write the word its sides name")
    spectrum = _spectrum(table, beside, name, part="noise", where=where)
    level = table.get("level", noises.level)
    at = table.get("at", quantity("length", 0.01))
    distance = table.get("distance", quantity("length", 0.01))
    duration = table.get("duration", quantity("time", most=noises.DAY_SECONDS))
    per_day = table.get("per_day", number(0.0, noises.DAY_SECONDS))
    indoors = table.get("indoors", flag) or False
    shielding = table.get("shielding", quantity("decibel", 0.0, 60.0)) or 0.0
    also = _also(table)
    like = table.get("sounds_like", lambda value: noises.resolve(label(value), None, where=where).name)
    when = table.get("hours", hours)
    if "at" in table and ("distance" not in table or "level" not in table):
        table.fault("at", "says where level holds; write level, at and distance (to the facade) together")
    elif "distance" in table and "at" not in table:
        if "level" in table:
            told = "says nothing of a level at the facade"
            table.fault("distance", f'{told}; write at = "1 m" too, where it holds')
        elif spectrum is not None and spectrum.distance is None:
            table.fault("distance", "this source has no distance of its own; write level and at too")
    if spectrum is None or not name:
        return None
    if spectrum.meant is not None and name:
        notes.append(f"{name}: {spectrum.meant.note}")
    if "level" not in table and "distance" not in table:
        spectrum = noises.at_its_word(spectrum)
        own = f", {spectrum.level.value:g} dB{spectrum.level.weighting}," if spectrum.level else ""
        place = f" as it is {show_length(spectrum.distance)} from it" if spectrum.distance else ""
        notes.append(f"{name}: no level stated, that of {spectrum.name}{own}{place} taken at the facade")
    duration = spectrum.duration if duration is None else duration
    per_day = spectrum.per_day if per_day is None else per_day
    _fits_in_day(table, duration, per_day, when)
    return Noise(
        name, faces, spectrum, level, at, distance,
        duration=duration,
        per_day=per_day,
        indoors=indoors,
        shielding_db=shielding,
        also=also,
        hours=when,
        sounds_like=like,
    )  # fmt: skip


def _footsteps(table: Table, notes: list[str]) -> Noise | None:
    """Footsteps on the floor above: how loud follows from who walks and from the floor."""
    name, source = _name_or_source(table, "noise"), table.get("source", label)
    faces = table.need("faces", label, "", "write the word its sides name")
    for key in ("level", "at", "distance", "indoors", "shielding", "also", "bands_hz", "level_db",
                "sounds_like"):  # fmt: skip
        if key in table:
            table.get(key, lambda value: value)
            table.fault(key, 'says nothing of footsteps; write kind = "barefoot", "shoes" or "children"')
    usual = impacts.steps(source) or ""
    one = table.get("kind", impacts.of_kind) if "kind" in table else impacts.find(usual)
    duration = table.get("duration", quantity("time", most=noises.DAY_SECONDS))
    per_day = table.get("per_day", number(0.0, noises.DAY_SECONDS))
    when = table.get("hours", hours)
    _fits_in_day(table, duration, per_day, when)
    if one is None or not name:
        return None
    if "kind" not in table:
        notes.append(f"{name}: {one.title} taken; kind says who walks")
    spectrum = NoiseSpectrum(
        one.name, one.title, noises.SILENT, one.source, "memory", spread_db=one.spread_db
    )
    return Noise(
        name, faces, spectrum, duration=duration, per_day=per_day, indoors=True, hours=when, impact=one
    )


def _fits_in_day(table: Table, duration: float | None, per_day: float | None, when: Hours | None) -> None:
    """A fault where the events of a day last longer than there is of the day."""
    there = (when or ALWAYS).length
    if duration and per_day and per_day * duration > there * 3600.0 * 1.001:
        table.fault(
            "per_day" if "per_day" in table else "duration",
            f"{per_day:g} a day of {show_time(duration)} each are {show_time(per_day * duration)}, more than "
            f"the {there:.3g} h they come in; write fewer or shorter ones, or neither where it never stops",
        )


def _also(table: Table) -> dict[str, float]:
    """Other words of sides the noise reaches, each with how much weaker it is there [dB]."""
    weaker = table.table("also")
    if weaker is None:
        return {}
    found = {word: weaker.get(word, quantity("decibel", 0.0, 60.0)) for word in weaker.data}
    return {word: less for word, less in found.items() if less is not None}


def read_own(table: Table, beside: Path) -> Own | None:
    """``[[own]]``; None when at fault."""
    name = _name_or_source(table, "sound")
    spectrum = _spectrum(table, beside, name)
    level = table.get("level", noises.level)
    into = table.get("floor", impacts.listed)
    when, mass = table.get("hours", hours), table.get("mass", quantity("mass", 1.0, 5000.0))
    if not spectrum or not name:
        return None
    spectrum = spectrum if level else noises.at_its_word(spectrum)
    return Own(name, spectrum, level, spectrum.floor if into is None else into, when, mass)


def own_of(table: Table, beside: Path) -> Own | None:
    """A sound stated in another table by source or bands, as it stands; None when at fault."""
    name = _name_or_source(table, "sound")
    spectrum = _spectrum(table, beside, name)
    return Own(name, spectrum) if spectrum and name else None
