"""Constructions written in one line: layers from the noisy side, joined by " + ".

Each layer is a length with or without a material, in either order: a material that is a leaf makes a leaf,
a porous one a cavity filled with it, a gas or nothing an empty cavity. "2 x" in front means two sheets.
What ties two leaves is said with the cavity, its spacing behind it, and what fills it after that::

    gypsum board 12.5 mm + 75 mm wood studs 400 mm + gypsum board 12.5 mm
    2 x gypsum board 12.5 mm + 70 mm steel studs 24 in with 50 mm glass wool + gypsum board 12.5 mm
    glass 4 mm + 16 mm spacer + glass 4 mm

Where every layer has its length, commas or slashes part them as well: "4 mm glass / 16 mm gap / 6 mm glass".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from difflib import get_close_matches

from isolate import units
from isolate.describe import catalogue, layers
from isolate.describe.layers import (
    FRAMINGS,
    GASES,
    NO_GAUGE,
    NO_TIES,
    USUAL_GAUGE,
    USUAL_SPACING,
    WALL_TIES,
    Cavity,
    Layer,
    Leaf,
)
from isolate.describe.materials import Material, find, material, materials
from isolate.errors import shown
from isolate.units import show_length

LENGTH = re.compile(
    r"\d[\d./\s-]*\s*(?:mm|cm|m|um|ft|in|inch|inches|''|[\"'])(?:\s*-?\s*\d[\d./\s-]*\s*(?:in|\"))?(?![\w/])"
)
UNTIED = (
    "nothing ties the two faces of this wall together, as written; a wall on studs or ties lets far more "
    'through. If it has studs, write them with the gap: "75 mm wood studs 400 mm"'
)
UNTIED_MASONRY = (
    "nothing ties the two leaves of this wall together, as written; masonry of two leaves nearly always has "
    'ties, which let some 5 dB more through. If it has, write them with the gap: "50 mm wall ties"'
)
WIDE = (
    "a gap this wide with nothing said of its frame: two frames taken, each as one that opens; for panes "
    'fixed and sealed in one frame or reveal write "100 mm shared frame"'
)
_EXAMPLE = 'write layers such as "glass 4 mm + 100 mm + laminated 6.4 mm"'
# Words people say for what ties two leaves, beside the framings' own names and their plurals.
_SAID = {
    "timber stud": "wood stud", "wooden stud": "wood stud", "stud": "wood stud", "joist": "wood stud",
    "batten": "wood stud", "metal stud": "steel stud", "channel": "resilient channel",
    "resilient bar": "resilient channel", "clip": "resilient clip", "tie": "wall tie",
    "spacer": "glazing spacer",
}  # fmt: skip
_TIES = {word: word for word in FRAMINGS} | _SAID
_TIED = re.compile(
    r"\b(" + "|".join(sorted(map(re.escape, _TIES), key=len, reverse=True)) + r")s?\b", re.IGNORECASE
)
_LUMBER = re.compile(r"\b(?:2\s*x\s*([346])|([346])\s*x\s*2)\b(?=[^+]*stud)", re.IGNORECASE)
_DRESSED = {"3": "64 mm", "4": "89 mm", "6": "140 mm"}  # 2 1/2, 3 1/2, 5 1/2 in: planed
_SAWN = {"3": "75 mm", "4": "100 mm", "6": "150 mm"}  # where one says 4x2
_WOOL = "glass wool"  # what "wool" or "insulation" most likely is
_GAP = re.compile(r"\b(?:air ?gap|cavity|gap|space|void)\b", re.IGNORECASE)
_FILLED = re.compile(
    r"\b(?:filled|insulated|with|and|of|at|every|in between|between|(?:on )?cent(?:re|er)s?|c/c)\b"
    rf"|\bo\.?c\b\.?|{_GAP.pattern}|[,;@]",
    re.IGNORECASE,
)
_PARTED = re.compile(r"\s*[,;]\s+|\s+/\s+")
_SHEETS = ("glass", "acrylic", "gypsum board", "dense gypsum board", "steel", "aluminium", "lead")
_SHEET, _WALL = 0.06, 2.0  # [m] the thickest of these that is made, and of any other leaf
_CLOSE, _ALIKE = 0.7, 0.9  # of 1: a material spelt alike; the name of a construction but for a slip
_COUNT = re.compile(
    r"(\d+)\s*x(?:\s+|(?=\d[\d.]*\s*(?:mm|cm|in|\")))"
    r"|(\d+|one|two|three|four)\s+(?:layer|sheet|pane)s?\s+(?:of\s+)?|(single|double|triple)\s+",
    re.IGNORECASE,
)
_COUNTED = {"one": 1, "single": 1, "two": 2, "double": 2, "three": 3, "triple": 3, "four": 4}
_SHAPES = re.compile(r"\b(?:thick|solid|sheets?|panels?|panes?|of)\b")  # that say no more of a layer
_BUILT = re.compile(r"\b(?:walls?|slabs?|poured|foundation)\b")  # nor these of a heavy one
Spliced = Callable[[str], tuple[Layer, ...]]


class Unnamed(ValueError):
    """Words of a layer that name no material."""


def read(name: str, spliced: Spliced) -> tuple[str, tuple[Layer, ...], tuple[str, ...]]:
    """Kind, layers and notes of a construction in one line; `spliced` gives the layers of a name within it.

    Panes alone make a window, one leaf of another light material a sheet, anything else a wall.

    Raises
    ------
    ValueError
        ``what is wrong (got ...); what to write instead``.
    """
    notes: list[str] = []
    whole = spliced(name.strip())  # whose commas part no layers
    stack = whole or tuple(
        layer for part in _parted(name.strip()) for layer in spliced(part) or (_layer(part, notes),)
    )
    for _, fault in layers.stack_faults(stack):
        raise ValueError(f"{fault} (got {shown(name)})")
    kind = _kind(stack)
    free = [i for i, one in enumerate(stack[1:-1], 1) if _untied(one)]
    if kind == "wall" and free:
        heavy = all(_masonry(stack[:i]) and _masonry(stack[i + 1 :]) for i in free)
        notes.append(UNTIED_MASONRY if heavy else UNTIED)
    if kind == "window" and any(_wide(one) for one in stack):
        notes.append(WIDE)
        stack = tuple(_apart(one) for one in stack)
    return kind, stack, tuple(notes)


def _parted(text: str) -> list[str]:
    """The layers of a line: between its plus signs, or, where there is none and each piece has its length,
    between commas or slashes; wool behind what ties two leaves is what fills it."""
    parts = re.split(r"\s*\+\s*", text)
    pieces = _PARTED.split(text)
    if len(parts) > 1 or len(pieces) < 2 or not all(map(LENGTH.search, pieces)):
        return parts
    layers = pieces[:1]
    for piece in pieces[1:]:
        made = [find(word) for _, word in _pieces(piece)]
        if _TIED.search(layers[-1]) and all(one is not None and one.family == "porous" for one in made):
            layers[-1] += f" with {piece}"
        else:
            layers.append(piece)
    return layers


def _untied(layer: Layer) -> bool:
    return isinstance(layer, Cavity) and layer.framing is None


def _masonry(stack: tuple[Layer, ...]) -> bool:
    return any(isinstance(layer, Leaf) and layer.material.masonry for layer in stack)


def _wide(layer: Layer) -> bool:
    """A gap between panes that is no insulating unit's."""
    return isinstance(layer, Cavity) and layer.framing is None and layer.depth >= layers.WIDE


def _apart(layer: Layer) -> Layer:
    """A wide gap of which nothing was said as one between two frames."""
    return replace(layer, framing="separate frames") if isinstance(layer, Cavity) and _wide(layer) else layer


def _kind(stack: tuple[Layer, ...]) -> str:
    leaves = [layer for layer in stack if isinstance(layer, Leaf)]
    if leaves and all(layers.is_pane(leaf) for leaf in leaves):
        return "window"
    return "wall" if len(stack) > 1 or any(leaf.material.masonry for leaf in leaves) else "sheet"


def _layer(part: str, notes: list[str]) -> Layer:
    sheets, rest = 1, part.replace("×", "x").translate(str.maketrans("″′", "\"'"))
    rest = _LUMBER.sub(lambda found: _DRESSED.get(found[1] or "") or _SAWN[found[2]], rest)
    if count := _COUNT.match(rest):
        said = next(filter(None, count.groups())).casefold()
        sheets, rest = _COUNTED.get(said) or int(said), rest[count.end() :]
    tied = _TIED.search(rest)
    found = LENGTH.search(rest)
    if found is None or not 1 <= sheets <= 12:
        raise ValueError(f"no construction of this name and no layer (got {shown(part)}); {_EXAMPLE}")
    length = units.parse(found[0].strip(), "length")
    word = _GAP.sub("", f"{rest[: found.start()]} {rest[found.end() :]}".casefold()).strip()
    if tied or len(LENGTH.findall(rest)) > 1 or (word not in ("", *GASES) and _GAP.search(rest)):
        return _cavity(part, rest, tied, notes)
    if not word or word in GASES:
        if sheets > 1 or length > 10.0:
            raise ValueError(f"not a cavity (got {shown(part)}); {_EXAMPLE}")
        return Cavity(length, gas=word or "air")
    made_of = _made_of(word)
    if made_of is None:
        said = found[0].strip()
        short = (one for every in materials().values() for one in (every.name, *every.also))
        near = get_close_matches(part, catalogue.names(), n=1, cutoff=_ALIKE) or [
            f"{one} {said}" for one in get_close_matches(word, short, cutoff=_CLOSE)
        ]
        instead = f"did you mean {' or '.join(map(shown, near))}?" if near else _EXAMPLE
        raise Unnamed(f"no material and no construction of this name (got {shown(part)}); {instead}")
    if made_of.family == "porous":
        return Cavity(length * sheets, fill=made_of, fill_depth=length * sheets)
    thickest = _SHEET if made_of.name in _SHEETS or made_of.family == "laminate" else _WALL
    if length > thickest or length <= made_of.interlayer_thickness:
        raise ValueError(f"no sane thickness (got {shown(part)}); {_EXAMPLE}")
    return Leaf(made_of, length, sheets)


def _made_of(word: str) -> Material | None:
    """The material of these words, without those that say no more of a layer."""
    made_of = find(word) or find(_SHAPES.sub("", word))
    if made_of is None and (heavy := find(_BUILT.sub("", _SHAPES.sub("", word).strip(" ,")))) is not None:
        made_of = heavy if heavy.masonry else None
    return made_of


def _cavity(part: str, text: str, tied: re.Match[str] | None, notes: list[str]) -> Cavity:
    """A cavity with what ties its leaves, its spacing, and what fills it."""
    before, after = (text[: tied.start()], text[tied.end() :]) if tied else (text, "")
    framing = _TIES[tied[1].casefold()] if tied else None
    if framing == "wood stud" and tied and tied[1].casefold() == "stud":
        notes.append(f"studs taken as wood studs ({part.strip()}); write steel studs if they are")
    depth, fill, filled, _ = _filled(part, before)
    spacing: float | None = None
    if framing is not None:
        _, behind, deep, loose = _filled(part, after, alone=False)
        fill, filled = (behind, deep) if behind is not None else (fill, filled)
        spacing = loose
    if depth is None:
        raise ValueError(f'no depth (got {shown(part)}); write it first, such as "75 mm wood studs 400 mm"')
    if filled > depth * (1 + 1e-6):
        raise ValueError(f"more filling than gap (got {shown(part)}); write at most {show_length(depth)}")
    if spacing is not None and framing not in USUAL_SPACING:
        raise ValueError(f"a spacing of {framing}s has no meaning (got {shown(part)}); leave it out")
    if spacing is not None and not 0.02 <= spacing <= 5.0:
        raise ValueError(f"no sane spacing (got {shown(part)}); write it centre to centre, such as 400 mm")
    if framing in USUAL_SPACING and spacing is None:
        spacing = USUAL_SPACING[framing]
        notes.append(f"{framing}: no spacing stated, {show_length(spacing)} taken")
    gauge = USUAL_GAUGE if framing == "steel stud" else None
    ties = WALL_TIES[0] if framing == "wall tie" else None
    notes += [note for one, note in ((gauge, NO_GAUGE), (ties, NO_TIES)) if one is not None]
    made = Cavity(depth, framing=framing, spacing=spacing, gauge=gauge, ties=ties)
    return made if fill is None else replace(made, fill=fill, fill_depth=filled or depth)


def _filled(
    part: str, text: str, *, alone: bool = True
) -> tuple[float | None, Material | None, float, float | None]:
    """What is said before or behind the ties: depth (where `alone`), filling with its depth, a loose length.

    A length beside a porous material is how deep that is, any other is the gap's depth or the spacing.
    """
    said = _FILLED.sub("|", text)
    depth = fill = loose = None
    filled = 0.0
    for piece in (one.strip() for one in said.split("|")):
        for length, word in _pieces(piece):
            made_of = _porous(word, part) if word and word != "empty" else None
            if made_of is not None:
                fill, filled = made_of, length or 0.0
            elif length is not None and alone and depth is None:
                depth = length
            elif length is not None and loose is None:
                loose = length
            elif length is not None:
                raise ValueError(f"one length too many (got {shown(part)}); {_EXAMPLE}")
    return depth, fill, filled, loose


def _pieces(piece: str) -> Iterator[tuple[float | None, str]]:
    """Lengths with the words about each: "75 mm" and "50 mm glass wool" of "75 mm 50 mm glass wool"."""
    found = list(LENGTH.finditer(piece))
    if not found:
        if piece:
            yield None, piece.casefold()
        return
    for at, one in enumerate(found):
        ahead = piece[: one.start()] if at == 0 else ""
        behind = piece[one.end() : found[at + 1].start() if at + 1 < len(found) else None]
        word = f"{ahead} {behind}".strip().casefold()
        yield units.parse(one[0].strip(), "length"), word


def _porous(word: str, part: str) -> Material:
    made_of = material(_WOOL) if word in ("wool", "insulation", "mineral wool", "batts") else find(word)
    if made_of is None or made_of.family != "porous":
        raise Unnamed(
            f"{shown(word)} neither fills a gap nor ties its faces (got {shown(part)}); write such as "
            '"75 mm wood studs 400 mm with 50 mm glass wool"'
        )
    return made_of
