"""The story and its page: sentences that say what the answers say, one file that asks nobody for anything,
every word of the user's shown as text, values to try that are those of the answers."""

from __future__ import annotations

import base64
import hashlib
import io
import re
import wave
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from pages import SCRIPT, data_of, demo, heard, page
from synthetic import put

from isolate.answers.listen.answer import How, inwards, of_contrast
from isolate.answers.story import Story, story
from isolate.cli import root
from isolate.describe import rooms
from isolate.errors import IsolateError
from isolate.measuring.recording import recorded
from isolate.room.audibility import loudness
from isolate.show import said
from isolate.show.layout import Page, tell
from isolate.show.page import drawings as page_drawings
from isolate.show.page import html as pages
from isolate.show.page import sounds as page_sounds
from isolate.show.tell import explain, panels
from isolate.standards import hearing
from isolate.standards.weighting import A_WEIGHTING


@pytest.fixture(scope="module")
def html() -> str:
    return page("demo").decode()


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> str:
    return page("hostile", str(tmp_path_factory.mktemp("loft"))).decode()


class Reader(HTMLParser):
    """Elements with their attributes, and the text outside of script and style."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text, self._silent = "", 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._silent += tag in ("script", "style")

    def handle_endtag(self, tag: str) -> None:
        self._silent -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        self.text += "" if self._silent else data

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


def test_the_file_is_whole_and_small(html: str) -> None:
    assert len(html.encode()) <= 3_000_000
    assert html.startswith("<!doctype html>")
    assert html.rstrip().endswith("</html>")


def test_nothing_is_asked_from_anywhere(html: str) -> None:
    """No address but data and places within the page; no element that fetches; no event handler."""
    found = Reader(html)
    assert any("src" in attributes for _, attributes in found.elements)
    for tag, attributes in found.elements:
        assert tag not in ("iframe", "object", "embed", "base", "img", "form", "import")
        assert not any(name.startswith("on") for name in attributes)
        for name in {"src", "href", "action", "data", "srcset", "poster"} & {*attributes}:
            assert (attributes[name] or "").startswith(("data:", "#")), attributes[name]
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    assert style is not None
    assert "url(" not in style[1] and "@import" not in style[1]
    assert not re.search(r"https?://", re.sub(r'"data:audio[^"]*"', "", html))


def test_the_policy_lets_only_the_pages_own_script_and_style_run(html: str) -> None:
    """The hashes of the policy are those of what stands in the page (Content Security Policy level 3)."""
    policy = next(a["content"] for a in Reader(html).all("meta") if a.get("http-equiv"))
    assert policy is not None
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    for kind, tag in (("script", "script"), ("style", "style")):
        inner = re.findall(rf"<{tag}>(.*?)</{tag}>", html, re.DOTALL)
        assert len(inner) == 1
        digest = base64.b64encode(hashlib.sha256(inner[0].encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy


def test_markup_in_a_room_file_is_text(marked: str) -> None:
    found = Reader(marked)
    assert SCRIPT in found.text
    assert "<marquee>pane</marquee>" in found.text
    assert "<i>voice</i>" in found.text
    assert 'onerror="document' in found.text
    tags = {tag for tag, _ in found.elements}
    assert not tags & {"marquee", "i", "img"}
    assert len(found.all("script")) == 2
    assert data_of(marked)["noises"] == [SCRIPT]


def test_the_sounds_are_files_of_the_right_length(html: str) -> None:
    sounds = Reader(html).all("audio")
    keys = {(one["id"] or "").removeprefix("sound-") for one in sounds}
    assert {"outside", "now", "panels", "second", "inner"} <= keys
    for one in sounds:
        with wave.open(io.BytesIO(base64.b64decode((one["src"] or "").partition(",")[2]))) as file:
            assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, 24_000)
            seconds = file.getnframes() / file.getframerate()
        assert seconds == pytest.approx(float(one["data-seconds"] or 0), abs=1e-9)  # whole tenths
        assert seconds >= page_sounds.SHORTEST


def _samples(html: str, key: str) -> np.ndarray:
    sound = next(one for one in Reader(html).all("audio") if one["id"] == f"sound-{key}")
    with wave.open(io.BytesIO(base64.b64decode((sound["src"] or "").partition(",")[2]))) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2") / 32768.0


def test_the_sounds_differ_as_the_room_does(html: str) -> None:
    """A-weighted, the quiet of the room counted: between now, panels and pane; outside as it says it is
    turned down."""
    from isolate.show.sound import shaping as sound

    def level(key: str) -> float:
        bands = sound.levels(_samples(html, key), 24_000) + A_WEIGHTING
        return float(10 * np.log10(np.sum(10 ** (bands[4:] / 10))))

    now = level("now")
    for key in ("panels", "second"):
        scene = heard().scene(key)
        assert scene is not None and scene.gain_db is not None
        assert now - level(key) == pytest.approx(scene.gain_db, abs=2.5)
    assert level("inner") < level("second") < level("panels") < now
    softer = int(re.search(r"Played (\d+) dB softer", html)[1])  # type: ignore[index]
    difference = heard().made.dba - heard().arriving[0].dba
    assert level("outside") + softer - now == pytest.approx(difference, abs=2.0)
    peaks = {key: 20 * np.log10(np.abs(_samples(html, key)).max()) for key in ("outside", "now", "second")}
    assert max(peaks.values()) == pytest.approx(-1.5, abs=0.3)


def test_what_can_be_tried_is_what_the_answers_say() -> None:
    """The second layer at its own distance, and the panels at their own number."""
    found, said_of = demo().tries, demo().contrast
    second, hung = said_of.second, said_of.panels
    assert second is not None
    built = second.remedy.option.construction
    assert built is not None
    at = found.gaps.index(built.layers[-2].depth)
    assert found.dba[0, 0, 0] == pytest.approx(said_of.now.dba)
    assert found.dba[at, 0, 0] == pytest.approx(said_of.then(second).dba, abs=0.01)
    count = found.counts.index(said_of.plan.count)
    assert found.dba[0, count, 0] == pytest.approx(said_of.then(hung).dba, abs=0.01)
    assert found.margin[0, 0, 0] == pytest.approx(said_of.now.margin)


def test_more_panels_never_make_it_louder_and_never_help_much() -> None:
    found = demo().tries
    assert np.all(np.diff(found.dba, axis=1) < 0.0)
    assert (found.dba[:, 0] - found.dba[:, -1]).max() < 8.0
    assert np.array_equal(found.drop_db[0], np.zeros(27))


def test_levels_and_drops_add() -> None:
    """By hand: the pane's levels less what the panels take off, weighted and summed."""
    found = demo().tries
    level = found.inside_db[2, 1] - found.drop_db[3] + A_WEIGHTING
    assert found.dba[2, 3, 1] == pytest.approx(10 * np.log10(np.sum(10 ** (level / 10))))
    assert found.verdict(2, 3, 1) == hearing.verdict(found.margin[2, 3, 1])


def test_the_page_carries_these_values(html: str) -> None:
    data, found = data_of(html), demo().tries
    assert data["gaps_mm"] == [round(1000 * gap) for gap in found.gaps]
    assert data["counts"] == list(found.counts)
    assert np.allclose(data["inside_dba"], found.dba, atol=0.051)
    assert np.allclose(data["inside_db"], found.inside_db, atol=0.051)
    assert data["verdict"][0][0][0] == found.verdict(0, 0, 0)
    assert data["said"][0][0][0] == "no softer"
    gain = round(found.dba[0, 0, 0]) - round(found.dba[3, 0, 0])
    assert gain > 0
    assert data["said"][3][0][0] == f"{gain} dB softer: {loudness(gain)}"


def test_the_answer_comes_first_and_has_the_numbers(html: str) -> None:
    told, text = demo(), " ".join(Reader(html).text.split())
    found = told.contrast
    assert explain.question(found) in text
    answered = " ".join(explain.short_answer(told))
    for sentence in explain.short_answer(told):
        assert text.index(sentence) < text.index("Hear it")
    assert found.second is not None
    for effect in (found.panels, found.second):
        assert said.softer(found.now, found.then(effect)).removesuffix(" softer") in answered
    assert answered.startswith("Yes") == found.now.is_heard


def test_everything_belongs_on_the_page(html: str) -> None:
    text = " ".join(Reader(html).text.split())
    assert demo().options and demo().now.heard
    for one in demo().options:
        assert one.name in text
    for sound in demo().now.heard:
        assert sound.name in text
    for caution in demo().cautions:
        assert " ".join(caution.text.split()) in text
    for key in ("load", "escape", "air", "linings"):
        assert key in {one.key for one in demo().cautions}


def test_pictures_have_words(html: str) -> None:
    found = Reader(html)
    ids = {attributes.get("id") for _, attributes in found.elements}
    pictures = [one for one in found.all("svg") if "aria-hidden" not in one and "role" in one]
    assert len(pictures) == len(heard().scenes) + 1
    for one in pictures:
        assert one["role"] == "img"
        assert all(name in ids for name in (one["aria-labelledby"] or "").split())
    nested = [one for one in found.all("svg") if "aria-hidden" not in one and "role" not in one]
    assert all("viewbox" in one and "x" in one for one in nested)
    assert found.all("html")[0]["lang"] == "en"
    assert len(found.all("h1")) == 1


def test_no_identifier_is_there_twice(html: str) -> None:
    ids = [a["id"] for _, a in Reader(html).elements if a.get("id")]
    assert len(ids) == len(set(ids))


def test_a_quiet_room_has_nothing_to_stop() -> None:
    from isolate.describe.noises import Level

    built = rooms.load(None)
    quiet = replace(built.noises[0], level=Level(20.0), distance=None)
    told = story(replace(built, noises=(quiet,)), draws=0)
    assert told.contrast.now.verdict == "not audible"
    assert next(explain.short_answer(told)).startswith("No:")


def test_a_window_known_by_its_curve_only_has_no_distance_to_try(tmp_path: Path) -> None:
    path = tmp_path / "cell.toml"
    path.write_text(
        '[room]\nsize = "3 m x 3 m x 2.4 m"\n[[side]]\nname = "hatch"\nfaces = "yard"\n'
        'construction = "filled metal door"\narea = "2 m2"\n'
        '[[noise]]\nsource = "dog"\nlevel = "80 dBA"\nfaces = "yard"\n'
    )
    told = story(str(path), draws=60)
    assert told.tries.leaf == ""
    assert told.tries.gaps == (0.0,)
    text = Reader(pages.render(told, of_contrast(told.contrast), None).decode()).text
    assert "Panels on the walls:" in text
    assert "Second layer" not in text


def test_a_recording_on_the_page_is_cut_to_its_loudest_stretch(tmp_path: Path) -> None:
    """Twenty seconds, loud from 11 s to 14 s: the page has a few of them, the loud ones."""
    loud = np.where((np.arange(20) >= 11) & (np.arange(20) < 14), 1.0, 0.05).repeat(24_000)
    samples = 0.3 * loud * np.random.default_rng(4).standard_normal(loud.size)
    path = put(tmp_path / "long.wav", samples, rate=24_000)
    how = How(recorded=recorded(path), takes=False)
    made = pages.render(demo(), inwards(noise="tram", how=how, draws=0), None)
    assert len(made) <= pages.MOST_BYTES
    outside = _samples(made.decode(), "outside")
    assert outside.size / 24_000 == pytest.approx(page_sounds.LONGEST, abs=0.1)
    second = np.array([np.std(outside[k : k + 12_000]) for k in range(0, outside.size - 12_000, 12_000)])
    assert np.sum(second > 0.5 * second.max()) >= 5


def test_the_page_keeps_within_three_megabytes_whatever_is_written() -> None:
    """A room that says a million characters leaves room for shorter sounds; one that says three is
    refused."""
    made = pages.render(_wordy(1_000_000), heard(), None)
    assert len(made) <= pages.MOST_BYTES
    assert float(Reader(made.decode()).all("audio")[0]["data-seconds"] or 0) < page_sounds.LONGEST
    with pytest.raises(IsolateError, match="3 MB"):
        pages.render(_wordy(3_000_000), heard(), None)


def _wordy(letters: int) -> Story:
    """The demo's story of a room that says so much about itself."""
    told = demo()
    judged = told.judgement
    now = replace(judged.now, room=replace(judged.now.room, about="x" * letters))
    return replace(told, contrast=replace(told.contrast, judgement=replace(judged, now=now)))


def test_drawings_escape_and_bars_stay_within_their_box() -> None:
    drawn = page_drawings.section("now", outside_dba=90.0, inside_dba=50.0, title="<b>", told='"&"')
    assert "<b>" not in drawn
    assert "&lt;b&gt;" in drawn
    for level in (-50.0, 30.0, 100.0):
        bar = page_drawings.level_bar(level, hidden_dba=40.0, most=100.0, key="clear")
        widths = [float(width) for width in re.findall(r' width="([-\d.]+)"', bar)]
        assert widths == [100.0, max(level, 0.0), max(min(level, 40.0), 0.0)]


def test_a_curve_is_drawn_at_its_levels() -> None:
    chart = page_drawings.chart_of([np.full(27, 71.0)])
    assert (chart.low, chart.high) == (0.0, 80.0)
    assert chart.y(80.0) == chart.top
    assert chart.y(-20.0) == chart.bottom
    assert chart.y(40.0) == pytest.approx((chart.top + chart.bottom) / 2)
    first, last = chart.line(np.full(27, 40.0))[1:].split("L")[::26]
    assert float(first.split()[0]) > chart.left
    assert float(last.split()[0]) < chart.right


def run(*arguments: str) -> Result:
    return CliRunner().invoke(root, list(arguments), catch_exceptions=False)


def test_the_command_refuses_before_it_computes(tmp_path: Path) -> None:
    there = tmp_path / "page.html"
    there.write_text("mine")
    assert run("page", "--out", str(there)).exit_code == 2
    assert there.read_text() == "mine"
    assert run("page", "--out", str(tmp_path / "page.pdf")).exit_code == 2
    assert run("page", "no such room", "--out", str(tmp_path / "other.html")).exit_code == 2
    assert sorted(tmp_path.iterdir()) == [there]


def test_the_terminal_tells_the_same_story() -> None:
    text = tell(explain.document(demo()), Page(), full=True)
    assert max(map(len, text.splitlines())) <= 80
    one_line = " ".join(text.split())
    assert explain.question(demo().contrast) in one_line
    for head, paragraph in explain.why(demo().contrast):
        assert head in one_line
        assert paragraph in one_line
    yes, friend = explain.short_answer(demo())
    hung_up = panels.hung_up(demo().contrast)
    assert friend.startswith(hung_up)
    for sentence in (yes, hung_up):
        assert one_line.index(sentence) < one_line.index("Do first")


def test_the_data_of_the_story_hold_those_of_its_answers() -> None:
    told = demo().to_dict()
    assert (told["question"], told["format"]) == ("explain", 2)
    assert [one["name"] for one in told["noises"]] == [one.name for one in demo().now.heard]
    assert {"now", "states", "judgement", "options", "tries", "cautions", "uncertainty"} <= set(told)
    header, rows = demo().to_rows()
    assert len(header) == len(rows[0])
    assert len(rows) == demo().tries.dba.size
