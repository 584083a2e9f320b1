"""isolate guide"""

from __future__ import annotations

import click
from click.shell_completion import CompletionItem


def _chapters(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    from isolate.show.guide import chapters

    return [CompletionItem(name) for name in chapters.names() if name.startswith(begun)]


@click.command(short_help="How to describe a room, read an answer, measure; what every word means.")
@click.argument("chapter", required=False, shell_complete=_chapters)
def command(chapter: str | None) -> None:
    """Print a CHAPTER of the guide, or what a word of the field means.

    \b
    isolate guide
    isolate guide room-file
    isolate guide terms
    isolate guide Rw
    """
    from isolate.commands.telling import page_of_terminal, show
    from isolate.show import layout
    from isolate.show.guide import chapters
    from isolate.show.layout import Page

    document = chapters.contents() if chapter is None else chapters.find(chapter)
    show(layout.tell(document, page_of_terminal(Page), full=True))
