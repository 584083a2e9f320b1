"""isolate play"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import draw_options
from isolate.commands.telling import answering


@click.command(short_help="May I play now, how loud, until when; by the air and by the floor.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--at", metavar="TIME", help='Time of day, as "9 pm" or "21:00"; default now.')
@click.option("--sound", metavar="NAME", help="One of the room's own sounds; default all.")
@draw_options
@answering("play", plot=False, require="margin_db <= 0")
def command(room: str | None, **asked: Any) -> Any:
    """Tell whether what is played in ROOM may be played at this time: what each neighbour hears of it through
    the air and by the floor, which decides, how loud it may be, until when, and what else would do.

    \b
    isolate play "drum room" --at "9 pm"
    isolate play --at 14:00 --sound clarinet
    """
    from isolate.answers.play import play

    return play(room, **asked)
