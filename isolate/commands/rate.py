"""isolate rate"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from isolate.commands.telling import answering


@click.command(short_help="Rw, STC and OITC of a measured spectrum.")
@click.argument("spectrum", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--impact", is_flag=True, help="Impact sound levels instead: columns band_hz,l_n.")
@answering("rate", plot=False, require="Rw >= 45")
def command(spectrum: Path, impact: bool) -> Any:
    """Rate a measured SPECTRUM: Rw with C and Ctr, STC, OITC; of impact sound Ln,w with CI and IIC.

    SPECTRUM is a CSV file with the columns band_hz,tl_db in third octaves or octaves; - reads it from
    standard input.

    \b
    isolate rate wall.csv
    isolate rate wall.csv --require "Rw >= 45"
    isolate rate floor.csv --impact
    """
    from isolate.answers.rating import rating

    return rating(spectrum, impact=impact)
