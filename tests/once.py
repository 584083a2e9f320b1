"""Bundled rooms that are read, heard and judged once for all tests that only look at what is told of them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from isolate.answers import fixes, panels, room, story
from isolate.answers.listen import answer as listening
from isolate.answers.take import answer as taking
from isolate.describe import catalogue, rooms
from isolate.remedies.judgement.judgement import Judgement, judge
from isolate.remedies.judgement.request import Request
from isolate.room import scenario
from isolate.room.scenario import Sampled, Scenario

ROOMS = catalogue.names("rooms")
_load, _present_anew = rooms.load, scenario.present
_rooms, _present, _judged = dict[str, rooms.Room](), dict[int, Scenario](), dict[int, Judgement]()


def _loaded(name: str | Path | None = None) -> rooms.Room:
    named = rooms.DEMO if name is None else str(name)
    if named not in ROOMS:
        return _load(name)
    if named not in _rooms:
        _rooms[named] = _load(named)
    return _rooms[named]


def _present_once(described: rooms.Room, *rest: Any, **more: Any) -> Scenario:
    plain = all(one is None for one in (*rest, *more.values()))
    if not plain or not any(described is one for one in _rooms.values()):
        return _present_anew(described, *rest, **more)
    if id(described) not in _present:
        _present[id(described)] = _present_anew(described)
    return _present[id(described)]


def _judged_once(now: Scenario, asked: Request | None = None, **more: Any) -> Judgement:
    known = next((one for one in _present.values() if one.room is now.room), None)
    if known is None or asked not in (None, Request()):
        return judge(now, asked, **more)
    if id(now.room) not in _judged:
        _judged[id(now.room)] = judge(known, sampled=Sampled(now.room, count=50, seed=1))
    return _judged[id(now.room)]


@contextmanager
def judged_once() -> Iterator[None]:
    """In here a bundled room's judgement is the first that was asked for, of 50 draws."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rooms, "load", _loaded)
        patch.setattr(scenario, "present", _present_once)
        for module in (fixes, listening, panels, room, story, taking):
            patch.setattr(module, "judge", _judged_once)
        yield
