"""What was made audible as text: which file is what, how loud to play it, what to listen for."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.answers.listen.answer import CALIBRATION_DBA, Listening
from isolate.describe.words import change
from isolate.show.layout import VERDICT_INKS, Cell, Page
from isolate.show.sound.files import Folder
from isolate.show.text import common


def render(answer: Listening, made: Folder, where: str, page: Page) -> str:
    """The whole of it."""
    lines = [page.ink(page.wrapped(_title(answer)), "title"), page.ink(answer.room.title, "quiet"), ""]
    lines.append(page.wrapped(_told(answer)))
    lines += _files(made, where, page)
    lines += _how(answer, page)
    lines += common.cautions(page, answer.cautions, "Before you play them")
    lines += common.notes(page, answer.notes)
    return "\n".join(lines) + "\n"


def _title(answer: Listening) -> str:
    return f"{answer.sound} at {answer.at.name}" if answer.at else f"{answer.sound}, outside and inside"


def _told(answer: Listening) -> str:
    """What the files let one hear, in a sentence each."""
    now = answer.scene("now")
    assert now is not None and now.gain_db is not None
    start = f"Where it is made it is {answer.made.dba:.0f} dBA"
    parts = [f"{start}; {now.name}, {now.dba:.0f} dBA ({now.verdict})."]
    for one in answer.arriving:
        if one.key != "now" and one.gain_db is not None:
            gain = f"{one.gain_db:.0f} dB less, {change(round(one.gain_db))}"
            parts.append(f"{one.name[0].upper()}{one.name[1:]}: {gain}, {one.verdict}.")
    return " ".join(parts)


def _files(made: Folder, where: str, page: Page) -> Iterator[str]:
    yield page.heading(f"In {where} (lifelike, the quiet of the place under it)")
    rows: list[list[str | Cell]] = []
    for one in made.files:
        dba = "" if one.dba is None else common.decibels(one.dba)
        ink = VERDICT_INKS.get(one.verdict, "")
        rows.append([one.name, dba, common.decibels(-one.peak_db), Cell(one.verdict, ink)])
    yield page.table(["file", "dBA", "peak below full, dB", ""], rows, align="frrl")


def _how(answer: Listening, page: Page) -> Iterator[str]:
    yield page.heading("How to listen")
    steps = [
        "Play file 0 and set the volume so that a meter (a telephone's will do) shows "
        f"{CALIBRATION_DBA:.0f} dBA where you sit, or so that it is as loud as somebody who talks across the "
        "table. From then on leave the volume alone: every file is as loud as it would be.",
        f"The place itself has {answer.background_dba:.0f} dBA of quiet under the noise. Where you sit must "
        "be quieter than that, or use closed headphones, to hear whether a noise is gone.",
    ]
    if answer.in_take:
        steps.append(
            f"The takes have a gain of their own. Listen to the pauses: compression by "
            f"{answer.in_take.reduction_db:.0f} dB brings up by as much what lies in them."
        )
    for step in steps:
        yield page.wrapped(step, label="  -", margin=4)
