"""A force on a floor: limits, reciprocity with sound in the air, mounts, and more never making it worse."""

import itertools
import json
from dataclasses import replace
from pathlib import Path

import closed_forms
import numpy as np
import pytest
from click.testing import CliRunner

import isolate
from isolate.bands import THIRD_OCTAVES as F
from isolate.bands import index_of
from isolate.cli import root
from isolate.describe import constructions, questions
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material
from isolate.physics import air, annex_b, floors, impact, masonry
from isolate.physics.leaves import critical_frequency, flat
from isolate.physics.stack import build
from isolate.standards import impact as standard

SLAB_MOBILITY, JOIST_MOBILITY, DECK_MOBILITY = 2e-6, 5e-5, 5e-4


def slab(height: float, *layers: Leaf | Cavity, after: tuple[Leaf | Cavity, ...] = ()) -> Construction:
    return Construction("x", "x", "floor", (*layers, Leaf(material("concrete"), height), *after), (4.0, 3.5))


def screed(wool: float, mass: float = 0.05) -> tuple[Leaf | Cavity, ...]:
    return Leaf(material("screed"), mass), Cavity(wool, material("stone wool"), wool)


def test_tapping_machine() -> None:
    """0.5 kg from 40 mm, ten a second: 0.91 f N2 a third octave, 22.4 dB in the octave of 63 Hz (recomputed
    outside this project)."""
    assert impact.tapping_force(1000.0) == pytest.approx(0.91e3, rel=0.0055)
    octave = impact.tapping_force([50.0, 63.0, 80.0]).sum()
    assert 10 * np.log10(octave) == pytest.approx(22.4, abs=0.1)


@pytest.mark.parametrize(
    ("f0", "floor", "expected"),
    [
        (5, SLAB_MOBILITY, [19, 32, 44, 56]), (5, JOIST_MOBILITY, [18, 28, 36, 42]),
        (5, DECK_MOBILITY, [6, 11, 17, 23]), (8, SLAB_MOBILITY, [10, 23, 36, 48]),
        (8, DECK_MOBILITY, [1, 4, 9, 15]), (16, SLAB_MOBILITY, [-18, 9, 23, 35]),
        (45, SLAB_MOBILITY, [-1, -6, 0, 16]),
    ],
)  # fmt: skip
def test_riser_on_springs(f0: float, floor: float, expected: list[float]) -> None:
    """120 kg, loss 0.05 of critical, against the same riser put down rigidly (recomputed outside this
    project, to whole decibels)."""
    f = np.array([16.0, 31.5, 63.0, 125.0])
    source = impact.mass_mobility(f, mass=120)
    mount = impact.spring_mobility(f, stiffness=impact.stiffness_for(mass=120, resonance_hz=f0), loss=0.1)
    gain = -10 * np.log10(impact.passed(source, mount, floor) / impact.passed(source, 0.0, floor))
    np.testing.assert_allclose(gain, expected, atol=0.6)


def test_limits_of_a_mount() -> None:
    """A floor that does not yield takes all of the force; no mount changes nothing; a soft one stops all; one
    spring above resonance gains 12 dB an octave."""
    source = impact.mass_mobility(F, mass=100)
    np.testing.assert_allclose(impact.passed(source, 0.0, 0.0), 1.0)
    stiff = impact.spring_mobility(F, stiffness=1e30)
    np.testing.assert_allclose(impact.passed(source, stiff, 1e-5), impact.passed(source, 0.0, 1e-5))
    assert np.all(impact.passed(source, impact.spring_mobility(F, stiffness=1.0), 1e-5) < 1e-8)
    soft = impact.spring_mobility(F, stiffness=impact.stiffness_for(mass=100, resonance_hz=5))
    loss = -10 * np.log10(impact.passed(source, soft, 0.0))
    assert loss[index_of(250)] - loss[index_of(125)] == pytest.approx(12.04, abs=0.05)


def test_softer_mounts_are_never_worse_above_resonance() -> None:
    f = F[F >= 45]
    source = impact.mass_mobility(f, mass=120)
    got = [
        impact.passed(
            source,
            impact.spring_mobility(f, stiffness=impact.stiffness_for(mass=120, resonance_hz=f0), loss=0.1),
            JOIST_MOBILITY,
        )
        for f0 in (30.0, 16.0, 8.0, 4.0)
    ]
    for stiffer, softer in itertools.pairwise(got):
        assert np.all(softer <= stiffer)


def test_reciprocity_with_sound_in_the_air() -> None:
    """Free waves only, so that nothing else carries: L_n + R = 37.7 + 30 lg f - 10 lg sigma for any slab. The
    two ways share no line: force, mobility and loss here, annex B's resonant transmission there. Cremer and
    Heckl; 38 + 30 lg f in handbooks (from memory)."""
    leaf = build(slab(0.15), size=(4.0, 3.5)).leaves[0]
    assert isinstance(leaf, masonry.Heavy)
    critical = flat(critical_frequency(leaf))
    sigma = masonry.radiation(F, critical_hz=critical, size=(4.0, 3.5))
    tau = masonry.resonant(F, leaf=leaf, size=(4.0, 3.5))
    across = closed_forms.power_by_reciprocity(F, tau=tau, sigma=sigma)
    mass = float(np.mean(flat(leaf.mass)))
    near = air.DENSITY / (2 * np.pi * air.SPEED * mass**2)
    direct = impact.radiated(F, leaf, size=(4.0, 3.5)) - near
    np.testing.assert_allclose(10 * np.log10(direct / across), 0.0, atol=0.1)
    level = impact.level(across * impact.tapping_force(F))
    total = level - 10 * np.log10(tau) + 10 * np.log10(sigma)
    np.testing.assert_allclose(total, 37.7 + 30 * np.log10(F), atol=0.1)


def test_heavier_slabs_softer_layers_and_heavier_screeds_are_never_worse() -> None:
    levels = [floors.of(slab(h)).tapped_db for h in (0.1, 0.14, 0.18, 0.25)]
    high = index_of(250)  # above every critical frequency; at it a thinner slab may radiate less
    for light, heavy in itertools.pairwise(levels):
        assert np.all(heavy[high:] < light[high:])
    softer = [floors.of(slab(0.15, *screed(d))) for d in (0.01, 0.02, 0.04)]
    for stiff, soft in itertools.pairwise(softer):
        assert stiff.floating is not None and soft.floating is not None and soft.floating < stiff.floating
        above = np.sqrt(2) * stiff.floating < F
        assert np.all(soft.tapped_db[above] <= stiff.tapped_db[above])


@pytest.mark.parametrize("height", [0.14, 0.2])
def test_a_slab_is_that_of_the_detailed_method(height: float) -> None:
    """ISO 12354-2, annex B (from memory), with a laboratory's loss, within 1.5 dB: no near field is in it. Up
    to 1 kHz, from where a hammer is no longer hard on concrete."""
    leaf = build(slab(height), size=(4.0, 3.5)).leaves[0]
    assert leaf is not None
    mass, f = 2300.0 * height, F[F <= 1000.0]
    sigma = masonry.radiation(f, critical_hz=flat(critical_frequency(leaf)), size=(4.0, 3.5))
    eta = float(np.mean(leaf.loss)) + mass / (485 * np.sqrt(f))
    law = closed_forms.massive_level(f, mass=mass, loss=eta, sigma=sigma)
    np.testing.assert_allclose(floors.of(slab(height)).tapped_db[: f.size], law, atol=1.5)


def test_floats_only_what_rests_on_something() -> None:
    wool = Cavity(0.1, material("stone wool"), 0.1)
    hung = slab(0.15, after=(wool, Leaf(material("gypsum board"), 0.0125)))
    assert floors.of(hung).floating is None
    f0 = floors.of(slab(0.15, *screed(0.025))).floating
    stiffness = (0.13 + 0.111) / 0.025  # MN/m3: ISO 9052-1, a board's own and the air's in it
    assert f0 == pytest.approx(160 * np.sqrt(stiffness * (1 / 100 + 1 / 345)), rel=0.006)


def test_a_floor_on_mounts_floats_as_they_were_chosen_and_by_the_air_under_it() -> None:
    """Mounts for 10 Hz under 60 kg/m2 are 0.237 MN/m3; 50 mm of trapped air 2.22 (ISO 9052-1): by hand 34.9
    Hz over a slab of 345 kg/m2. Softer than on 50 mm of wool that carries, so less gets through above both.
    """
    boards, wool = Leaf(material("concrete"), 60 / 2300), material("stone wool")
    on = [Cavity(0.05, wool, 0.05, framing=x, spacing=0.6 if x else None) for x in ("mount", None)]
    mounts, carried = (floors.of(slab(0.15, boards, one)) for one in on)
    assert mounts.floating == pytest.approx(34.9, abs=0.1)
    assert carried.floating is not None and mounts.floating is not None
    above = np.sqrt(2) * carried.floating < F
    assert np.all(mounts.tapped_db[above] <= carried.tapped_db[above])


def test_turned_round_it_is_the_same_floor() -> None:
    joists = Cavity(0.2, framing="wood stud", spacing=0.45)
    layers = (Leaf(material("chipboard"), 0.022), joists, Leaf(material("gypsum board"), 0.0125))
    there = Construction("x", "x", "floor", layers, (4.0, 3.5))
    back = Construction("x", "x", "floor", there.layers[::-1], there.size)
    np.testing.assert_allclose(floors.of(back).tapped_db, floors.of(there).tapped_db)


def test_what_cannot_be_walked_on_is_told() -> None:
    with pytest.raises(ValueError, match="has no layers to walk on"):
        floors.of(Construction("door", "door", "floor", ()))
    with pytest.raises(ValueError, match="nothing stiff"):
        floors.of(Construction("film", "film", "floor", (Leaf(material("mass-loaded vinyl"), 0.003),)))


@pytest.mark.parametrize(
    ("sheet", "lnw", "ci", "iic"),
    [
        ("Ln,w 78 (-11)", 78, -11, None), ("Ln,w 53 (-2)", 53, -2, None), ("Ln,w 60", 60, None, None),
        ("Rw 58 (-1; -5), Ln,w 49 (0)", 49, 0, None), ("IIC 55", None, None, 55),
    ],
)  # fmt: skip
def test_a_floor_by_its_data_sheet_is_rated_as_stated(
    sheet: str, lnw: int | None, ci: int | None, iic: int | None
) -> None:
    floor = floors.of(constructions.resolve(sheet, None))
    rated = standard.rate(floor.tapped_db)
    assert lnw in (None, rated.lnw) and ci in (None, rated.ci) and iic in (None, rated.iic)
    assert floor.checked == (ci is not None)  # the range is wider where the shape is open


def test_the_heavy_floor_by_its_numbers_is_the_heavy_floor() -> None:
    """ISO 717-2: a slab of 120 mm has Ln,r,0,w = 78 with CI -11."""
    floor = floors.of(constructions.resolve("Ln,w 78 (-11)", None))
    np.testing.assert_allclose(floor.tapped_db[standard.RATED], standard.HEAVY_FLOOR, atol=0.5)
    assert floor.heavy and not floors.of(constructions.resolve("Ln,w 72 (0)", None)).heavy
    assert floor.mass == pytest.approx(0.12 * 2400.0, rel=0.01)


def test_a_floor_of_which_one_number_is_known_lies_between_both() -> None:
    """Half-way between the reference floors of ISO 717-2, of a slab's kind or of joists' nobody knows."""
    floor = floors.of(constructions.resolve("Ln,w 60", None))
    level = floor.tapped_db[standard.RATED]
    middle = (standard.HEAVY_FLOOR + standard.TIMBER_FLOOR) / 2
    np.testing.assert_allclose(level - level.mean(), middle - middle.mean(), atol=0.5)
    assert not floor.heavy and not floor.checked


@pytest.mark.parametrize(("top", "depth", "heavy"), [("50 mm", 200, False), ("100 mm", 200, True),
                                                     ("50 mm", 100, True)])  # fmt: skip
def test_concrete_on_joists_is_carried_by_no_walls(top: str, depth: int, heavy: bool) -> None:
    """As long as it is light enough to lie on them, and what is under it as deep as they are."""
    built = f"concrete {top} + {depth} mm wood studs + gypsum board 12.5 mm"
    floor = floors.of(replace(constructions.load(built), kind="floor", size=(4.0, 3.5)))
    assert floor.heavy is heavy


@pytest.mark.parametrize("improvement", [8, 15, 20, 26, 32])
def test_a_covering_comes_back_from_its_stiffness(improvement: int) -> None:
    """40 lg(f/fr) off the heavy floor above the resonance of hammer and covering (ISO 12354-2, annex C) are
    rated by ISO 717-2 as was stated."""
    stiffness = floors.cover_stiffness(float(improvement))
    resonance = np.sqrt(stiffness / impact.HAMMER_MASS) / (2 * np.pi)
    less = np.clip(40 * np.log10(F[standard.RATED] / resonance), 0.0, floors.MOST_DB)
    assert int(standard.covering(less)) == improvement


def test_what_lies_on_mounts_was_held_by_no_published_value() -> None:
    chipboard, slab = Leaf(material("chipboard"), 0.022), Leaf(material("concrete"), 0.15)
    for framing, checked in (("mount", False), (None, True)):
        gap = Cavity(0.05, material("glass wool"), 0.05, framing=framing)
        floor = floors.of(Construction("x", "x", "floor", (chipboard, gap, slab), (4.0, 3.5)))
        assert floor.checked is checked


def test_steps_on_a_floor_by_its_data_sheet_are_heard_below(tmp_path: Path) -> None:
    """7 dB less by the sheet, in all bands, are 7 dB less of the same feet."""
    path, heard = tmp_path / "room.toml", []
    asked = questions.written({"home": "new flat", "noises": ("footsteps",)})
    for sheet in ("Ln,w 60 (-5)", "Ln,w 53 (-5)"):
        before, after = asked.split('name = "ceiling"')
        path.write_text(f'{before}name = "ceiling"{after.replace("concrete", sheet, 1)}')
        (one,) = isolate.room(str(path), draws=0).now.heard
        heard.append(one.dba)
    assert heard[0] - heard[1] == pytest.approx(7.0, abs=0.1)
    told = CliRunner().invoke(root, ["compare", "Ln,w 60", "Ln,w 53"]).stdout
    assert told.startswith("Ln,w 53 lets least of footsteps through: Ln,w 53 dB; Ln,w 60 7 more.")
    assert "no sheet says anything of it" in told and "Rw" not in told  # of sound in the air
    full = CliRunner().invoke(root, ["compare", "Ln,w 60", "Ln,w 53", "--full"]).stdout
    assert "single numbers" in full
    stated = CliRunner().invoke(root, ["compare", "Rw 55, Ln,w 60", "Ln,w 53"]).stdout
    assert "single numbers" in stated
    told = " ".join(CliRunner().invoke(root, ["curve", "Ln,w 53 (-5)"]).stdout.split())
    assert "Ln,w 53 (-5) dB as stated" in told and "taken: nothing is stated of sound in the air" in told


def test_soft_blow_is_the_standards_covering() -> None:
    """40 lg(f/fr) well above fr = sqrt(k/0.5)/(2 pi) (ISO 12354-2, annex C, from memory), none below."""
    k = impact.stiffness_for(mass=0.5, resonance_hz=100)
    gain = -10 * np.log10(impact.softened(F, mass=0.5, stiffness=k))
    np.testing.assert_allclose(gain[F >= 400], 40 * np.log10(F[F >= 400] / 100), atol=0.05)
    assert gain[F <= 31.5].max() < 0.1


def test_rate_and_curve_tell_it(tmp_path: Path) -> None:
    heavy = dict(zip(F[standard.RATED], standard.HEAVY_FLOOR, strict=True))
    path = tmp_path / "floor.csv"
    path.write_text("band_hz,l_n\n" + "".join(f"{f:g},{x}\n" for f, x in heavy.items()))
    run = CliRunner().invoke(root, ["rate", str(path), "--impact", "--json"])
    assert json.loads(run.output)["ratings"] == {"Ln,w": 78, "CI": -11, "CI50-2500": None, "IIC": 28}
    told = CliRunner().invoke(root, ["rate", str(path), "--impact"]).output
    assert told.count("78") == told.count("-11") == told.count("IIC 28") == 1 and "less is better" in told
    wrong = CliRunner().invoke(root, ["rate", str(path)])
    assert wrong.exit_code != 0
    run = CliRunner().invoke(root, ["curve", "concrete slab 150 mm", "--json"])
    told = json.loads(run.output)["impact"]
    assert told["ratings"]["Ln,w"] == pytest.approx(164 - 35 * np.log10(345), abs=2)  # simplified method
    assert len(told["l_n_db"]) == 27
    assert "impact" not in json.loads(CliRunner().invoke(root, ["curve", "glass 4 mm", "--json"]).output)


def test_laboratory_losses_are_annex_c() -> None:
    """A slab's L_n is that of a laboratory: internal losses and m'/(485 sqrt f)."""
    leaf = build(slab(0.15), size=(4.0, 3.5)).leaves[0]
    assert leaf is not None
    eta = annex_b.laboratory_loss(F, mass=345.0, internal=float(np.mean(leaf.loss)))
    np.testing.assert_allclose(
        floors.of(slab(0.15)).transfer, impact.radiated(F, leaf, size=(4.0, 3.5), loss=eta)
    )
