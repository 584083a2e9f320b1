"""Files as people have them: missing, a folder, empty, huge, binary, not TOML; one clear message each."""

import os
import random
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pace import in_time

from isolate.describe import catalogue, constructions, noises, rooms
from isolate.describe.reading import (
    LARGEST_FILE,
    MOST_FAULTS,
    Faults,
    flag,
    label,
    list_of,
    nearest,
    number,
    one_of,
    quantity,
    read_toml,
    text,
    whole,
)
from isolate.errors import InputError

READERS = (rooms.load, constructions.load, noises.load)


def message(path, content=None):
    if isinstance(content, bytes):
        path.write_bytes(content)
    elif content is not None:
        path.write_text(content)
    with pytest.raises(InputError) as fault:
        read_toml(path)
    return str(fault.value)


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "the file is empty"),
        (b" \n\t\n", "the file is empty"),
        (b"\xff\x00title", "line 1: not UTF-8 text; save it as UTF-8"),
        (b"title = 'a'\nabout = '\xe9'\n", "line 2: not UTF-8 text"),
        (b"title\0 = 'a'", "a binary file"),
        (b"title = ", "not valid TOML: invalid value"),
        (b"thickness = 12.5 mm", "(at line 1, column 18)"),
        (b"a = 1\na = 2", "not valid TOML: cannot overwrite a value"),
        (b"x" * 10_000_000, "too large (more than 500 kB)"),
        (b"a = " + b"[" * 5000, "nested too deeply"),
        (b"a" + b".a" * 100_000 + b" = 1", "nested too deeply"),
        (b"[" + b"'a' . " * 50_000 + b"a]", "nested too deeply"),
        (b"a = " + b"9" * 6000, "not valid TOML: exceeds the limit"),
    ],
)
def test_a_file_that_is_no_description(tmp_path, content, what):
    said = message(tmp_path / "x.toml", content)
    assert said.startswith(f"{tmp_path / 'x.toml'}: ")
    assert what in said
    assert "\n" not in said


def test_a_file_that_is_not_there(tmp_path):
    assert "no such file" in message(tmp_path / "none.toml")
    assert "a folder" in message(tmp_path)
    assert "cannot be read (file name too long)" in message(tmp_path / ("a" * 300))
    assert "no such file" in message(tmp_path / "a\0b")


def test_pipes_and_devices_are_not_read(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")  # reading it would wait for ever
    assert "not a plain file" in message(tmp_path / "pipe.toml")
    os.symlink(tmp_path / "loop.toml", tmp_path / "loop.toml")
    assert "no such file" in message(tmp_path / "loop.toml")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_permission(tmp_path):
    (tmp_path / "x.toml").write_text("a = 1")
    (tmp_path / "x.toml").chmod(0)
    assert "cannot be read (permission denied)" in message(tmp_path / "x.toml")


def test_a_name_cannot_command_the_terminal(tmp_path):
    assert "\x1b" not in message(tmp_path / "\x1b[31m.toml")


def test_a_byte_order_mark_is_no_fault(tmp_path):
    (tmp_path / "x.toml").write_bytes(b"\xef\xbb\xbfa = 1\r\n")
    assert read_toml(tmp_path / "x.toml") == {"a": 1}


def table(**data):
    faults = Faults("file.toml")
    return faults, faults.root(data)


def said(faults):
    with pytest.raises(InputError) as fault:
        faults.stop()
    return list(fault.value.faults)


def test_all_faults_come_together_each_with_its_place():
    faults, root = table(depth="4 kg", layer=[{"sheets": 1}, {"sheets": 0}], colour="red")
    root.get("depth", quantity("length"))
    for layer in root.tables("layer"):
        layer.get("sheets", whole(1, 12))
    root.need("title", text, "", "write one")
    assert said(faults) == [
        'file.toml: depth: "kg" is no unit of length (got "4 kg"); write a length in mm, cm, m, um, in, ft, '
        'km, yd, mi, such as "12.5 mm", "5/8 in" or "5 ft 7 1/2 in"',
        "file.toml: layer[2].sheets: not a whole number from 1 to 12 (got 0); write one",
        "file.toml: title: missing; write one",
        "file.toml: colour: unknown key; known: depth, layer, title",
    ]


def test_unknown_keys_name_the_closest_known():
    faults, root = table(thicknes="4 mm")
    root.get("thickness", quantity("length"))
    assert said(faults) == ['file.toml: thicknes: unknown key; did you mean "thickness"?']


def test_a_report_stays_readable():
    faults, _ = table(**{f"key{i}": i for i in range(10_000)})
    assert len(said(faults)) == MOST_FAULTS + 1


def test_wrong_shapes_of_tables():
    faults, root = table(measured=3, layer={"leaf": "glass"}, side=[1])
    assert root.table("measured") is None
    assert root.tables("layer") == root.tables("side") == []
    assert said(faults) == [
        "file.toml: measured: not a table (got 3); write [measured] and its keys below",
        "file.toml: layer: not a list of tables (got a table); write [[layer]] before each",
        "file.toml: side: not a list of tables (got a list of 1); write [[side]] before each",
    ]


@pytest.mark.parametrize(
    ("convert", "value", "what"),
    [
        (text, 4, r"not a text \(got 4\); write it in quotes"),
        (text, "  ", "not a text"),
        (text, "a\x1b[2Jb", "holds a control character"),
        (text, "a" * 6000, r"too long \(got 6000 characters\)"),
        (label, "a\nb", "write one line"),
        (label, "a" * 200, "too long"),
        (one_of(["wood stud", "hanger"]), "wod stud", r'\(got "wod stud"\); did you mean "wood stud"'),
        (one_of(["air", "argon"]), "neon", "known: air, argon"),
        (number(0, 1), 2, r"out of range \(got 2\); write one from 0 to 1"),
        (number(0, 1), "0.5", r'not a number \(got "0.5"\)'),
        (number(0, 1), True, "not a number"),
        (number(0, 1), float("nan"), "not finite"),
        (number(0, 1), float("inf"), "not finite"),
        pytest.param(number(0, 1), 16**20000, r"out of range \(got an enormous number\)", id="enormous"),
        (whole(1, 12), 1.0, "not a whole number"),
        (flag, "true", "not true or false"),
        (quantity("length", most=2.0), "3 m", r'out of range \(got "3 m"\); write at most 2 m'),
        (quantity("length", 0.02), "1 mm", "write at least 0.02 m"),
        (list_of(number(0, 1)), 1, "not a list"),
        (list_of(number(0, 1)), [1, 2], r"member 2: out of range \(got 2\)"),
        (list_of(number(0, 1), most=2), [1, 1, 1], "at most 2"),
    ],
)
def test_converters_say_what_is_wrong(convert, value, what):
    with pytest.raises(ValueError, match=what):
        convert(value)


def test_what_parts_lines_and_words_in_any_writing_is_an_end_of_line_or_a_space():
    assert text(" a\u2028b\x85c\r\nd\u00a0e\tf\u3000 ") == "a\nb\nc\nd e f"
    with pytest.raises(ValueError, match="write one line"):
        label("a\u2029b")


def test_every_wrong_member_of_a_list_is_reported():
    faults = Faults("a.toml")
    table = faults.root({"levels": [0.5, "loud", 7, 0.2]})
    table.get("levels", list_of(number(0, 1)))
    with pytest.raises(InputError, match=r"levels: member 2: .*\n.*levels: member 3: out of range"):
        faults.stop()


def test_words_match_whatever_the_case_and_hyphens():
    convert = one_of(["wood stud", "draught-stripped"])
    assert convert(" Wood-Stud ") == "wood stud"
    assert convert("draught stripped") == "draught-stripped"


def test_nearest_lists_the_known_when_nothing_is_close():
    assert nearest("qqq", [str(i) for i in range(20)]) == "known: 0, 1, 2, 3, 4, 5, 6, 7 and 12 more"
    assert nearest("qqq", []) == "there are none"


def toml_bytes():
    """Bundled files with bytes cut out, doubled or changed."""
    folders = ("rooms", "walls", "windows", "noises")
    files = [path for folder in folders for path in catalogue.root().glob(f"{folder}/*.toml")]
    return st.tuples(st.sampled_from(sorted(files)), st.randoms(use_true_random=False))


def mutated(content: bytes, rng: random.Random) -> bytes:
    for _ in range(rng.randint(1, 4)):
        at, size = rng.randrange(len(content)), rng.randint(1, 30)
        twice, noise = content[at : at + size] * 2, rng.randbytes(3)
        piece = rng.choice([b"", twice, noise, b"-1e999", b'"nan mm"', b"[[", b"\n"])
        content = content[:at] + piece + content[at + size :]
    return content


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(case=toml_bytes())
def test_a_damaged_file_is_read_or_reported(tmp_path, case):
    path, rng = case
    damaged = tmp_path / "damaged.toml"
    damaged.write_bytes(mutated(path.read_bytes(), rng))
    for load in READERS:
        try:
            load(str(damaged))
        except InputError as fault:
            assert all(": " in one and "\n" not in one for one in fault.faults)


@pytest.mark.parametrize(
    "content",
    [
        "[[side]]\n" * 50_000,
        "".join(f"k{i} = 1\n" for i in range(30_000)),
        "a = " + '"' + "x" * (LARGEST_FILE - 100) + '"',
        "".join(f"a{i}.b.c.d = 1\n" for i in range(20_000)),
        "bands_hz = [" + "1," * 200_000 + "]",
    ],
    ids=["tables", "keys", "text", "dotted", "list"],
)
def test_a_hostile_file_is_refused_soon(tmp_path, content):
    (tmp_path / "x.toml").write_text(content)
    start = time.process_time()
    with pytest.raises(InputError) as fault:
        rooms.load(tmp_path / "x.toml")
    assert in_time(time.process_time() - start, 4.0)
    assert len(str(fault.value)) < 20_000


@pytest.mark.parametrize(
    ("word", "told"),
    [("pine panel door", 'did you mean "panel door, pine"?'), ("pannel", 'did you mean "panel"?'),
     ("voice over", 'did you mean "singing voice"?'), ("xyz", "known: ")],
)  # fmt: skip
def test_unknown_names_are_answered_by_near_ones(word, told):
    """All words in any order, else spelt alike, else half of the words, else what there is."""
    assert nearest(word, ["panel door, pine", "panel", "singing voice", "metal door"]).startswith(told)
