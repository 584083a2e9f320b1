"""Panels against isolation: what they change, what they do not, and how it is told."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from click.testing import CliRunner

from isolate import cli
from isolate.answers.panels import PanelsAnswer
from isolate.answers.panels import panels as asked
from isolate.answers.room import room
from isolate.bands import N_BANDS, index_of
from isolate.describe import constructions, rooms
from isolate.describe.materials import Range, material
from isolate.describe.rooms import Option, Room, Side
from isolate.errors import InputError
from isolate.physics import reverberation, surfaces, treatment
from isolate.remedies import panels as hanging
from isolate.remedies.cautions.facts import Facts, Hung
from isolate.remedies.cautions.table import raised as raised_by
from isolate.remedies.contrast import with_noise
from isolate.remedies.panels import boundary, of_surfaces
from isolate.room import scenario
from isolate.show import said
from isolate.show.figures import panels as figures_panels
from isolate.show.layout import Page, tell
from isolate.show.tell import panels as told


def panels(described=None, **how) -> PanelsAnswer:
    """As typical: nothing here hangs on draws."""
    return asked(described, draws=0, **how)


def hung_up(room: Room | None = None, **how) -> tuple[hanging.Plan, np.ndarray, np.ndarray]:
    """Panels alone, without all that helps: the plan, and the room's absorption area before and after."""
    now = scenario.present(room or rooms.load("demo"))
    plan = hanging.planned(now, **how)
    return plan, now.envelope.absorption, now.envelope.absorption + plan.added


@pytest.fixture(scope="module")
def answer() -> PanelsAnswer:
    return panels()


@pytest.fixture(scope="module")
def dozen(answer):
    return answer.contrast


# --- what panels change ---------------------------------------------------------------------------------


def test_walls_hung_with_panels_leave_outside_noise_as_it_was(dozen):
    """Common practice, no source: the verdict stands, and what changes is under the 5 dB that programmes of
    sound insulation call the least worth doing; a second pane changes far more."""
    hung, second, inner = (dozen.gain(dozen.effect(key)) for key in ("panels", "second", "inner"))
    assert dozen.then(dozen.panels).verdict == dozen.now.verdict == "clear"
    assert 0 < hung < 5
    assert second > hung + 10 and inner > second


def test_level_falls_by_ten_lg_of_the_areas_in_each_band(dozen):
    before = dozen.scenario.envelope.absorption
    fall = dozen.now.level_db - dozen.then(dozen.panels).level_db
    np.testing.assert_allclose(fall, 10 * np.log10((before + dozen.plan.added) / before), atol=1e-9)
    np.testing.assert_allclose(dozen.drop_db, fall, atol=1e-9)


def test_twice_the_absorption_is_three_decibels():
    """A room whose panels bring as much as it has: A doubles at 1 kHz, the level falls by 3.0 dB."""
    room = rooms.load("demo")
    band = index_of(1000)
    brought = hung_up(room, count=1)[0].added[band]
    empty = replace(room, reverberation_time=np.full(N_BANDS, 0.16 * room.volume / brought))
    _, before, after = hung_up(empty, count=1)
    assert treatment.level_drop(before, after)[band] == pytest.approx(3.01, abs=0.01)


def test_more_panels_do_more_and_each_less():
    drops = [treatment.level_drop(*hung_up(count=n)[1:])[index_of(1000)] for n in (4, 12, 20)]
    few, some, many = drops
    assert 0 < few < some < many
    assert (many - some) / 8 < (some - few) / 8 < few / 4


def test_neighbours_gain_no_more_than_the_room_does(dozen):
    """Treating the room of the source lowers its level by the same 10 lg; nothing is added on the way."""
    out = [one for one in dozen.scenario.sounds if one.where]
    assert {one.where for one in out} == {
        "neighbour next door",
        "tenant below",
        "bedroom across the street",
    }
    for one in out:
        assert 0 < dozen.panels.gains[one.name] <= dozen.drop_db.max()


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
    loss = hanging.own_loss(wool, thickness=0.05)
    assert 6.5 < loss[index_of(1000)] < 11
    assert loss[index_of(125)] < 5


def test_panels_of_one_plan_by_hand():
    """Eight of 0.6 m x 1.2 m are 5.76 m2, two on each of four walls or two upon each other in four corners;
    a frame has 2 kg, and on a wall they cover the plaster there was."""
    board = material("glass-fibre board")
    plan = hanging.Plan(8, board, 0.05, 0.0, False, 60.0, False, 8, 8)
    piece = 0.72 * 0.05 * board.density.typical + 2.0
    assert plan.area == pytest.approx(5.76) and plan.mass == pytest.approx(8 * piece)
    assert plan.hung.mass == pytest.approx(piece)
    assert plan.absorber.size == pytest.approx((1.2, 1.2))
    corner = replace(plan, corner=True)
    assert corner.absorber.size == pytest.approx((0.6, 2.4))
    assert corner.added == pytest.approx(5.76 * corner.alpha)
    kept = plan.alpha > surfaces.alpha("plaster")
    assert plan.added[kept] == pytest.approx((5.76 * (plan.alpha - surfaces.alpha("plaster")))[kept])


def test_a_sealed_cover_is_as_much_mass_as_it_has_where_both_move_as_one():
    """50 mm of 48 kg/m3 before 10 kg/m2 of glass: 20 lg 1.24 = 1.9 dB far below their resonance, and less
    by the air in the board."""
    pane = Side("window", "street", constructions.load("glass 4 mm"), 1.68, (1.2, 1.4))
    board = material("glass-fibre board")
    most = 20 * np.log10(1 + 0.05 * board.density.typical / 10.0)
    assert 0.0 < hanging.tight_loss(pane, board=board, thickness=0.05)[0] < most


def test_surfaces_of_a_room_by_hand():
    """4 m x 3 m x 2.5 m: 2 (12 + 10 + 7.5) = 59 m2."""
    assert boundary(replace(rooms.load("demo"), size=(4.0, 3.0, 2.5))) == pytest.approx(59.0)


def test_a_wall_takes_no_more_panels_than_fit():
    plan, _, _ = hung_up(count=500)
    assert plan.asked == 500 and plan.count == plan.fit < 60


# --- remedies -------------------------------------------------------------------------------------------


def test_open_rim_limits_a_cover():
    tight = np.array([20.0, 20.0, 20.0, -3.0])
    shares = np.array([0.0, 0.01, 1.0, 0.01])
    found = [float(hanging.loose_loss(t, open_share=s)) for t, s in zip(tight, shares, strict=True)]
    np.testing.assert_allclose(found, [20.0, -10 * np.log10(0.99 * 0.01 + 0.01), 0.0, -3.0], atol=1e-9)


def test_a_sealed_cover_does_more_than_one_hung_like_a_picture(dozen):
    loose, tight = (dozen.gain(dozen.effect(key)) for key in ("cover", "tight cover"))
    assert tight > loose > 0


def test_money_buys_panels_and_price_is_its_divisor():
    plan, _, _ = hung_up(money=500, price=100)
    assert plan.count == 5 and plan.cost.counts.typical == 500 and not plan.cost.invented
    assert hung_up(count=3)[0].cost.invented


def test_money_for_one_panel_and_for_under_a_thousand():
    """60 each, as invented; of a usual dozen 50 mm thick each has a frame of 20 x 50 mm round 3.6 m (500
    kg/m3) and 0.2 kg of cloth."""
    usual, _, _ = hung_up()
    assert (usual.asked, usual.thickness) == (12, 0.05)
    frames = usual.mass - usual.area * 0.05 * usual.board.density.typical
    assert frames / usual.count == pytest.approx(3.6 * 0.02 * 0.05 * 500.0 + 0.2, rel=0.1)
    assert hung_up(money=100.0, price=100.0)[0].count == 1
    assert hung_up(money=99_900.0, price=100.0)[0].asked == 999
    for money in (99.0, 100_000.0):
        with pytest.raises(InputError, match="no sane number"):
            hung_up(money=money, price=100.0)
    assert hung_up(count=1)[0].name == "1 panel on the walls"
    assert hung_up(count=2, corner=True)[0].name == "2 panels across the corners"


def test_walls_take_one_panel_or_none():
    """Four fifths of the walls between openings; 0.72 m2 each (common practice)."""
    bare = replace(rooms.load("demo"), sides=rooms.load("demo").sides[:1])
    for edge, fits in ((0.23, 1), (0.22, 0)):  # 4 x 0.23 x 1.0 m are 0.92 m2, four fifths 0.736
        small = replace(bare, size=(edge, edge, 1.0))
        wall = [side for side in small.sides if side.construction.kind not in ("window", "door")]
        small = replace(small, sides=tuple(wall))
        assert hanging._fit(small, False) == fits
    assert hanging._fit(replace(bare, size=(3.0, 3.0, 2.5)), True) == 8
    assert hanging._fit(replace(bare, size=(3.0, 3.0, 1.0)), True) == 4


def test_a_cover_hung_like_a_picture_is_open_at_its_rim(dozen):
    """25 mm all round: 2 (w + h) 0.025 m2 of it let through what comes, in the treble nothing else does."""
    weak = dozen.weak
    width, height = weak.side.size
    share = 2 * (width + height) * 0.025 / weak.side.area
    loose, tight = (dozen.plan.covers(weak, sealed=sealed) for sealed in (False, True))
    treble = index_of(4000)
    part = (1 - share) * 10 ** (-tight.loss_db[treble] / 10) + share
    assert loose.loss_db[treble] == pytest.approx(-10 * np.log10(part))
    assert loose.mass == tight.mass == pytest.approx(dozen.plan.mass / dozen.plan.area * weak.side.area)
    assert loose.cost.counts.typical == round(60.0 / 0.72 * weak.side.area)


def test_a_room_lined_all_over_leaves_no_plaster():
    room = rooms.load("demo")
    whole = of_surfaces(room, [("carpet", boundary(room))])
    plaster, at = of_surfaces(room, [("carpet", 1.0)]), index_of(4000)
    assert whole[at] < plaster[at] and whole[0] > plaster[0]  # a carpet soaks up treble, plasterboard bass


def test_a_siren_comes_by_the_window_wherever_it_stands_in_the_file():
    room = rooms.load("demo")
    window = next(side for side in room.sides if side.construction.kind == "window")
    others = tuple(side for side in room.sides if side.faces != window.faces)
    assert others
    _, noise = with_noise(replace(room, noises=(), sides=(*others, window)), None)
    assert noise.faces == window.faces


def test_a_cure_that_is_the_second_layer_is_told_once(dozen):
    assert dozen.second is not None
    for cure, keys in ((dozen.second, ["second"]), (dozen.panels, ["cure", "second"])):
        told_of = [key for key, _ in replace(dozen, cure=cure, inner=None, covers=()).effects]
        assert told_of == ["panels", *keys]


def test_the_friend_is_told_of_the_inner_room():
    booth = panels("voice booth", noise="talk in the bedroom").contrast
    assert booth.inner is not None
    assert said.softer(booth.now, booth.then(booth.inner)) in told.friend(booth)


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
    room = rooms.load("demo")
    bare = replace(room, reverberation_time=of_surfaces(room, [("plaster", 40.0)]))
    at = index_of(1000)
    (_, *bared), (_, *furnished) = (hung_up(one, count=8) for one in (bare, room))
    assert bared[0][at] < furnished[0][at]
    assert treatment.level_drop(*bared)[at] > treatment.level_drop(*furnished)[at]


# --- telling --------------------------------------------------------------------------------------------


def test_the_friend_is_told_what_each_does(dozen):
    text = told.friend(dozen)
    for key in ("panels", "second", "inner"):
        assert said.softer(dozen.now, dozen.then(dozen.effect(key))) in text
    assert "\n" not in text and len(text) < 700


def test_without_a_noise_a_siren_passes():
    room, noise = with_noise(replace(rooms.load("demo"), noises=()), None)
    assert noise.name == "siren" and noise.faces == "street" and room.noises == (noise,)


def test_text_fits_eighty_columns_and_names_every_change_at_first(answer, dozen):
    text = tell(told.document(answer), Page(), full=True)
    assert max(map(len, text.splitlines())) <= 80
    first = tell(told.document(answer), Page()).splitlines()
    assert len(first) <= 30
    for key, effect in dozen.effects:
        assert "cover" in key or any(line.startswith(effect.name[:20]) for line in first)


def test_cautions_of_fibres_linings_and_hanging(answer):
    raised = {caution.key: caution.text for caution in answer.cautions}
    assert {"fibres", "linings", "overhead", "load"} <= set(raised)
    assert "wiring" in raised["linings"] and "heaters" in raised["linings"]
    foam, _, _ = hung_up(material="open-cell foam", count=4)
    assert "fire" in {one.key for one in raised_by(Facts(hung=(Hung(foam.board, 1.0),)))}


def test_json_and_rows_say_the_same(answer):
    data = json.loads(json.dumps(answer.to_dict(), allow_nan=False))
    assert data["format"] == 2
    assert len(data["absorbers"]) == len(answer.kinds)
    assert data["panels"]["cost"] == answer.contrast.plan.cost.counts.typical
    header, rows = answer.to_rows()
    assert header == ["quantity", "what", "band_hz", "value"] and len(rows) % N_BANDS == 0
    before = [row[3] for row in rows if row[:2] == ["reverberation_s", "before"]]
    np.testing.assert_allclose(before, data["reverberation"]["before_s"], atol=0.006)


def test_picture_has_a_bar_and_a_verdict_a_state(answer):
    ax = figures_panels.draw_states(answer)
    labels = [label.get_text() for label in ax.get_yticklabels()]
    assert labels[0] == "outside" and any("room within the" in label.replace("\n", " ") for label in labels)
    texts = [text.get_text() for text in ax.texts]
    assert "you hear it clearly" in texts and any("too soft to hear" in text for text in texts)
    widest = max(bar.get_x() + bar.get_width() for bar in ax.patches)
    assert widest == pytest.approx(answer.contrast.now.made_dba)
    assert len(figures_panels.figure(answer).axes) == 3


def test_thicker_boards_reach_lower(answer):
    assert len(answer.reaches) > 1
    for column in ("piece", "spaced", "whole"):
        values = [getattr(reach, column) for reach in answer.reaches]
        assert values == sorted(values, reverse=True)
    for reach in answer.reaches:
        assert reach.spaced <= reach.piece <= reach.whole


# --- the command ----------------------------------------------------------------------------------------


def run(*arguments):
    return CliRunner().invoke(cli.root, ["panels", *arguments])


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
        (["--money", "900", "--panels", "3"], "the count has said how many"),
        (["--corner", "--gap", "50 mm"], "panels across a corner hang off no wall"),
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
        hung_up(replace(room, size=(0.3, 0.3, 2.0)))


def test_reverberation_as_stated_is_kept():
    room = replace(rooms.load("demo"), reverberation_time=np.full(N_BANDS, 0.7))
    found = panels(room, count=1).contrast
    np.testing.assert_allclose(found.before, 0.7)
    by_sabine = treatment.sabine_after(0.7, found.plan.added, volume=room.volume)
    np.testing.assert_allclose(found.sabine, by_sabine)
    _eyring_by_hand(found)


def _eyring_by_hand(found):
    """0.161 V / (-S ln(1 - a) + 4mV), a raised by what a panel brings over the whole boundary."""
    room = found.room
    at, (length, width, height) = index_of(1000), room.size
    surface = 2 * (length * width + length * height + width * height)
    lost = reverberation.FACTOR * room.volume / np.array([0.7, found.eyring[at]])
    mean = 1 - np.exp(-(lost - 4 * reverberation.air_attenuation(1000.0) * room.volume) / surface)
    added = found.plan.added[at]
    assert (mean[1] - mean[0]) * surface == pytest.approx(added, rel=1e-3)


def test_a_lining_towards_a_flanked_room_gives_what_the_room_says_of_it() -> None:
    """What goes round the party wall is counted once, as in `isolate room`."""
    demo = rooms.load(None)
    noise = replace(demo.noises[-1], name="talk next door", faces="house next door", also={})
    lined = Option("lined", "party wall", constructions.load("brick wall 225 mm, lined on free studs"))
    built = replace(demo, options=(lined,), noises=(noise,), own=(), neighbours=())
    found = panels(built, noise=noise.name).contrast
    judged = found.judgement
    (yours,) = [one for one in judged.remedies if one.origin == "yours"]
    expected = room(built, draws=0).options[0].after.heard[0].dba
    assert found.then(judged.effect(judged.chosen_of(yours))).dba == pytest.approx(expected, abs=1e-9)


def _through(construction: str, name: str) -> Room:
    """A room that hears its noise through one side only."""
    demo = rooms.load("demo")
    side = replace(
        demo.sides[0], name=name, construction=constructions.load(construction), area=2.0, size=None, gaps=()
    )
    return replace(demo, sides=(side,), options=(), neighbours=(), own=(), takes=(), noises=demo.noises[:1],
                   flanks=(), flanking={})  # fmt: skip


@pytest.mark.parametrize(
    ("construction", "name", "last"),
    [("glass 4 mm", "window", "glass"),
     ("brick wall 102 mm, plastered", "party wall", "gypsum board")],
)  # fmt: skip
def test_a_second_layer_is_what_its_side_can_take(construction, name, last):
    """No glass on walls."""
    found = panels(_through(construction, name)).contrast
    built = found.second.remedy.option.construction
    assert built.layers[-1].material.name.endswith(last)
    assert found.gain(found.second) > 5


def test_no_second_layer_is_put_on_a_floor():
    assert panels(_through("joist floor, chipboard and board, wool", "floor")).contrast.second is None
