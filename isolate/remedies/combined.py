"""The room with any remedies made: every state of every part of it found once, and scenarios put together of
them.

The parts ("cells") are the sides and what flanks from each word. A side with some of its remedies made is one
state of its cell: a spectrum of tau S. Combinations only pick a state of each cell, and the energy of a sound
is a sum over cells, so that thousands of combinations are sums of stored arrays.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from isolate.bands import N_BANDS, Array
from isolate.describe.rooms import Noise, Side
from isolate.physics import flanking_rooms
from isolate.remedies import playing
from isolate.remedies.inner.shell import Shells
from isolate.remedies.inner.shells import scenario_of, shells_of
from isolate.remedies.remedy import Remedy
from isolate.room import neighbours as next_door
from isolate.room import scenario
from isolate.room.elements import BuiltSide, Element
from isolate.room.envelope import Envelope
from isolate.room.impact import STRUCTURE
from isolate.room.received import Received
from isolate.room.scenario import Scenario

# ("side", its name), ("flank", the word it comes from), ("steps", the noise of feet above), ("floor", the own
# sound at a neighbour that is put into it), or ("played", the own sound): a factor on all that is in the air
Cell = tuple[str, str]
Chosen = frozenset[int]
PRESENT: Chosen = frozenset()


def cells(sound: Received, envelope: Envelope) -> dict[Cell, float]:
    """The cells a sound passes, each with its weight: energy is the sum of weight times tau S."""
    found: dict[Cell, float] = {}
    if isinstance(sound.source, Noise):
        if sound.source.impact is not None:
            return {("steps", sound.name): 1.0}
        for word, weaker in sound.source.reaches.items():
            for one in envelope.facing(word):
                exposure = 0.0 if sound.source.indoors else one.exposure_db
                found["side", one.side.name] = 10.0 ** ((exposure - weaker) / 10.0)
            if envelope.round_about(word):
                found["flank", word] = 10.0 ** (-weaker / 10.0)
        return found
    to, found["played", sound.what] = sound.to, 1.0
    if any(one.kind == STRUCTURE for one in sound.elements):
        found["floor", sound.name] = 1.0
    for one in envelope.sides:
        if one.side.name in to.through:
            found["side", one.side.name] = 1.0
            if to.distance is None and envelope.round_about(one.side.faces):
                found["flank", one.side.faces] = 1.0
    return found


class Combined:
    """A room as it is `now` with any of these remedies made."""

    def __init__(self, now: Scenario, remedies: Sequence[Remedy]) -> None:
        self.now, self.room, self.remedies = now, now.room, tuple(remedies)
        self._sides: dict[tuple[str, Chosen], BuiltSide] = {}
        self._cells: dict[tuple[Cell, Chosen], Array] = {}
        self._envelopes: dict[Chosen, Envelope] = {}
        self._inner: dict[Chosen, Shells] = {}
        self._scenarios: dict[Chosen, Scenario] = {PRESENT: now}
        self._by_name = {found.side.name: found for found in now.envelope.sides}
        self._touched: dict[Cell, tuple[int, ...]] = {}

    def touching(self, cell: Cell) -> tuple[int, ...]:
        """The remedies that change a cell; inner rooms, which change all of them, left out."""
        if cell not in self._touched:
            kind, name = cell
            single = [(i, one) for i, one in enumerate(self.remedies) if not one.parts]
            if kind == "side":
                found = [i for i, one in single if one.side == name]
            elif kind == "played":
                found = [i for i, one in single if one.way is not None and one.way.sound == name]
            elif kind == "floor":
                below = {one.name for one in self.now.envelope.described if one.lies == "below"}
                what = self.now.sound(name).what
                ways = [i for i, one in single if one.way is not None and one.way.sound == what]
                found = [*(i for i, one in single if one.side in below), *ways]
            elif kind == "steps":
                above = {one.side.name for one in self.now.envelope.facing(self._noise(name).faces)}
                found = [i for i, one in single if one.side in above]
            else:
                facing = [one.side for one in self.now.envelope.facing(name)]
                wall = flanking_rooms.largest(facing).name
                found = [
                    i for i, one in single
                    if one.option.flanks or (one.side == wall and one.option.construction is not None)
                ]  # fmt: skip
            self._touched[cell] = tuple(found)
        return self._touched[cell]

    def side(self, name: str, chosen: Chosen) -> BuiltSide:
        """A side with those of the chosen remedies made that change it."""
        mine = frozenset(i for i in chosen if self.remedies[i].side == name and not self.remedies[i].parts)
        if not mine:
            return self._by_name[name]
        key = name, mine
        if key not in self._sides:
            self._sides[key] = self._built(name, [self.remedies[i] for i in sorted(mine)])
        return self._sides[key]

    def _made(self, side: Side, mine: Sequence[Remedy]) -> Side:
        """A side as it is written with remedies made."""
        for one in mine:
            side = one.on(side)
        return side

    def _built(self, name: str, mine: Sequence[Remedy]) -> BuiltSide:
        old = self._by_name[name].side
        side = self._made(old, mine)
        found = self._by_name[name] if side == old else self.now.envelope.find(side)
        for one in mine:
            if one.loss_db is not None:
                found = found.weakened(one.loss_db, all_of_it=one.covers)
        return found

    def cell(self, cell: Cell, chosen: Chosen) -> Array:
        """tau S [m2] (27,) of a cell with the chosen remedies made."""
        key = cell, chosen & frozenset(self.touching(cell))
        if key not in self._cells:
            kind, name = cell
            ways = [way for i in key[1] if (way := self.remedies[i].way) is not None]
            if kind == "played":
                tau = np.prod([10.0 ** (-way.air_db / 10.0) for way in ways], axis=0) * np.ones(N_BANDS)
            elif kind == "side":
                tau = self.side(name, key[1]).tau_area
            else:
                tau = np.asarray(sum(one.tau_area for one in self._elements(kind, name, key[1])))
            if kind == "floor":
                tau = tau * 10.0 ** (-sum((way.into_floor() for way in ways), np.zeros(N_BANDS)) / 10.0)
            self._cells[key] = tau
        return self._cells[key]

    def _elements(self, kind: str, name: str, chosen: Chosen) -> Sequence[Element]:
        """What a cell that is no side is made of."""
        if kind == "flank":
            return self.envelope(chosen).round_about(name)
        if kind == "steps":
            noise = self._noise(name)
            if any(self.remedies[i].loss_db is not None for i in chosen):
                return self.envelope(chosen).hear(noise).elements
            made = [self.remedies[i] for i in sorted(chosen)]
            above = [one.side for one in self.now.envelope.facing(noise.faces)]
            return self.now.envelope.steps(noise, [self._made(one, made) for one in above])[1]
        built = frozenset(i for i in chosen if self.remedies[i].way is None)
        if not built:
            return [one for one in self.now.sound(name).elements if one.kind == STRUCTURE]
        return next_door.into_floor(self.now.sound(name), self.room, self.envelope(built))

    def _noise(self, name: str) -> Noise:
        return self.now.sound(name).noise

    def level(self, sound: Received, chosen: Chosen) -> Array:
        """Level [dB] (27,) of a sound with the chosen remedies made, inner rooms left out."""
        through = cells(sound, self.now.envelope)
        return levels(
            sound.level_db, through,
            {cell: self.cell(cell, chosen) for cell in through},
            {cell: self.cell(cell, PRESENT) for cell in through},
        )  # fmt: skip

    def envelope(self, chosen: Chosen) -> Envelope:
        """The whole envelope with the chosen remedies made, inner rooms left out."""
        if chosen not in self._envelopes:
            self._envelopes[chosen] = self._envelope(chosen)
        return self._envelopes[chosen]

    def _envelope(self, chosen: Chosen) -> Envelope:
        made = self.now.envelope
        for name in dict.fromkeys(self.remedies[i].side for i in sorted(chosen)):
            if name in self._by_name:
                made = made.replaced(self.side(name, chosen))
            elif made.underfoot is not None and name == made.underfoot.name:
                mine = [self.remedies[i] for i in sorted(chosen)]
                made = replace(made, underfoot=self._made(made.underfoot, mine))
        for i in sorted(chosen):
            one = self.remedies[i]
            if one.option.lining is not None:
                gain = made.finder.lining(one.option.lining)
                made = replace(made, linings={**made.linings, **dict.fromkeys(one.option.flanks, gain)})
            if one.absorbs is not None:
                made = replace(made, absorption=made.absorption + one.absorbs)
        return made

    def scenario(self, chosen: Chosen) -> Scenario:
        """Everything that is received with the chosen remedies made."""
        if chosen not in self._scenarios:
            self._scenarios[chosen] = self._scenario(chosen)
        return self._scenarios[chosen]

    def _scenario(self, chosen: Chosen) -> Scenario:
        ways = {i: way for i in sorted(chosen) if (way := self.remedies[i].way) is not None}
        if ways:
            return playing.scenario_of(self.scenario(chosen - set(ways)), list(ways.values()))
        inner = [self.remedies[i] for i in chosen if self.remedies[i].parts]
        beside = frozenset(i for i in chosen if not self.remedies[i].parts)
        if not inner:
            return scenario.of(self.room, self.envelope(chosen))
        if beside not in self._inner:
            sides = tuple(self.side(one.name, beside).side for one in self.room.sides)
            built = replace(self.room, sides=sides) if beside else self.room
            self._inner[beside] = shells_of(built, finder=self.now.envelope.finder)
        return scenario_of(self._inner[beside], inner[0].parts)


def levels(
    level_db: Array, through: Mapping[Cell, float], then: Mapping[Cell, Array], now: Mapping[Cell, Array]
) -> Array:
    """Levels [dB] (..., 27) of a sound of `level_db` (27,) now, where its cells let through tau S (..., 27)
    in place of what they do `now` (27,)."""
    after, before = (_energy(through, cells) for cells in (then, now))
    with np.errstate(divide="ignore"):
        return np.asarray(level_db + 10.0 * np.log10(after / before))


def _energy(through: Mapping[Cell, float], tau: Mapping[Cell, Array]) -> Array:
    """What comes through all cells, that in the air as it is played."""
    found: dict[str, Array | float] = {"played": 1.0, "floor": 0.0, "air": 0.0}
    for cell, weight in through.items():
        kind = cell[0] if cell[0] in found else "air"
        found[kind] = weight * tau[cell] + (found[kind] if kind == "air" else 0.0)
    return np.asarray(found["air"] * found["played"] + found["floor"])
