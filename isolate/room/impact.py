"""What goes straight into floors: footsteps from above, and what own sounds put into the floor below them.

Both are elements beside those through the air, kind "structure", so that levels, shares, verdicts and draws
are those of every other sound. Single events differ by some 8 dB, floors by `floors.Floor.sigma_db`, and
below 50 Hz single modes of floor and room add 6 dB: all standard deviations are of that order (judgement).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe.constructions import Construction
from isolate.describe.impacts import Impact
from isolate.describe.rooms import Noise, Own, Side
from isolate.errors import InputError
from isolate.physics import floors, impact
from isolate.physics.flanking_rooms import Walls
from isolate.physics.floors import Floor
from isolate.room.elements import Element
from isolate.standards import impact as rated

STRUCTURE = "structure"
LIGHT_DB = 2.0  # less under joists than the chain of formulas has: a foot is softer than a blow (judgement)
SMALL_ROOM = 50.0  # m3, below which the lowest modes are missing ...
SMALL_ROOM_DB = np.where(THIRD_OCTAVES < 45, 8.0, np.where(THIRD_OCTAVES < 90, 4.0, 0.0))  # ... (judgement)
MODES_DB = np.where(THIRD_OCTAVES < 56, 6.0, 0.0)
NO_WALLS = Walls()
REFERENCE = "a bare concrete slab of 140 mm"
REFERENCE_DB = np.interp(
    np.log(THIRD_OCTAVES), np.log(THIRD_OCTAVES[rated.RATED]), rated.HEAVY_FLOOR
)  # L_n of the standard's heavy floor, held beyond its bands


def struck(side: Side) -> Floor:
    """A floor as it is struck, with what lies on it; InputError where it has no layers."""
    try:
        bare = _struck(side.construction, side.extent)
        return bare if side.covering is None else bare.covered(side.covering.improvement_db)
    except ValueError as fault:
        raise InputError(f"floor: {fault}") from None


@lru_cache(maxsize=64)
def _struck(construction: Construction, size: tuple[float, float]) -> Floor:
    return floors.of(construction, size=size)


def softer_db(one: Impact, cover: float) -> Array:
    """What a covering of this stiffness under it [N/m] takes off a blow (27,) [dB]: little off what is softer
    than the covering already."""
    f, own = THIRD_OCTAVES, impact.stiffness_for(mass=one.strikes, resonance_hz=one.soft_hz)
    both = [impact.softened(f, mass=one.strikes, stiffness=1 / (1 / own + x)) for x in (0.0, 1 / cover)]
    return np.asarray(10 * np.log10(both[0] / both[1]))


def blow_db(
    one: Impact, transfer: Array, *, absorption: Array, volume: float, heavy: bool = True,
    cover: float = float("inf"),
) -> Array:  # fmt: skip
    """L_E (27,) [dB] of one blow in the room that a floor of this transfer (27,) [W/N2] radiates into."""
    assert one.force_db is not None
    level = one.force_db + impact.level(transfer, absorption_area=absorption)
    level = level - (0.0 if heavy else LIGHT_DB) - softer_db(one, cover)
    return np.asarray(level - (SMALL_ROOM_DB if volume < SMALL_ROOM else 0.0))


def loudest_db(one: Impact, floor: Floor, *, absorption: Array, time: Array, volume: float) -> Array:
    """L_Fmax (27,) [dB] of one blow."""
    blow = _blow(one, floor, absorption=absorption, volume=volume)
    return np.asarray(blow + rated.fast_maximum(time))


def _blow(one: Impact, floor: Floor, *, absorption: Array, volume: float) -> Array:
    return blow_db(
        one, floor.transfer, absorption=absorption, volume=volume, heavy=floor.heavy, cover=floor.cover
    )


def mean_db(one: Impact, made_db: Array, floor: Floor, *, absorption: Array, volume: float) -> Array:
    """L_eq (27,) [dB] while it goes on: blows one after another, or steady with a sound of `made_db`."""
    if one.follows_db is not None:
        force = made_db + one.follows_db
        level = force + impact.level(floor.transfer, absorption_area=absorption)
        return np.asarray(level - (SMALL_ROOM_DB if volume < SMALL_ROOM else 0.0))
    blow = _blow(one, floor, absorption=absorption, volume=volume)
    return np.asarray(blow + 10 * np.log10(one.per_second))


def sigma_db(one: Impact, floor: Floor) -> Array:
    """Standard deviation [dB] (27,) of the way into and through the floor."""
    return np.sqrt(one.spread_db**2 + floor.sigma_db**2 + MODES_DB**2)


def footsteps(
    noise: Noise, sides: Sequence[Side], *, absorption: Array, time: Array, volume: float,
    walls: Walls = NO_WALLS,
) -> tuple[Array, tuple[Element, ...]]:  # fmt: skip
    """Footsteps on what lies above: their loudest level (27,) [dB] under `REFERENCE` in this room, and the
    elements, which carry as tau S [m2] what the room's own floor above lets through of that.

    sides: those that face the word; walls: of this room, below the floor.
    InputError where none of them lies above, or has layers to walk on.
    """
    one = noise.impact
    assert one is not None and one.force_db is not None
    above = [side for side in sides if side.lies == "above"]
    if not above:
        raise InputError(f"{noise.name}: no ceiling faces {noise.faces!r}; footsteps come from above")
    reference = 10 ** (REFERENCE_DB / 10) * 1e-12 * 10 / 4 / impact.tapping_force(THIRD_OCTAVES)
    under = blow_db(one, reference, absorption=absorption, volume=volume) + rated.fast_maximum(time)
    found = []
    for side in above:
        floor = struck(side)
        level = loudest_db(one, floor, absorption=absorption, time=time, volume=volume)
        level = level + floor.walls_db(walls, walls.near)
        sigma = np.sqrt(floor.sigma_db**2 + MODES_DB**2)
        tau_area = 10 ** ((level - under) / 10)
        found.append(Element(f"{side.name}: footsteps", side.name, STRUCTURE, tau_area, sigma))
    return under, tuple(found)


def stood_on(sides: Sequence[Side], underfoot: Side | None) -> Side | None:
    """What a room's people and instruments stand on: the side that lies below, where it is known how steps
    sound on it, else what is `underfoot`; None where nothing says so."""
    below = (one for one in sides if one.lies == "below")
    known = (one for one in below if one.construction.layers or one.construction.stepped)
    return next(known, underfoot)


def position(sides: Sequence[Side]) -> str | None:
    """Where a neighbour behind these sides is, a key of `impact.POSITIONS`; None where nothing says so."""
    places = {side.lies for side in sides}
    return next((place for place in ("below", "above", "beside") if place in places), None)


def out_of_the_room(
    own: Own, stands_on: Side | None, sides: Sequence[Side], *, made_db: Array, transfer_db: Array,
    absorption: Array, volume: float, gain_db: Array | float = 0.0, walls: Walls = NO_WALLS,
) -> tuple[Element, ...]:  # fmt: skip
    """Paths by which an own sound reaches a neighbour behind `sides` through the floor it `stands_on`; none
    where it puts nothing there, or where the floor is not described.

    As tau S [m2] of the sound in the room, so that they add up with those through the air: made_db (27,) plus
    10 lg(tau S) plus transfer_db is their level. gain_db (27,): what a thing under it takes off.
    walls: those below, which go on radiating (ISO 12354-2).
    """
    where = position(sides)
    if not own.floor or stands_on is None or where is None:
        return ()
    floor = struck(stands_on)
    away = impact.POSITIONS[where] - (floor.walls_db(walls, walls.far) if where == "below" else 0.0)
    found = []
    for one in own.floor:
        level = mean_db(one, made_db, floor, absorption=absorption, volume=volume)
        level = level - away - gain_db
        tau_area = 10 ** ((level - made_db - transfer_db) / 10)
        sigma = sigma_db(one, floor)
        found.append(Element(f"floor: {one.name}", "floor", STRUCTURE, tau_area, sigma))
    return tuple(found)


def loudest_of(level_db: Array, one: Impact, time: Array) -> Array:
    """L_Fmax (27,) [dB] from the L_eq of blows; steady ones have no peaks."""
    if one.force_db is None:
        return level_db
    return np.asarray(level_db - 10 * np.log10(one.per_second) + rated.fast_maximum(time))
