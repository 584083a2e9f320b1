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
    "Ln,w": "what a tapping machine makes below it: less is better (ISO 717-2)",
    "CI": "add it to Ln,w for feet",
    "CI50-2500": "CI with all from 50 Hz counted: the thuds of feet on timber",
    "IIC": "as Ln,w, American, but more is better (ASTM E989)",
}


def document(answer: Rating) -> Document:
    """The single numbers in a line, what each means, those the line has not, and what is heard of speech."""
    line = str(answer.numbers)
    rows = [
        [name if name in line else f"{name} {value}", _MEANS[name]]
        for name, value in answer.ratings.items()
        if value is not None
    ]
    meant = [Paragraph(f"{answer.speech} (in a quiet room).", "Behind it")] if answer.speech else []
    return Document(
        title=line,
        first=[
            *meant,
            Heading("What they mean"),
            Table(["", ""], rows, "lf"),
            *notes(answer.notes, "Notes"),
        ],
        next=[Next("See what the words mean", "isolate guide terms")],
    )
