"""The README: its examples run, its commands are what `.ci/run` looks for, its output is the program's."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner
from once import judged_once

import isolate
from isolate.cli import root
from isolate.describe import constructions
from isolate.show import markdown_accuracy

REPOSITORY = Path(isolate.__file__).parents[1]
README = (REPOSITORY / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", README, flags=re.M | re.S)


def test_every_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    lines = [line for block in blocks("sh") for line in block.splitlines() if line.startswith("isolate ")]
    assert len(lines) >= 7
    for line in lines:
        with judged_once():
            result = CliRunner().invoke(root, shlex.split(line)[1:], catch_exceptions=False)
        assert result.exit_code == 0, f"{line}\n{result.output}"
    assert (tmp_path / "room.png").read_bytes().startswith(b"\x89PNG")


def test_the_two_commands_are_one_line_each() -> None:
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("isolate room")
    assert "/pytest " in lines[1]
    script = (REPOSITORY / ".ci" / "run").read_text(encoding="utf-8")
    assert "grep '^python3 -m venv' README.md" in script


def _masked(text: str) -> list[str]:
    """Lines without what a better prediction may move: numbers, bars and the blanks around them."""
    return [re.sub(r"[\s\d.<>–█▌-]+", " ", line).strip() for line in text.strip().splitlines()]


def test_the_output_shown_is_that_of_the_program() -> None:
    """Word for word; the numbers may lag behind a change of the physics, the verdicts may not."""
    (shown,) = blocks("text")
    told = CliRunner().invoke(root, ["room"], catch_exceptions=False).stdout
    lines = _masked(shown)
    assert lines == _masked(told)[: len(lines)]


def test_it_is_read_in_five_minutes() -> None:
    """Some 250 words a minute, without the answer and the figures that are shown."""
    told = re.sub(r"^```text.*?^```", "", README, flags=re.M | re.S)
    told = re.sub(r"<!-- accuracy.*?end of accuracy -->", "", told, flags=re.S)
    assert len(re.findall(r"[\w'-]+", told)) <= 1300


def test_the_figures_of_accuracy_are_six_lines() -> None:
    shown = markdown_accuracy.cells(README)
    assert len(shown) == 6


def test_it_warns_of_another_package_of_its_name() -> None:
    assert "another package called `isolate`" in " ".join(README.split())


def test_the_pictures_shown_are_there_and_told_in_words() -> None:
    shown = re.findall(r"!\[([^\]]{60,})\]\((\S+)\)", README)
    assert len(shown) == README.count("![") == 2
    for _, path in shown:
        assert (REPOSITORY / path).read_bytes().startswith(b"\x89PNG"), path
        assert f"--plot {Path(path).name}" in README, f"no command tells how {path} is made"


def test_the_side_shown_can_be_read() -> None:
    (shown,) = blocks("toml")
    name = re.search(r'construction = "(.*)"', shown)
    assert name is not None
    assert constructions.load(name[1]).kind == "window"


def test_every_command_has_its_row() -> None:
    from isolate.cli import COMMANDS

    for name in COMMANDS:
        assert f"`isolate {name}" in README, f"README does not tell of isolate {name}"
