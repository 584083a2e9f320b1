"""What a room within a room answers beside levels: resonances, cautions, what was assumed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from isolate.bands import OCTAVES, Array, octave_tl
from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.inner_parts import SLIPS, Mounts
from isolate.describe.layers import Leaf
from isolate.describe.rooms import Room
from isolate.physics import floating, inner_shell
from isolate.physics.air import DENSITY, SPEED
from isolate.remedies.cautions import changes
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.remedies.inner.air import Breathing
from isolate.remedies.inner.house import USUAL_FLOOR
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import roles
from isolate.remedies.inner.shell import Shells, composite, third_leaf
from isolate.room import levels, prediction
from isolate.standards.weighting import dba
from isolate.units import show_length

HELPS = 2.0**0.5  # above this times its resonance a gap takes off more than the masses alone
FAR = 5.0  # m, from which common joists no longer carry a ceiling of boards (common practice, no source)
LOW_ROOM = 2.13  # m, 7 ft: least height of habitable rooms in a model residential code (from memory)


@dataclass(frozen=True)
class Resonance:
    """A gap on which two leaves swing: at which side, its `role`, `depth` [m] and resonance [Hz]."""

    name: str
    role: str
    depth: float
    frequency: float

    @property
    def helps_from(self) -> float:
        """From which frequency it takes off more than the masses would without a gap [Hz]."""
        return HELPS * self.frequency


@dataclass(frozen=True)
class ThirdLeaf:
    """A side whose old boards stay as a third leaf: what hanging the same boards on the inner side, two
    leaves in all, would gain [dB] in octaves (9,)."""

    side: str
    gain_db: Array


def resonances(shells: Shells) -> tuple[Resonance, ...]:
    """Every gap of the inner room, the floated floor last."""
    found = []
    for one in shells.now.sides:
        side, whole = one.side, shells.whole(one.side)
        size = side.extent
        if roles(side) == "door":
            found += _lobby(shells, side.name)
        elif roles(side) != "floor" and whole is not None:
            gap = [layer.depth for layer in whole.layers if not isinstance(layer, Leaf)][-1]
            frequency = inner_shell.gap_resonance(whole, size=size)
            found.append(Resonance(side.name, roles(side), gap, frequency))
    load = shells.load
    floor = Resonance("floated floor", "floor", load.plan.inner.floor.lining.gap, load.swing)
    return (*found, floor)


def _lobby(shells: Shells, name: str) -> list[Resonance]:
    """Two doors on the air between them."""
    side, built = shells.plan.side(name), shells.plan.inner.door
    leaves = [_leaves_mass(one) for one in (side.construction, built.construction)]
    if not all(leaves):
        return []
    depth = built.lobby or shells.plan.inner.walls.gap
    (frequency,) = floating.chain(leaves, [DENSITY * SPEED**2 / depth])
    return [Resonance(name, "door", depth, frequency)]


def _leaves_mass(construction: Construction) -> float:
    return sum(words.leaf_mass(layer) for layer in construction.layers if isinstance(layer, Leaf))


def third_leaves(shells: Shells) -> tuple[ThirdLeaf, ...]:
    """Sides whose old boards stay behind the inner leaf."""
    found, seen = [], set()
    for one in shells.now.sides:
        side, role = one.side, roles(one.side)
        if role not in ("walls", "ceiling") or not third_leaf(side.construction):
            continue
        lining = shells.lining(role)
        if lining.opened or side.construction.layers in seen:
            continue
        seen.add(side.construction.layers)
        size = side.extent
        gap, *leaves = lining.layers
        last = max(i for i, layer in enumerate(side.construction.layers) if not isinstance(layer, Leaf))
        moved = (gap, *side.construction.layers[last + 1 :], *leaves)
        outer, through = side.construction, shells.now.finder.through
        two = through(composite(outer, moved, opened=True), size, flanked=True).tl_db
        three = through(composite(outer, lining.layers), size, flanked=True).tl_db
        found.append(ThirdLeaf(side.name, octave_tl(two) - octave_tl(three)))
    return tuple(found)


def common(shells: Shells) -> tuple[float, ...]:
    """Resonances [Hz] of this floor and the same one next door on one base; none where there is none."""
    load = shells.load
    if not load.plan.inner.floor.also_in:
        return ()
    mass, base = load.floated_surface_mass, shells.house["floor"].whole
    return floating.chain([mass, base, mass], [load.stiffness, load.stiffness])


def knocks(load: Load) -> Array:
    """How much weaker feet, pedals and spurs reach the house's floor, in octaves (9,) [dB].

    Of two masses on a spring, a force on the one moves the other by m2/(m1 + m2)/(1 - (f/f0)^2) of what it
    would by itself.
    """
    law = floating.improvement(OCTAVES, resonance_hz=load.swing, loss=load.on.loss)
    return np.asarray(law + 20.0 * np.log10(1.0 + load.over_base))


def cautions(room: Room, load: Load) -> tuple[Caution, ...]:
    """The cautions of building all of it."""
    parts = ("walls", "ceiling", "floor")
    length, width, height = load.plan.inner_size
    facts = Facts(
        changes=tuple(changes.of_inner_room(room, load, parts)),
        within=changes.within(load, parts),
        floor_area=load.plan.outer_area,
        volume=length * width * height,
        height=height,
        fan=True,
        loudest_dba=max((float(dba(levels.made_inside(own))) for own in room.own), default=float("-inf")),
    )
    return raised(facts)


def notes(
    room: Room, load: Load, *, guessed: tuple[str, ...], breathing: Breathing, people_stated: bool
) -> tuple[str, ...]:
    """What was assumed."""
    return tuple(_notes(room, load, guessed, breathing, people_stated))


def _notes(
    room: Room, load: Load, guessed: tuple[str, ...], breathing: Breathing, people_stated: bool
) -> Iterator[str]:
    inner, plan = load.plan.inner, load.plan
    yield from room.notes
    if not inner.described:
        yield (
            "The file has no [inner] table: a usual inner room of two boards on free studs, an inner ceiling "
            "on them and a floor on rubber mounts was taken."
        )
    if guessed:
        yield (
            f"Towards {words.listed(list(guessed))} the file does not say how the house is built: "
            f"{room.flanking[guessed[0]].name} taken, from the sides. Write flanking = ... in [room]."
        )
    if not any(roles(side) == "floor" for side in room.sides) and inner.floor.base is None:
        yield f"No side is the floor: {USUAL_FLOOR} taken under the floated one."
    if not people_stated:
        yield f"People in it: {breathing.people:g} taken; write people = ... in [room]."
    if breathing.ducts is not None:
        good = "" if breathing.ducts.good else " None that was tried is good enough: this is the best."
        yield (
            "Every state with inner walls has the smallest ducts through both shells that are quiet, and let "
            f"through too little to matter beside the rest, in place of the vents there are.{good} Fans and "
            "filter outside the room, soft sleeves at fan and shell, open grilles without dampers."
        )
    if not inner.ties:
        slips = words.listed([tie.name for tie in SLIPS])
        yield f"Touching: by amateurs as slips usually leave it, {slips}. Write [[inner.tie]] for your own."
    yield (
        "Inner walls alone are fixed to the old floor and ceiling; with the inner ceiling they stand by "
        f"themselves. The whole stands on {'its floated floor' if plan.floats else 'the old floor'}."
    )
    yield (
        "What the house carries into the inner room by soles, mounts, hangers and ties is an estimate of our "
        "own by energy (ISO 12354-1's plates and junctions), good to some 4 dB a band; no published octave "
        "table of a complete inner room was found to check it against."
    )
    yield (
        "Between rooms of a building no more is counted than was measured in any: 55 dB at 125 Hz to 75 dB "
        "from 1 kHz go round it by ways on no drawing, good to 5 dB. Outdoors nothing is known to end it: "
        "there count on what amateurs reach, touching or not, and hope for the whole."
    )
    yield prediction.LOW_SENTENCE
    yield (
        "Sound made inside keeps its power: in the smaller room its level rises as the absorption falls. "
        "Only sound in the air is counted; feet, pedals and drum spurs knock on the floor beside it."
    )
    if isinstance(load.on, Mounts) and load.on.count is None:
        yield (
            f"Mounts: as many as carry {load.in_use:.0f} kg of people, furniture and gear besides; spread "
            "them by load, close together under the walls."
        )
    *across, height = plan.inner_size
    if load.carried and min(across) > FAR:
        yield (
            f"Its ceiling spans {min(across):.1f} m from wall to wall: beyond about {FAR:g} m an engineer "
            "designs its joists, or it hangs from the floor above."
        )
    if height < LOW_ROOM:
        yield (
            f"Inside it is {show_length(height)} high; codes commonly ask 2.13 m (7 ft) of rooms to live in."
        )
