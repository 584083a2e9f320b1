"""The ducts of a room as one would build them, and the noise they make against what is wanted."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import FancyArrow, Rectangle

from isolate.answers.air import AirAnswer
from isolate.physics import air_noise
from isolate.remedies.ducts import System
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, DASHES, FAINT, INK, QUIET

WALL = 0.25  # m of wall drawn
SHOWN_DB = -10.0  # below which nothing is drawn


def figure(answer: AirAnswer) -> Figure:
    """The pair above, its noise below."""

    def draw(fig: Figure) -> None:
        top, bottom = fig.subplots(2, 1, height_ratios=(1, 1.5))
        draw_ducts(answer, ax=top)
        draw_noise(answer, ax=bottom)

    return common.drawn(draw, width=8.5, height=7.0)


def draw_ducts(answer: AirAnswer, *, ax: Axes | None = None) -> Axes:
    """One of the two ducts from outdoors to the room, to scale."""
    ax = ax or common.new_axes()
    ax.set_aspect("equal")
    ax.axis("off")
    ax.set_title(f"One of the ducts through the {answer.side.name}, to scale", loc="left")
    if answer.best is None:
        ax.text(0, 0, "no system of up to 315 mm is quiet and tight enough", color=INK)
        return ax
    _duct(answer.best.system, ax)
    return ax


def _duct(system: System, ax: Axes) -> None:
    d, lining = system.diameter, system.lining
    long, _, high = system.box
    ax.add_patch(Rectangle((-WALL, -0.6), WALL, 1.2, facecolor=FAINT, edgecolor=QUIET))
    ax.text(-WALL / 2, 0.66, "wall", ha="center", va="bottom", color=QUIET, fontsize=8)
    ax.plot([-WALL - 0.18, -WALL], [d / 2, d / 2], color=INK, lw=1)
    ax.plot([-WALL - 0.18, -WALL], [-d / 2, -d / 2], color=INK, lw=1)
    ax.text(-WALL - 0.2, 0, "cowl,\nfilter", ha="right", va="center", fontsize=8, color=INK)
    x = 0.0
    shown = system.length / 2
    parts = ["box"] * min(system.boxes, 1) + ["fan"] + ["box"] * (system.boxes - 1 if system.boxes > 1 else 0)
    if system.boxes == 1:
        parts = ["fan", "box"]
    for part in [*parts[:1], "duct", *parts[1:], "duct"]:
        if part == "box":
            ax.add_patch(Rectangle((x, -high / 2 - lining), long + 2 * lining, high + 2 * lining,
                                   facecolor=COLOURS[3], alpha=0.35, edgecolor=INK))  # fmt: skip
            ax.add_patch(Rectangle((x + lining, -high / 2), long, high, facecolor="white", edgecolor=QUIET))
            ax.text(x + lining + long / 2, 0, f"lined box\n{long:g} m", ha="center", va="center", fontsize=8)
            x += long + 2 * lining
        elif part == "fan":
            ax.add_patch(Rectangle((x, -d / 2), 0.25, d, facecolor=COLOURS[1], alpha=0.6, edgecolor=INK))
            ax.text(
                x + 0.125, -d / 2 - 0.05, f"fan, {system.pressure:.0f} Pa", ha="center", va="top", fontsize=8
            )
            x += 0.25
        else:
            ax.add_patch(Rectangle((x, -d / 2 - lining), shown, d + 2 * lining,
                                   facecolor=COLOURS[3], alpha=0.35, edgecolor=INK))  # fmt: skip
            ax.add_patch(Rectangle((x, -d / 2), shown, d, facecolor="white", edgecolor=QUIET))
            ax.text(
                x + shown / 2,
                d / 2 + lining + 0.03,
                f"lined, {1e3 * d:.0f} mm\nclear, {shown:g} m",
                ha="center",
                va="bottom",
                fontsize=8,
            )
            x += shown
    ax.add_patch(FancyArrow(x + 0.02, 0, 0.2, 0, width=0.02, color=INK, length_includes_head=True))
    ax.text(x + 0.26, 0, f"open grille\n{1e3 * system.flow:.0f} L/s\n{system.velocity:.1f} m/s",
            ha="left", va="center", fontsize=8, color=INK)  # fmt: skip
    ax.set_xlim(-WALL - 0.75, x + 0.9)
    ax.set_ylim(-0.75, 0.85)


def draw_noise(answer: AirAnswer, *, ax: Axes | None = None) -> Axes:
    """Octave levels of each part in the room, and what is wanted."""
    ax = ax or common.new_axes()
    f = air_noise.OCTAVES
    curves = [(answer.target_db, "wanted", INK)]
    ax.plot(f, answer.target_db, color=INK, lw=2.4)
    if answer.best is not None:
        parts = [*answer.best.parts_db.items(), ("together", answer.best.level_db)]
        for (name, level), colour, dash in zip(parts, COLOURS, DASHES, strict=False):
            if level.max() < SHOWN_DB:
                continue
            ax.plot(f, level, color=colour, ls=dash, lw=2.4 if name == "together" else 1.6)
            curves.append((level, name, colour))
    common.frequency_axis(ax)
    ax.set_xlim(f[0] / 1.1, f[-1] * 1.05)
    ax.set_ylim(SHOWN_DB, max(float(answer.target_db.max()) + 5, 40))
    ax.set_ylabel("level in the room [dB], octaves")
    common.label_ends(ax, curves)
    return ax
