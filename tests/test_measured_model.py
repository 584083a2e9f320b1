"""A measurement against the prediction: leaks put in come out again, and the corrected room file agrees."""

import json
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from isolate.bands import THIRD_OCTAVES
from isolate.cli import root
from isolate.describe import constructions, rooms
from isolate.describe.rooms import Gap, Option, Room
from isolate.errors import InputError
from isolate.measuring import model
from isolate.measuring import moved as moving
from isolate.measuring.fit import RISE_DB, best_fit
from isolate.measuring.isolation import Measurement, told
from isolate.measuring.measured import Setup
from isolate.measuring.model import compared, slit
from isolate.room import envelope as shell
from isolate.show.blocks import measured_block
from isolate.show.corrected import corrected, corrected_room
from isolate.show.data import to_json
from isolate.standards.field import CLEAR, LIMIT

ROOM = """
# my room
[room]
size = "4 m x 3 m x 2.5 m"
reverberation_time = "0.5 s"
[[side]]   # the street
name = "wall"
faces = "street"
construction = "brick wall 225 mm, plastered"
area = "6 m2"

[[side]]
name = "window"
faces = "street"
construction = "glass 6 mm + 30 mm + laminated 6.4 mm"
area = "1.2 m x 1.4 m"
{gap}
# noises
[[noise]]
source = "tram"
level = "78 dBA"
faces = "street"
"""
GAP = '[[side.gap]]\nwidth = "1 mm"\nlength = "3 m"\ndepth = "40 mm"\n'


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "room.toml"
    file.write_text(ROOM.format(gap=""))
    return file


def measured(room: Room, *, noise_db: float = 0.0, seed: int = 1) -> Measurement:
    """What would be measured 2 m before the facade and in this room, bands off by `noise_db` at random."""
    rng = np.random.default_rng(seed)
    described = shell.of_room(room)
    passed = sum(path.tau_area for path in described.elements("street"))
    difference = -10 * np.log10(passed / described.absorption) + noise_db * rng.standard_normal(27)
    flat = np.zeros(27)
    return told(Measurement(
        setup=Setup(time=0.5, facade=True), names={"loud": ["out.wav"]},
        loud_db=flat, quiet_db=flat - difference, background_db=flat - 150,
        rule=np.full(27, CLEAR), difference_db=difference, time=np.full(27, 0.5),
        time_basis=("stated",) * 27, u_db=np.full(27, 1.0), repeat_db=np.full(27, 0.7), calibrated=False,
        findings=(), notes=(),
    ))  # fmt: skip


def leaking(room: Room, gap: Gap) -> Room:
    sides = tuple(replace(side, gaps=(gap,)) if side.name == "window" else side for side in room.sides)
    return replace(room, sides=sides)


def test_nothing_is_invented_where_the_room_is_as_described(path: Path) -> None:
    room = rooms.load(path)
    answer = compared(measured(room, noise_db=1.0), room)
    assert answer.fit.kind == "as predicted"
    assert answer.agrees > 0.85
    assert answer.sides == ("wall", "window")


@pytest.mark.parametrize(
    ("width", "length"), [(1e-3, 0.5), (1e-3, 3.0), (2e-3, 3.0), (4e-3, 1.0), (8e-3, 0.8)]
)
def test_a_leak_that_was_put_in_is_recovered(path: Path, width: float, length: float) -> None:
    """The open area within a third, and inside the stated limits."""
    room = rooms.load(path)
    answer = compared(measured(leaking(room, Gap(width, length, 0.04))), room)
    assert answer.fit.kind == "leak"
    leak = answer.fit.leak
    assert leak is not None
    assert leak.value == pytest.approx(width * length, rel=0.33)
    assert leak.low < width * length < leak.high


def test_a_leak_too_short_for_a_slit_is_told_as_a_hole(path: Path) -> None:
    """By hand: 14 mm2 are a square of 3.7 mm, and no slit 8 mm wide; 1 mm x 3 m stays a slit."""
    room = rooms.load(path)
    answer = compared(measured(leaking(room, Gap(1e-3, 3.0, 0.04))), room)
    assert answer.fit.leak is not None
    for width, area, thing in ((8e-3, 14e-6, "a hole 3.7 mm square"), (1e-3, 3e-3, "a slit 1 mm wide and")):
        fit = replace(answer.fit, width=width, leak=replace(answer.fit.leak, value=area))
        assert f"such as {thing}" in replace(answer, fit=fit).explanation[0]


def test_the_limits_of_a_leak_cover_it_as_often_as_they_say(path: Path) -> None:
    """12 measurements whose bands are off by 1.5 dB at random: the 90 % limits hold in nearly all (they also
    count the prediction's error, which is not there)."""
    room = rooms.load(path)
    gap = Gap(1e-3, 2.0, 0.04)
    truth = leaking(room, gap)
    covered = 0
    for seed in range(12):
        leak = compared(measured(truth, noise_db=1.5, seed=seed), room).fit.leak
        covered += leak is not None and leak.low < gap.area < leak.high
    assert covered >= 10


@pytest.mark.parametrize("times", [0.3, 2.5])
def test_described_gaps_turn_out_wider_or_narrower(tmp_path: Path, times: float) -> None:
    file = tmp_path / "gap.toml"
    file.write_text(ROOM.format(gap=GAP))
    room = rooms.load(file)
    truth = leaking(room, Gap(times * 1e-3, 3.0, 0.04))
    fit = compared(measured(truth), room).fit
    assert fit.leak is not None and fit.existing
    assert fit.leak.value == pytest.approx(times, rel=0.1)


def test_flanking_is_told_from_a_leak() -> None:
    """A steep wall (12 dB an octave) with a path beside it that gains 6 dB an octave, or one that is flat."""
    octaves = np.log2(THIRD_OCTAVES / 500.0)
    body = 10 ** (-(50 + 12 * octaves) / 10)
    arrays = {"u_db": np.full(27, 1.0), "hidden": np.zeros(27, bool)}
    tau = slit(1e-3, 0.04)
    rest = {"body": body, "leaks": {1e-3: lambda size: 10**size * tau}, "sigma_db": np.full(27, 1.0)}
    around = -10 * np.log10(body + 10 ** (-(48 + RISE_DB * octaves) / 10))
    fit = best_fit(around, **arrays, **rest, existing=False)
    assert fit.kind == "flanking"
    assert fit.flanking_db is not None
    assert fit.flanking_db.value == pytest.approx(48.0, abs=0.5)
    leaky = -10 * np.log10(body + 1e-4 * tau)
    fit = best_fit(leaky, **arrays, **rest, existing=False)
    assert fit.kind == "leak"
    assert fit.leak is not None
    assert fit.leak.value == pytest.approx(1e-4, rel=0.05)


def test_lower_limits_do_not_pull_the_fit_down(path: Path) -> None:
    """Bands hidden by the background lie below the truth; as limits they say nothing against it."""
    room = rooms.load(path)
    true = measured(room)
    hidden = THIRD_OCTAVES > 500
    lower = replace(
        true, difference_db=true.difference_db - 12.0 * hidden, rule=np.where(hidden, LIMIT, CLEAR)
    )
    assert compared(lower, room).fit.kind == "as predicted"


def test_a_dip_is_laid_to_what_resonates_there(path: Path) -> None:
    room = rooms.load(path)
    true = measured(room)
    dip = true.difference_db.copy()
    dip[21] -= 9.0
    dip[[20, 22]] -= 3.0
    hints = compared(replace(true, difference_db=dip), room, through="street").hints
    assert [hint.kind for hint in hints] == ["dip"]
    assert "the coincidence, predicted near" in hints[0].what


@pytest.mark.parametrize(("kind", "told"), [("as predicted", True), ("leak", False)])
def test_a_slope_is_told_only_where_nothing_else_explains_it(path: Path, kind: str, told: bool) -> None:
    """2 dB an octave beside the prediction; a leak takes off treble by itself."""
    room = rooms.load(path)
    plain = compared(measured(room), room, through="street")
    assert plain.fit.kind == "as predicted" and not plain.hints
    sloped = plain.measured_db + 2.0 * np.log2(THIRD_OCTAVES / 500.0)
    tilted = replace(
        plain, measured_db=sloped, u_db=np.full(27, 0.3), sigma_db=np.full(27, 0.3),
        fit=replace(plain.fit, kind=kind),
    )  # fmt: skip
    assert [hint.kind for hint in model._hints(tilted, [])] == (["slope"] if told else [])


def test_a_dip_is_not_laid_to_a_side_that_lets_hardly_anything_through() -> None:
    """The wall's own coincidence lies at 100 to 125 Hz (25 Hz m over 225 mm of brick), but nearly all that
    comes in there comes by the window."""
    room = rooms.load("demo")
    true = measured(room)
    parts = {one.side.name: one.tau_area[6] for one in shell.of_room(room).sides}
    assert parts["street wall"] < 0.25 * parts["window"]
    dip = true.difference_db.copy()
    dip[6] -= 9.0
    dip[[5, 7]] -= 3.0
    (hint,) = compared(replace(true, difference_db=dip), room, through="street").hints
    assert hint.first_hz == 100.0 and "coincidence, predicted" not in hint.what


def test_a_curve_off_as_a_whole_is_said_to_be() -> None:
    """5 dB less in all bands beside a leak: told, as a leak alone would not make it."""
    demo = rooms.load("demo")
    described = shell.of_room(demo)
    paths = [path for path in described.elements("street") if path.kind != "gap"]
    true = measured(demo)
    less = 10.0 * np.log10(
        sum(path.tau_area for path in described.elements("street")) / sum(p.tau_area for p in paths)
    )
    found = compared(replace(true, difference_db=true.difference_db + less - 5.0), demo, through="street")
    assert found.fit.kind == "leak" and found.fit.shift_db < -2.0
    assert "dB less than predicted in all bands alike" in found.explanation[-1]


def test_the_side_is_asked_for_where_there_are_several_words() -> None:
    demo = rooms.load("demo")
    result = measured(demo)
    with pytest.raises(InputError, match="write what the sound went through: street"):
        compared(result, demo)
    with pytest.raises(InputError, match="no such side"):
        compared(result, demo, through="cellar")
    first, *others = demo.sides
    second = next(one for one in others if one.faces != first.faces)
    with pytest.raises(InputError, match="write what the sound went through"):
        compared(result, replace(demo, sides=(first, second)))
    assert compared(result, demo, through="Window").sides == ("window",)


def test_the_corrected_room_agrees_and_the_rest_of_the_file_stays(path: Path, tmp_path: Path) -> None:
    room = rooms.load(path)
    result = measured(leaking(room, Gap(1e-3, 3.0, 0.04)))
    out = tmp_path / "corrected.toml"
    out.write_text(corrected_room(compared(result, str(path)), str(path), out))
    assert compared(result, str(out)).fit.kind == "as predicted"
    new = [line for line in out.read_text().splitlines() if line not in path.read_text().splitlines()]
    assert all(line in out.read_text() for line in path.read_text().splitlines())
    assert "[[side.gap]]" in new
    window = next(side for side in tomllib.loads(out.read_text())["side"] if side["name"] == "window")
    assert len(window["gap"]) == 1


def test_corrected_widths_replace_the_old_ones(tmp_path: Path) -> None:
    file, out = tmp_path / "gap.toml", tmp_path / "corrected.toml"
    file.write_text(ROOM.format(gap=GAP))
    room = rooms.load(file)
    result = measured(leaking(room, Gap(2.5e-3, 3.0, 0.04)))
    out.write_text(corrected_room(compared(result, str(file)), str(file), out))
    gap = next(side for side in rooms.load(out).sides if side.name == "window").gaps[0]
    assert gap.width == pytest.approx(2.5e-3, rel=0.1)


def test_gaps_in_words_are_written_out_with_their_new_width(tmp_path: Path) -> None:
    """The words are kept as comments; what is written instead agrees with the measurement."""
    file, out = tmp_path / "words.toml", tmp_path / "corrected.toml"
    words = 'seal = "partly sealed"  # new\n[[side.gap]]\nplace = "socket"\nseal = "unsealed"\ncount = 2\n'
    file.write_text(ROOM.format(gap=words))
    room = rooms.load(file)
    before = next(side for side in room.sides if side.name == "window").gaps
    wide = tuple(replace(gap, width=3.0 * gap.width, widths=None) for gap in before)
    leaky = replace(room, sides=tuple(replace(s, gaps=wide) if s.name == "window" else s for s in room.sides))
    result = measured(leaky)
    out.write_text(corrected_room(compared(result, str(file)), str(file), out))
    after = next(side for side in rooms.load(out).sides if side.name == "window").gaps
    assert [gap.name for gap in after] == [gap.name for gap in before]
    assert [gap.width for gap in after] == pytest.approx([gap.width for gap in wide], rel=0.05)
    assert [gap.area for gap in after] == pytest.approx([gap.area for gap in wide], rel=0.05)
    assert compared(result, str(out)).fit.kind == "as predicted"
    assert '# seal = "partly sealed"  # new' in out.read_text()


def test_what_goes_round_is_written_as_one_more_side(path: Path, tmp_path: Path) -> None:
    """The file has the level of the room that was measured, to 1 dB, and agrees with the measurement; a
    second time it gets another name."""
    room = rooms.load(path)
    curve = 38.0 + RISE_DB * np.log2(THIRD_OCTAVES / 500.0)
    around = replace(room, sides=(*room.sides, moving._round(curve, room.sides[0], 7.68)))
    result, out = measured(around), tmp_path / "corrected.toml"
    out.write_text(corrected_room(compared(result, str(path)), str(path), out))
    there = rooms.load(out)
    assert all(line in out.read_text() for line in path.read_text().splitlines())
    assert [one.name for one in there.sides] == ["wall", "window", moving.ROUND]
    was, now = (shell.of_room(one).hear(one.noises[0]).dba for one in (around, there))
    assert now == pytest.approx(was, abs=1.0)
    assert compared(result, there).fit.kind == "as predicted"
    worse = corrected(out.read_text(), there, compared(result, room))
    assert f'name = "{moving.ROUND} 2"' in worse


def test_nothing_to_correct_is_said(path: Path, tmp_path: Path) -> None:
    """The measurement is printed all the same."""
    saved, out = tmp_path / "saved.json", tmp_path / "c.toml"
    saved.write_text(to_json(told(measured(rooms.load(path)))))
    asked = ["measure", "--from", str(saved), "--room", str(path), "--corrected", str(out)]
    result = CliRunner().invoke(root, asked, catch_exceptions=False)
    assert result.exit_code == 0 and "D2m,nT,w" in result.stdout
    assert "shows nothing to put" in result.stderr and not out.exists()


def test_the_measured_block_is_a_construction(path: Path, tmp_path: Path) -> None:
    room = rooms.load(path)
    block = tmp_path / "own.toml"
    result = replace(measured(room), setup=Setup(time=0.5, facade=True, volume=30.0, area=7.68))
    block.write_text(measured_block(told(result)))
    built = constructions.load(str(block))
    assert built.measured is not None and built.measured.basis == "own"
    assert result.reduction_db is not None
    assert np.abs(built.measured.tl_db - result.reduction_db).max() < 0.051


def test_a_room_is_moved_to_where_it_was_measured(path: Path, tmp_path: Path) -> None:
    """A leak of 30 cm2 that nobody described, a path round the wall, and nothing: the room told from then on
    has the level of the room that was measured, to 1.5 dB, and says how sure its explanation is."""
    room = rooms.load(path)
    saved = tmp_path / "saved.json"

    def inside(one: Room) -> float:
        described = shell.of_room(one)
        return described.hear(one.noises[0]).dba

    leaky = leaking(room, Gap(1e-3, 3.0, 0.04))
    around = replace(room, sides=(*room.sides, moving._round(38.0 + RISE_DB * np.log2(THIRD_OCTAVES / 500.0),
                                                             room.sides[0], 7.68)))  # fmt: skip
    for truth, kind in ((leaky, "leak"), (around, "flanking"), (room, "as predicted")):
        saved.write_text(to_json(measured(truth)))
        found = moving.moved(str(path), saved)
        assert found.compared.fit.kind == kind
        assert inside(found.room) == pytest.approx(inside(truth), abs=1.5)
        assert dict(found.compared.fit.chances)[kind] > 0.5
        assert found.explained.kind == kind and found.explained.what == found.compared.explanation
    assert inside(leaky) > inside(room) + 5.0 < inside(around)


def test_a_construction_is_moved_too_and_known_better(path: Path, tmp_path: Path) -> None:
    """4 dB less in all bands than predicted and nothing that leaks or goes round: most of it is laid to the
    constructions, which are known better than predicted ones; another window put in is as predicted again."""
    room = rooms.load(path)
    saved, truth = tmp_path / "saved.json", measured(room)
    saved.write_text(to_json(replace(truth, difference_db=truth.difference_db - 4.0)))
    found = moving.moved(str(path), saved)
    assert found.compared.fit.kind == "as predicted" and "in all bands alike" in found.explained.what[0]
    before, after = shell.of_room(room), shell.of_room(found.room)
    louder = after.hear(room.noises[0]).dba - before.hear(room.noises[0]).dba
    assert 2.0 < louder <= 4.0
    old, new = (next(one for one in built.sides if one.side.name == "window") for built in (before, after))
    assert (new.elements[0].sigma_db < old.elements[0].sigma_db).all()
    assert np.median(new.elements[0].sigma_db) < 0.7 * np.median(old.elements[0].sigma_db)
    triple = constructions.load("triple glass 4-12-4-12-4 mm")
    assert Option("new window", "window", triple).on(new.side).found is None
    assert Option("seal", "window", gaps=()).on(new.side).found is new.side.found


def test_what_was_measured_adds_to_what_is_known(path: Path, tmp_path: Path) -> None:
    """Inverse variances add: of the wall's and the window's predictions, and of a measurement to 2 dB, in
    which each has the part that comes through it."""
    room, saved = rooms.load(path), tmp_path / "saved.json"
    saved.write_text(to_json(replace(measured(room), u_db=np.full(27, 2.0))))
    before, after = shell.of_room(room), shell.of_room(moving.moved(str(path), saved).room)
    whole = sum(one.tau_area for one in before.elements("street"))
    for name in ("wall", "window"):
        was, now = (
            next(one for one in built.elements("street") if (one.side, one.kind) == (name, "construction"))
            for built in (before, after)
        )
        inverse = 1.0 / was.sigma_db**2 + was.tau_area / whole / 2.0**2
        assert now.sigma_db == pytest.approx(1.0 / np.sqrt(inverse), rel=0.02)


def test_gaps_of_a_moved_room_are_as_wide_as_was_found(tmp_path: Path) -> None:
    """Described ones so many times as wide, one more where none was; with the limits of what was found."""
    file, saved = tmp_path / "gap.toml", tmp_path / "saved.json"
    for described, times in ((GAP, 2.5), ("", 1.0)):
        file.write_text(ROOM.format(gap=described))
        saved.write_text(to_json(measured(leaking(rooms.load(file), Gap(times * 1e-3, 3.0, 0.04)))))
        found = moving.moved(str(file), saved)
        (gap,) = next(side for side in found.room.sides if side.name == "window").gaps
        leak = found.compared.fit.leak
        assert leak is not None and gap.widths is not None
        assert gap.area == pytest.approx(times * 1e-3 * 3.0, rel=0.33)
        assert gap.widths.low / gap.width == pytest.approx(leak.low / leak.value)
        assert gap.widths.high / gap.width == pytest.approx(leak.high / leak.value)


def test_the_room_told_from_a_measurement(path: Path, tmp_path: Path) -> None:
    saved = tmp_path / "saved.json"
    saved.write_text(to_json(measured(leaking(rooms.load(path), Gap(1e-3, 3.0, 0.04)))))
    asked = ["room", str(path), "--draws", "50", "--json"]
    plain, there = (
        json.loads(CliRunner().invoke(root, [*asked, *more], catch_exceptions=False).stdout)
        for more in ([], ["--measured", str(saved)])
    )
    assert there["noises"][0]["inside_dba"] > plain["noises"][0]["inside_dba"] + 5.0
    assert there["measured"]["explanation"] == "leak" and there["measured"]["sides"] == ["wall", "window"]
    assert sum(there["measured"]["chances"].values()) == pytest.approx(1.0, abs=0.02)
    assert plain["measured"] is None
    told = CliRunner().invoke(root, [*asked[:-1], "--measured", str(saved)], catch_exceptions=False).stdout
    said = " ".join(told.split())
    assert len(told.splitlines()) <= 30 and "Measured" in said and "cm2" in said
    assert "How sure: a leak alone" in said
    alone = CliRunner().invoke(root, ["room", str(path), "--through", "window"])
    assert alone.exit_code == 2 and "--measured" in alone.stderr
