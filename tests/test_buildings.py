"""What goes round a partition in a building: never better than was measured, nothing changed far below."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.bands import N_BANDS, index_of
from isolate.physics import buildings


def test_the_most_is_what_was_measured() -> None:
    """55, 65, 72, 75 dB at 125 Hz to 1 kHz (from memory of measurements in buildings)."""
    most = buildings.most_db()
    at = [index_of(f) for f in (125, 250, 500, 1000, 4000)]
    np.testing.assert_allclose(most[at], [55.0, 65.0, 72.0, 75.0, 75.0])
    assert most[index_of(63)] == pytest.approx(45.0, abs=0.2)  # nominal 63 Hz is no octave exactly
    assert np.all(np.diff(most) >= 0)


def test_a_weak_wall_stays_what_it_is_and_no_wall_is_better_than_the_most() -> None:
    """The common studio partition of STC 50 loses nothing; one without any transmission gets the most; one as
    good as that 3 dB less, the sum of two equal powers."""
    most = buildings.most_db()
    weak, none, equal = (
        -10 * np.log10(buildings.in_a_building(10 ** (-tl / 10)))
        for tl in (np.minimum(most - 20.0, 50.0), np.full(N_BANDS, np.inf), most)
    )
    np.testing.assert_allclose(weak, np.minimum(most - 20.0, 50.0), atol=0.05)
    np.testing.assert_allclose(none, most, atol=1e-9)
    np.testing.assert_allclose(most - equal, 10 * np.log10(2), atol=1e-9)


@pytest.mark.parametrize("tau", [np.full(27, -0.1), np.full(27, 1.5), np.full(27, np.nan), np.zeros(9)])
def test_what_is_no_coefficient_is_refused(tau: np.ndarray) -> None:
    with pytest.raises(ValueError, match="tau: must"):
        buildings.in_a_building(tau)


def test_only_what_no_building_shows_is_spoken_of() -> None:
    """60 dB throughout are more than 55 dB at 125 Hz; 50 dB are not, and below 100 Hz nobody is told."""
    assert buildings.note(np.full(N_BANDS, 50.0)) is None
    said = buildings.note(np.full(N_BANDS, 60.0))
    assert said is not None and "from 100 Hz" in said and "55 dB at 125 Hz" in said
