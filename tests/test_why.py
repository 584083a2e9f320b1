"""`isolate curve --why`: the parts add up, say what physics says, and changes do what they are said to do."""

from __future__ import annotations

import csv
import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from isolate.answers.curve import variations, why
from isolate.answers.curve.answer import Curve, curve
from isolate.bands import OCTAVES, THIRD_OCTAVES, index_of, octave_tl
from isolate.cli import root
from isolate.describe import catalogue, constructions, layers, words
from isolate.describe.constructions import Construction
from isolate.describe.layers import Cavity, Leaf
from isolate.errors import InputError
from isolate.physics.leaves import mass_law
from isolate.physics.transmission import transmission
from isolate.show.figures import curve as figures_curve
from isolate.show.layout import Page, tell
from isolate.show.tell import curve as tell_curve
from isolate.standards import ratings

PUBLISHED = Path(__file__).parent / "published"
STUDS = "wood stud wall 2x4 16 in, 50 mm wool"
WINDOW = "glass 4 mm + 100 mm + laminated 6.4 mm"
SPACED = "double glass 4-12-4 mm"
BRICK = "brick wall 225 mm, plastered"
BOARD = "gypsum board 12.7 mm"


@cache
def explained(name: str) -> Curve:
    return curve(name, why=True)


def whyof(name: str) -> why.Why:
    found = explained(name).why
    assert found is not None
    return found


def feature(name: str, kind: str) -> why.Feature:
    return next(one for one in whyof(name).features if one.kind == kind)


def gain(name: str, text: str) -> why.Variation:
    (found,) = [one for one in whyof(name).variations if text in one.text]
    return found


def at(hz: float) -> int:
    return OCTAVES.tolist().index(hz)


# --- the parts --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [STUDS, WINDOW, SPACED, BRICK, BOARD])
def test_the_parts_add_up_to_the_curve_in_thirds_and_octaves(name: str) -> None:
    parts = whyof(name).parts
    assert parts.total_db == pytest.approx(explained(name).tl_db)
    assert parts.octaves().total_db == pytest.approx(octave_tl(explained(name).tl_db))


@pytest.mark.parametrize("name", [STUDS, WINDOW, SPACED, BRICK, BOARD])
def test_the_shares_of_the_paths_are_the_whole(name: str) -> None:
    assert sum(whyof(name).shares.values()) == pytest.approx(np.ones(OCTAVES.size))


def test_a_limp_sheet_is_mass_law_and_nothing_else() -> None:
    found = whyof("loaded vinyl 4.9 kg per m2")
    assert set(found.rules) == {"mass"}
    for part in (found.parts.cavities_db, found.parts.bending_db, found.parts.framing_db):
        assert part == pytest.approx(np.zeros(27), abs=0.01)


def test_the_mass_of_the_limp_sheet_is_that_of_all_leaves() -> None:
    """From 500 Hz to 2 kHz within 1.5 dB of the field-incidence mass law, 20 lg(m f) - 47 where it is large
    (Crocker and Arenas, Engineering Acoustics, 2021, chapter 12); below that the window is small against the
    wavelength and radiates less, above it grazing sound, which that law leaves out, counts."""
    heavy = sum(words.leaf_mass(x) for x in constructions.load(WINDOW).layers if isinstance(x, Leaf))
    bands = slice(index_of(500), index_of(2000) + 1)
    law = mass_law(THIRD_OCTAVES, surface_mass=heavy)
    assert whyof(WINDOW).parts.mass_db[bands] == pytest.approx(law[bands], abs=1.5)


def test_a_board_follows_its_weight_up_to_an_octave_below_coincidence() -> None:
    """12.7 mm gypsum board, coincidence near 2.5 to 3 kHz (Long, table 9.1)."""
    rules = whyof(BOARD).rules
    assert rules[at(63) : at(1000) + 1] == ("mass",) * 5
    assert rules[at(4000)] == "bend"


def test_nothing_holds_leaves_that_are_held_by_nothing() -> None:
    name = "gypsum board 12.5 mm + 200 mm + gypsum board 12.5 mm"
    assert whyof(name).parts.framing_db == pytest.approx(np.zeros(27), abs=1e-9)
    assert whyof(name).shares["framing"] == pytest.approx(np.zeros(9), abs=1e-9)


def test_studs_carry_the_sound_past_a_filled_cavity() -> None:
    """Rigid timber: the cavity's gain at 1 kHz is mostly lost again, and framing is named."""
    parts = whyof(STUDS).parts.octaves()
    assert parts.cavities_db[at(1000)] > 15.0 and parts.framing_db[at(1000)] < -8.0
    assert whyof(STUDS).paths[at(1000)] == "framing" and whyof(STUDS).rules[at(500)] == "frame"
    assert "framing (wood stud)" in feature(STUDS, "framing").text


# --- what shows -------------------------------------------------------------------------------------


def test_resonance_of_two_panes_is_where_the_handbook_has_it() -> None:
    """f0 = 60 sqrt((m1 + m2)/(m1 m2 d)) (Raichel, eq. 12.23): 4 and 6.4 mm glass 100 mm apart, 10 and
    15.9 kg/m2: 76.6 Hz. The leaves do worse than their mass there."""
    found = feature(WINDOW, "resonance")
    assert found.low_hz == pytest.approx(60 * math.sqrt((10 + 15.9) / (10 * 15.9 * 0.1)), rel=0.02)
    assert found.effect_db < -3.0 and "below mass law" in found.text


@pytest.mark.parametrize("thickness", [4.0, 6.0, 10.0])
def test_coincidence_of_glass_is_where_it_is_published(thickness: float) -> None:
    """fc h of glass, Hopkins (2007) table A2 and Long table 9.1, 10 % of scatter; the dip is within a third
    octave above it, where diffuse sound first finds it."""
    with (PUBLISHED / "critical_frequency.csv").open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        products = [float(row["fc_h_m_hz"]) for row in rows if row["material"] == "glass"]
    hz = np.array(products) / (thickness * 1e-3)
    found = feature(f"glass {thickness:g} mm", "coincidence")
    assert 0.9 * hz.min() < found.low_hz < 1.1 * hz.max()
    assert found.effect_db < -2.0


def test_no_coincidence_is_told_of_a_limp_leaf() -> None:
    assert {one.kind for one in whyof("loaded vinyl 4.9 kg per m2").features} == {"mass law"}


def test_deepest_dip_by_hand() -> None:
    """A line of 2 dB a third with 7 dB taken out of one band."""
    curve_db = 2.0 * np.arange(27.0)
    curve_db[13] -= 7.0
    assert why.deepest(curve_db, np.array([12, 13, 14])) == (7.0, float(THIRD_OCTAVES[13]))


def test_runs_by_hand() -> None:
    assert why.runs([]) == [] and why.runs([True]) == [(0, 0)]
    assert why.runs([False, True, True, False, True]) == [(1, 2), (4, 4)]


# --- what would move it -----------------------------------------------------------------------------


def test_a_thicker_pane_gains_what_the_thicker_pane_stops() -> None:
    """Against two curves asked for by themselves."""
    found = gain("glass 6 mm", "10 mm in place of")
    thin, thick = (constructions.load(f"glass {t} mm") for t in (6, 10))
    thick = replace(thick, size=thin.size)
    first, second = transmission(thin, size=thin.size).tl_db, transmission(thick, size=thin.size).tl_db
    assert found.gain_db == pytest.approx(octave_tl(second) - octave_tl(first))
    assert found.rw_gain == ratings.rw(second) - ratings.rw(first)


def test_softer_links_and_filling_help_where_physics_says() -> None:
    """Channels for studs raise mid frequencies; wool in an empty cavity does most where nothing ties."""
    assert gain(STUDS, "resilient channel for wood stud").gain_db[at(500)] > 3.0
    free = "gypsum board 12.5 mm + 100 mm + gypsum board 12.5 mm"
    empty = "wood stud wall 2x4 16 in, empty"
    assert gain(free, "filled with glass wool").rw_gain > gain(empty, "filled with glass wool").rw_gain


def test_a_wider_gap_lowers_the_resonance_and_helps_above_it() -> None:
    found = gain(WINDOW, "150 mm deep")
    assert found.gain_db[at(125)] > 1.0 and found.rw_gain > 0


def test_a_crack_never_helps_and_hurts_most_at_high_frequency() -> None:
    found = gain(WINDOW, "crack")
    assert np.all(found.gain_db <= 0.05) and found.gain_db[at(4000)] < found.gain_db[at(250)] - 5.0


def test_variations_come_best_first_with_the_crack_last() -> None:
    found = whyof(STUDS).variations
    assert [one.rw_gain for one in found[:-1]] == sorted((one.rw_gain for one in found[:-1]), reverse=True)
    assert "crack" in found[-1].text


@pytest.mark.parametrize("name", catalogue.names())
def test_every_variation_can_be_built_and_is_named_once(name: str) -> None:
    built = constructions.load(name)
    found = variations.of(built)
    texts = [text for text, _ in found]
    assert len(texts) == len(set(texts)), texts
    for text, other in found:
        assert layers.stack_faults(other.layers) == [], text
        assert other.layers != built.layers and other.measured is None, text


def test_what_is_mirrored_is_changed_on_one_side_only() -> None:
    texts = [text for text, _ in variations.of(constructions.load("triple glass 4-12-4-12-4 mm"))]
    assert sum("cavity" in text for text in texts) == 1
    assert any("on the listener's side" in text for text in texts)
    assert not any("on the noisy side" in text for text in texts)


def test_untied_and_limp_take_only_that_away() -> None:
    built = constructions.load(STUDS)
    free = variations.untied(built)
    assert [x.framing for x in free.layers if isinstance(x, Cavity)] == [None]
    assert words.leaf_mass(variations.limp(built).layers[0]) == pytest.approx(  # type: ignore[arg-type]
        words.leaf_mass(built.layers[0])  # type: ignore[arg-type]
    )
    assert [x.fill for x in free.layers if isinstance(x, Cavity)] == [
        x.fill for x in built.layers if isinstance(x, Cavity)
    ]


# --- told -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [STUDS, WINDOW, SPACED, BRICK, "second pane behind 4-12-4, 100 mm"])
def test_the_text_fits_eighty_columns_and_ends_its_sentences(name: str) -> None:
    told = tell_curve.document(explained(name))
    lines = [line for full in (False, True) for line in tell(told, Page(), full=full).splitlines()]
    assert max(map(len, lines)) <= 80
    assert all(one.text[0].islower() and not one.text.endswith(".") for one in whyof(name).features)


def test_the_data_says_why_only_when_asked() -> None:
    assert "why" not in curve("glass 4 mm").to_dict()
    found = explained(WINDOW).to_dict()["why"]
    assert [one["band_hz"] for one in found["octaves"]] == OCTAVES.tolist()
    assert {
        "tl_db",
        "mass_db",
        "cavities_db",
        "bending_db",
        "framing_db",
        "rule",
        "carried_by",
        "share",
    } <= set(found["octaves"][0])
    assert {"change", "bands_hz", "gain_db", "rw_gain_db", "most_hz"} == set(found["variations"][0])
    json.dumps(found, allow_nan=False)


def test_the_picture_draws_each_path_with_why() -> None:
    assert len(figures_curve.figure(explained(WINDOW)).axes[0].lines) > len(
        figures_curve.figure(replace(explained(WINDOW), why=None)).axes[0].lines
    )


def test_a_measurement_cannot_be_explained() -> None:
    with pytest.raises(InputError, match="hollow wood door has no leaves to take apart; name"):
        curve("hollow wood door", why=True)
    run = CliRunner().invoke(root, ["curve", "hollow wood door", "--why"], catch_exceptions=False)
    assert run.exit_code == 2 and run.stdout == ""


def test_the_command_explains() -> None:
    run = CliRunner().invoke(root, ["curve", SPACED, "--why"], catch_exceptions=False)
    assert run.exit_code == 0 and "What would move it" in run.stdout


def test_a_curve_says_that_it_is_uncertain_in_the_bass() -> None:
    found = curve("glass 4 mm")
    width = found.high_db - found.low_db
    assert any("laboratories themselves differ" in note for note in found.notes)
    assert isinstance(found.construction, Construction)
    assert width[index_of(50)] > width[index_of(500)]


def test_a_resonance_that_studs_give_back_leaves_mass_to_rule() -> None:
    """2x4 studs, 50 mm of wool, 63 Hz: the cavity costs some 5 dB and the studs give them back."""
    built = constructions.load("wood stud wall 2x4 16 in, 50 mm wool")
    found = why.explain(built, transmission(built, size=built.size))
    octave = list(OCTAVES).index(63)
    parts = found.parts.octaves()
    assert parts.cavities_db[octave] < -3 and parts.framing_db[octave] > 3
    assert found.rules[octave] == "mass"
    assert found.rules[list(OCTAVES).index(250)] == "frame"
