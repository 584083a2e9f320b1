"""isolate test-signal"""

from __future__ import annotations

from pathlib import Path

import click

from isolate.commands.telling import FILE


@click.command(short_help="A WAV file to play when measuring: noise that starts softly, and sweeps.")
@click.argument("file", type=FILE)
@click.option("--kind", type=click.Choice(("both", "noise", "sweeps")), default="both", show_default=True)
@click.option("--length", default="60 s", show_default=True, help="Of the noise.")
@click.option("--rate", type=click.Choice(("44100", "48000", "96000")), default="48000", show_default=True)
@click.option("--bits", type=click.Choice(("16", "24")), default="24", show_default=True)
@click.option("--force", is_flag=True, help="Let FILE replace one that exists.")
@click.option("--full", is_flag=True, help="Print all of what there is to know.")
def command(file: Path, kind: str, length: str, rate: str, bits: str, force: bool, full: bool) -> None:
    """Write a test signal to play in the loud room into FILE.

    Pink noise between silences, with a soft start and a dead stop (the reverberation after it is a decay you
    can measure), then sweeps from 20 Hz to 12 kHz. Both are 20 dB below full scale on the mean, so that the
    volume knob decides how loud it gets: start low.

    \b
    isolate test-signal noise.wav
    isolate test-signal sweeps.wav --kind sweeps --rate 44100
    """
    from isolate.commands.telling import page_of_terminal, show
    from isolate.describe.wav import encode
    from isolate.measuring.test_signal import signal
    from isolate.show import files
    from isolate.show.layout import Page
    from isolate.show.layout import tell as lay_out
    from isolate.show.tell import test_signal as telling

    if file.suffix.lower() not in (".wav", ".wave"):
        raise click.UsageError(f"FILE {file}: what is written is WAV; write a name that ends in .wav")
    files.check([file], force=force)
    made = signal(kind, length=length, rate=int(rate))
    files.write({file: encode(made.samples, rate=made.rate, bits=int(bits))}, force=force)
    show(lay_out(telling.document(made, file.name), page_of_terminal(Page), full=full))
