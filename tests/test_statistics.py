"""Errors' statistics, the table of the model's error, families: against hand-made cases, numpy and scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from isolate.answers.accuracy import statistics
from isolate.bands import THIRD_OCTAVES, index_of
from isolate.describe import constructions
from isolate.room import model_error, prediction
from isolate.room.families import FAMILIES, family
from isolate.room.model_error import Left

RNG_SEED = 20


def test_statistics_by_hand() -> None:
    """Errors 1, 2, 6: mean 3, squares 41/3, deviations 4 + 1 + 9 = 14 over 2."""
    found = statistics.of_errors([1.0, 2.0, 6.0])
    assert (found.count, found.bias_db) == (3, 3.0)
    assert found.rms_db == pytest.approx((41.0 / 3.0) ** 0.5)
    assert found.sd_db == pytest.approx(7.0**0.5)


def test_statistics_agree_with_scipy() -> None:
    errors = np.random.default_rng(RNG_SEED).normal(1.5, 3.0, 200)
    found, told = statistics.of_errors(errors), stats.describe(errors, ddof=1)
    assert found.bias_db == pytest.approx(told.mean)
    assert found.sd_db**2 == pytest.approx(told.variance)
    assert found.rms_db**2 == pytest.approx(told.mean**2 + told.variance * (1 - 1 / 200))


def test_nothing_has_no_statistics_and_one_value_no_deviation() -> None:
    assert statistics.of_errors([]).count == 0 and np.isnan(statistics.of_errors([]).rms_db)
    one = statistics.of_errors([-2.0])
    assert (one.bias_db, one.rms_db) == (-2.0, 2.0) and np.isnan(one.sd_db)
    assert np.isnan(statistics.median([])) and statistics.median([3.0, 1.0, 9.0]) == 3.0
    assert statistics.joined([]).shape == (0,)


# --- families ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("glass 4 mm", "single pane"),
        ("acrylic 6 mm", "single pane"),
        ("gypsum board 12.5 mm", "sheet"),
        ("brick 102 mm", "masonry"),
        ("gypsum board 12.5 mm + 50 mm + brick 102 mm", "cavity masonry"),
        ("double glass 4-12-4 mm", "insulating glass"),
        ("triple glass 4-12-4-12-4 mm", "insulating glass"),
        ("second pane behind 4-12-4, 100 mm", "double window"),
        ("glass 4 mm + 100 mm + laminated 6.4 mm", "double window"),
        ("wood stud wall 2x4 16 in, cellulose", "wood studs"),
        ("steel stud wall 64 mm, empty", "steel studs"),
        ("resilient channel wall 2x4, empty", "decoupled leaves"),
        ("gypsum board 12.5 mm + 50 mm + gypsum board 12.5 mm", "decoupled leaves"),
        ("foam sheet 50 mm", "sheet"),
        ("brick 102 mm + glass wool 50 mm", "masonry"),
        ("hollow wood door", "as measured"),
    ],
)
def test_family_of_a_construction(name: str, expected: str) -> None:
    assert family(constructions.load(name)) == expected


# --- the model's error ------------------------------------------------------------------------------


def left(name: str, bands: list[float], errors: list[float], lab: float = 0.0) -> Left:
    return Left(name, np.array(bands), np.array(errors), np.full(len(bands), lab))


def row(rows: tuple[model_error.Row, ...], name: str, hz: float) -> model_error.Row:
    (found,) = [r for r in rows if r.family == name and r.low_hz <= hz < r.high_hz]
    return found


def test_error_of_a_family_leans_on_all_by_three_specimens() -> None:
    """At 125 Hz: masonry 4 and 2 dB (mean square 10), sheet 6 dB (36); all (16 + 4 + 36)/3 = 56/3.
    Masonry (2 * 10 + 3 * 56/3)/5 = 15.2, sheet (36 + 56)/4 = 23."""
    rows = model_error.table(
        [left("masonry", [125], [4.0]), left("masonry", [125], [-2.0]), left("sheet", [125], [6.0])]
    )
    assert row(rows, "all", 125).model_db == pytest.approx((56 / 3) ** 0.5)
    assert row(rows, "masonry", 125).model_db == pytest.approx(15.2**0.5)
    assert row(rows, "masonry", 125).rms_db == pytest.approx(10**0.5)
    assert row(rows, "sheet", 125).model_db == pytest.approx(23**0.5)
    assert row(rows, "sheet", 125)[3:5] == (1, 1)


def test_scatter_of_laboratories_is_taken_off_and_cannot_make_it_negative() -> None:
    """5 dB of which the laboratory explains 3: 4 dB; 1 dB of which it could explain 3: nothing."""
    rows = model_error.table([left("sheet", [1000, 125], [5.0, 1.0], lab=3.0)])
    assert row(rows, "all", 1000).model_db == pytest.approx(4.0)
    assert row(rows, "all", 125).model_db == 0.0


def test_each_specimen_counts_once_however_many_bands_it_has() -> None:
    """Two thirds with 3 dB and one octave with 1 dB: mean square (9 + 1)/2."""
    rows = model_error.table([left("sheet", [100, 160], [3.0, -3.0]), left("sheet", [125], [1.0])])
    assert row(rows, "all", 125).model_db == pytest.approx(5**0.5)
    assert row(rows, "all", 125).values == 3


def test_spread_is_straight_between_the_middles_of_regions() -> None:
    """Middles 127 and 357 Hz in lg f; held below the lowest, all families alike."""
    sizes = dict(zip([63, 125, 500, 1000, 4000], [5.0, 1.0, 3.0, 2.0, 4.0], strict=True))
    rows = model_error.table([left("sheet", list(sizes), list(sizes.values()))])
    found = model_error.spread(rows)["all"]
    low, high = (90 * 180) ** 0.5, (180 * 710) ** 0.5
    at = np.log(200 / low) / np.log(high / low)
    assert found[index_of(200)] == pytest.approx(1.0 + 2.0 * at)
    assert found[0] == 5.0 and found[-1] == 4.0


def test_regions_are_octaves() -> None:
    """31.5 and 63 Hz, 125, 250 and 500, 1000, and 2000 to 8000 Hz, three thirds each; one value in the middle
    of the last, 3988 Hz, so that 2000 Hz lies half way up from 1004."""
    every = [left("sheet", list(THIRD_OCTAVES), [1.0] * 27)]
    rows = [one for one in model_error.table(every) if one.family == "all"]
    assert [one.values for one in rows] == [6, 3, 6, 3, 9]
    rows = model_error.table([left("sheet", [1000, 4000], [2.0, 4.0])])
    assert model_error.spread(rows)["all"][index_of(2000)] == pytest.approx(3.0, abs=0.02)


def test_table_survives_its_file() -> None:
    rows = model_error.table([left("sheet", [125, 500], [2.0, 3.0]), left("masonry", [125], [6.0])])
    again = model_error.read_rows(model_error.to_csv(rows))
    assert [r[:5] for r in again] == [r[:5] for r in rows]
    assert np.allclose([r.model_db for r in again], [r.model_db for r in rows], atol=0.005)


def test_limits_of_the_other_specimens_alone() -> None:
    """`of_others` is the table made of those, read at the family; a family nobody else has is all's."""
    others = [left("masonry", [125], [4.0]), left("sheet", [125], [6.0])]
    table = model_error.spread(model_error.table(others))
    assert np.array_equal(model_error.of_others("sheet", others), table["sheet"])
    assert np.array_equal(model_error.of_others("single pane", others), table["all"])


def test_limits_hold_nine_in_ten_of_normal_errors() -> None:
    """4000 specimens with errors of 3 dB beside the laboratories' scatter: 90 % inside within 1.5 %, four
    standard deviations of that count."""
    rng = np.random.default_rng(RNG_SEED)
    octaves = np.array([125.0, 250, 500, 1000, 2000, 4000])
    lab = prediction.LABORATORY_DB[[index_of(f) for f in octaves]]
    errors = rng.normal(0.0, np.hypot(3.0, lab), (4000, octaves.size))
    spread = model_error.spread(model_error.table([Left("sheet", octaves, e, lab) for e in errors]))["sheet"]
    low, high = prediction.limits(np.full(27, 40.0), np.hypot(spread, prediction.LABORATORY_DB))
    published = 40.0 - errors
    at = [index_of(f) for f in octaves]
    inside = (published >= low[at]) & (published <= high[at])
    assert inside.mean() == pytest.approx(0.9, abs=0.015)


def test_bundled_error_has_sane_values_for_every_family() -> None:
    for name in (*FAMILIES, "as measured", "all"):
        found = model_error.of(name)
        assert found.shape == THIRD_OCTAVES.shape
        assert np.all((found >= 0.0) & (found < 15.0)), name


# --- the uncertainty of a curve ---------------------------------------------------------------------


def test_a_measurement_scatters_as_laboratories_do_and_a_prediction_more() -> None:
    """ISO 12999-1:2014, table 2, situation A: 6.8 dB at 50 Hz, 1.8 dB from 250 to 2000 Hz, 2.8 at 5 kHz."""
    tested = prediction.of_curve(constructions.load("hollow wood door"))
    assert [tested[index_of(f)] for f in (50, 250, 2000, 5000)] == [6.8, 1.8, 1.8, 2.8]
    assert tested[index_of(63) : index_of(250)] == pytest.approx([4.6, 3.8, 3.0, 2.7, 2.4, 2.1])
    assert tested[index_of(2500) : index_of(5000)] == pytest.approx([1.9, 2.0, 2.4])
    assert tested[:3] == pytest.approx([6.8 + 3 * 0.7, 6.8 + 2 * 0.7, 6.8 + 0.7])  # carried on
    assert tested[-3:] == pytest.approx([2.8 + 0.4, 2.8 + 2 * 0.4, 2.8 + 3 * 0.4])
    assert prediction.LOW_SENTENCE.startswith("Laboratories themselves differ")
    predicted = prediction.of_curve(constructions.load("wood stud wall 2x4 24 in, wool"))
    assert np.all(predicted >= tested) and predicted[index_of(1000)] > tested[index_of(1000)]


def test_ranges_of_materials_widen_a_prediction() -> None:
    """Independent parts add by squares."""
    built = constructions.load("glass 4 mm")
    alone, more = prediction.of_curve(built), prediction.of_curve(built, materials_db=4.0)
    assert np.allclose(more**2, alone**2 + 16.0)


def test_limits_are_at_five_and_ninety_five_per_cent_and_not_below_nothing() -> None:
    low, high = prediction.limits(np.array([40.0, 2.0, -1.0]), 2.0)
    half = 2.0 * stats.norm.ppf(0.95)
    assert high == pytest.approx([40.0 + half, 2.0 + half, -1.0 + half], abs=0.001)
    assert low == pytest.approx([40.0 - half, 0.0, -1.0], abs=0.001)


def test_what_was_never_measured_is_known_less() -> None:
    """Families without a specimen: twice the standard deviation of all; clips, and doors with a core."""
    everything = model_error.of(model_error.EVERYTHING)
    assert np.array_equal(model_error.of("no such family"), 2 * everything)
    assert family(constructions.load("resilient clip wall 2x4, double boards, wool")) == "clips"
    for door in ("hollow core door 35 mm", "insulated steel door 60 mm"):
        assert family(constructions.load(door)) == "cored doors"
    assert family(constructions.load("solid core door 44 mm")) == "sheet"


def test_limits_reach_further_down_above_what_was_seen() -> None:
    """At 75 dB 0.3 times 20 dB join 4 dB, downward only: 1.645 root(16 + 36); at 50 dB and of what was
    measured nothing does."""
    low, high = prediction.limits(np.array([50.0, 75.0]), 4.0)
    np.testing.assert_allclose(high, [50 + 1.645 * 4, 75 + 1.645 * 4])
    np.testing.assert_allclose(low, [50 - 1.645 * 4, 75 - 1.645 * np.sqrt(52.0)])
    assert prediction.limits(np.array([75.0]), 4.0, predicted=False)[0] == pytest.approx(75 - 1.645 * 4)
