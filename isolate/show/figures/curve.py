"""The transmission loss of a construction, drawn."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from isolate.answers.curve.answer import Curve
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.words import hertz
from isolate.physics import buildings
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, DASHES, INK, QUIET

_BELOW_KEYS = -34.0  # points from the top, under what the shading and the circles are


def figure(answer: Curve) -> Figure:
    """The curve in a figure of its own."""
    return common.drawn(lambda fig: _fill(fig, answer), width=8.4, height=5.0)


def _fill(fig: Figure, answer: Curve) -> None:
    draw_curve(answer, ax=fig.add_subplot())


def draw_curve(answer: Curve, *, ax: Axes | None = None) -> Axes:
    """Transmission loss with its 5 and 95 % limits, the mass law, resonances, coincidences, a measurement."""
    ax = common.new_axes() if ax is None else ax
    top = 10.0 * np.ceil(max(answer.high_db.max(), 50.0) / 10.0) + 5.0
    ax.set_ylim(0.0, top)
    common.frequency_axis(ax)
    ax.set_ylabel("level difference Dn,e [dB]" if answer.vent else "transmission loss [dB]")
    ax.fill_between(THIRD_OCTAVES, answer.low_db, answer.high_db, color=COLOURS[0], alpha=0.16, lw=0)
    ax.plot(THIRD_OCTAVES, answer.tl_db, color=COLOURS[0], lw=2.4)
    whence = (
        "predicted" if answer.construction.layers else "rated" if answer.construction.rated else "measured"
    )
    labels = [(answer.tl_db, whence, COLOURS[0])]
    if answer.mass_law_db is not None:
        ax.plot(THIRD_OCTAVES, answer.mass_law_db, color=QUIET, lw=1.2, ls=(0, (5, 3)))
        labels.append((answer.mass_law_db, "mass law", QUIET))
    most = buildings.most_db()
    if np.any(answer.tl_db > most):
        ax.plot(THIRD_OCTAVES, most, color=INK, lw=1.2, ls=(0, (1, 2)))
        labels.append((most, "most in a building", INK))
    if answer.why is not None:
        labels += _paths(answer, ax, top)
    _measurement(answer, ax)
    common.label_ends(ax, labels)
    _marks(answer, ax, top)
    rated = answer.ratings
    american = "" if answer.vent else f"   STC {rated['STC']}   OITC {rated['OITC']}"
    ax.set_title(
        f"{common.named(answer.construction.title, 90)}\n{'Dn,e,w' if answer.vent else 'Rw'} (C; Ctr) "
        f"{rated['Rw']} ({rated['C']}; {rated['Ctr']}) dB{american}",
        fontsize=10,
        loc="left",
    )
    _key(ax, 0.985, "shaded: 5 to 95 %", COLOURS[0])
    return ax


def _paths(answer: Curve, ax: Axes, top: float) -> list[tuple[Array, str, str]]:
    """What each path alone would leave, where it stays in the picture."""
    labels = []
    for (name, tau), colour, dash in zip(answer.paths.items(), COLOURS[1:], DASHES[1:], strict=False):
        with np.errstate(divide="ignore"):
            alone = -10.0 * np.log10(np.asarray(tau))
        shown = np.where(alone < top, alone, np.nan)
        if np.isfinite(shown).any():
            ax.plot(THIRD_OCTAVES, shown, color=colour, lw=1.3, ls=dash)
            labels.append((shown, f"by {name}", colour))
    return labels


def _measurement(answer: Curve, ax: Axes) -> None:
    measured = answer.construction.measured
    if measured is None or not answer.construction.layers or not measured.tl_db.size:
        return
    ax.plot(measured.bands_hz, measured.tl_db, "o", color=INK, ms=4.5, mfc="white", mew=1.2, zorder=5)
    _key(ax, 0.94, "circles: measured", INK)


def _key(ax: Axes, height: float, text: str, colour: str) -> None:
    ax.text(0.005, height, text, transform=ax.transAxes, va="top", ha="left", fontsize=8, color=colour)


def _marks(answer: Curve, ax: Axes, top: float) -> None:
    marks = [(hz, f"resonance {hertz(hz)}", "top") for hz in dict.fromkeys(map(round, answer.resonances))]
    marks += [
        (hz, f"coincidence {hertz(hz)}", "bottom") for hz in dict.fromkeys(map(round, answer.criticals))
    ]
    for hz, text, where in marks:
        if not THIRD_OCTAVES[0] < hz < THIRD_OCTAVES[-1]:
            continue
        ax.axvline(hz, color=INK, lw=0.8, ls=(0, (2, 3)), zorder=1)
        high = where == "top"
        ax.annotate(text, (hz, top if high else 0.0), xytext=(-3, _BELOW_KEYS if high else 4),
                    textcoords="offset points", rotation=90, ha="right", va=where, fontsize=8,
                    color=INK)  # fmt: skip
