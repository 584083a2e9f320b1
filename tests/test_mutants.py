"""The breaker of thresholds and formulas breaks what it says; a few of what it breaks, tried on every run."""

from __future__ import annotations

import ast
import random
from pathlib import Path

import mutants
import pytest


@pytest.mark.parametrize("module", mutants.GUARDS)
def test_every_module_listed_has_breaks_and_guards(module: str) -> None:
    for name in mutants.GUARDS[module].split():
        assert (mutants.HOME / "tests" / name).is_file()
    whole = (mutants.HOME / module).read_text(encoding="utf-8")
    broken = mutants.of_module(module)
    assert broken
    assert all(one.source != whole for one in broken)


def test_each_break_is_one_and_told() -> None:
    source = "LIMIT = 3.0\n\ndef f(a: float) -> bool:\n    return a * 2.0 < LIMIT\n"
    assert {one.what for one in mutants.mutants("m", source)} == {
        "line 1: 3.0 becomes 3.9000000000000004",
        "line 4: a * 2.0 < LIMIT becomes a * 2.0 >= LIMIT",
        "line 4: a * 2.0 < LIMIT becomes a * 2.0 <= LIMIT",
        "line 4: a * 2.0 becomes a / 2.0",
        "line 4: 2.0 becomes 2.6",
    }


def test_a_break_keeps_all_else() -> None:
    """A test that looks for comments passes a break that leaves them."""
    source = "LIMIT = 3.0  # \u00e4\n\n\ndef f(a: float) -> bool:  # higher?\n    return (a + 1) * 2 < L\n"
    broken = [one.source for one in mutants.mutants("m", source)]
    assert source.replace("3.0", "3.9000000000000004") in broken
    assert source.replace("a + 1", "a - 1") in broken
    assert source.replace("* 2", "/ 2") in broken
    for one in broken:
        ast.parse(one)


def test_a_few_breaks_are_noticed(tmp_path: Path) -> None:
    copy = mutants.copied(str(tmp_path))
    every = mutants.of_module("isolate/answers/requirement.py")
    whole = (mutants.HOME / "isolate/answers/requirement.py").read_text(encoding="utf-8")
    assert not mutants.killed(mutants.Mutant("isolate/answers/requirement.py", "nothing", whole), copy)
    kept = [one for one in every if "<= len(text)" not in one.what]  # an end that no text reaches
    for one in random.Random(3).sample(kept, 2):
        assert mutants.killed(one, copy), one.what
