"""What an option of a room changes: for the noises in it, for the neighbours, for the air."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from isolate.describe import words
from isolate.describe.rooms import Option, Room
from isolate.room import air, neighbours
from isolate.room import envelope as shell
from isolate.room.air import Air
from isolate.room.elements import SideFound
from isolate.room.envelope import Heard, Shell
from isolate.room.neighbours import HeardNextDoor, NeighbourFound
from isolate.room.scenario import State


@dataclass(frozen=True)
class OptionFound:
    """What one option changes: `heard` with it, `gain_db` drop of the A-weighted sum of all noises inside,
    `gains_db` of each; `helped` the audible noises that drop by what one notices; `reached`
    whether any noise comes to that side; `added` [kg/m2] and `mass` [kg] more than what is there now.
    `neighbours` with it, `outward` whether anything changes for them, `spared` who notices; `air` it leaves,
    and `air_lost`, for how many people air is taken away. `shell` with it; `gain_limits`, 5 % and 95 % of
    the drop, each draw against the same one without the change."""

    option: Option
    heard: tuple[Heard, ...]
    gain_db: float
    gains_db: tuple[float, ...]
    helped: tuple[str, ...]
    reached: bool
    added: float
    mass: float
    neighbours: tuple[NeighbourFound, ...]
    outward: bool
    spared: tuple[str, ...]
    air: Air
    air_lost: float
    shell: Shell
    gain_limits: tuple[float, float] = (float("nan"), float("nan"))

    @property
    def state(self) -> State:
        """The room with it."""
        return State(self.shell, self.heard, self.neighbours)

    @property
    def words(self) -> str:
        """What the gain means to a listener: of all noises together, or of the few it is for."""
        if not self.reached:
            idle = "hardly helps the neighbours" if self.outward else "no noise comes in there"
            return f"spares {words.listed(self.spared)}" if self.spared else idle
        if abs(self.gain_db) >= words.NOTICED_DB or not (self.helped or self.spared):
            return words.change(self.gain_db)
        if not self.helped:
            return f"spares {words.listed(self.spared)}"
        return f"only for {words.listed(self.helped)}" + ("; neighbours" if self.spared else "")

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        noises = [
            one.to_dict() | {"gain_dba": gain} for one, gain in zip(self.heard, self.gains_db, strict=True)
        ]
        return {
            "name": self.option.name,
            "replaces": self.option.replace,
            "noises": noises,
            "gain_dba": self.gain_db,
            "gain_low_dba": self.gain_limits[0],
            "gain_high_dba": self.gain_limits[1],
            "words": self.words,
            "cost": self.option.cost,
            "mass_kg": self.mass,
            "added_kg_m2": self.added,
            "neighbours": [one.to_dict() for one in self.neighbours],
            "air": self.air.to_dict() | {"people_lost": self.air_lost},
        }


def _changed(now: Shell, option: Option) -> tuple[Shell, SideFound | None, SideFound | None]:
    """The shell with an option made, and the side it changes before and after."""
    lined = now
    if option.lining is not None:
        gain = now.finder.lining(option.lining)
        lined = replace(now, linings={**now.linings, **dict.fromkeys(option.flanks, gain)})
    before = next((found for found in now.sides if found.side.name == option.replace), None)
    if before is None:
        return lined, None, None
    after = now.find(option.on(before.side))
    return lined.replaced(after), before, after


def _spared(old: tuple[NeighbourFound, ...], new: tuple[NeighbourFound, ...]) -> tuple[str, ...]:
    """Neighbours to whom a sound they hear drops by what one notices."""

    def drops(before: HeardNextDoor, after: HeardNextDoor) -> bool:
        return before.passed.margin > 0.0 and before.passed.dba - after.passed.dba >= words.NOTICED_DB

    return tuple(
        was.name
        for was, will in zip(old, new, strict=True)
        if any(drops(*pair) for pair in zip(was.heard, will.heard, strict=True))
    )


def option_found(room: Room, now: State, air_now: Air, option: Option) -> OptionFound:
    """What an option does to the room as it is `now`, which lets in `air_now`."""
    heard = now.heard
    changed, before, after = _changed(now.shell, option)
    then = tuple(changed.hear(noise) for noise in room.noises)
    gains = tuple(old.inside_dba - new.inside_dba for old, new in zip(heard, then, strict=True))
    added = after.surface_mass - before.surface_mass if before and after else 0.0
    next_door, left = neighbours.found(room, changed), air.of_sides(changed.sides, room.people)
    return OptionFound(
        option=option,
        heard=then,
        gain_db=shell.together(heard) - shell.together(then) if then else 0.0,
        gains_db=gains,
        helped=tuple(
            old.name
            for old, gain in zip(heard, gains, strict=True)
            if gain >= words.NOTICED_DB and old.margin > 0.0
        ),
        reached=any(abs(gain) > 1e-9 for gain in gains)
        or any(before.side.faces in noise.reaches for noise in room.noises if before),
        added=added,
        mass=added * before.side.area if before else 0.0,
        neighbours=next_door,
        outward=any(
            old.passed.dba - new.passed.dba > 0.05
            for was, will in zip(now.neighbours, next_door, strict=True)
            for old, new in zip(was.heard, will.heard, strict=True)
        ),
        spared=_spared(now.neighbours, next_door),
        air=left,
        air_lost=max(air_now.served - left.served, 0.0),
        shell=changed,
    )
