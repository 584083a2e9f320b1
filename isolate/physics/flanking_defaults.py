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

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.describe.houses import Flank, Plate, Surroundings
from isolate.physics import annex_b, flanking, flanking_junctions, impact
from isolate.physics.checks import above_zero

STRIP = (0.6, 2.4)  # of a light leaf between studs [m]
SPREAD_DB = {False: 3.3, True: 6.6}  # half a 90 % interval, by whether the separating path is light
SEPARATING_AREA = {"beside": 10.0, "above": 12.0}  # of the reference room [m2]


@dataclass(frozen=True)
class FlankPath:
    """One flanking path: the flank's `name`, where it begins and ends ("Ff" from flank to flank, "Fd" from
    the far flank to the separating element, "Df" from that to the near flank), its D_n,f [dB] per band."""

    name: str
    ends: str
    difference_db: Array


@above_zero(f="Hz", area="m2")
def spread(f: ArrayLike, *, around: Surroundings, area: float) -> tuple[Array, Array]:
    """How far all paths together may lie below and above the typical [dB], half a 90 % range each."""
    light, typical, heavy = (
        paths(f, around=around, area=area, pick=pick) for pick in ("low", "typical", "high")
    )
    return _half_range(around, _sum(light), typical, _sum(heavy))


def _half_range(
    around: Surroundings, light: Array, typical: tuple[FlankPath, ...], heavy: Array
) -> tuple[Array, Array]:
    both, model = _sum(typical), SPREAD_DB[_mostly_light(around, typical)]
    return np.hypot(np.maximum(both - light, 0.0), model), np.hypot(np.maximum(heavy - both, 0.0), model)


def _sum(found: Sequence[FlankPath]) -> Array:
    return flanking.total(path.difference_db for path in found)


def _mostly_light(around: Surroundings, found: tuple[FlankPath, ...]) -> bool:
    """Whether light elements carry most of what flanks."""
    means = [float(np.mean(path.difference_db)) for path in found if path.ends == "Ff"]
    return around.flanks[int(np.argmin(means))].plate.light


@above_zero(f="Hz", area="m2")
def paths(f: ArrayLike, *, around: Surroundings, area: float, pick: str = "typical") -> tuple[FlankPath, ...]:
    """Every flanking path past a separating element of `area` [m2]; pick of masses: low, typical or high."""
    f = np.asarray(f, float)
    found = []
    for flank in around.flanks:
        k = _reduction(f, flank, around.separating, pick)
        r_f, a_f = _plate(f, flank.plate, (flank.length, flank.area / flank.length), pick)
        r_b, a_b = _plate(f, flank.plate, (flank.length, flank.far / flank.length), pick)
        r_s, a_s = _plate(f, around.separating, (flank.length, area / flank.length), pick)
        past = k.across if flank.through else k.straight
        near, far, wall = (r_f, a_f, flank.area), (r_b, a_b, flank.far), (r_s, a_s, area)
        ends = {"Ff": (past, far, near), "Fd": (k.corner, far, wall), "Df": (k.corner, wall, near)}
        found += [
            FlankPath(flank.plate.name, name, _difference(i, j, reduction, flank))
            for name, (reduction, i, j) in ends.items()
        ]
    return tuple(found)


@above_zero(f="Hz", area="m2")
def struck(f: ArrayLike, *, around: Surroundings, area: float) -> tuple[Array, Array]:
    """What the walls radiate when the separating floor of `area` [m2] is struck, over what the floor itself
    does: those of the near room and those of the far one, per band.

    ISO 12354-2, detailed model, of heavy walls under a heavy floor; nothing for light ones, which it does not
    promise.
    """
    f = np.asarray(f, float)
    near, far = np.zeros(f.shape), np.zeros(f.shape)
    if around.separating.light:
        return near, far
    for flank in (one for one in around.flanks if not one.plate.light):
        corner = _reduction(f, flank, around.separating, "typical").corner
        r_s, a_s = _plate(f, around.separating, (flank.length, area / flank.length), "typical")
        for sum_, wall_area in ((near, flank.area), (far, flank.far)):
            r_w, a_w = _plate(f, flank.plate, (flank.length, wall_area / flank.length), "typical")
            level = impact.flanking_path(
                0.0, r_floor_db=r_s, r_flank_db=r_w, floor_area=area, flank_area=wall_area,
                level_difference_db=_crossing((r_s, a_s, area), (r_w, a_w, wall_area), corner, flank),
            )  # fmt: skip
            sum_ += 10 ** (level / 10)
    return near, far


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


_End = tuple[Array, Array, float]  # R [dB], absorption length [m], area [m2]


def _crossing(i: _End, j: _End, k: Array | None, flank: Flank) -> Array:
    """Vibration level difference [dB] across the junction."""
    if k is None:
        raise ValueError(f"junction: {flank.junction!r} has no such path")
    (_, a_i, area_i), (_, a_j, area_j) = i, j
    least = flanking_junctions.minimum_reduction(junction_length=flank.length, area_i=area_i, area_j=area_j)
    return np.asarray(
        flanking_junctions.level_difference(
            k=np.maximum(k, least), junction_length=flank.length, a_i=a_i, a_j=a_j
        )
    )


def _difference(i: _End, j: _End, k: Array | None, flank: Flank) -> Array:
    (r_i, _, area_i), (r_j, _, area_j) = i, j
    path = flanking.path(
        r_i=r_i, r_j=r_j, level_difference=_crossing(i, j, k, flank), separating_area=1.0, area_i=area_i,
        area_j=area_j,
    )  # fmt: skip
    return flanking.flanking_difference(path, separating_area=1.0)
