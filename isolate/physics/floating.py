"""Floors and rooms that float: on mounts, on a mat, on trapped air.

References
----------
ISO 9052-1:1989, clauses 8 and 9: dynamic stiffness of layers under floating floors, with trapped air (from
memory); ISO 12354-1:2017, annex D, and ISO 12354-2:2017, annex C (confirmed by annex L of the former).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from isolate.bands import Array
from isolate.physics.checks import above_zero, zero_or_more

GRAVITY = 9.81
CLOSED = 100e3  # flow resistivity [Pa s/m2], from which air cannot move sideways in a test


@above_zero(deflection="m", stiffening="1")
def resonance_of_deflection(deflection: ArrayLike, *, stiffening: ArrayLike = 1.0) -> Array:
    """Natural frequency [Hz] of a load that sinks its mounts by `deflection` [m], sqrt(g/deflection)/(2 pi).

    stiffening : dynamic over static stiffness of the mounts, 1 for steel springs, 1.2 to 3 for rubber.
    15.8/sqrt(deflection in mm) for 1.
    """
    return np.sqrt(GRAVITY * np.asarray(stiffening) / np.asarray(deflection, float)) / (2 * np.pi)


@above_zero(depth="m")
def air_stiffness(depth: ArrayLike) -> Array:
    """Stiffness per area [N/m3] of the air trapped in a layer, 0.111/d MN/m3 (ISO 9052-1), depth d [m]."""
    return 0.111e6 / np.asarray(depth, float)


@above_zero(depth="m")
@zero_or_more(tested="N/m3", flow_resistivity="Pa s/m2")
def dynamic_stiffness(tested: float, *, flow_resistivity: float, depth: float) -> float:
    """Dynamic stiffness per area s' [N/m3] of an installed layer from the tested s't (ISO 9052-1, clause 9).

    flow_resistivity r [Pa s/m2], sideways; depth [m]. From 100 kPa s/m2 the air cannot move in a test
    either: s' = s't. From 10 up it can: s' = s't + 111/d. Below, the standard has s' = s't where the air's
    part can be neglected, and no answer where it cannot; the air's part is added there too.
    """
    if flow_resistivity >= CLOSED:
        return tested
    return tested + float(air_stiffness(depth))


@above_zero(f="Hz", resonance_hz="Hz")
@zero_or_more(loss="1")
def transmissibility(f: ArrayLike, *, resonance_hz: ArrayLike, loss: ArrayLike) -> Array:
    """Amplitude of a floating mass over that of its base: one mass on springs with loss factor `loss`.

    sqrt((1 + eta^2)/((1 - (f/f0)^2)^2 + eta^2)); above 1 up to sqrt(2) f0. f, resonance_hz [Hz]; loss [1].
    """
    x2, eta2 = (np.asarray(f, float) / np.asarray(resonance_hz)) ** 2, np.asarray(loss, float) ** 2
    return np.sqrt((1 + eta2) / ((1 - x2) ** 2 + eta2))


@zero_or_more(ratio="1")
def improvement(
    f: ArrayLike, *, resonance_hz: ArrayLike, loss: ArrayLike, ratio: float = 0.0
) -> Array:
    """Improvement [dB] by a floating floor: less than none near its resonance, 30 lg(f/f0) above it.

    -20 lg of the transmissibility of one mass up to where the law of a floor crosses it, of one whose waves
    die away where they are made (screeds and decks; ISO 12354-2, annex C).

    ratio : mass of what floats over that of what bears it, m1/m2. A force on m1 then moves m2 by
    1/(1 + m1/m2 - (f/f1)^2) of what it does on m2 alone, f1^2 = s'/(4 pi^2 m1): far below `resonance_hz`, f1
    sqrt(1 + m1/m2), both move as one, heavier, mass; far above it only f1 counts, which is the f0 of the law.
    """
    one = 20 * np.log10((1 + ratio) / transmissibility(f, resonance_hz=resonance_hz, loss=loss))
    law = 30.0 * np.log10(np.asarray(f, float) * np.sqrt(1 + ratio) / np.asarray(resonance_hz))
    return np.where(law > 0, np.minimum(one, law), one)


@above_zero(masses="kg/m2")
@zero_or_more(stiffnesses="N/m3")
def chain(masses: Sequence[float], stiffnesses: Sequence[float]) -> tuple[float, ...]:
    """Resonances [Hz], rising, of masses [kg/m2] in a row with springs [N/m3] between them, ends free.

    (1/2 pi) sqrt(s'(1/m1 + 1/m2)) for two. Two like floors on one slab are floor, slab, floor.
    """
    mass, k = np.asarray(masses, float), np.asarray(stiffnesses, float)
    if mass.size != k.size + 1:
        raise ValueError(f"stiffnesses: one fewer than masses (got {k.size} for {mass.size})")
    matrix = np.zeros((mass.size, mass.size))
    for i, s in enumerate(k):
        matrix[i : i + 2, i : i + 2] += np.array([[s, -s], [-s, s]])
    squares = np.linalg.eigvalsh(matrix / np.sqrt(np.outer(mass, mass)))
    return tuple(float(np.sqrt(x)) / (2 * np.pi) for x in squares[1:])
