"""Layers glued face to face: they bend as one plate as far as their bond and their own shear let them.

Each layer bends by itself as a thick plate and stretches in its own plane. Two neighbours are joined
centre to centre by the shear of their facing halves; the stretch that costs the least energy under a
bending wave gives what the bond adds. With stiff layers this is the parallel-axis theorem, with a soft
core between two skins the sandwich of Kerwin and of Mead and Markus, with nothing between, plain slip.
A soft core also gives across its thickness: its skins swing against each other, which stops less sound.

References: E. M. Kerwin, J. Acoust. Soc. Am. 31 (1959) 952; D. J. Mead, S. Markus, J. Sound Vib. 10 (1969)
163, for the sandwich at a given wavenumber; J. A. Moore, R. H. Lyon, J. Acoust. Soc. Am. 89 (1991) 777, for
skins that swing against each other (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from isolate.bands import Array
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.layers import Complex
from isolate.physics.leaves import Pack, Plate

GRAZING = 0.9999  # of the trace of a wave along the surface, where its impedance has no limit
SOFT = 10.0  # times a core is softer than its skins: what divides foam and paper from wood and plaster


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

    def towards(self, angle: Array | float) -> Bonded:
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

    @property
    def core(self) -> int | None:
        """Which of the plates is a core, a tenth as stiff as either skin at most; None: all are solid."""
        skins = min(float(np.mean(self.layers[i].modulus)) for i in (0, -1))
        for i, p in enumerate(self.plates):
            inside = p is not self.layers[0] and p is not self.layers[-1]
            if inside and isinstance(p, Plate) and SOFT * float(np.mean(p.modulus)) < skins:
                return i
        return None

    @property
    def skins(self) -> tuple[Plate, Plate] | None:
        """The outer two layers where a soft core lies between them."""
        return None if self.core is None else (self.layers[0], self.layers[-1])

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Separation impedance [Pa s/m]: of the layers by themselves, and of their bonds.

        On a soft core the skins a and b are two bodies: the bonds b' resist what they do together (a half
        each, less b'/4 of M), the core's stiffness S what they do apart, M = S/(j w) - b'/4. Between two
        media of impedance Z that is a + b + a b/M + Z (a + b)/M + Z^2/M, here with air on either side.
        """
        bond = self.added(trace, extra_loss) * np.square(np.square(trace)) * (1 / (2j * np.pi * f))
        which = self.core
        if which is None:
            return super().impedance(f, trace, extra_loss) + bond
        each = [p.impedance(f, trace, extra_loss) for p in self.plates]
        core = self.plates[which]
        assert isinstance(core, Plate)
        across = core.modulus * (1 - core.poisson) ** 2 / (1 - 2 * core.poisson) * (1 + 1j * core.loss)
        middle = each[which] / 2 + bond / 2
        first, last = sum(each[:which]) + middle, sum(each[which + 1 :]) + middle
        apart = across / (core.thickness * core.count) / (2j * np.pi * f) - bond / 4
        cosine2 = 1 - np.minimum(trace * SPEED / (2 * np.pi * f), GRAZING) ** 2
        air = IMPEDANCE / np.sqrt(cosine2)
        return first + last + (first + air) * (last + air) / apart
