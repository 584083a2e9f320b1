"""What commands with draws share: --draws, --seed, --processes, and a bar when it takes a while."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import click

from isolate.room import DRAWS, SEED

PATIENCE = 1.0  # s before a bar appears
_LENGTH = 30


def draw_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add --draws, --seed and --processes."""
    for option in (
        click.option("--processes", type=click.IntRange(1, 64), default=1, show_default=True,
                     help="How many share the draws; the answer is the same."),
        click.option("--seed", type=click.IntRange(0, 2**32 - 1), default=SEED, show_default=True,
                     help="The same seed, the same answer."),
        click.option("--draws", type=click.IntRange(50, 1_000_000), default=DRAWS, show_default=True,
                     help="How many times what is not known is drawn."),
    ):  # fmt: skip
        function = option(function)
    return function


@contextmanager
def bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """Gives a function of (done, of) that draws a bar on a terminal once `PATIENCE` is over."""
    began = time.monotonic()
    shown = False

    def progress(done: int, of: int) -> None:
        nonlocal shown
        if not sys.stderr.isatty() or (not shown and time.monotonic() - began < PATIENCE):
            return
        shown = True
        full = round(_LENGTH * done / of)
        click.echo(f"\r{what} [{'#' * full}{'.' * (_LENGTH - full)}] {done}/{of}", nl=False, err=True)

    try:
        yield progress
    finally:
        if shown:
            click.echo("\r" + " " * (len(what) + _LENGTH + 24) + "\r", nl=False, err=True)
