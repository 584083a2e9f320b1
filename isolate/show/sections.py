"""Constructions cut through, as small drawings that stand beside words: noisy side left, of floors and
ceilings above; all of one list to one scale. Classes are "c-" and what a layer is; `document.css` has
their colours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from xml.etree import ElementTree as Tree

from isolate.describe import constructions
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.everyday import Where
from isolate.show.page.drawings import put, written

BURNT = ("brick", "hollow clay block")
WOODS = ("plywood", "OSB", "chipboard", "MDF", "softwood", "oak")
STUDS = ("wood stud", "steel stud", "staggered stud", "double stud")
LYING = ("floor", "ceiling", "roof")
_DEEP, _WIDE = 64.0, 34.0  # of a drawing, through the layers and along them
_FINEST, _STUD = 2.4, 11.0
_MOST = 1000.0  # units a metre: no layer is drawn larger than it is on most screens


def look(leaf: Leaf) -> str:
    """What a leaf looks like cut through: "glass", "brick", "concrete", "board", "wood" or "other"."""
    name = leaf.material.name
    if "glass" in name or name == "acrylic":
        return "glass"
    if leaf.material.masonry:
        return "brick" if name in BURNT else "concrete"
    return "board" if "board" in name else "wood" if name in WOODS else "other"


def drawn(several: Sequence[Construction | None]) -> list[str]:
    """Drawings of these constructions as SVG, all to one scale; empty where no layers are known."""
    deepest = max((one.thickness for one in several if one is not None), default=0.0)
    scale = min(_DEEP / deepest, _MOST) if deepest else _MOST
    return [_drawn(one, scale) if one is not None and one.layers else "" for one in several]


@cache
def of_words(words: tuple[str, ...], part: str, where: Where) -> tuple[tuple[str, str], ...]:
    """What each everyday word of a part of a house stands for there and then, in words and drawn."""
    found: list[Construction | None] = []
    for word in words:
        try:
            found.append(constructions.resolve(word, None, part=part, where=where))
        except ValueError:
            found.append(None)
    names = [one.title if one is not None else "" for one in found]
    return tuple(zip(names, drawn(found), strict=True))


def _drawn(built: Construction, scale: float) -> str:
    lies = built.kind in LYING
    layers = built.layers
    if built.kind == "floor" and not constructions.from_above(built):
        layers = layers[::-1]
    depths = [_depth(one, scale) for one in layers]
    deep = sum(depths) + 1.0
    wide, high = (_WIDE, deep) if lies else (deep, _WIDE)
    root = Tree.Element("svg", {
        "viewBox": f"-0.5 -0.5 {wide + 1:.1f} {high + 1:.1f}", "width": f"{wide + 1:.0f}",
        "height": f"{high + 1:.0f}", "class": "section", "aria-hidden": "true",
    })  # fmt: skip
    at = 0.5
    for layer, depth in zip(layers, depths, strict=True):
        for kind, start, along, length, size in _shapes(layer, at, depth, scale):
            x, y, w, h = (along, start, size, length) if lies else (start, along, length, size)
            put(root, "rect", x=x, y=y, width=w, height=h, cls=f"c-{kind}")
        at += depth
    return written(root)


def _depth(layer: Leaf | Cavity, scale: float) -> float:
    if isinstance(layer, Leaf):
        return layer.sheets * max(layer.thickness * scale, _FINEST)
    return max(layer.depth * scale, _FINEST)


def _shapes(
    layer: Leaf | Cavity, at: float, depth: float, scale: float
) -> Iterator[tuple[str, float, float, float, float]]:
    """What a layer that begins `at` is drawn of: kind, then where and how far, through and along it."""
    if isinstance(layer, Leaf):
        for sheet in range(layer.sheets):
            one = depth / layer.sheets
            yield look(layer), at + sheet * one, 0.0, one, _WIDE
        return
    if layer.fill is not None:
        yield "wool", at, 0.0, max(min(layer.fill_depth * scale, depth), _FINEST), _WIDE
    if layer.framing in STUDS:
        part = {"staggered stud": 0.7, "double stud": 0.4}.get(layer.framing or "", 1.0) * depth
        kind, middle = "steel" if layer.framing == "steel stud" else "wood", (_WIDE - _STUD) / 2.0
        if part == depth:
            yield kind, at, middle, part, _STUD
        else:
            yield kind, at, middle - 8.0, part, _STUD - 3.0
            yield kind, at + depth - part, middle + 10.0, part, _STUD - 3.0
    elif layer.framing in ("resilient channel", "resilient clip", "hanger"):
        yield "steel", at, (_WIDE - 4.0) / 2.0, depth, 4.0
