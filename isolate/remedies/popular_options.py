"""Options of a room that are something popular and wrong: which of them, and why it disappoints."""

from __future__ import annotations

import numpy as np

from isolate.bands import OCTAVES, Array, octave_tl
from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.rooms import Option, Side
from isolate.room.elements import SideFound

EGG_KG_M2 = 0.3
RIGID = ("wood stud",)  # thin steel gives way
_LOW = slice(0, 4)  # octaves 31.5 to 250 Hz, where a third leaf bites


def by_mass(before: float, more: float) -> float:
    """What so much more mass brings by the mass law [dB].

    >>> round(by_mass(21.6, 1.2), 1)
    0.5
    """
    return float(20.0 * np.log10((before + more) / before)) if before > 0.0 else 0.0


def _leaves(construction: Construction) -> int:
    """Leaves with a cavity between."""
    return 1 + sum(isinstance(layer, Cavity) for layer in construction.layers[1:-1])


def known(option: Option, old: Side, new: Side) -> str | None:
    """Which of them an option is, told from its layers, or its name where it has none."""
    before, after = old.construction.layers, new.construction.layers
    name = option.name.casefold()
    if "egg" in name:
        return "egg boxes"
    if option.construction is None:
        return None
    outer = [layer for layer in (after[:1] + after[-1:]) if isinstance(layer, Cavity) and layer.fill]
    fresh = [layer for layer in after if layer not in before]
    for layer in outer:
        assert layer.fill is not None
        return "curtain" if layer.fill.name == "heavy curtain" else "foam"
    leaves = [layer for layer in fresh if isinstance(layer, Leaf)]
    if any(layer.material.name == "mass-loaded vinyl" and words.leaf_mass(layer) > 1.0 for layer in leaves):
        return "loaded vinyl"
    if leaves and all(words.leaf_mass(layer) < 1.0 for layer in leaves):
        return "film"
    same = len(before) == len(after) and not leaves
    if same and any(isinstance(layer, Cavity) and layer.framing in RIGID for layer in fresh):
        return "insulation"
    if _leaves(new.construction) > max(_leaves(old.construction), 2):
        return "third leaf"
    return None


def louder(before: SideFound, after: SideFound) -> tuple[float, float] | None:
    """The octave below 500 Hz that lets more through than before [Hz], and how much [dB]; by the
    construction alone."""
    gains = [octave_tl(_own_tl(one)) for one in (after, before)]
    change = (gains[0] - gains[1])[_LOW]
    worst = int(change.argmin())
    return (float(OCTAVES[_LOW][worst]), float(-change[worst])) if change[worst] < -0.5 else None


def _own_tl(found: SideFound) -> Array:
    own = sum(path.tau_area for path in found.paths if path.kind == "construction")
    return np.asarray(-10.0 * np.log10(own / found.side.area))


def why_not(key: str, before: SideFound, after: SideFound, lost: tuple[float, float] | None) -> str:
    """Why it disappoints, with its own numbers; `lost`: the octave it makes louder, and how much."""
    better = after.rw - before.rw
    if key == "third leaf":
        assert lost is not None
        return (
            f"A third leaf splits the air into two stiffer springs: Rw {better:+d} dB, but {lost[1]:.0f} dB "
            f"less at {lost[0]:g} Hz. Good against voices and sirens, not against bass."
        )
    added = after.surface_mass - before.surface_mass
    heavier = (
        f"{added:.1f} kg/m2 on {before.surface_mass:.0f} is {by_mass(before.surface_mass, added):.1f} dB by "
        "weight"
    )
    return {
        "foam": f"{heavier}; the rest it soaks up, high up. Bare foam burns fast.",
        "egg boxes": f"Hardly any weight ({EGG_KG_M2:g} kg/m2): about "
        f"{by_mass(before.surface_mass, EGG_KG_M2):.1f} dB.",
        "curtain": f"{heavier} if it were airtight, and it is not.",
        "film": f"{heavier}.",
        "loaded vinyl": f"{heavier}; what its label promises was measured on the sheet hung up alone.",
        "insulation": "The studs tie both faces and carry the sound past the wool: "
        f"Rw {better:+d} dB. Wool works where one face is free.",
    }[key]
