"""The shells of a room within a room: each side, and each way through the house, in every state of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from isolate.bands import N_BANDS, THIRD_OCTAVES, Array
from isolate.describe import inner, words
from isolate.describe.constructions import Construction
from isolate.describe.inner_parts import Lining
from isolate.describe.layers import Cavity, Layer, Leaf, unfaced
from isolate.describe.rooms import Second, Side, Vent
from isolate.physics import buildings, inner_shell
from isolate.physics.ducts import element_difference
from isolate.physics.flanking_defaults import FlankPath
from isolate.physics.flanking_rooms import FlankingFound
from isolate.physics.inner_shell import Lined
from isolate.physics.links import Tie
from isolate.remedies.inner.house import Arrival, arrivals, base_plates
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.plan import roles
from isolate.remedies.inner.ties import Touching
from isolate.remedies.usual import BOX
from isolate.room import prediction
from isolate.room.elements import VENT_DB, BuiltSide, Element
from isolate.room.envelope import Envelope, absorption

F = THIRD_OCTAVES
DOOR_WIDTH = 0.85  # m, where a door's size is not stated
OUR_DB = 4.0  # standard deviation [dB] of what contacts and ties pass on (our judgement)
# Towards the next flat D_nT,w is 65 to 75 where firms build them, 60 to 68 where amateurs do (from memory):
# so much more than goes round the best measured in a building is left open by these, outdoors too.
AMATEUR_DB = 6.0
LOBBY_LOSS_DB = 5.0  # of the sum of two curves where one is known by its curve only (our judgement)
LEAST = 1e-15  # tau that is left of anything
_PARTS = ("walls", "ceiling", "floor")


class Shells:
    """Finds the envelope of the room in any state; its `parts`: "walls", "ceiling", "floor", and what goes
    wrong: "amateurs", "ties"."""

    def __init__(self, load: Load, now: Envelope) -> None:
        self.load, self.now, self.plan = load, now, load.plan
        self.touching = Touching(load)
        self.house = base_plates(load.plan.room)
        self._lined_bases: dict[tuple[str, bool], Lined] = {}
        self._gains: dict[tuple[str, bool, int], Array] = {}
        self._arrivals: dict[str, tuple[Arrival, ...]] = {}

    def envelope(self, parts: Sequence[str]) -> Envelope:
        """The envelope with these parts built.

        What absorbs stands and hangs by the floor's area and moves in with it: a lower ceiling or a floor on
        mounts takes none of it away.
        """
        room = self.plan.room
        if not any(part in parts for part in _PARTS):
            sides = [
                self._side(found, parts, found.side.faces in self.now.flanking) for found in self.now.sides
            ]
            return replace(self.now, sides=tuple(sides))
        length, width, _ = self.plan.size(parts)
        height, time = room.size[2], room.reverberation_time
        area, _ = absorption((length, width, height), furnishing=room.furnishing, reverberation_time=time)
        faced = dict.fromkeys(side.faces for side in room.sides)
        return replace(
            self.now,
            sides=tuple(self._side(found, parts, True) for found in self.now.sides),
            absorption=area,
            flanking={word: found for word in faced if (found := self._towards(word, parts))},
        )

    # --- sides ---

    def _side(self, found: BuiltSide, parts: Sequence[str], flanked: bool) -> BuiltSide:
        side = self.plan.side(found.side.name) if "walls" in parts else found.side
        role = roles(side)
        if role == "window" and "walls" in parts:
            return self._window(side)
        if role == "door" and "walls" in parts:
            return self._door(side)
        if role not in parts:
            return self.now.finder.side(side, flanked=flanked)
        lining = self.lining(role)
        ties = self.touching.across(role, parts, side.name)
        layers = self._layers(side, lining, role, parts)
        return self._lined(found, side, layers, ties=ties, absorbent=lining.fill is not None)

    def lining(self, role: str) -> Lining:
        """The inner leaf of "walls", "ceiling" or "floor"."""
        built = self.plan.inner
        return {"walls": built.walls, "ceiling": built.ceiling, "floor": built.floor.lining}[role]

    def _layers(self, side: Side, lining: Lining, role: str, parts: Sequence[str]) -> tuple[Layer, ...]:
        """Beside a light wall the inner one stands on the same floor, unless that floats."""
        last = inner_face(side.construction)
        shared = role == "walls" and last and not any(leaf.material.masonry for leaf in last)
        if not shared or self.touching.floats(parts):
            return lining.layers
        return (replace(lining.cavity, framing="double stud", spacing=0.6), *lining.leaves)

    def whole(self, side: Side) -> Construction | None:
        """A side with its inner leaf, nothing touching; None for doors and where only a curve is known."""
        role = roles(side)
        if role == "door" or not side.construction.layers:
            return None
        if role == "window":
            return composite(side.construction, self.plan.window_layers)
        lining = self.lining(role)
        return composite(side.construction, lining.layers, opened=lining.opened)

    def _lined(
        self,
        found: BuiltSide,
        side: Side,
        layers: tuple[Layer, ...],
        *,
        ties: Sequence[Tie] = (),
        absorbent: bool,
    ) -> BuiltSide:
        """An outer side with a gap and an inner leaf; its leaks open into the gap, its vents go through."""
        size = side.size or (side.area**0.5,) * 2
        finder, outer, role = self.now.finder, side.construction, roles(side)
        leaves = tuple(layer for layer in layers if isinstance(layer, Leaf))
        leaks = [path for path in found.elements if path.kind in ("gap", "opening")]
        behind: Array = np.ones(N_BANDS)
        if leaks or not outer.layers:
            leaf = Construction("inner leaf", "inner leaf", outer.kind, leaves)
            behind = 10 ** (-finder.through(leaf, size, flanked=True).tl_db / 10)
        if outer.layers:
            opened = role in ("walls", "ceiling") and self.lining(role).opened
            whole = composite(outer, layers, opened=opened)
            free = 10 ** (-finder.through(whole, size, flanked=True).tl_db / 10)
        else:
            whole = outer
            alone = 10 ** (-finder.through(outer, size).tl_db / 10)
            free = np.minimum(alone * behind * 10 ** (LOBBY_LOSS_DB / 10), alone)
        leaky = bool(side.gaps or side.vents or side.opened)
        own_name = "panes" if role == "window" else "itself"
        name = f"{side.name}: {own_name}" if leaky else side.name
        sigma = prediction.of_curve(whole)
        own = Element(name, side.name, "construction", free * side.area, sigma)
        paths = [own] if not outer.layers else list(self._tied(side, whole, size, own, ties))
        for path in leaks:
            tau = inner_shell.behind_leaf(path.tau_area, behind, area=side.area, filled=absorbent)
            paths.append(replace(path, tau_area=tau))
        mass = found.surface_mass + sum(words.leaf_mass(leaf) for leaf in leaves)
        kept = replace(side, gaps=(), opened=None, second=None)
        return BuiltSide(kept, (*paths, *self._vents(side)), mass, ())

    def _tied(
        self, side: Side, whole: Construction, size: tuple[float, float], own: Element, ties: Sequence[Tie]
    ) -> Iterator[Element]:
        """The construction's path with springs in it, and one more for what else ties it."""
        springs = [tie for tie in ties if tie.pattern == "springs"]
        others = [tie for tie in ties if tie.pattern != "springs"]
        pick, least = self.now.finder.pick, LEAST * side.area
        free = own.tau_area / side.area
        moved = inner_shell.crossed(whole, free=free, size=size, ties=springs, pick=pick) * side.area
        yield replace(own, tau_area=np.maximum(own.tau_area + moved, least))
        if others:
            added = inner_shell.crossed(whole, free=free, size=size, ties=others, pick=pick) * side.area
            spread = np.full(N_BANDS, OUR_DB)
            yield Element(f"{side.name}: what ties it", side.name, "tie", np.maximum(added, least), spread)

    def _window(self, side: Side) -> BuiltSide:
        """A second window in the inner wall, as behind any window."""
        if not side.construction.layers:
            return self._lined(self.now.finder.side(side), side, self.plan.window_layers, absorbent=True)
        found = self.now.finder.side(replace(self.plan.window_option(side).on(side), vents=()), flanked=True)
        return replace(found, elements=(*found.elements, *self._vents(side)))

    def _door(self, side: Side) -> BuiltSide:
        """A second door in the inner wall; one that is there already stays."""
        built, walls = self.plan.inner.door, self.plan.inner.walls
        size = side.size or (DOOR_WIDTH, side.area / DOOR_WIDTH)
        lobby = (size[0], built.lobby or walls.gap, size[1])
        added = Second(
            built.construction, inner.door_gaps(built, size), lobby, "treated" if walls.fill else "bare"
        )
        twice = replace(side, second=side.second or added, size=size, vents=())
        found = self.now.finder.side(twice, flanked=True)
        return replace(found, elements=(*found.elements, *self._vents(side)), side=replace(side, gaps=()))

    def _vents(self, side: Side) -> Iterator[Element]:
        """Vents through both shells; ducts are made for both."""
        for vent in side.vents:
            made = self.plan.ducts
            if made is not None:
                tau = made.system.tau_area(shells=2)
            else:
                tau = inner_shell.through_both(vent, self.beyond(side, vent))
            yield Element(f"{side.name}: {vent.name}", side.name, "vent", tau, np.full(N_BANDS, VENT_DB))

    def beyond(self, side: Side, vent: Vent) -> Vent:
        """What continues a vent through the inner shell: a lined box where nothing is described."""
        usual = Vent("box", vent.area, vent.section, self.plan.inner.walls.depth, box=BOX)
        return dict(self.plan.inner.vents).get(side.name, usual)

    # --- the house ---

    def _towards(self, word: str, parts: Sequence[str]) -> FlankingFound | None:
        """What comes round about, and what amateurs leave open."""
        found = self._round_about(word, parts)
        if "amateurs" not in parts:
            return found
        area = sum(one.side.area for one in self.now.facing(word))
        tau = area * 10 ** ((AMATEUR_DB - buildings.most_db()) / 10)
        left = FlankPath("what amateurs leave open", "contact", element_difference(tau, area=1.0))
        if found is None:
            spread = np.full(N_BANDS, buildings.SPREAD_DB * prediction.LIMIT)
            return FlankingFound((left,), spread, spread)
        return replace(found, paths=(*found.paths, left))

    def _round_about(self, word: str, parts: Sequence[str]) -> FlankingFound | None:
        """What comes from this word by the house, with the linings and contacts of a state.

        A lining's gain holds what crosses its gap by springs and ties with the air: of what contacts radiate
        only the rest is added.
        """
        if word not in self._arrivals:
            self._arrivals[word] = arrivals(self.plan.room, self.now, word)
        came = self._arrivals[word]
        if not came:
            return None
        contacts = self.touching.contacts(parts)
        plates = self.house | self.touching.plates(parts)
        perimeter = 2.0 * (self.plan.room.size[0] + self.plan.room.size[1])
        paths: list[FlankPath] = []
        radiated: dict[tuple[str, int], dict[str, Array]] = {}  # of what moves alike once
        for one in came:
            lined = one.element in parts
            gain = self._gain(one, parts, word) if lined else np.zeros(N_BANDS)
            crossing = 10 ** (-gain / 10) if lined else 0.0
            paths.append(FlankPath(one.name, one.ends, one.difference_db + gain))
            moves = one.element, id(one.plate)
            if moves not in radiated:
                radiated[moves] = inner_shell.radiated(
                    F,
                    arrival=one.element,
                    source=one.plate,
                    plates=plates,
                    contacts=contacts,
                    perimeter=perimeter,
                )
            paths += [
                FlankPath(
                    name, "contact", one.difference_db - 10 * np.log10(np.maximum(part - crossing, LEAST))
                )
                for name, part in radiated[moves].items()
            ]
        spread = np.hypot(np.maximum(came[0].spread_db, 0.0), OUR_DB * prediction.LIMIT)
        return FlankingFound(tuple(paths), spread, spread)

    def _gain(self, one: Arrival, parts: Sequence[str], word: str) -> Array:
        """What the lining of an element takes off what it radiates [dB] (27,), and that of the same floor in
        the other room, where sound comes in there.

        One heavy base stands for all, and one light one: their thickness moves it by under 1 dB.
        """
        ties, pick = self.touching.across(one.element, parts), self.now.finder.pick
        base = (one.element, one.plate.light)
        if base not in self._lined_bases:
            size = self.plan.face(one.element)
            layers = self.lining(one.element).layers
            self._lined_bases[base] = inner_shell.lined(one.base, layers, size=size, pick=pick)
        key = (*base, len(ties))
        if key not in self._gains:
            self._gains[key] = self._lined_bases[base].gain(ties, pick)
        alike = one.element == "floor" and one.ends == "Ff" and word in self.plan.inner.floor.also_in
        return self._gains[key] * (2.0 if alike else 1.0)


def composite(outer: Construction, layers: Sequence[Layer], *, opened: bool = False) -> Construction:
    """Outer construction, gap and inner leaf; `opened`: the last boards of a light double leaf come off, so
    that two leaves are left and not three."""
    kept = list(unfaced(outer.layers))
    gap, leaves = layers[0], layers[1:]
    assert isinstance(gap, Cavity)
    if opened and third_leaf(outer):
        last = max(i for i, layer in enumerate(kept) if isinstance(layer, Cavity))
        old = kept[last]
        assert isinstance(old, Cavity)
        boards = sum(layer.thickness * layer.sheets for layer in kept[last + 1 :] if isinstance(layer, Leaf))
        wool = gap.fill_depth + old.fill_depth
        depth = gap.depth + old.depth + boards
        gap, kept = replace(gap, depth=depth, fill=gap.fill or old.fill, fill_depth=wool), kept[:last]
    return replace(outer, name=f"{outer.name}, inner room", layers=(*kept, gap, *leaves), measured=None)


def inner_face(outer: Construction) -> tuple[Leaf, ...]:
    """The leaves on this side of the last cavity."""
    after = 1 + max((i for i, layer in enumerate(outer.layers) if isinstance(layer, Cavity)), default=-1)
    return tuple(layer for layer in outer.layers[after:] if isinstance(layer, Leaf))


def third_leaf(outer: Construction) -> bool:
    """Whether an inner leaf would be the third: light boards on this side of a framed cavity."""
    framed = any(isinstance(layer, Cavity) and layer.framing for layer in outer.layers)
    last = inner_face(outer)
    light = bool(last) and not any(leaf.material.masonry for leaf in last)
    return framed and light and outer.kind not in ("window", "door")
