"""Completion in the shell, by click's own mechanism: the commands, names of the catalogue, files."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from isolate.cli import root
from isolate.describe import catalogue


def completed(words: str, shell: str = "bash") -> list[str]:
    """What is offered for the last of these words, a line each."""
    count = str(len(words.split("\n")) - 1)
    settings = {"_ISOLATE_COMPLETE": f"{shell}_complete", "COMP_WORDS": words, "COMP_CWORD": count}
    told = CliRunner(env=settings).invoke(root, prog_name="isolate", catch_exceptions=False)
    return told.stdout.splitlines()


def test_commands_are_offered() -> None:
    assert completed("isolate\nse") == ["plain,second-pane"]


def test_names_are_offered_as_bash_wants_them_typed() -> None:
    """Its script reads one backslash of each two away, as `read` without -r does."""
    assert r"plain,laminated\\ 6.4\\ mm" in completed("isolate\ncurve\nlami")
    assert "plain,laminated 6.4 mm" in completed('isolate\ncurve\n"lami')
    assert r"plain,glass\\ 4\\ mm" in completed("isolate\ncompare\nglass\\ 6\\ mm\nGLASS\\ 4")


def test_other_shells_quote_by_themselves() -> None:
    assert "laminated 6.4 mm" in "\n".join(completed("isolate\ncurve\nlami", shell="zsh")).replace(r"\ ", " ")


@pytest.mark.parametrize(
    "command", ["room", "take", "fixes", "second-pane", "room-in-room", "panels", "page"]
)
def test_rooms_or_files_are_offered(command: str) -> None:
    found = completed(f"isolate\n{command}\n")
    assert found[0] == "file,"
    assert len(found) == 1 + len(catalogue.names("rooms"))
    assert completed(f"isolate\n{command}\nmine/my-") == ["file,mine/my-"]


def test_the_script_for_the_shell_is_told() -> None:
    told = CliRunner(env={"_ISOLATE_COMPLETE": "bash_source"}).invoke(root, prog_name="isolate")
    assert "complete -o nosort" in told.stdout and "_ISOLATE_COMPLETE=bash_complete" in told.stdout
