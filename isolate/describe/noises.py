"""Noises: third-octave spectra with their level, the distance it holds at, and where it comes from.

A file in constructions/noises/ (or beside a room)::

    title    = "Ambulance siren, wail"
    source   = "..."            # required: where the spectrum comes from
    basis    = "memory"         # required: read | memory | own | demo
    bands_hz = [25, 31.5, ...]  # third octaves or octaves
    level_db = [40.0, 42.0, ...]
    level    = "96 dBA"         # optional: the spectrum is shifted to it; else it stands as it is
    distance = "10 m"           # optional: from the source, where this level holds
    spread   = "4 dB"           # optional: standard deviation from one event to the next, default 3 dB
    duration = "20 s"           # optional: of a typical event
    per_day  = 6                # optional: events a day
    floor    = ["kick pedal"]   # optional: what goes straight into the floor, of constructions/impacts.toml
    about    = "..."            # optional

    [by_hour]                   # optional: how much of it there is in each hour of a day
    share    = [1.2, 0.8, ...]  # 24 numbers, from midnight on
    source   = "..."            # required with it, as basis
    basis    = "memory"
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from isolate import units
from isolate.bands import Array
from isolate.describe import catalogue, everyday, impacts, spectra
from isolate.describe.everyday import ANYWHERE, Meaning, Where
from isolate.describe.impacts import Impact
from isolate.describe.reading import (
    Faults,
    Table,
    label,
    number,
    one_of,
    quantity,
    read_toml,
    text,
)
from isolate.errors import InputError, shown

FOLDERS = ("noises",)
BASES = ("read", "memory", "own", "demo")
USUAL_SPREAD_DB = 3.0
DAY_SECONDS = 86_400.0
HOURS = 24
SILENT = spectra.NOTHING


@dataclass(frozen=True)
class Level:
    """A stated level: `value` [dB] under `weighting` "A", "C" or "Z" (none)."""

    value: float
    weighting: str = "A"


@dataclass(frozen=True)
class NoiseSpectrum:
    """A noise: `level_db` (27,) third-octave levels [dB], shifted to `level` when that is not None, as they
    are `distance` [m] from the source (None: at no particular distance, e.g. reverberant in a room or at a
    facade). `spread_db`: standard deviation of its level from one event to the next [dB]. `duration` [s]
    and `per_day` of a typical event. `by_hour` (24,): its level in each hour, from midnight on, over that of
    the whole day [dB]; None where it is not known. `meant`: the everyday word it was read from."""

    name: str
    title: str
    level_db: Array
    source: str
    basis: str  # read | memory | own | demo
    level: Level | None = None
    distance: float | None = None
    spread_db: float = USUAL_SPREAD_DB
    duration: float | None = None
    per_day: float | None = None
    about: str = ""
    floor: tuple[Impact, ...] = ()
    by_hour: Array | None = None
    meant: Meaning | None = None

    @property
    def called(self) -> str:
        """What it was called by whoever asked: the everyday word it was read from, or its name."""
        return self.meant.word if self.meant else self.name


def level(value: object) -> Level:
    """Converter: a level with its weighting."""
    return Level(*units.parse(value, "level"))


def bands_of(table: Table) -> Array | None:
    """Levels (27,) [dB] from `bands_hz` and `level_db` of a table; None when missing or at fault."""
    stated = spectra.pair(table, "level_db", spectra.values(-100.0, 200.0))
    return None if stated is None else spectra.levels(*stated)


def load(name: str, *, beside: Path | None = None) -> NoiseSpectrum:
    """A noise by its name in the catalogue or a path ending in .toml (`beside`: as for constructions).

    Raises
    ------
    InputError
        No such noise, or every fault of its file.
    """
    try:
        return resolve(name, beside)
    except ValueError as fault:
        raise InputError(str(fault)) from None


def resolve(name: str, beside: Path | None, *, part: str = "noise", where: Where = ANYWHERE) -> NoiseSpectrum:
    """As `load`, but a name that means nothing raises ValueError, for a reader to say where it stood.

    part, where: a "noise" that comes in or one's "own", and where the house stands, for everyday words.
    """
    path = catalogue.locate(name, FOLDERS, "noise", beside)
    if path is None:
        meant = everyday.find(name, part=part, where=where)
        if meant is None:
            raise ValueError(f"no noise of this name (got {shown(name)}); {everyday.likely(name, part)}")
        if meant.refuse:
            raise ValueError(f"no noise to compute with (got {shown(name)}); {meant.refuse}")
        return replace(resolve(meant.means, None), meant=meant)
    return _bundled(path) if catalogue.find(name, FOLDERS) == path else read(path, name=name)


def at_its_word(noise: NoiseSpectrum) -> NoiseSpectrum:
    """A sound read from an everyday word at the level that people mean by it, where its list has one."""
    meant = noise.meant
    if meant is None or meant.level is None:
        return noise
    return replace(
        noise, level=level(meant.level), distance=units.parse(meant.at, "length") if meant.at else None
    )


@lru_cache(maxsize=128)
def _bundled(path: Path) -> NoiseSpectrum:
    return read(path, name=path.stem)


def read(path: Path, *, name: str) -> NoiseSpectrum:
    """The noise in a file; InputError with every fault of it."""
    faults = Faults(path)
    root = faults.root(read_toml(path))
    levels = bands_of(root)
    if "bands_hz" not in root and "level_db" not in root:
        root.fault("level_db", "missing; write bands_hz and level_db")
    source = root.need("source", text, "", "say where the spectrum comes from")
    basis = root.need("basis", one_of(BASES), "", f"write one of {', '.join(BASES)}")
    noise = NoiseSpectrum(
        name,
        root.get("title", label) or path.stem,
        SILENT if levels is None else levels,
        source,
        basis,
        level=root.get("level", level),
        distance=root.get("distance", quantity("length", 0.01)),
        spread_db=spread(root),
        duration=root.get("duration", quantity("time", most=DAY_SECONDS)),
        per_day=root.get("per_day", number(0.0, DAY_SECONDS)),
        about=root.get("about", text) or "",
        floor=root.get("floor", impacts.listed) or (),
        by_hour=_by_hour(root.table("by_hour")),
    )
    faults.stop()
    return noise


def _by_hour(table: Table | None) -> Array | None:
    """Level of each hour over that of the whole day (24,) [dB], from shares of a day."""
    if table is None:
        return None
    table.need("source", text, "", "say where the shares come from")
    table.need("basis", one_of(BASES), "", f"write one of {', '.join(BASES)}")
    share = table.need("share", _shares, np.ones(HOURS), "write 24 numbers, one an hour from midnight on")
    return np.asarray(10.0 * np.log10(HOURS * share / share.sum()))


def _shares(value: object) -> Array:
    found = spectra.values(1e-3, 1e6)(value)
    if len(found) != HOURS:
        raise ValueError(f"{len(found)} numbers; write {HOURS}, one an hour from midnight on")
    return np.asarray(found, float)


def spread(table: Table) -> float:
    """`spread` of a table [dB], or the usual one."""
    stated = table.get("spread", quantity("decibel", 0.0, 20.0))
    return USUAL_SPREAD_DB if stated is None else stated
