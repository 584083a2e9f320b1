"""Plates of a house and of a room within it: how the motion of one reaches another across lines and points.

Free bending waves with one mean square velocity per plate and band, as ISO 12354-1 takes them and
statistical energy analysis in general; the links are weak, and go both ways with the same power per mode:
no plate can be driven beyond the energy per mode of the one that drives it.

References
----------
ISO 12354-1:2017, annexes C and E (formulas from memory); L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed.
(1988), chapters 4 to 6; R. Craik, Sound Transmission through Buildings (1996) (both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.describe.houses import Plate
from isolate.physics import annex_b, flanking_junctions, framing
from isolate.physics.annex_b import C
from isolate.physics.checks import above_zero, zero_or_more
from isolate.physics.flanking_defaults import STRIP
from isolate.physics.links import Link


@dataclass(frozen=True)
class Member:
    """A plate: `mass` [kg/m2], and `whole` of the element it belongs to, critical frequency [Hz], loss factor
    `loss` (F,), `size` [m]; `light`: it is held in strips between studs or joists."""

    mass: float
    whole: float
    critical_hz: float
    loss: Array
    size: tuple[float, float]
    light: bool

    @property
    def area(self) -> float:
        """Area [m2]."""
        return self.size[0] * self.size[1]

    @property
    def mobility(self) -> float:
        """Point mobility of an endless plate [m/(N s)], 1/(8 sqrt(B m)) = pi fc/(4 m c^2)."""
        return float(np.pi * self.critical_hz / (4.0 * self.mass * C**2))

    def radiates(self, f: Array) -> Array:
        """sigma S [m2]: power radiated over rho c and the mean square velocity of free waves, (F,)."""
        size = STRIP if self.light else self.size
        return _free(np.asarray(f, float).tobytes(), self.critical_hz, size) * self.area

    def radiated_loss(self, f: Array) -> Array:
        """Loss factor by radiation to both sides, (F,); that of a heavy plate is in its `loss`."""
        if not self.light:
            return np.zeros_like(f)
        return annex_b.radiation_loss(f, mass=self.mass, sigma=self.radiates(f) / self.area)


@lru_cache(maxsize=256)
def _free(f: bytes, critical_hz: float, size: tuple[float, float]) -> Array:
    """`annex_b.free_radiation`, which the plates of a house and of a room in it ask for again and again."""
    return annex_b.free_radiation(np.frombuffer(f), critical_hz=critical_hz, size=size)


@above_zero(f="Hz", size="m")
def member(f: Array, plate: Plate, *, size: tuple[float, float]) -> Member:
    """A plate of a house or construction, at its typical mass, as a member of this size [m]."""
    mass = plate.mass.typical
    fc = annex_b.critical_frequency(longitudinal=plate.longitudinal, thickness=mass / plate.density)
    loss = np.full(f.shape, plate.loss)
    if not plate.light:
        loss = annex_b.laboratory_loss(f, mass=mass, internal=plate.loss)
    return Member(mass, plate.whole.typical, float(fc), loss, size, plate.light)


@above_zero(f="Hz", length="m")
def along_line(f: ArrayLike, one: Member, other: Member, *, k: ArrayLike, length: float) -> Array:
    """Mean square velocity of `other` over that of `one`, joined along `length` [m], (F,).

    k : vibration reduction index K_ij [dB]. The loss of one plate to the other is that of its edge,
    eta_ij = c0/(pi^2 S_i sqrt(f fc_i)) l sqrt(fc_j/1000) 10^(-K_ij/10) (ISO 12354-1 annex C); the mean of
    both directions is the standard's D_v,ij.
    """
    f = np.asarray(f, float)
    line = length * 10 ** (-np.asarray(k, float) / 10) / np.sqrt(flanking_junctions.REFERENCE_HZ)

    def lost(start: Member, end: Member) -> Array:
        return C / (np.pi**2 * start.area) * line * np.sqrt(end.critical_hz / (f * start.critical_hz))

    return _driven(f, one, other, lost(one, other), lost(other, one))


@above_zero(f="Hz")
@zero_or_more(count="1")
def at_points(f: ArrayLike, one: Member, other: Member, *, count: float, link: Link) -> Array:
    """Mean square velocity of `other` over that of `one`, joined at `count` points by `link`, (F,).

    A free velocity v drives the force v |G| through the link (`framing.through`), the power |F|^2 Re Y into
    the other plate; points are far apart in wavelengths. f (F,) [Hz].
    """
    f = np.asarray(f, float)
    w = 2 * np.pi * f
    reached = np.abs(framing.through(one.mobility, other.mobility, link(f, np.zeros_like(f)))) ** 2

    def lost(start: Member, end: Member) -> Array:
        return np.asarray(count * reached * end.mobility / (w * start.mass * start.area))

    return _driven(f, one, other, lost(one, other), lost(other, one))


def _driven(f: Array, one: Member, other: Member, forth: Array, back: Array) -> Array:
    """v_other^2/v_one^2 from the loss factors of each to the other."""
    lost = other.loss + back + other.radiated_loss(f)
    return np.asarray(one.mass * one.area * forth / (other.mass * other.area * lost))
