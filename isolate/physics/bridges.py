"""What bridges between two leaves pass in bands: means over frequencies and the ways waves go along both.

A band has many frequencies, and at each waves go another way to the stiff side of a leaf and along the studs:
coincidence, which begins sharply and moves with the stiffness that a wave meets, is found by all together.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.physics import averages, blocks, framing
from isolate.physics.framing import Waves
from isolate.physics.leaves import AnyLeaf
from isolate.physics.links import Tie
from isolate.physics.stack import Stack, typical

# Frequencies of a band: below the coincidence of leaves that are stiffer one way, and from there up. A third
# of them where only changes matter.
FEW, MANY = 48, 480
AT_ONCE = 480  # of these, or draws of them: with their angles, what stays near the processor


def passed(pair: Stack, tie: Tie) -> Array:
    """Band values of tau (..., 27) of a pair's bridges when they are far apart in wavelengths."""
    return fixed(pair, tie) if tie.contact is None else fixed(pair, tie) + lain(pair, tie)


def fixed(pair: Stack, tie: Tie, first: int = 0) -> Array:
    """Band values (..., B) of tau, from the `first` band up, where leaves are fixed: at points, or round an
    edge."""

    def points(f: Array, waves: Waves, leaf1: AnyLeaf, leaf2: AnyLeaf) -> Array:
        if tie.pattern == "edge":
            return framing.lines(f, leaf1=leaf1, leaf2=leaf2, spacing=tie.spacing, waves=waves)
        each = [
            framing.points(f, leaf1=leaf1, leaf2=leaf2, per_area=tie.per_area, link=link, waves=waves)
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

    def lines(f: Array, waves: Waves, leaf1: AnyLeaf, leaf2: AnyLeaf) -> Array:
        soft = contact(f)
        return framing.lines(f, leaf1=leaf1, leaf2=leaf2, spacing=tie.spacing, compliance=soft, waves=waves)

    return _mean(lines, pair, 0)


def _mean(of: Callable[[Array, Waves, AnyLeaf, AnyLeaf], Array], pair: Stack, first: int) -> Array:
    """Band values (..., B) of what a pair passes at each frequency, from the `first` band up, of those that
    are wanted."""
    leaf1, leaf2 = pair.leaves
    assert leaf1 is not None and leaf2 is not None
    stiff = [leaf.towards(0.0) for leaf in (leaf1, leaf2)]
    turns = [getattr(leaf, "ratio", 1.0) != 1.0 for leaf in (leaf1, leaf2)]
    uneven = [leaf for leaf, turned in zip(stiff, turns, strict=True) if turned]
    upper, found = bands.THIRD_OCTAVES * 10**0.05, []
    begin, end = max(first, pair.wanted[0]), max(first, pair.wanted[1])
    calm = min(max(int(framing.quiet(upper, *stiff).sum()), begin), end)
    even = int(framing.quiet(upper, *uneven).sum())
    step = AT_ONCE // (1 if pair.pick is typical else blocks.BLOCK)
    for some in (slice(begin, calm), *(slice(i, i + 1) for i in range(calm, end))):
        many = some.start >= even
        count = (MANY if many else FEW) // (1 if pair.finer > 1 else 3)
        f = bands.points(count).reshape(-1, count)[some].ravel()
        if not f.size:
            continue
        angles = framing.angles(f, stiff[0]), framing.angles(f, stiff[1])
        one, other = (1 if turned or not many else MANY // FEW for turned in turns)
        number = np.arange(f.size) % count
        azimuths = number * averages.IN_FREQUENCY % 1.0 * np.pi / 2
        places = framing.spread(number, 1 if many else framing.WAYS)
        tau = []
        for here in (slice(start, start + step) for start in range(0, f.size, step)):
            waves = Waves(angles, (one, other), places[:, here], azimuths[here])
            tau.append(of(f[here], waves, leaf1, leaf2))
        found.append(bands.band_mean(np.concatenate(tau, -1), count))
    solved = np.concatenate(found, -1) if found else np.empty(0)
    return averages.in_place(solved, np.arange(begin, end) - first, upper.size - first)
