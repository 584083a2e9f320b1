"""The story of a room as text: the answer, what one would hear, why, what to try and do, how sure it is."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.page import words as page_words
from isolate.answers.page.answer import SURE, Story
from isolate.describe import words
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common
from isolate.show.text import room_neighbours as next_door
from isolate.show.text.room_paths import decides
from isolate.units import show_length

_MARGIN = 18


def render(story: Story, page: Page) -> str:
    """The whole story."""
    parts = (_head, _heard, _why, _tries, _to_do, _others, _take, _sure)
    lines = [line for part in parts for line in part(story, page)]
    building = [one for one in story.cautions if one.key != "played back"]  # nothing is played here
    lines += common.cautions(page, building)
    lines += common.notes(page, story.notes)
    return "\n".join(lines) + "\n"


def _head(story: Story, page: Page) -> Iterator[str]:
    yield page.ink(page.wrapped(story.question), "title")
    yield page.ink(story.room.room.title, "quiet")
    yield ""
    yield page.wrapped(story.short_answer)


def _heard(story: Story, page: Page) -> Iterator[str]:
    yield page.heading(f"How loud {page_words.the(story.panels.noise.name)} is, dBA")
    most, rows = story.listening.made.dba, []
    length = max(page.width - 62, 10)
    for one in story.listening.scenes:
        ink = VERDICT_INKS.get(one.verdict, "quiet")
        gain = "" if one.gain_db is None or one.key == "now" else f"{one.gain_db:.0f} dB softer"
        bar = page.bar(max(one.dba, 0.0) / most, length)
        row: list[str | Cell] = [
            one.name, common.decibels(one.dba), Cell(bar, ink), gain, Cell(one.verdict, ink),
        ]  # fmt: skip
        rows.append(row)
    yield page.table(["", "dBA", "", "", ""], rows, align="frlrl")
    yield page.wrapped("isolate listen makes these audible; isolate page puts them on a page to hand on.")


def _why(story: Story, page: Page) -> Iterator[str]:
    for head, text in story.why:
        yield page.heading(head)
        yield page.wrapped(text)
    yield ""
    text = decides(story.panels.now.passed, story.panels.noise.name)
    yield page.wrapped(text, label="As it is", ink="strong", margin=_MARGIN)


def _tries(story: Story, page: Page) -> Iterator[str]:
    found = story.tries
    if found.pane:
        yield page.heading(
            f"{found.pane.capitalize()} of {found.leaf}, by its distance behind the {found.side}"
        )
        spots = [(show_length(gap), g, 0) for g, gap in enumerate(found.gaps) if gap]
        yield _table(story, page, spots)
    yield page.heading("Panels, by their number, without it" if found.pane else "Panels, by their number")
    yield _table(story, page, [(str(count), 0, c) for c, count in enumerate(found.counts) if count])


def _table(story: Story, page: Page, spots: list[tuple[str, int, int]]) -> str:
    found, rows = story.tries, []
    for name, g, c in spots:
        level, verdict = float(found.dba[g, c, 0]), found.verdict(g, c, 0)
        gain = float(found.dba[0, 0, 0]) - level
        row: list[str | Cell] = [
            name, common.decibels(level), f"{gain:.0f} dB".replace("-0", "0"), words.change(round(gain)),
            Cell(verdict, VERDICT_INKS[verdict]),
        ]  # fmt: skip
        rows.append(row)
    return page.table(["", "dBA", "softer", "to the ear", found.noises[0].name], rows, align="rrrfl")


def _to_do(story: Story, page: Page) -> Iterator[str]:
    steps = page_words.to_do(story)
    if not story.room.options:
        return
    yield page.heading("What to do first (each better and dearer than the one before)")
    if not steps:
        yield page.wrapped("None of the changes tried makes the noises together noticeably softer.")
    for number, step in enumerate(steps, 1):
        yield page.wrapped(step, label=f"  {number}", margin=4)


def _others(story: Story, page: Page) -> Iterator[str]:
    """Every other noise, and the neighbours, in a line each verdict."""
    by_verdict = {
        verdict: [one.name for one in story.room.heard if one.verdict == verdict] for verdict in _VERDICTS
    }
    yield page.heading("Everything else, as the room is now")
    for verdict, label in _VERDICTS.items():
        if by_verdict[verdict]:
            names = words.listed(by_verdict[verdict])
            yield page.wrapped(names, label=label, ink=VERDICT_INKS[verdict], margin=_MARGIN)
    yield from next_door.verdicts(story.room, page, _MARGIN)


_VERDICTS = {
    "clear": "You hear clearly",
    "audible": "You hear",
    "faint": "You hear faintly",
    "not audible": "You do not hear",
}


def _take(story: Story, page: Page) -> Iterator[str]:
    if story.take is None:
        return
    for take in story.take.takes:
        yield page.heading(f"In a recording: {take.name}")
        by_word: dict[str, list[str]] = {}
        for one in take.noises:
            by_word.setdefault(one.verdict, []).append(one.name)
        for word, names in by_word.items():
            yield page.wrapped(words.listed(names), label=word[0].upper() + word[1:], margin=_MARGIN)
        yield page.wrapped(
            f"Chance that {common.minutes(take.take.length)} pass with nothing heard in the pauses: "
            f"{common.percent(take.chance_clean)}."
        )


def _sure(story: Story, page: Page) -> Iterator[str]:
    yield page.heading("How sure is this?")
    yield page.wrapped(SURE)
    sure = story.room.sure
    if sure is not None:
        yield from common.clear_up(sure.first, sure.luck, page, _MARGIN)
