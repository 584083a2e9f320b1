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

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.physics import glazing, joints, resonances
from isolate.physics.leaves import Core, Plate
from isolate.physics.stack import build

Size = tuple[float, float]
TURNS = 16


def behind(
    window: Construction, panes: Sequence[Leaf], *, depths: Array, size: Size, edges: str = "bare"
) -> Array:
    """tau (panes, depths, 27) of a window with each of these panes behind it, in a frame of its own.

    depths (G,) [m] from the window's last pane to the new one; size (width, height) [m]; edges of the reveal
    between, "bare" or "absorbent". Nothing leaks: for that see `past_seals`. Taken on few points, see above.
    """
    gap = Cavity(0.1, edges=edges, framing="separate frames")
    out = []
    for _, alike in groupby(panes, key=lambda pane: pane.material.name):
        some = list(alike)
        turned = [replace(window, layers=(pane, gap, *window.layers[::-1])) for pane in some]
        stacks = [build(one, size=size, turns=TURNS) for one in turned]
        first = stacks[0]
        plate = _side_by_side([stack.leaves[0] for stack in stacks])
        cavities = (_deep(gap, depths), *first.cavities[1:])
        many = replace(first, leaves=(plate, *first.leaves[1:]), cavities=cavities)
        out.append(glazing.transmission(many, sashes=False)[1])
    return np.concatenate(out)


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


def alone(panes: Sequence[Leaf], *, size: Size) -> Array:
    """tau (panes, 27) of each pane by itself in an opening of `size` [m]."""
    return np.array([of(Construction("pane", "pane", "window", (pane,)), size=size) for pane in panes])


def of(window: Construction, *, size: Size) -> Array:
    """tau (27,) of a window by itself, nothing leaking."""
    return glazing.transmission(build(window, size=size), sashes=False)[1]


def past_seals(
    window: Array, pane: Array, *, sash: Array, seal: Array, depths: Array, size: Size, edges: str = "bare"
) -> Array:
    """tau (..., depths, 27) of what gets past the old sash, the new pane's seal, or both.

    window (27,) and pane (..., 27): tau of both by themselves; sash (27,) and seal (27,): tau of the leaks
    beside them, re the window's area. Sound in the space between is taken as diffuse.
    """
    f = bands.exact(bands.THIRD_OCTAVES)
    loss = joints.soaked(f, cavity=_deep(Cavity(0.1, edges=edges), depths), size=size)
    inner = np.asarray(pane)[..., None, :]
    return joints.past_panes([window, inner], joints=[sash, seal], losses=[loss])


def chain(window: Construction, pane: Leaf, *, depth: float, size: Size) -> tuple[float, ...]:
    """Resonances [Hz], rising, of the window's panes and the new one on the air between them."""
    gap = Cavity(depth, framing="separate frames")
    both = replace(window, layers=(*window.layers, gap, pane))
    return resonances.cavities(build(both, size=size))
