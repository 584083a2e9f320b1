"""Draws, limits, chances, what matters most: against analytic moments, the physics itself, and specimens."""

from __future__ import annotations

import math
import tracemalloc

import numpy as np
import pytest
from scipy import special, stats

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import constructions
from isolate.physics.responses import LIMIT, Response, ranges, responses
from isolate.physics.stack import LAB_SIZE
from isolate.physics.transmission import transmission
from isolate.room import chances, draws, prediction, unknowns
from isolate.room.chances import Case, Doubts, Sampler, drawn, largest_margin
from isolate.room.contributions import Answering, Contribution, Flat, OneOf, Pitch, Smooth, spread
from isolate.room.draws import BLOCK, Draws, blocks
from isolate.room.element_unknowns import FAMILY, LAYERS, OWN, ElementUnknowns
from isolate.room.first import Result, luck, to_clear
from isolate.room.unknowns import Unknown
from isolate.standards import hearing
from isolate.standards.weighting import dba

MANY = Draws(3, 4000)
NOTHING = Unknown("nothing", "nothing")
QUIET = np.full(27, -40.0)  # a background that hides nothing


def flat(key: str, sigma: float) -> Flat:
    return Flat(Unknown(key, key, "ask"), key, sigma)


def tone_case(
    level: float,
    *,
    sound: tuple[Contribution, ...] = (),
    losses: tuple[tuple[Contribution, ...], ...] = ((),),
    quiet: tuple[Contribution, ...] = (),
) -> Case:
    """A sound in the 1 kHz band alone, of equal parts by each path."""
    levels = np.full(27, -100.0)
    levels[16] = level
    part = np.full((len(losses), 27), 1.0 / len(losses))
    return Case(levels, part, QUIET, sound, losses, quiet)


# --- the draws themselves ---


def test_normal_draws_are_standard() -> None:
    """Kolmogorov-Smirnov against the normal distribution (scipy); stratified, so closer than chance."""
    assert stats.kstest(MANY.normal("x"), "norm").statistic < 1.001 / MANY.count  # the table's own error


def test_normal_draws_have_the_rank_of_uniform_ones() -> None:
    """By scipy's inverse of the normal distribution, out to six standard deviations."""
    some = Draws(3, 50_000)
    assert some.normal("x") == pytest.approx(special.ndtri(some.uniform("x")), abs=1e-5)


def test_smooth_draws_have_unit_variance_and_half_the_correlation_an_octave_off() -> None:
    z = MANY.smooth("x")
    correlation = np.corrcoef(z, rowvar=False)
    assert np.allclose(z.mean(0), 0.0, atol=0.03)
    assert np.allclose(z.std(0), 1.0, atol=0.04)
    for octaves in (1, 2, 3):
        found = np.mean([correlation[i, i + 3 * octaves] for i in range(27 - 3 * octaves)])
        assert found == pytest.approx(0.5**octaves, abs=0.03)


def test_a_quantity_has_its_draws_whatever_else_is_drawn() -> None:
    first = Draws(1, 100)
    first.normal("something else")
    assert np.array_equal(first.normal("glass.density"), Draws(1, 100).normal("glass.density"))
    assert not np.array_equal(first.normal("glass.density"), first.normal("glass.densitz"))
    assert not np.array_equal(first.normal("a"), Draws(2, 100).normal("a"))


def test_other_draws_have_nothing_in_common() -> None:
    both = np.corrcoef(MANY.normal("x"), MANY.others.normal("x"))
    assert abs(both[0, 1]) < 4.0 / math.sqrt(MANY.count)


def test_blocks_add_up() -> None:
    assert [b.count for b in blocks(1, 2 * BLOCK + 7)] == [BLOCK, BLOCK, 7]
    assert [b.count for b in blocks(1, BLOCK)] == [BLOCK]
    first, second = blocks(1, 2 * BLOCK)
    assert abs(np.corrcoef(first.normal("x"), second.normal("x"))[0, 1]) < 0.2


def test_the_first_block_is_drawn_once_and_not_all_of_it_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(draws, "_MOST", 3)
    first, again = blocks(17, 40)[0], blocks(17, 40)[0]
    known = first.smooth("a")
    assert again.smooth("a") is known
    for key in "bcdefg":
        again.normal(key)
    assert len(first._known) <= 3
    assert np.array_equal(first.smooth("a"), known)
    assert blocks(18, 40)[0].smooth("a") is not known


# --- analytic moments ---


@pytest.mark.parametrize("sigma", [1.0, 4.0])
def test_a_single_normal_input_gives_a_normal_level(sigma: float) -> None:
    """Mean, limits at 5 and 95 % (1.645 standard deviations) of the level, chance of the margin: Phi."""
    case = tone_case(3.0, sound=(flat("level", sigma),))
    (found,) = drawn([case], seed=1, count=4000)
    usual = float(dba(case.level_db))
    margin = float(hearing.margin(case.level_db, QUIET).max())
    assert found.dba.mean() == pytest.approx(usual, abs=0.02)
    assert found.limits_dba == pytest.approx((usual - 1.645 * sigma, usual + 1.645 * sigma), abs=0.03 * sigma)
    assert found.chance == pytest.approx(stats.norm.cdf(margin / sigma), abs=0.002)
    assert found.chance == pytest.approx(prediction.chance_above(margin, sigma), abs=0.002)


def test_a_louder_background_in_draws_lowers_the_chance() -> None:
    """Masking by the background alone: the margin's standard deviation is that of both, root of squares."""
    background = np.full(27, 50.0)
    case = tone_case(48.0, sound=(flat("level", 3.0),), quiet=(flat("background", 4.0),))
    case = Case(case.level_db, case.part, background, case.sound, case.losses, case.quiet)
    (found,) = drawn([case], seed=1, count=4000)
    assert found.margin.std() == pytest.approx(5.0, abs=0.15)


@pytest.mark.parametrize("count", [1, 2, 5])
def test_the_sum_of_equal_paths_has_the_moments_of_lognormals(count: int) -> None:
    """Energy of n equal independent paths, s = sigma ln 10/10: mean exp(s^2/2), variance (exp(s^2) - 1)
    exp(s^2)/n (moments of the lognormal distribution, textbooks)."""
    sigma = 3.0
    s = sigma * math.log(10.0) / 10.0
    case = tone_case(40.0, losses=tuple((flat(f"path {i}", sigma),) for i in range(count)))
    (found,) = drawn([case], seed=5, count=20_000)
    energy = 10.0 ** ((found.dba - 40.0) / 10.0)
    assert energy.mean() == pytest.approx(math.exp(s**2 / 2.0), rel=0.01)
    assert energy.var() == pytest.approx((math.exp(s**2) - 1.0) * math.exp(s**2) / count, rel=0.06)


def test_paths_with_one_cause_vary_as_one() -> None:
    shared = (flat("glass", 3.0),)
    (found,) = drawn([tone_case(40.0, losses=(shared, shared, shared))], seed=5, count=2000)
    assert found.dba.std() == pytest.approx(3.0, abs=0.02)


# --- which unknown matters ---


def test_shares_of_a_sum_are_those_of_the_variances() -> None:
    """A linear case: y = a + b + c has first-order and total effects sigma_i^2/sum sigma^2 (Sobol)."""
    sigmas = {"a": 1.0, "b": 2.0, "c": 3.0}
    case = tone_case(40.0, sound=tuple(flat(key, sigma) for key, sigma in sigmas.items()))
    found = {d.unknown.key: d.share for d in Doubts(Sampler(MANY)).of(case, largest_margin)}
    for key, sigma in sigmas.items():
        assert found[key] == pytest.approx(sigma**2 / 14.0, abs=0.02)
    assert list(found) == ["c", "b", "a"]


def test_an_unknown_that_does_nothing_has_no_share() -> None:
    idle = (flat("hidden path", 5.0),)
    case = tone_case(40.0, losses=((flat("open path", 2.0),), idle))
    case = Case(case.level_db, np.array([np.ones(27), np.zeros(27)]), QUIET, (), case.losses, ())
    found = {d.unknown.key: d.share for d in Doubts(Sampler(MANY)).of(case, largest_margin)}
    assert found["hidden path"] == 0.0
    assert found["open path"] == pytest.approx(1.0, abs=0.05)


def test_what_to_clear_up_first_is_what_removes_most_doubt() -> None:
    big, small = Unknown("gap", "gap", "look"), Unknown("glass", "glass", "look")
    event = Unknown("events", "events")  # nobody can know it
    doubt = chances.Doubt
    results = [
        Result("tram", 0.5, (doubt(event, 0.6), doubt(small, 0.3), doubt(big, 0.1))),
        Result("siren", 0.999, (doubt(big, 1.0),)),  # sure anyway: counts for nothing
    ]
    assert [one.unknown.key for one in to_clear(results)] == ["glass", "gap"]
    assert luck(results) == pytest.approx(0.6)
    assert to_clear([results[1]]) == ()


def test_chances_are_never_certain() -> None:
    """Jeffreys: (k + 1/2)/(n + 1)."""
    assert chances.chance(np.ones(99, bool)) == pytest.approx(99.5 / 100.0)
    assert chances.chance(np.zeros(99, bool)) == pytest.approx(0.5 / 100.0)


# --- contributions ---


def test_pitch_keeps_the_weighted_level() -> None:
    level = np.linspace(60.0, 30.0, 27)
    change = Pitch(NOTHING, "p", 3.0, level).db(MANY)
    assert np.allclose(dba(level + change), dba(level))
    assert change.std() == pytest.approx(3.0, rel=0.15)


def test_shared_parts_of_errors_correlate_by_what_they_share() -> None:
    sigma = np.full(27, 2.0)
    one = Smooth(NOTHING, (("family", 0.2), ("layers", 0.5), ("one", 0.3)), sigma).db(MANY)
    two = Smooth(NOTHING, (("family", 0.2), ("layers", 0.5), ("two", 0.3)), sigma).db(MANY)
    assert one.std() == pytest.approx(2.0, rel=0.03)
    assert np.corrcoef(one[:, 10], two[:, 10])[0, 1] == pytest.approx(0.7, abs=0.03)
    assert pytest.approx(1.0) == FAMILY + LAYERS + OWN


def test_each_of_several_is_as_likely() -> None:
    changes = np.array([np.zeros(27), np.full(27, 5.0), np.full(27, 9.0)])
    drawn_db = OneOf(NOTHING, "make", changes).db(MANY)[:, 0]
    for value in (0.0, 5.0, 9.0):
        assert np.mean(drawn_db == value) == pytest.approx(1.0 / 3.0, abs=0.001)


def test_a_response_meets_its_ends_and_goes_straight_on() -> None:
    low, high = np.full(27, 6.0), np.full(27, -2.0)
    one = Response("x", low, high)
    assert np.allclose(one.at(np.array(-LIMIT)), low)
    assert np.allclose(one.at(np.array(LIMIT)), high)
    assert np.allclose(one.at(np.array(0.0)), 0.0)
    assert np.allclose(one.at(np.array(2.0 * LIMIT)), 2.0 * high)
    assert spread([Answering(NOTHING, one, "x")])[0] > 0.0


# --- against the physics: the whole computation for each draw ---

_TRAFFIC = np.linspace(70.0, 50.0, 27)  # dB, falling like traffic


@pytest.mark.parametrize(
    "name",
    ["double glass 4-12-4 mm", "brick wall 225 mm, plastered", "panel door 35 mm, pine", "glass 6 mm",
     "double glass 10-16-8.8 mm acoustic"],
)  # fmt: skip
def test_responses_stand_in_for_draws_through_the_physics(name: str) -> None:
    """Limits and middle of a weighted level behind the construction within 0.2 dB of 200 draws in full."""
    built, size, few = constructions.load(name), (1.2, 1.5), Draws(11, 200)
    usual = transmission(built, size=size).tl_db
    varying = ranges(built)

    def pick(key: str, value: object) -> Array | float:
        stated = varying.get(key)
        if stated is None:
            return value.typical  # type: ignore[attr-defined]
        z = few.normal(key)[:, None, None]
        ratio = np.where(z > 0.0, stated.high / stated.typical, stated.typical / stated.low)
        return stated.typical * ratio ** (z / LIMIT)

    in_full = transmission(built, size=size, pick=pick).tl_db
    riding = usual + sum(one.at(few.normal(one.key)) for one in responses(built, size=size))
    for share in (5.0, 50.0, 95.0):
        a, b = (np.percentile(dba(_TRAFFIC - tl), share) for tl in (in_full, riding))
        assert a == pytest.approx(b, abs=0.2)


def test_light_coats_are_left_typical() -> None:
    """Plaster of 13 mm on a brick: its values hardly matter beside the brick's."""
    keys = ranges(constructions.load("brick wall 225 mm, plastered"))
    assert {key.split(".")[0] for key in keys} == {"brick"}


# --- against specimens ---


def test_limits_cover_what_was_published() -> None:
    """The 5 to 95 % limits of draws hold 90 % of the published bands, give or take what 50 specimens
    allow."""
    from isolate.answers.accuracy.specimens import in_bands, measured_constructions, predict

    unsure, few, inside = ElementUnknowns(), Draws(2, 200), []
    for one in measured_constructions():
        if one.measured is None or not one.measured.bands_hz.size or one.measured.doubt:
            continue
        size = one.size or LAB_SIZE[one.kind]
        loss = sum(part.db(few) for part in unsure.of_construction(one, size=size, place=one.name))
        low, high = np.percentile(predict(one).tl_db + loss, [5.0, 95.0], axis=0)
        published = one.measured.tl_db
        inside += list(
            (published >= in_bands(low, one.measured)) & (published <= in_bands(high, one.measured))
        )
    assert len(inside) > 350
    assert 0.85 <= np.mean(inside) <= 0.98


# --- processes ---


def test_one_process_and_two_give_the_same() -> None:
    cases = [
        tone_case(40.0, sound=(flat("a", 2.0),), losses=((Smooth(NOTHING, (("b", 1.0),), np.ones(27)),),))
    ]
    (one,) = drawn(cases, seed=4, count=BLOCK + 100, keep=1)
    (two,) = drawn(cases, seed=4, count=BLOCK + 100, keep=1, processes=2)
    assert np.array_equal(one.dba, two.dba)
    assert np.array_equal(one.margin, two.margin)
    assert one.sample is not None and two.sample is not None
    assert np.array_equal(one.sample.level_db, two.sample.level_db)
    assert one.dba.size == BLOCK + 100
    assert THIRD_OCTAVES.size == one.sample.level_db.shape[1]


def test_memory_does_not_grow_with_draws() -> None:
    """Ten times as many draws: a few numbers more for each, not its bands."""
    smooth = Smooth(NOTHING, (("x", 1.0),), np.full(27, 2.0))
    case, peaks = tone_case(40.0, sound=(smooth,)), []
    for count in (BLOCK, 10 * BLOCK, 100 * BLOCK):
        tracemalloc.start()
        found = drawn([case], seed=1, count=count, keep=1)[0]
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert found.dba.size == 100 * BLOCK
    assert peaks[2] - peaks[1] < 90 * BLOCK * 8 * 10


def test_how_to_find_out_is_that_of_the_thing() -> None:
    assert "Hold a flame" in unknowns.make("window", "window").how
    assert "Knock" in unknowns.make("wall", "wall").how
    assert unknowns.make("wall", "wall", tell="Look.").how == "Look."
    assert unknowns.material("glass wool").words == "how dense the glass wool is"
    assert unknowns.material("gypsum board").words == "how heavy and stiff the gypsum board is"
    assert unknowns.material("glass").words == "how well its edges damp the glass"
