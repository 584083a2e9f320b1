"""The story of a room told: the answer, why, what to try and do, how sure it is."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.story import Story
from isolate.remedies.contrast import Contrast
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
)
from isolate.show.tell import panels
from isolate.units import show_length

_STEPS = 2  # of the plan, in the first screen


def document(story: Story) -> Document:
    """The whole story of one noise in a room, for somebody else."""
    found = story.contrast
    sure = story.sure
    steps = list(to_do(story))
    later = f"{len(steps) - _STEPS} more steps, " if len(steps) > _STEPS else ""
    return Document(
        title=question(found),
        about=found.room.title,
        first=[
            Paragraph(_yes(found)), Paragraph(panels.hung_up(found)), panels.ladder(found),
            *(said.out_of_reach(story.judgement) if found.noise.name in _beyond(story) else []),
            *steps[:_STEPS],
            *(said.find_out(sure.first) if sure else []),
        ],
        full=[
            *steps[_STEPS:], *said.beyond(story.judgement),
            *(block for head, text in why(found) for block in (Heading(head), Paragraph(text))),
            *_tries(story), Heading("Everything else, as the room is now"), *said.who_hears_what(story.now),
            *(said.how_to_find_out(sure.first, sure.luck) if sure else []), *notes([said.SURE], "How sure"),
        ],
        cautions=story.cautions,
        next=[Next("Make a page of it", said.command("page", found.room, "--out page.html"))],
        more=f"{later}why, what to try",
    )  # fmt: skip


def _beyond(story: Story) -> list[str]:
    """The names of sounds out of reach."""
    return [one.aim.sound.name for one in story.judgement.beyond[:1]]


def question(found: Contrast) -> str:
    """What somebody would ask."""
    return f"Will I still hear {said.the(found.noise.name)}?"


def short_answer(story: Story) -> Iterator[str]:
    """The answer in two sentences: as it is, and what panels would do; what helps."""
    yield _yes(story.contrast)
    yield panels.friend(story.contrast)


def _yes(found: Contrast) -> str:
    now = found.now
    yes = {"clear": "Yes, clearly", "audible": "Yes", "faint": "Yes, faintly", "may be heard": "Perhaps",
           "not audible": "No"}[now.verdict]  # fmt: skip
    return f"{yes}: {decibels(now.dba)} dBA inside. {said.decides(now)}"


def why(found: Contrast) -> Iterator[tuple[str, str]]:
    """Why, in a few paragraphs: panels, mass and air, leaks, what is left."""
    yield (
        "Why panels do not keep it out",
        "A panel turns sound that meets it into a little warmth, inside the room: echoes die away sooner. It "
        "hangs behind the wall and window that let the sound in, and weighs next to nothing beside them. "
        f"All sound in the room falls by {float(found.drop_db.max()):.0f} dB at most, yours too.",
    )
    covers = [one for key, one in found.effects if key in ("cover", "tight cover")]
    if covers:
        told = "; ".join(f"{one.name}, {said.softer(found.now, found.then(one))}" for one in covers)
        yield (
            "And over the window?",
            f"{said.capital(told)}. What helps there is that it is tight, not that it soaks up.",
        )
    yield (
        "What does keep it out",
        "Weight, twice, with air between, and no way round: a second layer that stands by itself and closes "
        "airtight. A hole of a hundredth of the area caps a wall at 20 dB.",
    )
    if found.inner is not None:
        then = found.then(found.inner)
        yield (
            "All of it at once",
            f"{said.capital(found.inner.name)} stands free of the house, with floor, walls and ceiling of "
            f"its own: {said.softer(found.now, then)}, {said.turn(found.now, then)}.",
        )


def to_do(story: Story) -> Iterator[Block]:
    """The steps of the plan."""
    judged = story.judgement
    for i, step in enumerate(judged.steps):
        gains = said.gains(step.effect, [aim.sound.name for aim in judged.aims], 1)
        price = said.price(step.cost, judged.prices.currency)
        yield Paragraph(f"{step.name}, {price}: {gains}.", "Do first" if i == 0 else "Then")
    if not judged.steps:
        met = said.is_met(judged, judged.last, "nothing to do: all that is wanted")
        none = "nothing tried makes a difference anyone would notice."
        yield Paragraph(met if judged.last.met else none, "Do first")


def _tries(story: Story) -> Iterator[Block]:
    found = story.tries
    if found.leaf:
        yield Heading(f"{said.capital(found.leaf)} by its distance behind the {found.side}")
        yield _table(story, [(show_length(gap), g, 0) for g, gap in enumerate(found.gaps) if gap])
    yield Heading("Panels, by their number, without it" if found.leaf else "Panels, by their number")
    yield _table(story, [(str(count), 0, c) for c, count in enumerate(found.counts) if count])


def _table(story: Story, spots: list[tuple[str, int, int]]) -> Table:
    found, rows = story.tries, list[list[str | Cell]]()
    for name, g, c in spots:
        verdict = found.verdict(g, c, 0)
        gain = round(float(found.dba[0, 0, 0])) - round(float(found.dba[g, c, 0]))
        rows.append(
            [name, decibels(float(found.dba[g, c, 0])), f"{gain} dB", Cell(verdict, VERDICT_INKS[verdict])]
        )
    return Table(["", "dBA", "softer", found.noises[0].name], rows, "rrrl")
