"""The single numbers of a measured spectrum, told."""

from __future__ import annotations

from isolate.answers.rating import Rating
from isolate.show.document import Document, Heading, Next, Paragraph, Table, notes

_MEANS = {
    "Rw": "what it stops, as one number (ISO 717-1, 100 to 3150 Hz)",
    "C": "add it to Rw for noise of a home",
    "Ctr": "add it to Rw for traffic and bass",
    "STC": "as Rw, American (ASTM E413, 125 to 4000 Hz)",
    "OITC": "against traffic, American (ASTM E1332, 80 to 4000 Hz)",
    "C50-3150": "C with all from 50 Hz counted",
    "Ctr50-3150": "Ctr with all from 50 Hz counted",
    "C50-5000": "C from 50 to 5000 Hz",
    "Ctr50-5000": "Ctr from 50 to 5000 Hz",
    "C100-5000": "C from 100 to 5000 Hz",
    "Ctr100-5000": "Ctr from 100 to 5000 Hz",
}


def document(answer: Rating) -> Document:
    """The single numbers, what each means, and what is heard of speech behind it."""
    rows = [
        [name, f"{value}", _MEANS.get(name, "")]
        for name, value in answer.ratings.items()
        if value is not None
    ]
    meant = [Paragraph(f"{answer.speech} (in a quiet room).", "Behind it")] if answer.speech else []
    return Document(
        title=str(answer.numbers),
        first=[
            *meant,
            Heading("Single numbers [dB]"),
            Table(["", "", ""], rows, "lrf"),
            *notes(answer.notes, "Notes"),
        ],
        next=[Next("See what the words mean", "isolate guide terms")],
    )
