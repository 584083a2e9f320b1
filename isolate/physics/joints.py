"""Joints round panes that open, and the cavities they lead into, in a diffuse field.

A frame that opens lets sound past its pane into the cavity behind it, which passes on to the next frame what
its edges do not soak up: elements one behind another, with a diffuse field between each two. Of what they
let through together, the part by the panes alone is left to the forced path (`glazing`), which knows better;
what counts here is what took at least one joint.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from isolate.bands import Array
from isolate.describe.constructions import Cavity
from isolate.physics import calibrated, openings
from isolate.physics.cavity import lining_absorption
from isolate.physics.leaves import flat

SASH_DEPTH = 0.01  # m, of the rebate of a frame that opens (common practice, no source)


def edge_absorption(f: Array, cavity: Cavity) -> Array:
    """Absorption coefficient (F,) of the edge of a cavity between panes, bare or lined."""
    bare = np.full_like(f, calibrated.value("reveal_absorption"))
    if cavity.edges != "absorbent" and cavity.fill is None:
        return bare
    return lining_absorption(f, bare=calibrated.value("reveal_absorption"))


def soaked(f: Array, *, cavity: Cavity, size: tuple[float, float]) -> Array:
    """Absorption area of a cavity's edges over that of the window, alpha U d/S; (..., F)."""
    around = 2 * sum(size) / (size[0] * size[1])
    return edge_absorption(f, cavity) * around * flat(cavity.depth)


def sash(f: Array, *, size: tuple[float, float]) -> Array:
    """tau (F,) re the window's area of the joint all round a frame that opens and is shut."""
    gap, area, perimeter = calibrated.value("sash_joint"), size[0] * size[1], 2 * sum(size)
    return openings.slit(f, width=gap, depth=SASH_DEPTH, length=perimeter) * gap * perimeter / area


def in_series(elements: Sequence[Array], *, losses: Sequence[Array]) -> Array:
    """tau (...) of elements one behind another with a diffuse field between each two.

    elements: transmission coefficient of each; losses: absorption of each cavity between two over the same
    area. Balance of power in every cavity; the same both ways. Two walls: t1 t2/(a + t1 + t2).
    """
    into = through = np.asarray(elements[-1], float)
    for element, loss in zip(elements[-2::-1], losses[::-1], strict=True):
        behind = into + loss
        share = element / (element + behind)
        into, through = share * behind, share * through
    return through


def past_panes(panes: Sequence[Array], *, joints: Sequence[Array], losses: Sequence[Array]) -> Array:
    """tau (...) of sound that takes at least one joint; `panes` of each frame by itself, `joints` beside."""
    leaky = [pane + joint for pane, joint in zip(panes, joints, strict=True)]
    return np.maximum(in_series(leaky, losses=losses) - in_series(panes, losses=losses), 0.0)
