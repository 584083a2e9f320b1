"""Flanking of a described room: where the other room lies, plates of constructions, what linings take off.

Seen from the described room: "near" is the end of a path in it, "far" the end in the other room. Sound goes
the same way in both directions, so one set of paths serves what comes in and what goes out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from isolate.bands import N_BANDS, THIRD_OCTAVES, Array
from isolate.describe.constructions import Cavity, Construction, Leaf, from_above
from isolate.describe.houses import Flank as HouseFlank
from isolate.describe.houses import House, Plate, Surroundings
from isolate.describe.materials import Range
from isolate.describe.room_parts import Flank, Side
from isolate.physics import flanking_defaults
from isolate.physics.transmission import transmission

ALL = "all"
OVER = ("ceiling", "floor", "roof")
NO_LINING: Array = np.zeros(N_BANDS)


@dataclass(frozen=True)
class FlankingFound:
    """Flanking between the room and one other: `paths` with their D_n,f, the `separating` element's own kind
    in words, and half a 90 % range of all together, `down_db` and `up_db` (27,)."""

    paths: tuple[flanking_defaults.FlankPath, ...]
    down_db: Array
    up_db: Array

    def lined(self, *, wall_db: Array, flanks_db: Mapping[str, Array]) -> FlankingFound:
        """With linings in the described room: `wall_db` off what the separating element radiates there,
        `flanks_db` off each flank by its name (or `ALL`)."""

        def gain(path: flanking_defaults.FlankPath) -> Array:
            if path.ends == "Fd":
                return wall_db
            return flanks_db.get(path.name, flanks_db.get(ALL, NO_LINING))

        found = tuple(replace(path, difference_db=path.difference_db + gain(path)) for path in self.paths)
        return replace(self, paths=found)


def direction(sides: Sequence[Side]) -> str:
    """ "above" (or below) where the largest of the sides that separate two rooms is a ceiling, floor or roof,
    else "beside"."""
    return "above" if largest(sides).construction.kind in OVER else "beside"


def largest(sides: Sequence[Side]) -> Side:
    """The side that separates two rooms: the largest of those between them."""
    return max(sides, key=lambda side: side.area)


def of_house(house: House, *, sides: Sequence[Side]) -> FlankingFound | None:
    """Flanking of a usual house past these sides; None where nothing flanks."""
    where = direction(sides)
    around = house.beside if where == "beside" else house.above
    if around is None:
        return None
    return _found(around, flanking_defaults.SEPARATING_AREA[where])


def of_flanks(flanks: Sequence[Flank], *, sides: Sequence[Side]) -> FlankingFound:
    """Flanking along described elements past these sides, linings in the room included."""
    wall = largest(sides)
    return _found(_around(flanks, plate(wall.construction, wall.name)), wall.area).lined(
        wall_db=NO_LINING, flanks_db={one.name: lining(one.construction) for one in flanks}
    )


def _around(flanks: Sequence[Flank], separating: Plate) -> Surroundings:
    return Surroundings(
        separating,
        tuple(
            HouseFlank(
                plate(one.construction, one.name), one.junction, one.length, one.area, one.through, one.beyond
            )
            for one in flanks
        ),
    )


@dataclass(frozen=True)
class Walls:
    """The walls a floor rests on: mean `mass` [kg/m2] of the heavy ones, None where there are none. `near`
    and `far` (27,): what those of the described room and of the other one radiate when the floor is struck,
    over what the floor alone does; None where nothing says how they meet it."""

    mass: float | None = None
    near: Array | None = None
    far: Array | None = None


def walls(
    flanks: Sequence[Flank], house: House | None, *, sides: Sequence[Side], own: Sequence[Construction]
) -> Walls:
    """The walls under or over the floor among these sides: those described as flanking, those of the usual
    house, or the room's `own`, of which the mass is all that is known."""
    mass, floor = wall_mass(flanks, house, own), largest(sides)
    above = house.above if house is not None else None
    if not (flanks or above) or direction(sides) == "beside" or not floor.construction.layers:
        return Walls(mass)
    built = floor.construction
    downward = built if from_above(built) else replace(built, layers=built.layers[::-1])
    separating = plate(downward, floor.name)
    if not flanks and above is not None and above.separating.light and not separating.light:
        return Walls(mass)  # of another house
    around = _around(flanks, separating) if flanks or above is None else replace(above, separating=separating)
    return Walls(mass, *flanking_defaults.struck(THIRD_OCTAVES, around=around, area=floor.area))


def wall_mass(flanks: Sequence[Flank], house: House | None, walls: Sequence[Construction]) -> float | None:
    """Mean mass [kg/m2] of the heavy walls that a floor rests on: of what is described as flanking, else of
    the usual house, else of the room's own walls; None where none is heavy."""
    if flanks:
        plates = [plate(one.construction, one.name) for one in flanks]
    elif house is not None and house.above is not None:
        plates = [one.plate for one in house.above.flanks]
    else:
        plates = [plate(one, one.name) for one in walls if one.layers]
    heavy = [one.mass.typical for one in plates if not one.light]
    return float(np.mean(heavy)) if heavy else None


@lru_cache(maxsize=64)
def _found(around: Surroundings, area: float) -> FlankingFound:
    paths = flanking_defaults.paths(THIRD_OCTAVES, around=around, area=area)
    return FlankingFound(paths, *flanking_defaults.spread(THIRD_OCTAVES, around=around, area=area))


def _base(construction: Construction) -> int:
    """Index of the layer that carries sound to junctions: the last masonry leaf, else the last leaf."""
    leaves = [i for i, layer in enumerate(construction.layers) if isinstance(layer, Leaf)]
    heavy = [i for i in leaves if _leaf(construction, i).material.masonry]
    return (heavy or leaves)[-1]


def _leaf(construction: Construction, index: int) -> Leaf:
    layer = construction.layers[index]
    assert isinstance(layer, Leaf)
    return layer


def plate(construction: Construction, name: str) -> Plate:
    """What a construction shows to the room it is described from, for ISO 12354-1's detailed model.

    The last masonry leaf with what touches it (plaster), or the last leaf of a light construction.
    """
    base = _base(construction)
    pack = [base]
    for step in (-1, 1):
        i = base + step
        while 0 <= i < len(construction.layers) and isinstance(construction.layers[i], Leaf):
            pack.append(i)
            i += step
    leaf = _leaf(construction, base)
    density = leaf.density or leaf.material.density.typical
    modulus = leaf.youngs_modulus or (leaf.material.youngs_modulus or Range(1e9, 1e9, 1e9)).typical
    loss = leaf.loss_factor or (leaf.material.loss_factor or Range(0.01, 0.01, 0.01)).typical
    mass = sum(_mass(_leaf(construction, i)) for i in pack)
    whole = sum(_mass(layer) for layer in construction.layers if isinstance(layer, Leaf))
    speed = np.sqrt(modulus / (density * (1.0 - leaf.material.poisson**2)))
    light = not leaf.material.masonry
    return Plate(name, _exactly(mass), _exactly(whole if light else mass), density, float(speed), loss, light)


def _exactly(value: float) -> Range:
    return Range(value, value, value)


def _mass(leaf: Leaf) -> float:
    sheet = leaf.surface_mass or leaf.thickness * (leaf.density or leaf.material.density.typical)
    return leaf.sheets * sheet


def lining(construction: Construction) -> Array:
    """What the lining on the room's side of a masonry leaf takes off [dB] (27,): with it less without.

    None on a light construction, whose nearest leaf is itself what flanks. The lining of a known make-up is
    computed as part of its construction, on this base; ISO 12354-1 takes it from a test on a heavy one.
    """
    if not construction.layers:
        return NO_LINING
    base = _base(construction)
    if not _leaf(construction, base).material.masonry:
        return NO_LINING
    end = base + 1
    while end < len(construction.layers) and not isinstance(construction.layers[end], Cavity):
        end += 1
    if end == len(construction.layers):
        return NO_LINING
    start = base
    while start and not isinstance(construction.layers[start - 1], Cavity):
        start -= 1
    whole = replace(construction, layers=construction.layers[start:], measured=None)
    bare = replace(construction, layers=construction.layers[start:end], measured=None)
    return transmission(whole, round_about=False).tl_db - transmission(bare, round_about=False).tl_db
