"""isolate take"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import draw_options
from isolate.commands.telling import answering


@click.command(short_help="Will it be in the recording? What is heard in the pauses, how likely?")
@click.argument("room", required=False, shell_complete=names.rooms)
@draw_options
@answering("take", require="chance_clean >= 0.5")
def command(room: str | None, draws: int, seed: int, processes: int) -> Any:
    """Tell which noises will be in the takes of ROOM: under the playing, in the pauses, how likely, and what
    to find out first.

    A [[take]] in the file says what is played and how the microphone stands (isolate new explains it); a file
    without one is answered for each sound it plays and a usual microphone.

    \b
    isolate take
    isolate take --plot take.png
    isolate take --draws 5000 --seed 7 --json
    """
    from isolate.answers.take.answer import take
    from isolate.commands.drawing import bar

    with bar("takes") as progress:
        return take(room, draws=draws, seed=seed, processes=processes, progress=progress)
