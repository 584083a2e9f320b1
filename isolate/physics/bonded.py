"""Layers glued face to face: they bend as one plate as far as their bond and their own shear let them.

Each layer bends by itself as a thick plate and stretches in its own plane. Two neighbours are joined
centre to centre by the shear of their facing halves; the stretch that costs the least energy under a
bending wave gives what the bond adds. With stiff layers this is the parallel-axis theorem, with a soft
core between two skins the sandwich of Kerwin and of Mead and Markus, with nothing between, plain slip.

References: E. M. Kerwin, J. Acoust. Soc. Am. 31 (1959) 952; D. J. Mead, S. Markus, J. Sound Vib. 10 (1969)
163, for the sandwich at a given wavenumber.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from isolate.bands import Array
from isolate.physics.layers import Complex
from isolate.physics.leaves import Pack, Plate


def coupling(
    trace: Array, *, stretch: Sequence[Complex], compliance: Sequence[Complex], thickness: Sequence[Complex]
) -> Complex:
    """Bending stiffness [N m] that bonding adds to layers at wavenumber `trace` [1/m].

    stretch: E'h of each layer [N/m]; compliance: h/(2G) of half of each [m3/N]; thickness h [m]. Layers are
    eliminated one after the other, each a spring E'h k^2 on its stretch, the joints springs between.
    """
    k2, last = np.square(trace), len(stretch) - 1
    stiff, offset, added = stretch[0], 0.0, 0.0  # stiffness over k^2
    for i in range(1, len(stretch)):
        slip = k2 * (stiff * (compliance[i - 1] + compliance[i]))
        slip += 1.0
        both = stretch[i] * slip + stiff
        share = stiff / both
        offset = offset + (thickness[i - 1] + thickness[i]) / 2.0
        added = share * (stretch[i] * np.square(offset)) + added
        if i < last:
            stiff, offset = both / slip, offset * share
    return added


@dataclass(frozen=True)
class Bonded(Pack):
    """Plates glued to each other, in order."""

    def towards(self, angle: float) -> Bonded:
        """Each layer as a wave at `angle` [rad] to the stiff direction meets it."""
        return Bonded(tuple(p.towards(angle) for p in self.plates))

    @property
    def layers(self) -> tuple[Plate, ...]:
        """The layers that carry in-plane force; limp ones only weigh."""
        return tuple(p for p in self.plates if isinstance(p, Plate))

    def added(self, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Complex bending stiffness [N m] the bonds add at wavenumber `trace` [1/m]."""
        layers = self.layers
        lossy = [p.modulus * (1.0 + 1j * (p.loss + extra_loss)) for p in layers]
        depth = [p.thickness * p.count for p in layers]
        shear = [e * (1.0 - p.poisson) / 2.0 for e, p in zip(lossy, layers, strict=True)]
        return coupling(
            trace,
            stretch=[e * h for e, h in zip(lossy, depth, strict=True)],
            compliance=[h / (2.0 * g) for h, g in zip(depth, shear, strict=True)],
            thickness=depth,
        )

    @cached_property
    def bending(self) -> Array | float:
        """Bending stiffness per width [N m] of long waves."""
        return super().bending + np.real(self.added(np.asarray(1e-3)))

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Separation impedance [Pa s/m]: of the layers by themselves, and of their bonds."""
        bond = self.added(trace, extra_loss) * np.square(np.square(trace))
        return super().impedance(f, trace, extra_loss) + bond * (1 / (2j * np.pi * f))
