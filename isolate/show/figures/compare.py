"""Constructions side by side, drawn."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from isolate.answers.compare import Comparison
from isolate.bands import THIRD_OCTAVES
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, DASHES


def figure(answer: Comparison) -> Figure:
    """All curves in a figure of their own."""
    return common.drawn(lambda fig: _fill(fig, answer), width=10.0, height=5.0)


def _fill(fig: Figure, answer: Comparison) -> None:
    draw_comparison(answer, ax=fig.add_subplot())


def draw_comparison(answer: Comparison, *, ax: Axes | None = None) -> Axes:
    """The transmission loss of each with its 5 % and 95 % limits, its name and Rw at the end of its line."""
    ax = common.new_axes() if ax is None else ax
    top = max(one.tl_db.max() for one in answer.curves)
    ax.set_ylim(0.0, 10.0 * np.ceil(max(top, 50.0) / 10.0))
    common.frequency_axis(ax)
    ax.set_ylabel("transmission loss [dB]")
    labels = []
    for index, (label, one) in enumerate(zip(answer.labels, answer.curves, strict=True)):
        colour, dash = COLOURS[index % len(COLOURS)], DASHES[index % len(DASHES)]
        ax.fill_between(THIRD_OCTAVES, one.low_db, one.high_db, color=colour, alpha=0.1, lw=0)
        ax.plot(THIRD_OCTAVES, one.tl_db, color=colour, ls=dash, lw=2.2)
        labels.append((one.tl_db, f"{common.named(label)}  Rw {one.ratings['Rw']}", colour))
    common.label_ends(ax, labels)
    ax.set_title("What each stops", loc="left")
    return ax
