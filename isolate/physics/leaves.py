"""Leaves: plates that bend, shear and lose energy, singly, in packs and with a soft interlayer.

A plate answers the pressure difference across it with the separation impedance of Mindlin's thick
plate. Sheets that slip on each other add their impedances; glued sheets act as one thick plate;
damped sheets and laminated glass are sandwiches whose core shears.

References: R. D. Mindlin, J. Appl. Mech. 18 (1951) 31; D. Ross, E. E. Ungar, E. M. Kerwin,
Structural Damping (1959) 49; D. J. Mead, S. Markus, J. Sound Vib. 10 (1969) 163 for the sandwich at a
given wavenumber.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.air import DENSITY, IMPEDANCE, SPEED, VISCOSITY
from isolate.physics.checks import above_zero
from isolate.physics.layers import Complex

SHEAR_FACTOR = 5.0 / 6.0


@dataclass(frozen=True)
class Core:
    """A soft layer between two equal plies: thickness [m] and complex shear modulus [Pa] of f."""

    thickness: Array | float
    modulus: Callable[[Array], Complex]


@dataclass(frozen=True)
class Plate:
    """One plate, or `count` equal ones that slip on each other, as one leaf.

    thickness [m] of one; density [kg/m3]; modulus = E / (1 - nu^2) [Pa]; poisson; loss factor; core: the
    plate is two plies of `thickness` on this core. surface_mass [kg/m2] overrides density * thickness.
    """

    thickness: Array | float
    density: Array | float
    modulus: Array | float
    poisson: float
    loss: Array | float
    count: int = 1
    core: Core | None = None
    surface_mass: Array | float | None = None
    ratio: float = 1.0

    def towards(self, angle: Array | float) -> Plate:
        """The plate as a wave at `angle` [rad] to its stiff direction meets it: with E along r and E across
        1/r of the mean, B = B_mean (sqrt(r) cos^2 + sin^2/sqrt(r))^2, r = sqrt(ratio) (elliptic)."""
        if self.ratio == 1.0:
            return self
        root, across = self.ratio**0.25, np.tan(angle) ** 2  # a tangent takes a tenth of a sine's time
        share = ((root + across / root) / (1.0 + across)) ** 2
        return replace(self, modulus=self.modulus * share, ratio=1.0)

    @property
    def mass(self) -> Array | float:
        """Mass per area [kg/m2] of the whole."""
        if self.surface_mass is not None:
            return self.count * self.surface_mass
        if self.core is None:
            return self.count * self.thickness * self.density
        return self.count * (2 * self.thickness * self.density + self.core.thickness * INTERLAYER_DENSITY)

    @property
    def bending(self) -> Array | float:
        """Static bending stiffness per width [N m] of the whole (plies glued, if there is a core)."""
        if self.core is None:
            return self.count * self.modulus * self.thickness**3 / 12.0
        whole = 2.0 * self.thickness + self.core.thickness
        return self.count * self.modulus * (whole**3 - self.core.thickness**3) / 12.0

    def stiffness(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Complex bending stiffness [N m] at frequency f [Hz] and wavenumber `trace` [1/m]."""
        real, imaginary = self._bending(f, trace * trace, extra_loss)
        return (real + 1j * imaginary) * (1.0 + 1j * (self.loss + extra_loss))

    def _bending(self, f: Array, k2: Array, extra_loss: Array | float) -> tuple[Array | float, Array | float]:
        """The same over 1 + j loss, in its parts: of two plies that a core shears between, and of a whole."""
        if self.core is None:
            return self.bending, 0.0
        ply, core = self.thickness, self.core.thickness
        stretch, lossy = self.count * self.modulus * ply, 1.0 + 1j * (self.loss + extra_loss)
        give = self.modulus * ply * lossy * core / (2.0 * self.core.modulus(f))
        slip, lag = 1.0 + np.real(give) * k2, np.imag(give) * k2
        apart = stretch * (ply + core) ** 2 / 2.0 / (slip * slip + lag * lag)
        return stretch * ply**2 / 6.0 + apart * slip, -apart * lag

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Separation impedance [Pa s/m]; f (F,) [Hz], trace (..., A, F) [1/m].

        Mindlin: j w m + k^2 S T / (j w (S + T)), turning T = D k^2 - w^2 I and shear S = kappa G h in series.
        """
        w, k2, loss = 2.0 * np.pi * f, trace * trace, self.loss + extra_loss
        thick = 2 * self.thickness + self.core.thickness if self.core else self.thickness
        rotary = self.mass * thick**2 / 12.0
        shear = self.count * SHEAR_FACTOR * self.modulus * (1 - self.poisson) / 2.0 * thick
        # S T/(S + T) = S x/(1 + x), x = T/S, in real numbers and in place: a complex quotient takes ten times
        # as long
        stiff, lag = self._bending(f, k2, extra_loss)
        swing = w * w * (rotary / (shear * (1.0 + loss * loss)))
        lost = loss * swing if self.core is None else loss * swing + lag / shear * k2
        shape = np.broadcast_shapes(k2.shape, *map(np.shape, (stiff, lost, self.mass)))
        out, part, lost2 = np.empty(shape, complex), np.empty(shape), lost * lost
        np.multiply(stiff / shear, k2, out=part)
        part -= swing
        whole = part + 1.0
        part *= whole
        part += lost2
        whole *= whole
        whole += lost2
        share = k2 * (shear / w) / whole
        part *= share
        share *= lost
        np.multiply(part, loss, out=whole)
        np.add(whole, share, out=out.real)
        share *= loss
        share -= part
        np.add(share, w * self.mass, out=out.imag)
        return out


@dataclass(frozen=True)
class Limp:
    """A leaf without stiffness: surface mass [kg/m2]."""

    mass: Array | float
    bending: float = 0.0
    loss: float = 0.0

    def towards(self, angle: Array | float) -> Limp:
        """Itself: alike in every direction."""
        return self

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """j w m [Pa s/m]."""
        return 2j * np.pi * f * self.mass


@dataclass(frozen=True)
class Pack:
    """Plates in contact that slip on each other: masses, stiffnesses and impedances add."""

    plates: tuple[Plate | Limp | Pack, ...]

    def towards(self, angle: Array | float) -> Pack:
        """Each plate as a wave at `angle` [rad] to the stiff direction meets it."""
        return Pack(tuple(p.towards(angle) for p in self.plates))

    @property
    def ratio(self) -> float:
        """The largest stiffness ratio among the plates."""
        return max(getattr(p, "ratio", 1.0) for p in self.plates)

    @property
    def mass(self) -> Array | float:
        """Mass per area [kg/m2]."""
        return sum(p.mass for p in self.plates)

    @property
    def bending(self) -> Array | float:
        """Bending stiffness per width [N m]."""
        return sum(p.bending for p in self.plates)

    @property
    def loss(self) -> Array | float:
        """Loss factor, weighted by stiffness."""
        return sum(p.loss * p.bending for p in self.plates) / np.maximum(self.bending, 1e-12)

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Sum of the plates' impedances [Pa s/m]."""
        return sum(p.impedance(f, trace, extra_loss) for p in self.plates)


@dataclass(frozen=True)
class Jointed(Pack):
    """Pieces laid side by side, as tiles are: air passes beside them through open joints.

    share: of the area that is open, 0 to 1; joint: way [m] of the air through one.
    """

    share: Array | float = 0.0
    joint: float = 0.0

    def towards(self, angle: Array | float) -> Jointed:
        """Itself as waves at `angle` [rad] to the stiff direction meet it."""
        return replace(self, plates=tuple(p.towards(angle) for p in self.plates))

    def impedance(self, f: Array, trace: Array, extra_loss: Array | float = 0.0) -> Complex:
        """Separation impedance [Pa s/m], the pieces beside the air in their joints.

        Air of the joints: (j w rho + 12 mu/w^2) joint/share, a plug between faces w apart (textbooks; the
        resistance is Poiseuille's).
        """
        plug = 2j * np.pi * f * DENSITY + 12 * VISCOSITY / JOINT_WIDTH**2
        pieces = super().impedance(f, trace, extra_loss)
        return np.asarray(1 / (1 / pieces + self.share / (plug * self.joint)))


JOINT_WIDTH = 2.5e-3  # m, between lapped tiles (common practice, no source): rubs little, whatever it is

AnyLeaf = Plate | Limp | Pack


def flat(value: Array | float) -> Array:
    """A leaf's value without the angle axis: draws (D, 1, 1) become (D, 1)."""
    array = np.asarray(value, float)
    return array[..., 0, :] if array.ndim > 1 else array


INTERLAYER_DENSITY = 1070.0  # kg/m3, polyvinyl butyral, handbooks (from memory)


def critical_frequency(leaf: AnyLeaf) -> Array:
    """Frequency [Hz] at which free bending waves are as fast as sound, c^2/(2 pi) sqrt(m/B); inf if limp."""
    with np.errstate(divide="ignore"):
        return np.asarray(SPEED**2 / (2 * np.pi) * np.sqrt(np.divide(leaf.mass, leaf.bending)))


@above_zero(f="Hz", surface_mass="kg/m2")
def mass_law(f: ArrayLike, *, surface_mass: ArrayLike) -> Array:
    """Field-incidence transmission loss [dB] of a limp sheet.

    Parameters
    ----------
    f : [Hz]. surface_mass : [kg/m2]; they broadcast.

    Raises
    ------
    ValueError
        One that is not above zero.

    Notes
    -----
    10 lg(1 + (pi f m / (rho c))^2 10^-0.5): the normal-incidence law less 5 dB, which is 20 lg(m f) - 47
    where it is large. Of plates well below coincidence.

    References
    ----------
    M. J. Crocker, J. P. Arenas, Engineering Acoustics (2021), chapter 12.
    """
    ratio = np.pi * np.asarray(f, float) * np.asarray(surface_mass, float) / IMPEDANCE
    return 10.0 * np.log10(1.0 + ratio**2 * 10.0**-0.5)
