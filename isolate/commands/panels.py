"""isolate panels"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from isolate.commands import names
from isolate.commands.numbers import Finite
from isolate.commands.telling import answering

_PANELS = click.IntRange(1, 1000)
_MONEY = Finite(0, min_open=True)


@click.command(short_help="Why panels do not stop sirens, and which panels a room needs.")
@click.argument("room", required=False, shell_complete=names.rooms)
@click.option("--noise", metavar="NAME", help="Which of the room's noises; a siren if it has one.")
@click.option("--panels", "count", type=_PANELS, metavar="N", help="How many, of 0.6 m x 1.2 m.")
@click.option("--money", type=_MONEY, metavar="N", help="What to spend on them.")
@click.option("--price", type=_MONEY, metavar="N", help="What one panel costs; 60 if not stated.")
@click.option("--material", default="glass-fibre board", metavar="NAME", help="What they are of.")
@click.option("--thickness", default="50 mm", metavar="LENGTH", help="How thick they are.")
@click.option("--gap", default="", metavar="LENGTH", help="How far off the wall.")
@click.option("--corner", is_flag=True, help="Across the corners of the room instead of on its walls.")
@click.option(
    "--surface", "surfaces", multiple=True, metavar="NAME=AREA",
    help='What the room is lined with, as "carpet=12 m2", again for each; the rest is plasterboard.',
)  # fmt: skip
@answering("panels", require="inside_dba < 30")
def command(thickness: str, gap: str, surfaces: Sequence[str], **inputs: Any) -> Any:
    """Tell what absorbing panels would do against a noise in ROOM, and what else the money could do.

    Without ROOM, the bundled teaching room above a tram street.

    \b
    isolate panels
    isolate panels --panels 12 --thickness "4 in" --plot panels.png
    isolate panels --noise tram --material "open-cell foam"
    isolate panels --surface "carpet=13 m2" --surface "glass=1.8 m2"
    """
    from isolate.answers.panels import panels as answer

    return answer(
        inputs.pop("room"),
        thickness=_length("--thickness", thickness),
        gap=_length("--gap", gap) if gap else 0.0,
        surfaces=[_surface(text) for text in surfaces],
        **inputs,
    )


def _length(option: str, text: str) -> float:
    from isolate import units
    from isolate.errors import InputError, shown

    try:
        length = units.parse(text, "length")
    except ValueError as fault:
        raise InputError(f"{option}: {fault}") from None
    if not 0.001 <= length <= 1.0:
        raise InputError(f'{option}: not from 1 mm to 1 m (got {shown(text)}); write "50 mm" or "2 in"')
    return length


def _surface(text: str) -> tuple[str, float]:
    from isolate import units
    from isolate.errors import InputError, shown
    from isolate.physics.surfaces import SURFACES

    name, _, area = (part.strip() for part in text.partition("="))
    try:
        if name.casefold() not in SURFACES:
            got, known = shown(text), ", ".join(SURFACES)
            raise ValueError(f"no surface of this name (got {got}); write one of {known}, = and an area")
        return name.casefold(), units.parse(area, "area")
    except ValueError as fault:
        raise InputError(f"--surface: {fault}") from None
