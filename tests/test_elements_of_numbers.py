"""Elements of an envelope, of bare numbers: what each lets through, how sure that is, what it is called."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, index_of
from isolate.describe import constructions
from isolate.describe.constructions import Cavity, Construction, Measured
from isolate.describe.frames import Frame
from isolate.describe.materials import Range
from isolate.describe.rooms import Gap, Second, Side, Vent
from isolate.physics import leakage, second_window, windows
from isolate.physics.flanking_defaults import FlankPath
from isolate.physics.flanking_rooms import FlankingFound
from isolate.physics.transmission import transmission
from isolate.room.elements import BuiltSide, Element, Finder, _Recent

OPEN = Range(0.25, 0.25, 0.25)
SLIT = (Gap(0.01, 2.0, 0.05),)  # 0.02 m2


def measured(tl_db: float, *, kind: str = "wall") -> Construction:
    """A construction that stops the same in every band."""
    curve = Measured("made for the test", "own", THIRD_OCTAVES, np.full(27, tl_db))
    return Construction(f"flat {tl_db:g}", f"flat {tl_db:g} dB", kind, (), None, curve)


def element(name: str, side: str, kind: str, tau_area: float = 1.0) -> Element:
    return Element(name, side, kind, np.full(27, tau_area), np.full(27, 2.0))


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (element("wall: 3 mm gap", "wall", "gap"), "wall (3 mm gap)"),
        (element("flanking: floor", "flanking (next)", "flanking"), "flanking (floor)"),
        (element("wall", "wall", "construction"), "wall"),
    ],
)
def test_an_element_is_named_with_its_side(one: Element, words: str) -> None:
    assert one.words == words


def test_the_level_difference_of_an_element_is_over_ten_square_metres() -> None:
    """D_n = 10 lg(A_0 / (tau S)), A_0 = 10 m2 (ISO 12354-1): of a square centimetre 50 dB."""
    assert element("gap", "wall", "gap", 1e-4).difference_db == pytest.approx(50.0)


def test_what_is_open_of_a_side_adds_up() -> None:
    """0.02 m2 of slits, two vents of 0.01 m2, of 10 m2, and a tenth that stands open: 0.104."""
    vents = (Vent("inlet", 0.01, count=2), Vent("tested", None, tested_db=np.full(27, 40.0)))
    side = Side("wall", "street", measured(50.0), 10.0, (4.0, 2.5), SLIT, vents, Range(0.05, 0.1, 0.2))
    assert BuiltSide(side, (), 0.0, ()).open_share == pytest.approx(0.002 + 0.002 + 0.1)


def test_a_side_is_weakened_whole_or_its_construction_alone() -> None:
    """10 dB take a tenth; nothing lets through more than its area."""
    side = Side("wall", "street", measured(10.0), 2.0)
    built = BuiltSide(side, (element("own", "wall", "construction", 0.5), element("g", "wall", "gap", 0.3)),
                      0.0, ())  # fmt: skip

    def through(loss_db: float, all_of_it: bool) -> list[float]:
        found = built.weakened(loss_db, all_of_it=all_of_it).elements
        return [float(one.tau_area[0]) for one in found]

    assert through(10.0, True) == pytest.approx([0.05, 0.03])
    assert through(10.0, False) == pytest.approx([0.05, 0.3])
    assert through(-10.0, True) == pytest.approx([2.0, 2.0])
    assert through(-10.0, False) == pytest.approx([2.0, 0.3])


def test_what_is_open_lets_nothing_else_through() -> None:
    """2 m2 of 30 dB, a quarter open and a hundredth of it a slit: 0.74 of it is left."""
    side = Side("window", "street", measured(30.0, kind="window"), 2.0, (1.0, 2.0), SLIT, opened=OPEN)
    found = Finder().side(side)
    assert [one.kind for one in found.elements] == ["construction", "gap", "opening"]
    assert found.elements[0].tau_area == pytest.approx(1e-3 * 0.74 * 2.0)


@pytest.mark.parametrize(
    ("kind", "opened", "told"),
    [
        ("window", OPEN, True),
        ("window", Range(0.0, 0.0, 0.0), False),
        ("window", None, False),
        ("door", OPEN, False),
    ],
)
def test_only_of_a_window_left_open_it_is_told_what_was_measured(
    kind: str, opened: Range | None, told: bool
) -> None:
    found = Finder().side(Side("one", "street", measured(30.0, kind=kind), 2.0, (1.0, 2.0), opened=opened))
    assert any("102 dwellings" in note for note in found.notes) == told
    assert ("opening" in [one.kind for one in found.elements]) == (opened == OPEN)


def test_how_sure_a_width_in_words_is_stands_for_nine_in_ten() -> None:
    """Between the ends of a range of 90 % lie 2 times 1.645 standard deviations of a normal distribution."""
    gap = Gap(2e-3, 3.0, 0.05, True, "edge gaps", Range(1e-3, 2e-3, 4e-3))
    side = Side("door", "hall", measured(30.0, kind="door"), 2.0, (1.0, 2.0), (gap,))
    narrow, wide = (leakage.gap(Gap(width, 3.0, 0.05, True)) for width in (1e-3, 4e-3))
    found = Finder().side(side).elements[1]
    assert found.sigma_db == pytest.approx(abs(10 * np.log10(wide / narrow)) / 3.29)
    assert 1.0 < found.sigma_db[index_of(500)] < 4.0
    opened = Finder().side(replace(side, gaps=(), opened=Range(0.1, 0.2, 0.4))).elements[1]
    assert opened.sigma_db[-1] == pytest.approx(10 * math.log10(4) / 3.29, abs=0.05)  # rays, by area


def test_what_flanks_along_one_element_is_one_with_half_its_range() -> None:
    """Two ways along the floor of 43 dB each let through 10 m2 5e-5 each; 3 dB down and 5 up are 8/3.29."""
    paths = (
        FlankPath("floor", "Ff", np.full(27, 43.0)),
        FlankPath("floor", "Df", np.full(27, 43.0)),
        FlankPath("wall", "Ff", np.full(27, 50.0)),
    )
    found = FlankingFound(paths, np.full(27, 3.0), np.full(27, 5.0))
    floor, wall = Finder().flanking("next", found, measured(50.0), {})
    assert (floor.name, floor.side, floor.kind) == ("flanking: floor", "flanking (next)", "flanking")
    assert floor.tau_area == pytest.approx(10 * 2 * 10**-4.3) and wall.tau_area == pytest.approx(1e-4)
    assert floor.sigma_db == pytest.approx(8.0 / 3.29)


def test_gaps_that_are_alike_are_numbered() -> None:
    slits = (Gap(3e-3, 1.0, 0.1), Gap(2e-3, 1.0, 0.1, name="sill"), Gap(3e-3, 2.0, 0.1))
    found = Finder().side(Side("wall", "street", measured(50.0), 10.0, gaps=slits))
    assert [one.name for one in found.elements[1:]] == ["wall: 3 mm gap 1", "wall: sill", "wall: 3 mm gap 2"]


def test_what_was_asked_last_is_remembered() -> None:
    known: _Recent[str, int] = _Recent(2)
    assert [known.recall(key, lambda key=key: ord(key)) for key in "abac"] == [97, 98, 97, 99]
    assert list(known) == ["a", "c"]


# --- a window behind a window ---------------------------------------------------------------------------


def test_a_window_behind_a_window_has_its_panes_and_what_gets_past_both_seals() -> None:
    """Past a seal at least once: the sash's gaps outside, the joint the new pane was put in with inside, each
    re the 2.4 m2 of the window; the joint's range of 90 % is 3.29 standard deviations."""
    size = (1.2, 2.0)
    built = replace(constructions.load("glass 4 mm + 150 mm + glass 6 mm"), kind="window")
    old, new = Gap(1e-3, 6.4, 0.06), Gap(4e-4, 6.4, 0.06, widths=Range(1e-4, 4e-4, 1e-3))
    side = Side("window", "street", built, 2.4, size, (old,), inner_gaps=(new,))
    found = Finder().side(side)
    panes, seals = found.elements
    parted = second_window.apart(side.construction, shared=True)
    assert parted is not None
    alone, apart = second_window.of(side.construction, size=size), second_window.of(parted, size=size)
    assert panes.tau_area == pytest.approx(alone.through * 2.4)
    sash = leakage.gap(old) / 2.4
    low, usual, high = (
        apart.past([sash, leakage.gap(Gap(width, 6.4, 0.06)) / 2.4]) for width in (1e-4, 4e-4, 1e-3)
    )
    assert seals.name == "window: past the seals"
    assert seals.tau_area == pytest.approx(usual * 2.4)
    assert seals.sigma_db == pytest.approx(np.maximum(10 * np.log10(high / low) / 3.29, 2.0))
    assert seals.sigma_db.max() > 2.2


def test_sashes_that_slide_leak_before_a_second_window_too() -> None:
    """What the brushes let past, re the window, joins the gaps of the old one."""
    size, old, new = (1.2, 2.0), Gap(1e-3, 6.4, 0.06), Gap(4e-4, 6.4, 0.06)
    built = replace(constructions.load("glass 4 mm + 150 mm + glass 6 mm"), kind="window")
    frame = Frame(0.06, "wood", "sliding")
    side = Side("window", "street", built, 2.4, size, (old,), inner_gaps=(new,), frame=frame)
    parted = second_window.apart(side.construction, shared=True)
    assert parted is not None and frame.sliding
    sash = leakage.gap(old) / 2.4 + windows.brushes(frame, size=size)
    past = second_window.of(parted, size=size).past([sash, leakage.gap(new) / 2.4])
    assert Finder().side(side).elements[1].tau_area == pytest.approx(past * 2.4)


# --- two doors ------------------------------------------------------------------------------------------


def test_two_near_doors_are_a_double_leaf_below_half_a_wavelength() -> None:
    """0.1 m is half a wavelength at 1715 Hz: up to 1600 Hz no better than both leaves on that air; above,
    tau S of both over what the lobby takes, 0.3 (0.18 + 3.78 + 0.42) m2
    and the doors themselves."""
    leaf, size = constructions.load("solid core door 44 mm"), (0.9, 2.1)
    side = Side("doors", "hall", leaf, 1.89, size, second=Second(leaf, (), (0.9, 0.1, 2.1), "treated"))
    double = replace(leaf, layers=(*leaf.layers, Cavity(0.1, framing="separate frames"), *leaf.layers))
    together = 10 ** (-transmission(double, size=size).tl_db / 10) * 1.89
    one = 10 ** (-transmission(leaf, size=size).tl_db / 10) * 1.89
    apart = one * one / (0.3 * 2 * (0.9 * 0.1 + 0.9 * 2.1 + 0.1 * 2.1) + 2 * one)
    found = Finder().side(side).elements[0].tau_area
    near = THIRD_OCTAVES < 1700
    assert found[near] == pytest.approx(np.maximum(together, apart)[near])
    assert np.any((together > 3 * apart)[near])
    assert found[~near] == pytest.approx(apart[~near])
