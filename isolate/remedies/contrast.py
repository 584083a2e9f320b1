"""One noise, several remedies: panels, a covered window, seals, a second pane, an inner room.

Every remedy is the room of the file with one thing changed, so that nothing but that thing makes the
difference. A remedy is taken from the room's own options where one fits, with its cost; else a usual one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from isolate.bands import Array
from isolate.describe import words
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Material, material
from isolate.describe.rooms import Noise, Option, Room, Side
from isolate.physics.transmission import transmission
from isolate.remedies.inner import shells as inner_room
from isolate.remedies.inner.plan import roles
from isolate.room.elements import Finder, SideFound
from isolate.room.envelope import Heard, Shell

OPEN_ROUND = 0.025  # [m] between the wall and a panel that hangs like a picture
PANE_GAP = 0.1  # [m] to a second pane, or to boards of their own
# What a second layer is called, by what the side is to the room; a floor gets none.
_SECOND = {
    "window": "second pane",
    "door": "second door",
    "walls": "free-standing lining",
    "ceiling": "independent ceiling",
}


_Tried = tuple[str, str, Shell, float | None, float, float | None]  # key, name, room, area, mass, cost


@dataclass(frozen=True)
class State:
    """The noise in one state of the room.

    key : "now" | "panels" | "cover" | "tight cover" | "seal" | "pane" | "option" | "shell".
    gain_db : how much softer than now, A-weighted; area [m2] and mass [kg] of what is added, cost, or None.
    """

    key: str
    name: str
    heard: Heard
    gain_db: float
    area: float | None = None
    mass: float | None = None
    cost: float | None = None

    @property
    def words(self) -> str:
        """What the gain means to a listener."""
        return words.change(round(self.gain_db))


def weak_side(now: Shell, heard: Heard) -> SideFound:
    """The window or door by which most of the noise comes in, or the weakest side if it has neither."""
    facing = now.facing(heard.noise.faces)
    openings = [found for found in facing if found.side.construction.kind in ("window", "door")]
    return max(openings or facing, key=lambda found: heard.share[found.side.name])


def tight_loss(side: Side, *, board: Material, thickness: float) -> Array:
    """What a board sealed airtight in front of a side takes off [dB] (27,), glass or wood and all.

    The side's own gaps open behind the board, so what comes through them is weakened alike. Cloth is left
    out: sound passes through it.
    """
    find = Finder().side
    bare = find(replace(side, gaps=()))
    cover = Cavity(thickness, fill=board, fill_depth=thickness, framing="separate frames")
    return find(replace(bare.side, construction=_more(side.construction, (cover,)))).tl_db - bare.tl_db


def loose_loss(tight_db: Array, *, open_share: float) -> Array:
    """What is left of a cover's loss [dB] (27,) when `open_share` of its area is open to the room.

    The open part lets through all that comes to it; where the cover alone would do harm (its resonance
    with the glass), the harm stays.
    """
    beside = -10 * np.log10((1 - open_share) * 10 ** (-np.asarray(tight_db, float) / 10) + open_share)
    return np.where(tight_db > 0, beside, tight_db)


def _more(construction: Construction, layers: tuple[Cavity | Leaf, ...]) -> Construction:
    title = f"{construction.title}, with more in front"
    return replace(construction, title=title, layers=(*construction.layers, *layers), measured=None)


def _leaves(construction: Construction) -> int:
    return 1 + sum(isinstance(layer, Cavity) for layer in construction.layers)


def pane_option(room: Room, side: Side) -> Option | None:
    """The cheapest of the room's options that puts one more leaf into this side."""
    found = [
        option
        for option in room.options
        if option.replace == side.name
        and option.construction is not None
        and option.construction.layers
        and _leaves(option.construction) > _leaves(side.construction)
    ]
    return min(found, key=lambda option: (option.cost is None, option.cost or 0.0), default=None)


def _seal_option(room: Room, side: Side) -> Option | None:
    found = [
        option
        for option in room.options
        if option.replace == side.name and option.construction is None and option.gaps is not None
    ]
    return found[0] if found else None


def second(side: Side) -> str:
    """What a second layer on a side is called; empty where none is offered."""
    return _SECOND.get(roles(side), "")


def a_second(side: Side) -> str:
    """The same with its article."""
    return words.with_article(second(side))


def second_layer(side: Side) -> Side:
    """The side with a second layer 100 mm behind it, sealed: 6.4 mm laminated glass behind a window, a door
    behind a door, elsewhere two boards on a frame of their own, the gap full of wool."""
    role = roles(side)
    if role == "window":
        inner = Leaf(material("laminated glass"), 0.0064)
    elif role == "door":
        inner = Leaf(material("chipboard"), 0.044)
    else:
        inner = Leaf(material("gypsum board"), 0.0125, sheets=2)
    gap = Cavity(PANE_GAP, framing="separate frames")
    if role not in ("window", "door"):
        gap = Cavity(PANE_GAP, fill=material("stone wool"), fill_depth=PANE_GAP)
    return replace(side, construction=_more(side.construction, (gap, inner)), gaps=())


def with_second(room: Room, side: Side) -> Side | None:
    """The side with one more leaf: by the room's own option, else a usual one; None where neither fits."""
    option = pane_option(room, side)
    if option is not None:
        return option.on(side)
    return second_layer(side) if side.construction.layers and second(side) else None


@dataclass(frozen=True)
class Remedies:
    """What to compare: the room as it stands, the noise, and the panels."""

    room: Room
    now: Shell
    noise: Noise
    board: Material
    thickness: float
    absorption: Array  # [m2] (27,) with the panels
    panels_name: str
    panels_area: float
    panels_mass: float
    panels_cost: float | None
    panel_cost: float | None  # of one square metre

    def states(self) -> tuple[State, ...]:
        """All states, from now to the room within the room; what does not apply is left out."""
        now = self.now.hear(self.noise)
        side = weak_side(self.now, now)
        found = [State("now", "as it is", now, 0.0)]
        for key, name, then, area, mass, cost in (*self._panels(side), *self._building(side)):
            heard = then.hear(self.noise)
            found.append(State(key, name, heard, now.inside_dba - heard.inside_dba, area, mass, cost))
        return tuple(found)

    def _panels(self, weak: SideFound) -> Iterator[_Tried]:
        treated = replace(self.now, absorption=self.absorption)
        yield "panels", self.panels_name, treated, self.panels_area, self.panels_mass, self.panels_cost
        side = weak.side
        per_area = self.panels_mass / self.panels_area
        cost = None if self.panel_cost is None else self.panel_cost * side.area
        if not side.construction.layers:
            return
        tight = tight_loss(side, board=self.board, thickness=self.thickness)
        around = 2 * sum(side.size or (side.area**0.5,) * 2) * OPEN_ROUND
        loose = loose_loss(tight, open_share=min(around / side.area, 1.0))
        for key, name, loss in (
            ("cover", f"panel over the {side.name}", loose),
            ("tight cover", f"panel sealed over the {side.name}", tight),
        ):
            yield key, name, self.now.replaced(weak.weakened(loss)), side.area, per_area * side.area, cost

    def _building(self, weak: SideFound) -> Iterator[_Tried]:
        side = weak.side
        if side.gaps:
            seal = _seal_option(self.room, side)
            gaps = seal.gaps if seal else ()
            sealed = self.now.find(replace(side, gaps=gaps or ()))
            name = seal.name if seal else f"gaps of the {side.name} sealed"
            yield "seal", name, self.now.replaced(sealed), None, 0.0, seal.cost if seal else None
        new = with_second(self.room, side)
        if new is not None:
            yield self._pane(weak, new)
        yield from self._weakest(weak)
        within = inner_room.shells_of(self.room, finder=self.now.finder)
        whole, plan = within.shell(inner_room.WHOLE), within.plan
        area = plan.wall_area + 2.0 * plan.floor_area
        yield "shell", "a room within the room", whole, area, within.load.mass, None

    def _weakest(self, weak: SideFound) -> Iterator[_Tried]:
        """The room's best option for the side by which most comes in, where that is no window or door."""
        name = self.now.hear(self.noise).weakest
        if name == weak.side.name or name not in {found.side.name for found in self.now.sides}:
            return
        old = next(found for found in self.now.sides if found.side.name == name)
        tried = []
        for option in self.room.options:
            if option.replace == name and option.vents != ():  # never by closing what lets air in
                new = self.now.find(option.on(old.side))
                then, mass = self.now.replaced(new), (new.surface_mass - old.surface_mass) * old.side.area
                tried.append(("option", option.name, then, old.side.area, mass, option.cost))
        if tried:
            yield min(tried, key=lambda one: one[2].hear(self.noise).inside_dba)

    def _pane(self, weak: SideFound, new: Side) -> _Tried:
        side, option = weak.side, pane_option(self.room, weak.side)
        name, cost = (option.name, option.cost) if option else (a_second(side), None)
        then = self.now.find(new)
        mass = (then.surface_mass - weak.surface_mass) * side.area
        return "pane", name, self.now.replaced(then), side.area, mass, cost


def own_loss(board: Material, *, thickness: float) -> Array:
    """Transmission loss [dB] (27,) of a board alone, as a sheet without end; its cloth lets sound pass."""
    bare = Construction("panel", "panel", "sheet", (Cavity(thickness, fill=board, fill_depth=thickness),))
    return transmission(bare, size=(30.0, 30.0)).tl_db
