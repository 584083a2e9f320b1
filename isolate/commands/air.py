"""isolate air"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.numbers import Finite
from isolate.commands.telling import answering


@click.command(short_help="How much fresh air, and the smallest ducts that bring it unheard.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--people", type=Finite(0, 1000, min_open=True), help="How many are in it.")
@click.option("--target", metavar="LEVEL", help='The background wanted, as "NC 15" or "25 dBA".')
@click.option("--prices", metavar="FILE", help="Your list of prices.", shell_complete=names.files)
@click.option("--labour", type=click.Choice(["own", "hired"]), help="Who builds; as the list says.")
@answering("air", require="noise_dba < 25")
def command(room: str | None, **options: Any) -> Any:
    """Tell how much fresh air ROOM needs, what its openings bring, and the smallest pair of ducts that is
    quiet and keeps the street out.

    \b
    isolate air
    isolate air "drum room" --people 4 --target "NC 20"
    isolate air --plot air.png
    """
    from isolate.answers.air import fresh_air

    return fresh_air(room, **options)
