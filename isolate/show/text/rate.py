"""The ratings of a spectrum, as text."""

from __future__ import annotations

from isolate.answers.rating import Rating
from isolate.show.layout import Page
from isolate.show.text import common


def render(answer: Rating, page: Page) -> str:
    """The whole answer."""
    lines = [page.ink(str(answer.numbers), "strong")]
    if answer.speech:
        lines.append(f"Behind it: {answer.speech} (in a quiet room).")
    rows = [[name, f"{value}"] for name, value in answer.ratings.items() if value is not None]
    if rows:
        lines += [page.heading("Ratings [dB]"), page.table(["", ""], rows, align="lr").lstrip("\n")]
    lines += common.notes(page, answer.notes, "Notes")
    return "\n".join(lines) + "\n"
