"""The single numbers of a measured spectrum, told."""

from __future__ import annotations

from isolate.answers.rating import Rating
from isolate.show.document import Document, Heading, Next, Paragraph, Table, notes


def document(answer: Rating) -> Document:
    """The single numbers, what they mean for speech, and how they were read."""
    rows = [[name, f"{value}"] for name, value in answer.ratings.items() if value is not None]
    meant = [Paragraph(f"{answer.speech} (in a quiet room).", "Behind it")] if answer.speech else []
    return Document(
        title=str(answer.numbers),
        first=[
            *meant,
            Heading("Single numbers [dB]"),
            Table(["", ""], rows, "lr"),
            *notes(answer.notes, "Notes"),
        ],
        next=[Next("See what each of them means", "isolate guide terms")],
    )
