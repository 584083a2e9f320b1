"""What bridges between two leaves pass in bands: means over frequencies and the ways waves go along both.

A band has many frequencies, and at each waves go another way to the stiff side of a leaf and along the studs:
coincidence, which begins sharply and moves with the stiffness that a wave meets, is found by all together.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.physics import averages, blocks, framing
from isolate.physics.leaves import AnyLeaf
from isolate.physics.links import Tie
from isolate.physics.stack import Stack, typical

# Frequencies of a band: below the coincidence of leaves that are stiffer one way, and from there up. Half of
# them where only changes matter.
FEW, MANY = 48, 480
AT_ONCE = 480  # of these, or draws of them: with their angles, what stays near the processor


class Waves(NamedTuple):
    """Frequencies [Hz] (F,), places of waves along lines of bridges (F,), as in `framing`, and how many of
    them in a row are one to a leaf that is as stiff one way as the other."""

    f: Array
    places: Array
    alike: int


def passed(pair: Stack, tie: Tie) -> Array:
    """Band values of tau (..., 27) of a pair's bridges when they are far apart in wavelengths."""
    return fixed(pair, tie) if tie.contact is None else fixed(pair, tie) + lain(pair, tie)


def fixed(pair: Stack, tie: Tie, first: int = 0) -> Array:
    """Band values (..., B) of tau, from the `first` band up, where leaves are fixed: at points, or round an
    edge."""

    def points(waves: Waves, leaf1: AnyLeaf, leaf2: AnyLeaf) -> Array:
        f, places, alike = waves
        if tie.pattern == "edge":
            return framing.lines(f, leaf1=leaf1, leaf2=leaf2, spacing=tie.spacing, places=places)
        each = [
            framing.points(
                f, leaf1=leaf1, leaf2=leaf2, per_area=tie.per_area, link=link, places=places, alike=alike
            )
            ** share
            for link, share in tie.shares
            if share
        ]
        return np.asarray(np.prod(each, axis=0))

    return _mean(points, pair, first)


def lain(pair: Stack, tie: Tie) -> Array:
    """Band values of tau (..., 27) through studs that boards lie on from screw to screw."""
    contact = tie.contact
    assert contact is not None

    def lines(waves: Waves, leaf1: AnyLeaf, leaf2: AnyLeaf) -> Array:
        f, places, _ = waves
        soft = contact(f)
        return framing.lines(
            f, leaf1=leaf1, leaf2=leaf2, spacing=tie.spacing, compliance=soft, places=places
        )

    return _mean(lines, pair, 0)


def _mean(of: Callable[[Waves, AnyLeaf, AnyLeaf], Array], pair: Stack, first: int) -> Array:
    """Band values (..., B) of what a pair passes at each frequency, from the `first` band up."""
    stiff = [leaf for leaf in pair.towards(0.0).leaves if leaf is not None]
    uneven = [
        leaf for leaf, own in zip(stiff, pair.leaves, strict=True) if getattr(own, "ratio", 1.0) != 1.0
    ]
    upper, found = bands.THIRD_OCTAVES * 10**0.05, []
    calm, even = (max(int(framing.quiet(upper, *some).sum()), first) for some in (stiff, uneven))
    for some in (slice(first, calm), *(slice(i, i + 1) for i in range(calm, upper.size))):
        count = (MANY if some.start >= even else FEW) // (1 if pair.finer > 1 else 2)
        f = bands.points(count).reshape(-1, count)[some].ravel()
        azimuths, places = np.outer([averages.IN_FREQUENCY, averages.IN_ANGLE], np.arange(f.size)) % 1.0
        step, tau = AT_ONCE // (1 if pair.pick is typical else blocks.BLOCK), []
        for start in range(0, f.size, step):
            here = slice(start, start + step)
            one, other = pair.towards(azimuths[here] * np.pi / 2).leaves
            assert one is not None and other is not None
            alike = MANY // FEW if some.start >= even else 1
            tau.append(of(Waves(f[here], places[here], alike), one, other))
        if tau:
            found.append(bands.band_mean(np.concatenate(tau, -1), count))
    return np.concatenate(found, -1)
