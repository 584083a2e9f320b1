"""What a change is made of: its bill of materials from what stands and what is to come, and its price.

Amounts are net of waste on the bill; prices and shopping lists add it. Usual spacings and sizes are common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from difflib import SequenceMatcher

from isolate.describe import words
from isolate.describe.layers import Cavity, Leaf, is_pane
from isolate.describe.materials import Range
from isolate.describe.prices import FREE, LABOURS, Prices
from isolate.describe.rooms import Gap, Side
from isolate.remedies.remedy import Cost, Need, Remedy
from isolate.room.elements import named_gaps

WASTE = 1.1  # common practice, no source
BEAD = 8.6  # m of a bead 6 mm x 6 mm from a cartridge of 310 ml
BOARDS = ("gypsum board", "dense gypsum board", "cement board", "plywood", "OSB", "chipboard", "MDF")
PANES = ("glass", "laminated glass", "acoustic laminated glass", "acrylic")
FREE_SPACING = 0.6  # m between the studs of a lining that stands free
STEEL_STUD, WOOD_STUD = 0.7, 1.5  # kg/m (common practice, no source)
_ROWS = {"staggered stud": 2, "double stud": 2}  # of studs; one of all else
_WASTED = (*BOARDS, "wool", "finish", "damping compound")
CURE = "soft sealant"
BOX, SILENCER = 12.0, 8.0  # kg of a lined box or silencer on a vent
DOOR_FRAME = 12.0  # kg (common practice, no source)
CARPET = 3.0  # kg/m2
# m: the widest leaf sold, and a height where only an area is said (common practice, no source)
LEAF, DOOR_HEIGHT = 1.25, 2.0


def bill(before: Side, after: Side) -> tuple[Need, ...]:
    """Everything that is bought to make of one side the other."""
    found = [
        *_layers(before, after), *_covering(before, after), *_seals(before, after), *_vents(before, after),
        *_second(before, after),
    ]  # fmt: skip
    return merged(found)


def merged(needs: Sequence[Need]) -> tuple[Need, ...]:
    """Lines of the same thing added up, in the order they first come."""
    found: dict[tuple[str, str, str, str], Need] = {}
    for need in needs:
        key = need.item, need.name, need.unit, need.part
        old = found.get(key)
        amount, mass = (old.amount, old.mass) if old else (0.0, 0.0)
        found[key] = replace(need, amount=amount + need.amount, mass=mass + need.mass)
    return tuple(found.values())


def price(needs: Sequence[Need], prices: Prices) -> Cost | None:
    """What a bill costs, waste included; None where something on it has no price."""
    ways = {by: _priced(needs, prices.working(by)) for by in LABOURS}
    own, hired = ways["own"], ways["hired"]
    if own is None or hired is None:
        return None
    return Cost(own, hired, prices.labour, any(prices.invents(need.item) for need in needs))


def _priced(needs: Sequence[Need], prices: Prices) -> Range | None:
    low, typical, high = FREE.low, FREE.typical, FREE.high
    for need in needs:
        cost = prices.cost(need.item, bought(need), thickness=need.thickness)
        if cost is None:
            return None
        low, typical, high = low + cost.low, typical + cost.typical, high + cost.high
    return Range(*(float(f"{value:.2g}") for value in (low, typical, high)))


def bought(need: Need) -> float:
    """The amount to buy: waste added, pieces and cartridges whole."""
    if need.unit in ("piece", "pieces", "cartridges"):
        return float(math.ceil(need.amount - 1e-9))
    return need.amount * (WASTE if need.item in _WASTED else 1.0)


def shopping(remedies: Sequence[Remedy]) -> tuple[Need, ...]:
    """What is bought for these together, waste included."""
    needs = merged([need for one in remedies for need in one.bill])
    return tuple(replace(need, amount=bought(need)) for need in needs)


# --- layers ---


def added(before: Side, after: Side) -> tuple[Leaf | Cavity, ...]:
    """The layers that come: those of the new construction that the old one has not, in its order."""
    old, new = before.construction.layers, after.construction.layers
    same = SequenceMatcher(None, [_key(one) for one in old], [_key(one) for one in new], autojunk=False)
    kept = {block.b + i for block in same.get_matching_blocks() for i in range(block.size)}
    return tuple(layer for i, layer in enumerate(new) if i not in kept)


def _key(layer: Leaf | Cavity) -> str:
    """A layer, however it is joined to what follows."""
    return words.layer(replace(layer, bond="screwed") if isinstance(layer, Leaf) else layer)


def _layers(before: Side, after: Side) -> Iterator[Need]:
    coming = added(before, after)
    kind = after.construction.kind
    if not coming:
        if after.construction != before.construction:
            yield Need("", after.construction.name, 1.0, "piece")
        return
    if kind == "door":
        yield from _door(after, coming)
        return
    area = after.area
    boards = sum(leaf.sheets for leaf in coming if isinstance(leaf, Leaf) and not is_pane(leaf))
    if any(_floats(layer, after) for layer in coming):
        boards = 0  # what floats touches no wall: an edge strip in place of sealant and paint
    panes = [leaf for leaf in coming if is_pane(leaf)]
    for layer in coming:
        if isinstance(layer, Leaf):
            yield _leaf(layer, area)
        else:
            yield from _cavity(layer, after, glazed=kind == "window")
    joints = [leaf for leaf in coming if isinstance(leaf, Leaf) and leaf.bond == "damped"]
    coats = sum(leaf.sheets - 1 for leaf in joints)
    if boards and _damped_joint(before, after):
        coats += 1
    if coats:
        yield Need("damping compound", "damping compound between boards", coats * area, "m2")
    round_it = _round(after)
    if boards:
        yield Need(
            CURE, "soft sealant, 310 ml, at every edge of every board", boards * round_it / BEAD, "piece"
        )
        yield Need("finish", "filler, tape and paint", area, "m2")
    elif panes and kind == "window":
        yield Need(CURE, "soft sealant, 310 ml, round the new frame", round_it / BEAD, "piece")


def _floats(layer: Leaf | Cavity, side: Side) -> bool:
    """Whether a floor lies on it."""
    level = side.construction.kind in ("floor", "ceiling")
    return isinstance(layer, Cavity) and level and _borne(layer)


def _borne(cavity: Cavity) -> bool:
    return cavity.framing == "mount" or (cavity.framing is None and cavity.full)


def _covering(before: Side, after: Side) -> Iterator[Need]:
    if after.covering is not None and after.covering != before.covering:
        name = after.covering.name
        yield Need(name, name, after.area, "m2", CARPET * after.area)


def _damped_joint(before: Side, after: Side) -> bool:
    count = len(before.construction.layers)
    last = after.construction.layers[count - 1] if len(after.construction.layers) > count else None
    return isinstance(last, Leaf) and last.bond == "damped"


def _leaf(leaf: Leaf, area: float) -> Need:
    name = leaf.material.name
    known = name in (*BOARDS, *PANES, "screed")
    sheet = f"{words.millimetres(leaf.thickness)} {name}"
    vinyl = name == "mass-loaded vinyl"
    item = name if known else "loaded vinyl" if vinyl else ""
    by_thickness = leaf.thickness if known else None
    mass = words.leaf_mass(leaf) * area
    return Need(item, sheet, leaf.sheets * area, "m2", mass, by_thickness)


def _cavity(cavity: Cavity, side: Side, *, glazed: bool) -> Iterator[Need]:
    area, round_it = side.area, _round(side)
    if cavity.fill is not None:
        name = f"{words.millimetres(cavity.fill_depth)} {cavity.fill.name}"
        wool = "wool" if "wool" in cavity.fill.name or cavity.fill.name == "cellulose" else ""
        mass = area * cavity.fill_depth * cavity.fill.density.typical
        yield Need(wool, name, area, "m2", mass, cavity.fill_depth if wool else None)
    if glazed:
        if cavity.framing != "glazing spacer":
            yield Need("second frame", "frame of its own, with seals", round_it, "m", 1.5 * round_it)
        if cavity.edges == "absorbent":
            yield Need("reveal lining", "absorbent lining of the reveal", round_it * cavity.depth, "m2")
        return
    yield from _held(cavity, side)


def _held(cavity: Cavity, side: Side) -> Iterator[Need]:
    """What holds the leaf behind a cavity."""
    area, (width, height) = side.area, _size(side)
    framing, spacing = cavity.framing, cavity.spacing or FREE_SPACING
    if framing == "resilient channel":
        yield Need(framing, framing, area / spacing + width, "m")
        return
    if framing in ("resilient clip", "hanger", "mount"):
        yield Need(framing, f"{framing}s", math.ceil(area / spacing**2 - 1e-9), "piece")
    if framing in ("resilient clip", "hanger"):
        yield Need("resilient channel", "channels or battens in them", area / FREE_SPACING, "m")
        return
    if _floats(cavity, side):
        yield Need("edge strip", "soft strip round its edge", _round(side), "m")
        return
    item = framing if framing in ("wood stud", "steel stud") else "wood stud"
    run = _ROWS.get(framing or "", 1) * ((math.ceil(width / spacing) + 1) * height + 2.0 * width)
    name = f"{framing}s and plates" if framing else "studs and plates that touch the old wall nowhere"
    yield Need(item, name, run, "m", run * (STEEL_STUD if item == "steel stud" else WOOD_STUD))


def _door(side: Side, coming: Sequence[Leaf | Cavity]) -> Iterator[Need]:
    leaves = [layer for layer in coming if isinstance(layer, Leaf)]
    cavities = len(coming) - len(leaves)
    mass = sum(words.leaf_mass(leaf) for leaf in leaves) * side.area
    several = door_leaves(side)
    yield Need("solid door", side.construction.name, several * (cavities + 1), "piece", mass)
    if cavities:
        yield _frames(several * cavities)


def door_leaves(side: Side) -> int:
    """Leaves of doors as sold that close an opening: several in that of a garage."""
    return _leaves(side.size[0] if side.size else side.area / DOOR_HEIGHT)


def _leaves(width: float) -> int:
    return max(math.ceil(width / LEAF - 1e-9), 1)


def _frames(count: int) -> Need:
    """Door frames, one for each leaf of an opening."""
    return Need("door frame", "door frame", count, "piece", DOOR_FRAME * count)


def _size(side: Side) -> tuple[float, float]:
    edge = side.area**0.5
    return side.size or (edge, edge)


def _round(side: Side) -> float:
    """Length [m] round a side."""
    return 2.0 * sum(_size(side))


# --- seals, vents, second doors ---


def _seals(before: Side, after: Side) -> Iterator[Need]:
    """Strips and sealant for gaps that get narrower; none where the construction goes with them."""
    if after.gaps == before.gaps or not (after.gaps or before.gaps):
        return
    old = {name: gap for gap, name in named_gaps(before.gaps)}
    rebuilt = bool(added(before, after))
    kind = after.construction.kind
    for gap, name in named_gaps(after.gaps):
        if name not in old or gap.width < old[name].width:
            yield _seal(gap, kind)
    if not rebuilt:
        kept = {name for _, name in named_gaps(after.gaps)}
        for name, gap in old.items():
            if name not in kept:
                yield Need(CURE, "soft sealant, 310 ml", gap.length / BEAD, "piece")


def _seal(gap: Gap, kind: str) -> Need:
    name = gap.name
    if kind == "door" and ("under" in name or gap.at_edge):
        tight = gap.width < 1e-3
        if tight:
            return Need("drop seal", "drop seal at the foot of the door", _leaves(gap.length), "piece")
        return Need("brush strip", "brush or lip at the foot of the door", _leaves(gap.length), "piece")
    if kind == "door":
        return Need("door strip", "rubber strip round the door", gap.length, "m")
    if kind == "window":
        return Need("sash strip", "draught strip round the sash", gap.length, "m")
    if "socket" in name:
        return Need("putty pad", "putty pads behind sockets", max(round(gap.length / 0.3), 1), "piece")
    return Need(CURE, "soft sealant, 310 ml", gap.length / BEAD, "piece")


def _vents(before: Side, after: Side) -> Iterator[Need]:
    for i, vent in enumerate(after.vents):
        old = before.vents[i] if i < len(before.vents) else None
        if vent.box is not None:
            there = old.box.count if old and old.box else 0
            more = (vent.box.count - there) * vent.count
            if more > 0:
                yield Need("lined box", f"lined box in the {vent.name}", more, "piece", BOX * more,
                           part="air")  # fmt: skip
        if vent.insertion_db is not None and (old is None or old.insertion_db is None):
            yield Need("silencer", f"silencer in the {vent.name}", vent.count, "piece",
                       SILENCER * vent.count, part="air")  # fmt: skip


def _second(before: Side, after: Side) -> Iterator[Need]:
    if after.second is None or before.second is not None:
        return
    inner = after.second.construction
    leaves = [layer for layer in inner.layers if isinstance(layer, Leaf)]
    mass = sum(words.leaf_mass(leaf) for leaf in leaves) * after.area
    several = door_leaves(after)
    yield Need("solid door", inner.name, several, "piece", mass)
    yield _frames(several)
    for gap in after.second.gaps:
        yield _seal(gap, "door")
