"""The desk in a real browser: the bundled room by touches alone, wrong entries, markup, two windows, reload,
undo, save, reopen, a stranger's page, before and after."""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser.chromium import Chromium, Page, program

import isolate
from isolate.describe import catalogue
from isolate.desk import server
from isolate.desk.session import Session, open_session

if program() is None and os.environ.get("CI"):
    pytest.fail("no Chromium: .ci/run installs Debian's chromium-headless-shell", pytrace=False)
pytestmark = pytest.mark.skipif(
    program() is None, reason="no Chromium here; apt-get install chromium-headless-shell"
)
LONG = 60.0  # s; several of these may share a slow machine
# What the desk does every few seconds is waited for here a tenth as long.
SOONER = "window.setInterval = ((every) => (act, time) => every(act, time / 10))(window.setInterval)"


@pytest.fixture(scope="module")
def browser() -> Iterator[Chromium]:
    one = Chromium()
    yield one
    one.close()


@pytest.fixture
def session(tmp_path: Path) -> Session:
    made = Session(tmp_path, draws=0)
    made.look_further = lambda: None  # type: ignore[method-assign]  # takes long; tested by itself
    made.foresee = lambda *_, **__: None  # type: ignore[method-assign]
    made.foresee_panes = lambda: None  # type: ignore[method-assign]
    return made


@pytest.fixture
def address(session: Session) -> Iterator[str]:
    from waitress.server import create_server

    app = server.app(session, secret="secret")
    listening: Any = create_server(app, host="127.0.0.1", port=0, threads=4)
    app.config["HOSTS"] = (f"127.0.0.1:{listening.effective_port}",)

    def run() -> None:
        with contextlib.suppress(OSError):  # it is closed under it
            listening.run()

    threading.Thread(target=run, daemon=True).start()
    yield f"http://127.0.0.1:{listening.effective_port}/secret/"
    session.later.left.set()
    listening.close()


def _page(browser: Chromium, address: str, tmp_path: Path, **size: Any) -> Page:
    blank = tmp_path / "blank.html"
    blank.write_text("<title>blank</title>", encoding="utf-8")
    page = browser.open(blank, **size)
    page.call("Page.addScriptToEvaluateOnNewDocument", source=SOONER)
    page.visit(address)
    return page


@pytest.mark.parametrize("width", [390, 1280])
def test_a_room_by_touches_alone(
    browser: Chromium, session: Session, address: str, tmp_path: Path, width: int
) -> None:
    page = _page(browser, address, tmp_path, width=width, height=850, phone=width < 500)
    page.wait("document.querySelectorAll('#question-list fieldset').length > 8", LONG)
    touches = ["input[value='single']", "input[value='tram']", "input[value='clarinet']", "#questions button"]
    for touched in touches:
        page.run(f'document.querySelector("{touched}").click()')
    page.wait("!!document.querySelector('#picture [data-where]')", LONG)
    assert "dBA" in page.run("document.getElementById('answer').textContent")
    assert page.run("document.documentElement.scrollWidth") <= width  # nothing overflows
    # a card by the keyboard, and what it changes
    page.run("document.querySelector('#picture [data-where=\"side/0\"]').focus()")
    page.key("Enter", 13)
    page.wait("document.getElementById('card').open", LONG)
    words = "[...document.querySelectorAll('.chips button')].find(b => b.textContent === 'double glazing')"
    page.run(f"{words}.click()")
    page.run("document.querySelector('#card-form button.main').click()")
    page.wait("!document.getElementById('card').open && !document.getElementById('undo').disabled", LONG)
    assert 'construction = "double glazing"' in session.standing.text
    page.run("document.getElementById('undo').click()")
    page.wait("document.getElementById('undo').disabled", LONG)
    # saved, it answers the same on the command line
    page.run("window.prompt = (asked, usual) => usual; document.getElementById('save').click()")
    page.wait("document.getElementById('file').textContent.endsWith(', saved.')", LONG)
    saved = isolate.room(str(tmp_path / "my-room.toml"), draws=0).now
    assert [one.dba for one in saved.sounds] == pytest.approx(
        [one.dba for one in session.standing.now.sounds]
    )
    shown = page.run("document.getElementById('answer').textContent")
    assert saved.worst is not None and f"{saved.worst.dba:.0f} dBA" in shown
    complaints = [one["entry"]["text"] for one in page.happened("Log.entryAdded")]
    assert not complaints and not page.happened("Runtime.exceptionThrown")
    page.close()


class Person:
    """Somebody at the desk who reads, touches and types."""

    def __init__(self, page: Page, session: Session) -> None:
        self.page, self.session = page, session
        self.touches = 0

    def touch(self, found: str) -> None:
        click = "new MouseEvent('click', { bubbles: true, cancelable: true })"
        self.page.run(f"({found}).dispatchEvent({click})")
        self.touches += 1

    def settled(self) -> None:
        """Until the card is shut and the page shows the room as it stands."""
        end = time.monotonic() + LONG
        fault = "document.getElementById('card-faults').textContent"
        shown = f"document.getElementById('card').open ? {fault} : state.version"
        while (found := self.page.run(shown)) != self.session.version:
            assert time.monotonic() < end and not (isinstance(found, str) and found), found
            time.sleep(0.02)

    def own(self, question: str, words: str) -> None:
        """Answer a question in words of one's own."""
        self.page.run(f"""((own) => {{
          own.value = {json.dumps(words)};
          own.dispatchEvent(new Event("input"));
        }})([...document.querySelectorAll("#question-list .own")].find((one) =>
          one.getAttribute("aria-label").startsWith({question!r})))""")
        self.touches += 1

    def answers(self, *values: str) -> None:
        """Touch these answers (one that is chosen already no more), then "Show my room"."""
        for value in values:
            self.touch(f"document.querySelector('#question-list input[value=\"{value}\"]')")
        self.touch("document.querySelector('#questions button.main')")
        self.page.wait("!!document.querySelector('#picture [data-where]')", LONG)

    def open(self, part: str) -> None:
        self.touch(f"[...document.querySelectorAll('#parts button')].find((b) => b.textContent === {part!r})")
        self.page.wait("document.getElementById('card').open", LONG)

    def add(self, what: str) -> None:
        buttons = "[...document.querySelectorAll('#adds button')]"
        self.touch(f"{buttons}.find((b) => b.textContent === '+ {what}')")
        self.page.wait("document.getElementById('card').open", LONG)

    def say(self, **said: str | bool) -> None:
        """Fill in what the card asks, found by the words of the question, and press Done."""
        for asked, value in said.items():
            words = asked.replace("_", " ")
            done = self.page.run(f"""(() => {{
              const field = [...document.querySelectorAll('#card-fields .field')].find((one) =>
                one.firstChild.textContent.toLowerCase().startsWith({words!r}));
              if (!field) return "no field";
              const value = {json.dumps(value)};
              const chip = [...field.querySelectorAll('.chips label, .chips button')].find((one) =>
                one.textContent === value);
              const box = field.querySelector('input[type="checkbox"]');
              if (chip && box) {{
                for (const other of field.querySelectorAll('input:checked')) other.click();
                chip.click();
              }}
              else if (chip) chip.click();
              else if (box) {{ if (box.checked !== value) box.click(); }}
              else {{
                const input = field.querySelector('select, input');
                if (input.tagName === 'SELECT')
                  input.value = [...input.options].find((one) => one.textContent === value).value;
                else input.value = value;
              }}
              return "said";
            }})()""")
            assert done == "said", asked
        self.touch("document.querySelector('#card-form button.main')")

    def card(self, part: str, **said: str | bool) -> None:
        self.open(part)
        self.say(**said)
        self.settled()

    def new(self, what: str, **said: str | bool) -> None:
        self.add(what)
        self.say(**said)
        self.settled()

    def text(self, part: str) -> str:
        return str(self.page.run(f"document.getElementById('{part}').textContent"))


@pytest.fixture
def person(browser: Chromium, session: Session, address: str, tmp_path: Path) -> Iterator[Person]:
    page = _page(browser, address, tmp_path, width=1280, height=900)
    page.wait("document.querySelectorAll('#question-list fieldset').length > 8", LONG)
    yield Person(page, session)
    page.close()


def test_the_bundled_room_by_touches_has_its_numbers(person: Person, tmp_path: Path) -> None:
    """Described at the desk from nothing, sizes and levels as in its file: every level is that file's."""
    known = ("old flat", "double", "draughty", "panel", "quiet")
    person.answers(*known, "siren", "clarinet", "voice", "below")
    assert person.touches <= 15 and "dBA" in person.text("answer")  # the first, before anything is typed
    person.card("window", what_is_it="double glass 4-12-4 mm", how_large="1.2 x 1.5 m", how_wide="100 mm")
    person.touch("document.querySelector('#picture [data-where=\"room\"]')")
    person.page.wait("document.getElementById('card').open", LONG)
    person.say(how_large="4.1 x 3.2 x 2.6 m", how_quiet="NC 20", how_many_people="2")
    person.settled()
    person.card("outer wall", what_is_it="brick wall 225 mm, plastered", how_large="6.5 m2")
    person.card("door", what_is_behind="landing", what_is_it="panel door 35 mm, pine")
    person.new("wall", what_is_it="lath and plaster", how_large="6.7 m2", what_is_behind="landing",
               what_do_you_call="landing wall")  # fmt: skip
    person.card("landing wall", sockets="2")
    person.card("party wall", what_is_it="brick wall 225 mm, plastered", how_large="4.1 x 2.6 m")
    person.card("floor", what_is_it="joist floor, boards and lath and plaster", how_large="4.1 x 3.2 m")
    person.new("vent", through_which="outer wall", what_is_it="100 mm", how_long="0.3 m",
               how_thick_is_absorbent="25 mm", a_lined_box="0.6 x 0.3 x 0.3 m",
               how_thick_is_its_lining="50 mm")  # fmt: skip
    person.card("sirens", how_loud="88 dBA")
    for name, source, far in (
        ("tram", "tram", "9 m"), ("motorcycle", "motorcycle", "8 m"), ("delivery van", "delivery van", "8 m"),
        ("school yard", "playground", "60 m"),
    ):  # fmt: skip
        person.new("noise", what_is_it=source, what_do_you_call=name, how_far_from_it=far,
                   where_does="street")  # fmt: skip
    person.new("noise", what_is_it="speech", what_do_you_call="speech on the pavement", how_loud="68 dBA",
               measured="1 m", how_far_from_it="6 m", where_does="street")  # fmt: skip
    person.new("noise", what_is_it="speech", what_do_you_call="talk on the landing", how_loud="58 dBA",
               where_does="landing", it_is_in_the_room=True)  # fmt: skip
    person.card("clarinet", how_loud="86 dBA")
    person.card("voice", what_do_you_play="singing voice", how_loud="88 dBA")
    person.card("neighbour below", how_large="4.1 x 3.2 x 2.8 m", how_quiet="28 dBA")
    person.new("neighbour", who_is_it="next door", behind_what="party wall", how_quiet="25 dBA",
               how_large="4.2 x 3.4 x 2.6 m")  # fmt: skip
    person.new("neighbour", who_is_it="across", behind_what="window", how_quiet="30 dBA", if_they="14 m")
    person.card("across", what_window="double glass 4-12-4 mm", how_large_is_it="1.2 x 1.4 m",
                how_wide="100 mm", how_does_it_stand="tilted")  # fmt: skip
    person.card("across", how_large_is_their="4 x 3.5 x 2.8 m")
    person.open("across")
    person.page.run("""[...document.querySelectorAll('#card-fields fieldset label')].find((one) =>
        one.textContent === 'outer wall').click()""")
    person.say()
    person.settled()
    described, found = isolate.room("demo", draws=0).now, person.session.standing.now
    assert [one.dba for one in found.heard] == pytest.approx([one.dba for one in described.heard], abs=1e-6)
    assert [one.margin for one in found.heard] == pytest.approx([one.margin for one in described.heard])
    here = {to.name: [one.dba for one in to.heard] for to in found.neighbours}
    for mine, theirs in (
        ("next door", "neighbour next door"),
        ("neighbour below", "tenant below"),
        ("across", "bedroom across the street"),
    ):
        stated = next(to for to in described.neighbours if to.name == theirs)
        assert here[mine] == pytest.approx([one.dba for one in stated.heard], abs=1e-6)
    assert described.worst is not None
    assert f"{described.worst.dba:.0f} dBA inside: sirens" in person.text("answer")
    # saved, reopened and answered on the command line it is the same
    person.page.run("window.prompt = (asked, usual) => usual; document.getElementById('save').click()")
    person.page.wait("document.getElementById('file').textContent.endsWith(', saved.')", LONG)
    again = open_session(str(tmp_path / "my-room.toml"), draws=0).standing.now
    assert [one.dba for one in again.sounds] == [one.dba for one in found.sounds]


def test_a_box_room_in_a_few_touches_and_words_of_ones_own(person: Person, tmp_path: Path) -> None:
    """A terraced house's, for speech, the neighbour's piano behind its wall: right within fifteen touches,
    and so in the file it saves. The usual noise, which nobody chose, is gone."""
    person.own("What comes in", "neighbour's piano")
    person.answers("draughty", "row", "speech", "beside", "quiet")
    assert person.touches <= 15
    now = person.session.standing.now
    assert [one.name for one in now.heard] == ["neighbour's piano"]
    assert now.worst is not None and f"{now.worst.dba:.0f} dBA inside" in person.text("answer")
    assert "neighbour next door" in person.text("answer")  # who hears the speech
    person.page.run("window.prompt = (asked, usual) => usual; document.getElementById('save').click()")
    person.page.wait("document.getElementById('file').textContent.endsWith(', saved.')", LONG)
    saved = isolate.room(str(tmp_path / "my-room.toml"), draws=0).now
    assert [one.dba for one in saved.sounds] == [one.dba for one in now.sounds]


@pytest.mark.parametrize("width", [390, 1280])
def test_what_a_piano_stands_on_by_touches(
    browser: Chromium, session: Session, address: str, tmp_path: Path, width: int
) -> None:
    """A floor nobody knows, with a carpet; what shakes it is marked already and, left alone, not written."""
    page = _page(browser, address, tmp_path, width=width, height=850, phone=width < 500)
    page.wait("document.querySelectorAll('#question-list fieldset').length > 8", LONG)
    person = Person(page, session)
    person.answers("piano", "beside")
    person.open("piano")
    marked = "[...document.querySelectorAll('#card-fields fieldset input:checked')].map((one) => one.value)"
    assert page.run(marked) == ["piano pedals"]
    assert page.run("byId('card').scrollWidth <= byId('card').clientWidth")  # nothing overflows
    person.say(what_does_it_stand_on="not sure", what_lies_on_that="carpet")
    person.settled()
    told = session.standing.data
    assert (told["room"]["floor"], told["room"]["covering"]) == ("don't know", "carpet")
    assert "floor" not in told["own"][0] and page.run("document.documentElement.scrollWidth") <= width
    person.open("piano")
    pressed = "document.querySelectorAll('#card-fields button[aria-pressed=\"true\"]')"
    assert page.run(f"[...{pressed}].map((one) => one.textContent)") == ["piano", "not sure"]
    assert "joist floor" in person.text("card-told")
    page.close()


WRONG = {
    "how_large": ("large", "4 x 3 x 2 m", "0 m2", "4 kg"),
    "what_is_it": ("brik", "Rw", "4-90-4", "glass -4 mm"),
    "what_is_behind": ("",), "what_do_you_call": ("outer wall",),
}  # fmt: skip


def test_ten_wrong_entries_are_told_on_the_card(person: Person) -> None:
    person.answers("single", "tram")
    before = person.session.standing.text
    for asked, entries in WRONG.items():
        for entry in entries:
            person.open("window")
            person.say(**{asked: entry})
            person.page.wait("document.getElementById('card-faults').textContent !== ''", LONG)
            assert person.session.standing.text == before, entry
            told = person.text("card-faults")
            assert str(person.session.folder) not in told and "Traceback" not in told
            person.touch("document.getElementById('card-close')")
            person.page.wait("!document.getElementById('card').open", LONG)


def test_a_fault_is_in_sight_wherever_the_card_is_scrolled_to(person: Person) -> None:
    person.answers("single", "tram")
    person.open("window")
    person.page.run("document.getElementById('card').scrollTo(0, 9999)")
    person.say(what_do_you_call="outer wall")
    person.page.wait("document.getElementById('card-faults').textContent !== ''", LONG)
    seen = """(() => {
      const told = document.getElementById("card-faults").getBoundingClientRect();
      const card = document.getElementById("card").getBoundingClientRect();
      return told.top >= card.top && told.bottom <= card.bottom;
    })()"""
    person.page.wait(seen)


def test_a_part_added_and_cancelled_is_not_there(person: Person) -> None:
    person.answers("single", "tram")
    before = person.session.standing.text
    taken_back = "!document.getElementById('card').open && document.getElementById('undo').disabled"
    person.add("window")
    person.touch("document.getElementById('card-close')")
    person.page.wait(taken_back, LONG)
    assert person.session.standing.text == before
    person.add("noise")
    person.page.key("Escape", 27)
    person.page.wait(taken_back, LONG)
    assert person.session.standing.text == before
    person.add("window")
    person.say()
    person.settled()
    person.open("window 2")
    person.touch("document.getElementById('card-close')")
    person.settled()
    assert "window 2" in person.text("parts")


def test_what_cannot_be_tried_shows_no_outcome_of_before(person: Person) -> None:
    person.session.put((catalogue.root() / "rooms" / "demo.toml").read_text(encoding="utf-8"))
    person.page.wait("document.querySelector('[data-change=\"second pane, 100 mm behind\"]') !== null", LONG)
    person.page.run("document.querySelector('[data-change=\"second pane, 100 mm behind\"]').click()")
    person.page.wait("document.getElementById('brief').textContent.includes('softer')", LONG)
    person.touch("document.querySelector('#pane input')")
    person.page.wait("document.querySelector('#tried .bad') !== null", LONG)
    assert person.text("brief") == ""


_LONG_NAME = " ".join(["window"] * 10 + ["w" * 50])
_OUT_OF_PICTURE = """(() => {
  const whole = document.querySelector("#picture svg").getBoundingClientRect();
  return [...document.querySelectorAll("#picture text")]
    .map((one) => [one.textContent, one.getBoundingClientRect()])
    .filter(([, at]) => at.left < whole.left - 1 || at.right > whole.right + 1 || at.top < whole.top - 1 ||
      at.bottom > whole.bottom + 1).map(([text]) => text);
})()"""


def test_names_in_the_picture_lie_within_it(person: Person) -> None:
    person.answers("tram", "motorbikes", "clarinet", "beside")
    for part in ("window", "neighbour next door", "motorbikes"):
        person.open(part)
        asked = "who_is_it" if part.startswith("neighbour") else "what_do_you_call"
        person.say(**{asked: f"{_LONG_NAME} {part}"})
        person.settled()
    person.card("door", what_is_behind="the corridor that leads to the stairs " * 3)
    assert person.page.run(_OUT_OF_PICTURE) == []
    size = "document.querySelector('#picture [data-where=\"room\"] rect')"
    after = f"document.querySelector('.p-waves').compareDocumentPosition({size}) & 4"  # drawn over it
    assert person.page.run(after) == 4


def test_who_is_below_is_drawn_in_the_plan(person: Person) -> None:
    """Whole, clear of the room's size and of the floor's name; a touch on it is one on the floor."""
    person.own("What comes in", "music downstairs")
    person.answers("piano", "below", "above")
    lines = person.page.run("[...document.querySelectorAll('.p-on')].map((one) => one.textContent)")
    assert lines == ["music downstairs", "hears you: neighbour below"]
    assert "hears you: neighbour above" in person.text("picture")
    for size in ("4 x 3 x 2.5 m", "3.4 x 2.2 x 2.4 m"):
        person.touch("document.querySelector('#picture [data-where=\"room\"]')")
        person.page.wait("document.getElementById('card').open", LONG)
        person.say(how_large=size)
        person.settled()
        boxes = person.page.run("""(() => {
          const all = (which) => [...document.querySelectorAll(which)];
          const floor = all(".p-name").filter((one) => one.textContent === "floor");
          return [...all(".p-pill"), ...all(".p-on"), ...floor].map((one) => {
            const at = one.getBoundingClientRect();
            return [at.top, at.bottom];
          });
        })()""")
        assert all(upper[1] <= lower[0] + 4 for upper, lower in itertools.pairwise(boxes)), boxes
    person.page.run("""((at) => document.elementFromPoint(at.left + at.width / 2, at.top + at.height / 2)
        .dispatchEvent(new MouseEvent("click", { bubbles: true })))(
        document.querySelector(".p-on").getBoundingClientRect())""")
    person.page.wait("document.getElementById('card').open", LONG)
    assert person.text("card-title") == "floor"


@pytest.mark.parametrize("width", [390, 1280])
def test_long_names_and_tables_stay_within_the_window(
    browser: Chromium, session: Session, address: str, tmp_path: Path, width: int
) -> None:
    session.put((catalogue.root() / "rooms" / "demo.toml").read_text(encoding="utf-8"))
    session.change(("side", 0), {"name": _LONG_NAME})
    session.change(("noise", 0), {"name": "s" * 150})
    page = _page(browser, address, tmp_path, width=width, height=850)
    page.wait("document.querySelector('[data-change=\"second pane, 100 mm behind\"]') !== null", LONG)
    page.run("document.querySelector('[data-change=\"second pane, 100 mm behind\"]').click()")
    page.wait("document.querySelector('#tried td .d-bad') !== null", LONG)
    assert page.run("document.documentElement.scrollWidth") <= width
    lines = "((one) => one.getClientRects().length)(document.querySelector('#tried td .d-bad'))"
    assert page.run(lines) == 1
    head = "[...document.querySelectorAll('#tried thead th')].find((one) => one.textContent === 'now')"
    assert page.run(f"{head}.clientHeight") < 40  # of one line
    box = "document.querySelector('#pane input').getBoundingClientRect()"
    assert page.run(f"{box}.width") == pytest.approx(page.run(f"{box}.height"))
    page.close()


def test_a_change_that_the_changed_room_has_no_more_is_switched_off(person: Person) -> None:
    del person.session.look_further
    person.answers("single", "tram")
    pane = (
        "[...document.querySelectorAll('[data-change]')].find((one) => one.dataset.change.includes('pane'))"
    )
    person.page.wait(f"!!({pane})", LONG)
    named = person.page.run(f"({pane}).dataset.change")
    person.page.run(f"({pane}).click()")
    person.page.wait("document.getElementById('tried').textContent.includes('softer')", LONG)
    person.card("window", how_large="9 x 9 m")
    person.page.wait("document.getElementById('waiting').textContent === ''", LONG)
    assert named not in [one.name for one in person.session.remedies]
    person.page.wait("document.getElementById('tried').textContent === ''")


def test_markup_in_names_shows_as_text(person: Person) -> None:
    person.answers("single", "tram")
    name = "<img src=x onerror=alert(1)><b>w</b>"
    person.card("window", what_do_you_call=name)
    person.card("trams", what_do_you_call=f"{name} 2")
    person.open(name)
    made = "document.querySelectorAll('main img, dialog img, main b b, #card-title b').length"
    assert person.page.run(made) == 0
    assert person.text("card-title") == name and name in person.text("answer")
    person.touch("document.getElementById('card-close')")
    complaints = [one["entry"]["text"] for one in person.page.happened("Log.entryAdded")]
    assert not complaints and not person.page.happened("Runtime.exceptionThrown")


def test_two_windows_reload_and_undo(browser: Chromium, person: Person, address: str, tmp_path: Path) -> None:
    person.answers("single", "tram")
    first = person.session.standing.text
    other = _page(browser, address, tmp_path, width=390, height=850, phone=True)
    other.wait("!!document.querySelector('#picture [data-where]')", LONG)
    person.card("window", how_tight="airtight, rubber all round")
    told = "document.getElementById('answer')?.textContent"
    other.wait(f"{told} === {json.dumps(person.text('answer'))}", LONG)  # by itself, within seconds
    other.run("document.getElementById('undo').click()")
    other.wait("!document.getElementById('redo').disabled", LONG)
    back = f"{told} === {json.dumps(other.run(told))}"
    person.page.wait(f"{back} && !document.getElementById('redo').disabled", LONG)
    assert person.session.standing.text == first
    person.touch("document.getElementById('redo')")
    person.page.wait("document.getElementById('redo').disabled", LONG)
    changed, seen = person.session.standing.text, person.text("answer")
    assert changed != first
    person.page.run("window.prompt = (asked, usual) => usual; document.getElementById('save').click()")
    person.page.wait("document.getElementById('file').textContent.endsWith(', saved.')", LONG)
    person.page.run("window.wasHere = true")
    person.page.call("Page.reload")
    person.page.wait(f"!window.wasHere && {told} === {json.dumps(seen)}", LONG)
    assert person.session.standing.text == changed
    assert not person.page.run("document.getElementById('undo').disabled")
    other.close()


def test_a_strangers_page_changes_and_learns_nothing(
    browser: Chromium, person: Person, address: str, tmp_path: Path
) -> None:
    person.answers("single", "tram")
    person.card("window", how_tight="airtight, rubber all round")
    before = person.session.standing.text
    stranger = tmp_path / "stranger.html"
    stranger.write_text("<title>another page</title>", encoding="utf-8")
    page = browser.open(stranger, width=400, height=400)
    for mode in ("cors", "no-cors"):
        for kind in ("application/json", "text/plain"):
            how = {"method": "POST", "mode": mode, "body": "{}", "headers": {"Content-Type": kind}}
            page.run(f"fetch({address + 'undo'!r}, {json.dumps(how)}).then(() => 1, () => 0)")
    learnt = page.run(f"fetch({address + 'room'!r}).then((reply) => reply.text(), () => 'nothing')")
    assert learnt == "nothing" and person.session.standing.text == before
    page.close()


def test_before_and_after_at_the_desk(person: Person) -> None:
    person.answers("single", "tram")

    def drop(level: float) -> None:
        """Noise in a loud place, so much weaker in here, and hardly anything without it."""
        person.page.run(f"""(() => {{
          const dropped = new DataTransfer();
          const recorded = [["loud.wav", 0.1], ["quiet.wav", {level}], ["background.wav", 3e-4]];
          for (const [name, level] of recorded) {{
            const count = 12 * 16000, data = new DataView(new ArrayBuffer(44 + 2 * count));
            const text = (at, words) => [...words].forEach((c, i) => data.setUint8(at + i, c.charCodeAt(0)));
            text(0, "RIFF"); data.setUint32(4, 36 + 2 * count, true); text(8, "WAVEfmt ");
            data.setUint32(16, 16, true); data.setUint16(20, 1, true); data.setUint16(22, 1, true);
            data.setUint32(24, 16000, true); data.setUint32(28, 32000, true); data.setUint16(32, 2, true);
            data.setUint16(34, 16, true); text(36, "data"); data.setUint32(40, 2 * count, true);
            for (let i = 0; i < count; i += 1)
              data.setInt16(44 + 2 * i, 32767 * level * 3.46 * (Math.random() - 0.5), true);
            dropped.items.add(new File([data.buffer], name));
          }}
          document.getElementById("drop").dispatchEvent(
            new DragEvent("drop", {{ dataTransfer: dropped, bubbles: true }}));
        }})()""")
        person.touch("document.getElementById('measure')")
        person.page.wait("!document.getElementById('keep').hidden", LONG)

    drop(0.01)
    assert person.page.run("document.getElementById('against-row').hidden")
    person.touch("document.getElementById('keep')")
    person.page.wait("document.getElementById('against').value === 'measured window.json'", LONG)
    person.page.run("takes.length = 0; taken([])")
    drop(0.01 * 10**-0.5)
    assert "better by 10 ±" in person.text("measured") and "measured window.json" in person.text("measured")


def test_recordings_dropped_in_and_a_sheet_to_print(
    browser: Chromium, session: Session, address: str, tmp_path: Path
) -> None:
    session.put((catalogue.root() / "rooms" / "demo.toml").read_text(encoding="utf-8"))
    page = _page(browser, address, tmp_path, width=390, height=850, phone=True)
    page.wait("!!document.querySelector('#picture [data-where]')", LONG)
    # dropped: each is taken for what its name says, and a fault is told where it belongs
    page.run("""(() => {
      const dropped = new DataTransfer();
      for (const name of ["loud out there.wav", "in here <b>.wav", "background.wav", "claps.wav"])
        dropped.items.add(new File(["no sound"], name));
      const event = new DragEvent("drop", { dataTransfer: dropped, bubbles: true });
      document.getElementById("drop").dispatchEvent(event);
      document.getElementById("measure").click();
    })()""")
    roles = page.run("[...document.querySelectorAll('#takes select')].map((one) => one.value)")
    assert roles == ["loud", "quiet", "background", "decay"]
    page.wait("document.querySelector('#measured .bad') !== null", LONG)
    assert "loud out there.wav" in page.run("document.getElementById('measured').textContent")
    assert page.run("document.getElementById('takes').querySelector('b')") is None
    # what is switched on is printed, on paper without the buttons
    page.run("document.querySelector('[data-change=\"solid door with seals\"]').click()")
    page.wait("document.getElementById('brief').textContent !== ''", LONG)
    page.run("document.getElementById('print').click()")
    page.wait("!document.getElementById('sheet').hidden", LONG)
    assert "drop seal" in page.run("document.getElementById('sheet-told').textContent")
    assert page.run("document.documentElement.scrollWidth") <= 390
    page.media(paper=True)
    hidden = "getComputedStyle(document.getElementById('sheet-print').parentElement).display"
    assert page.run(hidden) == "none"
    complaints = [one["entry"]["text"] for one in page.happened("Log.entryAdded")]
    assert all("422" in one for one in complaints) and not page.happened("Runtime.exceptionThrown")
    page.close()
