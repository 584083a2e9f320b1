"""What was made audible told: which file is what, how loud to play it, what to listen for."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.listen.answer import CALIBRATION_DBA, Listening
from isolate.room.audibility import loudness
from isolate.show import said
from isolate.show.document import (
    VERDICT_INKS,
    Block,
    Cell,
    Document,
    Heading,
    Items,
    Paragraph,
    Table,
    decibels,
    notes,
)
from isolate.show.sound.files import Folder


def document(answer: Listening, made: Folder, where: str) -> Document:
    """Which file is what, and how to listen to them."""
    return Document(
        title=f"{answer.sound} at {answer.at.name}" if answer.at else f"{answer.sound}, outside and inside",
        about=answer.room.title,
        first=[Paragraph(_told(answer)), *_files(made, where), *_how(answer)],
        full=notes(answer.notes),
        cautions=answer.cautions,
        more="what is in the files and what is not",
        before="Before you play them",
    )


def _told(answer: Listening) -> str:
    """What the files let one hear, in a sentence each."""
    now = answer.scene("now")
    assert now is not None
    parts = [
        f"Where it is made: {decibels(answer.made.dba)} dBA; {now.name}: {decibels(now.dba)} ({now.verdict})."
    ]
    for one in answer.arriving:
        if one.key != "now":
            gain = round(now.dba) - round(one.dba)
            parts.append(f"{said.capital(one.name)}: {gain} dB less, {loudness(gain)}, {one.verdict}.")
    return " ".join(parts)


def _files(made: Folder, where: str) -> Iterator[Block]:
    yield Heading(f"In {where} (lifelike, the quiet of the place under it)")
    rows: list[list[str | Cell]] = []
    for one in made.files:
        level = "" if one.dba is None else decibels(one.dba)
        ink = VERDICT_INKS.get(one.verdict, "")
        rows.append([one.name, level, decibels(-one.peak_db), Cell(one.verdict, ink)])
    yield Table(["file", "dBA", "peak below full, dB", ""], rows, "frrl")


def _how(answer: Listening) -> Iterator[Block]:
    yield Heading("How to listen")
    steps = [
        f"Play file 0 and set the volume so that a meter (a telephone's will do) shows {CALIBRATION_DBA:.0f} "
        "dBA where you sit, or as loud as talk across the table. Then leave the volume alone.",
        f"The place itself has {answer.background_dba:.0f} dBA of quiet under the noise: sit somewhere "
        "quieter, or use closed headphones.",
    ]
    if answer.in_take:
        steps.append(
            f"The takes have a gain of their own. Listen to the pauses: compression by "
            f"{answer.in_take.reduction_db:.0f} dB brings up by as much what lies in them."
        )
    yield Items(steps)
