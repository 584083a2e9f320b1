"""A room within a room: what its linings, mounts and contacts leave of the sound that the house carries.

Sound reaches the inner room through each side, an outer construction with a gap and an inner leaf that
touch nowhere (`physics.transmission` with flanking left out), and by the house: walls, floor and ceiling
round the room move, radiate into the gap behind the inner leaf, and drive the inner room wherever it stands
on them, hangs from them or touches them. ISO 12354-1 knows the first step, a lining on a flanking element;
the second is an estimate of our own with that standard's plates and junctions, by energy.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from isolate import bands
from isolate.bands import Array
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.houses import Plate
from isolate.describe.materials import material
from isolate.describe.openings import Vent
from isolate.physics import bridges, coupled, flanking_junctions, leakage, resonances
from isolate.physics.checks import above_zero, zero_or_more
from isolate.physics.coupled import Member
from isolate.physics.kept import stored
from isolate.physics.leaves import critical_frequency
from isolate.physics.links import Link, Tie
from isolate.physics.stack import Pick, build, typical
from isolate.physics.transmission import transmission, untied

HOUSE = ("floor", "ceiling", "walls")
CAVITY_ABSORPTION = {True: 0.5, False: 0.1}  # of the faces of a gap, with wool or bare (common practice)
LIMP_HZ = 1e6  # critical frequency of a leaf without stiffness
HEAVY_DENSITY = 2000.0  # kg/m3, from which a heavy plate is taken as concrete, else as brick


@dataclass(frozen=True)
class Contact:
    """Where the inner room touches: part `base` drives part `part`, each "floor", "ceiling" or "walls" of the
    house or, with "inner " in front, of the inner room.

    Along `length` [m] with a junction of `k_db` more than a rigid one of its kind; or at `count` points by
    `link`; or all over, `factor` (F,) of the base's mean square velocity passing on.
    """

    name: str
    base: str
    part: str
    length: float = 0.0
    k_db: Array | float = 0.0
    count: float = 0.0
    link: Link | None = None
    factor: Array | None = None


def leaf_member(leaves: Sequence[Leaf], *, size: tuple[float, float], loss: float) -> Member:
    """Leaves of the inner room as one member.

    Parameters
    ----------
    leaves : face to face. size : (width, height) [m]. loss : factor with joints, screws and coverings [1].
    """
    leaf = build(Construction("leaf", "leaf", "wall", tuple(leaves)), size=size).leaves[0]
    assert leaf is not None
    mass = float(np.mean(leaf.mass))
    critical = min(float(np.mean(critical_frequency(leaf))), LIMP_HZ)
    light = not any(layer.material.masonry for layer in leaves)
    return Member(mass, mass, critical, np.full(bands.N_BANDS, loss), size, light)


def base_of(plate: Plate, kind: str) -> Construction:
    """A plate of a usual house as a construction, for its lining to be computed on.

    Parameters
    ----------
    plate : its mass [kg/m2], density [kg/m3] and longitudinal speed [m/s]. kind : of the construction.

    Notes
    -----
    E = rho cL^2 (1 - nu^2) of a plate.
    """
    mass = plate.mass.typical
    name = "gypsum board" if plate.light else "brick" if plate.density < HEAVY_DENSITY else "concrete"
    modulus = plate.density * plate.longitudinal**2 * (1.0 - material(name).poisson ** 2)
    leaf = Leaf(
        material(name), mass / plate.density, density=plate.density, youngs_modulus=modulus,
        loss_factor=min(plate.loss, 1.0),
    )  # fmt: skip
    return Construction(plate.name, plate.name, kind, (leaf,))


@dataclass(frozen=True)
class Lined:
    """A base with an inner leaf behind a gap, `whole`; tau (27,) of the base, `bare`, and of both, `free`."""

    whole: Construction
    bare: Array
    free: Array
    size: tuple[float, float]

    def gain(self, ties: Sequence[Tie] = (), pick: Pick = typical) -> Array:
        """What the leaf takes off what the base radiates into the room [dB] (27,), with `ties` across."""
        tied = self.free + crossed(self.whole, free=self.free, size=self.size, ties=ties, pick=pick)
        return np.asarray(10 * np.log10(self.bare / np.clip(tied, 1e-30, 1.0)))


def lined(
    base: Construction, layers: Sequence[Cavity | Leaf], *, size: tuple[float, float], pick: Pick = typical
) -> Lined:
    """A base with layers before it, nothing touching.

    Parameters
    ----------
    base : what stands there. layers : from it inwards. size : (width, height) [m]. pick : of each material's
    value.
    """
    whole = replace(base, layers=(*base.layers, *layers), measured=None)
    bare, free = (
        10 ** (-transmission(one, size=size, pick=pick, round_about=False).tl_db / 10)
        for one in (replace(base, measured=None), whole)
    )
    return Lined(whole, bare, free, size)


def crossed(
    whole: Construction,
    *,
    free: Array,
    size: tuple[float, float],
    ties: Sequence[Tie],
    pick: Pick = typical,
) -> Array:
    """What `ties` across the gap of outer construction and inner leaf add to its tau, (..., 27).

    Parameters
    ----------
    whole : both with the gap between. free : tau (27,) without ties. size : (width, height) [m]. ties :
    across its last gap. pick : of each material's value.

    Notes
    -----
    Points far apart in wavelengths multiply `free` as they do the pair of leaves about the gap (`framing`);
    springs (mounts) move its resonance, and add less than nothing where that helps.
    """
    if not ties:
        return np.zeros(bands.N_BANDS)
    return _crossed(whole.unnamed, free, size, tuple(ties), pick)


@stored(np.ndarray)
def _crossed(
    whole: Construction, free: Array, size: tuple[float, float], ties: Sequence[Tie], pick: Pick
) -> Array:
    gap = sum(isinstance(layer, Cavity) for layer in whole.layers) - 1
    total: Array = np.zeros(bands.N_BANDS)
    springs = [tie for tie in ties if tie.pattern == "springs"]
    points = [tie for tie in ties if tie.pattern != "springs"]
    if springs:
        loose, *sprung = (
            10
            ** (-transmission(whole, size=size, pick=pick, round_about=False, lean=True, ties=of).tl_db / 10)
            for of in ({}, *({gap: tie} for tie in springs))
        )
        total = total + sum(free * (one / loose - 1.0) for one in sprung)
    if points:
        pair = build(whole, size=size, pick=pick).alone(gap)
        alone = untied(pair)
        for tie in points:
            total = total + free * bridges.passed(pair, tie) / alone
    return np.asarray(total)


def gap_resonance(whole: Construction, *, size: tuple[float, float]) -> float:
    """Resonance [Hz] of the two leaves about the last gap, on its air.

    Parameters
    ----------
    whole : outer construction, gap and inner leaf. size : (width, height) [m].

    Notes
    -----
    sqrt(s (1/m1 + 1/m2))/(2 pi), s of `resonances.springs`.
    """
    stack = build(whole, size=size)
    return resonances.cavities(stack.alone(len(stack.cavities) - 1))[0]


def corner(f: Array, one: Member, other: Member) -> Array:
    """Vibration reduction index [dB] round the corner between two plates that meet."""
    both = {one.light, other.light}
    kind = "rigid tee" if both == {False} else "light coupled" if both == {True} else "light on heavy"
    light, heavy = sorted((one, other), key=lambda plate: plate.whole)
    return flanking_junctions.reduction(kind, f, mass=light.whole, across=heavy.whole).corner


def _across(f: Array, contact: Contact, one: Member, other: Member) -> Array:
    """Mean square velocity of the part over that of the base."""
    if contact.factor is not None:
        return contact.factor
    if contact.link is not None:
        return coupled.at_points(f, one, other, count=contact.count, link=contact.link)
    k = corner(f, one, other) + contact.k_db
    return coupled.along_line(f, one, other, k=k, length=contact.length)


def radiated(
    f: Array,
    *,
    arrival: str,
    source: Member,
    plates: Mapping[str, Member],
    contacts: Sequence[Contact],
    perimeter: float,
) -> dict[str, Array]:
    """Power that the inner room radiates by each contact, over that of the bare element that moves, (F,).

    arrival : which of `HOUSE` moves; `source` is its plate (that of a usual house may differ from the room's
        own). plates : of the house and of the inner room, by name. perimeter [m] of the room, along which
        walls meet floor and ceiling.

    Notes
    -----
    The other parts of the house move with it across their corners; contacts pass it on to parts of the inner
    room, and among those in the order they are listed: floor to walls, walls to ceiling.
    """
    members = {**plates, arrival: source}
    house = {arrival: np.ones_like(f)}
    for name in HOUSE:
        if name != arrival and "walls" in (name, arrival):
            k = corner(f, source, members[name])
            house[name] = coupled.along_line(f, source, members[name], k=k, length=perimeter)
    bare = source.radiates(f)
    found: dict[str, Array] = {}
    moving: dict[tuple[str, str], Array] = {}
    for contact in contacts:
        other = members[contact.part]
        outside = contact.base in HOUSE
        if outside:
            came = {contact.name: house.get(contact.base, np.zeros_like(f))}
        else:
            came = {name: v for (name, part), v in moving.items() if part == contact.base}
        factor = _across(f, contact, members[contact.base], other) if came else np.zeros_like(f)
        for name, velocity in came.items():
            driven = velocity * factor
            moving[name, contact.part] = moving.get((name, contact.part), 0.0) + driven
            found[name] = found.get(name, np.zeros_like(f)) + driven * other.radiates(f) / bare
    return found


@above_zero(area="m2")
@zero_or_more(leak_area="m2", leaf="1")
def behind_leaf(leak_area: Array, leaf: Array, *, area: float, filled: bool) -> Array:
    """tau S [m2] of an outer leak that opens into the gap before the inner leaf, its sound spread in there.

    Parameters
    ----------
    leak_area : tau S of the leak [m2]. leaf : transmission coefficient of the inner leaf [1]. area : of both
    [m2]. filled : whether the gap holds wool.

    Raises
    ------
    ValueError
        An area that is not above 0, a leak or coefficient below.

    Notes
    -----
    Balance of power in the gap: of the leak goes on t S/(2 alpha S + t S), t of the leaf, alpha of
    `CAVITY_ABSORPTION`.
    """
    absorption = 2.0 * area * CAVITY_ABSORPTION[filled]
    passed = leaf * area
    return np.asarray(leak_area * passed / (absorption + passed))


def through_both(outer: Vent, inner: Vent) -> Array:
    """tau S [m2] (27,) of a vent through both shells.

    Parameters
    ----------
    outer, inner : what each shell has.

    Notes
    -----
    One duct as long as both, attenuations added (`leakage.through_duct`); a tested one by its test.
    """
    more = leakage.attenuation(inner)
    if outer.tested or outer.area is None:
        return leakage.vent(outer) * 10 ** (-more / 10)
    area = min(outer.area, inner.area or outer.area)
    tau = leakage.through_duct(area, outer.length + inner.length, leakage.attenuation(outer) + more)
    return outer.count * area * tau
