"""The figures, by what is in them: each line is the answer's, drawn things are to scale, files are files."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from isolate.answers.catalogue import Entry, entry, listing
from isolate.answers.compare import compare
from isolate.answers.curve.answer import curve
from isolate.answers.room import RoomAnswer, room
from isolate.bands import OCTAVES, THIRD_OCTAVES
from isolate.describe import rooms
from isolate.describe.constructions import Construction, Leaf
from isolate.errors import InputError, IsolateError
from isolate.show.figures import catalogue as figures_catalogue
from isolate.show.figures import common as figures
from isolate.show.figures import compare as figures_compare
from isolate.show.figures import curve as figures_curve
from isolate.show.figures import room as figures_room

SECOND_PANE = "glass 4 mm + 100 mm + laminated 6.4 mm"


@cache
def demo() -> RoomAnswer:
    return room()


def texts(ax: object) -> str:
    return "\n".join(text.get_text() for text in ax.texts)  # type: ignore[attr-defined]


def test_a_room_has_a_panel_for_each_noise_and_one_for_the_shares() -> None:
    drawn = figures_room.figure(demo())
    assert len(drawn.axes) == len(demo().heard) + 1


def test_the_lines_of_a_noise_are_those_of_the_answer() -> None:
    heard = demo().heard[0]
    ax = figures_room.draw_noise(demo(), heard)
    drawn = [np.asarray(line.get_ydata(), float) for line in ax.lines]
    for level in (heard.level_db, heard.made_db, demo().envelope.background_db, demo().threshold_db):
        assert any(np.allclose(line, level, equal_nan=True) for line in drawn)
    assert {"outside", "inside", "background", "threshold"} <= set(texts(ax).split("\n"))
    assert heard.verdict in ax.get_title(loc="left")


def test_the_frequency_axis_has_octaves_from_31_5_hz() -> None:
    ax = figures_room.draw_noise(demo(), demo().heard[0])
    assert np.allclose(ax.get_xticks(), OCTAVES)
    assert ax.get_xticklabels()[0].get_text() == "31.5"
    assert ax.get_xlim()[0] < THIRD_OCTAVES[0]
    assert ax.get_xlim()[1] > THIRD_OCTAVES[-1]


def test_the_bars_of_the_shares_are_the_shares() -> None:
    ax = figures_room.draw_shares(demo())
    widths = [bar.get_width() for container in ax.containers for bar in container]
    shares = [
        share for one in sorted(demo().heard, key=lambda one: -one.margin) for share in one.by_side.values()
    ]
    assert widths == pytest.approx(shares)


def test_a_room_without_noise_has_no_picture_and_says_so() -> None:
    from dataclasses import replace

    answer = room(replace(rooms.load(), noises=(), options=()))
    with pytest.raises(IsolateError, match="no noise to draw"):
        figures_room.figure(answer)


def test_the_curve_is_drawn_with_its_limits_the_mass_law_and_its_marks() -> None:
    answer = curve(SECOND_PANE)
    ax = figures_curve.draw_curve(answer)
    drawn = [np.asarray(line.get_ydata(), float) for line in ax.lines]
    assert any(np.array_equal(line, answer.tl_db) for line in drawn if line.size == 27)
    assert any(np.array_equal(line, answer.mass_law_db) for line in drawn if line.size == 27)
    edges = ax.collections[0].get_paths()[0].vertices[:, 1]
    assert set(np.round(answer.low_db, 6)) <= set(np.round(edges, 6))
    assert set(np.round(answer.high_db, 6)) <= set(np.round(edges, 6))
    assert "resonance" in texts(ax)
    assert "coincidence" in texts(ax)
    marks = sorted(float(line.get_xdata()[0]) for line in ax.lines if len(line.get_xdata()) == 2)
    assert marks[0] == pytest.approx(answer.resonances[0], abs=0.5)


def test_a_measurement_is_drawn_beside_its_prediction() -> None:
    answer = curve("staggered stud wall 2x4, empty")
    ax = figures_curve.draw_curve(answer)
    measured = answer.construction.measured
    assert measured is not None
    assert any(np.array_equal(line.get_ydata(), measured.tl_db) for line in ax.lines)
    assert "circles: measured" in texts(ax)


def test_compared_curves_are_told_apart_by_colour_dash_and_label() -> None:
    answer = compare(["glass 4 mm", "glass 8 mm", SECOND_PANE])
    ax = figures_compare.draw_comparison(answer)
    assert len({line.get_color() for line in ax.lines}) == 3
    assert len({line.get_linestyle() + str(line._dash_pattern) for line in ax.lines}) == 3  # type: ignore[attr-defined]
    for one in answer.curves:
        assert f"Rw {one.ratings['Rw']}" in texts(ax)


def test_neighbouring_colours_differ_in_grey() -> None:
    """Luminance by ITU-R BT.601; a tenth of the scale is told apart side by side (common practice)."""
    grey = [float(np.dot(to_rgb(colour), (0.299, 0.587, 0.114))) for colour in figures.COLOURS]
    assert all(abs(a - b) > 0.1 for a, b in pairwise(grey))
    assert all(np.dot(to_rgb(figures.readable(c)), (0.299, 0.587, 0.114)) <= 0.46 for c in figures.COLOURS)


def _section(name: str) -> tuple[Construction, list[Rectangle], Figure]:
    answer = entry(name)
    assert isinstance(answer.item, Construction)
    ax = figures_catalogue.draw_section(answer.item)
    return answer.item, [patch for patch in ax.patches if isinstance(patch, Rectangle)], ax  # type: ignore[return-value]


@pytest.mark.parametrize(
    "name", ["cavity brick wall 102-56-102 mm, plastered", "room in room, brick outside"]
)
def test_a_cross_section_is_to_scale(name: str) -> None:
    item, patches, ax = _section(name)
    assert ax.get_aspect() == 1.0  # type: ignore[attr-defined]
    tall = max(patch.get_height() for patch in patches)
    full = [patch for patch in patches if patch.get_height() == tall]
    left, sheets = 0.0, []
    for part in item.layers:
        several = [part.thickness] * part.sheets if isinstance(part, Leaf) else [part.depth]
        for width in several:
            sheets += [(left, width)] if isinstance(part, Leaf) else []
            left += width
    drawn = [(patch.get_x(), patch.get_width()) for patch in full]
    assert len(sheets) > 2
    for sheet in sheets:
        assert any(found == pytest.approx(sheet) for found in drawn)
    for fill in (part.fill_depth for part in item.layers if not isinstance(part, Leaf) and part.fill):
        assert any(width == pytest.approx(fill) for _, width in drawn)


def test_studs_stand_at_their_spacing_and_staggered_ones_on_both_sides() -> None:
    item, patches, _ = _section("staggered stud wall 2x4, empty")
    cavity = item.layers[1]
    tall = max(patch.get_height() for patch in patches)
    studs = [patch for patch in patches if patch.get_height() < tall]
    by_side = {round(patch.get_x(), 6) for patch in studs}
    assert len(by_side) == 2
    first = sorted(patch.get_y() for patch in studs if round(patch.get_x(), 6) == min(by_side))
    assert np.diff(first) == pytest.approx([cavity.spacing] * (len(first) - 1))  # type: ignore[union-attr]


def test_what_has_no_picture_says_so() -> None:
    for answer in (listing(), entry("oak"), entry("demo")):
        with pytest.raises(InputError, match="draws one construction with layers, or one noise"):
            figures_catalogue.figure(answer)


@pytest.mark.parametrize(("suffix", "start"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_files_are_what_their_name_says_and_the_same_each_time(suffix: str, start: bytes) -> None:
    answer = entry("siren")
    assert isinstance(answer, Entry)
    first, second = (figures.rendered(figures_catalogue.figure(answer), suffix) for _ in range(2))
    assert first.startswith(start)
    assert first == second


def test_labels_are_moved_apart_no_further_than_needed_and_stay_inside() -> None:
    assert figures.spread([], step=1.0, low=0.0, high=10.0) == []
    assert figures.spread([1.0, 5.0], step=1.0, low=0.0, high=10.0) == [1.0, 5.0]
    assert figures.spread([9.5, 9.8, 10.0], step=1.0, low=0.0, high=10.0) == [8.0, 9.0, 10.0]
