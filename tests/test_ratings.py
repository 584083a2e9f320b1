"""Ratings: the closed-form search against the standards' own wording, shapes, partial data, bad input."""

import time
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pace import in_time

from isolate.bands import OCTAVES, THIRD_OCTAVES, exact
from isolate.errors import InputError
from isolate.standards import ratings
from isolate.standards.contours import contour_shift
from isolate.standards.rounding import half_up
from isolate.standards.tables import ISO_THIRDS

ISO = [33, 36, 39, 42, 45, 48, 51, 52, 53, 54, 55, 56, 56, 56, 56, 56]
E413 = [-16, -13, -10, -7, -4, -1, 0, 1, 2, 3, 4, 4, 4, 4, 4, 4]
tenths = st.integers(-200, 1200)


def rounded(value: Fraction) -> int:
    return int((value + Fraction(1, 2)) // 1)


def rw_as_worded(in_tenths: list[int]) -> int:
    """ISO 717-1, 4.4: shift in steps of 1 dB until the sum is as large as possible but not over 32.0 dB."""
    shift = -200
    while sum(max(0, 10 * (ref + shift + 1) - r) for ref, r in zip(ISO, in_tenths, strict=True)) <= 320:
        shift += 1
    return 52 + shift


def stc_as_worded(in_tenths: list[int]) -> int:
    """ASTM E413: whole decibels; the highest contour with a sum of at most 32 dB and none over 8 dB."""
    tl = [rounded(Fraction(r, 10)) for r in in_tenths]

    def meets(fit: int) -> bool:
        short = [max(0, ref + fit - t) for ref, t in zip(E413, tl, strict=True)]
        return sum(short) <= 32 and max(short) <= 8

    fit = -200
    while meets(fit + 1):
        fit += 1
    return fit


@settings(deadline=None)
@given(st.lists(tenths, min_size=27, max_size=27))
def test_search_is_the_one_worded_in_the_standards(in_tenths: list[int]) -> None:
    tl = np.array(in_tenths) / 10.0
    assert ratings.rw(tl) == rw_as_worded(in_tenths[6:22])
    assert ratings.stc(tl) == stc_as_worded(in_tenths[7:23])


@settings(deadline=None)
@given(st.lists(tenths, min_size=16, max_size=16), st.integers(-3, 3))
def test_sum_of_exactly_32_is_always_reached(in_tenths: list[int], by: int) -> None:
    """Raise one band so that the sum at the next decibel is exactly 32.0, or a tenth over it."""
    rating = rw_as_worded(in_tenths)
    short = [max(0, 10 * (ref + rating - 51) - r) for ref, r in zip(ISO, in_tenths, strict=True)]
    over, worst = sum(short) - 320, int(np.argmax(short))
    if not 0 < over <= short[worst]:
        return
    lifted = in_tenths.copy()
    lifted[worst] += over
    bands = THIRD_OCTAVES[6:22]
    assert ratings.rate_spectrum(bands, np.array(lifted) / 10.0).rw == rating + 1
    lifted[worst] -= 1
    assert ratings.rate_spectrum(bands, np.array(lifted) / 10.0).rw == rating


@pytest.mark.parametrize(
    ("value", "expected"),
    [(0.5, 1), (1.5, 2), (2.5, 3), (-0.5, 0), (-1.5, -1), (0.4999, 0), (2.675 * 100, 268), (1.005 * 100, 101),
     (30.05 * 10, 301), (30.15 * 10, 302), (30.25 * 10, 303), (30.35 * 10, 304)],
)  # fmt: skip
def test_a_half_goes_up_as_printed(value: float, expected: int) -> None:
    """Numbers whose binary fraction lies a little below the printed half go up all the same."""
    assert half_up(value) == expected


def test_data_are_rounded_to_tenths_before_rating() -> None:
    """0.05 below a whole tenth goes back up to it: 16 bands of 1.95 dB less than the reference + 2."""
    reference = np.array(ISO, float)
    bands = THIRD_OCTAVES[6:22]
    assert ratings.rate_spectrum(bands, reference - 0.05).rw == 54
    assert ratings.rate_spectrum(bands, reference - 0.051).rw == 53


def test_spectrum_terms_use_the_rounded_data() -> None:
    """30.46 dB everywhere counts as 30.5: the traffic sum is then 30.52 dB, not 30.48, and goes up to 31."""
    close = np.full(27, 30.46)
    assert ratings.rw(close) + ratings.adaptation(close)[1] == 31


def test_many_spectra_are_rated_as_one_by_one() -> None:
    rng = np.random.default_rng(3)
    tl = rng.uniform(5, 80, (3, 4, 27))
    together = ratings.rate(tl).to_dict()
    for i in range(3):
        for j in range(4):
            alone = ratings.rate(tl[i, j]).to_dict()
            assert all(isinstance(value, int) for value in alone.values())
            assert {name: value[i][j] for name, value in together.items()} == alone
    assert ratings.rw(tl).shape == (3, 4)


def test_a_thousand_draws_take_milliseconds() -> None:
    tl = np.random.default_rng(4).uniform(5, 80, (1000, 27))
    begin = time.process_time()
    for _ in range(5):
        ratings.rate(tl)
    assert in_time((time.process_time() - begin) / 5, 0.1)


def test_rating_in_tenths_lies_within_the_decibel_above_the_whole_one() -> None:
    tl = np.round(np.random.default_rng(5).uniform(5, 80, (500, 27)), 1)
    beyond = contour_shift(tl[:, ISO_THIRDS.bands], ISO_THIRDS, per_db=10) / 10 - ratings.rw(tl)
    assert (beyond >= 0).all() and (beyond < 1).all() and beyond.max() > 0.8


def test_more_transmission_loss_never_rates_lower() -> None:
    rng = np.random.default_rng(6)
    tl = rng.uniform(5, 60, (500, 27))
    better = tl + rng.uniform(0, 6, tl.shape)
    for rate in (ratings.rw, ratings.stc, ratings.oitc):
        assert (rate(better) >= rate(tl)).all()


def test_order_of_bands_and_exact_frequencies_do_not_matter() -> None:
    rng = np.random.default_rng(7)
    tl = rng.uniform(10, 60, 27)
    shuffled = rng.permutation(27)
    expected = ratings.rate(tl)
    assert ratings.rate_spectrum(exact(THIRD_OCTAVES)[shuffled], tl[shuffled]) == expected
    base_two = 1000.0 * 2.0 ** (np.arange(-16, 11) / 3.0)
    assert ratings.rate_spectrum(base_two, tl) == expected
    wider = ratings.rate_spectrum([20, *THIRD_OCTAVES, 12500], [3, *tl, 70])
    assert wider.notes == ("20, 12500 Hz left aside: no rating reaches there",)
    assert wider.to_dict() == expected.to_dict()


@pytest.mark.parametrize(
    ("first", "last", "present", "absent"),
    [
        (100, 3150, {"Rw", "C", "Ctr"}, {"STC", "OITC", "C50-3150", "C100-5000"}),
        (125, 4000, {"STC"}, {"Rw", "C", "Ctr", "OITC"}),
        (80, 4000, {"Rw", "STC", "OITC"}, {"C50-5000", "C100-5000", "C50-3150"}),
        (100, 5000, {"Rw", "STC", "C100-5000", "Ctr100-5000"}, {"OITC", "C50-5000"}),
        (50, 3150, {"Rw", "C50-3150", "Ctr50-3150"}, {"STC", "OITC", "C50-5000"}),
        (50, 5000, {"Rw", "STC", "OITC", "C50-5000", "C50-3150", "C100-5000"}, set()),
        (200, 2500, set(), {"Rw", "STC", "OITC"}),
    ],
)
def test_partial_third_octaves(first: float, last: float, present: set[str], absent: set[str]) -> None:
    bands = THIRD_OCTAVES[(first <= THIRD_OCTAVES) & (last >= THIRD_OCTAVES)]
    got = ratings.rate_spectrum(bands, np.linspace(20, 50, bands.size))
    values = got.to_dict()
    assert all(values[name] is not None for name in present)
    assert all(values[name] is None for name in absent)
    for name in ("Rw", "STC", "OITC"):
        assert any(note.startswith(f"{name} needs") for note in got.notes) == (values[name] is None)


def test_a_hole_in_the_data_is_named() -> None:
    bands = np.delete(THIRD_OCTAVES, 16)
    got = ratings.rate_spectrum(bands, np.full(26, 40.0))
    assert got.rw is got.stc is got.oitc is None
    assert any("missing: 1000 Hz" in note for note in got.notes)
    assert str(got) == "no rating: too few bands"


def test_partial_octaves() -> None:
    five = ratings.rate_spectrum([125, 250, 500, 1000, 2000], [36, 45, 52, 55, 56])
    assert (five.rw, five.stc, five.oitc) == (54, None, None)
    six = ratings.rate_spectrum([125, 250, 500, 1000, 2000, 4000], np.full(6, 30.0))
    assert (six.rw, six.c, six.stc, six.oitc) == (31, -1, 30, None)  # 1 + 4 + 5 = 10.0 exactly at 31
    assert six.c_100_5000 is not None and six.c_50_5000 is None
    seven = ratings.rate_spectrum([63, 125, 250, 500, 1000, 2000, 4000], np.full(7, 30.0))
    assert (seven.oitc, seven.c_50_5000, seven.ctr_50_3150) == (30, -1, -1)
    nine = ratings.rate_spectrum([*OCTAVES, 16000], np.full(10, 30.0))
    assert nine.to_dict() == seven.to_dict()
    assert ratings.rate_spectrum([125, 250, 500, 2000], np.full(4, 30.0)).rw is None


def test_uniform_partition_rates_as_whole_decibels_of_itself() -> None:
    """A source's total through 30 dB everywhere is 30 dB less, so Rw + C = Rw + Ctr = OITC = 30."""
    got = ratings.rate(np.full(27, 30.0))
    assert got.rw + got.c == got.rw + got.ctr == got.oitc == 30
    assert got.rw == 30  # contour at 30: 9 above by 0 1 2 3 4 4 4 4 4 4 = 30; at 31: 1 2 3 4 5*6 = 40


def test_one_line() -> None:
    assert str(ratings.rate(np.full(27, 30.0))) == "Rw (C; Ctr) = 30 (0; 0) dB, STC 30, OITC 30"


@pytest.mark.parametrize(
    ("bands", "tl", "message"),
    [
        ([100, 125], [30.0], "one value a band"),
        ([100, 125], [30.0, float("nan")], r"at 125 Hz is no number of decibels \(got nan\)"),
        ([100, 125], [30.0, float("inf")], "at 125 Hz is no number"),
        ([100, 110, 125], [30.0, 31.0, 32.0], "110 Hz is no third octave"),
        ([100, 125, 126], [30.0, 31.0, 32.0], "125 Hz comes twice"),
        ([0, -125], [30.0, 31.0], "0 Hz is no third octave"),
    ],
)
def test_bad_spectrum_is_refused(bands: list[float], tl: list[float], message: str) -> None:
    with pytest.raises(InputError, match=message):
        ratings.rate_spectrum(bands, tl)


def test_all_faults_come_together() -> None:
    with pytest.raises(InputError) as caught:
        ratings.rate_spectrum([100, 100, 117, 200], [20.0, 21.0, 22.0, float("nan")])
    assert len(caught.value.faults) == 3


def test_bad_arrays_are_refused() -> None:
    with pytest.raises(ValueError, match="27 third octaves"):
        ratings.rw(np.zeros(16))
    with pytest.raises(ValueError, match="27 third octaves"):
        ratings.rate(np.zeros(16))
    with pytest.raises(ValueError, match="finite number"):
        ratings.stc(np.full(27, np.inf))
    with pytest.raises(ValueError, match="no range of ISO 717-1"):
        ratings.adaptation(np.zeros(27), bands="20-20000")
