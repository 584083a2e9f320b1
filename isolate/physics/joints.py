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
from isolate.physics.checks import above_zero, at_least_zero, positive
from isolate.physics.leaves import flat

SASH_DEPTH = 0.01  # m, of the rebate of a frame that opens (common practice, no source)
BRUSHED = 0.06  # m, of the way past the brushes of a sliding sash (as in the table of leaks)
BASS = 250.0  # Hz, up to which reveals take in more than above


@above_zero(f="Hz")
def edge_absorption(f: Array, cavity: Cavity) -> Array:
    """Absorption coefficient of the edge of a cavity between panes, bare or lined.

    Parameters
    ----------
    f : frequency [Hz], (F,).
    cavity : its `edges` and filling say what lies round it.

    Returns
    -------
    (F,), from 0 to 1.

    Raises
    ------
    ValueError
        f not above 0.

    Notes
    -----
    Bare: a0 + (a1 - a0)/(1 + (f/250 Hz)^4), a1 in the bass. The shape was found on whole windows, in a trial
    on a copy, and betters double windows that had no part in it; what takes in so much is not known. Below
    100 Hz nothing read holds it.
    """
    high, bass = calibrated.value("reveal_absorption"), calibrated.value("reveal_absorption_bass")
    bare = high + (bass - high) / (1 + (f / BASS) ** 4)
    if cavity.edges != "absorbent" and cavity.fill is None:
        return bare
    return lining_absorption(f, bare=bare)


def soaked(f: Array, *, cavity: Cavity, size: tuple[float, float]) -> Array:
    """Absorption area of a cavity's edges over that of the window, (..., F).

    Parameters
    ----------
    f : (F,) [Hz]. cavity : its depth [m] may be an array that ends in two axes of one. size : (width, height)
    [m].

    Raises
    ------
    ValueError
        A frequency or edge that is not above 0.

    Notes
    -----
    alpha U d/S, alpha of `edge_absorption`, U the perimeter.
    """
    positive("size", size)
    around = 2 * sum(size) / (size[0] * size[1])
    return edge_absorption(f, cavity) * around * flat(cavity.depth)


def sash(f: Array, *, size: tuple[float, float]) -> Array:
    """tau (F,) re the window's area of the joint all round a frame that opens and is shut.

    Parameters
    ----------
    f : (F,) [Hz]. size : (width, height) [m] of the frame.

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    A slit (Gomperts and Kihlman) as deep as a rebate, times its area over the window's; limits and references
    in `openings.slit`. `sealed` and `sliding` are alike.
    """
    return _all_round(f, calibrated.value("sash_joint"), SASH_DEPTH, size)


def sealed(f: Array, *, size: tuple[float, float]) -> Array:
    """tau (F,) re the window's area of the joint all round a pane that is sealed for good.

    Parameters
    ----------
    f : (F,) [Hz]. size : (width, height) [m] of the window.

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    As in `sash`.
    """
    return _all_round(f, calibrated.value("sealed_joint"), SASH_DEPTH, size)


def sliding(f: Array, *, size: tuple[float, float]) -> Array:
    """tau (F,) re the window's area of the brushes round two sashes that slide, and between them.

    Parameters
    ----------
    f : (F,) [Hz]. size : (width, height) [m] of the window; sashes meet over its height.

    Raises
    ------
    ValueError
        A frequency or size that is not above 0.

    Notes
    -----
    As in `sash`, with the way past the brushes for a depth.
    """
    return _all_round(f, calibrated.value("sliding_joint"), BRUSHED, size, more=size[1])


def _all_round(
    f: Array, width: float, depth: float, size: tuple[float, float], *, more: float = 0.0
) -> Array:
    positive("size", size)
    length = 2 * sum(size) + more
    return openings.slit(f, width=width, depth=depth, length=length) * width * length / (size[0] * size[1])


def in_series(elements: Sequence[Array], *, losses: Sequence[Array]) -> Array:
    """tau (...) of elements one behind another with a diffuse field between each two.

    Parameters
    ----------
    elements : transmission coefficient of each, arrays that broadcast.
    losses : absorption area of each cavity between two, over the same area; one fewer.

    Raises
    ------
    ValueError
        A coefficient or absorption below 0, or not one cavity between each two.

    Notes
    -----
    Balance of power in every cavity; the same both ways. Two walls: t1 t2/(a + t1 + t2). Above 1 nothing is
    refused: near its resonance a joint draws more than what falls on it.
    """
    for element in elements:
        at_least_zero("elements", element, "")
    for loss in losses:
        at_least_zero("losses", loss, "")
    into = through = np.asarray(elements[-1], float)
    for element, loss in zip(elements[-2::-1], losses[::-1], strict=True):
        behind = into + loss
        share = element / (element + behind)
        into, through = share * behind, share * through
    return through


def past_panes(panes: Sequence[Array], *, joints: Sequence[Array], losses: Sequence[Array]) -> Array:
    """tau (...) of sound that takes at least one joint.

    Parameters
    ----------
    panes : tau of each frame's panes by themselves, re one area. joints : of the joint beside each. losses :
    as in `in_series`.

    Raises
    ------
    ValueError
        As in `in_series`.

    Notes
    -----
    `in_series` of panes with their joints less `in_series` of the panes, at least 0.
    """
    leaky = [pane + joint for pane, joint in zip(panes, joints, strict=True)]
    return np.maximum(in_series(leaky, losses=losses) - in_series(panes, losses=losses), 0.0)
