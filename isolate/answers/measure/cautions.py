"""Cautions that belong to measuring with loud noise."""

from __future__ import annotations

import numpy as np

from isolate.answers.measure.bands import Measured
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.standards.weighting import dba


def cautions(result: Measured) -> tuple[Caution, ...]:
    """Those of a measurement; with a calibrated level also how long ears may stay with the noise."""
    loud = -np.inf
    if result.calibrated and not result.setup.facade:
        loud = float(dba(np.where(np.isfinite(result.loud_db), result.loud_db, -np.inf)))
    return raised(Facts(loudest_dba=loud, test_noise=not result.setup.facade, on_facade=result.setup.facade))
