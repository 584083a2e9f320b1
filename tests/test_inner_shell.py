"""The physics of a room within a room: linings, mounts and ties in their limits, contacts, vents, leaks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import N_BANDS, THIRD_OCTAVES, index_of
from isolate.describe import constructions, inner, rooms
from isolate.describe.constructions import Construction
from isolate.describe.houses import Plate
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Range, material
from isolate.physics import coupled, flanking_junctions, inner_shell, leakage
from isolate.physics.inner_shell import Contact
from isolate.physics.links import Tie, spring
from isolate.physics.transmission import transmission

F = THIRD_OCTAVES
SIZE = (4.0, 3.0)
SLAB = constructions.load("concrete slab 150 mm")
DECK = inner.usual_inner().floor.lining
WALLS = inner.usual_inner().walls


def tau(built: Construction) -> np.ndarray:
    return np.asarray(10 ** (-transmission(built, size=SIZE, round_about=False).tl_db / 10))


def mounts(stiffness: float, spacing: float = 0.6) -> Tie:
    return Tie("springs", spring(stiffness * (1 + 0.1j)), spacing**-2, spacing=spacing)


def floated(stiffness: float) -> np.ndarray:
    """tau (27,) of slab and deck on mounts."""
    lined = inner_shell.lined(SLAB, DECK.layers, size=SIZE)
    return lined.free + inner_shell.crossed(lined.whole, free=lined.free, size=SIZE, ties=[mounts(stiffness)])


def test_infinitely_soft_mounts_give_the_unbridged_floor() -> None:
    """The wool between mounts carries nothing: its skeleton is no spring there."""
    gap, *leaves = DECK.layers
    assert isinstance(gap, Cavity) and gap.fill is not None
    carries_nothing = replace(gap, fill=replace(gap.fill, skeleton=None))
    free = inner_shell.lined(SLAB, (carries_nothing, *leaves), size=SIZE).free
    np.testing.assert_allclose(10 * np.log10(floated(1e-3) / free), 0.0, atol=0.3)  # changes: on few points


def test_rigid_mounts_give_one_slab_of_both_masses() -> None:
    """In the bass, where mounts 0.6 m apart are a layer: the deck adds its mass to the slab's and no more."""
    bass = slice(index_of(31.5), index_of(63) + 1)
    heavier = replace(SLAB, layers=(*SLAB.layers, *DECK.leaves))
    loss = -10 * np.log10(floated(1e12)[bass])
    np.testing.assert_allclose(
        loss, transmission(heavier, size=SIZE, round_about=False).tl_db[bass], atol=2.0
    )


def test_stiffer_mounts_take_more_away() -> None:
    middle = slice(index_of(125), index_of(1000) + 1)
    soft, usual, stiff = (floated(k)[middle] for k in (1e4, 3e5, 3e7))
    assert np.all(soft <= usual * 1.02)
    assert np.all(usual < stiff)


def test_a_leaf_of_vanishing_mass_takes_nothing_off() -> None:
    film = Leaf(material("mass-loaded vinyl"), 1e-3, surface_mass=1e-4)
    wall = constructions.load("brick wall 225 mm")
    lined = inner_shell.lined(wall, (Cavity(0.01), film), size=SIZE)
    np.testing.assert_allclose(lined.gain(), 0.0, atol=0.3)


def test_a_lining_helps_above_its_resonance_and_harms_near_it() -> None:
    """ISO 12354-1 annex D: f0 below 80 Hz gains; near f0 it loses (common practice, no source)."""
    wall = constructions.load("brick wall 225 mm, plastered")
    lined = inner_shell.lined(wall, WALLS.layers, size=SIZE)
    swing = inner_shell.gap_resonance(lined.whole, size=SIZE)
    near = int(np.argmin(np.abs(F - swing)))
    assert 30.0 < swing < 40.0  # 60 sqrt(1/(m h)) with 20.7 kg/m2, 0.12 m and isothermal wool: 38 to 32 Hz
    assert lined.gain()[near] < 0.0
    assert np.all(lined.gain()[index_of(200) :] > 15.0)


@pytest.mark.parametrize("count", [1.0, 10.0])
def test_a_tie_takes_off_more_than_it_gives(count: float) -> None:
    wall = constructions.load("brick wall 225 mm, plastered")
    lined = inner_shell.lined(wall, WALLS.layers, size=SIZE)
    tie = Tie("points", spring(1e8), count / 12.0)
    loss = lined.gain() - lined.gain([tie])
    assert np.all(loss >= 0.0)
    assert loss[index_of(1000)] > 5.0


# --- contacts ---


def plate(
    mass: float, density: float, speed: float, light: bool, size: tuple[float, float]
) -> coupled.Member:
    of = Plate("plate", Range(mass, mass, mass), Range(mass, mass, mass), density, speed, 0.01, light)
    return coupled.member(F, of, size=size)


HOUSE = {
    "floor": plate(345.0, 2300.0, 3500.0, False, (5.0, 4.0)),
    "ceiling": plate(15.0, 650.0, 2200.0, True, (5.0, 4.0)),
    "walls": plate(200.0, 1750.0, 2300.0, False, (18.0, 2.5)),
}
ROOM = {
    "inner walls": inner_shell.leaf_member(WALLS.leaves, size=(17.0, 2.2), loss=0.06),
    "inner ceiling": inner_shell.leaf_member(WALLS.leaves, size=(4.7, 3.7), loss=0.06),
    "inner floor": inner_shell.leaf_member(DECK.leaves, size=(4.7, 3.7), loss=0.08),
}
SOLES = Contact("soles", "floor", "inner walls", 17.0)
UNDER = Contact("mounts", "floor", "inner floor", count=30.0, link=spring(3e5 * (1 + 0.1j)))
ON_IT = Contact("walls on it", "inner floor", "inner walls", 17.0)


def radiated(*contacts: Contact, arrival: str = "floor") -> dict[str, np.ndarray]:
    return inner_shell.radiated(
        F, arrival=arrival, source=HOUSE[arrival], plates=HOUSE | ROOM, contacts=contacts, perimeter=18.0
    )


def test_what_touches_nothing_radiates_nothing() -> None:
    assert radiated() == {}
    assert set(radiated(SOLES)) == {"soles"}


def test_walls_on_a_floated_floor_get_less_than_walls_on_the_slab() -> None:
    """From 63 Hz up; more, the higher (mounts part more than a sole does)."""
    soles = radiated(SOLES)["soles"]
    floating = radiated(UNDER, ON_IT)["mounts"]
    gain = 10 * np.log10(soles / floating)
    assert np.all(gain[index_of(63) :] > 5.0)
    assert gain[index_of(1000)] > 20.0


def test_what_a_part_passes_on_counts_for_the_contact_it_came_by() -> None:
    alone, on_it = radiated(UNDER)["mounts"], radiated(UNDER, ON_IT)
    assert set(on_it) == {"mounts"}
    assert np.all(on_it["mounts"] > alone)


def test_sound_on_the_walls_comes_round_the_corner_weaker() -> None:
    """Relative to the bare element that moves: what is on the walls has a corner more to go."""
    assert np.all(radiated(SOLES, arrival="walls")["soles"][5:] < radiated(SOLES)["soles"][5:])
    assert np.all(radiated(SOLES, arrival="ceiling")["soles"] == 0.0)


def test_a_strip_under_the_soles_parts_them_from_125_hz_up() -> None:
    """EN 12354-1 annex E, flexible interlayer: 10 lg(f/125) more for going round the corner."""
    strip = replace(SOLES, k_db=10 * np.log10(np.maximum(F / 125.0, 1.0)))
    less = 10 * np.log10(radiated(SOLES)["soles"] / radiated(strip)["soles"])
    np.testing.assert_allclose(less, 10 * np.log10(np.maximum(F / 125.0, 1.0)), atol=0.5)


def test_what_moves_drives_what_stands_on_it_whole_and_across_corners_less() -> None:
    """ISO 12354-1: velocity squared crosses a corner as 10^(-K/10); floor and ceiling have none in common."""
    strips = {name: Contact(name, name, "inner walls", 17.0) for name in inner_shell.HOUSE}
    found = radiated(*strips.values())
    assert np.all(found["floor"] > found["walls"]) and np.all(found["walls"] > 0.0)
    assert np.all(found["ceiling"] == 0.0)
    alone = coupled.along_line(
        F, HOUSE["floor"], ROOM["inner walls"], k=inner_shell.corner(F, HOUSE["floor"], ROOM["inner walls"]),
        length=17.0,
    )  # fmt: skip
    radiates = ROOM["inner walls"].radiates(F) / HOUSE["floor"].radiates(F)
    np.testing.assert_allclose(found["floor"], alone * radiates)


def test_corners_are_those_of_the_plates_that_meet() -> None:
    """EN 12354-1 annex E: formulas of their own for heavy plates, a light on a heavy one, and light ones."""
    heavy, light = (HOUSE["floor"], HOUSE["walls"]), (ROOM["inner walls"], ROOM["inner ceiling"])
    mixed = light[0], heavy[0]
    for pair, kind in ((heavy, "rigid tee"), (light, "light coupled"), (mixed, "light on heavy")):
        less, more = sorted(one.whole for one in pair)
        expected = flanking_junctions.reduction(kind, F, mass=less, across=more).corner
        np.testing.assert_allclose(inner_shell.corner(F, *pair), expected)


@pytest.mark.parametrize(
    ("density", "light", "name"),
    [(1900.0, False, "brick"), (2200.0, False, "concrete"), (650.0, True, "gypsum board")],
)
def test_a_base_is_of_what_its_density_says(density: float, light: bool, name: str) -> None:
    """Brickwork weighs 1400 to 1900 kg/m3, concrete 2200 to 2400 (handbooks, from memory)."""
    mass = Range(200.0, 200.0, 200.0)
    base = inner_shell.base_of(Plate("wall", mass, mass, density, 2500.0, 0.01, light), "wall")
    (leaf,) = base.layers
    assert isinstance(leaf, Leaf) and leaf.material.name == name
    assert leaf.thickness * density == pytest.approx(200.0)


# --- vents and leaks ---


def test_a_vent_through_both_shells_passes_less_than_through_one() -> None:
    room = rooms.load("demo")
    vent = next(side for side in room.sides if side.vents).vents[0]
    beyond = replace(vent, length=0.1)
    both = inner_shell.through_both(vent, beyond)
    assert both.shape == (N_BANDS,)
    assert np.all(both[index_of(125) :] < leakage.vent(vent)[index_of(125) :])


def test_a_leak_into_the_gap_is_stopped_by_the_inner_leaf() -> None:
    leaf = np.full(N_BANDS, 1e-3)
    leak = np.full(N_BANDS, 1e-2)
    for filled in (True, False):
        passed = inner_shell.behind_leaf(leak, leaf, area=10.0, filled=filled)
        assert np.all(passed < leak * 1e-3 * 6.0)
    wool, bare = (inner_shell.behind_leaf(leak, leaf, area=10.0, filled=x) for x in (True, False))
    assert np.all(wool < bare)
