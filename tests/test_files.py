"""Output files: whole or not at all, never over another without being told."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from test_fuzz import HUM, PRICES, ROOM, SPECTRUM, WALL

from isolate.cli import root
from isolate.errors import InputError, IsolateError
from isolate.show import files


def test_files_appear_and_nothing_else(tmp_path: Path) -> None:
    files.write({tmp_path / "a": b"1", tmp_path / "b": b"2"}, force=False)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"1", "b": b"2"}


def test_an_existing_file_stays_unless_forced(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"mine")
    with pytest.raises(InputError, match="exists already"):
        files.write({path: b"other"}, force=False)
    assert path.read_bytes() == b"mine"
    files.write({path: b"other"}, force=True)
    assert path.read_bytes() == b"other"
    assert [one.name for one in tmp_path.iterdir()] == ["a"]


def test_the_longest_name_a_file_may_have(tmp_path: Path) -> None:
    path = tmp_path / ("a" * 251 + ".txt")
    files.write({path: b"1"}, force=False)
    assert [one.read_bytes() for one in tmp_path.iterdir()] == [b"1"]


@pytest.mark.parametrize("force", [False, True])
def test_a_file_that_cannot_be_moved_to_its_place_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    def refuse(source: Path, target: Path) -> None:
        raise OSError(30, "Read-only file system", str(target))

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(IsolateError, match="could not be written"):
        files.write({tmp_path / "a": b"1"}, force=force)
    assert list(tmp_path.iterdir()) == []


def test_all_refusals_come_at_once(tmp_path: Path) -> None:
    (tmp_path / "a").touch()
    wanted = [tmp_path, tmp_path / "a", tmp_path / "none" / "b", tmp_path / "c", tmp_path / "c"]
    with pytest.raises(InputError) as caught:
        files.check(wanted, force=False)
    assert [fault.split(": ", 1)[1].split(";")[0].split(",")[0][:12] for fault in caught.value.faults] == [
        "is a folder", "exists alrea", "there is no ", "named for tw",
    ]  # fmt: skip


@pytest.mark.parametrize("force", [False, True])
def test_a_pipe_or_device_is_never_replaced(tmp_path: Path, force: bool) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="is no plain file"):
        files.check([pipe], force=force)
    assert pipe.is_fifo()


# --- links, streams, and what an answer was made from ---


def test_a_links_target_is_written_and_keeps_its_mode(tmp_path: Path) -> None:
    target, link = tmp_path / "folder" / "target", tmp_path / "link"
    target.parent.mkdir()
    target.write_bytes(b"old")
    target.chmod(0o640)
    link.symlink_to("folder/target")
    with pytest.raises(InputError, match="exists already"):
        files.check([link], force=False)
    files.check([link], force=True)
    files.write({link: b"new"}, force=True)
    assert link.is_symlink() and target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640
    with pytest.raises(InputError, match="named for two outputs"):
        files.check([link, target], force=True)


@pytest.mark.parametrize("leads_to", ["/dev/null", "/dev/stdout", "/proc/self/fd/1", "circle"])
def test_streams_devices_and_circles_are_refused_even_with_force(tmp_path: Path, leads_to: str) -> None:
    link = tmp_path / "circle"
    link.symlink_to(leads_to)
    with pytest.raises(InputError, match="is no plain file"):
        files.check([link], force=True)
    assert link.is_symlink()


def test_a_stream_that_leads_to_a_file_is_refused_too(tmp_path: Path) -> None:
    """The shell still writes into what it redirected there."""
    with open(tmp_path / "redirected", "wb") as stream, pytest.raises(InputError, match="is no plain file"):
        files.check([Path(f"/proc/self/fd/{stream.fileno()}")], force=True)


@pytest.mark.parametrize(
    "arguments",
    ["room room.toml --draws 50 --out", "curve own.toml --plot", "rate own.csv --out",
     "take room.toml --draws 50 --out", "fixes room.toml --prices prices.toml --draws 50 --out",
     "survey x.wav --out"],
)  # fmt: skip
def test_no_output_replaces_what_was_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: str
) -> None:
    """Neither the file that was named, by whatever link, nor one that it names."""
    monkeypatch.chdir(tmp_path)
    given = {"room.toml": ROOM, "own.toml": WALL, "own.csv": SPECTRUM, "prices.toml": PRICES}
    for name, text in given.items():
        Path(name).write_text(text)
    Path("x.wav").write_bytes(HUM)
    command, read = arguments.split(), arguments.split()[1]
    read = "own.toml" if command[0] == "take" else "prices.toml" if command[0] == "fixes" else read
    Path("link.png").symlink_to(read)
    before = Path(read).read_bytes()
    for name in ("link.png", *([] if "--plot" in command else [read])):
        result = CliRunner().invoke(root, [*command, name, "--force"], catch_exceptions=False)
        assert result.exit_code == 2
        assert f"{name}: was read for this" in result.stderr
        assert Path(read).read_bytes() == before


def test_the_next_command_may_write_what_this_one_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("own.csv").write_text(SPECTRUM)
    for arguments in (["rate", "own.csv"], ["rate", "-", "--out", "own.csv", "--force"]):
        result = CliRunner().invoke(root, arguments, input=SPECTRUM, catch_exceptions=False)
        assert result.exit_code == 0, result.stderr


@pytest.mark.parametrize(
    "arguments", [["curve", "glass 4 mm", "--out"], ["new"], ["test-signal"], ["fixes", "--write-prices"]]
)
def test_the_name_of_a_folder_is_no_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(root, [*arguments, "none/"], catch_exceptions=False)
    assert result.exit_code == 2
    assert "none/: is the name of a folder" in result.stderr
    assert not list(tmp_path.iterdir())
