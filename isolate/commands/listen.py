"""isolate listen"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from isolate.commands import names
from isolate.commands.telling import FILE

TOLD = "what is what.txt"


@click.command(short_help="Hear it: outside, in the room now, with panels, with a second pane.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--noise", metavar="NAME", help="Noise of the room; without it, its siren or its first.")
@click.option("--own", metavar="NAME", help="Instead: what is played in the room, as a neighbour hears it.")
@click.option("--neighbour", metavar="NAME", help="Which one; without it, the one who hears most of it.")
@click.option("--option", "options", multiple=True, metavar="NAME", help="Also with this option of the room.")
@click.option("--panels", "count", type=click.IntRange(1, 1000), metavar="N", help="How many panels.")
@click.option("--recording", type=FILE, metavar="WAV", help="The noise as you recorded it, instead of ours.")
@click.option("--level", metavar="L", help='Level of it outside, as "88 dBA"; else the room\'s own.')
@click.option("--take", metavar="NAME", help="Take to mix it into, or a file of the playing.")
@click.option("--no-take", is_flag=True, help="No take.")
@click.option("--seconds", type=float, default=10.0, show_default=True, help="How long each file is.")
@click.option("--seed", type=click.IntRange(0, 10**6), default=1, show_default=True, help="Of what we make.")
@click.option("--out", type=click.Path(path_type=Path), required=True, metavar="FOLDER",
              help="Folder to write the files into.")  # fmt: skip
@click.option("--full", is_flag=True, help="Print all of the answer, not only its first screen.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@click.option("--csv", "as_csv", is_flag=True, help="Print its spectra as CSV.")
@click.option("--force", is_flag=True, help="Let files replace ones that exist.")
def command(
    room: str | None,
    out: Path,
    full: bool,
    as_json: bool,
    as_csv: bool,
    force: bool,
    no_take: bool,
    **asked: Any,
) -> None:
    """Make a noise audible as it is outside ROOM and inside it: as it is, with panels, with a second pane, in
    a room within the room.

    Writes WAV files with one gain, so that the differences between them are true, noise to set the volume by,
    and how the noise sits in a take. Without ROOM, the bundled teaching room above a tram street.

    \b
    isolate listen --noise tram --option "second pane, 200 mm behind" --seconds 6 --out sounds
    isolate listen --recording street.wav --level "75 dBA" --no-take --out street
    isolate listen "drum room" --own "drum kit" --seconds 5 --out drums
    """
    if as_json and as_csv:
        raise click.UsageError("--json and --csv: choose one of them")
    from isolate.commands.telling import page_of_terminal, show
    from isolate.show import data, files
    from isolate.show.layout import Page, tell

    files.check_folder(out, TOLD, force=force)
    answer = _answer(room, takes=not no_take, **asked)
    from isolate.show.sound.files import folder  # late: what its filters need takes the place the draws left
    from isolate.show.tell.listen import document

    made = folder(answer)
    told = document(answer, made, out.name)
    contents: dict[str, files.Content] = {**made.contents(), TOLD: tell(told, Page(), full=True).encode()}
    files.write_folder(out, contents, force=force)
    click.echo(f"wrote {len(contents)} files into {out}", err=True)
    if as_csv:
        show(data.to_csv(answer))
    elif as_json:
        show(data.dumped(answer.to_dict() | made.to_dict()), as_json=True)
    else:
        show(tell(told, page_of_terminal(Page), full=full))


def _answer(
    room: str | None, *, noise: str | None, own: str | None, neighbour: str | None, options: Sequence[str],
    count: int | None, recording: Path | None, level: str | None, take: str | None, takes: bool,
    seconds: float, seed: int,
) -> Any:  # fmt: skip
    from isolate.answers.listen.answer import How, inwards, outwards
    from isolate.describe.noises import level as stated
    from isolate.errors import InputError

    try:
        loud = stated(level) if level else None
    except ValueError as fault:
        raise InputError(f"--level: {fault}") from None
    if (own or neighbour) and (noise or count):
        raise click.UsageError(
            "--own and --neighbour are for what goes out, --noise and --panels for what comes in"
        )
    if take and not takes:
        raise click.UsageError("--take and --no-take: choose one of them")
    how = How(level=loud, seconds=seconds, seed=seed, takes=takes, **own_sounds(recording, take))
    if own or neighbour:
        return outwards(room, own=own, neighbour=neighbour, options=options, how=how)
    return inwards(room, noise=noise, options=options, count=count, how=how)


def own_sounds(recording: Path | None, take: str | None) -> dict[str, Any]:
    """What `--recording` and `--take` say of how it is to sound; a take is a name, or a file of the
    playing."""
    from isolate.describe.wav import SUFFIXES

    playing = Path(take) if take and take.lower().endswith(SUFFIXES) else None
    sounds: dict[str, Any] = {} if playing else {"take": take}
    for key, path in (("recorded", recording), ("played", playing)):
        if path is not None:
            from isolate.measuring.recording import recorded  # late: its filters take their time to load

            sounds[key] = recorded(path)
    return sounds
