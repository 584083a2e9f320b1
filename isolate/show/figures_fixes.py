"""The plan, drawn: what money, weight and space buy; each sound and its paths before and after."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from isolate.answers.fixes import FixesAnswer
from isolate.answers.fixes_choice import Set
from isolate.answers.fixes_plan import Stage
from isolate.show import figures
from isolate.show.figures import COLOURS, FAINT, INK, QUIET
from isolate.show.figures_paths import REST, Look, looks
from isolate.show.text_common import decibels, percent

_PLAN, _FRONT = COLOURS[0], QUIET
_MOST = 8  # sounds drawn, those that stick out most now
_LABELLED = 6  # sets of the front with their names
_WIDE = 26  # columns of a label


def figure(answer: FixesAnswer) -> Figure:
    """Fronts above; below, sounds and their paths."""
    sounds = _sounds(answer)
    below = 0.62 * len(sounds) + 1.5
    keyed = looks([stage.passed[i] for stage in (answer.now, answer.then) for i in sounds])

    def fill(fig: Figure) -> None:
        grid = fig.add_gridspec(2, 6, height_ratios=[3.9, below])
        draw_front(answer, ax=fig.add_subplot(grid[0, :4]))
        draw_taken(answer, answer.by_mass, "mass", ax=fig.add_subplot(grid[0, 4]))
        draw_taken(answer, answer.by_space, "space", ax=fig.add_subplot(grid[0, 5]))
        draw_sounds(answer, sounds, ax=fig.add_subplot(grid[1, :3]))
        draw_shares(answer, sounds, keyed=keyed, ax=fig.add_subplot(grid[1, 3:]))
        keys = [
            Patch(facecolor=look.colour, hatch=look.hatch, edgecolor="white", lw=0.3, label=name)
            for name, look in keyed.items()
        ]
        keys.append(Patch(color=FAINT, label=REST))
        fig.legend(handles=keys, loc="outside lower right", ncols=3, fontsize=8, handlelength=1.4)
        title = f"What to do first: {answer.room.title}"
        fig.suptitle(title, x=0.01, ha="left", fontsize=12, fontweight="bold", color=INK)

    return figures.drawn(fill, width=11.0, height=3.9 + below + 0.9)


def _sounds(answer: FixesAnswer) -> list[int]:
    """The aims that are drawn, what is missed most first."""
    order = np.argsort(-answer.now.excess, kind="stable")
    return order[:_MOST].tolist()


def _left(answer: FixesAnswer, one: Set) -> float:
    return one.left / len(answer.aims)


def _name(answer: FixesAnswer, one: Set) -> str:
    names = " + ".join(answer.fixes[i].name for i in sorted(one.chosen)) or "as it is"
    return "\n".join(textwrap.wrap(textwrap.shorten(names, 3 * _WIDE, placeholder=" …"), _WIDE))


def draw_front(answer: FixesAnswer, *, ax: Axes | None = None) -> Axes:
    """What is left to be done over money: the front, the steps of the plan, the budget."""
    ax = figures.new_axes() if ax is None else ax
    sets = answer.picked.sets
    every = sorted({*answer.rungs, *sets}, key=lambda one: (one.cost, one.left))
    cost = np.array([one.cost for one in every])
    left = np.minimum.accumulate([_left(answer, one) for one in every])
    end = max(float(cost.max()), answer.request.budget or 0.0, 1.0) * 1.12
    ax.step([*cost, end], [*left, left[-1]], where="post", color=_FRONT, lw=1.4)
    ax.plot([one.cost for one in sets], [_left(answer, one) for one in sets], "o", ms=3, color=_FRONT)
    stages = [answer.now, *(step.after for step in answer.steps)]
    spent = [0.0, *(step.total for step in answer.steps)]
    heights = [float(np.maximum(stage.excess, 0.0).mean()) for stage in stages]
    ax.plot(spent, heights, "-o", color=_PLAN, lw=2.4, ms=6, zorder=3)
    for i, (x, y) in enumerate(zip(spent[1:], heights[1:], strict=True), 1):
        ax.annotate(
            str(i), (x, y), color="white", fontsize=7, ha="center", va="center", zorder=4,
            bbox={"boxstyle": "circle,pad=0.25", "fc": _PLAN, "ec": "white", "lw": 0.6},
        )  # fmt: skip
    if answer.request.budget is not None:
        ax.axvline(answer.request.budget, color=COLOURS[4], lw=1.2, ls=(0, (5, 2)))
        ax.text(answer.request.budget, 1.0, " to spend", transform=ax.get_xaxis_transform(), color=COLOURS[4],
                fontsize=8, va="top")  # fmt: skip
    ax.set_xlim(-0.02 * end, end)
    ax.set_ylim(0.0, max(1.12 * float(left.max()), 1.0))
    _label_rungs(answer, ax)
    unit = f" [{answer.currency}]" if answer.currency else ""
    invented = ", prices invented" if answer.invented else ""
    ax.set_xlabel(f"cost{unit}{invented}")
    ax.set_ylabel("left to do [dB, mean]")
    ax.set_title("What money buys, the plan in blue", loc="left")
    return ax


def _label_rungs(answer: FixesAnswer, ax: Axes) -> None:
    """Names beside the sets one would notice, the last ones first where there is no room for all."""
    top = ax.get_ylim()[1]
    placed: list[tuple[float, float]] = []
    wide = 0.24 * ax.get_xlim()[1]
    shown = [one for one in answer.rungs if one.chosen][-_LABELLED:]
    for one in sorted(shown, key=lambda one: one.cost):
        x, y = one.cost, _left(answer, one)
        lift = y + 0.05 * top
        while any(abs(x - px) < wide and abs(lift - py) < 0.17 * top for px, py in placed):
            lift += 0.04 * top
        lift = min(lift, 0.93 * top)
        placed.append((x, lift))
        right = x > 0.72 * ax.get_xlim()[1]
        ax.annotate(
            _name(answer, one), (x, y), xytext=(x, lift), fontsize=7, color=INK, va="bottom",
            ha="right" if right else "left", linespacing=1.0,
            arrowprops={"arrowstyle": "-", "color": FAINT, "lw": 0.8, "shrinkB": 2},
        )  # fmt: skip


def draw_taken(answer: FixesAnswer, sets: Sequence[Set], what: str, *, ax: Axes | None = None) -> Axes:
    """What is left to be done over the mass or the space it takes, whatever it costs within the budget."""
    ax = figures.new_axes() if ax is None else ax
    taken = [getattr(one, what) for one in sets]
    left = [_left(answer, one) for one in sets]
    end = max(max(taken), 1.0 if what == "mass" else 0.1) * 1.1
    ax.step([*taken, end], [*left, left[-1]], where="post", color=_FRONT, lw=1.4)
    ax.plot(taken, left, "o", ms=3, color=_FRONT)
    ax.plot([getattr(answer.plan, what)], [_left(answer, answer.plan)], "o", ms=7, color=_PLAN, zorder=3)
    ax.set_xlim(-0.05 * end, end)
    ax.set_ylim(0.0, max(1.12 * float(np.maximum(answer.now.excess, 0.0).mean()), 1.0))
    ax.set_yticklabels([])
    ax.set_xlabel("weight [kg]" if what == "mass" else "of the room [m3]")
    ax.set_title("weight" if what == "mass" else "space", loc="left")
    return ax


def draw_sounds(answer: FixesAnswer, sounds: Sequence[int], *, ax: Axes | None = None) -> Axes:
    """Each sound before and after: by how much it misses its aim, with the limits of that."""
    ax = figures.new_axes() if ax is None else ax
    for row, i in enumerate(sounds):
        before, after = float(answer.now.excess[i]), float(answer.then.excess[i])
        low, high = np.percentile(answer.then.drawn.excess[:, i], [5.0, 95.0])
        ax.plot([low, high], [row, row], color=_PLAN, lw=5.0, alpha=0.25, solid_capstyle="butt")
        ax.plot([before, after], [row, row], color=INK, lw=1.0)
        ax.plot([before], [row], "o", color="white", mec=INK, ms=7, zorder=3)
        ax.plot([after], [row], "o", color=_PLAN, ms=7, zorder=3)
        met = percent(answer.then.drawn.met_of(i))
        text = f"{answer.aims[i].sound.name}: {answer.then.passed[i].verdict}; met {met}"
        ax.text(0.0, row - 0.33, text, transform=ax.get_yaxis_transform(), fontsize=8.5, color=INK)
    ax.axvline(0.0, color=COLOURS[2], lw=1.6)
    ax.text(0.0, -0.72, "met ", color=COLOURS[2], fontsize=8, ha="right", va="center")
    ax.set_ylim(len(sounds) - 0.5, -0.9)
    ax.set_yticks([])
    ax.grid(False, axis="y")
    ax.set_xlabel("beyond the aim [dB]")
    ax.set_title("Now (open), with the plan (blue, 5 to 95 %)", loc="left")
    return ax


def draw_shares(
    answer: FixesAnswer,
    sounds: Sequence[int],
    *,
    keyed: dict[str, Look] | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Which path lets how much of each sound through, now above and with the plan below."""
    ax = figures.new_axes() if ax is None else ax
    stages = (answer.now, answer.then)
    keyed = looks([stage.passed[i] for stage in stages for i in sounds]) if keyed is None else keyed
    for row, i in enumerate(sounds):
        for stage, at in zip(stages, (row - 0.04, row + 0.28), strict=True):
            _bar(ax, stage, i, at, keyed)
        before, after = (decibels(stage.passed[i].dba) for stage in stages)
        text = f"{answer.aims[i].sound.name}, {before} → {after} dBA"
        ax.text(0.0, row - 0.33, text, fontsize=8.5, color=INK)
    ax.set_ylim(len(sounds) - 0.5, -0.9)
    ax.set_xlim(0.0, 1.0)
    ax.set_xticks([0.0, 0.25, 0.5, 0.75, 1.0], ["0", "25 %", "50 %", "75 %", "100 %"])
    ax.set_yticks([])
    ax.grid(False)
    ax.set_title("By which path: now, below it with the plan", loc="left")
    return ax


def _bar(ax: Axes, stage: Stage, aim: int, at: float, keyed: dict[str, Look]) -> None:
    passed = stage.passed[aim]
    found = dict.fromkeys((*keyed, REST), 0.0)
    for path, share in zip(passed.paths, passed.share, strict=True):
        found[path.name if path.name in keyed else REST] += float(share)
    left = 0.0
    for name, share in found.items():
        look = keyed.get(name, Look(FAINT))
        ax.barh(
            at, share, left=left, height=0.28, color=look.colour, hatch=look.hatch, edgecolor="white", lw=0.6
        )
        if share >= 0.1:
            ax.text(left + share / 2, at, percent(share), ha="center", va="center", fontsize=7,
                    color=figures.on(look.colour))  # fmt: skip
        left += share
