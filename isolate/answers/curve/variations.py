"""Changes to a construction that one may make or think of: heavier, deeper, filled, softer, stripped."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from isolate.describe import words
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.layers import is_pane
from isolate.describe.materials import Material, find

Change = tuple[str, Construction]
PANES = (3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3, 15e-3, 19e-3)  # m, glass as it is sold
BOARDS = ("gypsum board", "dense gypsum board", "cement board", "plywood", "OSB", "chipboard", "MDF")
SLIGHT = 0.15  # of the mass of leaves that touch: those lighter than this are left as they are
DEEPER = 0.05  # m, what a cavity is deepened by; narrow ones are doubled
# What holds two leaves a step softer.
SOFTER = {
    "wood stud": "resilient channel", "steel stud": "resilient channel",
    "resilient channel": "resilient clip", "resilient clip": "double stud", "staggered stud": "double stud",
    "shared frame": "separate frames", "hanger": "resilient clip",
}  # fmt: skip
FREE = (None, "separate frames")


def known(name: str) -> Material:
    """A material that must be there."""
    found = find(name)
    assert found is not None, name
    return found


def held(construction: Construction, cavity: Cavity) -> str | None:
    """What ties the leaves about a cavity, None if nothing does: a window's panes share their frame unless it
    says otherwise."""
    if cavity.framing is None and construction.kind == "window":
        return "shared frame"
    return None if cavity.framing in FREE else cavity.framing


def changed(construction: Construction, at: int, layer: Leaf | Cavity | None) -> Construction:
    """The construction with the layer at this place replaced, or taken out with None; unmeasured."""
    layers = list(construction.layers)
    layers[at : at + 1] = [] if layer is None else [layer]
    return replace(construction, layers=tuple(layers), measured=None)


def untied(construction: Construction) -> Construction:
    """The same leaves and cavities, held together by nothing (but the panes of a window by their frame)."""
    layers = tuple(
        replace(x, framing=None, spacing=None) if isinstance(x, Cavity) else x for x in construction.layers
    )
    return replace(construction, layers=layers, measured=None)


def limp(construction: Construction) -> Construction:
    """The same with leaves that have their mass but next to no stiffness."""
    layers = tuple(_limp(x) if isinstance(x, Leaf) else x for x in construction.layers)
    return replace(construction, layers=layers, measured=None)


def _limp(leaf: Leaf) -> Leaf:
    mass = words.leaf_mass(leaf) / leaf.sheets
    return replace(leaf, material=known("mass-loaded vinyl"), surface_mass=mass, bond="screwed")


def one_sheet(construction: Construction) -> Construction:
    """A limp sheet that weighs what all leaves weigh, of the same size."""
    leaves = [layer for layer in construction.layers if isinstance(layer, Leaf)]
    mass = sum(map(words.leaf_mass, leaves))
    sheet = replace(leaves[0], material=known("mass-loaded vinyl"), sheets=1, surface_mass=mass)
    return replace(construction, layers=(sheet,), measured=None)


def of(construction: Construction) -> list[Change]:
    """What might be changed, in words, and the changed construction."""
    found: list[Change] = []
    if sum(isinstance(layer, Leaf) for layer in construction.layers):
        found += _heavier(construction)
        found += _other_leaves(construction)
        found += _cavities(construction)
        found += _second_leaf(construction)
    return found


def _named(construction: Construction, at: int) -> str:
    """A leaf in words, and which side it is on where that tells it from others."""
    text = words.layer(construction.layers[at])
    if [words.layer(layer) for layer in construction.layers].count(text) == 1:
        return text
    sides = {_first(construction, at): "noisy", _first(construction, at, last=True): "listener's"}
    return f"{text} on the {sides[at]} side" if at in sides else f"{text} within"


def _first(construction: Construction, at: int, *, last: bool = False) -> int:
    """The place of the outermost layer that reads like the one at `at`."""
    text = words.layer(construction.layers[at])
    alike = [i for i, layer in enumerate(construction.layers) if words.layer(layer) == text]
    return alike[-1 if last else 0]


def _distinct(construction: Construction) -> Iterator[tuple[int, Leaf | Cavity]]:
    """Layers and their places, of mirrored ones only the last."""
    layers = construction.layers
    mirrored = [words.layer(layer) for layer in layers] == [words.layer(layer) for layer in layers[::-1]]
    return ((at, layer) for at, layer in enumerate(layers) if not (mirrored and at < len(layers) // 2))


def _leaves(construction: Construction) -> Iterator[tuple[int, Leaf]]:
    """Leaves that weigh something beside those they touch, and their places."""
    leaves = [(at, layer) for at, layer in _distinct(construction) if isinstance(layer, Leaf)]
    return ((at, leaf) for at, leaf in leaves if words.leaf_mass(leaf) > SLIGHT * _beside(construction, at))


def _beside(construction: Construction, at: int) -> float:
    """Surface mass [kg/m2] of the leaf at a place and those that touch it."""
    packs: list[dict[int, float]] = [{}]
    for i, layer in enumerate(construction.layers):
        if isinstance(layer, Leaf):
            packs[-1][i] = words.leaf_mass(layer)
        else:
            packs.append({})
    return sum(next(pack for pack in packs if at in pack).values())


def _heavier(construction: Construction) -> Iterator[Change]:
    for at, leaf in _leaves(construction):
        if leaf.material.name in BOARDS or leaf.material.family == "limp":
            new = replace(leaf, sheets=leaf.sheets + 1)
            yield f"one more sheet on the {_named(construction, at)}", changed(construction, at, new)
            continue
        thicker = leaf.thickness * 1.5
        if is_pane(leaf):
            thicker = next((t for t in PANES if t > 1.4 * leaf.thickness), thicker)
        new = replace(leaf, thickness=thicker, surface_mass=None)
        text = f"{words.millimetres(thicker)} in place of the {_named(construction, at)}"
        yield text, changed(construction, at, new)


def _other_leaves(construction: Construction) -> Iterator[Change]:
    for at, leaf in _leaves(construction):
        if leaf.material.name == "glass":
            soft = known("acoustic laminated glass")
            new = replace(leaf, material=soft, thickness=leaf.thickness + soft.interlayer_thickness)
            yield f"{soft.name} for the {_named(construction, at)}", changed(construction, at, new)
        elif leaf.sheets > 1 and leaf.bond == "screwed":
            new = replace(leaf, bond="damped")
            yield f"a damping layer within the {_named(construction, at)}", changed(construction, at, new)
        elif leaf.sheets > 1 and leaf.bond == "glued":
            new = replace(leaf, bond="screwed")
            yield f"free to slip, not glued: the {_named(construction, at)}", changed(construction, at, new)


def _cavities(construction: Construction) -> Iterator[Change]:
    for at, cavity in _distinct(construction):
        if not isinstance(cavity, Cavity) or at in (0, len(construction.layers) - 1):
            continue
        several = sum(isinstance(layer, Cavity) for layer in construction.layers) > 1
        name = f"the {words.millimetres(cavity.depth)} cavity" if several else "the cavity"
        for text, new in _of_cavity(construction, cavity, name):
            yield text, changed(construction, at, new)


def _of_cavity(construction: Construction, cavity: Cavity, name: str) -> Iterator[tuple[str, Cavity]]:
    depth = cavity.depth + max(min(DEEPER, cavity.depth), 0.01)
    fill_depth = depth if cavity.full else cavity.fill_depth
    yield f"{name} {words.millimetres(depth)} deep", replace(cavity, depth=depth, fill_depth=fill_depth)
    panes = all(is_pane(x) for x in construction.layers if isinstance(x, Leaf))
    if cavity.fill is not None:
        yield f"{name} without its filling", replace(cavity, fill=None, fill_depth=0.0)
    elif not panes:
        wool = replace(cavity, fill=known("glass wool"), fill_depth=cavity.depth)
        yield f"{name} filled with glass wool", wool
    elif cavity.framing != "glazing spacer" and cavity.edges == "bare":
        yield f"{name} with an absorbent reveal", replace(cavity, edges="absorbent")
    tie = held(construction, cavity)
    if tie in SOFTER:
        softer = SOFTER[tie]
        frames = ", each with the joint of one that opens," if softer == "separate frames" else ""
        new = replace(cavity, framing=softer, spacing=_usual(cavity, softer))
        yield f"{softer}{frames} for {tie} in {name}", new
    if tie is not None and construction.kind != "window":
        yield f"nothing between the leaves of {name}", replace(cavity, framing=None, spacing=None)


def _usual(cavity: Cavity, softer: str) -> float | None:
    """Channels may stay at the studs' spacing; what clips and plates hold has one of its own."""
    return max(cavity.spacing, 0.6) if softer == "resilient channel" and cavity.spacing else None


def _second_leaf(construction: Construction) -> Iterator[Change]:
    layers: Sequence[Leaf | Cavity] = construction.layers
    if len(layers) > 1 or construction.kind in ("sheet", "door"):
        return
    if construction.kind == "window":
        pane = Leaf(known("glass"), 6e-3)
        added: tuple[Cavity, Leaf] = (Cavity(0.1, framing="separate frames"), pane)
        text = "a second pane, 6 mm, 100 mm behind it in a frame of its own"
    else:
        added = (Cavity(0.075, known("glass wool"), 0.075), Leaf(known("gypsum board"), 12.5e-3, 2))
        text = "two 12.5 mm boards on free studs, 75 mm glass wool behind them"
    yield text, replace(construction, layers=(*layers, *added), measured=None)
