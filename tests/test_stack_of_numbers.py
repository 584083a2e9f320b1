"""What a description becomes before it is solved, and bands somebody measured, of bare numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import OCTAVES, THIRD_OCTAVES, index_of, octave_tl
from isolate.describe import constructions
from isolate.describe.frames import Frame
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import material, materials
from isolate.physics import averages, calibrated, cavity, stack
from isolate.physics.air import SPEED
from isolate.physics.bonded import Bonded
from isolate.physics.leaves import Limp, Pack, Plate
from isolate.physics.masonry import Heavy
from isolate.physics.responses import Response, ranges, responses
from isolate.physics.ribbed import Ribbed
from isolate.physics.spread import to_thirds
from isolate.physics.stack import build
from isolate.physics.transmission import transmission

F = np.array([125.0, 1000.0])
BOARD = Leaf(material("gypsum board"), 0.0125)


def wall(*layers: Leaf | Cavity, kind: str = "wall") -> constructions.Construction:
    return constructions.Construction("made", "made for the test", kind, layers)


# --- bands ----------------------------------------------------------------------------------------------


def test_thirds_are_kept_fall_by_mass_below_and_are_held_above() -> None:
    """2 dB a third octave below 100 Hz, never below nothing."""
    given = THIRD_OCTAVES[index_of(100) : index_of(3150) + 1]
    found = to_thirds(given, np.linspace(9.0, 39.0, given.size))
    assert found[index_of(100) : index_of(3150) + 1] == pytest.approx(np.linspace(9.0, 39.0, given.size))
    assert found[: index_of(100)] == pytest.approx([0.0, 0.0, 1.0, 3.0, 5.0, 7.0])
    assert found[index_of(4000) :] == pytest.approx(39.0)


def test_octaves_keep_their_means() -> None:
    """Energy means over the thirds of each octave; below 125 Hz, from 100 Hz on down, 2 dB a third."""
    tl = np.array([20.0, 28.0, 41.0, 45.0, 38.0, 50.0])
    given = OCTAVES[2:8]
    assert given[0] == 125.0 and given[-1] == 4000.0
    found = to_thirds(given, tl)
    assert octave_tl(found)[2:8] == pytest.approx(tl)
    assert np.diff(found[: index_of(100) + 1]) == pytest.approx(2.0)


def test_one_band_is_a_third_and_two_may_be_octaves() -> None:
    one = to_thirds([1000.0], [30.0])
    assert one[index_of(800) : index_of(2000)] == pytest.approx([28.0, 30.0, 30.0, 30.0])
    two = to_thirds([1000.0, 2000.0], [30.0, 40.0])
    assert octave_tl(two)[[5, 6]] == pytest.approx([30.0, 40.0])


def test_a_coat_that_hardly_weighs_moves_nothing() -> None:
    """13 mm of plaster are less than a tenth of what touches, 40 mm on 102 mm of brick are more."""

    def coats(millimetres: int) -> bool:
        built = constructions.inline(f"brick 102 mm + plaster {millimetres} mm")
        coat, brick = (leaf for leaf in built.layers[::-1] if isinstance(leaf, Leaf))
        share = coat.thickness * coat.material.density.typical / (
            brick.thickness * brick.material.density.typical + coat.thickness * coat.material.density.typical
        )
        assert (share > 0.1) == (millimetres > 20)
        return any(key.startswith("plaster.") for key in ranges(built))

    assert coats(40) and not coats(13)


def test_workmanship_answers_by_what_it_changes() -> None:
    built = constructions.load("resilient channel wall 2x4, empty")
    (leg,) = [one for one in responses(built, size=(3.0, 2.5)) if one.key == "channel_leg"]
    usual = transmission(built, size=(3.0, 2.5), lean=True).tl_db
    known = calibrated.CONSTANTS["channel_leg"]
    for value, found in ((known.low, leg.low_db), (known.high, leg.high_db)):
        assert value is not None
        with calibrated.using(channel_leg=value):
            moved = transmission(built, size=(3.0, 2.5), lean=True).tl_db
        assert found == pytest.approx(moved - usual) and 0.1 < np.abs(found).max() < 15.0


def test_a_response_is_a_parabola_through_its_ends_and_straight_beyond() -> None:
    """-4 and 6 dB at either end of 90 %: half way up 5/2 + 1/4, twice as far twice the end."""
    one = Response("x", np.full(27, -4.0), np.full(27, 6.0))
    z = 1.645 * np.array([-2.0, -1.0, 0.0, 0.5, 1.0, 2.0])
    assert one.at(z)[:, 0] == pytest.approx([-8.0, -4.0, 0.0, 2.75, 6.0, 12.0])


# --- windows --------------------------------------------------------------------------------------------


def test_glass_is_what_its_frame_leaves() -> None:
    """1.2 x 1.0 m with 0.1 m round it: 1.0 x 0.8; of two that slide (1.2 - 0.3)/2 each."""
    assert stack.glass((1.2, 1.0), Frame(0.1)) == pytest.approx((1.0, 0.8))
    assert stack.glass((1.2, 1.0), Frame(0.1, "wood", "sliding")) == pytest.approx((0.45, 0.8))
    assert stack.glass((1.2, 1.0), Frame(0.0)) == (1.2, 1.0)
    with pytest.raises(ValueError, match="leaves no glass"):
        stack.glass((0.2, 1.0), Frame(0.1))
    for opens, share in (("", 0.8 / 1.2), ("sliding", 2 * 0.45 * 0.8 / 1.2)):
        pane = replace(constructions.inline("glass 4 mm"), kind="window", frame=Frame(0.1, "wood", opens))
        assert build(pane, size=(1.2, 1.0)).glass_share == pytest.approx(share)


# --- leaves and cavities --------------------------------------------------------------------------------


def test_sizes_of_laboratories() -> None:
    """Windows 20 mm less than an opening of 1250 x 1500 mm, floors of 12 m2 (ISO 10140-5, from memory), walls
    of 10 x 8 feet, and 10 m2 that D_n,e is for."""
    sizes = stack.LAB_SIZE
    assert sizes["window"] == pytest.approx((1.25 - 0.02, 1.5 - 0.02))
    assert sizes["wall"] == sizes["sheet"] == pytest.approx((10 * 0.3048, 8 * 0.3048), abs=0.005)
    for kind in ("ceiling", "floor", "roof"):
        assert sizes[kind] == (4.0, 3.0)
    assert sizes["vent"][0] * sizes["vent"][1] == pytest.approx(10.0)


def test_faces_of_a_cavity_are_the_hard_ones_about_it() -> None:
    """Through a film between two boards sound goes on to the next face: 60 + 40 mm; where there is one face
    at most there is no other."""
    film = Leaf(material("mass-loaded vinyl"), 0.0025)
    layers = (BOARD, Cavity(0.06), film, Cavity(0.04), BOARD, Cavity(0.03), BOARD)
    found = build(wall(*layers), size=(4.0, 2.5))
    assert isinstance(found.leaves[1], Limp)
    assert [found.between_faces(i) for i in range(3)] == pytest.approx([0.1, 0.1, 0.03])
    behind = build(wall(film, Cavity(0.06), BOARD, Cavity(0.04), BOARD), size=(4.0, 2.5))
    assert behind.between_faces(0) == np.inf and behind.between_faces(1) == pytest.approx(0.04)
    half = build(wall(BOARD, Cavity(0.06), film), size=(4.0, 2.5))
    assert half.between_faces(0) == np.inf


def test_leaves_about_a_cavity_are_one_without_it() -> None:
    found = build(wall(BOARD, Cavity(0.06), BOARD, Cavity(0.04), BOARD), size=(4.0, 2.5))
    merged = found.merged([0])
    assert [gap.depth for gap in merged.cavities] == [0.04]
    assert isinstance(merged.leaves[0], Pack) and merged.leaves[0].mass == pytest.approx(
        2 * found.leaves[0].mass  # type: ignore[union-attr]
    )
    assert [gap.depth for gap in found.alone(1).cavities] == [0.04] and len(found.alone(1).leaves) == 2


def test_what_an_empty_cavity_loses_is_at_its_edges_and_faces() -> None:
    """Round 4 x 2.5 m, or a bay of 0.6 x 2.5 m between studs, whose edges are as hard as its faces; its
    pressure is even below the first mode across, pi/2.5 m."""
    k = 2 * np.pi * F / SPEED
    trace = 0.9 * k[None, :]
    faces = cavity.face_loss(F, absorption=cavity.hard_absorption(F), depth=0.1, speed=SPEED)
    bare = calibrated.value("bare_edge_absorption")
    for framing, edge, size, lateral in (
        ("double stud", bare, (4.0, 2.5), np.pi / 2.5),
        ("wood stud", cavity.hard_absorption(F), (0.6, 2.5), 0.0),
    ):
        gap = Cavity(0.1, framing=framing, spacing=0.6)
        (layer,) = build(wall(BOARD, gap, BOARD), size=(4.0, 2.5)).fluids(0, F, trace)
        (width, height) = size
        loss = faces + cavity.edge_loss(
            F, absorption=edge, perimeter=2 * (width + height), area=width * height, speed=SPEED
        )
        assert layer.wavenumber == pytest.approx(k * (1 - 0.5j * loss)), framing
        assert layer.trace == pytest.approx(np.sqrt(np.maximum(trace**2 - lateral**2, 0.0)))


def test_boards_bend_by_their_modulus_and_lose_in_their_mounting() -> None:
    """E/(1 - nu^2); glued sheets are one thick board, loose ones slip, damped ones lose 0.15 at least."""
    board = material("gypsum board")
    modulus = board.youngs_modulus.typical / (1 - board.poisson**2)  # type: ignore[union-attr]
    (one,) = build(wall(BOARD), size=(4.0, 2.5)).leaves
    assert isinstance(one, Plate) and one.modulus == pytest.approx(modulus)
    loss = board.loss_factor.typical + calibrated.value("board_mounting_loss")  # type: ignore[union-attr]
    assert one.loss == pytest.approx(loss)
    glued, damped, loose = (
        build(wall(replace(BOARD, sheets=2, bond=bond)), size=(4.0, 2.5)).leaves[0]
        for bond in ("glued", "damped", "screwed")
    )
    assert isinstance(glued, Plate) and isinstance(damped, Plate) and isinstance(loose, Plate)
    assert (glued.thickness, glued.count) == (pytest.approx(0.025), 1)
    assert (loose.thickness, loose.count) == (0.0125, 2) and loose.loss == pytest.approx(loss)
    assert damped.loss == pytest.approx(max(loss, 0.15)) and damped.count == 2
    single = build(wall(replace(BOARD, bond="damped")), size=(4.0, 2.5)).leaves[0]
    assert isinstance(single, Plate) and single.loss == pytest.approx(loss)
    heavy = replace(BOARD, sheets=2, bond="glued", surface_mass=10.0)
    assert build(wall(heavy), size=(4.0, 2.5)).leaves[0].mass == pytest.approx(20.0)  # type: ignore[union-attr]
    limp = Leaf(material("mass-loaded vinyl"), 0.002, 3, surface_mass=4.0)
    assert build(wall(limp), size=(4.0, 2.5)).leaves[0].mass == pytest.approx(12.0)  # type: ignore[union-attr]
    bare = replace(limp, surface_mass=None)
    density = bare.material.density.typical
    assert build(wall(bare), size=(4.0, 2.5)).leaves[0].mass == pytest.approx(0.006 * density)  # type: ignore[union-attr]


def test_laminated_glass_is_two_plies_on_what_its_foils_leave() -> None:
    """6.4 mm: 3 + 0.38 + 3 mm."""
    pane = build(replace(constructions.inline("laminated 6.4 mm"), kind="window"), size=(1.2, 1.0)).leaves[0]
    assert isinstance(pane, Plate) and pane.core is not None
    assert pane.core.thickness == pytest.approx(0.38e-3) and pane.thickness == pytest.approx(3.01e-3)


def test_masonry_leaves_its_waves_a_free_path() -> None:
    """pi S/U between its edges: of 4 x 2.5 m 2.42 m; plaster closes its pores, endless flow resistance."""
    (brick,) = build(constructions.inline("brick 102 mm"), size=(4.0, 2.5)).leaves
    assert isinstance(brick, Heavy) and brick.flight == pytest.approx(np.pi * 10.0 / 13.0)


def test_joists_stand_where_a_deck_lies_free_of_its_ceiling() -> None:
    """As deep as the cavity leaves them."""
    deck = Leaf(material("chipboard"), 0.022)

    def joists(depth: float, framing: str | None) -> float | None:
        made = build(wall(deck, Cavity(depth, framing=framing), BOARD, kind="ceiling"), size=(4.0, 4.0))
        return made.leaves[0].depth if isinstance(made.leaves[0], Ribbed) else None

    clips = joists(0.25, "resilient clip")
    assert clips is not None and clips == pytest.approx(min(0.25 - stack.OFF_JOISTS, stack.DEEPEST))
    assert joists(0.6, "resilient clip") == pytest.approx(stack.DEEPEST)
    assert joists(stack.SHALLOWEST + stack.OFF_JOISTS - 0.01, "resilient clip") is None
    assert joists(0.25, "wood stud") is None
    below = build(wall(BOARD, Cavity(0.25, framing="hanger"), deck, kind="floor"), size=(4.0, 4.0)).leaves
    assert isinstance(below[1], Ribbed) and not isinstance(below[0], Ribbed)


def test_pores_of_masonry_are_closed_by_what_is_glued_on() -> None:
    """Flow resistance of what lies behind each other; a board that hangs before it closes nothing."""
    block = next(one for one in materials().values() if one.masonry and one.flow_resistivity)
    assert block.flow_resistivity is not None
    each = block.flow_resistivity.typical * 0.1
    stone, coat = Leaf(block, 0.1, bond="glued"), Leaf(material("plaster"), 0.013)

    def pores(*pack: Leaf) -> float:
        (leaf,) = build(wall(*pack), size=(4.0, 2.5)).leaves
        assert isinstance(leaf, Heavy)
        return float(np.squeeze(leaf.pores))

    assert pores(stone) == pytest.approx(each) and pores(replace(stone, sheets=2)) == pytest.approx(2 * each)
    assert pores(stone, replace(stone, bond="screwed")) == pytest.approx(2 * each)
    assert pores(stone, coat) == np.inf and pores(replace(coat, bond="glued"), stone) == np.inf
    assert pores(replace(stone, bond="screwed"), BOARD) == pytest.approx(each)
    assert pores(replace(stone, bond="screwed"), replace(BOARD, bond="glued")) == np.inf


def test_glued_leaves_bend_together_and_screwed_ones_slip() -> None:
    glued, loose = (
        build(wall(replace(BOARD, bond=bond), BOARD), size=(4.0, 2.5)).leaves[0]
        for bond in ("glued", "screwed")
    )
    assert isinstance(glued, Bonded) and isinstance(loose, Pack) and not isinstance(loose, Bonded)
    assert len(glued.plates) == len(loose.plates) == 2


def test_only_what_is_stiffer_one_way_is_turned_and_only_whole_answers_are_finer() -> None:
    glass, film, ply = (
        build(wall(Leaf(material(name), 0.012)), size=(3.0, 2.5))
        for name in ("glass", "mass-loaded vinyl", "plywood")
    )
    assert not glass.turns_matter and not film.turns_matter and ply.turns_matter
    assert glass.towards(0.3) is glass and ply.towards(0.3) is not ply
    assert glass.finer == stack.FINER > 1
    assert build(wall(BOARD), size=(3.0, 2.5), turns=averages.MOST - 1).finer == 1
