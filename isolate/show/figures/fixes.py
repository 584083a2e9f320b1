"""The plan, drawn: what money, weight and space buy; each sound and its ways before and after."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from isolate.answers.fixes import FixesAnswer
from isolate.remedies.judgement.choice import Set
from isolate.remedies.judgement.stage import Stage
from isolate.show.document import decibels, percent
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, QUIET
from isolate.show.figures.paths import REST, Look, looks

_PLAN, _FRONT = COLOURS[0], QUIET
_MOST = 8  # sounds drawn, those that stick out most now
_LETTERED = 5  # sets of the front with their names
_WIDE = 70  # columns of a name


def figure(answer: FixesAnswer) -> Figure:
    """Fronts above; below, sounds and their ways in."""
    sounds = _sounds(answer)
    below = 0.62 * len(sounds) + 1.5
    keyed = looks(
        [stage.received[i] for stage in (answer.judgement.first, answer.judgement.last) for i in sounds]
    )

    def fill(fig: Figure) -> None:
        grid = fig.add_gridspec(2, 6, height_ratios=[3.9, below])
        draw_front(answer, ax=fig.add_subplot(grid[0, :4]))
        draw_taken(answer, answer.fronts[1], "mass", ax=fig.add_subplot(grid[0, 4]))
        draw_taken(answer, answer.fronts[2], "space", ax=fig.add_subplot(grid[0, 5]))
        draw_sounds(answer, sounds, ax=fig.add_subplot(grid[1, :3]))
        draw_shares(answer, sounds, keyed=keyed, ax=fig.add_subplot(grid[1, 3:]))
        keys = [
            Patch(
                facecolor=look.colour, hatch=look.hatch, edgecolor="white", lw=0.3, label=common.named(name)
            )
            for name, look in keyed.items()
        ]
        keys.append(Patch(color=FAINT, label=REST))
        fig.legend(handles=keys, loc="outside lower right", ncols=3, fontsize=8, handlelength=1.4)
        title = f"What to do first: {common.named(answer.room.title, 80)}"
        fig.suptitle(title, x=0.01, ha="left", fontsize=12, fontweight="bold", color=INK)

    return common.drawn(fill, width=11.0, height=3.9 + below + 0.9)


def _sounds(answer: FixesAnswer) -> list[int]:
    """The aims that are drawn, what is missed most first."""
    order = np.argsort(-answer.judgement.first.excess, kind="stable")
    return order[:_MOST].tolist()


def _left(answer: FixesAnswer, one: Set) -> float:
    return one.left / len(answer.judgement.aims)


def draw_front(answer: FixesAnswer, *, ax: Axes | None = None) -> Axes:
    """What is left to be done over money: the front, the steps of the plan, the budget."""
    ax = common.new_axes() if ax is None else ax
    sets = answer.judgement.picked.sets
    every = sorted({*answer.rungs, *sets}, key=lambda one: (one.cost, one.left))
    cost = np.array([one.cost for one in every])
    left = np.minimum.accumulate([_left(answer, one) for one in every])
    end = max(float(cost.max()), answer.judgement.asked.budget or 0.0, 1.0) * 1.12
    ax.step([*cost, end], [*left, left[-1]], where="post", color=_FRONT, lw=1.4)
    ax.plot([one.cost for one in sets], [_left(answer, one) for one in sets], "o", ms=3, color=_FRONT)
    stages = [answer.judgement.first, *(step.after for step in answer.judgement.steps)]
    spent = [0.0, *(step.total for step in answer.judgement.steps)]
    heights = [float(np.maximum(stage.excess, 0.0).mean()) for stage in stages]
    ax.plot(spent, heights, "-o", color=_PLAN, lw=2.4, ms=6, zorder=3)
    for i, (x, y) in enumerate(zip(spent[1:], heights[1:], strict=True), 1):
        ax.annotate(
            str(i), (x, y), color="white", fontsize=7, ha="center", va="center", zorder=4,
            bbox={"boxstyle": "circle,pad=0.25", "fc": _PLAN, "ec": "white", "lw": 0.6},
        )  # fmt: skip
    if answer.judgement.asked.budget is not None:
        ax.axvline(answer.judgement.asked.budget, color=COLOURS[4], lw=1.2, ls=(0, (5, 2)))
        ax.text(answer.judgement.asked.budget, 0.02, " to spend", transform=ax.get_xaxis_transform(),
                color=COLOURS[4], fontsize=8, va="bottom")  # fmt: skip
    ax.set_xlim(-0.02 * end, end)
    ax.set_ylim(0.0, max(1.12 * float(left.max()), 1.0))
    _key(answer, ax)
    unit = f" [{common.named(answer.currency)}]" if answer.currency else ""
    invented = ", prices invented" if answer.invented else ""
    ax.set_xlabel(f"cost{unit}{invented}")
    ax.set_ylabel("left to do [dB, mean]")
    ax.set_title("What money buys, the plan in blue", loc="left")
    return ax


def _key(answer: FixesAnswer, ax: Axes) -> None:
    """The steps of the plan by number, sets one would notice by letter, where the front leaves room."""
    steps = {step.after.chosen for step in answer.judgement.steps} | {answer.judgement.first.chosen}
    others = [one for one in answer.rungs if one.chosen not in steps]
    beyond = [one for one in others if one.cost > answer.plan.cost]
    before = [one for one in others if one not in beyond]
    others = sorted([*beyond, *before][:_LETTERED], key=lambda one: one.cost)
    lines = [(f"{i}", step.name, step.total, _PLAN) for i, step in enumerate(answer.judgement.steps, 1)]
    for letter, one in zip("abcdefgh", others, strict=False):
        ax.annotate(letter, (one.cost, _left(answer, one)), xytext=(5, 4), textcoords="offset points",
                    fontsize=9, color=INK, fontweight="bold")  # fmt: skip
        names = " + ".join(answer.judgement.remedies[i].name for i in sorted(one.chosen))
        lines.append((letter, names, one.cost, INK))
    low, high = ax.get_ylim()
    lowest = min(_left(answer, one) for one in (*answer.rungs, answer.plan))
    top = 0.97 if lowest < low + 0.55 * (high - low) else 0.06 + 0.062 * len(lines)
    for row, (sign, name, cost, colour) in enumerate(lines):
        text = f"{sign}  {cost:.0f}: {common.named(name, _WIDE)}"
        ax.text(0.33, top - 0.062 * row, text, transform=ax.transAxes, fontsize=7.5, color=colour, va="top",
                bbox={"fc": "white", "ec": "none", "alpha": 0.8, "pad": 0.8})  # fmt: skip


def draw_taken(answer: FixesAnswer, sets: Sequence[Set], what: str, *, ax: Axes | None = None) -> Axes:
    """What is left to be done over the mass or the space it takes, whatever it costs within the budget."""
    ax = common.new_axes() if ax is None else ax
    taken = [getattr(one, what) for one in sets]
    left = [_left(answer, one) for one in sets]
    end = max(max(taken), 1.0 if what == "mass" else 0.1) * 1.1
    ax.step([*taken, end], [*left, left[-1]], where="post", color=_FRONT, lw=1.4)
    ax.plot(taken, left, "o", ms=3, color=_FRONT)
    ax.plot([getattr(answer.plan, what)], [_left(answer, answer.plan)], "o", ms=7, color=_PLAN, zorder=3)
    ax.set_xlim(-0.05 * end, end)
    ax.set_ylim(0.0, max(1.12 * float(np.maximum(answer.judgement.first.excess, 0.0).mean()), 1.0))
    ax.set_yticklabels([])
    ax.set_xlabel("weight [kg]" if what == "mass" else "of the room [m3]")
    ax.set_title("weight" if what == "mass" else "space", loc="left")
    return ax


def draw_sounds(answer: FixesAnswer, sounds: Sequence[int], *, ax: Axes | None = None) -> Axes:
    """Each sound before and after: by how much it misses its aim, with the limits of that."""
    ax = common.new_axes() if ax is None else ax
    for row, i in enumerate(sounds):
        before, after = float(answer.judgement.first.excess[i]), float(answer.judgement.last.excess[i])
        drawn = answer.judgement.last.excess_drawn
        low, high = (after, after) if drawn is None else np.percentile(drawn[:, i], [5.0, 95.0])
        ax.plot([low, high], [row, row], color=_PLAN, lw=5.0, alpha=0.25, solid_capstyle="butt")
        ax.plot([before, after], [row, row], color=INK, lw=1.0)
        ax.plot([before], [row], "o", color="white", mec=INK, ms=7, zorder=3)
        ax.plot([after], [row], "o", color=_PLAN, ms=7, zorder=3)
        met = percent(answer.judgement.last.chance_of(i))
        then = answer.judgement.last.received[i]
        text = f"{common.named(then.name)}: {then.verdict}; met {met}"
        ax.text(0.0, row - 0.33, text, transform=ax.get_yaxis_transform(), fontsize=8.5, color=INK,
                bbox={"fc": "white", "ec": "none", "alpha": 0.8, "pad": 0.8})  # fmt: skip
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
    ax = common.new_axes() if ax is None else ax
    stages = (answer.judgement.first, answer.judgement.last)
    keyed = looks([stage.received[i] for stage in stages for i in sounds]) if keyed is None else keyed
    for row, i in enumerate(sounds):
        for stage, at in zip(stages, (row - 0.04, row + 0.28), strict=True):
            _bar(ax, stage, i, at, keyed)
        before, after = (decibels(stage.received[i].dba) for stage in stages)
        text = f"{common.named(answer.judgement.aims[i].sound.name)}, {before} → {after} dBA"
        ax.text(0.0, row - 0.33, text, fontsize=8.5, color=INK)
    ax.set_ylim(len(sounds) - 0.5, -0.9)
    ax.set_xlim(0.0, 1.0)
    ax.set_xticks([0.0, 0.25, 0.5, 0.75, 1.0], ["0", "25 %", "50 %", "75 %", "100 %"])
    ax.set_yticks([])
    ax.grid(False)
    ax.set_title("By which path: now, below it with the plan", loc="left")
    return ax


def _bar(ax: Axes, stage: Stage, aim: int, at: float, keyed: dict[str, Look]) -> None:
    heard = stage.received[aim]
    found = dict.fromkeys((*keyed, REST), 0.0)
    for one, share in zip(heard.elements, heard.share, strict=True):
        found[one.name if one.name in keyed else REST] += float(share)
    left = 0.0
    for name, share in found.items():
        look = keyed.get(name, Look(FAINT))
        ax.barh(
            at, share, left=left, height=0.28, color=look.colour, hatch=look.hatch, edgecolor="white", lw=0.6
        )
        if share >= 0.1:
            ax.text(left + share / 2, at, percent(share), ha="center", va="center", fontsize=7,
                    color=common.on(look.colour))  # fmt: skip
        left += share
