"""What goes round a partition in a building: never better than was measured, nothing changed far below."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.answers.curve.answer import curve
from isolate.bands import N_BANDS, index_of
from isolate.physics import buildings
from isolate.show.figures import curve as figures_curve
from isolate.show.layout import Page, tell
from isolate.show.tell import curve as tell_curve


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


def test_draws_come_before_the_bands() -> None:
    tau = np.geomspace(1e-9, 1.0, 27) * np.array([[0.5], [1.0]])
    for one, both in zip(tau, buildings.in_a_building(tau), strict=True):
        np.testing.assert_array_equal(buildings.in_a_building(one), both)


@pytest.mark.parametrize("tau", [np.full(27, -0.1), np.full(27, 1.5), np.full(27, np.nan), np.zeros(9)])
def test_what_is_no_coefficient_is_refused(tau: np.ndarray) -> None:
    with pytest.raises(ValueError, match="tau: must"):
        buildings.in_a_building(tau)


def test_only_what_no_building_shows_is_spoken_of() -> None:
    """60 dB throughout are more than 55 dB at 125 Hz; 50 dB are not, and below 100 Hz nobody is told."""
    assert buildings.note(np.full(N_BANDS, 50.0)) is None
    said = buildings.note(np.full(N_BANDS, 60.0))
    assert said is not None and "from 100 Hz" in said and "55 dB at 125 Hz" in said


def test_a_curve_says_and_draws_where_a_house_ends_it() -> None:
    """Two boards a side on clips are told 80 dB and more at 1 kHz; 75 dB is the most that was measured
    between rooms of a building (from memory). Wood studs stop 55 dB there, and nothing is said."""
    names = "resilient clip wall 2x4, double boards, wool", "wood stud wall 2x4 24 in, wool"
    best, usual = map(curve, names)
    assert best.beaten_from is not None and 315 <= best.beaten_from <= 630 and usual.beaten_from is None
    told, quiet = (" ".join(tell(tell_curve.document(one), Page()).split()) for one in (best, usual))
    assert "In a house from 500 Hz up sound goes round it: 75 dB is the most measured" in told
    assert "In a house" not in quiet
    drawn, plain = (figures_curve.draw_curve(one) for one in (best, usual))
    labels = [{text.get_text() for text in ax.texts} for ax in (drawn, plain)]
    assert "most in a building" in labels[0] and "most in a building" not in labels[1]
