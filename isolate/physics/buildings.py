"""What goes round a partition in a building, however good it is: the most that was measured in real ones.

Laboratories hang a wall in a frame of its own; a building does not. Sound runs along floors, slabs, ducts and
what stands on them, and measured differences end somewhere. That end is data, not a formula, and joins what
is computed as one more path.

References
----------
Measurements in buildings, from memory; a school's studio with independent studs and a floating floor was read
at NIC 69 to 75 (INCE-USA), slabs with sprung ceilings at 70 dB and more.
"""

from __future__ import annotations

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array, index_of

BANDS_HZ = (125.0, 250.0, 500.0, 1000.0)
MOST_DB = (55.0, 65.0, 72.0, 75.0)  # between rooms of a building, by construction made for it
SLOPE_DB = 10.0  # per octave, carried on below; above 1 kHz it stays
SPREAD_DB = (
    5.0  # standard deviation from house to house (judgement: 60 to 75 dB of D_nT,w by care of the work)
)
RATED = 100.0, 3150.0  # Hz, the bands that single numbers are made of


def most_db() -> Array:
    """Most that a partition in a building lets through less [dB] (27,), third octaves.

    Notes
    -----
    Straight over lg f between `BANDS_HZ`, by `SLOPE_DB` an octave below, level above.
    """
    octaves = np.log2(THIRD_OCTAVES / BANDS_HZ[0])
    inside = np.interp(np.log(THIRD_OCTAVES), np.log(BANDS_HZ), MOST_DB)
    return np.asarray(inside + SLOPE_DB * np.minimum(octaves, 0.0))


def in_a_building(tau: Array) -> Array:
    """Transmission coefficient (..., 27) of a partition as built, from that of the partition alone.

    Parameters
    ----------
    tau : (..., 27) [1], of the whole partition with its leaks, re its own area.

    Returns
    -------
    tau + 10^(-most/10), at most 1: what goes round adds to what goes through, so that a partition as good as
    the most that was measured is told 3 dB less, and nothing is told better.

    Raises
    ------
    ValueError
        A coefficient below 0 or above 1, or other than 27 bands.
    """
    tau = np.asarray(tau, float)
    if tau.shape[-1:] != THIRD_OCTAVES.shape:
        raise ValueError(f"tau: must have {THIRD_OCTAVES.size} bands last (got shape {tau.shape})")
    if not ((tau >= 0) & (tau <= 1)).all():
        raise ValueError("tau: must be between 0 and 1")
    return np.asarray(np.minimum(tau + 10 ** (-most_db() / 10), 1.0))


def beaten_from(tl_db: Array) -> float | None:
    """First of the rated bands [Hz] in which a transmission loss is more than any building shows.

    Parameters
    ----------
    tl_db : (..., 27) [dB].

    Returns
    -------
    Hz, None where a building may show it.
    """
    rated = slice(index_of(RATED[0]), index_of(RATED[1]) + 1)
    over = (np.asarray(tl_db) > most_db())[..., rated].reshape(-1, rated.stop - rated.start).any(0)
    return float(THIRD_OCTAVES[rated][over][0]) if over.any() else None


def note(tl_db: Array) -> str | None:
    """What to say of a transmission loss [dB] (..., 27) that no building shows; None where one may."""
    first = beaten_from(tl_db)
    if first is None:
        return None
    most = ", ".join(f"{level:.0f} dB at {hz:.0f} Hz" for hz, level in zip(BANDS_HZ, MOST_DB, strict=True))
    return (
        f"this is the construction alone: from {first:.0f} Hz it is better than anything measured in a"
        f" building ({most}; from memory), where sound goes round it"
    )
