"""The main question: will I still hear it, where does it come in, what first, what does each change do?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.plain import headed, plain
from isolate.bands import THIRD_OCTAVES, Array, index_of
from isolate.describe import prices, rooms, words
from isolate.describe.rooms import Room
from isolate.physics import reverberation
from isolate.remedies import making
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.combined import Combined
from isolate.remedies.effect import Effect
from isolate.remedies.judgement.judgement import Judgement, judge
from isolate.remedies.remedy import Remedy
from isolate.room import DRAWS, SEED, air, envelope, impact, prediction, scenario
from isolate.room.air import Air
from isolate.room.chances import Progress, quiet
from isolate.room.elements import BuiltSide, Element, Finder
from isolate.room.envelope import Envelope
from isolate.room.neighbours import AtNeighbour
from isolate.room.often import Often, often
from isolate.room.received import Received
from isolate.room.scenario import Sampled, Scenario, Sure
from isolate.standards import hearing, ratings
from isolate.standards.weighting import dba

ASSUMPTIONS = (
    "Levels outside are those a microphone 2 m before the side reads, the building's reflection in them (ISO "
    "12354-3); worked out from a distance, those of the arriving sound alone; with indoors = true, next "
    "door.",
    "Only what the file names is counted: its sides, gaps and vents, and what flanks where it says so.",
    "Shares are parts of the A-weighted energy inside. The mass of a change is what it adds to what stands.",
)


@dataclass(frozen=True)
class Explained:
    """What a room that was moved to its measurement is told from: the `sides` that were measured, the
    explanation preferred, its `kind` and `what` was found, and the `chances` of all kinds."""

    sides: tuple[str, ...]
    kind: str
    what: tuple[str, ...]
    chances: tuple[tuple[str, float], ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        return {
            "sides": self.sides, "explanation": self.kind, "what": self.what,
            "chances": {f"chance {kind}": chance for kind, chance in self.chances},
        }  # fmt: skip


@dataclass(frozen=True, repr=False, eq=False)
class RoomAnswer(Answer):
    """The answer for a room: the scenario `now`, the remedies the file offers (`offered`); `sure`: how it was
    drawn and what to find out first, None without draws; `judging` is told how far the judgement is;
    `explained`: the measurement it was moved to, None: it is told as described."""

    now: Scenario
    offered: tuple[Remedy, ...]
    sampled: Sampled
    notes: tuple[str, ...]
    sure: Sure | None = None
    judging: Progress = quiet
    explained: Explained | None = None

    @property
    def room(self) -> Room:
        return self.now.room

    @property
    def envelope(self) -> Envelope:
        return self.now.envelope

    @property
    def heard(self) -> tuple[Received, ...]:
        """The noises inside."""
        return self.now.heard

    @property
    def neighbours(self) -> tuple[AtNeighbour, ...]:
        return self.now.neighbours

    @property
    def worst(self) -> Received | None:
        """The noise that sticks out most; None where none comes in."""
        return self.now.worst

    @cached_property
    def options(self) -> tuple[Effect, ...]:
        """The file's options tried one at a time."""
        combined = Combined(self.now, self.offered)
        then = self.sampled.scenarios([combined.scenario(frozenset({i})) for i in range(len(self.offered))])
        return tuple(Effect((one,), self.now, after) for one, after in zip(self.offered, then, strict=True))

    @cached_property
    def judgement(self) -> Judgement | None:
        """What to do first, and where to stop; None where nothing is heard anywhere."""
        return judge(self.now, sampled=self.sampled, progress=self.judging) if self.now.sounds else None

    @cached_property
    def best(self) -> tuple[Effect, ...]:
        """The few changes worth a thought."""
        return self.judgement.best if self.judgement else ()

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What building any of the changes told may hurt."""
        told = [one for effect in self.best for one in effect.remedies]
        found = facts(self.now, [*self.offered, *told])
        offered = bool(self.air.ways) or self.air.served < (self.air.people or 0.0)  # a fan, for its air
        return raised(replace(found, fan=found.fan or offered))

    @property
    def air(self) -> Air:
        """What the openings let in."""
        return air.of([one.side for one in self.envelope.sides], self.room.people)

    @property
    def background_dba(self) -> float:
        return float(dba(self.envelope.background_db))

    @property
    def often(self) -> tuple[Often, ...]:
        """How often each noise is heard, by day and at night."""
        return tuple(often(self.room, one) for one in self.heard)

    @property
    def threshold_db(self) -> Array:
        """Threshold of hearing [dB] (27,)."""
        return hearing.THRESHOLD

    @property
    def hidden_db(self) -> Array:
        """Level [dB] (27,) up to which a sound in one band is hidden by the background and the ear."""
        return hearing.masked_threshold(self.envelope.background_db)

    @property
    def composite_db(self) -> dict[str, Array]:
        """Transmission loss [dB] (27,) of all that faces each word."""
        facing = dict.fromkeys(found.side.faces for found in self.envelope.sides)
        return {word: self.envelope.composite(word) for word in facing}

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return (
            [
                (one.name, name, value)
                for one in self.heard
                for name, value in (
                    ("inside_dba", one.dba),
                    ("margin_db", one.margin),
                    ("chance_heard", one.chance),
                )
            ]
            + [
                (one.name, name, value)
                for found in self.neighbours
                for one in found.heard
                for name, value in (
                    ("neighbour_dba", one.dba),
                    ("neighbour_margin_db", one.margin),
                    ("neighbour_chance_heard", one.chance),
                    *(("over_limit_db", limit.excess_db) for limit in one.limits),
                )
            ]
            + [(one.name, "dnt_w", float(one.dnt_w)) for one in self.neighbours if one.dnt_w is not None]
        )

    @property
    def elements(self) -> tuple[tuple[str, Element], ...]:
        """Every element with the word its side faces."""
        return tuple((word, path) for word in self.composite_db for path in self.envelope.elements(word))

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "sides": [*(self._side(found) for found in self.envelope.sides), *self._flanking()],
            "noises": [
                one.to_dict() | {"often": often.to_dict()}
                for one, often in zip(self.heard, self.often, strict=True)
            ],
            "composite": {
                word: {"bands_hz": THIRD_OCTAVES, "tl_db": tl_db, "Rw": int(ratings.rw(tl_db))}
                for word, tl_db in self.composite_db.items()
            },
            "options": [found.to_dict() for found in self.options],
            "neighbours": [found.to_dict() for found in self.neighbours],
            "paths": [self._path(word, path) for word, path in self.elements],
            "remedies": [found.to_dict() for found in self.best],
            "judgement": self.judgement.to_dict() if self.judgement else None,
            "air": self.air.to_dict(),
            "background_dba": self.background_dba,
            "uncertainty": self.sure.to_dict() if self.sure else None,
            "measured": self.explained.to_dict() if self.explained else None,
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        data = headed("room", inputs.room(self.room), body)
        for side in data["sides"]:  # shares add up to 1: six digits, not two
            side["share"] = plain(self._share(side["name"]), 6)
        for path in data["paths"]:
            path["share"] = plain(self._share_of_path(path["side"], path["name"]), 6)
        return data

    def rw_limits(self, found: BuiltSide) -> tuple[float | None, float | None]:
        """5 % and 95 % of a side's Rw, None without draws."""
        return self.sure.rw.get(found.side.name, (None, None)) if self.sure else (None, None)

    def _share(self, side: str) -> dict[str, float]:
        return {one.name: one.by_side.get(side, 0.0) for one in self.heard}

    def _side(self, found: BuiltSide) -> dict[str, Any]:
        side = found.side
        return {
            "name": side.name,
            "faces": side.faces,
            "construction": side.construction.name,
            "area_m2": side.area,
            "rw": found.rw,
            "rw_low": self.rw_limits(found)[0],
            "rw_high": self.rw_limits(found)[1],
            "surface_mass_kg_m2": found.surface_mass or None,
            "tl_db": found.tl_db,
        }

    def _flanking(self) -> list[dict[str, Any]]:
        """What comes round from each room next door, as one more side, so that shares add up to 1."""
        found = []
        for word in self.composite_db:
            ways = self.envelope.round_about(word)
            if not ways:
                continue
            area = sum(side.side.area for side in self.envelope.facing(word))
            tl_db = -10.0 * np.log10(sum(one.tau_area for one in ways) / area)
            found.append({
                "name": f"flanking ({word})", "faces": word, "construction": None, "area_m2": None,
                "rw": int(ratings.rw(tl_db)), "surface_mass_kg_m2": None, "tl_db": tl_db,
            })  # fmt: skip
        return found

    def _path(self, word: str, path: Element) -> dict[str, Any]:
        return {
            "name": path.name,
            "side": path.side,
            "kind": path.kind,
            "faces": word,
            "dn_db": path.difference_db,
        }

    def _share_of_path(self, side: str, name: str) -> dict[str, float]:
        """Part of an element in the A-weighted energy of each noise inside and each sound at a neighbour."""
        return {
            sound.name: float(share)
            for sound in self.now.sounds
            for one, share in zip(sound.elements, sound.share, strict=True)
            if (one.side, one.name) == (side, name)
        }

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: now and with each option, a row a noise and third octave, and
        a row a sound at a neighbour, whose outside is the room."""
        states = [("now", self.now), *((found.name, found.after) for found in self.options)]
        rows = [
            [state, one.name, *levels]
            for state, then in states
            for one in then.sounds
            for levels in zip(THIRD_OCTAVES, one.made_db, one.level_db, one.margin_db, strict=True)
        ]
        return ["state", "noise", "band_hz", "outside_db", "inside_db", "margin_db"], rows


def _notes(room: Room, now: Envelope) -> tuple[str, ...]:
    by_note: dict[str, list[str]] = defaultdict(list)
    for found in now.sides:
        for note in found.notes:
            by_note[note].append(found.side.name)
    notes = [*room.notes, *ASSUMPTIONS, prediction.LOW_SENTENCE]
    if room.reverberation_time is None:
        notes.append(f"Reverberation as is usual in a {room.furnishing} room (common practice).")
    steps = [one.name for one in room.noises if one.impact is not None]
    if steps:
        notes.append(
            f"{words.listed(steps)}: feet make their sound in the floor itself, so what stands as outside is "
            f"what {impact.REFERENCE} would bring into this room, the loudest moment of a step."
        )
    notes += [_place_note(room, now), *_neighbour_notes(room, now)]
    return (*notes, *(f"{words.listed(names)}: {note}" for note, names in by_note.items()))


def _place_note(room: Room, now: Envelope) -> str:
    """Up to where the mean level says little about one place."""
    time = 0.16 * room.volume / now.absorption[index_of(500.0)]
    edge = float(f"{reverberation.crossover(volume=room.volume, reverberation_time=time):.1g}")
    return (
        f"Levels inside are means over the room. Below some {edge:.0f} Hz its single resonances rule: a step "
        "aside may make 5 dB and more of difference, which the ranges do not count."
    )


def _neighbour_notes(room: Room, now: Envelope) -> Iterator[str]:
    """What was assumed of flanking, of neighbours' rooms and of sound on its way outdoors."""
    bare = sorted(envelope.words_of_rooms(room) - set(room.flanking) - set(now.flanking))
    if bare and "" not in room.flanking:
        yield (
            f"Towards {words.listed(bare)} no more flanks than in any house: the file does not say how "
            'this one is built. Write flanking = "brick house, timber floors" or the like in [room].'
        )
    for word, house in room.flanking.items():
        where = f" ({word})" if word else ""
        if house.beside or house.above:
            yield f"Flanking{where} as is usual in a {house.name}: a default of our own from typical masses."
    alike = [
        one.name for one in room.neighbours if one.size is None and not (one.distance and not one.facade)
    ]
    if alike:
        yield f"{words.listed(alike)}: the size of their room is not stated, that of this one was taken."
    outdoors = {word for noise in room.noises if not noise.indoors for word in noise.reaches}
    for one in room.neighbours:
        open_air = [side.name for side in room.sides if side.name in one.through and side.faces in outdoors]
        if open_air and one.distance is None:
            yield (
                f"{one.name}: taken as a room right behind {words.listed(open_air)}; if they are outdoors or "
                'across the street, write distance = "12 m" or the like.'
            )
    if room.own and any(one.distance is None for one in room.neighbours):
        yield _by_floor(room)
    if any(one.distance is not None for one in room.neighbours):
        yield (
            "Sound outdoors spreads as half a sphere from the sides it comes out of: no ground, no screens, "
            "no wind, nothing reflected by other houses."
        )


def _by_floor(room: Room) -> str:
    """What is counted of what own sounds put straight into the floor."""
    standing, put = impact.stood_on(room.sides, room.underfoot), [own.name for own in room.own if own.floor]
    if not put:
        return (
            "Neighbours next door hear sound in the air only: of feet, pedals or a loudspeaker on the floor "
            'nothing is stated (floor = ["kick pedal"] or the like under [[own]]).'
        )
    if standing is None:
        return (
            f"What {words.listed(put)} puts straight into the floor is not counted: say what it stands on, "
            'floor = "concrete slab 150 mm" or the like under [room].'
        )
    return (
        f"What {words.listed(put)} puts into the floor ({standing.construction.name}) is counted, from "
        "forces that are estimates, good to 8 dB; rooms beside get 5 dB less of it than one below, rooms "
        "above 10 dB less."
    )


def room(
    described: Room | str | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress | None = None,
    finder: Finder | None = None,
    judging: Progress = quiet,
) -> RoomAnswer:
    """Answer: will I still hear it, and will they?

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    draws, seed : how many times what is not known is drawn, and from which seed; 0 draws: limits and chances
        of a normal distribution instead, and nothing on what to find out first.
    processes : how many share the draws; the answer does not depend on it.
    progress : told how many draws are done, and of how many; judging : the same of the judgement's states.
    finder : keeps what it finds of each construction, for who asks of nearly the same room again.

    Examples
    --------
    >>> import isolate
    >>> found = isolate.room(draws=0)
    >>> siren = found.heard[0]
    >>> siren.name, siren.verdict
    ('ambulance siren', 'clear')
    >>> frame = found.to_frame()
    >>> now = frame[(frame.state == "now") & (frame.noise == "tram")]
    >>> len(now), bool((now.inside_db < now.outside_db).all())
    (27, True)
    """
    built = described if isinstance(described, Room) else rooms.load(described)
    now = scenario.present(built, finder)
    sampled = Sampled(built, seed=seed, count=draws, processes=processes, progress=progress)
    first = sampled.scenario(now)
    return RoomAnswer(
        now=first,
        offered=tuple(making.of_options(built, now.envelope, prices.bundled())),
        sampled=sampled,
        notes=_notes(built, now.envelope),
        sure=sampled.sure(first),
        judging=judging,
    )
