"""The first screen of every answering command: short, ending with what to do; --full has all of it.

30 lines of 80 columns, 40 of the catalogue and of accuracy, on every bundled room.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import pytest
from click.testing import CliRunner

from isolate.cli import root
from isolate.commands import telling
from isolate.describe import catalogue
from isolate.show import tell as tellers
from isolate.show.layout import Page

ROOMS = catalogue.names("rooms")
DRAWS = ("--draws", "50")
OF_ROOMS: dict[str, tuple[str, ...]] = {
    "room": DRAWS, "take": DRAWS, "fixes": DRAWS, "second-pane": DRAWS, "room-in-room": DRAWS,
    "panels": (), "explain": DRAWS, "air": (), "play": ("--at", "21:00"),
}  # fmt: skip
OTHERS = [
    ("curve", "glass 4 mm"),
    ("curve", "triple glass 4-12-4-12-4 mm"),
    ("curve", "room in room, stud wall outside"),
    ("curve", "concrete slab 150 mm with screed"),
    ("curve", "hollow wood door"),
    ("curve", "double glass 4-12-4 mm", "--why"),
    ("curve", "double stud wall 2x4, board inside the cavity", "--why"),
    ("compare", "glass 4 mm", "glass 4 mm + 100 mm + laminated 6.4 mm"),
    ("compare", "glass 4 mm", "glass 6 mm", "glass 8 mm", "double glass 4-12-4 mm"),
    ("catalogue",),
    ("catalogue", "walls"),
    ("catalogue", "siren"),
    ("catalogue", "glass"),
    ("catalogue", "glass 6 mm"),
    ("catalogue", "demo"),
    ("accuracy", "--kind", "insulating glass"),
]


def _rooms(command: str) -> tuple[str, ...]:
    """All rooms for what is answered soon, the demo for the rest."""
    return ROOMS if command in ("room", "take", "air", "play") else ("demo",)


SCREENS = [
    *OTHERS,
    *((command, room, *more) for command, more in OF_ROOMS.items() for room in _rooms(command)),
]


@cache
def answered(*arguments: str) -> tuple[str, str, dict[str, Any]]:
    """What a command prints, all of it as with --full, and its data, from one answer."""
    kept: list[tuple[str, Any]] = []
    tell = telling.tell

    def keep(question: str, answer: Any, **how: Any) -> str:
        kept.append((question, answer))
        return tell(question, answer, **how)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(telling, "tell", keep)
        result = CliRunner().invoke(root, arguments, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    ((question, answer),) = kept
    return result.stdout, tellers.text(question, answer, Page(), full=True), answer.to_dict()


def words(text: str) -> set[str]:
    return set(re.findall(r"[\w.,']+", text))


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_the_first_screen_is_one_screen(screen: tuple[str, ...]) -> None:
    lines = answered(*screen)[0].splitlines()
    assert len(lines) <= (40 if screen[0] in ("catalogue", "accuracy") else 30)
    assert max(map(len, lines)) <= 80
    last = "\n".join(lines[-6:])
    assert "\nNext  " in last
    assert re.search(r"^(Next|    )  \S", lines[-1]), "it ends with what to do next and how to see more"


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_full_has_all_that_the_first_screen_has_and_every_note_and_caution(screen: tuple[str, ...]) -> None:
    first, full, answer = answered(*screen)
    assert max(map(len, full.splitlines())) <= 80
    told = re.split(r"\n\n(?:Next|Careful|Before you|When you|Take care)", first)[0]
    assert words(re.sub(r"… and \d+ more", "", told)) <= words(full)
    for text in (*answer.get("notes", ()), *(one["text"] for one in answer.get("cautions", ()))):
        assert words(text) <= words(full), text


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_grave_cautions_stand_on_the_first_screen(screen: tuple[str, ...]) -> None:
    told = " ".join(answered(*screen)[0].split())
    for one in answered(*screen)[2].get("cautions", ()):
        if one["grave"]:  # in a line, or where there are many in a few words
            brief = f"{one['title'].lower()}: {one['ask']}"
            assert " ".join(one["short"].split()) in told or brief in told, one["key"]
