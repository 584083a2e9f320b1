"""isolate fixes"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from isolate.commands import names
from isolate.commands.numbers import Finite
from isolate.commands.telling import FILE, answering, may_replace

_MONEY = Finite(0)


def _write_prices(path: Path, room: str | None, own: str | None) -> None:
    """Write the list of prices to edit; what is named is read first, so that it is not written over."""
    from isolate.describe import prices, rooms
    from isolate.show import files

    rooms.load(room), prices.load(own)
    force = may_replace()
    files.check([path], force=force)
    files.write({path: prices.path().read_bytes()}, force=force)
    click.echo(
        f"wrote {path}, every price in it invented; put in yours, take out the line invented = true, then: "
        f"isolate fixes --prices {path}",
        err=True,
    )


@click.command(short_help="What first, what then, where to stop: an ordered plan for a budget or a target.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--budget", type=_MONEY, metavar="N", help="What may be spent; without it whatever it takes.")
@click.option("--target", metavar="TEXT", help='What is wanted, as "25 dBA" or "tram: faint"; see above.')
@click.option("--chance", type=Finite(1, 99), metavar="PERCENT",
              help="How sure it shall be that the target is met.")  # fmt: skip
@click.option("--max-weight", metavar="MASS", help='All of it together, as "300 kg".')
@click.option("--max-thickness", metavar="LENGTH", help='Of any one lining, as "100 mm".')
@click.option("--max-space", metavar="VOLUME", help='What it may take off the room, as "2 m3".')
@click.option("--only-mine", is_flag=True, help="Only the options of the file, not the tool's own remedies.")
@click.option("--prices", metavar="FILE", help="Your list of prices for the tool's own remedies.",
              shell_complete=names.files)  # fmt: skip
@click.option("--labour", type=click.Choice(["own", "hired"]), help="Who builds; as the list says.")
@click.option("--max-gap", metavar="LENGTH",
              help="How far behind a window a pane may stand; 200 mm if not stated.")  # fmt: skip
@click.option("--may-close", is_flag=True, help="Also shut vents that bring fresh air.")
@click.option("--as-played", is_flag=True, help="No other ways to play, even where building does not do.")
@click.option("--draws", type=click.IntRange(50, 1_000_000), default=500, show_default=True,
              help="How many times what is not known is drawn.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 2**32 - 1), default=1, show_default=True,
              help="The same seed, the same answer.")  # fmt: skip
@click.option("--write-prices", "own_list", type=FILE, metavar="FILE",
              help="Write the list of prices to edit, and stop.")  # fmt: skip
@answering("fixes", require="cost < 1000")
def command(room: str | None, own_list: Path | None, draws: int, seed: int, **inputs: Any) -> Any:
    """Plan what to do in ROOM: what first, what then, where to stop, and what not to buy.

    Without a target: broken limits and spoilt takes; where there are none, what is heard. Others are "not
    audible", "faint", "25 dBA", "NC 20", "10 dB softer", "in the take: gone"; for the neighbours "limits" or
    "neighbours: not audible". A name in front says for which sound alone, a comma joins several.

    \b
    isolate fixes --budget 600
    isolate fixes --target "tram: faint, school yard: not audible" --chance 80
    isolate fixes --budget 1200 --max-thickness "80 mm" --plot plan.png
    isolate fixes --target "neighbours: limits" --json
    """
    from isolate.commands.drawing import bar
    from isolate.library import fixes

    if own_list is not None:
        _write_prices(own_list, room, inputs["prices"])
        click.get_current_context().exit()
    with bar("fixes") as progress:
        return fixes(room, draws=draws, seed=seed, progress=progress, **inputs)
