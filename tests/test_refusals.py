"""What nothing built or heard can have is refused by name, whichever argument has it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from isolate.physics import annex_b, cavity, finite, framing, ports, studs
from isolate.physics.checks import above_zero
from isolate.physics.leaves import Plate, mass_law

F = np.array([100.0, 1000.0])
BOARD = Plate(0.0127, 690.0, 2.2e9, 0.3, 0.02)
Call = Callable[..., Any]
SIZE = (4.0, 2.5)
GOOD: list[tuple[Call, dict[str, Any], tuple[str, ...]]] = [
    (mass_law, {"f": F, "surface_mass": 10.0}, ("f", "surface_mass")),
    (annex_b.critical_frequency, {"longitudinal": 2500.0, "thickness": 0.1}, ("longitudinal", "thickness")),
    (annex_b.forced_radiation, {"f": F, "size": SIZE}, ("f",)),
    (annex_b.free_radiation, {"f": F, "critical_hz": 150.0, "size": SIZE}, ("f", "critical_hz")),
    (annex_b.radiation_loss, {"f": F, "mass": 200.0, "sigma": 1.0}, ("f", "mass")),
    (annex_b.laboratory_loss, {"f": F, "mass": 200.0, "internal": 0.01}, ("f", "mass")),
    (annex_b.transmission, {"f": F, "mass": 200.0, "critical_hz": 150.0, "eta": 0.02, "size": SIZE},
     ("f", "mass", "critical_hz", "eta")),
    (cavity.edge_loss, {"f": F, "absorption": 0.1, "perimeter": 13.0, "area": 10.0, "speed": 343.0},
     ("f", "perimeter", "area", "speed")),
    (cavity.hard_absorption, {"f": F}, ("f",)),
    (cavity.face_loss, {"f": F, "absorption": 0.1, "depth": 0.1, "speed": 343.0}, ("f", "speed")),
    (cavity.wall_loss, {"f": F, "depth": 0.1, "gas": "air"}, ("f",)),
    (finite.forced_radiation, {"cosine": 0.5, "wavenumber": F, "width": 4.0, "height": 2.5},
     ("wavenumber", "width", "height")),
    (framing.radiated_per_force, {"f": F, "leaf": BOARD}, ("f",)),
    (framing.line_mobility, {"f": F, "leaf": BOARD}, ("f",)),
    (framing.lines, {"f": F, "leaf1": BOARD, "leaf2": BOARD, "spacing": 0.6}, ("f", "spacing")),
    (framing.points, {"f": F, "leaf1": BOARD, "leaf2": BOARD, "per_area": 5.0, "link": ports.spring(1e6)},
     ("f", "per_area")),
    (ports.rod, {"depth": 0.1, "length": 1.0, "loss": 0.05}, ("depth", "length")),
    (ports.strip, {"length": 0.03, "gauge": 5e-4, "width": 0.25, "loss": 0.1}, ("length", "gauge", "width")),
    (studs.evenly, {"apart": 0.3, "cell": 0.6}, ("apart", "cell")),
    (studs.wood, {"depth": 0.09}, ("depth",)),
    (studs.fixed, {"faces": studs.wood(0.09), "apart": 0.3}, ("apart",)),
]  # fmt: skip
EACH = [(of, good, name) for of, good, names in GOOD for name in names]


@pytest.mark.parametrize(("of", "good", "name"), EACH, ids=lambda x: getattr(x, "__name__", None))
def test_what_is_not_above_zero_is_refused_by_its_name(of: Call, good: dict[str, Any], name: str) -> None:
    of(**good)
    for bad in (-1.0, 0.0, np.nan, np.inf):
        with pytest.raises(ValueError, match=rf"^{name}: must be above 0 .+ \(got "):
            of(**{**good, name: bad})
        if isinstance(good[name], np.ndarray):
            with pytest.raises(ValueError, match=rf"^{name}: "):
                of(**{**good, name: np.array([100.0, bad])})


def test_an_argument_by_its_place_is_refused_too() -> None:
    with pytest.raises(ValueError, match=r"^f: must be above 0 Hz"):
        mass_law(-100.0, surface_mass=10.0)


def test_a_guarded_function_stays_what_it_is() -> None:
    assert mass_law.__name__ == "mass_law" and "Field-incidence" in (mass_law.__doc__ or "")

    @above_zero(mass="kg")
    def twice(mass: float) -> float:
        return 2 * mass

    assert twice(3.0) == twice(mass=3.0) == 6.0
