"""Who hears what is played: in a room beside, above or below, outdoors, or behind a facade across the yard.

::

    [[neighbour]]
    name = "flat next door"
    through = ["party wall"]            # sides of the room it goes through
    background = "25 dBA"
    size = "4 m x 3 m x 2.5 m"          # of their room; furnishing or reverberation_time as for the room
    limit = "45 dB in every third octave 63-500 Hz at night"    # or a list of limits
    # such as ["35 dBA until 10 pm", "no drums after 21:00"]
    background_night = "20 dBA"         # and background_day, where they differ

    [[neighbour]]
    name = "bedroom across the yard"
    through = ["window", "outer wall"]
    distance = "14 m"                   # outdoors; without a facade they stand there
    [neighbour.facade]                  # what they are behind, written as a side
    construction = "double glass 4-12-4 mm"
    area = "1.2 m x 1.4 m"
    open = "tilted"
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from isolate import units
from isolate.bands import N_BANDS, Array
from isolate.describe import limits, sides, sounds, spectra
from isolate.describe.everyday import ANYWHERE, Where
from isolate.describe.reading import Table, label, one_of, quantity, words
from isolate.describe.room_parts import FURNISHINGS, Neighbour
from isolate.errors import shown

Size = tuple[float, float, float]
UNKNOWN_BOX: Size = (1.0, 1.0, 1.0)
BOX_HINT = 'write length x width x height, such as "4.1 m x 3.2 m x 2.5 m"'


def box(value: object) -> Size:
    """Converter: the size of a room [m]."""
    found = units.parse(value, "box")
    if not all(0.3 <= edge <= 100.0 for edge in found):
        raise ValueError(f"no sane size of a room (got {shown(value)}); {BOX_HINT}")
    return found


def reverberation(table: Table) -> tuple[str | None, Array | None]:
    """Furnishing, and the reverberation time (27,) [s] when stated, alone or by band."""
    furnishing = table.get("furnishing", one_of(FURNISHINGS))
    time: Array | None = None
    if isinstance(table.data.get("reverberation_time"), dict):
        by_band = table.table("reverberation_time")
        pair = spectra.pair(by_band, "time_s", spectra.values(0.05, 30.0)) if by_band else None
        time = spectra.held(*pair) if pair else None
    elif (single := table.get("reverberation_time", quantity("time", 0.05, 30.0))) is not None:
        time = np.full(N_BANDS, single)
    return furnishing, time


def read(table: Table, beside: Path, notes: list[str], where: Where = ANYWHERE) -> Neighbour | None:
    """``[[neighbour]]``; None when at fault."""
    name = table.need("name", label, "", "say who hears it")
    through = tuple(table.get("through", words) or ())
    if "through" not in table:
        table.fault("through", 'missing; write the sides it goes through, such as ["party wall"]')
    heard_over = sounds.background_of(table, notes, name)
    size, (furnishing, time) = table.get("size", box), reverberation(table)
    distance = table.get("distance", quantity("length", 0.1, 1000.0))
    inner = table.table("facade")
    facade = None
    if inner:
        facade = sides.read_element(inner, beside, notes, name=name, faces=name, where=where)
    stated = limits.read(table)
    if "facade" in table and "distance" not in table:
        table.fault("distance", "missing; a facade stands some way off, write how far")
    if "distance" in table and "facade" not in table and ("size" in table or "furnishing" in table):
        table.fault("distance", "outdoors there is no room; leave its size out, or write their facade")
    if not name:
        return None
    room = (size, furnishing or "furnished", time)
    levels = tuple(one for one in stated if isinstance(one, limits.StatedLimit))
    silent = tuple(one for one in stated if isinstance(one, limits.Silence))
    by_time = sounds.backgrounds_of(table)
    return Neighbour(name, through, heard_over, *room, distance, facade, levels, silent, by_time)
