"""Materials: what a leaf or a filling is made of, with ranges and a source for each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Range:
    """A value that varies: low and high enclose about 90 % of what is sold; SI units."""

    low: float
    typical: float
    high: float


@dataclass(frozen=True)
class Material:
    """One row of `constructions/materials.toml`.

    family: "plate" (bends), "laminate" (two equal glass plies on an interlayer), "limp" (no stiffness)
        or "porous".
    density [kg/m3]; youngs_modulus [Pa] (plates; the ply's for laminates); poisson; loss_factor (internal).
    interlayer: "standard" or "acoustic" (laminates); interlayer_thickness [m].
    flow_resistivity [Pa s/m2] (porous); porosity (porous).
    masonry: heavy monolithic material to which the boundary losses of walls and slabs apply.
    """

    name: str
    family: str
    density: Range
    source: str
    basis: str
    youngs_modulus: Range | None = None
    poisson: float = 0.2
    loss_factor: Range | None = None
    interlayer: str | None = None
    interlayer_thickness: float = 0.0
    flow_resistivity: Range | None = None
    porosity: float = 1.0
    masonry: bool = False
