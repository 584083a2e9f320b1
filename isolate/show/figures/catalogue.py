"""One entry of the catalogue, drawn: a construction cut through to scale, or the spectrum of a noise."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from isolate.answers.catalogue import Entry, Listing
from isolate.bands import THIRD_OCTAVES
from isolate.describe import words
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.noises import NoiseSpectrum
from isolate.errors import InputError
from isolate.room.levels import shifted
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, INK, LOOKS, QUIET, WOOD, WOOL
from isolate.show.sections import STUDS, look

_STEEL = "#4a4a4a"


def figure(answer: Listing | Entry) -> Figure:
    """The entry in a figure of its own; what has no picture is an error."""
    item = answer.item if isinstance(answer, Entry) else None
    if isinstance(item, NoiseSpectrum):
        return common.drawn(lambda fig: _fill_noise(fig, item), width=8.0, height=4.4)
    if isinstance(item, Construction) and item.layers:
        return common.drawn(lambda fig: _fill_section(fig, item), width=8.0, height=4.6)
    raise InputError("--plot: draws one construction with layers, or one noise; name one of them")


def _fill_noise(fig: Figure, item: NoiseSpectrum) -> None:
    draw_spectrum(item, ax=fig.add_subplot())


def _fill_section(fig: Figure, item: Construction) -> None:
    draw_section(item, ax=fig.add_subplot())


def draw_spectrum(item: NoiseSpectrum, *, ax: Axes | None = None) -> Axes:
    """Third-octave levels of a noise as bars."""
    ax = common.new_axes() if ax is None else ax
    level = shifted(item, None)
    edge = 10.0**0.05
    low = 10.0 * np.floor(max(level.min(), level.max() - 60.0) / 10.0)
    shown = np.maximum(level, low)
    ax.bar(THIRD_OCTAVES / edge, shown - low, THIRD_OCTAVES * (edge - 1 / edge) * 0.9, low, align="edge",
           color=COLOURS[0])  # fmt: skip
    common.frequency_axis(ax)
    where = f", {item.distance:g} m away" if item.distance else ""
    ax.set_ylabel("third-octave level [dB]")
    ax.set_title(f"{common.named(item.title, 80)}{where}", loc="left")
    return ax


def draw_section(item: Construction, *, ax: Axes | None = None) -> Axes:
    """The layers cut through, noisy side left, to one scale in both directions."""
    ax = common.new_axes() if ax is None else ax
    depths = [_depth(part) for part in item.layers]
    total = sum(depths)
    tall = max(0.75 * total, min(0.62, 1.35 * _spacing(item)) if _spacing(item) else 0.16)
    left = 0.0
    for part, depth in zip(item.layers, depths, strict=True):
        _draw_layer(ax, part, left, tall)
        left += depth
    _label_layers(ax, item, depths, tall)
    ax.set_aspect("equal")
    ax.set_xlim(-0.22 * tall - 0.1 * total, total + 1.35 * tall)
    ax.set_ylim(-0.2 * tall, 1.06 * tall)
    ax.axis("off")
    ax.text(
        -0.05 * tall, 0.5 * tall, "noise", rotation=90, ha="center", va="center", fontsize=8.5, color=QUIET
    )
    _scale_bar(ax, total, tall)
    ax.set_title(common.named(item.title, 80), loc="left")
    return ax


def _depth(part: Leaf | Cavity) -> float:
    return part.thickness * part.sheets if isinstance(part, Leaf) else part.depth


def _spacing(item: Construction) -> float:
    """The widest stud spacing [m], 0 without studs."""
    found = [p.spacing for p in item.layers if isinstance(p, Cavity) and p.framing in STUDS and p.spacing]
    return max(found, default=0.0)


def _draw_layer(ax: Axes, part: Leaf | Cavity, left: float, tall: float) -> None:
    if isinstance(part, Leaf):
        for sheet in range(part.sheets):
            colour, hatch = LOOKS[look(part)]
            ax.add_patch(Rectangle((left + sheet * part.thickness, 0), part.thickness, tall, facecolor=colour,
                                   edgecolor=INK, lw=0.7, hatch=hatch))  # fmt: skip
        return
    if part.fill is not None:
        ax.add_patch(Rectangle((left, 0), part.fill_depth, tall, facecolor=WOOL, edgecolor="#c9a94a", lw=0,
                               hatch="xx"))  # fmt: skip
    if part.framing in STUDS and part.spacing:
        _draw_studs(ax, part, left, tall)


def _draw_studs(ax: Axes, part: Cavity, left: float, tall: float) -> None:
    wide = 0.038 if part.framing != "steel stud" else 0.034
    deep = {"staggered stud": 0.7, "double stud": 0.4}.get(part.framing or "", 1.0) * part.depth
    spacing = part.spacing or tall
    sides = (0.0, part.depth - deep) if deep < part.depth else (0.0,)
    for index, offset in enumerate(sides):
        start = 0.14 * tall + index * spacing / 2
        for low in np.arange(start, tall - wide, spacing):
            steel = part.framing == "steel stud"
            ax.add_patch(Rectangle((left + offset, low), deep, wide, facecolor="none" if steel else WOOD,
                                   edgecolor=_STEEL if steel else INK, lw=2.0 if steel else 0.7))  # fmt: skip


def _label_layers(ax: Axes, item: Construction, depths: list[float], tall: float) -> None:
    """Each layer's words at the right, a thin line from its middle to them."""
    total, count = sum(depths), len(depths)
    middles = np.cumsum(depths) - np.array(depths) / 2.0
    heights = np.linspace(0.93, 0.07, count) * tall if count > 1 else np.array([0.5 * tall])
    for part, middle, height in zip(item.layers, middles, heights, strict=True):
        ax.plot([middle, total + 0.07 * tall], [height, height], color=INK, lw=0.7, solid_capstyle="butt")
        ax.plot([middle], [height], "o", color=INK, ms=2.6)
        text = common.named(words.layer_both(part), 58)
        ax.text(total + 0.09 * tall, height, text, va="center", ha="left", fontsize=8.5, color=INK)


def _scale_bar(ax: Axes, total: float, tall: float) -> None:
    length = next(
        step for step in (0.01, 0.02, 0.05, 0.1, 0.2, 0.5) if step > 0.3 * min(total, tall) or step == 0.5
    )
    ax.plot([0, length], [-0.07 * tall] * 2, color=INK, lw=2.0, solid_capstyle="butt")
    text = f"{words.millimetres(length)}; {words.millimetres(total)} in all"
    ax.text(0, -0.1 * tall, text, va="top", ha="left", fontsize=8, color=INK)
