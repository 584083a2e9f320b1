"""isolate new"""

from __future__ import annotations

import sys
from pathlib import Path

import click

from isolate.commands.telling import FILE

_HOW = (
    "Answer by number or in your own words, several with commas. Enter takes what stands in [brackets],\n"
    '? is "don\'t know", back goes back.'
)
TEMPLATE = Path(__file__).with_name("new_room.toml")


@click.command(short_help="Write a room file, to fill in or by a dozen questions.")
@click.argument("room", type=FILE, metavar="ROOM.toml")
@click.option("--ask", is_flag=True, help="Ask what the room is like, write it, and print the first answer.")
def command(room: Path, ask: bool) -> None:
    """Write ROOM.toml, a room to fill in with a comment on every line that matters.

    It answers as it is (isolate room ROOM.toml); change it line by line into yours. With --ask some ten
    questions make it yours: Enter takes the usual answer, ? is "don't know", back goes back. An existing file
    is never replaced.

    \b
    isolate new my-room.toml
    isolate new my-room.toml --ask
    """
    from isolate.errors import InputError
    from isolate.show import files

    if room.is_dir():
        raise InputError(f"{room}: is a folder; write the name of a file")
    if room.suffix != ".toml":
        raise InputError(f"{room}: does not end in .toml; write for example {room.with_suffix('.toml')}")
    if room.exists():
        raise InputError(f"{room}: exists already and is never replaced; choose another name")
    files.check([room], force=False)
    if ask:
        from isolate.describe import questions

        files.write({room: questions.written(_asked()).encode()}, force=False)
        click.echo(f"\nwrote {room}; change in it what differs, then: isolate room {room}\n", err=True)
        _first_answer(room)
        return
    files.write({room: TEMPLATE.read_bytes()}, force=False)
    click.echo(f"wrote {room}; change it into your room, then: isolate room {room}", err=True)


def _asked() -> dict[str, str | tuple[str, ...]]:
    """The answers to all questions, asked in the terminal one by one."""
    from isolate.describe.plausible import of_size
    from isolate.describe.questions import questions
    from isolate.units import parse

    given: dict[str, str | tuple[str, ...]] = {}
    asked, at, told, sure = questions(), 0, -1, ""  # sure of a size that is hardly so
    click.echo(_HOW, err=True)
    while at < len(asked):
        question = asked[at]
        numbers = {one.key: f"{number}" for number, one in enumerate(question.choices, 1)}
        if told != at:
            click.echo(f"\n{at + 1} of {len(asked)}  {question.ask}\n{question.why}", err=True)
            for one in question.choices:
                click.echo(f"  {numbers[one.key]:>2}  {one.words}", err=True)
        told, usual = at, numbers.get(question.usual, question.usual)
        usual = sure if sure and question.kind == "size" else usual
        try:
            said = click.prompt(">", default=usual, err=True, prompt_suffix=" ").strip()
        except click.Abort:
            if sys.stdin.isatty():
                raise
            said = usual  # what was piped in has come to its end: the rest is as usual
        if said.casefold() in ("back", "b"):
            at, told = max(at - 1, 0), -1
            continue
        try:
            given[question.key] = question.answer(said)
        except ValueError as fault:
            click.echo(f"{fault}", err=True)
            continue
        size = given[question.key] if question.kind == "size" else sure
        if size != sure and (doubts := list(of_size(parse(size, "box")))):
            sure = str(size)
            click.echo(f"{'. '.join(doubts)}. Enter: it is right.", err=True)
            continue
        at += 1
    return given


def _first_answer(room: Path) -> None:
    """What `isolate room` says of it first."""
    from isolate.answers.room import room as answer
    from isolate.commands.telling import tell

    found = answer(str(room), draws=300, seed=1)
    click.echo(tell("room", found, as_json=False, as_csv=False, full=False, to_file=False), nl=False)
