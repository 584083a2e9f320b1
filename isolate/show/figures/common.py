"""What all figures share: the style, the frequency axis, labels at the ends of lines, files."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib import font_manager, style
from matplotlib.axes import Axes
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure

from isolate.bands import OCTAVES, THIRD_OCTAVES, Array

STYLE = Path(__file__).with_name("isolate.mplstyle")
# Blue, orange, green, sky, rust, pink, yellow: told apart by the colour-blind (after Okabe and Ito), in an
# order of alternating lightness.
COLOURS = ("#0072b2", "#e69f00", "#00724f", "#56b4e9", "#a63d00", "#cc79a7", "#f0e442")
DASHES: tuple[Any, ...] = (
    "-",
    (0, (5, 2)),
    (0, (1.2, 1.4)),
    (0, (7, 2, 1.5, 2)),
    (0, (3, 1.2)),
    "-",
    (0, (1, 1)),
)
INK, QUIET, FAINT = "#1a1a1a", "#6b6b6b", "#d9d9d9"
# What stands in a section, by what `sections.look` calls it: colour and hatch.
LOOKS = {
    "glass": ("#9fd0e8", ""), "brick": ("#c19a84", "///"), "concrete": ("#b3aea0", "."),
    "board": ("#c9c9c9", "..."), "wood": ("#d8b47c", ""), "other": ("#8f8f8f", ""),
}  # fmt: skip
WOOL, WOOD = "#f7e9b0", LOOKS["wood"][0]
_TICKS = ["31.5", "63", "125", "250", "500", "1k", "2k", "4k", "8k"]


@contextmanager
def styled() -> Iterator[None]:
    """Within it, figures have the house's style and nothing of the user's own settings."""
    with mpl.rc_context():
        mpl.rcdefaults()
        style.use(STYLE)
        yield


def drawn(draw: Callable[[Figure], None], *, width: float, height: float) -> Figure:
    """A figure [inches] in the house's style, its parts fitted to each other."""
    with styled():
        figure = Figure(figsize=(width, height), layout="constrained")
        draw(figure)
        return figure


def rendered(figure: Figure, suffix: str) -> bytes:
    """The figure as the bytes of a png, svg or pdf file."""
    data = io.BytesIO()
    stamp = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}.get(suffix)
    with styled():
        figure.savefig(data, format=suffix, metadata=stamp)
    return data.getvalue()


def named(text: str, most: int = 40) -> str:
    """A name out of a file as figures show it: at most so many signs, none typeset as mathematics, a box for
    one that the font has not; what only joins or colours others is left out.

    >>> named("flat $5 and $6")
    'flat \\\\$5 and \\\\$6'
    """
    cut = text if len(text) <= most else text[: most - 1].rstrip() + "…"
    shown = "".join(_sign(one) for one in cut)
    return f" {shown}" if shown.startswith("_") else shown  # keys leave out what begins so


def _sign(one: str) -> str:
    if one == "$":
        return r"\$"
    if ord(one) in _glyphs():
        return one
    return "" if unicodedata.category(one) in ("Mn", "Me", "Cf") else "\N{WHITE SQUARE}"


@cache
def _glyphs() -> frozenset[int]:
    """Signs that the style's font has."""
    with styled():
        font = font_manager.get_font(font_manager.findfont(font_manager.FontProperties()))
    return frozenset(font.get_charmap())


def new_axes() -> Axes:
    """Axes of their own in a figure of the usual size, for a drawing that was given none."""
    with styled():
        return Figure(figsize=(8, 4.8), layout="constrained").add_subplot()


def frequency_axis(ax: Axes, *, label: bool = True) -> None:
    """Third octaves on a logarithmic axis, ticks at the octaves from 31.5 Hz."""
    ax.set_xscale("log")
    ax.set_xlim(THIRD_OCTAVES[0] / 1.06, THIRD_OCTAVES[-1] * 1.06)
    ax.set_xticks(OCTAVES, _TICKS)
    ax.set_xticks([], minor=True)
    if label:
        ax.set_xlabel("frequency [Hz]")


def label_ends(ax: Axes, labels: Sequence[tuple[Array, str, str]], *, size: float = 8.5) -> None:
    """Write each (line, text, colour) at the right end of its line, moved apart where they would meet.

    The limits of the y axis must be set before.
    """
    low, high = ax.get_ylim()
    figure = ax.figure
    assert figure is not None
    rows = ax.get_position().height * figure.get_figheight() * 72.0 / (1.25 * size)  # type: ignore[union-attr]
    step = (high - low) / max(rows, 4.0)
    wanted = sorted(
        (float(np.clip(line[np.isfinite(line)][-1], low, high)), text, colour)
        for line, text, colour in labels
    )
    places = spread([height for height, _, _ in wanted], step=step, low=low, high=high)
    for (_, text, colour), place in zip(wanted, places, strict=True):
        ax.annotate(
            text, (1.0, place), xycoords=("axes fraction", "data"), xytext=(4, 0), textcoords="offset points",
            va="center", ha="left", color=readable(colour), fontsize=size, annotation_clip=False,
        )  # fmt: skip


def dimension(
    ax: Axes, start: tuple[float, float], end: tuple[float, float], *, beside: bool = False
) -> None:
    """A length [m] between two points of a drawing to scale, told in mm; `beside` it where it is short."""
    run = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    upright = abs(end[0] - start[0]) < abs(end[1] - start[1])
    ax.annotate(
        "", start, xytext=end, zorder=9,
        arrowprops={"arrowstyle": "<|-|>", "color": INK, "lw": 0.7, "shrinkA": 0, "shrinkB": 0,
                    "mutation_scale": 7},
    )  # fmt: skip
    middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
    ax.annotate(
        f"{1e3 * run:.0f}", middle, xytext=(4 if upright else 0, 0 if upright else 3),
        textcoords="offset points", fontsize=7.5, color=INK, zorder=9,
        ha="left" if upright else "center", va="center" if upright else "bottom",
        rotation=90 if upright and not beside else 0,
        bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none", "alpha": 0.8},
    )  # fmt: skip


def readable(colour: str) -> str:
    """`colour` darkened where it is too pale for text on white."""
    parts = to_rgb(colour)
    pale = 0.299 * parts[0] + 0.587 * parts[1] + 0.114 * parts[2]
    return (
        colour
        if pale < 0.45
        else to_hex((parts[0] * 0.45 / pale, parts[1] * 0.45 / pale, parts[2] * 0.45 / pale))
    )


def on(colour: str) -> str:
    """Black or white, whichever is read better on `colour`."""
    red, green, blue = to_rgb(colour)
    return INK if 0.299 * red + 0.587 * green + 0.114 * blue > 0.55 else "white"


def spread(places: Sequence[float], *, step: float, low: float, high: float) -> list[float]:
    """Rising places moved as little as may be, until neighbours are `step` apart and inside the limits.

    >>> spread([0.0, 0.5, 9.0], step=1.0, low=0.0, high=10.0)
    [0.0, 1.0, 9.0]
    """
    moved = list(places)
    for index in range(1, len(moved)):
        moved[index] = max(moved[index], moved[index - 1] + step)
    if moved and moved[-1] > high:
        moved[-1] = high
        for index in range(len(moved) - 2, -1, -1):
            moved[index] = min(moved[index], moved[index + 1] - step)
    return [max(place, low) for place in moved]
