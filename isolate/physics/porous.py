"""Porous materials as equivalent fluids: density and wavenumber from flow resistivity.

Time convention e^{+jwt}: a wave e^{-jkx} that travels towards +x decays, so Im k < 0. Density and
wavenumber are those seen from outside the material (divided by its porosity where that matters): the
characteristic impedance is w rho_eff / k, and volume velocity and pressure are continuous across faces.

Three models in their own range of X = f / flow resistivity, in a plain dict, `MODELS`:

* "delany-bazley" and "miki": regressions on fibrous materials, 0.01 < X < 1. Outside it the first
  soon violates passivity when materials are layered; the second keeps Re Zc > 0 but not the isothermal limit.
* "jca" (the default): Johnson, Champoux and Allard, right in both limits, so good from 25 Hz up.

References
----------
M. E. Delany, E. N. Bazley, Applied Acoustics 3 (1970) 105 (coefficients from memory).
Y. Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19, eqs (30) to (34).
D. L. Johnson, J. Koplik, R. Dashen, J. Fluid Mech. 176 (1987) 379; Y. Champoux, J.-F. Allard,
J. Appl. Phys. 70 (1991) 1975; the two lengths for fibres: J.-F. Allard, Y. Champoux, JASA 91 (1992) 3346.
R. Panneton, JASA 122 (2007) EL217: limp frame.
"""

from __future__ import annotations

from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from isolate.bands import Array
from isolate.physics import air
from isolate.physics.checks import above_zero

Complex = NDArray[np.complex128]


class Fluid(NamedTuple):
    """Effective density [kg/m3] and wavenumber [rad/m], complex and of one shape."""

    density: Complex
    wavenumber: Complex

    def impedance(self, f: ArrayLike) -> Complex:
        """Characteristic impedance [Pa s/m] at `f` [Hz]."""
        return 2 * np.pi * np.asarray(f, float) * self.density / self.wavenumber


class _Law(Protocol):
    def __call__(self, f: Array, sigma: Array, porosity: Array) -> Fluid: ...


def delany_bazley(f: Array, sigma: Array, porosity: Array) -> Fluid:
    """Delany and Bazley's regression; porosity does not enter (it was near 1). f [Hz], sigma [Pa s/m2]."""
    x = air.DENSITY * f / sigma
    zc = air.IMPEDANCE * np.asarray(1 + 0.0571 * x**-0.754 - 0.087j * x**-0.732, complex)
    k = 2 * np.pi * f / air.SPEED * np.asarray(1 + 0.0978 * x**-0.700 - 0.189j * x**-0.595, complex)
    return Fluid(zc * k / (2 * np.pi * f), k)


def miki(f: Array, sigma: Array, porosity: Array) -> Fluid:
    """Miki's regression, which keeps the real part of the impedance positive; porosity does not enter.

    f [Hz], sigma [Pa s/m2].
    """
    x = 1e3 * f / sigma
    zc = air.IMPEDANCE * np.asarray(1 + 5.50 * x**-0.632 - 8.43j * x**-0.632, complex)
    k = 2 * np.pi * f / air.SPEED * np.asarray(1 + 7.81 * x**-0.618 - 11.41j * x**-0.618, complex)
    return Fluid(zc * k / (2 * np.pi * f), k)


def jca(f: Array, sigma: Array, porosity: Array) -> Fluid:
    """Johnson, Champoux and Allard with the lengths of fibres.

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


class Model(NamedTuple):
    """A law, the range of f/flow resistivity [m3/kg] where it holds and where it comes from."""

    law: _Law
    low: float
    high: float
    source: str


MODELS: dict[str, Model] = {
    "delany-bazley": Model(delany_bazley, 0.01, 1.0, "Delany and Bazley 1970 (coefficients from memory)"),
    "miki": Model(miki, 0.01, 1.0, "Miki 1990"),
    "jca": Model(jca, 0.0, np.inf, "Johnson, Champoux and Allard, lengths of Allard and Champoux 1992"),
}
DEFAULT = "jca"


def _model(name: str) -> Model:
    if name not in MODELS:
        raise ValueError(f"model: unknown (got {name!r}); known: {', '.join(MODELS)}")
    return MODELS[name]


@above_zero(f="Hz", flow_resistivity="Pa s/m2")
def in_range(f: ArrayLike, *, flow_resistivity: ArrayLike, model: str = DEFAULT) -> NDArray[np.bool_]:
    """Whether a model is used inside its stated range of f/flow resistivity, broadcast over both.

    f [Hz], flow_resistivity [Pa s/m2].
    """
    chosen = _model(model)
    x = np.asarray(f, float) / np.asarray(flow_resistivity, float)
    return np.asarray((x >= chosen.low) & (x <= chosen.high))


def equivalent_fluid(
    f: ArrayLike,
    *,
    flow_resistivity: ArrayLike,
    porosity: ArrayLike = 1.0,
    model: str = DEFAULT,
    frame_density: ArrayLike | None = None,
) -> Fluid:
    """Effective density and wavenumber of a porous material; Im k < 0.

    Parameters
    ----------
    f : (..., n) [Hz], above 0.
    flow_resistivity : static air-flow resistivity [Pa s/m2], above 0; (draws, 1, 1) and the like broadcast.
    porosity : share of air in the volume, in (0, 1].
    model : a name in `MODELS`.
    frame_density : bulk density of the frame [kg/m3]. When given the frame is limp and dragged along:
        a light fibre mat moves with the air below about flow_resistivity / (2 pi frame_density).

    Returns
    -------
    Fluid (density, wavenumber), complex, of the broadcast shape.

    Notes
    -----
    Limp frame (Panneton 2007, eq. 20): with M = frame_density + porosity rho0 and rho the
    rigid-frame density, rho_limp = (rho M - rho0^2) / (rho + M - 2 rho0); the compression
    stays that of the rigid frame. With the regressions it is not passive below their range; use "jca".
    Elastic waves of the frame itself are left out: they matter in foams glued between stiff leaves.
    """
    freq, sigma, phi = np.asarray(f, float), np.asarray(flow_resistivity, float), np.asarray(porosity, float)
    for name, value, good in (
        ("f", freq, np.all(freq > 0)),
        ("flow_resistivity", sigma, np.all(sigma > 0)),
        ("porosity", phi, np.all((phi > 0) & (phi <= 1))),
    ):
        if not good:
            limit = "above 0 and at most 1" if name == "porosity" else "above 0"
            raise ValueError(f"{name}: must be {limit} (got {value})")
    fluid = _model(model).law(freq, sigma, phi)
    return fluid if frame_density is None else _limp(fluid, np.asarray(frame_density, float), phi)


def _limp(fluid: Fluid, frame_density: Array, porosity: Array) -> Fluid:
    if not np.all(frame_density > 0):
        raise ValueError(f"frame_density: must be above 0 (got {frame_density}); None means rigid")
    rigid, total = fluid.density, frame_density + porosity * air.DENSITY
    density = (rigid * total - air.DENSITY**2) / (rigid + total - 2 * air.DENSITY)
    k = fluid.wavenumber * np.sqrt(density / rigid)
    return Fluid(density, np.where(k.imag > 0, -k, k))


def attenuation_db(
    f: ArrayLike,
    *,
    flow_resistivity: ArrayLike,
    porosity: ArrayLike = 1.0,
    model: str = DEFAULT,
    frame_density: ArrayLike | None = None,
) -> Array:
    """What a plane wave loses inside the material [dB/m]; arguments as in `equivalent_fluid`."""
    fluid = equivalent_fluid(
        f, flow_resistivity=flow_resistivity, porosity=porosity, model=model, frame_density=frame_density
    )
    return np.asarray(-20 / np.log(10) * fluid.wavenumber.imag)


# --- flow resistivity of fibres from bulk density -------------------------------------------------------


@above_zero(density="kg/m3", diameter="m")
def glass_fibre_resistivity(density: ArrayLike, *, diameter: float = 7e-6) -> Array:
    """Flow resistivity [Pa s/m2] of glass fibre of bulk `density` [kg/m3] and mean fibre `diameter` [m].

    3.18e-9 density^1.53 / diameter^2 (Bies and Hansen, Applied Acoustics 13 (1980) 357); valid for
    uniform fibres of 1 to 15 um with less than 3 % binder or so.

    >>> round(float(glass_fibre_resistivity(48)), -2)
    24200.0
    """
    return np.asarray(3.18e-9 * np.asarray(density, float) ** 1.53 / diameter**2)


@above_zero(density="kg/m3", radius="m", solid_density="kg/m3")
def fibre_resistivity(
    density: ArrayLike, *, kind: str, radius: float, solid_density: float = 2500.0
) -> Array:
    """Flow resistivity [Pa s/m2] from the share of fibre in the volume and the fibre `radius` [m].

    kind : "glass" 3.2 eta h^1.42 / a^2, "mineral" 4.4 eta h^1.59 / a^2 with h = density / solid_density
    (Cox and D'Antonio, Acoustic Absorbers and Diffusers, Table 5.1, from memory).
    """
    laws = {"glass": (3.2, 1.42), "mineral": (4.4, 1.59)}
    if kind not in laws:
        raise ValueError(f"kind: unknown (got {kind!r}); known: {', '.join(laws)}")
    factor, power = laws[kind]
    solid = np.asarray(density, float) / solid_density
    return np.asarray(factor * air.VISCOSITY * solid**power / radius**2)


@above_zero(density="kg/m3", diameter="m")
def polyester_resistivity(density: ArrayLike, *, diameter: float = 30e-6) -> Array:
    """Flow resistivity [Pa s/m2] of polyester wool of `density` [kg/m3] and fibre `diameter` [m].

    25.909e-9 density^1.404 / diameter^2 for 18 to 48 um, 15e-9 density^1.53 / diameter^2 for 6 to 18 um
    (Cox and D'Antonio, Table 5.1, from memory; there the second runs to 39 um).
    """
    rho = np.asarray(density, float)
    if diameter >= 18e-6:
        return np.asarray(25.909e-9 * rho**1.404 / diameter**2)
    return np.asarray(15e-9 * rho**1.53 / diameter**2)


@above_zero(density="kg/m3", diameter="m")
def sheep_wool_resistivity(density: ArrayLike, *, diameter: float = 27e-6) -> Array:
    """Flow resistivity [Pa s/m2] of sheep's wool, 490e-6 density^1.61 / diameter [kg/m3, m]
    (Cox and D'Antonio, Table 5.1, from memory)."""
    return np.asarray(490e-6 * np.asarray(density, float) ** 1.61 / diameter)
