"""The room a second window is for: which window, which noises, and how loud they are behind what is tried."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from isolate.bands import Array, energy_sum
from isolate.describe import noises, rooms
from isolate.describe.gaps import round_window
from isolate.describe.noises import Level
from isolate.describe.rooms import Noise, Room, Side
from isolate.describe.sounds import USUAL_BACKGROUND
from isolate.errors import InputError
from isolate.remedies.second_window.asked import Asked, Size, old_window
from isolate.remedies.second_window.panes import is_window
from isolate.room import scenario
from isolate.room.elements import BuiltSide
from isolate.room.received import Received
from isolate.room.scenario import Scenario
from isolate.standards import hearing
from isolate.standards.weighting import dba
from isolate.units import show_length

# What a window alone is asked about: noises of a town street and how far their sources are off (common
# practice, no source); None: at the facade, as the catalogue has it.
STREET: tuple[tuple[str, float | None], ...] = (
    ("siren", 90.0), ("bus", 10.0), ("motorcycle", 10.0), ("delivery van", 10.0), ("road traffic", None),
    ("playground", 60.0), ("speech", 6.0),
)  # fmt: skip
USUAL_SIZE: Size = (1.2, 1.4)  # [m] of a window nobody measured
USUAL_SASH = "partly sealed"
USUAL_ROOM = (4.0, 3.2, 2.5)  # [m]
_FACES = "street"


@dataclass(frozen=True, eq=False)
class Setting:
    """The window `built` as it is in its room `now`, `heard` the sounds that reach it, `chosen` which of them
    counts (None: all that are heard); `alone`: there is no room but a usual one; `beside`: whether other
    ways count too."""

    now: Scenario
    built: BuiltSide
    heard: tuple[Received, ...]
    chosen: int | None
    alone: bool
    notes: tuple[str, ...]
    beside: bool = True

    @property
    def room(self) -> Room:
        return self.now.room

    @property
    def side(self) -> Side:
        return self.built.side

    @property
    def size(self) -> Size:
        """Width and height of the window [m]."""
        edge = self.side.area**0.5
        return self.side.size or (edge, edge)

    @property
    def first(self) -> int:
        """The noise that is told first: the chosen one, or what sticks out most."""
        margins = [one.margin for one in self.heard]
        return int(np.argmax(margins)) if self.chosen is None else self.chosen

    @property
    def counting(self) -> tuple[int, ...]:
        """The noises to be stopped: the chosen one, or all that are heard; all if none is."""
        if self.chosen is not None:
            return (self.chosen,)
        audible = tuple(i for i, one in enumerate(self.heard) if one.is_heard)
        return audible or tuple(range(len(self.heard)))

    def leaks(self) -> Array:
        """tau (27,) re its area of the old window's gaps and of what stands open."""
        found = [one.tau_area for one in self.built.elements if one.kind in ("gap", "opening")]
        return np.sum(found, axis=0) / self.side.area if found else np.zeros(hearing.THRESHOLD.size)

    @cached_property
    def _parts(self) -> tuple[Array, Array]:
        """Of each noise: levels [dB] (noises, 27) of what comes by other ways, and of what the window's
        panes and gaps would let by if their tau were 1."""
        beside, own = [], []
        mine = np.sum([one.tau_area for one in self.built.elements if one.kind != "vent"], axis=0)
        for one in self.heard:
            through = np.array([e.side == self.side.name and e.kind != "vent" for e in one.elements])
            with np.errstate(divide="ignore"):
                beside.append(one.level_db + 10 * np.log10(one.part[~through].sum(0)))
                open_db = one.level_db + 10 * np.log10(one.part[through].sum(0))
            own.append(open_db - 10 * np.log10(mine / self.side.area))
        return np.array(beside) if self.beside else np.full_like(beside, -np.inf), np.array(own)

    @property
    def beside_db(self) -> Array:
        """Levels [dB] (noises, 27) of what comes by other ways than this window's panes and gaps."""
        return self._parts[0]

    def inside_db(self, tau: Array) -> Array:
        """Levels inside [dB] (noises, ..., 27) with a window of tau (..., 27)."""
        shape = (len(self.heard), *(1,) * (np.ndim(tau) - 1), -1)
        beside, own = (part.reshape(shape) for part in self._parts)
        return energy_sum([np.broadcast_to(beside, (len(self.heard), *np.shape(tau))),
                           own + 10 * np.log10(tau)], axis=0)  # fmt: skip

    def margin(self, inside_db: Array) -> Array:
        """Largest excess [dB] (noises, ...) over background and threshold of levels (noises, ..., 27)."""
        return np.asarray(self._margin_db(inside_db).max(-1))

    def _margin_db(self, inside_db: Array) -> Array:
        shape = (len(self.heard), *(1,) * (inside_db.ndim - 2), -1)
        background = np.array([one.background_db for one in self.heard]).reshape(shape)
        return hearing.margin(inside_db, background)

    def excess(self, inside_db: Array) -> Array:
        """What sticks out of background and threshold [dB] (noises, ...), all bands together, of levels
        (noises, ..., 27); 0 where nothing is heard."""
        margin = self._margin_db(inside_db)
        return np.where(margin.max(-1) > 0.0, np.maximum(energy_sum(margin), 0.0), 0.0)

    def gain_dba(self, inside_db: Array) -> Array:
        """How much softer each noise is [dBA] than now; (noises, ..., 27) to (noises, ...)."""
        now = np.array([one.dba for one in self.heard])
        return now.reshape(-1, *(1,) * (inside_db.ndim - 2)) - dba(inside_db)


def setting(described: Room | str | None, asked: Asked) -> Setting:
    """The window that is asked about, in its room or in a usual one.

    Raises
    ------
    InputError
        No such room, side or noise, or a side that is no window.
    """
    alone = described is None and (asked.window is not None or asked.size is not None)
    if alone:
        room = _usual_room(asked)
    else:
        room = described if isinstance(described, Room) else rooms.load(described)
    side = _window(room, asked)
    changed, notes = _changed(side, asked, alone)
    noises_, chosen = _noises(room, asked, changed.faces)
    sides = tuple(changed if one is side else one for one in room.sides)
    now = scenario.present(replace(room, sides=sides, noises=noises_))
    built, heard = _there(now, changed.name)
    if not heard:
        raise InputError(f"{room.name}: no noise comes to {side.name}; name a noise of the catalogue")
    where = [one.source is chosen for one in heard]
    if chosen is not None and not any(where):
        raise InputError(
            f"noise: {chosen.name} does not come to {side.name}, which faces {side.faces}; name another "
            "one, or the side it comes to"
        )
    counts = None if chosen is None else where.index(True)
    return Setting(now, built, heard, counts, alone, (*asked.notes, *notes))


def of(now: Scenario, name: str, *, beside: bool = True) -> Setting:
    """A window of a room by its name; where no sound comes to it, the same in a usual room.

    beside: as the room is; else as if no sound came in, or went out, by other ways.
    """
    built, noises_ = _there(now, name)
    out = tuple(one for one in now.sounds if one.neighbour and any(e.side == name for e in one.elements))
    heard = noises_ if beside else (*noises_, *out)
    if heard:
        return Setting(now, built, heard, None, False, (), beside)
    side = replace(built.side, faces=_FACES, vents=())
    room = replace(_usual_room(Asked(window=side.construction)), sides=(side,))
    alone = scenario.present(room, now.envelope.finder)
    return Setting(alone, alone.envelope.sides[0], alone.heard, None, True, (), beside)


def _there(now: Scenario, name: str) -> tuple[BuiltSide, tuple[Received, ...]]:
    """A side by its name, and the noises that come to it."""
    built = next(one for one in now.envelope.sides if one.side.name == name)
    return built, tuple(one for one in now.heard if built.side.faces in one.noise.reaches)


def _usual_room(asked: Asked) -> Room:
    window = asked.window or old_window("double glazed")[0]
    size = asked.size or USUAL_SIZE
    side = Side("window", _FACES, window, size[0] * size[1], size)
    heard = tuple(_from_catalogue(name, _FACES, distance=distance) for name, distance in STREET)
    title = "A usual room on a town street"
    return Room("a usual room", title, USUAL_ROOM, "furnished", None, USUAL_BACKGROUND, (side,), heard)


def _from_catalogue(
    name: str, faces: str, *, distance: float | None = None, level: Level | None = None
) -> Noise:
    spectrum = noises.load(name)
    return Noise(spectrum.name, faces, spectrum, level, distance=distance)


def _noises(room: Room, asked: Asked, faces: str) -> tuple[tuple[Noise, ...], Noise | None]:
    """The room's noises, with one of the catalogue where that is asked for; and the chosen one."""
    if asked.noise is None:
        return room.noises, None
    chosen = _named(room, asked.noise)
    if chosen is not None and asked.level is None:
        return room.noises, chosen
    if chosen is not None:
        new = replace(chosen, level=asked.level, at=None, distance=None)
        return tuple(new if one is chosen else one for one in room.noises), new
    try:
        new = _from_catalogue(asked.noise, faces, level=asked.level)
    except InputError as fault:
        own = ", ".join(one.name for one in room.noises) or "none"
        raise InputError(f"noise: {fault}; noises of the room: {own}") from None
    return (*room.noises, new), new


def _named(room: Room, name: str) -> Noise | None:
    """The noise of the room that goes by this name: its own, its spectrum's, or part of its own."""
    word = name.strip().casefold()
    ways: tuple[Callable[[Noise], bool], ...] = (
        lambda one: one.name.casefold() == word,
        lambda one: one.spectrum.name.casefold() == word,
        lambda one: word in one.name.casefold(),
    )
    for way in ways:
        found = [one for one in room.noises if word and way(one)]
        if len(found) == 1:
            return found[0]
    return None


def _window(room: Room, asked: Asked) -> Side:
    """The side that is asked about: the one named, else the window by which most noise comes in."""
    windows = [side for side in room.sides if is_window(side)]
    if asked.side is not None:
        name = asked.side.strip().casefold()
        named = next((side for side in room.sides if side.name.casefold() == name), None)
        if named is None or named not in windows:
            known = ", ".join(side.name for side in windows) or "none"
            what = "no side of this name" if named is None else "no window whose panes are known"
            raise InputError(f'side: {what} (got "{asked.side}"); windows of the room: {known}')
        return named
    if not windows:
        raise InputError(f"{room.name}: has no window whose panes are known; state window and size")
    return windows[0] if len(windows) == 1 else _weakest(room, windows, asked.noise)


def _weakest(room: Room, windows: list[Side], noise: str | None) -> Side:
    named = _named(room, noise) if noise else None
    energy = dict.fromkeys((side.name for side in windows), 0.0)
    for heard in scenario.present(replace(room, noises=(named,) if named else room.noises)).heard:
        for name in energy:
            energy[name] += heard.by_side.get(name, 0.0) * 10.0 ** (heard.dba / 10.0)
    return max(windows, key=lambda side: energy[side.name])


def _changed(side: Side, asked: Asked, alone: bool) -> tuple[Side, list[str]]:
    """The side as the question describes it, and what had to be assumed."""
    notes = []
    if asked.window is not None:
        side = replace(side, construction=asked.window)
    if asked.size is not None:
        side = replace(side, size=asked.size, area=asked.size[0] * asked.size[1])
    elif side.size is None:
        edge = side.area**0.5
        notes.append(f"{side.name}: width and height not stated, {show_length(edge)} square taken")
    size = side.size or (side.area**0.5,) * 2
    if asked.sash is not None:
        side = replace(side, gaps=(round_window(asked.sash, size),))
    elif alone:
        side = replace(side, gaps=(round_window(USUAL_SASH, size),))
        notes.append(f"sash: state of its seal not stated, {USUAL_SASH} taken")
    elif not side.gaps:
        notes.append(f"{side.name}: no gaps stated, its sash counts as airtight")
    return side, notes
