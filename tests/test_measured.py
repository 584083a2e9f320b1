"""What follows from a measurement's numbers: ratings, holes and dips, change; no recordings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm
from test_measure import WALL

from isolate.bands import THIRD_OCTAVES
from isolate.errors import InputError
from isolate.measuring.change import changed
from isolate.measuring.checks import DOUBT, NOTE, SPOILT, Finding
from isolate.measuring.isolation import Measurement, told
from isolate.measuring.measured import Setup, rated
from isolate.standards.field import CLEAR, LIMIT


def made(difference: np.ndarray, *, time: float = 0.5, setup: Setup | None = None) -> Measurement:
    """A measurement with this level difference and reverberation time."""
    flat = np.zeros(27)
    return told(Measurement(
        setup=setup or Setup(time=time), names={}, loud_db=flat, quiet_db=flat - difference,
        background_db=flat - 120, rule=np.full(27, CLEAR), difference_db=difference,
        time=np.full(27, time), time_basis=("stated",) * 27,
        u_db=np.full(27, 1.0), repeat_db=np.full(27, 0.7), calibrated=False, findings=(), notes=(),
    ))  # fmt: skip


def test_dntw_of_the_standards_example() -> None:
    """ISO 717-1:2020, annex C, table C.1: 100 to 3150 Hz, result 30 (-2; -3), here as the DnT of a room with
    T = 1 s (so that D is 10 lg 2 lower)."""
    example = [20.4, 16.3, 17.7, 22.6, 22.4, 22.7, 24.8, 26.6]
    example += [28.0, 30.5, 31.8, 32.5, 33.4, 33.0, 31.0, 25.5]
    curve = np.full(27, 30.0)
    curve[6:22] = example
    result = made(curve - 10 * np.log10(2.0), time=1.0)
    best = result.rating("DnT,w")
    assert best is not None
    assert (best.value, best.c, best.ctr) == (30, -2, -3)
    assert best.low <= 30 <= best.high  # type: ignore[operator]


def test_a_facade_has_its_own_ratings() -> None:
    result = made(WALL, setup=Setup(time=0.5, facade=True, volume=40.0, area=5.0))
    names = {one.name for one in result.ratings}
    assert {"D2m,nT,w", "R'w", "OITC (apparent)"} <= names and "NIC" not in names
    assert result.reduction_db is not None
    # R' = D2m,nT - 10 lg(0.32 V/S): ISO 12354-3 with A = 0.16 V/T (its own V/(6 T0 S) prints 1/6 for 0.16)
    assert result.reduction_db - result.standardised_db == pytest.approx([-10 * np.log10(0.32 * 40 / 5)] * 27)


def test_a_hole_is_pointed_at_with_its_size() -> None:
    """A hole of 20 cm2 into a room of 10 m2 absorption caps D at 10 lg(10/0.002) = 37 dB."""
    wall = 20 + 20 * np.log10(THIRD_OCTAVES / 100)
    difference = -10 * np.log10(10 ** (-wall / 10) + 0.002 / 10)
    setup = Setup(time=0.5, volume=10.0 * 0.5 / 0.16)
    hint = made(difference, setup=setup).hints[0]
    assert hint.kind == "plateau"
    assert hint.open_area == pytest.approx(0.002, rel=0.15)
    assert made(wall, setup=setup).hints == ()


def test_a_plateau_high_up_is_not_called_a_hole() -> None:
    hint = made(np.minimum(30 + 20 * np.log10(THIRD_OCTAVES / 50), 56.0)).hints[0]
    assert "goes round" in hint.what


def test_a_single_pane_is_not_called_a_leak() -> None:
    """Glass of 4 mm by mass law with its coincidence: flat from 500 Hz on, and no hole."""
    pane = (
        20 * np.log10(THIRD_OCTAVES * 10.0) - 47 - 14 * np.exp(-((np.log2(THIRD_OCTAVES / 3150) / 0.45) ** 2))
    )
    assert [hint.kind for hint in made(pane).hints] == ["dip"]


def test_dips_are_named_by_where_they_are() -> None:
    """Glass of 4 mm coincides near 12.5/0.004 = 3125 Hz (Hopkins 2007, table A2: 12.5 Hz m)."""
    wall = 20 + 15 * np.log10(THIRD_OCTAVES / 100)
    wall[21] -= 9
    wall[[20, 22]] -= 4
    dip = made(wall).hints[0]
    assert (dip.kind, dip.first_hz) == ("dip", 3150.0)
    assert "glass 4 mm" in dip.what
    wall = 20 + 15 * np.log10(THIRD_OCTAVES / 100)
    wall[9] -= 8
    assert "air between" in made(wall).hints[0].what


def test_before_and_after_say_what_changed_and_from_where() -> None:
    """Sealing brings 6 dB from 125 Hz up and nothing below."""
    rng = np.random.default_rng(12)
    gain = np.where(THIRD_OCTAVES >= 125, 6.0, 0.0)
    before, after = made(WALL), made(WALL + gain + rng.normal(0, 0.5, 27))
    change = changed(before, after, name="before.json")
    assert [part.first_hz for part in change.parts] == [25.0, 125.0]
    low, high = change.parts
    assert not low.sure and low.words().startswith("no change")
    assert high.sure and high.gain_db == pytest.approx(6.0, abs=0.6)
    assert high.words().startswith("better by 6 ± 1 dB from 125 to 10000 Hz: clearly quieter")


def test_no_change_is_not_called_one() -> None:
    """Repetitions that differ by their stated uncertainty: a change in about one of ten, as a 90 % test
    is."""
    rng = np.random.default_rng(13)
    called = 0
    for _ in range(100):
        common = rng.normal(0, 0.7 * np.sqrt(0.5), (2, 1)) + rng.normal(0, 0.7 * np.sqrt(0.5), (2, 27))
        change = changed(made(WALL + common[0]), made(WALL + common[1]), name="b")
        called += any(part.sure for part in change.parts)
    assert 2 <= called <= 25


def test_a_hidden_after_is_at_least_and_both_hidden_are_unknown() -> None:
    before, after = made(WALL), made(WALL + 5)
    after = replace(after, rule=np.where(THIRD_OCTAVES > 1000, LIMIT, CLEAR))
    before = replace(before, rule=np.where(THIRD_OCTAVES > 4000, LIMIT, CLEAR))
    change = changed(before, after, name="b")
    assert change.bound[18] == "at least"
    assert change.bound[-1] == "unknown" and np.isnan(change.gain_db[-1])


def slope(db: float) -> np.ndarray:
    """A curve that gains so much an octave from 500 Hz on, and 6 dB below: no wall's own is flatter."""
    octaves = np.log2(THIRD_OCTAVES / 500.0)
    return np.where(octaves > 0, db, 6.0) * octaves + 35.0


def test_under_a_decibel_and_a_half_an_octave_a_curve_is_flat() -> None:
    """Off coincidence a wall gains 6 dB an octave by mass law: a quarter of it is something else."""
    assert [hint.kind for hint in made(slope(1.4)).hints] == ["plateau"]
    assert made(slope(1.6)).hints == ()


def test_a_plateau_is_seen_from_500_hz_to_8_khz_or_above_1_or_2_khz() -> None:
    """Flat up high alone, as behind a seal that leaks treble: told from where it begins; over less than seven
    bands nothing is said."""

    def from_(first: float) -> np.ndarray:
        """20 dB at 100 Hz, 12 dB an octave up to this band, flat from there."""
        return 20.0 + 12.0 * np.log2(np.minimum(THIRD_OCTAVES, first) / 100.0)

    for corner, start in ((500.0, 500.0), (1000.0, 1000.0), (2000.0, 2000.0)):
        (hint,) = made(from_(corner)).hints
        assert (hint.kind, hint.first_hz, hint.last_hz) == ("plateau", start, 8000.0)
    few = made(from_(2000.0))
    hidden = told(replace(few, rule=np.where(THIRD_OCTAVES > 6300.0, LIMIT, CLEAR)))
    assert hidden.drowned.any() and hidden.hints == ()  # six bands from 2 to 6.3 kHz
    assert told(replace(few, rule=np.where(THIRD_OCTAVES > 8000.0, LIMIT, CLEAR))).hints  # seven


@pytest.mark.parametrize(("level", "word"), [(51.0, "air gets through"), (53.0, "goes round")])
def test_a_plateau_from_52_db_on_goes_round_the_wall(level: float, word: str) -> None:
    """Common practice, no source."""
    curve = -10 * np.log10(10 ** (-(level + 20 * np.log10(THIRD_OCTAVES / 500)) / 10) + 10 ** (-level / 10))
    (hint,) = made(curve, setup=Setup(time=0.5, volume=50.0)).hints
    assert word in hint.what
    assert hint.open_area == pytest.approx(0.16 * 50 / 0.5 * 10 ** (-level / 10), rel=0.15)


def test_without_a_volume_a_hole_is_that_of_ten_square_metres() -> None:
    """A0 of Dn (ISO 16283-1); a wall of 6 dB an octave beside a hole: fitted by both."""
    wall = 20 + 20 * np.log10(THIRD_OCTAVES / 50)
    (hint,) = made(-10 * np.log10(10 ** (-wall / 10) + 1e-4)).hints
    assert hint.open_area == pytest.approx(10.0 * 1e-4, rel=0.01)
    assert hint.to_dict()["open_area_cm2"] == pytest.approx(10.0, rel=0.01)


def test_a_hole_is_told_from_the_wall_beside_it() -> None:
    """Even at 8 kHz the wall lets 1/16 as much through: 40 dB are 20 cm2 of 20 m2, 3.1 square inches. Flat
    from 2 kHz on; what it does below 500 Hz, two octaves down, is not asked."""
    wall = 52 + 20 * np.log10(THIRD_OCTAVES / 8000)
    difference = -10 * np.log10(10 ** (-wall / 10) + 1e-4)
    difference[THIRD_OCTAVES < 450] -= np.linspace(0.0, 6.0, 13)
    (hint,) = made(difference, setup=Setup(time=0.5, volume=20.0 * 0.5 / 0.16)).hints
    assert hint.open_area == pytest.approx(20e-4, rel=0.01)
    assert "about 20 cm2 (3.1 in2)" in hint.what


def test_neither_a_dip_nor_bands_hardly_known_make_a_plateau() -> None:
    """2 dB an octave is no plateau, whatever a dip at 5 kHz or two bands known to 20 dB make of it."""
    curve = 20 + 2.0 * np.log2(THIRD_OCTAVES / 100)
    dip = curve - 12.0 * np.exp(-((np.arange(27) - 23) ** 2) / 1.0)
    assert [hint.kind for hint in made(dip).hints] == ["dip"]
    vague = (THIRD_OCTAVES > 6000) & (THIRD_OCTAVES < 9000)
    fallen = replace(made(curve - 10.0 * vague), u_db=np.where(vague, 20.0, 1.0))
    assert told(fallen).hints == ()


def test_an_octave_about_a_dip_is_no_plateau() -> None:
    """A dip at 315 Hz: 630 Hz is left out, 800 Hz is not."""
    plateau, dip = made(40.0 - 8.0 * np.exp(-((np.arange(27) - 11.0) ** 2))).hints
    assert (plateau.kind, plateau.first_hz) == ("plateau", 800.0)
    assert (dip.kind, dip.first_hz) == ("dip", 315.0)


def test_a_hole_is_told_by_what_the_usual_band_of_the_treble_absorbs() -> None:
    """A = 0.16 V/T at 1.6 kHz, the middle one of the eleven from 500 to 5000 Hz where T falls all along."""
    wall = 20 + 20 * np.log10(THIRD_OCTAVES / 50)
    time = 2.0 * 0.8 ** (np.arange(27) - 18.0)  # 2 s at 1.6 kHz
    plain = made(-10 * np.log10(10 ** (-wall / 10) + 1e-4), setup=Setup(time=0.5, volume=50.0))
    (hint,) = told(replace(plain, time=time)).hints
    assert hint.open_area == pytest.approx(0.16 * 50.0 / 2.0 * 1e-4, rel=0.01)


def dipped(band: int, depth: float, u_db: float = 1.0) -> Measurement:
    """A curve of 3 dB an octave with a dip so deep against the mean of both shoulders."""
    curve = 20 + 3.0 * np.log2(THIRD_OCTAVES / 100)
    curve[band - 1 : band + 2] -= depth * np.array([0.5, 1.0, 0.5])
    return replace(made(curve), u_db=np.full(27, u_db))


def test_a_dip_is_one_from_4_db_on_and_beyond_what_chance_brings() -> None:
    """Half a band's variance is common to all: sqrt(0.5 (1/4 + 1 + 1/4)) = 0.87 of it is left; 1.645 of that
    at 5 dB are 7.1 dB."""

    def seen(depth: float, u_db: float = 1.0) -> bool:
        found = told(dipped(12, depth, u_db)).hints
        return any(hint.kind == "dip" for hint in found)

    assert not seen(3.9) and seen(4.1)
    assert not seen(7.0, 5.0) and seen(7.3, 5.0)
    for vague in (9, 15):  # three bands off, a shoulder of 20 dB: 1.645 sqrt(0.5 (100 + 1 + 1/4)) = 11.7
        one = dipped(12, 8.0)
        assert not told(replace(one, u_db=np.where(np.arange(27) == vague, 20.0, 1.0))).hints


def test_of_two_dips_within_three_bands_the_deeper_is_one() -> None:
    for other in (10, 14):
        one = dipped(12, 0.0)
        curve = one.difference_db.copy()
        curve[[12, other]] -= [20.0, 8.0]
        assert [hint.first_hz for hint in told(replace(one, difference_db=curve)).hints] == [400.0]


def test_a_dip_is_laid_to_what_may_lie_there() -> None:
    """Critical frequency times thickness, Hopkins 2007, table A2: glass 12.5, gypsum board 35.8, plywood
    16.8, brick 24 Hz m; coincidence of boards from 800 Hz, of brick below 400 Hz; under 80 Hz, or where fewer
    modes lie than make a field (2000 sqrt(T/V), T 0.5 s: 224 Hz of 40 m3, 53 of 700), the rooms sway."""

    def said(band: int, volume: float | None = None) -> str:
        found = told(replace(dipped(band, 8.0), setup=Setup(time=0.5, volume=volume))).hints
        (hint,) = [one for one in found if one.kind == "dip"]
        assert hint.first_hz == hint.last_hz == THIRD_OCTAVES[band]
        return hint.what

    high = said(15)
    assert THIRD_OCTAVES[15] == 800.0 and "coincidence, where a pane" in high
    for name, constant in (("glass", 12.5), ("gypsum board", 35.8), ("plywood", 16.8)):
        assert f"{name} {constant / 800.0 * 1e3:.0f} mm" in high
    assert "brick" not in high and "air between" in said(14)
    assert "brick 76 mm" in said(11) and "brick" not in said(12)  # 315 and 400 Hz
    assert "sway" in said(4) and "air between" in said(5)  # 63 and 80 Hz
    assert "air between" in said(4, volume=700.0) and "sway" in said(3, volume=700.0)  # 53 Hz


# --- what changed ---


def test_a_change_is_sure_where_chance_brings_it_once_in_ten() -> None:
    """1.645 standard deviations of 1 dB times sqrt 2, half of it common to 27 bands: 0.73 dB on the mean."""
    u = np.hypot(0.7, 0.7)
    mean = u * np.sqrt(0.5 + 0.5 / 27)
    for gain, sure in ((1.6 * mean, False), (1.7 * mean, True), (-1.7 * mean, True)):
        (part,) = changed(made(WALL), made(WALL + gain), name="b").parts
        assert part.u_db == pytest.approx(mean) and part.sure == sure
        assert part.chance_better == pytest.approx(norm.cdf(gain / mean))
        assert ("worse" in part.words()) == (gain < 0)
    assert changed(made(WALL), made(WALL), name="b").parts[0].chance_better == pytest.approx(0.5)


def test_what_is_noticed_is_sure_and_more_than_ears_miss() -> None:
    """3 dB is what anyone notices (common practice)."""
    quiet = replace(made(WALL), repeat_db=np.full(27, 0.1))
    for gain, noticed in ((0.5, False), (6.0, True), (-6.0, True)):
        after = replace(made(WALL + gain), repeat_db=np.full(27, 0.1))
        assert changed(quiet, after, name="b").noticed == noticed
    unsure = replace(made(WALL + 6.0), repeat_db=np.full(27, 20.0))
    assert not changed(quiet, unsure, name="b").noticed


def test_two_gains_need_five_bands_each() -> None:
    for bands, parts in ((4, 1), (5, 2)):
        step = np.where(np.arange(27) < bands, 0.0, 12.0)
        found = changed(made(WALL), made(WALL + step), name="b").parts
        assert (len(found) == parts == 2) == (found[0].last_hz == THIRD_OCTAVES[bands - 1])
    both, few = (
        [replace(made(WALL), rule=np.where(np.arange(27) < holes, LIMIT, CLEAR))] * 2 for holes in (22, 23)
    )
    assert np.isfinite(changed(*both, name="b").gain_db).sum() == 5
    with pytest.raises(InputError, match="too few bands"):
        changed(*few, name="b")


def test_bands_fall_in_two_where_that_says_more_than_it_costs() -> None:
    """BIC: two more numbers cost 2 ln 27 = 6.59. A step of g between 13 and 14 bands is worth
    g^2 13 14 / 27 / own^2, where own is what bands do not share, 0.7 dB sqrt(2) sqrt(0.5) = 0.7 dB: from
    g = 0.692 dB on."""
    steps = [np.where(np.arange(27) < 13, 0.0, gain) for gain in (0.67, 0.71)]
    one, two = (changed(made(WALL), made(WALL + step), name="b").parts for step in steps)
    assert len(one) == 1 and [part.last_hz for part in two] == [400.0, 10_000.0]
    wavy = np.where(np.arange(27) % 2, 1.0, -1.0)  # differs much, and nowhere more than elsewhere
    assert len(changed(made(WALL), made(WALL + wavy), name="b").parts) == 1
    top = np.where(np.arange(27) < 22, 0.0, 12.0)  # five bands
    assert changed(made(WALL), made(WALL + top), name="b").parts[0].last_hz == THIRD_OCTAVES[21]
    four = np.where(np.arange(27) < 23, 0.0, 12.0)
    assert changed(made(WALL), made(WALL + four), name="b").parts[-1].first_hz == THIRD_OCTAVES[22]


def test_a_change_is_told_with_what_chance_brings() -> None:
    """2 dB either way in every band, half of it common: 1.645 x 2 sqrt(2) sqrt(0.5 + 0.5/27) = 3.3 dB."""
    before, after = (replace(made(curve), repeat_db=np.full(27, 2.0)) for curve in (WALL, WALL + 6.0))
    hidden = replace(after, rule=np.full(27, LIMIT))
    (part,) = changed(before, hidden, name="b").parts
    assert part.words().startswith("better by at least 6 \u00b1 3 dB from 25 to 10000 Hz")


def test_only_measured_reverberation_standardises_a_change() -> None:
    """A room that rings twice as long gains 10 lg 2 of D_nT (ISO 16283-1) and nothing of D."""
    old, new = made(WALL), made(WALL, time=1.0)
    assert changed(old, new, name="b").quantity == "D" and changed(old, new, name="b").parts[0].gain_db == 0.0
    timed = [replace(one, time_basis=("measured",) * 27) for one in (old, new)]
    found = changed(*timed, name="b")
    assert found.quantity == "DnT" and found.parts[0].gain_db == pytest.approx(10 * np.log10(2.0))
    with pytest.raises(InputError, match="facade"):
        changed(old, made(WALL, setup=Setup(time=0.5, facade=True)), name="b")


# --- how far it may be trusted, and its limits ---


def test_trust_goes_by_findings_hidden_bands_and_spread() -> None:
    """A quarter of the 16 bands from 100 to 3150 Hz hidden; 3.5 and 6 dB of standard uncertainty: the usual
    one of a survey (ISO 10052) and twice that (our judgement)."""
    plain = made(WALL)
    assert plain.trust == "good"
    for hidden, trust in ((4, "good"), (5, "fair")):
        rule = np.full(27, CLEAR)
        rule[6 : 6 + hidden] = LIMIT
        assert replace(plain, rule=rule).trust == trust
    outside = np.full(27, LIMIT)
    outside[6:22] = CLEAR
    assert replace(plain, rule=outside).trust == "good"
    for u_db, trust in ((3.4, "good"), (3.6, "fair"), (5.9, "fair"), (6.1, "poor")):
        assert replace(plain, u_db=np.full(27, u_db)).trust == trust
    for grave, trust in ((SPOILT, "poor"), (DOUBT, "fair"), (NOTE, "good")):
        finding = Finding("x", grave, "loud", "y", "z")
        assert replace(plain, findings=(finding,)).trust == trust


def test_limits_are_those_of_nine_in_ten() -> None:
    """1.645 standard deviations to both sides (the normal distribution); above a lower limit nothing."""
    plain = made(WALL)
    assert plain.curve_db - plain.low_db == pytest.approx(np.full(27, 1.645))
    assert plain.high_db - plain.curve_db == pytest.approx(np.full(27, 1.645))
    rough = replace(plain, u_db=np.full(27, 2.0))
    assert rough.curve_db - rough.low_db == pytest.approx(np.full(27, 3.29))
    assert rough.high_db - rough.curve_db == pytest.approx(np.full(27, 3.29))
    rule = np.where(THIRD_OCTAVES < 450.0, LIMIT, CLEAR)
    hidden = told(replace(plain, rule=rule))
    assert np.isnan(hidden.high_db[:13]).all() and np.isfinite(hidden.high_db[13:]).all()
    assert not replace(hidden, background_db=None).drowned.any() and hidden.drowned.sum() == 13
    assert [one.at_least for one in hidden.octaves()] == [True] * 5 + [False] * 4
    for octave in rough.octaves():  # as little known as their bands are on the mean
        assert octave.value_db - octave.low_db == pytest.approx(3.29)
        assert octave.high_db - octave.value_db == pytest.approx(3.29)
    best = hidden.rating("DnT,w")
    assert best is not None and best.at_least and best.high is None
    treble = told(replace(plain, rule=np.where(THIRD_OCTAVES > 8000, LIMIT, CLEAR))).rating("DnT,w")
    assert treble is not None and not treble.at_least  # 10 kHz counts for no rating


def test_a_rating_moves_with_what_its_bands_share() -> None:
    """Half the variance is common: the rating of a curve of 2 dB spreads by 1.645 sqrt(0.5) 2 = 2.3 dB
    to each side at least, and by less than 3.3."""
    best = replace(made(WALL), u_db=np.full(27, 2.0))
    (one,) = [rating for rating in rated(best) if rating.name == "DnT,w"]
    assert one.high is not None
    assert 2 * 2.3 - 1 <= one.high - one.low <= 2 * 3.3 + 1
