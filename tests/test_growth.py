"""What a large room takes: it grows with what differs in it, not with sides times sounds times remedies."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from importlib import import_module
from typing import Any

import numpy as np
import pytest

from isolate.describe import rooms
from isolate.describe.rooms import Room
from isolate.physics import kept
from isolate.remedies.judgement.judgement import judge
from isolate.room import chances, scenario
from isolate.room.chances import Case, drawn
from isolate.room.contributions import Flat
from isolate.room.draws import Draws
from isolate.room.unknowns import Unknown

DEMO = rooms.load("demo")


def many(sides: int, noises: int) -> Room:
    """The bundled room with its street wall and its tram so many times, none of them quite alike in level."""
    wall = next(one for one in DEMO.sides if one.name == "street wall")
    tram = next(one for one in DEMO.noises if one.name == "tram")
    walls = tuple(replace(wall, name=f"street wall {i}", vents=()) for i in range(sides))
    trams = tuple(replace(tram, name=f"tram {i}", distance=9.0 + i) for i in range(noises))
    return replace(DEMO, sides=(*DEMO.sides, *walls), noises=(*DEMO.noises, *trams))


def test_what_is_alike_is_solved_once(solved_anew: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither a wall more nor a noise more takes one more solution, of what stands or of any remedy."""
    solved: list[object] = []
    transmission = import_module("isolate.physics.transmission")  # not the function of that name
    solve = transmission._solid

    def counted(*stack: Any, **how: Any) -> Any:
        solved.append(stack)
        return solve(*stack, **how)

    monkeypatch.setattr(transmission, "_solid", counted)
    judge(scenario.present(many(1, 1)))
    few = len(solved)
    kept.forget()
    judge(scenario.present(many(6, 6)))
    assert 0 < len(solved) - few <= few


def test_what_paths_have_is_drawn_once_for_all_sounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """However many sounds pass them; and of two rooms one after the other no more is held than one has."""
    asked: Counter[str] = Counter()

    class Counted(Flat):
        def db(self, draws: Draws) -> np.ndarray:
            asked[self.key] += 1
            return super().db(draws)

    held = []

    class Watched(chances.Sampler):
        def sample(self, case: Case, anew: str | None = None) -> chances.Sample:
            found = super().sample(case, anew)
            held.append(sum(key[0] == "passed" for key in self._known))
            return found

    def room(name: str, sounds: int, paths: int = 20) -> list[Case]:
        keys = [f"{name} {i}" for i in range(paths)]
        losses = tuple((Counted(Unknown(key, key), key, 1.0),) for key in keys)
        part = np.full((paths, 27), 1.0 / paths)
        return [Case(np.full(27, 40.0 + i), part, np.zeros(27), (), losses, ()) for i in range(sounds)]

    monkeypatch.setattr(chances, "Sampler", Watched)
    drawn([*room("now", 9), *room("then", 9)], seed=1, count=50)
    assert set(asked.values()) == {1} and len(asked) == 40
    assert len(held) == 18 and max(held) == 20
