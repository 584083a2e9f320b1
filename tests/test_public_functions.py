"""Every public function of physics and standards says in which units it is asked, and refuses by name what
nothing built or heard can have: a negative frequency, mass or volume, and what is no number."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import numpy as np
import pytest

import isolate.physics
import isolate.standards
from isolate.bands import THIRD_OCTAVES
from isolate.describe.frames import Frame
from isolate.describe.houses import houses
from isolate.describe.materials import material
from isolate.physics import coupled, ports, studs
from isolate.physics.leaves import Plate
from isolate.physics.masonry import Heavy

Call = Callable[..., Any]
NUMERIC = ("ArrayLike", "Array", "float", "Complex")
F, DB = np.array([100.0, 1000.0]), np.full(27, 30.0)
BOARD = Plate(0.0127, 690.0, 2.2e9, 0.3, 0.02)
BRICK = Heavy((Plate(0.1, 1700.0, 6e9, 0.2, 0.01),))

AROUND = next(one.beside for one in houses().values() if one.beside is not None)
MEMBER = coupled.member(F, AROUND.separating, size=(4.0, 2.5))
# By name, a good value; where a function means something else by it, in ITS_OWN.
GOOD: dict[str, Any] = {
    "f": F, "frequency": F, "width": 0.4, "height": 0.5, "depth": 0.1, "length": 1.0,
    "thickness": 0.05, "area": 2.0, "size": (4.0, 2.5), "volume": 30.0, "surface": 60.0,
    "reverberation_time": 0.5, "absorption": 0.5, "absorption_area": 10.0, "mean_absorption": 0.2,
    "mass": 20.0, "surface_mass": 10.0, "floor_mass": 300.0, "flank_mass": 200.0, "across": 20.0,
    "critical_hz": 150.0, "critical": 1000.0, "loss": 0.02, "eta": 0.02, "internal": 0.01,
    "stiffness": 1e7, "resonance_hz": 50.0, "radius": 0.05, "diameter": 0.1, "distance": 2.0,
    "r": 0.5, "flow_resistivity": 1e4, "flow_resistance": 100.0, "porosity": 0.98,
    "junction_length": 4.0, "separating_area": 10.0, "area_i": 10.0, "area_j": 10.0,
    "area_in": 10.0, "area_out": 10.0, "floor_area": 12.0, "flank_area": 10.0, "tau_in": 0.1,
    "tau_out": 0.1, "tau": 0.1, "tau_area": 0.1, "leak_area": 0.1, "a_i": 5.0, "a_j": 5.0,
    "speed": 343.0, "perimeter": 13.0, "spacing": 0.6, "per_area": 5.0, "people": 2.0,
    "per_person": 0.01, "flow": 0.01, "velocity": 2.0, "pressure": 10.0, "losses": 1.5,
    "hours": 2.0, "effort": 1.0, "more": 1.0, "resistance": 20.0, "sigma": 1.0, "power": 1e-6,
    "gap": 0.05, "deflection": 0.005, "stiffening": 1.2, "tested": 1e7, "count": 4.0,
    "masses": [10.0, 20.0], "stiffnesses": [1e6], "corner": 80.0, "temperature": 293.0,
    "humidity": 50.0, "whole": 0.0064, "usual": 0.00038, "gauge": 5e-4, "apart": 0.3, "cell": 0.6,
    "wavenumber": F / 50.0, "time": 10.0, "t20": 0.5, "decays": 6, "places": 5.0,
    "longitudinal": 2500.0, "bending": 400.0, "first": 0.1, "last": 0.1, "bands_hz": [63.0, 125.0],
    "soffit_absorption": 0.5, "leaf": BOARD, "leaf1": BOARD, "leaf2": BOARD, "one": MEMBER,
    "other": MEMBER, "base": MEMBER, "plate": AROUND.separating, "link": ports.spring(1e6),
    "fullness": 2.0, "pile": 0.01, "underlay": 0.005, "fill": 0.05, "frame_density": 50.0,
    "rho_c_l": 5e6, "ratio": 0.1, "values": [1.0, 2.0], "added": 5.0, "before": 10.0, "after": 12.0,
}  # fmt: skip
ITS_OWN: dict[str, dict[str, Any]] = {
    "absorbers.board": {"material": material("glass wool")},
    "absorbers.corner_board": {"material": material("glass wool")},
    "absorbers.membrane": {"material": material("glass wool")},
    "absorbers.wool_of": {"material": material("glass wool")},
    "absorption.alpha_of_admittance": {"admittance": np.array([0.1, 0.2])},
    "air_noise.in_room": {"power_db": DB[:8]},
    "between.level_difference": {"tau_area": 0.1},
    "between.standardised": {"difference_db": DB},
    "buildings.in_a_building": {"tau": np.full(27, 0.1)},
    "cavity.lining_absorption": {"bare": 0.1},
    "cavity.wall_loss": {"gas": "air"},
    "coupled.along_line": {"k": 5.0},
    "ducts.transmission_area": {"dne_db": DB},
    "ducts.baffle_box": {"size": (0.3, 0.3, 0.6)},
    "ducts.element_difference": {"tau": 0.1},
    "facade.level_inside": {"level_db": DB, "field": "arriving"},
    "facade_shape.level_difference": {"kind": "balcony", "sight_height": 2.0},
    "finite.forced_radiation": {"cosine": 0.5},
    "finite_sample.radiation_impedance": {"angle": 0.3},
    "flanking.flanking_difference": {"path_db": DB},
    "flanking.path": {"r_i": DB, "r_j": DB, "level_difference": 5.0},
    "flanking_defaults.paths": {"around": AROUND},
    "flanking_defaults.spread": {"around": AROUND},
    "flanking_defaults.struck": {"around": AROUND},
    "flanking_junctions.level_difference": {"k": 8.0},
    "flanking_junctions.reduction": {"kind": "rigid cross"},
    "impact.flanking_path": {
        "floor_level_db": DB, "r_floor_db": DB, "r_flank_db": DB, "level_difference_db": DB
    },
    "inner_shell.behind_leaf": {"leaf": 0.1, "filled": True, "leak_area": np.full(27, 1e-3)},
    "knots.smooth": {"of": lambda f: [f]},
    "leakage.through_duct": {"loss_db": np.full(27, 3.0)},
    "masonry.reflected": {"leaf": BRICK},
    "masonry.thick_limit": {"leaf": BRICK},
    "reverberation.of_furnishing": {"furnishing": "furnished", "size": (4.0, 3.0, 2.5)},
    "spread.to_thirds": {"bands_hz": list(THIRD_OCTAVES), "tl_db": DB},
    "studs.fixed": {"faces": studs.wood(0.09)},
    "windows.brushes": {"frame": Frame(0.1, opens="sliding")},
    "field.apparent_reduction": {"difference_db": DB},
    "field.normalised": {"difference_db": DB},
    "field.standardised": {"difference_db": DB},
}  # fmt: skip
INSIDE = "inside the solver, thousands of times a wall; what it is given comes from checked descriptions"
BANDS = "a frequency that is no band is an InputError of its own, tested with the ratings"
FOUND = "asked with what was described, whose sizes the description has checked"
EXCUSED: dict[str, str] = {
    "averages": INSIDE, "bonded": INSIDE, "cavity.layers": INSIDE, "cubature": INSIDE,
    "fixings": INSIDE, "framed": INSIDE, "framing.lines": INSIDE, "framing.points": INSIDE,
    "framing.angles": INSIDE, "framing.quiet": INSIDE, "bridges": INSIDE, "glazing": INSIDE,
    "joints.edge_absorption": INSIDE, "joints.soaked": INSIDE, "joints.in_series": INSIDE,
    "joints.past_panes": INSIDE, "lattice": INSIDE, "layers": INSIDE,
    "masonry.round_the_edges": INSIDE, "masonry.spread_out": INSIDE, "opening_modes.patterns": INSIDE,
    "pane_edges": INSIDE, "paths": INSIDE,
    "studs.beam": INSIDE, "studs.ends": INSIDE, "absorption.incidence": INSIDE,
    "absorption.alpha_of_admittance": INSIDE, "opening_modes.radiation_impedance": INSIDE,
    "ports.spring": "complex, with its loss", "absorption.surface_admittance": FOUND,
    "absorption.diffuse_alpha": FOUND, "absorption.folded": FOUND,
    "absorption.on_wall": FOUND, "absorption.across_corner": FOUND, "floors": FOUND,
    "inner_shell.leaf_member": FOUND, "inner_shell.lined": FOUND, "inner_shell.crossed": FOUND,
    "inner_shell.gap_resonance": FOUND, "inner_shell.radiated": FOUND, "inner_shell.corner": FOUND,
    "leakage.opened": FOUND, "links.tie": FOUND, "responses": FOUND, "second_window": FOUND,
    "stack": FOUND, "transmission": FOUND,
    "standards.impact.rate_spectrum": BANDS, "standards.single_numbers.rate_spectrum": BANDS,
    "standards.single_numbers.placed": BANDS,
    "facade_shape.level_difference": "held in its table's range",
    "interlayer.shear_modulus": "temperature has limits of its own, tested there",
}  # fmt: skip


def modules() -> Iterator[ModuleType]:
    for package in (isolate.physics, isolate.standards):
        for one in pkgutil.iter_modules(package.__path__):
            yield importlib.import_module(f"{package.__name__}.{one.name}")


def functions() -> Iterator[tuple[str, Call]]:
    """Name with its module, and the function, of all that are public and at home there."""
    for module in modules():
        home = module.__name__.removeprefix("isolate.").removeprefix("physics.")
        for name, one in [*vars(module).items()]:
            if inspect.isfunction(one) and not name.startswith("_") and one.__module__ == module.__name__:
                yield f"{home}.{name}", one


def numbers(of: Call) -> list[str]:
    """Names of the arguments that are numbers or arrays of them."""
    told = inspect.signature(of).parameters.values()
    return [one.name for one in told if str(one.annotation).startswith(NUMERIC)]


def quantities(of: Call) -> list[str]:
    """Names of the arguments that have no sign: sizes, masses, frequencies, times, shares."""
    names = inspect.signature(of).parameters
    return [
        name
        for name, one in names.items()
        if name in GOOD and name not in OBJECTS and one.annotation != "bool"
    ]


OBJECTS = {
    "leaf", "leaf1", "leaf2", "one", "other", "base", "plate", "link", "values", "before",
    "after", "more", "added",
}  # fmt: skip
ALL = [*functions()]
ASKED = [
    (name, of)
    for name, of in ALL
    if quantities(of) and not {name, name.rpartition(".")[0]} & set(EXCUSED)
]


def good(name: str, of: Call) -> dict[str, Any]:
    """Arguments that a function takes."""
    own = ITS_OWN.get(name.removeprefix("standards."), {})
    asked = inspect.signature(of).parameters
    return {
        key: own.get(key, GOOD.get(key))
        for key, one in asked.items()
        if key in own or (key in GOOD and (key not in OBJECTS or one.default is inspect.Parameter.empty))
    }


@pytest.mark.parametrize(("name", "of"), ASKED, ids=[name for name, _ in ASKED])
def test_what_nothing_can_have_is_refused_by_its_name(name: str, of: Call) -> None:
    """nan marks what could not be measured in what standards are asked: it is not refused there."""
    given = good(name, of)
    of(**given)
    for key in quantities(of):
        for bad in (-1.0,) if name.startswith("standards.") else (-1.0, np.nan):
            value = type(whole)((bad, *whole[1:])) if isinstance(whole := given[key], tuple | list) else bad
            with pytest.raises(ValueError, match=rf"^{key}\b.*(must|above).*\(got "):
                of(**{**given, key: value})
            if isinstance(given[key], np.ndarray):
                with pytest.raises(ValueError, match=rf"^{key}\b"):
                    of(**{**given, key: np.array([*given[key][:-1], bad])})


def test_every_excuse_is_needed() -> None:
    names = {name for name, of in ALL if quantities(of)}
    homes = {name.rpartition(".")[0] for name in names}
    assert set(EXCUSED) <= names | homes
    assert set(ITS_OWN) <= {name for name, _ in ALL} | {name.removeprefix("standards.") for name, _ in ALL}


UNIT = re.compile(r"\[[^\]]+\]|Parameters\n-+|\bHz\b|\bdB\b")


@pytest.mark.parametrize(("name", "of"), ALL, ids=[name for name, _ in ALL])
def test_every_public_function_says_what_it_is_and_in_which_units(name: str, of: Call) -> None:
    """numpydoc's sections or, where a line has room for all, quantities with their units in brackets; those
    that several functions share stand once, at the head of their module."""
    told = inspect.getdoc(of)
    assert told
    head, asked = inspect.getdoc(inspect.getmodule(of)) or "", numbers(of) if name not in NO_UNITS else []
    shared = UNIT.search(head) and all(f"`{one}`" in head or one == "f" for one in asked)
    assert not asked or UNIT.search(told) or shared, f"{name}: in which units?"


NO_UNITS = {
    "checks.at_least_zero", "checks.not_nothing", "checks.within_one",  # of any unit, given by whoever asks
    "calibrated.using", "leaves.flat", "cubature.told", "cubature.unsure", "flanking_junctions.reduction",
}  # fmt: skip
