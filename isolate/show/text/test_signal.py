"""The test signal as text: what is in it, how to use it, how loud."""

from __future__ import annotations

from isolate.measuring.test_signal import LEVEL_DB, TestSignal
from isolate.show.layout import Page
from isolate.show.text import common

_STEPS = (
    "Put the speaker in a corner of the loud room, its volume down. Play, and turn up until you would have "
    "to raise your voice: about 75 to 85 dBA. Leave the volume alone from then on.",
    "Start the recorder before it plays. Record the loud room: stand still while the noise goes in steps, "
    "then walk slowly. isolate measure --check tells from that recording whether the recorder will do.",
    "Play it again and record the quiet room in the same way, the gain untouched.",
    "Without lifting the gain, the silence after the noise gives the quiet room's background in the same "
    "file.",
    "Played inside the quiet room, the dead stop gives its reverberation: use that recording with --decay.",
)


def render(made: TestSignal, name: str, page: Page) -> str:
    """What was written and what to do with it."""
    title = f"{name}: {clock(made.sections[-1].end)}, {made.rate} Hz, one channel"
    lines = [page.ink(page.wrapped(title), "title"), ""]
    rows = [[f"{clock(part.start)} – {clock(part.end)}", part.what] for part in made.sections]
    lines.append(page.table(["from – to", "what"], rows, align="rl"))
    lines.append("")
    lines.append(page.wrapped(
        f"Noise and sweeps lie {abs(LEVEL_DB):.0f} dB below full scale on the mean (rms "
        f"{10 ** (LEVEL_DB / 20):g}), "
        "from 20 Hz to 12 kHz, equal energy in every third octave."
    ))  # fmt: skip
    lines += common.notes(page, _STEPS, "How to use it")
    lines += common.cautions(page, made.cautions, "Before you play it")
    return "\n".join(lines) + "\n"


def clock(seconds: float) -> str:
    """Minutes and seconds, hours where there are some.

    >>> clock(75.0)
    '1:15'
    """
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{left:02d}" if hours else f"{minutes}:{left:02d}"
