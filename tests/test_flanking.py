"""Junctions, plates and the defaults of usual houses: limits, order, and refusals."""

from __future__ import annotations

import closed_forms
import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.describe import houses
from isolate.describe.materials import Range
from isolate.physics import annex_b, flanking, flanking_defaults, flanking_junctions
from isolate.standards import ratings

PLATE = {"mass": 200.0, "critical_hz": 200.0, "eta": 0.03, "size": (4.0, 2.5)}


def test_equal_masses_give_the_constants_of_annex_e() -> None:
    """M = 0: 8.7 at a cross, 5.7 at a T, -3 held at -2 round a corner, -5 at a change."""
    at = {"mass": 300.0, "across": 300.0}
    k = {kind: flanking_junctions.reduction(kind, 500.0, **at) for kind in flanking_junctions.JUNCTIONS}
    assert (k["rigid cross"].corner, k["rigid cross"].straight) == (8.7, 8.7)
    assert (k["rigid tee"].corner, k["rigid tee"].straight) == (5.7, 5.7)
    assert k["corner"].corner == -2.0 and k["change"].corner == -5.0
    assert k["light facade"].straight == 5.0 and k["light on heavy"].straight == 10.0
    assert k["corner"].straight is None


def test_cross_from_the_other_side_is_the_same_junction() -> None:
    one = flanking_junctions.rigid_cross(500.0, mass=200.0, across=450.0)
    other = flanking_junctions.rigid_cross(500.0, mass=450.0, across=200.0)
    assert one.corner == other.corner
    assert one.across == pytest.approx(other.straight)
    assert one.straight == pytest.approx(other.across)


def test_light_elements_on_a_heavy_one() -> None:
    """E.6 at 500 Hz, M = lg 4: K13 = 10 + 20 M, K12 = 10 + 10 M, K24 = 3 - 14.1 M + 5.7 M^2; the tilt of
    3.3 dB a decade; never under 10 straight on."""
    m = np.log10(4.0)
    k = flanking_junctions.light_on_heavy(500.0, mass=50.0, across=200.0)
    np.testing.assert_allclose(k, (10 + 10 * m, 10 + 20 * m, 3 - 14.1 * m + 5.7 * m**2))
    up = flanking_junctions.light_on_heavy(5000.0, mass=50.0, across=200.0)
    assert up.corner - k.corner == pytest.approx(3.3) and up.straight - k.straight == pytest.approx(-3.3)
    assert flanking_junctions.light_on_heavy(500.0, mass=200.0, across=50.0).straight == 10.0


def test_interlayer_loosens_above_125_hz_only() -> None:
    f = np.array([63.0, 125, 1250])
    rigid = flanking_junctions.rigid_tee(f, mass=100.0, across=300.0)
    soft = flanking_junctions.flexible_interlayer(f, mass=100.0, across=300.0)
    np.testing.assert_allclose(soft.corner - rigid.corner, [0, 0, 10])
    np.testing.assert_allclose(soft.straight - rigid.straight, [0, 0, 20])
    assert np.all((soft.across >= -4) & (soft.across <= 0))


def test_unknown_junction_and_mass_are_refused() -> None:
    with pytest.raises(ValueError, match=r"no junction 'welded'; known are rigid cross"):
        flanking_junctions.reduction("welded", 500.0, mass=1.0, across=1.0)
    with pytest.raises(ValueError, match="must be above 0 kg/m2"):
        flanking_junctions.rigid_tee(500.0, mass=0.0, across=1.0)


def test_minimum_reduction() -> None:
    """10 lg[4 (1/10 + 1/10)] (EN 12354-1:2000, from memory)."""
    least = flanking_junctions.minimum_reduction(junction_length=4.0, area_i=10.0, area_j=10.0)
    assert least == pytest.approx(10 * np.log10(0.8))


def test_paths_are_reciprocal() -> None:
    there = flanking.path(
        r_i=40.0, r_j=50.0, level_difference=11.0, separating_area=12.0, area_i=7.0, area_j=9.0
    )
    back = flanking.path(
        r_i=50.0, r_j=40.0, level_difference=11.0, separating_area=12.0, area_i=9.0, area_j=7.0
    )
    assert there == pytest.approx(float(back))


def test_a_path_as_a_level_difference_is_told_for_ten_square_metres() -> None:
    """D_n,f = R_ij + 10 lg(A0/S_s), A0 = 10 m2 (ISO 12354-1, clause 4)."""
    assert flanking.flanking_difference(50.0, separating_area=20.0) == pytest.approx(46.99, abs=0.005)


def test_laboratory_losses_two_ways() -> None:
    """The quick rule m'/(485 sqrt f) and the frame of 600 mm concrete of annex C (both from memory), on
    10 m2 with edges of 13 m: within 35 % for slabs and heavy walls."""
    f = THIRD_OCTAVES[6:20]
    for mass, fc in ((484.0, 76.8), (360.0, 128.0), (250.0, 180.0)):
        rule = annex_b.laboratory_loss(f, mass=mass, internal=0.0)
        alpha = closed_forms.laboratory_edge_absorption(mass, fc)
        frame = closed_forms.edge_loss(f, area=10.0, critical_hz=fc, absorbing_length=13.0 * alpha)
        np.testing.assert_allclose(frame / rule, 1.0, atol=0.35)


def test_plate_is_passive_and_broadcasts() -> None:
    masses = np.array([5.0, 50, 500])[:, None, None]
    tau = annex_b.transmission(THIRD_OCTAVES, **{**PLATE, "mass": masses})
    assert tau.shape == (3, 1, 27)
    assert np.all((tau > 0) & (tau <= 1))
    one = annex_b.transmission(1000.0, **{**PLATE, "mass": 50.0})
    assert float(one) == pytest.approx(tau[1, 0, 16])
    assert np.all(np.diff(tau[:, 0, 8:], axis=0) < 0)


def test_plate_far_below_coincidence_obeys_the_mass_law() -> None:
    """tau = (2 rho c/(w m))^2 2 sigma_f with the resonant part damped away: the field-incidence mass law,
    20 lg(f m) - 47, within 3 dB over a wall of 10 m2."""
    f = THIRD_OCTAVES[index_of(100) : index_of(800)]
    r = -10 * np.log10(annex_b.transmission(f, mass=12.0, critical_hz=12000.0, eta=1.0, size=(4.0, 2.5)))
    np.testing.assert_allclose(r, 20 * np.log10(f * 12.0) - 47, atol=3.0)


def test_below_its_first_resonance_a_plate_radiates_as_its_area_allows() -> None:
    """sigma is 4 S (f/c)^2 at most below f11 (ISO 12354-1 annex B, from memory): 2 m x 1 m with a critical
    frequency of 300 Hz, whose f11 is 120 Hz."""
    f = np.array([25.0, 31.5, 40, 50, 63])
    sigma = annex_b.free_radiation(f, critical_hz=300.0, size=(2.0, 1.0))
    assert sigma == pytest.approx(4 * 2.0 * (f / 340.0) ** 2)
    wide = annex_b.free_radiation(f, critical_hz=300.0, size=(5.0, 4.0))  # f11 25 Hz: edges and corners rule
    assert np.all(wide[1:] < 4 * 20.0 * (f[1:] / 340.0) ** 2)


def test_upper_limit_and_forced_waves() -> None:
    free = annex_b.transmission(THIRD_OCTAVES, **PLATE, forced=False)
    assert np.all(free <= annex_b.transmission(THIRD_OCTAVES, **PLATE))
    limited = annex_b.transmission(THIRD_OCTAVES, **PLATE, rho_c_l=1.2e6)
    level = 20 * np.log10(1.2e6 / (4 * annex_b.LIMIT_IMPEDANCE)) + 10 * np.log10(0.03 / 0.02)
    assert -10 * np.log10(limited[-1]) == pytest.approx(level)
    with pytest.raises(ValueError, match="size: both sides must be above 0 m"):
        annex_b.transmission(500.0, **{**PLATE, "size": (0.0, 1.0)})


def test_radiation_factors_stay_in_their_bounds_for_every_plate() -> None:
    for size in ((0.6, 2.4), (4.0, 2.5), (10.0, 0.4)):
        for fc in (80.0, 300.0, 2500.0, 12500.0):
            free = annex_b.free_radiation(THIRD_OCTAVES, critical_hz=fc, size=size)
            assert np.all((free > 0) & (free <= 2))
            assert free[-1] < 2 or fc > 5000
        forced = annex_b.forced_radiation(THIRD_OCTAVES, size=size)
        assert np.all((forced > 0) & (forced <= 2)) and np.all(np.diff(forced) >= 0)


def towards(name: str, direction: str) -> tuple[houses.Surroundings, float]:
    """What is around the room of a usual house in this direction, and the separating area [m2]."""
    around = getattr(houses.find(name), direction)
    assert around is not None
    return around, flanking_defaults.SEPARATING_AREA[direction]


def together(name: str, direction: str) -> np.ndarray:
    """D_n,f [dB] of all of its paths."""
    around, area = towards(name, direction)
    found = flanking_defaults.paths(THIRD_OCTAVES, around=around, area=area)
    return flanking.total(path.difference_db for path in found)


@pytest.mark.parametrize("direction", ["beside", "above"])
@pytest.mark.parametrize("name", [name for name in houses.houses() if name != "none"])
def test_houses_have_a_range_round_a_sane_value(name: str, direction: str) -> None:
    """Weighted values of ordinary buildings lie between 30 and 65 dB (common practice, no source)."""
    around, area = towards(name, direction)
    down, up = flanking_defaults.spread(THIRD_OCTAVES, around=around, area=area)
    assert np.all(down > 0.0) and np.all(up > 0.0)
    assert 30 <= int(ratings.rw(together(name, direction))) <= 65


def test_houses_rank_as_builders_know_them() -> None:
    """Light walls flank a concrete slab less than brick does; brick walls running past timber floors carry
    more than past concrete ones; timber houses carry most (common practice, no source)."""

    def typical(name: str, direction: str) -> int:
        return int(ratings.rw(together(name, direction)))

    assert typical("concrete frame", "above") > typical("brick house, concrete floors", "above")
    assert typical("brick house, concrete floors", "above") > typical("brick house, timber floors", "above")
    assert typical("timber house", "beside") < typical("brick house, timber floors", "beside")


@pytest.mark.parametrize("light", [False, True])
def test_a_house_of_one_flank_by_hand(light: bool) -> None:
    """One path Ff and two mixed ones, each (R_i + R_j)/2 + Dv + 10 lg(10 m2/sqrt(S_i S_j))."""
    f = np.array([500.0])
    mass, area, length, separating = (10.0, 7.5, 2.5, 10.0) if light else (200.0, 7.5, 2.5, 10.0)
    plate = houses.Plate("x", *[Range(mass, mass, mass)] * 2, 800.0, 2000.0, 0.02, light)
    flank = houses.Flank(plate, "light coupled" if light else "rigid cross", length, area, False)
    around = houses.Surroundings(plate, (flank,))
    fc = annex_b.critical_frequency(longitudinal=2000.0, thickness=mass / 800.0)
    eta = 0.02 if light else 0.02 + mass / (485 * np.sqrt(500.0))

    def index(height: float) -> float:
        size = (0.6, 2.4) if light else (length, height)
        tau = annex_b.transmission(
            f, mass=mass, critical_hz=fc, eta=eta, size=size, forced=not light, rho_c_l=800.0 * 2000.0
        )
        return float(-10 * np.log10(tau[0]))

    def absorbing(surface: float) -> float:
        return surface if light else np.pi**2 * surface * 500 * eta / 340 * np.sqrt(2.0)

    def path(first: float, second: float) -> float:
        k = 10.0 if light else 8.7
        dv = k - 10 * np.log10(length / np.sqrt(absorbing(first) * absorbing(second)))
        mean = (index(first / length) + index(second / length)) / 2
        return mean + dv + 10 * np.log10(10 / np.sqrt(first * second))

    found = flanking_defaults.paths(f, around=around, area=separating)
    assert {one.ends: one.difference_db[0] for one in found} == pytest.approx(
        {"Ff": path(area, area), "Fd": path(area, separating), "Df": path(area, separating)}
    )
    down, _ = flanking_defaults.spread(f, around=around, area=separating)
    assert down == pytest.approx(6.6 if light else 3.3)


def test_an_unknown_house_is_refused() -> None:
    with pytest.raises(ValueError, match="no usual house"):
        houses.find("igloo")
