"""How the transmission loss of a construction answers to what is not known of it: materials, workmanship.

A range is low, typical, high, the outer two at 5 % and 95 %. Each quantity is moved to both ends with all
others typical; in between, a parabola through the three in units of a standard deviation, beyond it straight
on. Quantities are taken to add up in dB. Against draws through the whole physics this is within some tenths
of a dB a band, more where a sharp coincidence moves by a band, and within 0.2 dB of a weighted level.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.materials import Range
from isolate.physics import calibrated
from isolate.physics.kept import stored
from isolate.physics.transmission import transmission

LIGHT = 0.1  # of the mass of all that touch, below which a leaf moves nothing by its own range (own choice)
LIMIT = 1.645  # standard deviations from the middle to 5 % and 95 %
# Calibrated constants that whoever builds has in hand, and what they are called.
WORKMANSHIP = {
    "wire_tie_stiffness": "wall ties",
    "strip_tie_stiffness": "wall ties",
    "sash_joint": "joint of the frame",
    "clip_stiffness": "clips",
    "channel_leg": "fixing of the channels",
    "frame_seals": "seals of the frame",
    "sliding_joint": "brushes of the sliding sashes",
    "sealed_joint": "sealant round the panes",
}
_LEAF = ("density", "youngs_modulus", "loss_factor")
_FILL = ("flow_resistivity", "density")


@dataclass(frozen=True)
class Response:
    """Change of a curve [dB] (27,) when the quantity `key` is at the low and at the high end of its range."""

    key: str
    low_db: Array
    high_db: Array

    def at(self, z: Array) -> Array:
        """Change [dB] (..., 27) at z (...) standard deviations from the typical value."""
        x = np.asarray(z, float) / LIMIT
        inner = np.clip(x, -1.0, 1.0)
        slope, bend = (self.high_db - self.low_db) / 2.0, (self.high_db + self.low_db) / 2.0
        ways = np.stack([inner, inner**2, np.maximum(x - 1.0, 0.0), np.maximum(-x - 1.0, 0.0)], axis=-1)
        return np.asarray(ways @ np.array([slope, bend, self.high_db, self.low_db]))


def ranges(construction: Construction) -> Mapping[str, Range]:
    """What varies of the materials, by the keys of `pick`; not of leaves that hardly weigh beside those they
    touch, as plaster on brick."""
    found: dict[str, Range] = {}
    for layer in _weighty(construction.layers):
        material, names = (layer.fill, _FILL) if isinstance(layer, Cavity) else (layer.material, _LEAF)
        for name in names:
            stated = getattr(material, name, None)
            fixed = getattr(layer, name, None) is not None
            if material is not None and stated is not None and not fixed and stated.low < stated.high:
                found[f"{material.name}.{name}"] = stated
    return found


def _weighty(layers: Sequence[Leaf | Cavity]) -> Iterator[Leaf | Cavity]:
    """The layers without those leaves that weigh less than `LIGHT` of all that touch."""
    for hollow, group in groupby(layers, lambda layer: isinstance(layer, Cavity)):
        pack = list(group)
        masses = [0.0 if isinstance(layer, Cavity) else _mass(layer) for layer in pack]
        for layer, mass in zip(pack, masses, strict=True):
            if hollow or mass >= LIGHT * sum(masses):
                yield layer


def _mass(leaf: Leaf) -> float:
    density = leaf.density or leaf.material.density.typical
    return leaf.sheets * (leaf.surface_mass or leaf.thickness * density)


def responses(construction: Construction, *, size: tuple[float, float]) -> tuple[Response, ...]:
    """The responses of a construction of `size` (width, height) [m]; none of a measured curve."""
    if not construction.layers:
        return ()
    with calibrated.reading() as constants:
        usual = transmission(construction, size=size, lean=True).tl_db
    return (*_of_materials(construction, size, usual), *_of_workmanship(construction, size, usual, constants))


def _of_materials(construction: Construction, size: tuple[float, float], usual: Array) -> Iterator[Response]:
    varying = ranges(construction)
    if varying:
        ends = _at_ends(construction.unnamed, size).reshape(len(varying), 2, -1) - usual
        yield from map(Response, varying, ends[:, 0], ends[:, 1])


@stored(np.ndarray)
def _at_ends(construction: Construction, size: tuple[float, float]) -> Array:
    """Transmission loss [dB] (2 n, 27), of one after the other of what varies at its low and its high end."""
    varying = ranges(construction)
    places = {key: i for i, key in enumerate(varying)}

    def pick(key: str, value: Range) -> float | Array:
        if key not in places:
            return value.typical
        moved = np.full((2 * len(varying), 1, 1), value.typical)
        at = 2 * places[key]
        moved[at], moved[at + 1] = value.low, value.high
        return moved

    moved = transmission(construction, size=size, pick=pick, lean=True).tl_db
    return np.broadcast_to(moved, (2 * len(varying), N_BANDS))  # a limp sheet asks for none of them


def _of_workmanship(
    construction: Construction, size: tuple[float, float], usual: Array, constants: set[str]
) -> Iterator[Response]:
    for name in sorted(constants & WORKMANSHIP.keys()):
        one = calibrated.CONSTANTS[name]
        if one.low is None or one.high is None:
            continue
        ends = []
        for value in (one.low, one.high):
            with calibrated.using(**{name: value}):
                ends.append(transmission(construction, size=size, lean=True).tl_db - usual)
        yield Response(name, *ends)
