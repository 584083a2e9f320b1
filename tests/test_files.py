"""Output files: whole or not at all, never over another without being told."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

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


def test_a_file_that_cannot_be_written_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*paths: object) -> None:
        raise OSError(28, "No space left on device", str(paths[1]))

    monkeypatch.setattr(os, "link", full)
    with pytest.raises(IsolateError, match=r"could not be written \(No space left"):
        files.write({tmp_path / "a": b"1"}, force=False)
    assert list(tmp_path.iterdir()) == []
