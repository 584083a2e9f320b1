"""Where a described floor meets impact: what a force on it sends below, from its layers.

From above: a leaf that floats, the leaf that carries, a ceiling under it. What carries is told by itself
(`impact.radiated`); a ceiling takes as much of it as it takes of sound in the air, the floor with it against
the floor without it (`transmission`, boards held in strips by their joists and all, since these raise the
resonance that decides); what floats takes 30 lg(f/f0) above its resonance, and lends its mass.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.constructions import Construction, from_above
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.measured import Measured
from isolate.physics import annex_b, calibrated, floating, impact, links
from isolate.physics.air import SPEED
from isolate.physics.flanking_rooms import Walls
from isolate.physics.leaves import AnyLeaf, critical_frequency, flat
from isolate.physics.masonry import Heavy
from isolate.physics.stack import BAYED, SHALLOWEST, build
from isolate.physics.transmission import transmission
from isolate.standards import impact as standard

CARRIES = (
    "chipboard", "softwood", "plywood", "OSB", "oak", "MDF", "screed", "concrete", "brick", "steel",
    "dense concrete block", "lightweight concrete block", "aircrete block",
)  # fmt: skip
SPREADS = 0.7  # loss factor of what floats: its waves carry energy off, so that its resonance costs 5 dB
# Most that is taken off: by what floats, whose edges and workmanship are never perfect; by a ceiling below
# a slab, whose walls go on radiating 5 to 10 dB below it (from memory of handbooks: K of walls half as heavy,
# and slabs with hung ceilings).
MOST_DB, MOST_UNDER_SLAB_DB = 45.0, 8.0
MOST_HUNG_DB = 28.0  # by a ceiling where walls are counted by themselves: something touches (judgement)
# Dynamic stiffness [N/m] under the head of a hammer, m v^2/d^2 with the dent d of Hertz under a head rounded
# to 500 mm at 0.89 m/s: concrete of 30 GPa, wood of 1 GPa across its grain; boards of 0.3 GPa have 4e6.
HARD, SOFT = 1.6e8, 1e7
DECK_LOSS = 0.05  # loss factor of a deck on joists, 0.03 to 0.1 (order of magnitude, from memory)
LEAST_LOSS = 0.005
# Softwood: m wide, kg/m3, Pa (handbooks, from memory).
JOIST, JOIST_DENSITY, JOIST_MODULUS = 0.045, 450.0, 10e9
# Standard deviations (judgement): of slabs, workmanship in; of joists, for which no formula is better; of
# floors on mounts, which no published values hold.
SLAB_DB, JOISTS_DB, UNCHECKED_DB = 2.5, 5.0, 7.0
_PARTS = (0.5, *np.linspace(0.0, 1.0, 21))  # of the heavy floor, the first where nothing tells
_SLAB = 290.0  # kg/m2 of it, about 120 mm of concrete
CARRIED = 150.0  # kg/m2, the heaviest that lies on joists
F = THIRD_OCTAVES


@dataclass(frozen=True)
class Floor:
    """transfer (27,): power below per mean square force on the floor [W/N2]; mobility (27,) of its face at a
    point [m/(N s)], contact the stiffness there under something small and hard [N/m], cover that of what lies
    on it (inf: nothing does); mass [kg/m2] of what carries, heavy: a slab; floating [Hz]: the resonance of a
    leaf that floats, or None; hung: there is a ceiling under it, which takes under_db (27,) off what the
    floor alone would send, `bare` (27,) (None: transfer); checked: published values hold ones like it."""

    transfer: Array
    mobility: Array
    contact: float
    mass: float
    heavy: bool
    floating: float | None = None
    hung: bool = False
    cover: float = float("inf")
    bare: Array | None = None
    under_db: Array | None = None
    checked: bool = True

    @property
    def sigma_db(self) -> float:
        """Standard deviation of what it sends below [dB]."""
        if not self.checked:
            return UNCHECKED_DB
        return SLAB_DB if self.heavy else JOISTS_DB

    def covered(self, improvement_db: float) -> Floor:
        """With a covering of this weighted improvement dLw [dB] on it."""
        return replace(self, cover=cover_stiffness(improvement_db))

    def walls_db(self, walls: Walls, radiate: Array | None) -> Array:
        """What walls below add (27,) [dB]; nothing under joists.

        By band where it is known what they `radiate` (27,) over the floor alone (ISO 12354-2, detailed): a
        ceiling takes nothing off that. Else K of the simplified method from their mass, in every band.
        """
        if not self.heavy:
            return np.zeros(F.shape)
        if radiate is None:
            k = 0.0 if walls.mass is None else impact.flanking_term(
                floor_mass=self.mass, flank_mass=walls.mass, ceiling=self.hung
            )  # fmt: skip
            return np.full(F.shape, k)
        if self.bare is None or self.under_db is None:
            return np.asarray(10 * np.log10(1 + radiate))
        whole = self.bare * (10 ** (-np.minimum(self.under_db, MOST_HUNG_DB) / 10) + radiate)
        return np.asarray(10 * np.log10(whole / self.transfer))

    @property
    def tapped_db(self) -> Array:
        """L_n (27,) [dB] of the tapping machine."""
        f, mass = THIRD_OCTAVES, impact.HAMMER_MASS
        under = 1 / (1 / self.contact + 1 / self.cover)
        force = impact.tapping_force(f) * impact.softened(f, mass=mass, stiffness=under)
        force = force * impact.passed(impact.mass_mobility(f, mass=mass), 0.0, self.mobility)
        return impact.level(force * self.transfer)


@lru_cache(maxsize=64)
def cover_stiffness(improvement_db: float) -> float:
    """Stiffness [N/m] under a hammer's head of a covering of this improvement dLw [dB].

    The covering that takes 40 lg(f/fr) off the heavy floor (ISO 12354-2, annex C) and is rated so by ISO
    717-2: fr in the middle of those that round to it.
    """
    tried = np.geomspace(20.0, 2000.0, 400)
    rated = [int(standard.covering(np.clip(40 * np.log10(F[standard.RATED] / x), 0, MOST_DB))) for x in tried]
    near = np.abs(np.array(rated) - improvement_db)
    resonance = float(np.exp(np.mean(np.log(tried[near <= near.min() + 0.01]))))
    return float(impact.stiffness_for(mass=impact.HAMMER_MASS, resonance_hz=resonance))


def of(construction: Construction, *, size: tuple[float, float] | None = None) -> Floor:
    """The floor as it is struck from the side that is walked on.

    Parameters
    ----------
    construction : its layers. size : (width, height) [m] as built.

    Raises
    ------
    ValueError
        One without layers, of which nothing but a measurement in the air is known, or without anything stiff
        on top.

    Notes
    -----
    `impact.radiated` of what carries, less a ceiling's gain in the air, less 30 lg(f/f0) of what floats: see
    the head of the module; references at that of `impact` and `floating`.
    """
    layers = construction.layers
    if construction.stepped is not None:
        return _as_stated(construction.stepped)
    if not layers:
        raise ValueError(f"construction: {construction.name!r} has no layers to walk on; describe them")
    if not from_above(construction):
        layers = layers[::-1]
    built = replace(construction, layers=layers, measured=None)
    first = next((i for i, x in enumerate(layers) if isinstance(x, Cavity)), len(layers))
    cavity = layers[first] if first < len(layers) else None
    if isinstance(cavity, Cavity) and _floats(cavity, layers[first + 1 :]):
        base = of(replace(built, layers=layers[first + 1 :]), size=size)
        return _floating(replace(built, layers=layers[:first]), cavity, base, size)
    top = _leaf(replace(built, layers=layers[:first]), size)
    found = _slab(*top) if isinstance(top[0], Heavy) else _deck(*top, cavity)
    if isinstance(cavity, Cavity) and _joists(cavity) and found.mass < CARRIED:
        found = replace(found, heavy=False)  # concrete on a deck: no walls carry it or limit its ceiling
    return found if cavity is None else _with_ceiling(built, cavity, found, size)


def _as_stated(sheet: Measured) -> Floor:
    """A floor known by its L_n,w (or IIC) alone.

    Between the bare heavy floor and the timber floor of ISO 717-2, as the stated C_I has it, half-way where
    none is, and all bands shifted to the rating; held beyond its bands.
    """
    shapes = [part * standard.HEAVY_FLOOR + (1 - part) * standard.TIMBER_FLOOR for part in _PARTS]
    levels = [np.interp(np.log(F), np.log(F[standard.RATED]), one) for one in shapes]
    ci = sheet.ci
    off = [0.0 if ci is None else abs(float(standard.adaptation(level)) - ci) for level in levels]
    best = int(np.argmin(off))
    level, heavy = levels[best], _PARTS[best] > _PARTS[0]
    more = float(standard.iic(level)) - (sheet.iic or 0.0)
    more = more if sheet.lnw is None else sheet.lnw - float(standard.lnw(level))
    force = impact.tapping_force(F) * impact.softened(F, mass=impact.HAMMER_MASS, stiffness=HARD)
    power = impact.POWER_0 * standard.REFERENCE_AREA / 4 * 10 ** ((level + more) / 10)
    return Floor(power / force, np.zeros(F.shape), HARD, _SLAB, heavy, checked=ci is not None)


def walked_on(construction: Construction) -> bool:
    """Whether its layers are those of a floor: of that kind, or a ceiling told with the floor above it; or a
    data sheet tells of steps on it."""
    if construction.stepped is not None:
        return True
    if construction.kind not in ("floor", "ceiling") or not construction.layers:
        return False
    top = construction.layers[0 if from_above(construction) else -1]
    return isinstance(top, Leaf) and top.material.name in CARRIES


def _floats(cavity: Cavity, below: tuple[Leaf | Cavity, ...]) -> bool:
    """Whether what lies on a cavity rests on what fills it, and that on something that carries."""
    under = below[0] if below else None
    rests = cavity.framing == "mount" or (cavity.framing is None and cavity.full)
    return rests and isinstance(under, Leaf) and under.material.name in CARRIES


def _joists(cavity: Cavity) -> bool:
    """Whether it is as deep as joists, and something on them holds the ceiling."""
    return cavity.framing in BAYED and cavity.depth >= SHALLOWEST


def _leaf(
    construction: Construction, size: tuple[float, float] | None
) -> tuple[AnyLeaf, tuple[float, float]]:
    stack = build(construction, size=size)
    leaf = stack.leaves[0]
    if leaf is None or not np.all(leaf.bending):
        raise ValueError(f"construction: {construction.name!r} has nothing stiff to walk on")
    return leaf, stack.size


def _mass(leaf: AnyLeaf) -> float:
    return float(np.mean(flat(leaf.mass)))


def _slab(leaf: AnyLeaf, size: tuple[float, float]) -> Floor:
    """A heavy slab with the losses of a laboratory, as L_n is told for."""
    loss = annex_b.laboratory_loss(F, mass=_mass(leaf), internal=float(np.mean(flat(leaf.loss))))
    mobility = np.full(F.shape, impact.point_mobility(leaf))
    return Floor(impact.radiated(F, leaf, size=size, loss=loss), mobility, HARD, _mass(leaf), True)


def _deck(leaf: AnyLeaf, size: tuple[float, float], cavity: Cavity | Leaf | None) -> Floor:
    """A light deck: a plate in strips between its joists, and below the strips' first resonance the joists
    with it, a plate of B = sqrt(B_along B_across)."""
    mobility, mass = impact.point_mobility(leaf), _mass(leaf)
    if not isinstance(cavity, Cavity) or cavity.spacing is None:
        own = float(np.mean(flat(leaf.loss))) - calibrated.value("board_mounting_loss")
        loss = annex_b.laboratory_loss(F, mass=mass, internal=max(own, LEAST_LOSS))  # no joists to rub on
        found = impact.radiated(F, leaf, size=size, loss=loss)
        return Floor(found, np.full(F.shape, mobility), SOFT, mass, False)
    found = impact.radiated(F, leaf, size=(cavity.spacing, max(size)), loss=DECK_LOSS)
    along = JOIST_MODULUS * JOIST * cavity.depth**3 / 12 / cavity.spacing
    across = float(np.mean(flat(leaf.bending)))
    whole = mass + JOIST * cavity.depth * JOIST_DENSITY / cavity.spacing
    held = 1 / (8 * np.sqrt(np.sqrt(max(along, across) * across) * whole)) / mobility
    resonance = SPEED**2 / (4 * float(np.mean(critical_frequency(leaf))) * cavity.spacing**2)
    share = held ** np.clip(1 - np.log2(F / resonance), 0, 1)
    return Floor(found * share, mobility * share, SOFT, whole, False)


def _with_ceiling(
    built: Construction, cavity: Cavity | Leaf, bare: Floor, size: tuple[float, float] | None
) -> Floor:
    """The floor with what is below its carrying leaf, which takes what it takes of sound in the air."""
    alone = replace(built, layers=built.layers[: built.layers.index(cavity)])
    under, over = (transmission(x, size=size, round_about=False).tl_db for x in (built, alone))
    gain = under - over
    told = np.minimum(gain, MOST_UNDER_SLAB_DB) if bare.heavy else gain
    transfer = bare.transfer * 10 ** (-told / 10)
    return replace(bare, transfer=transfer, hung=True, bare=bare.transfer, under_db=gain)


def _floating(top: Construction, cavity: Cavity, base: Floor, size: tuple[float, float] | None) -> Floor:
    """A leaf that floats on a floor, two masses on a spring."""
    leaf, _ = _leaf(top, size)
    mass, heavy = _mass(leaf), isinstance(leaf, Heavy)
    stiffness = float(floating.air_stiffness(cavity.depth))
    if cavity.framing == "mount":
        stiffness += links.mount_stiffness(mass)
    elif cavity.fill is not None and cavity.fill.skeleton is not None:
        stiffness += cavity.fill.skeleton.typical / cavity.depth
    f0 = float(np.sqrt(stiffness * (1 / mass + 1 / base.mass))) / (2 * np.pi)
    gain = floating.improvement(F, resonance_hz=f0, loss=SPREADS, ratio=mass / base.mass)
    gain = np.minimum(gain, MOST_DB)
    mobility = np.full(F.shape, impact.point_mobility(leaf))
    less = 10 ** (-gain / 10)
    return replace(
        base, transfer=base.transfer * less, mobility=mobility, contact=HARD if heavy else SOFT, floating=f0,
        checked=base.checked and cavity.framing != "mount",
        bare=None if base.bare is None else base.bare * less,
    )  # fmt: skip
