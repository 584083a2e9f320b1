"""`isolate accuracy`: what is compared with what, its figures by hand, its data, text, picture and README."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

import isolate
from isolate.answers.accuracy import answer as accuracy
from isolate.answers.accuracy import specimens
from isolate.answers.accuracy.answer import Accuracy, Aim, Apart, Group
from isolate.answers.accuracy.leave_one_out import LeftOut
from isolate.answers.accuracy.specimens import Specimen, in_bands
from isolate.bands import OCTAVES, THIRD_OCTAVES, index_of, octave_tl
from isolate.cli import root
from isolate.describe import catalogue, constructions
from isolate.describe.measured import Measured
from isolate.errors import InputError, IsolateError
from isolate.physics import calibrated
from isolate.physics.transmission import transmission
from isolate.show import markdown_accuracy
from isolate.show.figures import accuracy as figures_accuracy
from isolate.show.layout import Page, tell
from isolate.show.tell import accuracy as tell_accuracy
from isolate.show.tell.accuracy import AIMS

REPOSITORY = Path(isolate.__file__).parents[1]
SLOPED = 20.0 + np.arange(27.0)


@cache
def everything() -> Accuracy:
    return accuracy.accuracy()


@pytest.mark.parametrize("count", [2, 5])
def test_any_number_of_processes_predicts_the_same(count: int) -> None:
    told: list[int] = []
    shared = accuracy.accuracy(
        "single pane", processes=count, progress=lambda what, done, of: told.append(done)
    )
    one = accuracy.accuracy("single pane")
    assert shared.to_dict() == one.to_dict() and told == [*range(1, len(one.specimens) + 1)]


def made(
    bands_hz: Sequence[float],
    tl_db: Sequence[float],
    *,
    name: str = "glass 4 mm",
    curve: np.ndarray = SLOPED,
    basis: str = "read",
    **stated: Any,
) -> Specimen:
    """A specimen with a made-up measurement and prediction, limits 4 dB either side."""
    measured = Measured("made", basis, np.array(bands_hz, float), np.array(tl_db, float), **stated)
    built = replace(constructions.load(name), measured=measured)
    return Specimen(built, curve, curve - 4.0, curve + 4.0, frozenset())


# --- one specimen -----------------------------------------------------------------------------------


def test_thirds_are_compared_band_by_band() -> None:
    """20 dB at 25 Hz and a decibel a third more: 26, 27 and 28 dB at 100, 125 and 160 Hz."""
    one = made([100, 125, 160], [25.0, 27.0, 33.0])
    assert one.predicted_db.tolist() == [26.0, 27.0, 28.0]
    assert one.error_db.tolist() == [1.0, 0.0, -5.0]
    assert one.statistics.bias_db == pytest.approx(-4.0 / 3.0)


def test_octaves_are_compared_by_the_energy_mean_of_their_thirds() -> None:
    """125 Hz: thirds of 26, 27 and 28 dB let through 10^-2.6, 10^-2.7, 10^-2.8: 26.92 dB in the mean."""
    one = made([125, 250, 500], [30.0, 30.0, 30.0])
    expected = -10 * math.log10((10**-2.6 + 10**-2.7 + 10**-2.8) / 3)
    assert one.predicted_db == pytest.approx([expected, expected + 3.0, expected + 6.0])


def test_whole_octaves_of_third_octave_rows() -> None:
    """100 to 315 Hz hold the octaves 125 and 250 whole; one less each end, one whole."""
    bands = [100, 125, 160, 200, 250, 315]
    frequencies, error = made(bands, SLOPED[6:12] - 2.0).octaves
    assert frequencies.tolist() == [125.0, 250.0] and error == pytest.approx([2.0, 2.0])
    frequencies, error = made(bands[1:5], SLOPED[7:11]).octaves
    assert frequencies.size == 0 and error.size == 0


def test_bands_inside_the_limits_are_counted() -> None:
    one = made([100, 125, 160, 200], [26.0 + 3.9, 27.0 + 4.1, 28.0 - 4.0, 29.0 - 5.0])
    assert one.inside.tolist() == [1.0, 0.0, 1.0, 0.0]


def test_a_single_number_needs_no_bands() -> None:
    """Rw of the sloped curve from ISO 717-1's own rule: 26 to 41 dB from 100 to 3150 Hz. Against the contour
    raised to s at 500 Hz the deficiencies are s - 52 + (7 9 11 13 15 17 19 19 19 19 19 19 18 17 16 15)."""
    room = np.array([7, 9, 11, 13, 15, 17, 19, 19, 19, 19, 19, 19, 18, 17, 16, 15])
    rw = max(s for s in range(60) if np.maximum(room + s - 52, 0).sum() <= 32)
    one = made([], [], rw=40.0, c=-1.0, ctr=-4.0)
    assert [(r.name, r.published, r.predicted) for r in one.rated] == [("Rw", 40.0, float(rw))]
    assert one.error_db.size == 0 and np.isnan(one.statistics.rms_db) and one.octaves[0].size == 0
    assert one.traffic is not None and one.traffic.published == 36.0


def test_no_file_with_a_measurement_is_left_unread() -> None:
    loaded = {name: constructions.load(name) for name in catalogue.names()}
    assert set(catalogue.measured()) == {name for name, one in loaded.items() if one.measured is not None}


def test_a_specimens_own_measurement_has_no_part_in_its_prediction() -> None:
    built = constructions.load("brick wall 115 mm")
    assert built.measured is not None
    lie = replace(built, measured=replace(built.measured, tl_db=np.zeros_like(built.measured.tl_db), stc=1.0))
    first, second = specimens.predict(built), specimens.predict(lie)
    asked = slice(*specimens.wanted(built.measured))
    assert np.isfinite(first.tl_db[asked]).all()
    for name in ("tl_db", "low_db"):
        np.testing.assert_array_equal(getattr(first, name), getattr(second, name))
    assert second.statistics.bias_db > 30.0


@pytest.mark.parametrize(
    ("bands_hz", "named", "wanted"),
    [
        ([100.0, 125.0, 3150.0], {}, (6, 22)),
        ([125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0], {}, (6, 24)),  # thirds of 100 to 5000 Hz
        ([63.0, 125.0, 250.0], {}, (3, 12)),
        ([], {"rw": 40.0}, (6, 22)),
        ([], {"stc": 40.0}, (7, 23)),
        ([50.0, 63.0, 80.0], {"rw": 40.0, "stc": 41.0}, (3, 23)),
    ],
)
def test_only_what_a_measurement_tells_of_is_predicted(
    bands_hz: list[float], named: dict[str, float], wanted: tuple[int, int]
) -> None:
    """Bands counted from 25 Hz: 100 Hz is the seventh. Rw is of 100 to 3150 Hz, STC of 125 to 4000."""
    told = Measured("x", "own", np.array(bands_hz), np.zeros(len(bands_hz)), **named)
    assert specimens.wanted(told) == wanted


def test_of_rows_without_bands_single_numbers_are_counted() -> None:
    """Limits 4 dB either side move Rw by 4: 3 off lies in range, 5 off does not. Bands go before."""
    told = made([], [], rw=1.0).rated[0].predicted
    near, far = (made([], [], rw=told + off) for off in (-3.0, 5.0))
    assert near.rated_inside.tolist() == [1.0] and far.rated_inside.tolist() == [0.0]
    assert Group("made", (near, far)).covered == 0.5
    assert Group("made", (far, made([125], [27.0]))).covered == 1.0


def test_in_bands_of_nothing_is_nothing() -> None:
    assert in_bands(SLOPED, Measured("made", "own", stc=40.0)).shape == (0,)


# --- many -------------------------------------------------------------------------------------------


def few() -> tuple[Specimen, ...]:
    """Errors 1 0 -5 (read), 2 2 2 (memory, doubted), a single number 3 too high."""
    rated = made([], [], stc=1.0).rated[0].predicted
    return (
        made([100, 125, 160], [25.0, 27.0, 33.0]),
        made(
            [1000, 1250, 1600], SLOPED[16:19] - 2.0, basis="memory", doubt="made to be", name="brick 102 mm"
        ),
        made([], [], stc=rated - 3.0, name="brick 102 mm"),
    )


def test_figures_of_a_group_by_hand() -> None:
    """Squares 1 + 0 + 25 + 4 + 4 + 4 over 6; specimens' RMS sqrt(26/3) and 2; 5 of 6 inside 4 dB."""
    group = Group("few", few())
    assert group.bands.rms_db == pytest.approx((38 / 6) ** 0.5)
    assert group.bands.bias_db == pytest.approx(2 / 6)
    assert group.median_rms_db == pytest.approx(((26 / 3) ** 0.5 + 2.0) / 2)
    assert (group.rated.count, group.rated.bias_db) == (1, 3.0)
    assert group.covered == pytest.approx(5 / 6)


def test_groups_part_read_from_memory_and_doubted_from_others() -> None:
    names = {name: len(group.specimens) for name, group in accuracy.grouped(few()).items()}
    assert names == {
        "all": 3,
        "without doubt": 2,
        "with doubt": 1,
        "read": 2,
        "memory": 1,
        "thirds read, panes": 1,
    }


def test_statistics_by_band() -> None:
    found = accuracy.by_band(((one.bands_hz, one.error_db) for one in few()), THIRD_OCTAVES)
    assert (found[index_of(160)].count, found[index_of(160)].bias_db) == (1, -5.0)
    assert found[index_of(1000)].bias_db == 2.0
    assert sum(s.count for s in found) == 6


def test_an_aim_is_missed_on_either_side() -> None:
    assert Aim("bias", -0.9, 1.0).reached and not Aim("bias", -1.1, 1.0).reached
    assert not Aim("nothing to tell", math.nan, 1.0).reached


def test_limits_told_from_the_others_alone() -> None:
    """Three specimens alike but one: the odd one lies outside what the others know, they within."""
    octaves = [125, 250, 500, 1000, 2000, 4000]
    curve = octave_tl(SLOPED)[2:8]
    found = [made(octaves, curve + shift) for shift in (0.1, -0.1, 0.0, 25.0)]
    assert accuracy.covered_by_others(found) == pytest.approx(0.75)
    assert accuracy.covered_by_others([found[3]] * 4) == 1.0


# --- the bundled constructions ----------------------------------------------------------------------


def test_every_row_of_the_calibration_table_is_compared() -> None:
    """tests/published/measured_calibration.csv; one construction carries each row and names it beside it."""
    with (REPOSITORY / "tests/published/measured_calibration.csv").open(encoding="utf-8") as file:
        rows = {row["id"] for row in csv.DictReader(line for line in file if not line.startswith("#"))}
    paths = [catalogue.find(one.name) for one in everything().specimens]
    texts = [path.read_text(encoding="utf-8") for path in paths if path is not None]
    assert rows <= {row for text in texts for row in re.findall(r"^# row (\S+) of tests/", text, flags=re.M)}


def test_every_compared_construction_has_layers_and_only_those_are() -> None:
    found = everything().specimens
    assert all(one.construction.layers for one in found)
    assert "hollow wood door" not in {one.name for one in found}
    assert {one.family for one in found} <= {group.name for group in everything().families}


def test_kinds_and_families_may_be_chosen() -> None:
    windows = accuracy.accuracy("window")
    assert {one.construction.kind for one in windows.specimens} == {"window"}
    panes = accuracy.accuracy("single pane")
    assert {one.family for one in panes.specimens} == {"single pane"}
    with pytest.raises(InputError, match=r"kind: no kind of this name \(got 'glas'\); write one of wall"):
        accuracy.accuracy("glas")
    with pytest.raises(InputError, match="no measured construction of this kind"):
        accuracy.accuracy("door")


def test_every_constant_that_is_read_does_something() -> None:
    """Also guards against a cache that would keep values computed with another constant."""
    found = everything().specimens
    assert any(one.constants for one in found)
    for name in sorted(frozenset().union(*(one.constants for one in found))):
        readers = sorted((one for one in found if name in one.constants), key=lambda one: len(one.constants))
        for one in readers:
            with calibrated.using(**{name: 2.0 * calibrated.CONSTANTS[name].value}):
                if not np.allclose(transmission(one.construction).tl_db, one.tl_db):
                    break
        else:
            pytest.fail(f"{name} is read and changes nothing")


def test_using_other_constants_nests_and_ends() -> None:
    name = next(iter(calibrated.CONSTANTS))
    stated = calibrated.value(name)
    with calibrated.using(**{name: 1.5}):
        with calibrated.using(**{name: 2.5}):
            assert calibrated.value(name) == 2.5
        assert calibrated.value(name) == 1.5
    assert calibrated.value(name) == stated
    with pytest.raises(KeyError), calibrated.using(nonsense=1.0):
        pass


# --- told -------------------------------------------------------------------------------------------


def test_the_data_has_its_keys() -> None:
    data = everything().to_dict()
    assert {"format", "version", "inputs", "aims", "groups", "kinds", "octaves", "thirds", "coverage",
            "leave_one_out", "specimens", "notes"} <= set(data)  # fmt: skip
    assert data["inputs"] == {"kind": None, "leave_one_out": False} and data["leave_one_out"] is None
    assert data["coverage"]["expected"] == 0.9
    one = next(s for s in data["specimens"] if s["name"] == "glass 6 mm")
    assert (
        len(one["bands_hz"]) == len(one["published_db"]) == len(one["predicted_db"]) == len(one["error_db"])
    )
    assert {"kind", "family", "basis", "doubt", "source", "bias_db", "sd_db", "rms_db", "inside"} <= set(one)
    assert [row["band_hz"] for row in data["octaves"]] == OCTAVES.tolist()
    json.dumps(data, allow_nan=False)


def test_the_rows_have_a_line_a_band_and_a_single_number() -> None:
    header, rows = everything().to_rows()
    apart = (one for topic in everything().apart for one in topic.whole.specimens)
    found = (*everything().specimens, *apart)
    bands = sum(one.bands_hz.size for one in found)
    singles = sum(len(one.rated) for one in found)
    assert len(rows) == bands + singles and all(len(row) == len(header) for row in rows)


def test_left_out_adds_its_own_part() -> None:
    found = few()
    better = LeftOut(tuple(replace(one, tl_db=one.tl_db + 1.0) for one in found), ())
    answer = Accuracy(None, found, better)
    data = answer.to_dict()["leave_one_out"]
    assert answer.rise_db == pytest.approx((48 / 6) ** 0.5 - (38 / 6) ** 0.5)  # each error a decibel higher
    assert data["rms_rise_db"] == pytest.approx(answer.rise_db, abs=0.005)
    assert [one["name"] for one in data["specimens"]] == [one.name for one in found]


def test_the_text_fits_eighty_columns_and_names_every_row() -> None:
    text = tell(tell_accuracy.document(everything()), Page(), full=True)
    assert max(map(len, text.splitlines())) <= 80
    words = " ".join(text.split())
    for one in everything().specimens:
        assert all(part in words for part in one.name.split()) and one.measured.doubt[:20] in words
    assert "laboratories themselves differ on one and the same wall" in words


def test_rows_that_are_far_off_are_named_with_what_speaks_against_them() -> None:
    """3 dB over all bands or in a single number; a doubted row is told of among the doubts."""
    near, doubted, rated = few()
    far = made([100, 125, 160], [21.0, 23.0, 34.0])
    worse = made([], [], stc=rated.rated[0].predicted - 3.5, name="brick 102 mm")
    assert [one.far_off for one in (near, doubted, rated, far, worse)] == [False, False, False, True, True]
    said = replace(far.construction, measured=replace(far.measured, remark="made to be far"))
    found = (near, replace(far, construction=said), worse)
    text = " ".join(tell(tell_accuracy.document(Accuracy(None, found)), Page(), full=True).split())
    told = text[text.index("Not doubted") :]
    assert f"{far.name}: made to be far" in told and f"at fault: {worse.name}" in told


def test_what_speaks_against_a_row_apart_is_told_once_for_all_it_holds_for() -> None:
    """Of those far off only; a row that came out well needs no excuse."""
    names = "brick 102 mm", "glass 4 mm"
    far = [made([], [], stc=70.0, name=name, remark="made to be far") for name in names]
    near = made([125], [27.0], name="glass 6 mm", remark="made to be near")
    whole = Group("made", (*far, near))
    apart = Apart("made for this test", whole, ())
    text = " ".join(
        tell(tell_accuracy.document(Accuracy(None, few(), apart=(apart,))), Page(), full=True).split()
    )
    assert text.count("made to be far") == 1 and "made to be near" not in text
    assert f"Of {far[0].name}; {far[1].name}: made to be far." in text


def test_the_first_screen_tells_doubted_rows_and_kinds_without_any() -> None:
    """A reader weighs a share in range by what the rows are worth; where there are none there is no share."""
    near, doubted, rated = few()
    lines = tell(tell_accuracy.document(Accuracy(None, (near, doubted, rated))), Page()).splitlines()
    table = next(i for i, line in enumerate(lines) if "doubted" in line and "in range" in line)
    everything = lines[table + 1].split()
    assert everything[:3] == ["all", "3", str(sum(bool(one.measured.doubt) for one in few()))]
    assert any("clips" in line for line in lines[table:]) and "\N{EN DASH}" in "".join(lines[table:])
    alone = tell(tell_accuracy.document(Accuracy("window", (near,))), Page())
    assert "clips" not in alone


def test_the_text_of_what_is_left_out_fits_too() -> None:
    found = few()
    answer = Accuracy(None, found, LeftOut(found, ()))
    text = tell(tell_accuracy.document(answer), Page(), full=True)
    assert max(map(len, text.splitlines())) <= 80 and "rises by 0.0 dB" in text


def test_the_picture_has_a_small_one_for_each_specimen_with_bands() -> None:
    figure = figures_accuracy.figure(Accuracy(None, few()))
    axes = [ax for ax in figure.axes if ax.get_visible()]
    assert len(axes) == 2 + 2
    small = axes[0]
    assert [line.get_xdata().size for line in small.lines] == [27, 3]
    assert small.lines[1].get_ydata().tolist() == [25.0, 27.0, 33.0]
    single = next(ax for ax in axes if ax.get_xlabel() == "published [dB]")
    points = [line for line in single.lines if line.get_marker() not in (None, "None", "")]
    assert [(p.get_ydata()[0] - p.get_xdata()[0]) for p in points] == [3.0]


def test_every_family_that_was_measured_has_its_place_in_the_picture() -> None:
    """One row of each, with bands and a single number: a colour and a sign of its own."""
    found = {one.family: one for one in everything().specimens if one.bands_hz.size}
    rated = [replace(one, construction=replace(one.construction, measured=replace(one.measured, stc=40.0)))
             for one in found.values()]  # fmt: skip
    assert "cavity masonry" in found
    figure = figures_accuracy.figure(Accuracy(None, tuple(rated)))
    single = next(ax for ax in figure.axes if ax.get_xlabel() == "published [dB]")
    named = [line for line in single.lines if not line.get_label().startswith("_")]
    assert {line.get_label() for line in named} == set(found)
    assert len({(line.get_marker(), line.get_color()) for line in named}) == len(found)


def test_the_picture_of_single_numbers_alone_is_drawn() -> None:
    figure = figures_accuracy.figure(Accuracy(None, few()[2:]))
    assert figures_accuracy.common.rendered(figure, "png").startswith(b"\x89PNG")


def test_the_command_answers_as_text_data_and_table(tmp_path: Path) -> None:
    run = CliRunner().invoke(root, ["accuracy", "--kind", "single pane", "--json"], catch_exceptions=False)
    assert run.exit_code == 0
    assert json.loads(run.stdout)["inputs"]["kind"] == "single pane"
    assert run.stderr == "", "it counts on a terminal only"
    run = CliRunner().invoke(root, ["accuracy", "--kind", "sheet", "--csv"], catch_exceptions=False)
    header = next(csv.reader(io.StringIO(run.stdout)))
    assert header[:2] == ["construction", "kind"] and "published_db" in header
    run = CliRunner().invoke(root, ["accuracy", "--kind", "glas"], catch_exceptions=False)
    assert run.exit_code == 2 and run.stdout == ""


# --- the README -------------------------------------------------------------------------------------


def test_the_block_is_put_between_its_marks_and_read_back() -> None:
    found = few()
    block = markdown_accuracy.block(Accuracy(None, found, LeftOut(found, ())))
    page = f"# Title\n\n{markdown_accuracy.BEGIN}\nstale figures\n{markdown_accuracy.END}\n\nafter\n"
    new = markdown_accuracy.replaced(page, block)
    assert new.startswith("# Title\n\n<!--") and new.endswith("-->\n\nafter\n") and "stale" not in new
    assert markdown_accuracy.replaced(new, block) == new
    cells = markdown_accuracy.cells(new)
    assert cells["all bands, RMS"] == ["2.52", "2.52", "4.5"]
    with pytest.raises(IsolateError, match="no lines"):
        markdown_accuracy.replaced("# Title\n", block)


def number(cell: str) -> float:
    return math.nan if cell == "–" else float(cell.rstrip(" %"))


def test_the_figures_of_the_readme_are_those_of_the_program() -> None:
    """To 0.2 dB and 3 %; `python .ci/refresh_accuracy.py` writes them anew."""
    shown = markdown_accuracy.cells((REPOSITORY / "README.md").read_text(encoding="utf-8"))
    answer = everything()
    for aim in answer.aims:
        assert number(shown[AIMS[aim.name]][0]) == pytest.approx(aim.value, abs=0.2), aim.name
