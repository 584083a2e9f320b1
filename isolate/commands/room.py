"""isolate room"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import bar, draw_options
from isolate.commands.telling import answering


@click.command(short_help="Will I still hear it, where does it come in, what helps?")
@click.argument("room", required=False, shell_complete=names.rooms)
@draw_options
@answering("room", require=True, pictures=("room", "paths"))
def command(room: str | None, draws: int, seed: int, processes: int) -> Any:
    """Tell which noises you will still hear in ROOM, which path lets them in, what the neighbours hear, and
    what each change would do.

    ROOM is a file (isolate new makes one to fill in) or a name from the catalogue; without it, the bundled
    teaching room above a tram street.

    \b
    isolate room
    isolate room --plot room.png
    isolate room --plot paths.png --picture paths
    isolate room --draws 2000 --seed 7 --json
    """
    from isolate.answers.room import room as answer

    with bar("draws") as progress:
        return answer(room, draws=draws, seed=seed, processes=processes, progress=progress)
