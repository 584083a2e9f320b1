"""May I play, how loud and until when: every own sound at every neighbour, by the air and by the floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES, Array
from isolate.describe import hours, rooms
from isolate.describe import prices as pricing
from isolate.describe.hours import Hours
from isolate.describe.prices import Prices
from isolate.describe.rooms import Neighbour, Room
from isolate.errors import InputError
from isolate.remedies import making
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.remedies.combined import Combined
from isolate.remedies.playing import Way
from isolate.remedies.remedy import Remedy
from isolate.room import DRAWS, SEED, audibility, envelope, impact, scenario, when
from isolate.room.chances import chance
from isolate.room.received import Received
from isolate.room.scenario import Sampled, Scenario
from isolate.room.when import STEP, Hidden, Rules
from isolate.standards import hearing
from isolate.standards.weighting import dba

SURE = 0.9  # chance of what is told as nine times in ten
LOWEST_DB, HIGHEST_DB = -120.0, 40.0  # where the loudest is looked for, about what is made


@dataclass(frozen=True, eq=False)
class At:
    """One own sound at one neighbour at a time of day: how it is `heard`, with draws, what they say to it
    then (`rules`), and the loudest of its blows by the floor [dBA]."""

    heard: Received
    rules: Rules
    blow_dba: float | None

    @property
    def name(self) -> str:
        return self.heard.what

    @property
    def neighbour(self) -> Neighbour:
        return self.heard.to

    @cached_property
    def air_db(self) -> Array:
        """What comes through the air (27,) [dB]."""
        return self.heard.by(structure=False)

    @cached_property
    def floor_db(self) -> Array:
        """What comes by the floor (27,) [dB]."""
        return self.heard.by(structure=True)

    @property
    def dba(self) -> float:
        return self.heard.dba

    @property
    def air_dba(self) -> float:
        return float(dba(self.air_db))

    @property
    def floor_dba(self) -> float:
        """A-weighted level of what comes by the floor; minus infinity where nothing does."""
        return float(dba(self.floor_db))

    @property
    def decides(self) -> str:
        """Which of both is heard more: "air" or "floor"."""
        margins = [hearing.margin(x, self.rules.background_db).max() for x in (self.air_db, self.floor_db)]
        return "floor" if margins[1] > margins[0] else "air"

    @property
    def margin(self) -> float:
        """The largest excess of any band over what the background hides [dB]."""
        return float(hearing.margin(self.heard.level_db, self.rules.background_db).max())

    @property
    def verdict(self) -> str:
        return audibility.verdict(self.margin, self.chance_heard)

    @cached_property
    def drawn(self) -> tuple[Array, Array]:
        """Levels and backgrounds at this hour in draws (draws, 27) [dB]; both once as computed without."""
        sample = self.heard.drawn.sample if self.heard.drawn else None
        if sample is None:
            return self.heard.level_db[None], self.rules.background_db[None]
        return sample.level_db, sample.background_db + (self.rules.background_db - self.heard.background_db)

    @cached_property
    def chance_heard(self) -> float:
        """Probability that they hear it."""
        level, background = self.drawn
        return chance(hearing.margin(level, background).max(-1) > 0.0)

    @property
    def excess_db(self) -> float | None:
        """By how much it exceeds the strictest limit that holds; None where none does."""
        return float(self.rules.excess(self.heard.level_db)) if self.rules.limits else None

    @cached_property
    def chance_kept(self) -> float | None:
        """Probability that every limit is kept."""
        if not self.rules.limits:
            return None
        return chance(self.rules.excess(*self.drawn) <= 0.0)

    @property
    def allowed(self) -> bool:
        """Whether it may be played: no silence, every limit kept; where nothing is stated, not heard."""
        return self.rules.allow(self.heard.level_db)

    @cached_property
    def allowed_dba(self) -> float | None:
        """The loudest level in the room [dBA] at which every limit is kept, as computed."""
        return self._loudest(self.heard.level_db[None], self.rules.background_db[None], 1.0)

    @cached_property
    def sure_dba(self) -> float | None:
        """The same, so that nine times in ten it holds."""
        return self._loudest(*self.drawn, SURE)

    def _loudest(self, level_db: Array, background_db: Array, share: float) -> float | None:
        if not self.rules.limits:
            return None
        low, high = LOWEST_DB, HIGHEST_DB
        for _ in range(20):
            shift = (low + high) / 2
            kept = np.mean(self.rules.excess(level_db + shift, background_db) <= 0.0) >= share
            low, high = (shift, high) if kept else (low, shift)
        return self.heard.made_dba + low

    @property
    def unheard_dba(self) -> float:
        """The loudest level in the room [dBA] at which they do not hear it, as computed."""
        return self.heard.made_dba - self.margin

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "sound": self.name, "neighbour": self.neighbour.name, "made_dba": self.heard.made_dba,
            "level_dba": self.dba, "air_dba": self.air_dba, "floor_dba": _finite(self.floor_dba),
            "blow_lafmax_dba": self.blow_dba, "decides": self.decides, "bands_hz": THIRD_OCTAVES,
            "air_db": self.air_db, "floor_db": np.maximum(self.floor_db, -100.0),
            "level_db": self.heard.level_db, "margin_db": self.margin,
            "verdict": self.verdict, "chance_heard": self.chance_heard, "allowed": self.allowed,
            "excess_db": self.excess_db, "chance_kept": self.chance_kept,
            "limits": [one.text for one in self.rules.limits],
            "silences": [one.text for one in self.rules.silences], "free": self.rules.free,
            "loudest_within_limits_dba": self.allowed_dba, "loudest_nine_in_ten_dba": self.sure_dba,
            "loudest_unheard_dba": self.unheard_dba,
        }  # fmt: skip


def _decides(one: At) -> tuple[bool, bool, bool, float]:
    """How much a neighbour decides: one who allows it not, states silence or a limit, and by how much."""
    stated = one.excess_db
    by = one.margin if stated is None else stated
    return not one.allowed, bool(one.rules.silences), stated is not None, by


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


@dataclass(frozen=True)
class Tried:
    """Another way to play, a `remedy`: the worst of all neighbours then, and whether all would allow it."""

    remedy: Remedy
    worst: At
    allowed: bool

    @property
    def way(self) -> Way:
        assert self.remedy.way is not None
        return self.remedy.way

    @property
    def sound(self) -> str:
        return self.way.sound

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        cost = self.remedy.cost
        return self.way.to_dict() | {
            "cost": cost.to_dict() if cost else None,
            "sound": self.sound, "neighbour": self.worst.neighbour.name, "level_dba": self.worst.dba,
            "air_dba": self.worst.air_dba, "floor_dba": _finite(self.worst.floor_dba),
            "verdict": self.worst.verdict, "allowed": self.allowed,
        }  # fmt: skip


@dataclass(frozen=True, repr=False)
class Play(Answer):
    """Own sounds at neighbours at `time` [h]: `found`, one for each pair; `tried`: other ways to play;
    `free`: the hours in which each sound may be played as it is, by its name; `hides`: when the street hides
    most of each, None where no hour hides more than another; `currency` of the prices."""

    room: Room
    time: float
    found: tuple[At, ...]
    tried: tuple[Tried, ...]
    free: dict[str, tuple[Hours, ...]]
    hides: dict[str, Hidden | None]
    currency: str
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def sounds(self) -> tuple[str, ...]:
        """Names of the sounds, in the file's order."""
        return tuple(dict.fromkeys(one.name for one in self.found))

    def worst(self, sound: str) -> At:
        """The neighbour that decides about a sound: where it may not be, and sticks out most; first where a
        limit is stated."""
        return max((one for one in self.found if one.name == sound), key=_decides)

    def allowed(self, sound: str) -> bool:
        """Whether every neighbour's limits allow it now."""
        return all(one.allowed for one in self.found if one.name == sound)

    def until(self, sound: str) -> float | None:
        """The hour at which this changes; None where it never does."""
        for hours_ in self.free[sound]:
            inside = hours_.shared(Hours(self.time, self.time + STEP / 2)) > 0.0
            if self.allowed(sound) and inside:
                return None if hours_.length >= 24.0 - STEP else hours_.end % 24.0
        starts = [one.start for one in self.free[sound]]
        if self.allowed(sound) or not starts:
            return None
        return min(starts, key=lambda start: (start - self.time) % 24.0)

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        found = []
        for one in self.found:
            subject = f"{one.name} at {one.neighbour.name}"
            found += [(subject, "level_dba", one.dba), (subject, "margin_db", one.margin)]
            if one.excess_db is not None:
                found.append((subject, "excess_db", one.excess_db))
        return found

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "time_h": self.time,
            "sounds": [
                {
                    "name": sound,
                    "allowed": self.allowed(sound),
                    "until_h": self.until(sound),
                    "free": [str(one) for one in self.free[sound]],
                    "decides_at": self.worst(sound).neighbour.name,
                    "decides": self.worst(sound).decides,
                }
                for sound in self.sounds
            ],
            "at": [one.to_dict() for one in self.found],
            "ways": [one.to_dict() for one in self.tried],
            "hidden_best": {name: one.to_dict() if one else None for name, one in self.hides.items()},
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("play", {"room": self.room.name}, body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a sound and neighbour."""
        keep = ("sound", "neighbour", "made_dba", "level_dba", "air_dba", "floor_dba", "decides", "margin_db",
                "verdict", "chance_heard", "allowed", "excess_db", "chance_kept",
                "loudest_within_limits_dba", "loudest_nine_in_ten_dba", "loudest_unheard_dba")  # fmt: skip
        return list(keep), [[one.to_dict()[key] for key in keep] for one in self.found]


def play(
    described: Room | str | None = None, *, at: str | None = None, sound: str | None = None,
    draws: int = DRAWS, seed: int = SEED, processes: int = 1,
) -> Play:  # fmt: skip
    """Answer: may this be played at this time, how loud, and until when?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    at : time of day, as "9 pm" or "21:00"; None: now. sound : one of the room's own; None: all of them.
    draws, seed, processes : how many times what is not known is drawn, from which seed, by how many.

    Raises
    ------
    InputError
        A room or time that does not work, no own sound or nobody who hears it.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.play("drum room", at="9 pm")
    >>> found.allowed("drum kit")
    False
    >>> found.worst("drum kit").decides
    'air'
    """
    room = rooms.load(described) if described is None or isinstance(described, str) else described
    time = _time(at)
    if sound is not None and sound not in [own.name for own in room.own]:
        known = ", ".join(own.name for own in room.own) or "none"
        raise InputError(f"sound: nothing in this room is called {sound!r} (own sounds: {known})")
    now = scenario.present(room)
    sampled = Sampled(room, seed=seed, count=draws, processes=processes)
    every = [one for to in sampled.scenario(now).neighbours for one in to.heard if sound in (None, one.what)]
    if not every:
        raise InputError("room: nobody hears anything of one's own; write [[own]] and [[neighbour]] tables")
    found = tuple(_at(heard, time, room) for heard in every)
    each = {name: [one for one in every if one.what == name] for name in dict.fromkeys(x.what for x in every)}
    free = {name: when.free(heard) for name, heard in each.items()}
    street = when.course(room.noises)
    hides = {name: when.hidden(heard, street, time) for name, heard in each.items()}
    loudest = max(heard.made_dba for heard in every)
    prices = pricing.bundled()
    return Play(
        room, time, found, tuple(_tried(now, time, sampled, tuple(free), prices)), free, hides,
        prices.currency, _notes(now, every), raised(Facts(loudest_dba=loudest)),
    )  # fmt: skip


def _time(at: str | None) -> float:
    """Hour of the day."""
    if at is None:
        now = datetime.now()
        return now.hour + now.minute / 60.0
    try:
        return hours.time_of_day(at)
    except ValueError as fault:
        raise InputError(f"at: {fault}") from None


def _at(heard: Received, time: float, room: Room) -> At:
    return At(heard, when.rules(heard.to, heard.what, time), _blow(heard, room))


def _blow(heard: Received, room: Room) -> float | None:
    """LAFmax [dB] of the loudest single blow by the floor; None where there is none."""
    blows = [one for one in heard.own.floor if one.force_db is not None]
    if not blows or not np.isfinite(dba(heard.by(structure=True))):
        return None
    to = heard.to
    _, ring = envelope.absorption(
        to.size or room.size, furnishing=to.furnishing, reverberation_time=to.reverberation_time
    )
    found = []
    for element, part in zip(heard.elements, heard.part, strict=True):
        one = next((x for x in blows if element.name == f"floor: {x.name}"), None)
        if one is not None:
            with np.errstate(divide="ignore"):
                level = heard.level_db + 10 * np.log10(part)
            found.append(float(dba(impact.loudest_of(level, one, ring))))
    return max(found, default=None)


def _tried(
    now: Scenario, time: float, sampled: Sampled, sounds: Sequence[str], prices: Prices
) -> Iterator[Tried]:
    asked = Hours(time, time + STEP / 2)
    remedies = [
        one for one in making.of_playing(now, prices)
        if one.way and one.way.sound in sounds and not (one.way.hours and one.way.hours.shared(asked))
    ]  # fmt: skip
    combined = Combined(now, remedies)
    then = sampled.scenarios([combined.scenario(frozenset({i})) for i in range(len(remedies))])
    for one, played in zip(remedies, then, strict=True):
        assert one.way is not None
        heard = [x for to in played.neighbours for x in to.heard if x.what == one.way.sound]
        hour = one.way.hours.start if one.way.hours else time
        here = [_at(x, hour, now.room) for x in heard]
        worst = max(here, key=lambda at: (not at.allowed, at.margin))
        yield Tried(one, worst, all(at.allowed for at in here))


def _walls(now: Scenario) -> str:
    """How what heavy walls radiate below is found; nothing under joists, which none of them carries."""
    standing = now.envelope.stands_on
    if standing is None or not impact.struck(standing).heavy:
        return ""
    below = {side.faces for side in now.room.sides if side.lies == "below"}
    walls = [now.envelope.walls[word] for word in below]
    if not any(one.mass for one in walls):
        return ""
    if any(one.near is not None for one in walls):
        return ", to rooms below with what heavy walls add by band (ISO 12354-2, detailed)"
    return (
        ", to rooms below with what heavy walls add (ISO 12354-2, K in every band: how they meet the floor "
        "is not said; name the house by flanking)"
    )


def _notes(now: Scenario, every: Sequence[Received]) -> tuple[str, ...]:
    found = []
    standing = now.envelope.stands_on
    into = [heard for heard in every if heard.own.floor]
    if into and standing is None:
        found.append(
            "What pedals and loudspeakers put into the floor is not counted: the file has no floor; write "
            'floor = "concrete slab 150 mm" or the like under [room].'
        )
    elif into and standing is not None:
        found.append(
            f"By the floor: {standing.construction.name}{_walls(now)}, to rooms beside 5 dB and above 10 dB "
            "less (ISO 12354-2, its single numbers). Forces of pedals and feet are estimates, good to 8 dB; "
            "below 50 Hz single modes of floor and room decide, which are not computed: 10 dB either way. "
            "Those ranges are in the chances."
        )
    found.append(
        "Levels are means while it is played. Allowed: every limit kept that holds at this hour; where none "
        "is stated, not heard. Who states hours for something leaves the rest of the day free, unless it is "
        '"until" an hour.'
    )
    found.append(
        "The hour at which the street hides most follows the course of its traffic over a day (of a city's, "
        "from memory, unless the file has a noise outdoors with one), about the backgrounds stated: write "
        "background_day and background_night of a neighbour. All other levels are over these as they stand."
    )
    found.append("Hours of a limit that says none hold round the clock; day is 6:00 to 22:00.")
    return tuple(found)
