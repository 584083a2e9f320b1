"""What the command line keeps on disk: the same numbers, of the same program, asked the same."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from isolate import store
from isolate.describe import constructions
from isolate.describe.constructions import Cavity, Leaf
from isolate.describe.materials import Material, Range, material
from isolate.physics import calibrated, kept
from isolate.physics.transmission import Transmission
from isolate.physics.transmission import transmission as in_memory

WALL = constructions.load("wood stud wall 2x4 16 in, empty")
PANES = constructions.load("two panes 6-100-8 mm")


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """An empty store."""
    monkeypatch.setenv(store.PLACE, str(tmp_path / "store"))
    kept.forget()
    yield tmp_path / "store"


def transmission(*asked: Any, **named: Any) -> Transmission:
    """As another process finds it, which has nothing in memory."""
    kept.forget()
    return in_memory(*asked, **named)


def files(place: Path) -> list[Path]:
    return sorted(path for path in place.rglob("*") if path.is_file())


def same(one: Transmission, other: Transmission) -> bool:
    arrays = all(np.array_equal(one.tau[name], other.tau[name]) for name in one.tau)
    rest = (one.surface_mass, one.resonances, one.criticals, one.notes)
    return (
        arrays
        and np.array_equal(one.tl_db, other.tl_db)
        and rest == (other.surface_mass, other.resonances, other.criticals, other.notes)
    )


def test_the_same_to_the_last_digit_and_nothing_solved(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(store.PLACE)
    plain = transmission(PANES)
    monkeypatch.setenv(store.PLACE, str(place))
    first = transmission(PANES)
    assert len(files(place)) == 1
    monkeypatch.setattr("isolate.physics.transmission._solid", None)  # whoever solved it now would fail
    again = transmission(replace(PANES, name="another", title="of that name"))
    assert same(first, plain) and same(again, plain)
    assert not again.tl_db.flags.writeable and not first.tl_db.flags.writeable


def test_asked_again_without_a_store_nothing_is_solved(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store.PLACE, "")
    first = in_memory(PANES)
    with calibrated.using(frame_seals=30.0):
        other = in_memory(PANES)
    monkeypatch.setattr("isolate.physics.transmission._solid", None)
    assert in_memory(replace(PANES, name="another")) is first
    with calibrated.using(frame_seals=30.0):
        assert in_memory(PANES) is other
    kept.forget()
    with pytest.raises(TypeError):
        in_memory(PANES)


def test_another_question_another_answer(place: Path) -> None:
    deeper = replace(PANES, layers=(PANES.layers[0], Cavity(0.101), PANES.layers[2]))
    asked = [
        transmission(PANES), transmission(deeper), transmission(PANES, size=(2.0, 1.0)),
        transmission(PANES, lean=True),
    ]  # fmt: skip
    assert len(files(place)) == len(asked)
    assert len({one.tl_db.tobytes() for one in asked}) == len(asked)


def test_every_value_of_a_layer_tells(place: Path) -> None:
    """No two descriptions are told alike: not a value of a leaf, of a cavity or of their material."""
    wool = material("glass wool")

    def changed(value: Any, name: str) -> Any:
        old = getattr(value, name)
        if isinstance(old, Material):
            return replace(value, **{name: replace(old, about="other")})
        if isinstance(old, Range):
            return replace(value, **{name: Range(old.low / 2, old.typical, old.high)})
        if isinstance(old, tuple):
            return replace(value, **{name: (*old, "x")})
        new = not old if isinstance(old, bool) else f"{old}x" if isinstance(old, str) else (old or 0) + 1
        return replace(value, **{name: new})

    for value in (Leaf(material("glass"), 0.004), Cavity(0.1, fill=wool, fill_depth=0.05), wool):
        told = {kept._told(changed(value, one.name)) for one in fields(value)} | {kept._told(value)}
        assert None not in told and len(told) == len(fields(value)) + 1


def test_constants_count_and_are_told(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with calibrated.reading() as read:
        usual = transmission(WALL)
    with calibrated.using(board_mounting_loss=0.2):
        other = transmission(WALL)
    assert not same(usual, other)
    monkeypatch.setattr("isolate.physics.transmission._solid", None)
    with calibrated.reading() as known:
        assert same(transmission(WALL), usual)
    assert known == read and "board_mounting_loss" in known
    with calibrated.using(board_mounting_loss=0.2):
        assert same(transmission(WALL), other)


def test_a_damaged_file_is_found_anew(place: Path) -> None:
    first = transmission(PANES)
    (path,) = files(place)
    whole = path.read_bytes()
    for damaged in (
        b"", b"\xff\x00", b"{}", b"[1]", b"[1, 2]", b"[{}, {}]", b"[{}, {\"tl_db\": 1}]",
        whole[: len(whole) // 2], b'[{"no such": 1.0}, {}]', b"[{}, 5]", b"[" * 100_000,
        whole.replace(b"A", b"B", 1), whole[:-40] + whole[-40:].replace(b"0", b"9"),
    ):  # fmt: skip
        path.write_bytes(damaged)
        assert same(transmission(PANES), first)
        assert path.read_bytes() == whole


def test_a_text_is_made_once(place: Path) -> None:
    made: list[str] = []

    def text(asked: object) -> str:
        return kept.text(asked, lambda: made.append("ö") or f"ö{asked}")  # type: ignore[func-returns-value]

    assert text(["a", 1]) == text(["a", 1]) == "ö['a', 1]" and len(made) == 1
    (path,) = files(place)
    for damaged in (b"", b"\xff", path.read_bytes()[:-1], b"[1]"):
        path.write_bytes(damaged)
        assert text(["a", 1]) == "ö['a', 1]"
    assert len(made) == 5 and text(["a", 2]) == "ö['a', 2]"
    assert text([object]) == text([object]) and len(made) == 8 and len(files(place)) == 2


def test_a_full_disk_leaves_nothing_behind(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "no space left")

    monkeypatch.setattr(os, "replace", full)
    transmission(PANES)
    assert files(place) == []


def test_where_nothing_can_be_written(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = transmission(PANES)
    (place.parent / "file").write_text("no folder")
    monkeypatch.setenv(store.PLACE, str(place.parent / "file" / "store"))
    assert same(transmission(PANES), first)
    for path in files(place):
        path.unlink()
    for folder in (path for path in place.iterdir() if path.is_dir()):
        folder.rmdir()  # while the program runs
    monkeypatch.setenv(store.PLACE, str(place))
    assert same(transmission(PANES), first)


def test_draws_are_not_kept(place: Path) -> None:
    def pick(key: str, value: Range) -> Any:
        return np.full((2, 1, 1), value.typical)

    transmission(PANES, pick=pick)
    before = len(files(place))
    transmission(PANES, pick=lambda key, value: value.typical)
    assert len(files(place)) == before == 0


def test_another_program_reads_nothing_of_it(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    transmission(PANES)
    (old,) = files(place)
    (place / "isolate-notes").mkdir()
    (place / "isolate-notes" / "mine.txt").write_text("not the program's")
    package = place.parent / "isolate"
    package.mkdir()
    (package / "one.py").write_text("x = 1\n")
    monkeypatch.setattr(store, "_PACKAGE", package)
    store._folder.cache_clear()
    transmission(PANES)
    store._folder.cache_clear()
    assert not old.exists() and (place / "isolate-notes" / "mine.txt").exists()
    (new,) = (path for path in files(place) if path.name != "mine.txt")
    assert new.name == old.name and new.parent != old.parent


def test_it_does_not_grow_for_ever(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    transmission(PANES)
    (path,) = files(place)
    for i in range(10):
        (path.parent / f"{i:040d}").write_text("[]")
        os.utime(path.parent / f"{i:040d}", (i, i))
    monkeypatch.setattr(store, "MOST", 10)
    store._folder.cache_clear()
    transmission(PANES)
    store._folder.cache_clear()
    assert path in files(place) and len(files(place)) == 6


@pytest.mark.parametrize(
    ("environment", "where"),
    [
        ({"XDG_CACHE_HOME": "{}/cache"}, "cache/isolate"),
        ({"XDG_CACHE_HOME": "not/whole", "HOME": "{}/home"}, "home/.cache/isolate"),
        ({"ISOLATE_STORE": "{}/here"}, "here"),
        ({"ISOLATE_STORE": "", "XDG_CACHE_HOME": "{}/cache"}, None),
    ],
)
def test_the_command_line_keeps_it_with_the_users_caches(
    environment: dict[str, str], where: str | None, tmp_path: Path
) -> None:
    left = (store.PLACE, "XDG_CACHE_HOME")
    plain = {name: value for name, value in os.environ.items() if name not in left}
    named = {name: value.format(tmp_path) for name, value in environment.items()}
    command = [sys.executable, "-m", "isolate", "curve", "two panes 6-100-8 mm", "--json"]

    def asked() -> Any:
        run = subprocess.run(command, env={**plain, **named}, cwd=tmp_path, capture_output=True, check=True)
        return json.loads(run.stdout)

    assert asked() == asked()
    written = files(tmp_path)
    assert bool(written) == (where is not None)
    assert all(path.is_relative_to(tmp_path / str(where)) for path in written)


def test_a_page_asked_again_draws_nothing(tmp_path: Path) -> None:
    """Loading matplotlib for one drawing would take a quarter of the time."""
    told = (
        "import sys; from isolate.cli import root; root(sys.argv[1:], standalone_mode=False); "
        "print('matplotlib' in sys.modules)"
    )
    where = {**os.environ, store.PLACE: str(tmp_path / "store")}

    def page(name: str) -> str:
        asked = [sys.executable, "-c", told, "page", "--draws", "50", "--out", str(tmp_path / name)]
        return subprocess.run(asked, env=where, capture_output=True, text=True, check=True).stdout.split()[-1]

    assert page("first.html") == "True"
    assert page("again.html") == "False"
    assert (tmp_path / "first.html").read_bytes() == (tmp_path / "again.html").read_bytes()
