"""What is built, in words: layers, lengths, lists."""

from __future__ import annotations

from collections.abc import Sequence

from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.rooms import Background
from isolate.units import millimetres, show_length


def hertz(value: float) -> str:
    """A frequency to three digits, in kHz from 1 kHz on."""
    return f"{value / 1000:.3g} kHz" if value >= 1000 else f"{value:.3g} Hz"


def listed(items: Sequence[str]) -> str:
    """Items as one reads them out.

    >>> listed(["tram", "siren", "van"])
    'tram, siren and van'
    """
    return " and ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)


def leaf_mass(leaf: Leaf) -> float:
    """Surface mass [kg/m2] of all sheets of a leaf, an interlayer taken as the glass it stands in."""
    sheet = leaf.surface_mass or leaf.thickness * (leaf.density or leaf.material.density.typical)
    return leaf.sheets * sheet


def layer(part: Leaf | Cavity) -> str:
    """One layer in words."""
    if isinstance(part, Leaf):
        sheets = f"{part.sheets} x " if part.sheets > 1 else ""
        bond = f" ({part.bond})" if part.sheets > 1 else ""
        return f"{sheets}{millimetres(part.thickness)} {part.material.name}{bond}"
    words = [f"{millimetres(part.depth)} {part.gas if part.gas != 'air' else 'cavity'}"]
    if part.fill is not None:
        words.append(f"{millimetres(part.fill_depth)} {part.fill.name}")
    if part.framing is not None:
        centres = f" at {millimetres(part.spacing)}" if part.spacing else ""
        words.append(part.framing + centres)
    if part.edges == "absorbent":
        words.append("lined edges")
    return ", ".join(words)


def layer_both(part: Leaf | Cavity) -> str:
    """One layer in words, its depth in millimetres and inches."""
    length = part.thickness if isinstance(part, Leaf) else part.depth
    inches = show_length(length).partition(" (")[2].rstrip(")")
    return layer(part).replace(millimetres(length), f"{millimetres(length)} ({inches})", 1)


def layers(construction: Construction) -> str:
    """All layers in words, from the noisy side; what it is known by where there are none."""
    known = "by its data sheet" if construction.rated else "as measured"
    return " | ".join(layer(part) for part in construction.layers) or f"{known}, no layers given"


def background(stated: Background) -> str:
    """A background as it was stated."""
    if stated.value is None:
        return "as given per band"
    return f"{stated.value:g} dBA" if stated.kind == "A" else f"{stated.kind} {stated.value:g}"
