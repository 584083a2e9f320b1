"""The library: its names, what they cost before they are used, and answers as tables and at a prompt.

Worked examples of every answer stand in its own docstring and run as doctests; types are held by mypy over
`typed_use.py`.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import typed_use

import isolate
from isolate.answers.base import Answer
from isolate.library import SecondPaneOptions

REPOSITORY = Path(isolate.__file__).parents[1]


def test_importing_it_loads_nothing_heavy() -> None:
    code = "import sys, isolate; dir(isolate); print(*{name.split('.')[0] for name in sys.modules})"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=REPOSITORY)
    assert told.returncode == 0
    assert not {"numpy", "pandas", "scipy", "matplotlib", "click", "tomllib"} & set(told.stdout.split())


@pytest.mark.parametrize("name", isolate.__all__)
def test_every_name_is_there_and_documented(name: str) -> None:
    found = getattr(isolate, name)
    assert callable(found) and found.__doc__
    assert name in dir(isolate)
    plain = ("IsolateError", "InputError", "describe")
    assert name in plain or ">>> " in found.__doc__, f"isolate.{name} has no worked example"


def test_a_name_that_is_not_there() -> None:
    with pytest.raises(AttributeError, match="no attribute 'predcit'"):
        _ = isolate.predcit  # type: ignore[attr-defined]


def test_describe_is_the_folder_and_the_function() -> None:
    """Whichever is imported first."""
    for first in ("import isolate.describe.rooms, isolate", "import isolate"):
        code = f"{first}; print(isolate.describe('glass 4 mm').kind); from isolate.describe import rooms"
        told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=REPOSITORY)
        assert (told.stdout, told.stderr) == ("window\n", "")


def test_the_typed_script_runs() -> None:
    assert typed_use.curves() == isolate.text(isolate.predict("glass 4 mm + 100 mm + laminated 6.4 mm"))


ANSWERS: dict[str, Callable[[], Answer]] = {
    "predict": lambda: isolate.predict("glass 4 mm"),
    "compare": lambda: isolate.compare(["glass 4 mm", "glass 6 mm"]),
    "rate": lambda: isolate.rate([21, 25, 31, 36, 39], bands_hz=[125, 250, 500, 1000, 2000]),
    "room": lambda: isolate.room(draws=0),
    "take": lambda: isolate.take(draws=50),
    "second_pane": lambda: isolate.second_pane(gaps=["100 mm"], panes=["laminated 6.4 mm"], draws=50),
    "entry": lambda: isolate.entry("siren"),
    "listing": lambda: isolate.listing(),
}


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_as_a_table_and_at_a_prompt(name: str) -> None:
    answer = ANSWERS[name]()
    header, rows = answer.to_rows()
    frame = answer.to_frame()
    assert list(frame.columns) == header and len(frame) == len(rows) > 0
    assert "\n" not in repr(answer) and len(repr(answer)) < 400
    assert f"{len(rows)} rows" in repr(answer)
    page = answer._repr_html_()
    assert page.count("<table") == 1 and len(page) < 60_000
    assert isolate.text(answer).count("\n") > 2


def test_tables_keep_full_precision() -> None:
    curve = isolate.predict("glass 4 mm")
    assert (curve.to_frame().tl_db.to_numpy() == curve.tl_db).all()


def test_a_notebook_shows_the_cautions_and_escapes_what_a_file_says() -> None:
    from dataclasses import replace

    curve = isolate.predict("glass 4 mm + 100 mm + laminated 6.4 mm")
    hostile = replace(curve, construction=replace(curve.construction, name="<script>alert(1)</script>"))
    page = hostile._repr_html_()
    assert "<script>" not in page and "&lt;script&gt;" in page
    assert curve.cautions
    for caution in curve.cautions:
        assert caution.title in page


def test_rates_of_values_and_of_a_file_are_the_same(tmp_path: Path) -> None:
    bands, values = [125, 250, 500, 1000, 2000], [21, 25, 31, 36, 39]
    path = tmp_path / "wall.csv"
    rows = "\n".join(f"{band},{value}" for band, value in zip(bands, values, strict=True))
    path.write_text(f"band_hz,tl_db\n{rows}\n")
    assert (
        isolate.rate(path).ratings
        == isolate.rate(str(path)).ratings
        == isolate.rate(values, bands_hz=bands).ratings
    )
    with pytest.raises(isolate.InputError, match="one value a band"):
        isolate.rate(values)


def test_options_in_words_are_refused_as_on_the_command_line() -> None:
    with pytest.raises(isolate.InputError, match="max_gap"):
        isolate.second_pane(max_gap="a hand")
    with pytest.raises(isolate.InputError, match="budget"):
        isolate.fixes(budget=-1.0)
    with pytest.raises(TypeError, match="windw"):
        isolate.second_pane(**{"windw": "4 mm"})  # type: ignore[typeddict-item]


def test_the_options_are_those_of_the_question() -> None:
    """The lists for a type checker, against the functions that read them."""
    import inspect

    from isolate.answers.inner_room.request import KEYS
    from isolate.library import FixesOptions, InnerRoomOptions
    from isolate.remedies.judgement.request import request
    from isolate.remedies.second_window.asked import asked

    assert list(SecondPaneOptions.__annotations__) == list(inspect.signature(asked).parameters)
    assert list(FixesOptions.__annotations__) == list(inspect.signature(request).parameters)
    assert list(InnerRoomOptions.__annotations__) == list(KEYS)


def test_room_is_the_function_whatever_was_loaded_before() -> None:
    """The folder of the same name, once loaded, would lie in its way."""
    code = "import isolate; isolate.predict('glass 4 mm'); print(callable(isolate.room))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "True\n"
