"""Absorption ratings: worked examples, the limits of their rules, shapes and partial data."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.standards import absorption_ratings as rated


def of_octaves(alpha: list[float], first: float = 125.0) -> np.ndarray:
    """Thirds (27,) of what a table prints at octave centres, the others not known."""
    full = np.full(27, np.nan)
    full[index_of(first) :: 3][: len(alpha)] = alpha
    return full


@pytest.mark.parametrize(
    ("alpha", "expected", "letters"),
    [
        ([0.35, 0.70, 0.65, 0.60, 0.55], 0.60, ""),
        ([0.35, 1.00, 0.65, 0.60, 0.55], 0.60, "M"),
    ],
)
def test_iso_11654_examples(alpha: list[float], expected: float, letters: str) -> None:
    """ISO 11654:1997, annex A: alpha_w = 0.60 and 0.60(M) (from memory)."""
    assert rated.alpha_w(alpha) == pytest.approx(expected)
    assert rated.shape_letters(alpha) == letters


@pytest.mark.parametrize(
    ("four", "mean", "nrc"),
    [([0.25, 0.34, 0.38, 0.33], 0.325, 0.35), ([0.13, 0.23, 0.36, 0.26], 0.245, 0.25)],
)
def test_nrc_of_published_means(four: list[float], mean: float, nrc: float) -> None:
    """A journal table prints the means as 0.32 and 0.24, not rounded to steps; ASTM C423 rounds to 0.05."""
    assert np.mean(four) == pytest.approx(mean)
    got = rated.rate_absorption(of_octaves(four, 250.0))
    assert got.nrc == pytest.approx(nrc)
    assert got.alpha_w is None and got.saa is None


@pytest.mark.parametrize(
    ("alpha", "nrc"),
    [
        ([0.11, 0.28, 0.68, 0.90, 0.93, 0.96], 0.70),
        ([0.17, 0.86, 1.14, 1.07, 1.02, 0.98], 1.00),
        ([0.53, 1.19, 1.21, 1.08, 1.01, 1.04], 1.10),
        ([0.84, 1.24, 1.24, 1.08, 1.00, 0.97], 1.15),
    ],
    ids=["25 mm", "51 mm", "76 mm", "102 mm"],
)
def test_nrc_of_glass_fibre_board(alpha: list[float], nrc: float) -> None:
    """Glass-fibre board of 48 kg/m3 on the wall, common trade table (from memory): 0.70 1.00 1.10 1.15."""
    assert rated.rate_absorption(of_octaves(alpha)).nrc == pytest.approx(nrc)
    assert rated.alpha_w(alpha[1:]) <= 1.0


def test_sum_of_exactly_a_tenth_is_allowed() -> None:
    """ISO 11654, 4.2: the sum of unfavourable deviations is at most 0.10."""
    assert rated.alpha_w([0.80, 0.95, 0.95, 1.00, 0.90]) == 1.0
    assert rated.alpha_w([0.80, 0.95, 0.95, 0.95, 0.90]) == pytest.approx(0.95)
    assert rated.alpha_w([0.70, 1.00, 1.00, 1.00, 0.90]) == 1.0
    assert rated.alpha_w([0.65, 1.00, 1.00, 1.00, 0.90]) == pytest.approx(0.95)


@given(st.lists(st.integers(0, 20), min_size=5, max_size=5))
def test_alpha_w_is_the_search_worded_in_the_standard(steps: list[int]) -> None:
    reference = [16, 20, 20, 20, 18]
    down = 0
    while sum(max(0, ref - down - a) for ref, a in zip(reference, steps, strict=True)) > 2:
        down += 1
    assert rated.alpha_w(np.array(steps) / 20) == pytest.approx(float(Fraction(20 - down, 20)))


@pytest.mark.parametrize(
    ("alpha", "letters"),
    [
        ([0.80, 0.30, 0.30, 0.30, 0.30], "L"),
        ([0.20, 0.35, 0.60, 0.85, 0.90], "H"),
        ([0.10, 0.30, 0.65, 0.70, 0.65], "MH"),
        ([0.65, 0.60, 0.60, 0.60, 0.50], "L"),  # 0.25 exactly over the curve of 0.60
        ([0.60, 0.60, 0.60, 0.60, 0.50], ""),
    ],
)
def test_surplus_of_a_quarter_earns_its_letter(alpha: list[float], letters: str) -> None:
    """ISO 11654, 4.3: at least 0.25 above the shifted curve at 250; 500 or 1000; 2000 or 4000 Hz."""
    assert rated.shape_letters(alpha) == letters


@pytest.mark.parametrize(
    ("weighted", "name"),
    [(1.0, "A"), (0.9, "A"), (0.85, "B"), (0.8, "B"), (0.75, "C"), (0.6, "C"), (0.55, "D"), (0.3, "D"),
     (0.25, "E"), (0.15, "E"), (0.1, "not classified"), (0.0, "not classified")],
)  # fmt: skip
def test_classes(weighted: float, name: str) -> None:
    """ISO 11654:1997, table B.1 (from memory)."""
    assert rated.absorber_class(weighted) == name


def test_practical_coefficients_are_octave_means_in_steps_and_capped() -> None:
    alpha = np.zeros(27)
    alpha[6:9] = [0.10, 0.17, 0.20]  # mean 0.157
    alpha[9:12] = [0.20, 0.225, 0.25]  # mean 0.225: half a step goes up
    alpha[12:15] = [1.1, 1.2, 1.0]
    assert rated.practical(alpha).tolist() == pytest.approx([0.15, 0.25, 1.0, 0.0, 0.0, 0.0])


def test_uniform_absorber_rates_as_itself() -> None:
    """0.50 everywhere: NRC and SAA are it; alpha_w is 0.50 too (the curve's 0.40 at its ends lies below)."""
    got = rated.rate_absorption(np.full(27, 0.5))
    assert (got.alpha_w, got.nrc, got.saa, got.shape) == (0.5, 0.5, 0.5, "")
    assert str(got) == "alpha_w 0.50, class D, NRC 0.50, SAA 0.50"


def test_saa_to_a_hundredth_and_nrc_to_a_twentieth() -> None:
    """ASTM C423: means of 12 and of 4 bands; bands outside 200 to 2500 Hz do not count."""
    alpha = np.where((THIRD_OCTAVES >= 200) & (THIRD_OCTAVES <= 2500), 0.37, 1.2)
    assert rated.saa(alpha) == pytest.approx(0.37)
    assert rated.nrc(alpha) == pytest.approx(0.35)
    alpha[9] = 0.43  # 200 Hz: mean 0.375 goes up
    assert rated.saa(alpha) == pytest.approx(0.38)
    assert rated.nrc(alpha) == pytest.approx(0.35)


def test_nothing_absorbs_nothing() -> None:
    got = rated.rate_absorption(np.zeros(27))
    assert (got.alpha_w, got.nrc, got.saa, got.absorber_class) == (0.0, 0.0, 0.0, "not classified")


def test_many_absorbers_at_once() -> None:
    alpha = np.random.default_rng(11).uniform(0, 1.2, (40, 27))
    for i, one in enumerate(alpha):
        assert rated.nrc(alpha)[i] == rated.nrc(one)
        assert rated.saa(alpha)[i] == rated.saa(one)
        assert rated.alpha_w(rated.practical(alpha)[:, 1:])[i] == rated.rate_absorption(one).alpha_w


def test_partial_data() -> None:
    alpha = np.full(27, np.nan)
    alpha[9:21] = 0.5
    got = rated.rate_absorption(alpha)
    assert (got.alpha_w, got.nrc, got.saa) == (None, 0.5, 0.5)
    assert str(rated.rate_absorption(np.full(27, np.nan))) == "no rating: too few bands"


def test_bad_input() -> None:
    with pytest.raises(ValueError, match="27 third octaves"):
        rated.nrc(np.zeros(4))
