"""The first screen of every answering command: short, ending with what to do; --full has all of it.

30 lines of 80 columns, 40 of the catalogue and of accuracy, on every bundled room. A room is judged once, and
its answers ride on that.
"""

from __future__ import annotations

import re
import shlex
import shutil
from functools import cache
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner
from once import judged_once

import isolate
from isolate.answers import requirement
from isolate.cli import COMMANDS, root
from isolate.commands import telling
from isolate.describe import catalogue, questions, rooms
from isolate.show import said
from isolate.show import tell as tellers
from isolate.show.document import Document, Next, Paragraph
from isolate.show.layout import Page, tell

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
    ("compare", "uPVC double glazing", "double glazing", "single glazing", "front door with a letter box"),
    ("catalogue",),
    ("catalogue", "walls"),
    ("catalogue", "siren"),
    ("catalogue", "glass"),
    ("catalogue", "glass 6 mm"),
    ("catalogue", "demo"),
    ("accuracy", "--kind", "insulating glass"),
]


SCREENS = [
    *OTHERS,
    *((command, name, *more) for name in ROOMS for command, more in OF_ROOMS.items()),
]


@cache
def answered(*arguments: str) -> tuple[str, str, Any]:
    """What a command prints, all of it as with --full, and its answer, computed once."""
    kept: list[tuple[str, Any]] = []
    telling_it = telling.tell

    def keep(question: str, answer: Any, **how: Any) -> str:
        kept.append((question, answer))
        return telling_it(question, answer, **how)

    with pytest.MonkeyPatch.context() as patch, judged_once():
        patch.setattr(telling, "tell", keep)
        result = CliRunner().invoke(root, arguments, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    ((question, answer),) = kept
    return result.stdout, tellers.text(question, answer, Page(), full=True), answer


@cache
def data(*arguments: str) -> dict[str, Any]:
    """The answer's plain data."""
    found: dict[str, Any] = answered(*arguments)[2].to_dict()
    return found


def words(text: str) -> set[str]:
    return set(re.findall(r"[\w.,']+", text))


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_the_first_screen_is_one_screen(screen: tuple[str, ...]) -> None:
    lines = answered(*screen)[0].splitlines()
    assert len(lines) <= (40 if screen[0] in ("catalogue", "accuracy") else 30)
    assert max(map(len, lines)) <= 80
    assert "\nNext  " in "\n".join(lines[-6:]), "it ends with what to do next and how to see more"


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_full_has_all_that_the_first_screen_has_and_every_note_and_caution(screen: tuple[str, ...]) -> None:
    first, full, _ = answered(*screen)
    assert max(map(len, full.splitlines())) <= 80
    told = re.split(r"\n\n(?:Next|Careful|Before you|When you|Take care)", first)[0]
    assert words(re.sub(r"… and \d+ more", "", told)) <= words(full)
    plain = data(*screen)
    for text in (*plain.get("notes", ()), *(one["text"] for one in plain.get("cautions", ()))):
        assert words(text) <= words(full), text


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_grave_cautions_stand_on_the_first_screen_and_few_others(screen: tuple[str, ...]) -> None:
    """A line each, or where there is no room a few words; the rest is counted."""
    told = " ".join(answered(*screen)[0].split())
    raised = getattr(answered(*screen)[2], "cautions", ())
    shown = [
        one for one in raised
        if " ".join(one.short.split()) in told or f"{one.title.lower()}: {one.ask}" in told
    ]  # fmt: skip
    grave = [one for one in raised if one.grave]
    assert set(grave) <= set(shown)
    assert len(shown) <= max(len(grave), 3)
    rest = re.search(r"(\d+) more caution", told)
    assert int(rest[1] if rest else 0) == len(raised) - len(shown)


@pytest.mark.parametrize("screen", SCREENS, ids=" ".join)
def test_what_to_do_next_is_a_command_that_works_for_the_room_asked_about(screen: tuple[str, ...]) -> None:
    module = __import__(f"isolate.show.tell.{_teller(screen[0])}", fromlist=["document"])
    commands = [step.command for step in module.document(answered(*screen)[2]).next if step.command]
    assert commands
    for told in commands:
        program, name, *arguments = shlex.split(told)
        assert program == "isolate"
        command = root.get_command(click.Context(root), name)
        assert command is not None
        command.make_context(name, list(arguments))  # a fault of usage raises
        asks = {one.name for one in command.params if isinstance(one, click.Argument)}
        of_room = screen[0] in OF_ROOMS and "room" in asks and "--write-prices" not in arguments
        assert not of_room or arguments[0] == screen[1]


def _teller(command: str) -> str:
    return {"room-in-room": "inner_room"}.get(command, command.replace("-", "_"))


def test_a_file_of_ones_own_is_named_in_what_to_do_next(tmp_path: Path) -> None:
    mine = tmp_path / "my room.toml"
    shutil.copy(catalogue.root() / "rooms" / "demo.toml", mine)
    for path, quoted in ((mine, f'"{mine}"'), (Path("plain.toml"), "plain.toml")):
        described = rooms.load(str(mine))
        object.__setattr__(described, "asked", str(path))
        assert said.command("fixes", described) == f"isolate fixes {quoted}"
    assert said.command("page", rooms.load(), "--out page.html") == "isolate page --out page.html"


def test_a_room_written_in_feet_is_headed_in_feet(tmp_path: Path) -> None:
    written, heads = tmp_path / "room.toml", []
    for size in ("13 x 11'6\" x 8 ft", "3.96 x 3.5 x 2.44 m"):
        written.write_text(questions.written({"size": size}))
        answer = isolate.room(str(written), draws=0)
        heads.append(tellers.text("room", answer, Page(), full=False).splitlines()[1])
    pane = tellers.text("second_pane", isolate.second_pane(str(written)), Page(), full=False)
    assert heads[0].startswith("13' x 11' 6\" x 8', ") and heads[1].startswith("3.96 x 3.50 x 2.44 m, ")
    assert ", 1.20 x 1.40 m; " in " ".join(pane.split())


def test_a_command_that_does_not_fit_beside_its_words_stands_whole_below_them() -> None:
    long = "isolate fixes " + "a" * 55 + ".toml"
    lines = tell(Document("x", [Paragraph("y")], next=[Next("What comes next", long)]), Page()).splitlines()
    assert lines[-2:] == ["Next  What comes next:", f"      {long}"]


# --- requirements ---


def _example(command: str) -> str | None:
    """The requirement that a command's help shows."""
    found = root.get_command(click.Context(root), command)
    assert found is not None
    for one in found.params:
        if isinstance(one, click.Option) and one.name == "require":
            match = re.search(r'"(.+)"', one.help or "")
            assert match is not None
            return match[1]
    return None


REQUIRING = [name for name in COMMANDS if _example(name)]
ANSWERS = {name: (name, "demo", *more) for name, more in OF_ROOMS.items()} | {"curve": OTHERS[0]}


@pytest.mark.parametrize("command", [name for name in REQUIRING if name in ANSWERS])
def test_the_requirement_in_help_can_be_put_to_that_answer(command: str) -> None:
    """rate and measure have theirs where their files are made."""
    for one in requirement.parse(_example(command) or ""):
        one.unmet(answered(*ANSWERS[command])[2].quantities())


def test_every_command_with_requirements_has_its_example_tried() -> None:
    assert set(REQUIRING) == {*ANSWERS, "rate", "measure"}
