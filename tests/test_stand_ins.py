"""Numbers of the physics that no formula gives: each says where it is from, and lies where the trade, a
standard or a handbook has it, so closely that 1.3 times it would not.

What published rows hold is in `test_constants.py`.
"""

from __future__ import annotations

import ast
import csv
import importlib
from pathlib import Path

import numpy as np
import pytest

import isolate.physics
from isolate.bands import THIRD_OCTAVES, index_of
from isolate.describe import leaks
from isolate.describe.materials import material
from isolate.physics import (
    absorbers,
    absorption,
    calibrated,
    cavity,
    floors,
    impact,
    joints,
    links,
    studs,
    surfaces,
)

BROAD = 1.3
with (Path(__file__).parent / "published" / "numbers_of_physics.csv").open(encoding="utf-8") as stream:
    PUBLISHED = [*csv.DictReader(line for line in stream if not line.startswith("#"))]
# Textbook numbers, numbers of the calculation's own (grids, tolerances, blocks) and tables with their sources
# at their head, which no comment of their own has to explain.
PLAIN = {
    "GRAVITY", "FOOT", "INCH", "OCTAVES", "HALF_THIRD", "EDITIONS", "SABINE", "EULER", "SHEAR_FACTOR", "C",
    "BANDS_HZ", "THIRDS", "TURNS", "PER_BAND", "PRANDTL", "INTERLACED", "FIELD_DB",
    "RANGES_DB",
    "MODELS", "SURFACES", "LAB_SIZE", "INTERLAYERS", "FOILS", "IN_FREQUENCY", "IN_ANGLE", "SCALE_PER_BAND",
    "SCALE_ANGLES", "CO2_OUTSIDE", "_STEPS", "_NEAR", "_HIDDEN_DB", "_SPECTRA",
}  # fmt: skip


@pytest.mark.parametrize("row", PUBLISHED, ids=[f"{row['module']}.{row['name']}" for row in PUBLISHED])
def test_a_number_lies_where_it_was_published(row: dict[str, str]) -> None:
    """tests/published/numbers_of_physics.csv; six digits are printed."""
    name, _, key = row["name"].rstrip("]").partition("[")
    found = getattr(importlib.import_module(f"isolate.physics.{row['module']}"), name)
    value = abs(found[key] if key else found)
    least, most = (abs(float(row[end])) for end in ("least", "most"))
    assert least * (1 - 1e-5) <= value <= most * (1 + 1e-5), row["source"]
    assert value * BROAD > most, f"1.3 times it would do as well: {row['source']}"


def _numbers(path: Path) -> list[tuple[str, bool]]:
    """Names of a module's own numbers, and whether a comment stands by each or at the head of its run."""
    text = path.read_text(encoding="utf-8")
    lines, found = text.splitlines(), []
    for node in ast.parse(text).body:
        if not isinstance(node, ast.Assign | ast.AnnAssign) or node.value is None:
            continue
        numbers = [x.value for x in ast.walk(node.value) if isinstance(x, ast.Constant)]
        if not any(type(value) in (int, float) and value for value in numbers):
            continue
        above = node.lineno - 2
        while above >= 0 and "=" in lines[above] and not lines[above].startswith("#"):
            above -= 1
        own = "".join(lines[node.lineno - 1 : node.end_lineno]).replace("# fmt: skip", "")
        told = "#" in own or (above >= 0 and lines[above].startswith("#"))
        targets = node.targets[0] if isinstance(node, ast.Assign) else node.target
        names = [x.id for x in ast.walk(targets) if isinstance(x, ast.Name)]
        found += [(name, told) for name in names]
    return found


MODULES = sorted(Path(isolate.physics.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.stem)
def test_every_number_of_the_physics_says_where_it_is_from(path: Path) -> None:
    """Calibrated ones say so in their table, some in that above."""
    here = {row["name"].partition("[")[0] for row in PUBLISHED if row["module"] == path.stem}
    assert not {name for name, told in _numbers(path) if not told} - PLAIN - here - {"CONSTANTS"}


def test_screws_are_the_mean_of_both_distances() -> None:
    """One distance where both boards' screws count, between those at joints and in the field."""
    assert pytest.approx((studs.FIELD + studs.JOINT) / 2, rel=0.05) == links.FIXING


def test_hard_faces_of_cavities_are_those_of_rooms() -> None:
    """Plasterboard on a frame (Vorlaender, Auralization, read) at 1 kHz, by both tables."""
    assert pytest.approx(surfaces.alpha("plasterboard")[index_of(1000)], abs=0.005) == cavity.HARD_ABSORPTION


@pytest.mark.parametrize("wool", ["glass wool", "stone wool"])
def test_a_lined_reveal_takes_in_half_where_25_mm_of_wool_do(wool: str) -> None:
    """`absorbers.board` on a wall at random incidence: 25 mm is what a handbook lines reveals with (Handbook
    for Sound Engineers, p. 86, read). To a third octave."""
    alpha = absorption.third_octaves(absorbers.board(material(wool), thickness=0.025, size=(3.0, 3.0)))
    end = index_of(2000)
    half = np.exp(np.interp(alpha[end] / 2, alpha[:end], np.log(THIRD_OCTAVES[:end])))
    assert abs(np.log2(cavity.LINING_HALF / half)) < 0.34


@pytest.mark.parametrize(("contact", "modulus"), [("HARD", 30e9), ("SOFT", 1e9)])
def test_a_hammer_dents_a_floor_as_hertz_says(contact: str, modulus: float) -> None:
    """k = m v^2/d^2 of the dent d under a sphere, m v^2/2 = 8/15 E d^2.5 sqrt(r) (Hertz, textbooks), with a
    head rounded to 500 mm that falls 40 mm (ISO 10140-5), concrete of 30 GPa and wood of 1 GPa. To 10 %."""
    energy = impact.HAMMER_MASS * impact.GRAVITY * impact.HAMMER_FALL
    dent = (energy * 15 / 8 / (modulus / (1 - 0.2**2) * 0.5**0.5)) ** 0.4
    assert getattr(floors, contact) == pytest.approx(2 * energy / dent**2, rel=0.1)


def test_brushes_are_as_deep_as_the_leaks_in_words() -> None:
    assert leaks.find("window sash", "draught-stripped").depth == joints.BRUSHED


def test_a_wire_tie_is_between_butterfly_and_double_triangle() -> None:
    """1.7 and 5 MN/m in a cavity of 50 mm (Hopkins, 2007, from memory), by ratio, to 12 %."""
    assert calibrated.value("wire_tie_stiffness") == pytest.approx((1.7e6 * 5e6) ** 0.5, rel=0.12)


def test_a_clip_under_its_rated_load_swings_as_makers_say() -> None:
    """10 to 14 Hz under 16 kg (36 lb), of rubber in shear (makers' sheets, from memory)."""
    assert 10.0 <= (calibrated.value("clip_stiffness") / 16.0) ** 0.5 / (2 * np.pi) <= 14.0


def test_a_sealed_pane_leaks_by_a_tenth_of_the_width_of_a_shut_sash() -> None:
    """Judgement: nobody has measured joints of sealant; in its range, from all round to where it came off."""
    assert calibrated.value("sealed_joint") / calibrated.value("sash_joint") == pytest.approx(0.1, rel=0.2)


BY_RATIO = (
    "strip_tie_stiffness", "frame_reduction", "frame_seals", "wool_loss", "lattice_to", "half_way",
    "liner_mass", "liner_stiffness", "pane_mounting_loss",
)  # fmt: skip
BY_DIFFERENCE = ("sliding_joint", "liner_loss")


@pytest.mark.parametrize("name", [*BY_RATIO, *BY_DIFFERENCE])
def test_what_rows_hold_loosely_or_not_lies_in_the_middle_of_what_was_found(name: str) -> None:
    """Of the range in the table of `calibrated.py`, with its sources, to 12 %."""
    one = calibrated.CONSTANTS[name]
    assert one.low is not None and one.high is not None
    middle = (one.low * one.high) ** 0.5 if name in BY_RATIO else (one.low + one.high) / 2
    assert one.value == pytest.approx(middle, rel=0.12)
