"""The desk in a real browser: a room by touches alone, its picture, a card, a switch, undo and save."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser.chromium import Chromium, Page, program

import isolate
from isolate.describe import catalogue
from isolate.desk import server
from isolate.desk.session import Session

if program() is None and os.environ.get("CI"):
    pytest.fail("no Chromium: .ci/run installs Debian's chromium-headless-shell", pytrace=False)
pytestmark = pytest.mark.skipif(
    program() is None, reason="no Chromium here; apt-get install chromium-headless-shell"
)
LONG = 60.0  # s; several of these may share a slow machine


@pytest.fixture(scope="module")
def browser() -> Iterator[Chromium]:
    one = Chromium()
    yield one
    one.close()


@pytest.fixture
def session(tmp_path: Path) -> Session:
    made = Session(tmp_path, draws=0)
    made.look_further = lambda: None  # type: ignore[method-assign]  # takes long; tested by itself
    return made


@pytest.fixture
def address(session: Session) -> Iterator[str]:
    from waitress.server import create_server

    app = server.app(session, secret="secret")
    listening: Any = create_server(app, host="127.0.0.1", port=0, threads=4)
    app.config["HOSTS"] = (f"127.0.0.1:{listening.effective_port}",)
    thread = threading.Thread(target=listening.run, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{listening.effective_port}/secret/"
    session.later.left.set()
    listening.close()


def _page(browser: Chromium, address: str, tmp_path: Path, **size: Any) -> Page:
    blank = tmp_path / "blank.html"
    blank.write_text("<title>blank</title>", encoding="utf-8")
    page = browser.open(blank, **size)
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
