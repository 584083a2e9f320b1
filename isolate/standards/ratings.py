"""Single-number ratings of airborne sound insulation: Rw, C, Ctr, STC and OITC.

The same contours rate a laboratory's transmission loss, a level difference between rooms (D, NR) and
a standardised one (DnT), so there is one function a contour and the name follows from what goes in.

References
----------
ISO 717-1:2020, Acoustics - Rating of sound insulation in buildings and of building elements - Part 1.
ASTM E413-16, Classification for rating sound insulation.
ASTM E1332-16, Classification for rating outdoor-indoor sound attenuation.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import N_BANDS, Array
from isolate.standards.contours import Integers, contour_shift, spectrum_rating
from isolate.standards.single_numbers import SingleNumbers, rate, rate_octaves, rate_spectrum
from isolate.standards.tables import ISO_SPECTRA, ISO_THIRDS, OITC, STC

__all__ = [
    "SingleNumbers", "adaptation", "oitc", "rate", "rate_octaves", "rate_spectrum", "rw", "stc",
]  # fmt: skip


def _spectrum(tl_db: ArrayLike) -> Array:
    tl = np.asarray(tl_db, float)
    if tl.ndim == 0 or tl.shape[-1] != N_BANDS:
        raise ValueError(f"tl_db: last axis must have {N_BANDS} third octaves (got shape {tl.shape})")
    return tl


def rw(tl_db: ArrayLike) -> Integers:
    """Weighted sound reduction index Rw [dB]; (..., 27) to (...).

    R'w, Dn,w or DnT,w when the input is R', Dn or DnT. Reference curve and the 32.0 dB rule of
    ISO 717-1:2020, 4.3 and 4.4, on the 16 third octaves 100 to 3150 Hz, rounded to 0.1 dB first.

    >>> int(rw(np.full(27, 40.0)))
    40
    """
    return contour_shift(_spectrum(tl_db)[..., ISO_THIRDS.bands], ISO_THIRDS)


def adaptation(tl_db: ArrayLike, *, bands: str = "100-3150") -> tuple[Integers, Integers]:
    """Spectrum adaptation terms (C, Ctr) [dB]; (..., 27) to a pair of (...).

    Parameters
    ----------
    tl_db : transmission loss [dB].
    bands : "100-3150", or an enlarged range of annex B: "50-3150", "50-5000", "100-5000".
    """
    tl = _spectrum(tl_db)
    if bands not in ISO_SPECTRA:
        raise ValueError(f"bands: {bands!r} is no range of ISO 717-1; use one of {', '.join(ISO_SPECTRA)}")
    base = rw(tl)
    pink, traffic = ISO_SPECTRA[bands]
    return (
        spectrum_rating(tl[..., pink.bands], pink) - base,
        spectrum_rating(tl[..., traffic.bands], traffic) - base,
    )


def stc(tl_db: ArrayLike) -> Integers:
    """Sound transmission class; (..., 27) to (...). NIC or NNIC when the input is NR or NNR.

    ASTM E413-16: the 16 third octaves 125 to 4000 Hz, each rounded to whole decibels; deficiencies sum to at
    most 32 dB and none exceeds 8 dB.

    >>> int(stc(np.full(27, 40.0)))
    40
    """
    return contour_shift(_spectrum(tl_db)[..., STC.bands], STC)


def oitc(tl_db: ArrayLike) -> Integers:
    """Outdoor-indoor transmission class, ASTM E1332-16, from 80 to 4000 Hz; (..., 27) to (...)."""
    return spectrum_rating(_spectrum(tl_db)[..., OITC.bands], OITC)
