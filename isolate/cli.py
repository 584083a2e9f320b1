"""The command line: a table of commands, loaded when asked for, and errors as messages."""

from __future__ import annotations

import errno
import importlib
import logging
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import click

from isolate import store
from isolate.errors import InputError, IsolateError, escaped
from isolate.version import __version__

COMMANDS = {
    name: f"isolate.commands.{name.replace('-', '_')}"
    for name in (
        "room", "play", "take", "air", "new", "fixes", "second-pane", "room-in-room", "panels", "explain",
        "listen", "page", "desk", "curve", "compare", "catalogue", "measure", "test-signal", "survey", "rate",
        "accuracy", "guide",
    )
}  # fmt: skip


class Commands(click.Group):
    """A group whose commands are modules, each imported only when it is needed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(COMMANDS[cmd_name]).command
        command.name = cmd_name
        return command

    def invoke(self, ctx: click.Context) -> Any:
        from isolate.describe.reading import opened

        opened.clear()
        try:
            with _short_names():
                return super().invoke(ctx)
        except IsolateError as error:
            from isolate.show.layout import printable

            faults = error.faults if isinstance(error, InputError) else (str(error),)
            told = "\n".join(
                self._by_option(ctx, escaped(line)) for one in faults for line in one.split("\n")
            )
            click.echo(printable(told, sys.stderr.encoding or "utf-8"), err=True)
            raise click.exceptions.Exit(error.exit_code) from None

    def _by_option(self, ctx: click.Context, fault: str) -> str:
        """A fault behind the option of the argument that it names."""
        command = self.get_command(ctx, ctx.invoked_subcommand or "")
        options = (
            {one.name: one.opts[0] for one in command.params if one.param_type_name == "option"}
            if command
            else {}
        )
        name, colon, rest = fault.partition(":")
        return f"{options[name]}{colon}{rest}" if colon and name in options else fault


@contextmanager
def _short_names() -> Iterator[None]:
    """A name that no file may have, wherever it is looked for, is a fault of the input."""
    try:
        yield
    except OSError as error:
        if error.errno != errno.ENAMETOOLONG:
            raise
        start = str(error.filename)[:40]
        raise InputError(f"{start}...: too long for the name of a file; write a shorter one") from None


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="isolate", message="%(prog)s %(version)s")
def root() -> None:
    """Estimate how well a room keeps sound out: will you still hear it, and what would help?

    \b
    isolate room                 the bundled room, answered
    isolate new my-room.toml     a room of your own to fill in
    """


def main() -> None:
    """Run the command line. Streams that were closed before it began lead nowhere, and all else goes on."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115
    os.environ["MPLBACKEND"] = "agg"  # no command opens a window
    os.environ.pop("SOURCE_DATE_EPOCH", None)  # nor writes a date; libraries end on one that is none
    logging.getLogger("matplotlib").setLevel(logging.ERROR)  # nor tells where a library keeps its fonts
    for library in ("OPENBLAS", "MKL"):  # matrices of 27 by 27: more threads would only wait for each other
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    store.use_cache()
    root(prog_name="isolate")
