"""Where a described construction meets the physics: its transmission loss in third octaves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import Material, Range
from isolate.describe.rooms import Gap
from isolate.physics import cavity as cavities
from isolate.physics import framing, interlayer, layers, leaves
from isolate.physics.air import GASES, IMPEDANCE, SPEED
from isolate.physics.finite import angles, forced_radiation
from isolate.physics.leaves import AnyLeaf, Core, Limp, Pack, Plate

Pick = Callable[[str, Range], "float | Array"]

PER_BAND = 6
ANGLES = 48
LAB_SIZE = {
    "window": (1.23, 1.48), "door": (0.9, 2.1), "wall": (3.05, 2.44), "sheet": (3.05, 2.44),
    "ceiling": (4.0, 3.0), "floor": (4.0, 3.0), "roof": (4.0, 3.0),
}  # fmt: skip


def typical(key: str, value: Range) -> float:
    """The `Pick` of a single evaluation."""
    return value.typical


@dataclass(frozen=True)
class Transmission:
    """tl_db (..., 27) [dB]; tau: the paths it adds up from, each (..., 27); surface_mass [kg/m2];
    resonances and critical frequencies [Hz]; notes on ranges and defaults."""

    tl_db: Array
    tau: dict[str, Array]
    surface_mass: float
    resonances: tuple[float, ...] = ()
    criticals: tuple[float, ...] = ()
    notes: tuple[str, ...] = field(default=())


def _plate(leaf: Leaf, pick: Pick) -> AnyLeaf:
    m: Material = leaf.material

    def value(name: str, override: float | None) -> float | Array:
        stated = getattr(m, name)
        return override if override is not None else pick(f"{m.name}.{name}", stated)

    density = value("density", leaf.density)
    if m.family == "limp":
        mass = leaf.surface_mass if leaf.surface_mass is not None else leaf.thickness * density
        return Limp(leaf.sheets * mass)
    modulus = value("youngs_modulus", leaf.youngs_modulus) / (1 - m.poisson**2)
    loss = value("loss_factor", leaf.loss_factor)
    make = partial(
        Plate, density=density, modulus=modulus, poisson=m.poisson, loss=loss, surface_mass=leaf.surface_mass
    )
    if m.family == "laminate":
        core = Core(m.interlayer_thickness, partial(interlayer.shear_modulus, grade=m.interlayer or "standard"))
        return make((leaf.thickness - m.interlayer_thickness) / 2, count=leaf.sheets, core=core)
    if leaf.bond == "glued":
        glued = make(leaf.thickness * leaf.sheets)
        return glued
    if leaf.bond == "damped" and leaf.sheets > 1:
        return make(leaf.thickness, count=leaf.sheets, loss=np.maximum(loss, 0.1))
    return make(leaf.thickness, count=leaf.sheets)


def _groups(construction: Construction, pick: Pick) -> tuple[list[AnyLeaf], list[Cavity]]:
    packs: list[list[AnyLeaf]] = [[]]
    gaps: list[Cavity] = []
    for layer in construction.layers:
        if isinstance(layer, Cavity):
            gaps.append(layer)
            packs.append([])
        else:
            packs[-1].append(_plate(layer, pick))
    return [p[0] if len(p) == 1 else Pack(tuple(p)) for p in packs], gaps


@dataclass(frozen=True)
class _Stack:
    """A construction in numbers, ready for the solver."""

    leaves: list[AnyLeaf]
    cavities: list[Cavity]
    size: tuple[float, float]
    pick: Pick

    def cavity_at(self, i: int) -> framing.CavityAt:
        c = self.cavities[i]
        perimeter, area = 2 * sum(self.size), self.size[0] * self.size[1]
        alpha = 0.5 if c.edges == "absorbent" else 0.1

        def at(f: Array, trace: Array) -> Sequence[layers.Fluid]:
            loss = cavities.edge_loss(
                f, absorption=alpha, perimeter=perimeter, area=area, speed=GASES[c.gas].speed
            )
            kw = {}
            if c.fill is not None:
                kw = {
                    "fill_depth": c.fill_depth,
                    "flow_resistivity": self.pick(f"{c.fill.name}.flow_resistivity", c.fill.flow_resistivity),
                    "porosity": c.fill.porosity,
                    "frame_density": self.pick(f"{c.fill.name}.density", c.fill.density),
                }
            return cavities.layers(f, trace, depth=c.depth, gas=c.gas, loss=loss, **kw)

        return at


def unlinked(f: Array, stack: _Stack, count: int = ANGLES) -> Array:
    """Diffuse transmission of leaves and cavities alone, tied by nothing; (..., F)."""
    cosine, weight = angles(count)
    k = 2 * np.pi * f / SPEED
    trace = k * np.sqrt(1 - cosine**2)
    parts: list[layers.Sheet | layers.Fluid] = []
    for i, leaf in enumerate(stack.leaves):
        if i:
            parts.extend(stack.cavity_at(i - 1)(f, trace))
        parts.append(layers.Sheet(leaf.impedance(f, trace, leaves.edge_loss(f, mass=leaf.mass))))
    tau = layers.transmission(parts, outer=IMPEDANCE / cosine)
    sigma = forced_radiation(cosine, wavenumber=k, width=stack.size[0], height=stack.size[1])
    return np.asarray((tau * sigma * cosine * weight).sum(-2))
