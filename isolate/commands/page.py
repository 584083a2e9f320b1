"""isolate page"""

from __future__ import annotations

from pathlib import Path

import click

from isolate.commands import names
from isolate.commands.drawing import bar, draw_options
from isolate.commands.listen import own_sounds
from isolate.commands.telling import FILE


@click.command(short_help="One HTML file for a friend, a landlord or a builder, with sounds.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--noise", metavar="NAME", help="Noise it is about; without it, the room's siren or its first.")
@click.option("--panels", "count", type=click.IntRange(1, 1000), metavar="N", help="How many panels.")
@click.option("--recording", type=FILE, metavar="WAV", help="The noise as you recorded it, instead of ours.")
@click.option("--take", metavar="NAME", help="Take to mix it into, or a file of the playing.")
@click.option("--out", type=FILE, required=True, metavar="FILE.html", help="File to write.")
@click.option("--force", is_flag=True, help="Let it replace a file that exists.")
@draw_options
def command(
    room: str | None, noise: str | None, count: int | None, recording: Path | None, take: str | None,
    out: Path, force: bool, draws: int, seed: int, processes: int,
) -> None:  # fmt: skip
    """Write the story of ROOM into one HTML file to hand on: verdicts, why, pictures, sounds, what each
    change would bring and cost, how sure it is, what to mind.

    It opens in any browser, on a telephone too, needs no network and has at most 3 MB. Without ROOM, the
    bundled teaching room above a tram street.

    \b
    isolate page --noise tram --panels 12 --out tram.html
    """
    from isolate.answers.listen.answer import How
    from isolate.library import page
    from isolate.show import files

    if out.suffix.lower() not in (".html", ".htm"):
        raise click.UsageError(f"--out {out}: a page is HTML; write a name that ends in .html")
    files.check([out], force=force)
    how = How(**own_sounds(recording, take))
    with bar("draws") as progress:
        found = page(
            room, noise=noise, count=count, how=how, draws=draws, seed=seed, processes=processes,
            progress=progress,
        )  # fmt: skip
    files.write({out: found}, force=force)
    click.echo(f"wrote {out}, {len(found) / 1e6:.1f} MB", err=True)
