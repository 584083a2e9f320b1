"""What goes with a plan: what is done on site, what is measured, what raises cautions, what was assumed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from isolate.answers.fixes.request import Request
from isolate.describe import words
from isolate.describe.prices import Prices
from isolate.describe.rooms import Room
from isolate.remedies.cautions import changes
from isolate.remedies.cautions.facts import Change, Facts
from isolate.remedies.checks import ToMeasure, Work
from isolate.remedies.inner.shells import shells_of
from isolate.remedies.judgement.choice import Chooser
from isolate.remedies.judgement.plan import Stage, Step
from isolate.remedies.judgement.target import Aim
from isolate.remedies.remedy import YOURS, compatible
from isolate.remedies.sounds import Sound, heard
from isolate.room import levels, prediction
from isolate.standards.weighting import dba


class Besides(NamedTuple):
    """What a plan does to a sound it was not made for: how much softer [dBA], its verdicts."""

    name: str
    drop_db: float
    before: str
    after: str


def besides(others: Sequence[Sound], now: Stage, then: Stage) -> tuple[Besides, ...]:
    """The other sounds that change noticeably or get another verdict."""
    before, after = heard(now.state), heard(then.state)
    found = []
    for one in others:
        old, new = before[one.name].passed, after[one.name].passed
        drop = old.dba - new.dba
        if abs(drop) >= words.NOTICED_DB or old.verdict != new.verdict:
            found.append(Besides(one.name, drop, old.verdict, new.verdict))
    return tuple(found)


def idle(chooser: Chooser) -> Iterator[tuple[str, str]]:
    """The user's own options that change no sound that counts."""
    moved = frozenset().union(*(chooser.evaluator.moved_by(aim) for aim in chooser.evaluator.aims))
    for i, fix in enumerate(chooser.fixes):
        if fix.origin == YOURS and i not in moved:
            yield fix.name, "no sound of the target comes that way"


def work(chooser: Chooser, order: Sequence[int]) -> Work:
    """What is done on site, in the order of the plan."""
    sides = {found.side.name: found.side for found in chooser.evaluator.built.now.sides}
    made = tuple(chooser.fixes[i] for i in order)
    assert compatible(made)
    pairs = tuple(
        (sides[fix.side], fix.option.on(sides[fix.side])) if fix.side in sides else None for fix in made
    )
    return Work(made, pairs)


def measure(
    steps: Sequence[Step], aims: Sequence[Aim], now: Stage, then: Stage, room: Room
) -> ToMeasure | None:
    """The sound that gains most, measured through the side that is changed for it."""
    if not steps:
        return None
    gains = [before.dba - after.dba for before, after in zip(now.passed, then.passed, strict=True)]
    best = int(np.argmax(gains))
    sound = aims[best].sound
    by = max(steps, key=lambda step: step.drop(best))
    outdoors = any(noise.name == sound.name and not noise.indoors for noise in room.noises)
    return ToMeasure(by.fix.side or "walls", outdoors, sound.name, gains[best])


def facts(room: Room, steps: Sequence[Step], work: Work) -> Facts:
    """What the triggers of cautions look at in a plan."""
    built: list[Change] = []
    for step, pair in zip(steps, work.sides, strict=True):
        fix = step.fix
        added = fix.mass / pair[0].area if pair else 0.0
        made = pair[1] if pair else None
        built += changes.of_option(room, fix.option, added=added, less_air=fix.air_lost > 0.0, made=made)
    parts = next((step.fix.parts for step in steps if step.fix.parts), ())
    load = shells_of(room).load if parts else None
    if load is not None:
        built += changes.of_inner_room(room, load, parts)
    return Facts(
        changes=tuple(built),
        within=changes.within(load, parts) if load is not None else None,
        floor_area=room.size[0] * room.size[1],
        volume=room.volume,
        height=room.size[2],
        fan=bool(parts) or any(side.vents for pair in work.sides if pair for side in pair),
        loudest_dba=max((float(dba(levels.made_inside(own))) for own in room.own), default=float("-inf")),
    )


def notes(room: Room, asked: Request, prices: Prices, chooser: Chooser) -> Iterator[str]:
    """What was assumed."""
    yield (
        "What is left to be done is counted as how far each sound sticks out beyond its aim, nothing below "
        "0, every sound alike; name one in --target to plan for it alone."
    )
    yield (
        f"A change counts as noticed from {words.NOTICED_DB:g} dB on. A plan leaves out what nobody would "
        "notice, and ends where no further change would be."
    )
    if any(fix.invented for fix in chooser.fixes):
        yield (
            "Prices of the tool's own remedies are INVENTED, to show how it works. Put in your own: isolate "
            "fixes --write-prices my-prices.toml, then --prices my-prices.toml."
        )
    elif any(fix.origin != YOURS for fix in chooser.fixes):
        year = f" {prices.year}" if prices.year else ""
        yield f"Prices: {prices.place or 'your list'}{year}; {prices.labour} labour."
    if any(fix.parts for fix in chooser.fixes):
        yield "Inner rooms are plans by themselves here; isolate room-in-room tells of them at length."
    if not chooser.exact:
        yield (
            "There are too many combinations to look at every one: the plan is at least as good as taking "
            "the best fix again and again, not proven to be the best of all."
        )
    if asked.target is None and room.neighbours and room.noises:
        yield (
            'The plan is for what comes in; for what goes out ask --target "neighbours: limits" or '
            '"neighbours: not audible".'
        )
    yield prediction.LOW_SENTENCE
    yield from room.notes
