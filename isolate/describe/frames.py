"""Frames of windows and glazed doors: how wide they are, what they are made of, how they open."""

from __future__ import annotations

from dataclasses import dataclass

from isolate.describe.layers import Layer, Leaf, is_pane
from isolate.describe.reading import Table, quantity, text
from isolate.errors import shown
from isolate.units import show_length

MATERIALS = ("wood", "plastic", "aluminium", "steel")
WAYS = ("fixed", "hinged", "sliding")
_WORDS = {
    "timber": "wood", "wooden": "wood", "pvc": "plastic", "upvc": "plastic", "vinyl": "plastic",
    "aluminum": "aluminium", "metal": "steel", "casement": "hinged", "opening": "hinged", "sash": "sliding",
}  # fmt: skip
_SKIPPED = ("or", "and", "frame", "window", "door")


@dataclass(frozen=True)
class Frame:
    """A frame with its sash: `width` [m] seen from the front on each side, 0 for glass alone; `material`, one
    of `MATERIALS`, and the way it opens, one of `WAYS`; both empty when nothing was said."""

    width: float
    material: str = ""
    opens: str = ""

    @property
    def sliding(self) -> bool:
        """Whether its sashes slide past each other, which no seal presses together."""
        return self.opens == "sliding"


NO_FRAME = Frame(0.0)
USUAL = 0.1  # m, frame and sash of an ordinary window; 70 to 120 mm are sold (common practice, no source)
SLIMMEST = 0.15  # of a window's shorter edge: small ones have slimmer frames (own choice)
WIDEST = 0.3  # of the shorter edge, what may be stated


def usual(size: tuple[float, float]) -> Frame:
    """The frame of a window of `size` [m] of which nothing was said."""
    return Frame(min(USUAL, SLIMMEST * min(size)))


def width(value: object) -> float:
    """Converter: a width [m], 0 for "none"."""
    if isinstance(value, str) and value.strip().casefold() == "none":
        return 0.0
    try:
        return quantity("length", 0.01, 0.5)(value)
    except ValueError as fault:
        raise ValueError(f'{fault}, or "none" for glass alone') from None


def kind(value: object) -> tuple[str, str]:
    """Converter: material and way of opening from words such as "wood, hinged" or "sliding aluminium"."""
    made_of, opens = "", ""
    for word in text(value).casefold().replace(",", " ").split():
        known = _WORDS.get(word, word)
        if known in MATERIALS:
            made_of = known
        elif known in WAYS:
            opens = known
        elif known not in _SKIPPED:
            several = f"{', '.join(MATERIALS)}; {', '.join(WAYS)}"
            raise ValueError(f"not a kind of frame (got {shown(value)}); write words of: {several}")
    return made_of, opens


def read(table: Table, *, glazed: bool, size: tuple[float, float] | None) -> Frame | None:
    """`frame` and `frame_kind` of a construction or side, None without either; size [m] may be unknown.

    `glazed`: it may have them.
    """
    stated, words = table.get("frame", width), table.get("frame_kind", kind)
    for key in ("frame", "frame_kind"):
        if key in table and not glazed:
            table.fault(key, "belongs to a window or a glazed door; leave it out")
    if "frame_kind" in table and stated == 0.0:
        table.fault("frame_kind", 'without a frame; leave it out, or write frame = "100 mm"')
    if stated and size is not None and stated > WIDEST * min(size):
        most = show_length(WIDEST * min(size))
        told = f"{show_length(stated)} on each side leaves next to no glass"
        table.fault("frame", f"{told}; write at most {most}")
    if stated is None and words is None:
        return None
    made_of, opens = words or ("", "")
    usually = USUAL if size is None else usual(size).width
    return Frame(usually if stated is None else stated, made_of, opens)


def glazed(kind: str, layers: tuple[Layer, ...]) -> bool:
    """Whether a construction of `kind` is panes in a frame: a window, or a door of glass."""
    leaves = [layer for layer in layers if isinstance(layer, Leaf)]
    return kind == "window" or (kind == "door" and bool(leaves) and all(map(is_pane, leaves)))
