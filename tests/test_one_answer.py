"""One room, one change, one judgement: the same question gets the same number and advice everywhere."""

from __future__ import annotations

import itertools
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import isolate
from isolate.answers.fixes import FixesAnswer
from isolate.answers.fixes import fixes as answer_fixes
from isolate.answers.room import RoomAnswer
from isolate.answers.room import room as answer_room
from isolate.answers.second_pane.answer import second_pane as answer_second_pane
from isolate.bands import index_of
from isolate.describe import constructions, prices, questions, rooms
from isolate.describe.frames import Frame
from isolate.describe.gaps import round_window
from isolate.describe.layers import Leaf
from isolate.describe.rooms import Gap, Option, Room, Side
from isolate.desk.session import Session
from isolate.physics import leakage, windows
from isolate.physics.stack import build
from isolate.remedies import making, usual
from isolate.remedies.combined import PRESENT, Combined
from isolate.remedies.judgement.judgement import judge
from isolate.remedies.judgement.request import Request
from isolate.remedies.remedy import YOURS, Remedy
from isolate.remedies.second_window.asked import Asked
from isolate.remedies.second_window.panes import second_window
from isolate.remedies.second_window.setting import setting
from isolate.remedies.second_window.sweep import leak_of_seal, past_seals, sweep
from isolate.room import audibility, scenario
from isolate.room.elements import Finder
from isolate.show import tell as tellers
from isolate.show.layout import Page
from isolate.standards import hearing

ROOMS = ("demo", "drum room", "voice booth")
SAME_DB = 0.1


@cache
def told(name: str) -> RoomAnswer:
    return answer_room(name, draws=0)


@cache
def plan(name: str) -> FixesAnswer:
    return answer_fixes(name, draws=0)


def anew(described: Room, option: Option) -> Room:
    """The room as somebody would write it with an option built."""
    sides = tuple(option.on(side) if side.name == option.replace else side for side in described.sides)
    return replace(described, sides=sides, options=())


# --- the same remedy through every command ---


@pytest.mark.parametrize("name", ROOMS)
def test_an_option_gains_in_room_what_it_gains_in_fixes(name: str) -> None:
    judged = plan(name).judgement
    assert told(name).options
    for found in told(name).options:
        yours = [one for one in judged.remedies if (one.name, one.origin) == (found.name, YOURS)]
        left_out = [one for one, _ in judged.aside if one == found.name]  # it takes air away and brings none
        assert len(yours) + len(left_out) == 1
        for same in yours:
            other = judged.effect(judged.chosen_of(same))
            assert other.gains == pytest.approx(found.gains, abs=1e-6)
            assert other.cost == found.cost and other.mass == found.mass


@pytest.mark.parametrize("name", ROOMS)
def test_every_command_that_advises_says_the_same_first_thing(name: str) -> None:
    """`room`, `fixes` and `explain` have one judgement: the same steps, cures and limits of what can be."""
    first = plan(name).judgement
    others = [told(name).judgement, isolate.explain(name, draws=0).judgement]
    for other in others:
        assert other is not None
        assert [step.name for step in other.steps] == [step.name for step in first.steps]
        assert other.plan.cost == first.plan.cost
        assert [one.aim.name for one in other.beyond] == [one.aim.name for one in first.beyond]
        assert {sound: cure and cure.name for sound, cure in first.cures.items()} == {
            sound: cure and cure.name for sound, cure in other.cures.items()
        }
        assert any(first.cures.values())
        for sound, there in ((sound, cure) for sound, cure in other.cures.items() if cure is not None):
            cure = first.cures[sound]
            assert cure is not None and there.gains == pytest.approx(cure.gains, abs=1e-6)


def test_the_second_pane_gains_the_same_in_its_own_answer_and_in_the_room() -> None:
    """The pane `second-pane` proposes, put into the room's file as an option."""
    found = isolate.second_pane(draws=0)
    option = found.pick.effect.remedy.option
    described = rooms.load()
    there = answer_room(replace(described, options=(option,)), draws=0).options[0]
    assert found.heard and found.then
    for one in found.heard:
        assert there.gains[one.name] == pytest.approx(found.pick.effect.gains[one.name], abs=SAME_DB)
    level = answer_room(anew(described, option), draws=0)
    for heard in found.then:
        assert level.now.sound(heard.name).dba == pytest.approx(heard.dba, abs=SAME_DB)


@pytest.mark.parametrize("name", ROOMS)
def test_the_inner_room_is_the_same_in_its_own_answer_and_in_the_plan(name: str) -> None:
    whole = isolate.room_in_room(name, draws=0).whole
    inner = plan(name).judgement.inner_room()
    assert inner is not None
    assert inner.gains == pytest.approx(whole.effect.gains, abs=SAME_DB)
    assert inner.mass == pytest.approx(whole.effect.mass) and inner.cost == whole.cost


def test_panels_are_the_same_to_the_friend_to_the_listener_and_to_the_plan() -> None:
    shown = isolate.panels(count=12, draws=0).contrast
    story = isolate.explain(count=12, draws=0).contrast
    assert [key for key, _ in shown.effects] == [key for key, _ in story.effects]
    for (_, one), (_, other) in zip(shown.effects, story.effects, strict=True):
        assert other.gains == pytest.approx(one.gains, abs=1e-6)


# --- an option equals the room written anew ---


def kinds(described: Room) -> list[Option]:
    """One option of each kind of change for the window and a wall of the bundled room."""
    window = next(side for side in described.sides if side.construction.kind == "window")
    wall = next(side for side in described.sides if side.construction.kind == "wall")
    load = constructions.load
    return [
        Option("other glass", window.name, load("double glass 10-16-8.8 mm acoustic")),
        Option("bricked up", window.name, load("brick wall 225 mm, plastered")),
        Option("a window more", window.name, constructions.inline("glass 4 mm + 100 mm + laminated 6.4 mm")),
        Option("seals", window.name, gaps=()),
        Option("a wider gap", window.name, gaps=(Gap(3e-3, 5.0, 0.05),)),
        Option("other wall", wall.name, load("concrete slab 150 mm")),
        Option("no vents", wall.name, vents=()),
    ]


def test_an_option_equals_the_room_written_anew() -> None:
    described = rooms.load()
    options = kinds(described)
    found = answer_room(replace(described, options=tuple(options)), draws=0).options
    assert [one.name for one in found] == [one.name for one in options]
    for option, effect in zip(options, found, strict=True):
        written = answer_room(anew(described, option), draws=0).now
        for sound in written.sounds:
            assert effect.after.sound(sound.name).dba == pytest.approx(sound.dba, abs=1e-6), option.name


def test_a_wall_in_place_of_a_window_does_not_keep_the_sash_gaps() -> None:
    """Bricked up, what leaked round the sash is gone: at least as good as the wall of that size alone."""
    described = rooms.load()
    window = next(side for side in described.sides if side.construction.kind == "window")
    wall = constructions.load("brick wall 225 mm, plastered")
    bricked = Option("bricked up", window.name, wall).on(window)
    assert window.gaps and not bricked.gaps
    tight = replace(window, construction=wall, gaps=())
    assert bricked.construction == tight.construction


def test_a_second_window_keeps_the_old_sash_and_has_a_joint_of_its_own() -> None:
    window = next(side for side in rooms.load().sides if side.construction.kind == "window")
    pane = constructions.inline("glass 6 mm").layers[0]
    assert isinstance(pane, Leaf)
    option = second_window(window, pane, depth=0.1)
    with_it = option.on(window)
    assert with_it.gaps == window.gaps and with_it.inner_gaps


def test_the_brushes_of_a_sliding_window_stay_when_a_pane_comes_behind_it() -> None:
    """No gap stated: what gets past the seals takes the brushes of the old sashes and the joint of the new
    pane, in the room and in the sweep, whose means over few points leave 0.5 dB."""
    described = rooms.load()
    window = next(side for side in described.sides if side.construction.kind == "window")
    pane = constructions.inline("glass 6 mm").layers[0]
    assert isinstance(pane, Leaf) and window.size is not None
    old = replace(window, frame=Frame(0.08, opens="sliding"), gaps=())
    with_it = second_window(old, pane, depth=0.1, seal="unsealed").on(old)
    found = next(one.tau_area for one in Finder().side(with_it).elements if one.kind == "gap") / old.area
    both = windows.solved(build(with_it.construction, size=window.size))
    seal = leakage.gap(round_window("unsealed", window.size)) / old.area
    brushes = windows.brushes(Frame(0.08, opens="sliding"), size=window.size)
    assert found == pytest.approx(both.past([brushes, seal]), rel=1e-3)
    treble = slice(index_of(1600), None)
    assert np.all(found[treble] > 1.1 * both.past([0.0 * brushes, seal])[treble])

    room = replace(described, sides=tuple(old if x is window else x for x in described.sides))
    place = setting(room, Asked(side=old.name))
    swept = sweep(place, (pane,), np.array([0.1]), seal="unsealed").solved[0].at(0, 0)
    there = past_seals(place, swept, seal=leak_of_seal(place, "unsealed"))
    assert 10 * np.log10(there[:-4]) == pytest.approx(10 * np.log10(found[:-4]), abs=0.5)


@pytest.mark.parametrize("vents", (True, False))
def test_the_pane_proposed_for_a_window_is_the_one_every_plan_has(vents: bool) -> None:
    """Asked about its window or about the whole room: one pane, one distance, one gain, one price."""
    described = rooms.load()
    if not vents:
        described = replace(described, sides=tuple(replace(side, vents=()) for side in described.sides))
    proposed = answer_second_pane(described, draws=0).pick.effect
    judged = judge(scenario.present(described), sampled=scenario.Sampled(described, count=0))
    (at,) = (i for i, one in enumerate(judged.remedies) if one.name == proposed.name)
    same = judged.remedies[at]
    assert (same.price, same.mass) == pytest.approx((proposed.remedy.price, proposed.remedy.mass))
    then = judged.combined.scenario(frozenset({at}))
    for noise, gain in proposed.gains.items():
        left = judged.now.sound(noise).dba - then.sound(noise).dba
        assert left == pytest.approx(gain, abs=SAME_DB), noise


@pytest.mark.parametrize(
    "said", [{"noises": ("tram",)}, {"noises": ("planes",), "plays": ("voice",), "hears": ("across",)}]
)
def test_one_second_pane_is_told_of_a_window(tmp_path: Path, said: dict[str, tuple[str, ...]]) -> None:
    """The plan's is the cure's, the second layer's and the desk's too, though a cheaper one would be noticed;
    the answer about the window alone has that, or names it for a room where the rest is closed."""
    text = questions.written({"glass": "single", "edge": "held", "quiet": "quiet", "walls": "brick", **said})
    path = tmp_path / "room.toml"
    path.write_text(text, encoding="utf-8")
    answer = answer_room(str(path), draws=0)
    judged, worst = answer.judgement, answer.worst
    assert judged is not None and worst is not None
    (mine,) = (judged.remedies[i] for i in judged.plan.chosen if judged.remedies[i].key == "second window")
    (other,) = (one for one in judged.remedies if one.key == "second window" and one is not mine)
    cheaper = judged.effect(judged.chosen_of(other))
    assert other.price < mine.price and audibility.noticed(cheaper.gains[worst.name])
    layer, cure = judged.second_layer("window", worst), judged.cure(worst)
    assert cure is not None and layer is not None
    assert {cure.name, layer.name} == {mine.name} and mine.name in [one.name for one in judged.best]
    alone = answer_second_pane(str(path), draws=0)
    closed = next(one for one in alone.reasons if one.key == "ceiling").values["if_closed"]
    proposed = alone.pick.effect.name
    assert proposed == mine.name or f"second pane, {closed['pane']}, {closed['gap_mm']:g} mm" in mine.name
    session = Session(tmp_path, text=text, draws=0)
    depth = alone.pick.gap if proposed == mine.name else 1e-3 * closed["gap_mm"]
    assert session.second_pane("window", alone.pick.gap).name == proposed
    session.later.answer = answer
    assert session.second_pane("window", depth).name == mine.name


def test_a_window_no_noise_comes_to_gets_the_pane_of_a_usual_street() -> None:
    described = replace(rooms.load(), noises=())
    found = list(usual.usual(scenario.present(described), prices.bundled()))
    assert any(one.key == "second window" for one in found)


# --- what a change must not do ---


@pytest.mark.parametrize("name", ("demo", "drum room"))
def test_a_remedy_never_raises_what_it_does_not_touch(name: str) -> None:
    """A sound none of whose elements is on the side that is changed stays as it is; to a booth within a room
    all sides let in all."""
    described = rooms.load(name)
    now = scenario.present(described)
    tried = list(making.of_options(described, now.envelope, prices.bundled()))
    tried += list(usual.usual(now, prices.bundled()))
    combined = Combined(now, tried)
    faces = {found.side.name: f"flanking ({found.side.faces})" for found in now.envelope.sides}
    apart = [
        (i, sound) for i, one in enumerate(tried) for sound in now.sounds
        if one.side and not one.option.flanks
        and not {one.side, faces.get(one.side)} & {element.side for element in sound.elements}
    ]  # fmt: skip
    assert apart
    for i, sound in apart:
        then = combined.scenario(frozenset({i})).sound(sound.name)
        assert then.dba == pytest.approx(sound.dba, abs=1e-9), (tried[i].name, sound.name)


def _some(remedies: list[Remedy], rng: np.random.Generator, count: int) -> list[frozenset[int]]:
    """Sets of up to four remedies that can be made together."""
    found: list[frozenset[int]] = []
    while len(found) < count:
        chosen = frozenset(rng.choice(len(remedies), rng.integers(2, 5), replace=False).tolist())
        if not any(remedies[i].excludes(remedies[j]) for i, j in itertools.combinations(chosen, 2)):
            found.append(chosen)
    return found


def test_sums_of_parts_are_the_room_computed_whole_for_combined_changes() -> None:
    """The levels the search adds up, against the scenario built whole, for options and own remedies mixed."""
    described = rooms.load()
    now = scenario.present(described)
    tried = list(making.of_options(described, now.envelope, prices.bundled()))
    tried += [one for one in usual.usual(now, prices.bundled()) if not one.parts]
    combined = Combined(now, tried)
    assert now.sounds
    for chosen in _some(tried, np.random.default_rng(11), 8):
        whole = combined.scenario(chosen)
        for sound in now.sounds:
            expected = whole.sound(sound.name).level_db
            np.testing.assert_allclose(combined.level(sound, chosen), expected, atol=1e-9)


def test_the_plan_is_the_cheapest_of_all_that_can_be_tried() -> None:
    """Brute force over every set of the bundled room's own options, each put through the whole room."""
    described = rooms.load()
    now = scenario.present(described)
    asked = Request(target="tram: 40 dBA, talk on the landing: faint", only_mine=True)
    judged = judge(now, asked, sampled=scenario.Sampled(described, count=0))
    remedies = judged.remedies
    combined = Combined(now, remedies)
    best = np.inf
    for count in range(5):
        for some in itertools.combinations(range(len(remedies)), count):
            if any(remedies[i].excludes(remedies[j]) for i, j in itertools.combinations(some, 2)):
                continue
            then = combined.scenario(frozenset(some))
            missed = [
                float(aim.excess(then.sound(aim.sound.name).level_db, aim.sound.background_db))
                for aim in judged.aims
            ]
            if max(missed) <= 1e-6:
                best = min(best, sum(remedies[i].price for i in some))
    assert np.isfinite(best) and judged.last.met
    assert judged.plan.cost == pytest.approx(best)
    assert judged.stage(PRESENT).met is False


# --- one word for what is heard, one rule for what is noticed ---


@pytest.mark.parametrize(
    ("margin", "chance", "word"),
    [(-3.0, 0.2, "not audible"), (-3.0, 0.34, "may be heard"), (0.5, 0.55, "faint"), (7.0, 0.9, "audible"),
     (12.0, 0.99, "clear")],
)  # fmt: skip
def test_the_word_goes_by_margin_and_chance(margin: float, chance: float, word: str) -> None:
    assert audibility.verdict(margin, chance) == word
    assert word in (audibility.MAYBE, hearing.verdict(margin))


@pytest.mark.parametrize(("gain", "heard"), [(2.4, False), (2.5, True), (3.4, True)])
def test_three_whole_decibels_are_noticed(gain: float, heard: bool) -> None:
    """3 dB is just noticed (published practice), as the number is told: to the whole dB."""
    assert audibility.noticed(gain) is heard


@pytest.mark.parametrize("name", ROOMS)
def test_no_advice_that_nobody_notices(name: str) -> None:
    judged = plan(name).judgement
    assert any(judged.cures.values()) and judged.best and judged.steps
    for cure in judged.cures.values():
        assert cure is None or cure.noticed, cure.name
    for one in judged.best:
        assert judged.chooser.noticed(PRESENT, judged.chosen_of(one.remedy)), one.name
    for step in judged.steps:
        assert judged.chooser.noticed(step.before.chosen, step.after.chosen), step.name


@pytest.mark.parametrize("name", ROOMS)
def test_levels_and_gains_of_a_sentence_subtract(name: str) -> None:
    """What is told as so many dB softer is the difference of the two levels as they are told."""
    from isolate.show import said

    assert any(found.changed for found in told(name).options)
    for found in told(name).options:
        for old, new in found.changed:
            assert said.drop(old, new) == round(old.dba) - round(new.dba)


def test_a_side_by_area_is_the_same_in_words() -> None:
    """A side has one Rw, whichever answer names it."""
    answer = told("demo")
    sides = {one["name"]: one["rw"] for one in answer.to_dict()["sides"]}
    assert answer.envelope.sides
    for found in answer.envelope.sides:
        assert sides[found.side.name] == found.rw
        assert isinstance(found.side, Side)


def test_neighbours_whom_no_plan_is_for_are_not_passed_over_in_silence(tmp_path: Path) -> None:
    """They hear a clarinet, state no limit, and the trams rule the plan: what would help them is told, and
    how to plan for them; who states a limit is planned for, and nothing more is said."""
    plain = questions.written({"noises": ("tram",), "plays": ("clarinet",), "hears": ("below",)})
    stated = plain.replace('name = "neighbour below"', 'name = "neighbour below"\nlimit = "25 dBA"')
    told = []
    for text in (plain, stated):
        path = tmp_path / "room.toml"
        path.write_text(text)
        told.append(tellers.text("room", answer_room(str(path), draws=0), Page(), full=False))
    assert "Neighbours" in told[0] and "whole room within the room" in told[0].split("Neighbours")[1]
    assert '--target "neighbours: not audible"' in told[0]
    assert "Neighbours" not in told[1] and "--target" not in told[1]
    path.write_text(plain)
    asked = {target: Request(target=target) for target in (None, "not audible")}
    plans = {
        target: tellers.text("fixes", answer_fixes(str(path), one, draws=0), Page(), full=False)
        for target, one in asked.items()
    }
    assert "whole room within the room" in " ".join(plans[None].split("Neighbours")[1].split())
    offered = '--target "neighbours: not audible"'  # where nobody said what is wanted
    assert offered in plans[None] and offered not in plans["not audible"]
    assert "Neighbours" not in plans["not audible"]


def test_a_room_nobody_hears_says_what_to_add_and_plans_nothing(tmp_path: Path) -> None:
    path = tmp_path / "room.toml"
    path.write_text(questions.written({"noises": (), "plays": ("clarinet",), "hears": ()}))
    told = tellers.text("room", answer_room(str(path), draws=50), Page(), full=False)
    assert "Nothing yet  no noise comes in and nobody hears you" in told
    assert "Find out first" not in told and "isolate fixes" not in told
