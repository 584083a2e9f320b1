"""The desk: who may ask it, what it changes in a room's file, and that it says what the library says."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import isolate
from isolate.describe import catalogue, editing, rooms
from isolate.desk import cards, server
from isolate.desk.session import Session, open_session
from isolate.errors import InputError
from isolate.room import scenario

HOST, SECRET = "127.0.0.1:8123", "a-secret"
ORIGIN = f"http://{HOST}"
HOSTILE = '<script>alert("x")</script>'


class Desk:
    """A desk asked through the test client, as its own page would."""

    def __init__(self, session: Session) -> None:
        self.session = session
        session.look_further = lambda: None  # type: ignore[method-assign]  # takes long; tested by itself
        self.client = server.app(session, secret=SECRET, hosts=(HOST,)).test_client()

    def get(self, path: str, **headers: str) -> Any:
        return self.client.get(f"/{SECRET}/{path}", headers={"Host": HOST, **headers})

    def post(self, path: str, origin: str | None = ORIGIN, **body: Any) -> Any:
        headers = {"Host": HOST} | ({"Origin": origin} if origin else {})
        return self.client.post(f"/{SECRET}/{path}", json=body, headers=headers)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """The bundled room as a file of one's own."""
    path = tmp_path / "mine.toml"
    path.write_bytes((catalogue.root() / "rooms" / "demo.toml").read_bytes())
    return path


@pytest.fixture
def desk(file: Path) -> Iterator[Desk]:
    made = Desk(open_session(str(file), draws=0))
    yield made
    made.session.later.left.set()


# --- who may ask ---


def test_the_page_comes_with_the_secret_and_a_policy_that_knows_its_script(desk: Desk) -> None:
    answer = desk.get("")
    policy = answer.headers["Content-Security-Policy"]
    assert answer.status_code == 200 and "default-src 'none'" in policy and "unsafe" not in policy
    script = answer.text.split("<script>")[1].split("</script>")[0]
    import base64
    import hashlib

    assert base64.b64encode(hashlib.sha256(script.encode()).digest()).decode() in policy
    assert "http://" not in answer.text and "https://" not in answer.text  # nothing from elsewhere


def test_without_the_secret_there_is_nothing(desk: Desk) -> None:
    for path in ("/", "/room", "/another-secret/room", "/another-secret/"):
        assert desk.client.get(path, headers={"Host": HOST}).status_code == 404


def test_another_host_is_refused_even_with_the_secret(desk: Desk) -> None:
    # A name of somebody else's that resolves to this machine (DNS rebinding).
    assert desk.get("room", Host="example.test:8123").status_code == 403
    assert desk.get("room", Host="127.0.0.1:80").status_code == 403


@pytest.mark.parametrize("origin", ["http://example.test", "null", "http://127.0.0.1:1", None])
def test_a_foreign_origin_changes_nothing(desk: Desk, origin: str | None) -> None:
    before = desk.session.standing.text
    values = {"area": "1.4 m x 1.5 m"}
    assert desk.post("change", origin, where="side/0", values=values).status_code == 403
    assert desk.session.standing.text == before
    assert desk.post("change", where="side/0", values=values).status_code == 200


def test_only_json_of_a_modest_size_is_read(desk: Desk) -> None:
    address, headers = f"/{SECRET}/add", {"Host": HOST, "Origin": ORIGIN}
    form = desk.client.post(address, data="what=door", headers=headers, content_type="text/plain")
    assert form.status_code == 415
    large = json.dumps({"what": "x" * server.MOST_BYTES})
    answer = desk.client.post(address, data=large, headers=headers, content_type="application/json")
    assert answer.status_code in (413, 422)
    assert desk.post("add", what=3).status_code == 422


# --- the room's file ---


def test_saving_keeps_comments_and_order(desk: Desk, file: Path) -> None:
    before = file.read_text(encoding="utf-8").splitlines()
    desk.post("change", where="side/0", values={"area": "1.3 m x 1.5 m"})
    assert desk.post("save").json["saved"] == "mine.toml"
    after = file.read_text(encoding="utf-8").splitlines()
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert changed == [('area = "1.2 m x 1.5 m"', 'area = "1.3 m x 1.5 m"')]


def test_the_saved_file_answers_as_the_desk_does(desk: Desk, file: Path) -> None:
    desk.post("change", where="side/0", values={"construction": "single glazing", "seal": ""})
    desk.post("add", what="noise")
    desk.post("save")
    shown = {one.name: one.dba for one in desk.session.standing.now.sounds}
    saved = {one.name: one.dba for one in isolate.room(str(file), draws=0).now.sounds}
    assert shown.keys() == saved.keys() and "noise" in shown
    assert all(shown[name] == pytest.approx(saved[name], abs=1e-9) for name in shown)


def test_undo_and_redo_go_through_what_was_done(desk: Desk) -> None:
    first = desk.session.standing.text
    assert desk.get("room").json["undo"] is False
    desk.post("change", where="side/0", values={"area": "1.4 m x 1.6 m"})
    second = desk.session.standing.text
    desk.post("add", what="door")
    assert desk.post("undo").json["redo"] is True
    assert desk.session.standing.text == second
    desk.post("undo"), desk.post("undo")
    assert desk.session.standing.text == first
    desk.post("redo")
    assert desk.session.standing.text == second
    desk.post("change", where="side/0", values={"area": "1.4 m x 1.7 m"})
    assert desk.get("room").json["redo"] is False  # what was undone is gone


def test_a_fault_is_told_and_changes_nothing(desk: Desk) -> None:
    before = desk.session.standing.text
    for values in ({"area": "-1 m2"}, {"area": "big"}, {"construction": "unobtainium"}, {"colour": "red"}):
        answer = desk.post("change", where="side/0", values=values)
        assert answer.status_code == 422 and answer.json["faults"]
    assert desk.session.standing.text == before


def test_no_file_outside_of_the_rooms_own_folder_is_read_or_written(desk: Desk, file: Path) -> None:
    other = file.parent.parent / "other.toml"
    other.write_text('title = "o"\nkind = "wall"\n[[layer]]\nleaf = "glass"\nthickness = "4 mm"\n', "utf-8")
    answer = desk.post("change", where="side/0", values={"construction": "../other.toml"})
    assert answer.status_code == 422 and "outside" in answer.json["faults"][0]
    for name in ("../evil.toml", "/tmp/evil.toml", "sub/evil.toml", "room.py", ".toml"):
        assert desk.post("save", name=name).status_code == 422
    assert not (file.parent.parent / "evil.toml").exists()


def test_a_file_changed_by_hand_meanwhile_is_not_written_over(desk: Desk, file: Path) -> None:
    file.write_text(file.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
    desk.post("change", where="side/0", values={"area": "1.4 m x 1.6 m"})
    assert desk.post("save").status_code == 422
    assert file.read_text(encoding="utf-8").endswith("# by hand\n")


def test_a_side_renamed_takes_along_what_speaks_of_it(desk: Desk) -> None:
    assert desk.post("change", where="side/0", values={"name": "big window"}).status_code == 200
    data = editing.tables(desk.session.standing.text)
    assert {one["replace"] for one in data["option"]} >= {"big window"}
    assert any("big window" in one["through"] for one in data["neighbour"])


@pytest.mark.parametrize("what", cards.ADDED)
def test_everything_that_can_be_added_is_a_room_again_and_has_a_card(desk: Desk, what: str) -> None:
    answer = desk.post("add", what=what)
    assert answer.status_code == 200, answer.json
    card = desk.get(f"card?where={answer.json['added']}").json
    assert card["title"].startswith(what) and card["fields"]
    assert desk.post("remove", where=answer.json["added"]).status_code == 200


def test_markup_in_names_is_text(desk: Desk) -> None:
    desk.post("change", where="side/0", values={"name": HOSTILE})
    desk.post("change", where="noise/0", values={"name": HOSTILE + "2"})
    told = desk.get("room").json
    assert "<script>" not in told["picture"] and "&lt;script&gt;" in told["picture"]
    assert "<script>" not in told["answer"]


# --- what is tried ---


def test_switches_say_what_the_library_says_of_the_same_option(desk: Desk, file: Path) -> None:
    effect = desk.session.tried(["seal the sash"])
    option = next(one for one in isolate.room(str(file), draws=0).options if one.name == "seal the sash")
    assert effect.gain_db == pytest.approx(option.gain_db, abs=1e-9)
    assert effect.cost is not None and effect.cost.counts.typical == 60.0  # as the file states
    both = desk.session.tried(["seal the sash", "seals on the old door"])
    assert both.gain_db > effect.gain_db


def test_what_cannot_be_made_together_is_refused(desk: Desk) -> None:
    answer = desk.post("tried", on=["second pane, 100 mm behind", "second pane, 200 mm behind"])
    assert answer.status_code == 422 and "together" in answer.json["faults"][0]
    assert desk.post("tried", on=["a magic curtain"]).status_code == 422


def test_a_pane_further_away_takes_more_off_a_tram(desk: Desk) -> None:
    # A wider cavity resonates lower, so that more of what is deep stays out (mass-air-mass).
    gains = [
        desk.session.tried([], {"side": "window", "distance": far}).gains["tram"] for far in (0.03, 0.1, 0.3)
    ]
    assert gains == sorted(gains) and gains[-1] > gains[0] + 1.0
    for far in (0.0, 5.0):
        assert desk.post("tried", pane={"side": "window", "distance": far}).status_code == 422


# --- a new person ---


def test_without_a_room_the_questions_make_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    desk = Desk(open_session(None, draws=0))
    assert desk.get("room").json["begun"] is False
    asked = desk.get("questions").json
    assert 8 <= len(asked) <= 14 and all(one["usual"] for one in asked)
    answer = desk.post(
        "begin", answers={"glass": ["single"], "noises": ["tram", "kids"], "size": "4 x 3 x 2.4 m"}
    )
    assert answer.status_code == 200 and "dBA" in answer.json["answer"]
    assert desk.post("save").json["saved"] == "my-room.toml"
    now = scenario.present(rooms.load(tmp_path / "my-room.toml"))
    assert [one.name for one in now.heard] == ["trams, 10 m away", "children outside"]
    assert desk.post("begin", answers={"glass": ["cheese"]}).status_code == 422


def test_a_bundled_room_is_saved_as_a_file_of_ones_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    session = open_session("demo", draws=0)
    assert session.save() == tmp_path / "my demo.toml"
    with pytest.raises(InputError, match="no room of this name"):
        open_session("no such room")


# --- windows ---


def test_it_ends_when_the_last_window_has_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    now = 1000.0
    monkeypatch.setattr(server.time, "monotonic", lambda: now)
    windows = server.Windows()
    assert not windows.over()  # none has come yet
    windows.alive("a"), windows.alive("b")
    windows.closed("a")
    now += 60.0
    assert not windows.over()
    windows.closed("b")
    assert not windows.over()  # it may only be loading again
    now += server.AWAY + 0.1
    assert windows.over()
    windows.alive("c")
    now += server.GONE + 1.0
    assert windows.over()  # a browser that crashed said no goodbye


def test_a_second_window_learns_that_the_room_has_changed(desk: Desk) -> None:
    before = desk.post("alive", window="second").json["version"]
    desk.post("change", where="side/0", values={"area": "1.4 m x 1.6 m"})
    assert desk.post("alive", window="second").json["version"] > before
    assert desk.get("room").json["version"] == desk.post("alive", window="second").json["version"]


# --- what comes later ---


def test_the_judgement_comes_later_and_brings_more_switches(tmp_path: Path) -> None:
    text = (catalogue.root() / "rooms" / "voice booth.toml").read_text(encoding="utf-8")
    text = text[: text.index("[[option]]")]
    session = Session(tmp_path, text=text, draws=0)
    before = len(session.remedies)
    session.look_further()
    assert session.later.drawn and not session.later.fault
    assert len(session.remedies) > before
    left = session.later
    session.step(0)
    session.put(text + "\n")
    assert left.left.is_set() and session.later.answer is None
