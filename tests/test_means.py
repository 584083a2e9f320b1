"""Means over bands and angles against integrals known otherwise: closed forms, and scipy's quadrature."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import qmc

from isolate import bands
from isolate.bands import Array
from isolate.physics import cubature, nets

MIDDLES = bands.exact(bands.THIRD_OCTAVES)[8:10]
SURE = np.full(2, 0.018)
PER_BAND = 12


def ridge(x: Array, width: float) -> Array:
    """A resonance about x = 0, one at its peak."""
    return np.asarray(width**2 / (width**2 + x**2))


def under(low: float, high: float, width: float) -> float:
    """The integral of `ridge` (arc tangent)."""
    return float(width * (np.arctan(high / width) - np.arctan(low / width)))


def flat_mean(through: cubature.Through) -> Array:
    """Band means over frequency and incidence by `cubature`."""
    f = bands.points(PER_BAND)
    cells = np.arange(8 * PER_BAND, 10 * PER_BAND)
    found = cubature.means(through, f, cells, per_band=PER_BAND, rows=16)[0]
    return np.asarray(found.reshape(2, PER_BAND).mean(-1))


def octaves(f: Array) -> Array:
    """Where f lies in its third octave, from 0 to 1."""
    return np.asarray((10 * np.log10(f / 1000.0) + 0.5) % 1.0)


def test_a_diffuse_field_weighs_one() -> None:
    """2 sin cos d(theta) over a right angle is one; sin^2 is spread evenly: cos^2 has the mean 1/2."""
    assert flat_mean(lambda f, c, *_: [np.ones(c.shape)]) == pytest.approx(1.0, rel=1e-3)
    assert flat_mean(lambda f, c, *_: [c**2 + 0 * f]) == pytest.approx(0.5, rel=2e-3)
    for at in (lambda f, c, z: np.ones(f.size), lambda f, c, z: 2 * c**2, lambda f, c, z: 2 * np.cos(z) ** 2):
        assert nets.means(at, MIDDLES, sure=SURE) == pytest.approx(1.0, rel=0.01)


def boxed(tau: Callable[[Array, Array, Array], Array], *, rows: int) -> tuple[Array, int]:
    """Band means of `tau` of f, of incidence and azimuth as shares of a right angle, all angles counting
    alike, and at how many points it was asked."""
    f, asked = bands.points(PER_BAND), []

    def through(here: Array, cosine: Array, azimuth: Array, cells: cubature.Cells) -> list[Array]:
        asked.append(cosine.size)
        alike = 2 * cosine * np.sqrt(1 - cosine**2) * np.pi / 2
        return [tau(here, np.arccos(cosine) / (np.pi / 2), azimuth / (np.pi / 2)) / alike]

    cells = np.arange(8 * PER_BAND, 10 * PER_BAND)
    found = cubature.means(through, f, cells, per_band=PER_BAND, rows=rows)[0]
    return np.asarray(found.reshape(2, PER_BAND).mean(-1)), sum(asked)


@pytest.mark.parametrize("rows", [1, 4])
@pytest.mark.parametrize("way", [0, 1, 2])
def test_boxes_know_a_plane_and_are_not_divided_for_it(way: int, rows: int) -> None:
    """1 + 1.8 (x - 1/2) along frequency, incidence or azimuth has the mean 1: points that lie all to one side
    of a box's middle would be off by 1.8/128. 64 points a box."""
    found, asked = boxed(lambda f, y, z: 0.1 + 1.8 * (octaves(f) + 0 * y, y, z)[way], rows=rows)
    assert found == pytest.approx(1.0, abs=4e-3)
    assert asked == 2 * rows * 64


def test_boxes_take_every_frequency_for_itself() -> None:
    """Of f over the middle of its band the mean is (10^0.05 - 10^-0.05)/(0.1 ln 10) = 1.0022."""
    found, _ = boxed(lambda f, y, z: f / np.where(f < np.sqrt(MIDDLES.prod()), *MIDDLES) + 0 * y, rows=4)
    assert found == pytest.approx(1.0022, abs=2e-4)


def test_boxes_are_divided_where_they_differ() -> None:
    """Noise of 0 and 2 alike, of 64 points a box: four boxes of a band know its mean to 1/16, which is too
    little; it takes 1/0.04^2 = 625 points. A step that is a tenth wide is met at once, and divided there."""
    noise, asked = boxed(lambda f, y, z: 2.0 * (np.sin(1e4 * f + 1e5 * y + 1e6 * z) > 0), rows=4)
    assert noise == pytest.approx(1.0, abs=0.1) and 2 * 625 < asked < 2 * 4 * 625
    step, fewer = boxed(lambda f, y, z: 10.0 * (y > 0.9) + 0 * f, rows=4)
    assert step == pytest.approx(1.0, abs=0.03) and 2 * 4 * 64 < fewer < asked


@pytest.mark.parametrize(("width", "within_db"), [(0.1, 0.1), (1e-2, 0.1), (3e-3, 0.1), (1e-3, 0.4)])
@pytest.mark.parametrize("slope", [0.4, 0.04])
def test_ridges_that_few_points_meet(slope: float, width: float, within_db: float) -> None:
    """At an angle that moves with frequency: sin^2 = 0.3 + slope x, x from 0 to 1 in a band. The narrowest
    is that of a leaf that neither loses nor radiates anything."""
    wanted = quad(lambda x: under(-0.3 - slope * x, 0.7 - slope * x, width), 0, 1)[0]
    found = flat_mean(lambda f, c, *_: [ridge(0.7 - slope * octaves(f) - c**2, width)])
    assert 10 * np.log10(found / wanted) == pytest.approx(0.0, abs=within_db)


@pytest.mark.parametrize(("width", "within_db"), [(0.1, 0.1), (1e-2, 0.1), (3e-3, 0.2)])
def test_ridges_across_three_dimensions(width: float, within_db: float) -> None:
    """sin^2 = 0.2 + 0.3 x + 0.4 y, y from 0 to 1 in azimuth."""

    def at(f: Array, cosine: Array, azimuth: Array) -> Array:
        return ridge(0.8 - 0.3 * octaves(f) - 0.4 * azimuth / (np.pi / 2) - cosine**2, width)

    def along(x: float) -> float:
        def edge(y: float) -> float:
            middle = 0.2 + 0.3 * x + 0.4 * y
            return under(-middle, 1 - middle, width)

        return float(quad(edge, 0, 1)[0])

    found = nets.means(at, MIDDLES, sure=SURE)
    assert 10 * np.log10(found / quad(along, 0, 1)[0]) == pytest.approx(0.0, abs=within_db)


def test_a_band_that_counts_less_is_left_sooner() -> None:
    asked = [0, 0]

    def at(f: Array, cosine: Array, azimuth: Array) -> Array:
        band = (f > np.sqrt(MIDDLES[0] * MIDDLES[1])).astype(int)
        for i in (0, 1):
            asked[i] += int((band == i).sum())
        return ridge(0.6 - cosine**2, 1e-3)

    nets.means(at, MIDDLES, sure=np.array([0.018, 0.1]))
    assert asked[1] < asked[0]


def test_points_are_sobol_s(monkeypatch: pytest.MonkeyPatch) -> None:
    """Scipy's, in another order within each power of two, when no digit is turned over."""
    monkeypatch.setattr(nets, "SHIFT", (0, 0, 0))
    for start, end in ((0, 64), (64, 128), (128, 256), (0, 4096)):
        theirs = qmc.Sobol(3, scramble=False).random(end)[start:]
        ours = nets.points(start, end).T - 0.5 / 2**nets.BITS
        np.testing.assert_array_equal(ours[np.lexsort(ours.T)], theirs[np.lexsort(theirs.T)])


@pytest.mark.parametrize("size", [64, 256, 1024])
def test_any_part_of_a_net_is_a_net(size: int) -> None:
    """Each of the `PARTS`: one point in every interval of its size, in each coordinate."""
    for part in np.split(nets.points(0, nets.PARTS * size), nets.PARTS, axis=1):
        for x in part:
            np.testing.assert_array_equal(np.sort(np.floor(x * size)), np.arange(size))


def test_nets_know_smooth_means_at_once_and_others_as_well_as_is_asked() -> None:
    """Against the closed form of a ridge of one dimension; more points the surer it is to be."""
    counts = []
    for sure in (0.1, 0.02, 0.004):
        asked = []

        def at(f: Array, cosine: Array, azimuth: Array, asked: list[int] = asked) -> Array:
            asked.append(f.size)
            return ridge(0.6 - cosine**2, 0.03)

        found = nets.means(at, MIDDLES[:1], sure=np.array([sure]))
        assert found / under(-0.6, 0.4, 0.03) == pytest.approx(1.0, rel=sure)
        counts.append(sum(asked))
    assert counts[0] < counts[1] < counts[2]
