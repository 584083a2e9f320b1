"""Frequency weightings, the threshold of hearing and masking against published values and formulas."""

import warnings
from importlib import resources
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from isolate.bands import THIRD_OCTAVES, Array, exact, index_of
from isolate.standards import hearing
from isolate.standards.weighting import A_WEIGHTING, C_WEIGHTING, dba, dbc

PUBLISHED = Path(__file__).parent / "published"
EXACT = exact(THIRD_OCTAVES)
SILENCE = np.full(27, -np.inf)


def table(name: str) -> pd.DataFrame:
    return pd.read_csv(PUBLISHED / name, comment="#")


def only(band_hz: float, level_db: float) -> Array:
    level = SILENCE.copy()
    level[index_of(band_hz)] = level_db
    return level


@pytest.mark.parametrize(("letter", "ours"), [("A", A_WEIGHTING), ("C", C_WEIGHTING)])
def test_weighting_table(letter: str, ours: Array) -> None:
    """IEC 61672-1:2013, table 3, as carried by acoustic-toolbox: every digit."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", PendingDeprecationWarning)
        data = resources.files("acoustic_toolbox").joinpath("data/iec_61672_1_2013.csv")
    with data.open() as file:
        rows = pd.read_csv(file).set_index("nominal")
    assert rows.loc[list(THIRD_OCTAVES), letter].to_list() == ours.tolist()


def test_weightings_follow_their_analogue_formula() -> None:
    """IEC 61672-1:2013, annex E: poles at 20.6, 107.7, 737.9 and 12194 Hz; the table is it to 0.1 dB."""
    f = EXACT
    c = 20 * np.log10(12194.22**2 * f**2 / ((f**2 + 20.598997**2) * (f**2 + 12194.22**2))) + 0.0619
    a = c - 0.0619 + 20 * np.log10(f**2 / np.sqrt((f**2 + 107.65265**2) * (f**2 + 737.86223**2))) + 2.0
    assert np.abs(a - A_WEIGHTING).max() <= 0.051
    assert np.abs(c - C_WEIGHTING).max() <= 0.051


def test_weighted_totals() -> None:
    """A band of 60 dB reads 60 plus its weight; two equal ones 3.01 dB more; along the last axis."""
    assert dba(only(125, 60.0)) == pytest.approx(60 - 16.1)
    assert dbc(only(10000, 60.0)) == pytest.approx(60 - 4.4)
    assert dba(only(500, 63.2) + 0.0) == pytest.approx(60.0)
    both = np.maximum(only(1000, 60.0), only(500, 63.2))
    assert dba(both) == pytest.approx(60 + 10 * np.log10(2))
    assert dba(np.stack([both, both + 7])).tolist() == pytest.approx([63.0103, 70.0103], abs=1e-4)


@pytest.mark.parametrize(
    "row", list(table("iso_389_7_diffuse_field.csv").itertuples()), ids=lambda row: f"{row.band_hz} Hz"
)
def test_diffuse_field_threshold(row: tuple) -> None:
    """ISO 389-7:2019, table 1 (read at 125, 1000, 8000 Hz; else from memory)."""
    assert hearing.THRESHOLD[index_of(row.band_hz)] == row.threshold_db


def test_diffuse_and_free_field_agree_in_the_bass() -> None:
    """Wavelengths longer than a head: the two columns are one up to 250 Hz, and close up to 5 kHz."""
    difference = hearing.THRESHOLD - table("iso_389_7_free_field.csv").threshold_db.to_numpy()
    assert (difference[: index_of(250) + 1] == 0).all()
    assert np.abs(difference[: index_of(5000) + 1]).max() < 2.5


def test_masking_index() -> None:
    """ISO 1996-2:2007, annex C; as a manual has it, from -2 dB (low) to -6 dB (high, 20 kHz)."""
    assert hearing.MASKING_INDEX[0] == pytest.approx(-2.0, abs=0.01)
    assert hearing.MASKING_INDEX[index_of(500)] == pytest.approx(-2 - np.log10(2), abs=0.01)
    beyond = hearing.MASKING_INDEX[-1] - 2.5 * np.log10(20 / 10)
    assert beyond == pytest.approx(-6.0, abs=0.01)


@pytest.mark.parametrize("band", [500, 1000, 2000, 4000, 8000])
def test_tone_in_noise_follows_iso_1996_2(band: float) -> None:
    """acoustic-toolbox's tonal audibility of a tone in white noise, 60 dB over the threshold.

    Tolerance 0.7 dB: a third octave is 23 % wide, the annex's critical band 20 % (10 lg 1.16 = 0.64 dB).
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", PendingDeprecationWarning)
        from acoustic_toolbox.standards import iso_1996_2_2007 as annex_c
    density = 40.0
    noise = density + 10 * np.log10(EXACT * (10**0.05 - 10**-0.05))
    centre = float(exact(band))
    in_critical_band = density + 10 * np.log10(annex_c.critical_band(centre)[3])
    expected = annex_c.tonal_audibility(75.0, in_critical_band, centre)
    assert hearing.margin(only(band, 75.0), noise)[index_of(band)] == pytest.approx(expected, abs=0.7)


@pytest.mark.parametrize(
    ("band", "ratio"), [(125, 18), (250, 17), (500, 17), (1000, 18), (2000, 20), (4000, 23)]
)
def test_critical_ratios(band: float, ratio: float) -> None:
    """Hawkins and Stevens, J. Acoust. Soc. Am. 22 (1950) 6 (from memory): level of a just audible tone over
    the spectrum level of white noise. Tolerance 3.5 dB: the annex lies above them by up to three."""
    density = 50.0
    noise = density + 10 * np.log10(EXACT * (10**0.05 - 10**-0.05))
    heard = hearing.masked_threshold(noise)[index_of(band)] - density
    assert heard == pytest.approx(ratio, abs=3.5)


def test_in_quiet_a_tone_is_measured_from_the_threshold() -> None:
    for i, band in enumerate(THIRD_OCTAVES):
        assert hearing.margin(only(band, 70.0), SILENCE)[i] == pytest.approx(70.0 - hearing.THRESHOLD[i])


def test_under_a_loud_background_of_its_own_shape_only_the_index_counts() -> None:
    """Same spectrum, far above the threshold: each band shows minus the index."""
    noise = hearing.THRESHOLD + 80.0
    margin = hearing.margin(noise, noise)
    assert margin == pytest.approx(-hearing.MASKING_INDEX, abs=1e-5)
    assert hearing.margin(noise + 7.0, noise) == pytest.approx(7.0 - hearing.MASKING_INDEX, abs=1e-5)


def test_threshold_and_masking_add_as_energies() -> None:
    """A background minus the index over the threshold masks as much as quiet hides: 3.01 dB together."""
    at = index_of(1000)
    background = only(1000, hearing.THRESHOLD[at] - hearing.MASKING_INDEX[at])
    assert hearing.masked_threshold(background)[at] - hearing.THRESHOLD[at] == pytest.approx(3.0103, abs=1e-3)


def test_background_nobody_hears_masks_nothing() -> None:
    """25 Hz at 55 dB lies 14 dB under the threshold. As plain levels in one critical band it would hide
    50 dB at 50 Hz, 6 dB over the threshold there; it moves that threshold by 0.1 dB."""
    quiet = hearing.masked_threshold(only(25, 55.0))
    assert np.abs(quiet - hearing.THRESHOLD).max() < 0.15


def test_broad_bass_is_heard_before_its_loudest_third() -> None:
    """In the critical band of 100 Hz (50 to 150 Hz) lie 63, 80, 100 and 125 Hz whole, 56.2 - 50 of the
    11.6 Hz of 50 Hz, 150 - 141.3 of the 36.6 Hz of 160 Hz: 4.8 thirds, 6.8 dB. At 1 kHz a third is alone."""
    level = hearing.THRESHOLD - 3.0
    margin = hearing.margin(level, SILENCE)
    assert margin[index_of(100)] == pytest.approx(-3.0 + 6.8, abs=0.05)
    assert margin[index_of(1000)] == pytest.approx(-3.0)


def test_more_background_never_helps_and_more_sound_never_hides() -> None:
    rng = np.random.default_rng(8)
    level, background = rng.uniform(0, 70, (2, 300, 27))
    margin = hearing.margin(level, background)
    assert (hearing.margin(level, background + rng.uniform(0, 9, 27)) <= margin + 1e-9).all()
    louder = hearing.margin(level + rng.uniform(0, 9, 27), background)
    assert (louder.max(axis=-1) >= margin.max(axis=-1) - 1e-9).all()
    one = np.stack([hearing.margin(x, y) for x, y in zip(level, background, strict=True)])
    assert np.allclose(one, margin, atol=1e-9)


def test_silence_is_never_audible() -> None:
    assert (hearing.margin(SILENCE, SILENCE) == -np.inf).all()
    assert hearing.verdict(hearing.margin(SILENCE, SILENCE)) == "not audible"


@pytest.mark.parametrize(
    ("margin", "word"),
    [(-40, "not audible"), (0, "not audible"), (0.01, "faint"), (5, "faint"), (5.01, "audible"),
     (10, "audible"), (10.01, "clear"), (90, "clear")],
)  # fmt: skip
def test_words(margin: float, word: str) -> None:
    assert hearing.verdict(margin) == word
