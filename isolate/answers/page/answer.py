"""The whole story of a room for somebody else: verdicts, why, what to do, to try, to hear, and how sure it
is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from isolate.answers.base import Answer
from isolate.answers.listen.answer import How, of_panels
from isolate.answers.page import words as page_words
from isolate.answers.page.gathered import Gathered
from isolate.answers.page.tries import tries
from isolate.answers.panels import answer as panels
from isolate.answers.plain import headed
from isolate.answers.room.answer import DRAWS, SEED, room
from isolate.answers.take.answer import take
from isolate.describe import rooms, words
from isolate.describe.rooms import Room
from isolate.remedies.cautions.facts import Caution
from isolate.room.chances import Progress, quiet

SURE = (
    "The ranges and chances count what laboratories differ by when they test one wall, the error of the "
    "prediction (more below 100 Hz), and how such noises and backgrounds vary. They do not count a "
    "construction that is not what the file says."
)


@dataclass(frozen=True, repr=False)
class Story(Gathered, Answer):
    """The answers about one room, and what they say together."""

    @property
    def question(self) -> str:
        return page_words.question(self)

    @property
    def short_answer(self) -> str:
        return page_words.short_answer(self)

    @property
    def why(self) -> tuple[tuple[str, str], ...]:
        """The reasons: a heading and a paragraph each."""
        return page_words.why(self)

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Those of all answers, each once."""
        raised = (*self.listening.cautions, *self.room.cautions, *self.panels.cautions)
        return tuple({one.key: one for one in reversed(raised)}.values())[::-1]

    @property
    def notes(self) -> tuple[str, ...]:
        """What all answers assume, each once."""
        taken = self.take.notes if self.take else ()
        return tuple(dict.fromkeys((*self.room.notes, *self.panels.notes, *self.listening.notes, *taken)))

    def quantities(self) -> list[tuple[str, str, float]]:
        """What a requirement may name: subject, quantity, value."""
        return self.room.quantities() + self.panels.quantities()

    def to_dict(self) -> dict[str, Any]:
        """Plain data; the keys are those of the JSON output."""
        body = {
            "asked": self.question,
            "short_answer": self.short_answer,
            "why": [{"heading": head, "text": text} for head, text in self.why],
            "to_do": page_words.to_do(self),
            "room": self.room.to_dict(),
            "panels": self.panels.to_dict(),
            "listening": self.listening.to_dict(),
            "tries": self.tries.to_dict(),
            "take": self.take.to_dict() if self.take else None,
            "notes": self.notes,
            "cautions": [caution.to_dict() for caution in self.cautions],
        }
        return headed("page", words.room_inputs(self.room.room), body)

    def to_rows(self) -> tuple[list[str], list[list[Any]]]:
        """Header and rows of the CSV output: what can be tried, a row a distance, number of panels and
        noise."""
        found, rows = self.tries, []
        for g, gap in enumerate(found.gaps):
            for c, count in enumerate(found.counts):
                for n, noise in enumerate(found.noises):
                    level, margin = float(found.dba[g, c, n]), float(found.margin[g, c, n])
                    rows.append([noise.name, 1e3 * gap, count, level, margin, found.verdict(g, c, n)])
        return ["noise", "gap_mm", "panels", "inside_dba", "margin_db", "verdict"], rows


def story(
    described: Room | str | None = None,
    *,
    noise: str | None = None,
    count: int | None = None,
    how: How | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    processes: int = 1,
    progress: Progress = quiet,
) -> Story:
    """Answer: all there is to tell of a room, for a friend, a landlord or a builder.

    Parameters
    ----------
    described : a room, its name or path, or None for the bundled one.
    noise : the noise the story is about; None: its siren, or its first.
    count : how many panels; None as `panels.panels` says.
    how : how it is to sound.
    draws, seed, processes, progress : as for a room.

    Raises
    ------
    InputError
        A room, noise or take that does not work.

    Examples
    --------
    >>> from dataclasses import replace
    >>> import isolate
    >>> from isolate.describe import rooms
    >>> booth = rooms.load("voice booth")
    >>> small = replace(booth, noises=booth.noises[:1], neighbours=(), options=(), own=(), takes=())
    >>> isolate.text(isolate.explain(small, draws=0)).splitlines()[0]
    'Will panels stop the road outside?'
    """
    built = described if isinstance(described, Room) else rooms.load(described)
    found = room(built, draws=draws, seed=seed, processes=processes, progress=progress)
    remedies = panels.panels(built, noise=noise, count=count)
    return Story(
        room=found,
        panels=remedies,
        listening=of_panels(remedies, how=how),
        tries=tries(remedies),
        take=take(built, draws=draws, seed=seed) if built.takes and draws else None,
    )
