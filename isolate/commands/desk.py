"""isolate desk"""

from __future__ import annotations

import click

from isolate import store
from isolate.commands import names


@click.command(short_help="Describe, answer and change a room in the browser.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
def command(room: str | None, no_browser: bool) -> None:
    """Open ROOM in the browser: its picture to touch, its answer beside it, changes as switches.

    Without ROOM, my-room.toml of this folder; without that a dozen questions make one. Nothing leaves this
    machine: the page talks to this command alone, until its last window is closed or Ctrl+C ends it.

    \b
    isolate desk
    isolate desk demo
    """
    store.use_none()  # the desk touches no file but those of the room's own folder
    from isolate.desk.serve import serve
    from isolate.desk.session import open_session

    session = open_session(room)

    def told(address: str) -> None:
        click.echo(f"The desk is at {address}\nClose its window, or press Ctrl+C here, to end it.", err=True)

    serve(session, browser=not no_browser, told=told)
