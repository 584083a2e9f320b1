"""Sums and shares of paths: energy bookkeeping, what closing a path does, draws, both directions."""

from __future__ import annotations

import numpy as np
import pytest

from isolate.bands import N_BANDS, energy_sum
from isolate.physics import between, facade, paths
from isolate.standards.weighting import A_WEIGHTING, dba

RNG = np.random.default_rng(4)
LEVEL = RNG.uniform(30.0, 90.0, N_BANDS)
TAU_AREA = 10.0 ** RNG.uniform(-6.0, 0.0, (5, N_BANDS))
TRANSFER = facade.FIELD_DB["arriving"] - 10.0 * np.log10(RNG.uniform(5.0, 20.0, N_BANDS))


def test_shares_sum_to_one_by_path_and_band() -> None:
    part = paths.parts(TAU_AREA)
    level = paths.level(LEVEL, TAU_AREA, transfer_db=TRANSFER)
    share = paths.shares(part, level, weighting_db=A_WEIGHTING)
    np.testing.assert_allclose(part.sum(0), 1.0)
    assert share.sum() == pytest.approx(1.0)
    assert np.all(share >= 0.0)
    each = [dba(paths.alone(level, part, i)) for i in range(5)]
    np.testing.assert_allclose(10 ** ((np.array(each) - dba(level)) / 10), share.sum(-1))


def test_every_path_by_itself_adds_up_to_the_level() -> None:
    """And with one closed, the others do: energies, band by band."""
    level, part = paths.level(LEVEL, TAU_AREA, transfer_db=TRANSFER), paths.parts(TAU_AREA)
    each = np.array([paths.alone(level, part, i) for i in range(5)])
    np.testing.assert_allclose(energy_sum(each, axis=0), level)
    np.testing.assert_allclose(energy_sum(np.delete(each, 2, 0), axis=0), paths.without(level, part, 2))
    closed = TAU_AREA.copy()
    closed[2] = 0.0
    np.testing.assert_allclose(
        paths.level(LEVEL, closed, transfer_db=TRANSFER), paths.without(level, part, 2)
    )


def test_level_is_that_of_the_facade_s_own_formula() -> None:
    """Two routes: ISO 12354-3's level inside from the summed tau S, and this core with its transfer."""
    absorption = np.full(N_BANDS, 12.0)
    expected = facade.level_inside(LEVEL, TAU_AREA.sum(0), absorption=absorption, field="arriving")
    found = paths.level(LEVEL, TAU_AREA, transfer_db=3.0 - 10.0 * np.log10(absorption))
    np.testing.assert_allclose(found, expected)


def test_one_path_alone_has_nothing_left_without_it_and_none_no_shares_undefined() -> None:
    part = paths.parts(TAU_AREA[:1])
    assert np.all(np.isneginf(paths.without(LEVEL, part, 0)))
    nothing = paths.parts(np.zeros((4, N_BANDS)))
    np.testing.assert_allclose(nothing, 0.25)
    assert np.all(np.isneginf(paths.level(LEVEL, np.zeros((2, N_BANDS)), transfer_db=0.0)))


def test_exposure_weakens_a_path_and_only_it() -> None:
    exposure = np.array([0.0, -10.0, 0.0, 0.0, 0.0])[:, None]
    weighed = paths.exposed(TAU_AREA, exposure_db=exposure)
    np.testing.assert_allclose(weighed[1], TAU_AREA[1] / 10.0)
    np.testing.assert_allclose(np.delete(weighed, 1, 0), np.delete(TAU_AREA, 1, 0))


def test_draws_are_as_many_single_evaluations() -> None:
    """A leading axis of draws after the paths changes nothing but the shape."""
    drawn = TAU_AREA[:, None, :] * 10.0 ** RNG.normal(0.0, 0.3, (5, 7, 1))
    source = LEVEL + RNG.normal(0.0, 3.0, (7, 1))
    level, part = paths.level(source, drawn, transfer_db=TRANSFER), paths.parts(drawn)
    share = paths.shares(part, level, weighting_db=A_WEIGHTING)
    assert level.shape == (7, N_BANDS) and share.shape == (5, 7, N_BANDS)
    np.testing.assert_allclose(share.sum((0, -1)), 1.0)
    for i in range(7):
        alone = paths.level(source[i], drawn[:, i], transfer_db=TRANSFER)
        np.testing.assert_allclose(level[i], alone)
        one = paths.shares(paths.parts(drawn[:, i]), alone, weighting_db=A_WEIGHTING)
        np.testing.assert_allclose(share[:, i], one)
        np.testing.assert_allclose(paths.without(level, part, 3)[i],
                                   paths.without(alone, paths.parts(drawn[:, i]), 3))  # fmt: skip


def test_the_same_paths_serve_both_directions_between_rooms_of_different_size() -> None:
    """Reciprocity: a source of one power in either room makes the same level in the other, whatever the
    sizes; the level differences differ by the absorption areas alone."""
    small, large = np.full(N_BANDS, 6.0), np.full(N_BANDS, 30.0)
    power = RNG.uniform(60.0, 90.0, N_BANDS)
    heard = []
    for own, other in ((small, large), (large, small)):
        made = power - 10.0 * np.log10(own / 4.0)  # diffuse field of a source of this power
        heard.append(paths.level(made, TAU_AREA, transfer_db=-10.0 * np.log10(other)))
    np.testing.assert_allclose(heard[0], heard[1])
    total = TAU_AREA.sum(0)
    out = between.level_difference(total, absorption=large)
    back = between.level_difference(total, absorption=small)
    np.testing.assert_allclose(out - back, 10.0 * np.log10(30.0 / 6.0))
