"""What is wanted, read from words: "not audible", "25 dBA", "NC 20", "in the take: gone", "tram: faint"."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

import numpy as np

from isolate.bands import Array
from isolate.describe.hours import ALWAYS, Hours
from isolate.describe.limits import StatedLimit
from isolate.describe.reading import nearest, tidy, unquoted
from isolate.describe.rooms import Room
from isolate.errors import InputError, shown
from isolate.remedies import playing
from isolate.room import limits, takes, when
from isolate.room.chances import Sample
from isolate.room.received import Received
from isolate.room.scenario import Scenario
from isolate.room.takes import GONE, HISS, PAUSES, PLAIN_DB, AtMicrophone
from isolate.room.when import Rules
from isolate.standards import criteria, hearing
from isolate.standards.weighting import dba, dbc

USUAL = "not audible"
TAKE, INSIDE, OUTSIDE = "in the take", "inside", "neighbours"
FREE_DB = -100.0  # of what is free in some hours, however loud
_HEARD = {"not audible": 0.0, "inaudible": 0.0, "faint": 5.0, "audible": 10.0}
_IN_TAKE = {GONE: GONE, HISS: HISS, "hiss": HISS, PAUSES: PAUSES, "pauses": PAUSES}
_LEVEL = re.compile(r"(?:at most )?(?P<value>-?\d+(?:\.\d+)?)\s*dB\s*\(?(?P<weight>[AC])\)?", re.IGNORECASE)
_CURVE = re.compile(r"(?P<curve>NC|NR)\s*-?\s*(?P<value>\d+(?:\.\d+)?)", re.IGNORECASE)
_SOFTER = re.compile(r"(?P<value>\d+(?:\.\d+)?)\s*dB\s+(?:softer|less|quieter)", re.IGNORECASE)
_LIMITS = ("limits", "limit", "limits kept", "within limits")
_INSTEAD = (
    'write "not audible", "faint", "25 dBA", "NC 20", "10 dB softer", "in the take: gone", "limits" (those '
    'of the neighbours), or with a name in front "tram: faint", in double quotes if there is a comma in '
    "it; a comma joins several"
)
_COMMA = re.compile(r',(?=(?:[^"]*"[^"]*")*[^"]*$)')  # not between double quotes
_RANGES = {"dB": (-20.0, 120.0), "NC": (10.0, 70.0), "NR": (0.0, 100.0), "softer": (0.1, 100.0)}


Excess = Callable[[Array, Array], Array]  # of levels and backgrounds (..., 27): (...)


@dataclass(frozen=True, eq=False)
class Aim:
    """What one sound shall come to: `excess` above it of levels and backgrounds (..., 27), in dB (or in the
    numbers of a curve), 0 and less where it is met; `stated`: it is the limits of its hours."""

    sound: Received
    words: str
    excess: Excess
    stated: bool = False

    @property
    def missed(self) -> float:
        """By how much it is missed as the room is [dB]."""
        return float(self.excess(self.sound.level_db, self.sound.background_db))

    @property
    def name(self) -> str:
        """Whose and what."""
        return f"{self.sound.name}: {self.words}"

    def at(self, hours: Hours) -> Aim:
        """The same of an own sound that is played in these hours instead."""
        then = replace(self, sound=playing.at_hours(self.sound, hours))
        if not self.stated:
            return then
        rules = when.rules(then.sound.to, then.sound.what, hours.start)
        return replace(then, excess=partial(_ruled, rules=rules))

    def of(self, sound: Received) -> Aim:
        """The aim in the hours its sound is played in when it is received so."""
        return self if sound.source.hours == self.sound.source.hours else self.at(sound.own.hours or ALWAYS)


def _heard(level: Array, background: Array, *, allowed: float) -> Array:
    return np.asarray(hearing.margin(level, background).max(-1) - allowed)


def _rated(level: Array, background: Array, *, kind: str, value: float) -> Array:
    rate = {"A": dba, "C": dbc, "NC": criteria.nc, "NR": criteria.nr}[kind]
    return np.asarray(rate(np.maximum(level, -200.0)) - value)


def _limited(
    level: Array, background: Array, *, stated: Sequence[StatedLimit], silent: bool = False
) -> Array:
    """Over the strictest limit; where silence is wanted, over what is not heard."""
    each = [hearing.margin(level, background).max(-1)] if silent else []
    each += [limits.exceeded(one, level_db=level, background_db=background)[0] for one in stated]
    return np.asarray(np.max(each, axis=0))


def _ruled(level: Array, background: Array, *, rules: Rules) -> Array:
    return np.maximum(rules.excess(level, background), FREE_DB)


def _taken(
    level: Array, background: Array, *, word: str, takes: Sequence[tuple[AtMicrophone, Array]]
) -> Array:
    """Over takes, each with what its background is above that of the room."""
    found = []
    for at, more in takes:
        met = at.meet(Sample(level, np.broadcast_to(background + more, np.shape(level))))
        over = {GONE: met.bare_db, HISS: met.pause_db,
                PAUSES: np.maximum(met.soft_db, met.pause_db - PLAIN_DB)}[word]  # fmt: skip
        found.append(over)
    return np.asarray(np.max(found, axis=0))


@dataclass(frozen=True)
class Part:
    """One part of a target: whose (empty: the usual), and the `word` or the `kind` of level with `value`."""

    subject: str
    text: str
    kind: str
    value: float = 0.0


def parse(text: str) -> tuple[Part, ...]:
    """The parts of a target.

    >>> parse("tram: faint")[0].subject
    'tram'

    Raises
    ------
    InputError
        When a part means nothing.
    """
    faults, found = [], []
    for part in _COMMA.split(text):
        subject, colon, wanted = part.rpartition(":")
        try:
            found.append(_part(unquoted(subject) if colon else "", wanted.strip()))
        except ValueError as fault:
            faults.append(f"target: {fault}")
    if faults:
        raise InputError(faults)
    return tuple(found)


def _part(subject: str, wanted: str) -> Part:
    word, whose = tidy(wanted), tidy(subject)
    in_take = whose == TAKE or whose.endswith((f": {TAKE}", f" {TAKE}"))
    if in_take:
        subject = subject[: -len(TAKE)].strip(" :")
    if word in _IN_TAKE and (in_take or word in (GONE, HISS)):
        return Part(subject or TAKE, f"{_IN_TAKE[word]} {TAKE}", _IN_TAKE[word])
    if in_take:
        known = ", ".join(dict.fromkeys(_IN_TAKE.values()))
        raise ValueError(f"nothing a take knows (got {shown(wanted)}); write one of {known}")
    if word in _HEARD:
        text = USUAL if _HEARD[word] == 0.0 else f"at most {word}"
        return Part(subject, text, "heard", _HEARD[word])
    if word in _LIMITS:
        return Part(subject, "within limits", "limits")
    for pattern, unit in ((_LEVEL, "dB"), (_CURVE, ""), (_SOFTER, "softer")):
        match = pattern.fullmatch(wanted)
        if match is None:
            continue
        value, given = float(match["value"]), match.groupdict()
        kind = (given.get("weight") or given.get("curve") or "softer").upper().replace("SOFTER", "softer")
        low, high = _RANGES[unit or kind]
        if not low <= value <= high:
            raise ValueError(f"out of range, {low:g} to {high:g} (got {shown(wanted)}); {_INSTEAD}")
        told = {"A": f"{value:g} dBA", "C": f"{value:g} dBC", "softer": f"{value:g} dB softer"}
        return Part(subject, told.get(kind, f"{kind} {value:g}"), kind, value)
    raise ValueError(f"not a target (got {shown(wanted)}); {_INSTEAD}")


class InTake(NamedTuple):
    """A take at its microphone, its background [dB] (27,), the noises that may come while it lasts."""

    at: AtMicrophone
    background_db: Array
    noises: frozenset[str]


def _takes(room: Room, absorption: Array) -> tuple[InTake, ...]:
    return tuple(
        InTake(
            takes.at_microphone(one, absorption=absorption, played_in_room=one.own in room.own),
            takes.background(room, one)[1],
            frozenset(noise.name for noise in room.noises if takes.shared(noise, one) > 0.0),
        )
        for one in takes.of_room(room)
    )


def aims(parts: Sequence[Part], now: Scenario) -> tuple[Aim, ...]:
    """What each sound that is meant shall come to; a later part counts for a sound named twice.

    Raises
    ------
    InputError
        No such sound, no take, no limit.
    """
    found: dict[str, Aim] = {}
    in_take = any(part.kind in _IN_TAKE.values() for part in parts)
    in_takes = _takes(now.room, now.envelope.absorption) if in_take else ()
    for part in parts:
        for sound in _meant(part, now.sounds):
            aim = _aim(part, sound, in_takes)
            if aim is not None:
                found[sound.name] = aim
    if not found:
        raise InputError(
            "target: nothing of the room is meant by it: no noise, own sound, limit or take is there for it"
        )
    return tuple(found[one.name] for one in now.sounds if one.name in found)


def suffered(now: Scenario) -> tuple[Aim, ...]:
    """What a room suffers from: limits that are broken at its neighbours and noises that spoil its takes;
    where there are neither, noises that are heard in it, and what neighbours without a limit hear."""
    found = [_broken(one) for one in now.sounds if not one.met or (_silent(one) and one.is_heard)]
    found += _spoilt(now)
    if found:
        return tuple(found)
    heard = [one for one in now.heard if one.is_heard] or [one for one in now.sounds if one.is_heard]
    aims = [_aim(Part("", USUAL, "heard"), one, ()) for one in heard or now.sounds]
    return tuple(one for one in aims if one is not None)


def _broken(sound: Received) -> Aim:
    stated = tuple(one.limit for one in sound.limits)
    excess = partial(_limited, stated=stated, silent=_silent(sound))
    return Aim(sound, "within limits", excess, stated=True)


def _silent(sound: Received) -> bool:
    """Whether it is played when its neighbour wants silence of it."""
    return bool(sound.where) and when.forbidden(sound.to, sound.what, sound.own.hours)


def _spoilt(now: Scenario) -> list[Aim]:
    """Noises that spoil takes the file describes: they shall not be heard in the pauses."""
    if not now.room.takes:
        return []
    in_takes, found = _takes(now.room, now.envelope.absorption), []
    part = Part(TAKE, f"{HISS} {TAKE}", HISS)
    for one in now.heard:
        spoils = Aim(one, part.text, partial(_taken, word=PAUSES, takes=_there(one, in_takes)))
        if _there(one, in_takes) and spoils.missed > 0.0:
            found.append(replace(spoils, excess=partial(_taken, word=HISS, takes=_there(one, in_takes))))
    return found


def _there(sound: Received, in_takes: Sequence[InTake]) -> list[tuple[AtMicrophone, Array]]:
    """The takes a noise may come in, each with what its background is above that of the room."""
    return [(one.at, one.background_db - sound.background_db) for one in in_takes if sound.what in one.noises]


def _meant(part: Part, sounds: Sequence[Received]) -> tuple[Received, ...]:
    inside = tuple(one for one in sounds if not one.where)
    outside = tuple(one for one in sounds if one.where)
    subject = tidy(part.subject)
    if not subject:
        return outside if part.kind == "limits" or not inside else inside
    groups = {TAKE: inside, INSIDE: inside, "noises": inside, OUTSIDE: outside, "neighbors": outside}
    if subject in groups:
        meant = groups[subject]
        if not meant:
            what = "a noise" if groups[subject] is inside else "an own sound at a neighbour"
            raise InputError(f"target: {part.subject}: the room has nothing there; describe {what} first")
        return meant
    named = tuple(one for one in sounds if subject in {tidy(name) for name in _called(one)})
    if not named:
        known = list(dict.fromkeys(name for one in sounds for name in _called(one)))
        raise InputError(f"target: no sound of this name (got {shown(part.subject)}); "
                         f"{nearest(part.subject, [*known, TAKE, INSIDE, OUTSIDE])}")  # fmt: skip
    return named


def _called(sound: Received) -> tuple[str, ...]:
    """Names that mean a sound."""
    return (sound.name, sound.where, sound.what) if sound.where else (sound.name,)


def _aim(part: Part, sound: Received, in_takes: Sequence[InTake]) -> Aim | None:
    if part.kind == "heard":
        return Aim(sound, part.text, partial(_heard, allowed=part.value))
    if part.kind in ("A", "C", "NC", "NR"):
        return Aim(sound, part.text, partial(_rated, kind=part.kind, value=part.value))
    if part.kind == "softer":
        then = float(dba(sound.level_db)) - part.value
        return Aim(sound, part.text, partial(_rated, kind="A", value=then))
    if part.kind == "limits":
        return _broken(sound) if sound.limits or _silent(sound) else None
    if sound.where:
        raise InputError(f"target: {sound.name}: is no noise that a take could hold; write another aim")
    there = _there(sound, in_takes)
    return Aim(sound, part.text, partial(_taken, word=part.kind, takes=there)) if there else None
