"""Completion in the shell: names of the catalogue, and files."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence

import click
from click.shell_completion import CompletionItem


def constructions(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Constructions whose names begin like this; files where there is none."""
    from isolate.describe import catalogue

    return _items(catalogue.names(), begun)


def rooms(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Rooms whose names begin like this; files where there is none."""
    from isolate.describe import catalogue
    from isolate.describe.rooms import FOLDERS

    return _items(catalogue.names(*FOLDERS), begun)


def everything(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """All of the catalogue that begins like this."""
    from isolate.answers.catalogue import SHELVES, listing

    return _items([*SHELVES, *(line.name for line in listing().lines)], begun)[1:]


def files(context: click.Context, parameter: click.Parameter, begun: str) -> list[CompletionItem]:
    """Files."""
    return [CompletionItem(begun, type="file")]


def _items(names: Sequence[str], begun: str) -> list[CompletionItem]:
    """Files first, since bash takes them only where no name fits."""
    fit = [name for name in names if name.casefold().startswith(begun.casefold())]
    return [CompletionItem(begun, type="file"), *(CompletionItem(_typed(name)) for name in fit)]


def _typed(name: str) -> str:
    """A name as bash wants it typed: blanks escaped, twice, as click's script reads the first away. Other
    shells, and quotes that are open, take it as it is."""
    word = os.environ.get("COMP_WORDS", "").split("\n")[-1]
    bash = os.environ.get("_ISOLATE_COMPLETE", "").startswith("bash")
    return re.sub(r"([^\w.,+=/-])", r"\\\\\1", name) if bash and word[:1] not in ("'", '"') else name
