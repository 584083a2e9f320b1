"""What named framings are, of bare numbers: how many there are, how stiff each is, how a screw gives."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from isolate.describe.layers import Cavity
from isolate.describe.materials import Range, material
from isolate.physics import calibrated, links, ports, studs
from isolate.physics.air import SPEED
from isolate.physics.leaves import AnyLeaf, Limp, Pack, Plate
from isolate.physics.links import Tie
from isolate.physics.ribbed import Ribbed

F, ALONG = np.array([50.0]), np.array([0.0])
BOARD = Plate(0.0125, 700.0, 3e9, 0.3, 0.01)
HEAVY = Plate(0.1, 1800.0, 12e9, 0.2, 0.01)
SOFT = 1 / (2 * 3e9 * 0.004) + math.log(12.5 / 4) / (2 * math.pi * 8.75e8 * 0.0125)  # m/N, of BOARD
SIZE = (4.0, 2.5)


def tie(framing: str | None, depth: float, *leaves: AnyLeaf, kind: str = "wall", **more: object) -> Tie:
    """A tie between two leaves, of boards where none are given."""
    one, other = leaves or (BOARD, BOARD)
    found = links.tie(Cavity(depth, framing=framing, **more), kind=kind, leaves=(one, other), size=SIZE)  # type: ignore[arg-type]
    assert found is not None
    return found


def stiffness(link: ports.Link) -> complex:
    """Dynamic stiffness [N/m] between its ends at 50 Hz."""
    return complex(np.squeeze(-link(F, ALONG)[1] * 2j * np.pi * 50.0))


def test_a_board_gives_round_the_head_of_a_screw() -> None:
    """A punch of 4 mm radius on 3 GPa/(1 - nu^2) and an annulus in shear, 5/6 E/(2 (1 + nu)), 0.875 GPa; thin
    sheet is pressed in alone, what is limp gives nothing that counts."""
    assert pytest.approx(4.167e-8 + 1.658e-8, rel=1e-3) == SOFT
    assert links._local_compliance(BOARD, 0) == pytest.approx(SOFT)
    assert links._local_compliance(replace(BOARD, thickness=1e-3), 0) == pytest.approx(1 / (6e9 * 0.004))
    assert links._local_compliance(Limp(0.2), 0) == 0.0
    pack = Pack((BOARD, HEAVY))
    assert links._local_compliance(pack, 0) == pytest.approx(SOFT)
    assert links._local_compliance(pack, -1) == pytest.approx(links._local_compliance(HEAVY, 0))


def test_a_screwed_link_gives_with_both_boards() -> None:
    """Springs in a row: 1/(1/k + c1 + c2)."""
    both = (BOARD, HEAVY)
    give = SOFT + links._local_compliance(HEAVY, 0)
    assert stiffness(links.screwed(ports.spring(2e6), both)) == pytest.approx(1 / (1 / 2e6 + give))
    z11, _, z22 = links.screwed(ports.spring(1e12), (BOARD, Limp(0.2)))(F, ALONG)
    assert z11[0] == pytest.approx(1 / SOFT / (2j * np.pi * 50.0), rel=1e-3)
    assert z22[0] == pytest.approx(z11[0], rel=1e-3)
    heavy = links.screwed(ports.weighted(ports.spring(1e3), first=2.0, last=5.0), (BOARD, BOARD))
    w = 2j * np.pi * 50.0
    ends = [complex(z[0]) for z in heavy(F, ALONG)[::2]]
    free = [1 / (1 / (w * mass + 1e3 / w) + w * SOFT) for mass in (2.0, 5.0)]
    assert ends == pytest.approx(free, rel=1e-3)


def test_wood_studs_by_their_screws() -> None:
    """Softwood across the grain, 0.35 GPa, on 38 mm by 250 mm a screw; screws 300 mm apart in the field and
    200 mm at joints, over 600 mm, on either side; from 140 to 180 mm of depth ever more of a joist."""
    found = tie("wood stud", 0.089, spacing=0.6)
    rows = [0.15, 0.45], [0.1, 0.3, 0.5]
    assert found.pattern == "lattice" and found.heavier is None
    assert found.per_area == pytest.approx(1 / (0.6 * 0.25)) and found.spacing == 0.6
    assert found.line is not None and found.line.span == pytest.approx(0.562) and found.line.cell == 0.6
    for places, order in zip(found.line.places, (rows, rows[::-1]), strict=True):
        assert [list(one) for one in places] == [pytest.approx(one) for one in order]
    assert stiffness(found.link) == pytest.approx(1 / (0.089 / (0.35e9 * 0.038 * 0.25) + 2 * SOFT))
    assert found.line.give(F) == pytest.approx((SOFT, SOFT))
    assert tie("wood stud", 0.14).heavier is None
    for depth, share in ((0.16, 0.5), (0.18, 1.0), (0.25, 1.0)):
        joist = tie("wood stud", depth)
        assert joist.shares[1][1] == pytest.approx(share) and joist.shares[0][1] == pytest.approx(1 - share)


def test_films_give_on_both_flanges_of_a_steel_stud() -> None:
    found = tie("steel stud", 0.092, spacing=0.6, gauge=0.5e-3)
    film = studs.film(F, width=0.035, gap=calibrated.value("steel_stud_gap"))
    assert found.contact is not None
    assert found.contact(F) == pytest.approx(2 / (2j * np.pi * 50.0 * film))


@pytest.mark.parametrize(("leaves", "first"), [((BOARD, HEAVY), True), ((HEAVY, BOARD), False)])
def test_channels_hang_the_lighter_leaf_by_a_leg_at_every_stud(
    leaves: tuple[Plate, Plate], first: bool
) -> None:
    """Studs 406 mm apart, crossed by channels every 600 mm: a leg in the middle of each cell."""
    found = tie("resilient channel", 0.1, *leaves, spacing=0.6)
    assert found.per_area == pytest.approx(1 / (0.6 * 0.4064)) and found.spacing == 0.6
    assert found.line is not None
    assert found.line.span == pytest.approx(0.4064 - 0.038)
    stud = studs.wood(0.1 - 0.013)  # what the channel leaves of the depth
    for one, other in zip(found.line.faces(F, ALONG + 1.0)[0], stud(F, ALONG + 1.0)[0], strict=True):
        assert one == pytest.approx(other)
    hung = [places[0 if first else 1] for places in found.line.places]
    assert hung == [pytest.approx((0.3,))] * 2
    leg = 1 / stiffness(links._leg("channel", 0.5e-3))
    own = [links._local_compliance(leaf, 0) for leaf in leaves]
    own[0 if first else 1] += leg
    assert [complex(np.squeeze(x)) for x in found.line.give(F)] == pytest.approx(own)
    assert stiffness(found.link) == pytest.approx(
        1 / (leg + sum(links._local_compliance(leaf, 0) for leaf in leaves)), rel=0.02
    )
    at_end, other = (found.link(np.array([5e3]), ALONG)[i][0] for i in ((0, 2) if first else (2, 0)))
    assert abs(at_end) != pytest.approx(abs(other), rel=0.01)  # the channel's face weighs on that side


def test_clips_wall_ties_and_hangers_are_points_on_a_square() -> None:
    """One each 0.6 m both ways, of the calibrated stiffness; clips with rubber's loss of 0.15."""
    found = tie("resilient clip", 0.1, spacing=0.6)
    assert (found.pattern, found.spacing, found.wave) == ("springs", 0.6, SPEED)
    assert found.per_area == pytest.approx(1 / 0.36)
    assert stiffness(found.link) == pytest.approx(calibrated.value("clip_stiffness") * (1 + 0.15j))
    for ties in ("wire", "strip"):
        found = tie("wall tie", 0.05, spacing=0.6, ties=ties)
        loss = 1 + 1j * calibrated.value("tie_loss")
        assert stiffness(found.link) == pytest.approx(calibrated.value(f"{ties}_tie_stiffness") * loss)
        assert found.per_area == pytest.approx(1 / 0.36) and found.spacing == 0.6
    found = tie("hanger", 0.2, spacing=0.6)
    assert found.pattern == "points" and found.per_area == pytest.approx(1 / 0.36)
    assert stiffness(found.link) == pytest.approx(1 / (1e-9 + 2 * SOFT))


def test_staggered_and_double_studs_meet_at_top_and_bottom() -> None:
    """A screw every 250 mm along two plates of a wall 2.5 m high: 3.2 a square metre. Plates of a double
    stud, 38 x 89 mm of 450 kg/m3, weigh 0.38 kg a screw on either side."""
    found = tie("staggered stud", 0.14)
    assert found.pattern == "points" and found.per_area == pytest.approx(3.2)
    assert stiffness(found.link) == pytest.approx(1 / (0.14 / (0.35e9 * 0.038 * 0.25) + 2 * SOFT))
    found = tie("double stud", 0.2, Limp(0.2), Limp(0.2))
    assert found.pattern == "points" and found.per_area == pytest.approx(3.2)
    w = 2j * np.pi * 50.0
    z11, z12, z22 = (complex(z[0]) for z in found.link(F, ALONG))
    mass = 450.0 * 0.038 * 0.089 * 0.25
    assert [z11 + z12, z22 + z12] == pytest.approx([w * mass] * 2, rel=1e-3)
    assert -z12 * w == pytest.approx(1e9 * (1 + 0.05j), rel=1e-3)


def test_floors_on_wool_and_on_mounts() -> None:
    """A board of wool is its skeleton over its depth beside the air, on springs 20 mm apart; mounts have
    been chosen for 10 Hz under the lighter leaf."""
    wool = material("stone wool")
    wool = replace(wool, skeleton=Range(1e5, 2e5, 4e5))
    found = tie(None, 0.04, kind="floor", fill=wool, fill_depth=0.04)
    assert (found.pattern, found.spacing) == ("springs", 0.02) and found.per_area == pytest.approx(2500.0)
    loss = 1 + 1j * calibrated.value("wool_loss")
    assert stiffness(found.link) * found.per_area == pytest.approx(2e5 / 0.04 * loss)
    assert links.tie(Cavity(0.04), kind="floor", leaves=(BOARD, BOARD), size=SIZE) is None
    half = Cavity(0.04, fill=wool, fill_depth=0.02)
    assert links.tie(half, kind="floor", leaves=(BOARD, BOARD), size=SIZE) is None
    full = replace(half, fill_depth=0.04)
    assert links.tie(full, kind="wall", leaves=(BOARD, BOARD), size=SIZE) is None
    found = tie("mount", 0.05, BOARD, HEAVY, kind="floor", spacing=0.5)
    assert stiffness(found.link) == pytest.approx((20 * np.pi) ** 2 * 8.75 * 0.25 * (1 + 0.15j))
    assert (found.pattern, found.spacing) == ("springs", 0.5) and found.per_area == pytest.approx(4.0)


def test_panes_in_one_frame_are_tied_round_their_edge() -> None:
    """10 m2 by 13 m of edge."""
    found = tie(None, 0.1, kind="window")
    assert found.pattern == "edge" and found.spacing == pytest.approx(10.0 / 13.0)
    apart = Cavity(0.1, framing="separate frames")
    assert links.tie(apart, kind="window", leaves=(BOARD, BOARD), size=SIZE) is None


def test_slow_joists_and_legs_are_springs_that_lose() -> None:
    """E A/d (1 + j eta) across the grain; 12 D/L^3 (1 + j eta) of a strip, D = E h^3/(12 (1 - nu^2))."""
    slow = np.array([1.0])
    joist = ports.rod(depth=0.1, length=0.25, loss=0.05)
    leg = ports.strip(length=0.02, gauge=5e-4, width=0.25, loss=0.1)
    across, bent = (complex(-of(slow, ALONG)[1][0] * 2j * np.pi) for of in (joist, leg))
    assert across == pytest.approx(0.35e9 * 0.038 * 0.25 / 0.1 * (1 + 0.05j), rel=1e-4)
    plate = 205e9 / (1 - 0.29**2) * 5e-4**3 / 12
    assert bent == pytest.approx(12 * plate / 0.02**3 * 0.25 * (1 + 0.1j), rel=1e-4)
    quick = np.array([500.0, 1000.0, 3000.0])
    for of in (joist, leg):
        assert np.all(np.real(of(quick, ALONG)[0]) > 0.0)  # what moves them gives them power


# --- studs and joists -----------------------------------------------------------------------------------


def test_a_beam_bends_shears_and_weighs() -> None:
    """(B q^4/(1 + B q^2/S) - w^2 m)/(j w) with B 100, S 1000, m 0.005, q 2: (1600/1.4 - 493.5)/(314.2 j)."""
    found = studs.beam(F, np.array([2.0]), bending=100.0, shear=1000.0, mass=0.005)
    assert found[0] == pytest.approx((1600 / 1.4 - 0.005 * (100 * np.pi) ** 2) / (100j * np.pi))


def test_a_wave_at_an_angle_meets_the_deck_and_its_joists() -> None:
    """z(k) + 1/(b/Z + sum of 1/z(k + 2 pi n/b)), n to 3 either way, b 406 mm (Rumerman, Mace, from memory):
    1.5/m at 0.6 rad and 200 Hz; Z of 38 x 200 mm of 11 GPa, 0.69 GPa in shear, 450 kg/m3, loss 0.05."""
    deck, f = Plate(0.022, 660.0, 3.5e9, 0.25, 0.01), np.array([200.0])
    along, across = 1.5 * math.cos(0.6), 1.5 * math.sin(0.6)
    area, w = 0.038 * 0.2, 400 * np.pi
    bending, shear = (11e9 * area * 0.04 / 12 * (1 + 0.05j), 5 / 6 * 0.69e9 * area * (1 + 0.05j))
    joist = (bending * along**4 / (1 + bending * along**2 / shear) - w**2 * 450.0 * area) / (1j * w)
    sides = [math.hypot(along, across + n * 2 * np.pi / 0.4064) for n in (-3, -2, -1, 1, 2, 3)]
    gives = 0.4064 / joist + sum(1 / complex(deck.impedance(f, np.array([[k]])).item()) for k in sides)
    expected = complex(deck.impedance(f, np.array([[1.5]])).item()) + 1 / gives
    found = Ribbed((deck,), 0.2, 0.6).impedance(f, np.array([[1.5]]))
    assert complex(found.item()) == pytest.approx(expected)
    assert Ribbed((deck,), 0.2).ratio != 1.0 and Ribbed((deck,), 0.2, 0.6).ratio == 1.0


def test_screws_are_spread_evenly() -> None:
    assert studs.evenly(0.3, 0.6) == pytest.approx((0.15, 0.45))
    assert studs.evenly(0.2, 0.5) == pytest.approx((0.125, 0.375)) and studs.evenly(1.0, 0.4) == (0.2,)


def test_a_flange_with_its_lip_bends_about_their_centroid() -> None:
    """Of 35 mm and 6 mm at a right angle: 6^3/3 - (6^2/2)^2/41 = 64.1 mm3 per thickness (parallel axes)."""
    assert studs._angle(0.035, 0.006) == pytest.approx(64.098e-9, rel=1e-4)


def test_a_steel_stud_is_a_beam_with_flanges_that_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    """92 mm of 0.5 mm, 205 GPa, 79.5 GPa in shear, 3.925 kg/m2; flanges of 35 mm with lips of 6, of which 16
    mm are the arm to the web and 19 mm hang out. With edges that pass nothing on, a face has its arm's s
    and the outer part as a beam; it turns by t, the outer part's twist, swing and the film."""
    asked, s, t = [], 3e5, 2.0
    beam = studs.beam

    def recorded(f: np.ndarray, along: np.ndarray, **how: complex) -> np.ndarray:
        asked.append(how)
        return beam(f, along, **how)  # type: ignore[arg-type]

    alike = [((s, 0.0, t), (s, 0.0, t)), ((0.0, 0.0, 1.0), (0.0, 0.0, 1.0))]
    monkeypatch.setattr(studs, "beam", recorded)
    monkeypatch.setattr(studs, "ends", lambda f, along, **_: alike)
    f, q, gap = np.array([200.0]), np.array([10.0]), 5e-5
    force, mixed, moment = studs.steel(depth=0.092, gauge=0.5e-3, gap=gap)(f, q)
    young, shear, mass = 205e9 * (1 + 0.02j), 205e9 / 2.58, 7850.0 * 0.5e-3
    outer, whole = asked
    area = young * 0.5e-3
    assert outer["bending"] == pytest.approx(area * 64.098e-9, rel=1e-4)
    assert outer["mass"] == pytest.approx(mass * 0.025) and outer["shear"] == np.inf
    assert whole["bending"] == pytest.approx(area * (0.035 * 0.092**2 / 2 + 0.092**3 / 12))
    assert whole["shear"] == pytest.approx(shear * 0.5e-3 * 0.092)
    assert whole["mass"] == pytest.approx(mass * 0.092)
    w = 400 * np.pi
    face = s + area * 64.098e-9 * 1e4 - w**2 * mass * 0.025
    assert force[0] == pytest.approx(1j * w / face, rel=1e-4) and mixed[0] == pytest.approx(0.0)
    twist = shear * 0.5e-3**3 / 3 * 0.025 * 100.0
    swing = mass * (0.019**3 / 3 + 0.006 * 0.019**2) * w**2
    free = t + twist - swing + studs.pivot(f, width=0.035, gap=gap)
    assert moment[0] == pytest.approx(1j * w / free, rel=1e-4)
    assert 3.0 < twist < 30.0 and 3.0 < swing < 30.0


def test_a_screw_meets_a_stud_by_all_waves_that_repeat_from_screw_to_screw() -> None:
    """Every 250 mm: k + 2 pi n/0.25, n to 6 either way (38 mm of face fit six times), summed over 0.25 m; of
    faces whose crossed mobility is half their own a, Z is (1/a)/(1 - 1/4) and -half of it."""

    def faces(f: np.ndarray, along: np.ndarray) -> tuple[studs.Mobilities, ...]:
        own = 1 / (1 + along**2) + 0.0 * f
        return ((own, 0.5 * own, own),)

    z11, z12, z22 = studs.fixed(faces, 0.25)(F, np.array([3.0]))
    own = sum(1 / (1 + (3.0 + 8 * np.pi * n) ** 2) for n in range(-6, 7)) / 0.25
    assert z11[0] == pytest.approx(4 / 3 / own) and z22[0] == pytest.approx(4 / 3 / own)
    assert z12[0] == pytest.approx(-2 / 3 / own)
