"""A recorder judged, as text: the verdict, what became of the steps, what else the recording shows."""

from __future__ import annotations

from collections.abc import Iterator

from isolate.measuring.check import Check
from isolate.measuring.recorder import SETTINGS
from isolate.show.layout import Cell, Page
from isolate.show.text import common
from isolate.show.text.findings import listed_findings

_MARGIN = 14


def render(answer: Check, page: Page) -> str:
    """The whole answer."""
    lines = [page.ink(f"The recorder that made {answer.name}", "title"), ""]
    lines += [line for part in (_verdict, _steps) for line in part(answer, page)]
    lines += listed_findings(answer.findings, page, "What the recording shows")
    lines += common.notes(page, [_MEANT], "What counts")
    return "\n".join(lines) + "\n"


_MEANT = (
    "The test signal begins with steps of known level. A recorder that leaves levels alone records each as "
    "far below the steady noise as it is played; where it does not, the difference between two rooms comes "
    "out too small by the same part."
)


def _verdict(answer: Check, page: Page) -> Iterator[str]:
    if answer.usable:
        lowest = answer.following.steps[-1][0] if answer.following else 0.0
        text = f"can be used: its gain stays where it is, as far as {-lowest:.0f} dB below the loud noise"
        yield page.wrapped(text, label="Verdict", ink="good", margin=_MARGIN)
    elif answer.usable is False:
        yield page.wrapped("cannot be used as it is set", label="Verdict", ink="bad", margin=_MARGIN)
        yield page.wrapped(SETTINGS[0].upper() + SETTINGS[1:], label="Look for", ink="strong", margin=_MARGIN)
    else:
        why = (
            "the steps drown in the background: play louder, in a quiet moment" if answer.found else
            "the steps of the test signal are not in it: write it with isolate test-signal, start the "
            "recorder before it plays, and record it from its beginning"
        )  # fmt: skip
        yield page.wrapped(f"cannot be told: {why}", label="Verdict", ink="warn", margin=_MARGIN)
    low = "; turn its gain up, peaks of -20 to -6 dB are good" if answer.peak_db < -30.0 else ""
    yield page.wrapped(f"{answer.peak_db:.0f} dB re full scale{low}", label="Peaks", margin=_MARGIN)


def _steps(answer: Check, page: Page) -> Iterator[str]:
    if answer.following is None:
        return
    yield page.heading("Steps [dB below the steady noise]")
    rows: list[list[str | Cell]] = [
        [f"  {abs(played):.0f}", f"{abs(heard):.1f}"] for played, heard in answer.following.steps
    ]
    yield page.table(["played", "recorded"], rows, align="rr")
