"""isolate room"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import bar, draw_options
from isolate.commands.telling import FILE, answering


@click.command(short_help="Will I still hear it, where does it come in, what helps?")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--measured", type=FILE, metavar="JSON",
              help="What isolate measure --json found: the room is moved to where it agrees.")  # fmt: skip
@click.option("--through", metavar="WORD",
              help="Sides that were measured: a side's name or the word they face.")  # fmt: skip
@draw_options
@answering("room", require="inside_dba < 30", pictures=("room", "paths"))
def command(
    room: str | None, measured: Path | None, through: str | None, draws: int, seed: int, processes: int
) -> Any:
    """Tell which noises you will still hear in ROOM, which path lets them in, what the neighbours hear, and
    what each change would do.

    ROOM is a file (isolate new makes one to fill in) or a name from the catalogue; without it, the bundled
    teaching room above a tram street.

    \b
    isolate room
    isolate room --plot room.png
    isolate room --plot paths.png --picture paths
    isolate room --draws 2000 --seed 7 --json
    isolate room --measured before.json --through window
    """
    from isolate.answers.room import room as answer

    if through is not None and measured is None:
        raise click.UsageError("--through: says what --measured went through; add --measured JSON")
    described: Any = room
    explained = None
    if measured is not None:
        from isolate.measuring.moved import moved

        found = moved(room, measured, through=through)
        described, explained = found.room, found.explained
    with bar("draws") as progress:
        told = answer(described, draws=draws, seed=seed, processes=processes, progress=progress)
    return replace(told, explained=explained)
