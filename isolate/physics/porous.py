"""Porous materials as equivalent fluids: density and wavenumber from flow resistivity.

Time convention e^{+jwt}: a wave e^{-jkx} that travels towards +x decays, so Im k < 0. Density and
wavenumber are those seen from outside the material (divided by its porosity where that matters): the
characteristic impedance is w rho_eff / k, and volume velocity and pressure are continuous across faces.

The model is that of Johnson, Champoux and Allard, right in both limits, so good from 25 Hz up.

References
----------
D. L. Johnson, J. Koplik, R. Dashen, J. Fluid Mech. 176 (1987) 379; Y. Champoux, J.-F. Allard,
J. Appl. Phys. 70 (1991) 1975; the two lengths for fibres: J.-F. Allard, Y. Champoux, JASA 91 (1992) 3346.
R. Panneton, JASA 122 (2007) EL217: limp frame.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.physics import air
from isolate.physics.checks import above_zero
from isolate.physics.layers import Complex


class Fluid(NamedTuple):
    """Effective density [kg/m3] and wavenumber [rad/m], complex and of one shape."""

    density: Complex
    wavenumber: Complex


def _rigid(f: Array | float, sigma: Array | float, porosity: Array | float) -> Fluid:
    """Johnson, Champoux and Allard with the lengths of fibres, the frame at rest.

    Tortuosity 1, viscous length (8 eta / (sigma porosity))**0.5 and thermal length twice that: with
    these the model is Allard and Champoux's (1992) for fibres, within 1 %. At low frequency the density
    goes to sigma/(jw) and the compression to isothermal; at high frequency to air's, adiabatic.
    f [Hz], sigma [Pa s/m2], porosity [1].
    """
    w = 2 * np.pi * f
    length2 = 8 * air.VISCOSITY / (sigma * porosity)  # viscous length squared; the thermal one is 4 times it
    viscous = np.sqrt(1 + 4j * air.VISCOSITY * air.DENSITY * w / (sigma**2 * length2 * porosity**2))
    density = (air.DENSITY + sigma * porosity / (1j * w) * viscous) / porosity
    y = air.DENSITY * w * air.PRANDTL * 4 * length2 / (16 * air.VISCOSITY)
    heat = 1 + np.sqrt(1 + 1j * y) / (2j * y)
    gamma = air.HEAT_RATIO
    modulus = gamma * air.PRESSURE / (gamma - (gamma - 1) / heat) / porosity
    k = w * np.sqrt(density / modulus)
    return Fluid(density, np.where(k.imag > 0, -k, k))


@above_zero(f="Hz", flow_resistivity="Pa s/m2", porosity="1", frame_density="kg/m3")
def equivalent_fluid(
    f: Array | float,
    *,
    flow_resistivity: Array | float,
    porosity: Array | float = 1.0,
    frame_density: Array | float | None = None,
) -> Fluid:
    """Effective density and wavenumber of a porous material; Im k < 0.

    Parameters
    ----------
    f : (..., n) [Hz], above 0.
    flow_resistivity : static air-flow resistivity [Pa s/m2], above 0; (draws, 1, 1) and the like broadcast.
    porosity : share of air in the volume, in (0, 1].
    frame_density : bulk density of the frame [kg/m3]. When given the frame is limp and dragged along:
        a light fibre mat moves with the air below about flow_resistivity / (2 pi frame_density).

    Returns
    -------
    Fluid (density, wavenumber), complex, of the broadcast shape.

    Notes
    -----
    Limp frame (Panneton 2007, eq. 20): with M = frame_density + porosity rho0 and rho the
    rigid-frame density, rho_limp = (rho M - rho0^2) / (rho + M - 2 rho0); the compression
    stays that of the rigid frame.
    Elastic waves of the frame itself are left out: they matter in foams glued between stiff leaves.
    """
    if not np.all(np.less_equal(porosity, 1.0)):
        raise ValueError(f"porosity: must be above 0 and at most 1 (got {porosity})")
    fluid = _rigid(f, flow_resistivity, porosity)
    return fluid if frame_density is None else _limp(fluid, frame_density, porosity)


def _limp(fluid: Fluid, frame_density: Array | float, porosity: Array | float) -> Fluid:
    rigid, total = fluid.density, frame_density + porosity * air.DENSITY
    density = (rigid * total - air.DENSITY**2) / (rigid + total - 2 * air.DENSITY)
    k = fluid.wavenumber * np.sqrt(density / rigid)
    return Fluid(density, np.where(k.imag > 0, -k, k))

