"""Predicted against published, drawn: a small picture a specimen, single numbers, error by octave."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure

from isolate.answers.accuracy.answer import Accuracy
from isolate.answers.accuracy.specimens import Specimen
from isolate.bands import OCTAVES, THIRD_OCTAVES
from isolate.room.families import FAMILIES
from isolate.show.document import decimal, signed
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET

ACROSS = 8
WIDE, TALL, SUMMARY = 2.05, 1.62, 4.4  # inches: a small picture, and the pair at the bottom
_TOP = 90.0  # dB, of all small pictures, so that they compare
_TICKS = [63, 250, 1000, 4000]
_SIGNS = dict(zip(FAMILIES, "os^DvPX<>ph", strict=True))
_COLOURS = dict(
    zip(FAMILIES, (*COLOURS[:6], "#8a7500", INK, "#7a4fa3", "#7fb069", "#8c6d5a"), strict=True)
)  # fmt: skip


def figure(answer: Accuracy) -> Figure:
    """All specimens that have bands, and below them the scatter of single numbers and the error by octave."""
    shown = _ordered(answer)
    across = min(ACROSS, max(len(shown), 5))
    down = max(math.ceil(len(shown) / across), 1)
    height = 0.9 + down * TALL + SUMMARY

    def draw(fig: Figure) -> None:
        ratios = [height - SUMMARY, SUMMARY]
        top, bottom = fig.subfigures(2, 1, squeeze=False, height_ratios=ratios, hspace=0.02)[:, 0]
        _specimens(top, shown, across, down)
        left, right = bottom.subplots(1, 2, width_ratios=[1.0, 1.35])
        draw_single_numbers(answer, ax=left)
        draw_octaves(answer, ax=right)

    return common.drawn(draw, width=across * WIDE + 0.4, height=height)


def _ordered(answer: Accuracy) -> list[Specimen]:
    found = [one for one in answer.specimens if one.bands_hz.size]
    return sorted(found, key=lambda one: (FAMILIES.index(one.family), one.name))


def _specimens(area: SubFigure, shown: Sequence[Specimen], across: int, down: int) -> None:
    area.suptitle(
        "Transmission loss [dB] over frequency [Hz]: line predicted, shaded 5 to 95 %; full circles read, "
        "open ones from memory, crosses doubted",
        fontsize=10, x=0.005, ha="left",
    )  # fmt: skip
    grid = area.subplots(down, across, sharex=True, sharey=True, squeeze=False)
    for ax, one in zip(grid.flat, shown, strict=False):
        draw_specimen(one, ax=ax)
    for place, ax in enumerate(grid.flat):
        if place >= len(shown):
            ax.set_visible(False)
        elif place + across >= len(shown):  # nothing below it
            ax.tick_params(labelbottom=True)


def draw_specimen(one: Specimen, *, ax: Axes | None = None) -> Axes:
    """One specimen: prediction with its limits, what was published, name and RMS."""
    ax = common.new_axes() if ax is None else ax
    colour = _COLOURS[one.family]
    ax.set_xscale("log")
    ax.set_xlim(45, 11000)
    ax.set_ylim(0, _TOP)
    ax.set_xticks(_TICKS, ["63", "250", "1k", "4k"], fontsize=7)
    ax.set_xticks([], minor=True)
    ax.set_yticks([0, 20, 40, 60, 80])
    ax.tick_params(axis="y", labelsize=7)
    ax.fill_between(THIRD_OCTAVES, one.low_db, one.high_db, color=colour, alpha=0.2, lw=0)
    ax.plot(THIRD_OCTAVES, one.tl_db, color=colour, lw=1.5)
    sign = "x" if one.measured.doubt else "o"
    full = INK if one.measured.basis == "read" else "white"
    ax.plot(one.bands_hz, one.measured.tl_db, sign, ms=3.2, color=INK, mfc=full, mew=0.9, zorder=5)
    ax.set_title(textwrap.fill(common.named(one.name, 90), 31), fontsize=6.8, fontweight="normal", pad=2)
    ax.text(0.03, 0.96, one.family, transform=ax.transAxes, va="top", fontsize=6.5,
            color=common.readable(colour))  # fmt: skip
    ax.text(0.97, 0.04, f"RMS {one.statistics.rms_db:.1f}", transform=ax.transAxes, ha="right", va="bottom",
            fontsize=7, color=INK)  # fmt: skip
    return ax


def draw_single_numbers(answer: Accuracy, *, ax: Axes | None = None) -> Axes:
    """Predicted over published Rw and STC, a sign a kind, full where read."""
    ax = common.new_axes() if ax is None else ax
    ordered = sorted(answer.specimens, key=lambda one: FAMILIES.index(one.family))
    points = [(one, rating) for one in ordered for rating in one.rated]
    values = [value for _, rating in points for value in (rating.published, rating.predicted)] or [20.0, 60.0]
    low, high = min(values) - 3.0, max(values) + 3.0
    line = np.array([low, high])
    ax.fill_between(line, line - 2.5, line + 2.5, color=FAINT, alpha=0.6, lw=0)
    ax.plot(line, line, color=QUIET, lw=0.9)
    named: set[str] = set()
    for one, rating in points:
        colour, sign = _COLOURS[one.family], _SIGNS[one.family]
        full = colour if one.measured.basis == "read" else "white"
        ax.plot(rating.published, rating.predicted, sign, color=colour, mfc=full, ms=5.5, mew=1.2,
                label=None if one.family in named else one.family)  # fmt: skip
        if one.measured.doubt:
            ax.plot(rating.published, rating.predicted, "x", color=INK, ms=4, mew=0.8)
        named.add(one.family)
    ax.set(
        xlim=(low, high), ylim=(low, high), xlabel="published [dB]", ylabel="predicted [dB]", aspect="equal"
    )
    rated = answer.groups["all"].rated
    ax.set_title(
        f"Rw and STC: bias {signed(rated.bias_db)}, s.d. {decimal(rated.sd_db)} dB; grey: within 2.5 dB"
    )
    if named:
        ax.legend(loc="upper left", fontsize=7.5, handletextpad=0.2)
    return ax


def draw_octaves(answer: Accuracy, *, ax: Axes | None = None) -> Axes:
    """Every error by octave, its mean and standard deviation."""
    ax = common.new_axes() if ax is None else ax
    common.frequency_axis(ax)
    ax.axhline(0.0, color=QUIET, lw=0.9)
    beside = [group.name for group in answer.families]
    for one in answer.specimens:
        if one.bands_hz.size:
            band, error = one.octaves
            place = (beside.index(one.family) + 0.5) / len(beside) - 0.5
            ax.plot(band * 2.0 ** (0.62 * place), np.clip(error, -20, 20), ".", color=_COLOURS[one.family],
                    ms=4.5, alpha=0.9)  # fmt: skip
    for band, s in zip(OCTAVES, answer.octaves, strict=True):
        if s.count > 1:
            ax.errorbar(band, s.bias_db, yerr=s.sd_db, color=INK, lw=1.2, capsize=9, marker="_", ms=18,
                        alpha=0.75, zorder=1)  # fmt: skip
    ax.set(ylim=(-21, 21), ylabel="predicted less published [dB]")
    ax.set_title("Error by octave: specimens, mean and s.d. (beyond 20 dB drawn at 20)")
    return ax
