"""How far a prediction may be off: per band, for a level inside, and the chance that a noise is heard.

Three independent parts, as standard deviations in dB:

- the scatter between laboratories that measure one and the same element, ISO 12999-1:2014 table 2,
  situation A, 50 Hz to 5 kHz; beyond its ends it is carried on by 0.7 dB (down) and 0.4 dB (up) a band
  (an assumption);
- the error of the prediction, by family of constructions and band: what published specimens leave beyond the
  scatter of laboratories when each is predicted without having had a say in the calibrated constants
  (`model_error.csv`, see `isolate.room.model_error`); none where the curve is a measurement;
- how noises of one kind differ from event to event (each spectrum's own spread), and 3 dB for the
  background (common practice, no source).

A side's error is taken as the same way in all bands at once (a wall that is better than thought is better
throughout) and independent between sides. Limits are at 5 % and 95 %: 1.645 standard deviations.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.describe.constructions import Construction
from isolate.physics import rated
from isolate.room import model_error
from isolate.room.families import family

LABORATORY_DB: Array = np.array(
    [8.9, 8.2, 7.5, 6.8, 4.6, 3.8, 3.0, 2.7, 2.4, 2.1] + [1.8] * 10 + [1.9, 2.0, 2.4, 2.8, 3.2, 3.6, 4.0]
)
BACKGROUND_DB = 3.0
LIMIT = 1.645  # of a normal distribution at 5 % and 95 %
SEEN_TO_DB, FORGOTTEN = 55.0, 0.3  # judgement: two boards on clips, told 65 to 70, were read at 57 to 60
LOW_NOTE = (
    "laboratories themselves differ on one and the same wall, by 3 dB at 100 Hz and 4 to 7 dB from 80 Hz "
    "down to 50 Hz (standard deviation, ISO 12999-1:2014, table 2), so the limits widen downward"
)
LOW_SENTENCE = f"{LOW_NOTE[0].upper()}{LOW_NOTE[1:]}."


def of_curve(construction: Construction, *, materials_db: ArrayLike = 0.0) -> Array:
    """Standard deviation [dB] (27,) of a transmission loss, predicted or measured.

    Parameters
    ----------
    construction : described; without layers its curve is a measurement, which only laboratories scatter, or
        ratings, which leave much open.
    materials_db : standard deviation [dB] (27,) or one value that the ranges of its materials add, as from
        draws through `transmission(..., pick=...)`. The error of the prediction holds the usual scatter of
        materials already, because specimens are predicted at typical values: pass here what goes beyond it.
    """
    if construction.rated is not None:
        return np.hypot(LABORATORY_DB, rated.curve(construction.rated.ratings, construction.kind)[1])
    if not construction.layers:
        return LABORATORY_DB
    error = model_error.of(family(construction))
    return np.sqrt(LABORATORY_DB**2 + error**2 + np.asarray(materials_db, float) ** 2)


def limits(tl_db: Array, sigma_db: ArrayLike, *, predicted: bool = True) -> tuple[Array, Array]:
    """Limits at 5 % and 95 % of a transmission loss [dB] (..., 27); the lower one not below 0 dB, unless the
    curve itself is.

    Notes
    -----
    Of what is `predicted` above `SEEN_TO_DB` next to nothing has been measured, and whatever was forgotten
    lets more through, never less: downward `FORGOTTEN` of what is above joins the standard deviation.
    """
    sigma = np.asarray(sigma_db, float)
    forgotten = FORGOTTEN * np.maximum(tl_db - SEEN_TO_DB, 0.0) if predicted else 0.0
    low = tl_db - LIMIT * np.hypot(sigma, forgotten)
    return np.minimum(tl_db, np.maximum(low, 0.0)), tl_db + LIMIT * sigma


def of_level(weight: ArrayLike, sigma_db: ArrayLike, *, spread_db: float) -> float:
    """Standard deviation [dB] of a summed level.

    Parameters
    ----------
    weight : share of the level's energy that comes by each side in each band, (sides, 27), sum 1.
    sigma_db : standard deviation [dB] of each side's transmission loss, (sides, 27).
    spread_db : of the noise itself.

    Notes
    -----
    First order: a change of d_ik dB in side i, band k moves the level by the sum of w_ik d_ik.
    """
    by_side = np.sum(np.asarray(weight, float) * np.asarray(sigma_db, float), axis=-1)
    return math.hypot(spread_db, float(np.linalg.norm(by_side)))


def chance_above(margin_db: float, sigma_db: float) -> float:
    """Probability that a normal quantity of this mean and standard deviation [dB] lies above 0.

    >>> chance_above(0.0, 4.0)
    0.5
    """
    if sigma_db <= 0:
        raise ValueError("sigma_db: must be above 0")
    return 0.5 * math.erfc(-margin_db / (sigma_db * math.sqrt(2.0)))
