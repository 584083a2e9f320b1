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
    """Tell what comes with the program: its shelves, one shelf, or one thing in detail.

    NAME is a shelf (walls, windows, doors, ceilings, floors, materials, noises, rooms), or a name from one.
    With --plot, a construction is drawn in cross-section, to scale.

    \b
    isolate catalogue
    isolate catalogue windows
    isolate catalogue "glass 4 mm"
    isolate catalogue "staggered stud wall 2x4, empty" --plot section.png
    """
    from isolate.answers.catalogue import SHELVES, entry, listing

    return listing(name or "") if name is None or name in SHELVES else entry(name)
