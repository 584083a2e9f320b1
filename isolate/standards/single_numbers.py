"""All single-number ratings of one spectrum, or of as much of it as was given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isolate.bands import BEYOND, N_BANDS, OCTAVES, THIRD_OCTAVES, Array
from isolate.errors import InputError
from isolate.standards.contours import contour_shift, spectrum_rating
from isolate.standards.tables import (
    ISO_OCTAVE_SPECTRA,
    ISO_OCTAVES,
    ISO_SPECTRA,
    ISO_THIRDS,
    OITC,
    STC,
    SourceSpectrum,
)

Rating = int | NDArray[np.int64] | None


@dataclass(frozen=True)
class SingleNumbers:
    """Ratings [dB, whole numbers] of transmission loss; None where the data do not reach.

    For many spectra at once each field is an array over them.
    """

    rw: Rating = None
    c: Rating = None
    ctr: Rating = None
    c_50_3150: Rating = None
    ctr_50_3150: Rating = None
    c_50_5000: Rating = None
    ctr_50_5000: Rating = None
    c_100_5000: Rating = None
    ctr_100_5000: Rating = None
    stc: Rating = None
    oitc: Rating = None
    notes: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain values under the standards' names, as in JSON."""
        return {name: _plain(getattr(self, key)) for name, key in _NAMES.items()}

    def __str__(self) -> str:
        """The usual one line: "Rw (C; Ctr) = 41 (-1; -5) dB, STC 41, OITC 33"."""
        parts = []
        if self.rw is not None:
            terms = "" if self.c is None else f" ({self.c}; {self.ctr})"
            parts.append(f"Rw{' (C; Ctr)' if terms else ''} = {self.rw}{terms} dB")
        others = (("STC", self.stc), ("OITC", self.oitc))
        parts += [f"{name} {value}" for name, value in others if value is not None]
        return ", ".join(parts) or "no rating: too few bands"


_NAMES = {
    "Rw": "rw", "C": "c", "Ctr": "ctr", "STC": "stc", "OITC": "oitc",
    "C50-3150": "c_50_3150", "Ctr50-3150": "ctr_50_3150",
    "C50-5000": "c_50_5000", "Ctr50-5000": "ctr_50_5000",
    "C100-5000": "c_100_5000", "Ctr100-5000": "ctr_100_5000",
}  # fmt: skip


def _plain(value: Rating) -> int | list[int] | None:
    return value.tolist() if isinstance(value, np.ndarray) else value


def _scalar(value: NDArray[np.int64]) -> Rating:
    return int(value) if value.ndim == 0 else value


def _span_of(bands: slice) -> str:
    first, last = THIRD_OCTAVES[bands][[0, -1]]
    return f"{first:g} to {last:g} Hz"


def rate(tl_db: ArrayLike) -> SingleNumbers:
    """Every rating of third-octave transmission loss; (..., 27). NaN marks a band without data.

    A rating that needs a band without data is None; for Rw, STC and OITC a note names the missing bands.
    tl_db [dB].
    """
    tl = np.asarray(tl_db, float)
    if tl.ndim == 0 or tl.shape[-1] != N_BANDS:
        raise ValueError(f"tl_db: last axis must have {N_BANDS} third octaves (got shape {tl.shape})")
    known = ~np.isnan(tl.reshape(-1, N_BANDS)).any(axis=0)
    values: dict[str, Rating] = {}
    notes = []

    def reaches(bands: slice, name: str) -> bool:
        if not known[bands].all():
            missing = ", ".join(f"{f:g}" for f in THIRD_OCTAVES[bands][~known[bands]])
            notes.append(f"{name} needs the third octaves {_span_of(bands)}; missing: {missing} Hz")
        return bool(known[bands].all())

    if reaches(ISO_THIRDS.bands, "Rw"):
        base = contour_shift(tl[..., ISO_THIRDS.bands], ISO_THIRDS)
        values["rw"] = _scalar(base)
        for bands, spectra in ISO_SPECTRA.items():
            if known[spectra[0].bands].all():
                _add_terms(values, bands, base, [spectrum_rating(tl[..., s.bands], s) for s in spectra])
    if reaches(STC.bands, "STC"):
        values["stc"] = _scalar(contour_shift(tl[..., STC.bands], STC))
    if reaches(OITC.bands, "OITC"):
        values["oitc"] = _scalar(spectrum_rating(tl[..., OITC.bands], OITC))
    return SingleNumbers(**values, notes=tuple(notes))


def _add_terms(
    values: dict[str, Rating], bands: str, base: NDArray[np.int64], rated: Sequence[NDArray[np.int64]]
) -> None:
    suffix = "" if bands == "100-3150" else "_" + bands.replace("-", "_")
    for name, value in zip(("c", "ctr"), rated, strict=True):
        values[name + suffix] = _scalar(value - base)


def rate_octaves(tl_db: ArrayLike) -> SingleNumbers:
    """Ratings of one octave spectrum, 31.5 Hz to 8 kHz (9,). NaN marks a band without data.

    Rw by the octave rule of ISO 717-1:2020 (125 to 2000 Hz, at most 10.0 dB); C and Ctr with the octave
    spectra. ASTM E413 and E1332 know third octaves only: STC and OITC are estimates in which each third takes
    its octave's value, and the notes say so. Against 20 partitions published with octaves and STC this
    estimate has a bias of +0.2 and a spread of 1.5; dips narrower than an octave are what it cannot see.
    """
    tl = np.asarray(tl_db, float)
    known = ~np.isnan(tl)
    values: dict[str, Rating] = {}
    notes = []
    if known[2:7].all():
        base = contour_shift(tl[2:7], ISO_OCTAVES)
        values["rw"] = _scalar(base)
        notes.append("Rw, C and Ctr by the octave rule of ISO 717-1, meant for field measurements")
        for bands, (first_hz, *levels) in ISO_OCTAVE_SPECTRA.items():
            start = OCTAVES.tolist().index(first_hz)
            span = slice(start, start + len(levels[0]))
            if known[span].all():
                spectra = [SourceSpectrum(bands, np.array(x, float), 0.0, True, span) for x in levels]
                _add_terms(values, bands, base, [spectrum_rating(tl[span], s) for s in spectra])
    else:
        notes.append("Rw needs the octaves 125 to 2000 Hz")
    if known[2:8].all():
        estimate = rate(np.repeat(tl, 3))
        values |= {"stc": estimate.stc, "oitc": estimate.oitc}
        which = "STC" if estimate.oitc is None else "STC and OITC"
        notes.append(f"{which} estimated from octaves, each third taken as its octave: good to 2 points")
    else:
        notes.append("STC needs third octaves, or at least the octaves 125 to 4000 Hz")
    return SingleNumbers(**values, notes=tuple(notes))


def _index_of(band_hz: float, bands_hz: Array) -> int | None:
    near = np.flatnonzero(np.isclose(bands_hz, band_hz, rtol=0.02))
    return int(near[0]) if near.size else None


def placed(bands_hz: ArrayLike, values: ArrayLike, *, name: str) -> tuple[Array, tuple[str, ...]]:
    """Values in whatever bands [Hz] were measured on the house's third octaves (27,), or on its octaves (9,)
    where all are octave centres; NaN elsewhere. And notes on bands that no rating reaches.

    `name` is what the faults call the values.

    Raises
    ------
    InputError
        Lists of different length, a value that is no number, a frequency that is no band, a band twice.
    """
    bands = np.atleast_1d(np.asarray(bands_hz, float))
    db = np.atleast_1d(np.asarray(values, float))
    if bands.ndim != 1 or bands.shape != db.shape:
        raise InputError(f"{name}: one value a band (got {db.size} values for {bands.size} bands)")
    faults = [
        f"{name}: at {band:g} Hz is no number of decibels (got {value:g}); write a finite number"
        for band, value in zip(bands, db, strict=True)
        if not np.isfinite(value)
    ]
    inside = [band for band in bands if _index_of(band, BEYOND) is None]
    grid = OCTAVES if all(_index_of(band, OCTAVES) is not None for band in inside) else THIRD_OCTAVES
    found = np.full(grid.size, np.nan)
    for band, value in zip(bands, db, strict=True):
        at = _index_of(band, grid)
        if at is None:
            if band in inside:
                faults.append(f"bands_hz: {band:g} Hz is no third octave; write centres such as 125 or 1250")
        elif not np.isnan(found[at]):
            faults.append(f"bands_hz: {grid[at]:g} Hz comes twice; write each band once")
        else:
            found[at] = value
    if faults:
        raise InputError(faults)
    unused = ", ".join(f"{band:g}" for band in bands if band not in inside)
    return found, (f"{unused} Hz left aside: no rating reaches there",) if unused else ()


def rate_spectrum(bands_hz: ArrayLike, tl_db: ArrayLike) -> SingleNumbers:
    """Ratings of third-octave or octave transmission loss in whatever bands were measured.

    Parameters
    ----------
    bands_hz : nominal or exact band centres [Hz], in any order (n,). Octave centres only: octave data.
    tl_db : transmission loss or level difference [dB] (n,).

    Returns
    -------
    SingleNumbers
        16 third octaves 100 to 3150 Hz suffice for Rw, C and Ctr, 125 to 4000 Hz for STC, 80 to 4000 Hz for
        OITC, 5 octaves 125 to 2000 Hz for Rw by the octave rule. None where bands are missing, with a note.

    Raises
    ------
    InputError
        As `placed`.
    """
    values, notes = placed(bands_hz, tl_db, name="tl_db")
    rated = rate_octaves(values) if values.size == OCTAVES.size else rate(values)
    return replace(rated, notes=(*rated.notes, *notes))
