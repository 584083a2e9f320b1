"""Any size that may be written is answered soon and in little memory; any option may change what a side is.

As `test_fuzz`: always the same cases, or ``ISOLATE_FUZZ=20000`` as many new ones.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
from fuzzing import asked
from hypothesis import example, given
from hypothesis import strategies as st
from pace import within
from test_fuzz import SMALL, some

SECONDS, MEMORY = 2.0, 300e6  # of panes
LONGER = 5.0  # of a room; of walls on several framings, whose leaves are meant to be absurd
EDGES = st.floats(0.02, 100.0).map(lambda edge: float(f"{edge:.3g}")) | st.floats(-1.69, 2.0).map(
    lambda power: float(f"{10**power:.3g}")
)
LEAVES = (
    "glass", "laminated glass", "acoustic laminated glass", "acrylic", "gypsum board", "plywood", "softwood",
    "steel", "lead", "mass-loaded vinyl", "brick", "concrete", "aircrete block", "plaster",
)  # fmt: skip
FRAMINGS = (
    None, "wood stud", "steel stud", "resilient channel", "resilient clip", "staggered stud", "double stud",
    "wall tie", "glazing spacer", "hanger", "shared frame", "separate frames",
)  # fmt: skip
KINDS = ("wall", "window", "door", "ceiling", "floor", "roof", "sheet")
MILLIMETRES = st.floats(0.0, 3.0).map(lambda power: f"{10**power:.3g} mm")


@st.composite
def constructions(draw: st.DrawFn) -> str:
    """A file of one to three leaves and what is between them, of any kind and size, each in its range."""
    size = f"{draw(EDGES)} m x {draw(EDGES)} m"
    text = f'title = "x"\nkind = "{draw(st.sampled_from(KINDS))}"\nsize = "{size}"\n'
    for i in range(draw(st.integers(1, 3))):
        if i:
            text += f'[[layer]]\ncavity = "{draw(MILLIMETRES)}"\n'
            framing = draw(st.sampled_from(FRAMINGS))
            text += f'framing = "{framing}"\n' if framing else ""
            text += 'fill = "glass wool"\n' if draw(st.booleans()) else ""
        text += f'[[layer]]\nleaf = "{draw(st.sampled_from(LEAVES))}"\nthickness = "{draw(MILLIMETRES)}"\n'
        text += f"sheets = {draw(st.integers(1, 3))}\n"
    return text


def curve(text: str, seconds: float) -> None:
    """The curve of a file: an answer within its limits, or one message."""
    with within(seconds, MEMORY):
        result = asked("curve", "own.toml", "--json", files={"own.toml": text})
    if result.exit_code == 2:
        return
    told = json.loads(result.stdout)
    low, tl, high = (np.array(told[key]) for key in ("low_db", "tl_db", "high_db"))
    assert np.all((low <= tl + 1e-6) & (tl <= high + 1e-6) & (tl >= 0.0))


# Slow beyond its limit before points of a band were fewer.
SLOW = """title = "x"
kind = "ceiling"
size = "78.3 m x 81.5 m"
[[layer]]
leaf = "softwood"
thickness = "829 mm"
sheets = 2
[[layer]]
cavity = "829 mm"
framing = "steel stud"
[[layer]]
leaf = "softwood"
thickness = "3.03 mm"
sheets = 3
"""


@some(0.004)
@given(text=constructions())
@example(text=SLOW)
def test_constructions_of_any_size(text: str) -> None:
    curve(text, LONGER)


@some(0.015)
@given(width=EDGES, height=EDGES, panes=st.integers(1, 4), thickness=MILLIMETRES, gap=MILLIMETRES)
def test_panes_of_any_size(width: float, height: float, panes: int, thickness: str, gap: str) -> None:
    pane = f'[[layer]]\nleaf = "glass"\nthickness = "{thickness}"\n'
    stack = f'[[layer]]\ncavity = "{gap}"\n'.join([pane] * panes)
    curve(f'title = "x"\nkind = "window"\nsize = "{width} m x {height} m"\n{stack}', SECONDS)


@some(0.004)
@given(width=EDGES, height=EDGES, panes=st.sampled_from(["glass 4 mm", "glass 4 mm + 16 mm + glass 4 mm"]))
def test_sides_of_any_size(width: float, height: float, panes: str) -> None:
    room = SMALL.replace("1.2 m x 1.4 m", f"{width} m x {height} m").replace('"glass 4 mm"', f'"{panes}"')
    room = room.replace('size = "4.0 m x 3.0 m x 2.5 m"', 'size = "90 m x 90 m x 90 m"')
    with within(LONGER, MEMORY):
        asked("room", "room.toml", "--draws", "50", files={"room.toml": room})


OTHERS = (
    "glass 4 mm", "brick wall 225 mm, plastered", "hollow core door 35 mm", "mass-loaded vinyl 2.5 mm",
    "4-16-4",
    "joist floor, plywood and board", "two panes 6-100-8 mm", "own.toml", "concrete slab 150 mm",
    "gypsum board 12.5 mm + stone wool 50 mm + gypsum board 12.5 mm",
)  # fmt: skip
MORE = (
    "", 'seal = "sealed"', 'open = "5 %"', '[[option.vent]]\nopening = "100 mm"\nlength = "1 m"',
    '[option.second]\nconstruction = "hollow core door 35 mm"\nlobby = "1 m x 0.6 m x 2.1 m"',
)  # fmt: skip
TESTED = """title = "x"
kind = "door"
[measured]
source = "own"
basis = "own"
bands_hz = [125, 250, 500]
tl_db = [20, 25, 30]
"""


@some(0.005)
@given(
    side=st.sampled_from(["window", "wall", "door"]),
    other=st.sampled_from(OTHERS),
    more=st.sampled_from(MORE),
    command=st.sampled_from(["room", "room", "fixes"]),
)
def test_options_that_change_what_a_side_is(side: str, other: str, more: str, command: str) -> None:
    """A window walled up, a wall that becomes a door, a tested one, a floor upright."""
    option = f'[[option]]\nname = "new"\nreplace = "{side}"\nconstruction = "{other}"\ncost = "9"\n{more}\n'
    with within(LONGER, MEMORY):
        files = {"room.toml": SMALL + option, "own.toml": TESTED}
        result = asked(command, "room.toml", "--draws", "50", files=files)
    assert result.exit_code in (0, 2)


@pytest.mark.parametrize(
    "size", ["0.02 m x 3 m", "0.05 m x 50 m", "0.07 m x 0.1 m", "30 mm x 200 mm", "35 m x 35 m"]
)
def test_panes_that_once_took_gigabytes_or_ended_in_a_traceback(size: str) -> None:
    glass = f'title = "x"\nkind = "window"\nsize = "{size}"\n[[layer]]\nleaf = "glass"\nthickness = "6 mm"\n'
    with within(SECONDS, MEMORY):
        assert asked("curve", "own.toml", files={"own.toml": glass}).exit_code == 0


STUDDED = "gypsum board 12.5 mm + 75 mm wood studs 400 mm + plywood 12 mm + 60 mm steel studs + "
STRIPS = '[[layer]]\ncavity = "16 mm"\n'.join(
    f'[[layer]]\nleaf = "{leaf}"\nthickness = "{thick} mm"\n'
    for leaf, thick in zip(("glass", "laminated glass", "acrylic") * 4, range(3, 13), strict=False)
)
CHANNEL = """[[layer]]
leaf = "laminated glass"
thickness = "4.7 mm"
youngs_modulus = "143 Pa"
[[layer]]
cavity = "14 mm"
framing = "resilient channel"
spacing = "5 m"
[[layer]]
leaf = "gypsum board"
thickness = "12.5 mm"
"""


@pytest.mark.parametrize(
    "text",
    [
        f'kind = "window"\nsize = "100 m x 0.02 m"\n{STRIPS}',
        f'kind = "roof"\nsize = "100 m x 0.8 m"\n{CHANNEL}',
    ],
    ids=["ten panes in a strip", "boards as soft as cloth on channels 5 m apart"],
)
def test_what_once_took_gigabytes_in_many_layers(text: str) -> None:
    curve(f'title = "x"\n{text}', LONGER)


def test_forty_layers_on_studs_in_one_line() -> None:
    """Pairs that are alike are solved once: nine pairs of pairs take hardly more than one."""
    with within(LONGER, MEMORY):
        assert asked("curve", f"{STUDDED * 9}gypsum board 12.5 mm").exit_code == 0


BARE_CAVITY = """title = "x"
kind = "wall"
[[layer]]
leaf = "gypsum board"
thickness = "12.5 mm"
[[layer]]
cavity = "1e-6 m"
framing = "wood stud"
[[layer]]
leaf = "gypsum board"
thickness = "12.5 mm"
"""
FACED = """title = "x"
kind = "{}"
[[layer]]
leaf = "glass"
thickness = "6 mm"
[[layer]]
cavity = "50 mm"
fill = "stone wool"
"""


def test_the_least_cavity_is_one() -> None:
    assert asked("curve", "own.toml", files={"own.toml": BARE_CAVITY}, seconds=20).exit_code == 0


def test_a_floor_under_wool_has_nothing_to_walk_on() -> None:
    """Told in the air alone, as a wall is; the other way up of steps too."""
    head, leaf, wool = FACED.format("floor").replace("glass", "OSB").split("[[layer]]")
    for layers, walked in ((f"{leaf}[[layer]]{wool}", True), (f"{wool}[[layer]]{leaf}", False)):
        text = f"{head}[[layer]]{layers}"
        told = json.loads(asked("curve", "own.toml", "--json", files={"own.toml": text}).stdout)
        assert told["tl_db"] and ("impact" in told) == walked


@pytest.mark.parametrize("kind", ["window", "ceiling"])
def test_glass_with_wool_on_its_inner_face_gets_no_second_window(kind: str) -> None:
    room = SMALL.replace('"glass 4 mm"', '"own.toml"')
    files = {"room.toml": room, "own.toml": FACED.format(kind)}
    told = asked("fixes", "room.toml", "--draws", "50", "--json", files=files)
    tried = [one["name"] for one in json.loads(told.stdout)["fixes"]]
    assert tried and not any(name.startswith("second pane") for name in tried)


def test_a_slit_of_a_micrometre_is_counted() -> None:
    room = SMALL.replace('width = "1 mm"', 'width = "0.001 mm"')
    assert asked("room", "room.toml", "--draws", "50", files={"room.toml": room}).exit_code == 0
