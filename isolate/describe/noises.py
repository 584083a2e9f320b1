"""Noises: third-octave spectra with their level, the distance it holds at, and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from isolate.bands import Array


@dataclass(frozen=True)
class NoiseSpectrum:
    """A noise: `level_db` (27,) third-octave levels [dB], as they are `distance` [m] from the source (None:
    at no particular distance, e.g. reverberant in a room or at a facade). `spread_db`: standard deviation
    of its level from one event to the next [dB]. `duration` [s] and `per_day` of a typical event."""

    name: str
    title: str
    level_db: Array
    source: str
    basis: str  # read | memory | own | demo
    distance: float | None = None
    spread_db: float = 3.0
    duration: float | None = None
    per_day: float | None = None
    about: str = ""
