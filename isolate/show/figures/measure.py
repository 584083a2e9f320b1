"""A measurement, drawn: the levels it came from, and the isolation with its trust."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from isolate.bands import THIRD_OCTAVES, Array
from isolate.errors import InputError
from isolate.measuring.change import Change
from isolate.measuring.check import Check
from isolate.measuring.isolation import Measurement
from isolate.measuring.model import Compared
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, INK, QUIET
from isolate.standards.field import LIMIT

_FITTED = {"leak": "fitted: leak", "flanking": "fitted: flanking", "both": "fitted: leak, flanking"}


def figure(answer: Measurement | Check) -> Figure:
    """Levels above, isolation below; then the prediction and the change, where asked for.

    Raises
    ------
    InputError
        A check of a recorder, of which there is nothing to draw.
    """
    if isinstance(answer, Check):
        raise InputError("--plot: draws a measurement; there is no picture of --check")
    count = 2 + (answer.model is not None) + (answer.change is not None)
    return common.drawn(lambda fig: _fill(fig, answer, count), width=8.4, height=4.2 * count)


def _fill(fig: Figure, answer: Measurement, count: int) -> None:
    axes = list(fig.subplots(count, 1))
    draw_levels(answer, ax=axes[0])
    draw_measurement(answer, ax=axes[1])
    if answer.model is not None:
        draw_model(answer.model, ax=axes[2])
    if answer.change is not None:
        draw_change(answer.change, ax=axes[-1])


def draw_levels(answer: Measurement, *, ax: Axes | None = None) -> Axes:
    """Third-octave levels in the loud and the quiet room and of the background."""
    ax = common.new_axes() if ax is None else ax
    lines = [(answer.loud_db, "outdoors" if answer.setup.facade else "loud room", COLOURS[4], 2.2),
             (answer.quiet_db, "quiet room", COLOURS[0], 2.2)]  # fmt: skip
    if answer.background_db is not None:
        lines.append((answer.background_db, "background", QUIET, 1.4))
    everything = np.concatenate([line for line, *_ in lines])
    low, high = np.nanmin(everything), np.nanmax(everything)
    ax.set_ylim(10.0 * np.floor(low / 10.0), 10.0 * np.ceil(high / 10.0))
    common.frequency_axis(ax, label=False)
    ax.set_ylabel("level [dB]" if answer.calibrated else "level [dB re full scale]")
    for line, _, colour, width in lines:
        ax.plot(THIRD_OCTAVES, line, color=colour, lw=width, ls="-" if width > 2 else (0, (4, 2)))
    if answer.background_db is not None:
        known = np.isfinite(answer.background_db)
        bottom = np.full(known.sum(), ax.get_ylim()[0])
        ax.fill_between(
            THIRD_OCTAVES[known], bottom, answer.background_db[known], color=QUIET, alpha=0.12, lw=0
        )
    common.label_ends(ax, [(line, text, colour) for line, text, colour, _ in lines])
    ax.set_title("What the microphone heard", fontsize=10)
    return ax


def draw_measurement(answer: Measurement, *, ax: Axes | None = None) -> Axes:
    """The isolation curve; arrows up where the background hides it; hints marked at their bands."""
    ax = common.new_axes() if ax is None else ax
    curve, hidden = answer.curve_db, answer.rule == LIMIT
    top = 10.0 * np.ceil(max(float(np.nanmax(answer.curve_db + answer.u_db)), 50.0) / 10.0) + 5.0
    ax.set_ylim(min(0.0, 10.0 * np.floor(np.nanmin(curve) / 10.0)), top)
    common.frequency_axis(ax)
    ax.set_ylabel(f"{answer.curve_name} [dB]")
    sure = np.isfinite(curve) & ~hidden
    upper = np.where(hidden, curve, answer.curve_db + 1.645 * answer.u_db)
    ax.fill_between(THIRD_OCTAVES, answer.low_db, upper, color=COLOURS[0], alpha=0.16, lw=0)
    ax.plot(THIRD_OCTAVES, curve, color=COLOURS[0], lw=2.0)
    ax.plot(THIRD_OCTAVES[sure], curve[sure], "o", color=COLOURS[0], ms=4)
    _arrows(ax, THIRD_OCTAVES[hidden], curve[hidden])
    _hints(ax, answer)
    best = answer.rating(*(("R'w",) if answer.curve_name == "R'" else ()), "DnT,w", "D2m,nT,w")
    ax.set_title(f"Isolation: {best}" if best else "Isolation", fontsize=10)
    key = "shaded: 5 to 95 %" + ("   arrows: at least this much" if hidden.any() else "")
    ax.text(0.005, 0.985, key, transform=ax.transAxes, va="top", ha="left", fontsize=8, color=COLOURS[0])
    return ax


def _arrows(ax: Axes, frequency: Array, value: Array) -> None:
    for hz, db in zip(frequency, value, strict=True):
        if np.isfinite(db):
            ax.annotate(
                "", (hz, db + 4.0), (hz, db), arrowprops={"arrowstyle": "->", "color": COLOURS[0], "lw": 1.2}
            )


def _hints(ax: Axes, answer: Measurement) -> None:
    low, high = ax.get_ylim()
    for hint in answer.hints:
        if hint.kind == "plateau":
            ax.axvspan(hint.first_hz, hint.last_hz, ymax=0.02, color=COLOURS[1], lw=0)
            centre = float(np.sqrt(hint.first_hz * hint.last_hz))
            place: dict[str, Any] = {"xy": (centre, low), "xytext": (0, 8), "ha": "center", "va": "bottom"}
            text = "flat: a leak or a way round"
        else:
            ax.axvline(hint.first_hz, color=INK, lw=0.8, ls=(0, (2, 3)), zorder=1)
            place = {
                "xy": (hint.first_hz, high),
                "xytext": (-3, -4),
                "ha": "right",
                "va": "top",
                "rotation": 90,
            }
            text = "dip"
        ax.annotate(text, textcoords="offset points", fontsize=8, color=INK, **place)


def draw_model(model: Compared, *, ax: Axes | None = None) -> Axes:
    """Measured and predicted with their 5 and 95 % limits, and the fit that brings them together."""
    ax = common.new_axes() if ax is None else ax
    measured, predicted = model.measured_db, model.predicted_db
    top = 10.0 * np.ceil(max(float(np.nanmax(measured)), float(predicted.max()), 50.0) / 10.0) + 5.0
    ax.set_ylim(min(0.0, 10.0 * np.floor(np.nanmin(measured) / 10.0)), top)
    common.frequency_axis(ax)
    ax.set_ylabel("R' [dB]")
    pairs = ((predicted, model.sigma_db, COLOURS[1]), (measured, model.u_db, COLOURS[0]))
    for line, sigma, colour in pairs:
        ax.fill_between(
            THIRD_OCTAVES, line - 1.645 * sigma, line + 1.645 * sigma, color=colour, alpha=0.16, lw=0
        )
    ax.plot(THIRD_OCTAVES, predicted, color=COLOURS[1], lw=2.0, ls=(0, (5, 2)))
    ax.plot(THIRD_OCTAVES, measured, color=COLOURS[0], lw=2.0)
    labels = [(measured, "measured", COLOURS[0]), (predicted, "predicted", COLOURS[1])]
    if model.fit.kind != "as predicted":
        ax.plot(THIRD_OCTAVES, model.fit.curve_db, color=INK, lw=1.2, ls=(0, (1, 1.2)))
        labels.append((model.fit.curve_db, _FITTED[model.fit.kind], INK))
    common.label_ends(ax, labels)
    names = common.named(" and ".join(model.sides), 50)
    ax.set_title(f"Against the prediction for {names}", fontsize=10)
    return ax


def draw_change(change: Change, *, ax: Axes | None = None) -> Axes:
    """Gain by band with its 5 and 95 % limits, and the runs of bands it falls into."""
    ax = common.new_axes() if ax is None else ax
    half = 1.645 * change.u_db
    ax.fill_between(
        THIRD_OCTAVES, change.gain_db - half, change.gain_db + half, color=COLOURS[2], alpha=0.16, lw=0
    )
    ax.plot(THIRD_OCTAVES, change.gain_db, "o-", color=COLOURS[2], lw=1.4, ms=4)
    ax.axhline(0.0, color=INK, lw=1.0)
    for part in change.parts:
        ax.plot([part.first_hz, part.last_hz], [part.gain_db] * 2, color=INK, lw=2.6 if part.sure else 1.2)
    common.frequency_axis(ax)
    ax.set_ylabel(f"gain in {change.quantity} [dB]")
    ax.set_title(f"Against {common.named(change.before)}: {change.parts[-1].words()}", fontsize=10)
    return ax
