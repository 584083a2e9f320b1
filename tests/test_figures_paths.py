"""The picture of the paths, on its artists."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib.patches import Rectangle
from once import judged_once

from isolate.answers.room import RoomAnswer, room
from isolate.bands import N_BANDS
from isolate.cli import root
from isolate.errors import IsolateError
from isolate.show.figures import common as figures
from isolate.show.figures import paths as figures_paths


@cache
def demo() -> RoomAnswer:
    return room(draws=0)


def test_the_stack_of_every_band_and_of_all_together_is_whole() -> None:
    """Heights of the bars over each place on the axis add up to 1, and are the shares."""
    assert figures_paths.panels(demo())
    for panel in figures_paths.panels(demo()):
        with figures.styled():
            ax = figures_paths.draw_paths(panel)
        stacks: dict[float, float] = {}
        for patch in ax.patches:
            assert isinstance(patch, Rectangle)
            place = round(patch.get_x(), 3)
            stacks[place] = stacks.get(place, 0.0) + patch.get_height()
        assert len(stacks) == N_BANDS + 1
        np.testing.assert_allclose(list(stacks.values()), 1.0)


def test_a_line_stands_below_every_band_that_is_heard() -> None:
    panel = figures_paths.panels(demo())[0]
    with figures.styled():
        ax = figures_paths.draw_paths(panel)
    assert len(ax.lines) == int((panel.heard.margin_db > 0).sum())


def test_noises_and_each_neighbour_have_a_panel_and_one_path_one_look() -> None:
    panels = figures_paths.panels(demo())
    assert [panel.title for panel in panels[:1]] == ["ambulance siren: clear"]
    assert any("at neighbour next door" in panel.title for panel in panels)
    keyed = figures_paths.looks([panel.heard for panel in panels])
    assert len(set(keyed.values())) == len(keyed)
    figure = figures_paths.figure(demo())
    assert len(figure.axes) == len(panels)
    names = {text.get_text() for text in figure.legends[0].get_texts()}
    assert set(keyed) <= names and figures_paths.REST in names


def test_paths_too_small_to_tell_apart_are_drawn_as_one() -> None:
    heard = figures_paths.panels(demo())[0].heard
    rows = figures_paths._rows(heard, {})
    assert [name for name, _, _ in rows] == [figures_paths.REST]
    np.testing.assert_allclose(rows[0][1], 1.0)


def test_nothing_to_draw_is_said() -> None:
    empty = replace(demo(), now=replace(demo().now, heard=(), neighbours=()))
    with pytest.raises(IsolateError, match="no noise and no neighbour to draw"):
        figures_paths.figure(empty)


def test_the_command_draws_the_picture_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    sizes = {}
    for picture in ("room", "paths"):
        line = ["room", "--draws", "50", "--plot", f"{picture}.png", "--picture", picture]
        with judged_once():
            result = CliRunner().invoke(root, line, catch_exceptions=False)
        assert result.exit_code == 0, result.output
        sizes[picture] = (tmp_path / f"{picture}.png").stat().st_size
    assert sizes["room"] != sizes["paths"]
    unknown = CliRunner().invoke(root, ["room", "--picture", "cake"])
    assert unknown.exit_code == 2 and "'room', 'paths'" in unknown.output
