"""Constructions from files, the catalogue and one line of text; materials behind them."""

import os
import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from isolate.describe import catalogue, constructions, layers, materials
from isolate.describe.constructions import Cavity, Construction, Leaf
from isolate.describe.frames import Frame
from isolate.describe.layers import EDGES, FRAMINGS, GASES, USUAL_SPACING
from isolate.errors import InputError

WINDOW = """
title = "Two panes"
kind = "window"
size = "1.23 m x 1.48 m"
[[layer]]
leaf = "glass"
thickness = "6 mm"
[[layer]]
cavity = "100 mm"
fill = "glass wool"
fill_depth = "75 mm"
gas = "argon"
edges = "absorbent"
framing = "wood stud"
spacing = "16 in"
[[layer]]
leaf = "Laminated"
thickness = "1/4 in"
sheets = 2
bond = "damped"
surface_mass = "15 kg/m2"
youngs_modulus = "60 GPa"
loss_factor = 0.1
[measured]
source = "own notebook"
basis = "own"
bands_hz = [125, 250, 500, 1000]
tl_db = [25, 34.5, 44, 47]
stc = 39
"""


def read(tmp_path, content):
    path = tmp_path / "x.toml"
    path.write_text(content)
    return constructions.load(str(path))


def faults(tmp_path, content):
    with pytest.raises(InputError) as fault:
        read(tmp_path, content)
    return "\n".join(one.removeprefix(f"{tmp_path / 'x.toml'}: ") for one in fault.value.faults)


def wall(*layers, head='kind = "wall"\n'):
    return head + "".join(f"[[layer]]\n{layer}\n" for layer in layers)


LEAF = 'leaf = "gypsum board"\nthickness = "12.5 mm"'


def test_every_key_of_a_construction_arrives(tmp_path):
    built = read(tmp_path, WINDOW)
    outer, cavity, inner = built.layers
    assert (built.title, built.kind, built.size) == ("Two panes", "window", (1.23, 1.48))
    assert isinstance(outer, Leaf) and isinstance(cavity, Cavity) and isinstance(inner, Leaf)
    assert (outer.material.name, outer.thickness, outer.sheets, outer.bond) == ("glass", 0.006, 1, "screwed")
    assert cavity == Cavity(
        0.1,
        materials.materials()["glass wool"],
        0.075,
        "argon",
        "absorbent",
        "wood stud",
        pytest.approx(0.4064),
    )
    assert inner.material.name == "laminated glass"
    assert (inner.thickness, inner.sheets, inner.bond) == (pytest.approx(0.00635), 2, "damped")
    assert (inner.density, inner.surface_mass, inner.youngs_modulus, inner.loss_factor) == (
        None,
        15,
        60e9,
        0.1,
    )
    assert built.measured is not None
    assert (built.measured.basis, built.measured.stc, built.measured.octave) == ("own", 39, True)
    np.testing.assert_array_equal(built.measured.tl_db, [25, 34.5, 44, 47])
    assert built.thickness == pytest.approx(0.006 + 0.1 + 2 * 0.00635)
    assert built.notes == ()


def test_a_tested_door_needs_no_layers(tmp_path):
    measured = '[measured]\nsource = "s"\nbasis = "read"\nbands_hz = [100, 125, 160]\ntl_db = [20, 22, 24]\n'
    built = read(tmp_path, 'kind = "door"\n' + measured)
    assert built.layers == () and built.measured is not None
    assert not built.measured.octave
    sheet = 'kind = "door"\n[measured]\nsource = "s"\nbasis = "read"\nrw = 40\nctr = -3\n'
    rated = read(tmp_path, sheet).rated
    assert rated is not None and (rated.rw, rated.ratings["rw_ctr"]) == (40, 37)
    said = faults(tmp_path, 'kind = "door"\n[measured]\nsource = "s"\nbasis = "read"\nc = -1\n')
    assert "measured.tl_db: missing without layers" in said


def test_what_the_file_leaves_out_is_taken_and_noted(tmp_path):
    built = read(tmp_path, wall(LEAF, 'cavity = "92 mm"\nframing = "steel stud"\nfill = "wool"', LEAF))
    cavity = built.layers[1]
    assert isinstance(cavity, Cavity)
    assert (cavity.spacing, cavity.gauge, cavity.fill_depth) == (pytest.approx(0.6096), 0.0005, 0.092)
    assert built.title == "x"
    assert [note.split(",")[0] for note in built.notes] == [
        "steel stud: no spacing stated", "steel stud: no gauge stated",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("brick 102 mm + 50 mm + brick 102 mm", "50 mm wall ties"),
        ("plaster 13 mm + brick 102 mm + 50 mm glass wool + aircrete block 100 mm", "50 mm wall ties"),
        ("brick 102 mm + 50 mm + gypsum board 12.5 mm", "75 mm wood studs"),
        ("gypsum board 12.5 mm + 90 mm + gypsum board 12.5 mm", "75 mm wood studs"),
        ("brick 102 mm + 50 mm wall ties + brick 102 mm", None),
    ],
)
def test_leaves_that_nothing_ties_are_asked_for_what_usually_does(typed, said):
    found = [note for note in constructions.load(typed).notes if "nothing ties" in note]
    assert (said is None) == (not found) and all(said in note for note in found)


def test_a_unit_by_its_numbers_is_a_part_of_a_line():
    typed = constructions.load("4-12-4 + 100 mm + glass 6 mm")
    known = constructions.load("double glass 4-12-4 mm + 100 mm + glass 6 mm")
    assert typed.layers == known.layers and typed.kind == "window"
    assert len(constructions.load("44.2s/16/6 + 150 mm shared frame + glass 6 mm").layers) == 5
    with pytest.raises(InputError, match="no insulating unit"):
        constructions.load("4-160-4 + 100 mm + glass 6 mm")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("gypsum board 12.5 mm + 90 mm steel studs 610 mm + gypsum board 12.5 mm", "no gauge stated, 0.5 mm"),
        ("brick 102 mm + 50 mm wall ties + brick 102 mm", "no kind stated, wire taken"),
    ],
)
def test_what_cannot_be_typed_in_a_line_is_taken_and_noted(typed, said):
    assert any(said in note for note in constructions.load(typed).notes)
    assert not any("gauge" in note for note in constructions.load("glass 4 mm + 50 mm + glass 6 mm").notes)


def test_every_framing_that_has_a_spacing_has_a_usual_one(tmp_path):
    edge = {"glazing spacer", "shared frame", "separate frames"}
    assert set(USUAL_SPACING) == set(FRAMINGS) - edge
    for framing in FRAMINGS:
        built = read(tmp_path, wall(LEAF, f'cavity = "92 mm"\nframing = "{framing}"', LEAF))
        assert (getattr(built.layers[1], "spacing") is None) == (framing in edge)  # noqa: B009


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (wall(LEAF, head=""), r"kind: missing; write one of wall, window"),
        (wall(LEAF, head='kind = "windw"\n'), r'kind: unknown \(got "windw"\); did you mean "window"'),
        (wall(head='kind = "wall"\n'), r"layer: missing; write \[\[layer\]\] tables"),
        ('kind = "wall"\nlayer = []\n', "layer: no layers"),
        (
            wall('leaf = "glas"\nthickness = "4 mm"'),
            r'layer\[1\].leaf: no material .*"glas"\); did you mean "glass"',
        ),
        (
            wall('leaf = "glass"\nthickness = 4'),
            r"layer\[1\].thickness: a bare number without a unit \(got 4\)",
        ),
        (wall('leaf = "glass"\nthickness = "-4 mm"'), r"layer\[1\].thickness: must be more than zero"),
        (wall('leaf = "glass"\nthickness = "4 kg"'), "layer.1..thickness: .* no unit of length"),
        (wall('leaf = "glass"\nthickness = "3 m"'), r"layer\[1\].thickness: out of range .* at most 2 m"),
        (wall('leaf = "glass"'), r"layer\[1\].thickness: missing"),
        (wall('leaf = "glass wool"\nthickness = "4 mm"'), r"layer\[1\].leaf: a porous material is no leaf"),
        (
            wall('leaf = "laminated"\nthickness = "0.3 mm"'),
            r"layer\[1\].thickness: thinner than its interlayer",
        ),
        (wall(LEAF + "\nsheets = 0"), r"layer\[1\].sheets: not a whole number"),
        (wall(LEAF + '\nbond = "nailed"'), r"layer\[1\].bond: unknown .* known: screwed, glued, damped"),
        (wall(LEAF + '\nfill = "wool"'), r"layer\[1\].fill: unknown key"),
        (
            wall(LEAF + '\ndensity = "700 kg/m3"\nsurface_mass = "9 kg/m2"'),
            r"layer\[1\].surface_mass: given beside",
        ),
        (wall(LEAF + '\ncavity = "4 mm"'), r"layer\[1\]: neither a leaf nor a cavity, or both"),
        (wall('thickness = "4 mm"'), r"layer\[1\]: neither a leaf nor a cavity, or both"),
        (wall(LEAF, 'cavity = "4 mm"'), r"layer\[2\]: an outermost cavity; begin and end with a leaf"),
        (wall('cavity = "4 mm"', LEAF), r"layer\[1\]: an outermost cavity"),
        (wall(LEAF, 'cavity = "4 mm"', 'cavity = "4 mm"', LEAF), r"layer\[3\]: two cavities in a row"),
        (wall(LEAF, 'cavity = "4 mm"\nfill = "glass"', LEAF), r"layer\[2\].fill: not a porous material"),
        (wall(LEAF, 'cavity = "4 mm"\nfill_depth = "2 mm"', LEAF), r"layer\[2\].fill_depth: without a fill"),
        (
            wall(LEAF, 'cavity = "50 mm"\nfill = "wool"\nfill_depth = "75 mm"', LEAF),
            r"layer\[2\].fill_depth: 75 mm .* in a cavity of 50 mm",
        ),
        (
            wall(LEAF, 'cavity = "4 mm"\nspacing = "16 in"', LEAF),
            r"layer\[2\].spacing: has no meaning without",
        ),
        (
            wall(LEAF, 'cavity = "4 mm"\nframing = "shared frame"\nspacing = "16 in"', LEAF),
            r"layer\[2\].spacing: has no meaning with shared frame",
        ),
        (
            wall(LEAF, 'cavity = "4 mm"\nframing = "wood stud"\ngauge = "1 mm"', LEAF),
            "gauge: has no meaning with wood",
        ),
        (
            wall(LEAF, 'cavity = "4 mm"\nframing = "wod stud"', LEAF),
            r'layer\[2\].framing: .*mean "wood stud"',
        ),
        (
            wall(LEAF, 'cavity = "4 mm"\ngas = "helium"', LEAF),
            r"layer\[2\].gas: unknown .* known: air, argon",
        ),
        (wall(LEAF, head='kind = "wall"\nsize = "1 m"\n'), "size: not a size"),
        (wall(LEAF, head='kind = "wall"\nsize = "1 mm x 1 m"\n'), "size: no sane size"),
        (wall(*([LEAF] * 41)), "41 layers; write at most 40"),
    ],
)
def test_faults_of_layers(tmp_path, content, said):
    assert re.search(said, faults(tmp_path, content))


MEASURED = '\n[measured]\nsource = "s"\nbasis = "read"\n'


@pytest.mark.parametrize(
    ("block", "said"),
    [
        ('\n[measured]\nbasis = "read"\nrw = 40\n', "measured.source: missing; say where"),
        ('\n[measured]\nsource = " "\nbasis = "read"\nrw = 40\n', "measured.source: not a text"),
        ('\n[measured]\nsource = "s"\nbasis = "guess"\nrw = 40\n', 'measured.basis: unknown (got "guess")'),
        (MEASURED, "measured.tl_db: missing; write bands_hz and tl_db, or at least stc or rw"),
        (
            MEASURED + "bands_hz = [125, 250, 500]\n",
            "measured.tl_db: missing; bands_hz and tl_db belong together",
        ),
        (MEASURED + "tl_db = [1, 2, 3]\n", "measured.bands_hz: missing"),
        (
            MEASURED + "bands_hz = [125, 250, 500]\ntl_db = [1, 2]\n",
            "measured.tl_db: 2 values for 3 bands_hz",
        ),
        (
            MEASURED + "bands_hz = [125, 250, 500]\ntl_db = [1, nan, 2]\n",
            "measured.tl_db: member 2: not finite",
        ),
        (
            MEASURED + "bands_hz = [125, 250, 500]\ntl_db = [1, 500, 2]\n",
            "measured.tl_db: member 2: out of range",
        ),
        (MEASURED + "bands_hz = [125, 251.9, 500]\ntl_db = [1, 3, 2]\n", None),
        (
            MEASURED + "bands_hz = [125, 270, 500]\ntl_db = [1, 3, 2]\n",
            "measured.bands_hz: member 2: no third-octave",
        ),
        (MEASURED + "bands_hz = [250, 125, 500]\ntl_db = [1, 3, 2]\n", "measured.bands_hz: not rising"),
        (MEASURED + "bands_hz = [125, 125, 250]\ntl_db = [1, 3, 2]\n", "measured.bands_hz: not rising"),
        (
            MEASURED + "bands_hz = [125, 250, 315]\ntl_db = [1, 3, 2]\n",
            "measured.bands_hz: neither all third",
        ),
        (
            MEASURED + "bands_hz = [100, 200, 400]\ntl_db = [1, 3, 2]\n",
            "measured.bands_hz: neither all third",
        ),
        (MEASURED + "bands_hz = [125, 250]\ntl_db = [1, 3]\n", "measured.bands_hz: too few bands"),
        (MEASURED + "rw = 400\n", "measured.rw: out of range (got 400)"),
    ],
)
def test_faults_of_a_measurement(tmp_path, block, said):
    if said is None:  # 251.9 Hz is the 250 Hz band, written exactly
        assert read(tmp_path, wall(LEAF) + block).measured is not None
    else:
        assert said in faults(tmp_path, wall(LEAF) + block)


def test_all_faults_of_a_file_come_in_one_report(tmp_path):
    content = wall('leaf = "glas"\nthickness = 4', 'cavity = "-1 mm"\nframming = "x"', head='knd = "wall"\n')
    said = faults(tmp_path, content).splitlines()
    assert len(said) == 6
    assert 'layer[2].framming: unknown key; did you mean "framing"?' in said
    assert 'knd: unknown key; did you mean "kind"?' in said


@pytest.mark.parametrize(
    ("text", "kind", "stack"),
    [
        ("glass 7 mm", "window", [("glass", 0.007, 1)]),
        (
            "glass 4 mm + 100 mm + laminated 6.4 mm",
            "window",
            [("glass", 0.004, 1), ("air", 0.1), ("laminated glass", 0.0064, 1)],
        ),
        (
            "4 mm glass + 16 mm argon + 4mm Glass",
            "window",
            [("glass", 0.004, 1), ("argon", 0.016), ("glass", 0.004, 1)],
        ),
        (
            '2 x 5/8" gypsum + 3 1/2 in glass wool + 5/8 in board',
            "wall",
            [("gypsum board", 0.015875, 2), ("glass wool", 0.0889), ("gypsum board", 0.015875, 1)],
        ),
        ("plywood 18 mm", "sheet", [("plywood", 0.018, 1)]),
        ("brick 0.5 ft", "wall", [("brick", 0.1524, 1)]),
        ("mass-loaded vinyl 3 mm", "sheet", [("mass-loaded vinyl", 0.003, 1)]),
        ("open-cell foam 50 mm + brick 102 mm", "wall", [("open-cell foam", 0.05), ("brick", 0.102, 1)]),
    ],
)
def test_inline_text(text, kind, stack):
    built = constructions.load(text)
    assert (built.name, built.kind) == (text, kind)
    found = [
        (x.material.name, pytest.approx(x.thickness), x.sheets)
        if isinstance(x, Leaf)
        else (x.fill.name if x.fill else x.gas, pytest.approx(x.depth))
        for x in built.layers
    ]
    assert found == stack


@pytest.mark.parametrize(
    ("name", "inches"), [("glass 1/4 in", 0.25), ("1/4 in glass", 0.25), ("MDF 5/8 in", 0.625)]
)
def test_a_fraction_of_an_inch_is_no_path(name, inches):
    assert constructions.load(name).layers[0].thickness == pytest.approx(inches * 0.0254)


def test_a_catalogue_name_comes_before_inline_text_and_inside_it():
    assert constructions.load("Glass  4-mm").name == "glass 4 mm"
    unit = constructions.load("double glass 4-12-4 mm")
    both = constructions.load("double glass 4-12-4 mm + 100 mm + glass 6 mm")
    assert both.layers[:3] == unit.layers and len(both.layers) == 5
    assert both.kind == "window"


@pytest.mark.parametrize(
    ("name", "material", "millimetres"),
    [
        ("44.2", "laminated glass", 8.76), ("44.2 acoustic", "acoustic laminated glass", 8.76),
        ("VSG 33.1", "laminated glass", 6.38), ("6.4 laminated", "laminated glass", 6.4),
        ("10.8 mm laminated acoustic", "acoustic laminated glass", 10.8), ("6mm toughened", "glass", 6.0),
    ],
)  # fmt: skip
def test_one_pane_by_the_number_glaziers_call_it_by(name, material, millimetres):
    """44.2 is two panes of 4 mm with two foils of 0.38 mm (glaziers' notation, common practice)."""
    built = constructions.load(name)
    (pane,) = built.layers
    assert built.kind == "window" and pane.material.name == material
    assert pane.thickness == pytest.approx(millimetres * 1e-3)


@pytest.mark.parametrize("name", ["4-16Ar-4", "4/16ar/4", "4-16-4 Ar", "4:-16-:4 argon"])
def test_a_units_gas_and_coats_are_read(name):
    assert constructions.load(name).layers == constructions.load("4-16-4 argon").layers


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("44.2X/16/6", 'no insulating unit .* "6-16-44.2s"'),
        ("VSG 8", "no construction of this name"),  # a bare number is no thickness
        ("", "not a construction"),
        ("x" * 2600, "not a construction"),
        ("1" * 1900, "not a construction"),
        ("brick wal 115 mm", r'no material and no construction .* did you mean "brick wall 115 mm"'),
        ("zzz", r"no construction of this name .*; write it in other words, such as "),
        ("glass 4", r'no construction of this name \(got "glass 4"\); did you mean "glass 4 mm"'),
        ("glass 4 mm + 100 mm", "an outermost cavity"),
        ("100 mm + glass 4 mm", "an outermost cavity"),
        ("glass 4 mm + 50 mm + 50 mm + glass 4 mm", "two cavities in a row"),
        ("glass 4 mm + 100 + glass 4 mm", r'no layer \(got "100"\)'),
        ("glass 4 mm + -100 mm + glass 4 mm", "a thickness below zero"),
        ("glas 4 mm + 100 mm + glass 4 mm", r'got "glas 4 mm"\); did you mean "glass 4 mm"'),
        ("glass 4 mm ++ glass 4 mm", r'no layer \(got ""\)'),
        ("glass 5 m", "no sane thickness"),
        ("0 x glass 4 mm", "no layer"),
        ("glass 4 mm + 2 x 100 mm + glass 4 mm", "not a cavity"),
        ("../../etc/none", "no construction .* a path ending in .toml"),
        ("walls/brick", "no construction .* a path ending in .toml"),
        ("none.toml", "none.toml: no such file"),
    ],
)
def test_names_that_mean_nothing(name, said):
    with pytest.raises(InputError, match=said):
        constructions.load(name)


def test_paths_in_a_file_stay_in_its_folder(tmp_path):
    room, outside = tmp_path / "room", tmp_path / "outside.toml"
    (room / "parts").mkdir(parents=True)
    outside.write_text(wall(LEAF))
    (room / "parts" / "wall.toml").write_text(wall(LEAF))
    os.symlink(outside, room / "link.toml")
    assert constructions.load("parts/wall.toml", beside=room).kind == "wall"
    assert constructions.load("parts/../parts/wall.toml", beside=room).kind == "wall"
    for name in ("../outside.toml", str(outside), "link.toml", "parts/../../outside.toml"):
        with pytest.raises(InputError, match=r"outside the file's own folder .* copy it beside the file"):
            constructions.load(name, beside=room)
    assert constructions.load(str(outside)).kind == "wall"  # the user's own choice on the command line


def test_a_folder_or_a_file_of_another_kind_is_named_as_such(tmp_path):
    with pytest.raises(InputError, match="a folder; write the name of a file"):
        constructions.load(str(tmp_path))
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(InputError, match="not UTF-8 text"):
        constructions.load(str(tmp_path / "photo.jpg"))


def test_catalogue_answers_from_any_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    names = catalogue.names()
    assert len(names) == len(set(names)) >= 45
    assert all(isinstance(constructions.load(name), Construction) for name in names)
    assert catalogue.find("GLASS 4 mm") == catalogue.find("glass_4-mm") != None  # noqa: E711


MATERIAL = '[material.{name}]\nfamily = "plate"\nsource = "s"\nbasis = "memory"\n'
PLATE = MATERIAL + 'density = "700 kg/m3"\nyoungs_modulus = "2 GPa"\nloss_factor = 0.01\n'


@pytest.fixture
def own_materials(tmp_path, monkeypatch):
    def load(content):
        (tmp_path / "materials.toml").write_text(content)
        return materials.materials.__wrapped__()

    monkeypatch.setattr(catalogue, "root", lambda: tmp_path)
    return load


def test_materials_have_one_value_or_a_range(own_materials):
    found = own_materials(
        PLATE.format(name="a").replace('"700 kg/m3"', '["650 kg/m3", "700 kg/m3", "45 lb/ft3"]')
    )
    assert found["a"].density.low == 650
    assert found["a"].density.high == pytest.approx(720.83, abs=0.01)
    assert found["a"].youngs_modulus == materials.Range(2e9, 2e9, 2e9)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (PLATE.replace('source = "s"\n', ""), "material.a.source: missing; say where the values come from"),
        (PLATE.replace('"700 kg/m3"', "700"), "material.a.density: a bare number without a unit"),
        (
            PLATE.replace('"700 kg/m3"', '["700 kg/m3", "600 kg/m3", "800 kg/m3"]'),
            "density: not low, typical, high",
        ),
        (PLATE.replace('"700 kg/m3"', '["700 kg/m3", "800 kg/m3"]'), "density: not low, typical, high"),
        (
            PLATE.replace("loss_factor = 0.01\n", ""),
            "material.a.loss_factor: missing; a plate material needs it",
        ),
        (PLATE.replace('"plate"', '"plat"'), 'material.a.family: unknown (got "plat")'),
        (PLATE + "porosity = 0.9\n", "material.a.porosity: unknown key"),
        ("material = 3\n", "material: not a table"),
    ],
)
def test_faults_of_materials(own_materials, content, said):
    with pytest.raises(InputError) as fault:
        own_materials(content.format(name="a"))
    assert said in str(fault.value)


def test_short_names_mean_one_material():
    taken = {}
    for name, material in materials.materials().items():
        for word in (name, *material.also):
            assert taken.setdefault(catalogue.tidy(word), name) == name


def written(built: Construction) -> str:
    """A construction as a file: a plain writer, apart from the reader it checks."""
    lines = [
        f'kind = "{built.kind}"',
        f'size = "{built.size[0]!r} m x {built.size[1]!r} m"' if built.size else "",
    ]
    for layer in built.layers:
        if isinstance(layer, Leaf):
            keys = {"leaf": layer.material.name, "thickness": f"{layer.thickness!r} m",
                    "sheets": layer.sheets, "bond": layer.bond, "loss_factor": layer.loss_factor,
                    "density": layer.density and f"{layer.density!r} kg/m3"}  # fmt: skip
        else:
            keys = {"cavity": f"{layer.depth!r} m", "fill": layer.fill and layer.fill.name, "gas": layer.gas,
                    "fill_depth": layer.fill and f"{layer.fill_depth!r} m", "edges": layer.edges,
                    "framing": layer.framing, "spacing": layer.spacing and f"{layer.spacing!r} m",
                    "gauge": layer.gauge and f"{layer.gauge!r} m", "ties": layer.ties}  # fmt: skip
        said = [
            f'{k} = "{v}"' if isinstance(v, str) else f"{k} = {v!r}" for k, v in keys.items() if v is not None
        ]
        lines += ["[[layer]]", *said]
    return "\n".join(lines)


SOLID = st.sampled_from([m for m in materials.materials().values() if m.family != "porous"])
POROUS = st.sampled_from([m for m in materials.materials().values() if m.family == "porous"])
LENGTH = st.floats(2e-3, 0.3)


@st.composite
def leaf(draw):
    return Leaf(
        draw(SOLID), draw(LENGTH), draw(st.integers(1, 4)), draw(st.sampled_from(layers.BONDS)),
        density=draw(st.none() | st.floats(10.0, 9000.0)), loss_factor=draw(st.none() | st.floats(0.001, 0.9))
    )  # fmt: skip


@st.composite
def cavity(draw):
    depth, fill, framing = draw(LENGTH), draw(st.none() | POROUS), draw(st.none() | st.sampled_from(FRAMINGS))
    return Cavity(
        depth, fill, depth * draw(st.floats(0.1, 1.0)) if fill else 0.0, draw(st.sampled_from(GASES)),
        draw(st.sampled_from(EDGES)), framing,
        draw(st.floats(0.2, 1.2)) if framing in USUAL_SPACING else None,
        draw(st.floats(0.4e-3, 2e-3)) if framing == "steel stud" else None,
        draw(st.sampled_from(layers.WALL_TIES)) if framing == "wall tie" else None,
    )  # fmt: skip


@st.composite
def construction(draw):
    stack = [draw(leaf())]
    for _ in range(draw(st.integers(0, 3))):
        stack += [draw(cavity()), draw(leaf())]
    size = draw(st.none() | st.tuples(st.floats(0.1, 9.0), st.floats(0.1, 9.0)))
    return Construction("x", "x", draw(st.sampled_from(constructions.KINDS)), tuple(stack), size)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(built=construction())
def test_a_written_construction_reads_back_the_same(tmp_path, built):
    back = read(tmp_path, written(built))
    assert (back.kind, back.size, back.layers, back.notes) == (built.kind, built.size, built.layers, ())


@settings(max_examples=100, deadline=None)
@given(name=st.text(alphabet="glas brick 0123456789.x+-/\"' mnft\n", max_size=40))
def test_any_text_is_a_construction_or_one_message(name):
    try:
        assert constructions.load(name).layers
    except InputError as fault:
        assert len(fault.faults) == 1 and "; " in str(fault)


def test_a_wall_in_one_line_says_that_nothing_ties_it():
    assert (
        "nothing ties" in constructions.inline("gypsum board 12.5 mm + 70 mm + gypsum board 12.5 mm").notes[0]
    )
    for text in ("glass 4 mm + 20 mm + glass 6 mm", "brick 225 mm", "50 mm glass wool + brick 225 mm"):
        assert constructions.inline(text).notes == ()


def test_a_wide_gap_between_panes_is_not_sealed_in_silence():
    """From 40 mm on no insulating unit: two frames, unless one is named."""
    typed = constructions.inline("glass 4 mm + 100 mm + glass 6 mm")
    assert [layer.framing for layer in typed.layers if isinstance(layer, Cavity)] == ["separate frames"]
    assert "two frames taken" in typed.notes[0]
    told = constructions.inline("glass 4 mm + 100 mm shared frame + glass 6 mm")
    assert [layer.framing for layer in told.layers if isinstance(layer, Cavity)] == ["shared frame"]
    assert told.notes == ()


@pytest.mark.parametrize(
    ("frame", "kind", "fault"),
    [
        ("100", "", "unit"), ("none", "wood", "without a frame"), ("900 mm", "", "out of range"),
        ("400 mm", "", "next to no glass"), ("100 mm", "cheese", "not a kind of frame"),
    ],
)  # fmt: skip
def test_frames_that_cannot_be_are_refused(tmp_path, frame, kind, fault):
    path = tmp_path / "own.toml"
    words = f'frame_kind = "{kind}"\n' if kind else ""
    head = f'kind = "window"\nsize = "1.2 m x 1.4 m"\nframe = "{frame}"\n{words}'
    layer = '[[layer]]\nleaf = "glass"\nthickness = "6 mm"\n'
    path.write_text(head + layer, encoding="utf-8")
    with pytest.raises(InputError, match=fault):
        constructions.load(str(path))


def test_a_frame_is_read_with_its_kind(tmp_path):
    path = tmp_path / "own.toml"
    head = 'kind = "window"\nframe = "80 mm"\nframe_kind = "sliding, timber"\n'
    path.write_text(head + '[[layer]]\nleaf = "glass"\nthickness = "6 mm"\n', encoding="utf-8")
    assert constructions.load(str(path)).frame == Frame(0.08, "wood", "sliding")


def test_a_wall_has_no_frame(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text('kind = "wall"\nframe = "100 mm"\n[[layer]]\nleaf = "brick"\nthickness = "102 mm"\n')
    with pytest.raises(InputError, match="belongs to a window"):
        constructions.load(str(path))
