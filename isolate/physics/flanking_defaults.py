"""Normalised flanking level difference of usual houses, with a range, from typical masses.

Defaults of our own, not measurements: ISO 12354-1's detailed model on the elements of
`describe.houses`. Heavy plates have the losses of a laboratory (m'/(485 sqrt f)), which stand in for the
unknown junctions. Of a light element only the leaf towards the room takes part, in strips between studs,
with resonant waves alone: forced ones do not cross a junction. Each element of the separating kind
named there makes the mixed paths Fd and Df.

The range is the root of the squares of what light and heavy masses make of it and of the model's own
spread: a standard deviation of 2 dB for homogeneous elements (ISO 12354-1:2017, clause 5), times 1.64 for
90 %; for light ones, which the standard does not promise, twice as much (our judgement).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.describe.houses import Flank, House, Plate, Surroundings
from isolate.physics import annex_b, flanking, flanking_junctions

STRIP = (0.6, 2.4)  # of a light leaf between studs [m]
SPREAD_DB = {False: 3.3, True: 6.6}  # half a 90 % interval, by whether the separating path is light
SEPARATING_AREA = {"beside": 10.0, "above": 12.0}  # of the reference room [m2]


@dataclass(frozen=True)
class Flanking:
    """Normalised flanking level differences [dB], one per band; inf where nothing flanks.

    `low_db`, `typical_db`, `high_db`: all flanking paths together, the house as it is. `through_db`:
    typical, only those that pass the separating element by (Ff), which is what is left when that
    element has been lined on both sides: the ceiling of every such change.
    """

    low_db: Array
    typical_db: Array
    high_db: Array
    through_db: Array


def difference(f: ArrayLike, *, house: House, direction: str) -> Flanking:
    """Flanking of a usual house towards the room `direction`: "beside" or "above" (or below).

    f : nominal third octaves [Hz]. Reference room 4 m x 3 m x 2.5 m, A0 = 10 m2: use as tau S = A0
    10^(-D_n,f/10). Raises ValueError for another direction.
    """
    if direction not in SEPARATING_AREA:
        raise ValueError(f"direction: must be one of {', '.join(SEPARATING_AREA)} (got {direction!r})")
    around = house.beside if direction == "beside" else house.above
    f = np.asarray(f, float)
    if around is None:
        return Flanking(*(np.full(f.shape, np.inf) for _ in range(4)))
    area = SEPARATING_AREA[direction]
    light, typical, heavy = (_paths(f, around, area, pick) for pick in ("low", "typical", "high"))
    both, through = _sum(typical[0] + typical[1]), _sum(typical[0])
    spread = SPREAD_DB[_mostly_light(around, typical)]
    down = np.hypot(np.maximum(both - _sum(light[0] + light[1]), 0.0), spread)
    up = np.hypot(np.maximum(_sum(heavy[0] + heavy[1]) - both, 0.0), spread)
    return Flanking(both - down, both, both + up, through)


def _sum(paths: list[Array]) -> Array:
    return flanking.total(paths)


def _mostly_light(around: Surroundings, paths: tuple[list[Array], list[Array]]) -> bool:
    """Whether light elements carry most of what flanks."""
    means = [float(np.mean(p)) for p in paths[0]]
    return around.flanks[int(np.argmin(means))].plate.light


def _paths(f: Array, around: Surroundings, area: float, pick: str) -> tuple[list[Array], list[Array]]:
    """D_n,f of every path Ff, and of every Fd and Df."""
    straight, mixed = [], []
    for flank in around.flanks:
        k = _reduction(f, flank, around.separating, pick)
        r_f, a_f = _plate(f, flank.plate, (flank.length, flank.area / flank.length), pick)
        r_s, a_s = _plate(f, around.separating, (flank.length, area / flank.length), pick)
        past = k.across if flank.through else k.straight
        straight.append(_difference(r_f, r_f, past, flank, a_f, a_f, flank.area))
        mixed += [_difference(r_f, r_s, k.corner, flank, a_f, a_s, area)] * 2
    return straight, mixed


def _reduction(f: Array, flank: Flank, separating: Plate, pick: str) -> flanking_junctions.Reduction:
    own, other = getattr(flank.plate.whole, pick), getattr(separating.whole, pick)
    mass, across = (other, own) if flank.through else (own, other)
    return flanking_junctions.reduction(flank.junction, f, mass=mass, across=across)


def _plate(f: Array, plate: Plate, size: tuple[float, float], pick: str) -> tuple[Array, Array]:
    """Sound reduction index [dB] for waves that cross junctions, and equivalent absorption length [m]."""
    mass, area = getattr(plate.mass, pick), size[0] * size[1]
    fc = annex_b.critical_frequency(longitudinal=plate.longitudinal, thickness=mass / plate.density)
    eta = np.full(f.shape, plate.loss)
    if not plate.light:
        eta = annex_b.laboratory_loss(f, mass=mass, internal=plate.loss)
    tau = annex_b.transmission(
        f, mass=mass, critical_hz=fc, eta=eta, size=STRIP if plate.light else size, forced=not plate.light,
        rho_c_l=plate.density * plate.longitudinal,
    )  # fmt: skip
    length = flanking_junctions.absorption_length(f, area=area, eta=eta)
    return -10 * np.log10(tau), np.full(f.shape, area) if plate.light else length


def _difference(
    r_i: Array, r_j: Array, k: Array | None, flank: Flank, a_i: Array, a_j: Array, area_j: float
) -> Array:
    if k is None:
        raise ValueError(f"junction: {flank.junction!r} has no such path")
    least = flanking_junctions.minimum_reduction(
        junction_length=flank.length, area_i=flank.area, area_j=area_j
    )
    dv = flanking_junctions.level_difference(
        k=np.maximum(k, least), junction_length=flank.length, a_i=a_i, a_j=a_j
    )
    path = flanking.path(
        r_i=r_i, r_j=r_j, level_difference=dv, separating_area=1.0, area_i=flank.area, area_j=area_j
    )
    return flanking.flanking_difference(path, separating_area=1.0)
