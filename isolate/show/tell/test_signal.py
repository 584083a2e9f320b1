"""The test signal, told: what is in it, how to use it, how loud."""

from __future__ import annotations

from isolate.measuring.test_signal import LEVEL_DB, TestSignal
from isolate.show.document import Document, Heading, Items, Next, Paragraph, Table, clock

_STEPS = (
    "Put the speaker in a corner of the loud room, its volume down. Play, and turn up until you would have "
    "to raise your voice: about 75 to 85 dBA. Leave the volume alone from then on.",
    "Start the recorder before it plays. Record the loud room: stand still while the noise goes in steps, "
    "then walk slowly.",
    "Play it again and record the quiet room in the same way, the gain untouched; the silence after the "
    "noise gives that room's background in the same file.",
    "Played inside the quiet room, the dead stop gives its reverberation: use that recording with --decay.",
)


def document(made: TestSignal, name: str) -> Document:
    """How to use it, and what is in it."""
    rows = [[f"{clock(part.start)} – {clock(part.end)}", part.what] for part in made.sections]
    return Document(
        title=f"{name}: {clock(made.sections[-1].end)}, {made.rate} Hz, one channel",
        first=[Table(["from – to", ""], rows, "rf"), Heading("How to use it"), Items(_STEPS)],
        full=[
            Paragraph(
                f"Noise and sweeps lie {abs(LEVEL_DB):.0f} dB below full scale on the mean (rms "
                f"{10 ** (LEVEL_DB / 20):g}), from 20 Hz to 12 kHz, equal energy in every third octave."
            )
        ],
        cautions=made.cautions,
        next=[Next("Ask whether the recorder will do", "isolate measure --check LOUD.wav")],
        more="how loud it is in the file",
        before="Before you play it",
    )
