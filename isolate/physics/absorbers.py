"""Absorbers people hang up, by name: what goes in is what a tape measure and a label say.

Porous layers come from a described material; where its range is given the typical value is taken. The
skins and piles here vary from shop to shop and are "common practice, no source" unless one is named.
"""

from __future__ import annotations

from isolate.describe.materials import Material
from isolate.physics.absorption import Absorber, AirGap, Layer, Skin, Wool, across_corner, folded, on_wall
from isolate.physics.checks import above_zero, zero_or_more

FABRIC = Skin(surface_mass=0.25, flow_resistance=30.0)  # open cloth one can blow through
PANEL = (0.6, 1.2)  # [m], the usual piece of board
CARPET_RESISTIVITY, CARPET_POROSITY = 1e5, 0.9  # of a dense pile [Pa s/m2]
UNDERLAY_RESISTIVITY = 2e4  # of open foam or felt under it [Pa s/m2]
CURTAIN_RESISTANCE = 500.0  # Pa s/m through velour or heavy cotton

Size = tuple[float, float] | None


@above_zero(thickness="m")
def wool_of(material: Material, *, thickness: float) -> Wool:
    """A layer of a porous material.

    Parameters
    ----------
    material : a described one. thickness : [m].

    Raises
    ------
    ValueError
        A thickness that is not above 0, a material that is not porous.
    """
    if material.flow_resistivity is None:
        raise ValueError(f"material: {material.name} is not porous; a wool, board or foam is needed")
    return Wool(thickness, material.flow_resistivity.typical, material.porosity)


def _behind(gap: float) -> tuple[Layer, ...]:
    return (AirGap(gap),) if gap > 0 else ()


@above_zero(thickness="m", size="m")
@zero_or_more(gap="m")
def board(material: Material, *, thickness: float, gap: float = 0.0, size: Size = PANEL) -> Absorber:
    """A porous board behind fabric. Foam is a board of foam; of wedges and pyramids take the mean thickness.

    Parameters
    ----------
    material : porous. thickness : [m]. gap : to the wall [m]. size : (width, height) [m] of a piece, None: no
    end.

    Raises
    ------
    ValueError
        A size not above 0 or a gap below, a material that is not porous.

    Notes
    -----
    Layers on a rigid wall: equations, limits and references at the head of `absorption`.
    """
    return on_wall(FABRIC, wool_of(material, thickness=thickness), *_behind(gap), size=size)


@above_zero(thickness="m", size="m")
def corner_board(material: Material, *, thickness: float, size: tuple[float, float] = PANEL) -> Absorber:
    """A porous board behind fabric, across an edge of the room at 45 degrees.

    Parameters
    ----------
    material : porous. thickness : [m]. size : (width, height) [m] of a piece; the width spans the edge.

    Raises
    ------
    ValueError
        A size not above 0, a material that is not porous.

    Notes
    -----
    As in `absorption.across_corner`; below 100 Hz nobody has measured it.
    """
    return across_corner(FABRIC, wool_of(material, thickness=thickness), size=size)


@above_zero(surface_mass="kg/m2", flow_resistance="Pa s/m", fullness="1", size="m")
@zero_or_more(gap="m")
def curtain(
    *,
    surface_mass: float,
    flow_resistance: float = CURTAIN_RESISTANCE,
    gap: float = 0.1,
    fullness: float = 1.0,
    size: Size = None,
) -> Absorber:
    """A curtain of cloth before a wall.

    Parameters
    ----------
    surface_mass : [kg/m2]. flow_resistance : [Pa s/m]. gap : mean distance to the wall [m]; folds reach from
    half to one and a half times it. fullness : cloth over covered width [1]. size : (width, height) [m],
    None: no end.

    Raises
    ------
    ValueError
        A quantity not above 0, a gap below.

    Notes
    -----
    Admittances over the folds average (`absorption.folded`): folds finer than a wavelength.
    """
    skin = Skin(surface_mass * fullness, flow_resistance)
    return folded(skin, gap=(0.5 * gap, 1.5 * gap), size=size)


@above_zero(pile="m", size="m")
@zero_or_more(underlay="m")
def carpet(*, pile: float, underlay: float = 0.0, size: Size = None) -> Absorber:
    """A carpet on a hard floor.

    Parameters
    ----------
    pile, underlay : thickness [m] of pile and of felt or open foam under it. size : (width, height) [m],
    None: no end.

    Raises
    ------
    ValueError
        A pile or size not above 0, an underlay below.

    Notes
    -----
    Two porous layers on a rigid wall, see the head of `absorption`.
    """
    layers: list[Layer] = [Wool(pile, CARPET_RESISTIVITY, CARPET_POROSITY)]
    if underlay > 0:
        layers.append(Wool(underlay, UNDERLAY_RESISTIVITY, 0.95))
    return on_wall(*layers, size=size)


@above_zero(surface_mass="kg/m2", depth="m", size="m")
@zero_or_more(fill="m")
def membrane(
    material: Material, *, surface_mass: float, depth: float, fill: float, size: Size = PANEL
) -> Absorber:
    """An airtight limp sheet over a box with wool at its back.

    Parameters
    ----------
    material : porous. surface_mass : of the sheet [kg/m2]. depth : of the box [m]. fill : of wool in it [m].
    size : (width, height) [m] of a piece, None: no end.

    Raises
    ------
    ValueError
        A quantity not above 0, a fill below, a material that is not porous.

    Notes
    -----
    Tuned near 60/sqrt(surface_mass depth) Hz; the sheet's own bending is left out.
    """
    gap = depth - fill
    return on_wall(Skin(surface_mass), *_behind(gap), wool_of(material, thickness=fill), size=size)
