"""The room within the room: what an inner shell buys, state by state, what it takes, and what limits it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.inner_room import notes as inner_room_notes
from isolate.answers.inner_room.notes import Resonance, ThirdLeaf
from isolate.answers.plain import headed
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array
from isolate.describe import prices as pricing
from isolate.describe import rooms, words
from isolate.describe.inner_parts import Inner, Mounts
from isolate.describe.prices import Prices
from isolate.describe.rooms import Room
from isolate.remedies.bill import bought
from isolate.remedies.cautions.facts import HOMES_PA, Caution
from isolate.remedies.combined import Combined
from isolate.remedies.effect import Effect
from isolate.remedies.inner.air import Breathing, breathing
from isolate.remedies.inner.building import Joint, Part, Step, joints, parts, steps
from isolate.remedies.inner.house import with_house
from isolate.remedies.inner.load import Load
from isolate.remedies.inner.materials import sheets
from isolate.remedies.inner.plan import Plan, with_floor
from isolate.remedies.inner.shells import scenario_of, shells_of, with_bare_holes
from isolate.remedies.inner.stages import AMATEUR, STAGES, TIED, inner_windows, stages
from isolate.remedies.remedy import Cost
from isolate.room import DRAWS, SEED, audibility, scenario
from isolate.room.chances import Progress
from isolate.room.received import Received, harmed, octave_gains
from isolate.room.scenario import Sampled, Scenario
from isolate.standards import ratings

KEYS: Mapping[str, str] = {
    STAGES[0][0]: "walls",
    STAGES[1][0]: "ceiling",
    STAGES[2][0]: "whole",
    AMATEUR[0]: "amateur",
    TIED[0]: "tied",
}


@dataclass(frozen=True, eq=False)
class State:
    """One state of the room: what is built, the `size` [m] left inside, what it does."""

    key: str
    size: tuple[float, float, float]
    effect: Effect

    @property
    def name(self) -> str:
        return self.effect.name

    @property
    def scenario(self) -> Scenario:
        """The room in this state."""
        return self.effect.after

    @property
    def cost(self) -> Cost | None:
        """What it costs; None for the room as it is."""
        return self.effect.cost if self.effect.remedies else None

    def sound(self, name: str) -> Received:
        """The sound of this name."""
        return self.scenario.sound(name)


@dataclass(frozen=True, repr=False, eq=False)
class InnerRoomAnswer(Answer):
    """The answer: `states` from now to the whole, the same by
    amateurs and the whole touching; what the whole weighs (`load`), its
    bill by `parts`, the `steps` of building it and the `joints` that must not touch, how one breathes in it,
    the `resonances` of its gaps, sides that get a third leaf; how much weaker `knocks` (9,) [dB] reach the
    house's floor; resonances [Hz] in `common` with the same floor next door."""

    room: Room
    inner: Inner
    load: Load
    states: tuple[State, ...]
    parts: tuple[Part, ...]
    steps: tuple[Step, ...]
    joints: tuple[Joint, ...]
    breathing: Breathing
    resonances: tuple[Resonance, ...]
    third_leaves: tuple[ThirdLeaf, ...]
    knocks: Array
    common: tuple[float, ...]
    prices: Prices
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def plan(self) -> Plan:
        return self.load.plan

    def state(self, key: str) -> State:
        """The state of this key."""
        return next(one for one in self.states if one.key == key)

    @property
    def now(self) -> State:
        return self.states[0]

    @property
    def whole(self) -> State:
        return self.state("whole")

    @property
    def going(self) -> tuple[Received, ...]:
        """Each own sound where it sticks out most with the whole, the worst first."""
        worst: dict[str, Received] = {}
        for one in self.whole.scenario.sounds:
            if one.where and (one.what not in worst or one.margin > worst[one.what].margin):
                worst[one.what] = one
        return tuple(sorted(worst.values(), key=lambda one: -one.margin))

    @property
    def out(self) -> Received | None:
        """The worst of them; None where there is none."""
        return next(iter(self.going), None)

    @property
    def coming(self) -> Received | None:
        """The noise that sticks out most inside the whole."""
        return self.whole.scenario.worst

    @property
    def lost_area(self) -> float:
        """Floor area that goes [m2]."""
        return self.plan.outer_area - self.plan.floor_area

    @property
    def lost_height(self) -> float:
        """Height that goes [m]."""
        return self.room.size[2] - self.plan.inner_size[2]

    @property
    def helping(self) -> tuple[State, ...]:
        """The states worth telling: now, then each that brings something noticeable more than the one before
        it; the whole, which was asked for, what amateurs reach of it, and the whole tied."""
        found = [self.now]
        for state in self.states[1:]:
            if state.key in ("whole", "amateur", "tied") or self._more(found[-1], state):
                found.append(state)
        return tuple(found)

    @staticmethod
    def _more(before: State, after: State) -> bool:
        """Whether anything heard drops noticeably from one state to the next."""
        return any(
            one.is_heard and audibility.noticed(one.dba - after.sound(one.name).dba)
            for one in before.scenario.sounds
        )

    @property
    def days(self) -> int:
        """Days of work for two."""
        return self.steps[-1].last

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name, of the whole: subject, quantity, value."""
        found: list[tuple[str, str, float]] = []
        for one in self.whole.scenario.sounds:
            level, margin = (
                ("neighbour_dba", "neighbour_margin_db") if one.where else ("inside_dba", "margin_db")
            )
            found += [
                (one.name, level, one.dba),
                (one.name, margin, one.margin),
                (one.name, "gain_dba", self.whole.effect.gains[one.name]),
            ]
        found += [
            (one.name, "dnt_w", float(one.dnt_w))
            for one in self.whole.scenario.neighbours
            if one.dnt_w is not None
        ]
        cost = self.whole.cost
        found += [("the inner room", "cost", cost.counts.typical)] if cost else []
        return [*found, ("the inner room", "load_kpa", self.load.pressure / 1000.0)]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "bands_hz": THIRD_OCTAVES,
            "octaves_hz": OCTAVES,
            "size_m": self.plan.inner_size,
            "lost_area_m2": self.lost_area,
            "lost_height_m": self.lost_height,
            "states": [self._state(one) for one in self.states],
            "resonances": [
                {
                    "name": one.name, "role": one.role, "depth_mm": 1e3 * one.depth,
                    "frequency_hz": one.frequency, "helps_from_hz": one.helps_from,
                }
                for one in self.resonances
            ],
            "third_leaves": [
                {"side": one.side, "bands_hz": OCTAVES, "gain_without_db": one.gain_db}
                for one in self.third_leaves
            ],
            "load": self._load(),
            "floor": self._floor(),
            "air": self.breathing.to_dict(),
            "cost": self.whole.cost.to_dict() if self.whole.cost else None,
            "bill": [one.to_dict() for one in self.parts],
            "days_of_two": self.days,
            "steps": [one.to_dict() for one in self.steps],
            "joints": [one.to_dict() for one in self.joints],
            "materials": [
                need.to_dict() | {"bought": bought(need), "sheets": sheets(need)} for need in self.load.bill
            ],
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }  # fmt: skip
        given = inputs.room(self.room) | {
            "inner": inner_inputs(self.inner),
            "people": self.breathing.people,
        }
        return headed("room-in-room", given, body)

    def _state(self, state: State) -> dict[str, Any]:
        length, width, height = state.size
        then = state.scenario
        data = [self._sound(state, one) for one in then.sounds]
        return {
            "key": state.key,
            "name": state.name,
            "size_m": state.size,
            "floor_area_m2": length * width,
            "volume_m3": length * width * height,
            "mass_kg": state.effect.mass,
            "cost": state.cost.to_dict() if state.cost else None,
            "noises": [one for one in data if one["where"] is None],
            "neighbours": [
                {
                    "name": found.name,
                    "dnt_w": found.dnt_w,
                    "dnt_db": found.difference_db,
                    "sounds": [one for one in data if one["where"] == found.name],
                }
                for found in then.neighbours
            ],
            "composite": {
                word: {"tl_db": tl_db, "Rw": int(ratings.rw(tl_db))}
                for word in dict.fromkeys(found.side.faces for found in then.envelope.sides)
                if np.isfinite(tl_db := then.envelope.composite(word)).all()
            },
        }

    def _sound(self, state: State, heard: Received) -> dict[str, Any]:
        before = self.now.sound(heard.name)
        low, high = heard.limits_dba
        return {
            "name": heard.what,
            "where": heard.where or None,
            "level_dba": heard.dba,
            "low_dba": low,
            "high_dba": high,
            "level_db": heard.level_db,
            "margin_db": heard.margin,
            "plainest_hz": heard.plainest_hz,
            "verdict": heard.verdict,
            "chance_heard": heard.chance,
            "gain_dba": state.effect.gains[heard.name],
            "octave_gain_db": octave_gains(before, heard),
            "harms": [{"octave_hz": f, "louder_db": louder} for f, louder in harmed(before, heard)],
            "strongest_path": heard.strongest_dict(),
            "limits": [limit.to_dict() for limit in heard.limits],
        }

    def _load(self) -> dict[str, Any]:
        load = self.load
        return {
            "mass_kg": load.mass,
            "on_floor_kg": load.on_floor,
            "surface_mass_kg_m2": load.surface_mass,
            "pressure_kpa": load.pressure / 1000.0,
            "share_of_live_load": [load.pressure / each for each in reversed(HOMES_PA)],
            "per_metre_of_wall_kg": load.per_metre,
            "parts_kg": {
                part: load.of(part)
                for part in ("walls", "ceiling", "floor", "windows", "doors", "air", "electricity")
                if load.of(part)
            },
        }

    def _floor(self) -> dict[str, Any]:
        load = self.load
        data = {
            "floated_kg": load.floated,
            "resonance_hz": load.swing,
            "stiffness_mn_m3": load.stiffness / 1e6,
            "air_stiffness_mn_m3": load.air_stiffness / 1e6,
            "common_resonances_hz": self.common,
            "knocks": {"bands_hz": OCTAVES, "weaker_db": self.knocks},
            "mounts": None,
        }
        if isinstance(load.on, Mounts):
            data["mounts"] = {
                "count": load.mounts,
                "rating_kg": load.on.rating,
                "load_kg": load.on_mount(used=False),
                "load_in_use_kg": load.on_mount(used=True),
                "deflection_mm": 1e3 * load.deflection(used=False),
                "deflection_in_use_mm": 1e3 * load.deflection(used=True),
                "resonance_hz": load.mount_resonance,
            }
        return data

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: a row a state, a sound and a third octave."""
        return ["state", "sound", "where", "band_hz", "level_db", "margin_db", "gain_db"], list(self._rows())

    def _rows(self) -> Iterator[list[Any]]:
        for state in self.states:
            for heard in state.scenario.sounds:
                before = self.now.sound(heard.name)
                for band, level, margin, was in zip(
                    THIRD_OCTAVES, heard.level_db, heard.margin_db, before.level_db, strict=True
                ):
                    yield [state.key, heard.what, heard.where, band, level, margin, was - level]


def inner_inputs(inner: Inner) -> dict[str, Any]:
    """What of an inner room went into an answer."""
    floor = inner.floor
    return {
        "walls": [words.layer(part) for part in inner.walls.layers],
        "ceiling": [words.layer(part) for part in inner.ceiling.layers],
        "floor": [words.layer(part) for part in floor.lining.layers],
        "on": "mounts" if isinstance(floor.on, Mounts) else "mat",
        "window": [words.layer(part) for part in inner.window.pane],
        "window_gap_mm": 1e3 * inner.window.gap,
        "door": inner.door.construction.name,
        "carried_by": inner.carried,
        "stands_on": inner.stands_on,
        "sole": inner.sole,
        "ties": [tie.name for tie in inner.ties],
        "described": inner.described,
    }


def inner_room(
    described: Room | str | None = None,
    *,
    inner: Inner | None = None,
    people: float | None = None,
    prices: str | None = None,
    labour: str | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress | None = None,
    now: Scenario | None = None,
) -> InnerRoomAnswer:
    """Answer: what would a room within this room buy, and what does it take?

    described : a room, its name or path, or None for the bundled one. inner : instead of the room's own or a
    usual one. people : who breathe in it, instead of the room's. prices, labour : a list of prices and whose
    labour counts. draws, seed, progress : for the chances, as for a room. now : the room as it is, if known.
    """
    room = described if isinstance(described, Room) else rooms.load(described)
    if inner is not None:
        room = replace(room, inner=inner)
    now = now or scenario.present(room)
    housed, guessed = with_house(room)
    people = None if people is None else rooms.inhabited(people)
    shells = shells_of(room, people=people, finder=now.envelope.finder)
    load, built = shells.load, shells.plan.inner
    money = pricing.load(prices).working(labour)
    remedies = list(stages(shells, money, (*STAGES, AMATEUR, TIED)))
    then = [scenario_of(shells, one.parts) for one in remedies]
    windows = list(inner_windows(shells.plan, now, money))
    combined = Combined(now, windows)
    sampled = Sampled(room, seed=seed, count=draws, progress=progress)
    with_windows = [combined.scenario(frozenset(range(len(windows))))] if windows else []
    first, *after = sampled.scenarios([now, *with_windows, *then])
    states = [State("now", room.size, Effect((), first, first))]
    if windows:
        states.append(State("pane", room.size, Effect(tuple(windows), first, after.pop(0))))
    states += [
        State(KEYS[one.name], shells.plan.size(one.parts), Effect((one,), first, found))
        for one, found in zip(remedies, after, strict=True)
    ]
    air = breathing(shells, session=built.session, bare=with_bare_holes(shells))
    stated = people is not None or room.people is not None
    return InnerRoomAnswer(
        room=with_floor(room),
        inner=built,
        load=load,
        states=tuple(states),
        parts=parts(load, money),
        steps=steps(load),
        joints=joints(shells.plan),
        breathing=air,
        resonances=inner_room_notes.resonances(shells),
        third_leaves=inner_room_notes.third_leaves(shells),
        knocks=inner_room_notes.knocks(load),
        common=inner_room_notes.common(shells),
        prices=money,
        notes=inner_room_notes.notes(housed, load, guessed=guessed, breathing=air, people_stated=stated),
        cautions=inner_room_notes.cautions(room, load),
    )
