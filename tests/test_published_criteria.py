"""NC and NR curves, and backgrounds given as one number."""

import warnings
from pathlib import Path
from types import ModuleType

import numpy as np
import pandas as pd
import pytest

from isolate.bands import octave_levels
from isolate.errors import InputError
from isolate.standards import criteria
from isolate.standards.scales import speech_privacy
from isolate.standards.spreading import thirds_of_levels
from isolate.standards.weighting import dba

NR = pd.read_csv(Path(__file__).parent / "published" / "nr_curves.csv", comment="#")


@pytest.fixture(scope="module")
def criterion() -> ModuleType:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", PendingDeprecationWarning)
        from acoustic_toolbox import criterion
    return criterion


def test_nc_table(criterion: ModuleType) -> None:
    """ANSI S12.2 NC curves, 63 Hz to 8 kHz, as carried by acoustic-toolbox: every value."""
    assert set(criterion.NC_CURVES) == set(criteria.NC_NUMBERS)
    for number, row in zip(criteria.NC_NUMBERS, criteria.NC_CURVES, strict=True):
        assert criterion.NC_CURVES[int(number)].tolist() == row.tolist()


def test_the_lowest_octave_of_nc_goes_with_the_curves() -> None:
    """ANSI/ASA S12.2-2008, table 1, 31.5 Hz (from memory): NC-15 61 dB, NC-70 90 dB, 2 or 3 dB a curve."""
    assert (criteria.NC_31_HZ[0], criteria.NC_31_HZ[-1]) == (61.0, 90.0)
    assert set(np.diff(criteria.NC_31_HZ)) == {2.0, 3.0}
    assert (np.diff(criteria.NC_31_HZ - criteria.NC_CURVES[:, 0]) <= 0.0).all()  # steeper in the quiet


def test_nc_of_random_spectra(criterion: ModuleType) -> None:
    """acoustic-toolbox names the next curve above, in fives: our number rounded up to it."""
    rng = np.random.default_rng(9)
    spectra = [criteria.nc_octaves(rng.uniform(15, 68)) + rng.normal(0, 3.0, 9) for _ in range(200)]
    numbers = [(float(criteria.nc(thirds_of_levels(octaves))), octaves) for octaves in spectra]
    compared = [(number, octaves) for number, octaves in numbers if 15 < number < 70]
    assert len(compared) > 150
    for number, octaves in compared:
        assert criterion.nc(octaves[1:]) == 5 * np.ceil(number / 5 - 1e-9)


@pytest.mark.parametrize("number", [15.0, 17.5, 20.0, 33.0, 70.0, 10.0, 80.0])
def test_nc_comes_back_from_its_own_curve(number: float) -> None:
    """A background on the curve touches it in every octave; one octave 1 dB lower changes nothing, one 1 dB
    higher raises the number by 1 dB over the spacing of the curves there."""
    level = criteria.nc_levels(number)
    assert octave_levels(level) == pytest.approx(criteria.nc_octaves(number))
    assert criteria.nc(level) == pytest.approx(number)
    lower = level.copy()
    lower[3:6] -= 1.0
    assert criteria.nc(lower) == pytest.approx(number)
    higher = level.copy()
    higher[15:18] += 1.0
    assert number + 0.8 < criteria.nc(higher) < number + 1.8


def test_nc_rests_on_no_octave_from_memory() -> None:
    """31.5 Hz is not in the table that was read: it never decides a rating."""
    level = criteria.nc_levels(20)
    level[:3] += 40.0
    assert criteria.nc(level) == pytest.approx(20.0)


@pytest.mark.parametrize("row", list(NR.itertuples(index=False)), ids=lambda row: f"NR {row[0]}")
def test_nr_table(row: tuple) -> None:
    """NR curves as tabulated (whole decibels, from memory) against L = A + B NR (read): half a decibel, and
    half the last digit of A."""
    assert np.abs(criteria.nr_octaves(row[0]) - np.array(row[1:])).max() <= 0.55


@pytest.mark.parametrize("number", [0.0, 15.0, 22.5, 60.0])
def test_nr_comes_back_from_its_own_curve(number: float) -> None:
    assert criteria.nr(criteria.nr_levels(number)) == pytest.approx(number)
    assert criteria.nr_octaves(number)[5] == number  # NR is the level at 1 kHz


def test_dba_background() -> None:
    """Its total is the stated one, and it falls 5 dB an octave."""
    level = criteria.dba_levels(24.0)
    assert dba(level) == pytest.approx(24.0)
    assert np.diff(octave_levels(level)) == pytest.approx(-5.0, abs=0.1)


def test_nc_and_dba_stand_as_practice_has_them() -> None:
    """Design guides: dBA is about NC + 5 to 7, for noise that touches its curve in few octaves. A neutral
    spectrum has no such peak and lies up to 3 dB beyond; one that fills the curve beyond that."""
    for level in (24.0, 30.0, 40.0):
        assert 5.0 <= level - criteria.nc(criteria.dba_levels(level)) <= 10.0
    for number in (20, 30, 40):
        assert dba(criteria.nc_levels(number)) > number + 5.0


def test_octaves_are_kept_when_spread() -> None:
    rng = np.random.default_rng(10)
    octaves = rng.uniform(0, 60, (50, 9))
    assert octave_levels(thirds_of_levels(octaves)) == pytest.approx(octaves)
    straight = thirds_of_levels(60.0 - 6.0 * np.arange(9))
    assert np.diff(straight) == pytest.approx(-2.0)  # a straight line stays one
    assert thirds_of_levels([40.0]) == pytest.approx(np.full(3, 40 - 10 * np.log10(3)))
    assert thirds_of_levels([[40.0, 30.0]]).shape == (1, 6)


@pytest.mark.parametrize(
    ("levels", "number", "message"),
    [
        (criteria.nc_levels, 120.0, r"NC beyond all rooms \(got 120\); write 0 to 90"),
        (criteria.nr_levels, -3.0, "NR beyond all rooms"),
        (criteria.dba_levels, 400.0, "dBA beyond all rooms"),
        (criteria.dba_levels, float("nan"), "dBA beyond all rooms"),
    ],
)
def test_impossible_backgrounds_are_refused(levels: object, number: float, message: str) -> None:
    with pytest.raises(InputError, match=message):
        levels(number)


def test_published_pairs_of_speech_privacy() -> None:
    """Published: STC 45 with 35 dBA is normal privacy; confidential takes STC 51, or 41 dBA."""
    assert speech_privacy(45, background_dba=35).grade == "normal"
    assert speech_privacy(51, background_dba=35).grade == "confidential"
    assert speech_privacy(45, background_dba=41).grade == "confidential"
    assert speech_privacy(44, background_dba=35).grade == "none"
    assert speech_privacy(50, background_dba=35).grade == "normal"


@pytest.mark.parametrize(
    ("stc", "part"),
    [(24, "without effort"), (25, "to the word"), (30, "most words"), (35, "no words"),
     (42, "murmur"), (45, "listens"), (48, "edge of hearing"), (50, "not heard")],
)  # fmt: skip
def test_published_scale_of_speech(stc: float, part: str) -> None:
    """The steps of a scale of practice for STC, speech only (read; published scales differ by a few points):
    25 normal speech, 30 loud speech understood, 35 audible and not intelligible, 42 a murmur, 45 must strain,
    48 barely, 50 loud speech not audible."""
    assert part in speech_privacy(stc).words
    assert part in speech_privacy(stc - 5, background_dba=35.0).words  # read for a background of 30 dBA
