"""What explains a measurement, from bare curves: leaks and paths round the wall put in and found again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, Array
from isolate.measuring.fit import Fit, Fitted, best_fit
from isolate.measuring.model import Compared, _dip, _is_dip, _slope

WALL = 10 ** (-(20 + 20 * np.log10(THIRD_OCTAVES / 50)) / 10)  # by the mass law
EVEN, BASS = np.ones(27), (500.0 / THIRD_OCTAVES) ** 0.3


def leak(shape: Array) -> Callable[[float], Array]:
    """So many m2 (lg) of what lets the same through in all bands, or more of the bass, in 10 m2."""
    return lambda size: 10**size / 10.0 * shape


def fitted(tau: Array, u_db: float = 1.0, **how: Any) -> Fit:
    leaks = how.pop("leaks", {1e-3: leak(EVEN)})
    told = {"body": WALL, "leaks": leaks, "sigma_db": np.zeros(27), "existing": False} | how
    measured = how.get("measured", -10 * np.log10(tau))
    told.pop("measured", None)
    return best_fit(measured, np.full(27, u_db), told.pop("hidden", np.zeros(27, bool)), **told)


def test_what_was_put_in_is_found_again() -> None:
    """Nothing, a leak of 10 cm2, paths that limit R' to 50 dB at 500 Hz and gain 6 dB an octave, or both."""
    rise = 10 ** (-(50 + 6 * np.log2(THIRD_OCTAVES / 500)) / 10)
    nothing = fitted(WALL)
    assert nothing.kind == "as predicted" and nothing.chi2 == pytest.approx(0.0, abs=1e-6)
    hole = fitted(WALL + 1e-4)
    assert hole.kind == "leak" and hole.leak is not None and hole.leak.value == pytest.approx(1e-3, rel=0.01)
    assert hole.width == 1e-3 and hole.leak.low < 1e-3 < hole.leak.high
    heavy = 10 ** (-(45 + 30 * np.log10(THIRD_OCTAVES / 50)) / 10)
    round_it = fitted(heavy + rise, body=heavy, u_db=0.3)
    assert round_it.kind == "flanking" and round_it.flanking_db is not None
    assert round_it.flanking_db.value == pytest.approx(50.0, abs=0.1) and round_it.chi2 < 0.05
    low, high = round_it.flanking_db.low, round_it.flanking_db.high
    assert low < high and (low + high) / 2 == pytest.approx(round_it.flanking_db.value)
    both = fitted(heavy + rise + 1e-6, body=heavy, u_db=0.1)
    assert both.kind == "both" and both.chi2 < 0.05


def test_bands_from_50_hz_to_5_khz_count() -> None:
    assert fitted(WALL).bands == 21
    curve = -10 * np.log10(WALL)
    curve[[10, 11]] = np.nan
    assert fitted(WALL, measured=curve).bands == 19


def test_an_explanation_must_bring_six_of_chi_square() -> None:
    """Twice ln 20, for some 20 bands; the chances are as of the Akaike weights."""
    low, high = -9.0, -3.0
    for _ in range(10):
        middle = (low + high) / 2
        if fitted(WALL + 10**middle / 10).kind == "leak":
            high = middle
        else:
            low = middle
    just = fitted(WALL + 10**high / 10)
    assert just.chi2_predicted - just.chi2 == pytest.approx(6.0, abs=0.05)
    chances = dict(just.chances)
    assert chances["leak"] == pytest.approx(chances["as predicted"], rel=0.05)
    assert sum(chances.values()) == pytest.approx(1.0)


def test_limits_hold_for_all_widths_that_fit_nearly_as_well() -> None:
    """2.7 of chi-square: nine in ten with one degree of freedom."""

    def limits(u_db: float, **leaks: Array) -> tuple[float, float]:
        found = fitted(WALL + 1e-4, u_db, leaks={i + 1.0: leak(x) for i, x in enumerate(leaks.values())}).leak
        assert found is not None
        return found.low, found.high

    apart = fitted(WALL + 1e-4, 1.0, leaks={2.0: leak(BASS)}).chi2
    for worse, within in ((2.5, True), (2.9, False)):
        u_db = (apart / worse) ** 0.5
        alone, both = limits(u_db, even=EVEN), limits(u_db, even=EVEN, bass=BASS)
        assert (both != pytest.approx(alone)) == within


def test_a_curve_that_is_off_as_a_whole_is_shifted_not_leaking() -> None:
    """Half the variance is common to all bands (`COMMON`): a shift of one standard deviation costs next to
    nothing."""
    off = fitted(WALL * 10**0.2, u_db=2.0)
    assert off.kind == "as predicted" and off.shift_db == pytest.approx(-2.0, abs=0.15)


def test_a_lower_limit_that_is_kept_costs_nothing() -> None:
    hidden = THIRD_OCTAVES > 2000.0
    curve = -10 * np.log10(WALL)
    curve[hidden] -= 15.0
    kept = fitted(WALL, measured=curve, hidden=hidden)
    assert kept.kind == "as predicted" and kept.chi2 == pytest.approx(0.0, abs=1e-3)
    broken = fitted(WALL, measured=np.where(hidden, curve + 30.0, curve), hidden=hidden)
    assert broken.chi2 > 10.0


def test_described_gaps_are_told_by_how_many_times_as_open() -> None:
    there = leak(EVEN * 1e-3)
    for times in (1.0, 5.0):
        found = fitted(WALL + times * 1e-4, body=WALL, leaks={0.0: there}, existing=True)
        assert found.kind == ("leak" if times > 1.0 else "as predicted")
        assert times == 1.0 or (found.leak is not None and found.leak.value == pytest.approx(times, rel=0.02))
    hole = fitted(WALL + 1e-4)
    data = hole.to_dict()
    assert data["leak_area_cm2"]["value"] == pytest.approx(10.0, rel=0.01) and data["gaps_times"] is None
    assert data["leak_width_mm"] == 1.0 and hole.leak is not None
    assert data["leak_area_cm2"]["low"] == 1e4 * hole.leak.low < 10.0
    assert data["leak_area_cm2"]["high"] == 1e4 * hole.leak.high > 10.0


def test_measurement_and_prediction_are_wrong_by_themselves() -> None:
    """1.2 and 1.6 dB are 2 dB together."""
    wavy = WALL * 10 ** (0.1 * np.where(np.arange(27) % 2, 1.0, -1.0))
    one, other = fitted(wavy, u_db=1.2, sigma_db=np.full(27, 1.6)), fitted(wavy, u_db=2.0)
    assert other.chi2 > 5.0 and one.chi2 == pytest.approx(other.chi2)


# --- what is told of it ---


def compared(fit: Fit, residual: Array | float = 0.0, hidden: Array | None = None) -> Compared:
    predicted = -10 * np.log10(WALL)
    none = np.zeros(27, bool) if hidden is None else hidden
    return Compared("x", ("wall",), ("wall",), 10.0, 0.04, False, predicted + residual, np.full(27, 0.6),
                    none, predicted, np.full(27, 0.8), fit, ())  # fmt: skip


def told(**how: Any) -> str:
    plain = fitted(WALL)
    return " ".join(compared(replace(plain, **how)).explanation)


def test_a_shift_of_two_decibels_is_worth_telling() -> None:
    assert "nothing" in told(shift_db=1.9) and "nothing" in told(shift_db=-1.9)
    assert "2 dB more than predicted" in told(shift_db=2.1) and "2 dB less" in told(shift_db=-2.1)
    leak_ = Fitted(1e-4, 5e-5, 2e-4)
    assert "in all bands alike" not in told(kind="leak", leak=leak_, width=1e-3, shift_db=1.9)
    assert "in all bands alike" in told(kind="leak", leak=leak_, width=1e-3, shift_db=2.1)


def test_a_slit_shorter_than_five_centimetres_is_told_as_a_hole() -> None:
    """1 mm wide: 49 mm are 49 mm2, 7 mm square; 1 cm2 is a slit of 10 cm."""
    assert "a hole 7 mm square" in told(kind="leak", leak=Fitted(4.9e-5, 4e-5, 6e-5), width=1e-3)
    slit = told(kind="leak", leak=Fitted(1e-4, 5e-5, 2e-4), width=1e-3)
    assert "a leak of 1 cm2 (0.5 to 2 cm2), such as a slit 1 mm wide and 0.1 m long" in slit
    assert "slit" in told(kind="leak", leak=Fitted(5.1e-5, 4e-5, 6e-5), width=1e-3)
    assert "50 dB at 500 Hz (48 to 52 dB)" in told(kind="flanking", flanking_db=Fitted(50.0, 48.0, 52.0))


def test_bands_agree_within_the_limits_of_both() -> None:
    """0.6 and 0.8 dB are 1 dB together, 1.645 dB in nine of ten; lower limits do not count."""
    plain = fitted(WALL)
    for off, share in ((1.63, 1.0), (1.66, 0.0), (-1.66, 0.0)):
        assert compared(plain, off).agrees == share
    data = compared(plain).to_dict()  # 1.645 x 0.8 dB
    assert data["predicted_db"] - data["predicted_low_db"] == pytest.approx(np.full(27, 1.316))
    assert data["predicted_high_db"] - data["predicted_db"] == pytest.approx(np.full(27, 1.316))
    half = np.where(np.arange(27) < 9, 3.0, 0.0)
    assert compared(plain, half).agrees == pytest.approx(18 / 27)
    assert compared(plain, half, np.arange(27) < 9).agrees == 1.0


def test_a_difference_of_slope_is_one_from_a_decibel_and_a_half_an_octave_on() -> None:
    """From 100 to 3150 Hz, over eight bands at least, and beyond what chance makes of it."""
    octaves = np.log2(THIRD_OCTAVES / 500.0)
    for db, found in ((1.4, None), (1.6, "gains 1.6 dB"), (-1.6, "falls behind")):
        hint = _slope(db * octaves, np.full(27, 0.5))
        assert (hint.what[: len(found)] if hint and found else hint) == found
    hint = _slope(2.0 * octaves, np.full(27, 0.5))
    assert hint is not None and (hint.first_hz, hint.last_hz) == (100.0, 3150.0)
    known = np.where(np.arange(27) < 14, 2.0 * octaves, np.nan)
    assert _slope(known, np.full(27, 0.1)) is not None
    assert _slope(np.where(np.arange(27) < 13, known, np.nan), np.full(27, 0.1)) is None
    deviation = 1.0 / np.sqrt(np.sum((octaves[6:22] - octaves[6:22].mean()) ** 2))  # of 16 bands of 1 dB
    for times, told_ in ((1.6, False), (1.7, True)):
        u_db = 3.0 / deviation / times
        assert (_slope(3.0 * octaves, np.full(27, u_db)) is not None) == told_


def test_a_dip_is_laid_to_what_lies_within_three_quarters_of_an_octave() -> None:
    residual = np.zeros(27)
    residual[15] = -6.0
    for octaves, laid in ((0.7, True), (0.8, False), (-0.7, True), (-0.8, False)):
        hint = _dip(15, residual, [(800.0 * 2**octaves, "coincidence"), (9000.0, "resonance")])
        assert hint.what.startswith("is 6 dB deeper at 800 Hz") and ("the coincidence" in hint.what) == laid
    assert _dip(15, residual + 5.0, []).what.startswith("is 6 dB deeper")  # than its shoulders
    residual[12] = 4.0
    assert _dip(15, residual, []).what.startswith("is 8 dB deeper")  # than the mean of both
    plain = fitted(WALL)
    for depth, found in ((3.9, False), (4.1, True)):
        shape = np.zeros(27)
        shape[15] = -depth
        assert _is_dip(shape, compared(plain), 15) == found and not _is_dip(shape, compared(plain), 14)
        assert _is_dip(shape + 5.0, compared(plain), 15) == found
        shape[[14, 16]] = -2.0  # measured against three bands off
        assert _is_dip(shape, compared(plain), 15) == found
    shape[16] = np.nan
    assert not _is_dip(shape, compared(plain), 15)
