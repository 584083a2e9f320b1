"""Takes, drawn: how far each noise lies under the playing, and the worst of them against what hides it."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from isolate.answers.take.answer import TakeAnswer
from isolate.answers.take.parts import NoiseInTake, TakeFound
from isolate.bands import THIRD_OCTAVES
from isolate.errors import IsolateError
from isolate.room.takes import GONE, HISS, PAUSES, SPOILS
from isolate.show.document import decibels, percent
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET

VERDICT_COLOURS = {GONE: "#8f8f8f", HISS: COLOURS[3], PAUSES: COLOURS[1], SPOILS: COLOURS[4]}
_LOWEST = -25.0  # dB of the spectra drawn
_ROW = 0.42


def figure(answer: TakeAnswer) -> Figure:
    """Two panels a take: the noises under it, and the spectrum of the one that stands out most."""
    takes = [take for take in answer.takes if take.noises]
    if not takes:
        raise IsolateError(
            "there is no noise to draw; write a [[noise]] that comes at the hours of a [[take]]"
        )
    heights = [max(1.5 + _ROW * len(take.noises), 3.3) for take in takes]

    def fill(fig: Figure) -> None:
        grid = fig.add_gridspec(len(takes), 2, height_ratios=heights, width_ratios=[1.15, 1.0])
        for row, take in enumerate(takes):
            draw_under(take, ax=fig.add_subplot(grid[row, 0]))
            draw_worst(take, ax=fig.add_subplot(grid[row, 1]))
        fig.suptitle(
            common.named(answer.room.title, 90), x=0.01, ha="left", fontsize=12, fontweight="bold", color=INK
        )

    return common.drawn(fill, width=11.0, height=sum(heights) + 0.4)


def draw_under(take: TakeFound, *, ax: Axes | None = None) -> Axes:
    """A bar a noise from its 5 % to its 95 % limit, in dBA under the playing, and what it is held against."""
    ax = common.new_axes() if ax is None else ax
    floor = take.at.played_dba - take.floor.dba
    lowest = min([-floor, *(-one.under_limits[1] for one in take.noises)]) - 4.0
    ax.set_xlim(lowest, 4.0)
    ax.set_ylim(len(take.noises) - 0.35, -1.0)
    ax.axvspan(lowest, -floor, color=FAINT, alpha=0.55, lw=0)
    marks = [(0.0, "playing"), (-take.take.softest_db, "softest"), (-floor, "room and hiss")]
    for place, text in marks:
        ax.axvline(place, color=QUIET, lw=1.0, ls=(0, (5, 2)))
        ax.text(
            place, -0.95, f" {text}", fontsize=8, color=QUIET, va="top", ha="left" if place < 0 else "right"
        )
    for row, one in enumerate(take.noises):
        low, high = one.under_limits
        colour = VERDICT_COLOURS[one.verdict]
        ax.barh(row, high - low, left=-high, height=0.3, color=colour, alpha=0.45, lw=0)
        ax.plot(
            [-float(one.met.under_db)] * 2, [row - 0.22, row + 0.22], color=common.readable(colour), lw=2.4
        )
        text = f"{common.named(one.name)}: {one.verdict}, heard {percent(one.chance_in_pauses)}"
        ax.text(lowest + 0.6, row - 0.26, text, fontsize=8.5, color=INK, va="bottom")
    ax.set_yticks([])
    ax.grid(axis="y", visible=False)
    ax.set_xlabel("dB under the playing (dBA), 5 to 95 %")
    ax.set_title(common.named(take.name, 60), loc="left")
    return ax


def worst(take: TakeFound) -> NoiseInTake:
    """The noise that stands out most in a pause."""
    return max(take.noises, key=lambda one: float(one.met.pause_db))


def draw_worst(take: TakeFound, *, ax: Axes | None = None) -> Axes:
    """The noise that stands out most in a pause, with its limits, against playing, room and hiss."""
    ax = common.new_axes() if ax is None else ax
    one, floor, at = worst(take), take.floor, take.at
    top = 10.0 * np.ceil((float(at.played_db.max()) + 3.0) / 10.0)
    ax.set_ylim(_LOWEST, top)
    colour = VERDICT_COLOURS[one.verdict]
    f = THIRD_OCTAVES
    ax.fill_between(f, _LOWEST, floor.both_db, color=FAINT, alpha=0.55, lw=0)
    ax.fill_between(f, one.low_db, one.high_db, color=colour, alpha=0.28, lw=0)
    lines = [
        (at.played_db, "playing", INK, "-", 1.6),
        (at.played_db - take.take.softest_db, "softest", INK, (0, (5, 2)), 1.2),
        (one.level_db, common.named(one.name, 20), colour, "-", 2.4),
        (floor.room_db, "room", QUIET, (0, (5, 2)), 1.1),
        (floor.hiss_db, "hiss", QUIET, (0, (1, 1.5)), 1.1),
    ]
    for level, _, ink, dashes, width in lines:
        ax.plot(f, np.where(level > _LOWEST, level, np.nan), color=ink, ls=dashes, lw=width)
    common.frequency_axis(ax)
    common.label_ends(ax, [(level, text, ink) for level, text, ink, _, _ in lines], size=8)
    ax.set_ylabel("level at the microphone [dB]")
    under = f"{decibels(float(one.met.under_db))} dB under the playing"
    ax.set_title(f"{common.named(one.name)}: {one.verdict}, {under}", loc="left")
    return ax
