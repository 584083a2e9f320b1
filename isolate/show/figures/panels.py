"""Panels against isolation, drawn: how loud the noise is in each state, and what panels are for."""

from __future__ import annotations

import textwrap
from typing import NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from isolate.answers.panels import PanelsAnswer
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.words import hertz
from isolate.remedies.effect import Effect
from isolate.room.audibility import loudness
from isolate.room.received import Received
from isolate.show import said
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET

# Levels people know [dBA]: read in public tables of outdoor noise, whisper from memory.
_LANDMARKS = (
    (30.0, "a whisper"),
    (40.0, "a town\nat night"),
    (60.0, "people\ntalking"),
    (70.0, "a mower\nover the road"),
    (80.0, "a noisy\nstreet"),
    (100.0, "a saw\nat arm's length"),
)
_HEARD, _GONE = COLOURS[4], COLOURS[2]
MEASURED_FROM = 100.0  # Hz, by reverberation rooms (ISO 354)
_LEFT_OUT = ("tight cover",)  # told in the text


def figure(answer: PanelsAnswer) -> Figure:
    """The picture: the noise in each state above, the echo and the reach of the panels below."""
    rows = len(_drawn(answer)) + 1
    return common.drawn(lambda fig: _fill(fig, answer, rows), width=10.4, height=3.9 + 0.52 * rows)


def _fill(fig: Figure, answer: PanelsAnswer, rows: int) -> None:
    grid = fig.add_gridspec(2, 2, height_ratios=[0.9 + 0.52 * rows, 2.5])
    draw_states(answer, ax=fig.add_subplot(grid[0, :]))
    draw_reverberation(answer, ax=fig.add_subplot(grid[1, 0]))
    draw_reach(answer, ax=fig.add_subplot(grid[1, 1]))
    name = common.named(answer.contrast.noise.name.removeprefix("the "), 70)
    fig.suptitle(f"What stops the {name}?", x=0.01, ha="left", fontsize=13, fontweight="bold", color=INK)


class _Row(NamedTuple):
    """A bar: its key and name, the noise, and the change that makes it so."""

    key: str
    name: str
    heard: Received
    effect: Effect | None = None


def _drawn(answer: PanelsAnswer) -> list[_Row]:
    found = answer.contrast
    return [
        _Row("now", "inside, as it is", found.now),
        *(_Row(key, one.name, found.then(one), one) for key, one in found.effects if key not in _LEFT_OUT),
    ]


def draw_states(answer: PanelsAnswer, *, ax: Axes | None = None) -> Axes:
    """A bar a state: pale as far as the room's quiet and the ears hide it, strong what is heard, and an arrow
    for what is gained over the room as it is."""
    ax = common.new_axes() if ax is None else ax
    states = _drawn(answer)
    found = answer.contrast
    outside, now = found.now.made_dba, found.now.dba
    hidden = [max(min(state.heard.dba - state.heard.margin, outside), 0.0) for state in states]
    edges = np.repeat(np.arange(len(states) + 1) + 0.5, 2)[1:-1]
    ax.fill_betweenx(edges, 0.0, np.repeat(hidden, 2), color=FAINT, alpha=0.75, lw=0, zorder=0)
    ax.barh(0, outside, height=0.62, color="white", edgecolor=QUIET, lw=1.1, hatch="////")
    ax.plot([now, now], [0.55, len(states) + 0.5], color=INK, lw=0.9, ls=(0, (3, 2)))
    for row, (state, limit) in enumerate(zip(states, hidden, strict=True), start=1):
        _draw_bar(ax, row, state, limit, now)
        _say(ax, row, state, found.now)
    ax.text(
        outside + 1.0,
        0,
        f"in front of the {common.named(found.weak.side.name)}",
        va="center",
        fontsize=9.5,
        color=QUIET,
    )
    ax.text(0.6, len(states) + 0.56, "too soft to hear here: hidden by the room's own quiet and by your ears",
            fontsize=8, color=QUIET, va="top")  # fmt: skip
    names = ["outside", *(textwrap.fill(common.named(state.name, 70), 34) for state in states)]
    ax.set_yticks(range(len(names)), names, fontsize=10)
    for label, key in zip(ax.get_yticklabels(), ["outside", *(s.key for s in states)], strict=True):
        label.set_fontweight("bold" if key in ("panels", "second") else "normal")
    ax.tick_params(axis="y", length=0)
    ax.set_ylim(len(states) + 0.95, -0.5)
    ax.set_xlim(0.0, max(outside * 1.25, now + 42.0))
    _landmarks(ax, outside)
    ax.grid(False)
    ax.spines["bottom"].set_visible(False)
    return ax


def _draw_bar(ax: Axes, row: int, state: _Row, limit: float, now: float) -> None:
    level = max(state.heard.dba, 0.0)
    ax.barh(row, min(level, limit), height=0.62, color=_HEARD, alpha=0.28, lw=0)
    if level > limit:
        ax.barh(row, level - limit, left=limit, height=0.62, color=_HEARD, lw=0)
    if now - level > 1.5:
        ax.annotate(
            "", (level + 0.3, row), (now, row), arrowprops={"arrowstyle": "->", "color": INK, "lw": 1.0}
        )


def _say(ax: Axes, row: int, state: _Row, now: Received) -> None:
    """The verdict, and what it took, in a column of their own."""
    place = now.dba + 2.0
    words = said.YOU[state.heard.verdict]
    colour = _HEARD if state.heard.is_heard else _GONE
    told = [] if state.effect is None else [_changed(state.heard, now)]
    if state.effect is not None and state.effect.cost is not None:
        told.append(f"costs {said.short_price(state.effect.cost)}")
    up = 0.13 if told else 0.0
    ax.text(place, row - up, words, va="center", fontsize=10.5, fontweight="bold", color=colour)
    ax.text(place, row + 0.22, ", ".join(told), va="center", fontsize=8.5, color=QUIET)


def _changed(heard: Received, now: Received) -> str:
    gain = said.drop(now, heard)
    return f"{said.softer(now, heard)}: {loudness(gain)}" if gain > 0 else said.softer(now, heard)


def _landmarks(ax: Axes, outside: float) -> None:
    """Levels people know instead of numbers, along the bottom."""
    shown = [(level, text) for level, text in _LANDMARKS if level <= outside + 5]
    ax.set_xticks([level for level, _ in shown], [text for _, text in shown], fontsize=8, color=QUIET)
    ax.tick_params(axis="x", length=3, color=QUIET)
    ax.annotate("as loud as …", (0.0, 0.0), xytext=(-7, -12), xycoords="axes fraction",
                textcoords="offset points", ha="right", va="center", fontsize=8.5, color=QUIET)  # fmt: skip


def draw_reverberation(answer: PanelsAnswer, *, ax: Axes | None = None) -> Axes:
    """Reverberation before and with the panels."""
    ax = common.new_axes() if ax is None else ax
    ax.fill_between(
        THIRD_OCTAVES, answer.contrast.eyring, answer.contrast.before, color=COLOURS[2], alpha=0.15, lw=0
    )
    lines: list[tuple[Array, str, str, str]] = [
        (answer.contrast.before, "now", INK, "-"),
        (answer.contrast.eyring, "with them", COLOURS[2], "-"),
    ]
    for values, _, colour, dash in lines:
        ax.plot(THIRD_OCTAVES, values, color=colour, ls=dash, lw=2.2)
    common.frequency_axis(ax)
    ax.set_ylim(0.0, 1.15 * float(answer.contrast.before.max()))
    ax.set_ylabel("echo dies away in [s]")
    ax.set_title(f"What {answer.contrast.plan.name} are for: less echo")
    common.label_ends(ax, [(values, text, colour) for values, text, colour, _ in lines])
    return ax


def draw_reach(answer: PanelsAnswer, *, ax: Axes | None = None) -> Axes:
    """How much each board takes in by frequency."""
    ax = common.new_axes() if ax is None else ax
    boards = [kind for kind in answer.kinds if kind.name.startswith("board") and "air" not in kind.name]
    for kind, colour, dash in zip(boards, COLOURS, common.DASHES, strict=False):
        reach = "nowhere" if kind.half_from is None else hertz(kind.half_from)
        if kind.half_from is not None and kind.half_from < MEASURED_FROM:
            reach += "*"
        label = f"{kind.name.removeprefix('board ').replace('corner', 'mm, corner')}: {reach}"
        ax.plot(THIRD_OCTAVES, 100 * np.minimum(kind.alpha, 1.0), color=colour, ls=dash, lw=2.0, label=label)
    ax.axhline(50, color=QUIET, lw=0.9, ls=(0, (3, 2)))
    ax.set_ylim(0, 106)
    common.frequency_axis(ax)
    ax.set_ylabel("sound taken in [%]")
    ax.set_title("Only thick ones reach the bass")
    title = "half from (* computed)"
    ax.legend(loc="lower right", fontsize=8, handlelength=2.2, title=title, title_fontsize=8)
    return ax
