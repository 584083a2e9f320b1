"""Quantities as people write them. Factors: NIST SP 811 (2008), appendix B.8, digits as printed there."""

from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from isolate import units
from isolate.errors import shown
from isolate.units import parse, show_length

# unit: what one of it is in SI, NIST SP 811 B.8 (7 printed digits unless exact)
NIST = [
    ("1 in", "length", 2.54e-2),
    ("1 ft", "length", 3.048e-1),
    ("1 ft2", "area", 9.290304e-2),
    ("1 in2", "area", 6.4516e-4),
    ("1 ft3", "volume", 2.831685e-2),
    ("1 lb", "mass", 4.535924e-1),
    ("1 lb/ft2", "surface mass", 4.882428),
    ("1 lb/ft3", "density", 1.601846e1),
    ("1 psi", "modulus", 6.894757e3),
    ("1 lb/ft2", "load", 4.788026e1),
    ("1 cfm", "air flow", 4.719474e-4),
]


@pytest.mark.parametrize(("text", "quantity", "si"), NIST, ids=[f"{t}-{q}" for t, q, _ in NIST])
def test_factors_are_those_of_nist(text, quantity, si):
    assert parse(text, quantity) == pytest.approx(si, rel=6e-7)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("5/8 in", Fraction(5, 8)),
        ("1 1/2 in", Fraction(3, 2)),
        ("1-1/2 in", Fraction(3, 2)),
        ("5½ in", Fraction(11, 2)),
        ("½ in", Fraction(1, 2)),
        ("3⁄4 in", Fraction(3, 4)),
        ("5 ft 7 1/2 in", Fraction(135, 2)),
        ("5'-7 1/2\"", Fraction(135, 2)),
        ("5′ 7½″", Fraction(135, 2)),
        ("5'7", Fraction(67)),
        ("5ft7in", Fraction(67)),
        ("5 feet 7 inches", Fraction(67)),
        ("6'", Fraction(72)),
        ('16" o.c.', Fraction(16)),
        ("16 in oc", Fraction(16)),
        ("16 in on centre", Fraction(16)),
        ("2''", Fraction(2)),
        (" .5   inch ", Fraction(1, 2)),
    ],
)
def test_inches_and_feet_with_fractions(text, inches):
    assert parse(text, "length") == pytest.approx(float(inches * Fraction(254, 10000)), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "quantity", "si"),
    [
        ("12.5 mm", "length", 0.0125),
        ("12.5mm", "length", 0.0125),
        ("4 MM", "length", 0.004),
        ("50 µm", "length", 50e-6),
        ("1e-3 m", "length", 0.001),
        ("1.7 m²", "area", 1.7),
        ("1.2 m × 1.4 m", "area", 1.68),
        ("10.8 kg/m2", "surface mass", 10.8),
        ("10.8 kg / m^2", "surface mass", 10.8),
        ("2.2 psf", "surface mass", 10.74134),
        ("2.2 lbs/ft²", "surface mass", 10.74134),
        ("3 GPa", "modulus", 3e9),
        ("250 Hz", "frequency", 250.0),
        ("1.6 kHz", "frequency", 1600.0),
        ("400 ms", "time", 0.4),
        ("1.9 kPa", "load", 1900.0),
        ("10 kPa s/m2", "flow resistivity", 1e4),
        ("10 kPa·s/m²", "flow resistivity", 1e4),
        ("9 MN/m³", "dynamic stiffness", 9e6),
        ("36 m3/h", "air flow", 0.01),
        ("-3 dB", "decibel", -3.0),
        ("20 °C", "temperature", 293.15),
        ("68 F", "temperature", 293.15),
    ],
)
def test_units(text, quantity, si):
    assert parse(text, quantity) == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("62 dBA", (62.0, "A")),
        ("62 dB(A)", (62.0, "A")),
        ("38.5 dBC", (38.5, "C")),
        ("70 dB", (70.0, "Z")),
        ("-5 dba", (-5.0, "A")),
    ],
)
def test_levels_keep_their_weighting(text, level):
    assert parse(text, "level") == level


@pytest.mark.parametrize(
    ("text", "quantity", "si"),
    [
        ("76 x 198 cm", "size", (0.76, 1.98)),
        ("4.1 m by 3 m", "size", (4.1, 3.0)),
        ("4.1mx3.2m", "size", (4.1, 3.2)),
        ("4.1 BY 3.2 X 2.5 M", "box", (4.1, 3.2, 2.5)),
        ("4 x 3 m x 2.4 m", "box", (4.0, 3.0, 2.4)),
        ("11'6\" x 9'", "size", (3.5052, 2.7432)),
        ("13 x 11'6\"", "size", (3.9624, 3.5052)),
        ("76 x 198 cm", "area", 0.76 * 1.98),
        ("18 sq ft", "area", 1.67225472),
        ("18 sq. feet", "area", 1.67225472),
        ("2 sqm", "area", 2.0),
        ("2 square metres", "area", 2.0),
        ("30 cu. m", "volume", 30.0),
        ("11'6\"", "length", 3.5052),
        ("198 centimetres", "length", 1.98),
        ("20 minutes", "time", 1200.0),
        ("4.1*3.2*2.5 m", "box", (4.1, 3.2, 2.5)),
        ("4m by 3m, 2.4m high", "box", (4.0, 3.0, 2.4)),
        ("L 4 m, W 3 m, H 2.4 m", "box", (4.0, 3.0, 2.4)),
        ("4m (L) x 3m (W) x 2.4m (H)", "box", (4.0, 3.0, 2.4)),
        ("1200mm(w) x 1500mm(h)", "size", (1.2, 1.5)), ("W 1200 x H 1500 mm", "size", (1.2, 1.5)),
        ("1.5 m high x 1.2 m wide", "size", (1.2, 1.5)), ("height 1.5 m, width 1.2 m", "size", (1.2, 1.5)),
        ("about 4.1 x 3.2 m", "size", (4.1, 3.2)),
        ("10 m away", "length", 10.0),
        ("approx. 18 m2", "area", 18.0),
        ("3 km", "length", 3000.0),
        ("100 yards", "length", 91.44),
        ("2 miles", "length", 3218.688),
        ("100 sq yards", "area", 83.612736),
        ("4m10", "length", 4.1),
        ("4 m 5 cm", "length", 4.05),
        ("12'6\" x 11 x 8", "box", (3.81, 3.3528, 2.4384)),
        ("12 ft 6 in x 11 x 8", "box", (3.81, 3.3528, 2.4384)),
        ("12'6 by 11'2 by 8", "box", (3.81, 3.4036, 2.4384)),
        ("12' x 11 x 8 ft", "box", (3.6576, 3.3528, 2.4384)),
        ("4.1 m x 3.2", "size", (4.1, 3.2)),
        ("36\" x 80", "size", (0.9144, 2.032)),
        ("84 sf", "area", 84 * 0.3048**2),
        ("4 x 3 m x 250 cm", "box", (4.0, 3.0, 2.5)),
        ("4m10 x 3m20 x 2m50", "box", (4.1, 3.2, 2.5)),
        ("4 m long 3 m wide 2.5 m high", "box", (4.0, 3.0, 2.5)),
        ("80/200 cm", "area", 1.6),
        ("1 h 30 min", "time", 5400.0),
        ("half an hour", "time", 1800.0),
        ("half a mile", "length", 804.672),
        ("a quarter of a mile", "length", 402.336),
        ("six feet", "length", 1.8288),
        ("two and a half metres", "length", 2.5),
        ("a hundred yards", "length", 91.44),
        ("an inch", "length", 0.0254),
        ("about ten metres or so", "length", 10.0),
        ("1 metre 20", "length", 1.2),
        ("ten by twelve feet", "size", (3.048, 3.6576)),
        ("12 metres squared", "area", 12.0),
    ],
)
def test_quantities_as_people_write_them(text, quantity, si):
    """One unit at the end is that of all; feet are 0.3048 m, square feet 0.09290304 m2, yards
    0.9144 m, miles 1609.344 m (NIST SP 811 B.8)."""
    assert parse(text, quantity) == pytest.approx(si, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "weighting"),
    [("60 decibels", "Z"), ("LAeq 60 dB", "A"), ("LAeq 60", "A"), ("60 dB LAeq", "A"), ("60 dBA Leq", "A")],
)
def test_levels_as_people_write_them(text, weighting):
    """LAeq is A-weighted by its name (ISO 1996-1, 3.1.8)."""
    assert parse(text, "level") == (60.0, weighting)


def test_sizes_and_boxes():
    assert parse("4.1 m x 3.2 m", "size") == (4.1, 3.2)
    assert parse("13 ft 6 in x 10' x 8 ft", "box") == pytest.approx((4.1148, 3.048, 2.4384))


@pytest.mark.parametrize(
    ("value", "quantity", "message"),
    [
        (12.5, "length", r"a bare number without a unit \(got 12.5\); write a length in mm, cm, m"),
        ("12.5", "length", r'a bare number without a unit \(got "12.5"\); write a length'),
        ("5/8", "length", "a bare number without a unit"),
        (4, "level", r"a bare number without a unit \(got 4\); write a level in dBA, dBC or dB"),
        (True, "length", r"not a length \(got true\)"),
        (None, "length", "not a length"),
        ("20-30 m", "length", r'a span \(got "20-30 m"\); write one value'),
        ("60-65 dB", "level", r'a span \(got "60-65 dB"\); write one value'),
        ({"a": 1}, "length", r"not a length \(got a table\)"),
        ([1, 2], "size", r"not a size \(got a list of 2\)"),
        ("", "length", "not a length"),
        ("mm", "length", "not a length"),
        ("4 kg", "length", r'"kg" is no unit of length \(got "4 kg"\); write a length in mm'),
        ("4 m", "surface mass", "no unit of surface mass .* write a surface mass in kg/m2"),
        ("12,5 mm", "length", r'a decimal comma \(got "12,5 mm"\); write a decimal point'),
        ("nan mm", "length", "not a length"),
        ("inf mm", "length", "not a length"),
        ("1e400 mm", "length", r'no sane length \(got "1e400 mm"\)'),
        ("1/0 in", "length", "no sane length"),
        ("-4 mm", "length", r'must be more than zero \(got "-4 mm"\)'),
        ("0 mm", "length", "must be more than zero"),
        ("9e9 furlong", "length", "no unit of length"),
        ("9e9 m", "length", "no sane length"),
        ("999 dBA", "level", "no sane level"),
        ("62 dbq", "level", "not a level"),
        ("4.1 x 3.2", "size", r"bare number without a unit .* write 2 lengths .* \(mm, cm, m, in, ft\)"),
        ("12' x 330 cm x 8", "box", "bare number without a unit .* write 3 lengths with their units"),
        ("12' x 11 x 96\"", "box", "bare number without a unit .* write 3 lengths with their units"),
        ("13 x 11 x 8", "box", 'such as "13 x 11 x 8 m" or "13 x 11 x 8 ft"$'),
        ("76 x 198", "area", 'such as "76 x 198 cm" or "76 x 198 in"$'),
        ("3 sq", "area", '"sq" is no unit of area'),
        ("4.1 m x 3.2 m", "box", "not a size of a room .* write 3 lengths"),
        ("4 m x 3 m x 2 m", "area", "not a area|not an area"),
        ("x" * 300, "length", r"too long for a length \(got 300 characters\)"),
    ],
)
def test_bad_quantities_say_what_came_and_what_to_write(value, quantity, message):
    with pytest.raises(ValueError, match=message):
        parse(value, quantity)


def test_every_message_ends_with_an_example_that_parses():
    for quantity in units._QUANTITIES:
        with pytest.raises(ValueError, match="such as") as fault:
            parse("?", quantity)
        examples = str(fault.value).split("such as")[1].split('"')[1::2]
        assert examples
        assert all(parse(example, quantity) > 0 for example in examples)


def test_what_is_shown_cannot_command_a_terminal():
    assert shown("\x1b[31mred\n") == r'"\x1b[31mred\n"'
    assert len(shown("a" * 500)) < 70
    assert shown(10**5000) == "an enormous number"


@pytest.mark.parametrize(
    ("length", "text"),
    [
        (0.0125, "12.5 mm (1/2 in)"),
        (0.015875, "15.9 mm (5/8 in)"),
        (0.0508, "50.8 mm (2 in)"),
        (0.0381, "38.1 mm (1 1/2 in)"),
        (1.2192, "1219 mm (4 ft 0 in)"),
        (2.4384, "2.44 m (8 ft 0 in)"),
        (0.0001, "0.1 mm (0.0039 in)"),
        (0.0005, "0.5 mm (0.02 in)"),
        (0.00085, "0.85 mm (0.033 in)"),
        (0.0016, "1.6 mm (1/16 in)"),
    ],
)
def test_lengths_are_shown_in_both_systems(length, text):
    assert show_length(length) == text


@settings(max_examples=60, deadline=None)
@given(feet=st.integers(1, 40), inches=st.integers(0, 11), sixteenths=st.integers(0, 15))
def test_shown_feet_and_inches_read_back_the_same(feet, inches, sixteenths):
    length = (feet * 12 + inches + sixteenths / 16) * 0.0254
    imperial = show_length(length).split("(")[1].rstrip(")")
    assert parse(imperial, "length") == pytest.approx(length, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(value=st.floats(1e-5, 1e4), unit=st.sampled_from(["mm", "cm", "m", "in", "ft"]))
def test_a_length_is_its_number_times_its_unit(value, unit):
    factor = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048}[unit]
    assume(value * factor >= 1e-6)
    assert parse(f"{value!r} {unit}", "length") == pytest.approx(value * factor, rel=1e-12)


@settings(max_examples=150, deadline=None)
@given(text=st.text(max_size=30), quantity=st.sampled_from([*units._QUANTITIES, "size", "box", "level"]))
def test_any_text_is_a_quantity_or_a_value_error(text, quantity):
    try:
        parse(text, quantity)
    except ValueError as fault:
        assert "; write " in str(fault)
