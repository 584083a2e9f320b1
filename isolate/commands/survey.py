"""isolate survey"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from isolate.commands.telling import FILE, answering, may_replace

_PLACES = ("inside", "open", "near facade", "on facade")


@click.command(short_help="How quiet is it, and what breaks in? From an hour or a night of recording.")
@click.argument("recording", type=FILE, metavar="LONG.WAV")
@click.option("--level", metavar="L", help='Level a meter showed during a passage or reference: "42 dBA".')
@click.option("--at", metavar="FROM - TO", help='The passage it showed it in: "0:10:00 - 0:10:30".')
@click.option("--reference", type=FILE, metavar="WAV", help="A recording at that level, same gain.")
@click.option("--place", type=click.Choice(_PLACES), default="inside", show_default=True,
              help="Where the microphone was: near facade is 2 m before it, on facade flush.")  # fmt: skip
@click.option("--start", metavar="HH:MM", help="Time of day at which it begins.")
@click.option("--rise", metavar="DB", default="10 dB", show_default=True, help="What an event rises above.")
@click.option("--blocks", type=FILE, metavar="TOML",
              help="Write the background or the noises as blocks for a room file.")  # fmt: skip
@answering("survey")
def command(recording: Path, blocks: Path | None, **asked: Any) -> Any:
    """Survey LONG.WAV: the background by band, and the events that rise above it: when, how long, how loud.

    Leave the recorder running for an hour or a night: gain by hand, automatic gain off, WAV. To get sound
    levels instead of relative ones, read a meter (a telephone's is within some decibels) while it runs.

    \b
    isolate survey night.wav --start 22:30 --plot night.png
    isolate survey night.wav --level "38 dBA" --at "0:10 - 0:30" --blocks background.toml
    """
    from isolate.measuring.survey import survey
    from isolate.show import files
    from isolate.show.blocks import survey_blocks

    if blocks and asked["place"] == "inside" and asked["level"] is None:
        raise click.UsageError(
            "--blocks: a background needs sound pressure levels; state that of a passage by --level, --at"
        )
    force = may_replace()
    files.check([blocks] if blocks else [], force=force)
    if sys.stderr.isatty():
        with click.progressbar(length=1000, file=sys.stderr, label="listening") as bar:

            def step(part: float) -> None:
                bar.update(round(1000 * part) - bar.pos)

            found = survey(recording, progress=step, **asked)
    else:
        found = survey(recording, **asked)
    if blocks:
        files.write({blocks: survey_blocks(found).encode()}, force=force)
        click.echo(f"wrote {blocks}", err=True)
    return found
