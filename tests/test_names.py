"""Names out of files are names, whatever is in them: in every output and in every figure."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from fuzzing import asked
from test_fuzz import HUM, QUIET, ROOM, WALL

from isolate.cli import root
from isolate.show.figures import common

# What typesets, pushes, is not in a font, hides, parts, escapes or fills in.
MATHS, LONG, EMOJI = r"\frac{$x^2$", "a" * 120, "\N{PILE OF POO}\N{WINDOW}"
SCRIPTS, HIDDEN, COMMA = "窓 παράθυρο חלון", "_hidden", "line 5, 9: night"
MARKUP, FORMAT, DOLLARS = "<b>&\"'</b>", "%s {0} {{ 7*7 }}", r"a$b$c \$5 $"
NAMES = {
    "A small room": MATHS, "street": DOLLARS, "window": LONG, "wall": MATHS, "next door": EMOJI,
    "door": HIDDEN, "hall": SCRIPTS, "tram": COMMA, "hum": DOLLARS, "clarinet": MARKUP, "flat": FORMAT,
    "pane": EMOJI + DOLLARS,
}  # fmt: skip


def hostile() -> str:
    """The room of the fuzz, every name in it another."""
    text = ROOM.replace("[[own]]\n", '[[own]]\nname = "clarinet"\n')
    for plain, name in NAMES.items():
        written = json.dumps(name, ensure_ascii=False)
        for key in ("title", "name", "faces", "replace", "plays"):
            text = text.replace(f'{key} = "{plain}"', f"{key} = {written}")
        text = text.replace(f'through = ["{plain}"]', f"through = [{written}]")
        text = text.replace("[noise.also]\n" + f'{plain} = "12 dB"', f'[noise.also]\n{written} = "12 dB"')
    return text


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("room.toml").write_text(hostile(), encoding="utf-8")
    wall = WALL.replace("Two boards on studs", r"$a^{b}$ \\frac{1} \U0001F4A9")
    Path("own.toml").write_text(wall, encoding="utf-8")
    Path("x $a$.wav").write_bytes(HUM)
    Path("quiet.wav").write_bytes(QUIET)


def run(*arguments: str) -> str:
    result = CliRunner().invoke(root, list(arguments), catch_exceptions=False)
    assert result.exit_code == 0, result.stderr
    return result.stdout


def test_names_are_in_the_room_as_they_were_written() -> None:
    told = json.loads(run("room", "room.toml", "--draws", "50", "--json"))
    assert [side["name"] for side in told["sides"]][:3] == [LONG, MATHS, HIDDEN]
    assert [noise["name"] for noise in told["noises"]] == [COMMA, DOLLARS]
    assert run("room", "room.toml", "--draws", "50", "--csv").count(COMMA)


@pytest.mark.parametrize(
    "arguments",
    [
        "room room.toml --draws 50", "room room.toml --draws 50 --picture paths", "take room.toml --draws 50",
        "panels room.toml", "fixes room.toml --draws 50", "second-pane room.toml", "room-in-room room.toml",
        "curve own.toml", "compare own.toml own.toml", "catalogue own.toml", "survey SOUND",
        "measure --loud SOUND --quiet quiet.wav",
    ],
)  # fmt: skip
def test_figures_show_any_name_as_it_is(arguments: str) -> None:
    """Nothing typeset, no sign without a shape, no axes pushed off the paper: each would be a warning, which
    is an error here."""
    words = ["x $a$.wav" if word == "SOUND" else word for word in arguments.split()]
    run(*words, "--plot", "x.png", "--out", "told.txt")
    assert Path("x.png").stat().st_size > 10_000


@pytest.mark.parametrize("name", [*NAMES.values(), "$", "$$", r"\$", "$" * 200, "\u200f", "e\u0301"])
def test_a_figures_name_is_the_name_and_no_mathematics(name: str) -> None:
    """What the drawing library makes of it: its own text, read back without its escapes."""
    from matplotlib.text import Text

    for most in (10, 200):
        text = common.named(name, most)
        shown, maths = Text()._preprocess_math(text)
        assert not maths
        assert len(shown) <= most + 1
        whole = len(name) <= most and name.isascii()
        assert not whole or shown.strip() == name.strip()


def test_a_noise_may_be_called_as_what_one_plays() -> None:
    """Somebody next door has a piano too; only one's own can be played at other hours."""
    room = ROOM.replace('name = "tram"', 'name = "clarinet"')
    for command in ("room", "fixes"):
        told = asked(command, "room.toml", "--draws", "50", files={"room.toml": room, "own.toml": WALL})
        assert told.exit_code == 0
