"""isolate measure"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from isolate.commands.telling import FILE, answering, may_replace


def _files(name: str, help_text: str) -> Any:
    return click.option(f"--{name}", type=FILE, multiple=True, metavar="WAV", help=help_text)


def _stated(name: str, metavar: str, help_text: str) -> Any:
    return click.option(f"--{name}", metavar=metavar, help=help_text)


@click.command(short_help="How much do I keep out now? From recordings with one microphone.")
@_files("loud", "Noise on, in the loud room (or outdoors). Give it again for more places.")
@_files("quiet", "Noise on in the loud room, microphone in the quiet room; likewise.")
@_files("background", "Noise off, microphone in the quiet room.")
@_files("loud-background", "Noise off, in the loud room or outdoors: wind and what else sounds there.")
@_files("decay", "Claps, a balloon, or noise switched off, in the quiet room.")
@_stated("volume", "V", 'Volume or size of the quiet room: "32 m3" or "4 m x 3.2 m x 2.5 m".')
@_stated("loud-volume", "V", "The same of the loud room.")
@_stated("area", "S", 'Area of the wall, window or door between: "8.2 m2" or "1.2 m x 1.4 m".')
@_stated("time", "T", 'Reverberation time of the quiet room if you know it: "0.4 s".')
@_stated("quiet-gain", "G", 'How much more gain the quiet recordings had: "20 dB".')
@_stated("background-gain", "G", "The same for the background (else as quiet).")
@click.option(
    "--same-sound", type=(FILE, FILE), metavar="WAV WAV", default=None,
    help="One steady sound recorded with the loud and with the quiet gain, instead of --quiet-gain.",
)  # fmt: skip
@_stated("level", "L", 'Level a meter showed beside the microphone in the loud room: "85 dBA".')
@click.option("--facade", is_flag=True, help="Loud means outdoors, the microphone 2 m before the facade.")
@click.option("--music", is_flag=True, help="The same passage of music (or sweeps) was played, not noise.")
@_files("loud-corner", "Noise on, a corner of the loud room (below 25 m3); give it for each corner.")
@_files("quiet-corner", "Likewise in the quiet room.")
@_files("background-corner", "Likewise with the noise off.")
@click.option("--from", "saved", type=FILE, metavar="JSON", help="A measurement saved with --json instead.")
@click.option("--against", type=FILE, metavar="JSON", help="Compare with an earlier one saved with --json.")
@click.option("--room", metavar="ROOM", help="Compare with what is predicted for this room file.")
@_stated("through", "WORD", "Sides of ROOM it went through: a side's name or the word they face.")
@click.option("--block", type=FILE, metavar="TOML", help="Write the curve as a construction with [measured].")
@click.option(
    "--corrected", type=FILE, metavar="TOML", help="Write a copy of ROOM that fits the measurement."
)
@click.option("--check", "checked", type=FILE, metavar="WAV",
              help="First of all: can the recorder that made this loud recording be used?")  # fmt: skip
@answering("measure", require="NIC >= 40")
def command(*, block: Path | None, corrected: Path | None, checked: Path | None, **given: Any) -> Any:
    """Measure how much a wall, window or door keeps out, with one microphone and no calibrated meter.

    \b
    1. Same recorder, same gain, automatic gain, limiter and noise suppression
       off; WAV, not MP3. Windows and doors shut as they are when it matters.
    2. isolate test-signal noise.wav; play it in the loud room from a corner,
       at most about 85 dBA: you can still talk over it with a raised voice.
    3. Record all of it in the loud room: stand still while it goes in steps,
       then walk slowly, a metre from the speaker and half a metre from walls:
       loud.wav. isolate measure --check loud.wav tells whether it will do.
    4. The same in the quiet room with the noise on: quiet.wav
    5. The quiet room with the noise off: background.wav
    6. Claps or a balloon in the quiet room: decay.wav

    \b
    isolate measure --check loud.wav
    isolate measure --loud loud.wav --quiet quiet.wav --background background.wav
    isolate measure --loud out.wav --quiet in.wav --facade --json --out before.json
    isolate measure --from after.json --against before.json
    """
    from isolate.measuring.check import check
    from isolate.measuring.request import answer
    from isolate.show import files
    from isolate.show.blocks import measured_block
    from isolate.show.corrected import corrected_room

    if checked is not None:
        if any(given.values()) or block or corrected:
            raise click.UsageError("--check: judges one recording by itself; leave the other options out")
        return check(checked)
    if corrected is not None and given["room"] is None:
        raise click.UsageError("--corrected: needs --room ROOM; add it")
    force = may_replace()
    files.check([path for path in (block, corrected) if path is not None], force=force)
    result = answer(**given)
    contents = {} if block is None else {block: measured_block(result).encode()}
    if corrected is not None and result.model is not None:
        if result.model.fit.kind == "as predicted":
            click.echo(
                f"{corrected}: not written: the measurement shows nothing to put into the room; use --block "
                "to plan with the measured curve itself", err=True,
            )  # fmt: skip
        else:
            contents[corrected] = corrected_room(result.model, given["room"], corrected).encode()
    if contents:
        files.write(contents, force=force)
        click.echo("\n".join(f"wrote {path}" for path in contents), err=True)
    return result
