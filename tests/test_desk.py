"""The desk: who may ask it, what it changes in a room's file, and that it says what the library says."""

from __future__ import annotations

import io
import json
import re
import tempfile
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from markupsafe import escape

import isolate
from isolate.describe import catalogue, constructions, datasheet, editing, noises, questions, rooms, wav
from isolate.desk import cards, server, told
from isolate.desk import session as sessions
from isolate.desk.session import Session, Superseded, Tables, open_session
from isolate.errors import InputError
from isolate.measuring import request
from isolate.measuring.isolation import Measurement
from isolate.measuring.measured import Setup
from isolate.remedies.cautions.changes import facts
from isolate.remedies.cautions.table import raised
from isolate.room import elements, envelope, scenario
from isolate.show import sections
from isolate.standards.field import CLEAR

HOST, SECRET = "127.0.0.1:8123", "a-secret"
ORIGIN = f"http://{HOST}"
HOSTILE = '<script>alert("x")</script>'


class Desk:
    """A desk asked through the test client, as its own page would."""

    def __init__(self, session: Session) -> None:
        self.session = session
        session.look_further = lambda: None  # type: ignore[method-assign]  # takes long; tested by itself
        session.foresee = lambda *_, **__: None  # type: ignore[method-assign]
        session.foresee_panes = lambda: None  # type: ignore[method-assign]
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
    assert shown.keys() == saved.keys() and "traffic" in shown
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


def test_what_stands_already_is_no_step(tmp_path: Path) -> None:
    """The questions' button touched twice."""
    desk = Desk(Session(tmp_path, draws=0))
    for _ in range(2):
        told = desk.post("begin", answers={}).json
    assert told["begun"] and not told["undo"]
    desk.session.later.left.set()


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
    data = desk.session.standing.data
    assert {one["replace"] for one in data["option"]} >= {"big window"}
    assert any("big window" in one["through"] for one in data["neighbour"])


def test_a_text_kept_open_is_edited_as_one_opened_anew(desk: Desk) -> None:
    session, anew = desk.session, desk.session.standing.text
    steps: list[Callable[[Any], None]] = [
        lambda one: one.change(("side", 0), {"area": "1.3 m x 1.5 m", "seal": None}),
        lambda one: one.add("noise", {"source": "bus", "faces": "street"}),
        lambda one: one.change(("room",), {"background": "27 dBA"}),
        lambda one: one.remove("option", 1),
        lambda one: one.change(("noise", 0), {"level": "80 dBA"}),
    ]
    for step in steps:
        step(session)
        fresh = editing.Editable(anew)
        step(fresh)
        anew = fresh.text
        assert session.standing.text == anew
    with pytest.raises(InputError):
        session.change(("side", 0), {"area": "no size"})  # what was refused is not in what follows
    session.change(("side", 0), {"area": "1.4 m x 1.5 m"})
    assert session.standing.text == anew.replace("1.3 m x 1.5 m", "1.4 m x 1.5 m")


@pytest.mark.parametrize("what", cards.ADDED)
def test_everything_that_can_be_added_is_a_room_again_and_has_a_card(desk: Desk, what: str) -> None:
    answer = desk.post("add", what=what)
    assert answer.status_code == 200, answer.json
    card = desk.get(f"card?where={answer.json['added']}").json
    called = {"noise": "traffic", "instrument": "clarinet"}.get(what, what)  # a sound is called what it is
    assert card["title"].startswith(called) and card["fields"]
    assert desk.post("remove", where=answer.json["added"]).status_code == 200


def test_the_first_of_its_kind_stands_apart_from_what_is_before_it(desk: Desk) -> None:
    before = desk.session.standing.text
    desk.post("add", what="vent")
    added = desk.session.standing.text.removeprefix(before)
    assert (before + added).count("\n\n[[vent]]") == 1 and "\n\n\n" not in added


def test_a_vent_is_what_its_data_sheet_says(desk: Desk) -> None:
    where = desk.post("add", what="vent").json["added"]
    sheet = "Dn,e,w 38 (-1; -3)"
    assert desk.post("change", where=where, values={"opening": sheet}).status_code == 200
    stated = [vent.stated for side in desk.session.standing.room.sides for vent in side.vents]
    assert datasheet.vent(sheet) in stated
    assert desk.post("change", where=where, values={"opening": "Dn,e,w 4000"}).status_code == 422


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


def test_what_is_switched_on_gets_the_ranges_of_the_command_line(file: Path) -> None:
    desk = Desk(open_session(str(file), draws=40))
    found = desk.session.sure(desk.session.tried(["seal the sash"]))
    option = next(one for one in isolate.room(str(file), draws=40).options if one.name == "seal the sash")
    assert found.gain_limits == pytest.approx(option.gain_limits, abs=1e-9)
    assert [one.chance for one in found.after.sounds] == [one.chance for one in option.after.sounds]
    both = desk.post("sure", on=["seal the sash", "solid door with seals"]).json
    assert "5 – 95 %" in both["told"] and "chance" in both["told"]
    before = desk.session.tried(["seal the sash"])
    desk.session.put(desk.session.standing.text + "\n")
    with pytest.raises(Superseded):  # never the ranges of a room that is gone
        desk.session.sure(before)
    assert "5 – 95 %" not in desk.post("tried", on=["seal the sash", "solid door with seals"]).json["told"]


def test_the_sheet_for_the_builder_says_what_the_library_says(desk: Desk) -> None:
    assert desk.post("sheet", on=[]).status_code == 422
    on = ["second pane, 100 mm behind", "solid door with seals"]
    told = desk.post("sheet", on=on).json["html"]
    effect = desk.session.tried(on)
    for one in effect.remedies:
        assert all(str(escape(need.name)) in told for need in one.bill)
    assert all(one.title in told for one in raised(facts(effect.before, effect.remedies)))
    # 64 kg of leaves more, and 1.5 kg/m of frame round a window of 1.5 m x 1.2 m
    assert effect.cost is not None and f"{effect.cost.counts.typical:,.0f}" in told and "72 kg" in told
    assert told.count("<svg") == 4 and "style=" not in told and "<script" not in told
    desk.post("units", feet=True)
    told = desk.post("sheet", on=on).json["html"]
    # 1.2 m are 47.24 in, a pound is 0.45359237 kg (NIST SP 811, appendix B.8)
    assert "47 1/4 in x 4 ft 11 in" in told and " kg more" not in told
    assert all(f"{one.mass / 0.45359237:.0f} lb more" in told for one in effect.remedies)


# --- sizes in either system ---


def test_sizes_are_read_and_written_in_the_chosen_system(desk: Desk) -> None:
    def size() -> str:
        fields = desk.get("card?where=side/0").json["fields"]
        return str(next(one["value"] for one in fields if one["key"] == "area"))

    before = desk.session.standing.text
    assert size() == "1.2 m x 1.5 m" and desk.get("room").json["feet"] is False
    told = desk.post("units", feet=True).json
    assert size() == "47 1/4 in x 4 ft 11 in" and "13' 5" in told["picture"]
    assert desk.session.standing.text == before  # telling changes nothing
    desk.post("change", where="side/0", values={"area": "4 x 5"})
    assert 'area = "4 x 5 ft"' in desk.session.standing.text
    desk.post("units", feet=False)
    assert size() == "1.22 m x 1.52 m"
    assert desk.post("change", where="side/0", values={"area": "76 x 198"}).status_code == 422  # cm, or in?
    desk.post("change", where="room", values={"size": "13 ft x 10 ft x 8 ft"})
    assert Session(desk.session.folder, text=desk.session.standing.text).feet  # as the file is written


# --- sections ---


def test_every_everyday_choice_has_its_section_drawn(desk: Desk) -> None:
    assert desk.session.standing.room.sides
    for number in range(len(desk.session.standing.room.sides)):
        fields = desk.get(f"card?where=side/{number}").json["fields"]
        choices = next(one["choices"] for one in fields if one["key"] == "construction")
        assert len(choices) >= 5
        for word, _, stands, section in choices:
            assert stands and section.startswith("<svg") and "c-" in section, word


@pytest.mark.parametrize("number", [0, 2])
def test_how_tight_a_window_or_door_shuts_is_asked_before_what_it_is(desk: Desk, number: int) -> None:
    keys = [one["key"] for one in desk.get(f"card?where=side/{number}").json["fields"]]
    assert keys.index("seal") < keys.index("construction")


def test_a_section_shows_every_sheet_and_cavity_to_one_scale() -> None:
    names = ("4-16-4", "triple glass 4-16-4-16-4 mm", "brick wall 225 mm")
    double, triple, brick = sections.drawn([constructions.load(name) for name in names])
    assert (double.count("c-glass"), triple.count("c-glass"), brick.count("c-brick")) == (2, 3, 1)
    wide = [float(svg.split('width="')[1].split('"')[0]) for svg in (double, triple, brick)]
    assert wide == sorted(wide)
    wall = "2 x gypsum board 12.5 mm + 70 mm steel studs 24 in with 50 mm glass wool + gypsum board 12.5 mm"
    (stud,) = sections.drawn([constructions.load(wall)])
    assert [stud.count(f"c-{kind}") for kind in ("board", "wool", "steel")] == [3, 1, 1]


# --- recordings ---


def recording(level: float, seed: int) -> bytes:
    return wav.encode(level * np.random.default_rng(seed).standard_normal(12 * 16_000), rate=16_000)


def send(desk: Desk, origin: str | None = ORIGIN, against: str = "", **given: Any) -> Any:
    files = {role: [(io.BytesIO(one), name) for name, one in several] for role, several in given.items()}
    headers = {"Host": HOST} | ({"Origin": origin} if origin else {})
    form = {"through": "window", "facade": "yes", "against": against, **files}
    kind = "multipart/form-data"
    answer = desk.client.post(f"/{SECRET}/measure", data=form, headers=headers, content_type=kind)
    answer.request.environ["wsgi.input"].close()  # the client's own file of what it has sent
    return answer


def test_recordings_are_measured_and_not_kept(
    desk: Desk, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "kept"
    kept.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(kept))
    before = sorted(file.parent.iterdir())
    loud, quiet, silence = recording(0.1, 1), recording(0.001, 2), recording(1e-5, 3)
    answer = send(desk, loud=[("../../loud.wav", loud)], quiet=[("quiet.wav", quiet)],
                  background=[("silence.wav", silence)])  # fmt: skip
    assert answer.status_code == 200 and "D2m,nT,w" in answer.json["told"] and "Trust" in answer.json["told"]
    found, through = desk.session.measured or (None, "")
    assert found is not None and through == "window"
    assert np.nanmax(np.abs(found.difference_db[6:20] - 40.0)) < 1.5  # 40 dB weaker by construction
    assert found.names["loud"] == ["loud.wav"] and str(kept) not in answer.text
    assert not list(kept.iterdir()) and sorted(file.parent.iterdir()) == before


def test_recordings_that_cannot_be_used_are_told_by_their_own_names(desk: Desk) -> None:
    loud = ("loud.wav", recording(0.1, 1))
    assert send(desk, loud=[loud]).json["faults"][0].startswith("quiet: missing")
    answer = send(desk, loud=[loud], quiet=[("notes.txt", b"no sound at all, only words" * 10)])
    assert answer.status_code == 422 and answer.json["faults"][0].startswith("notes.txt: ")
    assert send(desk, "http://example.test", loud=[loud], quiet=[loud]).status_code == 403
    assert desk.post("measure", through="window").status_code == 415  # files alone
    assert desk.post("fold").status_code == 422  # nothing measured


def test_before_and_after_a_change(desk: Desk, file: Path) -> None:
    """Recorded 10 dB weaker than before by construction; kept in between as `isolate measure` reads it."""
    loud, silence = ("loud.wav", recording(0.1, 1)), ("silence.wav", recording(1e-6, 3))
    assert desk.post("keep").status_code == 422  # nothing measured
    before = {"loud": [loud], "quiet": [("in.wav", recording(1e-2, 2))], "background": [silence]}
    assert send(desk, **before).status_code == 200
    kept = desk.post("keep").json
    assert kept == {"name": "measured window.json", "kept": ["measured window.json"]}
    assert desk.get("room").json["kept"] == kept["kept"]
    after = {**before, "quiet": [("in.wav", recording(1e-2 * 10**-0.5, 4))]}
    told = send(desk, **after, against=kept["name"]).json["told"]
    assert "better by 10 ±" in told and "half as loud" in told
    earlier = request.load(file.parent / kept["name"])
    found = desk.session.measured[0].change  # type: ignore[index]
    assert found == replace(found, before=kept["name"]) and found.gain_db[10] == pytest.approx(10.0, abs=1.0)
    assert earlier.names["loud"] == ["loud.wav"]
    assert desk.post("keep").json["name"] == "measured window 2.json"  # none is written over
    for other in ("../measured window.json", "mine.toml", "none.json"):
        answer = send(desk, **after, against=other)
        assert answer.status_code == 422 and answer.json["faults"][0].startswith("against: ")


def test_more_than_may_be_sent_is_refused_unread(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server.recordings, "MOST_BYTES", 10_000)
    answer = send(desk, loud=[("loud.wav", recording(0.1, 1))])
    assert answer.status_code == 413 and "too large" in answer.json["faults"][0]


def test_what_was_measured_is_folded_into_the_room_as_one_step(desk: Desk) -> None:
    """The window measured three times as leaky as described: the file says so, and answers so."""
    room = desk.session.standing.room
    gaps = tuple(replace(one, width=3.0 * one.width, widths=None) for one in room.sides[0].gaps)
    truth = replace(room, sides=(replace(room.sides[0], gaps=gaps), *room.sides[1:]))
    shell = envelope.of_room(truth)
    passed = sum(one.tau_area for one in shell.elements("street"))
    difference, flat = -10.0 * np.log10(passed / shell.absorption), np.zeros(27)
    desk.session.measured = (Measurement(
        setup=Setup(facade=True), names={}, loud_db=flat, quiet_db=flat - difference,
        background_db=flat - 150, rule=np.full(27, CLEAR), difference_db=difference, time=flat + 0.5,
        time_basis=("assumed",) * 27, u_db=flat + 1.0, repeat_db=flat + 0.7, calibrated=False, findings=(),
        notes=(),
    ), "street")  # fmt: skip
    before = desk.session.standing.text
    assert desk.post("fold").status_code == 200
    worst, siren = desk.session.standing.now.heard[0], scenario.present(truth).heard[0]
    assert worst.dba == pytest.approx(siren.dba, abs=1.0)
    assert '# seal = "unsealed"' in desk.session.standing.text
    assert desk.post("fold").status_code == 422  # it agrees now
    desk.post("undo")
    assert desk.session.standing.text == before


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
    assert [one.name for one in now.heard] == ["trams", "children outside"]
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


class _Clock:
    """Time that a test lets pass, looked at every second as the desk does."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = 1000.0
        monkeypatch.setattr(server.time, "monotonic", lambda: self.now)
        self.windows = server.Windows()

    def over_after(self, seconds: float, **how: bool) -> bool:
        """Whether the desk has ended by then."""
        over = False
        for step in range(int(seconds) + 1):
            self.now += min(1.0, seconds - step)
            over = over or self.windows.over(**how)
        return over


def test_it_ends_when_the_last_window_has_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = _Clock(monkeypatch)
    windows = clock.windows
    assert not windows.over()  # none has come yet
    windows.alive("a"), windows.alive("b")
    windows.closed("a")
    assert not clock.over_after(60.0)
    windows.closed("b")
    assert not windows.over()  # it may only be loading again
    assert clock.over_after(server.AWAY + 0.1)


def test_it_ends_when_all_windows_have_been_silent_for_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """A browser that crashed says no goodbye. What is unsaved is kept: a tab that a browser has put to sleep
    finds it again."""
    clock = _Clock(monkeypatch)
    clock.windows.alive("a")
    assert not clock.over_after(server.GONE - 2.0)
    assert clock.over_after(4.0)
    clock.windows.alive("b")
    assert not clock.over_after(2 * server.GONE, unsaved=True)
    assert clock.over_after(server.GONE_UNSAVED, unsaved=True)


def test_a_machine_that_slept_closes_no_window(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = _Clock(monkeypatch)
    clock.windows.alive("a")
    clock.now += 8 * 3600.0  # the lid was shut
    assert not clock.windows.over() and not clock.over_after(60.0)
    assert clock.over_after(server.GONE)  # and the window never came back


def test_a_long_session_remembers_so_much_and_no_more(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was used last is still there, what nobody asked for longest is gone."""
    known = desk.session.finder._known
    monkeypatch.setattr(known, "_most", len(known) + 2)
    for thickness in (5, 6, 8, 10):
        desk.post("change", where="side/0", values={"construction": f"glass {thickness} mm"})
    assert len(known) == known._most
    monkeypatch.setattr(elements, "transmission", lambda *_, **__: pytest.fail("computed again"))
    assert desk.post("change", where="side/0", values={"construction": "glass 8 mm"}).status_code == 200


def test_a_second_window_learns_that_the_room_has_changed(desk: Desk) -> None:
    before = desk.post("alive", window="second").json["version"]
    desk.post("change", where="side/0", values={"area": "1.4 m x 1.6 m"})
    assert desk.post("alive", window="second").json["version"] > before
    assert desk.get("room").json["version"] == desk.post("alive", window="second").json["version"]


def test_a_sound_is_called_what_it_is_until_somebody_names_it(desk: Desk) -> None:
    added = desk.post("add", what="noise").json["added"]
    assert desk.get("room").json["noises"][-1] == "traffic"
    assert desk.post("change", where=added, values={"source": "drone"}).json["noises"][-1] == "drone"
    again = desk.post("add", what="noise").json["added"]
    assert desk.post("change", where=again, values={"source": "drone"}).json["noises"][-1] == "drone 2"
    desk.post("change", where=again, values={"name": "the boy next door"})
    told = desk.post("change", where=again, values={"source": "skateboard"}).json
    assert told["noises"][-1] == "the boy next door"


@pytest.mark.parametrize(
    ("where", "values", "said"),
    [
        ("side/0", {"construction": "brik"}, "What is it: no construction of this name"),
        ("room", {"background": "quiet"}, "How quiet is it between the noises: not a background"),
        ("noise/1", {"level": "loud"}, "How loud: not a level"),
        ("own/0", {"source": "music lessons"}, "What do you play: no noise to compute with"),
        ("neighbour/0", {"limit": "silence"}, "What may be heard there: not a limit"),
        ("side/1", {"gap": "-1"}, "Sockets back to back with those behind it: how many: not a whole number"),
        ("side/1", {"gap": "some"}, "Sockets back to back with those behind it: how many: not a number"),
    ],
)
def test_a_fault_on_a_card_is_told_in_the_cards_words(
    desk: Desk, where: str, values: dict[str, str], said: str
) -> None:
    answer = desk.post("change", where=where, values=values)
    assert answer.status_code == 422 and answer.json["faults"][0].startswith(said)
    assert "write" in answer.json["faults"][0] or "did you mean" in answer.json["faults"][0]


def test_what_an_instrument_stands_on_is_asked_on_its_card(tmp_path: Path) -> None:
    """Where no side is the floor; saved as a person writes it: the floor and what lies on it under [room],
    what shakes it with the instrument, and neither where that is as usual. Then it counts."""
    text = questions.written({"plays": ("piano",), "hears": ("beside",)})
    unsaid = re.sub(r"^floor = .*\n", "", text, flags=re.MULTILINE)  # the questions take it as not known
    assert unsaid != text
    desk = Desk(Session(tmp_path, text=unsaid, draws=0))
    asked = {one["key"]: one for one in desk.get("card?where=own/0").json["fields"]}
    assert asked["floor"]["value"] == ["piano pedals"] and asked["room.floor"]["value"] == ""
    assert ["don't know", "not sure"] in [one[:2] for one in asked["room.floor"]["choices"]]
    bare = [one.kind for one in desk.session.standing.now.neighbours[0].heard[0].elements]
    values = {"floor": ["piano pedals"], "room.floor": "don't know", "room.covering": "carpet"}
    assert desk.post("change", where="own/0", values=values).status_code == 200
    written = desk.session.standing.data
    assert (written["room"]["floor"], written["room"]["covering"]) == ("don't know", "carpet")
    assert "floor" not in written["own"][0] and "room" not in written["own"][0]
    heard = [one.kind for one in desk.session.standing.now.neighbours[0].heard[0].elements]
    assert "structure" in heard and "structure" not in bare
    card = desk.get("card?where=own/0").json
    assert any("joist floor" in note for note in card["told"])
    desk.post("change", where="own/0", values={"floor": ["feet keeping time", "piano pedals"]})
    assert desk.session.standing.data["own"][0]["floor"] == ["feet keeping time", "piano pedals"]
    desk.post("undo")
    desk.post("change", where="own/0", values={"floor": []})
    assert desk.session.standing.room.own[0].floor == ()
    refused = desk.post("change", where="own/0", values={"room.floor": "brik"})
    assert refused.status_code == 422 and refused.json["faults"][0].startswith(
        "What does it stand on: no con"
    )
    added = desk.post("add", what="floor").json["added"]
    assert "room.floor" not in [one["key"] for one in desk.get("card?where=own/0").json["fields"]]
    desk.post("change", where=added, values={"covering": "carpet"})
    covering = desk.session.standing.room.sides[-1].covering
    assert covering is not None and covering.name == "carpet"


def test_what_cannot_be_removed_says_whose_card_holds_it(desk: Desk) -> None:
    desk.session.put(questions.written({}))
    name = desk.session.standing.room.noises[0].name
    assert desk.post("remove", where="side/0").status_code == 200  # the window
    told = desk.post("remove", where="side/0")
    assert told.json["faults"][0].startswith(f'{name}: Where does it come from: no side faces "street"')
    told = desk.post("remove", where="noise/0")
    assert told.json["faults"] == ["nothing would be left to hear: add another noise or instrument first"]


@pytest.mark.parametrize("words", ["don't know", "drywall"])
def test_a_renamed_wall_stays_what_it_is(desk: Desk, words: str) -> None:
    sides = desk.session.standing.data["side"]
    number = next(i for i, one in enumerate(sides) if one["name"] == "party wall")
    where = f"side/{number}"
    desk.post("change", where=where, values={"construction": words})
    before = desk.session.standing.room.sides[number].construction.name
    offered = desk.get(f"card?where={where}").json["fields"]
    assert desk.post("change", where=where, values={"name": "towards Bob"}).status_code == 200
    assert desk.session.standing.room.sides[number].construction.name == before
    for was, now in zip(offered, desk.get(f"card?where={where}").json["fields"], strict=False):
        assert was["choices"] == now["choices"]


def test_what_is_hardly_so_is_asked_back_in_the_first_answer_and_only_there(desk: Desk) -> None:
    told = desk.post("change", where="side/0", values={"area": "9 x 9 m"}).json
    assert told["answer"].count("more than the room&#39;s largest face") == 1
    assert "81 m2 (872 ft2)" in told["answer"] and "e+03" not in told["answer"]
    rest = {key: one for key, one in told.items() if key != "answer"}
    assert "largest face" not in json.dumps(rest)


def test_a_bare_number_is_a_level_as_a_telephone_tells_it(desk: Desk) -> None:
    desk.post("change", where="own/0", values={"level": "84"})
    assert desk.session.standing.room.own[0].level == noises.Level(84.0, "A")


def test_no_instrument_is_offered_as_a_noise_nor_a_noise_to_play() -> None:
    comes, made = cards._sources("noise"), cards._sources("own")
    assert {"tram", "drone", "fireworks", "traffic"} <= set(comes) and not {"clarinet", "tuba"} & set(comes)
    assert {"tuba", "clarinet", "accordion"} <= set(made) and not {"tram", "dog", "traffic"} & set(made)


# --- what comes later ---


def test_what_runs_behind_stands_still_while_somebody_waits(file: Path) -> None:
    session = open_session(str(file), draws=0)
    worker = threading.Thread(target=session.look_further)
    with session.first():
        worker.start()
        worker.join(0.3)
        known = len(session.finder._known)
        worker.join(0.5)
        assert len(session.finder._known) == known and session.later.answer is None
        session.put(session.standing.text + "\n")  # a change of the room itself is not held up
    worker.join(5.0)
    assert not worker.is_alive() and session.later.answer is None  # what was behind has ended


def test_what_a_card_offers_is_there_when_it_is_chosen(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    offered = ("single glazing", "no such thing", "triple glazing")
    built = [partial(told._built, number=0, words=one) for one in offered]
    Session.foresee(desk.session, built)
    desk.session.change(("side", 0), {"seal": "sealed"})
    monkeypatch.setattr(elements, "transmission", lambda *_, **__: pytest.fail("computed again"))
    for offered in ("triple glazing", "single glazing"):
        assert desk.post("change", where="side/0", values={"construction": offered}).status_code == 200


def test_what_is_likely_next_is_found_while_nobody_asks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first card's choices, a second pane on the slider, and a ceiling that is not there yet."""
    path = tmp_path / "small.toml"
    path.write_text(
        '[room]\nsize = "4 x 3 x 2.5 m"\nbackground = "25 dBA"\n[[side]]\nname = "window"\n'
        'faces = "street"\nconstruction = "double glazing"\narea = "1.2 x 1.4 m"\n'
        '[[noise]]\nsource = "tram"\nfaces = "street"\n'
    )
    session = open_session(str(path), draws=0)
    monkeypatch.setattr(session, "look_further", lambda: None)
    monkeypatch.setattr(sessions, "FARTHEST", sessions.NEAREST + sessions.STEP)
    told._meanwhile(session)
    desk = Desk(session)
    monkeypatch.setattr(elements, "transmission", lambda *_, **__: pytest.fail("computed again"))
    assert desk.post("tried", on=[], pane={"side": "window", "distance": 0.03}).status_code == 200
    for offered in cards.offered(session.standing.data, ("side", 0)):
        assert desk.post("change", where="side/0", values={"construction": offered}).status_code == 200
    assert desk.post("add", what="ceiling").status_code == 200


def test_an_open_card_goes_before_what_else_is_foreseen(file: Path) -> None:
    session, seen = open_session(str(file), draws=0), []

    def edit(name: str, data: Tables) -> Tables:
        seen.append(name)
        return data

    session._card = object()  # of a card somebody looks at
    rest = threading.Thread(target=session.foresee, args=([partial(edit, "the rest")],))
    rest.start()
    rest.join(0.1)
    assert rest.is_alive() and not seen
    session.foresee([partial(edit, "a card")], card=True)
    rest.join(5.0)
    assert seen == ["a card", "the rest"] and not rest.is_alive()


def test_the_range_of_a_room_waits_for_no_judgement(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = Desk(open_session(str(file), draws=40))
    expected = isolate.room(str(file), draws=40).now.worst

    def given_up(*_: object, **__: object) -> None:
        raise Superseded

    monkeypatch.setattr(sessions.answered, "room", given_up)  # no judgement
    Session.look_further(desk.session)
    told = desk.get("later").json
    assert expected is not None and "answer" not in told
    low, high = (f"{one:.0f}" for one in expected.limits_dba)
    assert f"{low} – {high} dBA inside" in told["sure"]


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
