"""isolate accuracy"""

from __future__ import annotations

import os
import sys
from typing import Any

import click

from isolate.commands.telling import answering


def _progress(what: str, done: int, of: int) -> None:
    """A line that counts, on a terminal only, and goes when it is done."""
    if sys.stderr.isatty():
        text = f"{done}/{of} {what}"
        click.echo(f"\r{text}" if done < of else f"\r{' ' * len(text)}\r", nl=False, err=True)


@click.command(short_help="How far predictions lie from published measurements.")
@click.option("--kind", metavar="KIND", help='Only of this kind, as window, wall or "insulating glass".')
@click.option(
    "--leave-one-out", is_flag=True,
    help="Also predict each without its own say in the calibrated constants (half a minute).",
)  # fmt: skip
@click.option("--processes", type=click.IntRange(1, 64), metavar="N",
              help="How many share it; as many as there are processors, if you don't say.")  # fmt: skip
@answering("accuracy")
def command(kind: str | None, leave_one_out: bool, processes: int | None) -> Any:
    """Predict every bundled construction that was measured, and compare.

    \b
    isolate accuracy
    isolate accuracy --kind window --plot windows.png
    isolate accuracy --kind "insulating glass" --json
    """
    from isolate.answers.accuracy.answer import accuracy as answer

    share = processes or min(os.cpu_count() or 1, 64)
    return answer(kind, left_out=leave_one_out, processes=share, progress=_progress)
