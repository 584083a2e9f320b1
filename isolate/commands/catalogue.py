"""isolate catalogue"""

from __future__ import annotations

from typing import Any

import click

from isolate.commands import names
from isolate.commands.telling import answering


@click.command(short_help="What is bundled, and one entry in detail.")
@click.argument("name", required=False, shell_complete=names.everything)
@answering("catalogue")
def command(name: str | None) -> Any:
    """List the constructions, materials, noises and rooms that come with the program, or tell of one.

    With --plot, a construction is drawn in cross-section, to scale.

    \b
    isolate catalogue
    isolate catalogue "glass 4 mm"
    isolate catalogue "staggered stud wall 2x4, empty" --plot section.png
    """
    from isolate.answers.catalogue import entry, listing

    return listing() if name is None else entry(name)
