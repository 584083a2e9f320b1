"""Fresh air: how much a vent, a gap or a person takes, and what the air of a shut room comes to.

What keeps sound out keeps air out. These are sizing estimates, no design of a ventilation plant; what noise
the moving air makes is in `air_noise`. What a person needs and gives off is stated here and nowhere else.

References
----------
Munson et al., Fundamentals of Fluid Mechanics, chs 6 and 8: flow between plates, minor losses (from memory).
EN 16798-1:2019, annex B: 10, 7 and 4 L/s a person for categories I to III (from memory).
ASTM D6245: 0.0052 L/s of CO2 from an adult at desk work (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics import air
from isolate.physics.checks import above_zero, zero_or_more

PER_PERSON = 0.010  # fresh air [m3/s] a person, category I of EN 16798-1
CO2_PER_PERSON = 5.2e-6  # [m3/s], sitting
PLAYING = 1.75  # carbon dioxide of who plays or sings over who sits (1.5 to 2, from memory)
CO2_OUTSIDE = 420e-6
STALE = 1500e-6  # fraction from which heads grow heavy (common practice; usual aims 1000 to 1500 ppm)
FORBIDDEN = 5000e-6  # as a mean of 8 hours at work (limit of many countries, from memory)
WARMTH = 100.0  # W a person gives off (handbooks, from memory)
CARRIED = 1200.0  # J/(m3 K), heat air carries
MOUTHS = 1.5  # loss of a sharp way in (0.5) and out (1.0), in dynamic pressures
FRICTION = 0.03  # Darcy friction factor of a lined duct


@zero_or_more(people="1", per_person="m3/s")
def needed(people: float, *, per_person: float = PER_PERSON) -> float:
    """Fresh air for `people` [m3/s]."""
    return people * per_person


@above_zero(flow="m3/s")
@zero_or_more(people="1", more="W")
def warmer(*, people: float, flow: float, more: float = 0.0) -> float:
    """How much warmer [K] a flow [m3/s] of fresh air gets by people and `more` [W], nothing cooling it."""
    return (people * WARMTH + more) / (CARRIED * flow)


@above_zero(width="m")
@zero_or_more(depth="m", pressure="Pa")
def slit_flow(*, width: ArrayLike, depth: ArrayLike, pressure: ArrayLike) -> Array:
    """Air through a slit [m3/s per m of length] under a pressure difference [Pa].

    Laminar flow between plates and the loss at the mouths: dp = 12 mu d v/w^2 + 1.5 rho v^2/2.
    """
    w, p = np.asarray(width, float), np.asarray(pressure, float)
    linear, square = 12.0 * air.VISCOSITY * np.asarray(depth) / w**2, MOUTHS * air.DENSITY / 2.0
    return w * 2.0 * p / (linear + np.sqrt(linear**2 + 4.0 * square * p))


@above_zero(area="m2")
@zero_or_more(pressure="Pa", length="m", perimeter="m", losses="1")
def vent_flow(
    *,
    area: ArrayLike,
    pressure: ArrayLike,
    length: ArrayLike = 0.0,
    perimeter: ArrayLike = 0.0,
    losses: float = 0.0,
) -> Array:
    """Air through a duct [m3/s]: its mouths, its friction and further `losses` (about 1.2 a sharp bend).

    area [m2]; pressure [Pa]; length, perimeter [m] of the clear section.
    """
    friction = FRICTION * np.asarray(length) * np.asarray(perimeter) / (4.0 * np.asarray(area))
    resistance = MOUTHS + losses + friction
    return np.asarray(area) * np.sqrt(2.0 * np.asarray(pressure) / (air.DENSITY * resistance))


@above_zero(pressure="Pa")
@zero_or_more(flow="m3/s", losses="1")
def vent_area(*, flow: float, pressure: float, losses: float = 0.0) -> float:
    """Clear area [m2] a short vent needs for a flow [m3/s] under a pressure [Pa]; inverse of `vent_flow`."""
    return flow / float(vent_flow(area=1.0, pressure=pressure, losses=losses))


@above_zero(volume="m3")
@zero_or_more(people="1", flow="m3/s", hours="h", effort="1")
def co2(*, people: float, flow: float, volume: float, hours: float, effort: float = 1.0) -> float:
    """Fraction of CO2 in a room after some hours (0.0015 is 1500 ppm), from outdoor air at the start.

    flow of fresh air [m3/s]; volume [m3]; effort: CO2 relative to a sitting person.
    """
    made, seconds = people * CO2_PER_PERSON * effort, 3600.0 * hours
    if flow * seconds / volume < 1e-6:
        return CO2_OUTSIDE + made * seconds / volume
    return CO2_OUTSIDE + made / flow * -float(np.expm1(-flow * seconds / volume))
