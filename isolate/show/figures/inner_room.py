"""The room within the room, drawn: a section to scale with every gap's resonance, the gain of each state."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from isolate.answers.inner_room.answer import InnerRoomAnswer
from isolate.answers.inner_room.notes import Resonance
from isolate.bands import THIRD_OCTAVES
from isolate.describe import constructions
from isolate.describe.constructions import Cavity, Leaf
from isolate.describe.inner_parts import Mounts
from isolate.describe.rooms import Side
from isolate.remedies.inner.plan import Wall, roles
from isolate.room.received import Received
from isolate.show.figures import common
from isolate.show.figures.common import COLOURS, DASHES, FAINT, INK, LOOKS, QUIET, WOOD, WOOL
from isolate.show.figures.inner_plan import draw_plan
from isolate.show.sections import look

_UNKNOWN = 0.1  # m, of a wall that no side describes
NARROW = 2.4  # m, of a section where words want to be short
_STUD, _PLATE, _JOIST = 0.089, 0.038, 0.145  # m
_SILL, _PANE_HEIGHT, _DOOR_HEIGHT = 0.9, 1.0, 2.0  # m, where a file does not say
_LINES = {
    "pane": (COLOURS[3], DASHES[2]), "walls": (COLOURS[1], DASHES[1]), "ceiling": (COLOURS[5], DASHES[3]),
    "whole": (COLOURS[0], "-"), "amateur": (COLOURS[2], DASHES[1]), "tied": (COLOURS[4], DASHES[4]),
}  # fmt: skip
_SAID = {
    "pane": "second pane", "walls": "walls only", "ceiling": "walls, ceiling", "whole": "the whole",
    "amateur": "by amateurs", "tied": "whole, touching",
}  # fmt: skip


class _Box(NamedTuple):
    """A rectangle [m] and whether layers run along x in it."""

    x: float
    y: float
    wide: float
    tall: float


def figure(answer: InnerRoomAnswer) -> Figure:
    """Section and plan above, the gains below."""
    sounds = [one for one in (answer.out, answer.coming) if one is not None]
    return common.drawn(lambda fig: _fill(fig, answer, sounds), width=10.4, height=14.4)


def handed_over(answer: InnerRoomAnswer) -> Figure:
    """Section and plan alone, for who builds it."""

    def fill(fig: Figure) -> None:
        section, plan = fig.subplots(2, 1, height_ratios=(5.6, 5.0))
        draw_section(answer, ax=section)
        draw_plan(answer, ax=plan)

    return common.drawn(fill, width=9.0, height=10.0)


def _fill(fig: Figure, answer: InnerRoomAnswer, sounds: Sequence[Received]) -> None:
    grid = fig.add_gridspec(3, max(len(sounds), 1), height_ratios=[5.6, 5.0, 3.6])
    draw_section(answer, ax=fig.add_subplot(grid[0, :]))
    draw_plan(answer, ax=fig.add_subplot(grid[1, :]))
    for column, one in enumerate(sounds):
        draw_gain(answer, one, ax=fig.add_subplot(grid[2, column]))
    fig.suptitle(
        f"A room within the room: {common.named(answer.room.title, 80)}", x=0.01, ha="left", fontsize=13,
        fontweight="bold", color=INK,
    )  # fmt: skip


def draw_gain(answer: InnerRoomAnswer, one: Received, *, ax: Axes | None = None) -> Axes:
    """How much softer than now a sound is in each state, by third octave."""
    ax = common.new_axes() if ax is None else ax
    before = answer.now.sound(one.name).level_db
    lines = {
        state.key: before - state.sound(one.name).level_db for state in answer.states if state.key in _LINES
    }
    top = 10.0 * np.ceil(max(float(line.max()) for line in lines.values()) / 10.0) + 2.0
    low = min(-6.0, 5.0 * np.floor(min(float(line.min()) for line in lines.values()) / 5.0))
    ax.axhspan(low, 0.0, color=FAINT, alpha=0.6, lw=0)
    ax.text(THIRD_OCTAVES[-1], low, "louder than now ", ha="right", va="bottom", fontsize=8, color=QUIET)
    for key, line in lines.items():
        colour, dash = _LINES[key]
        ax.plot(THIRD_OCTAVES, line, color=colour, ls=dash, lw=2.4 if key == "whole" else 1.7)
    ax.set_ylim(low, top)
    common.frequency_axis(ax)
    ax.set_ylabel("softer than now [dB]")
    ax.set_title(common.named(one.name))
    common.label_ends(ax, [(line, _SAID[key], _LINES[key][0]) for key, line in lines.items()], size=8)
    return ax


# --- the section ---


def draw_section(answer: InnerRoomAnswer, *, ax: Axes | None = None) -> Axes:
    """The room cut across, to one scale: the old shell, the inner one, and what each gap swings at."""
    ax = common.new_axes() if ax is None else ax
    width, height = _across(answer)
    left, right = _walls(answer)
    above, below = _first(answer, "ceiling"), _first(answer, "floor")
    outer = [_depth(side) for side in (left, right, above)]
    base = _base_layers(answer, below)
    under = _bottom(answer)
    _old_shell(ax, answer, left, right, above, base)
    _inner_shell(ax, answer)
    _openings(ax, answer, left, right)
    _labels(ax, answer, left, right)
    ax.set_aspect("equal")
    ax.set_xlim(-outer[0] - 0.22, width + outer[1] + 0.22)
    ax.set_ylim(-under - 0.32, height + outer[2] + 0.18)
    ax.axis("off")
    ax.plot([0, 1], [-under - 0.12] * 2, color=INK, lw=2.5, solid_capstyle="butt")
    ax.text(0, -under - 0.16, "1 m, all to one scale", fontsize=8, color=INK, va="top")
    return ax


def _cut_walls(answer: InnerRoomAnswer) -> tuple[float, Wall, Wall]:
    """How wide the room is where it is cut, and the two walls there: those with a window, else the long way
    between the ends."""
    length, width, _ = answer.room.size
    *ends, near, far = answer.plan.around
    if far.lit and not ends[1].lit:
        return width, near, far
    return length, ends[0], ends[1]


def _walls(answer: InnerRoomAnswer) -> tuple[Side | None, Side | None]:
    """The two walls shown left and right."""
    _, left, right = _cut_walls(answer)
    return left.side, right.side


def _across(answer: InnerRoomAnswer) -> tuple[float, float]:
    """Width and height [m] of the section."""
    return _cut_walls(answer)[0], answer.room.size[2]


def _first(answer: InnerRoomAnswer, role: str) -> Side | None:
    sides = [side for side in answer.room.sides if roles(side) == role]
    return max(sides, key=lambda side: side.area, default=None)


def _base_layers(answer: InnerRoomAnswer, below: Side | None) -> tuple[Leaf | Cavity, ...]:
    stated = answer.inner.floor.base
    if stated is not None:
        return stated.layers
    return below.construction.layers if below else constructions.load("concrete slab 150 mm").layers


def _thick(layer: Leaf | Cavity) -> float:
    return layer.thickness * layer.sheets if isinstance(layer, Leaf) else layer.depth


def _depth(side: Side | None) -> float:
    return side.construction.thickness if side and side.construction.layers else _UNKNOWN


def _old_shell(
    ax: Axes, answer: InnerRoomAnswer, left: Side | None, right: Side | None, above: Side | None,
    base: Sequence[Leaf | Cavity],
) -> None:  # fmt: skip
    width, height = _across(answer)
    for side, start, step in ((left, 0.0, -1.0), (right, width, 1.0)):
        layers = side.construction.layers if side else ()
        if not layers:
            box = _Box(start + min(step, 0.0) * _UNKNOWN, 0.0, _UNKNOWN, height)
            ax.add_patch(
                Rectangle(box[:2], *box[2:], facecolor="none", edgecolor=QUIET, lw=0.9, ls=(0, (3, 2)))
            )
            continue
        _stack(ax, tuple(reversed(layers)), start, step, 0.0, height, across=True)
    reach = -_depth(left), width + _depth(right)
    for layers, start, step in (
        (above.construction.layers if above else (), height, 1.0),
        (tuple(base), 0.0, -1.0),
    ):
        if layers:
            _stack(ax, tuple(reversed(layers)), start, step, reach[0], reach[1] - reach[0], across=False)
    if above is None:
        ax.plot(reach, [height, height], color=QUIET, lw=0.9, ls=(0, (3, 2)))


def _stack(
    ax: Axes, layers: Sequence[Leaf | Cavity], start: float, step: float, low: float, long: float,
    *, across: bool,
) -> None:  # fmt: skip
    """Layers one after the other from `start`, in the direction of `step`; `across`: along x."""
    at = start
    for layer in layers:
        depth = _thick(layer)
        near = min(at, at + step * depth)
        box = _Box(near, low, depth, long) if across else _Box(low, near, long, depth)
        _draw(ax, layer, box, across)
        at += step * depth


def _draw(ax: Axes, layer: Leaf | Cavity, box: _Box, across: bool) -> None:
    if isinstance(layer, Leaf):
        colour, hatch = LOOKS[look(layer)]
        ax.add_patch(
            Rectangle(box[:2], *box[2:], facecolor=colour, edgecolor=INK, lw=0.5, hatch=hatch, zorder=3)
        )
        return
    if layer.fill is not None and layer.fill_depth > 0.0:
        _wool(ax, box, layer.fill_depth, across)
    if layer.framing and "stud" in layer.framing and layer.spacing and not across:
        for x in np.arange(box.x + 0.15, box.x + box.wide, layer.spacing):
            ax.add_patch(
                Rectangle((x, box.y), _PLATE, box.tall, facecolor=WOOD, edgecolor=INK, lw=0.5, zorder=3)
            )


def _wool(ax: Axes, box: _Box, depth: float, across: bool, *, far: bool = False) -> None:
    x, y, wide, tall = box
    if across:
        x, wide = (x + wide - depth if far else x), depth
    else:
        y, tall = (y + tall - depth if far else y), depth
    ax.add_patch(
        Rectangle((x, y), wide, tall, facecolor=WOOL, edgecolor="#d9bf6a", lw=0, hatch="xx", zorder=2)
    )


def _inner_shell(ax: Axes, answer: InnerRoomAnswer) -> None:
    plan, inner = answer.plan, answer.inner
    width, height = _across(answer)
    deck, roof = inner.floor.lining.depth, height - inner.ceiling.depth
    foot = deck if plan.floats else 0.0
    side = inner.walls
    for start, step in ((0.0, 1.0), (width, -1.0)):
        if side.fill_depth:
            near = start + step * (side.gap - side.fill_depth)
            _wool(ax, _Box(min(near, near + step * side.fill_depth), foot, side.fill_depth, roof - foot),
                  side.fill_depth, True)  # fmt: skip
        _plates(ax, start + step * side.gap, step, foot, roof)
        _stack(ax, side.leaves, start + step * side.gap, step, foot, roof - foot, across=True)
    inset = 0.0 if plan.floats else side.depth
    _deck(ax, answer, inset + (0.01 if plan.floats else 0.0), width)
    _lid(ax, answer, width, height)


def _plates(ax: Axes, at: float, step: float, foot: float, roof: float) -> None:
    """Sole plate and head plates of an inner wall."""
    for low in (foot, roof - _PLATE):
        corner = (min(at, at - step * _STUD), low)
        ax.add_patch(Rectangle(corner, _STUD, _PLATE, facecolor=WOOD, edgecolor=INK, lw=0.5, zorder=4))


def _deck(ax: Axes, answer: InnerRoomAnswer, inset: float, width: float) -> None:
    """The floated floor on its mounts or mat."""
    floor, load = answer.inner.floor, answer.load
    long = width - 2 * inset
    lining = floor.lining
    if lining.fill_depth:
        _wool(ax, _Box(inset, 0.0, long, lining.gap), lining.fill_depth, False)
    if isinstance(floor.on, Mounts):
        spacing = max((answer.plan.floor_area / load.mounts) ** 0.5, 0.2)
        count = max(round(long / spacing), 2)
        for x in np.linspace(inset + 0.05, inset + long - 0.05, count):
            ax.add_patch(Rectangle((x - 0.03, 0.0), 0.06, lining.gap, facecolor=INK, lw=0, zorder=4))
    _stack(ax, lining.leaves, lining.gap, 1.0, inset, long, across=False)


def _lid(ax: Axes, answer: InnerRoomAnswer, width: float, height: float) -> None:
    """The inner ceiling, on joists across the inner walls or on hangers."""
    lining, walls = answer.inner.ceiling, answer.inner.walls
    at, inset = height - lining.gap, walls.gap
    long = width - 2 * inset
    if lining.fill_depth:
        _wool(ax, _Box(inset, at, long, lining.fill_depth), lining.fill_depth, False)
    if answer.load.carried:
        tall = min(_JOIST, 0.9 * lining.gap)
        for x in np.arange(inset + 0.1, width - inset - 0.1, answer.inner.spacing):
            ax.add_patch(Rectangle((x, at), _PLATE, tall, facecolor=WOOD, edgecolor=INK, lw=0.5, zorder=4))
    else:
        for x in np.arange(inset + 0.4, width - inset, 1.2):
            ax.plot([x, x], [at, height], color=INK, lw=1.2, zorder=4)
    _stack(ax, lining.leaves, at, -1.0, inset, long, across=False)


def _cut(answer: InnerRoomAnswer) -> list[tuple[Side, bool]]:
    """One window or door of each wall that is cut; whether at the left."""
    _, *walls = _cut_walls(answer)
    return [(wall.openings[0], wall is walls[0]) for wall in walls if wall.openings]


def _openings(ax: Axes, answer: InnerRoomAnswer, left: Side | None, right: Side | None) -> None:
    width, _ = _across(answer)
    for side, at_left in _cut(answer):
        start, step, wall = (0.0, 1.0, left) if at_left else (width, -1.0, right)
        _opening(ax, answer, side, start, step, _depth(wall))


def _opening(ax: Axes, answer: InnerRoomAnswer, side: Side, start: float, step: float, wall: float) -> None:
    inner, door = answer.inner, roles(side) == "door"
    tall = side.size[1] if side.size else (_DOOR_HEIGHT if door else _PANE_HEIGHT)
    deck = inner.floor.lining.depth
    low = deck if door else max(min(_SILL, answer.plan.inner_size[2] + deck - tall - 0.1), deck)
    tall = min(tall, answer.plan.inner_size[2] + deck - low - 0.02)
    gap = (inner.door.lobby or inner.walls.gap) if door else inner.window.gap
    face = start + step * (inner.walls.gap - gap)
    through = _Box(
        min(start - step * wall, start + step * inner.walls.depth), low, wall + inner.walls.depth, tall
    )
    ax.add_patch(Rectangle(through[:2], *through[2:], facecolor="white", edgecolor=INK, lw=0.5, zorder=5))
    panes = inner.door.construction.layers if door else inner.window.pane
    for layers, at, way in (
        (tuple(reversed(side.construction.layers)), face, -step),
        (panes, start + step * inner.walls.gap, step),
    ):
        for layer in layers:
            depth = _thick(layer)
            if isinstance(layer, Leaf):
                corner = (min(at, at + way * depth), low)
                colour, _ = LOOKS[look(layer)]
                patch = Rectangle(corner, depth, tall, facecolor=colour, edgecolor=INK, lw=0.4, zorder=6)
                ax.add_patch(patch)
            at += way * depth


def _labels(ax: Axes, answer: InnerRoomAnswer, left: Side | None, right: Side | None) -> None:
    """The resonance of each gap, an arrow from the words to it; the size inside."""
    width, height = _across(answer)
    inner, deck = answer.inner, answer.inner.floor.lining.depth
    swing = {one.name: one for one in answer.resonances}
    half = inner.walls.gap / 2
    middle = width / 2
    places: list[tuple[str, tuple[float, float], tuple[float, float]]] = []
    # in a narrow one words stand above each other
    wide = width > NARROW
    for side, at, step, low in (
        (left, half, 1.0, 0.34 if wide else 0.4), (right, width - half, -1.0, 0.34 if wide else 0.28)
    ):  # fmt: skip
        if side is not None and side.name in swing:
            places.append((side.name, (at, low * height), (at + step * 0.55, low * height)))
    ceiling = next((one for one in answer.resonances if one.role == "ceiling"), None)
    if ceiling:
        up, aside = height - inner.ceiling.gap / 2, middle - (0.5 if wide else 0.0)
        below = height - inner.ceiling.depth - (0.28 if wide else 0.2)
        places.append((ceiling.name, (aside, up), (aside, below)))
    aside, above = middle + (0.4 if wide else 0.2), deck + (0.3 if wide else 0.2)
    places.append(("floated floor", (aside, inner.floor.lining.gap / 2), (aside, above)))
    places += _opening_places(answer, left, right)
    for name, target, place in places:
        if name in swing:
            _label(ax, swing[name], target, place)
    shown = {name for name, _, _ in places}
    beside = [one for one in answer.resonances if one.name not in shown]
    if beside:
        said = "; ".join(
            f"{common.named(one.name, 24)} {1e3 * one.depth:.0f} mm, {one.frequency:.0f} Hz" for one in beside
        )
        words = "\n".join(textwrap.wrap(f"not in this section: {said}", 64 if wide else 34))
        ax.text(1.25, -_bottom(answer) - 0.06, words, fontsize=8, color=COLOURS[4], va="top")
    _words(ax, answer, left, right)
    _sizes(ax, answer)


def _sizes(ax: Axes, answer: InnerRoomAnswer) -> None:
    """Dimensions [mm]: clear width and height, old and new."""
    width, height = _across(answer)
    inner, deck = answer.inner, answer.inner.floor.lining.depth
    roof, wall = height - inner.ceiling.depth, inner.walls.depth
    low = deck + (0.44 if width > NARROW else 0.52) * (roof - deck)
    common.dimension(ax, (wall, low), (width - wall, low))
    aside = width * 0.44 if width > NARROW else wall + 0.12
    common.dimension(ax, (aside, deck), (aside, roof))
    top = height + 0.06
    common.dimension(ax, (0.0, top), (width, top))
    common.dimension(ax, (width * 0.62, roof), (width * 0.62, height), beside=True)
    common.dimension(ax, (width * 0.82, 0.0), (width * 0.82, deck), beside=True)


def _bottom(answer: InnerRoomAnswer) -> float:
    """How thick the old floor is [m]."""
    return sum(_thick(layer) for layer in _base_layers(answer, _first(answer, "floor")))


def _words(ax: Axes, answer: InnerRoomAnswer, left: Side | None, right: Side | None) -> None:
    """What lies beyond each side."""
    width, height = _across(answer)
    above = _first(answer, "ceiling")
    style: dict[str, Any] = {"fontsize": 9, "color": QUIET, "ha": "center", "va": "center"}
    if left is not None:
        ax.text(-_depth(left) - 0.1, height / 2, common.named(left.faces, 24), rotation=90, **style)
    if right is not None:
        ax.text(width + _depth(right) + 0.1, height / 2, common.named(right.faces, 24), rotation=90, **style)
    if above is not None:
        ax.text(width / 2, height + _depth(above) + 0.09, common.named(above.faces, 24), **style)


def _opening_places(
    answer: InnerRoomAnswer, left: Side | None, right: Side | None
) -> list[tuple[str, tuple[float, float], tuple[float, float]]]:
    found = []
    (width, _), share = _across(answer), 0.72
    high = share * (answer.inner.floor.lining.depth + answer.plan.inner_size[2])
    for side, at_left in _cut(answer):
        step = 1.0 if at_left else -1.0
        start = (0.0 if at_left else width) + step * 0.3 * answer.inner.walls.gap
        found.append((side.name, (start, high), (start + step * 0.62, high)))
    return found


def _label(ax: Axes, one: Resonance, target: tuple[float, float], place: tuple[float, float]) -> None:
    text = f"{common.named(one.name, 24)}\n{1e3 * one.depth:.0f} mm, {one.frequency:.0f} Hz"
    aside = place[0] - target[0]
    ax.annotate(
        text, target, xytext=place, va="center",
        ha="left" if aside > 0 else "right" if aside < 0 else "center",
        fontsize=8.5, color=COLOURS[4], zorder=8,
        arrowprops={"arrowstyle": "-|>", "color": COLOURS[4], "lw": 1.0, "shrinkA": 1, "shrinkB": 0},
    )  # fmt: skip
