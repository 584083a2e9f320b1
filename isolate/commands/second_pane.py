"""isolate second-pane"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.drawing import bar, draw_options
from isolate.commands.telling import answering


@click.command(short_help="Is a second window worth it; which pane, how far behind?")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--window", metavar="GLASS", help='The old window: "4 mm", "double glazed", "4-16-4", layers.')
@click.option("--size", metavar="W x H", help='Its width and height, as "36 in x 48 in".')
@click.option("--sash", metavar="STATE", help="How tight it is: sealed, draught-stripped, partly sealed, "
              'unsealed, or the gap round it, "1 mm".')  # fmt: skip
@click.option("--side", metavar="NAME", help="Which window of ROOM, if it has several.")
@click.option("--noise", metavar="NAME", help="The noise that counts: one of ROOM, or of the catalogue.")
@click.option("--level", metavar="LEVEL", help='Its level outside, as "88 dBA".')
@click.option("--gap", "gaps", multiple=True, metavar="LENGTH",
              help="Look at this distance alone; again for more.")  # fmt: skip
@click.option("--pane", "panes", multiple=True, metavar="PANE",
              help='Look at this pane alone, as "laminated 1/4 in"; again for more.')  # fmt: skip
@click.option("--seal", metavar="STATE", help="How tight the new pane closes, in the words of --sash.")
@click.option("--reveal", metavar="bare|lined", help="Look at this state of the reveal alone.")
@click.option("--max-gap", metavar="LENGTH", help="How far behind it may stand; 200 mm if not stated.")
@click.option("--max-weight", metavar="MASS", help='What the pane may weigh, as "25 kg" or "55 lb".')
@click.option("--openable", is_flag=True, help="It must open: sealed no better than draught-stripped.")
@click.option("--light", is_flag=True, help="It must keep the daylight: no plug.")
@click.option("--no-fixing", is_flag=True, help="Nothing screwed or glued: for those who rent.")
@draw_options
@answering("second_pane", require="gain_dba >= 10")
def command(room: str | None, draws: int, seed: int, processes: int, **options: Any) -> Any:
    """Tell whether a second window behind the one in ROOM is worth it, which pane, and how far behind.

    Without ROOM and --window, the window of the bundled teaching room above a tram street; with --window
    alone, that window in a usual room on a town street.

    \b
    isolate second-pane
    isolate second-pane --plot second.png --max-gap "5 in"
    isolate second-pane --window "1/8 in" --size "36 in x 48 in" --noise bus
    isolate second-pane --window "double glazed" --no-fixing --light
    isolate second-pane --noise tram --gap "4 in" --pane "laminated 1/4 in"
    """
    from isolate.library import second_pane

    with bar("draws") as progress:
        return second_pane(room, draws=draws, seed=seed, processes=processes, progress=progress, **options)
