"""A second window behind the one of a side: a pane in a frame of its own."""

from __future__ import annotations

from dataclasses import replace

from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.gaps import round_window
from isolate.describe.layers import Cavity, Leaf, is_pane
from isolate.describe.rooms import Option, Side
from isolate.units import show_length

_SHORT = {"laminated glass": "laminated", "acoustic laminated glass": "acoustic laminated"}


def is_window(side: Side) -> bool:
    """Whether a side is glass in a frame, bare towards the room, that a second window may stand behind."""
    layers = side.construction.layers
    leaves = [layer for layer in layers if isinstance(layer, Leaf)]
    return bool(layers) and is_pane(layers[-1]) and all(map(is_pane, leaves)) and side.second is None


def pane_name(pane: Leaf, *, both: bool = False) -> str:
    """A pane in a few words: "laminated 6.4 mm"; `both`: its inches too."""
    length = show_length(pane.thickness) if both else words.millimetres(pane.thickness)
    return f"{_SHORT.get(pane.material.name, pane.material.name)} {length}"


def with_pane(window: Construction, pane: Leaf, *, depth: float, edges: str = "bare") -> Construction:
    """A window with one more pane behind it, in a frame of its own."""
    gap = Cavity(depth, edges=edges, framing="separate frames")
    title = f"{window.title}, {pane_name(pane)} {words.millimetres(depth)} behind it"
    return replace(window, name=title, title=title, layers=(*window.layers, gap, pane), measured=None)


def second_window(
    side: Side, pane: Leaf, *, depth: float, edges: str = "bare", seal: str = "sealed"
) -> Option:
    """A second window behind the one of a side: a pane in a frame of its own, its joint as stated, the old
    window and its gaps as they are. Wherever a second window is told of, it is this."""
    lined = ", reveal lined" if edges == "absorbent" else ""
    shut = "" if seal == "sealed" else f", {seal}"
    name = f"second pane, {pane_name(pane)}, {words.millimetres(depth)} behind the {side.name}{lined}{shut}"
    size = side.size or (side.area**0.5,) * 2
    built = with_pane(side.construction, pane, depth=depth, edges=edges)
    return Option(name, side.name, built, inner_gaps=(round_window(seal, size),))
