"""Will it be in the recording: which noises are heard in a take's pauses, how likely, what to clear up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from isolate.answers import inputs
from isolate.answers.base import Answer
from isolate.answers.plain import headed
from isolate.answers.take.draws import Drawable, DrawnNoise, DrawnTake, draw
from isolate.answers.take.parts import Floor, NoiseInTake, TakeFound
from isolate.bands import Array, energy_sum
from isolate.describe import rooms, words
from isolate.describe.rooms import Background, Room, Take
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.facts import Caution
from isolate.remedies.cautions.table import raised
from isolate.remedies.judgement.judgement import Judgement, judge
from isolate.room import DRAWS, SEED, envelope, prediction, scenario, takes
from isolate.room.cases import Cases
from isolate.room.chances import HIGH, LOW, Case, Doubts, Progress, Sample, Sampler, quiet
from isolate.room.contributions import Contribution
from isolate.room.draws import blocks
from isolate.room.envelope import Envelope
from isolate.room.first import Result, luck, to_clear
from isolate.room.received import Received
from isolate.room.scenario import Sampled
from isolate.room.takes import AtMicrophone
from isolate.standards import criteria
from isolate.standards.weighting import dba

ASSUMED = (
    "The file has no [[take]]: each sound it plays, else speech, is taken at 0.5 m with a microphone of "
    "15 dBA own noise, softest passages 20 dB below, no compression."
)
NOTES = (
    "Noise and background reach the microphone from all sides alike; the playing is taken as stated, without "
    "a doubt of its own.",
    "Compression brings up what lies under the take by as much as it takes off the peaks (common practice, "
    "no source). One listens so that the playing has the playback level.",
    "What the playing hides is counted by third octaves; single held tones hide less between them.",
    "Events come at random, evenly over their hours, each as loud as the next draw.",
    prediction.LOW_SENTENCE,
)


@dataclass(frozen=True, repr=False)
class TakeAnswer(Answer):
    """The answer for the takes of a room; `judged`: what to do about it, where that is known already."""

    room: Room
    takes: tuple[TakeFound, ...]
    seed: int
    draws: int
    notes: tuple[str, ...]
    judged: Judgement | None

    @cached_property
    def judgement(self) -> Judgement | None:
        """What to do about the room; None where nothing is heard in it."""
        if self.judged is not None:
            return self.judged
        now = scenario.present(self.room)
        return judge(now, sampled=Sampled(self.room, count=0)) if now.heard else None

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What the cures told may hurt."""
        judged, worst = self.judgement, [one.worst for one in self.takes]
        if judged is None:
            return ()
        cures = [judged.cures.get(one.name) for one in worst if one is not None]
        return raised(facts(judged.now, [one for cure in cures if cure is not None for one in cure.remedies]))

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        found = []
        for take in self.takes:
            found.append((take.name, "chance_clean", take.chance_clean))
            found.append((take.name, "floor_dba", take.floor.dba))
            found.append((take.name, "floor_dbfs", take.floor.dbfs))
            for one in take.noises:
                subject = f"{one.name} in {take.name}"
                found.append((subject, "under_take_db", float(one.met.under_db)))
                found.append((subject, "pause_margin_db", float(one.met.pause_db)))
                found.append((subject, "chance_heard", one.chance_in_pauses))
        return found

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "takes": [take.to_dict() for take in self.takes],
            "draws": self.draws,
            "seed": self.seed,
            "notes": self.notes,
        }
        return headed("take", inputs.room(self.room), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output, a row a take and noise."""
        head = [
            "take", "noise", "under_take_db", "pause_margin_db", "verdict", "chance_heard", "chance_comes",
            "chance_in_take",
        ]  # fmt: skip
        rows = [
            [take.name, one.name, float(one.met.under_db), float(one.met.pause_db), one.verdict,
             one.chance_in_pauses, one.comes, one.chance_in_take]
            for take in self.takes
            for one in take.noises
        ]  # fmt: skip
        return head, rows


def take(
    described: Room | str | None = None,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress = quiet,
    judged: Judgement | None = None,
) -> TakeAnswer:
    """Answer: which noises will be in the takes of a room? `described`: a room, its name or path, None the
    bundled one; `judged`: what is known of it already. A room without takes is recorded at half a metre with
    a usual microphone.

    Examples
    --------
    >>> import isolate
    >>> frame = isolate.take(draws=50).to_frame().set_index("noise")
    >>> frame.verdict["ambulance siren"]
    'spoils the take'
    """
    room = described if isinstance(described, Room) else rooms.load(described)
    built = judged.now.envelope if judged else envelope.of_room(room)
    notes = list(NOTES) if room.takes else [*NOTES, ASSUMED]
    heard = [built.hear(noise) for noise in room.noises]
    cases = Cases(room)
    behind = [cases.of(one, built) for one in heard]
    quiet_parts = cases.background("", room.background)
    plans = [_plan(one, room, built, heard, behind, quiet_parts) for one in takes.of_room(room)]
    drawn = draw(
        [plan.drawable for plan in plans], seed=seed, count=draws, processes=processes, progress=progress
    )
    sampler = Sampler(blocks(seed, draws)[0])
    found = tuple(_found(plan, one, sampler) for plan, one in zip(plans, drawn, strict=True))
    return TakeAnswer(room, found, seed, draws, tuple(notes), judged)


class Plan(NamedTuple):
    """A take made ready: at its microphone, over which background, the noises that may come, and those that
    do not at its hours."""

    take: Take
    when: str
    drawable: Drawable
    heard: tuple[Received, ...]
    absent: tuple[str, ...]


def _plan(
    take: Take,
    room: Room,
    built: Envelope,
    heard: Sequence[Received],
    behind: Sequence[Case],
    quiet_parts: tuple[Contribution, ...],
) -> Plan:
    at = takes.at_microphone(take, absorption=built.absorption, played_in_room=take.own in room.own)
    when, background = takes.background(room, take)
    there = [takes.shared(one.noise, take) > 0.0 for one in heard]
    cases = [
        replace(case, background_db=background, other_backgrounds={})
        for case, comes in zip(behind, there, strict=True)
        if comes
    ]
    return Plan(
        take,
        when,
        Drawable(at, background, tuple(cases), quiet_parts),
        tuple(one for one, comes in zip(heard, there, strict=True) if comes),
        tuple(one.name for one, comes in zip(heard, there, strict=True) if not comes),
    )


def _found(plan: Plan, drawn: DrawnTake, sampler: Sampler) -> TakeFound:
    at = plan.drawable.at
    noises_found = tuple(
        _noise(plan.take, at, heard, case, one, sampler)
        for heard, case, one in zip(plan.heard, plan.drawable.cases, drawn.noises, strict=True)
    )
    results = [Result(one.name, one.chance_in_pauses, one.doubts) for one in noises_found]
    return TakeFound(
        take=plan.take,
        at=at,
        when=plan.when,
        floor=_floor(plan.take, at, plan.drawable.background_db, drawn.floor_dba),
        noises=noises_found,
        absent=plan.absent,
        first=to_clear(results),
        luck=luck(results),
    )


def _noise(
    take: Take, at: AtMicrophone, heard: Received, case: Case, drawn: DrawnNoise, sampler: Sampler
) -> NoiseInTake:
    low, high = np.percentile(drawn.level_db, [LOW, HIGH], axis=0)
    chance = NoiseInTake(
        noise=heard.noise,
        level_db=heard.level_db + at.room_db,
        low_db=low,
        high_db=high,
        met=at.meet(Sample(heard.level_db, case.background_db)),
        drawn=drawn.met,
        expected=takes.expected(heard.noise, take),
        there=takes.shared(heard.noise, take),
        doubts=(),
    )
    if Result(heard.name, chance.chance_in_pauses, ()).doubt <= 0.0:
        return chance
    return replace(chance, doubts=Doubts(sampler).of(case, lambda sample: at.meet(sample).pause_db))


def _floor(take: Take, at: AtMicrophone, background: Array, drawn_dba: Array) -> Floor:
    both = at.floor(background)
    floor = Floor(
        background + at.room_db,
        at.hiss_db,
        both,
        drawn_dba,
        take.reads_dbfs,
        float(energy_sum(at.played_db)),
    )
    if take.target_dbfs is not None:
        return replace(floor, target=f"{take.target_dbfs:g} dBFS", excess_db=floor.dbfs - take.target_dbfs)
    if take.target is not None:
        excess = _over(take.target, both)
        return replace(floor, target=words.background(take.target), excess_db=excess)
    return floor


def _over(target: Background, level_db: Array) -> float:
    """How far a level is above a stated background: in NC or NR numbers, or in dBA."""
    value = target.value or 0.0
    if target.kind in ("NC", "NR"):
        rated = criteria.nc(level_db) if target.kind == "NC" else criteria.nr(level_db)
        return float(rated) - value
    return float(dba(level_db)) - value
