"""Elements of the envelope: a side's construction, its gaps, vents and open part, a pair of doors,
flanking."""

from __future__ import annotations

import math
from collections import Counter, OrderedDict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import gaps
from isolate.describe.constructions import Construction
from isolate.describe.frames import NO_FRAME
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Range
from isolate.describe.rooms import Gap, Second, Side
from isolate.physics import between, facade_shape, flanking_rooms, leakage, rated, second_window, windows
from isolate.physics.air import SPEED
from isolate.physics.ducts import REFERENCE_AREA, transmission_area
from isolate.physics.flanking_rooms import FlankingFound
from isolate.physics.responses import Response, responses
from isolate.physics.transmission import Pick, Transmission, transmission, typical
from isolate.physics.windows import Window
from isolate.room import prediction
from isolate.standards import ratings

# Standard deviations [dB] where nothing states a range (common practice, no source): of a gap measured with a
# tape, of a computed vent, of a vent's tested value (between laboratories, ISO 12999-1 in size).
TAPE_DB, VENT_DB, TESTED_DB = 2.0, 3.0, 2.0
_OWN_WORD = {"window": "panes", "door": "leaf"}
NO_LEAK = 1e-12  # of a tau: what nothing can be heard of
SEALED = "sealed"  # how a second window is put in where nothing else is said
PANES = 40  # times as many constructions are remembered as windows with hundreds of panes behind them
Key = TypeVar("Key")
Found = TypeVar("Found")
LOBBY_ABSORPTION = {"bare": 0.05, "furnished": 0.15, "treated": 0.3}  # mean of its boundary: common practice


@dataclass(frozen=True)
class Element:
    """One way: its `name`, the side (or flanking) it belongs to, its kind ("construction", "gap", "vent",
    "opening", "flanking"), tau S [m2] (..., 27) and the standard deviation of it [dB] (27,)."""

    name: str
    side: str
    kind: str
    tau_area: Array
    sigma_db: Array

    @property
    def words(self) -> str:
        """The element as a sentence names it."""
        whose = "flanking" if self.kind == "flanking" else self.side
        what = self.name.removeprefix(f"{whose}: ")
        return f"{whose} ({what})" if what != self.name else self.name

    @property
    def difference_db(self) -> Array:
        """Normalised level difference D_n of this element alone [dB] (..., 27)."""
        with np.errstate(divide="ignore"):
            return -10.0 * np.log10(self.tau_area / REFERENCE_AREA)


@dataclass(frozen=True)
class BuiltSide:
    """One side with what was found of it: its `elements`, `surface_mass` [kg/m2]."""

    side: Side
    elements: tuple[Element, ...]
    surface_mass: float
    notes: tuple[str, ...]

    @property
    def tau_area(self) -> Array:
        """tau S [m2] (..., 27) of all its elements."""
        return np.asarray(sum(one.tau_area for one in self.elements))

    @property
    def tau(self) -> Array:
        """Transmission coefficient (..., 27) re its area, leaks included."""
        return self.tau_area / self.side.area

    @property
    def tl_db(self) -> Array:
        """Transmission loss [dB] (..., 27), leaks included."""
        return -10.0 * np.log10(self.tau)

    @property
    def rw(self) -> int:
        """Weighted sound reduction index [dB], leaks included."""
        return int(ratings.rw(self.tl_db))

    @property
    def own_rw(self) -> int:
        """Weighted sound reduction index [dB] of its construction alone, nothing leaking."""
        own = sum(one.tau_area for one in self.elements if one.kind == "construction")
        return int(ratings.rw(-10.0 * np.log10(own / self.side.area)))

    @property
    def leak_rw(self) -> int | None:
        """The same of its leaks alone, the construction perfect: what no better one gets it above. None where
        nothing leaks."""
        leaks = [one.tau_area for one in self.elements if one.kind != "construction"]
        return int(ratings.rw(-10.0 * np.log10(sum(leaks) / self.side.area))) if leaks else None

    @property
    def leak_words(self) -> str:
        """What leaks, in words."""
        kinds = {one.kind for one in self.elements}
        said = {"gap": "gaps", "vent": "vent", "opening": "left open"}
        return " and ".join(word for kind, word in said.items() if kind in kinds)

    @property
    def open_share(self) -> float:
        """Share of its area that is gaps, vents and what stands open."""
        slits = sum(gap.area for gap in self.side.gaps)
        vents = sum((vent.area or 0.0) * vent.count for vent in self.side.vents)
        opened = self.side.opened.typical if self.side.opened else 0.0
        return (slits + vents) / self.side.area + opened

    @property
    def exposure_db(self) -> float:
        """What reaches it of outdoor noise less what is stated for the word it faces [dB]."""
        shape = self.side.shape
        by_shape = 0.0
        if shape is not None:
            by_shape = facade_shape.level_difference(
                shape.kind, soffit_absorption=shape.soffit_absorption, sight_height=shape.sight_height
            )
        return -by_shape - self.side.shielding_db

    def weakened(self, loss_db: Array | float, *, all_of_it: bool = True) -> BuiltSide:
        """With `loss_db` (27,) taken off every element, or off its construction alone; none passes more than
        its area."""
        factor = 10.0 ** (-np.asarray(loss_db, float) / 10.0)
        elements = tuple(
            replace(one, tau_area=np.minimum(one.tau_area * factor, self.side.area))
            if all_of_it or one.kind == "construction"
            else one
            for one in self.elements
        )
        return replace(self, elements=elements)


class _Recent(OrderedDict[Key, Found]):
    """What was found, by key; of more than `most` that which nobody has asked for longest is dropped."""

    def __init__(self, most: float) -> None:
        super().__init__()
        self._most = most

    def recall(self, key: Key, find: Callable[[], Found]) -> Found:
        """What is known by this key, or is found now."""
        found = self.pop(key, None)
        if found is None:
            found = find()
        self[key] = found  # the newest now, whatever other threads ask for
        if len(self) > self._most:
            self.popitem(last=False)
        return found


class Finder:
    """Finds sides, each construction computed once; `pick` gives material values and widths as for
    `physics.transmission`: typical, or draws. `most`: how many constructions and sides it remembers."""

    def __init__(self, pick: Pick = typical, *, most: float = math.inf) -> None:
        self.pick = pick
        # What is known by identity is held beside it, so that no other thing takes its place in memory.
        self._known: _Recent[object, tuple[Construction, Transmission]] = _Recent(most)
        self._sides: _Recent[object, tuple[Side, BuiltSide]] = _Recent(most)
        self._linings: _Recent[object, Array] = _Recent(most)
        self._responses: _Recent[object, tuple[Response, ...]] = _Recent(most)
        self._opened: _Recent[object, tuple[Array, Array]] = _Recent(most)
        self._flanks: _Recent[object, tuple[object, object, tuple[Element, ...]]] = _Recent(most)
        self._windows: _Recent[object, Window] = _Recent(most / PANES)

    def through(
        self, construction: Construction, size: tuple[float, float], *, flanked: bool = False
    ) -> Transmission:
        """Transmission of a construction at this size [m]; `flanked`: flanking is computed for itself."""
        described = (construction.kind, construction.layers, construction.frame, id(construction.measured))
        key = (*described, size, flanked)
        return self._known.recall(key, lambda: (
            construction, transmission(construction, size=size, pick=self.pick, round_about=not flanked)
        ))[1]  # fmt: skip

    def responses(self, construction: Construction, size: tuple[float, float]) -> tuple[Response, ...]:
        """What it answers to that is not known of its materials and of who builds it, at this size [m]."""
        key = (construction.kind, construction.layers, construction.frame, size)
        return self._responses.recall(key, lambda: responses(construction, size=size))

    def behind(
        self,
        window: Construction,
        panes: Sequence[Leaf],
        *,
        depths: Array,
        size: tuple[float, float],
        edges: str,
    ) -> Window:
        """A window with each of these panes behind it, as `physics.second_window.behind`."""
        key = (window.layers, window.frame, *panes, *depths, size, edges)
        return self._windows.recall(
            key, lambda: second_window.behind(window, panes, depths=depths, size=size, edges=edges)
        )

    def side(self, side: Side, *, flanked: bool = False) -> BuiltSide:
        """What this side lets through and by which ways; without a stated size it is taken as square.

        `flanked`: flanking past it has elements of its own.
        """
        key = _itself(side), flanked
        return self._sides.recall(key, lambda: (side, self._moved(side, flanked)))[1]

    def _moved(self, side: Side, flanked: bool) -> BuiltSide:
        """The side, moved to what was measured of it."""
        found = self._found(side, flanked)
        return found if side.found is None else found.weakened(side.found.better_db, all_of_it=False)

    def _found(self, side: Side, flanked: bool) -> BuiltSide:
        size = side.extent
        through = self.through(side.construction, size, flanked=flanked)
        free = min(sum(gap.area for gap in side.gaps) / side.area, 1.0)
        opened = float(np.mean(side.opened.typical)) if side.opened else 0.0
        solid = 10.0 ** (-through.tl_db / 10.0) * max(1.0 - free - opened, 0.0) * side.area
        sigma = side.found.sigma_db if side.found else prediction.of_curve(side.construction)
        leaks = [self._gap(side, gap, name) for gap, name in named_gaps(side.gaps)]
        own = Element(_own_name(side), side.name, "construction", solid, sigma)
        if _two_windows(side):
            own, *leaks = self._window_behind_window(side, own, leaks, size)
        mass, notes = float(np.mean(through.surface_mass)), list(through.notes)
        if side.opened is not None and side.opened.high > 0.0 and side.construction.kind == "window":
            notes.append(_OPEN_NOTE)
        elements = (own, *leaks)
        if side.second is not None:
            elements, more = self._behind_lobby(side, side.second, elements, size)
            mass, notes = mass + more, [*notes, _LOBBY_NOTE]
        return BuiltSide(side, (*elements, *self._ways(side)), mass, tuple(notes))

    def _window_behind_window(
        self, side: Side, own: Element, sashes: list[Element], size: tuple[float, float]
    ) -> Iterator[Element]:
        """The panes of two windows, and what gets past frames, the gaps of the outer and the joint of the
        inner one."""
        parted = second_window.apart(side.construction, shared=True)
        assert parted is not None
        panes, apart = (second_window.of(one, size=size) for one in (side.construction, parted))
        slides = windows.brushes(side.construction.frame or NO_FRAME, size=size)
        sash = sum((one.tau_area for one in sashes), slides * side.area) / side.area
        joints = side.inner_gaps or (gaps.round_window(SEALED, size),)
        between_them = [None] * (len(apart.runs) - 2)

        def past(end: str) -> Array:
            seal = np.asarray(sum(leakage.gap(_at(one, end)) for one in joints) / side.area)
            return np.maximum(apart.past([sash, *between_them, seal]), NO_LEAK)

        yield replace(own, tau_area=panes.through * side.area)
        low, usual, high = past("low"), past("typical"), past("high")
        spread = np.maximum(np.abs(10.0 * np.log10(high / low)) / (2.0 * prediction.LIMIT), TAPE_DB)
        yield Element(f"{side.name}: past the seals", side.name, "gap", usual * side.area, spread)

    def lining(self, construction: Construction) -> Array:
        """What the lining in the room takes off what a masonry leaf radiates [dB] (27,)."""
        return self._linings.recall(construction.layers, lambda: flanking_rooms.lining(construction))

    def flanking(
        self, word: str, found: FlankingFound, wall: Construction, linings: Mapping[str, Array]
    ) -> tuple[Element, ...]:
        """What flanks from the room of this word past a wall, an element each, with `linings` put on by
        name."""
        key = (word, id(found), wall.layers, *((name, id(gain)) for name, gain in linings.items()))
        return self._flanks.recall(
            key, lambda: (found, linings, _flanks(word, found, self.lining(wall), linings))
        )[-1]

    def _gap(self, side: Side, gap: Gap, name: str) -> Element:
        tau = leakage.gap(gap, pick=self.pick, key=f"{side.name}.{name}")
        spread = np.full_like(THIRD_OCTAVES, TAPE_DB)
        if gap.widths is not None:
            stated = replace(gap, widths=None)
            spread = _half_range(lambda width: leakage.gap(replace(stated, width=width)), gap.widths)
        return Element(f"{side.name}: {name}", side.name, "gap", tau, spread)

    def _ways(self, side: Side) -> Iterator[Element]:
        """Vents, and what stands open."""
        for vent in side.vents:
            spread = np.full_like(THIRD_OCTAVES, TESTED_DB if vent.tested else VENT_DB)
            if vent.stated is not None:
                spread = np.hypot(spread, rated.curve(vent.stated.ratings, "vent")[1])
            yield Element(f"{side.name}: {vent.name}", side.name, "vent", leakage.vent(vent), spread)
        if side.opened is not None and side.opened.high > 0.0:
            key = side.name, side.opened, side.area
            tau, spread = self._opened.recall(key, lambda: self._through_opened(*key))
            yield Element(f"{side.name}: open part", side.name, "opening", tau, spread)

    def _through_opened(self, name: str, share: Range, area: float) -> tuple[Array, Array]:
        """tau S [m2] of what stands open by a share of an area, and the standard deviation of it [dB]."""
        tau = leakage.opened(share, area=area, pick=self.pick, key=name)
        return tau, _half_range(lambda share: leakage.opened(_exactly(share), area=area), share)

    def _behind_lobby(
        self, side: Side, second: Second, outer: tuple[Element, ...], size: tuple[float, float]
    ) -> tuple[tuple[Element, ...], float]:
        """The ways through two doors and the lobby between them, and what the second adds [kg/m2].

        Energy through each pair of ways, one in each door; where lobby and doors are one double
        construction (below half a wavelength between them) no better than that.
        """
        inner = self.side(Side(side.name, side.faces, second.construction, side.area, size, second.gaps))
        width, depth, height = second.lobby
        surface = 2.0 * (width * depth + width * height + depth * height)
        absorption = LOBBY_ABSORPTION[second.furnishing] * surface
        first, last = (np.asarray(sum(p.tau_area for p in some)) for some in (outer, inner.elements))
        scale = between.through_lobby(first, last, area_in=1.0, area_out=1.0, absorption=absorption)
        leaf, *leaks = outer
        found = [replace(p, tau_area=p.tau_area / first * scale) for p in leaks]
        through_leaf = leaf.tau_area / first * scale
        found += [
            replace(p, name=f"{p.name}, second", tau_area=through_leaf * p.tau_area / last)
            for p in inner.elements[1:]
        ]
        both = through_leaf * inner.elements[0].tau_area / last
        both = np.maximum(both, self._double(side, second, depth, size) * side.area)
        sigma = np.hypot(leaf.sigma_db, inner.elements[0].sigma_db)
        return (replace(leaf, tau_area=both, sigma_db=sigma), *found), inner.surface_mass

    def _double(self, side: Side, second: Second, depth: float, size: tuple[float, float]) -> Array:
        """tau (27,) of both doors as one double construction where that holds, else 0."""
        first, last = side.construction, second.construction
        near = 2.0 * depth * THIRD_OCTAVES < SPEED
        if not (first.layers and last.layers and near.any()):
            return np.zeros_like(THIRD_OCTAVES)
        lobby = Cavity(depth, framing="separate frames")
        both = replace(first, layers=(*first.layers, lobby, *last.layers), measured=None)
        return np.where(near, 10.0 ** (-self.through(both, size).tl_db / 10.0), 0.0)


def _itself(side: Side) -> Side | int:
    """A side by its values; by its identity where arrays are among them."""
    with suppress(TypeError):
        hash(side)
        return side
    return id(side)


_OPEN_NOTE = (
    "left open: in 102 dwellings the level outside less that inside was in the median 10 dBA with windows "
    "open, 16 tilted, 28 closed (Locher et al., 2018); it is 3 dB more where the level outside has the "
    "reflection of the facade in it, as those stated here have"
)
_LOBBY_NOTE = (
    "two doors: sound in the lobby between them taken as diffuse; where it is narrower than half a "
    "wavelength, no better than both as one double construction"
)


def _at(gap: Gap, end: str) -> Gap:
    """A gap as wide as one end of its range: "low", "typical" or "high"."""
    return gap if gap.widths is None else replace(gap, width=getattr(gap.widths, end), widths=None)


def _exactly(value: float) -> Range:
    return Range(value, value, value)


def _half_range(passed: Callable[[float], Array], value: Range) -> Array:
    """Standard deviation [dB] (27,) of an element whose size lies in a 90 % range."""
    low, high = passed(max(value.low, 1e-6)), passed(max(value.high, 1e-6))
    return np.abs(10.0 * np.log10(high / low)) / (2.0 * prediction.LIMIT)


def _flanks(
    word: str, found: FlankingFound, wall_db: Array, linings: Mapping[str, Array]
) -> tuple[Element, ...]:
    lined = found.lined(wall_db=wall_db, flanks_db=linings)
    sigma = (lined.down_db + lined.up_db) / (2.0 * prediction.LIMIT)
    by_name: dict[str, Array] = {}
    for one in lined.paths:
        by_name[one.name] = by_name.get(one.name, 0.0) + transmission_area(one.difference_db)
    return tuple(
        Element(f"flanking: {name}", f"flanking ({word})", "flanking", tau, sigma)
        for name, tau in by_name.items()
    )


def _two_windows(side: Side) -> bool:
    """Whether a side is one window behind another with gaps or joints of which something is known."""
    if side.inner_gaps is None and not side.gaps:
        return False
    return second_window.apart(side.construction, shared=side.inner_gaps is not None) is not None


def _own_name(side: Side) -> str:
    """The construction as an element: the side's name where it is the only one."""
    if not (side.gaps or side.vents or side.opened or side.second):
        return side.name
    return f"{side.name}: {_OWN_WORD.get(side.construction.kind, 'itself')}"


def named_gaps(gaps: tuple[Gap, ...]) -> list[tuple[Gap, str]]:
    """The gaps with a name each, numbered where they would be alike."""
    names = [gap.name or f"{gap.width * 1e3:.3g} mm gap" for gap in gaps]
    count, seen = Counter(names), Counter[str]()
    found = []
    for gap, name in zip(gaps, names, strict=True):
        seen[name] += 1
        found.append((gap, f"{name} {seen[name]}" if count[name] > 1 else name))
    return found
