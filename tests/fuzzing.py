"""What `test_fuzz` throws at the program, and what every case must come to."""

from __future__ import annotations

import io
import os
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import chdir
from pathlib import Path

from click.testing import CliRunner, Result
from hypothesis import strategies as st
from pace import in_time

from isolate.cli import root

SECONDS, MEMORY = 5.0, 1_000_000_000
NESTED = "[" * 400 + "]" * 400

# Put in place of a text in a description, or of an argument.
TEXTS = (
    "", " ", "0", "-1 mm", "0 mm", "1e999 m", "nan m", "inf mm", "1e-300 mm", "99999999999999999999 m",
    "1e308 dBA", "-400 dBA", "½ in", "５ mm", "12,5 mm", "1/0 in", "0/0 in", "5 ft 7 1/2 in", "5'7\"",
    "1 m", "3 m", "0.001 mm", "10 m", "4 m x 3 m", "4 m x 3 m x 2.5 m", "9e9 m x 9e9 m x 9e9 m",
    "1 um x 1 um", "62 dBA", "NC 20", "NR 999", "NC -5",
    "45 dB in every third octave 63-500 Hz at night", "24-24", "22-6", "-1-99", "99:99", "100 %", "-5 %",
    "1e9 %", "10 kg/m2", "2 x gypsum board 15 mm", "12 x gypsum board 12.5 mm", "glass 4 mm",
    "glass 1e-9 mm", "glass 4 mm + 100 mm + laminated 6.4 mm", "glass 4 mm + " * 40 + "glass 4 mm",
    "stone wool 3 m", "siren", "tram", "wood stud", "steel stud", "resilient channel", "resilient clip",
    "staggered stud", "double stud", "wall tie", "glazing spacer", "shared frame", "separate frames",
    "hanger", "argon", "absorbent", "glued", "damped", "gypsum", "brick", "concrete",
    "mass-loaded vinyl", "stone wool", "heavy curtain", "softwood", "steel", "lead", "street", "window",
    "wall", "floor", "door", "sheet", "roof", "tilted", "unsealed", "bare", "treated", "timber house",
    "brick wall 225 mm, plastered", "wood stud wall 2x4 16 in, empty", "two panes 6-100-8 mm", "demo",
    "other.toml", "room.toml", "../room.toml", "../../etc/passwd", "/etc/passwd", "/dev/zero",
    "/dev/stdin", "C:\\a.toml", "~/x.toml", "file:///x", "\u202e", "\ud7ff", "\N{PILE OF POO}",
    "e\u0301" * 50, "\x1b[31m", "a" * 10_000, "'", "{{ 7*7 }}", "<script>", "%s%n", "$(id)", "NaN",
    "Infinity", "--json", "-", "*",
)  # fmt: skip
# Put in place of a number, a list or a truth value.
BARE = (
    "0", "-1", "1e400", "nan", "-inf", "true", "[]", "{}", "1979-05-27", "0x7fffffffffffffff",
    "10" * 200, "1e-320", '"x"', "[1, 2", "[[]]", "[1e308, 1e308, 1e308]", "[0, 0, 0]", "[nan]", '["a"]',
    "{a = {a = {a = 1}}}", NESTED, "[-5, 3, 1]", "31.5", "3", "1e9",
)  # fmt: skip
RAW = ("\0", "\ufeff", "[", "]]", '"', "'''", "=", "\r", "\n", "#", "\u2028", "[[side]]\n", "[a.b]\n", "\\")

Edit = tuple[str, int, int]


def edited(source: str, edits: Sequence[Edit]) -> str:
    """A description with something replaced, dropped, doubled, exchanged, cut off or put in."""
    for kind, where, what in edits:
        lines = source.split("\n")
        source = _CHANGES[kind](source, lines, where, what)
    return source


def _quoted(source: str, lines: list[str], where: int, what: int) -> str:
    parts = source.split('"')
    if len(parts) < 3:
        return source
    at = 1 + 2 * (where % (len(parts) // 2))
    text = TEXTS[what % len(TEXTS)].replace("\\", "\\\\").replace('"', '\\"')
    return '"'.join([*parts[:at], text, *parts[at + 1 :]])


def _value(source: str, lines: list[str], where: int, what: int) -> str:
    at = [i for i, line in enumerate(lines) if "=" in line]
    if at:
        i = at[where % len(at)]
        lines[i] = lines[i].split("=")[0] + "= " + BARE[what % len(BARE)]
    return "\n".join(lines)


def _drop(source: str, lines: list[str], where: int, what: int) -> str:
    i = where % len(lines)
    return "\n".join(lines[:i] + lines[i + 1 + what % 3 :])


def _double(source: str, lines: list[str], where: int, what: int) -> str:
    i = where % len(lines)
    return "\n".join(lines[: i + 1] + lines[max(i - what % 6, 0) :])


def _swap(source: str, lines: list[str], where: int, what: int) -> str:
    i, j = where % len(lines), what % len(lines)
    lines[i], lines[j] = lines[j], lines[i]
    return "\n".join(lines)


def _cut(source: str, lines: list[str], where: int, what: int) -> str:
    return source[: where % max(len(source), 1)]


def _put(source: str, lines: list[str], where: int, what: int) -> str:
    i = where % max(len(source), 1)
    return source[:i] + RAW[what % len(RAW)] + source[i:]


def _block(source: str, lines: list[str], where: int, what: int) -> str:
    """A table once more, some times."""
    blocks = source.split("\n\n")
    return "\n\n".join([*blocks, *[blocks[where % len(blocks)]] * (1 + what % 4)])


def _key(source: str, lines: list[str], where: int, what: int) -> str:
    """A key of one line on another."""
    at = [i for i, line in enumerate(lines) if "=" in line]
    if at:
        i, j = at[where % len(at)], at[what % len(at)]
        lines[i] = lines[j].split("=")[0] + "=" + lines[i].split("=", 1)[1]
    return "\n".join(lines)


_CHANGES: dict[str, Callable[[str, list[str], int, int], str]] = {
    "text": _quoted, "bare": _value, "drop": _drop, "double": _double, "swap": _swap, "cut": _cut,
    "raw": _put, "block": _block, "key": _key,
}  # fmt: skip


EDITS = st.lists(
    st.tuples(st.sampled_from(sorted(_CHANGES)), st.integers(0, 9999), st.integers(0, 9999)),
    min_size=1,
    max_size=3,
)


def asked(
    *arguments: str,
    files: Mapping[str, bytes | str] | None = None,
    stdin: bytes = b"",
    seconds: float = SECONDS,
) -> Result:
    """The program asked in a folder of these files: an answer, or one clear message and nothing written."""
    given = {name: data.encode("utf-8", "replace") if isinstance(data, str) else data
             for name, data in (files or {}).items()}  # fmt: skip
    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        for name, data in given.items():
            Path(name).write_bytes(data)
        start = time.process_time()
        result = CliRunner().invoke(root, list(arguments), input=io.BytesIO(stdin))
        spent = time.process_time() - start
        left = {path.name for path in Path().iterdir()}
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code in (0, 1, 2), result.output
    assert in_time(spent, seconds), f"{spent:.1f} s"
    assert not any(name.endswith(".part") for name in left)
    if result.exit_code:
        assert left == given.keys(), f"written all the same: {left - given.keys()}"
        assert 0 < len(result.stderr.strip()) < 100_000 and "Traceback" not in result.stderr
        assert result.stdout == "", result.stdout
        told = result.stderr if not result.stderr.startswith("Usage") else ""  # repeats the command line
        assert all(sign.isprintable() or sign == "\n" for sign in told), ascii(told)
    else:
        assert result.stdout.strip() or left > given.keys(), "neither an answer nor a file"
        assert all(sign.isprintable() or sign in "\r\n" for sign in result.stdout)
    return result


def cases(share: float) -> int:
    """How many of all cases, 500 or ISOLATE_FUZZ, a test takes."""
    return max(int(int(os.environ.get("ISOLATE_FUZZ", "500")) * share), 1)
