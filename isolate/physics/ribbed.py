"""A deck on joists: a plate with ribs at equal distances, as a wave on it meets them.

Ribs weigh on the deck and stiffen it along themselves, so that sound in some direction is as fast as the
waves of the deck with its joists from about 100 Hz up, where the boards alone would be limp. Between them the
deck still moves as a plate does.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from isolate.bands import Array
from isolate.physics import studs
from isolate.physics.layers import Complex
from isolate.physics.leaves import SHEAR_FACTOR, Pack
from isolate.physics.ports import STUD_FACE, WOOD_DENSITY, WOOD_SHEAR, WOOD_YOUNG

SPACING = 0.4064  # m, centre to centre (common practice, no source)
LOSS = 0.05  # of a joist with its nails, bridging and bearings
HARMONICS = 3  # on either side: a deck's own waves between joists up to a few kHz


@dataclass(frozen=True)
class Ribbed(Pack):
    """Boards on joists of softwood, `depth` [m] deep, 38 mm wide, `SPACING` apart.

    angle [rad] between the joists and the way a wave runs along the deck, None while it is not known. Mass,
    bending and loss are the deck's own, which ties and short waves meet.
    """

    depth: float = 0.2
    angle: Array | float | None = None

    def __post_init__(self) -> None:
        if not self.depth > 0:
            raise ValueError(f"depth: must be above 0 (got {self.depth})")

    @property
    def ratio(self) -> float:
        """Other than 1 while it is not alike in all directions."""
        return 2.0 if self.angle is None else 1.0

    def towards(self, angle: Array | float) -> Ribbed:
        """Itself as a wave at `angle` [rad] to the joists meets it."""
        return Ribbed(super().towards(angle).plates, self.depth, angle)

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Separation impedance [Pa s/m] of deck and joists for the wave that sound forces on it.

        Notes
        -----
        z(k) + 1/(b/Z + sum over n not 0 of 1/z(k + 2 pi n/b)): the joists, of line impedance Z, answer the
        velocity of the deck at their lines, which the wave and its side waves make together.
        References: M. L. Rumerman, J. Acoust. Soc. Am. 57 (1975) 370; B. R. Mace, J. Sound Vib. 73 (1980) 473
        (both from memory), without the air's load on side waves.
        """
        angle = 0.0 if self.angle is None else self.angle
        along, across = trace * np.cos(angle), trace * np.sin(angle)
        lossy, area = 1 + 1j * LOSS, STUD_FACE * self.depth
        joist = studs.beam(
            f,
            along,
            bending=WOOD_YOUNG * lossy * area * self.depth**2 / 12,
            shear=SHEAR_FACTOR * WOOD_SHEAR * lossy * area,
            mass=WOOD_DENSITY * area,
        )
        gives = SPACING / joist
        for n in range(1, HARMONICS + 1):
            for shift in (-n, n):
                side = np.hypot(along, across + shift * 2 * np.pi / SPACING)
                gives = gives + 1 / super().impedance(f, side, extra_loss)
        return super().impedance(f, trace, extra_loss) + 1 / gives
