"""The verdict of a room within a room in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.inner_room.answer import CREDIBLE, InnerRoomAnswer
from isolate.describe import words
from isolate.remedies.inner.states import Sound, gain_db
from isolate.room.received import Passed

ENOUGH_DB = 1.0  # a state that gains the whole's gain but for this does as well
_VERDICTS = {
    "clear": "still clear",
    "audible": "still audible",
    "faint": "faint",
    "not audible": "not audible any more",
}


def path_name(heard: Passed) -> str:
    """The path that lets most through, in words."""
    return heard.paths[heard.strongest].name.removeprefix("flanking: ")


def changed(answer: InnerRoomAnswer, one: Sound) -> str:
    """What the whole makes of a sound, and the same tied."""
    before, tied = answer.now.sound(one.name).passed, answer.state("tied").sound(one.name).passed
    there = f", {one.where}" if one.where else ""
    text = f"{one.what}{there}: {before.dba:.0f} dBA {'there ' if one.where else ''}now, "
    low, high = one.passed.limits_dba
    text += f"{one.passed.dba:.0f} with the whole ({low:.0f} to {high:.0f})"
    if round(tied.dba) != round(one.passed.dba):
        text += f", {tied.dba:.0f} if it is tied"
    same = before.verdict == one.passed.verdict == "not audible"
    verdict = "not audible as it was" if same else _VERDICTS[one.passed.verdict]
    if one.passed.margin > 0.0:
        verdict += f", {one.passed.margin:.0f} dB too much at {one.passed.plainest_hz:g} Hz"
    return f"{text}: {verdict}."


def playable(answer: InnerRoomAnswer, one: Sound) -> str:
    """How loud it could be made to go unheard there, with the whole; nothing where that is not to be
    counted on."""
    made = next(
        heard.made_dba
        for found in answer.now.neighbours
        if found.name == one.where
        for heard in found.heard
        if heard.name == one.what
    )
    if one.passed.margin <= 0.0 and one.where in incredible(answer):
        return ""
    if one.passed.margin <= 0.0:
        return f"It may be {made - one.passed.margin:.0f} dBA loud before anyone hears it ({made:.0f} now)."
    text = (
        f"To go unheard it would have to be no louder than {made - one.passed.margin:.0f} dBA in the room "
        f"({made:.0f} now)"
    )
    rest = one.passed.without_strongest
    if rest is not None and rest.margin <= 0.0:
        return f"{text}, or {path_name(one.passed)} would have to let nothing through."
    return f"{text}; no shell of this kind gives the rest."


def least_state(answer: InnerRoomAnswer, name: str) -> str:
    """Key of the least building that does for a sound what the whole does: silences it, or gains as much
    within `ENOUGH_DB`."""
    before = answer.now.sound(name).passed
    most = gain_db(before, answer.whole.sound(name).passed)
    for state in answer.states:
        heard = state.sound(name).passed
        enough = heard.margin <= 0.0 or gain_db(before, heard) >= most - ENOUGH_DB
        if enough and state.key != "tied":
            return state.key
    return "whole"


def enough(answer: InnerRoomAnswer) -> Iterator[tuple[str, str]]:
    """Whether less would do: a state and the sounds for which it is as good as the whole."""
    found: dict[str, list[str]] = {}
    for one in answer.now.sounds:
        if one.passed.margin <= 0.0:
            continue
        found.setdefault(least_state(answer, one.name), []).append(one.name)
    for state in answer.states:
        names = found.get(state.key)
        if names:
            yield ("nothing, since nothing helps" if state.key == "now" else state.name), words.listed(names)


def price(answer: InnerRoomAnswer, key: str) -> str:
    """What a state has less than the whole: the floor left out, or the shell tied."""
    state = answer.state(key)
    rooms = [
        f"{found.name} D_nT,w {there.dnt_w} instead of {found.dnt_w}"
        for found, there in zip(answer.whole.neighbours, state.neighbours, strict=True)
        if found.dnt_w is not None and there.dnt_w is not None and there.dnt_w != found.dnt_w
    ]
    louder = {
        one.name: state.sound(one.name).passed.dba - one.passed.dba
        for one in answer.whole.sounds
        if state.sound(one.name).passed.margin > 0.0
    }
    worst = max(louder, key=lambda name: louder[name], default=None)
    heard = "nothing that is heard gets louder by a whole dB"
    if worst is not None and louder[worst] >= ENOUGH_DB:
        heard = f"of what is heard {worst} gets louder most, by {louder[worst]:.0f} dB"
    return f"{'; '.join([*rooms, heard])}."


def limit(one: Sound) -> str:
    """What limits a sound in the end, with the whole."""
    heard = one.passed
    share = float(heard.share[heard.strongest])
    text = f"{path_name(heard)} lets {100 * share:.0f} % of it through"
    rest = heard.without_strongest
    if rest is None:
        return f"{text}."
    return f"{text}; with that perfect {rest.dba:.0f} dBA would be left, then by {path_name(rest)}."


def incredible(answer: InnerRoomAnswer) -> tuple[str, ...]:
    """Neighbours to whom more is computed than is ever met."""
    return tuple(
        found.name for found in answer.whole.neighbours if found.dnt_w is not None and found.dnt_w > CREDIBLE
    )
