"""isolate compare"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.telling import answering


@click.command(short_help="Constructions side by side.")
@click.argument("constructions", nargs=-1, required=True, shell_complete=names.constructions)
@answering("compare")
def command(constructions: tuple[str, ...]) -> Any:
    """Set CONSTRUCTIONS side by side, each against the first.

    \b
    isolate compare "glass 4 mm" "laminated 6.4 mm" "glass 4 mm + 100 mm + laminated 6.4 mm"
    isolate compare "glass 4 mm" "glass 8 mm" --plot compare.svg
    """
    from isolate.answers.compare import compare as answer

    return answer(constructions)
