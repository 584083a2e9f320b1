"""A second window behind one that is there: many panes at many distances at once.

The stack is solved turned round, new pane first, which reciprocity allows: what stands already is walked
through once, each distance once more, and each pane only adds its own impedance at the end. Means over bands
and angles take at most `TURNS` rounds: 0.3 dB from a single evaluation up to 3 kHz, but up to 0.8 dB in the
two bands about 560 Hz, where a bare gap has sharp modes; above, where leaks decide, 0.5 dB at 4 kHz rising to
5 dB at 10 kHz in the widest gaps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np

from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.layers import WIDE
from isolate.physics import resonances, windows
from isolate.physics.checks import positive
from isolate.physics.kept import stored
from isolate.physics.leaves import Core, Plate
from isolate.physics.stack import build
from isolate.physics.windows import Window

Size = tuple[float, float]
TURNS = 16


def apart(construction: Construction, *, shared: bool = False) -> Construction | None:
    """A window of two windows, each in a frame of its own; None of any other.

    shared: panes in one frame count too, where the inner one is known to have a joint of its own.
    """
    if construction.kind != "window":
        return None
    wide = [
        (layer.depth, i)
        for i, layer in enumerate(construction.layers[1:-1], 1)
        if isinstance(layer, Cavity) and _two(layer, shared)
    ]
    if not wide:
        return None
    _, at = max(wide)
    layers = [
        replace(layer, framing="separate frames") if i == at and isinstance(layer, Cavity) else layer
        for i, layer in enumerate(construction.layers)
    ]
    return replace(construction, layers=tuple(layers), measured=None)


def _two(gap: Cavity, shared: bool) -> bool:
    """Whether the panes about a gap are two windows: from `WIDE` on, unless a frame holds both."""
    if gap.framing == "shared frame":
        return shared
    return gap.framing == "separate frames" or (gap.framing is None and gap.depth >= WIDE)


def behind(
    window: Construction, panes: Sequence[Leaf], *, depths: Array, size: Size, edges: str = "bare"
) -> Window:
    """A window with each of these panes behind it, in a frame of its own, on few points: limits at the head
    of the module.

    Parameters
    ----------
    window : what stands there; its frame is taken for the new pane too. panes : one layer each. depths : (G,)
    [m] from the window's last pane to the new one. size : (width, height) [m] of the opening. edges : of the
    reveal between, "bare" or "absorbent".

    Returns
    -------
    Window, arrays (panes, G, 27). Joints stated to its `past` and `tau`: the old sash's first, the new pane's
    last.

    Raises
    ------
    ValueError
        A depth or size that is not above 0.
    """
    positive("depths", depths), positive("size", size)
    return _behind(window.unnamed, tuple(panes), np.asarray(depths, float), size, edges)


@stored(Window, most=8)  # of hundreds of panes each
def _behind(
    window: Construction, panes: Sequence[Leaf], depths: Array, size: Size, edges: str
) -> Window:
    gap = Cavity(0.1, edges=edges, framing="separate frames")
    found = []
    for _, alike in groupby(panes, key=lambda pane: pane.material.name):
        some = list(alike)
        turned = [replace(window, layers=(pane, gap, *window.layers[::-1])) for pane in some]
        stacks = [build(one, size=size, turns=TURNS) for one in turned]
        first = stacks[0]
        plate = _side_by_side([stack.leaves[0] for stack in stacks])
        cavities = (_deep(gap, depths), *first.cavities[1:])
        many = replace(first, leaves=(plate, *first.leaves[1:]), cavities=cavities)
        found.append(windows.solved(many).turned())
    return _together(found)


def _together(found: Sequence[Window]) -> Window:
    """Windows of several materials as one, along their panes."""

    def joined(parts: Sequence[Array]) -> Array:
        whole = [np.broadcast_to(x, np.shape(one.through)) for x, one in zip(parts, found, strict=True)]
        return np.concatenate(whole)

    runs = zip(*(one.runs for one in found), strict=True)
    return replace(
        found[0],
        panes=joined([one.panes for one in found]),
        through=joined([one.through for one in found]),
        runs=tuple(joined(run) for run in runs),
    )


def _deep(gap: Cavity, depths: Array) -> Cavity:
    """A cavity of many depths [m] at once, (depths, 1, 1)."""
    return replace(gap, depth=np.asarray(depths, float)[:, None, None])  # type: ignore[arg-type]


def _side_by_side(plates: Sequence[object]) -> Plate:
    """Plates of one material as one with arrays of thickness, (panes, 1, 1, 1)."""
    several = [plate for plate in plates if isinstance(plate, Plate)]
    assert len(several) == len(plates)
    first = several[0]
    core = first.core
    if core is not None:
        foils = [plate.core.thickness for plate in several if plate.core is not None]
        core = Core(_column(foils), core.modulus)
    return replace(first, thickness=_column([plate.thickness for plate in several]), core=core)


def _column(values: Sequence[object]) -> Array:
    return np.array(values, float)[:, None, None, None]


def of(window: Construction, *, size: Size) -> Window:
    """A window by itself.

    Parameters
    ----------
    window : its description. size : (width, height) [m] of the opening.

    Returns
    -------
    Window, arrays (27,), as `windows.solved` has it.
    """
    return _of(window.unnamed, size)


@stored(Window)
def _of(window: Construction, size: Size) -> Window:
    return windows.known(build(window, size=size))


def chain(window: Construction, pane: Leaf, *, depth: float, size: Size) -> tuple[float, ...]:
    """Resonances [Hz], rising, of the window's panes and a new one on the air between them.

    Parameters
    ----------
    window : its description. pane : the new one. depth : [m] between. size : (width, height) [m].

    Notes
    -----
    Roots of the free chain of masses and springs, as in `resonances.cavities`.
    """
    gap = Cavity(depth, framing="separate frames")
    both = replace(window, layers=(*window.layers, gap, pane))
    return resonances.cavities(build(both, size=size))
