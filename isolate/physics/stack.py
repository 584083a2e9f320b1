"""A described construction in numbers: plates, cavities and sizes, ready for the solver."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe import frames
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.frames import NO_FRAME, Frame
from isolate.describe.materials import Range
from isolate.physics import averages, calibrated, interlayer
from isolate.physics import cavity as cavities
from isolate.physics.air import GASES
from isolate.physics.bonded import Bonded
from isolate.physics.layers import Complex, Fluid
from isolate.physics.leaves import AnyLeaf, Core, Jointed, Limp, Pack, Plate
from isolate.physics.masonry import Heavy
from isolate.physics.ribbed import Ribbed

Pick = Callable[[str, Range], "float | Array"]
Wanted = tuple[int, int]
ALL: Wanted = 0, N_BANDS
LAB_SIZE = {
    "window": (1.23, 1.48), "door": (0.9, 2.1), "wall": (3.05, 2.44), "sheet": (3.05, 2.44),
    "ceiling": (4.0, 3.0), "floor": (4.0, 3.0), "roof": (4.0, 3.0),
    "vent": (4.0, 2.5),  # the 10 m2 of absorption that D_n,e is for
}  # fmt: skip
BAYED = ("wood stud", "steel stud", "resilient channel")
FINER = 8  # times as many frequencies for formulas, which jump at coincidence
LEVEL = ("floor", "ceiling", "roof")
DECKS = ("chipboard", "softwood", "plywood", "OSB", "oak")
UNDER_JOISTS = (None, "resilient clip", "hanger")
OFF_JOISTS, SHALLOWEST, DEEPEST = 0.04, 0.12, 0.24  # m: below joists; of joists (common practice, no source)
GLASSY = ("glass", "laminated glass", "acoustic laminated glass", "acrylic")


def typical(key: str, value: Range) -> float:
    """The `Pick` of a single evaluation."""
    return value.typical


@dataclass(frozen=True)
class Stack:
    """Leaves and the cavities between them; `leaves` has one more than `cavities`, an outermost
    filling without a sheet in front of it having None beside it. size (width, height) [m]. turns: the most
    rounds of points that means over bands and angles take (`averages`). Of a window in a `frame`, `size` is
    that of the glass (of each pane, where it slides) and `opening` the whole. wanted: the first of the bands
    that are solved and their end; what others are told as means nothing."""

    kind: str
    leaves: tuple[AnyLeaf | None, ...]
    cavities: tuple[Cavity, ...]
    size: tuple[float, float]
    pick: Pick
    turns: int = averages.MOST
    frame: Frame = NO_FRAME
    whole: tuple[float, float] | None = None
    wanted: Wanted = ALL

    @property
    def opening(self) -> tuple[float, float]:
        """Width and height [m] of the whole, frame included."""
        return self.whole or self.size

    @property
    def glass_share(self) -> float:
        """Share of a window's area that is glass."""
        glass = self.size[0] * self.size[1] * (2 if self.frame.sliding and self.frame.width else 1)
        return glass / (self.opening[0] * self.opening[1])

    @property
    def finer(self) -> int:
        """Times as many frequencies for formulas; not for draws, which are told by their changes."""
        return FINER if self.turns >= averages.MOST else 1

    @property
    def massive(self) -> bool:
        """Whether masonry is among the leaves, each side of it ending in a leaf."""
        ends = self.leaves[0], self.leaves[-1]
        return any(isinstance(x, Heavy) for x in self.leaves) and None not in ends

    @property
    def turns_matter(self) -> bool:
        """Whether a leaf is stiffer one way than the other."""
        return any(getattr(leaf, "ratio", 1.0) != 1.0 for leaf in self.leaves)

    def towards(self, azimuth: Array | float) -> Stack:
        """The stack as waves at `azimuth` [rad] to the stiff way of its leaves meet it."""
        if not self.turns_matter:
            return self
        turned = {id(leaf): leaf and leaf.towards(azimuth) for leaf in self.leaves}
        return replace(self, leaves=tuple(turned[id(leaf)] for leaf in self.leaves))

    def alone(self, i: int) -> Stack:
        """The pair of leaves about cavity i, by itself."""
        return replace(self, leaves=self.leaves[i : i + 2], cavities=self.cavities[i : i + 1])

    def merged(self, which: Sequence[int]) -> Stack:
        """The stack with the leaves about these cavities as one leaf, without the cavities."""
        leaves, gaps = [self.leaves[0]], []
        for i, (c, leaf) in enumerate(zip(self.cavities, self.leaves[1:], strict=True)):
            if i in which:
                leaves[-1] = Pack(tuple(x for x in (leaves[-1], leaf) if x is not None))
            else:
                gaps.append(c)
                leaves.append(leaf)
        return replace(self, leaves=tuple(leaves), cavities=tuple(gaps))

    def between_faces(self, i: int) -> Complex:
        """Distance [m] between the two hard faces about cavity i, endless where there is one at most: limp
        sheets, as films are, neither take sound nor keep any between them and a face."""
        hard = [not (leaf is None or isinstance(leaf, Limp)) for leaf in self.leaves]
        if not (any(hard[: i + 1]) and any(hard[i + 1 :])):
            return np.inf
        first = max(j for j in range(i + 1) if hard[j])
        return sum(c.depth for c in self.cavities[first : hard.index(True, i + 1)])

    def fluids(self, i: int, f: Array, trace: Array) -> Sequence[Fluid]:
        """Layers of cavity i at f (F,) and trace wavenumber (..., A, F)."""
        c = self.cavities[i]
        bare, (width, height) = calibrated.value("bare_edge_absorption"), self.size
        edge: float | Array = cavities.lining_absorption(f, bare=bare) if c.edges == "absorbent" else bare
        if c.framing in BAYED:  # the cavity ends at the studs
            edge, width = cavities.hard_absorption(f), c.spacing or width
        speed = GASES[c.gas].speed
        loss = cavities.edge_loss(
            f, absorption=edge, perimeter=2 * (width + height), area=width * height, speed=speed
        ) + cavities.face_loss(
            f, absorption=cavities.hard_absorption(f), depth=self.between_faces(i), speed=speed
        )
        lateral = 0.0 if c.fill is not None or c.framing in BAYED else np.pi / min(self.size)
        return self.layered(i, f, trace, loss=loss, lateral=lateral)

    def layered(
        self, i: int, f: Array, trace: Array, *, loss: Complex, lateral: float = 0.0
    ) -> Sequence[Fluid]:
        """Layers of cavity i whose gas has the loss factor `loss`; `lateral` as in `cavity.layers`."""
        c = self.cavities[i]
        if c.fill is None:
            return cavities.layers(f, trace, depth=c.depth, gas=c.gas, loss=loss, lateral=lateral)
        flow, density = c.fill.flow_resistivity, c.fill.density
        assert flow is not None  # every porous material has one
        return cavities.layers(
            f,
            trace,
            depth=c.depth,
            gas=c.gas,
            loss=loss,
            fill_depth=c.fill_depth,
            flow_resistivity=self.pick(f"{c.fill.name}.flow_resistivity", flow),
            porosity=c.fill.porosity,
            frame_density=self.pick(f"{c.fill.name}.density", density),
        )


def _plate(leaf: Leaf, pick: Pick, held: bool) -> Plate | Limp:
    """One leaf; `held`: its losses at edges and joints come in elsewhere."""
    m = leaf.material

    def value(name: str) -> float | Array:
        override, stated = getattr(leaf, name), getattr(m, name)
        return override if override is not None else pick(f"{m.name}.{name}", stated)

    density = value("density")
    if m.family == "limp":
        return Limp(leaf.sheets * (leaf.surface_mass or leaf.thickness * density))
    mounting = "pane_mounting_loss" if m.name in GLASSY else "board_mounting_loss"
    if m.name == AERATED:
        mounting, held = "block_joint_loss", False
    loss = value("loss_factor") + (0.0 if held else calibrated.value(mounting))
    modulus = value("youngs_modulus") / (1 - m.poisson**2)
    make = partial(
        Plate,
        density=density,
        modulus=modulus,
        poisson=m.poisson,
        loss=loss,
        surface_mass=leaf.surface_mass,
        ratio=m.stiffness_ratio,
    )
    if m.family == "laminate":
        soft = interlayer.thickness(leaf.thickness, usual=m.interlayer_thickness)
        core = Core(soft, interlayer.modulus(m.interlayer or "standard"))
        return make((leaf.thickness - soft) / 2, count=leaf.sheets, core=core)
    if leaf.bond == "glued":
        mass = None if leaf.surface_mass is None else leaf.surface_mass * leaf.sheets
        return make(leaf.thickness * leaf.sheets, surface_mass=mass)
    if leaf.bond == "damped" and leaf.sheets > 1:
        return make(leaf.thickness, count=leaf.sheets, loss=np.maximum(loss, DAMPED_LOSS))
    return make(leaf.thickness, count=leaf.sheets)


AERATED = "aircrete block"
DAMPED_LOSS = 0.15  # loss factor of boards on a damping compound (handbooks, from memory)


def build(
    construction: Construction,
    *,
    size: tuple[float, float] | None,
    pick: Pick = typical,
    turns: int = averages.MOST,
    wanted: Wanted = ALL,
) -> Stack:
    """The numbers of a construction; `size` (width, height) [m] wins over the tested one.

    A door of panes in a frame is a window.
    """
    packs: list[list[Leaf]] = [[]]
    gaps: list[Cavity] = []
    for layer in construction.layers:
        if isinstance(layer, Cavity):
            gaps.append(layer)
            packs.append([])
        else:
            packs[-1].append(layer)
    whole = size or construction.size or LAB_SIZE[construction.kind]
    kind = "window" if frames.glazed(construction.kind, construction.layers) else construction.kind
    frame = (kind == "window" and construction.frame) or NO_FRAME
    inside = glass(whole, frame)
    leaves = [_pack(tuple(p), pick, kind, inside) for p in packs]
    for i, own in enumerate(leaves):  # light ones that are alike are the same, so that each is solved once
        if not isinstance(own, Heavy):
            leaves[i] = leaves[packs.index(packs[i])]
    gaps = [gaps[gaps.index(gap)] for gap in gaps]
    if kind in LEVEL:
        _joists(leaves, packs, gaps)
    return Stack(
        kind,
        tuple(leaves),
        tuple(gaps),
        inside,
        pick,
        turns,
        frame,
        whole,
        wanted,
    )


def glass(size: tuple[float, float], frame: Frame) -> tuple[float, float]:
    """Width and height [m] of the glass in a window of `size`: of each of two panes, where they slide.

    Raises
    ------
    ValueError
        A frame as wide as the window.
    """
    b, (width, height) = frame.width, size
    inside = ((width - 3 * b) / 2 if frame.sliding and b else width - 2 * b, height - 2 * b)
    if min(inside) <= 0.0:
        raise ValueError(f"frame: {b} m leaves no glass in {width} x {height} m; write a narrower one")
    return inside


def _joists(leaves: list[AnyLeaf | None], packs: Sequence[Sequence[Leaf]], gaps: Sequence[Cavity]) -> None:
    """Put joists under a deck of wood that nothing else holds: no file says them where the ceiling hangs free
    of them or on clips. As deep as the cavity leaves them."""
    for i, gap in enumerate(gaps):
        for at in (i, i + 1):
            deck = leaves[at]
            boards = bool(packs[at]) and all(leaf.material.name in DECKS for leaf in packs[at])
            depth = min(gap.depth - OFF_JOISTS, DEEPEST)
            if (
                boards
                and gap.framing in UNDER_JOISTS
                and depth >= SHALLOWEST
                and isinstance(deck, Plate | Pack)
            ):
                leaves[at] = Ribbed(deck.plates if isinstance(deck, Pack) else (deck,), depth)


def _pores(pack: tuple[Leaf, ...], pick: Pick) -> Array | float:
    """Flow resistance [Pa s/m] of the pores and joints of masonry, endless where anything closes them: a coat
    of plaster on one face does, and boards do where they are glued on."""
    if not all(leaf.material.masonry and leaf.material.flow_resistivity for leaf in _glued_on(pack)):
        return np.inf
    total: Array | float = 0.0
    for leaf in _glued_on(pack):
        flow = leaf.material.flow_resistivity
        assert flow is not None
        total = total + pick(f"{leaf.material.name}.flow_resistivity", flow) * leaf.thickness * leaf.sheets
    return total


def _glued_on(pack: tuple[Leaf, ...]) -> tuple[Leaf, ...]:
    """The masonry of a pack and what is glued to it; loose boards hang before it and close nothing."""
    joined = [False, *(leaf.bond == "glued" for leaf in pack[:-1])]
    return tuple(
        leaf
        for leaf, before in zip(pack, joined, strict=True)
        if leaf.material.masonry or leaf.bond == "glued" or before
    )


def _pack(pack: tuple[Leaf, ...], pick: Pick, kind: str, size: tuple[float, float]) -> AnyLeaf | None:
    """Leaves in contact as one: glued ones bend together, others slip; masonry is built in."""
    massive = any(leaf.material.masonry for leaf in pack)
    parts: list[AnyLeaf] = []
    glued: list[Plate | Limp] = []
    for i, leaf in enumerate(pack):
        glued.append(_plate(leaf, pick, massive or kind == "window"))
        if leaf.bond != "glued" or i == len(pack) - 1:
            parts.append(glued[0] if len(glued) == 1 else Bonded(tuple(glued)))
            glued = []
    if massive:
        flight = np.pi * size[0] * size[1] / (2 * sum(size))
        return Heavy(tuple(parts), pores=_pores(pack, pick), flight=flight)
    opened = [leaf for leaf in pack if leaf.material.open_share]
    if opened:
        m = opened[0].material
        assert m.open_share is not None
        return Jointed(tuple(parts), share=pick(f"{m.name}.open_share", m.open_share), joint=m.joint)
    return None if not parts else parts[0] if len(parts) == 1 else Pack(tuple(parts))
