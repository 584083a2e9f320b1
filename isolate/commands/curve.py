"""isolate curve"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.telling import answering


@click.command(short_help="What a construction stops, 25 Hz to 10 kHz.")
@click.argument("construction", shell_complete=names.constructions)
@click.option("--why", is_flag=True, help="Also explain it: what rules where, and what would move it.")
@answering("curve", require="Rw >= 45")
def command(construction: str, why: bool) -> Any:
    """Tell what CONSTRUCTION stops, from 25 Hz to 10 kHz.

    CONSTRUCTION is a name from the catalogue, a file, or its layers in quotes, from the noisy side.

    \b
    isolate curve "glass 4 mm"
    isolate curve "glass 4 mm + 100 mm + laminated 6.4 mm" --plot curve.png
    isolate curve "double glass 4-12-4 mm" --why
    isolate curve "2 x gypsum board 5/8 in + 90 mm + 2 x gypsum board 5/8 in" --json
    """
    from isolate.answers.curve.answer import curve as answer

    return answer(construction, why=why)
