"""The page in a real browser, opened from disk: nothing complains, nothing is asked for, sounds play, sliders
show what was computed, nothing overflows, all can be read, with keys, on paper and without scripts too."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser.chromium import Chromium, Page, program
from pages import SCRIPT, data_of, page

from isolate.show import web
from isolate.show.document import Bar, Bars, Table
from isolate.show.web import STYLE

if program() is None and os.environ.get("CI"):
    pytest.fail("no Chromium: .ci/run installs Debian's chromium-headless-shell", pytrace=False)
pytestmark = pytest.mark.skipif(
    program() is None, reason="no Chromium here; apt-get install chromium-headless-shell"
)

DESKTOP = {"width": 1280, "height": 900, "phone": False}
PHONE = {"width": 390, "height": 844, "phone": True}
SMALL = {"width": 320, "height": 568, "phone": True}
TABLET = {"width": 768, "height": 1024, "phone": True}
SHOWN = {"desktop": DESKTOP, "phone": PHONE}


@pytest.fixture(scope="module")
def browser() -> Iterator[Chromium]:
    one = Chromium()
    yield one
    one.close()


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "siren.html"
    path.write_bytes(page("demo"))
    return path


@pytest.fixture(params=SHOWN)
def shown(request: pytest.FixtureRequest, browser: Chromium, file: Path) -> Iterator[Page]:
    opened = browser.open(file, **SHOWN[request.param])
    yield opened
    opened.close()


@pytest.fixture
def desktop(browser: Chromium, file: Path) -> Iterator[Page]:
    opened = browser.open(file, **DESKTOP)
    yield opened
    opened.close()


def test_nothing_complains_and_nothing_is_asked_for(shown: Page, file: Path) -> None:
    shown.run("for (const one of document.querySelectorAll('button[data-sound]')) one.click()")
    shown.run("for (const one of document.querySelectorAll('details')) one.open = true")
    shown.run("document.getElementById('count').value = 2; dispatchEvent(new Event('beforeprint'))")
    entries = [one["entry"] for one in shown.happened("Log.entryAdded")]
    assert [one["text"] for one in entries] == []
    assert shown.happened("Runtime.exceptionThrown", "Runtime.consoleAPICalled") == []
    asked = {one["request"]["url"] for one in shown.happened("Network.requestWillBeSent")}
    assert {one for one in asked if not one.startswith("data:")} == {file.as_uri()}


DECODED = """
(async () => {
  const found = {};
  for (const audio of document.querySelectorAll('audio')) {
    const text = atob(audio.src.slice(audio.src.indexOf(',') + 1));
    const bytes = Uint8Array.from(text, one => one.charCodeAt(0));
    const sound = await new OfflineAudioContext(1, 1, 24000).decodeAudioData(bytes.buffer);
    const samples = sound.getChannelData(0);
    let square = 0;
    for (const one of samples) square += one * one;
    found[audio.id] = {stated: Number(audio.dataset.seconds), decoded: sound.duration,
      shown: audio.duration, channels: sound.numberOfChannels, level: 10 * Math.log10(square /
      samples.length)};
  }
  return found;
})()
"""


def test_sounds_decode_and_last_as_long_as_they_should(shown: Page) -> None:
    shown.wait("[...document.querySelectorAll('audio')].every(one => one.readyState >= 1)")
    sounds: dict[str, dict[str, float]] = shown.run(DECODED)
    assert len(sounds) >= 5
    for name, one in sounds.items():
        assert one["channels"] == 1, name
        assert one["decoded"] == pytest.approx(one["stated"], abs=0.06), name
        assert one["shown"] == pytest.approx(one["decoded"], abs=0.02), name
        assert -60.0 < one["level"] < -3.0, name
    assert sounds["sound-outside"]["level"] > sounds["sound-now"]["level"]


def _at(shown: Page, name: str) -> float:
    return float(shown.run(f"document.getElementById('{name}').currentTime"))


def test_a_touch_plays_and_another_goes_on_from_the_same_moment(shown: Page) -> None:
    def pressed() -> list[str]:
        found: list[str] = shown.run(
            "[...document.querySelectorAll('.card[aria-pressed=true]')].map(one => one.dataset.sound)"
        )
        return found

    def touch(name: str) -> None:
        shown.run(f"document.querySelector('[data-sound={name}]').click()")

    assert pressed() == []
    touch("sound-now")
    shown.wait("document.getElementById('sound-now').currentTime > 0.4")
    assert pressed() == ["sound-now"]
    before = _at(shown, "sound-now")
    assert shown.run("!document.getElementById('switch').hidden")
    assert shown.run("document.getElementById('switch').getBoundingClientRect().bottom <= innerHeight + 0.5")
    shown.run("document.querySelector('.hop[data-sound=sound-second]').click()")
    assert pressed() == ["sound-second"]
    assert shown.run("document.getElementById('sound-now').paused")
    shown.wait("!document.getElementById('sound-second').paused")
    assert before - 0.05 <= _at(shown, "sound-second") < before + 1.0
    touch("sound-second")
    assert pressed() == []
    assert shown.run("document.getElementById('switch').hidden")
    assert shown.run("[...document.querySelectorAll('audio')].every(one => one.paused)")


def _said(shown: Page) -> dict[str, str]:
    found: dict[str, str] = shown.run(
        "Object.fromEntries(['tried-dba', 'tried-you', 'tried-gain', 'tried-what', 'gap-said', 'count-said']"
        ".map(one => [one, document.getElementById(one).textContent]))"
    )
    return found


def test_sliders_show_what_was_computed(shown: Page) -> None:
    data = data_of(page("demo").decode())
    noises, gaps, counts = len(data["noises"]), len(data["gaps_mm"]), len(data["counts"])
    seen = set()
    for n in range(noises):
        for g in range(gaps):
            for c in (0, g % counts, counts - 1):
                shown.run(
                    f"for (const [id, at] of [['noise', {n}], ['gap', {g}], ['count', {c}]]) {{"
                    "const one = document.getElementById(id); one.value = at;"
                    "one.dispatchEvent(new Event('input', {bubbles: true})); }"
                )
                said = _said(shown)
                level = data["inside_dba"][g][c][n]
                assert said["tried-dba"] == data["shown_dba"][g][c][n]
                assert said["tried-dba"] == "under 0" or abs(float(said["tried-dba"]) - level) <= 0.56
                assert said["tried-you"] == data["you"][data["verdict"][g][c][n]]
                assert said["tried-gain"] == data["said"][g][c][n]
                assert said["gap-said"] == data["gap_words"][g]
                assert said["count-said"] == str(data["counts"][c])
                assert said["tried-what"].startswith(data["noises"][n] + ": ")
                assert f"{data['counts'][c] or 'no'} panel" in said["tried-what"]
                seen.add(shown.run("document.getElementById('c-tried').getAttribute('d')"))
    assert len(seen) > noises * gaps


def test_the_curve_is_drawn_where_the_values_are(desktop: Page) -> None:
    """The level at 1 kHz of the second gap with all panels, read from the path the script drew."""
    data = data_of(page("demo").decode())
    chart, c = data["chart"], len(data["counts"]) - 1
    desktop.run(
        f"for (const [id, at] of [['gap', 2], ['count', {c}]]) {{ const one = document.getElementById(id);"
        "one.value = at; one.dispatchEvent(new Event('input')); }"
    )
    path = desktop.run("document.getElementById('c-tried').getAttribute('d')")
    y = float(path[1:].split("L")[16].split()[1])
    part = (chart["bottom"] - y) / (chart["bottom"] - chart["top"])
    level = chart["low"] + part * (chart["high"] - chart["low"])
    assert level == pytest.approx(data["inside_db"][2][0][16] - data["drop_db"][c][16], abs=0.3)


def test_the_page_reads_the_same_before_its_script_ran(browser: Chromium, file: Path, desktop: Page) -> None:
    """What the template wrote is what the script shows at first."""
    before = browser.open(file, **DESKTOP)
    before.call("Emulation.setScriptExecutionDisabled", value=True)
    before.visit(file.as_uri())
    document = before.call("DOM.getDocument", depth=-1)["root"]["nodeId"]
    for name, said in _said(desktop).items():
        node = before.call("DOM.querySelector", nodeId=document, selector=f"#{name}")["nodeId"]
        written = before.call("DOM.getOuterHTML", nodeId=node)["outerHTML"]
        assert f">{said}<" in written, name
    node = before.call("DOM.querySelector", nodeId=document, selector="#c-tried")["nodeId"]
    drawn = desktop.run("document.getElementById('c-tried').getAttribute('d')")
    written = before.call("DOM.getOuterHTML", nodeId=node)["outerHTML"]
    assert _points(drawn) == pytest.approx(_points(written.partition('d="')[2].partition('"')[0]), abs=0.3)
    node = before.call("DOM.querySelector", nodeId=document, selector="#sound-now")["nodeId"]
    assert before.call("DOM.getBoxModel", nodeId=node)["model"]["height"] > 20  # the browser's own player
    before.close()


def _points(path: str) -> list[float]:
    return [float(one) for point in path[1:].split("L") for one in point.split()]


OVERFLOWING = """
[...document.querySelectorAll('body *')].filter(one => {
  const box = one.getBoundingClientRect();
  if (!box.width || one.closest('.skip, thead') || one.closest('svg svg')) return false;
  return box.right > innerWidth + 0.5 || box.left < -0.5 || (one.scrollWidth > one.clientWidth + 1
    && one.clientWidth && getComputedStyle(one).display !== 'inline' && !one.closest('svg')
    && one.tagName !== 'SELECT');
}).map(one => one.tagName + '.' + (one.className.baseVal ?? one.className) + ' ' + one.textContent.slice(0,
40))
"""


@pytest.mark.parametrize("size", [SMALL, PHONE, TABLET, DESKTOP], ids=["small", "phone", "tablet", "desktop"])
def test_nothing_overflows(browser: Chromium, file: Path, size: dict[str, Any]) -> None:
    opened = browser.open(file, **size)
    opened.run("for (const one of document.querySelectorAll('details')) one.open = true")
    assert opened.run("document.documentElement.scrollWidth") <= size["width"]
    assert opened.run(OVERFLOWING) == []
    opened.close()


CONTRAST = """
(() => {
  const parse = text => (text.match(/[\\d.]+/g) || []).map(Number);
  const light = rgb => {
    const [r, g, b] = rgb.slice(0, 3).map(one => {
      one /= 255;
      return one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = one => {
    for (let up = one; up; up = up.parentElement) {
      const back = parse(getComputedStyle(up).backgroundColor);
      if (back.length === 3 || back[3] > 0.99) return back;
    }
    return [255, 255, 255];
  };
  const found = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const one = walk.currentNode.parentElement;
    if (!walk.currentNode.textContent.trim() || one.closest('script, style, title, desc, .skip')) continue;
    const style = getComputedStyle(one);
    if (style.display === 'none' || !one.getClientRects().length) continue;
    const ink = parse(one.closest('svg') ? style.fill : style.color), back = behind(one);
    const [high, low] = [light(ink), light(back)].sort((a, b) => b - a);
    const size = parseFloat(style.fontSize), large = size >= 24 || (size >= 18.7 && style.fontWeight >= 700);
    found.push([(high + 0.05) / (low + 0.05), large ? 3 : 4.5, walk.currentNode.textContent.trim().slice(0,
    40)]);
  }
  return found;
})()
"""


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_all_text_can_be_read(browser: Chromium, file: Path, dark: bool) -> None:
    """Contrast of WCAG 2.1, 1.4.3: 4.5:1, large text 3:1."""
    opened = browser.open(file, **PHONE, dark=dark)
    opened.run("for (const one of document.querySelectorAll('details')) one.open = true")
    found = opened.run(CONTRAST)
    assert len(found) > 150
    assert [one for one in found if one[0] < one[1]] == []
    paper = opened.run("getComputedStyle(document.body).backgroundColor")
    assert (sum(map(int, paper[4:-1].split(","))) < 200) == dark
    opened.close()


def test_a_telephone_tells_whom_a_table_is_about(browser: Chromium, file: Path) -> None:
    """Rows are cards there; of the head, which stands on each card, only whose table it is is left."""
    opened = browser.open(file, **PHONE)
    seen = opened.run(
        "[...document.querySelectorAll('.d-cards thead th')].filter(one => one.textContent"
        " && one.getBoundingClientRect().left >= 0).map(one => one.textContent)"
    )
    assert {"neighbour next door", "tenant below", "bedroom across the street"} <= set(seen)
    assert not {"outside", "made", "chance"} & set(seen)
    opened.close()


def test_fingers_find_what_they_touch(browser: Chromium, file: Path) -> None:
    """At least 40 CSS pixels high on a telephone, and text no smaller than 11."""
    opened = browser.open(file, **PHONE)
    heights = opened.run(
        "[...document.querySelectorAll('button, input, select')].filter(one => one.getClientRects().length)"
        ".map(one => one.getBoundingClientRect().height)"
    )
    assert len(heights) >= 8
    assert min(heights) >= 40
    scale = opened.run("(one => one.getBoundingClientRect().width / 380)(document.getElementById('curve'))")
    assert 13 * scale >= 11
    opened.close()


def test_keys_reach_and_work_everything(desktop: Page) -> None:
    tab, enter, right = ("Tab", 9), ("Enter", 13), ("ArrowRight", 39)
    reached, outlines = [], []
    for _ in range(11):
        desktop.key(*tab)
        reached.append(desktop.run("(one => one.id || one.dataset.sound || 'skip')(document.activeElement)"))
        outlines.append(desktop.run("getComputedStyle(document.activeElement).outlineStyle"))
    assert reached[0] == "skip"
    assert reached[1:7] == [f"sound-{key}" for key in ("outside", "now", "panels", "cure", "second", "inner")]
    assert {"noise", "gap", "count"} <= set(reached)
    assert set(outlines[1:10]) == {"solid"}
    before = _said(desktop)["count-said"]
    desktop.run("document.getElementById('count').focus()")
    desktop.key(*right)
    assert int(_said(desktop)["count-said"]) > int(before)
    assert desktop.run("document.getElementById('count').getAttribute('aria-valuetext')").endswith(" panels")
    desktop.run("document.querySelector('[data-sound=sound-second]').focus()")
    desktop.call("Input.dispatchKeyEvent", type="keyDown", key=enter[0], code=enter[0], text="\r",
                 windowsVirtualKeyCode=enter[1])  # fmt: skip
    desktop.wait("!document.getElementById('sound-second').paused")


def test_pictures_and_controls_have_names(desktop: Page) -> None:
    """The names a screen reader gets, from the browser's own accessibility tree."""
    nodes = desktop.call("Accessibility.getFullAXTree")["nodes"]
    named: dict[str, list[str]] = {}
    for node in nodes:
        if not node.get("ignored"):
            role = node.get("role", {}).get("value", "")
            named.setdefault(role, []).append(node.get("name", {}).get("value", ""))
    for role in ("button", "slider", "combobox", "img", "image", "heading"):
        assert all(named.get(role, [])), role
    assert len(named["slider"]) == 2
    assert any("you hear it clearly" in name for name in named["button"])
    assert len(named.get("image", []) + named.get("img", [])) >= 1


def test_on_paper_only_what_can_be_read_is_left(desktop: Page) -> None:
    heading = "document.getElementById('try-h').innerText"
    assert desktop.run(heading) == "Try it"
    desktop.media(dark=True, paper=True)
    assert desktop.run(heading) == "What was tried"
    hidden = "one => !one.getClientRects().length || getComputedStyle(one).display === 'none'"
    assert desktop.run(f"[...document.querySelectorAll('audio, input, select, .play')].every({hidden})")
    assert desktop.run("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert desktop.run("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    made = desktop.call("Page.printToPDF", printBackground=False)["data"]
    assert len(made) > 20_000


def test_markup_in_a_room_file_shows_as_text(
    browser: Chromium, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("loft") / "loft.html"
    path.write_bytes(page("hostile", str(path.parent)))
    opened = browser.open(path, **PHONE)
    assert SCRIPT in opened.run("document.body.innerText")
    assert "<marquee>pane</marquee>" in opened.run("document.body.innerText")
    assert opened.run("document.documentElement.dataset.caught") is None
    assert opened.run("document.querySelectorAll('marquee, img, main i, main script').length") == 0
    assert opened.run("document.getElementById('curve-t').textContent").startswith(SCRIPT)
    assert opened.happened("Log.entryAdded", "Runtime.exceptionThrown") == []
    assert opened.run("document.documentElement.scrollWidth") <= PHONE["width"]
    opened.close()


def test_even_a_script_that_got_in_would_not_run(browser: Chromium, tmp_path: Path) -> None:
    """The policy's last word: the page with a foreign script put into it."""
    path = tmp_path / "spoilt.html"
    path.write_bytes(page("demo").replace(b"<main>", b"<main>" + SCRIPT.encode()))
    opened = browser.open(path, **DESKTOP)
    assert opened.run("document.documentElement.dataset.caught") is None
    assert any("Content Security Policy" in one["entry"]["text"] for one in opened.happened("Log.entryAdded"))
    opened.close()


ENDLESS = "drum" * 30  # a name without a place to break
OVER = """
[...document.querySelectorAll('th, td')]
  .filter(one => one.getClientRects().length && one.getBoundingClientRect().left >= 0)
  .map(one => one.getBoundingClientRect().right + one.scrollWidth - one.clientWidth)
"""


@pytest.mark.parametrize("columns", [3, 5])
def test_endless_names_wrap_in_every_cell_of_a_table(browser: Chromium, tmp_path: Path, columns: int) -> None:
    """Tables side by side and as cards, heads too, and bars: nothing reaches past a telephone's edge."""
    table = Table([ENDLESS] * columns, [[ENDLESS] * (columns - 1) + ["12 dB"]], "f" * (columns - 1) + "r")
    bars = Bars([Bar(ENDLESS, 0.5, "12 dBA", more=(ENDLESS,))])
    styles = (STYLE.parent / "page" / "page.css", STYLE)
    style = "".join(one.read_text(encoding="utf-8") for one in styles)
    path = tmp_path / "table.html"
    path.write_text(
        '<!doctype html><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f"<style>{style}</style><main>{web.blocks([table, bars])}</main>",
        encoding="utf-8",
    )
    opened = browser.open(path, **PHONE)
    rights: list[float] = opened.run(OVER)
    assert len(rights) > columns
    assert max(rights) <= PHONE["width"] + 0.5
    assert opened.run("document.documentElement.scrollWidth") <= PHONE["width"]
    opened.close()
