"""Whole windows and glazed doors against four laboratories' tests, frame and seals included.

tests/published/windows_laboratory.csv: Rw, Rw + C, Rw + Ctr of 60 tests (ISO 10140 or its forerunners), as
tabulated second-hand. No row had a say in any constant.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from isolate.answers.accuracy import answer as accuracy
from isolate.describe import glazing, tested
from isolate.describe.constructions import load
from isolate.describe.layers import Cavity, Leaf
from isolate.errors import InputError

PUBLISHED = Path(__file__).parent / "published" / "windows_laboratory.csv"
WINDOWS = next(topic for topic in tested.topics() if topic.title == "Whole windows")


def rows() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def test_the_rows_that_are_shipped_are_those_of_the_table() -> None:
    """Row by row: panes, group, size and the three single numbers."""
    for printed, row, group in zip(rows(), WINDOWS.rows, WINDOWS.groups, strict=True):
        assert row.name.startswith(printed["glazing"])
        assert row.layers == glazing.unit(printed["glazing"])
        assert group == printed["sash"]
        assert (row.kind == "door") == (group == "glazed door")
        assert row.frame is not None and row.frame.sliding == (group == "sliding")
        edges = tuple(float(printed[key]) / 1e3 for key in ("width_mm", "height_mm"))
        assert row.size == pytest.approx(edges)
        told = row.measured
        assert told is not None and told.rw is not None and told.c is not None and told.ctr is not None
        assert told.rw == float(printed["rw"]) and told.source == printed["report"]
        assert told.rw + told.c == float(printed["rw_plus_c"])
        assert told.rw + told.ctr == float(printed["rw_plus_ctr"])


def test_the_table_apart_is_told_in_data_and_table() -> None:
    """The rows are under `apart`, by group, and not among those that constants were set on."""
    answer = accuracy.accuracy("insulating glass")
    (apart,) = (one for one in answer.apart if one.whole.name == "Whole windows")
    assert len(apart.whole.specimens) == len(rows())
    data = apart.to_dict()
    for group in apart.groups:
        told = next(one for one in data["groups"] if one["name"] == group.name)
        assert told["rw_plus_ctr"]["count"] == sum(row["sash"] == group.name for row in rows())
    assert not {one["name"] for one in data["specimens"]} & {one.name for one in answer.specimens}
    assert {row["glazing"] for row in rows()} <= {row[0].partition(",")[0] for row in answer.to_rows()[1]}


def test_panes_by_their_numbers() -> None:
    """44.2 is two panes of 4 mm with two foils of 0.38 mm: 8.76 mm (glaziers' notation, common practice)."""
    outer, gap, inner = glazing.unit("44.2s/20/10")
    assert isinstance(outer, Leaf) and isinstance(gap, Cavity) and isinstance(inner, Leaf)
    assert outer.material.name == "acoustic laminated glass"
    assert outer.thickness == pytest.approx(8.76e-3)
    assert (gap.depth, gap.framing) == (0.02, "glazing spacer")
    assert (inner.material.name, inner.thickness) == ("glass", 0.01)
    assert load("4-16-4").kind == "window"


@pytest.mark.parametrize("text", ["4-160-4", "1-16-4", "4-16s-4", "40.2/16/4"])
def test_numbers_that_are_no_unit_are_refused(text: str) -> None:
    with pytest.raises((InputError, ValueError), match="no insulating unit"):
        load(text)
