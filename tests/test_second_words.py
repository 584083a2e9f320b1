"""A second window as it is asked for, and what is tried: words, sizes, panes and distances."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from isolate.describe import constructions, prices, rooms
from isolate.describe.constructions import Leaf
from isolate.describe.gaps import round_window
from isolate.describe.materials import material
from isolate.describe.rooms import Side
from isolate.errors import InputError
from isolate.remedies.second_window import others as other_things
from isolate.remedies.second_window import panes
from isolate.remedies.second_window import setting as settings
from isolate.remedies.second_window import sweep as sweeping
from isolate.remedies.second_window.asked import Asked, asked, new_pane, old_window
from isolate.remedies.second_window.others import Other, others
from isolate.remedies.second_window.setting import Setting
from isolate.remedies.second_window.sweep import Spot
from isolate.room import scenario
from isolate.standards.weighting import dba


@pytest.mark.parametrize(
    ("text", "layers"),
    [
        ("4 mm", "glass 4.0"), ("1/8 in", "glass 3.175"), ("3/16\"", "glass 4.7625"),
        ("double glazed", "glass 4.0 16.0 glass 4.0"), ("Triple", "glass 4.0 16.0 glass 4.0 16.0 glass 4.0"),
        ("4-16-4", "glass 4.0 16.0 glass 4.0"), ("6/12/6.4 mm", "glass 6.0 12.0 laminated glass 6.4"),
        ("laminated 6.4 mm", "laminated glass 6.4"), ("two panes 6-50-3 mm", "glass 6.0 50.0 glass 3.0"),
    ],
)  # fmt: skip
def test_windows_in_words(text: str, layers: str) -> None:
    built = old_window(text)[0]
    told = [
        f"{x.material.name} {x.thickness * 1e3:.5g}" if isinstance(x, Leaf) else f"{x.depth * 1e3:.5g}"
        for x in built.layers
    ]
    wanted = layers.replace(".0 ", " ").removesuffix(".0")
    assert " ".join(told) == wanted


def test_units_by_their_numbers_have_a_spacer() -> None:
    assert [getattr(x, "framing", None) for x in old_window("4-16-4")[0].layers] == [
        None,
        "glazing spacer",
        None,
    ]


@pytest.mark.parametrize(
    "text", ["4", "brick wall 225 mm", "nothing", "4-90-4", "glass 4 mm + 3 mm", "", "-4 mm", "4 mm x 3 mm"]
)
def test_what_is_no_window_is_refused(text: str) -> None:
    with pytest.raises((InputError, ValueError)):
        old_window(text)


def test_new_panes_are_one_pane() -> None:
    assert new_pane("1/4 in").thickness == pytest.approx(0.00635)
    assert new_pane("acrylic 3/8 in").material.name == "acrylic"
    for text in ("MDF 18 mm", "glass 4 mm + glass 6 mm", "glass 4 mm + 6 mm + glass 4 mm", "90 mm", "6"):
        with pytest.raises(ValueError, match="write"):
            new_pane(text)


def test_all_faults_come_together_with_their_options() -> None:
    with pytest.raises(InputError) as fault:
        asked(window="velvet", size="1", sash="violet", max_gap="2 m", panes=["x", "6"], level="80 dBA")
    faults = fault.value.faults
    assert [one.split(":")[0] for one in faults] == [
        "window", "size", "sash", "panes", "panes", "max_gap", "level",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("option", "least", "most"),
    [
        ("size", "0.16 m x 5.9 m", "0.14 m x 1 m"), ("size", "5.9 m x 0.16 m", "6.1 m x 1 m"),
        ("max_gap", "5.1 mm", "4.9 mm"), ("max_gap", "599 mm", "601 mm"),
        ("sash", "0.021 mm", "0.019 mm"), ("sash", "19.9 mm", "20.1 mm"),
    ],
)  # fmt: skip
def test_sizes_no_window_has_are_refused(option: str, least: str, most: str) -> None:
    """Windows of 0.15 to 6 m, 5 to 600 mm behind; slits of 0.02 to 20 mm."""
    assert getattr(asked(**{option: least}), option) is not None
    with pytest.raises(InputError, match=option):
        asked(**{option: most})


def test_panes_no_shop_has_are_refused() -> None:
    assert new_pane("1.01 mm").thickness == pytest.approx(1.01e-3)
    assert new_pane("39.9 mm").thickness == pytest.approx(39.9e-3)
    for text in ("0.99 mm", "40.1 mm"):
        with pytest.raises(ValueError, match="no sane pane"):
            new_pane(text)


def test_what_opens_or_comes_off_is_draught_stripped_at_best() -> None:
    assert Asked().sealed == "sealed" and Asked(openable=True).sealed == "draught-stripped"
    assert Asked(no_fixing=True).sealed == "draught-stripped" and Asked(seal="unsealed").sealed == "unsealed"
    with pytest.raises(InputError, match="closes that well"):
        asked(seal="sealed", openable=True)
    with pytest.raises(InputError, match="name the noise"):
        asked(level="80 dBA")
    assert asked(level="80 dBA", noise="tram").level is not None


# --- what is tried -----------------------------------------------------------------------------------------


def test_panes_are_those_that_are_sold() -> None:
    """Float glass by EN 572-2 from 3 to 12 mm; laminates are two alike of it and one or two foils of 0.38 mm
    (EN ISO 12543, as sheets name them: 6.4 to 12.8 mm)."""
    found: dict[str, set[float]] = {}
    for pane in sweeping.panes_sold():
        found.setdefault(pane.material.name, set()).add(round(1e3 * pane.thickness, 2))
    assert found["glass"] == {3, 4, 5, 6, 8, 10, 12}
    two = {round(2 * ply + 0.76, 1) for ply in (4, 5, 6)}
    assert found["laminated glass"] == two | {round(2 * 3 + 0.38, 1)}
    assert found["acoustic laminated glass"] == two | {round(2 * 3 + 0.76, 1)}
    assert found["acrylic"] == {3, 5, 6, 8, 10, 12}


def test_the_deepest_that_fits_stands_in_for_its_neighbour() -> None:
    """A distance of the usual ones within 3 % of it tells nothing new."""
    usual = set(sweeping.GAPS)
    assert set(sweeping.gaps_tried(Asked())) == usual
    for deepest, kept in ((0.1029, False), (0.1035, True), (0.0972, False), (0.0965, True)):
        found = set(sweeping.gaps_tried(Asked(max_gap=deepest)))
        assert deepest in found and (0.1 in found) == kept
    assert list(sweeping.gaps_tried(Asked(gaps=(0.2, 0.1, 0.2)))) == [0.1, 0.2]


@cache
def window() -> Setting:
    return settings.of(scenario.present(rooms.load("demo")), "window")


def test_a_second_window_is_named_by_what_it_is_and_has_a_joint_all_round() -> None:
    """Of 4 m2 without a size, a square of 2 m: 8 m of joint."""
    old = Side("window", "street", constructions.load("glass 4 mm"), 4.0)
    pane = Leaf(material("glass"), 0.006)
    plain = panes.second_window(old, pane, depth=0.1)
    assert plain.name == "second pane, glass 6 mm, 100 mm behind the window"
    assert plain.inner_gaps is not None and plain.inner_gaps[0].length == pytest.approx(8.0)
    lined = panes.second_window(old, pane, depth=0.1, edges="absorbent", seal="draught-stripped")
    assert lined.name == f"{plain.name}, reveal lined, draught-stripped"
    sized = panes.second_window(replace(old, size=(1.0, 4.0)), pane, depth=0.1)
    assert sized.inner_gaps is not None and sized.inner_gaps[0].length == pytest.approx(10.0)


def test_a_reveal_is_lined_from_40_mm_on() -> None:
    pane = new_pane("6 mm")
    found = sweeping.sweep(window(), [pane], np.array([0.039, 0.04]), seal="sealed")
    bare, lined = found.panes_tau[:, 0]
    np.testing.assert_array_equal(bare[0], lined[0])
    assert not np.allclose(bare[1], lined[1])
    assert found.window(Spot(1, 0, 0)).through == pytest.approx(found.solved[0].through[0, 0])
    assert found.window(Spot(1, 0, 1)).through == pytest.approx(found.solved[1].through[0, 0])
    assert found.masses == pytest.approx([15.0 * window().side.area])  # 2.5 kg/m2 a millimetre
    assert np.all(found.tau <= 1.0) and np.all(found.tau >= found.panes_tau)


def test_what_sticks_out_is_what_is_above_background_and_threshold() -> None:
    """All bands raised until the nearest reaches one of both: 0.1 dB further it sticks out."""
    here = window()
    quiet = np.full((len(here.heard), 27), -60.0)
    floor = -here.margin(quiet)  # how far the nearest band is from being heard
    assert np.all(floor > 0.0) and np.all(here.excess(quiet) == 0.0)
    for off, heard in ((0.1, True), (-0.1, False)):
        level = quiet + floor[:, None] + off
        assert np.all((here.margin(level) > 0.0) == heard)
        assert np.all((here.excess(level) > 0.0) == heard)


def test_levels_of_the_window_as_it_is_are_the_room_s() -> None:
    """Energy in and out: its own tau gives back what is heard now; nothing gained."""
    here = window()
    mine = np.sum([one.tau_area for one in here.built.elements if one.kind != "vent"], axis=0)
    inside = here.inside_db(mine / here.side.area)
    now = np.array([one.level_db for one in here.heard])
    np.testing.assert_allclose(inside, now, atol=1e-6)
    np.testing.assert_allclose(here.gain_dba(inside), 0.0, atol=1e-6)
    shut = here.inside_db(np.full(27, 1e-30))
    np.testing.assert_allclose(shut, here.beside_db, atol=1e-3)
    assert here.counting == tuple(i for i, one in enumerate(here.heard) if one.is_heard)
    margins = [one.margin for one in here.heard]
    assert margins[here.first] == max(margins)
    gaps = np.sum([one.tau_area for one in here.built.elements if one.kind == "gap"], axis=0)
    np.testing.assert_allclose(here.leaks(), gaps / here.side.area)


def test_a_window_alone_stands_in_a_usual_room_and_says_what_was_taken() -> None:
    found = settings.setting(None, asked(window="4 mm", size="1 m x 1.5 m", noise="bus"))
    assert found.alone and found.size == (1.0, 1.5) and found.heard[found.first].name == "bus"
    assert found.counting == (found.chosen,) and any("sash" in note for note in found.notes)
    square = settings.setting(None, asked(size="1 m x 1 m"))
    assert square.side.area == pytest.approx(1.0) and {one.name for one in square.heard} >= {"bus", "siren"}
    demo = settings.setting("demo", asked(size="1 m x 1 m", noise="tram"))
    assert not demo.alone and demo.side.area == 1.0 and demo.heard[demo.first].name == "tram"


# --- what else ---------------------------------------------------------------------------------------------


def test_what_else_one_may_put_there_is_told_with_distance_weight_and_light() -> None:
    """Acrylic (1190 kg/m3) of 3 mm on magnets, 30 mm behind, and of 6 mm in the reveal; a plug of 18 mm MDF
    (some 750 kg/m3) with 50 mm of glass fibre; film of polyester, 20 mm from the glass (common practice)."""
    area = window().side.area
    found = others(window(), Asked(), prices.bundled(), depth=0.1)
    by_key: dict[str, list[Other]] = {}
    for one in found:
        by_key.setdefault(one.key, []).append(one)
    assert list(by_key) == ["strips", "removable", "plug", "stuck film", "shrink film", "curtain"]
    magnets, pressed = by_key["removable"]
    assert "acrylic 3 mm on magnets" in magnets.name and magnets.about.startswith("30 mm behind")
    assert "acrylic 6 mm pressed" in pressed.name and pressed.about.startswith("100 mm behind")
    assert magnets.effect.mass == pytest.approx(1190 * 0.003 * area, rel=0.02)
    (plug,) = by_key["plug"]
    assert plug.dark and not magnets.dark and "18 mm MDF" in plug.name and "100 mm behind" in plug.about
    mdf, wool = (material(name).density.typical for name in ("MDF", "glass-fibre board"))
    assert mdf == pytest.approx(750, rel=0.1)
    assert plug.effect.mass == pytest.approx((0.018 * mdf + 0.05 * wool) * area)
    assert "20 mm behind" in by_key["shrink film"][0].about
    near = others(window(), Asked(light=True), prices.bundled(), depth=0.02)
    assert "plug" not in {one.key for one in near}
    assert [one.about[:5] for one in near if one.key == "removable"] == ["20 mm", "20 mm"]


def test_strips_are_offered_where_the_sash_leaks_more_than_they_do() -> None:
    """By energy in equal thirds, A-weighted; 0.1 dB is no more."""
    demo = rooms.load("demo")
    found = []
    for times in (0.99, 1.05):
        strips = round_window("draught-stripped", window().size)
        gaps = (replace(strips, width=strips.width * times, widths=None),)
        sides = tuple(replace(one, gaps=gaps) if one.name == "window" else one for one in demo.sides)
        here = settings.of(scenario.present(replace(demo, sides=sides)), "window")
        found.append(any(True for _ in other_things._strips(here, prices.bundled())))
    assert found == [False, True]
    assert other_things.leaking(np.full(27, 1e-3)) == pytest.approx(dba(np.full(27, -30.0)))
