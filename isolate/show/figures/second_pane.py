"""The second window, drawn: what every pane at every distance gains, the proposed one before and after."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, TwoSlopeNorm
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.patheffects import withStroke

from isolate.answers.second_pane.answer import SecondPane
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import words
from isolate.remedies.second_window.panes import pane_name
from isolate.remedies.second_window.sweep import LINED_FROM
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET
from isolate.show.tell.second_pane_reasons import signed
from isolate.standards import hearing
from isolate.standards.weighting import dba
from isolate.units import INCH

_LOUDER, _SOFTER = COLOURS[4], COLOURS[0]
_MAP = LinearSegmentedColormap.from_list("louder to softer", [_LOUDER, "#ffffff", "#7fb8dc", _SOFTER])
_FULL = 24.0  # dB, the full colour
_ISO = ((63.0, (0, (6, 2))), (100.0, (0, (3, 2))), (160.0, (0, (1.2, 1.5))))  # Hz, resonances drawn as lines
_NEAR = 0.02  # [m], the distance that shows what too near does
_LOW = -10.0
_HALO = [withStroke(linewidth=2.6, foreground="white")]


def figure(answer: SecondPane) -> Figure:
    """The map above, the noise and the window before and after below."""
    rows = len(answer.sweep.panes)
    return common.drawn(lambda fig: _fill(fig, answer), width=11.2, height=4.6 + 0.21 * max(rows, 6))


def _fill(fig: Figure, answer: SecondPane) -> None:
    rows = max(len(answer.sweep.panes), 6)
    grid = fig.add_gridspec(2, 2, height_ratios=[1.1 + 0.21 * rows, 3.1])
    draw_map(answer, ax=fig.add_subplot(grid[0, :]))
    draw_noise(answer, ax=fig.add_subplot(grid[1, 0]))
    draw_window(answer, ax=fig.add_subplot(grid[1, 1]))
    name = common.named(answer.heard[answer.shown].name.removeprefix("the "), 60)
    fig.suptitle(f"A second window against the {name}: {answer.verdict}", x=0.01, ha="left",
                 fontsize=13, fontweight="bold", color=INK)  # fmt: skip


def draw_map(answer: SecondPane, *, ax: Axes | None = None) -> Axes:
    """How much softer the noise gets with each pane (lightest below) at each distance, in dB."""
    ax = common.new_axes() if ax is None else ax
    sweep, shown, spot = answer.sweep, answer.shown, answer.pick.spot
    order = [int(i) for i in np.argsort(sweep.masses, kind="stable")]
    gain = sweep.gain_dba[shown, spot.lining][order]
    least, most = min(-6.0, float(gain.min())), max(_FULL, float(gain.max()))
    ax.imshow(gain, cmap=_MAP, norm=TwoSlopeNorm(0.0, least, most), aspect="auto", origin="lower")
    for (row, column), value in np.ndenumerate(gain):
        dark = value > 0.72 * most or value < 0.6 * least
        ax.text(column, row, signed(value).lstrip("+"), ha="center", va="center", fontsize=7, zorder=6,
                color="white" if dark else INK)  # fmt: skip
    _harm(ax, sweep.rise_db[shown, spot.lining][order] >= 1.0)
    ceiling = _ceiling(answer, ax, gain)
    _resonances(answer, ax, order)
    place = (spot.gap - 0.5, order.index(spot.pane) - 0.5)
    ax.add_patch(Rectangle(place, 1, 1, fill=False, edgecolor=INK, lw=2.2, zorder=7))
    _axes_of_map(answer, ax, order, ceiling)
    return ax


def _harm(ax: Axes, where: Array) -> None:
    """Hatches the cells with which part of the noise gets louder than it is now."""
    for row, column in np.argwhere(where):
        ax.add_patch(Rectangle((column - 0.5, row - 0.5), 1, 1, fill=False, hatch="////", lw=0, zorder=3,
                               edgecolor=_LOUDER))  # fmt: skip


def _ceiling(answer: SecondPane, ax: Axes, gain: Array) -> bool:
    """Draws the steps beyond which other ways let in more than the window does; whether there are any."""
    most = answer.heard[answer.shown].dba - float(dba(answer.setting.beside_db[answer.shown]))
    short = gain < most - 10.0 * np.log10(2.0)
    if not short.any() or short.all():
        return False
    last = [int(np.flatnonzero(row)[-1]) if row.any() else -1 for row in short]
    rows = np.repeat(np.arange(len(last) + 1) - 0.5, 2)[1:-1]
    ax.plot(np.repeat(last, 2) + 0.5, rows, color=COLOURS[1], lw=2.4, zorder=4, solid_joinstyle="miter")
    return True


def _resonances(answer: SecondPane, ax: Axes, order: Sequence[int]) -> None:
    """Lines along which the panes swing against each other at the same frequency."""
    resonances = answer.sweep.resonances[list(order)]
    columns, rows = np.arange(resonances.shape[1]), np.arange(resonances.shape[0])
    if min(resonances.shape) < 3:
        return
    for hertz, dash in _ISO:
        place = np.array([np.interp(-hertz, -row, columns, left=np.nan, right=np.nan) for row in resonances])
        there = np.flatnonzero(np.isfinite(place))
        if there.size < 3:
            continue
        ax.plot(place, rows, color=INK, lw=1.3, ls=dash, zorder=5, path_effects=_HALO)
        last = int(there[-1])
        ax.annotate(f"{hertz:g} Hz", (place[last], rows[last]), xytext=(0, 9), textcoords="offset points",
                    ha="center", fontsize=8, color=INK, annotation_clip=False)  # fmt: skip


def _axes_of_map(answer: SecondPane, ax: Axes, order: Sequence[int], ceiling: bool) -> None:
    sweep, pick = answer.sweep, answer.pick
    ax.set_xticks(range(sweep.gaps.size), [words.millimetres(gap).removesuffix(" mm") for gap in sweep.gaps])
    ax.set_xlabel("distance between old window and new pane: mm, and inches", labelpad=16)
    for column, gap in enumerate(sweep.gaps):
        inches = f"{gap / INCH:.1f}″" if gap >= INCH else f"{gap / INCH:.2g}″"
        ax.annotate(inches, (column, 0.0), xycoords=("data", "axes fraction"), xytext=(0, -19),
                    textcoords="offset points", ha="center", va="top", fontsize=7.5, color=QUIET)  # fmt: skip
    names = [f"{common.named(pane_name(sweep.panes[i]))}  {sweep.masses[i]:.0f} kg" for i in order]
    ax.set_yticks(range(len(names)), names, fontsize=8)
    ax.tick_params(length=0)
    ax.grid(False)
    lined = f"lined from {words.millimetres(LINED_FROM)} on" if pick.edges == "absorbent" else "bare"
    told = [
        f"How many dB softer than now, reveal {lined}, seal {sweep.seal}; the frame is the proposal.",
        "Rust: louder than now; hatched: part of it is louder. Dashed: the panes swing against each other at "
        "that frequency.",
    ]
    if ceiling:
        told.append("Yellow: beyond this line more comes in elsewhere than by this window.")
    ax.set_title("\n".join(told), loc="left", fontsize=8.5, fontweight="normal", pad=17)


def draw_noise(answer: SecondPane, *, ax: Axes | None = None) -> Axes:
    """The noise inside, now and with the proposed pane, over what background and hearing hide."""
    ax = common.new_axes() if ax is None else ax
    shown, f = answer.shown, THIRD_OCTAVES
    now, then = answer.heard[shown].level_db, answer.then[shown].level_db
    beside = answer.setting.beside_db[shown]
    hidden = hearing.masked_threshold(answer.setting.now.envelope.background_db)
    ax.set_ylim(_LOW, 10.0 * np.ceil(max(float(now.max()), float(then.max())) / 10.0) + 5.0)
    ax.fill_between(f, _LOW, hidden, color=FAINT, alpha=0.6, lw=0)
    ax.fill_between(f, now, then, where=then < now, color=_SOFTER, alpha=0.16, lw=0, interpolate=True)
    ax.fill_between(f, now, then, where=then > now, color=_LOUDER, alpha=0.45, lw=0, interpolate=True)
    lines = [(now, "now", INK, 2.0), (then, "with it", _SOFTER, 2.4)]
    if np.isfinite(beside).any() and float(beside.max()) > _LOW:
        lines.append((beside, "by other paths", QUIET, 1.1))
    for values, _, colour, width in lines:
        ax.plot(f, np.where(values > _LOW - 20.0, values, np.nan), color=colour, lw=width,
                ls=(0, (5, 2)) if colour == QUIET else "-")  # fmt: skip
    common.frequency_axis(ax)
    ax.set_ylabel("level in the room [dB]")
    common.label_ends(ax, [(np.maximum(v, _LOW), text, colour) for v, text, colour, _ in lines], size=8)
    ax.text(
        f[0],
        _LOW + 2.0,
        "  not heard: too soft, or hidden by the room's own quiet",
        fontsize=7.5,
        color=QUIET,
    )
    change = signed(-float(answer.pick.gains[shown]))
    verdicts = f"{answer.heard[shown].verdict} → {answer.then[shown].verdict}"
    ax.set_title(f"{common.named(answer.heard[shown].name, 36)}: {change} dBA, {verdicts}")
    return ax


def draw_window(answer: SecondPane, *, ax: Axes | None = None) -> Axes:
    """What the window keeps out, now, with the proposed pane, and with the same pane too near."""
    ax = common.new_axes() if ax is None else ax
    pick, f = answer.pick, THIRD_OCTAVES
    now, then = pick.tl_now, pick.tl_then
    near = int(np.argmin(np.abs(np.log(pick.sweep.gaps / _NEAR))))
    lines: list[tuple[Array, str, str, float, Any]] = [
        (now, "now", INK, 2.0, "-"),
        (then, words.millimetres(pick.gap), _SOFTER, 2.4, "-"),
    ]
    if near < pick.spot.gap - 1:
        tl = -10.0 * np.log10(pick.sweep.tau[pick.spot._replace(gap=near)])
        lines.append((tl, words.millimetres(float(pick.sweep.gaps[near])), COLOURS[1], 1.6, (0, (5, 2))))
        ax.fill_between(f, tl, now, where=tl < now, color=_LOUDER, alpha=0.45, lw=0, interpolate=True)
    ax.fill_between(f, then, now, where=then < now, color=_LOUDER, alpha=0.45, lw=0, interpolate=True)
    for values, _, colour, width, dash in lines:
        ax.plot(f, values, color=colour, lw=width, ls=dash)
    ax.set_ylim(0.0, 10.0 * np.ceil(max(float(v.max()) for v, *_ in lines) / 10.0) + 3.0)
    common.frequency_axis(ax)
    ax.set_ylabel("transmission loss [dB]")
    common.label_ends(ax, [(values, text, colour) for values, text, colour, *_ in lines], size=8)
    for hertz in pick.resonances:
        if f[0] < hertz < f[-1]:
            ax.axvline(hertz, color=INK, lw=0.8, ls=(0, (2, 3)), zorder=1)
            top = ax.get_ylim()[1]
            ax.annotate(f"{hertz:.0f} Hz", (hertz, top), xytext=(-3, -4), rotation=90, ha="right", va="top",
                        textcoords="offset points", fontsize=7.5, color=INK)  # fmt: skip
    ax.set_title("What the window keeps out (rust: less than now)")
    return ax
