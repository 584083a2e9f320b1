"""isolate room-in-room"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import draw_options
from isolate.commands.numbers import Finite
from isolate.commands.telling import answering

_PEOPLE = Finite(0, 1000, min_open=True)


@click.command(short_help="What a room within the room buys, takes, and whether half would do.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--boards", metavar="BOARDS", help='Of its walls and ceiling, as "3 x gypsum board 15 mm".')
@click.option("--gap", metavar="LENGTH", help="From the old walls to its boards.")
@click.option("--ceiling-gap", metavar="LENGTH", help="From the old ceiling to its boards.")
@click.option("--ceiling-on", metavar="WHAT", help="inner walls, hangers or resilient hangers.")
@click.option("--floor", metavar="BOARDS", help="Of its floor, from below.")
@click.option("--rating", metavar="MASS", help="What one mount under the floor carries ...")
@click.option("--deflection", metavar="LENGTH", help="... and how far it sinks then.")
@click.option("--mat", metavar="STIFFNESS", help='A mat instead of mounts, as "10 MN/m3".')
@click.option("--stands-on", metavar="WHAT", help="Its walls stand on: floated floor, or floor.")
@click.option("--sole", metavar="WHAT", help="Under its walls: rigid, or strip (of rubber).")
@click.option("--pane", metavar="PANE", help='In its window, as "laminated glass 10.4 mm".')
@click.option("--pane-gap", metavar="LENGTH", help="From the old window to that pane.")
@click.option("--door", metavar="NAME", help="Its door, a construction of the catalogue.")
@click.option(
    "--tie", "ties", multiple=True, metavar="WHAT=WHERE",
    help="What ties it: pipe, bolt, conduit or board = walls, ceiling, floor or a side.",
)  # fmt: skip
@click.option("--people", type=_PEOPLE, metavar="N", help="How many breathe in it.")
@click.option("--session", metavar="TIME", help='For how long, as "3 h".')
@click.option("--prices", metavar="FILE", help="Your list of prices.", shell_complete=names.files)
@click.option("--labour", type=click.Choice(["own", "hired"]), help="Who builds; as the list says.")
@draw_options
@answering("inner_room", require="load_kpa < 1.9")
def command(room: str | None, ties: Sequence[str], processes: int, **options: Any) -> Any:
    """Tell what a room within ROOM would bring: now, with a second pane, with inner walls, with a ceiling on
    them, with the floor floated too, and with all of that tied by what slips in.

    The inner room is that of the file's [inner] table, a usual one without; options change it. Without ROOM,
    the bundled teaching room above a tram street.

    \b
    isolate room-in-room
    isolate room-in-room "drum room" --plot shell.png
    isolate room-in-room "drum room" --boards "3 x gypsum board 15 mm" --gap "200 mm" --people 4
    isolate room-in-room --floor "concrete 80 mm" --rating "300 kg" --deflection "8 mm" --tie pipe=walls
    isolate room-in-room --require "motorcycle: inside_dba < 25, load_kpa < 1.9"
    """
    from isolate.library import room_in_room

    return room_in_room(room, ties=ties, **options)
