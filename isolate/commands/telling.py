"""What every answering command shares: --full, --json, --csv, --out, --plot, --require, and their telling."""

from __future__ import annotations

import functools
import importlib
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from isolate.errors import IsolateError

UNMET = 3  # exit status when a requirement is not met


class _File(click.Path):
    """The path of a file: what ends in a separator is a folder's."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if str(value).endswith(("/", os.sep)):
            self.fail(f"{value}: is the name of a folder; write that of a file", param, ctx)
        return super().convert(value, param, ctx)


FILE = _File(path_type=Path)
_PICTURES = (".png", ".svg", ".pdf")


def output_options(plot: bool, require: str, pictures: tuple[str, ...] = ()) -> list[Callable[[Any], Any]]:
    """The options, in the order of the help."""
    found = [
        click.option("--full", is_flag=True, help="Print all of the answer, not only its first screen."),
        click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON."),
        click.option("--csv", "as_csv", is_flag=True, help="Print the answer's table as CSV."),
        click.option("--out", type=FILE, metavar="FILE", help="Write it to FILE instead of printing it."),
    ]
    if plot:
        help_text = "Also draw it into FILE: .png, .svg or .pdf."
        found.append(click.option("--plot", type=FILE, metavar="FILE", help=help_text))
    if pictures:
        choice = click.Choice(pictures)
        help_text = f"Which picture --plot draws; default {pictures[0]}."
        found.append(click.option("--picture", type=choice, help=help_text))
    found.append(click.option("--force", is_flag=True, help="Let FILE replace one that exists."))
    if require:
        help_text = f'Exit with status 3 unless it holds, as "{require}"; see isolate guide requirements.'
        found.append(click.option("--require", metavar="TEXT", help=help_text))
    return found


def answering(
    question: str, *, plot: bool = True, require: str = "", pictures: tuple[str, ...] = ()
) -> Callable[[Any], Any]:
    """Make a function that returns an answer into a command's body that tells it.

    `question` names the tellers: `isolate.show.tell.<question>` with ``document(answer)`` and
    `isolate.show.figures.<question>` with ``figure(answer)``; with several `pictures` there is one such
    module for each, the first drawn unless another is asked for. `require`: an example of a requirement on
    it, empty where none can be put.
    """

    def decorate(function: Callable[..., Any]) -> Any:
        @functools.wraps(function)
        def run(
            *, full: bool, as_json: bool, as_csv: bool, out: Path | None, force: bool,
            plot: Path | None = None, require: str | None = None, picture: str | None = None, **inputs: Any,
        ) -> None:  # fmt: skip
            if as_json and as_csv:
                raise click.UsageError("--json and --csv: choose one of them")
            if picture and plot is None:
                raise click.UsageError("--picture: says what --plot draws; add --plot FILE")
            requirements = _requirements(require)
            _check(out, plot, force)
            answer = function(**inputs)
            unmet = [text for one in requirements for text in one.unmet(answer.quantities())]
            told = tell(question, answer, as_json=as_json, as_csv=as_csv, full=full, to_file=out is not None)
            _write(picture or question, answer, told, out=out, plot=plot, force=force)
            if out is None or str(out) == "-":
                show(told, as_json=as_json)
            if unmet:
                click.echo("Not met: " + "\nNot met: ".join(unmet), err=True)
                raise click.exceptions.Exit(UNMET)

        for option in reversed(output_options(plot, require, pictures)):
            run = option(run)
        return run

    return decorate


def may_replace() -> bool:
    """Whether the running command was given --force, which holds for every file it writes."""
    return bool(click.get_current_context().params["force"])


def _requirements(text: str | None) -> tuple[Any, ...]:
    if text is None:
        return ()
    from isolate.answers import requirement

    return requirement.parse(text)


def _files(out: Path | None, plot: Path | None) -> list[Path]:
    return [path for path in (out, plot) if path is not None and str(path) != "-"]


def _check(out: Path | None, plot: Path | None, force: bool) -> None:
    from isolate.show import files

    if plot is not None and plot.suffix.lower() not in _PICTURES:
        raise click.UsageError(
            f"--plot {plot}: ends in none of {', '.join(_PICTURES)}; they say what to draw"
        )
    files.check(_files(out, plot), force=force)


def tell(question: str, answer: Any, *, as_json: bool, as_csv: bool, full: bool, to_file: bool) -> str:
    """The answer as text, JSON or CSV."""
    if as_json or as_csv:
        from isolate.show import data

        return data.to_json(answer) if as_json else data.to_csv(answer)
    from isolate.show import tell as telling
    from isolate.show.layout import Page

    return telling.text(question, answer, Page() if to_file else page_of_terminal(Page), full=full)


def page_of_terminal(page: Any) -> Any:
    """80 columns in black and white, or what a terminal has, up to 100 columns, in colour unless refused."""
    if not sys.stdout.isatty():
        return page()
    import shutil

    colour = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return page(width=min(max(shutil.get_terminal_size().columns, 40), 100), colour=colour)


def _write(picture: str, answer: Any, told: str, *, out: Path | None, plot: Path | None, force: bool) -> None:
    contents: dict[Path, bytes] = {}
    if out is not None and str(out) != "-":
        contents[out] = told.encode()
    if plot is not None:
        from isolate.show.figures import common

        drawing = importlib.import_module(f"isolate.show.figures.{picture}")
        contents[plot] = common.rendered(drawing.figure(answer), plot.suffix.lower()[1:])
    if contents:
        from isolate.show import files

        files.write(contents, force=force)
        click.echo("\n".join(f"wrote {path}" for path in contents), err=True)


def show(text: str, *, as_json: bool = False) -> None:
    """Print to stdout in the characters its encoding has; a reader that closes the pipe early is no fault."""
    encoding = sys.stdout.encoding or "utf-8"
    if as_json:
        from isolate.show.data import escaped as written
    else:
        from isolate.show.layout import printable as written

    try:
        click.echo(written(text, encoding), nl=False, color=True)
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # nor is it told again at the end
        if not isinstance(error, BrokenPipeError):
            raise IsolateError(f"stdout: could not be written ({error.strerror})") from None
