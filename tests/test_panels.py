"""Panels against isolation: what they change, what they do not, and how it is told."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner
from isolate.show.text import panels as text_panels

from isolate import cli
from isolate.answers.panels import panels
from isolate.answers.panels import words as panels_words
from isolate.answers.room import room
from isolate.bands import N_BANDS, index_of
from isolate.describe import constructions, rooms
from isolate.describe.materials import Range, material
from isolate.describe.rooms import Option, Room
from isolate.errors import InputError
from isolate.physics import reverberation, treatment
from isolate.remedies import contrast as states
from isolate.remedies.panels import boundary, of_surfaces
from isolate.show.figures import panels as figures_panels
from isolate.show.layout import Page


@pytest.fixture(scope="module")
def answer():
    return panels()


@pytest.fixture(scope="module")
def dozen():
    return panels(count=12)


# --- what panels change ---------------------------------------------------------------------------------


def test_walls_hung_with_panels_leave_outside_noise_as_it_was(dozen):
    """Common practice, no source: the verdict stands, and what changes is under the 5 dB that programmes of
    sound insulation call the least worth doing; a second pane changes far more."""
    hung, pane, inner = (dozen.state(key) for key in ("panels", "pane", "shell"))
    assert hung.heard.verdict == dozen.now.verdict == "clear"
    assert 0 < hung.gain_db < 5
    assert pane.gain_db > hung.gain_db + 10 and inner.gain_db > pane.gain_db


def test_level_falls_by_ten_lg_of_the_areas_in_each_band(dozen):
    before, after = dozen.areas
    fall = dozen.now.level_db - dozen.state("panels").heard.level_db
    np.testing.assert_allclose(fall, 10 * np.log10(after / before), atol=1e-9)


def test_twice_the_absorption_is_three_decibels():
    """A room whose panels bring as much as it has: A doubles at 1 kHz, the level falls by 3.0 dB."""
    room = rooms.load("demo")
    one = panels(room, count=1)
    band = index_of(1000)
    brought = one.areas[1][band] - one.areas[0][band]
    empty = replace(room, reverberation_time=np.full(N_BANDS, 0.16 * room.volume / brought))
    assert panels(empty, count=1).drop_db[band] == pytest.approx(3.01, abs=0.005)


def test_more_panels_do_more_and_each_less():
    room = rooms.load("demo")
    few, some, many = (panels(room, count=n).state("panels").gain_db for n in (4, 12, 20))
    assert 0 < few < some < many
    assert (many - some) / 8 < (some - few) / 8 < few / 4


def test_neighbours_gain_no_more_than_the_room_does(dozen):
    """Treating the room of the source lowers its level by the same 10 lg; nothing is added on the way."""
    assert {one.neighbour for one in dozen.outwards} == {
        "neighbour next door",
        "tenant below",
        "bedroom across the street",
    }
    for one in dozen.outwards:
        assert dozen.drop_db.min() <= one.drop_db <= dozen.drop_db.max()


def test_reverberation_falls_most_where_panels_absorb(dozen):
    assert np.all(dozen.eyring <= dozen.before) and np.all(dozen.sabine <= dozen.before)
    assert dozen.eyring[index_of(1000)] < 0.6 * dozen.before[index_of(1000)]
    assert dozen.eyring[index_of(31.5)] > 0.95 * dozen.before[index_of(31.5)]
    assert dozen.at_speech["clearness_after_db"] > dozen.at_speech["clearness_before_db"] + 3


def test_fifty_millimetres_of_wool_keep_little_out():
    """Tarnow, JASA 108 (2000) 2243: 140 dB/m at 1 kHz and 30 kg/m3, so 50 mm cost 7 dB inside the wool; what
    is reflected at its faces adds up to 4 dB."""
    wool = replace(
        material("glass wool"), flow_resistivity=Range(15.5e3, 15.5e3, 15.5e3), density=Range(30, 30, 30)
    )
    loss = states.own_loss(wool, thickness=0.05)
    assert 6.5 < loss[index_of(1000)] < 11
    assert loss[index_of(125)] < 5


def test_a_wall_takes_no_more_panels_than_fit():
    found = panels(count=500)
    assert found.plan.asked == 500 and found.plan.count == found.plan.fit < 60
    assert any("500 panels were asked for" in note for note in found.notes)


# --- remedies -------------------------------------------------------------------------------------------


def test_open_rim_limits_a_cover():
    tight = np.array([20.0, 20.0, 20.0, -3.0])
    shares = np.array([0.0, 0.01, 1.0, 0.01])
    found = [float(states.loose_loss(t, open_share=s)) for t, s in zip(tight, shares, strict=True)]
    np.testing.assert_allclose(found, [20.0, -10 * np.log10(0.99 * 0.01 + 0.01), 0.0, -3.0], atol=1e-9)


def test_a_sealed_cover_does_more_than_one_hung_like_a_picture(answer):
    assert answer.state("tight cover").gain_db > answer.state("cover").gain_db > 0


def test_remedies_come_from_the_room_s_own_options(answer):
    """The demo: a second pane for 900 and seals for 60; the panels get the same 900."""
    assert answer.state("pane").cost == 900 and answer.state("seal").cost == 60
    assert answer.plan.cost == answer.plan.count * 60 <= 900


def test_the_cheapest_pane_with_a_price_is_taken():
    room = rooms.load("demo")
    window = room.sides[0]
    panes = [
        option for option in room.options if option.replace == "window" and option.construction is not None
    ]
    two = [replace(panes[0], name="free", cost=None), panes[1], panes[0]]
    assert states.pane_option(replace(room, options=tuple(two)), window) == panes[0]
    assert states.pane_option(replace(room, options=(two[0],)), window).name == "free"
    assert states.pane_option(replace(room, options=()), window) is None


def test_money_buys_panels_and_price_is_its_divisor():
    assert panels(money=500, price=100).plan.count == 5
    assert panels(count=3).plan.cost is None


def test_weakest_side_that_is_no_window_is_named_and_dealt_with():
    booth = panels("voice booth", noise="talk in the bedroom")
    assert booth.now.weakest == "ceiling" and booth.state("option") is not None
    assert "comes by the air hole in the ceiling" in booth.friend


# --- the room by its surfaces ---------------------------------------------------------------------------


def test_surfaces_give_the_library_s_eyring_time():
    """acoustic-toolbox, room.t60_eyring at 500 Hz, where air takes under 2 %."""
    library = pytest.importorskip("acoustic_toolbox.room")
    room = rooms.load("demo")
    stated = [("carpet", 13.0), ("glass", 1.8)]
    areas = np.array([13.0, 1.8, boundary(room) - 14.8])
    at = index_of(500)
    theirs = library.t60_eyring(areas, np.array([0.30, 0.03, 0.06]), room.volume)
    assert of_surfaces(room, stated)[at] == pytest.approx(theirs, rel=0.02)


def test_bare_walls_ring_longer_and_gain_more():
    bare = panels(surfaces=[("plaster", 40.0)], count=8)
    furnished = panels(count=8)
    assert bare.before[16] > furnished.before[16]
    assert bare.state("panels").gain_db > furnished.state("panels").gain_db


# --- telling --------------------------------------------------------------------------------------------


def test_friend_hears_three_numbers(answer):
    assert len(re.findall(r"\d+", answer.friend)) == 3
    for key in ("panels", "pane", "shell"):
        assert f"{round(answer.state(key).gain_db)} dB softer" in answer.friend
    assert "\n" not in answer.friend and len(answer.friend) < 700


def test_friend_of_a_quiet_room_is_told_there_is_nothing_to_stop():
    room = rooms.load("demo")
    hush = replace(room.noises[0], level=replace(room.noises[0].level, value=20.0))
    found = panels(replace(room, noises=(hush,)), count=4)
    assert "nothing to stop" in found.friend


def test_without_a_noise_a_siren_passes():
    room = rooms.load("demo")
    found = panels(replace(room, noises=()), count=4)
    assert found.noise.name == "siren" and found.noise.faces == "street"


def test_small_gains_are_nobody_s(answer):
    hung = answer.state("panels")
    words = [panels_words.heard(replace(hung, gain_db=gain)) for gain in (0.3, 2.2, 3.2)]
    assert words[0] == "and you still hear it clearly"
    assert words[1] == "which nobody notices"
    assert words[2].startswith("just noticeable")
    assert panels_words.softer(replace(hung, gain_db=-2.0)) == "2 dB louder"


def test_text_fits_eighty_columns_and_brief_is_the_paragraph(answer):
    text = text_panels.render(answer, Page())
    assert max(map(len, text.splitlines())) <= 80
    first = "\n".join(text.splitlines()[:24])
    for state in answer.states[1:]:
        assert state.name in first
    brief = text_panels.render(replace(answer, brief=True), Page())
    assert brief.replace("\n", " ").strip() == answer.friend


def test_cautions_of_fibres_linings_and_hanging(answer):
    raised = {caution.key: caution.text for caution in answer.cautions}
    assert {"fibres", "linings", "overhead", "inner room"} <= set(raised)
    assert "wiring" in raised["linings"] and "heaters" in raised["linings"]
    foam = panels(material="open-cell foam", count=4)
    assert "fire" in {caution.key for caution in foam.cautions}


def test_json_and_rows_say_the_same(answer):
    data = json.loads(json.dumps(answer.to_dict(), allow_nan=False))
    assert data["format"] == 1 and data["friend"] == answer.friend
    assert len(data["absorbers"]) == len(answer.kinds) and data["panels"]["cost"] == answer.plan.cost
    header, rows = answer.to_rows()
    assert header == ["quantity", "what", "band_hz", "value"] and len(rows) % N_BANDS == 0
    before = [row[3] for row in rows if row[:2] == ["reverberation_s", "before"]]
    np.testing.assert_allclose(before, data["reverberation"]["before_s"], atol=0.006)


def test_picture_has_a_bar_and_a_verdict_a_state(answer):
    ax = figures_panels.draw_states(answer)
    labels = [label.get_text() for label in ax.get_yticklabels()]
    assert labels[0] == "outside" and "a room within the room" in labels
    texts = [text.get_text() for text in ax.texts]
    assert "you hear it clearly" in texts and any("too soft to hear" in text for text in texts)
    widest = max(bar.get_x() + bar.get_width() for bar in ax.patches)
    assert widest == pytest.approx(answer.now.made_dba)
    assert len(figures_panels.figure(answer).axes) == 3


def test_thicker_boards_reach_lower(answer):
    for column in ("piece", "spaced", "whole"):
        values = [getattr(reach, column) for reach in answer.reaches]
        assert values == sorted(values, reverse=True)
    for reach in answer.reaches:
        assert reach.spaced <= reach.piece <= reach.whole


# --- the command ----------------------------------------------------------------------------------------


def run(*arguments):
    return CliRunner().invoke(cli.root, ["panels", *arguments])


def test_command_for_a_friend():
    result = run("--friend", "--panels", "4")
    assert result.exit_code == 0 and len(result.output.splitlines()) < 12


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--thickness", "50"], "--thickness: a bare number"),
        (["--thickness", "3 m"], "not from 1 mm to 1 m"),
        (["--material", "glass"], "no porous material"),
        (["--noise", "bus"], "it has: ambulance siren"),
        (["--money", "20"], "buys no sane number"),
        (["--money", "inf"], "no number to reckon with"),
        (["--money", "nan"], "no number to reckon with"),
        (["--money", "900", "--panels", "3"], "--money: --panels has said"),
        (["--corner", "--gap", "50 mm"], "--gap: panels across a corner"),
        (["--surface", "carpet=900 m2"], "900.0 m2 in all"),
        (["--surface", "moss=9 m2"], "no surface of this name"),
        (["--surface", "carpet"], "--surface"),
    ],
)
def test_bad_input_is_one_message(arguments, message):
    result = run(*arguments)
    assert result.exit_code == 2 and message in result.output


def test_no_room_for_a_panel():
    room = rooms.load("demo")
    with pytest.raises(InputError, match="no room for a panel"):
        panels(replace(room, size=(0.3, 0.3, 2.0)))


def test_reverberation_as_stated_is_kept():
    room = replace(rooms.load("demo"), reverberation_time=np.full(N_BANDS, 0.7))
    found = panels(room, count=1)
    np.testing.assert_allclose(found.before, 0.7)
    added = found.areas[1] - found.areas[0]
    by_sabine = treatment.sabine_after(0.7, added, volume=room.volume)
    np.testing.assert_allclose(found.sabine, by_sabine)


def test_eyring_by_hand():
    """0.161 V / (-S ln(1 - a) + 4mV), a raised by what a panel brings over the whole boundary."""
    room = replace(rooms.load("demo"), reverberation_time=np.full(N_BANDS, 0.7))
    found = panels(room, count=1)
    at, (length, width, height) = index_of(1000), room.size
    surface = 2 * (length * width + length * height + width * height)
    lost = reverberation.FACTOR * room.volume / np.array([0.7, found.eyring[at]])
    mean = 1 - np.exp(-(lost - 4 * reverberation.air_attenuation(1000.0) * room.volume) / surface)
    added = found.areas[1][at] - found.areas[0][at]
    assert (mean[1] - mean[0]) * surface == pytest.approx(added, rel=1e-3)


def test_a_lining_towards_a_flanked_room_gives_what_the_room_says_of_it() -> None:
    """What goes round the party wall is counted once, as in `isolate room`."""
    demo = rooms.load(None)
    noise = replace(demo.noises[-1], name="talk next door", faces="house next door", also={})
    lined = Option("lined", "party wall", constructions.load("brick wall 225 mm, lined on free studs"))
    built = replace(demo, options=(lined,), noises=(noise,))
    pane = panels(built, noise=noise.name).state("pane")
    assert pane is not None and pane.name == "lined"
    expected = room(built, draws=0).options[0].heard[0].dba
    assert pane.heard.dba == pytest.approx(expected, abs=1e-9)


def _through(construction: str, name: str) -> Room:
    """A room that hears its noise through one side only."""
    demo = rooms.load("demo")
    side = replace(
        demo.sides[0], name=name, construction=constructions.load(construction), area=2.0, size=None, gaps=()
    )
    return replace(demo, sides=(side,), options=(), neighbours=(), own=(), takes=(), noises=demo.noises[:1],
                   flanks=(), flanking={})  # fmt: skip


@pytest.mark.parametrize(
    ("construction", "name", "called", "last"),
    [("glass 4 mm", "window", "a second pane", "laminated glass"),
     ("panel door 35 mm, pine", "door", "a second door", "chipboard"),
     ("brick wall 102 mm, plastered", "party wall", "a free-standing lining", "gypsum board"),
     ("joist floor, chipboard and board, wool", "ceiling", "an independent ceiling", "gypsum board"),
     ("joist floor, chipboard and board, wool", "floor", None, None)],
)  # fmt: skip
def test_a_second_layer_is_what_its_side_can_take(construction, name, called, last):
    """No glass on walls and ceilings, and nothing on a floor."""
    room = _through(construction, name)
    found = panels(room)
    pane = found.state("pane")
    assert (pane and pane.name) == called
    new = states.with_second(room, room.sides[0])
    assert (new and new.construction.layers[-1].material.name) == last
    if called:
        assert pane.gain_db > 5
        assert f"{called[0].upper()}{called[1:]} makes it" in found.friend
        assert ("Glass" in [one.title for one in found.cautions]) == (called == "a second pane")
