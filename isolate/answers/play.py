"""May I play, how loud and until when: every own sound at every neighbour, by the air and by the floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.bands import THIRD_OCTAVES, Array, energy_sum
from isolate.describe import hours, rooms
from isolate.describe.hours import DAY, Hours
from isolate.describe.limits import Silence, StatedLimit
from isolate.describe.rooms import Background, Neighbour, Room
from isolate.errors import InputError
from isolate.remedies import playing
from isolate.remedies.cautions.facts import Caution, Facts
from isolate.remedies.cautions.table import raised
from isolate.remedies.playing import Way
from isolate.room import audibility, envelope, impact, levels, neighbours, prediction
from isolate.room.envelope import Envelope
from isolate.room.limits import exceeded
from isolate.room.received import Received
from isolate.standards import hearing
from isolate.standards.weighting import dba

STEP = 0.25  # h between the times of day that are looked at
NINE_OF_TEN = 1.2816  # standard deviations
KEPT_DB = 0.05


@dataclass(frozen=True)
class At:
    """One own sound at one neighbour at a time of day: `air_db`, `floor_db` (27,) there; the `limits` and
    `silences` that hold then, and the background."""

    heard: Received
    air_db: Array
    floor_db: Array
    background_db: Array
    limits: tuple[StatedLimit, ...]
    silences: tuple[Silence, ...]
    sigma_db: float
    blow_dba: float | None

    @property
    def name(self) -> str:
        return self.heard.what

    @property
    def neighbour(self) -> Neighbour:
        return self.heard.to

    @property
    def level_db(self) -> Array:
        """Both together (27,) [dB]."""
        return energy_sum(np.array([self.air_db, self.floor_db]), axis=0)

    @property
    def dba(self) -> float:
        return float(dba(self.level_db))

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
        margins = [hearing.margin(x, self.background_db).max() for x in (self.air_db, self.floor_db)]
        return "floor" if margins[1] > margins[0] else "air"

    @property
    def margin(self) -> float:
        """The largest excess of any band over what the background hides [dB]."""
        return float(hearing.margin(self.level_db, self.background_db).max())

    @property
    def verdict(self) -> str:
        return audibility.verdict(self.margin, self.chance_heard)

    @property
    def chance_heard(self) -> float:
        """Probability that they hear it."""
        return prediction.chance_above(self.margin, self.heard.margin_sigma_db)

    @property
    def excess_db(self) -> float | None:
        """By how much it exceeds the strictest limit that holds; None where none does."""
        if not self.limits:
            return None
        return max(self._excess(one, 0.0) for one in self.limits)

    def _excess(self, limit: StatedLimit, shift: float) -> float:
        return float(exceeded(limit, level_db=self.level_db + shift, background_db=self.background_db)[0])

    @property
    def chance_kept(self) -> float | None:
        """Probability that every limit is kept."""
        excess = self.excess_db
        return None if excess is None else 1.0 - prediction.chance_above(excess, self.sigma_db)

    @property
    def allowed(self) -> bool:
        """Whether it may be played: no silence, every limit kept; where nothing is stated, not heard."""
        if self.silences:
            return False
        excess = self.excess_db
        return self.margin <= 0.0 if excess is None else excess < KEPT_DB

    @property
    def allowed_dba(self) -> float | None:
        """The loudest level in the room [dBA] at which every limit is kept, as computed."""
        if not self.limits:
            return None
        low, high = -120.0, 40.0
        for _ in range(40):
            shift = (low + high) / 2
            kept = all(self._excess(one, shift) < KEPT_DB for one in self.limits)
            low, high = (shift, high) if kept else (low, shift)
        return self.heard.made_dba + low

    @property
    def sure_dba(self) -> float | None:
        """The same, so that nine times in ten it holds."""
        level = self.allowed_dba
        return None if level is None else level - NINE_OF_TEN * self.sigma_db

    @property
    def unheard_dba(self) -> float:
        """The loudest level in the room [dBA] at which they do not hear it, as computed."""
        return self.heard.made_dba - self.margin

    def played(self, way: Way) -> At:
        """The same, played in another way."""
        return At(
            self.heard, self.air_db - way.air_db, self.floor_db - way.floor_db, self.background_db,
            self.limits, self.silences, self.sigma_db, self.blow_dba,
        )  # fmt: skip

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "sound": self.name, "neighbour": self.neighbour.name, "made_dba": self.heard.made_dba,
            "level_dba": self.dba, "air_dba": self.air_dba, "floor_dba": _finite(self.floor_dba),
            "blow_lafmax_dba": self.blow_dba, "decides": self.decides, "bands_hz": THIRD_OCTAVES,
            "air_db": self.air_db, "floor_db": np.maximum(self.floor_db, -100.0), "margin_db": self.margin,
            "verdict": self.verdict, "chance_heard": self.chance_heard, "allowed": self.allowed,
            "excess_db": self.excess_db, "chance_kept": self.chance_kept,
            "limits": [one.text for one in self.limits], "silences": [one.text for one in self.silences],
            "loudest_within_limits_dba": self.allowed_dba, "loudest_nine_in_ten_dba": self.sure_dba,
            "loudest_unheard_dba": self.unheard_dba,
        }  # fmt: skip


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


@dataclass(frozen=True)
class Tried:
    """A way to play: the worst of all neighbours then, and whether all would allow it."""

    sound: str
    way: Way
    worst: At
    allowed: bool

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return self.way.to_dict() | {
            "sound": self.sound, "neighbour": self.worst.neighbour.name, "level_dba": self.worst.dba,
            "air_dba": self.worst.air_dba, "floor_dba": _finite(self.worst.floor_dba),
            "verdict": self.worst.verdict, "allowed": self.allowed,
        }  # fmt: skip


@dataclass(frozen=True, repr=False)
class Play(Answer):
    """Own sounds at neighbours at `time` [h]: `found`, one for each pair; `tried`: other ways to play;
    `free`: the hours in which each sound may be played as it is, by its name; `hides`: at which time of day
    more of it is hidden, by neighbour, where their backgrounds say so."""

    room: Room
    time: float
    found: tuple[At, ...]
    tried: tuple[Tried, ...]
    free: dict[str, tuple[Hours, ...]]
    hides: dict[str, str]
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]

    @property
    def sounds(self) -> tuple[str, ...]:
        """Names of the sounds, in the file's order."""
        return tuple(dict.fromkeys(one.name for one in self.found))

    def worst(self, sound: str) -> At:
        """The neighbour that decides about a sound: where it may not be, and sticks out most."""
        return max(
            (one for one in self.found if one.name == sound),
            key=lambda one: (
                not one.allowed,
                bool(one.silences),
                one.excess_db if one.excess_db is not None else one.margin,
            ),
        )

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
            "hidden_best": self.hides,
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


def play(described: Room | str | None = None, *, at: str | None = None, sound: str | None = None) -> Play:
    """Answer: may this be played at this time, how loud, and until when?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    at : time of day, as "9 pm" or "21:00"; None: now. sound : one of the room's own; None: all of them.

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
    now = envelope.of_room(room)
    every = [
        heard for one in neighbours.found(room, now) for heard in one.heard if sound in (None, heard.what)
    ]
    if not every:
        raise InputError("room: nobody hears anything of one's own; write [[own]] and [[neighbour]] tables")
    found = tuple(_at(heard, time, room) for heard in every)
    tried = tuple(one for name in dict.fromkeys(x.name for x in found) for one in _tried(name, found, room))
    times = [i * STEP for i in range(int(24 / STEP))]
    free = {name: _free(name, every, times, room) for name in dict.fromkeys(x.name for x in found)}
    loudest = max(heard.made_dba for heard in every)
    return Play(
        room, time, found, tried, free, _hides(every, room), _notes(room, now, every),
        raised(Facts(loudest_dba=loudest)),
    )  # fmt: skip


def _time(at: str | None) -> float:
    """Hour of the day."""
    if at is None:
        now = datetime.now()
        return now.hour + now.minute / 60.0
    text = at.strip()
    try:
        return hours.hours(f"{text}{':00' if text.isdigit() else ''} to 5:59").start % 24.0
    except ValueError:
        raise InputError(f'at: no time of day (got {at!r}); write one such as "21:00" or "9 pm"') from None


def _background(neighbour: Neighbour, time: float) -> Background:
    when = "day" if DAY.shared(Hours(time, time + STEP / 2)) > 0.0 else "night"
    return neighbour.backgrounds.get(when, neighbour.background)


def _holds(when: Hours | None, time: float) -> bool:
    return when is None or when.shared(Hours(time, time + STEP / 2)) > 0.0


def _at(heard: Received, time: float, room: Room) -> At:
    one = heard.to
    floor_db = heard.by(structure=True)
    return At(
        heard,
        heard.by(structure=False),
        floor_db,
        levels.of_background(_background(one, time)),
        tuple(limit for limit in one.limits if _holds(limit.hours, time)),
        tuple(rule for rule in one.silent if rule.forbids(heard.what) and _holds(rule.hours, time)),
        heard.sigma_db,
        _blow(heard, room),
    )


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


def _free(name: str, every: Sequence[Received], times: Sequence[float], room: Room) -> tuple[Hours, ...]:
    """The hours in which a sound may be played as it is."""
    heard = [one for one in every if one.what == name]
    good = [all(_at(one, t, room).allowed for one in heard) for t in times]
    if all(good):
        return (hours.ALWAYS,)
    begins = [i for i, ok in enumerate(good) if ok and not good[i - 1]]
    found = []
    for i in begins:
        n = next(k for k in range(1, len(good) + 1) if not good[(i + k) % len(good)])
        found.append(Hours(times[i], (times[i] + n * STEP) % 24.0 or 24.0))
    return tuple(found)


def _tried(name: str, found: Sequence[At], room: Room) -> list[Tried]:
    here = [one for one in found if one.name == name]
    out = []
    for way in playing.in_room(here[0].heard.own, room):
        then = [one.played(way) for one in here]
        worst = max(then, key=lambda one: (not one.allowed, one.margin))
        out.append(Tried(name, way, worst, all(one.allowed for one in then)))
    return out


def _hides(every: Sequence[Received], room: Room) -> dict[str, str]:
    """For each neighbour with backgrounds of day and night, when more of it is hidden."""
    out = {}
    for one in {heard.to.name: heard.to for heard in every}.values():
        if len(one.backgrounds) == 2:
            louder = {when: float(dba(levels.of_background(b))) for when, b in one.backgrounds.items()}
            best = max(louder, key=louder.__getitem__)
            other = min(louder, key=louder.__getitem__)
            out[one.name] = f"{best}: {louder[best] - louder[other]:.0f} dB more background"
    return out


def _notes(room: Room, now: Envelope, every: Sequence[Received]) -> tuple[str, ...]:
    found = []
    standing = impact.stood_on(room)
    into = [heard for heard in every if heard.own.floor]
    if into and standing is None:
        found.append(
            "What pedals and loudspeakers put into the floor is not counted: the file has no floor; write "
            'floor = "concrete slab 150 mm" or the like under [room].'
        )
    elif into and standing is not None:
        found.append(
            f"By the floor: {standing[0].name}, to rooms below as a laboratory has it, to rooms beside 5 dB "
            "and above 10 dB less (heavy houses). Forces of pedals and feet are estimates, good to 8 dB; "
            "below 50 Hz single modes add 10 dB either way."
        )
    found.append(
        "Levels are means while it is played. Allowed: every limit kept that holds at this hour, or, where "
        "none is stated, not heard."
    )
    found.append("Hours of a limit that says none hold round the clock; day is 6:00 to 22:00.")
    return tuple(found)
