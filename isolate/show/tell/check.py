"""A recorder judged, told; and findings on recordings, which measurements and surveys tell too."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from isolate.measuring.check import Check
from isolate.measuring.checks import DOUBT, NOTE, SPOILT, Finding
from isolate.measuring.recorder import SETTINGS
from isolate.show.document import Block, Document, Heading, Next, Paragraph, Table, notes

_GRAVE = {SPOILT: ("Spoilt", "bad"), DOUBT: ("Doubt", "warn"), NOTE: ("Note", "quiet")}
_LOW_DB = -30.0  # peaks below: too low a gain
_MEANT = (
    "The test signal begins with steps of known level. A recorder that leaves levels alone records each as "
    "far below the steady noise as it is played; where it does not, the difference between two rooms comes "
    "out too small by the same part."
)


def document(answer: Check) -> Document:
    """The verdict and what to set; the steps one by one with --full."""
    if answer.usable:
        command = f"isolate measure --loud {answer.name} --quiet QUIET.wav"
        then = Next("Record the quiet room with the gain untouched", command)
    else:
        then = Next("Record it again, and ask again", f"isolate measure --check {answer.name}")
    return Document(
        title=f"The recorder that made {answer.name}",
        first=[*_verdict(answer), *findings(answer.findings, "What the recording shows")],
        full=[*_steps(answer), *notes([_MEANT], "What counts")],
        cautions=answer.cautions,
        next=[then],
        before="When you measure",
        more="the steps as played and as recorded",
    )


def findings(found: Sequence[Finding], heading: str) -> list[Block]:
    """Heading and findings, the gravest first; nothing where there are none."""
    if not found:
        return []
    ordered = sorted(found, key=lambda one: -one.grave)
    return [Heading(heading), *(block for one in ordered for block in _finding(one))]


def _finding(one: Finding) -> Iterator[Block]:
    label, ink = _GRAVE[one.grave]
    again = f" Again: {one.again}." if one.again else ""
    yield Paragraph(f"{one.file} {one.what}.{again}", label, ink)


def _verdict(answer: Check) -> Iterator[Block]:
    if answer.usable:
        lowest = answer.following.steps[-1][0] if answer.following else 0.0
        text = f"can be used: its gain stays where it is, as far as {-lowest:.0f} dB below the loud noise"
        yield Paragraph(text, "Verdict", "good")
    elif answer.usable is False:
        yield Paragraph("cannot be used as it is set", "Verdict", "bad")
        yield Paragraph(SETTINGS[0].upper() + SETTINGS[1:], "Look for")
    else:
        why = (
            "the steps drown in the background: play louder, in a quiet moment" if answer.found else
            "the steps of the test signal are not in it: write it with isolate test-signal, start the "
            "recorder before it plays, and record it from its beginning"
        )  # fmt: skip
        yield Paragraph(f"cannot be told: {why}", "Verdict", "warn")
    low = "; turn its gain up, peaks of -20 to -6 dB are good" if answer.peak_db < _LOW_DB else ""
    yield Paragraph(f"{answer.peak_db:.0f} dB re full scale{low}", "Peaks")


def _steps(answer: Check) -> list[Block]:
    if answer.following is None:
        return []
    rows = [[f"{abs(played):.0f}", f"{abs(heard):.1f}"] for played, heard in answer.following.steps]
    return [Heading("Steps [dB below the steady noise]"), Table(["played", "recorded"], rows, "rr")]
