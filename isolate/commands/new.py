"""isolate new"""

from __future__ import annotations

from pathlib import Path

import click

from isolate.commands.telling import FILE

TEMPLATE = Path(__file__).with_name("new_room.toml")


@click.command(short_help="Write a room file to fill in.")
@click.argument("room", type=FILE, metavar="ROOM.toml")
def command(room: Path) -> None:
    """Write ROOM.toml, a room to fill in with a comment on every line that matters.

    It answers as it is (isolate room ROOM.toml); change it line by line into yours. An existing file is
    never replaced.

    \b
    isolate new my-room.toml
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
    files.write({room: TEMPLATE.read_bytes()}, force=False)
    click.echo(f"wrote {room}; change it into your room, then: isolate room {room}", err=True)
