"""The text: tables that fit, words for numbers, encodings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isolate.answers.catalogue import Listing, entry, listing
from isolate.describe import catalogue, rooms
from isolate.describe.words import hertz
from isolate.errors import InputError
from isolate.room import scenario
from isolate.room.audibility import MAYBE
from isolate.room.chances import Drawn
from isolate.show import document, layout, said
from isolate.show.document import Paragraph
from isolate.show.layout import Cell, Page, printable
from isolate.show.tell import catalogue as tell_catalogue


@pytest.mark.parametrize("width", [40, 60, 80])
def test_a_table_wraps_in_its_flexible_columns_and_loses_nothing(width: int) -> None:
    name = "a name that is far too long for a narrow terminal to hold"
    rows = [[name, "12", "clearly quieter than before"], ["short", "3", "faint"]]
    lines = Page(width).table(["", "dB", "to the ear"], rows, align="frf").splitlines()
    assert max(map(len, lines)) <= width
    assert set(" ".join(lines).split()) >= {*name.split(), "clearly", "quieter", "than", "before"}
    assert lines[-1].split() == ["short", "3", "faint"]
    assert sum("12" in line for line in lines) == 1
    assert len({line.index("dB") for line in lines[:1]} | {lines[-1].index("3") - 1}) == 1


def test_what_may_well_be_heard_is_not_told_as_unheard() -> None:
    """Two noises far below hearing as computed, heard in 53 and in 10 of a hundred draws."""
    now = scenario.present(rooms.load())
    heard = tuple(
        replace(
            one,
            level_db=np.full(27, -50.0),
            drawn=Drawn(np.zeros(100), np.where(np.arange(100) < count, 1.0, -1.0)),
        )
        for one, count in zip(now.heard, (53, 10), strict=False)
    )
    maybe, not_heard = said.who_hears_what(replace(now, heard=heard, neighbours=()))
    assert isinstance(maybe, Paragraph) and isinstance(not_heard, Paragraph)
    assert heard[0].verdict == MAYBE
    assert (maybe.label, maybe.text) == ("You may hear", f"{heard[0].name}, 53 %")
    assert (not_heard.label, not_heard.text) == ("You do not hear", heard[1].name)


def test_ink_does_not_move_anything() -> None:
    rows = [[Cell("siren", "bad"), Cell("12", "good")]]
    plain, inked = (Page(40, colour).table(["name", "dB"], rows, align="lr") for colour in (False, True))
    assert "\x1b[1;31msiren\x1b[0m" in inked
    for code in ("\x1b[1;31m", "\x1b[32m", "\x1b[2m", "\x1b[0m"):
        inked = inked.replace(code, "")
    assert inked == plain


def test_wrapped_text_hangs_behind_its_label() -> None:
    lines = Page(30).wrapped("one two three four five six seven eight", label="Label", margin=8).splitlines()
    assert lines[0].startswith("Label   one")
    assert all(line.startswith(" " * 8) for line in lines[1:])
    assert max(map(len, lines)) <= 30


def test_a_label_too_long_for_its_margin_stands_above() -> None:
    lines = Page(width=40).wrapped("by the window", label="clarinet at bedroom:", margin=12).splitlines()
    assert lines == ["clarinet at bedroom:", "            by the window"]


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0 %"), (0.001, "< 1 %"), (0.37, "37 %"), (0.991, "> 99 %"), (0.99999, "> 99 %"), (1.0, "100 %")],
)
def test_percent_never_promises_what_is_not_certain(value: float, text: str) -> None:
    assert document.percent(value) == text


@pytest.mark.parametrize(("value", "text"), [(-0.4, "0"), (12.6, "13"), (-12.6, "-13"), (float("-inf"), "–")])
def test_decibels_are_whole_and_zero_has_no_sign(value: float, text: str) -> None:
    assert document.decibels(value) == text


@pytest.mark.parametrize(("value", "text"), [(76.9, "76.9 Hz"), (210.0, "210 Hz"), (2991.0, "2.99 kHz")])
def test_frequencies(value: float, text: str) -> None:
    assert hertz(value) == text


def test_signs_are_spelt_where_the_encoding_lacks_them() -> None:
    assert printable("5 – 95 % → █ é ü", "ascii") == "5 - 95 % > # e ?"
    assert printable("5 – 95 %", "utf-8") == "5 – 95 %"


def test_the_list_holds_every_bundled_thing_and_each_has_an_entry() -> None:
    found = listing()
    assert isinstance(found, Listing)
    names = {line.name for line in found.lines}
    assert names >= {
        *catalogue.names(),
        *catalogue.names("noises"),
        *catalogue.names("rooms"),
        "glass",
        "brick",
    }
    for line in found.lines:
        told = layout.tell(tell_catalogue.document(entry(line.name)), Page())
        assert told.splitlines()[0] == line.name
        assert max(map(len, told.splitlines())) <= 80 or len(line.name) > 60


def test_an_unknown_name_is_told_with_the_closest() -> None:
    with pytest.raises(InputError, match='did you mean "siren"'):
        entry("sirene")


@pytest.mark.parametrize(
    ("noise", "told"), [("bus", "the bus"), ("buses", "buses"), ("tram", "the tram"), ("brass", "the brass")]
)
def test_one_noise_has_its_article_and_several_none(noise: str, told: str) -> None:
    assert said.the(noise) == told
