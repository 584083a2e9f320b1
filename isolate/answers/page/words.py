"""The story in sentences, for the page and the terminal alike: the answer, why it is so, what to do first."""

from __future__ import annotations

from collections.abc import Sequence

from isolate.answers.page.gathered import Gathered
from isolate.answers.panels.words import heard, softer
from isolate.answers.room.options import OptionFound
from isolate.bands import index_of
from isolate.describe import words
from isolate.describe.words import NOTICED_DB
from isolate.remedies import contrast as states
from isolate.remedies.contrast import State
from isolate.room.received import Passed

YOU = {
    "clear": "you hear it clearly",
    "audible": "you hear it",
    "faint": "a trace is left",
    "not audible": "you no longer hear it",
}


def the(noise: str) -> str:
    """A noise with its article."""
    return noise if noise.startswith(("the ", "a ")) or noise.endswith("s") else f"the {noise}"


def question(story: Gathered) -> str:
    """What the reader asks."""
    return f"Will panels stop {the(story.panels.noise.name)}?"


def short_answer(story: Gathered) -> str:
    """Two sentences with two numbers: what panels do, what a second pane does."""
    found = story.panels
    hung, pane = found.state("panels"), found.state("pane")
    assert hung is not None
    if found.now.verdict == "not audible":
        return f"There is nothing to stop: you do not hear {the(found.noise.name)} in here as it is."
    start = "They end it" if hung.heard.verdict == "not audible" else "No"
    parts = [f"{start}. {hung.name[0].upper()}{hung.name[1:]} make it {softer(hung)}, {heard(hung)}."]
    if pane is not None:
        parts.append(f"{_named(story, pane.name)} makes it {softer(pane)}, {heard(pane)}.")
    return " ".join(parts)


def second(story: Gathered) -> str:
    """What a second layer at the weak side is called."""
    return states.second(story.panels.weak.side) or "second layer"


def _named(story: Gathered, name: str) -> str:
    """The second layer by the name of the room's option, as a sentence begins with it."""
    bare, layer = name.removeprefix("a ").removeprefix("an "), second(story)
    if bare == layer or bare.startswith("second "):
        return f"A{words.with_article(bare)[1:]}{',' if ',' in name else ''}"
    return f"A{words.with_article(layer)[1:]} ({name})"


def why_of(story: Gathered, key: str) -> str:
    """What happens to the noise in one scene, in a sentence."""
    found = story.panels
    state = found.state(key)
    if key == "outside":
        return f"What arrives at the {found.weak.side.name}."
    if state is None:
        return ""
    way = strongest(state.heard.passed)
    if key == "now":
        return f"Most of it comes in by {way}."
    if key == "panels":
        if round(state.gain_db) >= 2 * NOTICED_DB:
            return "They swallow what is already inside; as much comes in as before."
        return "Less echo, the same noise: they swallow what is inside already; as much comes in as before."
    if key == "pane":
        return f"A second layer, tight, with air before it. What is left comes in by {way}."
    return f"A second shell that touches the first nowhere. What is left comes in by {way}."


def strongest(passed: Passed) -> str:
    """The path that lets most through, in words."""
    named = passed.paths[passed.strongest].words
    return named if named.startswith(("the ", "flanking")) else f"the {named}"


def why(story: Gathered) -> tuple[tuple[str, str], ...]:
    """The reasons: a heading and a paragraph each."""
    parts = [("Panels swallow echo, not noise", _absorbing(story))]
    pane = story.panels.state("pane")
    if pane is not None:
        parts.append((_pane_heading(story, pane), _pane(story, pane)))
    parts.append(("What is left then", _left(story)))
    return tuple((head, text) for head, text in parts if text)


def _absorbing(story: Gathered) -> str:
    found = story.panels
    band, hung = index_of(500), found.state("panels")
    assert hung is not None
    before, after = float(found.before[band]), float(found.eyring[band])
    return (
        f"Sound comes in by {strongest(found.now.passed)} as long as the noise lasts, like water through a "
        "hole. Panels soak up what is in the room already: the echo gets shorter (from "
        f"{before:.2f} s to {after:.2f} s at 500 Hz), and the level falls by {_at_least(hung.gain_db)}. "
        "Another 3 dB would take twice as much of everything that soaks up sound. Buy them for how the room "
        "sounds."
    )


def _at_least(gain_db: float) -> str:
    return f"{gain_db:.0f} dB" if gain_db >= 0.5 else "less than 1 dB"


def _pane_heading(story: Gathered, pane: State) -> str:
    ends = "keeps it out" if round(pane.gain_db) >= NOTICED_DB else "alone does not help here"
    return f"A{words.with_article(second(story))[1:]} {ends}"


def _pane(story: Gathered, pane: State) -> str:
    found = story.panels
    if round(pane.gain_db) < NOTICED_DB:
        return (
            f"Most of it comes in by {strongest(found.now.passed)}. As long as that stays, a better "
            f"{second(story).split()[-1]} makes it {softer(pane)}."
        )
    part = 10.0 ** (pane.gain_db / 10.0)
    return (
        "It closes the leaks of what is there, and the noise has to shake one more layer across a cushion of "
        "air, which works the better the wider the gap. Of the energy that came in before, the room gets one "
        f"part in {part:.0f}: that is what {pane.gain_db:.0f} dB mean, and the ear says {pane.words}."
    )


def _left(story: Gathered) -> str:
    found = story.panels
    pane, inner = found.state("pane"), found.state("shell")
    parts = []
    if pane is not None and round(pane.gain_db) >= NOTICED_DB and pane.heard.verdict != "not audible":
        left = pane.heard.passed
        rest = left.without_strongest
        text = f"With the {second(story).split()[-1]} in, most of the rest comes in by {strongest(left)}"
        if rest is not None:
            text += f"; were that closed too, {rest.dba:.0f} dBA would be left ({rest.verdict})"
        parts.append(f"{text}.")
    if inner is not None:
        parts.append(
            f"A room within the room, with walls, floor, ceiling, window and door of its own, makes it "
            f"{softer(inner)}, and {YOU[inner.heard.verdict]}."
        )
    return " ".join(parts)


def first(options: Sequence[OptionFound]) -> tuple[OptionFound, ...]:
    """The options worth a thought for the noises inside: each one better, and dearer, than the one before."""
    helping = [one for one in options if one.gain_db >= NOTICED_DB or one.helped]
    by_cost = sorted(helping, key=lambda one: (one.option.cost is None, one.option.cost or 0.0, -one.gain_db))
    found: list[OptionFound] = []
    for one in by_cost:
        if one.gain_db >= NOTICED_DB and all(one.gain_db > other.gain_db + 1.0 for other in found):
            found.append(one)
    return tuple(found)


def to_do(story: Gathered) -> tuple[str, ...]:
    """What to do first: each step better, and dearer, than the one before."""
    told = []
    for one in first(story.room.options):
        cost = "" if one.option.cost is None else f" ({one.option.cost:g})"
        gain = f"{one.gain_db:.0f} dB softer, {words.change(one.gain_db)}"
        told.append(f"{one.option.name}{cost}: all noises together {gain}")
    return tuple(told)


def becomes(story: Gathered, found: OptionFound) -> tuple[str, ...]:
    """What becomes of each noise, and of what neighbours hear, where an option makes a difference."""
    noises = zip(story.room.heard, found.heard, strict=True)
    pairs = [(old.name, old.passed, new.passed) for old, new in noises]
    for was, will in zip(story.room.neighbours, found.neighbours, strict=True):
        for one, then in zip(was.heard, will.heard, strict=True):
            pairs.append((f"{one.name} at {was.name}", one.passed, then.passed))
    told = []
    for name, old, new in pairs:
        gain = old.dba - new.dba
        if old.verdict != new.verdict:
            told.append(f"{name}: {old.verdict} → {new.verdict}")
        elif gain >= NOTICED_DB and old.margin > 0.0:
            told.append(f"{name}: {gain:.0f} dB softer, still {new.verdict}")
    if found.air_lost >= 0.2:
        told.append(f"takes away air for {found.air_lost:.1f} people: plan another way in for it")
    return tuple(told)
