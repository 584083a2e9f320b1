"""isolate explain"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import bar, draw_options
from isolate.commands.telling import answering


@click.command(short_help="The story of a room: what is heard, why, and what would help.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--noise", metavar="NAME", help="Noise it is about; without it, the room's siren or its first.")
@click.option("--panels", "count", type=click.IntRange(1, 1000), metavar="N", help="How many panels.")
@draw_options
@answering("explain", plot=False, require="inside_dba < 30")
def command(
    room: str | None, noise: str | None, count: int | None, draws: int, seed: int, processes: int
) -> Any:
    """Tell the story of ROOM: whether panels would stop its noise, why not, what would, at what distance and
    price, and how sure that is.

    It is what isolate page writes for others. Without ROOM, the bundled teaching room above a tram street.

    \b
    isolate explain
    isolate explain "voice booth" --panels 6 --json
    """
    from isolate.answers.story import story

    with bar("draws") as progress:
        return story(
            room, noise=noise, count=count, draws=draws, seed=seed, processes=processes, progress=progress
        )
