"""The room's answer, drawn: each noise outside and inside against what hides it, and where it comes in."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from isolate.answers.room import RoomAnswer
from isolate.bands import THIRD_OCTAVES, Array
from isolate.errors import IsolateError
from isolate.room.received import Received
from isolate.show.document import decibels, percent
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET

_LOW, _NOISE, _HEARD = -10.0, COLOURS[0], COLOURS[1]
_MOST = 8  # noises drawn; the ones that stick out most


def figure(answer: RoomAnswer) -> Figure:
    """A panel a noise, and the shares of the sides below or in the place that is left."""
    if not answer.heard:
        raise IsolateError("there is no noise to draw; write a [[noise]] into the room")
    heard = _drawn(answer)
    columns = 1 if len(heard) == 1 else 2
    rows = math.ceil(len(heard) / columns)
    beside = len(heard) % 2 == 1 and len(heard) > 1
    height = 2.9 * rows + 0.3 + (0.0 if beside else 0.8 + 0.42 * len(heard))
    return common.drawn(lambda fig: _fill(fig, answer, columns, beside), width=10.4, height=height)


def _drawn(answer: RoomAnswer) -> list[Received]:
    return sorted(answer.heard, key=lambda one: -one.margin)[:_MOST]


def _fill(fig: Figure, answer: RoomAnswer, columns: int, beside: bool) -> None:
    heard = _drawn(answer)
    rows = math.ceil(len(heard) / columns)
    ratios = [2.9] * rows + ([] if beside else [0.8 + 0.42 * len(heard)])
    grid = fig.add_gridspec(len(ratios), columns, height_ratios=ratios)
    top = _above(*heard)
    for index, one in enumerate(heard):
        ax = fig.add_subplot(grid[divmod(index, columns)])
        ax.set_ylim(_LOW, top)
        draw_noise(answer, one, ax=ax)
        if index + columns < len(heard):
            ax.set_xlabel("")
    draw_shares(answer, ax=fig.add_subplot(grid[-1, -1] if beside else grid[-1, :]))
    fig.suptitle(
        common.named(answer.room.title, 90), x=0.01, ha="left", fontsize=12, fontweight="bold", color=INK
    )


def _above(*heard: Received) -> float:
    """The tens above the loudest band, with room for its line."""
    return 10.0 * math.ceil((max(float(one.made_db.max()) for one in heard) + 2.0) / 10.0)


def draw_noise(answer: RoomAnswer, one: Received, *, ax: Axes | None = None) -> Axes:
    """One noise outside and inside with its 5 % and 95 % limits, the background, the threshold of hearing,
    and what both hide."""
    if ax is None:
        ax = common.new_axes()
        ax.set_ylim(_LOW, _above(one))
    hidden, f = answer.hidden_db, THIRD_OCTAVES
    inside, outside = _seen(one.level_db), _seen(one.made_db)
    ax.fill_between(f, _LOW, hidden, color=FAINT, alpha=0.55, lw=0)
    low, high = one.limits_db
    ax.fill_between(f, low, high, color=_NOISE, alpha=0.2, lw=0)
    ax.fill_between(
        f, hidden, inside, where=inside > hidden, color=_HEARD, alpha=0.42, lw=0, interpolate=True
    )
    ax.plot(f, answer.envelope.background_db, color=QUIET, lw=1.1, ls=(0, (5, 2)))
    ax.plot(f, answer.threshold_db, color=QUIET, lw=1.1, ls=(0, (1, 1.5)))
    ax.plot(f, outside, color=INK, lw=1.4)
    ax.plot(f, inside, color=_NOISE, lw=2.4)
    common.frequency_axis(ax)
    ax.set_ylabel("level [dB]")
    labels = [
        (outside, "outside", INK),
        (inside, "inside", _NOISE),
        (answer.envelope.background_db, "background", QUIET),
        (answer.threshold_db, "threshold", QUIET),
    ]
    common.label_ends(ax, labels, size=8)
    least, most = (decibels(limit) for limit in one.limits_dba)
    change = f"{decibels(one.made_dba)} → {decibels(one.dba)} dBA ({least} – {most}), "
    change += f"heard {percent(one.chance)}"
    ax.set_title(f"{common.named(one.name)}: {one.verdict}", loc="left", pad=15)
    ax.text(0.0, 1.02, change, transform=ax.transAxes, fontsize=8.5, color=QUIET)
    if (inside > hidden).any():
        _say_heard(ax, hidden, inside)
    return ax


def _seen(level_db: Array) -> Array:
    """Levels, without the bands far below the drawing."""
    return np.where(level_db > _LOW - 30.0, level_db, np.nan)


def _say_heard(ax: Axes, hidden: Array, inside: Array) -> None:
    excess = np.nan_to_num(inside - hidden, nan=-np.inf)
    wide = np.array([excess[max(i - 2, 0) : i + 3].min() for i in range(excess.size)])  # the word's width
    at = int(wide.argmax())
    low, high = ax.get_ylim()
    if wide[at] > 0.1 * (high - low):
        middle = (hidden[at] + inside[at]) / 2.0
        ax.text(THIRD_OCTAVES[at], middle, "heard", ha="center", va="center", fontsize=8, color=INK)


def draw_shares(answer: RoomAnswer, *, ax: Axes | None = None) -> Axes:
    """A bar a noise, cut into the sides by which its A-weighted energy comes in."""
    ax = common.new_axes() if ax is None else ax
    heard = _drawn(answer)
    known = [found.side.name for found in answer.envelope.sides]
    sides = list(dict.fromkeys([*known, *(name for one in heard for name in one.by_side)]))
    named: set[str] = set()
    for row, one in enumerate(heard):
        ax.text(0.0, row - 0.36, common.named(one.name), ha="left", va="center", fontsize=8.5, color=INK)
        left = 0.0
        for name, share in one.by_side.items():
            colour = COLOURS[sides.index(name) % len(COLOURS)]
            ax.barh(row, share, left=left, height=0.44, color=colour, edgecolor="white", lw=1.0)
            if share * ax.bbox.width > 8.5 * (len(name) + 6):
                text = f"{common.named(name)} {percent(share)}"
                ax.text(
                    left + share / 2,
                    row,
                    text,
                    ha="center",
                    va="center",
                    fontsize=8,
                    color=common.on(colour),
                )
                named.add(name)
            left += share
    _name_others(ax, answer, sides, named)
    ax.set_yticks([])
    ax.set_ylim(len(heard) - 0.7, -0.6)
    ax.set_xlim(0.0, 1.0)
    ax.set_xticks([0.0, 0.25, 0.5, 0.75, 1.0], ["0", "25 %", "50 %", "75 %", "100 %"])
    ax.grid(False)
    ax.set_title("Where it comes in (share of the A-weighted energy)", loc="left")
    return ax


def _name_others(ax: Axes, answer: RoomAnswer, sides: list[str], named: set[str]) -> None:
    """A key for the sides that are to be seen, but nowhere wide enough for their name."""
    most = {name: max(one.by_side.get(name, 0.0) for one in answer.heard) for name in sides}
    seen = [name for name in sides if name not in named and most[name] > 0.004]
    keys = [
        Patch(color=COLOURS[sides.index(name) % len(COLOURS)], label=common.named(name, 26)) for name in seen
    ]
    if keys:
        ax.legend(handles=keys, loc="upper left", bbox_to_anchor=(0.0, -0.14), ncols=4, fontsize=8,
                  handlelength=1.0, borderaxespad=0.2)  # fmt: skip
