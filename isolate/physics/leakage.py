"""Described openings as paths: tau S [m2] of gaps, vents and open windows in third octaves.

Every width may carry draws (Monte Carlo): `pick(key, range)` gives the typical value or draws shaped
(draws, 1, 1); results are then (draws, 27).
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from isolate import bands
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.materials import Range, material
from isolate.describe.openings import Box, Gap, Vent
from isolate.physics import absorbers, absorption, ducts, openings, rated
from isolate.physics.checks import above_zero, zero_or_more
from isolate.physics.kept import stored

Pick = Callable[[str, Range], "float | Array"]
PER_BAND = 12  # resonances of slits are sharp
REVEAL = 0.1  # depth [m] of an open window


def typical(key: str, value: Range) -> float:
    """The `Pick` of a single evaluation."""
    return value.typical


def _drawn(pick: Pick, key: str, value: Range) -> Array:
    """A picked value that broadcasts against (bands,): () or (draws, 1)."""
    picked = np.asarray(pick(key, value), float)
    return picked if picked.ndim == 0 else picked[..., 0]


def gap(one: Gap, *, pick: Pick = typical, key: str = "") -> Array:
    """tau S [m2] (..., 27) of a slit; `key` names its width for `pick`.

    A width stated by size is taken as it is; in words it has a range.
    """
    width: float | Array = one.width
    if one.widths is not None:
        width = _drawn(pick, f"{key or one.name}.width", one.widths)
    rest = one.depth, one.length, one.at_edge
    return _slit(float(width), *rest) if np.ndim(width) == 0 else _slit.__wrapped__(width, *rest)


@lru_cache(1024)  # windows and doors of a room are alike, and their gaps come up in every change
def _slit(width: float | Array, depth: float, length: float, at_edge: bool) -> Array:
    f = bands.points(PER_BAND)
    tau = openings.slit(f, width=width, depth=depth, length=length, at_edge=at_edge)
    found = bands.band_mean(np.asarray(width) * length * tau, PER_BAND)
    found.flags.writeable = False
    return found


def vent(one: Vent) -> Array:
    """tau S [m2] (27,) of all the vents alike; from its D_n,e where it has been tested."""
    if one.stated is not None:
        return ducts.transmission_area(rated.curve(one.stated.ratings, "vent")[0], count=one.count)
    if one.tested_db is not None:
        return ducts.transmission_area(one.tested_db, count=one.count)
    if one.area is None:
        raise ValueError(f"vent: {one.name} has neither an opening nor a test")
    return one.count * one.area * through_duct(one.area, one.length, attenuation(one))


@above_zero(area="m2")
@zero_or_more(length="m")
def through_duct(area: float, length: float, loss_db: Array) -> Array:
    """Band values of tau (27,) of a duct of area [m2] and length [m] that takes off `loss_db` (27,) on its
    way."""
    return _through_duct(area, length, tuple(loss_db.tolist()))


@lru_cache(64)
@stored(np.ndarray)
def _through_duct(area: float, length: float, loss_db: tuple[float, ...]) -> Array:
    f = bands.points(PER_BAND)
    loss = np.interp(np.log(f), np.log(bands.exact(THIRD_OCTAVES)), loss_db)
    return bands.band_mean(ducts.vent(f, area=area, length=length, attenuation_db=loss), PER_BAND)


def attenuation(one: Vent) -> Array:
    """What the lining, boxes and silencer of a vent take off [dB] (27,), at most 40 dB in all."""
    loss = np.zeros(bands.N_BANDS)
    if one.section is not None and one.lining > 0.0 and one.area is not None:
        width, height = one.section
        if one.round:
            loss = loss + ducts.lined_round(
                THIRD_OCTAVES,
                diameter=2 * float(np.sqrt(one.area / np.pi)),
                thickness=one.lining,
                length=one.length,
            )
        else:
            loss = loss + ducts.lined(
                THIRD_OCTAVES, width=width, height=height, thickness=one.lining, length=one.length
            )
    if one.box is not None and one.area is not None:
        loss = loss + _box(one.box, one.area)
    if one.insertion_db is not None:
        loss = loss + np.maximum(one.insertion_db, 0.0)
    return np.minimum(loss, ducts.MOST_DB)


def _box(box: Box, area: float) -> Array:
    """Boxes with their ways in and out in opposite corners."""
    long, _, high = box.size
    offset = max(high - np.sqrt(area), 0.0)
    return ducts.baffle_box(
        THIRD_OCTAVES,
        area=area,
        size=box.size,
        absorption=_lining(box.lining),
        distance=float(np.hypot(long, offset)),
        angle=float(np.arctan2(offset, long)),
        chambers=box.count,
    )


@lru_cache(maxsize=32)
def _lining(thickness: float) -> Array:
    """Absorption coefficient (27,) of a board of glass wool on the wall of a box."""
    wool = absorption.on_wall(absorbers.wool_of(material("glass wool"), thickness=thickness))
    return np.minimum(absorption.diffuse_alpha(bands.exact(THIRD_OCTAVES), absorber=wool), 1.0)


def opened(share: Range, *, area: float, pick: Pick = typical, key: str = "") -> Array:
    """tau S [m2] (..., 27) of a window or door of `area` [m2] that stands open by `share` of it."""
    free = _drawn(pick, f"{key}.open", share) * area
    if not np.any(free > 0.0):
        return np.zeros(bands.N_BANDS)
    return _through_hole(free)


@stored(np.ndarray)
def _through_hole(free: Array) -> Array:
    """tau S [m2] (..., 27) of a round hole of `free` [m2] in a wall."""
    f = bands.points(PER_BAND)
    tau = openings.hole(f, radius=np.sqrt(np.maximum(free, 1e-9) / np.pi), depth=REVEAL)
    return bands.band_mean(free * tau, PER_BAND)
