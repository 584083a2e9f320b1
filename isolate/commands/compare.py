"""isolate compare"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.telling import answering


@click.command(short_help="Constructions side by side.")
@click.argument("constructions", nargs=-1, required=True, shell_complete=names.constructions)
@click.option("--noise", metavar="NOISE", help="The noise that comes: a name of the catalogue or a word.")
@answering("compare")
def command(constructions: tuple[str, ...], noise: str | None) -> Any:
    """Set CONSTRUCTIONS side by side, each against the first.

    Offers may be written as on their data sheets; the first line says which keeps out most of the noise.

    \b
    isolate compare "Rw 42 (-2; -6)" "Rw 45 (-3; -9)" --noise tram
    isolate compare "glass 4 mm" "laminated 6.4 mm" "glass 4 mm + 100 mm + laminated 6.4 mm"
    isolate compare "glass 4 mm" "glass 8 mm" --plot compare.svg
    """
    from isolate.answers.compare import compare as answer

    return answer(constructions, noise=noise)
