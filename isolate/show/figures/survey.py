"""A survey, drawn: the night by band, its level over time, and the events in it."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from isolate.bands import OCTAVES, THIRD_OCTAVES, exact
from isolate.measuring.survey import Survey
from isolate.show.document import clock, day_time
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, QUIET

_KINDS = {"low": COLOURS[4], "middle": COLOURS[1], "high": COLOURS[3]}
_BRIGHT = 30.0  # dB above the background that are shown brightest
_OCTAVES = ["31.5", "63", "125", "250", "500", "1k", "2k", "4k", "8k"]


def figure(answer: Survey) -> Figure:
    """The bands over time above, the A-weighted level and the events below."""
    return common.drawn(lambda fig: _fill(fig, answer), width=10.0, height=7.0)


def _fill(fig: Figure, answer: Survey) -> None:
    above, below = fig.subplots(2, 1, sharex=True, height_ratios=(1.2, 1.0))
    draw_bands(answer, ax=above)
    draw_course(answer, ax=below)


def draw_bands(answer: Survey, *, ax: Axes | None = None) -> Axes:
    """How far each third octave rises over its own background, over time."""
    ax = common.new_axes() if ax is None else ax
    edges = np.append(exact(THIRD_OCTAVES) / 10**0.05, exact(THIRD_OCTAVES[-1]) * 10**0.05)
    time = np.arange(len(answer.picture_db) + 1) * answer.column
    above = np.ma.masked_invalid((answer.picture_db - answer.level_db["L90"]).T)
    mesh = ax.pcolormesh(time, edges, above, cmap="cividis", vmin=0.0, vmax=_BRIGHT, rasterized=True)
    ax.set_yscale("log")
    ax.set_yticks(OCTAVES, _OCTAVES)
    ax.set_yticks([], minor=True)
    ax.set_ylabel("frequency [Hz]")
    ax.grid(visible=False)
    fig = ax.figure
    assert isinstance(fig, Figure)
    fig.colorbar(mesh, ax=ax, label="dB above the band's background (L90)", pad=0.01, extend="max")
    ax.set_title(f"{common.named(answer.name, 80)}, microphone {answer.place}", fontsize=10)
    return ax


def draw_course(answer: Survey, *, ax: Axes | None = None) -> Axes:
    """Highest A-weighted level of each column, what lies under it, and a mark for each event."""
    ax = common.new_axes() if ax is None else ax
    time = (np.arange(len(answer.course_dba)) + 0.5) * answer.column
    low, high = float(answer.low_dba.min()), float(answer.course_dba.max())
    ax.set_ylim(low - 6.0, high + 0.15 * (high - low) + 2.0)
    ax.fill_between(time, answer.low_dba, answer.course_dba, color=COLOURS[0], alpha=0.35, lw=0)
    ax.plot(time, answer.low_dba, color=QUIET, lw=1.2)
    ax.annotate(f"background, L90 {answer.dba['L90']:.0f}", (0.005, answer.low_dba[0]), xytext=(0, -4),
                xycoords=("axes fraction", "data"), textcoords="offset points", va="top", fontsize=8,
                color=QUIET)  # fmt: skip
    for kind, colour in _KINDS.items():
        own = [event for event in answer.events if event.kind == kind]
        marks = ax.scatter(
            [e.start for e in own], [e.max_dba for e in own], s=16, color=colour, lw=0, zorder=4
        )
        marks.set_gid(f"events {kind}")
    shown = [kind for kind in _KINDS if any(event.kind == kind for event in answer.events)]
    for i, kind in enumerate(shown):
        place = 0.995 - 0.08 * (len(shown) - 1 - i)
        ax.text(place, 0.98, f"● {kind}", transform=ax.transAxes, va="top", ha="right", fontsize=8,
                color=common.readable(_KINDS[kind]))  # fmt: skip
    ax.set_ylabel("dBA" if answer.calibrated else "dBA re full scale")
    ax.set_xlim(0.0, answer.length)
    ticks = _ticks(answer)
    ax.set_xticks(ticks, [_label(answer, tick) for tick in ticks])
    ax.set_xlabel("time of day" if answer.start is not None else "time into the recording")
    ax.set_title(f"{len(answer.events)} events, {answer.per_hour:.0f} an hour", fontsize=10)
    return ax


def _ticks(answer: Survey) -> list[float]:
    steps = (10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400)
    step = next((s for s in steps if answer.length / s <= 9), steps[-1])
    first = -(answer.start or 0.0) % step
    return np.arange(first, answer.length + 1e-6, step).tolist()


def _label(answer: Survey, tick: float) -> str:
    if answer.start is None:
        return clock(tick)
    text = day_time(answer.start + tick)
    return text if answer.length < 600 else text[:5]
