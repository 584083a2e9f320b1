"""May I play, how loud, until when: told."""

from __future__ import annotations

import math
from collections.abc import Callable

from isolate.answers.play import At, Play, Tried
from isolate.bands import OCTAVES, THIRD_OCTAVES, Array, index_of, octave_levels
from isolate.describe import words
from isolate.room.when import LESS_DB
from isolate.show import said
from isolate.show.document import (
    VERDICT_INKS,
    Block,
    Cell,
    Document,
    Heading,
    Next,
    Paragraph,
    Table,
    decibels,
    notes,
    percent,
)

MOST = 2  # sounds told in whole sentences on the first screen
WAYS = 4  # of the ways to play there


def document(answer: Play) -> Document:
    """Yes or no for each sound, why, how loud it might be, and what else would do."""
    sounds = sorted(answer.sounds, key=answer.allowed)
    first: list[Block] = [Paragraph(_sentence(answer, name), *_label(answer, name)) for name in sounds[:MOST]]
    if len(sounds) > MOST:
        rest = [f"{name}: {'yes' if answer.allowed(name) else 'no'}" for name in sounds[MOST:]]
        first.append(Paragraph("; ".join(rest) + ".", "And"))
    first.append(Paragraph(_hidden(answer, sounds[0]), "Street hides"))
    return Document(
        title=f"{answer.room.title}: may I play at {_clock(answer.time)}?",
        first=[*first, *_ways(answer, sounds[0], few=WAYS)],
        full=[
            *_everyone(answer),
            *_bands(answer),
            *(block for name in sounds[1:] for block in _ways(answer, name, few=None)),
            *notes(answer.notes),
        ],
        cautions=answer.cautions,
        before="Take care",
        more="every neighbour with levels and limits, the other sounds, what was assumed",
        next=[_next(answer)],
    )


def _hidden(answer: Play, name: str) -> str:
    """At which hour the street hides most of a sound, and whether that does for any."""
    found = answer.hides[name]
    if found is None:
        return "at no hour more of it than at others."
    able = [one for one in answer.sounds if (by := answer.hides[one]) and by.left_db <= 0.0]
    then = f"{words.listed(able)} unheard then" if able else "heard even then"
    if found.more_db < LESS_DB:
        return f"most about now, {found.hours}; {then}."
    return f"most {found.hours}, {found.more_db:.0f} dB more than now; {then}."


def _next(answer: Play) -> Next:
    if all(answer.allowed(name) for name in answer.sounds):
        return Next("See what is heard in the room", said.command("room", answer.room))
    return Next("If it has to be this loud, what to build", said.command("fixes", answer.room))


def _clock(hour: float) -> str:
    minutes = round(hour * 60)
    return f"{minutes // 60 % 24}:{minutes % 60:02d}"


def _label(answer: Play, name: str) -> tuple[str, str]:
    yes = answer.allowed(name)
    return f"{name}: {'yes' if yes else 'no'}", "good" if yes else "bad"


_HEARD = {
    "not audible": "They do not hear it", "may be heard": "They may hear it",
    "faint": "They hear it faintly", "audible": "They hear it", "clear": "They hear it clearly",
}  # fmt: skip


def _sentence(answer: Play, name: str) -> str:
    worst = answer.worst(name)
    return " ".join([_levels(worst), _against(worst), *_loudest(answer, name), _until(answer, name)])


def _levels(one: At) -> str:
    where = one.neighbour.name
    if not math.isfinite(one.floor_dba):
        return f"{decibels(one.air_dba)} dBA at {where}, all through the air."
    blow = "" if one.blow_dba is None else f" (a single blow {decibels(one.blow_dba)})"
    return (
        f"{decibels(one.air_dba)} dBA at {where} through the air, {decibels(one.floor_dba)} by the "
        f"floor{blow}: the {one.decides} decides."
    )


def _against(one: At) -> str:
    if one.rules.silences:
        return f"They say: {one.rules.silences[0].text}."
    excess = one.excess_db
    if excess is None:
        stated = "none of their limits holds now" if one.neighbour.limits else "no limit is stated there"
        rule = "they state nothing against it at this hour" if one.rules.free else stated
        return f"{_HEARD[one.verdict]}; {rule}."
    chance = percent(max(one.chance_kept or 0.0, 0.001))
    if one.allowed:
        return f"{-excess:.0f} dB under their limit ({chance} chance that it is kept)."
    return f"{excess:.0f} dB over their limit ({chance} chance that it is kept)."


def _loudest(answer: Play, name: str) -> list[str]:
    here = [one for one in answer.found if one.name == name]
    made = here[0].heard.made_dba
    within = [(one.allowed_dba, one.sure_dba) for one in here]
    limited = [(a, s) for a, s in within if a is not None and s is not None]
    unheard = min(one.unheard_dba for one in here)
    if not limited:
        return [f"You make {decibels(made)} dBA; {decibels(unheard)} go unheard."]
    most, sure = (min(values) for values in zip(*limited, strict=True))
    return [
        f"You make {decibels(made)} dBA; {decibels(most)} keep all limits (to be 90 % sure: "
        f"{decibels(sure)}), {decibels(unheard)} go unheard."
    ]


def _until(answer: Play, name: str) -> str:
    then = answer.until(name)
    free = answer.free[name]
    if answer.allowed(name):
        return "You may play round the clock." if then is None else f"You may play until {_clock(then)}."
    if not free:
        return "As loud as this, at no hour."
    return "You may play " + ", ".join(str(one) for one in free) + "."


def _ways(answer: Play, name: str, *, few: int | None) -> list[Block]:
    tried = [one for one in answer.tried if one.sound == name]
    if not tried:
        return []
    if few:  # hours by themselves change nothing of what is heard: told where they are enough
        tried = [one for one in tried if one.allowed or one.way.hours is None]
    tried.sort(key=lambda one: (not one.allowed, one.remedy.price if one.allowed else one.worst.margin))
    under = [one for one in tried if one.way.only_floor]
    if few and under and under[0] not in tried[:few]:  # what it changes by itself, whatever else is better
        tried.remove(under[0])
        tried.insert(few - 1, under[0])
    money = said.priced(answer.currency, [one.remedy.cost for one in tried])
    head = ["", "price", "air", "floor", "worst at", "may I"]
    return [
        Heading(f"Other ways to play: {name} (dBA where it is worst; {money})"),
        Table(head, [_row(one) for one in tried], "frrrff", few=few),
    ]


def _row(one: Tried) -> list[str | Cell]:
    worst = one.worst
    return [
        one.way.name,
        said.short_price(one.remedy.cost),
        decibels(worst.air_dba),
        decibels(worst.floor_dba),
        worst.neighbour.name,
        Cell(f"{'yes' if one.allowed else 'no'}, {worst.verdict}", VERDICT_INKS[worst.verdict]),
    ]


def _everyone(answer: Play) -> list[Block]:
    rows: list[list[str | Cell]] = []
    for one in answer.found:
        excess = "–" if one.excess_db is None else f"{one.excess_db:+.0f}"
        rows.append([
            one.neighbour.name, one.name, decibels(one.air_dba), decibels(one.floor_dba),
            Cell(one.verdict, VERDICT_INKS[one.verdict]), excess,
            "–" if one.allowed_dba is None else decibels(one.allowed_dba), decibels(one.unheard_dba),
        ])  # fmt: skip
    head = ["at", "of", "air", "floor", "verdict", "over", "may be", "unheard"]
    return [
        Heading("Everybody (dBA; over: dB over the limit; may be, unheard: dBA in the room)"),
        Table(head, rows, "ffrrlrrr"),
    ]


def _bands(answer: Play) -> list[Block]:
    """What comes through the air, by the floor and in all, by band: thirds in the bass, octaves above."""
    low = index_of(200.0) + 1
    octaves = OCTAVES[OCTAVES > 200.0]
    return [
        Heading("By band: third octaves to 200 Hz (dB, not weighted)"),
        _by_band(answer, THIRD_OCTAVES[:low], lambda level: level[:low]),
        Heading("By band: octaves above"),
        _by_band(answer, octaves, lambda level: octave_levels(level)[-len(octaves) :]),
    ]


def _by_band(answer: Play, bands_hz: Array, told: Callable[[Array], Array]) -> Table:
    rows: list[list[str | Cell]] = []
    for one in answer.found:
        parts = {"air": one.air_db}
        if math.isfinite(one.floor_dba):
            parts |= {"floor": one.floor_db, "both": one.heard.level_db}
        for part, level in parts.items():
            name = f"{one.name} at {one.neighbour.name}" if part == "air" else ""
            rows.append([name, part, *("<0" if x < 0.0 else decibels(x) for x in told(level))])
    head = ["", "by", *(f"{x:.0f}" for x in bands_hz)]
    return Table(head, rows, "ff" + "r" * len(bands_hz))
