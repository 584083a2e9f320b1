"""The paths of a room, drawn: for each noise and neighbour the share of each path, by band and in all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from isolate.answers.room import RoomAnswer
from isolate.bands import N_BANDS, THIRD_OCTAVES, Array, exact
from isolate.errors import IsolateError
from isolate.room.received import Received
from isolate.show.document import decibels, percent
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET

_MOST = 8  # panels; those that stick out most
_HATCHES = ("", "///", "...", "\\\\\\", "xx")
_HALF = 10.0**0.05  # from a third octave's centre to its end
_WHOLE = (13500.0, 22000.0)  # where the column of all bands together stands [Hz]
_SEEN = 0.02  # share from which a path is told in the key by its own colour
REST = "all others"


@dataclass(frozen=True)
class Panel:
    """One sound heard: its title, what stands below it, and how it is heard."""

    title: str
    line: str
    heard: Received


@dataclass(frozen=True)
class Look:
    """How a path is drawn."""

    colour: str
    hatch: str = ""


def panels(answer: RoomAnswer) -> list[Panel]:
    """The noises inside and each neighbour's worst sound, those that stick out most, in the file's order."""
    found = [Panel(f"{common.named(one.name)}: {one.verdict}", _line(one), one) for one in answer.heard]
    for to in answer.neighbours:
        if (worst := to.worst) is not None:
            title = f"{common.named(worst.name, 26)} at {common.named(to.name, 20)}: {worst.verdict}"
            found.append(Panel(title, _line(worst), worst))
    kept = sorted(found, key=lambda panel: -panel.heard.margin)[:_MOST]
    return [panel for panel in found if panel in kept]


def _line(heard: Received) -> str:
    rest = heard.without_strongest
    text = f"{decibels(heard.dba)} dBA"
    if rest is None:
        return text
    name = common.named(heard.elements[heard.strongest].words)
    return f"{text}; {decibels(rest.dba)} without {name}, {decibels(heard.ceiling.dba)} by it alone"


def figure(answer: RoomAnswer) -> Figure:
    """A panel a sound, two beside each other, and one key of all paths below."""
    drawn = panels(answer)
    if not drawn:
        raise IsolateError("there is no noise and no neighbour to draw; write a [[noise]] or [[neighbour]]")
    columns = 1 if len(drawn) == 1 else 2
    rows = math.ceil(len(drawn) / columns)
    keyed = looks([panel.heard for panel in drawn])
    lines = math.ceil((len(keyed) + 3) / 3)
    height = 2.35 * rows + 0.25 * lines + 0.7

    def fill(fig: Figure) -> None:
        for index, panel in enumerate(drawn):
            ax = fig.add_subplot(rows, columns, index + 1)
            draw_paths(panel, keyed=keyed, ax=ax)
            if index % columns:
                ax.set_yticklabels([])
            if index + columns < len(drawn):
                ax.set_xlabel("")
        _key(fig, keyed)
        title = f"{common.named(answer.room.title, 80)}: which path lets how much through"
        fig.suptitle(title, x=0.01, ha="left", fontsize=12, fontweight="bold", color=INK)

    return common.drawn(fill, width=10.4, height=height)


def looks(heard: Sequence[Received]) -> dict[str, Look]:
    """A colour for each path that counts anywhere, the strongest first; hatched when colours run out."""
    most: dict[str, float] = {}
    for one in heard:
        for element, share in zip(one.elements, one.share, strict=True):
            most[element.name] = max(most.get(element.name, 0.0), float(share))
    seen = sorted((name for name, share in most.items() if share >= _SEEN), key=lambda name: -most[name])
    kept = seen[: len(COLOURS) * len(_HATCHES)]
    return {name: Look(COLOURS[i % len(COLOURS)], _HATCHES[i // len(COLOURS)]) for i, name in enumerate(kept)}


def draw_paths(panel: Panel, *, keyed: dict[str, Look] | None = None, ax: Axes | None = None) -> Axes:
    """Shares of the paths in each third octave, stacked, and at the right in all of them together.

    A line below the bands marks those in which it is heard; faint are bands that carry under 1 % of the
    A-weighted energy.
    """
    ax = common.new_axes() if ax is None else ax
    heard = panel.heard
    keyed = looks([heard]) if keyed is None else keyed
    _stack(ax, heard, keyed)
    common.frequency_axis(ax)
    ax.set_xlim(THIRD_OCTAVES[0] / _HALF, _WHOLE[1] * 1.02)
    ax.set_ylim(-0.07, 1.0)
    ax.set_yticks([0.0, 0.5, 1.0], ["0", "50 %", "100 %"])
    ax.grid(False)
    ax.set_title(panel.title, pad=15)
    ax.text(0.0, 1.02, panel.line, transform=ax.transAxes, fontsize=8.5, color=QUIET)
    middle = float(np.sqrt(_WHOLE[0] * _WHOLE[1]))
    ax.text(middle, -0.035, "dBA", ha="center", va="center", fontsize=8, color=QUIET)
    return ax


def _stack(ax: Axes, heard: Received, keyed: dict[str, Look]) -> None:
    centres = exact(THIRD_OCTAVES)
    left, width = centres / _HALF, centres * (_HALF - 1 / _HALF)
    carries = heard.energy.sum(0) >= 0.01
    base, whole = np.zeros(N_BANDS), 0.0
    for name, part, share in _rows(heard, keyed):
        look = keyed.get(name, Look(FAINT))
        for strong in (True, False):
            where = carries == strong
            ax.bar(
                left[where], part[where], width[where], bottom=base[where], align="edge", color=look.colour,
                hatch=look.hatch, edgecolor="white", lw=0.3, alpha=1.0 if strong else 0.35,
            )  # fmt: skip
        ax.bar(
            _WHOLE[0], share, _WHOLE[1] - _WHOLE[0], bottom=whole, align="edge", color=look.colour,
            hatch=look.hatch, edgecolor="white", lw=0.3,
        )  # fmt: skip
        if share >= 0.12:
            middle = float(np.sqrt(_WHOLE[0] * _WHOLE[1]))
            ax.text(
                middle, whole + share / 2, percent(share), ha="center", va="center", fontsize=7.5,
                color=common.on(look.colour), bbox={"facecolor": look.colour, "lw": 0, "pad": 0.6},
            )  # fmt: skip
        base, whole = base + part, whole + share
    for band in np.flatnonzero(heard.margin_db > 0.0):
        ax.plot(
            [left[band], left[band] + width[band]], [-0.035] * 2, color=INK, lw=2.6, solid_capstyle="butt"
        )


def _rows(heard: Received, keyed: dict[str, Look]) -> list[tuple[str, Array, float]]:
    """Name, part in each band and share of every path in the key, and of all others together."""
    found: dict[str, tuple[Array, float]] = {}
    for one, part, share in zip(heard.elements, heard.part, heard.share, strict=True):
        name = one.name if one.name in keyed else REST
        before, sum_before = found.get(name, (np.zeros(N_BANDS), 0.0))
        found[name] = (before + part, sum_before + float(share))
    order = [name for name in (*keyed, REST) if name in found]
    return [(name, *found[name]) for name in order]


def _key(fig: Figure, keyed: dict[str, Look]) -> None:
    keys = [
        Patch(facecolor=look.colour, hatch=look.hatch, edgecolor="white", lw=0.3, label=common.named(name))
        for name, look in keyed.items()
    ]
    keys += [
        Patch(color=FAINT, label=REST),
        Patch(color=INK, label="line below: heard in this band"),
        Patch(color=QUIET, alpha=0.35, label="pale: under 1 % of the dBA"),
    ]
    fig.legend(handles=keys, loc="outside lower left", ncols=3, fontsize=8, handlelength=1.4)
