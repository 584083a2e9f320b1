"""The benchmark runs; what it finds stands in DEVELOPERS.md and is no matter of a test."""

from __future__ import annotations

import runpy
import sys
from pathlib import Path

import pytest

BENCHMARK = Path(__file__).parent / "benchmarks" / "run.py"


def test_the_smallest_run_prints_its_tables(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "torch", None)  # half the time of a run is its import
    monkeypatch.setattr(sys, "argv", ["run.py", "--smallest"])
    monkeypatch.setattr(sys, "path", list(sys.path))
    runpy.run_path(str(BENCHMARK), run_name="__main__")
    told = capsys.readouterr().out
    assert "Solver" in told and "not installed" in told
    assert told.count("     power ") == 4
    assert "The bundled room" in told and "memory at most" in told


def test_the_power_of_what_grows_with_the_square_is_two() -> None:
    exponent = runpy.run_path(str(BENCHMARK))["exponent"]
    assert exponent([1, 2, 4, 8], [3.0, 12.0, 48.0, 192.0]) == pytest.approx(2.0)
