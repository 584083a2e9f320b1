"""Kinds of construction whose predictions err alike, told from the layers."""

from __future__ import annotations

from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.layers import is_pane

FAMILIES = (
    "single pane", "sheet", "masonry", "insulating glass", "double window", "wood studs", "steel studs",
    "decoupled leaves", "clips", "cored doors", "cavity masonry",
)  # fmt: skip
UNKNOWN = "as measured"
_BY_FRAMING = {
    "wood stud": "wood studs", "steel stud": "steel studs", "hanger": "steel studs",
    "resilient clip": "clips", "mount": "clips",
}  # fmt: skip


def family(construction: Construction) -> str:
    """The family of a construction, one of `FAMILIES`; `UNKNOWN` when it has no layers.

    Panes: single, insulating glass (a spacer round every cavity) or double windows. Masonry alone or with a
    cavity, ties or a lining. Light leaves by what holds them: wood or steel, clips, or decoupled otherwise
    (channels, staggered and double studs, nothing); the stiffest link of several counts. Doors whose skins
    are glued to a core. A porous facing on the outside makes no difference.
    """
    leaves = [layer for layer in construction.layers if isinstance(layer, Leaf)]
    cavities = [layer for layer in construction.layers[1:-1] if isinstance(layer, Cavity)]
    if not construction.layers:
        return UNKNOWN
    if any(leaf.material.masonry for leaf in leaves):
        return "cavity masonry" if cavities else "masonry"
    if leaves and all(map(is_pane, leaves)):
        return _glazing(cavities)
    if construction.kind == "door" and any(leaf.bond == "glued" for leaf in leaves):
        return "cored doors"
    if not cavities:
        return "sheet"
    framings = {cavity.framing for cavity in cavities}
    return next((name for framing, name in _BY_FRAMING.items() if framing in framings), "decoupled leaves")


def _glazing(cavities: list[Cavity]) -> str:
    if not cavities:
        return "single pane"
    spaced = all(cavity.framing == "glazing spacer" for cavity in cavities)
    return "insulating glass" if spaced else "double window"
