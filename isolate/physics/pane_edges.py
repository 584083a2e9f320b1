"""What happens to bending waves at the edge of a pane: lost in putty and gasket, or passed to the next pane.

The edge is the end of a plate without moment, on a strip (putty, gasket) that answers its velocity with
s(1 + j eta)/(j w) per metre. A wave meets it through the line impedance (1 + j) B k^3/(2 w) of a half plate
and, as there is one way in and one way out, loses the share 4 R Re(load)/|Z + load|^2 of its power. A spacer
or frame is one more spring between the edges of two panes.

References
----------
L. Cremer, M. Heckl, Structure-borne Sound, 2nd ed. (1988), chapters 4 and 6: impedance at the end of a plate;
M. J. Crocker, A. J. Price, J. Sound Vib. 9 (1969) 469: resonant transmission; R. H. Lyon, Statistical Energy
Analysis (1975): coupling along a line (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from isolate.bands import Array
from isolate.physics import annex_b
from isolate.physics.air import IMPEDANCE, SPEED
from isolate.physics.checks import at_least_zero, positive
from isolate.physics.layers import Complex
from isolate.physics.leaves import AnyLeaf, Pack, Plate

# Edges in the corner of a reveal radiate twice as much as in a flat baffle (Hopkins, Sound Insulation (2007),
# section 2.9.4, from memory); far above the reveal's own size and near coincidence they do not.
REVEALED = 2.0


def end_impedance(f: Array, *, mass: Any, critical: Any) -> Complex:
    """Line impedance [N s/m2] of the free end of a half plate.

    Parameters
    ----------
    f : (..., F) [Hz]. mass : [kg/m2]. critical : frequency [Hz].

    Raises
    ------
    ValueError
        One of them that is not above 0.

    Notes
    -----
    (1 + j) m c_B/2, c_B = c sqrt(f/fc): thin plates (Cremer and Heckl, chapter 4).
    """
    positive("f", f, "Hz"), positive("mass", mass, "kg/m2"), positive("critical", critical, "Hz")
    return 0.5 * (1 + 1j) * mass * SPEED * np.sqrt(f / critical)


def spring(f: Array, *, stiffness: Complex, loss: float) -> Complex:
    """Line impedance [N s/m2] of a strip, s(1 + j eta)/(j w).

    Parameters
    ----------
    f : (F,) [Hz]. stiffness : s [N/m2], per metre of edge. loss : its loss factor [1].

    Raises
    ------
    ValueError
        A frequency or stiffness that is not above 0, a loss below 0.
    """
    positive("f", f, "Hz"), positive("stiffness", stiffness, "N/m2"), at_least_zero("loss", loss, "")
    return stiffness * (1 + 1j * loss) / (2j * np.pi * f)


def absorbed(end: Complex, load: Complex) -> Array:
    """Share of a bending wave's power that an edge takes.

    Parameters
    ----------
    end : line impedance of the pane's end [N s/m2]. load : of what it ends on [N s/m2].

    Notes
    -----
    4 Re(end) Re(load)/|end + load|^2; see the head of the module.
    """
    return 4 * np.real(end) * np.real(load) / np.abs(end + load) ** 2


def behind(link: Complex, strip: Complex, end: Complex) -> Complex:
    """Load [N s/m2] that a link brings to an edge: in series with the other pane's end on its strip.

    Parameters
    ----------
    link, strip, end : line impedances [N s/m2].

    Notes
    -----
    l (s + e)/(l + s + e).
    """
    return link * (strip + end) / (link + strip + end)


def passed(end1: Complex, end2: Complex, *, strip: Complex, link: Complex) -> Array:
    """Share of the power of a wave on one pane that goes on in the other, across a link between the edges.

    Parameters
    ----------
    end1, end2 : line impedances E of the panes' ends [N s/m2]. strip : s of the strip under either. link : l
    between.

    Notes
    -----
    4 Re E1 Re E2 |l/((E1 + s + l)(E2 + s + l) - l^2)|^2; the same both ways. Own derivation, power balance of
    half plates (Cremer and Heckl, chapters 4 and 6).
    """
    both = (end1 + strip + link) * (end2 + strip + link) - link**2
    return 4 * np.real(end1) * np.real(end2) * np.abs(link / both) ** 2


def yielding(liner: Complex, strip: Complex, end: Complex) -> Complex:
    """What a liner that moves adds to the load [N s/m2] of a strip on it; the other pane's is on it too.

    Parameters
    ----------
    liner, strip, end : line impedances Z, s, E [N s/m2], the end that of the other pane.

    Notes
    -----
    s b/(s + b) - s with b = Z + s E/(s + E).
    """
    beyond = liner + strip * end / (strip + end)
    return strip * beyond / (strip + beyond) - strip


def carried(end1: Complex, end2: Complex, *, strip: Complex, liner: Complex) -> Array:
    """Share of the power of a wave on one pane that goes on in the other, by a liner both strips are on.

    Parameters
    ----------
    end1, end2 : line impedances E of the panes' edges [N s/m2], (..., F).
    strip : that of the strip s between edge and liner.
    liner : that of the liner Z itself, moving as one.

    Notes
    -----
    4 Re E1 Re E2 |s/(s + E1)|^2 |s/(s + E2)|^2 / |Z + s E1/(s + E1) + s E2/(s + E2)|^2; the same both ways. A
    massless liner on hard strips is a rigid link, one that cannot move none. Own derivation, power balance of
    half plates as in Cremer and Heckl, chapters 4 and 6.
    """
    given = np.abs(strip / (strip + end1) * strip / (strip + end2)) ** 2
    whole = liner + strip * end1 / (strip + end1) + strip * end2 / (strip + end2)
    return 4 * np.real(end1) * np.real(end2) * given / np.abs(whole) ** 2


@dataclass(frozen=True)
class Waves:
    """Free bending waves of a pane, arrays over frequency (..., F).

    mass [kg/m2]; critical: the critical frequency [Hz] of the stiffness at that frequency; inner: loss factor
    inside the pane; sigma: radiation efficiency; flight: loss factor if every wave left at the first edge it
    meets, c_g U/(pi w S); radiated: loss factor by radiation to both sides; modal: 0 below the first mode.
    """

    mass: Any
    critical: Array
    inner: Array
    sigma: Array
    flight: Array
    radiated: Array
    modal: Array

    def scattered(self, f: Array, trace: Array, where: NDArray[np.intp]) -> tuple[Array, Array]:
        """Loss factor of the flight and resistance [Pa s/m] that a wave forced at `trace` (..., A, n) [1/m]
        meets at the held edge, at f (n,) [Hz] next to those frequencies of the pane's.

        An edge that cannot move but turns makes of a forced velocity v free waves of v/2, which carry
        m c_B |v|^2/4 away from each metre: w m times U c_B/(2 w S), fading towards coincidence, where the
        flight of the wave itself is the loss. Own derivation from the end conditions of a half plate.
        """
        flight, held, critical = (
            x[..., where] for x in (self.flight, self.flight * self.modal, self.critical)
        )
        free2 = (2 * np.pi / SPEED) ** 2 * f * critical  # k_B^2
        rest = 1 - np.minimum(trace * trace / free2, 1.0) ** 2
        return flight, np.pi**2 / 2 * self.mass * f * held * rest

    def loss(self, taken: Array | float) -> Array:
        """Total loss factor when an edge takes the share `taken`."""
        return self.inner + self.radiated + taken * self.flight


def waves(f: Array, *, leaf: AnyLeaf, size: tuple[float, float]) -> Waves | None:
    """Free waves of a leaf; None if it is limp.

    Parameters
    ----------
    f : (F,) [Hz]. leaf : the pane. size : (width, height) [m].

    Returns
    -------
    Waves, arrays (..., F).

    Notes
    -----
    sigma is annex B's of ISO 12354-1 (Maidanik's), times `REVEALED` well below coincidence; loss of flight
    c_g U/(pi w S), of radiation 2 rho c sigma/(w m); none below the first mode.
    """
    if not np.all(np.asarray(leaf.bending) > 0):
        return None
    critical, inner = _dispersion(f, leaf)
    sigma = annex_b.free_radiation(f, critical_hz=critical, size=size)
    sigma = sigma * (1 + (REVEALED - 1) * np.maximum(1 - f / critical, 0.0))
    w, (width, height) = 2 * np.pi * f, size
    flight = 2 * SPEED * np.sqrt(f / critical) * 2 * (width + height) / (np.pi * w * width * height)
    first = SPEED**2 / (4 * critical) * (width**-2 + height**-2)
    radiated = 2 * IMPEDANCE * sigma / (w * leaf.mass)
    return Waves(leaf.mass, critical, inner, sigma, flight, radiated, 1 / (1 + (first / f) ** 4))


def _dispersion(f: Array, leaf: AnyLeaf) -> tuple[Array, Array]:
    """Critical frequency [Hz] and loss factor of the bending stiffness at the free wavenumber."""
    w = 2 * np.pi * f
    bending = np.asarray(leaf.bending, complex)
    for _ in range(4):  # a soft core makes the stiffness fall with wavenumber
        free = (w**2 * leaf.mass / np.real(bending)) ** 0.25
        bending = _stiffness(f, leaf, free)
    free = (w**2 * leaf.mass / np.real(bending)) ** 0.25
    return f * (free * SPEED / w) ** 2, np.imag(bending) / np.real(bending) * np.ones_like(f)


def _stiffness(f: Array, leaf: AnyLeaf, free: Array) -> Complex:
    if not isinstance(leaf, Pack):
        return leaf.stiffness(f, free) if isinstance(leaf, Plate) else 0.0
    glue = getattr(leaf, "added", None)  # glued layers are stiffer than each by itself
    return sum(_stiffness(f, p, free) for p in leaf.plates) + (glue(free) if glue else 0.0)


def resonant(f: Array, *, wave: Waves, taken: Array) -> Array:
    """tau (..., F) of waves that have met an edge at least once.

    Parameters
    ----------
    f : (F,) [Hz]. wave : the pane's. taken : share of a wave's power that an edge takes [1].

    Notes
    -----
    (2 rho c/(w m))^2 pi fc sigma^2/(2 f) (1/eta - 1/eta'), eta' the loss factor if none came back from an
    edge: the waves of the first flight belong to the forced field, where that loss is the plate's. After
    Crocker and Price.
    """
    first = 1 / wave.loss(taken) - 1 / wave.loss(1.0)
    return np.asarray(_coupling(f, wave) * wave.sigma**2 / wave.mass**2 * first * wave.modal)


def across(f: Array, *, wave1: Waves, wave2: Waves, taken: tuple[Array, Array], share: Array) -> Array:
    """tau (..., F) of the path field, pane, edge, pane, field.

    Parameters
    ----------
    f : (F,) [Hz]. wave1, wave2 : of the panes. taken : share of a wave's power that the edge of either takes
    [1]. share : of it that passes an edge [1].

    Notes
    -----
    (2 rho c/w)^2 pi fc1/(2 f) sigma1 sigma2 eta12/(eta1 eta2 m1 m2), eta12 = share of the flight loss, held
    to the wavenumbers both panes carry; the same both ways. Coupling along a line, after Lyon.
    """
    eta12 = share * wave1.flight * np.minimum(np.sqrt(wave2.critical / wave1.critical), 1.0)
    eta = wave1.loss(taken[0]) * wave2.loss(taken[1])
    radiated = wave1.sigma * wave2.sigma / (wave1.mass * wave2.mass) * wave1.modal * wave2.modal
    return np.asarray(_coupling(f, wave1) * radiated * eta12 / eta)


def _coupling(f: Array, wave: Waves) -> Array:
    return np.asarray((IMPEDANCE / (np.pi * f)) ** 2 * np.pi * wave.critical / (2 * f))
