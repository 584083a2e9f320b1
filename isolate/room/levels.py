"""Stated levels made spectra: a noise at the facade, a sound made inside, a background."""

from __future__ import annotations

import numpy as np

from isolate.bands import Array, energy_sum
from isolate.describe.noises import NoiseSpectrum
from isolate.describe.rooms import Background, Level, Noise, Own
from isolate.standards import criteria
from isolate.standards.weighting import A_WEIGHTING, C_WEIGHTING

_WEIGHTING = {"A": A_WEIGHTING, "C": C_WEIGHTING, "Z": np.zeros_like(A_WEIGHTING)}
_BACKGROUND = {"NC": criteria.nc_levels, "NR": criteria.nr_levels, "A": criteria.dba_levels}


def shifted(spectrum: NoiseSpectrum, level: Level | None) -> Array:
    """Third-octave levels [dB] (27,) of a spectrum moved to a stated level, or to its own if it has one."""
    level = level or spectrum.level
    if level is None:
        return spectrum.level_db
    now = energy_sum(spectrum.level_db + _WEIGHTING[level.weighting])
    return spectrum.level_db + (level.value - now)


def field(noise: Noise) -> str:
    """Where the noise's level holds, a key of `facade.FIELD_DB`: a stated level is what a microphone 2 m
    before the facade reads, a level carried over a distance that of the arriving sound by itself."""
    if noise.indoors:
        return "room"
    return "2 m before the facade" if noise.distance is None else "arriving"


def at_facade(noise: Noise) -> Array:
    """Third-octave levels [dB] (27,) of a noise at its side, where `field` says.

    With a `distance` the level holds `at` metres (or where the spectrum was taken) and falls as that of a
    point source in the open, 20 lg(distance/at): no ground, no street canyon, no screening but what is
    stated.
    """
    level_db = shifted(noise.spectrum, noise.level) - noise.shielding_db
    start = noise.at if noise.at is not None else noise.spectrum.distance
    if noise.distance is None or start is None:
        return level_db
    return level_db - 20.0 * np.log10(noise.distance / start)


def made_inside(own: Own) -> Array:
    """Reverberant third-octave levels [dB] (27,) of a sound made in the room."""
    return shifted(own.spectrum, own.level)


def of_background(background: Background) -> Array:
    """Third-octave levels [dB] (27,) of a stated background."""
    if background.level_db is not None:
        return background.level_db
    if background.value is None:
        raise ValueError("background: needs a value or levels")
    return _BACKGROUND[background.kind](background.value)
