"""The plan of a room within the room: both shells, openings, studs, mounts and ducts, to scale, in mm."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from isolate.answers.inner_room.answer import InnerRoomAnswer
from isolate.describe.inner_parts import Mounts
from isolate.describe.layers import Leaf
from isolate.describe.rooms import Side
from isolate.remedies.ducts import BOARD, LINING
from isolate.remedies.inner.plan import Wall, roles
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, FAINT, INK, LOOKS, QUIET, WOOD, WOOL
from isolate.show.sections import look

_BOARD, _GLASS = LOOKS["other"][0], LOOKS["glass"][0]
_UNKNOWN = 0.1  # m, of a wall that no side describes
_STUD = 0.038, 0.089  # m, along the wall and across it


class _Frame:
    """A wall's own measures on the drawing: `along` it, and `out` of the room; `at` 0 and 1 the ends, 2 and
    3 the long walls, as in `Plan.around`."""

    def __init__(self, at: int, length: float, width: float) -> None:
        self.run = width if at < 2 else length
        self.at, self.length, self.width = at, length, width

    def point(self, along: float, out: float) -> tuple[float, float]:
        """Where that is on the drawing [m]."""
        return (
            (-out, along), (self.length + out, along), (along, -out), (along, self.width + out)
        )[self.at]  # fmt: skip

    def box(self, ax: Axes, along: float, wide: float, out: float, deep: float, **style: object) -> None:
        """A rectangle from `along` and `out` on."""
        (x, y), (x2, y2) = self.point(along, out), self.point(along + wide, out + deep)
        corner = min(x, x2), min(y, y2)
        ax.add_patch(Rectangle(corner, abs(x2 - x), abs(y2 - y), **style))  # type: ignore[arg-type]


def draw_plan(answer: InnerRoomAnswer, *, ax: Axes | None = None) -> Axes:
    """The room from above, to one scale; where on a wall its openings are is not told, nor drawn as such."""
    ax = common.new_axes() if ax is None else ax
    length, width, _ = answer.room.size
    walls = answer.plan.around
    frames = [_Frame(at, length, width) for at in range(4)]
    depths = [_depth(wall) for wall in walls]
    for i, (frame, wall) in enumerate(zip(frames, walls, strict=True)):
        before, after = (0.0, 0.0) if i < 2 else (depths[0], depths[1])
        _old(ax, frame, wall, depths[i], before, after)
        _inner(ax, frame, answer)
    _mounts(ax, answer)
    for i, (frame, wall, depth) in enumerate(zip(frames, walls, depths, strict=True)):
        _openings(ax, frame, wall, depth, answer)
        _beyond(ax, frame, wall, depth, 0.5 if i == _duct_wall(answer) else 0.2)
    _ducts(ax, frames, depths, answer)
    _sizes(ax, answer, depths)
    ax.set_aspect("equal")
    ax.set_xlim(-depths[0] - 0.55, length + max(depths[1] + 0.3, _reach(answer, depths, 1)))
    ax.set_ylim(
        -max(depths[2] + 0.45, _reach(answer, depths, 2)),
        width + max(depths[3] + 0.3, _reach(answer, depths, 3)),
    )
    ax.axis("off")
    ax.set_title("Plan, to scale, mm; openings and ducts where they fit", loc="left", fontsize=9)
    return ax


def _depth(wall: Wall) -> float:
    known = wall.side is not None and wall.side.construction.layers
    return wall.side.construction.thickness if wall.side is not None and known else _UNKNOWN


def _old(ax: Axes, frame: _Frame, wall: Wall, depth: float, before: float, after: float) -> None:
    told = wall.side is not None
    layers = wall.side.construction.layers if wall.side is not None else ()
    heavy = [one for one in layers if isinstance(one, Leaf) and one.material.masonry]
    thickest = max(heavy, key=lambda one: one.thickness, default=None)
    colour, hatch = LOOKS[look(thickest)] if thickest else (FAINT if told else "none", None)
    style = {
        "facecolor": colour, "hatch": hatch,
        "edgecolor": INK if told else QUIET, "lw": 0.6, "ls": "-" if told else (0, (3, 2)), "zorder": 2,
    }  # fmt: skip
    frame.box(ax, -before, frame.run + before + after, 0.0, depth, **style)


def _inner(ax: Axes, frame: _Frame, answer: InnerRoomAnswer) -> None:
    """Wool, studs and boards of one inner wall, from the gap inwards."""
    lining, spacing = answer.inner.walls, answer.inner.spacing
    gap, inset = lining.gap, lining.gap
    run = frame.run - 2 * inset
    if lining.fill_depth:
        frame.box(ax, inset, run, -gap, lining.fill_depth, facecolor=WOOL, lw=0, zorder=2)
    for at in np.arange(inset, frame.run - inset - _STUD[0], spacing):
        frame.box(
            ax, at, _STUD[0], -gap, min(_STUD[1], gap), facecolor=WOOD, edgecolor=INK, lw=0.4, zorder=3
        )
    boards = lining.depth - gap
    frame.box(ax, inset, run, -lining.depth, boards, facecolor=_BOARD, edgecolor=INK, lw=0.4, zorder=3)


def _mounts(ax: Axes, answer: InnerRoomAnswer) -> None:
    """As many mounts as there are, in even rows; they are spread by load on site."""
    if not isinstance(answer.inner.floor.on, Mounts):
        return
    depth = answer.inner.walls.gap
    length, width = (edge - 2 * depth for edge in answer.room.size[:2])
    rows = max(round((answer.load.mounts * width / length) ** 0.5), 1)
    left = answer.load.mounts
    for i, y in enumerate(np.linspace(depth + 0.06, depth + width - 0.06, rows)):
        count = round(left / (rows - i))
        left -= count
        x = np.linspace(depth + 0.06, depth + length - 0.06, max(count, 1))
        ax.plot(x, np.full(x.size, y), "s", color=QUIET, ms=3, zorder=4)


def _openings(ax: Axes, frame: _Frame, wall: Wall, depth: float, answer: InnerRoomAnswer) -> None:
    wide = [_width(one) for one in wall.openings]
    space = (frame.run - sum(wide)) / (len(wide) + 1)
    along, inner = space, answer.inner
    for one, run in zip(wall.openings, wide, strict=True):
        whole = inner.walls.depth + depth
        frame.box(
            ax, along, run, -inner.walls.depth, whole, facecolor="white", edgecolor=INK, lw=0.5, zorder=5
        )
        window = roles(one) == "window"
        colour = _GLASS if window else WOOD
        apart = inner.window.gap if window else inner.door.lobby or inner.walls.gap
        thick = 0.03 if window else 0.044
        frame.box(
            ax, along, run, apart - inner.walls.gap, thick, facecolor=colour, edgecolor=INK, lw=0.4, zorder=6
        )
        frame.box(ax, along, run, -inner.walls.gap, -thick, facecolor=colour, edgecolor=INK, lw=0.4, zorder=6)
        inside = -inner.walls.depth - (0.2 if frame.at == 1 else 0.08)  # lengths are told at their right
        common.dimension(ax, frame.point(along, inside), frame.point(along + run, inside))
        along += run + space


def _width(one: Side) -> float:
    return one.size[0] if one.size else one.area**0.5


def _beyond(ax: Axes, frame: _Frame, wall: Wall, depth: float, share: float) -> None:
    """What a wall faces, at a share of its run: ducts are at both ends."""
    if wall.faces:
        x, y = frame.point(frame.run * share, depth + 0.12)
        ax.text(x, y, common.named(wall.faces, 24), ha="center", va="center", fontsize=9, color=QUIET,
                rotation=90 if frame.at < 2 else 0)  # fmt: skip


def _duct_wall(answer: InnerRoomAnswer) -> int | None:
    """Which of the four walls the ducts go through."""
    plan = answer.plan
    if plan.ducts is None:
        return None
    side = plan.side(plan.ducts.side)
    return next((i for i, wall in enumerate(plan.around) if side in (wall.side, *wall.openings)), None)


def _reach(answer: InnerRoomAnswer, depths: list[float], at: int) -> float:
    """How far ducts stand out of a wall [m]."""
    ducts = answer.plan.ducts
    if ducts is None or _duct_wall(answer) != at:
        return 0.0
    return depths[at] + (0.4 + ducts.system.box[0] + 2 * (LINING + BOARD) if ducts.system.boxes > 1 else 0.5)


def _ducts(ax: Axes, frames: list[_Frame], depths: list[float], answer: InnerRoomAnswer) -> None:
    """Each duct straight through both shells at the ends of its wall, its boxes beside it."""
    at, found = _duct_wall(answer), answer.plan.ducts
    if at is None or found is None:
        return
    frame, depth, inner, system = frames[at], depths[at], answer.inner.walls.depth, found.system
    long, wide = (edge + 2 * (LINING + BOARD) for edge in system.box[:2])
    aside = inner + (wide if system.boxes else system.diameter) / 2
    for middle in (aside, frame.run - aside):
        tube = {"facecolor": "white", "edgecolor": COLOURS[0], "lw": 1.0, "zorder": 7}
        frame.box(
            ax, middle - system.diameter / 2, system.diameter, -inner - 0.1, inner + depth + 0.2, **tube
        )
        box = {"facecolor": COLOURS[3], "alpha": 0.45, "edgecolor": COLOURS[0], "lw": 0.8, "zorder": 8}
        if system.boxes:
            frame.box(ax, middle - wide / 2, wide, -inner - 0.1, -long, **box)
            x, y = frame.point(middle, -inner - 0.1 - long / 2)
            ax.text(x, y, f"box\n{1e3 * long:.0f} x {1e3 * wide:.0f}", fontsize=7.5, ha="center", va="center",
                    color=INK, zorder=9)  # fmt: skip
        if system.boxes > 1:
            frame.box(ax, middle - wide / 2, wide, depth + 0.1, long, **box)
    x, y = frame.point(frame.run - aside, _reach(answer, depths, at) - (0.12 if at < 2 else 0.1))
    ax.text(x, y, f"duct {1e3 * system.diameter:.0f}", fontsize=8, color=COLOURS[0], ha="center", va="center",
            rotation=90 if at < 2 else 0, zorder=9)  # fmt: skip


def _sizes(ax: Axes, answer: InnerRoomAnswer, depths: list[float]) -> None:
    length, width, _ = answer.room.size
    wall = answer.inner.walls.depth
    outside = -depths[2] - 0.32
    common.dimension(ax, (0.0, outside), (length, outside))
    common.dimension(ax, (wall, 0.55 * width), (length - wall, 0.55 * width))
    common.dimension(ax, (0.6 * length, wall), (0.6 * length, width - wall))
    common.dimension(ax, (-depths[0] - 0.32, 0.0), (-depths[0] - 0.32, width))
    common.dimension(ax, (0.3 * length, 0.0), (0.3 * length, wall), beside=True)
