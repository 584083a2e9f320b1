"""The main question: will I still hear it, where does it come in, and what would each change do?"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from isolate.answers import cautions, levels, shell, words
from isolate.answers.cautions import Caution, Change, Facts
from isolate.answers.plain import headed, plain
from isolate.answers.shell import Heard, Shell, SideFound
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import rooms
from isolate.describe.rooms import Option, Room
from isolate.standards import hearing, ratings
from isolate.standards.weighting import dba

ASSUMPTIONS = (
    "Levels outside are those of the sound arriving at the side, without the building's own reflection (a "
    "microphone 2 m before the facade reads about 3 dB more), or with indoors = true those next door.",
    "Only the sides and gaps named in the file are counted: sound that comes round through floors, walls and "
    "ducts is not.",
    "Shares are parts of the A-weighted energy inside. The mass of a change is what it adds to what stands.",
)


@dataclass(frozen=True)
class OptionFound:
    """What one option changes: `heard` with it, `gain_db` drop of the A-weighted sum of all noises inside,
    `gains_db` of each; `helped` the audible noises that drop by what one notices; `reached`
    whether any noise comes to that side; `added` [kg/m2] and `mass` [kg] more than what is there now."""

    option: Option
    heard: tuple[Heard, ...]
    gain_db: float
    gains_db: tuple[float, ...]
    helped: tuple[str, ...]
    reached: bool
    added: float
    mass: float

    @property
    def words(self) -> str:
        """What the gain means to a listener: of all noises together, or of the few it is for."""
        if not self.reached:
            return "no noise comes in there"
        if abs(self.gain_db) >= words.NOTICED_DB or not self.helped:
            return words.change(self.gain_db)
        return f"only for {words.listed(self.helped)}"

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
            "words": self.words,
            "cost": self.option.cost,
            "mass_kg": self.mass,
            "added_kg_m2": self.added,
        }


@dataclass(frozen=True)
class RoomAnswer:
    """The answer for a room: `shell` and `heard` now, `options` tried one at a time."""

    room: Room
    shell: Shell
    heard: tuple[Heard, ...]
    options: tuple[OptionFound, ...]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def worst(self) -> Heard:
        """The noise that sticks out most."""
        return max(self.heard, key=lambda one: one.margin)

    @property
    def background_dba(self) -> float:
        return float(dba(self.shell.background_db))

    @property
    def threshold_db(self) -> Array:
        """Threshold of hearing [dB] (27,)."""
        return hearing.THRESHOLD

    @property
    def hidden_db(self) -> Array:
        """Level [dB] (27,) up to which a sound in one band is hidden by the background and the ear."""
        return hearing.masked_threshold(self.shell.background_db)

    @property
    def composite_db(self) -> dict[str, Array]:
        """Transmission loss [dB] (27,) of all that faces each word."""
        facing = dict.fromkeys(found.side.faces for found in self.shell.sides)
        return {word: self.shell.composite(word) for word in facing}

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return [
            (one.name, name, value)
            for one in self.heard
            for name, value in (
                ("inside_dba", one.inside_dba),
                ("margin_db", one.margin),
                ("chance_heard", one.chance),
            )
        ]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "sides": [self._side(found) for found in self.shell.sides],
            "noises": [one.to_dict() for one in self.heard],
            "composite": {
                word: {"bands_hz": THIRD_OCTAVES, "tl_db": tl_db, "Rw": int(ratings.rw(tl_db))}
                for word, tl_db in self.composite_db.items()
            },
            "options": [found.to_dict() for found in self.options],
            "background_dba": self.background_dba,
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        data = headed("room", words.room_inputs(self.room), body)
        for side in data["sides"]:  # shares add up to 1: six digits, not two
            side["share"] = plain(self._share(side["name"]), 6)
        return data

    def _share(self, side: str) -> dict[str, float]:
        return {one.name: one.share.get(side, 0.0) for one in self.heard}

    def _side(self, found: SideFound) -> dict[str, Any]:
        side = found.side
        return {
            "name": side.name,
            "faces": side.faces,
            "construction": side.construction.name,
            "area_m2": side.area,
            "rw": found.rw,
            "surface_mass_kg_m2": found.surface_mass or None,
            "tl_db": found.tl_db,
        }

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: now and with each option, a row a noise and third octave."""
        states = [("now", self.heard), *((found.option.name, found.heard) for found in self.options)]
        rows = [
            [state, one.name, band, outside, inside, margin]
            for state, heard in states
            for one in heard
            for band, outside, inside, margin in zip(
                THIRD_OCTAVES, one.outside_db, one.inside_db, one.margin_db, strict=True
            )
        ]
        return ["state", "noise", "band_hz", "outside_db", "inside_db", "margin_db"], rows


def _option(room: Room, now: Shell, heard: tuple[Heard, ...], option: Option) -> OptionFound:
    before = next(found for found in now.sides if found.side.name == option.replace)
    after = now.finder.side(option.on(before.side))
    then = tuple(now.replaced(after).hear(noise) for noise in room.noises)
    gains = tuple(old.inside_dba - new.inside_dba for old, new in zip(heard, then, strict=True))
    added = after.surface_mass - before.surface_mass
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
        reached=any(noise.faces == before.side.faces for noise in room.noises),
        added=added,
        mass=added * before.side.area,
    )


def _notes(room: Room, now: Shell) -> tuple[str, ...]:
    by_note: dict[str, list[str]] = defaultdict(list)
    for found in now.sides:
        for note in found.notes:
            by_note[note].append(found.side.name)
    notes = [*room.notes, *ASSUMPTIONS]
    if room.reverberation_time is None:
        notes.append(f"Reverberation as is usual in a {room.furnishing} room (common practice).")
    if room.neighbours:
        notes.append("What you play and who hears it is not part of this answer yet.")
    return (*notes, *(f"{words.listed(names)}: {note}" for note, names in by_note.items()))


def _facts(room: Room, options: tuple[OptionFound, ...]) -> Facts:
    sides = {side.name: side for side in room.sides}
    changes = []
    for found in options:
        side = sides[found.option.replace]
        changes.append(
            Change(
                name=found.option.name,
                new=found.option.construction or side.construction,
                old=side.construction,
                added=found.added,
                area=side.area,
                gaps=found.option.gaps,
                old_gaps=side.gaps,
            )
        )
    loudest = max((float(dba(levels.made_inside(own))) for own in room.own), default=float("-inf"))
    return Facts(
        changes=tuple(changes),
        floor_area=room.size[0] * room.size[1],
        volume=room.volume,
        loudest_dba=loudest,
    )


def room(described: Room | str | None = None) -> RoomAnswer:
    """Answer: will I still hear it? `described`: a room, its name or path, or None for the bundled one."""
    built = described if isinstance(described, Room) else rooms.load(described)
    now = shell.of_room(built)
    heard = tuple(now.hear(noise) for noise in built.noises)
    options = tuple(_option(built, now, heard, option) for option in built.options)
    return RoomAnswer(
        room=built,
        shell=now,
        heard=heard,
        options=options,
        notes=_notes(built, now),
        cautions=cautions.raised(_facts(built, options)),
    )
