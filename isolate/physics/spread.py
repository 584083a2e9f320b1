"""From the bands somebody measured to the 27 third octaves of the house."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate import bands
from isolate.bands import Array
from isolate.physics.checks import above_zero

BELOW_DB = 2.0  # fall per third octave below the lowest measured band: mass law


@above_zero(bands_hz="Hz")
def to_thirds(bands_hz: ArrayLike, tl_db: ArrayLike) -> Array:
    """Transmission loss (27,) [dB] from measured third octaves or octaves.

    Parameters
    ----------
    bands_hz : [Hz], rising. tl_db : [dB], as many.

    Raises
    ------
    ValueError
        A frequency that is not above 0.

    Notes
    -----
    Octaves are spread along straight lines through their middles and shifted so that each octave's energy
    mean is kept. Below the lowest band the curve falls by 2 dB a third octave (mass law, not below 0 dB);
    above the highest it is held; both are guesses.
    """
    given, tl = np.asarray(bands_hz, float), np.asarray(tl_db, float)
    octaves = given.size > 1 and bool(np.all(given[1:] / given[:-1] > 1.7))
    logs = np.log(bands.exact(given))
    all_logs = np.log(bands.exact(bands.THIRD_OCTAVES))
    out = np.interp(all_logs, logs, tl)
    if octaves:
        at = np.array([int(np.argmin(np.abs(np.log(bands.OCTAVES / g)))) for g in given])
        shift = np.zeros(bands.OCTAVES.size)
        shift[at] = tl - bands.octave_tl(out)[at]
        shift[: at[0]], shift[at[-1] + 1 :] = shift[at[0]], shift[at[-1]]
        out = out + np.repeat(shift, 3)
    first = 3 * at[0] if octaves else bands.index_of(given[0])
    steps = np.arange(first, 0, -1)
    out[:first] = np.maximum(out[first] - BELOW_DB * steps, 0.0)
    return np.asarray(out)
