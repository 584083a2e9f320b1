"""The bundled data: what must be there, where it comes from, and that it agrees with what is published."""

import csv
import math
import re
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from isolate.bands import THIRD_OCTAVES, energy_sum, index_of
from isolate.describe import catalogue, constructions, noises, rooms
from isolate.describe.layers import Cavity, Leaf
from isolate.describe.materials import Material, materials
from isolate.standards.weighting import A_WEIGHTING, dba, dbc

PUBLISHED = Path(__file__).parent / "published"
SPEED = 343.0  # m/s, as the published critical frequencies were computed with

LEAVES = (
    "glass", "laminated glass", "acoustic laminated glass", "acrylic", "gypsum board", "dense gypsum board",
    "cement board", "plywood", "OSB", "chipboard", "MDF", "softwood", "oak", "steel", "aluminium", "lead",
    "mass-loaded vinyl", "brick", "dense concrete block", "lightweight concrete block", "aircrete block",
    "concrete", "cement render", "plaster", "screed",
)  # fmt: skip
FILLINGS = (
    "glass wool", "stone wool", "cellulose", "polyester wool", "open-cell foam", "heavy curtain",
    "glass-fibre board",
)  # fmt: skip


def published(name: str) -> list[dict[str, str]]:
    with (PUBLISHED / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def numbers(text: str) -> list[float]:
    return [float(word) for word in text.split()]


CALIBRATION = published("measured_calibration.csv")
CRITICAL = published("critical_frequency.csv")
SPRINGER = published("springer_2007_table_11_4.csv")


# --- materials ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*LEAVES, *FILLINGS])
def test_material_is_there_with_its_source(name: str) -> None:
    material = materials()[name]
    assert material.source and material.basis in {"read", "memory"}
    assert (material.family == "porous") == (name in FILLINGS)


def critical(material: Material, modulus: str = "typical", density: str = "typical") -> float:
    """Critical frequency times thickness [m Hz] of a plate."""
    assert material.youngs_modulus
    stiffness = getattr(material.youngs_modulus, modulus) / (1.0 - material.poisson**2)
    return SPEED**2 * math.sqrt(3.0) / (math.pi * math.sqrt(stiffness / getattr(material.density, density)))


@pytest.mark.parametrize("row", CRITICAL, ids=lambda r: f"{r['source']} {r['printed_as']}")
def test_critical_frequency_lies_in_the_range_of_its_material(row: dict[str, str]) -> None:
    """Hopkins (2007) table A2 and Long table 9.1; Long states a scatter of 10 %."""
    material, value = materials()[row["material"]], float(row["fc_h_m_hz"])
    assert 0.9 * critical(material, "high", "low") < value < 1.1 * critical(material, "low", "high")


@pytest.mark.parametrize("name", sorted({row["material"] for row in CRITICAL}))
def test_typical_critical_frequency_is_near_a_published_one(name: str) -> None:
    """Within the 10 % of scatter that Long, table 9.1, states, of at least one published value."""
    values = [float(row["fc_h_m_hz"]) for row in CRITICAL if row["material"] == name]
    typical = critical(materials()[name])
    assert min(abs(typical / value - 1.0) for value in values) < 0.10


@pytest.mark.parametrize("row", [r for r in CRITICAL if r["cl_m_s"]], ids=lambda r: r["printed_as"])
def test_published_wave_speed_and_critical_frequency_belong_together(row: dict[str, str]) -> None:
    """Guards the transcription: fc h = c^2 sqrt(3) / (pi cL), to half a unit of the third digit."""
    from_speed = SPEED**2 * math.sqrt(3.0) / (math.pi * float(row["cl_m_s"]))
    assert from_speed == pytest.approx(float(row["fc_h_m_hz"]), abs=0.055)


@pytest.mark.parametrize(
    ("name", "thickness", "surface_mass", "tolerance"),
    [
        ("gypsum board", 0.0159, 10.7, 0.05),  # 2.2 lb/ft2, board weights in trade tables
        ("gypsum board", 0.0127, 9.0, 0.05),  # between the light 7.8 and the 9.8 of older tables
        ("dense gypsum board", 0.0125, 12.5, 0.05),  # common practice, no source
        ("glass", 0.004, 10.0, 0.001),  # 2.5 kg/m2 for each millimetre, trade
        ("lead", 0.0018, 20.4, 0.01),  # 4 lb/ft2 (19.5 kg/m2) is sold as 1.80 mm; EN 12588 code 4
        ("concrete", 0.1, 230.0, 0.05),  # 100 mm of concrete 230 to 240 kg/m2, handbooks
    ],
)
def test_sheet_weighs_what_the_trade_says(
    name: str, thickness: float, surface_mass: float, tolerance: float
) -> None:
    assert materials()[name].density.typical * thickness == pytest.approx(surface_mass, rel=tolerance)


def test_light_and_heavy_gypsum_boards_are_within_the_range() -> None:
    """7.8 kg/m2 for a light half-inch board (1.6 lb/ft2) and 9.8 (2 lb/ft2, Egan 1988)."""
    density = materials()["gypsum board"].density
    assert density.low * 0.0127 <= 7.8 and density.high * 0.0127 >= 9.8


# --- constructions --------------------------------------------------------------------------------

NAMES = catalogue.names()
EXPECTED = {
    "windows": 45, "walls": 75, "doors": 14, "floors": 8, "ceilings": 12,
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_construction_opens_and_says_where_it_comes_from(name: str) -> None:
    construction = constructions.load(name)
    assert construction.title and construction.about
    assert construction.size, "without a size the finite-size and edge effects are guessed"
    if construction.measured:
        assert construction.measured.source
    else:
        assert "not measured" in construction.about


@pytest.mark.parametrize(("folder", "least"), EXPECTED.items())
def test_folder_has_enough_of_its_kinds(folder: str, least: int) -> None:
    assert len(catalogue.names(folder)) >= least


def test_names_differ_in_all_folders_and_are_easily_typed() -> None:
    files = [path for folder in EXPECTED for path in (catalogue.root() / folder).glob("*.toml")]
    assert len({catalogue.tidy(path.stem) for path in files}) == len(files)
    assert all(re.fullmatch(r"[A-Za-z0-9 .,()-]+", path.stem) for path in files)


def kinds() -> Counter[str]:
    return Counter(constructions.load(name).kind for name in NAMES)


def test_every_kind_is_there() -> None:
    assert set(kinds()) == set(constructions.KINDS)


def test_titles_are_all_different_where_both_are_unmeasured() -> None:
    titles = Counter(c.title for c in map(constructions.load, NAMES) if not c.measured)
    assert not [title for title, count in titles.items() if count > 1]


def row_ids(name: str) -> list[str]:
    path = catalogue.find(name)
    assert path is not None
    return re.findall(r"^# row (\S+) of tests/published/", path.read_text(encoding="utf-8"), flags=re.M)


def carriers(row_id: str) -> list[str]:
    return [name for name in NAMES if row_id in row_ids(name)]


@pytest.mark.parametrize("row", CALIBRATION, ids=lambda row: row["id"])
def test_calibration_row_is_carried_exactly_by_one_construction(row: dict[str, str]) -> None:
    (name,) = carriers(row["id"])
    construction = constructions.load(name)
    measured = construction.measured
    assert measured and construction.kind == row["kind"]
    assert measured.bands_hz.tolist() == numbers(row["bands_hz"])
    assert measured.tl_db.tolist() == numbers(row["tl_db"])
    assert (measured.basis, measured.doubt) == (row["basis"], row["doubt"])
    assert row["band_type"] in ("", "octave" if measured.octave else "third")
    stated = [float(row[key]) if row[key] else None for key in ("stc", "rw", "c", "ctr")]
    assert [measured.stc, measured.rw, measured.c, measured.ctr] == stated


def layer_words(row: dict[str, str]) -> Iterator[dict[str, object]]:
    """The layers column of the published table, word by word."""
    for part in row["layers"].split("|"):
        match = re.fullmatch(
            r"cavity (?P<depth>[\d.]+)(?: (?P<framing>[a-z ]+?)(?:@(?P<spacing>\d+))?)?"
            r"(?P<lined> absorbent)?(?: fill (?P<fill>[a-z ]+) (?P<fill_depth>\d+))?",
            part.strip(),
        ) or re.fullmatch(
            r"(?P<leaf>[a-z ]+) (?P<thickness>[\d.]+)(?: x(?P<sheets>\d))?(?: (?P<bond>glued))?", part.strip()
        )
        assert match, part
        yield {key: value for key, value in match.groupdict().items() if value is not None}


def layer_as_words(layer: Leaf | Cavity) -> dict[str, object]:
    if isinstance(layer, Leaf):
        words: dict[str, object] = {"leaf": layer.material.name, "thickness": f"{layer.thickness * 1e3:g}"}
        words |= {"sheets": str(layer.sheets)} if layer.sheets > 1 else {}
        return words | ({"bond": layer.bond} if layer.bond != "screwed" else {})
    words = {"depth": f"{layer.depth * 1e3:g}"}
    words |= {"framing": layer.framing} if layer.framing else {}
    words |= {"spacing": f"{layer.spacing * 1e3:g}"} if layer.spacing else {}
    words |= {"lined": " absorbent"} if layer.edges == "absorbent" else {}
    if layer.fill:
        words |= {"fill": layer.fill.name, "fill_depth": f"{layer.fill_depth * 1e3:g}"}
    return words


@pytest.mark.parametrize("row", CALIBRATION, ids=lambda row: row["id"])
def test_layers_are_those_of_the_published_row(row: dict[str, str]) -> None:
    (name,) = carriers(row["id"])
    assert [layer_as_words(layer) for layer in constructions.load(name).layers] == list(layer_words(row))


def leaf_mass(leaf: Leaf) -> float:
    """Surface mass [kg/m2] of a leaf; an interlayer at 1080 kg/m3."""
    if leaf.surface_mass:
        return leaf.sheets * leaf.surface_mass
    inside = leaf.material.interlayer_thickness if leaf.material.family == "laminate" else 0.0
    density = leaf.density or leaf.material.density.typical
    return leaf.sheets * (density * (leaf.thickness - inside) + 1080.0 * inside)


@pytest.mark.parametrize("row", [r for r in CALIBRATION if r["mass_kg_m2"]], ids=lambda row: row["id"])
def test_surface_mass_is_near_the_printed_one(row: dict[str, str]) -> None:
    """Boards and panes within 12 % (panes are thinner than their names by up to 10 %); of framed walls
    the leaves make 70 to 100 % of the printed mass, which has the studs and heavier boards in it."""
    (name,) = carriers(row["id"])
    construction = constructions.load(name)
    ratio = sum(leaf_mass(x) for x in construction.layers if isinstance(x, Leaf)) / float(row["mass_kg_m2"])
    framed = construction.kind == "wall" and any(isinstance(x, Cavity) for x in construction.layers)
    assert 0.70 < ratio <= 1.0 if framed else 0.88 < ratio < 1.12


@pytest.mark.parametrize("row", SPRINGER, ids=lambda row: row["partition"])
def test_row_of_the_partition_table_is_carried(row: dict[str, str]) -> None:
    """Springer Handbook of Acoustics (2007), table 11.4: octaves and STC. Some rows repeat other tables,
    whose file carries them."""
    values = [float(row[band]) for band in ("125", "250", "500", "1000", "2000", "4000")]
    found = [
        name
        for name in NAMES
        if (m := constructions.load(name).measured)
        and (m.tl_db.tolist(), m.stc) == (values, float(row["stc"]))
    ]
    assert found


def test_ventilator_gives_back_its_printed_level_difference() -> None:
    """EN 12354-3, annex F: Dn,e of 28 23 25 38 44 dB for 125 to 2000 Hz; R = Dn,e + 10 lg(S / 10 m2)."""
    ventilator = constructions.load("ventilator, lined")
    assert ventilator.measured and ventilator.size
    level_difference = ventilator.measured.tl_db - 10 * math.log10(math.prod(ventilator.size) / 10.0)
    assert np.round(level_difference).tolist() == [28, 23, 25, 38, 44]


def test_measured_sources_are_works_of_the_reference_list() -> None:
    with (catalogue.root() / "references.toml").open("rb") as file:
        works = tomllib.load(file)["reference"]
    for key, work in works.items():
        assert set(work) == {"cited_as", "authors", "title", "year", "taken", "basis"}, key
    cited = tuple(work["cited_as"] for work in works.values())
    sources = {name: one.source for name in NAMES if (one := constructions.load(name).measured)}
    assert len(sources) > 50
    for name, source in sources.items():
        assert source.startswith(cited), name


# --- noises ---------------------------------------------------------------------------------------

NOISES = (
    "siren", "refuse truck", "road traffic", "bus", "tram", "aircraft", "dawn birds", "speech",
    "party next door", "drum kit", "amplified bass", "piano", "clarinet", "singing voice", "helicopter",
    "lawn mower", "pink noise", "transport mix",
)  # fmt: skip


def test_named_noises_are_there() -> None:
    assert set(NOISES) <= set(catalogue.names("noises"))


@pytest.mark.parametrize("name", catalogue.names("noises"))
def test_noise_is_whole_level_headed_and_has_its_source(name: str) -> None:
    """All 27 bands stated; they add up to the level stated beside them to half a decibel; neighbouring
    bands differ by at most 18 dB (a pure tone seen through a third-octave filter falls about as fast)."""
    noise = noises.load(name)
    assert noise.source and noise.spread_db > 0
    assert np.all(noise.level_db > -10.0)
    assert noise.level is not None and noise.level.weighting == "A"
    assert dba(noise.level_db) == pytest.approx(noise.level.value, abs=0.55)
    assert np.abs(np.diff(noise.level_db)).max() <= 18.0


with (PUBLISHED / "noise_octaves.csv").open(encoding="utf-8") as stream:
    READ = {row["noise"]: row for row in csv.DictReader(line for line in stream if not line.startswith("#"))}


@pytest.mark.parametrize("name", READ)
def test_noises_that_were_read_have_the_shape_that_was_printed(name: str) -> None:
    """tests/published/noise_octaves.csv: octaves to the 0.5 dB of their printing and the rounding of thirds
    either way, whatever the level."""
    printed = {float(key): float(READ[name][key]) for key in READ[name] if key.isdigit() and READ[name][key]}
    at = [index_of(f) for f in printed]
    octaves = np.array([energy_sum(noises.load(name).level_db[i - 1 : i + 2]) for i in at])
    off = octaves - np.array(list(printed.values()))
    assert np.ptp(off) < 1.0
    assert noises.load(name).basis == "read"


BY_STANDARD = ("speech", "transport mix")  # shapes of standards, from memory


@pytest.mark.parametrize("name", catalogue.names("noises"))
def test_a_drawn_shape_says_so_and_is_not_called_read(name: str) -> None:
    noise = noises.load(name)
    assert noise.source.startswith("Shape drawn") == (noise.basis == "memory" and name not in BY_STANDARD)


def spectrum(name: str) -> np.ndarray:
    return noises.load(name).level_db


def share(name: str, low: float, high: float) -> float:
    """Share of the energy between two bands, both included."""
    energy = 10.0 ** (spectrum(name) / 10.0)
    return float(energy[index_of(low) : index_of(high) + 1].sum() / energy.sum())


def test_road_traffic_is_the_octave_spectrum_of_iso_717_1() -> None:
    """ISO 717-1, spectrum no. 2 in octaves: -14 -10 -7 -4 -6 dB for 125 to 2000 Hz; the thirds from 100
    to 3150 Hz add up to 0 dB."""
    thirds = spectrum("road traffic") + A_WEIGHTING
    thirds = thirds - energy_sum(thirds[index_of(100) : index_of(3150) + 1])
    octaves = [energy_sum(thirds[index_of(f) - 1 : index_of(f) + 2]) for f in (125, 250, 500, 1000, 2000)]
    assert np.round(octaves).tolist() == [-14, -10, -7, -4, -6]


def test_transport_mix_has_the_level_of_astm_e1332() -> None:
    """With 103 dB at 80 Hz the bands 80 to 4000 Hz have 100.13 dBA, the constant of the standard."""
    bands = slice(index_of(80), index_of(4000) + 1)
    level = spectrum("transport mix") - spectrum("transport mix")[index_of(80)] + 103.0
    assert energy_sum((level + A_WEIGHTING)[bands]) == pytest.approx(100.13, abs=0.01)


def test_speech_has_the_overall_level_of_ansi_s3_5() -> None:
    """Normal vocal effort at 1 m: 62.35 dB in all; 25.01 dB per hertz at 1 kHz."""
    level = spectrum("speech")
    assert energy_sum(level) == pytest.approx(62.35, abs=0.1)
    bandwidth = 1000.0 * (10.0**0.05 - 10.0**-0.05)
    assert level[index_of(1000)] - 10 * math.log10(bandwidth) == pytest.approx(25.01, abs=0.05)


def test_siren_keeps_most_of_its_energy_in_its_sweep() -> None:
    """Within 100 to 5000 Hz by rule (California Code of Regulations, title 13, section 1021); the sweep
    500 to 1800 Hz is common practice."""
    assert share("siren", 100, 5000) > 0.95
    assert share("siren", 500, 1600) > 0.75


def test_birds_sing_between_1_5_and_8_khz() -> None:
    assert share("dawn birds", 1600, 8000) > 0.9


@pytest.mark.parametrize(
    ("name", "lowest", "highest"),
    [
        ("tuba", 29.0, 350.0), ("bassoon", 58.0, 620.0), ("accordion", 65.0, 1760.0),
        ("bagpipes", 117.0, 930.0), ("clarinet", 147.0, 1570.0), ("trumpet", 165.0, 1050.0),
        ("saxophone", 139.0, 830.0),
    ],
)  # fmt: skip
def test_an_instrument_has_nothing_an_octave_below_its_lowest_note(
    name: str, lowest: float, highest: float
) -> None:
    """Compasses as orchestration books have them, from memory; most of the energy lies from the lowest note
    to four times the highest."""
    energy = 10.0 ** (spectrum(name) / 10.0)
    within = (lowest / 1.2 < THIRD_OCTAVES) & (4 * highest > THIRD_OCTAVES)
    assert energy[lowest / 2 > THIRD_OCTAVES].sum() <= 0.005 * energy.sum()
    assert energy[within].sum() > 0.9 * energy.sum()


def test_the_buzz_of_a_drone_rides_on_its_blades() -> None:
    """Two blades, 75 to 125 turns a second: 150 to 250 Hz (common practice, no source); nothing below."""
    level = spectrum("drone")
    assert THIRD_OCTAVES[np.argmax(level[: index_of(400)])] in (160, 200, 250)
    assert share("drone", 25, 100) < 0.01


def test_refuse_truck_is_loudest_where_a_diesel_fires_and_keeps_to_its_limit() -> None:
    """80 dBA at 35 ft, the usual ceiling for new trucks."""
    loudest = THIRD_OCTAVES[np.argmax(spectrum("refuse truck"))]
    assert 50 <= loudest <= 125
    assert dba(spectrum("refuse truck")) == pytest.approx(80.0, abs=0.5)
    assert noises.load("refuse truck").distance == pytest.approx(35 * 0.3048, abs=0.1)


@pytest.mark.parametrize("name", ["party next door", "amplified bass"])
def test_bass_music_has_dbc_above_dba_by_10_to_20(name: str) -> None:
    """Common practice, no source."""
    assert 10.0 < dbc(spectrum(name)) - dba(spectrum(name)) < 20.0


def test_pink_noise_is_flat() -> None:
    assert np.ptp(spectrum("pink noise")) == 0.0


# --- rooms ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["demo", "drum room", "voice booth"])
def test_room_is_complete_and_fits_its_own_box(name: str) -> None:
    room = rooms.load(name)
    assert room.sides and room.noises and room.own and room.neighbours and len(room.options) >= 3
    assert all(option.cost for option in room.options)
    assert room.notes == (), "a bundled room leaves nothing to be assumed"


def test_demo_has_the_noises_of_the_street_and_the_teachers_own() -> None:
    room = rooms.load()
    street = {"siren", "tram", "motorcycle", "delivery van", "playground", "speech"}
    assert street <= {noise.spectrum.name for noise in room.noises}
    assert {"clarinet", "singing voice"} == {own.spectrum.name for own in room.own}
