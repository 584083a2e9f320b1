"""The room's answer as text: how often each noise is heard, by day and at night."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.room.answer import RoomAnswer
from isolate.describe.words import background
from isolate.room.often import TIMES, AtTime, Often
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.text import common


def often(answer: RoomAnswer, page: Page) -> Iterator[str]:
    """A row a noise; none where no number a day, no hours and no background by day or night is stated."""
    found = answer.often
    if not any(one.per_day is not None or one.hours for one in found) and not answer.room.backgrounds:
        return
    yield page.heading("How often you hear it (events a day; chance that one is heard)")
    rows = [_row(one) for one in found]
    yield page.table(["", "comes", "for", "heard", "by day", "at night"], rows, align="frrrrr")
    stated = answer.room.backgrounds
    over = {when: stated.get(when, answer.room.background) for when in TIMES}
    if stated:
        both = "; ".join(f"{when} ({TIMES[when]}): {background(one)}" for when, one in over.items())
        yield page.wrapped(f"Backgrounds: {both}.")


def _row(one: Often) -> list[str | Cell]:
    comes = f"{one.per_day:.3g}" if one.per_day is not None else "steady"
    heard = one.heard_per_day
    times = {time.when: time for time in one.times}
    return [
        one.name,
        comes,
        common.minutes(one.duration) if one.duration and one.per_day is not None else "–",
        f"{heard:.2g}" if heard is not None and heard < 10 else "" if heard is None else f"{heard:.0f}",
        *(_time(times.get(when)) for when in TIMES),
    ]


def _time(time: AtTime | None) -> Cell:
    """The verdict and chance; "–" where it does not come then."""
    if time is None:
        return Cell("–", "quiet")
    return Cell(f"{time.verdict} {common.percent(time.chance):>6}", VERDICT_INKS[time.verdict])
